//! The preventive pages: what is due, the plans by machine, and one plan with its dates.

use super::wide::{self, WidePlan, queries::Revision};
use super::{DueItem, Plan, ahead, queries, words};
use crate::clock::date_words;
use crate::error::AppError;
use crate::form::FieldErrors;
use crate::jobs::record;
use crate::ledger;
use crate::machines;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use calc::due::{self, Closed, Due};
use serde::Deserialize;
use time::Date;

/// Who may read plans; only a supervisor changes them.
fn reads(user: &CurrentUser) -> Result<(), AppError> {
    user.require(&[
        Role::Technician,
        Role::Supervisor,
        Role::Auditor,
        Role::Keeper,
    ])
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Filter {
    /// A machine's tag.
    pub machine: String,
    /// The plans go on behind this tag.
    pub after: String,
}

/// Due items on a page, and machines whose plans are.
const MOST: i64 = 100;

#[derive(Template)]
#[template(path = "preventive/list.html")]
struct ListPage {
    layout: Layout,
    today: Date,
    machine: String,
    items: Vec<DueItem>,
    plans: Vec<Plan>,
    /// How many are open and overdue, of which the page shows some.
    open: i64,
    overdue: i64,
    /// The tag behind which the plans go on.
    next: Option<String>,
    wide: Vec<(WidePlan, String)>,
}

impl ListPage {
    /// What else is done with this item.
    fn included(&self, item: &DueItem) -> Vec<&DueItem> {
        let covered = |other: &&DueItem| other.covered_by == Some(item.id);
        self.items.iter().filter(covered).collect()
    }

    fn standing(&self) -> Vec<&DueItem> {
        let stands = |item: &&DueItem| item.covered_by.is_none();
        self.items.iter().filter(stands).collect()
    }

    fn wide_words(&self, plan: &WidePlan) -> String {
        words::rule(&plan.rule)
    }

    /// More is open than is listed.
    fn cut(&self) -> bool {
        (self.items.len() as i64) < self.open
    }

    fn late(&self, item: &DueItem) -> bool {
        item.overdue(self.today)
    }

    fn days(&self, item: &DueItem) -> String {
        days_words(item, self.today)
    }

    fn plan_words(&self, plan: &Plan) -> String {
        words::rule(&plan.rule)
    }
}

/// `Wed 25 Nov 2026`; templates hand over references.
pub fn day(on: &Date) -> String {
    date_words(*on)
}

/// `due in 5 days`, `today`, `12 days late`
pub fn days_words(item: &DueItem, today: Date) -> String {
    match item.days_late(today) {
        0 => "today".to_owned(),
        1 => "1 day late".to_owned(),
        -1 => "in 1 day".to_owned(),
        late if late > 0 => format!("{late} days late"),
        early => format!("in {} days", -early),
    }
}

/// The wide plans, each with where it holds in words.
async fn wide_plans(app: &AppState) -> Result<Vec<(WidePlan, String)>, AppError> {
    let mut wide = Vec::new();
    let places = machines::queries::places(&app.db).await?;
    for plan in wide::queries::list(&app.db).await? {
        let place = places.iter().find(|place| Some(place.id) == plan.place_id);
        let on = match (&plan.machine_kind, place) {
            (Some(kind), _) => {
                let known = machines::KINDS.iter().find(|(word, _)| word == kind);
                format!("every {}", known.map_or(kind.as_str(), |(_, words)| *words))
            }
            (None, Some(place)) => format!("every machine in {}", place.path),
            (None, None) => String::new(),
        };
        wide.push((plan, on));
    }
    Ok(wide)
}

/// Leaves the plans of one machine too many for the next page, and says behind which tag that begins.
fn cut(plans: &mut Vec<Plan>) -> Option<String> {
    let mut tags: Vec<&str> = plans.iter().map(|plan| plan.tag.as_str()).collect();
    tags.dedup();
    if i64::try_from(tags.len()).unwrap_or(i64::MAX) <= MOST {
        return None;
    }
    let last = tags.pop()?.to_owned();
    let before = tags.last().map(|tag| (*tag).to_owned());
    plans.retain(|plan| plan.tag != last);
    before
}

pub async fn list(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    reads(&user)?;
    let tag = filter.machine.trim().to_owned();
    let machine = match tag.as_str() {
        "" => 0,
        tag => machines::queries::find_by_tag(&app.db, tag)
            .await?
            .map_or(-1, |machine| machine.id.0),
    };
    let today = app.today();
    let items = queries::open_items(&app.db, machine, MOST).await?;
    let late = ledger::queries::open_groups(&app.db, today, machine).await?;
    let after = filter.after.replace('\0', "").to_ascii_lowercase();
    let mut plans = match machine {
        0 => queries::plans_after(&app.db, &after, MOST + 1).await?,
        _ => queries::plans_on(&app.db, machine).await?,
    };
    let next = if machine == 0 { cut(&mut plans) } else { None };
    let wide = wide_plans(&app).await?;
    let layout = Layout::new(&app, &user.visitor, "Preventive");
    let page = ListPage {
        layout,
        today,
        machine: tag,
        open: queries::open_count(&app.db, machine).await?,
        overdue: ledger::figures::overdue(&late, today),
        items,
        plans,
        next,
        wide,
    };
    Ok(Page(page).into_response())
}

#[derive(Template)]
#[template(path = "preventive/show.html")]
pub(super) struct ShowPage {
    layout: Layout,
    /// Procedures with steps that wait for isolation.
    locking: Vec<i64>,
    procedure: Option<(i64, String)>,
    parts: Vec<String>,
    today: Date,
    plan: Plan,
    items: Vec<DueItem>,
    upcoming: Vec<Due>,
    /// Why no date can be stated, where none can.
    no_date: String,
    errors: FieldErrors,
    note: String,
    entry_id: String,
    revisions: Vec<(Revision, String, String)>,
    closed: Closed,
}

/// How far from its date an item was done: `2 days early`.
pub fn drift_words(item: &DueItem) -> String {
    let Some(on) = item.done_on.filter(|_| item.state == "done") else {
        return String::new();
    };
    match (on - item.due_on).whole_days() {
        0 => "on its day".to_owned(),
        1 => "1 day late".to_owned(),
        -1 => "1 day early".to_owned(),
        late if late > 0 => format!("{late} days late"),
        early => format!("{} days early", -early),
    }
}

impl ShowPage {
    fn planned(&self, on: &Date) -> String {
        crate::shop::closed::planned_words(*on, &self.closed)
    }

    fn drift(&self, item: &DueItem) -> String {
        drift_words(item)
    }

    /// `3 done, on average 4 days late; that moved the dates of this plan 12 days` and the like.
    fn drift_in_all(&self) -> String {
        let days: Vec<i64> = self
            .items
            .iter()
            .filter(|item| item.state == "done")
            .filter_map(|item| Some((item.done_on? - item.due_on).whole_days()))
            .collect();
        if days.is_empty() {
            return String::new();
        }
        let sum: i64 = days.iter().sum();
        let early = days.iter().filter(|d| **d < 0).count();
        let late = days.iter().filter(|d| **d > 0).count();
        let counts = format!("{} done: {early} early, {late} late", days.len());
        if super::steps::fixed(&self.plan.rule) {
            return format!("{counts}. The dates of this plan do not move.");
        }
        let way = if sum < 0 { "earlier" } else { "later" };
        let sum = sum.abs();
        format!("{counts}. Together that has moved its dates {sum} days {way}.")
    }

    fn late(&self, item: &DueItem) -> bool {
        item.overdue(self.today)
    }

    fn days(&self, item: &DueItem) -> String {
        days_words(item, self.today)
    }

    fn beyond(&self, item: &DueItem) -> bool {
        item.beyond_limit(self.today)
    }

    fn isolation(&self) -> &'static str {
        let needs = &self.plan.needs;
        needs.isolation(&self.plan.steps, &self.locking).words()
    }

    fn limit(&self, item: &DueItem) -> String {
        item.needs
            .hard_limit(item.due_on)
            .map_or_else(String::new, date_words)
    }

    fn rule(&self) -> String {
        words::rule(&self.plan.rule)
    }

    fn open(&self) -> Option<&DueItem> {
        self.items.iter().find(|item| item.state == "open")
    }

    fn steps(&self) -> Vec<&str> {
        self.plan
            .steps
            .lines()
            .filter(|line| !line.trim().is_empty())
            .collect()
    }
}

