//! Repeats: the same machine, place or parent place failing again within a window of days. Pure; it
//! looks at where and when, never at codes alone, because codes differ from person to person.

use crate::clock::{DAY, Millis};
use crate::jobs::JobId;
use crate::machines::MachineId;

/// Machines below this shaft power come round quickly and are watched for a shorter time.
pub const SMALL_WATTS: f64 = 3700.0;

/// How many days back is looked, as the shop has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, sqlx::FromRow)]
pub struct Windows {
    /// Of small machines that are not critical.
    pub small_days: i64,
    /// Of larger ones, of critical ones, and of those whose power nobody knows: unknown is not small.
    pub large_days: i64,
}

impl Default for Windows {
    fn default() -> Windows {
        Windows {
            small_days: 30,
            large_days: 90,
        }
    }
}

impl Windows {
    pub fn longest(self) -> i64 {
        self.small_days.max(self.large_days)
    }

    pub fn of(self, watts: Option<f64>, critical: bool) -> i64 {
        if !critical && watts.is_some_and(|watts| watts < SMALL_WATTS) {
            self.small_days
        } else {
            self.large_days
        }
    }
}

/// Jobs on one machine in the window, this one counted, from which on a review is owed.
pub const ON_MACHINE: usize = 2;
/// Jobs in one place on more than one machine, from which on a review is owed.
pub const IN_PLACE: usize = 3;
/// Jobs under one parent place, from which on they are pointed out.
pub const UNDER_PARENT: usize = 4;

/// A failure that was reported. Planned work, joined and turned-down reports are none.
#[derive(Clone, Debug, PartialEq)]
pub struct Failure {
    pub job: JobId,
    pub machine: Option<MachineId>,
    pub place: Option<i64>,
    /// The place above, unless that is the whole site.
    pub parent: Option<i64>,
    pub watts: Option<f64>,
    /// The machine's criticality is high.
    pub critical: bool,
    pub at: Millis,
    pub mode: String,
}

/// The jobs that stand together with one, that one included, oldest first; empty: no repeat.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Repeats {
    pub days: i64,
    pub machine: Vec<JobId>,
    pub place: Vec<JobId>,
    pub parent: Vec<JobId>,
}

impl Repeats {
    /// A supervisor is asked to look for the cause.
    pub fn review_owed(&self) -> bool {
        !self.machine.is_empty() || !self.place.is_empty()
    }

    /// Sentences for the job's page, with the jobs they are about.
    pub fn said(&self) -> Vec<(String, &[JobId])> {
        [
            (&self.machine, "on this machine"),
            (&self.place, "in this place"),
            (&self.parent, "around this place"),
        ]
        .into_iter()
        .filter(|(jobs, _)| !jobs.is_empty())
        .map(|(jobs, which)| {
            let words = format!("{} {which} in {} days", ordinal(jobs.len()), self.days);
            (words, jobs.as_slice())
        })
        .collect()
    }
}

fn ordinal(count: usize) -> String {
    const WORDS: &[&str] = &["First", "Second", "Third", "Fourth", "Fifth", "Sixth"];
    WORDS
        .get(count.saturating_sub(1))
        .map_or_else(|| format!("Number {count}"), |word| (*word).to_owned())
}

/// What stands together with this failure, looking back over its window.
pub fn of(this: &Failure, all: &[Failure], windows: Windows) -> Repeats {
    let days = windows.of(this.watts, this.critical);
    let within = |other: &&Failure| {
        other.job != this.job
            && (this.at - days * DAY..=this.at).contains(&other.at)
            && (other.at, other.job.0) < (this.at, this.job.0)
    };
    let earlier: Vec<&Failure> = all.iter().filter(within).collect();
    let together = |same: &dyn Fn(&Failure) -> bool, least: usize| {
        let mut jobs: Vec<(Millis, JobId)> = earlier
            .iter()
            .filter(|other| same(other))
            .map(|other| (other.at, other.job))
            .collect();
        jobs.push((this.at, this.job));
        jobs.sort_by_key(|(at, job)| (*at, job.0));
        if jobs.len() < least {
            return Vec::new();
        }
        jobs.into_iter().map(|(_, job)| job).collect()
    };
    let same = |a: Option<i64>, b: Option<i64>| a.is_some() && a == b;
    let machine = together(
        &|other| this.machine.is_some() && other.machine == this.machine,
        ON_MACHINE,
    );
    let mut place = together(&|other| same(other.place, this.place), IN_PLACE);
    // One machine alone is said once, as that machine.
    if place == machine {
        place.clear();
    }
    let mut parent = together(&|other| same(other.parent, this.parent), UNDER_PARENT);
    if parent == place || parent == machine {
        parent.clear();
    }
    Repeats {
        days,
        machine,
        place,
        parent,
    }
}

/// Somebody reviewed the cause since. A review on any job of the machine, or of the place, settles what
/// came before it.
pub fn reviewed(
    this: &Failure,
    repeats: &Repeats,
    all: &[Failure],
    reviews: &[(JobId, Millis)],
) -> bool {
    let in_it = |job: JobId| repeats.machine.contains(&job) || repeats.place.contains(&job);
    let same = |f: &Failure| f.machine.is_some() && f.machine == this.machine;
    reviews.iter().any(|(job, at)| {
        *at >= this.at && (in_it(*job) || all.iter().any(|f| f.job == *job && same(f)))
    })
}

