//! The chosen motor of a job against the circuit that feeds its machine, under the shop's rule set.

pub mod pages;
pub mod shared;

use crate::error::AppError;
use crate::fit::EntryInput;
use crate::fit::case::Case;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::motors::{self, Motor};
use crate::panels::{self, PanelCircuit};
use crate::people::{CurrentUser, Role};
use crate::shop::Shop;
use crate::state::AppState;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use calc::working::{Verdict, Working};
use pages::CheckPage;
use serde::Deserialize;

/// Everything one check looks at.
#[derive(Clone, Debug)]
pub struct Check {
    pub case: Case,
    pub shop: Shop,
    pub motor: Option<Motor>,
    pub circuit: Option<PanelCircuit>,
    /// Other circuits of the panel whose label was found wrong.
    pub wrong_labels: Vec<PanelCircuit>,
    /// `None` without a chosen motor or a recorded circuit.
    pub working: Option<Working>,
}

impl Check {
    pub async fn load(app: &AppState, job: i64) -> Result<Check, AppError> {
        let case = Case::load(app, job).await?;
        let shop = app.shop().ok_or(AppError::NotFound)?;
        let motor = match case.job.chosen_motor_id {
            Some(id) => motors::queries::find(&app.db, id).await?,
            None => None,
        };
        let circuit = match case.machine.circuit_id {
            Some(id) => panels::queries::circuit(&app.db, id).await?,
            None => None,
        };
        let wrong_labels = match &circuit {
            Some(circuit) => panels::queries::wrong_labels(&app.db, circuit.panel_id).await?,
            None => Vec::new(),
        };
        let facts = case.machine.circuit_facts();
        let working = match (&motor, &circuit) {
            (Some(motor), Some(circuit)) => {
                let fed =
                    shared::for_machine(&app.db, shop.rule_set, &case.machine, circuit).await?;
                Some(calc::circuit::check(
                    shop.rule_set,
                    &motor.plate,
                    &facts,
                    &fed,
                ))
            }
            _ => None,
        };
        Ok(Check {
            case,
            shop,
            motor,
            circuit,
            wrong_labels,
            working,
        })
    }

    pub fn verdict(&self) -> Option<Verdict> {
        Some(
            self.working
                .as_ref()?
                .verdict()
                .unwrap_or(Verdict::NotKnownYet),
        )
    }

    /// The entry that records this check; recomputed here, never taken from a form.
    fn body(&self) -> Option<Body> {
        Some(Body::CircuitChecked {
            motor_id: self.motor.as_ref()?.id,
            rule_set: self.shop.rule_set.words().to_owned(),
            verdict: self.verdict()?,
            working: self.working.clone()?,
        })
    }
}

/// `/jobs/{n}/circuit`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let check = Check::load(&app, job).await?;
    let page = CheckPage::new(
        &app,
        &user,
        check,
        DecisionInput::default(),
        FieldErrors::default(),
    );
    Ok(page.await?.into_response())
}

/// Adds the entry; a refusal comes back as the page's errors.
async fn add(
    app: &AppState,
    user: &CurrentUser,
    job: JobId,
    input: EntryInput,
    body: Body,
) -> Result<Result<Response, FieldErrors>, AppError> {
    let new = NewEntry {
        id: input.entry,
        body,
        corrects: None,
        device_at: None,
        seen: input.seen.trim().parse().ok(),
    };
    Ok(match record::add(app, job, &user.person, new).await? {
        Outcome::Added(id) | Outcome::Already(id) => {
            Ok(Redirect::to(&app.url(&format!("/jobs/{}/circuit", id.0))).into_response())
        }
        // Kept in the timeline with the reason beside it.
        Outcome::SetAside(id, _) => {
            Ok(Redirect::to(&app.url(&format!("/jobs/{}", id.0))).into_response())
        }
        Outcome::Refused(refusal) => Err(FieldErrors::of(refusal.field, refusal.message)),
    })
}

async fn refused(
    app: &AppState,
    user: &CurrentUser,
    check: Check,
    input: DecisionInput,
    errors: FieldErrors,
) -> Result<Response, AppError> {
    let page = CheckPage::new(app, user, check, input, errors).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

/// `Record this check`.
pub async fn record_check(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<i64>,
    CheckedForm(input): CheckedForm<EntryInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let check = Check::load(&app, job).await?;
    let Some(body) = check.body() else {
        let sentence = "There is nothing to record: a chosen motor and a circuit are needed";
        let errors = FieldErrors::of("form", sentence);
        return refused(&app, &user, check, DecisionInput::default(), errors).await;
    };
    match add(&app, &user, check.case.job.id, input, body).await? {
        Ok(done) => Ok(done),
        Err(errors) => refused(&app, &user, check, DecisionInput::default(), errors).await,
    }
}

/// A licensed person's decision as typed.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct DecisionInput {
    pub entry: String,
    pub seen: String,
    pub licensed_person: String,
    pub licence: String,
    pub decision: String,
}

impl DecisionInput {
    fn parse(&self, check: &Check) -> Result<Body, FieldErrors> {
        let mut errors = FieldErrors::default();
        let person = form::required(&self.licensed_person, "Enter who decided");
        let licensed_person = errors.take("licensed_person", person);
        let licence = form::required(&self.licence, "Enter the licence the person holds");
        let licence = errors.take("licence", licence);
        let decision = form::required(&self.decision, "Enter the decision in the person's words");
        let decision = errors.take("decision", decision);
        if !check.needs_decision() {
            errors.add(
                "decision",
                "No recorded check of the chosen motor waits for a decision",
            );
        }
        let Some(motor_id) = check.case.job.circuit_motor_id else {
            return Err(errors);
        };
        errors.or(Body::CircuitDecided {
            motor_id,
            licensed_person,
            licence,
            decision,
        })
    }
}

impl Check {
    /// The recorded check was not passed, and nobody has decided on it.
    pub fn needs_decision(&self) -> bool {
        let job = &self.case.job;
        job.chosen_motor_id.is_some()
            && job.circuit_motor_id == job.chosen_motor_id
            && job.circuit_decided_at.is_none()
            && job
                .circuit_verdict
                .as_deref()
                .is_some_and(|v| v == "beyond" || v == "not_known_yet")
    }
}

/// A supervisor notes what a licensed person decided.
pub async fn decide(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<i64>,
    CheckedForm(input): CheckedForm<DecisionInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let check = Check::load(&app, job).await?;
    let body = match input.parse(&check) {
        Ok(body) => body,
        Err(errors) => return refused(&app, &user, check, input, errors).await,
    };
    let entry = EntryInput {
        entry: input.entry.clone(),
        seen: input.seen.clone(),
    };
    match add(&app, &user, check.case.job.id, entry, body).await? {
        Ok(done) => Ok(done),
        Err(errors) => refused(&app, &user, check, input, errors).await,
    }
}
