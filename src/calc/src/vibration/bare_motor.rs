//! Vibration limits of a motor by itself: not coupled, on the test stand.

use crate::shown::positive;
use crate::tables::{number, rows};
use crate::units::{MM_PER_INCH, Millimetres, MillimetresPerSecond, Rpm};
use serde::{Deserialize, Serialize};

/// Which limit holds for a motor by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MotorBasis {
    /// IEC 60034-14 grade A, hung or on soft springs.
    IecAFree,
    /// IEC 60034-14 grade A, bolted to a stiff base.
    IecARigid,
    /// IEC 60034-14 grade B, hung or on soft springs.
    IecBFree,
    /// IEC 60034-14 grade B, bolted to a stiff base.
    IecBRigid,
    /// NEMA MG 1 Part 7, on a resilient mount.
    NemaResilient,
    /// NEMA MG 1 Part 7, on a rigid mount.
    NemaRigid,
}

impl MotorBasis {
    /// All.
    pub const ALL: [MotorBasis; 6] = [
        MotorBasis::IecAFree,
        MotorBasis::IecARigid,
        MotorBasis::IecBFree,
        MotorBasis::IecBRigid,
        MotorBasis::NemaResilient,
        MotorBasis::NemaRigid,
    ];

    /// Its word in tables and fields.
    pub fn word(self) -> &'static str {
        match self {
            MotorBasis::IecAFree => "iec_a_free",
            MotorBasis::IecARigid => "iec_a_rigid",
            MotorBasis::IecBFree => "iec_b_free",
            MotorBasis::IecBRigid => "iec_b_rigid",
            MotorBasis::NemaResilient => "nema_resilient",
            MotorBasis::NemaRigid => "nema_rigid",
        }
    }

    /// The basis of this word.
    pub fn read(word: &str) -> Option<MotorBasis> {
        MotorBasis::ALL.into_iter().find(|one| one.word() == word)
    }

    /// The standard's limits depend on the shaft height (IEC); else they depend on the speed (NEMA).
    pub fn by_height(self) -> bool {
        !matches!(self, MotorBasis::NemaResilient | MotorBasis::NemaRigid)
    }
}

/// Limit of a motor by itself; IEC gives r.m.s. only, NEMA peak only.
#[derive(Clone, Debug, PartialEq)]
pub struct MotorLimit {
    /// Name of the limit.
    pub name: String,
    /// Limit of the r.m.s. velocity.
    pub rms: Option<MillimetresPerSecond>,
    /// Limit of the peak velocity, mm/s peak.
    pub peak: Option<MillimetresPerSecond>,
    /// How well the figures are known.
    pub confidence: String,
}

/// Why a bare motor has no limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoLimit {
    /// The limit depends on the shaft height.
    #[error("the limit depends on the shaft height")]
    Height,
    /// The limit depends on the speed.
    #[error("the limit depends on the speed")]
    Speed,
    /// The standard has none for this height or speed.
    #[error("outside the scope: the standard has no limit for this shaft height or speed")]
    Outside,
}

/// Limit for a motor that runs by itself, not coupled, with half a key. It says nothing of the motor
/// built into its machine.
///
/// IEC by shaft height: 56 to 132 mm, above 132 to 280 mm, above 280 mm. NEMA by speed: the row of the
/// highest printed speed (1200, 900, 720, 600 rpm) that the motor reaches; none below 600 rpm. An r.m.s.
/// figure for NEMA would be its peak over 1.414, so none is given.
/// Source: IEC 60034-14; NEMA MG 1 Part 7, Table 7-1.
/// # Errors
/// [`NoLimit`].
pub fn motor_limit(
    basis: MotorBasis,
    height: Option<Millimetres>,
    speed: Option<Rpm>,
) -> Result<MotorLimit, NoLimit> {
    let at = if basis.by_height() {
        positive(height.ok_or(NoLimit::Height)?.0)
    } else {
        positive(speed.ok_or(NoLimit::Speed)?.0)
    };
    let at = at.ok_or(NoLimit::Outside)?;
    let fits = |row: &Vec<String>| {
        let cell = |column: usize| row.get(column).and_then(|cell| number(cell));
        let height = cell(2)
            .zip(cell(3))
            .is_some_and(|(above, to)| at > above && at <= to);
        row.first().is_some_and(|key| key == basis.word())
            && (height || cell(4).is_some_and(|from| at >= from))
    };
    rows(include_str!("../tables/bare_motor_vibration.csv"))
        .iter()
        .find(|row| fits(row))
        .and_then(|row| limit_of(row))
        .ok_or(NoLimit::Outside)
}

fn limit_of(row: &[String]) -> Option<MotorLimit> {
    let cell = |column: usize| row.get(column).and_then(|cell| number(cell));
    Some(MotorLimit {
        name: row.get(1)?.clone(),
        rms: cell(5).map(MillimetresPerSecond),
        peak: cell(6).map(|inches| MillimetresPerSecond(inches * MM_PER_INCH)),
        confidence: row.get(7)?.clone(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn iec_goes_by_height_and_nema_by_speed() {
        let iec = |height| {
            motor_limit(MotorBasis::IecAFree, Some(Millimetres(height)), None)
                .map(|limit| limit.rms)
        };
        assert_eq!(iec(132.0), Ok(Some(MillimetresPerSecond(1.6))));
        assert_eq!(iec(160.0), Ok(Some(MillimetresPerSecond(2.2))));
        assert_eq!(iec(315.0), Ok(Some(MillimetresPerSecond(2.8))));
        assert_eq!(iec(50.0), Err(NoLimit::Outside));
        let nema = |speed| {
            let found = motor_limit(MotorBasis::NemaResilient, None, Some(Rpm(speed)));
            found.map(|limit| {
                limit
                    .peak
                    .map(|peak| (peak.0 / MM_PER_INCH * 100.0).round())
            })
        };
        assert_eq!(nema(3450.0), Ok(Some(15.0)));
        assert_eq!(nema(1140.0), Ok(Some(12.0)));
        assert_eq!(nema(500.0), Err(NoLimit::Outside));
        let none = motor_limit(MotorBasis::NemaRigid, Some(Millimetres(90.0)), None);
        assert_eq!(none, Err(NoLimit::Speed));
        let small = motor_limit(MotorBasis::IecBRigid, Some(Millimetres(90.0)), None);
        assert_eq!(small, Err(NoLimit::Outside));
    }
}
