//! Names of backups, and which of them are no longer kept: pure.

use crate::clock::{Millis, Zone, date_value};
use std::collections::HashSet;
use std::str::FromStr;
use time::Date;

/// How many days, weeks and months each keep their last backup.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Keep {
    pub days: usize,
    pub weeks: usize,
    pub months: usize,
}

impl Default for Keep {
    fn default() -> Self {
        Keep {
            days: 7,
            weeks: 5,
            months: 12,
        }
    }
}

impl FromStr for Keep {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let numbers: Option<Vec<usize>> = text
            .split(',')
            .map(|number| number.trim().parse().ok())
            .collect();
        match numbers.as_deref() {
            Some(&[days, weeks, months]) if days > 0 => Ok(Keep {
                days,
                weeks,
                months,
            }),
            _ => Err("days, weeks and months, such as 7,5,12; at least one day".to_owned()),
        }
    }
}

const BEGINS: &str = "brasstag-";
const ENDS: &str = "Z.zip";

/// `brasstag-2026-11-25-021003Z.zip`, in UTC, so that names sort by time.
pub fn name_at(at: Millis) -> String {
    let utc = Zone::utc();
    let minute = utc.time_words(at).replace(':', "");
    let second = at.div_euclid(1000).rem_euclid(60);
    format!(
        "{BEGINS}{}-{minute}{second:02}{ENDS}",
        date_value(utc.date(at))
    )
}

/// Undoes [`name_at`]; `None` for a name that is not ours, which is never touched.
pub fn at_of(name: &str) -> Option<Millis> {
    let within = name.strip_prefix(BEGINS)?.strip_suffix(ENDS)?;
    let (day, time) = within.rsplit_once('-')?;
    let day = crate::form::optional_date(day).ok()??;
    if time.len() != 6 || !time.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let part = |from: usize| time[from..from + 2].parse::<u8>().ok();
    let minute = Zone::utc().instant(day, part(0)?, part(2)?)?;
    Some(minute + i64::from(part(4)?) * 1000)
}

/// The day, week or month that a date lies in.
type Period = fn(Date) -> (i32, u8, u8);

/// Of these backups, the ones that no rule keeps. The newest is always kept, and a day, week or month
/// without a backup uses up no place: a shop that stood still loses nothing.
pub fn no_longer_kept(mut made: Vec<Millis>, keep: Keep, zone: &Zone) -> Vec<Millis> {
    made.sort_unstable_by(|a, b| b.cmp(a));
    let mut kept = HashSet::new();
    kept.extend(made.first());
    let rules: [(usize, Period); 3] = [
        (keep.days, |day| (day.year(), day.month().into(), day.day())),
        (keep.weeks, |day| {
            let (year, week, _) = day.to_iso_week_date();
            (year, week, 0)
        }),
        (keep.months, |day| (day.year(), day.month().into(), 0)),
    ];
    for (most, period) in rules {
        let mut seen = HashSet::new();
        for at in &made {
            if seen.len() < most && seen.insert(period(zone.date(*at))) {
                kept.insert(*at);
            }
        }
    }
    made.retain(|at| !kept.contains(at));
    made
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::{DAY, HOUR};
    use proptest::prelude::*;

    /// 2026-11-25 02:10:03 UTC, a Wednesday.
    const BEGIN: Millis = 1_795_572_603_000;

    #[test]
    fn a_name_says_when_and_only_names_of_our_own_are_read() {
        let name = name_at(BEGIN);
        assert_eq!(name, "brasstag-2026-11-25-021003Z.zip");
        assert_eq!(at_of(&name), Some(BEGIN));
        for other in [
            "shop-2026-11-25.zip",
            "brasstag-2026-11-25-021003Z.zip.part",
            "brasstag-2026-13-25-021003Z.zip",
            "brasstag-2026-11-25-02100Z.zip",
            "brasstag-2026-11-25-0210é3Z.zip",
            "brasstag-before-0.1.0.zip",
        ] {
            assert_eq!(at_of(other), None, "{other}");
        }
    }

    #[test]
    fn days_weeks_and_months_keep_their_last() {
        let keep: Keep = "3,2,2".parse().expect("a rule");
        let made: Vec<Millis> = (0..60).map(|back| BEGIN - back * DAY).collect();
        let gone = no_longer_kept(made.clone(), keep, &Zone::utc());
        let left: Vec<String> = made
            .into_iter()
            .filter(|at| !gone.contains(at))
            .map(|at| date_value(Zone::utc().date(at)))
            .collect();
        assert_eq!(
            left,
            [
                "2026-11-25", // the newest; its week and month too
                "2026-11-24",
                "2026-11-23",
                "2026-11-22", // the Sunday of the week before
                "2026-10-31", // the last of October
            ]
        );
        assert!("0,5,12".parse::<Keep>().is_err());
        assert!("7,5".parse::<Keep>().is_err());
    }

    #[test]
    fn a_year_of_standing_still_takes_nothing_away() {
        let old: Vec<Millis> = (0..5).map(|back| BEGIN - 400 * DAY - back * DAY).collect();
        let mut made = old.clone();
        made.push(BEGIN);
        assert!(no_longer_kept(made, Keep::default(), &Zone::utc()).is_empty());
    }

    proptest! {
        #[test]
        fn the_newest_stays_and_doing_it_twice_takes_no_more(
            hours in prop::collection::vec(0i64..20_000, 1..80),
        ) {
            let made: Vec<Millis> = hours.iter().map(|h| BEGIN + h * HOUR).collect();
            let gone = no_longer_kept(made.clone(), Keep::default(), &Zone::utc());
            let newest = made.iter().max().copied().unwrap_or_default();
            prop_assert!(!gone.contains(&newest));
            let left: Vec<Millis> = made.into_iter().filter(|at| !gone.contains(at)).collect();
            prop_assert!(no_longer_kept(left, Keep::default(), &Zone::utc()).is_empty());
        }
    }
}
