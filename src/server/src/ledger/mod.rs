//! The ledger: every job there was, and figures that open to their rows.

pub mod auditor;
pub mod book;
pub mod figures;
pub mod queries;

use crate::clock::{DAY, Millis, Zone, date_words};
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
use figures::Kept;
use queries::{Narrow, Pair, Row};
use serde::{Deserialize, Serialize};
use time::{Date, Duration};

/// What the address asks for; all of it may be left out.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
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
    /// The page goes on behind this job: when it was reported, a full stop, its number.
    pub before: String,
}

/// Jobs on a page, and rows of a figure.
const MOST: usize = 100;
/// Repeats are counted no further.
const MOST_REPEATS: usize = 200;

/// A repeat as it is listed: the earlier job, the later one, days between them.
struct Repeat {
    earlier: Row,
    later: Row,
    days: i64,
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
    open: Vec<(State, i64)>,
    /// Address of the older jobs.
    older: Option<String>,
    pairs: Vec<Pair>,
    repeats_from: Date,
    overdue: i64,
    kept: Kept,
    from: Date,
    to: Date,
    /// The rows of the figure that is asked for, as many as a page has.
    repeats: Vec<Repeat>,
    items: Vec<DueItem>,
    zone: Zone,
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

    fn open_count(&self) -> i64 {
        self.open.iter().map(|(_, count)| count).sum()
    }

    /// The day of a report on the shop's calendar.
    fn day(&self, row: &Row) -> String {
        // Held together, so that a narrow column does not break a date.
        date_words(self.zone.date(row.reported_at))[4..].replace(' ', "\u{a0}")
    }

    fn repeat_count(&self) -> String {
        match self.pairs.len() {
            many if many > MOST_REPEATS => format!("more than {MOST_REPEATS}"),
            few => few.to_string(),
        }
    }

    /// The tags of the newest repeats, each once.
    fn repeat_tags(&self) -> Vec<&str> {
        let mut tags: Vec<&str> = Vec::new();
        for pair in self.pairs.iter().take(20) {
            if !tags.contains(&pair.tag.as_str()) {
                tags.push(&pair.tag);
            }
        }
        tags
    }

