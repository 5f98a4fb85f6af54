//! Days the site is closed, and where planned work moves to.

use time::{Date, Weekday};

/// When the site is closed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Closed {
    /// Days of the week.
    pub weekend: Vec<Weekday>,
    /// Single days.
    pub holidays: Vec<Date>,
}

impl Closed {
    /// Whether this day is one of them.
    pub fn holds(&self, date: Date) -> bool {
        self.weekend.contains(&date.weekday()) || self.holidays.contains(&date)
    }
}

/// Where work planned on a closed day goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shift {
    /// Stays.
    Stay,
    /// The next open day.
    Following,
    /// The last open day before.
    Previous,
    /// The nearer of the two; as near on both sides, the one before, which is not late.
    Nearest,
    /// The next open day, unless that is in the next month: then the one before.
    ModifiedFollowing,
    /// The last open day before, unless that is in the month before: then the next.
    ModifiedPrevious,
}

/// The open day on which work due on `due` is planned; `None` where no day within two years is open.
///
/// The planned day only: the due date, by which the work is judged and the next date counted, stays.
/// Source: common practice.
pub fn shift(due: Date, mode: Shift, closed: &Closed) -> Option<Date> {
    if mode == Shift::Stay || !closed.holds(due) {
        return Some(due);
    }
    let open = |date: &Date| !closed.holds(*date);
    let next = std::iter::successors(due.next_day(), |date| date.next_day())
        .take(731)
        .find(open);
    let back = std::iter::successors(due.previous_day(), |date| date.previous_day())
        .take(731)
        .find(open);
    let same_month = |date: &Date| (date.year(), date.month()) == (due.year(), due.month());
    match mode {
        Shift::Stay => Some(due),
        Shift::Following => next,
        Shift::Previous => back,
        Shift::ModifiedFollowing => next.filter(same_month).or(back),
        Shift::ModifiedPrevious => back.filter(same_month).or(next),
        Shift::Nearest => match (back, next) {
            (Some(back), Some(next)) if next - due < due - back => Some(next),
            (Some(back), _) => Some(back),
            (None, next) => next,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    fn weekend() -> Closed {
        Closed {
            weekend: vec![Weekday::Saturday, Weekday::Sunday],
            holidays: vec![date!(2024 - 12 - 25)],
        }
    }

    #[test]
    fn nearest_goes_back_when_both_are_as_near() {
        let at = |due| shift(due, Shift::Nearest, &weekend());
        // A Saturday, a Sunday, and a holiday in mid week.
        assert_eq!(at(date!(2024 - 06 - 15)), Some(date!(2024 - 06 - 14)));
        assert_eq!(at(date!(2024 - 06 - 16)), Some(date!(2024 - 06 - 17)));
        assert_eq!(at(date!(2024 - 12 - 25)), Some(date!(2024 - 12 - 24)));
    }

    #[test]
    fn modified_shifts_stay_in_the_month() {
        let at = |due, mode| shift(due, mode, &weekend());
        let end = date!(2024 - 08 - 31);
        assert_eq!(
            at(end, Shift::ModifiedFollowing),
            Some(date!(2024 - 08 - 30))
        );
        assert_eq!(at(end, Shift::Following), Some(date!(2024 - 09 - 02)));
        let first = date!(2024 - 06 - 01);
        assert_eq!(
            at(first, Shift::ModifiedPrevious),
            Some(date!(2024 - 06 - 03))
        );
    }

    #[test]
    fn a_site_that_never_opens_has_no_day() {
        use Weekday::*;
        let closed = Closed {
            weekend: vec![
                Monday, Tuesday, Wednesday, Thursday, Friday, Saturday, Sunday,
            ],
            holidays: Vec::new(),
        };
        for mode in [Shift::Following, Shift::Previous, Shift::Nearest] {
            assert_eq!(shift(date!(2024 - 06 - 15), mode, &closed), None);
        }
    }
}
