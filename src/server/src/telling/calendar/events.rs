//! What a feed tells, and what has changed since it last told: pure.

use super::Shown;
use crate::clock::{DAY, Millis};
use crate::telling::one_line;
use std::collections::BTreeMap;
use time::{Date, Duration};

/// How far back a feed reaches; what was over before is left out.
pub const BACK: Duration = Duration::days(60);
/// How far ahead of today due work is shown.
pub const AHEAD: Duration = Duration::days(366);
/// How long something called off is still said to be.
const CALLED_OFF: Millis = 30 * DAY;

/// Job 118, or due item 55.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Thing {
    Job(i64),
    Due(i64),
}

impl Thing {
    pub fn of(word: &str, id: i64) -> Thing {
        if word == "job" {
            Thing::Job(id)
        } else {
            Thing::Due(id)
        }
    }

    pub fn word(self) -> &'static str {
        match self {
            Thing::Job(_) => "job",
            Thing::Due(_) => "due",
        }
    }

    pub fn number(self) -> i64 {
        match self {
            Thing::Job(id) | Thing::Due(id) => id,
        }
    }
}

/// A job or a due item as the database has it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Found {
    pub id: i64,
    pub state: String,
    pub on_day: Date,
    pub tag: String,
    pub place: String,
    /// What a plan does; empty for a repair.
    pub action: String,
}

/// What an event says.
#[derive(Clone, Debug, PartialEq)]
pub struct Says {
    pub on_day: Date,
    pub summary: String,
    /// Empty where it is not shown.
    pub place: String,
    /// The work waits for something.
    pub waits: bool,
}

/// An event as it was told last.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    pub thing: Thing,
    pub says: Says,
    pub cancelled: bool,
    pub sequence: i64,
    pub changed_at: Millis,
}

/// The words of a job or a due item, as far as the shop lets them out.
pub fn says(thing: Thing, found: &Found, shown: &Shown) -> Says {
    let mut parts = Vec::new();
    match (thing, found.state.as_str()) {
        (Thing::Job(id), "back_in_service" | "signed_off") => parts.push(format!("Done: job {id}")),
        (Thing::Job(id), "test_owed") => parts.push(format!("Test owed: job {id}")),
        (Thing::Job(id), "held") => parts.push(format!("Waits: job {id}")),
        (Thing::Job(id), _) => parts.push(format!("Job {id}")),
        (Thing::Due(id), "done") => parts.push(format!("Done: due work {id}")),
        (Thing::Due(id), _) => parts.push(format!("Due work {id}")),
    }
    if shown.shows_tag {
        parts.push(one_line(&found.tag));
    }
    if shown.shows_work {
        let work = if found.action.is_empty() {
            "repair".to_owned()
        } else {
            one_line(&found.action)
        };
        parts.push(work);
    }
    parts.retain(|part| !part.is_empty());
    let place = if shown.shows_place {
        one_line(&found.place)
    } else {
        String::new()
    };
    Says {
        on_day: found.on_day,
        summary: parts.join(", "),
        place,
        waits: matches!(thing, Thing::Job(_)) && found.state == "held",
    }
}

/// What a feed tells from now on, and which of it is new or told otherwise than before.
///
/// An event keeps its sequence while nothing of it changes. One that was told and is no longer there
/// is called off, unless it is over so long that it is left out.
pub fn tell(
    now_there: BTreeMap<Thing, Says>,
    before: Vec<Told>,
    today: Date,
    now: Millis,
) -> (Vec<Told>, Vec<Told>) {
    let mut before: BTreeMap<Thing, Told> = before.into_iter().map(|t| (t.thing, t)).collect();
    let (mut all, mut changed) = (Vec::new(), Vec::new());
    for (thing, says) in now_there {
        let told = match before.remove(&thing) {
            Some(told) if told.says == says && !told.cancelled => told,
            was => {
                let told = Told {
                    thing,
                    says,
                    cancelled: false,
                    sequence: was.map_or(0, |was| was.sequence + 1),
                    changed_at: now,
                };
                changed.push(told.clone());
                told
            }
        };
        all.push(told);
    }
    for (_, mut told) in before {
        if !told.cancelled && told.says.on_day >= today - BACK {
            told.cancelled = true;
            told.sequence += 1;
            told.changed_at = now;
            changed.push(told.clone());
        }
        if told.cancelled && now - told.changed_at < CALLED_OFF {
            all.push(told);
        }
    }
    all.sort_by_key(|told| (told.says.on_day, told.thing));
    (all, changed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    const TODAY: Date = date!(2026 - 11 - 25);

    fn found(state: &str) -> Found {
        Found {
            id: 7,
            state: state.to_owned(),
            on_day: TODAY,
            tag: "F-1".to_owned(),
            place: "Mill,\r\nroof".to_owned(),
            action: String::new(),
        }
    }

    fn one(on_day: Date) -> BTreeMap<Thing, Says> {
        let mut says = says(Thing::Job(7), &found("handed_out"), &Shown::default());
        says.on_day = on_day;
        BTreeMap::from([(Thing::Job(7), says)])
    }

    #[test]
    fn a_calendar_says_only_what_the_shop_allows() {
        let bare = says(Thing::Job(7), &found("held"), &Shown::default());
        assert_eq!(
            (bare.summary.as_str(), bare.place.as_str()),
            ("Waits: job 7", "")
        );
        let all = Shown {
            shows_tag: true,
            shows_work: true,
            shows_place: true,
            ..Shown::default()
        };
        let says = says(Thing::Due(7), &found("open"), &all);
        assert_eq!(says.summary, "Due work 7, F-1, repair");
        assert_eq!(says.place, "Mill, roof", "one line");
    }

    #[test]
    fn an_event_keeps_its_sequence_until_something_changes() {
        let (first, changed) = tell(one(TODAY), Vec::new(), TODAY, 1000);
        assert_eq!((first[0].sequence, changed.len()), (0, 1));
        let (again, changed) = tell(one(TODAY), first.clone(), TODAY, 2000);
        assert_eq!((&again, changed.len()), (&first, 0));
        let tomorrow = date!(2026 - 11 - 26);
        let (moved, _) = tell(one(tomorrow), first, TODAY, 3000);
        assert_eq!((moved[0].sequence, moved[0].changed_at), (1, 3000));
        let (gone, changed) = tell(BTreeMap::new(), moved, TODAY, 4000);
        assert!(gone[0].cancelled && gone[0].sequence == 2 && changed.len() == 1);
        let (still, changed) = tell(BTreeMap::new(), gone.clone(), TODAY, 5000);
        assert_eq!((&still, changed.len()), (&gone, 0), "called off once");
        let (back, _) = tell(one(tomorrow), gone.clone(), TODAY, 6000);
        assert!(!back[0].cancelled && back[0].sequence == 3);
        let (later, changed) = tell(BTreeMap::new(), gone, TODAY, 4000 + CALLED_OFF);
        assert!(
            later.is_empty() && changed.is_empty(),
            "said for thirty days"
        );
    }

    #[test]
    fn what_is_long_over_is_left_out_and_not_called_off() {
        let (told, _) = tell(one(TODAY - Duration::days(61)), Vec::new(), TODAY, 0);
        let (all, changed) = tell(BTreeMap::new(), told, TODAY, 1);
        assert!(all.is_empty() && changed.is_empty());
    }
}
