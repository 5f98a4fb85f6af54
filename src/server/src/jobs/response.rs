//! The response clock: from report to the first time somebody stands at the machine. It pauses only
//! while the job is held, with the reason that was given.

use super::body::HoldReason;
use super::priority::{Level, Urgency};
use crate::clock::{DAY, HOUR, MINUTE, Millis};

/// What a job's entries say about its response; part of the job's summary.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Response {
    /// `None`: not judged.
    pub level: Option<Level>,
    pub level_why: String,
    /// The report, or a later one that made it more urgent.
    pub clock_from: Millis,
    /// The unit was confirmed, recorded as found, or locked: somebody was there.
    pub attended_at: Option<Millis>,
    /// A hold pauses the clock since then.
    pub held_at: Option<Millis>,
    /// Earlier pauses together.
    pub paused_ms: Millis,
    /// Work began before the paper.
    pub emergency: bool,
}

impl Response {
    pub fn begun(urgency: &Urgency, at: Millis) -> Response {
        Response {
            level: urgency.level,
            level_why: urgency.because.clone(),
            clock_from: at,
            attended_at: None,
            held_at: None,
            paused_ms: 0,
            emergency: false,
        }
    }

    /// A later report makes a job more urgent, never less; its target counts from that report.
    pub fn reported_again(&mut self, urgency: &Urgency, at: Millis) {
        let Some(level) = urgency.level else { return };
        if self.level.is_none_or(|known| level < known) {
            self.level = Some(level);
            self.level_why = format!("reported again: {}", urgency.because);
            self.clock_from = at;
            self.paused_ms = 0;
            if self.held_at.is_some() {
                self.held_at = Some(at);
            }
        }
    }

    pub fn attended(&mut self, at: Millis) {
        self.attended_at.get_or_insert(at);
    }

    /// A hold that a person gave a reason for. The circuit check holds a job by itself and is no
    /// reason for nobody to come.
    pub fn held(&mut self, reason: HoldReason, at: Millis) {
        if self.attended_at.is_none() && reason != HoldReason::Circuit {
            self.held_at.get_or_insert(at);
        }
    }

    pub fn resumed(&mut self, at: Millis) {
        if let Some(since) = self.held_at.take() {
            self.paused_ms += at - since;
        }
    }
}

/// How a job stands against the target of its level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Nobody knows how urgent it is, so there is no target.
    NotJudged,
    /// Somebody was there; `late` by this much, if at all.
    Attended { at: Millis, late: Option<Millis> },
    /// Held since; `left` is what remains once it is taken up again, negative: overdue.
    Paused { since: Millis, left: Millis },
    /// Runs; `due` is behind `now` where it is overdue.
    Runs { due: Millis },
}

/// `target` is the time the shop gives this level.
pub fn standing(response: &Response, target: Option<Millis>) -> Standing {
    let due = target.map(|target| response.clock_from + target + response.paused_ms);
    match (response.attended_at, due, response.held_at) {
        (Some(at), due, _) => Standing::Attended {
            at,
            late: due.map(|due| at - due).filter(|late| *late > 0),
        },
        (None, None, _) => Standing::NotJudged,
        (None, Some(due), Some(since)) => Standing::Paused {
            since,
            left: due - since,
        },
        (None, Some(due), None) => Standing::Runs { due },
    }
}

/// Where a job stands in a list: the sooner due the further up. What nobody judged may be a danger
/// and stands where a danger would; what somebody went to comes last.
pub fn sort_key(standing: Standing, reported_at: Millis, soonest: Millis, now: Millis) -> Millis {
    match standing {
        Standing::NotJudged => reported_at + soonest,
        Standing::Runs { due } => due,
        Standing::Paused { left, .. } => now + left,
        Standing::Attended { .. } => Millis::MAX,
    }
}

