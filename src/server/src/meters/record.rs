//! Keeping one reading, in a transaction of its own.

use super::queries::{self, NewReading};
use super::sense::Sense;
use super::{Meter, ahead};
use crate::db::Tx;
use crate::error::AppError;
use crate::people::{CurrentUser, PersonId};
use crate::preventive::ahead_queries;
use crate::state::AppState;
use calc::due::MeterReading;
use time::Date;

#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    Kept,
    /// To be said once more.
    Asked(String),
    Refused(String),
    /// Lower than before: the page offers to note another meter.
    Lower(String),
}

/// Keeps a reading where it makes sense. `again` says that one like the last was asked about and read
/// again.
///
/// # Errors
/// The database's own.
pub async fn take(
    app: &AppState,
    user: &CurrentUser,
    meter: &Meter,
    reading: MeterReading,
    again: bool,
) -> Result<Outcome, AppError> {
    let mut tx = app.db.begin_write().await?;
    let outcome = take_within(app, &mut tx, user.id(), meter, reading, again).await?;
    if outcome == Outcome::Kept {
        tx.commit().await?;
    }
    Ok(outcome)
}

/// The same inside a transaction that does more; the caller commits when it is kept.
pub async fn take_within(
    app: &AppState,
    tx: &mut Tx,
    by: PersonId,
    meter: &Meter,
    reading: MeterReading,
    again: bool,
) -> Result<Outcome, AppError> {
    let today = app.today();
    if let Some(why) = not_yet(reading.on, today) {
        return Ok(Outcome::Refused(why));
    }
    ahead_queries::alone(tx).await?;
    let known = queries::known_in(tx, meter.id).await?;
    let same = match known.judge(reading) {
        Sense::Fine => false,
        Sense::SameAsLast(_) if again => true,
        Sense::SameAsLast(why) => return Ok(Outcome::Asked(why)),
        Sense::Refused(why) => return Ok(Outcome::Refused(why)),
        Sense::Lower(why) => return Ok(Outcome::Lower(why)),
    };
    let new = NewReading {
        meter: meter.id,
        on: reading.on,
        value: reading.value,
        same_as_last: same,
    };
    queries::add(tx, new, by, app.clock.now()).await?;
    ahead::move_on(tx, meter.machine_id, today).await?;
    Ok(Outcome::Kept)
}

/// A day that has not come cannot have been read on.
pub fn not_yet(on: Date, today: Date) -> Option<String> {
    (on > today).then(|| "This day has not come yet".to_owned())
}
