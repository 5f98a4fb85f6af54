//! What may happen when: one pure table of refusals. The rules that keep hands out of live machines
//! are here and nowhere else.

use super::allowed::{role_gate, row_of, stand_gate};
use super::body::Body;
use super::lock_gate::{dead_test_gate, lock_off_gate, lock_on_gate};
use super::priority::Level;
use super::report_gate::{join_gate, paper_gate};
use super::roof::{self, Stay};
use super::ways::gate::OutsideLock;
use super::{Job, JobId, State, control, detail, needs, spells_form, stores, ways};
use crate::crew;
use crate::machines::MachineId;
use crate::people::{Person, PersonId, Role};
use crate::photos;
use crate::shop::Units;
use calc::working::Verdict;

/// Why an entry is not taken, with the field it belongs beside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    pub field: &'static str,
    pub message: String,
}

pub(crate) fn refuse<T>(field: &'static str, message: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal {
        field,
        message: message.into(),
    })
}

/// A lock that stands on the machine or on one of its sources, of whatever job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lock {
    pub entry_id: String,
    pub job_id: JobId,
    pub machine_id: MachineId,
    pub source_id: i64,
    pub source: String,
    pub person_id: PersonId,
    pub person: String,
    pub lock_number: String,
    pub on_at: i64,
}

/// A source on the machine's isolation sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetSource {
    pub source_id: i64,
    pub name: String,
    /// Energy is stored and has to be let out.
    pub stores: bool,
    /// It is tested dead with an instrument.
    pub tested: bool,
}

/// What the gate looks at beside the job itself, read in the same transaction.
#[derive(Clone, Debug, Default)]
pub struct Surroundings {
    /// The sources of the machine's isolation sheet; empty where there is no sheet.
    pub sources: Vec<SheetSource>,
    /// Every lock that stands on this machine or on any of these sources.
    pub locks: Vec<Lock>,
    /// When the newest isolation sheet was made.
    pub sheet_made_at: Option<i64>,
    /// Another open job of this machine whose proof was failed.
    pub failed_elsewhere: Option<JobId>,
    /// Another job that is at work on this machine under an exception, without locks.
    pub excepted_elsewhere: Option<JobId>,
    /// Locks of outside firms that stand on this machine or on any of these sources.
    pub outside: Vec<OutsideLock>,
    /// The machine is plugged in, by its record; `None`: it does not say.
    pub plug: Option<bool>,
    /// The word in the machine's record.
    pub criticality: Option<String>,
    /// The job that this one is joined to, if the entry joins it: its machine and state.
    pub joined: Option<(Option<MachineId>, State)>,
    /// That job was reported near this one, in place and time.
    pub joined_near: bool,
    pub joined_level: Option<Level>,
    /// What a warranty covers that runs and that nobody answered for on this job.
    pub warranty_open: Option<String>,
    /// The tag of the job's machine.
    pub tag: String,
    /// The machine is on a roof, by its place or its record; the units refusals are said in.
    pub on_roof: Option<Units>,
    /// The person named in a live test, if the entry holds one.
    pub live_person: Option<Person>,
    /// The person a job is handed to, if the entry hands it out.
    pub handed_to: Option<Person>,
    /// What that person lacks for the job's work, and why the named partner does not make up for it.
    pub lacking: crew::Lacking,
    /// The stretch of time that the entry withdraws is this job's and still counts.
    pub spell_counts: bool,
    pub photos: photos::Seen,
    /// Boxes, removed locks and permits.
    pub control: control::Around,
    pub detail: detail::gate::Around,
    pub stores: stores::gate::Around,
}

/// May this entry be added to this job now, by this person?
///
/// # Errors
/// [`Refusal`]: one sentence that says what to do, and the field it belongs beside.
pub fn check(
    job: &Job,
    body: &Body,
    person: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    let Some(row) = row_of(body.kind()) else {
        return refuse("form", "No rule says when this may be added");
    };
    let by = role_gate(row, person)?;
    stand_gate(row, job, body)?;
    machine_gate(job, body)?;
    for need in row.needs {
        needs::check(*need, job, body, by, around)?;
    }
    own_words(job, body, by, around)
}