    /// `, 100 of them here` where the figure has more rows than a page.
    fn cut(&self) -> String {
        let (shown, all) = match self.filter.figure.as_str() {
            "repeats" => (self.repeats.len(), self.pairs.len() as i64),
            "overdue" => (self.items.len(), self.overdue),
            _ => (self.items.len(), self.kept.due),
        };
        match shown as i64 {
            shown if shown < all => format!(", {shown} of them here"),
            _ => String::new(),
        }
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

/// What the address narrows the jobs down to, and what of it could not be read.
async fn narrow(app: &AppState, filter: &Filter) -> Result<(Asked, String), AppError> {
    let mut note = String::new();
    let mut date = |text: &str| {
        form::optional_date(text).unwrap_or_else(|message| {
            note = message;
            None
        })
    };
    let (from, to) = (date(&filter.from), date(&filter.to));
    let machine = match filter.machine.trim() {
        "" => 0,
        tag => machines::queries::find_by_tag(&app.db, tag)
            .await?
            .map_or(-1, |machine| machine.id.0),
    };
    let zone = app.zone();
    let starts = |day: Option<Date>| day.and_then(|day| zone.instant(day, 0, 0));
    let narrow = Narrow {
        machine,
        // A place that is no number has nothing in it.
        place: match filter.place.as_str() {
            "" => 0,
            id => id.parse().unwrap_or(-1),
        },
        state: filter.state.replace('\0', ""),
        from: starts(from).unwrap_or(i64::MIN),
        until: starts(to.and_then(Date::next_day)).unwrap_or(i64::MAX),
        before: before(&filter.before).unwrap_or((i64::MAX, i64::MAX)),
    };
    Ok((Asked { narrow, from, to }, note))
}

struct Asked {
    narrow: Narrow,
    from: Option<Date>,
    to: Option<Date>,
}

/// `1795521600000.4`
fn before(text: &str) -> Option<(Millis, i64)> {
    let (at, id) = text.split_once('.')?;
    Some((at.parse().ok()?, id.parse().ok()?))
}

/// The repeats of the span, of the last days where none is asked for.
async fn pairs(app: &AppState, asked: &Asked) -> Result<(Vec<Pair>, Date), AppError> {
    let last = asked.to.unwrap_or_else(|| app.today());
    let first = asked
        .from
        .unwrap_or(last.saturating_sub(Duration::days(figures::REPEAT_DAYS)));
    let mut span = asked.narrow.clone();
    span.from = app.zone().instant(first, 0, 0).unwrap_or(i64::MIN);
    let within = (figures::REPEAT_DAYS + 1) * DAY;
    let limit = MOST_REPEATS as i64 + 1;
    let pairs = queries::pairs(&app.db, &span, within, limit).await?;
    Ok((pairs, first))
}

async fn repeats(app: &AppState, pairs: &[Pair]) -> Result<Vec<Repeat>, AppError> {
    let mut repeats = Vec::new();
    for pair in pairs.iter().take(MOST) {
        let earlier = queries::row(&app.db, pair.earlier).await?;
        let later = queries::row(&app.db, pair.later).await?;
        if let (Some(earlier), Some(later)) = (earlier, later) {
            let days = (pair.later_at - pair.earlier_at).div_euclid(DAY);
            repeats.push(Repeat {
                earlier,
                later,
                days,
            });
        }
    }
    Ok(repeats)
}

/// The jobs of the page and the address of the older ones.
async fn listed(
    app: &AppState,
    filter: &Filter,
    narrow: &Narrow,
) -> Result<(Vec<Row>, Option<String>), AppError> {
    let mut rows = queries::rows(&app.db, narrow, MOST as i64 + 1).await?;
    let more = rows.len() > MOST;
    rows.truncate(MOST);
    let Some(last) = rows.last().filter(|_| more) else {
        return Ok((rows, None));
    };
    let mut on = filter.clone();
    on.before = format!("{}.{}", last.reported_at, last.id.0);
    let query = serde_html_form::to_string(&on).map_err(|e| AppError::Broken(e.to_string()))?;
    Ok((rows, Some(app.url(&format!("/ledger?{query}#rows")))))
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor, Role::Auditor, Role::Keeper])?;
    let today = app.today();
    let (asked, note) = narrow(&app, &filter).await?;
    let (machine, limit) = (asked.narrow.machine, MOST as i64);
    let (pairs, repeats_from) = pairs(&app, &asked).await?;
    let year = today.saturating_sub(Duration::days(365));
    let (first, last) = (asked.from.unwrap_or(year), asked.to.unwrap_or(today));
    let span = queries::due_groups(&app.db, first, last, machine).await?;
    let open = queries::open_groups(&app.db, today, machine).await?;
    let counts = queries::open_counts(&app.db, &asked.narrow).await?;
    let mut page = LedgerPage {
        layout: Layout::new(&app, &user.visitor, "Ledger"),
        today,
        note,
        places: machines::queries::places(&app.db).await?,
        open: figures::open_by_state(&counts),
        rows: Vec::new(),
        older: None,
        repeats: Vec::new(),
        items: Vec::new(),
        pairs,
        repeats_from,
        overdue: figures::overdue(&open, today),
        kept: figures::kept(&span, today),
        from: first,
        to: last,
        zone: app.zone(),
        filter,
    };
    match page.filter.figure.as_str() {
        "repeats" => page.repeats = repeats(&app, &page.pairs).await?,
        "overdue" => {
            page.items = preventive::queries::open_before(&app.db, today, machine, limit).await?;
            page.items.retain(|item| item.overdue(today));
        }
        "due" => {
            page.items =
                preventive::queries::items_between(&app.db, first, last, machine, limit).await?;
            page.items
                .retain(|item| item.state != "open" || item.overdue(today));
        }
        _ => (page.rows, page.older) = listed(&app, &page.filter, &asked.narrow).await?,
    }
    Ok(Page(page).into_response())
}
