//! Stretches of time as people wrote them down, made into the split of a restoration.

use super::restoration::{Kind, Times, split};
use super::sig;
use crate::shown::{Fill, line};
use crate::working::{Verdict, Working};
use time::PrimitiveDateTime;

/// A stretch of time with its reason, as somebody wrote it down.
#[derive(Clone, Debug, PartialEq)]
pub struct Spell {
    /// What the time went on.
    pub kind: Kind,
    /// Start, wall-clock time of one zone without a clock change between.
    pub from: PrimitiveDateTime,
    /// End.
    pub to: PrimitiveDateTime,
    /// Who, where a person was at it.
    pub person: Option<String>,
}

/// What is odd about a stretch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Odd {
    /// It does not end after it starts: left out.
    EndsBeforeItStarts,
    /// It starts before the failure: clipped.
    BeforeTheFailure,
    /// It ends after the restoration: clipped.
    AfterTheRestoration,
    /// Work of more than 24 h in one piece: counted, to be looked at.
    WorkOverADay,
    /// The same person is at two things at once: counted once, to be looked at.
    PersonTwiceAtOnce,
}

impl Odd {
    /// The word of the answer.
    pub fn word(self) -> &'static str {
        match self {
            Odd::EndsBeforeItStarts => "ends_before_it_starts",
            Odd::BeforeTheFailure => "before_the_failure",
            Odd::AfterTheRestoration => "after_the_restoration",
            Odd::WorkOverADay => "work_over_a_day",
            Odd::PersonTwiceAtOnce => "person_twice_at_once",
        }
    }

    fn sentence(self) -> &'static str {
        match self {
            Odd::EndsBeforeItStarts => "does not end after it starts; left out",
            Odd::BeforeTheFailure => "starts before the failure; cut off there",
            Odd::AfterTheRestoration => "ends after the restoration; cut off there",
            Odd::WorkOverADay => "is work of more than 24 h in one piece; is an end missing?",
            Odd::PersonTwiceAtOnce => "has the same person at two things at once",
        }
    }
}

/// The split of a list of stretches.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// The four times; kinds that nobody wrote down are zero hours here, unless time between
    /// failure and restoration has no reason: then those kinds stay unknown.
    pub times: Times,
    /// Hours for which two kinds were written, counted to the one further along.
    pub overlap: f64,
    /// Hours between failure and restoration (or first start and last end) with no reason.
    pub unexplained: f64,
    /// Odd stretches by their place in the list.
    pub odd: Vec<(usize, Odd)>,
}

fn seconds(at: PrimitiveDateTime) -> i64 {
    at.assume_utc().unix_timestamp()
}

/// Splits written stretches of time into the kinds of the standard.
///
/// Stretches of several people on one kind are merged, so that an hour counts once; an hour with
/// two kinds goes to the one further along (work before waiting). Impossible stretches are named
/// and left out or clipped. `failed` and `restored` bound the whole; without them the first start
/// and the last end do. Time with no reason is told and counted in the time to restoration only.
/// Source: IEC 60050-192 figures 1 and 2; merging common practice.
pub fn from_spells(
    spells: &[Spell],
    failed: Option<PrimitiveDateTime>,
    restored: Option<PrimitiveDateTime>,
) -> Found {
    let mut found = Found::default();
    let mut kept: Vec<(i64, i64, usize)> = Vec::new();
    let (failed, restored) = (failed.map(seconds), restored.map(seconds));
    for (at, spell) in spells.iter().enumerate() {
        let (from, to) = (seconds(spell.from), seconds(spell.to));
        if to <= from {
            found.odd.push((at, Odd::EndsBeforeItStarts));
            continue;
        }
        if failed.is_some_and(|failed| from < failed) {
            found.odd.push((at, Odd::BeforeTheFailure));
        }
        if restored.is_some_and(|restored| to > restored) {
            found.odd.push((at, Odd::AfterTheRestoration));
        }
        if spell.kind.rank() >= Kind::Technical.rank() && to - from > 24 * 3600 {
            found.odd.push((at, Odd::WorkOverADay));
        }
        let from = failed.map_or(from, |failed| from.max(failed));
        let to = restored.map_or(to, |restored| to.min(restored));
        if to > from {
            kept.push((from, to, spell.kind.rank()));
        }
    }
    twice_at_once(spells, &mut found.odd);
    found.odd.sort_by_key(|(at, _)| *at);
    let first = failed.or(kept.iter().map(|k| k.0).min());
    let last = restored.or(kept.iter().map(|k| k.1).max());
    if let (Some(first), Some(last)) = (first, last)
        && last > first
    {
        sweep(&kept, first, last, &mut found);
    }
    found
}

/// Walks from edge to edge and gives each stretch between two of them to one kind.
fn sweep(kept: &[(i64, i64, usize)], first: i64, last: i64, found: &mut Found) {
    let mut edges: Vec<(i64, usize, i32)> = vec![(first, 0, 0), (last, 0, 0)];
    for (from, to, kind) in kept {
        edges.push((*from, *kind, 1));
        edges.push((*to, *kind, -1));
    }
    edges.sort_unstable();
    let (mut open, mut hours) = ([0i32; 8], [0i64; 8]);
    let (mut overlap, mut unexplained, mut at) = (0, 0, first);
    for (edge, kind, change) in edges {
        let long = edge - at;
        match open.iter().rposition(|count| *count > 0) {
            Some(kind) => hours[kind] += long,
            None => unexplained += long,
        }
        if open.iter().filter(|count| **count > 0).count() > 1 {
            overlap += long;
        }
        open[kind] += change;
        at = edge;
    }
    let in_hours = |seconds: i64| seconds as f64 / 3600.0;
    found.overlap = in_hours(overlap);
    found.unexplained = in_hours(unexplained);
    found.times = split(hours.map(|s| (s > 0 || unexplained == 0).then(|| in_hours(s))));
    found.times.restoration = Some(in_hours(last - first));
}

