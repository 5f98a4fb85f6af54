//! `/jobs/{id}/parts`: the machine looked over part by part.

use super::part_list::{self, FOUND, REASONS};
use super::{Detail, PartFound};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::jobs::body::Body;
use crate::jobs::queries::{self, PartRow};
use crate::jobs::step_page::{WORKERS, refused, typed, works};
use crate::jobs::steps::{self, JobView, Keys};
use crate::jobs::{JobId, State};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as AppStateIn};
use axum::response::{IntoResponse, Response};

/// A part's row in the form.
struct Row {
    part: &'static str,
    number: usize,
    found: String,
    reason: String,
    note: String,
    /// How it was last found, by whichever job.
    last: Option<String>,
    error: Option<String>,
}

impl Row {
    /// Reason and note are shown where they are used or asked for.
    fn open(&self) -> bool {
        self.error.is_some() || !self.note.is_empty() || !self.reason.is_empty()
    }
}

#[derive(Template)]
#[template(path = "jobs/parts.html")]
struct PartsPage {
    layout: Layout,
    view: JobView,
    rows: Vec<Row>,
    /// Found on this job and left bad: each can become a follow-up.
    left: Vec<PartRow>,
    works: bool,
    fields: Fields,
    errors: FieldErrors,
    now: i64,
}

impl PartsPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        let known = match view.job.machine_id {
            Some(machine) => newest(queries::parts_of_machine(&app.db, machine).await?),
            None => Vec::new(),
        };
        let kind = view.machine.as_ref().map_or("other", |m| m.kind.as_str());
        let zone = app.zone();
        let rows = part_list::of(kind)
            .into_iter()
            .enumerate()
            .map(|(number, part)| Row {
                part,
                number,
                found: typed(&fields, &format!("found_{number}")),
                reason: typed(&fields, &format!("reason_{number}")),
                note: typed(&fields, &format!("note_{number}")),
                last: known.iter().find(|row| row.part == part).map(|row| {
                    let when = crate::clock::date_words(zone.date(row.found_at));
                    format!("{}, {when}, job {}", after_name(row), row.job_id.0)
                }),
                error: errors.get(&format!("found_{number}")).map(str::to_owned),
            })
            .collect();
        let left = known
            .into_iter()
            .filter(|row| row.job_id == job && row.found == "bad_and_left")
            .collect();
        Ok(PartsPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            works: works(&user.person) && !view.job.state.ended() && view.machine.is_some(),
            now: app.clock.now(),
            rows,
            left,
            view,
            fields,
            errors,
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn ticked(&self, name: &str) -> bool {
        self.fields.ticked(name)
    }

    fn asks_before_power(&self) -> bool {
        matches!(
            self.view.job.state,
            State::OnTest | State::TestOwed | State::BackInService
        )
    }
}

/// `good` from `belt: good`: the name stands beside it already.
fn after_name(row: &PartRow) -> String {
    let words = row.words();
    match words.split_once(": ") {
        Some((_, rest)) => rest.to_owned(),
        None => words,
    }
}

/// The last known condition of each part, in the order in which it was found.
pub fn newest(rows: Vec<PartRow>) -> Vec<PartRow> {
    let mut kept: Vec<PartRow> = Vec::new();
    for row in rows {
        // A part that nobody looked at says nothing new about it.
        let known = |k: &&PartRow| k.part == row.part;
        match kept.iter().position(|k| known(&k)) {
            None => kept.push(row),
            Some(at) if kept[at].found == "not_looked_at" && row.found != "not_looked_at" => {
                kept[at] = row;
            }
            Some(_) => {}
        }
    }
    kept
}

/// The parts that were answered; a blank part is not recorded.
pub(in crate::jobs) fn read(fields: &Fields, kind: &str) -> Result<Vec<PartFound>, FieldErrors> {
    let known = |list: &[(&str, &str)], word: &str| list.iter().any(|(w, _)| *w == word);
    let mut errors = FieldErrors::default();
    let mut parts = Vec::new();
    for (number, part) in part_list::of(kind).into_iter().enumerate() {
        let of = |name: &str| fields.get(&format!("{name}_{number}")).to_owned();
        let (found, reason, note) = (of("found"), of("reason"), of("note"));
        let field = format!("found_{number}");
        if found.is_empty() {
            if !reason.is_empty() || !note.is_empty() {
                errors.add(&field, format!("Say how the {part} was found"));
            }
            continue;
        }
        if !known(FOUND, &found) {
            errors.add(&field, "Choose one of the list");
        }
        if found == "bad_and_left" && !known(REASONS, &reason) {
            errors.add(&field, format!("Say why the {part} was left"));
        }
        if found != "bad_and_left" && !reason.is_empty() {
            errors.add(&field, format!("A reason is for a bad {part} that is left"));
        }
        parts.push(PartFound {
            part: part.to_owned(),
            found,
            reason,
            note,
        });
    }
    if parts.is_empty() {
        errors.add("found_0", "Say how at least one part was found");
    }
    errors.or(parts)
}

pub async fn show(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = PartsPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

pub async fn record(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let job = JobId(id);
    let view = JobView::load(&app, job).await?;
    let machine = view.machine.ok_or(AppError::NotFound)?;
    let errors = match read(&fields, &machine.kind) {
        Ok(parts) => {
            let body = Body::Detail(Detail::PartsInspected {
                machine_id: machine.id,
                parts,
                before_power: fields.ticked("before_power"),
            });
            match steps::add(&app, &user, job, &Keys::of(&fields), body).await? {
                Ok(()) => return Ok(steps::go(&app, job, "/parts")),
                Err(errors) => errors,
            }
        }
        Err(errors) => errors,
    };
    let page = PartsPage::load(&app, &user, job, fields, errors).await?;
    Ok(refused(page))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_known_condition_is_not_hidden_by_nobody_looking() {
        let row = |part: &str, found: &str, job| PartRow {
            part: part.to_owned(),
            found: found.to_owned(),
            reason: String::new(),
            note: String::new(),
            job_id: JobId(job),
            found_at: job,
        };
        let rows = vec![
            row("belt", "not_looked_at", 3),
            row("belt", "bad_and_left", 2),
            row("belt", "good", 1),
            row("wheel", "not_looked_at", 1),
        ];
        let kept = newest(rows);
        assert_eq!(kept.len(), 2);
        assert_eq!(
            (kept[0].found.as_str(), kept[0].job_id),
            ("bad_and_left", JobId(2))
        );
        assert_eq!(kept[1].found, "not_looked_at");
    }
}
