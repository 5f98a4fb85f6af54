//! The jobs behind a figure: the same rule, listed.

use super::Figure;
use super::about::About;
use super::pages::{Asking, Base, READERS};
use super::queries::{self, Behind};
use super::span::Filter;
use crate::clock::{Millis, Zone, date_words};
use crate::error::AppError;
use crate::jobs::State as Stands;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};

/// Jobs on a page.
const MOST: i64 = 100;

#[derive(Template)]
#[template(path = "ledger/behind.html")]
struct BehindPage {
    layout: Layout,
    asking: Asking,
    figure: Figure,
    about: &'static About,
    /// How many there are in all.
    count: i64,
    rows: Vec<Behind>,
    older: Option<String>,
    zone: Zone,
    printed: String,
}

impl BehindPage {
    fn state_words(&self, row: &Behind) -> &'static str {
        Stands::named(&row.state).map_or("not known", Stands::words)
    }

    /// The day of a report on the shop's calendar.
    fn day(&self, row: &Behind) -> String {
        date_words(self.zone.date(row.reported_at))[4..].replace(' ', "\u{a0}")
    }

    fn part(&self, row: &Behind) -> String {
        self.figure.part_words(&row.bucket)
    }

    /// The parts that are listed, in words; empty for all.
    fn parts(&self) -> String {
        let filter = &self.asking.filter;
        let named = |text: &str, words: &dyn Fn(&str) -> String| {
            let parts = text.split('|').filter(|key| !key.is_empty());
            parts.map(words).collect::<Vec<_>>().join(", or ")
        };
        let parts = named(&filter.key, &|key| self.figure.part_words(key));
        let subs = named(&filter.sub, &|sub| self.figure.sub_words(sub));
        let both = [parts, subs].into_iter().filter(|words| !words.is_empty());
        both.collect::<Vec<_>>().join("; ")
    }

    fn back(&self) -> String {
        let query = self.asking.filter.with(&[("key", ""), ("sub", "")]);
        self.layout
            .url(&format!("/ledger/figures/{}?{query}", self.figure.word()))
    }

    fn csv(&self) -> String {
        let query = self.asking.filter.with(&[]);
        self.layout.url(&format!(
            "/ledger/figures/{}/jobs.csv?{query}",
            self.figure.word()
        ))
    }
}

/// `1795521600000.4`
fn before(text: &str) -> (Millis, i64) {
    let read = || {
        let (at, id) = text.split_once('.')?;
        Some((at.parse().ok()?, id.parse().ok()?))
    };
    read().unwrap_or((i64::MAX, i64::MAX))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(word): Path<String>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let figure = Figure::named(&word).ok_or(AppError::NotFound)?;
    let path = app.url(&format!("/ledger/figures/{word}/jobs"));
    let asking = Asking::read(&app, filter, path).await?;
    let base = Base::read(&app).await?;
    let filter = &asking.filter;
    let with = base.with(&asking.span, &filter.key, &filter.sub);
    let counted = queries::count(&app.db, figure, &with).await?;
    let from = before(&filter.before);
    let mut rows = queries::behind(&app.db, figure, &with, from, MOST + 1).await?;
    let more = rows.len() as i64 > MOST;
    rows.truncate(MOST as usize);
    let older = rows.last().filter(|_| more).map(|last| {
        let on = format!("{}.{}", last.reported_at, last.id.0);
        let query = filter.with(&[("before", &on)]);
        app.url(&format!("/ledger/figures/{word}/jobs?{query}"))
    });
    let page = BehindPage {
        layout: Layout::new(&app, &user.visitor, "Ledger"),
        figure,
        about: figure.about(),
        count: counted.iter().map(|part| part.jobs).sum(),
        rows,
        older,
        zone: app.zone(),
        printed: app.zone().minute_words(app.clock.now()),
        asking,
    };
    Ok(Page(page).into_response())
}
