//! The one table of a job's states: each kind of entry, who adds it, where a job must stand, and what
//! must hold at the machine. [`super::gate::check`] walks its row; what an entry's own fields must
//! say is beside it in the gates.
//!
//! ```text
//! reported > planned > handed out > isolated > lifting > on test > back in service > signed off
//!                      |   |                              ^   |
//!                      |   +- under an exception ---------+   +- failed > (isolated again)
//!                      |          |                           +- test owed > (proof)
//!                      +----------+---> finished > signed off
//! ```
//!
//! A report that is not worked on is turned down or joined, also once it was handed out, as long as
//! nothing was opened and none of its locks stands.
//!
//! Three ways lead to the end. *Back in service* is reached from the run test only: isolated, every
//! lock off, proved as far as the work touched the machine ([`super::ways::Touches::needs`]).
//! *Under an exception* stands in place of isolation, never of proof: from a plug in the worker's
//! hand the way goes on through the run test. *Finished* is work that opened nothing, or minor
//! servicing during production: it ends with its own check and never says that a machine is back.

use super::body::Body;
use super::gate::{Refusal, refuse};
use super::{Job, State};
use crate::people::{Person, Role};

/// Where a job stands in the table: its state, told apart where the rules differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stand {
    Reported,
    Planned,
    HandedOut,
    /// Handed out, with a recorded exception in place of isolation.
    Excepted,
    Isolated,
    /// Isolated, and people are clear for the locks to come off.
    Lifting,
    OnTest,
    /// On test, and the proof was failed: to be isolated again.
    Failed,
    TestOwed,
    BackInService,
    /// Over without isolation or proof, because the work needed neither.
    Finished,
    SignedOff,
    Held,
    TurnedDown,
    Joined,
}

impl Stand {
    pub fn of(job: &Job) -> Stand {
        match job.state {
            State::Reported => Stand::Reported,
            State::Planned => Stand::Planned,
            State::HandedOut if job.way.exception.is_some() => Stand::Excepted,
            State::HandedOut => Stand::HandedOut,
            State::Isolated if job.lifting => Stand::Lifting,
            State::Isolated => Stand::Isolated,
            State::OnTest if job.must_isolate_again() => Stand::Failed,
            State::OnTest => Stand::OnTest,
            State::TestOwed => Stand::TestOwed,
            State::BackInService if job.way.finished => Stand::Finished,
            State::BackInService => Stand::BackInService,
            State::SignedOff => Stand::SignedOff,
            State::Held => Stand::Held,
            State::TurnedDown => Stand::TurnedDown,
            State::Joined => Stand::Joined,
        }
    }

    /// The words on pages.
    pub fn words(self, state: State) -> &'static str {
        match self {
            Stand::Excepted => "at work under an exception",
            Stand::Finished => "finished and checked",
            _ => state.words(),
        }
    }
}

/// What must hold beside the entry's own fields, checked in the order of the row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// The person is authorised for energy control.
    Authorised,
    /// No lock of theirs was taken off without their being told.
    OwnerTold,
    /// After a handover, the incoming person tests.
    IncomingTests,
    /// The machine has an isolation sheet.
    Sheet,
    /// This job has a lock on every source of the sheet.
    AllLocked,
    /// Hands may go in: every source locked and proved dead on this sheet, or the exception theirs.
    HandsOpen,
    /// Behind a box, an own lock on it and every key in it.
    OwnBoxLock,
    /// Every permit that the work needs is open.
    Permits,
    /// With an outside firm on the job, both energy procedures exchanged.
    Exchanged,
    /// Whatever warranty runs was answered for before the machine is opened.
    WarrantyAsked,
    /// The work is full, so that another motor may be fitted.
    FullWork,
    /// No lock stands on the machine or its sources, of any job.
    NoLock,
    NoBoxLock,
    NoOutsideLock,
    /// No lock, box lock or outside firm's lock of this job stands.
    OwnLocksOff,
    OwnBoxesOff,
    /// No other job's failed proof binds the machine.
    NoFailedElsewhere,
    /// Nobody works at the machine under an exception of another job.
    NoExceptionElsewhere,
    /// Every interlock of the sheet restored since power was last put on.
    Interlocks,
    /// The proof that this work needs was passed.
    Proof,
    /// Somebody accepted it back.
    Accepted,
    /// The cause, where job and machine warrant asking.
    CauseIfAsked,
    /// The paper of an emergency.
    Paper,
}

/// One kind of entry.
pub struct Row {
    pub kind: &'static str,
    pub roles: &'static [Role],
    pub stands: &'static [Stand],
    pub needs: &'static [Need],
}

