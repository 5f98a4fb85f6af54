//! Services within services: the yearly one includes the quarterly one that falls on its day.

use super::{Every, NoDue, add, grid_after};
use time::{Date, Duration};

/// One service of a machine that has several.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Service {
    /// First date of its grid.
    pub anchor: Date,
    /// The step.
    pub every: Every,
}

/// One visit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Visit {
    /// The day.
    pub on: Date,
    /// Which service is done, by its place in the list.
    pub service: usize,
    /// Shorter ones that fall on the same day and are done with it.
    pub includes: Vec<usize>,
}

/// The next `n` visits (1000 at most) later than `after`: one job a day, that of the longest interval,
/// which includes the shorter ones; of two as long, the one listed first. Source: common practice.
/// # Errors
/// [`NoDue`] where a service has no next date, [`NoDue::Rule`] without services.
pub fn visits(services: &[Service], after: Date, n: usize) -> Result<Vec<Visit>, NoDue> {
    let mut list = Vec::new();
    let mut after = after;
    while list.len() < n.min(1000) {
        let dates: Vec<Date> = services
            .iter()
            .map(|service| grid_after(service.anchor, service.every, after))
            .collect::<Result<_, _>>()?;
        let on = dates.iter().copied().min().ok_or(NoDue::Rule)?;
        let mut due: Vec<usize> = (0..dates.len()).filter(|at| dates[*at] == on).collect();
        due.sort_by_key(|at| std::cmp::Reverse(length(services[*at].every)));
        list.push(Visit {
            on,
            service: due[0],
            includes: due[1..].to_vec(),
        });
        after = on;
    }
    Ok(list)
}

/// Ten-thousandths of a day in a step, by the calendar's mean month and year.
fn length(every: Every) -> u64 {
    let (n, unit) = match every {
        Every::Days(n) => (n, 10_000),
        Every::Weeks(n) => (n, 70_000),
        Every::Months(n) => (n, 304_369),
        Every::Years(n) => (n, 3_652_425),
    };
    u64::from(n) * unit
}

/// How dates that float drift: each piece of work so many days after its due date (before it, below
/// zero), the next counted from the day it was done. Gives (due, done) of each, and the date after.
/// Source: common practice.
/// # Errors
/// [`NoDue`] for a step of zero or a date outside the calendar.
pub fn drift(
    first_due: Date,
    every: Every,
    days_late: &[i64],
) -> Result<(Vec<(Date, Date)>, Date), NoDue> {
    let mut due = first_due;
    let mut history = Vec::new();
    for late in days_late {
        let late = Duration::days((*late).clamp(-8_000_000, 8_000_000));
        let done = due.checked_add(late).ok_or(NoDue::Calendar)?;
        history.push((due, done));
        due = add(done, every, 1)?;
        if due == done {
            return Err(NoDue::Interval);
        }
    }
    Ok((history, due))
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn the_yearly_includes_the_quarterly() {
        let anchor = date!(2024 - 01 - 15);
        let service = |every| Service { anchor, every };
        let services = [service(Every::Months(3)), service(Every::Years(1))];
        let visits = visits(&services, date!(2024 - 07 - 15), 3).expect("visits");
        let found: Vec<_> = visits
            .iter()
            .map(|v| (v.on.to_string(), v.service, v.includes.len()))
            .collect();
        let want = [
            ("2024-10-15".to_owned(), 0, 0),
            ("2025-01-15".to_owned(), 1, 1),
            ("2025-04-15".to_owned(), 0, 0),
        ];
        assert_eq!(found, want);
    }

    #[test]
    fn nothing_to_do_is_said() {
        assert_eq!(visits(&[], Date::MIN, 3), Err(NoDue::Rule));
        let never = Service {
            anchor: date!(2024 - 01 - 15),
            every: Every::Days(0),
        };
        assert_eq!(
            visits(&[never], date!(2024 - 01 - 15), 3),
            Err(NoDue::Interval)
        );
        let left = drift(date!(2024 - 01 - 15), Every::Months(1), &[i64::MAX]);
        assert_eq!(left, Err(NoDue::Calendar));
    }
}
