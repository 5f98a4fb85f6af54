//! Planned work done in its window, and failures that came back.

use super::{Refused, refuse};
use crate::shown::{Fill, ask, figure, line};
use crate::working::{Verdict, Working};
use time::Date;

/// Planned jobs of a period, by what became of them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Planned {
    /// Due in the period.
    pub due: u64,
    /// Done within their window.
    pub in_window: u64,
    /// Done, but late; unknown where absent.
    pub late: Option<u64>,
    /// Not done; unknown where absent.
    pub not_done: Option<u64>,
    /// Waived with a reason; unknown where absent.
    pub waived: Option<u64>,
}

/// Shares of the jobs due; one with nothing to divide by, or with an unknown count, is absent.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Compliance {
    /// In window / due.
    pub strict: Option<f64>,
    /// In window / (due - waived).
    pub excluding_waived: Option<f64>,
    /// (In window + late) / due.
    pub done_at_all: Option<f64>,
    /// Jobs due of which nothing is said; `None` where a count is unknown.
    pub unaccounted: Option<u64>,
}

/// Compliance with the plan, each share with its own denominator.
///
/// Jobs due of which nothing is said count as not done. Source: common practice.
/// # Errors
/// More jobs accounted for than were due.
pub fn compliance(planned: Planned) -> Result<Compliance, Refused> {
    let Planned {
        due,
        in_window,
        late,
        not_done,
        waived,
    } = planned;
    let known = [Some(in_window), late, not_done, waived];
    let sum = known
        .iter()
        .flatten()
        .fold(0u64, |sum, n| sum.saturating_add(*n));
    if sum > due {
        return refuse("due", "More jobs are accounted for than were due");
    }
    let share = |part: u64, of: u64| (of > 0).then(|| part as f64 / of as f64);
    Ok(Compliance {
        strict: share(in_window, due),
        excluding_waived: waived.and_then(|waived| share(in_window, due - waived)),
        done_at_all: late.and_then(|late| share(in_window + late, due)),
        unaccounted: known.iter().all(Option::is_some).then(|| due - sum),
    })
}

/// Weeks that the open work takes: `open hours / (people x hours a week x share on the tools)`.
///
/// Open hours from 0 to 1e9, people above zero, hours a week above 0 and at most 168, the share
/// above 0 and at most 1. Source: common practice.
/// # Errors
/// An input out of range.
pub fn backlog_weeks(open: f64, crew: f64, hours: f64, share: f64) -> Result<f64, Refused> {
    if !(0.0..=1e9).contains(&open) {
        return refuse("open_hours", "Give the hours of open work, zero or above");
    }
    if !(crew > 0.0 && crew <= 1e6) {
        return refuse("crew", "Give the number of people, above zero");
    }
    if !(hours > 0.0 && hours <= 168.0) {
        return refuse(
            "hours_per_week",
            "Give hours a week above 0 and at most 168",
        );
    }
    if !(share > 0.0 && share <= 1.0) {
        return refuse(
            "share_on_tools",
            "Give a share above 0 and at most 1, such as 0.35",
        );
    }
    match super::finite(open / (crew * hours * share)) {
        Some(weeks) => Ok(weeks),
        None => refuse("crew", "The backlog is beyond the range of numbers"),
    }
}

/// Compliance as lines, each with its denominator.
pub fn working(planned: Planned, found: &Compliance) -> Working {
    let mut working = Working::new("Planned work done in its window");
    let due = line("due", "Due in the period").value(planned.due.to_string(), "");
    working.lines.push(if planned.due == 0 {
        due.note("Nothing was due: there is no share.")
    } else {
        due
    });
    push_shares(&mut working, planned, found);
    if let Some(left @ 1..) = found.unaccounted {
        working.lines.push(
            line("unaccounted", "Not accounted for")
                .value(left.to_string(), "")
                .judge(
                    Verdict::WithinNote,
                    "Nothing is said of these jobs; they count as not done.",
                ),
        );
    }
    working
}

fn push_shares(working: &mut Working, planned: Planned, found: &Compliance) {
    let late = planned.late.is_none().then_some("number done late");
    let waived = planned.waived.is_none().then_some("number waived");
    let shares = [
        (
            "strict",
            "Strict",
            "done in window / due",
            found.strict,
            None,
        ),
        (
            "excluding_waived",
            "Without waived jobs",
            "done in window / (due - waived)",
            found.excluding_waived,
            waived,
        ),
        (
            "done_at_all",
            "Done at all",
            "(done in window + done late) / due",
            found.done_at_all,
            late,
        ),
    ];
    for (key, label, rule, value, missing) in shares {
        let shown = line(key, label).rule(rule, "common practice");
        match (value, missing) {
            (Some(value), _) => working
                .lines
                .push(shown.value(figure(100.0 * value, 1), "%")),
            (None, Some(what)) => ask(
                working,
                shown,
                what,
                "the share needs it",
                "count the jobs of the period by their state",
            ),
            (None, None) => working.lines.push(shown.note("Nothing to divide by.")),
        }
    }
}

/// Failures that came back within a window.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Repeats {
    /// Failures looked at.
    pub failures: usize,
    /// Of these, how many came within the window after the one before.
    pub repeats: usize,
    /// `repeats / failures`; `None` without failures.
    pub rate: Option<f64>,
    /// Days since the failure before (or since its return to service), first one left out.
    pub gaps: Vec<i64>,
}

