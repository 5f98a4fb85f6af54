//! A figure put together from the counts of its parts: pure.

use super::Figure;
use super::queries::Counted;
use crate::charts::{self, Bar, Bars};
use time::Date;

/// One part of a figure.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Part {
    pub key: String,
    pub words: String,
    pub jobs: i64,
    /// What is added up, and for how many of the jobs it is known.
    pub total: i64,
    pub known: i64,
    /// Part of the share below the line.
    pub below: bool,
}

/// A month, or another piece of the span, with its figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Month {
    pub label: String,
    pub first: Date,
    pub last: Date,
    pub tally: Tally,
}

/// A figure with its parts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    pub above: i64,
    pub below: i64,
    /// Jobs that are in no share: counted apart.
    pub apart: i64,
    pub parts: Vec<Part>,
    /// The same jobs by the second division.
    pub subs: Vec<Part>,
    /// `(part, second part, jobs)`.
    pub cells: Vec<(String, String, i64)>,
}

/// Adds counts up, such as those of the months, into one list.
pub fn together(lists: impl IntoIterator<Item = Vec<Counted>>) -> Vec<Counted> {
    let mut all: Vec<Counted> = Vec::new();
    for counted in lists.into_iter().flatten() {
        let same =
            |known: &&mut Counted| known.bucket == counted.bucket && known.sub == counted.sub;
        match all.iter_mut().find(same) {
            Some(known) => {
                known.jobs += counted.jobs;
                known.total += counted.total;
                known.known += counted.known;
            }
            None => all.push(counted),
        }
    }
    all
}

impl Tally {
    pub fn of(figure: Figure, counted: &[Counted]) -> Tally {
        let mut tally = Tally::default();
        let known = figure.about().parts.iter().map(|(key, words)| Part {
            key: (*key).to_owned(),
            words: (*words).to_owned(),
            below: figure.below(key),
            ..Part::default()
        });
        tally.parts.extend(known);
        for counted in counted {
            let words = || figure.part_words(&counted.bucket);
            add(&mut tally.parts, &counted.bucket, words, counted);
            let words = || figure.sub_words(&counted.sub);
            add(&mut tally.subs, &counted.sub, words, counted);
            let cell = (counted.bucket.clone(), counted.sub.clone(), counted.jobs);
            tally.cells.push(cell);
            match (figure.above(&counted.bucket), figure.below(&counted.bucket)) {
                (true, true) => {
                    tally.above += counted.jobs;
                    tally.below += counted.jobs;
                }
                (_, true) => tally.below += counted.jobs,
                _ => tally.apart += counted.jobs,
            }
        }
        for part in &mut tally.parts {
            part.below = figure.below(&part.key);
        }
        if figure.about().parts.is_empty() {
            tally
                .parts
                .sort_by(|a, b| b.jobs.cmp(&a.jobs).then(a.key.cmp(&b.key)));
        }
        tally
            .subs
            .sort_by_key(|part| (order(&part.key), -part.jobs));
        tally
    }

    /// `37 %`; a dash where there is nothing to divide by.
    pub fn share(&self) -> String {
        percent(self.above, self.below)
    }

    /// The share of what is added up, and how many jobs of the share have nothing to add.
    pub fn share_of_sum(&self, figure: Figure) -> (String, i64) {
        let parts = || self.parts.iter().filter(|part| part.below);
        let above: i64 = parts()
            .filter(|p| figure.above(&p.key))
            .map(|p| p.total)
            .sum();
        let blank = parts().map(|part| part.jobs - part.known).sum();
        (percent(above, parts().map(|part| part.total).sum()), blank)
    }

    /// All jobs of the figure, in the share or apart.
    pub fn all(&self) -> i64 {
        self.below + self.apart
    }

    /// Jobs of a part and a second part.
    pub fn cell(&self, key: &str, sub: &str) -> i64 {
        let of = self.cells.iter().filter(|(k, s, _)| k == key && s == sub);
        of.map(|(_, _, jobs)| jobs).sum()
    }
}

/// Levels and ages have an order of their own.
fn order(key: &str) -> usize {
    let all = [
        "danger",
        "damage",
        "service_lost",
        "when_it_suits",
        "week",
        "month",
        "quarter",
        "older",
    ];
    all.iter()
        .position(|known| *known == key)
        .unwrap_or(all.len())
}

