//! Reporting: anyone on the premises, no sign-in, a number at once.

use super::body::Body;
use super::record::{self, NewEntry, Outcome};
use super::{JobId, State, queries};
use crate::clock::date_words;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::machines::queries::Place;
use crate::machines::{self, Machine};
use crate::page::{Layout, Page};
use crate::people::session::Visitor;
use crate::photos::upload::{Sent, message};
use crate::photos::{self, MOST_OF_A_REPORT, taking};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State as AppStateIn};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

#[derive(Clone, Debug, Default)]
pub struct ReportInput {
    pub entry: String,
    pub tag: String,
    pub place: String,
    pub words: String,
    pub reporter: String,
    pub contact: String,
    /// A photo was chosen and the page came back: no browser keeps that.
    choose_again: bool,
}

impl ReportInput {
    fn of(fields: &Fields) -> Self {
        let get = |name| fields.get(name).to_owned();
        ReportInput {
            entry: get("entry"),
            tag: get("tag"),
            place: get("place"),
            words: get("words"),
            reporter: get("reporter"),
            contact: get("contact"),
            choose_again: false,
        }
    }
}

#[derive(Template)]
#[template(path = "jobs/report.html")]
struct ReportPage {
    layout: Layout,
    input: ReportInput,
    errors: FieldErrors,
    places: Vec<(String, String)>,
    machine: Option<Machine>,
    machine_place: String,
}

const LONGEST: usize = 2000;

async fn page(
    app: &AppState,
    visitor: &Visitor,
    mut input: ReportInput,
    errors: FieldErrors,
) -> Result<Page<ReportPage>, AppError> {
    let places = machines::queries::places(&app.db).await?;
    let machine = machines::queries::find_by_tag(&app.db, &input.tag).await?;
    let path = |id: i64| {
        places
            .iter()
            .find(|p: &&Place| p.id == id)
            .map(|p| p.path.clone())
    };
    let machine_place = machine
        .as_ref()
        .and_then(|m| path(m.place_id))
        .unwrap_or_default();
    if input.entry.is_empty() {
        input.entry = record::new_id(app.clock.now());
    }
    let places = places
        .into_iter()
        .map(|p| (p.id.to_string(), p.path))
        .collect();
    let layout = Layout::new(app, visitor, "Report");
    Ok(Page(ReportPage {
        layout,
        input,
        errors,
        places,
        machine,
        machine_place,
    }))
}

pub async fn show(
    visitor: Visitor,
    AppStateIn(app): AppStateIn<AppState>,
) -> Result<Response, AppError> {
    if app.shop().is_none() {
        return Ok(Redirect::to(&app.url("/set-up")).into_response());
    }
    let page = page(
        &app,
        &visitor,
        ReportInput::default(),
        FieldErrors::default(),
    )
    .await?;
    Ok(page.into_response())
}

/// Where the QR code of a tag leads: the report page of that machine.
pub async fn show_for_tag(
    visitor: Visitor,
    AppStateIn(app): AppStateIn<AppState>,
    Path(tag): Path<String>,
) -> Result<Response, AppError> {
    let machine = machines::queries::find_by_tag(&app.db, &tag)
        .await?
        .ok_or(AppError::NotFound)?;
    let input = ReportInput {
        tag: machine.tag,
        ..ReportInput::default()
    };
    Ok(page(&app, &visitor, input, FieldErrors::default())
        .await?
        .into_response())
}

