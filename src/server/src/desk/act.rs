//! Handing out and moving: jobs and due items alike, several at once, each kept on its own.

use super::page::DeskPage;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::jobs::body::Body;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::jobs::{self, Job, JobId, State};
use crate::people::{CurrentUser, PersonId, Role};
use crate::preventive::{self, to_job};
use crate::state::AppState;
use axum::extract::State as AppStateIn;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use time::Date;

/// One ticked line.
#[derive(Clone, Debug, PartialEq)]
struct Pick {
    /// `job-12` or `item-5`.
    line: String,
    what: What,
    /// The job's version as it was seen.
    seen: Option<i64>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    Job(JobId),
    Item(i64),
}

fn picks(fields: &Fields) -> Vec<Pick> {
    let mut picks: Vec<Pick> = Vec::new();
    for (name, value) in &fields.0 {
        let what = match name.split_once('-') {
            Some(("job", id)) => id.parse().ok().map(|id| What::Job(JobId(id))),
            Some(("item", id)) => id.parse().ok().map(What::Item),
            _ => None,
        };
        let Some(what) = what else { continue };
        if picks.iter().all(|pick| pick.what != what) {
            picks.push(Pick {
                line: name.clone(),
                what,
                seen: value.parse().ok(),
            });
        }
    }
    picks
}

/// Who and when: the line's own where it has one, else what stands for all.
fn order(fields: &Fields, line: &str) -> Result<(PersonId, Date, Option<PersonId>), FieldErrors> {
    let own = |name: &str| {
        let field = format!("{name}-{line}");
        match fields.get(&field) {
            "" => (name.to_owned(), fields.get(name).to_owned()),
            value => (field.clone(), value.to_owned()),
        }
    };
    let mut errors = FieldErrors::default();
    let (to_field, to) = own("to");
    let (on_field, on) = own("on");
    let to = to.parse::<i64>().ok();
    if to.is_none() {
        errors.add(&to_field, "Choose who does it");
    }
    let on = errors.take(&on_field, form::date(&on, "Choose the day").map(Some));
    let partner = own("partner").1.parse().ok().map(PersonId);
    match (to, on) {
        (Some(to), Some(on)) => errors.or((PersonId(to), on, partner)),
        _ => Err(errors),
    }
}

/// Where to go on: the page the form stood on.
fn back(fields: &Fields) -> String {
    match fields.get("back") {
        path if path.starts_with("/desk") && !path.contains("//") => path.to_owned(),
        _ => "/desk".to_owned(),
    }
}

