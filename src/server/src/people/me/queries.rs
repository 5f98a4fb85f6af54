//! Sessions as they are listed and ended, in the database.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::people::PersonId;
use crate::people::kind::Kind;
use crate::{on_db, on_tx};

/// So much of a token's hash names a session on pages.
pub const HANDLE: usize = 16;

/// A session that has not ended.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Session {
    pub handle: String,
    pub device: String,
    pub address: String,
    pub created_at: Millis,
    pub seen_at: Millis,
    pub kind: String,
    /// The name of the shared tablet.
    pub tablet: Option<String>,
}

impl Session {
    /// `phone`, `computer`, `Pump room, by PIN`
    pub fn words(&self) -> String {
        if let Some(tablet) = &self.tablet {
            return format!("{tablet}, by PIN");
        }
        let of = self.device.to_ascii_lowercase();
        let kind = match () {
            () if of.contains("mobile") => "phone",
            () if of.contains("tablet") => "tablet",
            () if of.contains("mozilla/") => "computer",
            () => "unknown device",
        };
        kind.to_owned()
    }
}

/// The last used first.
pub async fn sessions(db: &Db, person: PersonId, now: Millis) -> sqlx::Result<Vec<Session>> {
    const SQL: &str = "SELECT substr(s.token_hash, 1, 16) AS handle, s.device, s.address,
            s.created_at, s.seen_at, s.kind, t.name AS tablet
        FROM sessions s LEFT JOIN tablets t ON t.id = s.tablet_id
        WHERE s.person_id = $1 AND s.ends_at > $2
        ORDER BY s.seen_at DESC, s.token_hash";
    let all: Vec<Session> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(person).bind(now).fetch_all(pool).await)?;
    let awake = |s: &Session| s.seen_at > now - Kind::named(&s.kind).idle();
    Ok(all.into_iter().filter(awake).collect())
}

/// Ends one session of this person; how many that was.
pub async fn end(tx: &mut Tx, person: PersonId, handle: &str) -> sqlx::Result<u64> {
    const SQL: &str =
        "DELETE FROM sessions WHERE person_id = $1 AND substr(token_hash, 1, 16) = $2";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).bind(handle).execute(conn).await
        .map(|done| done.rows_affected()))
}

/// Ends all of this person but one.
pub async fn end_others(tx: &mut Tx, person: PersonId, handle: &str) -> sqlx::Result<u64> {
    const SQL: &str =
        "DELETE FROM sessions WHERE person_id = $1 AND substr(token_hash, 1, 16) <> $2";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).bind(handle).execute(conn).await
        .map(|done| done.rows_affected()))
}
