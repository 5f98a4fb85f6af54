//! Windows about a due date, and how work stands to them.

use serde::{Deserialize, Serialize};
use time::{Date, Duration, PrimitiveDateTime};

/// First and last day of the window about a due date, in days before and after it.
/// Source: common practice.
pub fn window(due: Date, before_days: u32, after_days: u32) -> Option<(Date, Date)> {
    let first = due.checked_sub(Duration::days(i64::from(before_days)))?;
    Some((
        first,
        due.checked_add(Duration::days(i64::from(after_days)))?,
    ))
}

/// A tenth of the interval in whole days, for each side of the window. Source: common practice.
pub fn tenth(interval_days: u32) -> u32 {
    interval_days / 10
}

/// How finished work stands to its window; both edges belong to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Timing {
    /// Done before the window.
    Early,
    /// Done in the window.
    InWindow,
    /// Done after the window.
    Late,
}

/// See [`Timing`]. Source: common practice.
pub fn timing(done: Date, (first, last): (Date, Date)) -> Timing {
    if done < first {
        Timing::Early
    } else if done > last {
        Timing::Late
    } else {
        Timing::InWindow
    }
}

/// The narrower reading of the tenth: a twentieth of the interval on each side, to the minute.
/// Source: common practice; the same name stands for twice the width, so say which is meant.
pub fn tenth_in_total(
    due: PrimitiveDateTime,
    interval_days: u32,
) -> Option<(PrimitiveDateTime, PrimitiveDateTime)> {
    let side = Duration::minutes(i64::from(interval_days) * 72);
    Some((due.checked_sub(side)?, due.checked_add(side)?))
}

/// The longest an interval may stretch when a quarter is allowed on the late side, in whole days.
/// Source: US NRC Generic Letter 89-14.
pub fn quarter_late(interval_days: u32) -> u64 {
    u64::from(interval_days) * 5 / 4
}

/// Three intervals in a row against 3.25 times the interval.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ThreeInARow {
    /// Whether each interval keeps to one and a quarter.
    pub each_within: Vec<bool>,
    /// Days of the worst three in a row; `None` with fewer than three.
    pub sum: Option<u64>,
    /// Days that three may have.
    pub limit: u64,
}

impl ThreeInARow {
    /// Whether the worst three keep to the limit; `None` with fewer than three.
    pub fn ok(&self) -> Option<bool> {
        self.sum.map(|sum| sum <= self.limit)
    }
}

/// Keeps grace from becoming the new interval. Source: US NRC Generic Letter 89-14, which names the
/// older rule.
pub fn three_in_a_row(interval_days: u32, actual: &[u32]) -> ThreeInARow {
    let longest = quarter_late(interval_days);
    ThreeInARow {
        each_within: actual.iter().map(|n| u64::from(*n) <= longest).collect(),
        sum: actual
            .windows(3)
            .map(|three| three.iter().map(|n| u64::from(*n)).sum())
            .max(),
        limit: u64::from(interval_days) * 13 / 4,
    }
}

/// How work stands to its window, done or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Not done; the window has not opened.
    NotYetOpen,
    /// Not done; the window is open.
    Open,
    /// Not done, or done, after the window.
    Late,
    /// Not done, and the next due date has come.
    Missed,
    /// Done before the window.
    Early,
    /// Done in the window.
    InWindow,
}

impl Standing {
    /// The word of the JSON.
    pub fn word(self) -> &'static str {
        match self {
            Standing::NotYetOpen => "not_yet_open",
            Standing::Open => "open",
            Standing::Late => "late",
            Standing::Missed => "missed",
            Standing::Early => "early",
            Standing::InWindow => "in_window",
        }
    }
}

/// How work that is done, or not done by `today`, stands to its window. `None` where neither day is
/// known. Source: common practice.
pub fn standing(
    (first, last): (Date, Date),
    done: Option<Date>,
    today: Option<Date>,
    next_due: Option<Date>,
) -> Option<Standing> {
    if let Some(done) = done {
        return Some(match timing(done, (first, last)) {
            Timing::Early => Standing::Early,
            Timing::InWindow => Standing::InWindow,
            Timing::Late => Standing::Late,
        });
    }
    let today = today?;
    Some(if today < first {
        Standing::NotYetOpen
    } else if today <= last {
        Standing::Open
    } else if next_due.is_some_and(|next| today >= next) {
        Standing::Missed
    } else {
        Standing::Late
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn work_not_done_stands_by_today() {
        let window = (date!(2024 - 06 - 12), date!(2024 - 06 - 18));
        let next = Some(date!(2024 - 07 - 15));
        let at = |today| standing(window, None, Some(today), next);
        assert_eq!(at(date!(2024 - 06 - 11)), Some(Standing::NotYetOpen));
        assert_eq!(at(date!(2024 - 06 - 18)), Some(Standing::Open));
        assert_eq!(at(date!(2024 - 06 - 19)), Some(Standing::Late));
        assert_eq!(at(date!(2024 - 07 - 15)), Some(Standing::Missed));
        assert_eq!(standing(window, None, None, next), None);
        let done = Some(date!(2024 - 06 - 11));
        assert_eq!(standing(window, done, None, None), Some(Standing::Early));
    }

    #[test]
    fn the_worst_three_of_many_rule() {
        let found = three_in_a_row(92, &[92, 92, 92, 110, 108, 100, 92]);
        assert_eq!((found.sum, found.limit), (Some(318), 299));
        assert_eq!(three_in_a_row(92, &[92, 92]).sum, None);
        assert_eq!(
            three_in_a_row(u32::MAX, &[u32::MAX; 3]).each_within,
            [true; 3]
        );
    }
}
