//! The ways of a job that is not a whole repair of one machine: small work, work on a place alone,
//! the two exceptions of 29 CFR 1910.147, an outside firm, and who accepts the work back.
//!
//! What the work touches decides what it skips; isolation and proof of what it does touch are never
//! skipped. See [`Touches::needs`].

pub mod asked;
pub mod body;
pub mod exception;
pub mod gate;
pub mod lines;
pub mod new_machine;
pub mod pages;

use super::{Job, State};
use crate::people::PersonId;
pub use body::{Touches, Ways};
pub use exception::Exception;

/// The part of a job's summary that these entries make.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Way {
    /// What the work touches; `None`: nobody has chosen, and everything is asked for.
    pub touches: Option<Touches>,
    /// The furthest that hands went, or may have gone, into the machine.
    pub hands: Option<Touches>,
    /// The exception that stands in place of isolation, and in whose hands it is.
    pub exception: Option<Exception>,
    pub exception_by: Option<PersonId>,
    /// The proof that stands is the run check of small work.
    pub short_proof: bool,
    /// It ended with its own finish check: nothing needed isolation or proof.
    pub finished: bool,
    pub accepted_by: String,
    pub saw_working: String,
    pub outside_firm: String,
    /// Each employer has told the other its energy procedure (29 CFR 1910.147(f)(2)).
    pub outside_exchanged: bool,
}

impl Way {
    pub fn level(&self) -> Touches {
        self.touches.unwrap_or(Touches::Full)
    }
}

/// What such an entry does to its job's summary.
pub fn apply(job: &mut Job, ways: &Ways, by: Option<PersonId>, at: crate::clock::Millis) {
    match ways {
        Ways::PlacePlanned {
            place_id,
            scope,
            minutes,
        } => {
            job.state = State::Planned;
            job.machine_id = None;
            super::apply::another_machine(job);
            job.way.touches = Some(Touches::Nothing);
            job.place_id = Some(*place_id);
            job.scope.clone_from(scope);
            job.minutes_planned = *minutes;
        }
        Ways::TouchesSet { touches, .. } => touches_set(job, *touches),
        Ways::TriedDead { .. } => {
            super::apply::proved_dead(job, at);
            super::apply::hands(job);
        }
        Ways::RunChecked { .. } => {
            let word = if ways.passed() { "within" } else { "beyond" };
            super::apply::proof(job, word, at);
            job.way.short_proof = true;
        }
        Ways::Finished { .. } => {
            job.state = State::BackInService;
            job.back_at = Some(at);
            job.way.finished = true;
            job.way.exception = None;
            job.way.exception_by = None;
            job.response.attended(at);
        }
        Ways::Excepted { exception, .. } => {
            // Hands may go in again: whatever was proved is proved anew.
            job.state = State::HandedOut;
            job.proof_verdict = None;
            job.proof_at = None;
            job.dead_at = None;
            job.way.exception = Some(*exception);
            job.way.exception_by = by;
            job.response.attended(at);
        }
        Ways::ExceptionEnded { .. } => end_exception(job),
        Ways::OutsideFirm {
            firm,
            our_procedure,
            their_procedure,
            ..
        } => {
            job.way.outside_firm.clone_from(firm);
            job.way.outside_exchanged =
                !our_procedure.trim().is_empty() && !their_procedure.trim().is_empty();
        }
        Ways::Accepted { by, saw } => {
            job.way.accepted_by.clone_from(by);
            job.way.saw_working.clone_from(saw);
        }
        Ways::OutsideLockOn { .. } | Ways::OutsideLockOff { .. } => {}
    }
}

pub(super) fn end_exception(job: &mut Job) {
    job.way.exception = None;
    job.way.exception_by = None;
}

/// Work that touches more than was thought: nothing counts as dead that was proved for less, and no
/// exception stands that was taken for less.
fn touches_set(job: &mut Job, touches: Touches) {
    if touches > job.way.level() {
        end_exception(job);
        if !job.way.level().needs().instrument && touches.needs().instrument {
            job.dead_at = None;
            job.lifting = false;
            if job.state == State::Isolated {
                job.state = State::HandedOut;
            }
            if job.held_from == Some(State::Isolated) {
                job.held_from = Some(State::HandedOut);
            }
        }
    }
    job.way.touches = Some(touches);
}
