//! The response clock in words, for the Desk and the job's page.

use super::body::HoldReason;
use super::priority::Level;
use super::queries::Targets;
use super::response::{Standing, long, sort_key, standing};
use super::{Job, State};
use crate::clock::{Millis, Zone};

/// What a page says about how urgent a job is and how long it may wait.
#[derive(Clone, Debug, Default)]
pub struct ResponseShown {
    pub level: &'static str,
    pub why: String,
    pub clock: String,
    pub overdue: bool,
    pub emergency: bool,
    /// Where it stands in a list.
    pub sort: Millis,
}

fn to_go(job: &Job, targets: &Targets) -> Standing {
    let target = job.response.level.map(|level| targets.of(level));
    standing(&job.response, target)
}

/// Planned work has its own day and no response clock.
fn planned_work(job: &Job) -> bool {
    job.due_item_id.is_some() && job.response.level.is_none()
}

pub fn shown(job: &Job, targets: &Targets, zone: &Zone, now: Millis) -> ResponseShown {
    let standing = to_go(job, targets);
    let soonest = targets.soonest();
    let mut shown = ResponseShown {
        level: job
            .response
            .level
            .map_or("priority not judged", Level::words),
        why: job.response.level_why.clone(),
        emergency: job.response.emergency,
        sort: sort_key(standing, job.reported_at, soonest, now),
        ..ResponseShown::default()
    };
    if planned_work(job) {
        shown.level = "";
        shown.sort = Millis::MAX;
        return shown;
    }
    let nobody_came = job.state.ended() || job.state == State::BackInService;
    shown.clock = match standing {
        Standing::Attended { at, late } => {
            let late = late.map_or_else(String::new, |by| format!(", late by {}", long(by)));
            format!("first attended {}{late}", zone.minute_words(at))
        }
        _ if nobody_came => String::new(),
        Standing::NotJudged => String::new(),
        Standing::Runs { due } if due < now => {
            shown.overdue = true;
            let (by, due) = (long(now - due), zone.minute_words(due));
            format!("overdue by {by}, was to be attended by {due}")
        }
        Standing::Runs { due } => format!("to be attended by {}", zone.minute_words(due)),
        Standing::Paused { since, left } => {
            shown.overdue = left < 0;
            let left = if left < 0 {
                format!("it was overdue by {}", long(-left))
            } else {
                format!("{} left", long(left))
            };
            let why = HoldReason::words_of(job.held_for.as_deref().unwrap_or("other"));
            let since = zone.minute_words(since);
            format!("clock paused since {since}, {why}; {left}")
        }
    };
    shown
}