/// `3 days 4 h`, `5 h`, `20 min`: as long as people say it.
pub fn long(time: Millis) -> String {
    let days = |n: Millis| {
        if n == 1 {
            "1 day".to_owned()
        } else {
            format!("{n} days")
        }
    };
    match time {
        t if t >= 3 * DAY => days(t / DAY),
        t if t >= DAY && t % DAY >= HOUR => format!("{} {} h", days(t / DAY), t % DAY / HOUR),
        t if t >= DAY => days(t / DAY),
        t if t >= HOUR => format!("{} h", t / HOUR),
        t => format!("{} min", (t / MINUTE).max(1)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn begun(level: Option<Level>) -> Response {
        let urgency = Urgency {
            level,
            because: "why".to_owned(),
            ..Urgency::default()
        };
        Response::begun(&urgency, 0)
    }

    const TARGET: Option<Millis> = Some(DAY);

    #[test]
    fn the_clock_runs_from_the_report_to_the_first_attendance() {
        let mut job = begun(Some(Level::Damage));
        assert_eq!(standing(&job, TARGET), Standing::Runs { due: DAY });
        job.attended(2 * HOUR);
        job.attended(3 * DAY);
        let attended = Standing::Attended {
            at: 2 * HOUR,
            late: None,
        };
        assert_eq!(standing(&job, TARGET), attended);
        let mut late = begun(Some(Level::Damage));
        late.attended(DAY + HOUR);
        let attended = Standing::Attended {
            at: DAY + HOUR,
            late: Some(HOUR),
        };
        assert_eq!(standing(&late, TARGET), attended);
    }

    #[test]
    fn only_a_hold_with_a_persons_reason_pauses_it() {
        let mut job = begun(Some(Level::Damage));
        job.held(HoldReason::Circuit, HOUR);
        assert_eq!(standing(&job, TARGET), Standing::Runs { due: DAY });
        job.held(HoldReason::Access, 2 * HOUR);
        let paused = Standing::Paused {
            since: 2 * HOUR,
            left: 22 * HOUR,
        };
        assert_eq!(standing(&job, TARGET), paused);
        job.resumed(12 * HOUR);
        job.held(HoldReason::Weather, 13 * HOUR);
        job.resumed(14 * HOUR);
        let due = DAY + 11 * HOUR;
        assert_eq!(standing(&job, TARGET), Standing::Runs { due });
        // Once somebody was there the pauses of the repair are none of the response.
        job.attended(15 * HOUR);
        job.held(HoldReason::Part, 16 * HOUR);
        job.resumed(9 * DAY);
        assert_eq!(job.paused_ms, 11 * HOUR);
    }

    #[test]
    fn a_hold_does_not_hide_that_it_was_overdue_before() {
        let mut job = begun(Some(Level::Damage));
        job.held(HoldReason::Part, 2 * DAY);
        let paused = Standing::Paused {
            since: 2 * DAY,
            left: -DAY,
        };
        assert_eq!(standing(&job, TARGET), paused);
        assert_eq!(sort_key(paused, 0, HOUR, 30 * DAY), 29 * DAY);
    }

    #[test]
    fn a_later_report_makes_it_more_urgent_and_never_less() {
        let mut job = begun(Some(Level::ServiceLost));
        let says = |level| Urgency {
            level: Some(level),
            because: "smoke".to_owned(),
            ..Urgency::default()
        };
        job.reported_again(&says(Level::WhenItSuits), DAY);
        assert_eq!((job.level, job.clock_from), (Some(Level::ServiceLost), 0));
        job.held(HoldReason::Access, DAY);
        job.reported_again(&says(Level::Danger), 3 * DAY);
        assert_eq!((job.level, job.clock_from), (Some(Level::Danger), 3 * DAY));
        assert_eq!(job.level_why, "reported again: smoke");
        assert_eq!(job.held_at, Some(3 * DAY), "the old pause gives it no time");
    }

    #[test]
    fn what_nobody_judged_has_no_target_and_stands_with_the_dangers() {
        let job = begun(None);
        assert_eq!(standing(&job, None), Standing::NotJudged);
        let mut keys = [
            sort_key(Standing::Runs { due: DAY }, 0, HOUR, 0),
            sort_key(Standing::NotJudged, 0, HOUR, 0),
            sort_key(Standing::Attended { at: 0, late: None }, 0, HOUR, 0),
        ];
        keys.sort_unstable();
        assert_eq!(keys, [HOUR, DAY, Millis::MAX]);
    }

    #[test]
    fn a_stretch_is_said_as_people_say_it() {
        for (time, said) in [
            (10, "1 min"),
            (59 * MINUTE, "59 min"),
            (5 * HOUR + MINUTE, "5 h"),
            (DAY, "1 day"),
            (DAY + 4 * HOUR, "1 day 4 h"),
            (9 * DAY + HOUR, "9 days"),
        ] {
            assert_eq!(long(time), said);
        }
    }
}
