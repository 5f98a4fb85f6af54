//! Writing a file: all of its rows in one transaction, and only what was shown.

use super::{Import, job, planned, queries, write};
use crate::clock::{MINUTE, Millis};
use crate::db;
use crate::error::AppError;
use crate::exchange::columns::Register;
use crate::people::PersonId;
use crate::shop::places::queries::hold_tree;
use crate::state::AppState;
use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// After so long whoever began has died; what they wrote is undone by the database.
const STALE: Millis = 10 * MINUTE;
/// A file that takes longer is written while its person looks at how far it is.
const WAIT: Duration = Duration::from_secs(8);

/// Rows written of rows to write, for files that this process is writing.
static FAR: Mutex<BTreeMap<String, (usize, usize)>> = Mutex::new(BTreeMap::new());

pub fn far(id: &str) -> Option<(usize, usize)> {
    FAR.lock()
        .unwrap_or_else(PoisonError::into_inner)
        .get(id)
        .copied()
}

pub(super) fn note(id: &str, done: usize, of: usize) {
    let mut far = FAR.lock().unwrap_or_else(PoisonError::into_inner);
    far.insert(id.to_owned(), (done, of));
}

pub fn running(import: &Import, now: Millis) -> bool {
    import.done_at.is_none() && import.begun_at.is_some_and(|at| at >= now - STALE)
}

/// Begins to write and waits a moment for the end. `seen` is the digest of what was shown.
pub async fn start(app: &AppState, import: Import, seen: String) -> Result<(), AppError> {
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    if !queries::begin(&mut tx, &import.id, now, now - STALE).await? {
        return Ok(()); // the page says how far it is
    }
    tx.commit().await?;
    let app = app.clone();
    let written = tokio::spawn(async move { run(app, import, seen).await });
    match tokio::time::timeout(WAIT, written).await {
        Err(_) => Ok(()),
        Ok(ended) => ended.map_err(|e| AppError::Broken(e.to_string())),
    }
}

const CHANGED: &str = "The register was changed after this page was shown, so nothing was written. \
    Look at what the file would do now.";
const BROKEN: &str = "Something went wrong. Nothing was written; try again.";

async fn run(app: AppState, import: Import, seen: String) {
    let id = import.id.clone();
    let person = import.person_id;
    let failed = match written(&app, import, person, &seen).await {
        Ok(true) => None,
        Ok(false) => Some(CHANGED),
        Err(AppError::Database(error)) if db::is_duplicate(&error) => Some(CHANGED),
        Err(error) => {
            tracing::error!(error = &error as &dyn std::error::Error, "file not written");
            Some(BROKEN)
        }
    };
    FAR.lock()
        .unwrap_or_else(PoisonError::into_inner)
        .remove(&id);
    let Some(said) = failed else { return };
    let noted = async {
        let mut tx = app.db.begin_write().await?;
        queries::failed(&mut tx, &id, said).await?;
        tx.commit().await
    };
    if let Err(error) = noted.await {
        tracing::error!(%error, "end of a file not noted");
    }
}

/// `false` where something else than what was shown would be written.
async fn written(
    app: &AppState,
    import: Import,
    person: PersonId,
    seen: &str,
) -> Result<bool, AppError> {
    let job = job(app, &import).await?;
    let register = job.register;
    let mut tx = app.db.begin_write().await?;
    // Files are written one after the other; what is read from here on stays.
    hold_tree(&mut tx).await?;
    let plan = planned(app, job).await?;
    if plan.digest != seen || plan.faults_in_all > 0 {
        return Ok(false);
    }
    let at = app.clock.now();
    let by = write::By {
        person,
        at,
        today: app.today(),
        file: &import.file_name,
        id: &import.id,
    };
    if !write::all(&mut tx, &app.db, (register, &plan), &by).await? {
        return Ok(false);
    }
    if register == Register::Plans {
        crate::preventive::make_ahead_in(&mut tx, app.today()).await?;
    }
    let (one, many) = register.nouns();
    let noun = |n: usize| if n == 1 { one } else { many };
    let said = format!(
        "{} {} added, {} changed, {} left as they were.",
        plan.added(),
        noun(plan.added()),
        plan.changed(),
        plan.left
    );
    let first = queries::done(&mut tx, &import.id, at, &said).await?;
    if first {
        tx.commit().await?;
    }
    Ok(first)
}
