//! The phone without signal: the worker that keeps pages and forms there, the page that shows what
//! waits, and what the server answers to a phone that sends later.

mod answer;
mod pages;
pub mod queries;

pub use answer::answered;
pub use pages::{outbox, session, worker};

use axum::http::HeaderMap;

/// Asks for a page to be kept: the id of the person it is kept for.
pub const AHEAD: &str = "brasstag-ahead";
/// Sends a kept form: the id of the person who wrote it.
pub const WRITER: &str = "brasstag-writer";
/// The id of the entry that the kept form is to be.
pub const ENTRY: &str = "brasstag-entry";
/// The job's version that the writer had before their eyes.
pub const SEEN: &str = "brasstag-seen";

/// The pages of a job that the phone keeps, in the order of the work.
pub const STEPS: &[(&str, &str)] = &[
    ("/confirm", "Confirm the unit"),
    ("/as-found", "As found"),
    ("/permits", "Permits"),
    ("/isolation", "Isolation: people told, locks, dead test"),
    ("/steps", "Steps"),
    ("/parts", "Parts looked at"),
    ("/photos", "Photos"),
    ("/stores", "From the shelf"),
    ("/work", "Work, and the motor fitted"),
    ("/lift", "Lift the isolation for the run test"),
    ("/proof", "Proof: the run test"),
    ("/return", "Return to service"),
    ("/cause", "Cause"),
    ("/time", "Time"),
    ("/note", "Note"),
    ("/hold", "Hold or take up"),
    ("/handover", "Hand over"),
    ("/box", "Lock box"),
    ("/way", "What the work touches, outside firm"),
    ("/follow-up", "Follow-up"),
    ("/temporary", "Temporary fix"),
    ("/sheet", "The sheet"),
];

/// A page to be kept shows every form, whatever is open now: what is typed on it is judged when it is
/// sent.
pub fn ahead(headers: &HeaderMap) -> bool {
    headers.contains_key(AHEAD)
}

/// The phone sends what it keeps: it is told plainly where the session has ended, and keeps it.
pub fn kept_there(headers: &HeaderMap) -> bool {
    headers.contains_key(WRITER)
}
