//! Gathering news into mails, and sending: one process at a time, and nobody waits for it.

use super::compose::{self, Waiting};
use super::queries::{self, NewMail, News};
use super::{Mail, news, timed};
use crate::clock::{DAY, HOUR, MINUTE, Millis};
use crate::error::AppError;
use crate::people::session;
use crate::state::AppState;
use lettre::AsyncTransport;
use std::time::Duration;

/// Between one try and the next; the last one again and again.
const DELAYS: [Millis; 6] = [MINUTE, 5 * MINUTE, 15 * MINUTE, HOUR, 3 * HOUR, 6 * HOUR];
/// A mail that could not be sent for so long is given up.
const PATIENCE: Millis = 4 * DAY;
/// Mails of one pass.
const AT_A_TIME: i64 = 50;
const EVERY: Duration = Duration::from_secs(15);

/// Sends for as long as the server runs; at once where nothing is set up for mail.
pub fn keep_sending(app: AppState) -> tokio::task::JoinHandle<()> {
    tokio::spawn(async move {
        if app.mail.is_none() {
            return;
        }
        let mut tick = tokio::time::interval(EVERY);
        tick.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
        loop {
            tick.tick().await;
            if let Err(cause) = pass(&app).await {
                tracing::error!(%cause, "mail could not be looked through");
            }
        }
    })
}

/// One round: what the time of day brings, news into mails, mails to the server. Answers how many
/// were sent; none where another process is at it.
///
/// # Errors
/// The database's own; what a mail server says stands beside its mail.
pub async fn pass(app: &AppState) -> Result<usize, AppError> {
    let Some(mail) = app.mail.clone() else {
        return Ok(0);
    };
    let Some(alone) = queries::try_alone(&app.db).await? else {
        return Ok(0);
    };
    let sent = look_and_send(app, &mail).await;
    alone.release().await?;
    sent
}

async fn look_and_send(app: &AppState, mail: &Mail) -> Result<usize, AppError> {
    timed::look(app, mail).await?;
    gather(app).await?;
    send(app, mail).await
}

/// News that are due become mails, one for each person.
async fn gather(app: &AppState) -> Result<(), AppError> {
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let ready = queries::ready_news(&mut tx, now).await?;
    for news in ready.chunk_by(|a, b| a.person_id == b.person_id) {
        let Some(first) = news.first() else { continue };
        let mail = if first.address.is_empty() {
            None
        } else {
            let person = Some(first.person_id);
            let new = session::new_token();
            let (stop, _) = queries::stop_word(&mut tx, person, None, &new).await?;
            let (subject, words) = together(news);
            let mail = NewMail {
                message_id: &news::message_id(app),
                person,
                entry: None,
                address: &first.address,
                subject: &subject,
                words: &words,
                stop: &stop,
            };
            Some(queries::add_mail(&mut tx, &mail, now).await?)
        };
        for one in news {
            queries::news_told(&mut tx, one.id, mail).await?;
        }
    }
    tx.commit().await?;
    Ok(())
}

/// Subject and words of one mail for all of it.
fn together(news: &[News]) -> (String, String) {
    match news {
        [one] => (one.subject.clone(), one.words.clone()),
        several => {
            let parts: Vec<String> = several
                .iter()
                .map(|one| format!("{}\n{}", one.subject, one.words))
                .collect();
            (
                format!("{} things to know", several.len()),
                parts.join("\n\n"),
            )
        }
    }
}

/// What became of one try.
enum Tried {
    Sent,
    /// This mail can never be sent.
    Never(String),
    /// This one later; others may do.
    Later(String),
    /// The server does not answer or lets nobody in: all of them later.
    Down(String),
}

async fn send(app: &AppState, mail: &Mail) -> Result<usize, AppError> {
    let mut sent = 0;
    for waiting in queries::waiting(&app.db, app.clock.now(), AT_A_TIME).await? {
        let stop = match waiting.stop.as_str() {
            "" => None,
            word => Some(app.public_url(&format!("/stop/{word}"))),
        };
        let tried = try_one(mail, &waiting, stop.as_deref()).await;
        let now = app.clock.now();
        let mut tx = app.db.begin_write().await?;
        let mut down = false;
        match tried {
            Tried::Sent => {
                queries::sent(&mut tx, waiting.id, now).await?;
                sent += 1;
            }
            Tried::Never(why) => queries::give_up(&mut tx, waiting.id, now, &why).await?,
            Tried::Later(why) | Tried::Down(why) if now - waiting.made_at >= PATIENCE => {
                queries::give_up(&mut tx, waiting.id, now, &why).await?;
            }
            Tried::Later(why) => {
                queries::later(&mut tx, waiting.id, next(&waiting, now), &why).await?;
            }
            Tried::Down(why) => {
                queries::later(&mut tx, waiting.id, next(&waiting, now), &why).await?;
                down = true;
            }
        }
        tx.commit().await?;
        if down {
            break;
        }
    }
    Ok(sent)
}

fn next(waiting: &Waiting, now: Millis) -> Millis {
    let at = usize::try_from(waiting.tries).unwrap_or(usize::MAX);
    now + DELAYS[at.min(DELAYS.len() - 1)]
}

async fn try_one(mail: &Mail, waiting: &Waiting, stop: Option<&str>) -> Tried {
    let message = match compose::message(mail, waiting, stop) {
        Ok(message) => message,
        Err(why) => return Tried::Never(why),
    };
    let answer = tokio::time::timeout(mail.patience, mail.transport.send(message)).await;
    let error = match answer {
        Ok(Ok(_)) => return Tried::Sent,
        Ok(Err(error)) => error,
        Err(_) => return Tried::Down("The mail server was too slow.".to_owned()),
    };
    let why = said(&error);
    // 421, 530, 534, 535, 538 and 454 are about this program or the server, not about the mail.
    let code = error.status().map(u16::from);
    match code {
        Some(421 | 454 | 530 | 534 | 535 | 538) | None => Tried::Down(why),
        Some(code) if code >= 500 => Tried::Never(why),
        Some(_) => Tried::Later(why),
    }
}

/// What the server said, in one line that a list can hold.
fn said(error: &lettre::transport::smtp::Error) -> String {
    let mut words = error.to_string();
    let mut source = std::error::Error::source(error);
    while let Some(cause) = source {
        let more = cause.to_string();
        if !words.contains(&more) {
            words = format!("{words}: {more}");
        }
        source = cause.source();
    }
    crate::telling::one_line(&words).chars().take(300).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::people::PersonId;

    #[test]
    fn several_news_are_one_mail() {
        let one = |subject: &str| News {
            id: 1,
            person_id: PersonId(1),
            address: "ann@example.org".to_owned(),
            subject: subject.to_owned(),
            words: format!("About {subject}."),
        };
        let (subject, words) = together(&[one("Job 7")]);
        assert_eq!(
            (subject.as_str(), words.as_str()),
            ("Job 7", "About Job 7.")
        );
        let (subject, words) = together(&[one("Job 7"), one("Job 8")]);
        assert_eq!(subject, "2 things to know");
        assert_eq!(words, "Job 7\nAbout Job 7.\n\nJob 8\nAbout Job 8.");
    }
}
