//! The shop's test instruments: their own numbers, when each was calibrated, and what was read with
//! one that turned out to be wrong.
//!
//! A reading that counts as proof names its instrument ([`used`]). The entry keeps the number and the
//! date as they were known that day; `instrument_uses` is the row made from it.

pub mod calibration;
pub mod form;
pub mod pages;
pub mod queries;
pub mod used;

use crate::clock::date_words;
use crate::rows::Options;
use serde::{Deserialize, Serialize};
use time::Date;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, sqlx::Type)]
#[sqlx(transparent)]
#[serde(transparent)]
pub struct InstrumentId(pub i64);

pub const KINDS: Options = &[
    ("voltage_tester", "voltage tester"),
    ("multimeter", "multimeter"),
    ("clamp_meter", "clamp meter"),
    ("insulation_tester", "insulation tester"),
    ("vibration_meter", "vibration meter"),
    ("tachometer", "tachometer"),
    ("thermometer", "thermometer"),
    ("air_meter", "air flow or pressure meter"),
    ("other", "another kind"),
];

/// How a calibration found it, and left it.
pub const FOUND: Options = &[
    ("within", "right as it came"),
    ("adjusted", "found wrong, and put right"),
    ("off", "found wrong, and not put right"),
];

#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Instrument {
    pub id: InstrumentId,
    /// On its own label.
    pub number: String,
    pub kind: String,
    pub measures: String,
    /// `None`: nobody knows.
    pub due_on: Option<Date>,
    /// When it was last calibrated and right.
    pub calibrated_on: Option<Date>,
    /// Found wrong, and not put right since.
    pub found_off_on: Option<Date>,
    pub withdrawn_on: Option<Date>,
    pub note: String,
    pub version: i64,
}

impl Instrument {
    /// `V-3, voltage tester`
    pub fn words(&self) -> String {
        format!(
            "{}, {}",
            self.number,
            crate::rows::words_of(KINDS, &self.kind)
        )
    }

    /// Why a reading of this day would prove nothing; `None`: it may be used.
    pub fn refused(&self, day: Date) -> Option<String> {
        let number = &self.number;
        if self.withdrawn_on.is_some_and(|since| day >= since) {
            return Some(format!(
                "{number} is out of use by the register. Take another instrument and read again"
            ));
        }
        if let Some(since) = self.found_off_on.filter(|since| day >= *since) {
            return Some(format!(
                "{number} was found wrong on {}. Take another instrument and read again",
                date_words(since)
            ));
        }
        let ended = self.due_on.filter(|due| *due < day)?;
        Some(format!(
            "The calibration of {number} ended on {}. Take one that is in date and read again",
            date_words(ended)
        ))
    }

    /// Where it stands, in words.
    pub fn stands(&self, today: Date) -> String {
        match (self.withdrawn_on, self.found_off_on, self.due_on) {
            (Some(on), ..) => format!("out of use since {}", date_words(on)),
            (None, Some(on), _) => format!("found wrong on {}", date_words(on)),
            (None, None, None) => "calibration date not known".to_owned(),
            (None, None, Some(due)) if due < today => {
                format!("calibration ended {}", date_words(due))
            }
            (None, None, Some(due)) => format!("calibrated until {}", date_words(due)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn what_is_out_of_date_wrong_or_withdrawn_proves_nothing_from_that_day_on() {
        let good = Instrument {
            id: InstrumentId(1),
            number: "V-3".to_owned(),
            kind: "voltage_tester".to_owned(),
            measures: String::new(),
            due_on: Some(date!(2026 - 11 - 25)),
            calibrated_on: None,
            found_off_on: None,
            withdrawn_on: None,
            note: String::new(),
            version: 1,
        };
        let (last, after) = (date!(2026 - 11 - 25), date!(2026 - 11 - 26));
        assert_eq!(good.refused(last), None, "the last day counts");
        assert!(
            good.refused(after)
                .is_some_and(|why| why.contains("ended on Wed 25 Nov 2026"))
        );
        let wrong = Instrument {
            found_off_on: Some(last),
            ..good.clone()
        };
        assert!(
            wrong
                .refused(last)
                .is_some_and(|why| why.contains("found wrong"))
        );
        assert_eq!(
            wrong.refused(date!(2026 - 11 - 24)),
            None,
            "what was read before is kept"
        );
        let gone = Instrument {
            withdrawn_on: Some(last),
            ..good.clone()
        };
        assert!(
            gone.refused(last)
                .is_some_and(|why| why.contains("out of use"))
        );
        let unknown = Instrument {
            due_on: None,
            ..good
        };
        assert_eq!(unknown.refused(after), None);
        assert_eq!(unknown.stands(after), "calibration date not known");
    }
}
