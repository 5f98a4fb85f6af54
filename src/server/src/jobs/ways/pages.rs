//! `/jobs/{id}/way`: what the work touches, its exception, the short checks of small work, an outside
//! firm, and who accepts it back.

use super::asked::{Asked, asked};
use super::body::ProofNeed;
use super::{Exception, Touches, Ways};
use crate::clock::Millis;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::jobs::allowed::{Stand, row_of};
use crate::jobs::body::Body;
use crate::jobs::step_page::{WORKERS, refused, typed, works};
use crate::jobs::steps::{self, JobView, Keys};
use crate::jobs::{Job, JobId};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as Shared};
use axum::response::{IntoResponse, Response};

#[derive(Template)]
#[template(path = "jobs/way.html")]
struct WayPage {
    layout: Layout,
    view: JobView,
    asked: Asked,
    exception_by: String,
    fields: Fields,
    errors: FieldErrors,
    works: bool,
    now: Millis,
}

impl WayPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        let exception_by = match view.job.way.exception_by {
            Some(id) => crate::people::queries::find(&app.db, id).await?,
            None => None,
        };
        Ok(WayPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            asked: asked_of(&view),
            exception_by: exception_by.map_or_else(String::new, |person| person.name),
            fields,
            errors,
            works: works(&user.person),
            now: app.clock.now(),
            view,
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    fn stands(&self, stands: &[Stand]) -> bool {
        self.works && stands.contains(&Stand::of(&self.view.job))
    }

    /// The extents of work, as a template's list takes them.
    fn touches(&self) -> Vec<(&'static str, &'static str)> {
        let place_alone = self.view.machine.is_none();
        let fits = |one: &Touches| !place_alone || *one == Touches::Nothing;
        let all = Touches::ALL.iter().filter(|(one, ..)| fits(one));
        all.map(|(_, word, words)| (*word, *words)).collect()
    }

    fn level(&self) -> &'static str {
        self.view.job.way.level().words()
    }

    fn may_choose(&self) -> bool {
        self.works && may_choose(&self.view.job)
    }

    fn may_finish(&self) -> bool {
        let minor = self.view.job.way.exception == Some(Exception::MinorServicing);
        let nothing = self.view.job.way.level() == Touches::Nothing;
        (nothing && self.stands(&[Stand::HandedOut])) || (minor && self.stands(&[Stand::Excepted]))
    }

    fn may_try(&self) -> bool {
        self.view.job.way.level() == Touches::Guard
            && self.view.sources_without_lock() == 0
            && self.view.sheet.is_some()
            && self.stands(&[Stand::HandedOut, Stand::Lifting, Stand::Failed])
    }

    fn may_run(&self) -> bool {
        self.view.job.way.level().needs().proof == ProofNeed::Run
            && self.stands(&[Stand::OnTest, Stand::TestOwed])
    }

    fn may_except(&self) -> bool {
        self.view.machine.is_some()
            && self.view.job.way.level().needs().isolation
            && self.stands(&[Stand::HandedOut, Stand::OnTest, Stand::Failed])
    }

    fn excepted(&self) -> bool {
        self.stands(&[Stand::Excepted])
    }

    /// While the work is planned or under way.
    fn may_firm(&self) -> bool {
        let row = row_of("outside_firm");
        self.works && row.is_some_and(|row| row.stands.contains(&Stand::of(&self.view.job)))
    }

    fn may_accept(&self) -> bool {
        self.stands(&[Stand::BackInService, Stand::Finished])
    }

    fn sources(&self) -> Vec<(String, String)> {
        let sheet = self.view.sheet.iter();
        let sources = sheet.flat_map(|sheet| &sheet.sources);
        sources
            .map(|s| (s.id.to_string(), s.name.clone()))
            .collect()
    }

    fn ticked(&self, name: &str) -> bool {
        self.fields.ticked(name)
    }
}

fn may_choose(job: &Job) -> bool {
    !matches!(
        Stand::of(job),
        Stand::BackInService
            | Stand::Finished
            | Stand::SignedOff
            | Stand::TurnedDown
            | Stand::Joined
    )
}

