//! The ledger: every job there was, and figures that open to their rows.

pub mod figures;
pub mod queries;

use crate::clock::date_words;
use crate::error::AppError;
use crate::form;
use crate::jobs::State;
use crate::machines;
use crate::machines::queries::Place;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::preventive::{self, DueItem};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State as Shared};
use axum::response::{IntoResponse, Response};
use figures::{Kept, Repeat};
use queries::Row;
use serde::Deserialize;
use time::{Date, Duration};

/// What the address asks for; all of it may be left out.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Filter {
    /// A state's word, or `open` for every job that is not over.
    pub state: String,
    pub machine: String,
    pub place: String,
    /// First and last day of the report.
    pub from: String,
    pub to: String,
    /// `repeats`, `overdue` or `due`: the rows of a figure instead of the jobs.
    pub figure: String,
}

#[derive(Template)]
#[template(path = "ledger/ledger.html")]
struct LedgerPage {
    layout: Layout,
    today: Date,
    filter: Filter,
    /// What of the address could not be read.
    note: String,
    places: Vec<Place>,
    rows: Vec<Row>,
    open: Vec<(State, usize)>,
    repeats: Vec<Repeat>,
    overdue: Vec<DueItem>,
    kept: Kept,
    from: Date,
    to: Date,
    days: std::collections::HashMap<i64, String>,
}

impl LedgerPage {
    fn states(&self) -> Vec<(&'static str, &'static str)> {
        let mut states = vec![("open", "open: not over yet")];
        states.extend(
            State::ALL
                .into_iter()
                .map(|state| (state.word(), state.words())),
        );
        states
    }

    fn state_words(&self, row: &Row) -> &'static str {
        State::named(&row.state).map_or("not known", State::words)
    }

    fn open_count(&self) -> usize {
        self.open.iter().map(|(_, count)| count).sum()
    }

    /// The day of a report on the shop's calendar.
    fn day(&self, row: &Row) -> &str {
        self.days.get(&row.id.0).map_or("", String::as_str)
    }

    /// The cause, with its component where one is named.
    fn cause(&self, row: &Row) -> String {
        if row.component.is_empty() || row.component == crate::jobs::codes::ANY {
            row.cause.clone()
        } else {
            format!("{}: {}", row.component, row.cause)
        }
    }

    fn late_words(&self, item: &DueItem) -> String {
        preventive::pages::days_words(item, self.today)
    }

    /// The address of this ledger with another state or figure, the rest kept.
    fn with(&self, name: &str, value: &str) -> String {
        let mut pairs = vec![
            ("machine", self.filter.machine.as_str()),
            ("place", self.filter.place.as_str()),
            ("from", self.filter.from.as_str()),
            ("to", self.filter.to.as_str()),
        ];
        pairs.retain(|(_, value)| !value.is_empty());
        pairs.push((name, value));
        let query = serde_html_form::to_string(&pairs).unwrap_or_default();
        self.layout.url(&format!("/ledger?{query}#rows"))
    }
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor, Role::Auditor, Role::Keeper])?;
    let (zone, today) = (app.zone(), app.today());
    let mut note = String::new();
    let mut date = |text: &str| {
        form::optional_date(text).unwrap_or_else(|message| {
            note = message;
            None
        })
    };
    let (from, to) = (date(&filter.from), date(&filter.to));
    let places = machines::queries::places(&app.db).await?;
    let inside = places_inside(&places, &filter.place);
    let all = queries::rows(&app.db).await?;
    let chosen = |row: &&Row| {
        let day = zone.date(row.reported_at);
        let tag = filter.machine.trim();
        (tag.is_empty()
            || row
                .tag
                .as_deref()
                .is_some_and(|t| t.eq_ignore_ascii_case(tag)))
            && (filter.place.is_empty() || row.place_id.is_some_and(|id| inside.contains(&id)))
            && from.is_none_or(|from| day >= from)
            && to.is_none_or(|to| day <= to)
    };
    let scope: Vec<Row> = all.iter().filter(chosen).cloned().collect();
    let wanted = |row: &&Row| match filter.state.as_str() {
        "" => true,
        "open" => State::named(&row.state).is_some_and(|state| !state.ended()),
        word => row.state == word,
    };
    let rows: Vec<Row> = scope.iter().filter(wanted).cloned().collect();
    // A repeat is judged over all jobs: the earlier one may lie before the first day asked for.
    let mut repeats = figures::repeats(&all);
    repeats.retain(|repeat| scope.iter().any(|row| row.id == repeat.later.id));
    let (first, last) = (
        from.unwrap_or(today - Duration::days(365)),
        to.unwrap_or(today),
    );
    let mine = |item: &DueItem| {
        filter.machine.trim().is_empty() || item.tag.eq_ignore_ascii_case(filter.machine.trim())
    };
    let mut items = preventive::queries::items_between(&app.db, first, last).await?;
    items.retain(mine);
    let mut overdue = preventive::queries::open_items(&app.db).await?;
    overdue.retain(|item| mine(item) && item.overdue(today));
    // Held together, so that a narrow column does not break a date.
    let day = |row: &Row| date_words(zone.date(row.reported_at))[4..].replace(' ', "\u{a0}");
    let days = all.iter().map(|row| (row.id.0, day(row))).collect();
    let page = LedgerPage {
        layout: Layout::new(&app, &user.visitor, "Ledger"),
        today,
        note,
        places,
        open: figures::open_by_state(&scope),
        rows,
        repeats,
        overdue,
        kept: figures::kept(items, today),
        from: first,
        to: last,
        days,
        filter,
    };
    Ok(Page(page).into_response())
}

/// A place and everything in it.
fn places_inside(places: &[Place], id: &str) -> Vec<i64> {
    let Ok(id) = id.parse::<i64>() else {
        return Vec::new();
    };
    let mut inside = vec![id];
    let mut at = 0;
    while let Some(&parent) = inside.get(at) {
        let children = places
            .iter()
            .filter(|p| p.parent_id == Some(parent))
            .map(|p| p.id);
        let new: Vec<i64> = children.filter(|id| !inside.contains(id)).collect();
        inside.extend(new);
        at += 1;
    }
    inside
}
