//! What the supervisor looks at again: readings like the one before by person, and a few done items of
//! a month to be looked at a second time.

use super::{Item, queries};
use crate::clock::date_words;
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use queries::Same;
use serde::Deserialize;
use time::{Date, Duration, Month};

/// So many are looked at again each month.
const AGAIN: usize = 5;
const DAYS: i64 = 90;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Narrow {
    /// `2026-10`; the month before this one where it is not said.
    pub month: String,
}

#[derive(Template)]
#[template(path = "rounds/checks.html")]
struct ChecksPage {
    layout: Layout,
    same: Vec<Same>,
    since: String,
    month: String,
    before: String,
    done: usize,
    again: Vec<Item>,
}

fn read(text: &str) -> Option<Date> {
    let (year, month) = text.split_once('-')?;
    let month = Month::try_from(month.parse::<u8>().ok()?).ok()?;
    Date::from_calendar_date(
        year.parse().ok().filter(|y| (1900..3000).contains(y))?,
        month,
        1,
    )
    .ok()
}

fn first(day: Date) -> Date {
    day.replace_day(1).unwrap_or(day)
}

fn word(day: Date) -> String {
    format!("{:04}-{:02}", day.year(), u8::from(day.month()))
}

/// A number that looks like chance and is the same each time: the mixing of `SplitMix64`.
fn mixed(seed: u64) -> u64 {
    let mut z = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A few of these, told by the month alone.
fn pick(month: Date, mut ids: Vec<i64>) -> Vec<i64> {
    let seed = mixed(u64::try_from(month.to_julian_day()).unwrap_or(0));
    ids.sort_by_key(|id| (mixed(seed ^ u64::try_from(*id).unwrap_or(0)), *id));
    ids.truncate(AGAIN);
    ids.sort_unstable();
    ids
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(narrow): Query<Narrow>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor, Role::Auditor])?;
    let today = app.today();
    let before = |day: Date| first(first(day).previous_day().unwrap_or(day));
    let month = read(&narrow.month).unwrap_or_else(|| before(today));
    let last = (month + Duration::days(32)).replace_day(1).unwrap_or(month);
    let last = last.previous_day().unwrap_or(last);
    let ids = queries::done_between(&app.db, month, last).await?;
    let done = ids.len();
    let mut again = Vec::new();
    for id in pick(month, ids) {
        again.extend(queries::item(&app.db, id).await?);
    }
    let since = today - Duration::days(DAYS);
    Ok(Page(ChecksPage {
        layout: Layout::new(&app, &user.visitor, "Preventive"),
        same: queries::same_as_last(&app.db, since).await?,
        since: date_words(since),
        month: word(month),
        before: word(before(month)),
        done,
        again,
    })
    .into_response())
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn a_month_picks_the_same_few_each_time_and_another_month_others() {
        let ids: Vec<i64> = (1..=200).collect();
        let one = pick(date!(2026 - 10 - 01), ids.clone());
        let mut turned = ids.clone();
        turned.reverse();
        assert_eq!(one.len(), AGAIN);
        assert_eq!(one, pick(date!(2026 - 10 - 01), turned));
        assert_ne!(one, pick(date!(2026 - 11 - 01), ids));
        assert_eq!(pick(date!(2026 - 10 - 01), vec![7, 3]), [3, 7]);
    }

    #[test]
    fn a_month_is_read_as_it_is_written() {
        assert_eq!(read("2026-10"), Some(date!(2026 - 10 - 01)));
        assert_eq!(word(date!(2026 - 10 - 01)), "2026-10");
        for text in ["", "2026", "2026-13", "x-1", "99999-01"] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