const ANYBODY: &[Role] = &Role::ALL;
const WORKERS: &[Role] = &[Role::Technician, Role::Supervisor];
/// Who takes from the shelf and gives back.
const SHELF: &[Role] = crate::stores::HANDS;
const SUPERVISOR: &[Role] = &[Role::Supervisor];

#[rustfmt::skip]
mod lists {
    use super::Stand::{self, *};

    pub const ALL: &[Stand] = &[
        Reported, Planned, HandedOut, Excepted, Isolated, Lifting, OnTest, Failed, TestOwed,
        BackInService, Finished, SignedOff, Held, TurnedDown, Joined,
    ];
    pub const NEW: &[Stand] = &[Reported, Planned];
    pub const OPEN: &[Stand] = &[
        Reported, Planned, HandedOut, Excepted, Isolated, Lifting, OnTest, Failed, TestOwed, Held,
    ];
    pub const PLANNED: &[Stand] =
        &[Planned, HandedOut, Excepted, Isolated, Lifting, OnTest, Failed, TestOwed, Held];
    pub const PLANNED_ON: &[Stand] = &[
        Planned, HandedOut, Excepted, Isolated, Lifting, OnTest, Failed, TestOwed, BackInService,
        Finished, SignedOff, Held,
    ];
    pub const PLANNED_ON_THE_WAY: &[Stand] = &[
        Planned, HandedOut, Excepted, Isolated, Lifting, OnTest, Failed, TestOwed, BackInService,
        Finished, Held,
    ];
    pub const HANDED_ON: &[Stand] = &[
        HandedOut, Excepted, Isolated, Lifting, OnTest, Failed, TestOwed, BackInService, Finished,
        SignedOff, Held,
    ];
    pub const AT_WORK: &[Stand] = &[
        HandedOut, Excepted, Isolated, Lifting, OnTest, Failed, TestOwed, BackInService, Finished,
        Held,
    ];
    pub const LOCKING: &[Stand] = &[HandedOut, Isolated, Lifting, OnTest, Failed];
    pub const UNLOCKING: &[Stand] = &[HandedOut, Isolated, Lifting, OnTest, Failed, Held];
    pub const CHOOSING: &[Stand] = &[Planned, HandedOut, Excepted, Isolated, Lifting, Held];
    pub const HANDS: &[Stand] = &[Isolated, Excepted];
    pub const RUNNING: &[Stand] = &[OnTest, TestOwed];
    pub const RAN: &[Stand] = &[OnTest, Failed, TestOwed];
    pub const OVER: &[Stand] = &[BackInService, Finished];
}
use lists::*;

const fn row(
    kind: &'static str,
    roles: &'static [Role],
    stands: &'static [Stand],
    needs: &'static [Need],
) -> Row {
    Row {
        kind,
        roles,
        stands,
        needs,
    }
}

