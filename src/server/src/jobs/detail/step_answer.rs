//! `/jobs/{id}/steps/{position}`: one step, answered by a tick, a reading or a word.

use super::{Answer, Detail, JobStep};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::instruments::{self, Instrument, used};
use crate::jobs::body::{Body, LiveTest, Reading};
use crate::jobs::step_page::{WORKERS, refused, typed};
use crate::jobs::steps::{self, JobView, Keys};
use crate::jobs::{JobId, State, queries};
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, PersonId};
use crate::procedures::{Judged, Step, Takes};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as AppStateIn};
use axum::response::{IntoResponse, Response};
use instruments::used::Used;
use time::Date;

#[derive(Template)]
#[template(path = "jobs/step.html")]
struct StepPage {
    layout: Layout,
    view: JobView,
    position: i64,
    step: Step,
    qualified: Vec<(String, String)>,
    instruments: Vec<Instrument>,
    fields: Fields,
    errors: FieldErrors,
    now: i64,
}

impl StepPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        (job, position): (JobId, i64),
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        let found = find(app, job, position).await?;
        let qualified = people::queries::list(&app.db)
            .await?
            .into_iter()
            .filter(|p| !p.closed && p.qualified_on.is_some())
            .map(|p| (p.id.0.to_string(), p.name))
            .collect();
        Ok(StepPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            now: app.clock.now(),
            step: found.step,
            view,
            position,
            qualified,
            instruments: instruments::queries::all(&app.db).await?,
            fields,
            errors,
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    fn ticked(&self, name: &str) -> bool {
        self.fields.ticked(name)
    }

    /// Asked only once the figure turned out the same.
    fn asks_same(&self) -> bool {
        self.errors.get("same").is_some() || self.ticked("same")
    }

    /// Power is back: was it done before?
    fn asks_before_power(&self) -> bool {
        let back = matches!(
            self.view.job.state,
            State::OnTest | State::TestOwed | State::BackInService
        );
        self.step.locked && back
    }

    fn act(&self) -> &'static str {
        answer_of(&self.step).word()
    }

    fn reading_label(&self) -> String {
        format!("Reading, {}", self.step.unit)
    }

    fn limit_hint(&self) -> String {
        match self.step.limit_words() {
            words if words.is_empty() => {
                format!("In {}, as the instrument shows it.", self.step.unit)
            }
            words => format!("Limit: {words}."),
        }
    }
}

async fn find(app: &AppState, job: JobId, position: i64) -> Result<JobStep, AppError> {
    queries::job_steps(&app.db, job)
        .await?
        .into_iter()
        .find(|step| step.position == position && !step.dropped)
        .ok_or(AppError::NotFound)
}

/// The answer that carries a step out.
pub(in crate::jobs) fn answer_of(step: &Step) -> Answer {
    match step.takes {
        Takes::Tick => Answer::Done,
        Takes::Reading => Answer::Reading,
        Takes::Choice => Answer::Choice,
    }
}

/// What was typed, as an entry; the gate says what is missing.
pub(in crate::jobs) fn read(
    position: i64,
    step: &Step,
    fields: &Fields,
    (register, today): (&[Instrument], Date),
) -> Result<Detail, FieldErrors> {
    let answer = Answer::named(fields.get("answer"))
        .ok_or_else(|| FieldErrors::of("answer", "Say whether it was done"))?;
    let shown = fields.get("reading");
    let reading = (!shown.is_empty()).then(|| Reading {
        point: step.text.clone(),
        quantity: step.quantity.clone(),
        as_shown: shown.to_owned(),
        value: step.figure(shown),
    });
    let judged = reading.as_ref().map(|r| step.judge(&r.as_shown));
    let mut errors = FieldErrors::default();
    let named = reading.is_some() && !fields.get("instrument").is_empty();
    let used = named.then(|| used::read(fields, register, today, &mut errors));
    let live = live(step, reading.is_some(), fields, used.as_ref(), errors)?;
    Ok(Detail::StepDone {
        position,
        answer,
        outside: matches!(judged, Some(Judged::Outside | Judged::NotJudged)),
        reading,
        choice: fields.get("choice").to_owned(),
        as_found: fields.ticked("as_found"),
        why: fields.get("why").to_owned(),
        same_read_again: fields.ticked("same"),
        before_power: fields.ticked("before_power"),
        used: used.filter(|_| live.is_none()),
        live,
    })
}

/// Who read live parts, with what and how guarded; asked of volts and amps only.
fn live(
    step: &Step,
    read: bool,
    fields: &Fields,
    used: Option<&Used>,
    mut errors: FieldErrors,
) -> Result<Option<LiveTest>, FieldErrors> {
    if !step.live() || !read {
        return errors.or(None);
    }
    let person = fields.get("qualified_person").parse().map(PersonId);
    if person.is_err() {
        errors.add(
            "qualified_person",
            "Choose the qualified person who took the reading",
        );
    }
    if fields.get("precautions").is_empty() {
        errors.add("precautions", "Say which precautions were taken");
    }
    let Some(used) = used.cloned() else {
        errors.add("instrument", "Name the instrument");
        return Err(errors);
    };
    match person {
        Ok(qualified_person) => {
            let precautions = fields.get("precautions").to_owned();
            errors.or(Some(LiveTest::new(qualified_person, precautions, used)))
        }
        Err(_) => Err(errors),
    }
}

pub async fn show(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path((id, position)): Path<(i64, i64)>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let at = (JobId(id), position);
    let page = StepPage::load(&app, &user, at, Fields::default(), FieldErrors::default()).await?;
    Ok(Page(page).into_response())
}

pub async fn answer(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path((id, position)): Path<(i64, i64)>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let job = JobId(id);
    let step = find(&app, job, position).await?.step;
    let register = instruments::queries::all(&app.db).await?;
    let errors = match read(position, &step, &fields, (&register, app.today())) {
        Ok(detail) => {
            let body = Body::Detail(detail);
            match steps::add(&app, &user, job, &Keys::of(&fields), body).await? {
                Ok(()) => return Ok(steps::go(&app, job, &format!("/steps#step-{position}"))),
                Err(errors) => errors,
            }
        }
        Err(errors) => errors,
    };
    let page = StepPage::load(&app, &user, (job, position), fields, errors).await?;
    Ok(refused(page))
}
