//! Photos of a job: taken with the phone, kept small and without place data, shown to the shop only.
//!
//! Read in this order: [`shrink`] (what is kept of a file), [`upload`] (how it arrives), [`store`]
//! (where it lies), [`taking`] (file first, then entry), [`pages`] (how it is shown).

pub mod files;
pub mod pages;
pub mod plates;
pub mod queries;
pub mod shown;
pub mod shrink;
pub mod store;
pub mod taking;
mod thing_queries;
pub mod things;
pub mod upload;
pub mod with_report;

use crate::clock::HOUR;
use crate::jobs::body::Body;
use crate::jobs::gate::{Refusal, Surroundings, refuse};
use crate::people::{Person, PersonId, Role};
use crate::state::AppState;
use serde::{Deserialize, Serialize};

/// Photos that one job holds at most; withdrawn ones do not count.
pub const MOST_OF_A_JOB: i64 = 40;
/// Photos that come with one report at most.
pub const MOST_OF_A_REPORT: usize = 3;
/// Photos that one form of a job's page takes at most.
pub const MOST_AT_ONCE: usize = 6;
/// Photos taken in an hour from reports without sign-in, in the whole shop.
pub const MOST_FROM_ANYONE: i64 = 60;

/// What a reporter reads when the hour's photos are used up.
pub const TOO_MANY_NOW: &str = "Too many photos have come in this hour. Send the report without; \
    the technician takes one at the machine";

/// Whether reports without sign-in have used up this hour's photos.
pub async fn too_many(app: &AppState) -> sqlx::Result<bool> {
    let since = app.clock.now() - HOUR;
    Ok(queries::from_anyone_since(&app.db, since).await? >= MOST_FROM_ANYONE)
}

/// What a photo is about: the word in the entry, and the words people read.
pub const ABOUT: &[(&str, &str)] = &[
    ("as_found", "as found"),
    ("plate", "plate"),
    ("label", "label"),
    ("damage", "damage"),
    ("as_left", "as left"),
    ("other", "other"),
];
/// It came with the report; nobody said what it is about.
pub const WITH_REPORT: &str = "report";

/// The words of an `about`.
pub fn about_words(about: &str) -> &'static str {
    if about == WITH_REPORT {
        return "with the report";
    }
    let found = ABOUT.iter().find(|(word, _)| *word == about);
    found.map_or("other", |(_, words)| words)
}

/// A photo as its entry holds it. The files bear their hashes as names.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Photo {
    /// SHA-256 of the file.
    pub sha: String,
    /// SHA-256 of the small one.
    pub thumb: String,
    pub width: u32,
    pub height: u32,
    pub bytes: i64,
    #[serde(default)]
    pub caption: String,
    pub about: String,
}

/// What the gate needs to know about the job's photos.
#[derive(Clone, Debug, Default)]
pub struct Seen {
    /// Photos of the job that are shown.
    pub on_job: i64,
    /// Who took the photo that the entry withdraws, if it is this job's and still shown.
    pub taken_by: Option<Option<PersonId>>,
}

/// Who took it, or a supervisor; a photo that came without sign-in is a supervisor's to withdraw.
pub fn may_withdraw(person: &Person, taken_by: Option<PersonId>) -> bool {
    match person.role {
        Role::Supervisor => true,
        Role::Technician => taken_by == Some(person.id),
        _ => false,
    }
}

/// May this photo be added, or withdrawn? Messages stand beside fields, so that none is set aside.
pub fn gate(body: &Body, by: Option<&Person>, around: &Surroundings) -> Result<(), Refusal> {
    match body {
        Body::Photo(_) if around.photos.on_job >= MOST_OF_A_JOB => refuse(
            "photo",
            format!("This job holds {MOST_OF_A_JOB} photos, which is the most. Withdraw one first"),
        ),
        Body::PhotoWithdrawn { reason, .. } => {
            let Some(taker) = around.photos.taken_by else {
                return refuse("of", "This photo is not one of the job's any more");
            };
            if !by.is_some_and(|person| may_withdraw(person, taker)) {
                return refuse("of", "Only who took a photo, or a supervisor, withdraws it");
            }
            if reason.trim().is_empty() {
                return refuse("reason", "Say why it is withdrawn");
            }
            Ok(())
        }
        _ => Ok(()),
    }
}
