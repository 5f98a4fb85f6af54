//! The photos that come with a report: anyone's, in the transaction of the report itself.

use super::{Photo, queries};
use crate::clock::Millis;
use crate::db::Tx;
use crate::error::AppError;
use crate::jobs::body::Body;
use crate::jobs::gate::Refusal;
use crate::jobs::queries::{self as jobs, EntryToWrite};
use crate::jobs::record::{Outcome, new_id, written};
use crate::jobs::{JobId, apply};
use crate::people::Person;

/// Adds them to the job that the report has just begun.
pub async fn add(
    tx: &mut Tx,
    job: JobId,
    person: Option<&Person>,
    photos: &[Photo],
    now: Millis,
) -> Result<(), AppError> {
    if photos.is_empty() {
        return Ok(());
    }
    let found = jobs::lock_and_find(tx, job).await?;
    let mut job = found.ok_or(AppError::NotFound)?;
    let person = person.map(|p| p.id);
    for photo in photos {
        let body = Body::Photo(photo.clone());
        let id = new_id(now);
        let entry = EntryToWrite {
            id: &id,
            job_id: job.id,
            number: job.entry_count + 1,
            person_id: person,
            device_at: None,
            received_at: now,
            kind: body.kind(),
            body: &written(&body)?,
            corrects: None,
            set_aside: None,
        };
        jobs::insert_entry(tx, &entry).await?;
        apply::apply(&mut job, &body, person, now);
        queries::insert(tx, &id, job.id, person, photo, now).await?;
    }
    jobs::update(tx, &job).await?;
    Ok(())
}

/// A report that is here already counts once; with a photo that is not here it is another one.
pub async fn sent_again(
    tx: &mut Tx,
    outcome: Outcome,
    photos: &[Photo],
) -> Result<Outcome, AppError> {
    let Outcome::Already(job) = &outcome else {
        return Ok(outcome);
    };
    let here = queries::shas_of_job(tx, *job).await?;
    if photos.iter().all(|photo| here.contains(&photo.sha)) {
        return Ok(outcome);
    }
    Ok(Outcome::Refused(Refusal {
        field: "photo",
        message: format!(
            "This report was sent before and has the number {}. To add a photo, open the report \
             page anew and send the photo with a few words",
            job.0
        ),
    }))
}
