//! Whether a reading can be: pure, from what the meter showed before.

use crate::clock::date_words;
use crate::measure::figure;
use calc::due::{self, MeterReading, Refusal, Replacement};

/// What is known of a meter when it is read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Known {
    /// Oldest first; of one day in the order in which they were noted.
    pub readings: Vec<MeterReading>,
    pub changes: Vec<Replacement>,
    pub full_at: Option<f64>,
    pub hours: bool,
    pub unit: String,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Sense {
    Fine,
    /// The same as the one before: to be asked about, and taken when it is said again.
    SameAsLast(String),
    /// It cannot be; the sentence says why.
    Refused(String),
    /// Lower than before: mistyped, or another meter.
    Lower(String),
}

impl Known {
    fn words(&self, reading: &MeterReading) -> String {
        let shown = figure(reading.value, 2);
        format!("{shown} {} read on {}", self.unit, date_words(reading.on))
    }

    /// Judges a reading against its neighbours by day.
    pub fn judge(&self, new: MeterReading) -> Sense {
        if !new.value.is_finite() || new.value < 0.0 {
            return Sense::Refused("Enter what the meter shows, as 5201".to_owned());
        }
        let at = self.readings.partition_point(|r| r.on <= new.on);
        let before = at.checked_sub(1).and_then(|at| self.readings.get(at));
        let after = self.readings.get(at);
        let near: Vec<MeterReading> = before
            .into_iter()
            .copied()
            .chain([new])
            .chain(after.copied())
            .collect();
        if let Some(refusal) = due::refusal(&near, &self.changes, self.full_at, self.hours) {
            return self.refused(refusal, new, before, after);
        }
        let through: Vec<MeterReading> = near.iter().copied().take(at.min(1) + 1).collect();
        if self.since(before, &new).is_none()
            && due::doubtful_return(&through, self.full_at).is_some()
        {
            return self.refused(Refusal::Decreasing, new, before, after);
        }
        match before {
            Some(before)
                if before.value == new.value && self.since(Some(before), &new).is_none() =>
            {
                Sense::SameAsLast(format!(
                    "The same as {}. Read it again; if it does show this, save once more",
                    self.words(before)
                ))
            }
            _ => Sense::Fine,
        }
    }

    /// The change of meter between two readings.
    fn since(&self, before: Option<&MeterReading>, new: &MeterReading) -> Option<&Replacement> {
        let before = before?;
        self.changes
            .iter()
            .find(|change| change.on >= before.on && change.on <= new.on)
    }

    fn refused(
        &self,
        refusal: Refusal,
        new: MeterReading,
        before: Option<&MeterReading>,
        after: Option<&MeterReading>,
    ) -> Sense {
        let words = |reading: Option<&MeterReading>| {
            reading.map_or_else(|| "the reading beside it".to_owned(), |r| self.words(r))
        };
        match refusal {
            Refusal::Decreasing => match after {
                Some(after) if before.is_none_or(|before| new.value >= before.value) => {
                    Sense::Refused(format!("Higher than {}, which is later", self.words(after)))
                }
                _ => Sense::Lower(format!(
                    "Lower than {}. Mistyped? Put it right. Another meter? Note the change first",
                    words(before)
                )),
            },
            Refusal::MoreThanADay => Sense::Refused(format!(
                "Against {} that is more than 24 hours a day. Look again",
                words(before.or(after))
            )),
            Refusal::BeyondRollover => Sense::Refused(format!(
                "This meter goes back to zero at {}",
                figure(self.full_at.unwrap_or_default(), 2)
            )),
            Refusal::NotANumber | Refusal::DatesOutOfOrder => {
                Sense::Refused("Enter what the meter shows, as 5201".to_owned())
            }
        }
    }

    /// The readings as one running total; as they were read where they make none.
    pub fn total(&self) -> Vec<MeterReading> {
        due::continuous(&self.readings, &self.changes, self.full_at)
            .unwrap_or_else(|_| self.readings.clone())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::Date;
    use time::macros::date;

    fn at(on: Date, value: f64) -> MeterReading {
        MeterReading { on, value }
    }

    fn known() -> Known {
        Known {
            readings: vec![
                at(date!(2026 - 10 - 01), 5000.0),
                at(date!(2026 - 11 - 01), 5200.0),
            ],
            hours: true,
            unit: "h".to_owned(),
            ..Known::default()
        }
    }

    #[test]
    fn a_reading_is_judged_by_its_neighbours() {
        let known = known();
        let judge = |on, value| known.judge(at(on, value));
        assert_eq!(judge(date!(2026 - 11 - 20), 5300.0), Sense::Fine);
        assert_eq!(judge(date!(2026 - 10 - 15), 5100.0), Sense::Fine);
        assert!(matches!(
            judge(date!(2026 - 11 - 20), 5100.0),
            Sense::Lower(_)
        ));
        assert!(
            matches!(judge(date!(2026 - 10 - 15), 5201.0), Sense::Refused(why)
            if why == "Higher than 5200 h read on Sun 1 Nov 2026, which is later")
        );
        assert!(
            matches!(judge(date!(2026 - 11 - 03), 5249.0), Sense::Refused(why)
            if why.contains("more than 24 hours a day"))
        );
        assert_eq!(judge(date!(2026 - 11 - 03), 5248.0), Sense::Fine);
        assert!(matches!(
            judge(date!(2026 - 11 - 20), 5200.0),
            Sense::SameAsLast(_)
        ));
        assert!(matches!(
            judge(date!(2026 - 11 - 20), -1.0),
            Sense::Refused(_)
        ));
    }

    #[test]
    fn starts_may_be_many_a_day_and_a_new_meter_begins_again() {
        let mut known = known();
        known.hours = false;
        assert_eq!(known.judge(at(date!(2026 - 11 - 02), 9000.0)), Sense::Fine);
        known.hours = true;
        known.changes = vec![Replacement {
            on: date!(2026 - 11 - 10),
            old_final: 5230.0,
            new_start: 0.0,
        }];
        assert_eq!(known.judge(at(date!(2026 - 11 - 20), 60.0)), Sense::Fine);
        known.readings.push(at(date!(2026 - 11 - 20), 60.0));
        assert_eq!(known.total()[2].value, 5290.0);
    }

    #[test]
    fn past_zero_is_taken_where_it_is_near_and_asked_about_where_it_is_not() {
        let mut known = known();
        known.hours = false;
        known.full_at = Some(10_000.0);
        known.readings = vec![at(date!(2026 - 10 - 01), 9900.0)];
        assert_eq!(known.judge(at(date!(2026 - 11 - 01), 50.0)), Sense::Fine);
        assert!(matches!(
            known.judge(at(date!(2026 - 11 - 01), 9000.0)),
            Sense::Lower(_)
        ));
        assert!(
            matches!(known.judge(at(date!(2026 - 11 - 01), 10_000.0)), Sense::Refused(why)
            if why == "This meter goes back to zero at 10000")
        );
    }
}