/// The table.
#[rustfmt::skip]
pub const TABLE: &[Row] = {
    use Need::*;
    use Stand::*;
    &[
        // Before the work
        row("reported", ANYBODY, &[], &[]),
        row("reported_again", ANYBODY, OPEN, &[]),
        row("joined_to", SUPERVISOR, NEW, &[]),
        row("turned_down", SUPERVISOR, &[Reported, Planned, HandedOut, Held],
            &[OwnBoxesOff, OwnLocksOff]),
        row("planned", SUPERVISOR, &[Reported, Planned, HandedOut], &[]),
        row("place_planned", SUPERVISOR, NEW, &[]),
        row("touches_set", WORKERS, OPEN, &[]),
        row("priority_set", SUPERVISOR, &[Reported, Planned, HandedOut, Excepted, Held], &[]),
        row("handed_out", SUPERVISOR,
            &[Planned, HandedOut, Isolated, Lifting, OnTest, Failed, TestOwed], &[]),
        row("emergency_taken", WORKERS, &[Reported], &[]),
        row("paper_given", WORKERS, HANDED_ON, &[]),
        row("held", WORKERS, &[Planned, HandedOut, Isolated, Lifting], &[]),
        row("resumed", WORKERS, &[Held], &[]),
        // At the machine
        row("unit_confirmed", WORKERS, &[HandedOut, Isolated, Lifting], &[]),
        row("as_found", WORKERS, &[HandedOut, Excepted], &[]),
        row("people_told", WORKERS, &[HandedOut, OnTest, Failed], &[]),
        row("lock_on", WORKERS, LOCKING, &[OwnerTold]),
        row("dead_test", WORKERS, LOCKING,
            &[OwnerTold, IncomingTests, Authorised, Sheet, AllLocked]),
        row("tried_dead", WORKERS, LOCKING,
            &[OwnerTold, IncomingTests, Authorised, Sheet, AllLocked]),
        row("excepted", WORKERS, &[HandedOut, OnTest, Failed],
            &[OwnerTold, Authorised, Sheet, OwnBoxesOff, OwnLocksOff]),
        row("exception_ended", WORKERS, &[Excepted], &[]),
        // Work
        row("motor_chosen", WORKERS, CHOOSING, &[FullWork]),
        row("circuit_checked", WORKERS, CHOOSING, &[]),
        row("circuit_decided", SUPERVISOR, CHOOSING, &[]),
        row("work_done", WORKERS, HANDS,
            &[OwnerTold, OwnBoxLock, Permits, Exchanged, HandsOpen, WarrantyAsked]),
        row("motor_fitted", WORKERS, HANDS,
            &[OwnerTold, OwnBoxLock, Permits, Exchanged, FullWork, HandsOpen, WarrantyAsked]),
        row("step_done", WORKERS, AT_WORK, &[]),
        row("parts_inspected", WORKERS, AT_WORK, &[]),
        // Power back
        row("ready_to_lift", WORKERS, &[Isolated, Lifting], &[OwnBoxesOff, Authorised]),
        row("lock_off", WORKERS, UNLOCKING, &[]),
        row("energised", WORKERS, &[Lifting, Excepted], &[
            NoBoxLock, Authorised, NoFailedElsewhere, NoLock, NoOutsideLock, NoExceptionElsewhere]),
        row("proof", WORKERS, RUNNING, &[NoBoxLock, NoLock, NoOutsideLock, NoExceptionElsewhere]),
        row("run_checked", WORKERS, RUNNING,
            &[NoBoxLock, NoLock, NoOutsideLock, NoExceptionElsewhere]),
        row("interlocks_restored", WORKERS, RAN, &[]),
        row("back_in_service", WORKERS, RAN, &[NoBoxLock, Interlocks, NoFailedElsewhere, NoLock,
            NoOutsideLock, NoExceptionElsewhere, Proof]),
        row("test_owed", WORKERS, &[OnTest, Failed], &[NoBoxLock, Interlocks, NoFailedElsewhere,
            NoLock, NoOutsideLock, NoExceptionElsewhere]),
        row("finished", WORKERS, &[HandedOut, Excepted],
            &[Permits, Exchanged, OwnBoxesOff, OwnLocksOff]),
        // Afterwards
        row("cause", WORKERS, HANDED_ON, &[]),
        row("plan_made", SUPERVISOR, HANDED_ON, &[]),
        row("accepted", WORKERS, OVER, &[]),
        row("signed_off", SUPERVISOR, OVER,
            &[OwnBoxesOff, OwnLocksOff, Accepted, CauseIfAsked, Paper]),
        // At any time
        row("note", WORKERS, ALL, &[]),
        row("correction", WORKERS, ALL, &[]),
        row("photo", WORKERS, ALL, &[]),
        row("photo_withdrawn", WORKERS, ALL, &[]),
        row("time_spent", WORKERS, PLANNED_ON, &[]),
        row("time_withdrawn", WORKERS, PLANNED_ON, &[]),
        // Absent owners, boxes, a change of person, permits
        row("lock_removed_for_owner", SUPERVISOR, UNLOCKING, &[]),
        row("owner_told", WORKERS, ALL, &[]),
        row("box_locked", WORKERS, &[HandedOut, Isolated, Lifting], &[]),
        row("box_lock_on", WORKERS, &[HandedOut, Isolated, Lifting], &[]),
        row("box_lock_off", WORKERS, UNLOCKING, &[]),
        row("handed_over", WORKERS, &[HandedOut, Isolated, Lifting], &[]),
        row("permits_needed", SUPERVISOR, OPEN, &[]),
        row("permit_opened", WORKERS, PLANNED, &[]),
        row("permit_closed", WORKERS, ALL, &[]),
        row("outside_firm", WORKERS, PLANNED_ON_THE_WAY, &[]),
        row("outside_lock_on", WORKERS, &[HandedOut, Isolated, Lifting, OnTest, Failed, Held],
            &[Exchanged]),
        row("outside_lock_off", WORKERS, ALL, &[]),
        row("procedure_taken", WORKERS, PLANNED, &[]),
        row("procedure_dropped", WORKERS, PLANNED, &[]),
        row("cause_reviewed", SUPERVISOR, PLANNED_ON, &[]),
        row("follow_up_made", WORKERS, PLANNED_ON, &[]),
        row("temporary", WORKERS, PLANNED_ON, &[]),
        row("temporary_ended", WORKERS, ALL, &[]),
        // The shelf
        row("part_issued", SHELF, PLANNED_ON_THE_WAY, &[]),
        row("part_returned", SHELF, ALL, &[]),
        row("part_reserved", SHELF, PLANNED_ON_THE_WAY, &[]),
        row("part_released", SHELF, ALL, &[]),
        row("from_paper", WORKERS, ALL, &[]),
        row("buying_step", SHELF, ALL, &[]),
        row("warranty_answered", SHELF, PLANNED_ON, &[]),
        row("unit_removed", SHELF, PLANNED_ON, &[]),
        row("unit_settled", SHELF, ALL, &[]),
    ]
};

