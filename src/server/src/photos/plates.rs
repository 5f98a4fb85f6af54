//! Photos beside a plate while it is read, and the one that its values were read from.

use super::queries;
use super::shown::words;
use crate::error::AppError;
use crate::machines::MachineId;
use crate::state::AppState;

/// Shown beside a plate at most.
const MOST: usize = 4;
/// Looked at for them: those of a plate come first, however old.
const LOOKED_AT: i64 = 60;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Beside {
    pub sha: String,
    pub words: String,
    pub width: i64,
    pub height: i64,
    pub job: i64,
    pub when: String,
}

/// The photos of a machine's jobs that may show its plate: those of a plate first, then the newest.
pub async fn of_machine(app: &AppState, machine: MachineId) -> Result<Vec<Beside>, AppError> {
    let mut rows = queries::of_machine(&app.db, machine, LOOKED_AT).await?;
    rows.sort_by_key(|row| row.about != "plate");
    let zone = app.zone();
    let beside = |row: &queries::PhotoRow| Beside {
        sha: row.sha.clone(),
        words: words(&row.about, &row.caption),
        width: row.width,
        height: row.height,
        job: row.job_id.0,
        when: zone.minute_words(row.taken_at),
    };
    Ok(rows.iter().take(MOST).map(beside).collect())
}
