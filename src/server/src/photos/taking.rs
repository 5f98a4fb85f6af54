//! Keeping a photo: the file is on the disk before its entry commits, and goes again when the entry
//! is refused. What a kill or a lost connection leaves between is a file without a row, which nobody is served
//! and which the next start sweeps up.

use super::shrink::{Problem, Shrunk};
use super::{Photo, queries};
use crate::error::AppError;
use crate::jobs::body::Body;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::jobs::{JobId, gate};
use crate::people::Person;
use crate::state::AppState;
use std::collections::HashSet;
use std::time::Duration;

/// A file without a row that is younger may be another process's, its entry about to commit.
const LEFT_BEHIND: Duration = Duration::from_secs(3600);

/// Puts the files and answers with what the entries will say of them.
pub(super) async fn put(
    app: &AppState,
    photos: Vec<Shrunk>,
    about: &str,
    caption: &str,
) -> Result<Vec<Photo>, Problem> {
    let failed = |e: object_store::Error| {
        tracing::error!(error = &e as &dyn std::error::Error, "photo not stored");
        Problem::NotStored
    };
    let mut put = Vec::new();
    for photo in photos {
        let bytes = i64::try_from(photo.large.len()).unwrap_or(i64::MAX);
        put.push(Photo {
            sha: app.photos.put(photo.large).await.map_err(failed)?,
            thumb: app.photos.put(photo.small).await.map_err(failed)?,
            width: photo.width,
            height: photo.height,
            bytes,
            caption: caption.to_owned(),
            about: about.to_owned(),
        });
    }
    Ok(put)
}

/// Writes a report and its photos: all of it, or nothing.
pub async fn report(
    app: &AppState,
    person: Option<&Person>,
    new: NewEntry,
    photos: Vec<Shrunk>,
) -> Result<Result<Outcome, Problem>, AppError> {
    if photos.is_empty() {
        return record::report(app, person, new).await.map(Ok);
    }
    let held = app.photos.hold().await;
    let photos = match put(app, photos, super::WITH_REPORT, "").await {
        Ok(photos) => photos,
        Err(problem) => return Ok(Err(problem)),
    };
    let outcome = record::report_with(app, person, new, &photos).await;
    drop(held);
    if !matches!(outcome, Ok(Outcome::Added(_))) {
        tidy(app, &files(&photos)).await?;
    }
    outcome.map(Ok)
}

/// Adds photos to a job, each with an entry of its own; the first has the form's id, so that a form
/// sent twice counts once.
pub async fn add(
    app: &AppState,
    job: JobId,
    person: &Person,
    first: impl FnOnce(Body) -> NewEntry,
    photos: Vec<Shrunk>,
    said: (&str, &str),
) -> Result<Result<Outcome, Problem>, AppError> {
    let held = app.photos.hold().await;
    let photos = match put(app, photos, said.0, said.1).await {
        Ok(photos) => photos,
        Err(problem) => return Ok(Err(problem)),
    };
    let outcome = add_all(app, job, person, first, &photos).await;
    drop(held);
    if !matches!(outcome, Ok(Outcome::Added(_))) {
        tidy(app, &files(&photos)).await?;
    }
    outcome.map(Ok)
}

async fn add_all(
    app: &AppState,
    job: JobId,
    person: &Person,
    first: impl FnOnce(Body) -> NewEntry,
    photos: &[Photo],
) -> Result<Outcome, AppError> {
    let mut tx = app.db.begin_write().await?;
    let mut first = Some(first);
    let mut outcome = Outcome::Refused(gate::Refusal {
        field: "photo",
        message: "Choose a photo".to_owned(),
    });
    for photo in photos {
        let body = Body::Photo(photo.clone());
        let entry = match first.take() {
            Some(first) => first(body),
            None => of_the_server(app, body),
        };
        outcome = record::add_within(app, &mut tx, job, person, entry).await?;
        if !matches!(outcome, Outcome::Added(_)) {
            return Ok(outcome);
        }
    }
    tx.commit().await?;
    Ok(outcome)
}

/// An entry that follows another of the same form.
pub fn of_the_server(app: &AppState, body: Body) -> NewEntry {
    NewEntry {
        id: record::new_id(app.clock.now()),
        body,
        corrects: None,
        device_at: None,
        seen: None,
    }
}

fn files(photos: &[Photo]) -> Vec<String> {
    photos
        .iter()
        .flat_map(|photo| [photo.sha.clone(), photo.thumb.clone()])
        .collect()
}

/// Removes those of these files that no shown photo needs.
pub async fn tidy(app: &AppState, files: &[String]) -> Result<(), AppError> {
    let _alone = app.photos.alone().await;
    for file in files {
        if !queries::needed(&app.db, file).await? {
            app.photos.remove(file).await;
        }
    }
    Ok(())
}

/// Removes what a kill left behind, and files of withdrawn photos that could not be removed then.
pub async fn sweep(app: &AppState) -> Result<usize, String> {
    sweep_older(app, LEFT_BEHIND).await
}

/// The same with an age of the caller's.
pub async fn sweep_older(app: &AppState, than: Duration) -> Result<usize, String> {
    let _alone = app.photos.alone().await;
    let needed: HashSet<String> = queries::all_needed(&app.db)
        .await
        .map_err(|e| e.to_string())?
        .into_iter()
        .collect();
    let swept = app.photos.sweep(needed, than).await;
    swept.map_err(|e| e.to_string())
}
