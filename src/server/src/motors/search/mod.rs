//! The search columns of motors: what the sieve before a fit reads instead of the plates.
//!
//! [`fill`] writes them in the transaction that writes the plate. A row that something else wrote
//! is blank by a trigger, is found all the same (blank rules nothing out), and is filled by
//! [`keep_filled`].

pub mod queries;

use super::MotorId;
use crate::db::{Db, Tx};
use crate::state::AppState;
use calc::fit::Traits;
use calc::plate::Plate;
use sha2::{Digest, Sha256};
use std::time::Duration;

/// Rows filled in one transaction, so that nobody waits long for the writer.
const AT_ONCE: i64 = 500;
/// How often a running program looks for blank rows.
const LOOK: Duration = Duration::from_secs(60);

/// Equal plates have equal stamps, on every process and after a restore.
pub fn stamp(plate: &str) -> i64 {
    let hash = Sha256::digest(plate.as_bytes());
    let mut first = [0; 8];
    first.copy_from_slice(&hash[..8]);
    i64::from_be_bytes(first)
}

/// Writes a motor's search columns from its plate as it is stored.
///
/// # Errors
/// The database's, or a text that is no plate.
pub async fn fill(tx: &mut Tx, id: MotorId, plate: &str) -> sqlx::Result<()> {
    queries::write(tx, id, &traits(plate)?, stamp(plate), None).await
}

/// The same for many motors at once: each with its plate, read and as it is stored.
///
/// # Errors
/// The database's.
pub async fn fill_many(tx: &mut Tx, motors: &[(MotorId, &Plate, &str)]) -> sqlx::Result<()> {
    let rows = motors.iter();
    let rows: Vec<(MotorId, Traits, i64)> = rows
        .map(|(id, plate, text)| (*id, Traits::of(plate), stamp(text)))
        .collect();
    queries::write_many(tx, &rows).await
}

fn traits(plate: &str) -> sqlx::Result<Traits> {
    let plate: Plate = serde_json::from_str(plate).map_err(|e| sqlx::Error::Decode(e.into()))?;
    Ok(Traits::of(&plate))
}

/// Fills the rows that are blank or made another way; says how many.
///
/// # Errors
/// The database's.
pub async fn fill_blank(db: &Db) -> sqlx::Result<usize> {
    let mut filled = 0;
    loop {
        let blank = queries::blank(db, AT_ONCE).await?;
        if blank.is_empty() {
            return Ok(filled);
        }
        let mut tx = db.begin_write().await?;
        for row in &blank {
            // A plate that cannot be read tells nothing: its row is written, and rules nothing out.
            let traits = traits(&row.plate).unwrap_or_else(|_| Traits::of(&Plate::default()));
            let stamp = stamp(&row.plate);
            queries::write(&mut tx, row.id, &traits, stamp, Some(row.changed)).await?;
        }
        tx.commit().await?;
        filled += blank.len();
    }
}

/// Fills blank rows at the start and from time to time, in the background.
pub fn keep_filled(app: AppState) -> tokio::task::JoinHandle<()> {
    tokio::spawn(async move {
        loop {
            match fill_blank(&app.db).await {
                Ok(0) => {}
                Ok(filled) => tracing::info!(filled, "search columns of motors filled"),
                Err(error) => tracing::warn!(%error, "search columns of motors not filled"),
            }
            tokio::time::sleep(LOOK).await;
        }
    })
}
