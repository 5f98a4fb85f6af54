//! Isolation of a job's machine: people told, a lock on every source, tried and proved dead.

use super::body::Body;
use super::control::Removal;
use super::dead_test::{self, Moment, Tested};
use super::gate::Lock;
use super::queries::Entry;
use super::standing::{self, Standing};
use super::step_page::{WORKERS, refused, renamed, typed, works};
use super::steps::{self, JobView, Keys};
use super::{JobId, State, cautions, queries};
use crate::clock::{Millis, Zone};
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::instruments::{self, Instrument};
use crate::machines::Source;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, PersonId};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as Shared};
use axum::response::{IntoResponse, Response};
use calc::working::{Verdict, Working};

/// A source with what is recorded on it.
struct Card {
    source: Source,
    locks: Vec<Lock>,
    /// A lock of this job stands here.
    locked: bool,
    /// Something is wrong with what was typed for this source.
    wrong: bool,
}

impl Card {
    /// The name of a field of this source's form: several forms stand on one page.
    fn field(&self, name: &str) -> String {
        format!("{name}_{}", self.source.id)
    }

    fn stores(&self) -> bool {
        crate::machines::stores_energy(&self.source.relieved_how)
    }
}

/// The last dead test since power was on.
struct LastTest {
    when: String,
    who: String,
    live: bool,
    working: Working,
}

#[derive(Template)]
#[template(path = "jobs/isolation.html")]
struct IsolationPage {
    layout: Layout,
    view: JobView,
    cautions: Vec<String>,
    standing: Standing,
    cards: Vec<Card>,
    tested: Vec<Tested>,
    instruments: Vec<Instrument>,
    last: Option<LastTest>,
    /// Own locks that were taken off while this person was away.
    untold: Vec<Removal>,
    fields: Fields,
    errors: FieldErrors,
    me: PersonId,
    works: bool,
    now: Millis,
    zone: Zone,
}

impl IsolationPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        view: JobView,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let entries = queries::entries(&app.db, view.job.id).await?;
        let sources = view.sheet.iter().flat_map(|sheet| sheet.sources.clone());
        let cards = sources.map(|source| card(source, &view, &errors)).collect();
        let zone = app.zone();
        Ok(IsolationPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            cautions: cautions::of(&view),
            standing: standing::of(&view, &zone),
            cards,
            tested: view.sheet.as_ref().map_or(Vec::new(), dead_test::tested),
            last: last_test(&entries, &zone),
            instruments: instruments::queries::all(&app.db).await?,
            untold: untold_of(app, user.id()).await?,
            fields,
            errors,
            me: user.id(),
            works: works(&user.person),
            now: app.clock.now(),
            zone,
            view,
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    fn in_states(&self, states: &[State]) -> bool {
        self.works && states.contains(&self.view.job.state)
    }

    fn ahead(&self) -> bool {
        self.works && self.layout.ahead
    }

    fn may_tell(&self) -> bool {
        self.ahead()
            || self.in_states(&[State::HandedOut, State::OnTest])
                && self.view.job.confirmed_at.is_some()
    }

    fn may_lock(&self) -> bool {
        self.ahead()
            || self.in_states(&[State::HandedOut, State::OnTest, State::Isolated])
                && self.view.job.told_at.is_some()
    }

    fn may_test(&self) -> bool {
        let typed = self.fields.ticked("instrument") || self.fields.ticked("did_not_start");
        self.ahead()
            || self.in_states(&[State::HandedOut, State::OnTest, State::Isolated])
                && (typed || (!self.cards.is_empty() && self.view.sources_without_lock() == 0))
    }

    /// What is on the record, one sentence each; never a promise.
    fn told_when(&self) -> Option<String> {
        self.view.job.told_at.map(|at| self.zone.minute_words(at))
    }

    /// A lock that this person can take off here.
    fn mine(&self, lock: &Lock) -> bool {
        self.works && lock.person_id == self.me && lock.job_id == self.view.job.id
    }

    fn since(&self, lock: &Lock) -> String {
        self.zone.minute_words(lock.on_at)
    }
}

/// Removals that this person was not told of yet.
pub(super) async fn untold_of(app: &AppState, person: PersonId) -> Result<Vec<Removal>, AppError> {
    let all = queries::untold_removals(&app.db).await?;
    Ok(all.into_iter().filter(|r| r.owner_id == person).collect())
}

fn card(source: Source, view: &JobView, errors: &FieldErrors) -> Card {
    let locks: Vec<Lock> = view
        .locks
        .iter()
        .filter(|lock| lock.source_id == source.id)
        .cloned()
        .collect();
    let ending = format!("_{}", source.id);
    Card {
        locked: locks.iter().any(|lock| lock.job_id == view.job.id),
        wrong: errors.all().any(|(field, _)| field.ends_with(&ending)),
        locks,
        source,
    }
}

