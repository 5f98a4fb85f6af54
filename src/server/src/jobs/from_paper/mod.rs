//! Typing in what came back on paper, in the order of the sheet. Every part is held against the same
//! gates as on its own page, one after the other; what is taken is kept, what is refused stays on the
//! page with its reason. The page opens no way around a gate.

mod beside;
mod enter;
mod slots;

use super::at_machine::{GUARD, RUNNING};
use super::dead_test::{self, Moment, Tested};
use super::detail::{JobStep, part_list};
use super::proof_form::{self, DIRECTIONS, FLOWS, Known, Leg, YES_NO};
use super::roof::PROTECTIONS;
use super::sheet_code::SheetCode;
use super::step_page::{WORKERS, refused, typed};
use super::steps::{self, JobView};
use super::{JobId, queries, record};
use crate::clock::date_value;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::instruments::{self, Instrument};
use crate::machines::Source;
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, Person, Role};
use crate::procedures::Takes;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as Shared};
use axum::response::{IntoResponse, Response};
pub use beside::{PermitLine, permit_lines};
use slots::Paper;
use std::fmt::Display;
use time::Date;

#[derive(Template)]
#[template(path = "jobs/from_paper.html")]
struct FromPaperPage {
    layout: Layout,
    view: JobView,
    code: SheetCode,
    entry: String,
    writers: Vec<(String, String)>,
    qualified: Vec<(String, String)>,
    instruments: Vec<Instrument>,
    steps: Vec<JobStep>,
    parts: Vec<(usize, &'static str)>,
    tested: Vec<Tested>,
    known: Known,
    permits: Vec<PermitLine>,
    fields: Fields,
    errors: FieldErrors,
    /// What has changed since an old sheet was printed.
    changed: Vec<String>,
    /// Parts that were taken just now.
    taken: Vec<String>,
    /// Parts that were refused, with the reasons.
    left: Vec<(String, String)>,
    today: String,
}

/// What the head of the form says.
struct Head {
    writer: Person,
    written_on: Date,
    moment: Moment,
    code: SheetCode,
    changed: Vec<String>,
}

impl FromPaperPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        view: JobView,
        fields: Fields,
    ) -> Result<Self, AppError> {
        let people = people::queries::list(&app.db).await?;
        let named = |person: &Person| (person.id.0.to_string(), person.name.clone());
        let open = || people.iter().filter(|p| !p.closed);
        let works = |p: &&Person| WORKERS.contains(&p.role);
        let own_only = user.person.role != Role::Supervisor;
        let mine = |p: &&Person| !own_only || p.id == user.id();
        Ok(FromPaperPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            code: SheetCode::of(&view),
            entry: record::new_id(app.clock.now()),
            writers: open().filter(works).filter(mine).map(named).collect(),
            qualified: open()
                .filter(|p| p.qualified_on.is_some())
                .map(named)
                .collect(),
            instruments: instruments::queries::all(&app.db).await?,
            steps: steps_of(app, view.job.id).await?,
            parts: view.machine.as_ref().map_or_else(Vec::new, |machine| {
                part_list::of(&machine.kind)
                    .into_iter()
                    .enumerate()
                    .collect()
            }),
            tested: view.sheet.as_ref().map_or_else(Vec::new, dead_test::tested),
            known: Known::of(&view),
            permits: permit_lines(&view),
            errors: FieldErrors::default(),
            changed: Vec::new(),
            taken: Vec::new(),
            left: Vec::new(),
            today: date_value(app.today()),
            fields,
            view,
        })
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    /// The name of a field of one source or step.
    fn at(&self, what: &str, number: impl Display, name: &str) -> String {
        format!("{what}{number}_{name}")
    }

    fn typed_at(&self, what: &str, number: impl Display, name: &str) -> String {
        self.typed(&self.at(what, number, name))
    }

    fn ticked_at(&self, what: &str, number: impl Display, name: &str) -> bool {
        self.fields.ticked(&self.at(what, number, name))
    }

    /// The name of a field of one part.
    fn part(&self, name: &str, number: impl Display) -> String {
        format!("part_{name}_{number}")
    }

    fn typed_part(&self, name: &str, number: impl Display) -> String {
        self.typed(&self.part(name, number))
    }

    fn typed_under(&self, prefix: &str, field: impl Display) -> String {
        self.typed(&format!("{prefix}_{field}"))
    }

    fn sources(&self) -> &[Source] {
        self.view.sheet.as_ref().map_or(&[], |sheet| &sheet.sources)
    }

    fn stores(&self, source: &Source) -> bool {
        crate::machines::stores_energy(&source.relieved_how)
    }

    fn numbered(&self, name: &str, at: impl Display) -> String {
        format!("{name}_{at}")
    }

    fn opening(&self) -> Option<&PermitLine> {
        self.permits.iter().find(|line| line.opens)
    }

    fn times(&self) -> std::ops::Range<usize> {
        0..beside::TIMES
    }

    fn time_kinds(&self) -> Vec<(&'static str, &'static str)> {
        beside::time_kinds()
    }

    fn legs(&self) -> Vec<(&'static str, Leg)> {
        let volts = proof_form::volt_legs(self.known.phases)
            .iter()
            .map(|leg| ("Volts", *leg));
        let amps = proof_form::amp_legs(self.known.phases)
            .iter()
            .map(|leg| ("Amperes", *leg));
        volts.chain(amps).collect()
    }

    /// The answers that a step takes on paper.
    fn answers(&self, step: &JobStep) -> Vec<(String, String)> {
        let mut answers = Vec::new();
        match step.step.takes {
            Takes::Tick => answers.push(("done".to_owned(), "done".to_owned())),
            Takes::Reading | Takes::Choice => {}
        }
        answers.push((
            "not_looked_at".to_owned(),
            "not looked at, or could not be".to_owned(),
        ));
        answers.push((
            "does_not_apply".to_owned(),
            "does not apply here".to_owned(),
        ));
        answers
    }
}

