//! News for people of the shop, written in the transaction of what they tell of.

use super::kinds::{Kind, Way, next_digest};
use super::queries::{self, NewNews, Reachable};
use super::reporter;
use crate::clock::date_words;
use crate::db::Tx;
use crate::error::AppError;
use crate::jobs::body::Body;
use crate::jobs::{self, Job, JobId, State};
use crate::people::{PersonId, Role};
use crate::state::AppState;
use crate::telling::one_line;

/// One thing to tell.
pub struct Item<'a> {
    pub kind: Kind,
    /// What it is about; with the person it is told once.
    pub word: &'a str,
    pub subject: &'a str,
    pub words: &'a str,
}

/// What an entry that was just accepted has people told. Nothing where no mail is sent.
///
/// # Errors
/// The database's own.
pub async fn of_entry(
    app: &AppState,
    tx: &mut Tx,
    was: State,
    job: &Job,
    (entry, body): (&str, &Body),
    by: PersonId,
) -> Result<(), AppError> {
    if app.mail.is_none() {
        return Ok(());
    }
    match body {
        Body::HandedOut { to, on, .. } if *to != by => {
            let about = about(tx, job).await?;
            let subject = format!("Job {} is yours: {about}", job.id.0);
            let day = date_words(*on);
            let words = format!("Handed to you for {day}: {about}.\n{}", page(app, job));
            let word = format!("handed:{entry}");
            let item = item(Kind::Handed, &word, &subject, &words);
            one(app, tx, *to, &item).await?;
        }
        Body::Resumed { .. } => {
            if let Some(to) = job.assigned_to.filter(|to| *to != by) {
                let about = about(tx, job).await?;
                let subject = format!("Job {} goes on: {about}", job.id.0);
                let words = format!("It waits no longer: {about}.\n{}", page(app, job));
                let word = format!("hold_ended:{entry}");
                let item = item(Kind::HoldEnded, &word, &subject, &words);
                one(app, tx, to, &item).await?;
            }
        }
        _ => {}
    }
    reporter::of_entry(app, tx, was, job, body).await
}

/// A report came in.
///
/// # Errors
/// The database's own.
pub async fn of_report(
    app: &AppState,
    tx: &mut Tx,
    job: JobId,
    entry: &str,
    by: Option<PersonId>,
) -> Result<(), AppError> {
    if app.mail.is_none() {
        return Ok(());
    }
    let Some(job) = &jobs::queries::lock_and_find(tx, job).await? else {
        return Ok(());
    };
    let about = about(tx, job).await?;
    let urgency = job.response.level.map_or("", |level| level.words());
    let subject = format!("Report {}: {about}", job.id.0);
    let words = format!("{about}\n{urgency}\n{}", page(app, job));
    let word = format!("report:{entry}");
    let item = item(Kind::Report, &word, &subject, &words);
    for person in queries::reachable(tx, Kind::Report, None).await? {
        if Some(person.person_id) != by {
            tell(app, tx, &person, &item).await?;
        }
    }
    Ok(())
}

pub(super) fn item<'a>(kind: Kind, word: &'a str, subject: &'a str, words: &'a str) -> Item<'a> {
    Item {
        kind,
        word,
        subject,
        words,
    }
}

/// Tells one person, if they want to be told.
pub(super) async fn one(
    app: &AppState,
    tx: &mut Tx,
    to: PersonId,
    item: &Item<'_>,
) -> Result<(), AppError> {
    for person in queries::reachable(tx, item.kind, Some(to)).await? {
        tell(app, tx, &person, item).await?;
    }
    Ok(())
}

/// Writes the news down for when the person wants it.
pub(super) async fn tell(
    app: &AppState,
    tx: &mut Tx,
    person: &Reachable,
    item: &Item<'_>,
) -> Result<(), AppError> {
    let role = Role::named(&person.role).unwrap_or(Role::Reporter);
    if !item.kind.open_to(role) {
        return Ok(());
    }
    let chosen = person.way.as_deref().and_then(Way::named);
    let now = app.clock.now();
    let tell_at = match chosen.unwrap_or(item.kind.usual()) {
        Way::Nothing => return Ok(()),
        Way::AtOnce => now,
        Way::Digest => next_digest(&app.zone(), person.digest_hour, now),
    };
    let news = NewNews {
        word: &format!("{}:{}", item.word, person.person_id.0),
        person: person.person_id,
        kind: item.kind,
        subject: &one_line(item.subject),
        words: item.words,
        made_at: now,
        tell_at,
    };
    Ok(queries::add_news(tx, &news).await?)
}

async fn about(tx: &mut Tx, job: &Job) -> Result<String, AppError> {
    Ok(one_line(&queries::what(tx, job.id).await?))
}

fn page(app: &AppState, job: &Job) -> String {
    app.public_url(&format!("/jobs/{}", job.id.0))
}

/// A name for a new mail that no other has.
pub fn message_id(app: &AppState) -> String {
    let domain = app
        .mail
        .as_ref()
        .map_or("localhost", |m| m.from.email.domain());
    format!("{}@{domain}", uuid::Uuid::now_v7())
}
