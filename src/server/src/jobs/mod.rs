//! Jobs: one piece of work on one machine, worked through entries that are only ever added.
//!
//! Read in this order: [`body`] (what can happen), [`allowed`] (the table of what may happen when),
//! [`gate`] (how it is asked), [`apply`] (what it does to the job), [`record`] (how it is written).

pub mod again;
pub mod aging;
pub mod allowed;
pub mod answers;
pub mod apply;
pub mod at_machine;
pub mod body;
pub mod cautions;
mod clash;
pub mod closing;
pub mod codes;
pub mod confirm;
pub mod control;
pub mod day_pack;
pub mod dead_test;
pub mod detail;
pub mod emergency;
pub mod from_paper;
pub mod gate;
mod hold_reason;
pub mod isolation;
pub mod lift;
mod lock_gate;
mod needs;
pub mod next_step;
pub mod of_machine;
pub mod planning;
pub mod priority;
pub mod priority_page;
pub mod proof;
pub mod proof_form;
pub mod queries;
pub mod record;
pub mod report;
pub mod report_code;
mod report_gate;
pub mod response;
pub mod response_words;
pub mod returning;
pub mod roof;
pub mod sheet;
pub mod sheet_code;
pub mod show;
pub mod spells;
mod spells_form;
pub mod standing;
pub mod status;
pub mod step_page;
pub mod steps;
pub mod stores;
pub mod timeline;
pub mod today;
mod typed_rows;
pub mod ways;
pub mod work;

use crate::clock::Millis;
use crate::machines::MachineId;
use crate::motors::MotorId;
use crate::people::PersonId;
use response::Response;
use serde::{Deserialize, Serialize};
use time::Date;

/// The number people say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, sqlx::Type)]
#[sqlx(transparent)]
#[serde(transparent)]
pub struct JobId(pub i64);

/// Where a job stands; it follows the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum State {
    Reported,
    Planned,
    HandedOut,
    Isolated,
    OnTest,
    BackInService,
    SignedOff,
    Held,
    TestOwed,
    TurnedDown,
    Joined,
}

impl State {
    pub const ALL: [State; 11] = [
        State::Reported,
        State::Planned,
        State::HandedOut,
        State::Isolated,
        State::OnTest,
        State::BackInService,
        State::SignedOff,
        State::Held,
        State::TestOwed,
        State::TurnedDown,
        State::Joined,
    ];

    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            State::Reported => "reported",
            State::Planned => "planned",
            State::HandedOut => "handed_out",
            State::Isolated => "isolated",
            State::OnTest => "on_test",
            State::BackInService => "back_in_service",
            State::SignedOff => "signed_off",
            State::Held => "held",
            State::TestOwed => "test_owed",
            State::TurnedDown => "turned_down",
            State::Joined => "joined",
        }
    }

    pub fn named(word: &str) -> Option<State> {
        State::ALL.into_iter().find(|state| state.word() == word)
    }

    /// The words on pages.
    pub fn words(self) -> &'static str {
        match self {
            State::Reported => "reported",
            State::Planned => "planned",
            State::HandedOut => "handed out",
            State::Isolated => "isolated",
            State::OnTest => "on test",
            State::BackInService => "back in service",
            State::SignedOff => "signed off",
            State::Held => "held",
            State::TestOwed => "test owed",
            State::TurnedDown => "turned down",
            State::Joined => "joined to another",
        }
    }

    /// Work on it is over.
    pub fn ended(self) -> bool {
        matches!(self, State::SignedOff | State::TurnedDown | State::Joined)
    }
}

/// The summary of a job's entries: what `apply` makes of them, nothing else.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    pub id: JobId,
    pub place_id: Option<i64>,
    pub machine_id: Option<MachineId>,
    pub due_item_id: Option<i64>,
    pub state: State,
    pub held_from: Option<State>,
    pub held_for: Option<String>,
    pub held_note: String,
    /// The reporter's own words, never altered; an emergency's are filled in once, afterwards.
    pub words: String,
    pub reporter: String,
    pub contact: String,
    pub reported_at: Millis,
    pub scope: String,
    pub minutes_planned: Option<i64>,
    pub steps: String,
    pub assigned_to: Option<PersonId>,
    pub planned_on: Option<Date>,
    pub confirmed_at: Option<Millis>,
    pub as_found_at: Option<Millis>,
    pub told_at: Option<Millis>,
    pub dead_at: Option<Millis>,
    pub lifting: bool,
    pub energised_at: Option<Millis>,
    pub chosen_motor_id: Option<MotorId>,
    pub fit_verdict: Option<String>,
    pub circuit_motor_id: Option<MotorId>,
    pub circuit_verdict: Option<String>,
    pub circuit_decided_at: Option<Millis>,
    pub fitted_motor_id: Option<MotorId>,
    pub proof_verdict: Option<String>,
    pub proof_at: Option<Millis>,
    pub test_owed_on: Option<Date>,
    pub component: String,
    pub mode: String,
    pub mechanism: String,
    pub cause: String,
    pub cause_at: Option<Millis>,
    pub back_at: Option<Millis>,
    pub signed_by: Option<PersonId>,
    pub signed_at: Option<Millis>,
    pub turned_down_why: String,
    pub joined_to: Option<JobId>,
    pub response: Response,
    pub entry_count: i64,
    pub last_entry_at: Millis,
    pub version: i64,
    /// Handed over, and not proved dead again by who took it over: outgoing and incoming.
    pub handover_from: Option<PersonId>,
    pub handover_to: Option<PersonId>,
    /// Kinds of permit that the work needs, with blanks between.
    pub permits_needed: String,
    /// Interlocks restored since power was last put on, one a line.
    pub interlocks_restored: String,
    /// Small work, exceptions, an outside firm, acceptance.
    pub way: ways::Way,
}

impl Job {
    /// The proof that stands was passed, and is as much as the work needs.
    pub fn proved(&self) -> bool {
        let enough =
            !self.way.short_proof || self.way.level().needs().proof <= ways::body::ProofNeed::Run;
        enough
            && self
                .proof_verdict
                .as_deref()
                .is_some_and(|v| v == "within" || v == "within_note")
    }

    /// Where it stands, in words that tell the ways apart.
    pub fn stands(&self) -> &'static str {
        allowed::Stand::of(self).words(self.state)
    }

    /// Hands were in the machine, or may have been, or power was put on it.
    pub fn was_open(&self) -> bool {
        self.way.hands.is_some() || self.dead_at.is_some() || self.energised_at.is_some()
    }

    /// The run test was failed and the machine has not been isolated again since.
    pub fn must_isolate_again(&self) -> bool {
        self.proof_verdict.as_deref() == Some("beyond")
    }

    /// The circuit check of the chosen motor does not stand in the way.
    pub fn circuit_cleared(&self) -> bool {
        self.chosen_motor_id.is_some()
            && self.circuit_motor_id == self.chosen_motor_id
            && (self.circuit_decided_at.is_some()
                || self
                    .circuit_verdict
                    .as_deref()
                    .is_some_and(|v| v == "within" || v == "within_note"))
    }
}
