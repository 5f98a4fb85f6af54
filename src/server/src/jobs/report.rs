//! Reporting: anyone on the premises, no sign-in, a number at once.

use super::again::Already;
use super::answers::{Answers, YES_NO};
use super::body::Body;
use super::record::{self, NewEntry, Outcome};
use super::{JobId, again, queries};
use crate::clock::DAY;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::limits::Client;
use crate::machines::queries::Place;
use crate::machines::{self, Machine};
use crate::page::{Layout, Page};
use crate::people::Person;
use crate::people::session::Visitor;
use crate::photos::shrink::{Problem, Shrunk};
use crate::photos::upload::{Sent, message};
use crate::photos::{self, MOST_OF_A_REPORT, taking};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as AppStateIn};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

#[derive(Clone, Debug, Default)]
pub struct ReportInput {
    pub entry: String,
    pub tag: String,
    pub place: String,
    pub words: String,
    pub reporter: String,
    pub contact: String,
    /// The number of the open report that this one is the same as; empty: none.
    pub same: String,
    pub answers: Answers,
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
            same: get("same"),
            answers: Answers::of(fields),
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
    already: Vec<Already>,
    emergency_entry: String,
}

const LONGEST: usize = 2000;
/// Of a name, and of how to reach somebody.
const LONGEST_NAME: usize = 200;
/// Reports of a day without a sign-in whose jobs are open, in the whole shop.
const OPEN_UNSIGNED_A_DAY: i64 = 30;

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
    let already = match &machine {
        Some(machine) => again::already(&app.db, machine.id, app.clock.now()).await?,
        None => Vec::new(),
    };
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
        already,
        emergency_entry: record::new_id(app.clock.now()),
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
    client: Client,
    AppStateIn(app): AppStateIn<AppState>,
    sent: Sent<MOST_OF_A_REPORT>,
) -> Result<Response, AppError> {
    let mut input = ReportInput::of(&sent.fields);
    input.choose_again = !sent.photos.is_empty();
    let mut errors = sent.problems();
    if visitor.person.is_none() && input.choose_again && photos::too_many(&app).await? {
        errors.add("photo", photos::TOO_MANY_NOW);
    }
    if input.choose_again && !input.same.trim().is_empty() {
        errors.add(
            "photo",
            "A photo goes with a report of its own only. Leave it out here",
        );
    }
    let body = errors.gather(parse(&app, &input).await?);
    let Some(body) = body.filter(|_| errors.is_empty()) else {
        let page = page(&app, &visitor, input, errors).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    // A form sent twice was taken the first time and is not turned away the second.
    let sent_before = queries::code_of_entry(&app.db, &input.entry)
        .await?
        .is_some();
    let unsigned = visitor.person.is_none() && !sent_before;
    if unsigned && let Some(sentence) = too_many(&app, client).await? {
        let page = page(&app, &visitor, input, FieldErrors::of("form", sentence)).await?;
        return Ok((StatusCode::TOO_MANY_REQUESTS, page).into_response());
    }
    let new = NewEntry {
        id: input.entry.clone(),
        body,
        corrects: None,
        device_at: None,
        seen: None,
    };
    let outcome = record_one(&app, visitor.person.as_ref(), &input, new, sent.taken()).await?;
    if unsigned && !matches!(outcome, Ok(Outcome::Added(_))) {
        app.limits.reports.give_back(client.0);
    }
    let errors = match outcome {
        Ok(Outcome::Added(id) | Outcome::Already(id) | Outcome::SetAside(id, _)) => {
            let code = queries::code_of_entry(&app.db, &input.entry).await?;
            let code = code.map_or_else(String::new, |code| format!("&code={code}"));
            let to = format!("/status/{}?new=yes{code}", id.0);
            return Ok(Redirect::to(&app.url(&to)).into_response());
        }
        Ok(Outcome::Refused(refusal)) => FieldErrors::of(refusal.field, refusal.message),
        Err(problem) => FieldErrors::of("photo", message("", problem)),
    };
    let page = page(&app, &visitor, input, errors).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

/// Why a report without a sign-in is not taken now; otherwise it counts for this address.
async fn too_many(app: &AppState, client: Client) -> Result<Option<String>, AppError> {
    let now = app.clock.now();
    if queries::open_unsigned(&app.db, now - DAY).await? >= OPEN_UNSIGNED_A_DAY {
        let sentence = "Your report was not taken: too many reports without a sign-in are open \
                        today. Phone the shop, or sign in and report";
        return Ok(Some(sentence.to_owned()));
    }
    Ok(app.limits.reports.take(client.0, now).err().map(|until| {
        format!(
            "Your report was not taken: many came from your address within the hour. Phone the \
             shop, or sign in and report; without that it goes again from {}",
            app.zone().time_words(until)
        )
    }))
}

/// A job of its own, or more words for the one that it is the same as.
async fn record_one(
    app: &AppState,
    person: Option<&Person>,
    input: &ReportInput,
    mut new: NewEntry,
    photos: Vec<Shrunk>,
) -> Result<Result<Outcome, Problem>, AppError> {
    let same = input.same.trim();
    match (&new.body, same.is_empty()) {
        (
            Body::Reported {
                machine_id: Some(machine),
                ..
            },
            false,
        ) => {
            let machine = *machine;
            let job = JobId(same.parse().unwrap_or(0));
            new.body = again::body(new.body);
            again::add(app, job, machine, person, new).await.map(Ok)
        }
        _ => taking::report(app, person, new, photos).await,
    }
}

pub(crate) async fn parse(
    app: &AppState,
    input: &ReportInput,
) -> Result<Result<Body, FieldErrors>, AppError> {
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
    for (field, text) in [("reporter", &input.reporter), ("contact", &input.contact)] {
        if text.chars().count() > LONGEST_NAME {
            errors.add(field, "Keep it under 200 characters");
        }
    }
    let mut machine_id = None;
    let mut place_id = None;
    let mut criticality = None;
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
                criticality = Some(machine.criticality);
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
        urgency: input.answers.judged(criticality.as_deref()),
    }))
}
