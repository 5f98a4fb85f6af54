//! A proposal for a week's work: who does what on which day, earliest due first, within windows, hard
//! limits, skills and hours.
//!
//! Deterministic: the same work, people and days give the same proposal in whatever order they are
//! handed in, and every placement and every item left over says why. A proposal only: a person decides.
//!
//! Rule, common practice (earliest due date first, in list scheduling): the work in the order of its
//! last day, then its due day, then its number; each on the day nearest to its due day on which a
//! person who may do it has room, with the person who has the most room left on that day.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use time::Date;

/// One person's room on one day, in minutes not yet given away.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hand {
    /// Number of the person.
    pub person: i64,
    /// The days of the week on which the person's hours are known, with what is free of them.
    pub free: BTreeMap<Date, i64>,
}

/// One piece of work to be placed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Work {
    /// Number of the piece, its own.
    pub id: i64,
    /// The day it is due.
    pub due: Date,
    /// The first day on which it counts.
    pub first: Date,
    /// The last day of its window.
    pub last: Date,
    /// Beyond this day it must not lie; `None`: no such day.
    pub limit: Option<Date>,
    /// Minutes it takes one person; `None`: nobody has said.
    pub minutes: Option<i64>,
    /// Who may do it by day: who is qualified on that day.
    pub may: BTreeMap<i64, Vec<Date>>,
}

impl Work {
    /// The last day that can be proposed: of its window, never beyond its limit.
    fn end(&self) -> Date {
        self.limit.map_or(self.last, |limit| limit.min(self.last))
    }

    fn qualified(&self, person: i64, day: Date) -> bool {
        self.may
            .get(&person)
            .is_some_and(|days| days.contains(&day))
    }
}

/// Where a piece of work is put.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Placed {
    /// The work.
    pub id: i64,
    /// Who does it.
    pub person: i64,
    /// On which day.
    pub day: Date,
    /// Its window had passed before the first day of the proposal.
    pub late: bool,
    /// Why this person and day, in words.
    pub why: String,
}

/// A piece of work that the proposal leaves over.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Left {
    /// The work.
    pub id: i64,
    /// Why.
    pub reason: Reason,
}

/// Why work is left over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    /// Nobody has said how long it takes.
    MinutesNotKnown,
    /// Its window opens after the last day.
    NotYet,
    /// Its hard limit passed before the first day.
    BeyondLimit,
    /// Nobody qualified has hours in its window.
    NobodyQualified,
    /// Those who may do it have no room long enough on any day of its window.
    NoRoom,
}

impl Reason {
    /// The reason in words.
    pub fn words(self) -> &'static str {
        match self {
            Reason::MinutesNotKnown => "nobody has said how long it takes",
            Reason::NotYet => "its window opens after these days",
            Reason::BeyondLimit => "its hard limit has passed: a person decides, with the reason",
            Reason::NobodyQualified => "nobody who may do it has hours on a day of its window",
            Reason::NoRoom => {
                "nobody who may do it has room for all of it on one day of its window"
            }
        }
    }
}

/// The whole answer.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Proposal {
    /// In the order of days, then people, then work.
    pub placed: Vec<Placed>,
    /// In the order of work.
    pub left: Vec<Left>,
}

