//! A link with which one person sets their own password: invited, or after forgetting the old one.
//!
//! It opens once, ends after three days, and a newer one takes its place. The database has only its
//! hash. It leads to the sign-in, never past it: whoever is asked for a code is asked all the same.

pub mod pages;
pub mod queries;

use crate::clock::{DAY, Millis};
use crate::db::Tx;
use crate::people::PersonId;
use crate::people::cookies::hash;
use crate::people::session::new_token;

/// A link opens for this long.
pub const LASTS: Millis = 3 * DAY;

fn token_hash(token: &str) -> String {
    hash("password link", token)
}

/// Makes a link for the person; earlier ones no longer open. Its path, which is shown once.
pub async fn make(
    tx: &mut Tx,
    person: PersonId,
    by: Option<PersonId>,
    now: Millis,
) -> sqlx::Result<String> {
    let token = new_token();
    queries::end_all(tx, person, now).await?;
    let link = queries::NewLink {
        token_hash: &token_hash(&token),
        person,
        by,
        at: now,
        ends_at: now + LASTS,
    };
    queries::insert(tx, &link).await?;
    Ok(format!("/password/{token}"))
}
