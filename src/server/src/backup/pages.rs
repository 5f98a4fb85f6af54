//! `/shop/backups`: whether the record would survive the loss of this machine.

use super::schedule::{Daily, TOO_OLD};
use super::{Tried, queries, size_words};
use crate::clock::{DAY, HOUR, Millis, Zone};
use crate::error::AppError;
use crate::exchange::pages::KEEPERS;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};

#[derive(Template)]
#[template(path = "backup/overview.html")]
struct BackupsPage {
    layout: Layout,
    daily: Option<Daily>,
    good: Option<Tried>,
    /// What stands wrong, if anything does.
    trouble: Option<String>,
    latest: Vec<Tried>,
    zone: Zone,
    now: Millis,
}

impl BackupsPage {
    fn at(&self, at: &Millis) -> String {
        self.zone.minute_words(*at)
    }

    fn age(&self, tried: &Tried) -> String {
        age_words(self.now - tried.tried_at)
    }

    fn size(&self, bytes: &i64) -> String {
        size_words(*bytes)
    }
}

/// `5 hours`, `3 days`
pub fn age_words(age: Millis) -> String {
    let (count, unit) = match age {
        age if age < 0 => return "the clock was ahead then".to_owned(),
        age if age < 2 * HOUR => (age / crate::clock::MINUTE, "minutes"),
        age if age < 2 * DAY => (age / HOUR, "hours"),
        age => (age / DAY, "days"),
    };
    format!("{count} {unit} ago")
}

/// One sentence for the keeper where something is wrong. Whoever schedules no backups is told so on
/// the page, not warned: they may be made by other means.
pub fn trouble(
    last: Option<&Tried>,
    good: Option<&Tried>,
    scheduled: bool,
    now: Millis,
) -> Option<String> {
    if let Some(problem) = last.and_then(|last| last.problem.as_deref()) {
        return Some(format!("The last backup failed: {problem}"));
    }
    match good {
        _ if !scheduled => None,
        None => Some("No backup was made yet.".to_owned()),
        Some(good) if now - good.tried_at > TOO_OLD => Some(format!(
            "The last backup was made {}. One a day is due.",
            age_words(now - good.tried_at)
        )),
        Some(_) => None,
    }
}

pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let latest = queries::latest(&app.db).await?;
    let good = queries::last_good(&app.db).await?;
    let daily = app.daily_backup.as_deref().cloned();
    let now = app.clock.now();
    let page = BackupsPage {
        layout: Layout::new(&app, &user.visitor, "Shop"),
        trouble: trouble(latest.first(), good.as_ref(), daily.is_some(), now),
        daily,
        good,
        latest,
        zone: app.zone(),
        now,
    };
    Ok(Page(page).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_age_is_said_in_what_people_count() {
        assert_eq!(age_words(3 * crate::clock::MINUTE), "3 minutes ago");
        assert_eq!(age_words(26 * HOUR), "26 hours ago");
        assert_eq!(age_words(9 * DAY), "9 days ago");
        assert_eq!(age_words(-DAY), "the clock was ahead then");
    }
}
