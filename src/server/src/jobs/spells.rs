//! `/jobs/{id}/time`: who spent how long on what, and the split into work and delays.

use super::JobId;
use super::body::Body;
use super::queries::{self, SpellRow};
use super::spells_form::TimeInput;
pub use super::spells_form::{KINDS, clock_time, hours, words_of};
use super::step_page::{WORKERS, refused};
use super::steps::{self, JobView, Keys};
use crate::clock::{Millis, Zone, date_value};
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as AppStateIn};
use axum::response::{IntoResponse, Response};
use calc::life::restoration;
use calc::life::spells::{Odd, Spell, from_spells};
use calc::working::Working;
use time::{OffsetDateTime, PrimitiveDateTime};

fn wall(at: Millis) -> PrimitiveDateTime {
    // In UTC, so that no clock change lies between two of them.
    let at = OffsetDateTime::from_unix_timestamp(at.div_euclid(1000))
        .unwrap_or(OffsetDateTime::UNIX_EPOCH);
    PrimitiveDateTime::new(at.date(), at.time())
}

/// A stretch as the page shows it.
struct Shown {
    entry: String,
    who: String,
    what: String,
    when: String,
    long: String,
    note: String,
    odd: Vec<String>,
}

#[derive(Template)]
#[template(path = "jobs/time.html")]
struct TimePage {
    layout: Layout,
    view: JobView,
    keys: Keys,
    withdraw: Keys,
    input: TimeInput,
    errors: FieldErrors,
    may_write: bool,
    people: Vec<(String, String)>,
    spells: Vec<Shown>,
    split: Option<Working>,
}

impl TimePage {
    async fn new(
        app: &AppState,
        user: &CurrentUser,
        id: JobId,
        typed: Option<TimeInput>,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, id).await?;
        let rows = queries::spells(&app.db, id).await?;
        let elsewhere = queries::spells_elsewhere(&app.db, id).await?;
        let people = people::queries::list(&app.db)
            .await?
            .into_iter()
            .filter(|person| !person.closed && WORKERS.contains(&person.role))
            .map(|person| (person.id.0.to_string(), person.name))
            .collect();
        let (split, odd) = split(&view, &rows);
        let zone = app.zone();
        let spells = rows
            .iter()
            .enumerate()
            .map(|(at, row)| shown(row, at, &odd, &elsewhere, &zone))
            .collect();
        let now = app.clock.now();
        let keys = match &typed {
            Some(input) => input.keys.clone(),
            None => Keys::fresh(app, &view.job),
        };
        let input = typed.unwrap_or_else(|| TimeInput {
            person: user.id().0.to_string(),
            day: date_value(app.today()),
            ..TimeInput::default()
        });
        Ok(TimePage {
            layout: Layout::new(app, &user.visitor, "Today"),
            withdraw: view.fresh_keys(now),
            may_write: super::step_page::works(&user.person),
            view,
            keys,
            input,
            errors,
            people,
            spells,
            split,
        })
    }

    fn kinds(&self) -> Vec<(&'static str, &'static str)> {
        KINDS
            .iter()
            .map(|(word, words, ..)| (*word, *words))
            .collect()
    }
}

/// The split of the written stretches between the report and the return to service.
fn split(view: &JobView, rows: &[SpellRow]) -> (Option<Working>, Vec<(usize, Odd)>) {
    let spells: Vec<Spell> = rows
        .iter()
        .filter_map(|row| {
            let (_, _, kind, _) = KINDS.iter().find(|(word, ..)| *word == row.spent)?;
            Some(Spell {
                kind: *kind,
                from: wall(row.from_at),
                to: wall(row.to_at),
                person: (!row.person.is_empty()).then(|| row.person.clone()),
            })
        })
        .collect();
    if spells.is_empty() {
        return (None, Vec::new());
    }
    let found = from_spells(
        &spells,
        Some(wall(view.job.reported_at)),
        view.job.back_at.map(wall),
    );
    let working = restoration::working(&found.times, Some(&found));
    (Some(working), found.odd)
}

fn shown(
    row: &SpellRow,
    at: usize,
    odd: &[(usize, Odd)],
    elsewhere: &[SpellRow],
    zone: &Zone,
) -> Shown {
    let mut remarks: Vec<String> = odd
        .iter()
        .filter(|(of, _)| *of == at)
        .map(|(_, odd)| remark(*odd).to_owned())
        .collect();
    let at_once = |other: &&SpellRow| {
        other.person_id == row.person_id && other.from_at < row.to_at && other.to_at > row.from_at
    };
    if let Some(other) = elsewhere.iter().find(at_once) {
        remarks.push(format!(
            "{} is written down on job {} at the same time",
            row.person, other.job_id.0
        ));
    }
    Shown {
        entry: row.entry_id.clone(),
        who: row.person.clone(),
        what: words_of(&row.spent).to_owned(),
        when: format!(
            "{} to {}",
            zone.minute_words(row.from_at),
            zone.time_words(row.to_at)
        ),
        long: hours(row.from_at, row.to_at),
        note: row.note.clone(),
        odd: remarks,
    }
}

fn remark(odd: Odd) -> &'static str {
    match odd {
        Odd::EndsBeforeItStarts => "It does not end after it starts, and is left out",
        Odd::BeforeTheFailure => "It starts before the report; only what follows is counted",
        Odd::AfterTheRestoration => "It ends after the return to service; the rest is not counted",
        Odd::WorkOverADay => "More than 24 h in one piece: is an end missing?",
        Odd::PersonTwiceAtOnce => "The same person is at two things at once",
    }
}

/// `GET /jobs/{id}/time`
pub async fn show(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let page = TimePage::new(&app, &user, JobId(id), None, FieldErrors::default()).await?;
    Ok(Page(page).into_response())
}

/// `POST /jobs/{id}/time`
pub async fn spend(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<TimeInput>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let body = input.parse(&app.zone(), app.clock.now());
    finish(&app, &user, JobId(id), input, body).await
}

/// `POST /jobs/{id}/time/withdraw`
pub async fn withdraw(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<TimeInput>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let body = form::required(&input.why, "Say what was wrong with it")
        .map_err(|message| FieldErrors::of("why", message))
        .map(|why| Body::TimeWithdrawn {
            of: input.of.trim().to_owned(),
            why,
        });
    finish(&app, &user, JobId(id), input, body).await
}

async fn finish(
    app: &AppState,
    user: &CurrentUser,
    id: JobId,
    input: TimeInput,
    body: Result<Body, FieldErrors>,
) -> Result<Response, AppError> {
    let errors = match body {
        Ok(body) => match steps::add(app, user, id, &input.keys, body).await? {
            Ok(()) => return Ok(steps::go(app, id, "/time")),
            Err(errors) => errors,
        },
        Err(errors) => errors,
    };
    Ok(refused(
        TimePage::new(app, user, id, Some(input), errors).await?,
    ))
}
