//! Candidates for a machine, judged and put in order. Pure: what is here can be tested by itself.

use crate::clock::date_words;
use crate::motors::MotorId;
use calc::fit::{self, Need};
use calc::plate::Plate;
use calc::working::{Verdict, Working};
use std::sync::Arc;
use time::Date;

/// Where a motor can be had.
#[derive(Clone, Debug, PartialEq)]
pub enum Offer {
    Shelf {
        bin: String,
        held: i64,
        price: Option<i64>,
    },
    List {
        list_id: i64,
        list: String,
        read_on: Date,
        price: Option<i64>,
        lead_days: Option<i64>,
    },
}

impl Offer {
    /// `bin K-2, 1 held, 148.00 USD`, or the list with price and lead time. Unknown is said.
    pub fn words(&self, currency: &str) -> String {
        match self {
            Offer::Shelf { bin, held, price } => {
                format!(
                    "On the shelf, bin {bin}, {held} held, {}",
                    price_words(*price, currency)
                )
            }
            Offer::List {
                list,
                price,
                lead_days,
                ..
            } => {
                format!(
                    "{list}, {}, {}",
                    lead_words(*lead_days),
                    price_words(*price, currency)
                )
            }
        }
    }

    /// The day a supplier's list was current.
    pub fn read_on(&self) -> String {
        match self {
            Offer::Shelf { .. } => String::new(),
            Offer::List { read_on, .. } => format!("list of {}", date_words(*read_on)),
        }
    }
}

pub fn lead_words(days: Option<i64>) -> String {
    match days {
        None => "lead time not known".to_owned(),
        Some(1) => "1 day".to_owned(),
        Some(days) => format!("{days} days"),
    }
}

/// `148.00 USD`; money is kept in hundredths.
pub fn price_words(minor: Option<i64>, currency: &str) -> String {
    match minor {
        None => "price not known".to_owned(),
        Some(minor) => format!("{}.{:02} {currency}", minor / 100, minor % 100)
            .trim()
            .to_owned(),
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    pub id: MotorId,
    pub name: String,
    pub made: String,
    pub plate: Arc<Plate>,
    pub offers: Vec<Offer>,
}

impl Candidate {
    /// On the shelf.
    pub fn held(&self) -> bool {
        self.offers
            .iter()
            .any(|offer| matches!(offer, Offer::Shelf { .. }))
    }
}

/// One candidate with all its text.
#[derive(Clone, Debug)]
pub struct Explained {
    pub verdict: Verdict,
    pub working: Working,
    pub changes: Working,
}

impl Explained {
    pub fn of(need: &Need, plate: &Plate) -> Self {
        let working = fit::explain(need, plate);
        let changes = fit::changes(need, plate);
        let verdict = working.verdict().unwrap_or(Verdict::NotKnownYet);
        let verdict = changes
            .verdict()
            .map_or(verdict, |changes| verdict.worse(changes));
        Explained {
            verdict,
            working,
            changes,
        }
    }

    pub fn work(&self) -> Vec<&str> {
        self.working.work().map(AsRef::as_ref).collect()
    }

    /// Points in which it is not the same but will do.
    pub fn differs(&self) -> Vec<&str> {
        let differs = |verdict| matches!(verdict, Verdict::Suits | Verdict::SuitsAfterWork);
        let lines = self
            .working
            .lines
            .iter()
            .filter(|l| l.verdict.is_some_and(differs));
        lines.map(|line| line.label.as_ref()).collect()
    }

    /// What rules it out, as `Phases: …`.
    pub fn blocks(&self) -> Vec<String> {
        let lines = self.working.lines.iter().chain(&self.changes.lines);
        lines
            .filter(|line| line.verdict.is_some_and(|v| v.severity() == 4))
            .map(|line| match line.note.is_empty() {
                true => line.label.to_string(),
                false => format!("{}: {}", line.label, line.note),
            })
            .collect()
    }

    /// What nobody has said yet.
    pub fn missing(&self) -> Vec<&str> {
        self.working
            .missing
            .iter()
            .map(|missing| missing.what.as_ref())
            .collect()
    }

    /// `running speed 1143 rpm (+6.3 %)`: what people ask first about another motor.
    pub fn changed(&self) -> Vec<String> {
        let shown = ["running_speed", "flow", "shaft_power", "amps"];
        let lines = shown.iter().filter_map(|key| self.changes.line(key));
        let words = lines.map(|line| {
            let value = format!("{} {} {}", line.label.to_lowercase(), line.value, line.unit);
            let value = value.split_whitespace().collect::<Vec<_>>().join(" ");
            match (line.value.is_empty(), line.margin.is_empty()) {
                (true, false) => format!("{} {}", line.label.to_lowercase(), line.margin),
                (false, false) => format!("{value} ({})", line.margin),
                _ => value,
            }
        });
        words.collect()
    }

    pub fn same_points(&self) -> usize {
        self.working
            .lines
            .iter()
            .filter(|l| l.verdict == Some(Verdict::Same))
            .count()
    }

    /// One sentence for the technician.
    pub fn sentence(&self) -> String {
        let work = self.work().len();
        match self.verdict {
            Verdict::Same | Verdict::Within => {
                "The same as the old motor in every point that counts.".to_owned()
            }
            Verdict::Suits | Verdict::WithinNote => {
                "Suits as it is: nothing to alter on the machine.".to_owned()
            }
            Verdict::SuitsAfterWork if work == 1 => "Suits after one piece of work.".to_owned(),
            Verdict::SuitsAfterWork => format!("Suits after {work} pieces of work."),
            Verdict::NotKnownYet => {
                let missing = self.missing().len().max(1);
                let (s, are) = if missing == 1 {
                    ("", "is")
                } else {
                    ("s", "are")
                };
                format!(
                    "Not known yet: {missing} answer{s} {are} missing. It cannot be chosen before."
                )
            }
            Verdict::DoNotFit | Verdict::Beyond => {
                format!("Do not fit. {}", self.blocks().join(" · "))
            }
        }
    }
}
