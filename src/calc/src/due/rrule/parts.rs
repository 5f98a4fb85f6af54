//! The lists of a recurrence rule, held so that a day is tested in a few steps.

/// Numbers of one list, counted from the start (`2`) and from the end (`-1`), up to 366.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Marks {
    start: [u64; 6],
    end: [u64; 6],
    given: bool,
}

impl Marks {
    pub(super) fn given(&self) -> bool {
        self.given
    }

    /// Marks a number; one beyond 383 names nothing and is left out.
    pub(super) fn mark(&mut self, number: i32) {
        self.given = true;
        let at = number.unsigned_abs() as usize;
        let side = if number < 0 {
            &mut self.end
        } else {
            &mut self.start
        };
        if let Some(word) = side.get_mut(at / 64) {
            *word |= 1 << (at % 64);
        }
    }

    pub(super) fn only(number: i32) -> Marks {
        let mut marks = Marks::default();
        marks.mark(number);
        marks
    }

    /// Whether a number counted from the start is marked.
    pub(super) fn marked(&self, at: u32) -> bool {
        let word = self.start.get(at as usize / 64).copied().unwrap_or(0);
        word >> (at % 64) & 1 == 1
    }

    /// Whether the `at`th of `of` is marked from either side, or nothing was asked.
    pub(super) fn holds(&self, at: u32, of: u32) -> bool {
        if !self.given || self.marked(at) {
            return true;
        }
        let back = (of + 1).saturating_sub(at);
        let word = self.end.get(back as usize / 64).copied().unwrap_or(0);
        word >> (back % 64) & 1 == 1
    }

    /// Whether a number is marked, or nothing was asked.
    pub(super) fn allows(&self, at: u32) -> bool {
        !self.given || self.marked(at)
    }

    /// The marked numbers below `limit`, counted from the start, rising.
    pub(super) fn numbers(&self, limit: u32) -> impl Iterator<Item = u32> + '_ {
        (0..limit).filter(|at| self.marked(*at))
    }
}

/// A weekday with its number: `-1FR`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct NthDay {
    /// 1 to 53, or -1 to -53 from the end.
    pub(super) nth: i8,
    /// Monday as 0.
    pub(super) weekday: u8,
}

impl NthDay {
    /// Whether the `at`th day of `of`, which is this weekday, is the one.
    pub(super) fn is(self, weekday: u8, at: u32, of: u32) -> bool {
        let from_start = || (at - 1) / 7 + 1;
        let from_end = || (of - at) / 7 + 1;
        self.weekday == weekday
            && if self.nth > 0 {
                from_start() == u32::from(self.nth.unsigned_abs())
            } else {
                from_end() == u32::from(self.nth.unsigned_abs())
            }
    }
}

/// One day with all that a rule can ask of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Day {
    pub(super) julian: i32,
    pub(super) year: i32,
    pub(super) month: u8,
    pub(super) day: u8,
    pub(super) month_length: u8,
    pub(super) ordinal: u16,
}

impl Day {
    /// Monday as 0; the day of julian number 0 was one.
    pub(super) fn weekday(&self) -> u8 {
        self.julian.rem_euclid(7) as u8
    }

    pub(super) fn year_length(&self) -> u32 {
        u32::from(time::util::days_in_year(self.year))
    }

    /// Week number and the weeks of the year it belongs to; week 1 is the first with four days.
    pub(super) fn week(&self, week_start: u8) -> (u32, u32) {
        let into = i32::from(self.weekday()) - i32::from(week_start);
        let into = into.rem_euclid(7);
        let week = (i32::from(self.ordinal) - into + 9) / 7;
        let new_year = self.julian - i32::from(self.ordinal) + 1;
        let of = weeks_in(self.year, new_year, week_start);
        if week < 1 {
            let year = self.year - 1;
            let new_year = new_year - i32::from(time::util::days_in_year(year));
            let of = weeks_in(year, new_year, week_start);
            (of, of)
        } else if week as u32 > of {
            let next = new_year + i32::from(time::util::days_in_year(self.year));
            (1, weeks_in(self.year + 1, next, week_start))
        } else {
            (week as u32, of)
        }
    }
}

fn weeks_in(year: i32, new_year: i32, week_start: u8) -> u32 {
    let into = (new_year - i32::from(week_start)).rem_euclid(7);
    let leap = time::util::days_in_year(year) == 366;
    if into == 3 || (leap && into == 2) {
        53
    } else {
        52
    }
}
