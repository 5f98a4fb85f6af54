//! A due item becomes its job, once: reported, planned as the plan says, its procedure taken and its
//! parts kept for it.

use super::{DueItem, Plan, queries};
use crate::clock::date_words;
use crate::db::Tx;
use crate::error::AppError;
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::jobs::detail::Detail;
use crate::jobs::priority::Urgency;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::jobs::stores::Stores;
use crate::jobs::stores::body::Moved;
use crate::people::Person;
use crate::procedures;
use crate::state::AppState;
use crate::stores::{self, Item, PartId};

fn entry(id: String, body: Body) -> NewEntry {
    NewEntry {
        id,
        body,
        corrects: None,
        device_at: None,
        seen: None,
    }
}

fn reported(plan: &Plan, item: &DueItem, place: i64, by: &Person) -> Body {
    Body::Reported {
        place_id: Some(place),
        machine_id: Some(item.machine_id),
        due_item_id: Some(item.id),
        words: format!(
            "Planned work: {} (due {})",
            plan.action,
            date_words(item.due_on)
        ),
        reporter: by.name.clone(),
        contact: String::new(),
        urgency: Urgency::default(),
    }
}

fn planned(plan: &Plan) -> Body {
    let mut steps = plan.needs.lines();
    steps.extend(plan.steps.lines().map(str::to_owned));
    Body::Planned {
        machine_id: plan.machine_id,
        scope: plan.action.clone(),
        minutes: plan.minutes,
        steps: steps.join("\n"),
    }
}

/// Makes the job inside a transaction; the caller commits.
///
/// # Errors
/// [`AppError::Stale`] where the item was closed or has its job already.
pub async fn make(
    app: &AppState,
    tx: &mut Tx,
    by: &Person,
    item: &DueItem,
    entry_id: String,
) -> Result<JobId, AppError> {
    let plan = queries::plan_in(tx, item.plan_id)
        .await?
        .ok_or(AppError::NotFound)?;
    let place = queries::place_of(tx, item.machine_id).await?;
    let report = entry(entry_id, reported(&plan, item, place, by));
    let job = record::report_within(tx, Some(by), &report, app.clock.now()).await?;
    if !queries::link_job(tx, item.id, job).await? {
        // Somebody closed it or made its job between our reading and our writing.
        return Err(AppError::Stale);
    }
    let mut bodies = vec![planned(&plan)];
    bodies.extend(procedure(app, &plan).await?);
    for body in bodies {
        let new = entry(record::new_id(app.clock.now()), body);
        match record::add_within(app, tx, job, by, new).await? {
            Outcome::Added(_) => {}
            Outcome::Refused(refusal) | Outcome::SetAside(_, refusal) => {
                return Err(AppError::BadRequest(refusal.message));
            }
            Outcome::Already(_) => return Err(AppError::Stale),
        }
    }
    keep_parts(app, tx, by, &plan, job).await?;
    Ok(job)
}

async fn procedure(app: &AppState, plan: &Plan) -> Result<Option<Body>, AppError> {
    let Some(id) = plan.needs.procedure else {
        return Ok(None);
    };
    let Some(found) = procedures::queries::find(&app.db, id).await? else {
        return Ok(None);
    };
    let steps = procedures::queries::steps(&app.db, found.id, found.revision).await?;
    Ok(Some(Body::Detail(Detail::ProcedureTaken {
        procedure_id: found.id,
        revision: found.revision,
        name: found.name,
        steps,
    })))
}

/// Keeps the plan's parts on the shelf for the job; what is not there is said in a note.
async fn keep_parts(
    app: &AppState,
    tx: &mut Tx,
    by: &Person,
    plan: &Plan,
    job: JobId,
) -> Result<(), AppError> {
    for needed in &plan.needs.parts {
        let id = PartId(needed.part);
        let part = stores::queries::part_in(tx, id).await?;
        let unit = part.as_ref().map_or_else(String::new, |p| p.unit.clone());
        let body = Body::Stores(Stores::PartReserved {
            moved: Moved {
                item: Item::Part(id),
                name: needed.name.clone(),
                amount: needed.amount,
                unit: unit.clone(),
                cost_minor: None,
            },
        });
        let kept = record::add_within(
            app,
            tx,
            job,
            by,
            entry(record::new_id(app.clock.now()), body),
        )
        .await?;
        if let Outcome::Refused(refusal) | Outcome::SetAside(_, refusal) = kept {
            let text = format!(
                "{} of {} could not be kept for this job: {}",
                needed.amount.with_unit(&unit),
                needed.name,
                refusal.message
            );
            let note = entry(record::new_id(app.clock.now()), Body::Note { text });
            record::add_within(app, tx, job, by, note).await?;
        }
    }
    Ok(())
}
