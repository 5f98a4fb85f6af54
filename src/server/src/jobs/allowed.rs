//! The table of the gate: which role adds which entry, and in which states it is taken.

use super::body::Body;
use super::detail;
use super::gate::{Refusal, refuse};
use super::{State, control};
use crate::people::{Person, Role};

/// Who may add which entry. A report needs no sign-in; everything else does.
pub(super) fn role_gate<'p>(
    body: &Body,
    person: Option<&'p Person>,
) -> Result<Option<&'p Person>, Refusal> {
    let Some(person) = person else {
        return match body {
            Body::Reported { .. } | Body::ReportedAgain { .. } => Ok(None),
            _ => refuse("form", "Sign in first"),
        };
    };
    let allowed: &[Role] = match body {
        Body::Reported { .. } | Body::ReportedAgain { .. } => &Role::ALL,
        Body::JoinedTo { .. }
        | Body::TurnedDown { .. }
        | Body::Planned { .. }
        | Body::HandedOut { .. }
        | Body::CircuitDecided { .. }
        | Body::PlanMade { .. }
        | Body::PrioritySet { .. }
        | Body::SignedOff { .. } => &[Role::Supervisor],
        Body::Control(control) if control::gate::supervisors(control) => &[Role::Supervisor],
        Body::Detail(detail) => detail::gate::roles(detail),
        _ => &[Role::Technician, Role::Supervisor],
    };
    if allowed.contains(&person.role) {
        Ok(Some(person))
    } else {
        refuse("form", "Your role does not allow this. Ask a supervisor")
    }
}

/// In which states an entry of each kind is taken.
pub fn states(body: &Body) -> &'static [State] {
    use State::{
        BackInService, HandedOut, Held, Isolated, OnTest, Planned, Reported, SignedOff, TestOwed,
    };
    match body {
        Body::Reported { .. } => &[],
        Body::JoinedTo { .. } => &[Reported, Planned],
        Body::TurnedDown { .. } => &[Reported, Planned],
        Body::Planned { .. } => &[Reported, Planned, HandedOut],
        Body::HandedOut { .. } => &[Planned, HandedOut, Isolated, OnTest, TestOwed],
        Body::Held { .. } => &[Planned, HandedOut, Isolated],
        Body::Resumed { .. } => &[Held],
        Body::UnitConfirmed { .. } => &[HandedOut, Isolated],
        Body::AsFound { .. } => &[HandedOut],
        Body::PeopleTold { .. } => &[HandedOut, OnTest],
        Body::LockOn { .. } => &[HandedOut, OnTest, Isolated],
        Body::DeadTest { .. } => &[HandedOut, OnTest, Isolated],
        Body::MotorChosen { .. } => &[Planned, HandedOut, Isolated, Held],
        Body::CircuitChecked { .. } => &[Planned, HandedOut, Isolated, Held],
        Body::CircuitDecided { .. } => &[Planned, HandedOut, Isolated, Held],
        Body::MotorFitted { .. } => &[Isolated],
        Body::WorkDone { .. } => &[Isolated],
        Body::ReadyToLift { .. } => &[Isolated],
        Body::LockOff { .. } => &[Isolated, HandedOut, OnTest, Held],
        Body::Energised { .. } => &[Isolated],
        Body::Proof { .. } => &[OnTest, TestOwed],
        Body::BackInService { .. } => &[OnTest, TestOwed],
        Body::TestOwed { .. } => &[OnTest],
        Body::Cause { .. } => &[
            HandedOut,
            Isolated,
            OnTest,
            TestOwed,
            BackInService,
            SignedOff,
            Held,
        ],
        Body::PlanMade { .. } => &[
            HandedOut,
            Isolated,
            OnTest,
            TestOwed,
            BackInService,
            SignedOff,
            Held,
        ],
        Body::SignedOff { .. } => &[BackInService],
        Body::EmergencyTaken { .. } => &[Reported],
        Body::PaperGiven { .. } => &[
            HandedOut,
            Isolated,
            OnTest,
            TestOwed,
            BackInService,
            SignedOff,
            Held,
        ],
        Body::ReportedAgain { .. } => &[
            Reported, Planned, HandedOut, Isolated, OnTest, TestOwed, Held,
        ],
        Body::PrioritySet { .. } => &[Reported, Planned, HandedOut, Held],
        Body::Note { .. }
        | Body::Correction { .. }
        | Body::Photo(_)
        | Body::PhotoWithdrawn { .. } => &State::ALL,
        Body::Control(control) => control::gate::states(control),
        Body::TimeSpent { .. } | Body::TimeWithdrawn { .. } => &[
            Planned,
            HandedOut,
            Isolated,
            OnTest,
            TestOwed,
            BackInService,
            SignedOff,
            Held,
        ],
        Body::Detail(detail) => detail::gate::states(detail),
    }
}