fn add(parts: &mut Vec<Part>, key: &str, words: impl Fn() -> String, counted: &Counted) {
    let at = parts
        .iter()
        .position(|part| part.key == key)
        .unwrap_or_else(|| {
            parts.push(Part {
                key: key.to_owned(),
                words: words(),
                ..Part::default()
            });
            parts.len() - 1
        });
    parts[at].jobs += counted.jobs;
    parts[at].total += counted.total;
    parts[at].known += counted.known;
}

/// `37 %`, never rounded to all or nothing while some are left.
pub fn percent(part: i64, of: i64) -> String {
    if of == 0 {
        return "–".to_owned();
    }
    let share = 100.0 * part as f64 / of as f64;
    match share {
        share if share > 99.0 && part < of => format!("{share:.1} %").replace("100.0", "99.9"),
        share if share < 1.0 && part > 0 => format!("{share:.1} %").replace("0.0", "under 0.1"),
        share => format!("{share:.0} %"),
    }
}

/// Bars of a figure: months with what is above the line, the rest below it, and what is apart.
pub fn by_month(figure: Figure, months: &[Month]) -> String {
    let about = figure.about();
    let bar = |month: &Month| Bar {
        label: short(month),
        parts: [
            month.tally.above,
            month.tally.below - month.tally.above,
            month.tally.apart,
        ]
        .map(|jobs| Some(jobs as f64))
        .to_vec(),
    };
    charts::bars(&Bars {
        title: format!("{} by month", about.title),
        desc: format!(
            "Jobs a month: {}, the others in the share, and those counted apart. The table beneath has the same figures.",
            about.counts
        ),
        unit: "jobs".to_owned(),
        bars: months.iter().map(bar).collect(),
        limits: Vec::new(),
        parts: vec![
            about.counts.to_owned(),
            "others in the share".to_owned(),
            "counted apart".to_owned(),
        ],
    })
}

/// `Feb`, and `Jan 26` where a year begins: what fits under a bar.
fn short(month: &Month) -> String {
    match (month.label.get(..3), month.first.month()) {
        (Some(_), time::Month::January) if month.label.len() > 4 => {
            format!("Jan {:02}", month.first.year() % 100)
        }
        (Some(word), _) if month.label.len() > 4 => word.to_owned(),
        _ => month.label.clone(),
    }
}

/// Plain bars of parts, the first seven.
pub fn by_part(figure: Figure, parts: &[Part]) -> String {
    let bars = parts.iter().filter(|part| part.jobs > 0).take(7);
    charts::lying(&Bars {
        title: figure.about().title.to_owned(),
        desc: "Jobs by part; the table beneath has the same figures.".to_owned(),
        unit: "jobs".to_owned(),
        bars: bars
            .map(|part| Bar {
                label: part.words.clone(),
                parts: vec![Some(part.jobs as f64)],
            })
            .collect(),
        ..Bars::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counted(bucket: &str, sub: &str, jobs: i64) -> Counted {
        Counted {
            bucket: bucket.to_owned(),
            sub: sub.to_owned(),
            jobs,
            total: 0,
            known: 0,
        }
    }

    #[test]
    fn what_cannot_be_judged_is_in_no_share() {
        let months = [
            vec![
                counted("in_time", "danger", 2),
                counted("not_judged", "not_judged", 5),
            ],
            vec![
                counted("in_time", "danger", 1),
                counted("late", "damage", 1),
                counted("overdue", "damage", 1),
            ],
        ];
        let tally = Tally::of(Figure::Response, &together(months));
        assert_eq!((tally.above, tally.below, tally.apart), (3, 5, 5));
        assert_eq!((tally.share(), tally.all()), ("60 %".to_owned(), 10));
        assert_eq!(tally.cell("in_time", "danger"), 3);
        assert_eq!(tally.parts.iter().map(|part| part.jobs).sum::<i64>(), 10);
        assert_eq!(tally.subs[0].key, "danger");
    }

    #[test]
    fn a_share_is_never_rounded_to_all_or_nothing() {
        assert_eq!(percent(0, 0), "–");
        assert_eq!(percent(999, 1000), "99.9 %");
        assert_eq!(percent(9999, 10000), "99.9 %");
        assert_eq!(percent(1, 100_000), "under 0.1 %");
        assert_eq!(
            (percent(5, 5), percent(0, 5)),
            ("100 %".to_owned(), "0 %".to_owned())
        );
    }
}
