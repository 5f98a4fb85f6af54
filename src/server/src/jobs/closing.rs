//! After the proof: the cause, and the supervisor's sign-off.

use super::body::Body;
use super::detail::step_list::{self, Tally};
use super::queries::Entry;
use super::steps::{self, JobView, Keys};
use super::ways::Ways;
use super::ways::pages::asked_of;
use super::{Job, JobId, codes};
use crate::clock::Zone;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State as AppStateIn};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

const WORKERS: &[Role] = &[Role::Technician, Role::Supervisor];

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct CauseInput {
    #[serde(flatten)]
    pub keys: Keys,
    pub component: String,
    pub mode: String,
    /// `mechanism|cause` of a line of the list, or `own` for the person's own words.
    pub line: String,
    pub own_mechanism: String,
    pub own_cause: String,
    pub evidence: String,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct CauseQuery {
    /// `component|mode`
    what: String,
}

/// One line to choose from.
struct Choice {
    value: String,
    mechanism: &'static str,
    cause: &'static str,
    evidence: &'static str,
}

#[derive(Template)]
#[template(path = "jobs/cause.html")]
struct CausePage {
    layout: Layout,
    view: JobView,
    keys: Keys,
    input: CauseInput,
    errors: FieldErrors,
    groups: Vec<(&'static str, Vec<&'static str>)>,
    choices: Vec<Choice>,
}

async fn cause_page(
    app: &AppState,
    user: &CurrentUser,
    id: JobId,
    input: CauseInput,
    errors: FieldErrors,
) -> Result<Response, AppError> {
    let view = JobView::load(app, id).await?;
    let choices = if input.mode.is_empty() {
        Vec::new()
    } else {
        codes::rows(&input.component, &input.mode)
            .into_iter()
            .map(|code| Choice {
                value: format!("{}|{}", code.mechanism, code.cause),
                mechanism: &code.mechanism,
                cause: &code.cause,
                evidence: &code.evidence,
            })
            .collect()
    };
    let groups = codes::components()
        .into_iter()
        .map(|c| (c, codes::modes(c)))
        .collect();
    let status = if errors.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    let page = CausePage {
        layout: Layout::new(app, &user.visitor, "Today"),
        keys: Keys::fresh(app, &view.job),
        view,
        input,
        errors,
        groups,
        choices,
    };
    Ok((status, Page(page)).into_response())
}

pub async fn show_cause(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    Query(query): Query<CauseQuery>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let (component, mode) = query.what.split_once('|').unwrap_or(("", ""));
    let input = CauseInput {
        component: component.to_owned(),
        mode: mode.to_owned(),
        ..CauseInput::default()
    };
    cause_page(&app, &user, JobId(id), input, FieldErrors::default()).await
}

impl CauseInput {
    fn parse(&self) -> Result<Body, FieldErrors> {
        let mut errors = FieldErrors::default();
        let (mechanism, cause) = match self.line.as_str() {
            "" => {
                errors.add(
                    "line",
                    "Choose what had happened; unknown and not examined are answers",
                );
                ("", "")
            }
            "own" => {
                if self.own_mechanism.trim().is_empty() {
                    errors.add("own_mechanism", "Say what had happened to it");
                }
                if self.own_cause.trim().is_empty() {
                    errors.add("own_cause", "Say why, or write unknown");
                }
                (self.own_mechanism.trim(), self.own_cause.trim())
            }
            line => line.split_once('|').unwrap_or((line, "unknown")),
        };
        errors.or(Body::Cause {
            component: self.component.trim().to_owned(),
            mode: self.mode.trim().to_owned(),
            mechanism: mechanism.to_owned(),
            cause: cause.to_owned(),
            evidence: self.evidence.trim().to_owned(),
        })
    }
}

pub async fn record_cause(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<CauseInput>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let id = JobId(id);
    let refused = match input.parse() {
        Ok(body) => steps::add(&app, &user, id, &input.keys, body).await?,
        Err(errors) => Err(errors),
    };
    match refused {
        Ok(()) => Ok(steps::go(&app, id, "/plan-from-cause")),
        Err(errors) => cause_page(&app, &user, id, input, errors).await,
    }
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct SignOffInput {
    #[serde(flatten)]
    pub keys: Keys,
    pub note: String,
}

/// One thing to look at before signing.
struct Check {
    what: &'static str,
    value: String,
    done: bool,
}

impl Check {
    fn new(what: &'static str, value: String, done: bool) -> Check {
        Check { what, value, done }
    }
}

#[derive(Template)]
#[template(path = "jobs/sign_off.html")]
struct SignOffPage {
    layout: Layout,
    view: JobView,
    keys: Keys,
    note: String,
    errors: FieldErrors,
    checks: Vec<Check>,
    locks: Vec<String>,
    set_aside: usize,
    /// Each time somebody said anew what the work touches.
    extents: Vec<String>,
    /// Hands went further than what it is proved for now.
    further: String,
}

/// Who accepted the work, and what they saw working.
fn accepted(job: &Job) -> String {
    match (job.way.accepted_by.as_str(), job.way.saw_working.as_str()) {
        ("", _) => "not recorded".to_owned(),
        (by, "") => format!("{by}; what they saw is not recorded"),
        (by, saw) => format!("{by}, who saw: {saw}"),
    }
}

/// What was said of the work's extent after it was handed out, one line each.
fn extents(entries: &[Entry], zone: &Zone) -> Vec<String> {
    let begun = |entry: &&Entry| !matches!(entry.body, Body::HandedOut { .. });
    let after = entries.iter().skip_while(begun);
    let counts = after.filter(|entry| entry.set_aside.is_none());
    let said = counts.filter_map(|entry| match &entry.body {
        Body::Ways(Ways::TouchesSet { touches, why }) => {
            let because = match why.as_str() {
                "" => String::new(),
                why => format!(": {why}"),
            };
            let when = zone.minute_words(entry.received_at);
            Some(format!(
                "{}, by {}, {when}{because}",
                touches.words(),
                entry.person
            ))
        }
        _ => None,
    });
    said.collect()
}

/// Words where hands may have gone further than the extent that the proof was taken for.
fn further(job: &Job) -> String {
    match job.way.hands {
        Some(hands) if hands > job.way.level() => format!(
            "The machine was opened as far as: {}. The proof asked for now is that of: {}.",
            hands.words(),
            job.way.level().words()
        ),
        _ => String::new(),
    }
}

/// What to look at before signing.
fn checks(view: &JobView, zone: &Zone, tally: &Tally, photos: usize) -> Vec<Check> {
    let job = &view.job;
    let asked = asked_of(view);
    let at =
        |at: Option<i64>| at.map_or_else(|| "not recorded".to_owned(), |t| zone.minute_words(t));
    let taken = match photos {
        0 => "none".to_owned(),
        some => some.to_string(),
    };
    vec![
        Check::new("As found", at(job.as_found_at), job.as_found_at.is_some()),
        Check::new(
            "Locks of this job still on",
            view.own_locks().count().to_string(),
            view.own_locks().next().is_none(),
        ),
        Check::new(
            "Proof",
            job.proof_verdict
                .as_deref()
                .unwrap_or("not recorded")
                .replace('_', " "),
            job.proved() || job.way.finished,
        ),
        Check::new("Steps of procedures", tally.words(), tally.whole()),
        Check::new("Photos", taken, photos > 0 || !asked.cause),
        Check::new("Back in service", at(job.back_at), job.back_at.is_some()),
        Check::new(
            "Accepted back",
            accepted(job),
            job.way.finished || !job.way.accepted_by.is_empty(),
        ),
        Check::new(
            "Cause",
            at(job.cause_at),
            job.cause_at.is_some() || !asked.cause,
        ),
    ]
}

async fn sign_off_page(
    app: &AppState,
    user: &CurrentUser,
    id: JobId,
    note: String,
    errors: FieldErrors,
) -> Result<Response, AppError> {
    let view = JobView::load(app, id).await?;
    let entries = super::queries::entries(&app.db, id).await?;
    let tally = step_list::tally(app, id).await?;
    let photos = crate::photos::queries::of_job(&app.db, id).await?.len();
    let zone = app.zone();
    let checks = checks(&view, &zone, &tally, photos);
    let job = &view.job;
    let status = if errors.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    let page = SignOffPage {
        layout: Layout::new(app, &user.visitor, "Desk"),
        keys: Keys::fresh(app, job),
        extents: extents(&entries, &zone),
        further: further(job),
        set_aside: entries.iter().filter(|e| e.set_aside.is_some()).count(),
        view,
        note,
        errors,
        checks,
        locks: super::control::lock_lines(app, id).await?,
    };
    Ok((status, Page(page)).into_response())
}

pub async fn show_sign_off(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    sign_off_page(
        &app,
        &user,
        JobId(id),
        String::new(),
        FieldErrors::default(),
    )
    .await
}

pub async fn sign_off(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<SignOffInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let id = JobId(id);
    let body = Body::SignedOff {
        note: input.note.trim().to_owned(),
    };
    match steps::add(&app, &user, id, &input.keys, body).await? {
        Ok(()) => Ok(steps::go(&app, id, "")),
        Err(errors) => sign_off_page(&app, &user, id, input.note, errors).await,
    }
}