fn last_test(entries: &[Entry], zone: &Zone) -> Option<LastTest> {
    let last = entries
        .iter()
        .rev()
        .filter(|entry| entry.set_aside.is_none())
        .find(|entry| matches!(entry.body, Body::DeadTest { .. } | Body::Energised { .. }))?;
    let Body::DeadTest {
        verdict, working, ..
    } = &last.body
    else {
        return None;
    };
    Some(LastTest {
        when: zone.minute_words(last.received_at),
        who: last.person.clone(),
        live: *verdict == Verdict::Beyond,
        working: working.clone(),
    })
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let view = JobView::load(&app, JobId(id)).await?;
    let page =
        IsolationPage::load(&app, &user, view, Fields::default(), FieldErrors::default()).await?;
    Ok(Page(page).into_response())
}

/// The page again, with the messages beside their fields.
async fn again(
    app: &AppState,
    user: &CurrentUser,
    job: JobId,
    fields: Fields,
    errors: FieldErrors,
) -> Result<Response, AppError> {
    let view = JobView::load(app, job).await?;
    let page = IsolationPage::load(app, user, view, fields, errors).await?;
    Ok(refused(page))
}

pub async fn told(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let job = JobId(id);
    let who = match form::required(fields.get("who"), "Say who was told, or which area") {
        Ok(who) => who,
        Err(message) => {
            return again(&app, &user, job, fields, FieldErrors::of("who", message)).await;
        }
    };
    let body = Body::PeopleTold { who };
    match steps::add(&app, &user, job, &Keys::of(&fields), body).await? {
        Ok(()) => Ok(steps::go(&app, job, "/isolation")),
        Err(errors) => again(&app, &user, job, fields, errors).await,
    }
}

pub async fn lock(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let found = queries::find(&app.db, JobId(id)).await?;
    let job = found.ok_or(AppError::NotFound)?;
    let source: i64 = fields.get("source").parse().map_err(|_| reload())?;
    let of = |name: &str| fields.get(&format!("{name}_{source}")).to_owned();
    let body = Body::LockOn {
        machine_id: job.machine_id.ok_or_else(reload)?,
        source_id: source,
        lock_number: of("lock_number"),
        label_read: of("label_read"),
        seen_off: fields.ticked(&format!("seen_off_{source}")),
        relieved: of("relieved"),
    };
    match steps::add(&app, &user, job.id, &Keys::of(&fields), body).await? {
        Ok(()) => Ok(steps::go(&app, job.id, "/isolation")),
        Err(errors) => {
            let errors = renamed(&errors, |field| match field {
                "lock_number" | "seen_off" | "relieved" => format!("{field}_{source}"),
                other => other.to_owned(),
            });
            again(&app, &user, job.id, fields, errors).await
        }
    }
}

fn reload() -> AppError {
    AppError::BadRequest("The form is incomplete. Reload the page.".to_owned())
}

pub async fn dead(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let view = JobView::load(&app, JobId(id)).await?;
    let job = view.job.id;
    let (Some(sheet), Some(machine)) = (&view.sheet, &view.machine) else {
        let errors = FieldErrors::of(
            "form",
            "This machine has no isolation sheet. A supervisor must write one before work goes on",
        );
        return again(&app, &user, job, fields, errors).await;
    };
    let now = Keys::of(&fields).written_at(app.clock.now());
    let today = app.zone().date(now);
    let moment = Moment { now, today };
    let register = instruments::queries::all(&app.db).await?;
    let body = match dead_test::body(&fields, sheet, machine.id, moment, &register) {
        Ok(body) => body,
        Err(errors) => return again(&app, &user, job, fields, errors).await,
    };
    let live = matches!(&body, Body::DeadTest { verdict, .. } if *verdict == Verdict::Beyond);
    match steps::add(&app, &user, job, &Keys::of(&fields), body).await? {
        // A finding is shown where it was made, with what to do.
        Ok(()) if live => Ok(steps::go(&app, job, "/isolation")),
        Ok(()) => Ok(steps::go(&app, job, "")),
        Err(errors) => again(&app, &user, job, fields, errors).await,
    }
}

pub async fn off(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let job = JobId(id);
    let body = Body::LockOff {
        lock: fields.get("lock").to_owned(),
    };
    match steps::add(&app, &user, job, &Keys::of(&fields), body).await? {
        Ok(()) => Ok(steps::go(&app, job, "/isolation")),
        Err(errors) => again(&app, &user, job, fields, errors).await,
    }
}
