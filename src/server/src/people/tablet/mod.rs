//! A tablet that several people use: each signs in there with a PIN of their own after the one before.
//!
//! What a PIN does and does not do. It works only in the browser that somebody signed in with a
//! password made a shared tablet, and only for people who set it there while signed in with theirs.
//! Six to twelve digits, easy ones refused; after five wrong ones in a row it is gone and the password
//! is asked for. Its hash is made together with the tablet's own secret, so that the database alone
//! does not tell it. The session ends after 15 minutes without use and after ten hours, and reaches no
//! people, settings, files, tokens or passwords (`people/kind.rs`). Whoever changes over gets a session
//! and a csrf word of their own: a form left open by the one before is refused, so no entry goes under
//! another's name. Whoever holds the tablet sees the names of who uses it.

pub mod pages;
pub mod pin;
pub mod queries;

use crate::error::AppError;
use crate::people::cookies;
use crate::state::AppState;
use axum::http::HeaderMap;

/// The shared tablet that a browser is.
#[derive(Clone, Debug)]
pub struct Tablet {
    pub id: i64,
    pub name: String,
    /// Its own secret, from the cookie.
    token: String,
}

impl Tablet {
    /// What is hashed for a PIN.
    fn with(&self, pin: &str) -> String {
        format!("{} {pin}", self.token)
    }
}

fn token_hash(token: &str) -> String {
    cookies::hash("tablet", token)
}

/// The tablet of this browser, where it is one still.
pub async fn of(app: &AppState, headers: &HeaderMap) -> Result<Option<Tablet>, AppError> {
    let Some(token) = cookies::read(&app.config, headers, cookies::TABLET) else {
        return Ok(None);
    };
    let found = queries::find(&app.db, &token_hash(token)).await?;
    Ok(found.map(|(id, name)| Tablet {
        id,
        name,
        token: token.to_owned(),
    }))
}
