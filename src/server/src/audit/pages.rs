//! The audit list on a page and as a file: who changed what in the registers and the installation.

use super::list_queries::{self as queries, Line, Narrow};
use crate::changes;
use crate::clock::{DAY, Millis, Zone};
use crate::error::AppError;
use crate::exchange::archive::cells::guarded;
use crate::form;
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, Person};
use crate::rows;
use crate::shop::overview::READERS;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use serde::{Deserialize, Serialize};

/// Lines on a page.
const MOST: usize = 100;
/// Lines in one file.
const MOST_IN_FILE: usize = 50_000;

/// Kinds of things that lines are about, as the list offers them.
pub const THINGS: rows::Options = &[
    ("people", "people and their sign-ins"),
    ("tablets", "shared tablets"),
    ("shop", "the shop's settings"),
    ("backups", "backups"),
    ("machines", "machines"),
    ("motors", "motors"),
    ("panels", "panels"),
    ("circuits", "circuits"),
    ("places", "places"),
    ("parts", "parts"),
    ("purchases", "purchases"),
    ("meters", "meters"),
    ("plans", "preventive plans"),
    ("procedures", "procedures"),
];

/// What the address asks for; all of it may be left out.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[serde(default)]
pub struct Filter {
    pub person: String,
    pub thing: String,
    pub act: String,
    pub from: String,
    pub to: String,
    /// The page goes on behind this line.
    pub before: String,
}

impl Filter {
    fn narrow(&self, zone: &Zone) -> Result<Narrow, String> {
        let day = |text: &str| form::optional_date(text);
        let start = |day| zone.instant(day, 0, 0).unwrap_or(Millis::MIN);
        Ok(Narrow {
            person: match self.person.as_str() {
                "" => None,
                // The program itself.
                "0" => Some(0),
                id => Some(id.parse().map_err(|_| "Choose a person from the list")?),
            },
            thing: self.thing.clone(),
            act: self.act.trim().to_lowercase(),
            from: day(&self.from)?.map_or(Millis::MIN, start),
            to: day(&self.to)?.map_or(Millis::MAX, |day| start(day).saturating_add(DAY)),
            before: self.before.parse().unwrap_or(i64::MAX),
        })
    }
}

/// A line as it is shown.
struct Shown {
    line: Line,
    fields: Vec<changes::Field>,
}

impl Shown {
    fn of(line: Line) -> Shown {
        let detail = serde_json::from_str(&line.detail).unwrap_or_default();
        let fields = changes::fields(&detail);
        Shown { line, fields }
    }

    fn person(&self) -> &str {
        self.line.person.as_deref().unwrap_or("the program")
    }

    fn thing(&self) -> String {
        rows::words_of(THINGS, &self.line.thing)
    }
}

#[derive(Template)]
#[template(path = "shop/audit.html")]
struct AuditPage {
    layout: Layout,
    filter: Filter,
    /// What of the address could not be read.
    note: String,
    people: Vec<Person>,
    lines: Vec<Shown>,
    zone: Zone,
    /// Where the list goes on.
    older: Option<String>,
    file: String,
}

fn address(filter: &Filter, page: &str) -> String {
    let query = serde_html_form::to_string(filter).unwrap_or_default();
    format!("{page}?{query}")
}

/// `/shop/audit`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let zone = app.zone();
    let (narrow, note) = match filter.narrow(&zone) {
        Ok(narrow) => (narrow, String::new()),
        Err(note) => (Narrow::all(), note),
    };
    let mut lines = queries::list(&app.db, &narrow, MOST + 1).await?;
    let more = lines.len() > MOST;
    lines.truncate(MOST);
    let older = lines.last().filter(|_| more).map(|last| {
        let filter = Filter {
            before: last.id.to_string(),
            ..filter.clone()
        };
        address(&filter, "/shop/audit")
    });
    let whole = Filter {
        before: String::new(),
        ..filter.clone()
    };
    let page = AuditPage {
        layout: Layout::new(&app, &user.visitor, "Shop"),
        people: people::queries::list(&app.db).await?,
        lines: lines.into_iter().map(Shown::of).collect(),
        file: address(&whole, "/shop/audit.csv"),
        filter,
        note,
        zone,
        older,
    };
    Ok(Page(page).into_response())
}

/// `/shop/audit.csv`: the same lines, as many as one file holds.
pub async fn file(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let zone = app.zone();
    let narrow = filter.narrow(&zone).map_err(AppError::BadRequest)?;
    let lines = queries::list(&app.db, &narrow, MOST_IN_FILE).await?;
    let broken = |e: csv::Error| AppError::Broken(e.to_string());
    let mut out = csv::Writer::from_writer(b"\xEF\xBB\xBF".to_vec());
    out.write_record([
        "line",
        "at",
        "at_utc_ms",
        "person",
        "thing",
        "number",
        "act",
        "detail",
    ])
    .map_err(broken)?;
    for line in &lines {
        let person = line.person.as_deref().unwrap_or("the program");
        out.write_record([
            line.id.to_string(),
            zone.minute_words(line.at),
            line.at.to_string(),
            guarded(person),
            guarded(&line.thing),
            line.thing_id.to_string(),
            guarded(&line.act),
            guarded(&line.detail),
        ])
        .map_err(broken)?;
    }
    let text = out
        .into_inner()
        .map_err(|e| AppError::Broken(e.to_string()))?;
    let named = format!("attachment; filename=\"audit-{}.csv\"", app.today());
    let head = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8".to_owned()),
        (header::CACHE_CONTROL, "no-store".to_owned()),
        (header::CONTENT_DISPOSITION, named),
    ];
    Ok((head, text).into_response())
}