/// Who works on a roof says first what keeps them from falling, as far as the rule asks for it.
fn roof_gate(said: Option<&Stay>, around: &Surroundings) -> Result<(), Refusal> {
    let Some(units) = around.on_roof else {
        return Ok(());
    };
    let unknown = Stay::default();
    match roof::judge(said.unwrap_or(&unknown), units).lacks {
        Some((field, why)) => refuse(field, why),
        None => Ok(()),
    }
}

/// What the entry's own fields must say.
fn own_words(
    job: &Job,
    body: &Body,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    match body {
        Body::Ways(ways) => ways::gate::check(job, ways, by, around),
        Body::Control(control) => control::gate::check(job, control, by, around),
        Body::JoinedTo { job: other } => join_gate(job, *other, around),
        Body::HandedOut { .. } => hand_out_gate(around),
        Body::TurnedDown { .. } if job.was_open() => refuse(
            "reason",
            "The machine was isolated or run in this job, so it is not turned down: end it by its \
             run test and signature, and put what is left into a follow-up",
        ),
        Body::PaperGiven { .. } => paper_gate(job),
        Body::TimeSpent { .. } | Body::TimeWithdrawn { .. } => spells_form::gate(body, around),
        Body::Photo(_) | Body::PhotoWithdrawn { .. } => photos::gate(body, by, around),
        Body::UnitConfirmed { tag_read, roof, .. } => {
            if tag_read.trim().eq_ignore_ascii_case(&around.tag) {
                roof_gate(roof.as_ref(), around)
            } else {
                refuse(
                    "tag_read",
                    format!(
                        "The job is for {}; you read {}. Find {0}, or tell the supervisor that the \
                         record is wrong",
                        around.tag,
                        tag_read.trim()
                    ),
                )
            }
        }
        Body::PeopleTold { .. } if job.confirmed_at.is_none() => {
            refuse("form", "Confirm the unit at the machine first")
        }
        Body::AsFound { readings, live, .. } => {
            // Vibration is felt through the housing; volts and amps are taken on live parts.
            let taken_live = readings
                .iter()
                .any(|r| r.quantity == "volts" || r.quantity == "amps");
            if !taken_live && live.is_none() {
                return Ok(());
            }
            if live.is_none() {
                return refuse(
                    "precautions",
                    "Live readings need the qualified person and the precautions taken",
                );
            }
            live_gate(around)
        }
        Body::LockOn { .. } => lock_on_gate(job, body, by, around),
        Body::DeadTest {
            verdict,
            did_not_start,
            pairs,
            ..
        } => {
            // 29 CFR 1910.333(b)(2)(iv)(B): the tester is in a qualified person's hands.
            if !pairs.is_empty() && by.is_some_and(|person| person.qualified_on.is_none()) {
                return refuse(
                    "instrument",
                    "You are not recorded as a qualified person; a dead test is theirs to make",
                );
            }
            dead_test_gate(*verdict, *did_not_start)
        }
        Body::MotorChosen { verdict, .. } => match verdict {
            Verdict::DoNotFit | Verdict::Beyond => refuse(
                "motor",
                "This motor does not fit. The working says which line rules it out",
            ),
            Verdict::NotKnownYet => refuse(
                "motor",
                "This motor is not known yet to fit. The working says what is missing and how to \
                 get it",
            ),
            _ => Ok(()),
        },
        Body::CircuitChecked { motor_id, .. } if job.chosen_motor_id != Some(*motor_id) => refuse(
            "motor",
            "Choose this motor first; the circuit is checked for the chosen one",
        ),
        Body::CircuitDecided { motor_id, .. } if job.circuit_motor_id != Some(*motor_id) => {
            refuse("decision", "Check the circuit for the chosen motor first")
        }
        Body::MotorFitted { motor_id, .. } => {
            if job.fitted_motor_id == Some(*motor_id) {
                return refuse("motor", "This motor is recorded as fitted already");
            }
            if job.chosen_motor_id != Some(*motor_id) {
                return refuse("motor", "Choose the motor on the fit page first");
            }
            if !job.circuit_cleared() {
                return refuse(
                    "motor",
                    "Check the circuit for the chosen motor before it is fitted; a failing check \
                     needs a licensed person's decision",
                );
            }
            Ok(())
        }
        Body::ReadyToLift {
            tools_clear,
            guards_on,
            people_clear,
            people_told,
        } => {
            if !tools_clear {
                return refuse(
                    "tools_clear",
                    "Clear tools and loose parts from the machine first",
                );
            }
            if !guards_on {
                return refuse("guards_on", "Put the guards back before power returns");
            }
            if people_clear.trim().is_empty() {
                return refuse("people_clear", "Say who looked that everybody is clear");
            }
            if people_told.trim().is_empty() {
                return refuse("people_told", "Say who was told that power returns");
            }
            Ok(())
        }
        Body::LockOff { lock } => {
            control::gate::beside_lock_off(job, lock, by, around)?;
            lock_off_gate(job, lock, by, around)
        }
        Body::Energised { .. } => plug_in_gate(job, by),
        Body::Proof { .. } => live_gate(around),
        Body::BackInService { guards_on, .. } if !guards_on => refuse(
            "guards_on",
            "A machine does not go back into service without guards",
        ),
        Body::TestOwed { .. } if job.must_isolate_again() => refuse(
            "form",
            "The proof was failed. Put the locks back on and prove dead again",
        ),
        Body::Resumed { .. } if job.held_for.as_deref() == Some("circuit") => refuse(
            "form",
            "The circuit check holds this job. Choose another motor, or note a licensed person's \
             decision",
        ),
        Body::Planned { machine_id, .. }
            if job.confirmed_at.is_some() && job.machine_id != Some(*machine_id) =>
        {
            refuse(
                "machine",
                "The unit was confirmed at the machine already; report another job",
            )
        }
        Body::Stores(of_shelf) => stores::gate::check(of_shelf, around),
        Body::Detail(detail) => detail::gate::check(job, detail, by, around),
        _ => Ok(()),
    }
}

