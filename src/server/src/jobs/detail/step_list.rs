//! `/jobs/{id}/steps`: the procedures a job took and where each of their steps stands.

use super::{Detail, JobStep};
use crate::clock::Zone;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::jobs::queries::{self, AnswerRow, Taken};
use crate::jobs::step_page::{WORKERS, refused, typed, works};
use crate::jobs::steps::{self, JobView, Keys};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::procedures::{self, Takes, kind_words};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};

/// How the steps of a job stand. Not looked at is never good.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    pub all: usize,
    pub done: usize,
    pub outside: usize,
    pub not_looked_at: usize,
    pub open: usize,
}

impl Tally {
    /// From the newest answer of each step that counts.
    pub fn of(steps: &[JobStep], answers: &[AnswerRow]) -> Tally {
        let mut tally = Tally::default();
        for step in steps.iter().filter(|step| !step.dropped) {
            tally.all += 1;
            let newest = answers.iter().rev().find(|a| a.position == step.position);
            match newest.and_then(|a| Some((a, a.answer()?))) {
                None => tally.open += 1,
                Some((_, super::Answer::NotLookedAt)) => tally.not_looked_at += 1,
                Some((answer, _)) => {
                    tally.done += 1;
                    tally.outside += usize::from(answer.outside);
                }
            }
        }
        tally
    }

    pub fn whole(self) -> bool {
        self.open == 0 && self.not_looked_at == 0 && self.outside == 0
    }

    /// `7 of 12 answered, 1 outside its limit, 2 not looked at`
    pub fn words(self) -> String {
        if self.all == 0 {
            return "no procedure taken".to_owned();
        }
        let mut words = format!("{} of {} answered", self.done, self.all);
        if self.outside > 0 {
            words.push_str(&format!(", {} outside its limit", self.outside));
        }
        if self.not_looked_at > 0 {
            words.push_str(&format!(", {} not looked at", self.not_looked_at));
        }
        words
    }
}

/// The tally of a job.
pub async fn tally(app: &AppState, job: JobId) -> Result<Tally, AppError> {
    let steps = queries::job_steps(&app.db, job).await?;
    let answers = queries::answers(&app.db, job).await?;
    Ok(Tally::of(&steps, &answers))
}

/// A step as the list shows it.
struct Line {
    position: i64,
    step: procedures::Step,
    answers: Vec<Said>,
}

struct Said {
    words: String,
    outside: bool,
    why: String,
    who: String,
}

impl Line {
    fn tick(&self) -> bool {
        self.step.takes == Takes::Tick
    }
}

struct Group {
    taken: Taken,
    lines: Vec<Line>,
}

#[derive(Template)]
#[template(path = "jobs/steps.html")]
struct StepsPage {
    layout: Layout,
    view: JobView,
    groups: Vec<Group>,
    tally: Tally,
    library: Vec<(String, String)>,
    works: bool,
    fields: Fields,
    errors: FieldErrors,
    now: i64,
}

impl StepsPage {
    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        let steps = queries::job_steps(&app.db, job).await?;
        let answers = queries::answers(&app.db, job).await?;
        let zone = app.zone();
        let groups = queries::taken(&app.db, job)
            .await?
            .into_iter()
            .filter(|taken| !taken.dropped)
            .map(|taken| Group {
                lines: lines(&taken, &steps, &answers, &zone),
                taken,
            })
            .collect();
        Ok(StepsPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            tally: Tally::of(&steps, &answers),
            library: library(app, &view).await?,
            works: works(&user.person) && !view.job.state.ended(),
            now: app.clock.now(),
            view,
            groups,
            fields,
            errors,
        })
    }
}

/// The procedures of the shop, those for the machine's kind first.
pub async fn library(app: &AppState, view: &JobView) -> Result<Vec<(String, String)>, AppError> {
    let kind = view.machine.as_ref().map_or("", |m| m.kind.as_str());
    let (first, rest): (Vec<_>, Vec<_>) = procedures::queries::list(&app.db)
        .await?
        .into_iter()
        .partition(|p| p.for_kind == kind || p.for_kind.is_empty());
    let words = |p: procedures::Procedure| {
        let words = format!("{} ({})", p.name, kind_words(&p.for_kind));
        (p.id.to_string(), words)
    };
    Ok(first.into_iter().chain(rest).map(words).collect())
}