fn twice_at_once(spells: &[Spell], odd: &mut Vec<(usize, Odd)>) {
    let mut named: Vec<(&str, i64, i64, usize)> = spells
        .iter()
        .enumerate()
        .filter_map(|(at, s)| Some((s.person.as_deref()?, seconds(s.from), seconds(s.to), at)))
        .filter(|(person, from, to, _)| !person.is_empty() && to > from)
        .collect();
    named.sort_unstable();
    for group in named.chunk_by(|a, b| a.0 == b.0) {
        let mut until = i64::MIN;
        for (_, from, to, at) in group {
            if *from < until {
                odd.push((*at, Odd::PersonTwiceAtOnce));
            }
            until = until.max(*to);
        }
    }
}

/// The lines about written stretches.
pub(crate) fn push(working: &mut Working, found: &Found) {
    if found.overlap > 0.0 {
        working.lines.push(
            line("overlap", "Written for two kinds at once")
                .value(sig(found.overlap), "h")
                .rule(
                    "each hour once, to the kind further along",
                    "common practice",
                ),
        );
    }
    if found.unexplained > 0.0 {
        working.lines.push(
            line("unexplained", "Time with no reason")
                .value(sig(found.unexplained), "h")
                .judge(
                    Verdict::WithinNote,
                    "Ask what the wait was for; kinds that nobody wrote down stay unknown.",
                ),
        );
    }
    for (at, odd) in found.odd.iter().take(50) {
        let note = format!("Stretch {} {}.", at + 1, odd.sentence());
        working
            .lines
            .push(line("odd", "Look again").judge(Verdict::WithinNote, note));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::life::restoration::working;
    use proptest::collection::vec;
    use proptest::prelude::*;
    use time::macros::datetime;

    fn at(hours: i64) -> PrimitiveDateTime {
        datetime!(2026-11-02 00:00) + time::Duration::hours(hours)
    }

    fn spell(kind: Kind, from: i64, to: i64, person: Option<&str>) -> Spell {
        let (from, to) = (at(from), at(to));
        let person = person.map(str::to_owned);
        Spell {
            kind,
            from,
            to,
            person,
        }
    }

    #[test]
    fn two_people_on_one_job_are_one_hour() {
        let spells = [
            spell(Kind::Logistic, 0, 6, None),
            spell(Kind::Correction, 4, 8, Some("A")),
            spell(Kind::Correction, 5, 9, Some("B")),
            spell(Kind::Checkout, 9, 10, Some("A")),
        ];
        let found = from_spells(&spells, None, None);
        assert_eq!(found.times.kinds[6], Some(5.0));
        assert_eq!(found.times.kinds[2], Some(4.0));
        assert_eq!((found.overlap, found.unexplained), (2.0, 0.0));
        assert_eq!(found.times.restoration, Some(10.0));
        assert_eq!(found.times.repair, Some(6.0));
        assert!(found.odd.is_empty());
    }

    #[test]
    fn impossible_stretches_are_named() {
        let spells = [
            spell(Kind::Correction, 5, 4, Some("A")),
            spell(Kind::Correction, -2, 30, Some("A")),
            spell(Kind::Checkout, 1, 2, Some("A")),
        ];
        let found = from_spells(&spells, Some(at(0)), Some(at(20)));
        let words: Vec<(usize, &str)> = found
            .odd
            .iter()
            .map(|(at, odd)| (*at, odd.word()))
            .collect();
        assert_eq!(
            words,
            [
                (0, "ends_before_it_starts"),
                (1, "before_the_failure"),
                (1, "after_the_restoration"),
                (1, "work_over_a_day"),
                (2, "person_twice_at_once"),
            ]
        );
        assert_eq!(found.times.restoration, Some(20.0));
    }

    #[test]
    fn a_wait_without_a_reason_is_not_called_zero() {
        let found = from_spells(
            &[spell(Kind::Correction, 4, 8, None)],
            Some(at(0)),
            Some(at(8)),
        );
        assert_eq!((found.unexplained, found.times.kinds[2]), (4.0, None));
        assert_eq!(
            (found.times.restoration, found.times.repair),
            (Some(8.0), None)
        );
    }

    proptest! {
        #[test]
        fn kinds_and_gaps_add_up_to_the_whole(
            list in vec((0usize..8, 0i64..60, -3i64..40), 0..12), failed in 0i64..20, long in 1i64..80,
        ) {
            let spells: Vec<Spell> = list
                .iter()
                .map(|(kind, from, long)| spell(Kind::ALL[*kind], *from, from + long, Some("A")))
                .collect();
            let found = from_spells(&spells, Some(at(failed)), Some(at(failed + long)));
            let known: f64 = found.times.kinds.iter().flatten().sum();
            let whole = found.times.restoration.expect("bounds are given");
            prop_assert!((known + found.unexplained - whole).abs() < 1e-9);
            working(&found.times, Some(&found));
        }
    }
}
