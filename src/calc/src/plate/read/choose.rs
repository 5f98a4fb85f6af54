//! Which of several statements about one field holds: the same twice is one, two that differ are
//! none, and what the plate says goes before what was measured.

use super::Doubt;
use super::fact::{Fact, Kind, Said};
use super::wording;
use crate::plate::{Field, How};

/// All facts with the doubts that arise in choosing.
pub(super) struct Chooser {
    pub facts: Vec<Fact>,
    pub doubts: Vec<Doubt>,
}

fn rank(how: How) -> u8 {
    match how {
        How::Read => 0,
        How::OldRecord => 1,
        How::Measured => 2,
        How::Assumed => 3,
    }
}

/// Whether `b` says nothing that `a` does not.
fn covers(kind: Kind, a: &Said, b: &Said) -> bool {
    match (a, b) {
        (Said::Figures(a, _), Said::Figures(b, _)) => {
            b.iter().all(|b| a.iter().any(|a| same(kind, *a, *b)))
        }
        _ => a == b,
    }
}

/// Paired ratings of one power differ by up to 4.5 %: 1/4 hp stands beside 0.18 kW.
/// Source: the pairs of 10 CFR 431.446 and IEC 60072-1.
fn same(kind: Kind, a: f64, b: f64) -> bool {
    let room = match kind {
        Kind::Power => 0.045,
        // 104 °F is 40 °C, and 5/8 in may be given as 15.9 mm.
        Kind::ShaftDiameter | Kind::ShaftLength | Kind::BodyDiameter | Kind::BodyLength => 0.004,
        _ => 1e-9,
    };
    (a - b).abs() <= room * a.abs().max(b.abs())
}

/// Larger lists first, then larger figures: the choice does not hang on the order of the text.
fn weight(said: &Said) -> (usize, f64) {
    match said {
        Said::Figures(values, _) => (values.len(), values.iter().sum()),
        _ => (0, 0.0),
    }
}

impl Chooser {
    pub fn doubt(&mut self, field: &'static str, words: impl Into<String>) {
        let doubt = Doubt {
            field,
            words: words.into(),
        };
        if !self.doubts.contains(&doubt) {
            self.doubts.push(doubt);
        }
    }

    /// What is said of the field, with how it is known.
    pub fn choose(&mut self, kind: Kind) -> Field<Said> {
        let (said, unreadable) = self.sorted(kind);
        let Some((first, how)) = said.first().cloned() else {
            return if unreadable {
                Field::Unreadable
            } else {
                Field::Unknown
            };
        };
        let words = |said: &Said| wording::facts(&[(kind, said.clone())]);
        let name = kind.name();
        match said.iter().find(|(said, _)| !covers(kind, &first, said)) {
            Some((other, as_well)) if *as_well == how => {
                let (first, other) = (words(&first), words(other));
                let doubt =
                    format!("given twice and differently, so neither is kept: {first}; {other}");
                self.doubt(name, doubt);
                return Field::Unknown;
            }
            Some((other, as_well)) => {
                let dropped = format!("{} ({})", words(other), as_well.words());
                let kept = format!("{} ({})", words(&first), how.words());
                self.doubt(name, format!("{dropped} is not kept beside {kept}"));
            }
            None => {}
        }
        if unreadable {
            self.doubt(name, "said to be unreadable, and given all the same");
        }
        Field::Known { value: first, how }
    }

    /// All that is said of the field, best known and largest first, and whether it is unreadable.
    fn sorted(&self, kind: Kind) -> (Vec<(Said, How)>, bool) {
        let all = || self.facts.iter().filter(|fact| fact.kind == kind);
        let mut said: Vec<(Said, How)> = all()
            .filter(|fact| fact.said != Said::Unreadable)
            .map(|fact| (fact.said.clone(), fact.how))
            .collect();
        said.sort_by(|(a, how_a), (b, how_b)| {
            let ((count_a, sum_a), (count_b, sum_b)) = (weight(a), weight(b));
            rank(*how_a)
                .cmp(&rank(*how_b))
                .then(count_b.cmp(&count_a))
                .then(sum_b.total_cmp(&sum_a))
        });
        (said, all().any(|fact| fact.said == Said::Unreadable))
    }

    /// The figures of the field with the group of each.
    pub fn list(&mut self, kind: Kind) -> Field<(Vec<f64>, Vec<usize>)> {
        map(self.choose(kind), |said| match said {
            Said::Figures(values, groups) => Some((values, groups)),
            _ => None,
        })
    }

    /// The one figure of the field; several are one too many.
    pub fn figure(&mut self, kind: Kind) -> Field<f64> {
        let list = self.list(kind);
        let several = list.value().is_some_and(|(values, _)| values.len() > 1);
        if several {
            self.doubt(
                kind.name(),
                "several figures where a plate carries one: none is kept",
            );
            return Field::Unknown;
        }
        map(list, |(values, _)| values.first().copied())
    }

    /// The text of the field.
    pub fn text(&mut self, kind: Kind) -> Field<String> {
        map(self.choose(kind), |said| match said {
            Said::Text(text) => Some(text),
            _ => None,
        })
    }

    pub fn letter(&mut self, kind: Kind) -> Field<char> {
        map(self.text(kind), |text| text.chars().next())
    }

    /// The word of the field.
    pub fn mark<T>(&mut self, kind: Kind, read: fn(super::fact::Mark) -> Option<T>) -> Field<T> {
        map(self.choose(kind), |said| match said {
            Said::Mark(mark) => read(mark),
            _ => None,
        })
    }

    /// The marks of a field with how they are known, and whether it is unreadable.
    pub fn marks(&self, kind: Kind) -> (Vec<(super::fact::Mark, How)>, bool) {
        let facts = || self.facts.iter().filter(|fact| fact.kind == kind);
        let marks = facts().filter_map(|fact| match fact.said {
            Said::Mark(mark) => Some((mark, fact.how)),
            _ => None,
        });
        (
            marks.collect(),
            facts().any(|fact| fact.said == Said::Unreadable),
        )
    }
}

/// The field with its value turned into another.
pub(super) fn map<T, U>(field: Field<T>, turn: impl FnOnce(T) -> Option<U>) -> Field<U> {
    match field {
        Field::Unknown => Field::Unknown,
        Field::Unreadable => Field::Unreadable,
        Field::Known { value, how } => match turn(value) {
            Some(value) => Field::Known { value, how },
            None => Field::Unknown,
        },
    }
}