/// What the plan was before, each with its rule and its last moment in words.
async fn revisions(app: &AppState, plan: i64) -> Result<Vec<(Revision, String, String)>, AppError> {
    let mut revisions = Vec::new();
    for revision in wide::queries::revisions(&app.db, plan).await? {
        let rule = serde_json::from_str(&revision.rule);
        let rule = rule.map(|rule| words::rule(&rule)).unwrap_or_default();
        let until = app.zone().minute_words(revision.until_at);
        revisions.push((revision, rule, until));
    }
    Ok(revisions)
}

pub(super) async fn show_page(
    app: &AppState,
    user: &CurrentUser,
    id: i64,
    errors: FieldErrors,
    note: String,
) -> Result<Page<ShowPage>, AppError> {
    let plan = queries::plan(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let items = queries::items_of(&app.db, id).await?;
    let readings = queries::meter(&app.db, plan.machine_id).await?;
    let today = app.today();
    let past: Vec<(Date, String, Option<Date>)> = items
        .iter()
        .map(|item| (item.due_on, item.state.clone(), item.done_on))
        .collect();
    let (mut upcoming, mut no_date) = (Vec::new(), String::new());
    if plan.ended_on.is_none() {
        let open = items.iter().find(|item| item.state == "open");
        let done = ahead::last_done(&past);
        let meter = ahead::meter(readings.clone(), done);
        upcoming = ahead::shown(&plan, &past, readings, open, today, 10);
        let asked = due::next(&plan.rule, plan.anchor_on, done, today, &meter);
        if let (None, Err(why)) = (open, asked) {
            no_date = why.to_string();
        }
    }
    let revisions = revisions(app, id).await?;
    let layout = Layout::new(app, &user.visitor, "Preventive");
    let entry_id = record::new_id(app.clock.now());
    let procedure = match plan.needs.procedure {
        Some(id) => crate::procedures::queries::find(&app.db, id).await?,
        None => None,
    };
    Ok(Page(ShowPage {
        locking: queries::locking_procedures(&app.db).await?,
        procedure: procedure.map(|found| (found.id, found.name)),
        parts: super::needs_form::parts_beside_shelf(app, &plan.needs).await?,
        layout,
        today,
        plan,
        items,
        upcoming,
        no_date,
        errors,
        note,
        entry_id,
        revisions,
        closed: crate::shop::closed_queries::closed(&app.db).await?,
    }))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    reads(&user)?;
    let page = show_page(&app, &user, id, FieldErrors::default(), String::new()).await?;
    Ok(page.into_response())
}
