//! The jobs behind a figure: the same rule, listed.

use super::Figure;
use super::about::About;
use super::due_queries;
use super::pages::{Asking, Base, READERS};
use super::queries::{self, Behind, With};
use super::span::Filter;
use crate::clock::{Millis, date_words};
use crate::error::AppError;
use crate::jobs::State as Stands;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};

/// A job or due item as a list shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct Listed {
    /// What the list is ordered by.
    pub at: i64,
    pub id: i64,
    pub path: String,
    pub name: String,
    pub tag: Option<String>,
    pub machine: Option<String>,
    pub day: String,
    pub stands: String,
    pub part: String,
    pub sub: String,
    pub words: String,
    pub amount: Option<i64>,
}

/// The jobs or due items behind a figure or some of its parts, the newest first.
pub async fn behind(
    app: &AppState,
    figure: Figure,
    with: &With<'_>,
    before: (i64, i64),
    limit: i64,
) -> Result<Vec<Listed>, AppError> {
    if figure == Figure::Due {
        return Ok(due_queries::behind(&app.db, with, with.today, before, limit).await?);
    }
    let zone = app.zone();
    let rows = queries::behind(&app.db, figure, with, before, limit).await?;
    let listed = |row: Behind| Listed {
        at: row.reported_at,
        id: row.id.0,
        path: format!("/jobs/{}", row.id.0),
        name: format!("job\u{a0}{}", row.id.0),
        tag: row.tag,
        machine: row.machine,
        day: date_words(zone.date(row.reported_at)),
        stands: Stands::named(&row.state)
            .map_or("not known", Stands::words)
            .to_owned(),
        part: row.bucket,
        sub: row.sub,
        words: row.words,
        amount: row.amount,
    };
    Ok(rows.into_iter().map(listed).collect())
}

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
    rows: Vec<Listed>,
    older: Option<String>,
    printed: String,
}

impl BehindPage {
    /// Held together, so that a narrow column does not break a date.
    fn day(&self, row: &Listed) -> String {
        row.day.get(4..).unwrap_or("").replace(' ', "\u{a0}")
    }

    fn part(&self, row: &Listed) -> String {
        self.figure.part_words(&row.part)
    }

    /// What of it is added up.
    fn amount(&self, row: &Listed) -> String {
        match row.amount {
            Some(amount) => format!("{:.1} h", amount as f64 / self.about.hour),
            None => "not known".to_owned(),
        }
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
    let mut rows = behind(&app, figure, &with, from, MOST + 1).await?;
    let more = rows.len() as i64 > MOST;
    rows.truncate(MOST as usize);
    let older = rows.last().filter(|_| more).map(|last| {
        let on = format!("{}.{}", last.at, last.id);
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
        printed: app.zone().minute_words(app.clock.now()),
        asking,
    };
    Ok(Page(page).into_response())
}