async fn steps_of(app: &AppState, job: JobId) -> Result<Vec<JobStep>, AppError> {
    let mut steps = queries::job_steps(&app.db, job).await?;
    steps.retain(|step| !step.dropped);
    Ok(steps)
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let view = JobView::load(&app, JobId(id)).await?;
    let page = FromPaperPage::load(&app, &user, view, Fields::default()).await?;
    Ok(Page(page).into_response())
}

/// Who wrote, when, on which sheet; every gap beside its field.
async fn head(
    app: &AppState,
    user: &CurrentUser,
    view: &JobView,
    fields: &Fields,
) -> Result<Result<Head, (FieldErrors, Vec<String>)>, AppError> {
    let mut errors = FieldErrors::default();
    let writer = fields.get("writer").parse().ok().map(people::PersonId);
    let writer = match writer {
        Some(id) => people::queries::find(&app.db, id).await?,
        None => None,
    };
    let writer = writer.filter(|p| !p.closed && WORKERS.contains(&p.role));
    match &writer {
        None => errors.add("writer", "Choose who wrote on the sheet"),
        Some(p) if p.id != user.id() && user.person.role != Role::Supervisor => errors.add(
            "writer",
            "Type in your own sheets; a supervisor types in another person's",
        ),
        Some(_) => {}
    }
    let day = form::date(fields.get("written_on"), "Say on which day it was done").map(Some);
    let written_on = errors.take("written_on", day);
    let reported = app.zone().date(view.job.reported_at);
    if written_on.is_some_and(|day| day > app.today() || day < reported) {
        errors.add("written_on", "Choose a day from the report until today");
    }
    let at = time_of_day(fields.get("written_at")).map(Some);
    let at = errors.take("written_at", at);
    let entries = queries::entries(&app.db, view.job.id).await?;
    let code = SheetCode::read(fields.get("sheet_code"), view.job.id.0).map(Some);
    let code = errors.take("sheet_code", code);
    let changed = code.as_ref().map_or_else(Vec::new, |code| {
        code.changed_since(&SheetCode::of(view), &entries)
    });
    if !changed.is_empty() && !fields.ticked("looked") {
        errors.add(
            "looked",
            "The sheet is older than the job. Look at what has changed, then tick this",
        );
    }
    let (Some(writer), Some(written_on), Some((hour, minute)), Some(code), true) =
        (writer, written_on, at, code, errors.is_empty())
    else {
        return Ok(Err((errors, changed)));
    };
    let now = app.zone().instant(written_on, hour, minute);
    Ok(Ok(Head {
        moment: Moment {
            now: now.unwrap_or_else(|| app.clock.now()),
            today: written_on,
        },
        writer,
        written_on,
        code,
        changed,
    }))
}

/// `14:30`; the paper says when it was finished.
fn time_of_day(text: &str) -> Result<(u8, u8), String> {
    let parts = text.trim().split_once(':');
    let (hour, minute) = parts.ok_or("Say at what time it was finished, as 14:30")?;
    match (hour.parse(), minute.get(..2).unwrap_or("x").parse()) {
        (Ok(hour @ 0..24), Ok(minute @ 0..60)) => Ok((hour, minute)),
        _ => Err("Enter a time of day, as 14:30".to_owned()),
    }
}

pub async fn record(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let view = JobView::load(&app, JobId(id)).await?;
    let head = match head(&app, &user, &view, &fields).await? {
        Ok(head) => head,
        Err((errors, changed)) => {
            let mut page = FromPaperPage::load(&app, &user, view, fields).await?;
            page.entry = page.typed("entry");
            (page.errors, page.changed) = (errors, changed);
            return Ok(refused(page));
        }
    };
    let job = view.job.id;
    let steps_taken = steps_of(&app, job).await?;
    let register = instruments::queries::all(&app.db).await?;
    let permits = permit_lines(&view);
    let zone = app.zone();
    let paper = Paper {
        permits: &permits,
        zone: &zone,
        now: app.clock.now(),
        view: &view,
        steps: &steps_taken,
        fields: &fields,
        moment: head.moment,
        writer: head.writer.id,
        register: &register,
        circuit_stands: super::work::circuit_stands(&app, &view.job).await?,
    };
    let slots = paper.slots();
    let done = enter::enter(&app, &user.person, job, &head, fields.get("entry"), slots).await?;
    if done.left.is_empty() && !done.taken.is_empty() {
        return Ok(steps::go(&app, job, ""));
    }
    let view = JobView::load(&app, job).await?;
    let mut page = FromPaperPage::load(&app, &user, view, done.without_taken(fields)).await?;
    page.entry = page.typed("entry");
    page.errors = done.errors;
    if done.taken.is_empty() && done.left.is_empty() {
        page.errors.add(
            "form",
            "Nothing was typed yet. Type what stands on the paper",
        );
    }
    page.taken = done.taken.into_iter().map(|(name, _)| name).collect();
    page.left = done.left;
    Ok(refused(page))
}
