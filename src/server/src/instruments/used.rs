//! The instrument of a reading: read from a form, kept in an entry.

use super::{Instrument, InstrumentId};
use crate::clock::date_words;
use crate::form::{self, FieldErrors, Fields};
use crate::jobs::body::Body;
use crate::people::PersonId;
use serde::{Deserialize, Serialize};
use time::Date;

/// Which instrument a reading was taken with, as it was known that day.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Used {
    /// `None`: not the shop's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub id: Option<InstrumentId>,
    pub number: String,
    /// `None`: nobody knows.
    #[serde(default)]
    pub due: Option<Date>,
}

/// Testing on live parts: by whom, and with which precautions (29 CFR 1910.333(a), NFPA 70E).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LiveTest {
    pub qualified_person: PersonId,
    pub instrument: String,
    pub precautions: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument_id: Option<InstrumentId>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument_due: Option<Date>,
}

impl LiveTest {
    pub fn new(qualified_person: PersonId, precautions: String, used: Used) -> LiveTest {
        LiveTest {
            qualified_person,
            instrument: used.number,
            precautions,
            instrument_id: used.id,
            instrument_due: used.due,
        }
    }

    pub fn used(&self) -> Used {
        Used {
            id: self.instrument_id,
            number: self.instrument.clone(),
            due: self.instrument_due,
        }
    }
}

impl Used {
    /// `V-3, calibrated until Thu 25 Mar 2027`
    pub fn words(&self) -> String {
        let borrowed = if self.id.is_some() {
            ""
        } else {
            ", not in the register"
        };
        match self.due {
            Some(due) => format!(
                "{}{borrowed}, calibrated until {}",
                self.number,
                date_words(due)
            ),
            None => format!("{}{borrowed}, calibration date not known", self.number),
        }
    }
}

/// The instrument that an entry's readings were taken with.
pub fn of(body: &Body) -> Option<Used> {
    match body {
        // Without an electrical source it holds words in place of a tester.
        Body::DeadTest { pairs, .. } if pairs.is_empty() => None,
        Body::DeadTest {
            instrument,
            instrument_due,
            instrument_id,
            ..
        } => Some(Used {
            id: *instrument_id,
            number: instrument.clone(),
            due: *instrument_due,
        }),
        Body::AsFound {
            live: Some(live), ..
        } => Some(live.used()),
        Body::Proof { live, input, .. } => {
            let mut used = live.used();
            let first = input.amps.iter().chain(&input.volts).flatten().next();
            used.due = used
                .due
                .or(first.and_then(|reading| reading.calibration_due));
            Some(used)
        }
        Body::Detail(detail) => detail.used(),
        _ => None,
    }
}

/// The shop's instrument with this number, whatever its case.
pub fn named<'r>(register: &'r [Instrument], number: &str) -> Option<&'r Instrument> {
    let number = number.trim().to_lowercase();
    register
        .iter()
        .find(|one| one.number.to_lowercase() == number)
}

/// The instrument as typed. One of the register is known by its number; of another one the date is
/// asked, and that nobody knows it is an answer. A blank number is the caller's to refuse.
///
/// Source: DOE-STD-1065-94: calibration in date on the day of the test.
pub fn read(fields: &Fields, register: &[Instrument], day: Date, errors: &mut FieldErrors) -> Used {
    let number = fields.get("instrument");
    let due = form::optional_date(fields.get("instrument_due"));
    let mut due = errors.take("instrument_due", due);
    let known = named(register, number);
    if let Some(why) = known.and_then(|one| one.refused(day)) {
        errors.add("instrument", why);
    }
    if let Some(recorded) = known.and_then(|one| one.due_on) {
        due = Some(recorded);
    } else if due.is_some_and(|due| due < day) {
        errors.add(
            "instrument_due",
            "The calibration of this instrument has ended. Take one that is in date and read again",
        );
    } else if !number.is_empty()
        && due.is_none()
        && !fields.ticked("instrument_unknown")
        && errors.get("instrument_due").is_none()
    {
        errors.add(
            "instrument_due",
            "Type until when it is calibrated, or tick that nobody knows",
        );
    }
    Used {
        id: known.map(|one| one.id),
        number: known.map_or_else(|| number.to_owned(), |one| one.number.clone()),
        due,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    const TODAY: Date = date!(2026 - 11 - 25);

    fn register() -> Vec<Instrument> {
        let one = |id, number: &str, due_on| Instrument {
            id: InstrumentId(id),
            number: number.to_owned(),
            kind: "voltage_tester".to_owned(),
            measures: String::new(),
            due_on,
            calibrated_on: None,
            found_off_on: None,
            withdrawn_on: None,
            note: String::new(),
            version: 1,
        };
        vec![
            one(1, "V-3", Some(date!(2027 - 01 - 31))),
            one(2, "V-4", Some(date!(2026 - 10 - 31))),
            one(3, "V-5", None),
        ]
    }

    fn typed(fields: &[(&str, &str)]) -> (Used, FieldErrors) {
        let fields = fields
            .iter()
            .map(|(n, v)| ((*n).to_owned(), (*v).to_owned()));
        let mut errors = FieldErrors::default();
        let used = read(&Fields(fields.collect()), &register(), TODAY, &mut errors);
        (used, errors)
    }

    #[test]
    fn one_of_the_register_is_known_by_its_number_and_its_own_date_counts() {
        let (used, errors) = typed(&[("instrument", " v-3 "), ("instrument_due", "2020-01-01")]);
        assert!(errors.is_empty(), "{errors:?}");
        assert_eq!(
            (used.id, used.number.as_str()),
            (Some(InstrumentId(1)), "V-3")
        );
        assert_eq!(used.due, Some(date!(2027 - 01 - 31)));
        let (_, errors) = typed(&[("instrument", "V-4")]);
        assert!(
            errors
                .get("instrument")
                .is_some_and(|why| why.contains("ended"))
        );
    }

    #[test]
    fn a_borrowed_one_says_its_date_or_that_nobody_knows_it() {
        for number in ["Borrowed 7", "V-5"] {
            let (_, errors) = typed(&[("instrument", number)]);
            assert!(
                errors
                    .get("instrument_due")
                    .is_some_and(|why| why.contains("nobody knows"))
            );
            let (used, errors) = typed(&[("instrument", number), ("instrument_unknown", "yes")]);
            assert!(errors.is_empty() && used.due.is_none());
            assert!(used.words().ends_with("calibration date not known"));
            let (_, errors) = typed(&[("instrument", number), ("instrument_due", "2026-11-24")]);
            assert!(
                errors
                    .get("instrument_due")
                    .is_some_and(|why| why.contains("has ended"))
            );
            let (used, errors) = typed(&[("instrument", number), ("instrument_due", "2026-11-25")]);
            assert!(errors.is_empty() && used.due == Some(TODAY));
        }
    }
}
