//! News that no entry brings but the calendar and the clock: work overdue, work due soon, locks that
//! stand when the shift ends. Each is told once, also when it is looked for twice or late.

use super::kinds::Kind;
use super::queries::{self, Reachable};
use super::timed_queries::{self as rows, Lock};
use super::{Mail, news};
use crate::clock::{MINUTE, Millis, date_value, date_words};
use crate::db::Tx;
use crate::error::AppError;
use crate::people::Role;
use crate::state::AppState;
use crate::telling::one_line;
use std::sync::atomic::Ordering;
use time::{Date, Duration};

/// How often it is looked for.
const EVERY: Millis = 10 * MINUTE;
/// How far back somebody hears of what was overdue before they asked to be told.
const BACK: Duration = Duration::days(30);
/// How far ahead work falls due soon.
const SOON: Duration = Duration::days(7);
/// Lines of one piece of news.
const LINES: usize = 30;

pub(super) async fn look(app: &AppState, mail: &Mail) -> Result<(), AppError> {
    let now = app.clock.now();
    let last = mail.looked_at.load(Ordering::Relaxed);
    if now - last < EVERY && now >= last {
        return Ok(());
    }
    let shift_end = queries::shift_end(&app.db).await?;
    let mut tx = app.db.begin_write().await?;
    queries::forget(&mut tx, now).await?;
    overdue(app, &mut tx).await?;
    due_soon(app, &mut tx).await?;
    if let Some(minutes) = shift_end {
        locks(app, &mut tx, minutes, now).await?;
    }
    tx.commit().await?;
    mail.looked_at.store(now, Ordering::Relaxed);
    Ok(())
}

fn supervises(person: &Reachable) -> bool {
    person.role == Role::Supervisor.word()
}

/// The day of the last news of this kind for this person.
async fn last_day(
    app: &AppState,
    tx: &mut Tx,
    kind: Kind,
    person: &Reachable,
) -> Result<Option<Date>, AppError> {
    let last = rows::last_news(tx, kind, person.person_id).await?;
    Ok(last.map(|at| app.zone().date(at)))
}

async fn overdue(app: &AppState, tx: &mut Tx) -> Result<(), AppError> {
    let today = app.today();
    let people = queries::reachable(tx, Kind::Overdue, None).await?;
    let due = match people.iter().any(supervises) {
        true => rows::open_before(tx, today).await?,
        false => Vec::new(),
    };
    for person in people {
        // What was late before the last news is in it; the day it was written began new ones.
        let since = last_day(app, tx, Kind::Overdue, &person).await?;
        let since = since.unwrap_or(today - BACK);
        let jobs = rows::late_jobs(tx, person.person_id, since, today).await?;
        let mut lines: Vec<String> = jobs
            .iter()
            .map(|job| {
                let day = date_words(job.on_day);
                format!("Job {}, planned for {day}: {}", job.id, one_line(&job.what))
            })
            .collect();
        if supervises(&person) {
            let late = due.iter().filter(|item| {
                let last = item.on_day + Duration::days(item.window_days);
                last >= since && last < today
            });
            lines.extend(late.map(|item| {
                let day = date_words(item.on_day);
                format!("Was due {day}: {}", one_line(&item.what))
            }));
        }
        let list = List {
            kind: Kind::Overdue,
            what: "overdue",
            lines,
            page: "/today",
        };
        list.tell(app, tx, &person).await?;
    }
    Ok(())
}

async fn due_soon(app: &AppState, tx: &mut Tx) -> Result<(), AppError> {
    let today = app.today();
    for person in queries::reachable(tx, Kind::DueSoon, None).await? {
        let told = last_day(app, tx, Kind::DueSoon, &person).await?;
        let from = told.map_or(today, |day| day + SOON + Duration::DAY);
        let items = rows::open_between(tx, from, today + SOON).await?;
        let lines: Vec<String> = items
            .iter()
            .map(|item| format!("{}: {}", date_words(item.on_day), one_line(&item.what)))
            .collect();
        let list = List {
            kind: Kind::DueSoon,
            what: "due within seven days",
            lines,
            page: "/rounds",
        };
        list.tell(app, tx, &person).await?;
    }
    Ok(())
}

/// After the shift's end, until the day is over.
async fn locks(app: &AppState, tx: &mut Tx, minutes: i64, now: Millis) -> Result<(), AppError> {
    let today = app.today();
    let (hour, minute) = (minutes / 60, minutes % 60);
    let end = u8::try_from(hour)
        .ok()
        .zip(u8::try_from(minute).ok())
        .and_then(|(hour, minute)| app.zone().instant(today, hour, minute));
    let Some(end) = end.filter(|end| *end <= now) else {
        return Ok(());
    };
    let standing = rows::standing(tx, end).await?;
    for person in queries::reachable(tx, Kind::Lock, None).await? {
        let own = |lock: &&Lock| lock.person_id == person.person_id || supervises(&person);
        let lines: Vec<String> = standing
            .iter()
            .filter(own)
            .map(|lock| {
                let (number, source) = (one_line(&lock.lock_number), one_line(&lock.source));
                format!(
                    "Lock {number} of {} on {source}, job {}",
                    lock.person, lock.job_id
                )
            })
            .collect();
        let list = List {
            kind: Kind::Lock,
            what: "standing after the shift",
            lines,
            page: "/locks",
        };
        list.tell(app, tx, &person).await?;
    }
    Ok(())
}

/// News that are a list: what they say before its lines, and where one looks at it.
struct List {
    kind: Kind,
    what: &'static str,
    lines: Vec<String>,
    page: &'static str,
}

impl List {
    /// Told once a day to each person.
    async fn tell(self, app: &AppState, tx: &mut Tx, person: &Reachable) -> Result<(), AppError> {
        if self.lines.is_empty() {
            return Ok(());
        }
        let things = match (self.kind, self.lines.len()) {
            (Kind::Lock, 1) => "1 lock".to_owned(),
            (Kind::Lock, n) => format!("{n} locks"),
            (_, 1) => "1 piece of work".to_owned(),
            (_, n) => format!("{n} pieces of work"),
        };
        let mut words: Vec<String> = self.lines.iter().take(LINES).cloned().collect();
        if self.lines.len() > LINES {
            words.push(format!("and {} more", self.lines.len() - LINES));
        }
        words.push(app.public_url(self.page));
        let word = format!("{}:{}", self.kind.word(), date_value(app.today()));
        let (subject, words) = (format!("{things} {}", self.what), words.join("\n"));
        let item = news::item(self.kind, &word, &subject, &words);
        news::tell(app, tx, person, &item).await
    }
}