fn lines(taken: &Taken, steps: &[JobStep], answers: &[AnswerRow], zone: &Zone) -> Vec<Line> {
    steps
        .iter()
        .filter(|step| step.taken == taken.entry_id)
        .map(|step| Line {
            position: step.position,
            step: step.step.clone(),
            answers: answers
                .iter()
                .filter(|answer| answer.position == step.position)
                .map(|answer| said(answer, &step.step, zone))
                .collect(),
        })
        .collect()
}

fn said(answer: &AnswerRow, step: &procedures::Step, zone: &Zone) -> Said {
    let found = if answer.as_found { "as found: " } else { "" };
    let words = match answer.answer() {
        Some(super::Answer::Reading) => match step.figure(&answer.shown) {
            // A bare number gets the step's unit; anything else stays as it was shown.
            Some(_) if answer.shown.ends_with(|c: char| c.is_ascii_digit()) => {
                format!("{} {}", answer.shown, step.unit)
            }
            _ => answer.shown.clone(),
        },
        Some(super::Answer::Choice) => answer.shown.clone(),
        Some(other) => other.words().to_owned(),
        None => answer.answer.clone(),
    };
    Said {
        words: format!("{found}{words}"),
        outside: answer.outside,
        why: answer.why.clone(),
        who: format!(
            "{}, {}",
            answer.person,
            zone.minute_words(answer.answered_at)
        ),
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = StepsPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

async fn add(
    app: &AppState,
    user: &CurrentUser,
    job: JobId,
    fields: Fields,
    detail: Result<Detail, FieldErrors>,
) -> Result<Response, AppError> {
    let errors = match detail {
        Ok(detail) => {
            let body = Body::Detail(detail);
            match steps::add(app, user, job, &Keys::of(&fields), body).await? {
                Ok(()) => return Ok(steps::go(app, job, "/steps")),
                Err(errors) => errors,
            }
        }
        Err(errors) => errors,
    };
    let page = StepsPage::load(app, user, job, fields, errors).await?;
    Ok(refused(page))
}

/// The job takes a copy of a procedure's newest revision.
pub async fn take(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let found = match fields.get("procedure").parse::<i64>() {
        Ok(id) => procedures::queries::find(&app.db, id).await?,
        Err(_) => None,
    };
    let detail = match found {
        None => Err(FieldErrors::of("procedure", "Choose a procedure")),
        Some(found) => {
            let steps = procedures::queries::steps(&app.db, found.id, found.revision).await?;
            Ok(Detail::ProcedureTaken {
                procedure_id: found.id,
                revision: found.revision,
                name: found.name,
                steps,
            })
        }
    };
    add(&app, &user, JobId(id), fields, detail).await
}

/// It was the wrong procedure.
pub async fn drop_one(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let detail = form::required(fields.get("drop_why"), "Say why it is the wrong one")
        .map(|why| Detail::ProcedureDropped {
            taken: fields.get("taken").to_owned(),
            why,
        })
        .map_err(|message| FieldErrors::of("drop_why", message));
    add(&app, &user, JobId(id), fields, detail).await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn not_looked_at_never_counts_as_good() {
        let step = |position, dropped| JobStep {
            position,
            taken: String::new(),
            step: procedures::Step::default(),
            dropped,
        };
        let answer = |position, answer: &str, outside| AnswerRow {
            position,
            answer: answer.to_owned(),
            shown: String::new(),
            outside,
            as_found: false,
            why: String::new(),
            person: String::new(),
            answered_at: 0,
        };
        let steps = [
            step(1, false),
            step(2, false),
            step(3, false),
            step(4, true),
        ];
        let mut answers = vec![
            answer(1, "done", false),
            answer(2, "reading", true),
            answer(3, "done", false),
            answer(3, "not_looked_at", false),
        ];
        let tally = Tally::of(&steps, &answers);
        assert_eq!(
            tally.words(),
            "2 of 3 answered, 1 outside its limit, 1 not looked at"
        );
        assert!(!tally.whole());
        answers.extend([answer(2, "reading", false), answer(3, "done", false)]);
        assert!(
            Tally::of(&steps, &answers).whole(),
            "the newest answer counts"
        );
    }
}