/// A later repeat on the list holds this one already.
pub fn held(this: &Failure, found: &[(Failure, Repeats)]) -> bool {
    found.iter().any(|(later, repeats)| {
        repeats.machine.contains(&this.job)
            || repeats.place.contains(&this.job)
            || (this.machine.is_some() && later.machine == this.machine)
    })
}

/// The newest repeat of each machine or place that nobody reviewed since it was reported, newest
/// first.
pub fn owed(
    all: &[Failure],
    reviews: &[(JobId, Millis)],
    windows: Windows,
) -> Vec<(Failure, Repeats)> {
    let mut found: Vec<(Failure, Repeats)> = Vec::new();
    let mut newest: Vec<&Failure> = all.iter().collect();
    newest.sort_by_key(|failure| std::cmp::Reverse((failure.at, failure.job.0)));
    for this in newest {
        let repeats = of(this, all, windows);
        if repeats.review_owed() && !held(this, &found) && !reviewed(this, &repeats, all, reviews) {
            found.push((this.clone(), repeats));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const USUAL: Windows = Windows {
        small_days: 30,
        large_days: 90,
    };

    fn of(this: &Failure, all: &[Failure]) -> Repeats {
        super::of(this, all, USUAL)
    }

    fn failure(job: i64, machine: i64, place: i64, day: i64) -> Failure {
        Failure {
            job: JobId(job),
            machine: Some(MachineId(machine)),
            place: Some(place),
            parent: Some(9),
            watts: Some(200.0),
            critical: false,
            at: day * DAY,
            mode: format!("mode {job}"),
        }
    }

    fn ids(jobs: &[i64]) -> Vec<JobId> {
        jobs.iter().map(|id| JobId(*id)).collect()
    }

    #[test]
    fn the_window_follows_the_power_and_unknown_is_not_small() {
        assert_eq!(USUAL.of(Some(3699.0), false), 30);
        assert_eq!(USUAL.of(Some(3699.0), true), 90);
        assert_eq!(USUAL.of(Some(3700.0), false), 90);
        assert_eq!(USUAL.of(None, false), 90);
        let all = [failure(1, 1, 1, 0), failure(2, 1, 1, 31)];
        assert_eq!(
            of(&all[1], &all),
            Repeats {
                days: 30,
                ..Repeats::default()
            }
        );
        let unknown = Failure {
            watts: None,
            ..all[1].clone()
        };
        assert_eq!(of(&unknown, &all).machine, ids(&[1, 2]));
        let edge = [failure(1, 1, 1, 0), failure(2, 1, 1, 30)];
        assert_eq!(of(&edge[1], &edge).machine, ids(&[1, 2]));
    }

    #[test]
    fn a_machine_is_found_whatever_the_code_and_looks_back_only() {
        let all = [
            failure(1, 1, 1, 0),
            failure(2, 1, 2, 10),
            failure(3, 1, 1, 20),
        ];
        let third = of(&all[2], &all);
        assert_eq!(third.machine, ids(&[1, 2, 3]));
        assert_eq!(third.said()[0].0, "Third on this machine in 30 days");
        assert!(!of(&all[0], &all).review_owed());
    }

    #[test]
    fn different_machines_are_found_by_place_and_by_the_place_above() {
        let all: Vec<Failure> = (1..=3).map(|n| failure(n, n, 1, n)).collect();
        let by_place = of(&all[2], &all);
        assert!(by_place.machine.is_empty());
        assert_eq!(by_place.place, ids(&[1, 2, 3]));
        assert!(by_place.parent.is_empty() && by_place.review_owed());
        let all: Vec<Failure> = (1..=4).map(|n| failure(n, n, n, n)).collect();
        let around = of(&all[3], &all);
        assert_eq!(around.parent, ids(&[1, 2, 3, 4]));
        assert!(!around.review_owed(), "pointed out, not owed");
    }

    #[test]
    fn nothing_known_is_no_repeat() {
        let nowhere = |job| Failure {
            machine: None,
            place: None,
            parent: None,
            ..failure(job, 0, 0, job)
        };
        let all: Vec<Failure> = (1..=5).map(nowhere).collect();
        assert!(of(&all[4], &all).said().is_empty());
    }

    #[test]
    fn one_review_is_owed_for_a_run_and_a_later_repeat_owes_another() {
        let mut all = vec![
            failure(1, 1, 1, 0),
            failure(2, 1, 1, 10),
            failure(3, 1, 1, 20),
        ];
        let jobs = |reviews: &[(JobId, Millis)], all: &[Failure]| {
            owed(all, reviews, USUAL)
                .into_iter()
                .map(|(failure, _)| failure.job)
                .collect::<Vec<_>>()
        };
        assert_eq!(jobs(&[], &all), ids(&[3]));
        let review = [(JobId(3), 21 * DAY)];
        assert_eq!(jobs(&review, &all), ids(&[]));
        all.push(failure(4, 1, 1, 25));
        assert_eq!(jobs(&review, &all), ids(&[4]));
    }
}