/// Proposes. `days` are the days of the week that are worked; work and people may come in any order.
/// Work whose window has passed but whose limit has not is put on the first day with room.
///
/// ```
/// use calc::level::{Hand, Work, propose};
/// use time::macros::date;
/// let day = date!(2026 - 11 - 30);
/// let hand = Hand { person: 1, free: [(day, 60)].into() };
/// let work = Work {
///     id: 7, due: day, first: day, last: day, limit: None, minutes: Some(45),
///     may: [(1, vec![day])].into(),
/// };
/// let found = propose(&[work], &[hand], &[day]);
/// assert_eq!((found.placed[0].person, found.placed[0].day), (1, day));
/// ```
pub fn propose(work: &[Work], hands: &[Hand], days: &[Date]) -> Proposal {
    let mut days = days.to_vec();
    days.sort_unstable();
    days.dedup();
    let mut room: BTreeMap<(Date, i64), i64> = BTreeMap::new();
    for hand in hands {
        for (day, free) in hand.free.iter().filter(|(day, _)| days.contains(day)) {
            room.insert((*day, hand.person), *free);
        }
    }
    let mut order: Vec<&Work> = work.iter().collect();
    order.sort_by_key(|w| (w.end(), w.due, w.id));
    let mut proposal = Proposal::default();
    for work in order {
        match place(work, &room, &days) {
            Ok(placed) => {
                if let Some(free) = room.get_mut(&(placed.day, placed.person)) {
                    *free -= work.minutes.unwrap_or(0);
                }
                proposal.placed.push(placed);
            }
            Err(reason) => proposal.left.push(Left {
                id: work.id,
                reason,
            }),
        }
    }
    proposal
        .placed
        .sort_by_key(|placed| (placed.day, placed.person, placed.id));
    proposal.left.sort_by_key(|left| left.id);
    proposal
}

/// The days on which a piece of work may lie, and whether it is late already.
fn open_days(work: &Work, days: &[Date]) -> Result<(Vec<Date>, bool), Reason> {
    let (Some(first), Some(last)) = (days.first(), days.last()) else {
        return Err(Reason::NoRoom);
    };
    if work.first > *last {
        return Err(Reason::NotYet);
    }
    if work.limit.is_some_and(|limit| limit < *first) {
        return Err(Reason::BeyondLimit);
    }
    let late = work.end() < *first;
    let fits = |day: &&Date| match late {
        true => work.limit.is_none_or(|limit| **day <= limit),
        false => work.first <= **day && **day <= work.end(),
    };
    Ok((days.iter().filter(fits).copied().collect(), late))
}

fn place(work: &Work, room: &BTreeMap<(Date, i64), i64>, days: &[Date]) -> Result<Placed, Reason> {
    let minutes = work.minutes.ok_or(Reason::MinutesNotKnown)?;
    let (open, late) = open_days(work, days)?;
    let may: Vec<(Date, i64, i64)> = room
        .iter()
        .filter(|((day, person), _)| open.contains(day) && work.qualified(*person, *day))
        .map(|((day, person), free)| (*day, *person, *free))
        .collect();
    if may.is_empty() {
        return Err(Reason::NobodyQualified);
    }
    // Late work on the first day there is; other work as near to its day as may be, the earlier of two.
    let distance = |day: Date| match late {
        true => (day - days[0]).whole_days(),
        false => (day - work.due).whole_days().abs(),
    };
    let best = may
        .iter()
        .filter(|(.., free)| *free >= minutes)
        .min_by_key(|(day, person, free)| (distance(*day), *day, -free, *person));
    let (day, person, free) = *best.ok_or(Reason::NoRoom)?;
    let nearest = may.iter().map(|(day, ..)| distance(*day)).min();
    Ok(Placed {
        id: work.id,
        person,
        day,
        late,
        why: why(work, (day, free), late, nearest != Some(distance(day))),
    })
}

fn why(work: &Work, (day, free): (Date, i64), late: bool, moved: bool) -> String {
    let off = (day - work.due).whole_days();
    let when = match off {
        _ if late => "its window has passed, so the first day with room".to_owned(),
        0 => "on the day it is due".to_owned(),
        1 => "a day after it is due, in its window".to_owned(),
        -1 => "a day before it is due, in its window".to_owned(),
        off if off > 0 => format!("{off} days after it is due, in its window"),
        off => format!("{} days before it is due, in its window", -off),
    };
    let room = match moved {
        true => "nearer days are full",
        false => "the nearest day worked",
    };
    format!("{when}; {room}; {free} min free there before")
}

#[cfg(test)]
#[path = "level_tests.rs"]
mod tests;
