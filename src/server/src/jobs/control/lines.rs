//! These entries as people read them in the timeline.

use super::body::{Control, permit_words};
use crate::clock::Zone;
use crate::people::PersonId;

/// One plain line for each fact; `None` where nothing was said.
pub fn facts(
    control: &Control,
    name: impl Fn(PersonId) -> String,
    zone: &Zone,
) -> Vec<Option<String>> {
    let said = |label: &str, text: &str| {
        let text = text.trim();
        (!text.is_empty()).then(|| format!("{label}: {text}"))
    };
    match control {
        Control::LockRemovedForOwner {
            owner_not_on_site,
            tried_to_reach,
            directed_by,
            procedure_ref,
            device_checked,
            ..
        } => vec![
            said("Owner not on site", owner_not_on_site),
            said("Tried to reach", tried_to_reach),
            said("Directed by", directed_by),
            said("Procedure", procedure_ref),
            said("Seen at the device", device_checked),
        ],
        Control::OwnerTold { how, .. } => vec![said("How", how)],
        Control::BoxLocked {
            box_name,
            coordinator,
            keys_of,
        } => vec![Some(format!(
            "{box_name}, {} keys; primary responsibility: {}",
            keys_of.len(),
            name(*coordinator)
        ))],
        Control::BoxLockOn { lock_number, .. } => vec![Some(format!("Lock {lock_number}"))],
        Control::BoxLockOff { .. } => vec![],
        Control::HandedOver { from, to, note } => vec![
            Some(format!(
                "From {} to {}; {1} proves it dead before work goes on",
                name(*from),
                name(*to)
            )),
            said("Note", note),
        ],
        Control::PermitsNeeded { kinds } => vec![Some(if kinds.is_empty() {
            "None".to_owned()
        } else {
            let words: Vec<&str> = kinds.iter().map(|kind| permit_words(kind)).collect();
            words.join(", ")
        })],
        Control::PermitOpened {
            permit_kind,
            number,
            issued_by,
            issued_to,
            valid_from,
            valid_to,
            conditions,
        } => vec![
            Some(format!(
                "{} permit {number}, by {issued_by} to {issued_to}, {} to {}",
                permit_words(permit_kind),
                zone.minute_words(*valid_from),
                zone.minute_words(*valid_to)
            )),
            said("Conditions", conditions),
        ],
        Control::InterlocksRestored { said: all } => all
            .iter()
            .map(|one| Some(format!("{}: {}", one.interlock, one.words)))
            .collect(),
        Control::PermitClosed { by, note, .. } => {
            vec![said("By", by), said("Note", note)]
        }
    }
}
