//! The starter set: procedures that come with the program, in our own words, for a shop to make its
//! own. Each file is plain steps in the notation of the edit form.

use super::{Step, notation, queries};
use crate::clock::Millis;
use crate::db::Tx;

/// Name, kind of machine, steps.
const SET: &[(&str, &str, &str)] = &[
    (
        "Fan motor, direct drive: replace",
        "fan",
        include_str!("starter/fan-motor.txt"),
    ),
    (
        "Fan belt, sheaves and shaft bearings: replace",
        "fan",
        include_str!("starter/belt-and-bearing.txt"),
    ),
    (
        "Fan: inspect and service",
        "fan",
        include_str!("starter/fan-inspection.txt"),
    ),
    (
        "Pump seal and coupling: replace",
        "pump",
        include_str!("starter/pump-seal.txt"),
    ),
    (
        "Unit heater, blower motor: replace",
        "unit_heater",
        include_str!("starter/unit-heater.txt"),
    ),
    (
        "Motor: electrical readings",
        "",
        include_str!("starter/electrical.txt"),
    ),
];

/// Puts in whatever of the set the shop does not have by name; answers with how many that were.
///
/// # Errors
/// What the database says; the texts themselves are read by a test.
pub async fn install(tx: &mut Tx, at: Millis) -> sqlx::Result<usize> {
    let mut put = 0;
    for (name, kind, text) in SET {
        if queries::named(tx, name).await?.is_some() {
            continue;
        }
        let steps: Vec<Step> = notation::parse(text)
            .map_err(|problems| sqlx::Error::Decode(format!("{name}: {problems:?}").into()))?;
        let id = queries::insert(tx, name, kind, at).await?;
        queries::insert_revision(tx, id, 1, &steps, None, at).await?;
        put += 1;
    }
    Ok(put)
}

/// The steps of one of the set.
pub fn steps(name: &str) -> Option<Vec<Step>> {
    let (.., text) = SET.iter().find(|(known, ..)| *known == name)?;
    notation::parse(text).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::procedures::Takes;

    #[test]
    fn every_text_reads_and_takes_readings() {
        for (name, kind, text) in SET {
            let steps = notation::parse(text).unwrap_or_else(|p| panic!("{name}: {p:?}"));
            let readings = steps.iter().filter(|s| s.takes == Takes::Reading).count();
            assert!(steps.len() >= 8 && readings >= 2, "{name}");
            assert!(steps.iter().any(|step| step.locked), "{name}");
            assert!(
                kind.is_empty() || crate::machines::KINDS.iter().any(|(k, _)| k == kind),
                "{name}"
            );
        }
    }
}
