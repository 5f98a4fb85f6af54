//! Fit: which motor to put on the machine of a job, why, and after what work.
//!
//! Read in this order: [`case`] (what is judged against), [`search`] (judged and ranked),
//! [`candidates`] (one with all its text), [`pages`] (what people see on a job), [`find`] (the same
//! without a job, and side by side).

pub mod candidates;
pub mod case;
pub mod filter;
pub mod find;
pub mod pages;
pub mod plates;
pub mod queries;
pub mod search;

use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors};
use crate::jobs::body::Body;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::motors::MotorId;
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use candidates::{Candidate, Explained};
use case::Case;
use filter::Filter;
use pages::{ListPage, MotorPage};
use serde::Deserialize;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct ListQuery {
    /// Anything: show every candidate, not only the best.
    all: String,
}

/// `/jobs/{n}/fit`: every motor that could be had, judged and ranked.
pub async fn list(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<i64>,
    Query(query): Query<ListQuery>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let case = Case::load(&app, job).await?;
    let wanted = case.wanted();
    let all = !query.all.is_empty();
    let mut found = search::search(&app, &wanted, &Filter::default()).await?;
    if all || found.open() == 0 {
        // What does not fit is named too: the sieve stays away.
        found = search::unsieved(&app, &wanted).await?;
    }
    let page = ListPage::new(&app, &user, case, found, all).await?;
    Ok(page.into_response())
}

async fn load(app: &AppState, job: i64, motor: i64) -> Result<(Case, Candidate), AppError> {
    let case = Case::load(app, job).await?;
    let candidate = queries::candidate(&app.db, MotorId(motor)).await?;
    Ok((case, candidate.ok_or(AppError::NotFound)?))
}

/// `/jobs/{n}/fit/{motor}`: one candidate with its whole working.
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, motor)): Path<(i64, i64)>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (case, candidate) = load(&app, job, motor).await?;
    let page = MotorPage::new(&app, &user, case, candidate, FieldErrors::default());
    Ok(page.into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct EntryInput {
    pub entry: String,
    pub seen: String,
}

/// The entry that chooses a motor. Verdict and workings come from here, never from a form.
fn chosen(candidate: &Candidate, explained: Explained) -> Body {
    Body::MotorChosen {
        motor_id: candidate.id,
        motor_name: candidate.name.clone(),
        verdict: explained.verdict,
        working: explained.working,
        changes: explained.changes,
    }
}

/// `Choose this motor`.
pub async fn choose(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, motor)): Path<(i64, i64)>,
    CheckedForm(input): CheckedForm<EntryInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let (case, candidate) = load(&app, job, motor).await?;
    let new = NewEntry {
        id: input.entry,
        body: chosen(&candidate, Explained::of(&case.need(), &candidate.plate)),
        corrects: None,
        device_at: None,
        seen: input.seen.trim().parse().ok(),
    };
    Ok(
        match record::add(&app, case.job.id, &user.person, new).await? {
            Outcome::Added(id) | Outcome::Already(id) => {
                Redirect::to(&app.url(&format!("/jobs/{}/circuit", id.0))).into_response()
            }
            // Kept in the timeline with the reason beside it.
            Outcome::SetAside(id, _) => {
                Redirect::to(&app.url(&format!("/jobs/{}", id.0))).into_response()
            }
            Outcome::Refused(refusal) => {
                let errors = FieldErrors::of(refusal.field, refusal.message);
                let page = MotorPage::new(&app, &user, case, candidate, errors);
                (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
            }
        },
    )
}
