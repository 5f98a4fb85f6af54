//! What the sender of a report is told, if they left an address: that it was taken up, when somebody
//! comes, that it is done, or why not. The words of the decision and their own number; nothing of others.

use super::queries::{self, NewMail, Report};
use super::{address_in, news};
use crate::clock::date_words;
use crate::db::Tx;
use crate::error::AppError;
use crate::jobs::body::{Body, Stored};
use crate::jobs::{Job, JobId, State};
use crate::people::session;
use crate::state::AppState;
use std::collections::BTreeSet;

/// Reports joined to reports: deeper than this nobody joins.
const DEEPEST: usize = 8;

/// What became of the report, in a sentence for its sender; `None` where they need not hear.
pub fn sentence(was: State, job: &Job, body: &Body) -> Option<String> {
    match body {
        Body::Planned { .. } | Body::Ways(_) if was == State::Reported && job.state != was => {
            Some("Your report was accepted and is planned.".to_owned())
        }
        Body::EmergencyTaken { .. } if was == State::Reported => {
            Some("Somebody is at it now.".to_owned())
        }
        Body::HandedOut { on, .. } => Some(format!(
            "Somebody will come to look at it on {}.",
            date_words(*on)
        )),
        Body::TurnedDown { reason } => Some(format!("Your report was turned down: {reason}")),
        Body::JoinedTo { job } => Some(format!(
            "The same fault was reported before, as number {}. You will hear what becomes of it.",
            job.0
        )),
        _ if job.state == State::BackInService && was != job.state => Some(if job.way.finished {
            "What you reported is done, and checked.".to_owned()
        } else {
            "What you reported is done: the machine is back in service.".to_owned()
        }),
        _ => None,
    }
}

pub(super) async fn of_entry(
    app: &AppState,
    tx: &mut Tx,
    was: State,
    job: &Job,
    body: &Body,
) -> Result<(), AppError> {
    let Some(sentence) = sentence(was, job, body) else {
        return Ok(());
    };
    // Whoever was joined to it hears of it too; the one that is just being joined hears that alone.
    let mut jobs = vec![job.id];
    if !matches!(body, Body::JoinedTo { .. }) {
        let mut newest = vec![job.id];
        for _ in 0..DEEPEST {
            let mut next = Vec::new();
            for of in newest {
                next.extend(queries::joined_into(tx, of).await?);
            }
            jobs.extend(&next);
            newest = next;
        }
    }
    let mut told = BTreeSet::new();
    for of in jobs {
        for report in queries::reports(tx, of).await? {
            if let Some(address) = address(&report).filter(|address| told.insert(address.clone())) {
                write(app, tx, &report, &address, job.id, &sentence).await?;
            }
        }
    }
    Ok(())
}

/// Where the sender of a report is reached by mail.
fn address(report: &Report) -> Option<String> {
    match Stored::read(&report.body) {
        Ok(Body::Reported { contact, .. } | Body::ReportedAgain { contact, .. }) => {
            address_in(&contact)
        }
        _ => None,
    }
}

async fn write(
    app: &AppState,
    tx: &mut Tx,
    report: &Report,
    address: &str,
    job: JobId,
    sentence: &str,
) -> Result<(), AppError> {
    let entry = Some(report.entry_id.as_str());
    let (stop, stopped) = queries::stop_word(tx, None, entry, &session::new_token()).await?;
    if stopped.is_some() {
        return Ok(());
    }
    let number = report.job_id.0;
    let same = if job == report.job_id {
        String::new()
    } else {
        format!(" It was joined to number {}.", job.0)
    };
    let page = app.public_url(&format!("/status/{number}?code={}", report.code));
    let words = format!(
        "{sentence}\n\nThe number of your report is {number}.{same} Where it stands:\n{page}\n\n{}",
        app.shop_name()
    );
    let mail = NewMail {
        message_id: &news::message_id(app),
        person: None,
        entry,
        address,
        subject: &format!("Your report {number}"),
        words: &words,
        stop: &stop,
    };
    queries::add_mail(tx, &mail, app.clock.now()).await?;
    Ok(())
}
