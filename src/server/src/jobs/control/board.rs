//! `/locks`: every lock that stands anywhere, and every owner not told yet.

use super::Removal;
use crate::clock::{Millis, Zone};
use crate::error::AppError;
use crate::jobs::queries;
use crate::jobs::ways::gate::OutsideLock;
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, Person, PersonId, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::State as Shared;
use axum::response::{IntoResponse, Response};
use std::collections::HashMap;

/// One lock on the board.
struct Row {
    entry: String,
    number: String,
    point: String,
    tag: String,
    job: i64,
    owner: String,
    since: String,
    /// How long it has been on, against the owner's shift.
    age: String,
    long: bool,
}

#[derive(Template)]
#[template(path = "jobs/locks_board.html")]
struct BoardPage {
    layout: Layout,
    rows: Vec<Row>,
    outside: Vec<OutsideLock>,
    untold: Vec<Removal>,
    supervises: bool,
    printed: String,
    zone: Zone,
}

impl BoardPage {
    fn when(&self, at: &Millis) -> String {
        self.zone.minute_words(*at)
    }
}

const HOUR: Millis = 3_600_000;

/// How long, in words, and whether that is longer than the owner's shift.
fn age(on_at: Millis, now: Millis, shift: Option<f64>) -> (String, bool) {
    let hours = (now - on_at).max(0) / HOUR;
    match shift {
        Some(shift) if (now - on_at) as f64 > shift * HOUR as f64 => {
            (format!("{hours} h, longer than a shift of {shift} h"), true)
        }
        Some(_) => (format!("{hours} h"), false),
        None => (format!("{hours} h; length of the shift not known"), false),
    }
}

struct Found<'a> {
    entry: &'a str,
    number: &'a str,
    point: String,
    tag: String,
    job: i64,
    person_id: PersonId,
    person: &'a str,
    on_at: Millis,
}

fn row(found: Found<'_>, people: &[Person], now: Millis, zone: &Zone) -> Row {
    let owner = people.iter().find(|p| p.id == found.person_id);
    let (age, long) = age(found.on_at, now, owner.and_then(|p| p.hours_a_day));
    Row {
        entry: found.entry.to_owned(),
        number: found.number.to_owned(),
        point: found.point,
        tag: found.tag,
        job: found.job,
        owner: found.person.to_owned(),
        since: zone.minute_words(found.on_at),
        age,
        long,
    }
}

pub async fn show(user: CurrentUser, Shared(app): Shared<AppState>) -> Result<Response, AppError> {
    user.require_staff()?;
    let people = people::queries::list(&app.db).await?;
    let tags: HashMap<_, _> = queries::tags_locked(&app.db).await?.into_iter().collect();
    let (now, zone) = (app.clock.now(), app.zone());
    let tag = |id| tags.get(&id).cloned().unwrap_or_default();
    let locks = queries::all_locks(&app.db).await?;
    let boxes = queries::all_boxes(&app.db).await?;
    let mut rows: Vec<Row> = Vec::new();
    for lock in &locks {
        let found = Found {
            entry: &lock.entry_id,
            number: &lock.lock_number,
            point: lock.source.clone(),
            tag: tag(lock.machine_id),
            job: lock.job_id.0,
            person_id: lock.person_id,
            person: &lock.person,
            on_at: lock.on_at,
        };
        rows.push(row(found, &people, now, &zone));
    }
    for of in &boxes {
        let key = locks.iter().find(|l| of.keys.contains(&l.entry_id));
        for lock in &of.locks {
            let found = Found {
                entry: &lock.entry_id,
                number: &lock.lock_number,
                point: format!("{} (box; {} leads)", of.name, of.coordinator),
                tag: key.map_or_else(String::new, |l| tag(l.machine_id)),
                job: of.job_id.0,
                person_id: lock.person_id,
                person: &lock.person,
                on_at: lock.on_at,
            };
            rows.push(row(found, &people, now, &zone));
        }
    }
    let section = match user.person.role {
        Role::Technician => "Today",
        _ => "Desk",
    };
    Ok(Page(BoardPage {
        layout: Layout::new(&app, &user.visitor, section),
        rows,
        outside: queries::all_outside_locks(&app.db).await?,
        untold: queries::untold_removals(&app.db).await?,
        supervises: user.person.role == Role::Supervisor,
        printed: zone.minute_words(now),
        zone,
    })
    .into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_age_is_judged_against_the_owners_own_shift_only_where_it_is_known() {
        let ten = 10 * HOUR;
        assert_eq!(
            age(0, ten, Some(8.0)),
            ("10 h, longer than a shift of 8 h".to_owned(), true)
        );
        assert_eq!(age(0, ten, Some(10.0)), ("10 h".to_owned(), false));
        assert_eq!(
            age(0, ten, None),
            ("10 h; length of the shift not known".to_owned(), false)
        );
    }
}