/// The rows made from an entry go to its machine: it must be the job's.
fn machine_gate(job: &Job, body: &Body) -> Result<(), Refusal> {
    match body {
        Body::LockOn { machine_id, .. }
        | Body::DeadTest { machine_id, .. }
        | Body::MotorFitted { machine_id, .. }
        | Body::Energised { machine_id, .. }
        | Body::EmergencyTaken { machine_id, .. }
        | Body::Proof { machine_id, .. }
            if job.machine_id != Some(*machine_id) =>
        {
            refuse(
                "machine",
                "This was made for another machine than the job's. Reload the page",
            )
        }
        _ => Ok(()),
    }
}

/// From under an exception only the plug goes back in, by who had it.
fn plug_in_gate(job: &Job, by: Option<&Person>) -> Result<(), Refusal> {
    match job.way.exception {
        None => Ok(()),
        Some(ways::Exception::MinorServicing) => refuse(
            "energise",
            "It was serviced during production. Record the finish check, or end the exception",
        ),
        Some(ways::Exception::CordAndPlug)
            if by.is_none_or(|person| job.way.exception_by != Some(person.id)) =>
        {
            refuse(
                "energise",
                "The plug is under another person's control. They plug it in",
            )
        }
        Some(ways::Exception::CordAndPlug) => Ok(()),
    }
}

fn hand_out_gate(around: &Surroundings) -> Result<(), Refusal> {
    match &around.handed_to {
        Some(person) if person.closed => refuse("to", "This person no longer works here"),
        Some(person) if !matches!(person.role, Role::Technician | Role::Supervisor) => {
            refuse("to", "Hand it to a technician or a supervisor")
        }
        Some(person) => around.lacking.gate(&person.name),
        None => refuse("to", "Choose who does it"),
    }
}

pub(super) fn live_gate(around: &Surroundings) -> Result<(), Refusal> {
    match &around.live_person {
        Some(person) if person.closed => refuse(
            "qualified_person",
            format!("{} no longer works here", person.name),
        ),
        Some(person) if person.qualified_on.is_some() => Ok(()),
        Some(person) => refuse(
            "qualified_person",
            format!(
                "{} is not recorded as a qualified person for live testing",
                person.name
            ),
        ),
        None => refuse(
            "qualified_person",
            "Choose the qualified person who took the readings",
        ),
    }
}

#[cfg(test)]
#[path = "gate_tests.rs"]
mod tests;