/// What is asked for beside the safety record of this job.
pub fn asked_of(view: &JobView) -> Asked {
    asked(
        view.job.way.level(),
        view.job.minutes_planned,
        view.machine.as_ref().map(|m| m.criticality.as_str()),
        view.job.response.emergency,
    )
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = WayPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

/// The entry that a form of this page makes; `None`: there is no such form.
fn entry(what: &str, fields: &Fields, view: &JobView) -> Option<Result<Ways, FieldErrors>> {
    let text = |name: &str| fields.get(name).trim().to_owned();
    let Some(machine_id) = view.machine.as_ref().map(|m| m.id) else {
        return without_machine(what, fields, view);
    };
    let ways = match what {
        "try" => Ways::TriedDead {
            machine_id,
            did_not_start: fields.ticked("did_not_start"),
            how: text("how"),
        },
        "run-check" => Ways::RunChecked {
            machine_id,
            starts: fields.ticked("starts"),
            right_way: fields.ticked("right_way"),
            sounds_right: fields.ticked("sounds_right"),
            guards_on: fields.ticked("guards_on"),
            seen: text("seen"),
        },
        "except" => {
            let Some(exception) = Exception::named(fields.get("exception")) else {
                let errors = FieldErrors::of("exception", "Choose which exception");
                return Some(Err(errors));
            };
            let all = exception.conditions().iter();
            let confirmed = all.filter(|(word, _)| fields.ticked(word));
            Ways::Excepted {
                exception,
                confirmed: confirmed.map(|(word, _)| (*word).to_owned()).collect(),
                measures: text(&format!("measures_{}", exception.word())),
            }
        }
        "end" => Ways::ExceptionEnded {
            why: text("why_ended"),
        },
        "lock" => Ways::OutsideLockOn {
            machine_id,
            source_id: text("source").parse().unwrap_or_default(),
            owner: text("owner"),
            lock_number: text("lock_number"),
        },
        "lock-off" => Ways::OutsideLockOff {
            lock: text("lock"),
            by_owner: fields.ticked("by_owner"),
        },
        _ => return without_machine(what, fields, view),
    };
    Some(Ok(ways))
}

/// The forms of a job on a place alone, which every job has too.
fn without_machine(
    what: &str,
    fields: &Fields,
    view: &JobView,
) -> Option<Result<Ways, FieldErrors>> {
    let text = |name: &str| fields.get(name).trim().to_owned();
    Some(match what {
        "place" => match view.job.place_id {
            Some(place_id) => Ok(Ways::PlacePlanned {
                place_id,
                scope: text("scope"),
                minutes: None,
            }),
            None => Err(FieldErrors::of("scope", "The report names no place")),
        },
        "touches" => match Touches::named(fields.get("touches")) {
            Some(touches) => Ok(Ways::TouchesSet {
                touches,
                why: text("why"),
            }),
            None => Err(FieldErrors::of("touches", "Choose what the work touches")),
        },
        "finish" => Ok(Ways::Finished {
            done: text("done"),
            checked: text("checked"),
            checked_by: text("checked_by"),
            found: text("found"),
        }),
        "firm" => Ok(Ways::OutsideFirm {
            firm: text("firm"),
            contact: text("contact"),
            our_procedure: text("our_procedure"),
            their_procedure: text("their_procedure"),
            left_for_us: text("left_for_us"),
        }),
        "accept" => Ok(Ways::Accepted {
            by: text("by"),
            saw: text("saw"),
        }),
        _ => return None,
    })
}

pub async fn record(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path((id, what)): Path<(i64, String)>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let view = JobView::load(&app, JobId(id)).await?;
    let entry = entry(&what, &fields, &view).ok_or(AppError::NotFound)?;
    let errors = match entry {
        Ok(ways) => {
            let keys = Keys::of(&fields);
            match steps::add(&app, &user, view.job.id, &keys, Body::Ways(ways)).await? {
                Ok(()) => return Ok(steps::go(&app, view.job.id, "")),
                Err(errors) => errors,
            }
        }
        Err(errors) => errors,
    };
    let errors = beside(&errors, &fields);
    again(&app, &user, JobId(id), fields, errors).await
}

/// The page again, with what was typed and what is wrong with it.
pub(super) async fn again(
    app: &AppState,
    user: &CurrentUser,
    job: JobId,
    fields: Fields,
    errors: FieldErrors,
) -> Result<Response, AppError> {
    Ok(refused(
        WayPage::load(app, user, job, fields, errors).await?,
    ))
}

/// Two forms of the page ask for measures; each has a field of its own.
fn beside(errors: &FieldErrors, fields: &Fields) -> FieldErrors {
    crate::jobs::step_page::renamed(errors, |field| match field {
        "measures" => format!("measures_{}", fields.get("exception")),
        other => other.to_owned(),
    })
}
