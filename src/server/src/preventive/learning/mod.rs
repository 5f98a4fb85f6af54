//! `/preventive/learning`: what services found says whether an interval is too long or too short. The
//! program suggests; a person decides, and the reason is kept.

pub mod queries;
pub mod replacement;
pub mod rule;

use super::{queries as plans, words};
use crate::audit::audit;
use crate::clock::DAY;
use crate::error::AppError;
use crate::form::{self, CheckedForm};
use crate::machines;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use queries::Done;
use rule::{AsFound, Drift, Says, Service};
use serde::Deserialize;
use serde_json::json;
use time::{Date, Duration};

const READERS: &[Role] = &[
    Role::Technician,
    Role::Supervisor,
    Role::Auditor,
    Role::Keeper,
];
/// Services that are looked at, the newest; plans that are listed.
const MOST: i64 = 5_000;
const PLANS: usize = 100;
const YEARS: i64 = 4;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Narrow {
    pub machine: String,
}

/// A plan with what its services say.
struct Line {
    plan: i64,
    tag: String,
    action: String,
    rule: String,
    floats: bool,
    says: Says,
    /// The last services, newest first, in words.
    found: Vec<String>,
    known: usize,
    failures: usize,
    drift: Drift,
    /// A decision to keep the interval.
    kept: String,
}

#[derive(Template)]
#[template(path = "preventive/learning.html")]
struct LearningPage {
    layout: Layout,
    machine: String,
    lines: Vec<Line>,
    more: bool,
    /// The plan whose reason is missing, and what was typed.
    refused: Option<(i64, String)>,
}

impl LearningPage {
    fn refused(&self, line: &Line) -> Option<&str> {
        let refused = self.refused.as_ref().filter(|(plan, _)| *plan == line.plan);
        refused.map(|(_, message)| message.as_str())
    }
}

/// The worst part decides; nothing looked at is not known.
fn found(done: &Done) -> Option<AsFound> {
    match (done.bad + done.outside, done.worked, done.good) {
        (1.., _, _) => Some(AsFound::Bad),
        (_, 1.., _) => Some(AsFound::Fair),
        (_, _, 1..) => Some(AsFound::Good),
        _ => None,
    }
}

fn floats(rule: &str) -> bool {
    rule.contains("after_done") || rule.contains("in_season")
}

async fn line(app: &AppState, of: &[&Done]) -> Result<Line, AppError> {
    let zone = app.zone();
    let first = of.last().map_or(Date::MIN, |done| done.due_on);
    let since = zone.instant(first, 0, 0).unwrap_or(0) - 400 * DAY;
    let failures = queries::failures(&app.db, of[0].machine_id, since).await?;
    let failures: Vec<Date> = failures.into_iter().map(|at| zone.date(at)).collect();
    let services: Vec<Service> = of
        .iter()
        .enumerate()
        .map(|(at, done)| {
            let before = of
                .get(at + 1)
                .map_or(done.due_on - Duration::days(365), |b| b.done_on);
            Service {
                due_on: done.due_on,
                done_on: done.done_on,
                found: found(done),
                failed_before: failures
                    .iter()
                    .any(|on| *on > before && *on <= done.done_on),
            }
        })
        .collect();
    let kept = queries::kept(&app.db, of[0].plan_id).await?;
    let words_of = |rule: &str| match serde_json::from_str(rule) {
        Ok(rule) => words::rule(&rule),
        Err(_) => "a rule that cannot be read".to_owned(),
    };
    Ok(Line {
        plan: of[0].plan_id,
        tag: of[0].tag.clone(),
        action: of[0].action.clone(),
        rule: words_of(&of[0].rule),
        floats: floats(&of[0].rule),
        says: rule::says(&services),
        known: services.iter().filter(|s| s.found.is_some()).count(),
        failures: services.iter().filter(|s| s.failed_before).count(),
        found: services
            .iter()
            .take(8)
            .map(|s| s.found.map_or("not known", AsFound::words).to_owned())
            .collect(),
        drift: rule::drift(&services),
        kept: kept.map_or_else(String::new, |(at, who, detail)| {
            let why: serde_json::Value = serde_json::from_str(&detail).unwrap_or_default();
            format!(
                "{}, {}: {}",
                &super::pages::day(&zone.date(at))[4..],
                who.unwrap_or_default(),
                why["because"].as_str().unwrap_or("")
            )
        }),
    })
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    machine: String,
    refused: Option<(i64, String)>,
) -> Result<Page<LearningPage>, AppError> {
    let id = match machine.trim() {
        "" => 0,
        tag => machines::queries::find_by_tag(&app.db, tag)
            .await?
            .map_or(-1, |m| m.id.0),
    };
    let since = app.today().saturating_sub(Duration::days(YEARS * 365));
    let done = queries::done(&app.db, since, id, MOST).await?;
    let mut plans: Vec<Vec<&Done>> = Vec::new();
    let mut places = std::collections::HashMap::new();
    for item in &done {
        let at = *places.entry(item.plan_id).or_insert_with(|| {
            plans.push(Vec::new());
            plans.len() - 1
        });
        plans[at].push(item);
    }
    // Those of which something is known come first.
    plans.sort_by_key(|of| std::cmp::Reverse(of.iter().filter(|d| found(d).is_some()).count()));
    let more = plans.len() > PLANS;
    let mut lines = Vec::new();
    for of in plans.iter().take(PLANS) {
        lines.push(line(app, of).await?);
    }
    let order = |says: Says| match says {
        Says::Shorter => 0,
        Says::Longer => 1,
        Says::Keep => 2,
        Says::NotKnown => 3,
    };
    lines.sort_by(|a, b| (order(a.says), &a.tag, a.plan).cmp(&(order(b.says), &b.tag, b.plan)));
    Ok(Page(LearningPage {
        layout: Layout::new(app, &user.visitor, "Preventive"),
        machine,
        lines,
        more,
        refused,
    }))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(narrow): Query<Narrow>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    Ok(page(&app, &user, narrow.machine, None)
        .await?
        .into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct KeepInput {
    pub plan: i64,
    pub because: String,
}

/// Keeps the interval, with the reason on the audit list.
pub async fn keep(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<KeepInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let plan = plans::plan(&app.db, input.plan)
        .await?
        .ok_or(AppError::NotFound)?;
    let because = match form::required(&input.because, "Say why the interval is kept") {
        Ok(because) => because,
        Err(message) => {
            let page = page(&app, &user, plan.tag, Some((plan.id, message))).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    let detail = json!({ "because": because, "version": plan.version });
    let (at, whose) = (app.clock.now(), Some(user.id()));
    audit(
        &mut tx,
        at,
        whose,
        ("plans", plan.id),
        "interval kept",
        &detail,
    )
    .await?;
    tx.commit().await?;
    let to = serde_html_form::to_string([("machine", &plan.tag)]).unwrap_or_default();
    Ok(Redirect::to(&app.url(&format!("/preventive/learning?{to}"))).into_response())
}
