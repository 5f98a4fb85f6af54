//! The run test of a job: readings on live parts against the fitted motor's plate.

use super::body::{Body, Reading, verdict_word};
use super::proof_form::{self, DIRECTIONS, FLOWS, Known, Leg, SUPPORTS, YES_NO};
use super::queries::Entry;
use super::step_page::{WORKERS, refused, typed, works};
use super::steps::{self, JobView, Keys};
use super::{JobId, State, queries};
use crate::clock::{Millis, Zone};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::instruments::{self, Instrument};
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, Person};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as Shared};
use axum::response::{IntoResponse, Response};
use calc::plate::Direction;
use calc::working::Working;

/// The proof that stands.
struct LastProof {
    when: String,
    who: String,
    /// What it was read with.
    with: String,
    working: Working,
    readings: Vec<Reading>,
}

#[derive(Template)]
#[template(path = "jobs/proof.html")]
struct ProofPage {
    layout: Layout,
    view: JobView,
    known: Known,
    people: Vec<Person>,
    instruments: Vec<Instrument>,
    last: Option<LastProof>,
    fields: Fields,
    errors: FieldErrors,
    works: bool,
    now: Millis,
}

impl ProofPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        view: JobView,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let entries = queries::entries(&app.db, view.job.id).await?;
        let mut people = people::queries::list(&app.db).await?;
        people.retain(|person| person.qualified_on.is_some() && !person.closed);
        Ok(ProofPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            known: Known::of(&view),
            people,
            instruments: instruments::queries::all(&app.db).await?,
            last: last_proof(&view, &entries, &app.zone()),
            fields,
            errors,
            works: works(&user.person),
            now: app.clock.now(),
            view,
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    fn volt_legs(&self) -> &'static [Leg] {
        proof_form::volt_legs(self.known.phases)
    }

    fn amp_legs(&self) -> &'static [Leg] {
        proof_form::amp_legs(self.known.phases)
    }

    fn right_direction(&self) -> &'static str {
        match self.known.direction_right {
            Some(Direction::Clockwise) => "clockwise, seen from the shaft end",
            Some(Direction::CounterClockwise) => "counter-clockwise, seen from the shaft end",
            None => "not known",
        }
    }

    /// Plate values of the fitted motor, with how each is known.
    fn plate(&self) -> Vec<(&'static str, String)> {
        let plate = &self.known.plate;
        let list = |values: Option<Vec<f64>>, unit: &str, how: &str| {
            values.map_or_else(
                || how.to_owned(),
                |values| {
                    let values: Vec<String> = values.iter().map(ToString::to_string).collect();
                    format!("{} {unit} ({how})", values.join(" / "))
                },
            )
        };
        vec![
            (
                "Volts",
                list(
                    plate.volts.value().map(|v| v.iter().map(|v| v.0).collect()),
                    "V",
                    plate.volts.how_words(),
                ),
            ),
            (
                "Amperes",
                list(
                    plate.amps.value().map(|v| v.iter().map(|v| v.0).collect()),
                    "A",
                    plate.amps.how_words(),
                ),
            ),
            (
                "Speed",
                list(
                    plate
                        .speeds
                        .value()
                        .map(|v| v.iter().map(|v| v.0).collect()),
                    "rpm",
                    plate.speeds.how_words(),
                ),
            ),
            (
                "Phases",
                list(
                    plate.phases.value().map(|v| vec![f64::from(*v)]),
                    "",
                    plate.phases.how_words(),
                ),
            ),
        ]
    }

    fn running(&self) -> bool {
        matches!(self.view.job.state, State::OnTest | State::TestOwed)
    }

    fn may_prove(&self) -> bool {
        let open = self.running() && !self.view.job.must_isolate_again();
        self.works && (open || self.layout.ahead)
    }

    fn not_known(&self) -> bool {
        let word = verdict_word(calc::working::Verdict::NotKnownYet);
        self.view.job.proof_verdict.as_deref() == Some(word)
    }

    fn chosen(&self, person: &Person) -> bool {
        self.fields.get("qualified_person") == person.id.0.to_string()
    }
}

fn last_proof(view: &JobView, entries: &[Entry], zone: &Zone) -> Option<LastProof> {
    view.job.proof_verdict.as_ref()?;
    entries
        .iter()
        .rev()
        .filter(|entry| entry.set_aside.is_none())
        .find_map(|entry| match &entry.body {
            Body::Proof {
                working, readings, ..
            } => Some(LastProof {
                with: instruments::used::of(&entry.body).map_or_else(String::new, |u| u.words()),
                when: zone.minute_words(entry.received_at),
                who: entry.person.clone(),
                working: working.clone(),
                readings: readings.clone(),
            }),
            _ => None,
        })
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let view = JobView::load(&app, JobId(id)).await?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = ProofPage::load(&app, &user, view, fields, errors).await?;
    Ok(Page(page).into_response())
}

pub async fn record(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let view = JobView::load(&app, JobId(id)).await?;
    let job = view.job.id;
    let Some(machine_id) = view.job.machine_id else {
        return Err(AppError::BadRequest(
            "This job names no machine yet.".to_owned(),
        ));
    };
    let register = instruments::queries::all(&app.db).await?;
    let now = Keys::of(&fields).written_at(app.clock.now());
    let today = app.zone().date(now);
    let errors = match proof_form::parse(&fields, &Known::of(&view), today, &register) {
        Ok(proof) => {
            let body = Body::Proof {
                machine_id,
                readings: proof.readings,
                input: proof.input,
                live: proof.live,
                verdict: proof.verdict,
                working: proof.working,
            };
            match steps::add(&app, &user, job, &Keys::of(&fields), body).await? {
                Ok(()) => return Ok(steps::go(&app, job, "/proof")),
                Err(errors) => errors,
            }
        }
        Err(errors) => errors,
    };
    let page = ProofPage::load(&app, &user, view, fields, errors).await?;
    Ok(refused(page))
}