/// Repeat failures: the same unit and failure mode again within `window` days.
///
/// Days are counted from the return to service of the failure before; where no returns are given,
/// from that failure itself. A gap of exactly the window is a repeat. `returned` is either empty or
/// one date for each failure, in the same order. Source: common practice (30 days is usual).
/// # Errors
/// As many returns as failures; no return before its failure or after the next failure; at most
/// 20 000 failures.
pub fn repeats(window: u32, failed: &[Date], returned: &[Date]) -> Result<Repeats, Refused> {
    if failed.len() > super::MOST {
        return refuse("failure_dates", "Give at most 20 000 dates");
    }
    if !returned.is_empty() && returned.len() != failed.len() {
        return refuse("returned_dates", "Give one date of return for each failure");
    }
    let mut spans: Vec<(Date, Date)> = match returned {
        [] => failed.iter().map(|date| (*date, *date)).collect(),
        _ => failed
            .iter()
            .copied()
            .zip(returned.iter().copied())
            .collect(),
    };
    spans.sort_unstable();
    if spans.iter().any(|(failed, back)| back < failed) {
        return refuse(
            "returned_dates",
            "A unit returned to service before it failed",
        );
    }
    let gaps: Vec<i64> = spans
        .windows(2)
        .map(|pair| (pair[1].0 - pair[0].1).whole_days())
        .collect();
    if gaps.iter().any(|gap| *gap < 0) {
        return refuse(
            "returned_dates",
            "A unit failed again before it returned to service",
        );
    }
    let repeats = gaps.iter().filter(|gap| **gap <= i64::from(window)).count();
    Ok(Repeats {
        failures: failed.len(),
        repeats,
        rate: (!failed.is_empty()).then(|| repeats as f64 / failed.len() as f64),
        gaps,
    })
}

/// Repeats as lines.
pub fn repeats_working(window: u32, found: &Repeats) -> Working {
    let mut working = Working::new("Failures that came back");
    working
        .lines
        .push(line("failures", "Failures").value(found.failures.to_string(), ""));
    let note = match found.repeats {
        0 => "None came back within the window.",
        1 => "One came back: was the cause found, or only the symptom mended?",
        _ => "Came back more than once: find the cause before the next repair.",
    };
    let shown = line("repeats", "Came back")
        .value(found.repeats.to_string(), "")
        .limit(format!("within {window} days, the last day included"))
        .rule(
            "same unit, same failure mode, within the window after return to service",
            "common practice",
        );
    working.lines.push(match found.repeats {
        0 => shown.note(note),
        _ => shown.judge(Verdict::WithinNote, note),
    });
    if let Some(rate) = found.rate {
        working.lines.push(
            line("rate", "Share of failures")
                .value(figure(100.0 * rate, 1), "%")
                .rule("came back / failures", "common practice"),
        );
    }
    working
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;
    use time::macros::date;

    #[test]
    fn nothing_due_has_no_share() {
        let found = compliance(Planned {
            waived: Some(0),
            ..Planned::default()
        })
        .expect("adds up");
        assert_eq!((found.strict, found.excluding_waived), (None, None));
        let too_many = Planned {
            due: 3,
            in_window: 4,
            ..Planned::default()
        };
        assert!(compliance(too_many).is_err());
    }

    #[test]
    fn backlog_is_counted_in_weeks_on_the_tools() {
        assert_eq!(backlog_weeks(420.0, 3.0, 40.0, 0.35), Ok(10.0));
        assert!(backlog_weeks(420.0, 0.0, 40.0, 0.35).is_err());
        assert!(backlog_weeks(f64::NAN, 3.0, 40.0, 0.35).is_err());
    }

    #[test]
    fn an_unknown_count_is_not_zero() {
        let planned = Planned {
            due: 10,
            in_window: 6,
            ..Planned::default()
        };
        let found = compliance(planned).expect("adds up");
        assert_eq!(
            (found.strict, found.done_at_all, found.unaccounted),
            (Some(0.6), None, None)
        );
        assert_eq!(working(planned, &found).missing.len(), 2);
    }

    #[test]
    fn the_window_runs_from_the_return_to_service() {
        let failed = [date!(2026 - 03 - 01), date!(2026 - 04 - 10)];
        let returned = [date!(2026 - 03 - 15), date!(2026 - 04 - 11)];
        assert_eq!(repeats(30, &failed, &[]).expect("read").repeats, 0);
        assert_eq!(repeats(30, &failed, &returned).expect("read").repeats, 1);
        assert_eq!(repeats(26, &failed, &returned).expect("read").repeats, 1);
        assert_eq!(repeats(25, &failed, &returned).expect("read").repeats, 0);
        assert!(repeats(30, &failed, &[date!(2026 - 02 - 01), date!(2026 - 04 - 11)]).is_err());
        assert_eq!(repeats(30, &[], &[]).expect("read").rate, None);
    }

    proptest! {
        #[test]
        fn a_wider_window_never_finds_fewer(days in vec(0i64..1000, 0..20), a in 0u32..400, b in 0u32..400) {
            let dates: Vec<Date> = days
                .iter()
                .map(|day| date!(2024 - 01 - 01) + time::Duration::days(*day))
                .collect();
            let count = |window| repeats(window, &dates, &[]).expect("read").repeats;
            prop_assert!(count(a.min(b)) <= count(a.max(b)));
        }

        #[test]
        fn shares_are_shares(due in any::<u64>(), done in any::<u64>(), late in any::<Option<u64>>(), waived in any::<Option<u64>>()) {
            let planned = Planned { due, in_window: done, late, not_done: None, waived };
            if let Ok(found) = compliance(planned) {
                working(planned, &found);
                for share in [found.strict, found.excluding_waived, found.done_at_all].into_iter().flatten() {
                    prop_assert!((0.0..=1.0).contains(&share));
                }
            }
        }
    }
}