/// The row of a kind of entry.
pub fn row_of(kind: &str) -> Option<&'static Row> {
    TABLE.iter().find(|row| row.kind == kind)
}

/// Who may add which entry. A report needs no sign-in; everything else does.
pub(super) fn role_gate<'p>(
    row: &Row,
    person: Option<&'p Person>,
) -> Result<Option<&'p Person>, Refusal> {
    match person {
        None if row.roles.len() == Role::ALL.len() => Ok(None),
        None => refuse("form", "Sign in first"),
        Some(person) if row.roles.contains(&person.role) => Ok(Some(person)),
        Some(_) => refuse("form", "Your role does not allow this. Ask a supervisor"),
    }
}

/// Whether a job stands where the entry is taken.
pub(super) fn stand_gate(row: &Row, job: &Job, body: &Body) -> Result<(), Refusal> {
    let stand = Stand::of(job);
    if row.stands.contains(&stand) {
        return Ok(());
    }
    let message = match (body, stand) {
        (Body::WorkDone { .. } | Body::MotorFitted { .. }, Stand::Lifting) => {
            "The isolation is being lifted. Put the locks back and prove dead again before work \
             goes on"
        }
        (Body::WorkDone { .. } | Body::MotorFitted { .. }, _) => {
            "Work on the machine waits until every source is locked and proved dead"
        }
        (Body::Energised { .. }, Stand::Isolated) => {
            "First record that tools and people are clear and people are told"
        }
        (Body::Proof { .. }, Stand::Failed) => {
            "The last proof was failed. Put the locks back on and prove dead before the next test"
        }
        (Body::BackInService { .. }, _) => {
            "The machine goes back into service from its run test only"
        }
        (_, Stand::Excepted) => {
            "This job is at work under a recorded exception. End the exception first"
        }
        _ => {
            let words = stand.words(job.state);
            return refuse(
                "form",
                format!("This job is {words} now; this step does not belong here"),
            );
        }
    };
    refuse("form", message)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Kinds as the sources name them, so that a new one cannot be forgotten in the table.
    fn kinds() -> Vec<&'static str> {
        let sources = [
            include_str!("body.rs"),
            include_str!("control/body.rs"),
            include_str!("detail/mod.rs"),
            include_str!("ways/body.rs"),
            include_str!("stores/body.rs"),
        ];
        let mut found = Vec::new();
        for source in sources {
            let (_, from) = source.split_once("fn kind(&self)").expect("kinds");
            let (names, _) = from.split_once("fn title(&self)").expect("titles follow");
            let words = names.split('"').skip(1).step_by(2);
            found.extend(words.filter(|word| word.chars().all(|c| c.is_lowercase() || c == '_')));
        }
        found
    }

    #[test]
    fn every_kind_of_entry_has_one_row_and_every_row_a_kind() {
        let kinds = kinds();
        assert!(kinds.len() > 60, "{kinds:?}");
        for kind in &kinds {
            let rows = TABLE.iter().filter(|row| row.kind == *kind).count();
            assert_eq!(rows, 1, "{kind} stands in the table once");
        }
        for row in TABLE {
            assert!(kinds.contains(&row.kind), "{} is a kind of entry", row.kind);
        }
    }

    #[test]
    fn only_the_run_test_leads_back_into_service_and_hands_go_in_nowhere_else() {
        let stands = |kind| row_of(kind).expect("a row").stands;
        assert_eq!(stands("back_in_service"), RAN);
        assert_eq!(stands("energised"), &[Stand::Lifting, Stand::Excepted]);
        assert_eq!(stands("work_done"), &[Stand::Isolated, Stand::Excepted]);
        for row in TABLE.iter().filter(|row| row.kind != "temporary_ended") {
            let over = [Stand::TurnedDown, Stand::Joined];
            let any = over.iter().any(|stand| row.stands.contains(stand));
            assert!(!any || row.stands.len() == ALL.len(), "{}", row.kind);
        }
    }
}