pub async fn hand_out(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let picks = picks(&fields);
    let mut errors = FieldErrors::default();
    if picks.is_empty() {
        errors.add("lines", "Tick what is to be handed out");
    }
    let mut kept = 0;
    let mut done: Vec<String> = Vec::new();
    for pick in &picks {
        let order = match order(&fields, &pick.line) {
            Ok(order) => order,
            Err(found) => {
                for (field, message) in found.all() {
                    if errors.get(field).is_none() {
                        errors.add(field, message);
                    }
                }
                continue;
            }
        };
        match one(&app, &user, pick, order).await? {
            Ok(()) => {
                kept += 1;
                done.push(pick.line.clone());
            }
            Err(message) => errors.add(&pick.line, message),
        }
    }
    if errors.is_empty() {
        return Ok(Redirect::to(&app.url(&back(&fields))).into_response());
    }
    // What went through is not ticked again.
    let mut left = fields;
    left.0.retain(|(name, _)| !done.contains(name));
    let page = DeskPage::load(&app, &user, left, errors, kept).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

type Order = (PersonId, Date, Option<PersonId>);

async fn one(
    app: &AppState,
    user: &CurrentUser,
    pick: &Pick,
    order: Order,
) -> Result<Result<(), String>, AppError> {
    match pick.what {
        What::Job(id) => {
            let Some(job) = jobs::queries::find(&app.db, id).await? else {
                return Ok(Err(format!("There is no job {}", id.0)));
            };
            hand_job(app, user, &job, pick.seen, order).await
        }
        What::Item(id) => hand_item(app, user, id, order).await,
    }
}

fn entry(app: &AppState, (to, on, partner): Order, seen: Option<i64>) -> NewEntry {
    NewEntry {
        id: record::new_id(app.clock.now()),
        body: Body::HandedOut { to, on, partner },
        corrects: None,
        device_at: None,
        seen,
    }
}

async fn hand_job(
    app: &AppState,
    user: &CurrentUser,
    job: &Job,
    seen: Option<i64>,
    order: Order,
) -> Result<Result<(), String>, AppError> {
    let (to, on, partner) = order;
    let has_it = job.assigned_to == Some(to) && job.planned_on == Some(on) && partner.is_none();
    if has_it && job.state != State::Planned {
        // Sent twice: it is so already.
        return Ok(Ok(()));
    }
    if job.state == State::Reported {
        return Ok(Err(format!("Job {}: plan it first", job.id.0)));
    }
    let new = entry(app, order, seen);
    Ok(match record::add(app, job.id, &user.person, new).await? {
        Outcome::Added(_) | Outcome::Already(_) => Ok(()),
        Outcome::SetAside(_, refusal) | Outcome::Refused(refusal) => {
            Err(format!("Job {}: {}", job.id.0, refusal.message))
        }
    })
}

/// The due item becomes its job and is handed out, all or nothing; where it has its job already, that
/// one is handed out.
async fn hand_item(
    app: &AppState,
    user: &CurrentUser,
    id: i64,
    order: Order,
) -> Result<Result<(), String>, AppError> {
    let Some(item) = preventive::queries::item(&app.db, id).await? else {
        return Ok(Err("This due item is gone: its plan was changed".to_owned()));
    };
    let head = format!("{}, {}", item.tag, item.action);
    if let Some(job) = item.job_id {
        return match jobs::queries::find(&app.db, job).await? {
            Some(job) => hand_job(app, user, &job, None, order).await,
            None => Err(AppError::NotFound),
        };
    }
    if item.state != "open" {
        return Ok(Err(format!("{head}: it was closed meanwhile")));
    }
    let mut tx = app.db.begin_write().await?;
    let first = record::new_id(app.clock.now());
    let job = match to_job::make(app, &mut tx, &user.person, &item, first).await {
        Ok(job) => job,
        Err(AppError::Stale) => {
            return Ok(Err(format!("{head}: somebody was faster. Look again")));
        }
        Err(AppError::BadRequest(message)) => return Ok(Err(format!("{head}: {message}"))),
        Err(other) => return Err(other),
    };
    let new = entry(app, order, None);
    match record::add_within(app, &mut tx, job, &user.person, new).await? {
        Outcome::Added(_) | Outcome::Already(_) => {
            tx.commit().await?;
            Ok(Ok(()))
        }
        // Dropping the transaction takes the job back too.
        Outcome::SetAside(_, refusal) | Outcome::Refused(refusal) => {
            Ok(Err(format!("{head}: {}", refusal.message)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(list: &[(&str, &str)]) -> Fields {
        let own = |(n, v): &(&str, &str)| ((*n).to_owned(), (*v).to_owned());
        Fields(list.iter().map(own).collect())
    }

    #[test]
    fn each_line_is_picked_once_and_takes_its_own_person_before_the_common_one() {
        let sent = fields(&[
            ("job-3", "7"),
            ("job-3", "7"),
            ("item-5", "yes"),
            ("job-x", "1"),
            ("to", "1"),
            ("on", "2026-11-30"),
            ("to-item-5", "2"),
        ]);
        let picked = picks(&sent);
        assert_eq!(picked.len(), 2);
        assert_eq!(picked[0].seen, Some(7));
        let (to, on, partner) = order(&sent, "item-5").expect("whole");
        assert_eq!((to.0, on.day(), partner), (2, 30, None));
        assert_eq!(order(&sent, "job-3").expect("whole").0.0, 1);
        assert!(order(&fields(&[("on", "2026-11-30")]), "job-3").is_err());
    }

    #[test]
    fn it_goes_back_to_a_page_of_the_desk_only() {
        let to = |path: &str| back(&fields(&[("back", path)]));
        assert_eq!(
            to("/desk/week?from=2026-11-30"),
            "/desk/week?from=2026-11-30"
        );
        for path in [
            "",
            "//elsewhere",
            "/desk//x",
            "https://elsewhere",
            "/jobs/1",
        ] {
            assert_eq!(to(path), "/desk", "{path}");
        }
    }
}