pub async fn create(
    visitor: Visitor,
    AppStateIn(app): AppStateIn<AppState>,
    sent: Sent<MOST_OF_A_REPORT>,
) -> Result<Response, AppError> {
    let mut input = ReportInput::of(&sent.fields);
    input.choose_again = !sent.photos.is_empty();
    let mut errors = sent.problems();
    if visitor.person.is_none() && input.choose_again && photos::too_many(&app).await? {
        errors.add("photo", photos::TOO_MANY_NOW);
    }
    let body = errors.gather(parse(&app, &input).await?);
    let errors = match body {
        Some(body) if errors.is_empty() => {
            let new = NewEntry {
                id: input.entry.clone(),
                body,
                corrects: None,
                device_at: None,
                seen: None,
            };
            match taking::report(&app, visitor.person.as_ref(), new, sent.taken()).await? {
                Ok(Outcome::Added(id) | Outcome::Already(id) | Outcome::SetAside(id, _)) => {
                    let status = app.url(&format!("/status/{}?new=yes", id.0));
                    return Ok(Redirect::to(&status).into_response());
                }
                Ok(Outcome::Refused(refusal)) => FieldErrors::of(refusal.field, refusal.message),
                Err(problem) => FieldErrors::of("photo", message("", problem)),
            }
        }
        _ => errors,
    };
    let page = page(&app, &visitor, input, errors).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

async fn parse(app: &AppState, input: &ReportInput) -> Result<Result<Body, FieldErrors>, AppError> {
    let mut errors = FieldErrors::default();
    let words = errors.take(
        "words",
        form::required(&input.words, "Say what is wrong, in your own words"),
    );
    if words.chars().count() > LONGEST {
        errors.add(
            "words",
            "Keep it under 2000 characters; the rest can be told on the spot",
        );
    }
    let mut machine_id = None;
    let mut place_id = None;
    if input.tag.trim().is_empty() {
        let known = machines::queries::places(&app.db).await?;
        match input.place.trim().parse::<i64>() {
            Ok(id) if known.iter().any(|p| p.id == id) => place_id = Some(id),
            _ => errors.add("place", "Choose the place, or type the tag of the machine"),
        }
    } else {
        match machines::queries::find_by_tag(&app.db, &input.tag).await? {
            Some(machine) => {
                machine_id = Some(machine.id);
                place_id = Some(machine.place_id);
            }
            None => errors.add(
                "tag",
                "No machine here wears this tag. Check it, or leave it blank",
            ),
        }
    }
    Ok(errors.or(Body::Reported {
        place_id,
        machine_id,
        due_item_id: None,
        words,
        reporter: input.reporter.trim().to_owned(),
        contact: input.contact.trim().to_owned(),
    }))
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct StatusQuery {
    number: String,
    new: String,
}

#[derive(Template)]
#[template(path = "jobs/status.html")]
struct StatusPage {
    layout: Layout,
    number: String,
    errors: FieldErrors,
    found: Option<Standing>,
    new: bool,
}

/// What anybody with the number may know: where the job stands, never who said what.
struct Standing {
    number: i64,
    sentence: String,
    reported: String,
    what: String,
}

pub async fn ask_status(
    visitor: Visitor,
    AppStateIn(app): AppStateIn<AppState>,
    Query(query): Query<StatusQuery>,
) -> Result<Response, AppError> {
    let number = query.number.trim().to_owned();
    if let Ok(id) = number.parse::<i64>() {
        return Ok(Redirect::to(&app.url(&format!("/status/{id}"))).into_response());
    }
    let mut errors = FieldErrors::default();
    if !number.is_empty() {
        errors.add("number", "Enter the number you were given, as 118");
    }
    let layout = Layout::new(&app, &visitor, "Report");
    Ok(Page(StatusPage {
        layout,
        number,
        errors,
        found: None,
        new: false,
    })
    .into_response())
}

pub async fn status(
    visitor: Visitor,
    AppStateIn(app): AppStateIn<AppState>,
    Path(number): Path<String>,
    Query(query): Query<StatusQuery>,
) -> Result<Response, AppError> {
    let layout = Layout::new(&app, &visitor, "Report");
    let job = match number.parse::<i64>() {
        Ok(id) => queries::find(&app.db, JobId(id)).await?,
        Err(_) => None,
    };
    let Some(job) = job else {
        let errors = FieldErrors::of("number", "No report has this number");
        let page = Page(StatusPage {
            layout,
            number,
            errors,
            found: None,
            new: false,
        });
        return Ok((StatusCode::NOT_FOUND, page).into_response());
    };
    let machine = match job.machine_id {
        Some(id) => machines::queries::find(&app.db, id).await?,
        None => None,
    };
    let what = match machine {
        Some(machine) => format!("{}, {}", machine.tag, machine.name),
        None => match job.place_id {
            Some(id) => machines::queries::place(&app.db, id)
                .await?
                .map_or_else(String::new, |p| p.path),
            None => String::new(),
        },
    };
    let zone = app.zone();
    let found = Standing {
        number: job.id.0,
        sentence: sentence(&job),
        reported: zone.minute_words(job.reported_at),
        what,
    };
    let page = StatusPage {
        layout,
        number,
        errors: FieldErrors::default(),
        found: Some(found),
        new: query.new == "yes",
    };
    Ok(Page(page).into_response())
}

fn sentence(job: &super::Job) -> String {
    match job.state {
        State::Reported => "Reported. The supervisor has not looked at it yet.".to_owned(),
        State::Planned => "Accepted and planned. It will be handed to a technician.".to_owned(),
        State::HandedOut => match job.planned_on {
            Some(day) => format!("Handed to a technician for {}.", date_words(day)),
            None => "Handed to a technician.".to_owned(),
        },
        State::Isolated => {
            "Being worked on now. The machine is switched off and locked.".to_owned()
        }
        State::OnTest => "Repaired and being tested. Keep clear of the machine.".to_owned(),
        State::BackInService | State::SignedOff => {
            "Done. The machine is back in service.".to_owned()
        }
        State::Held => "Waiting. The work goes on when the reason is gone.".to_owned(),
        State::TestOwed => "Running, but a test of the repair is still owed.".to_owned(),
        State::TurnedDown => format!("Turned down: {}", job.turned_down_why),
        State::Joined => match job.joined_to {
            Some(other) => format!(
                "The same fault was reported before: see number {}.",
                other.0
            ),
            None => "The same fault was reported before.".to_owned(),
        },
    }
}
