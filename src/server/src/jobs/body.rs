//! What can happen in a job: the bodies of entries, as versioned JSON.

use super::JobId;
pub use super::control::body::Control;
use super::detail::Detail;
pub use super::hold_reason::HoldReason;
use super::priority::{Level, Urgency};
use super::roof::Stay;
use super::stores::Stores;
use super::ways::Ways;
use crate::clock::Millis;
use crate::instruments::InstrumentId;
pub use crate::instruments::used::LiveTest;
use crate::machines::MachineId;
use crate::motors::MotorId;
use crate::people::PersonId;
use crate::photos::Photo;
use calc::working::{Verdict, Working};
use serde::{Deserialize, Serialize};
use time::Date;

/// A reading as the instrument showed it. `value` is `None` where that is not a number.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    pub point: String,
    pub quantity: String,
    pub as_shown: String,
    pub value: Option<f64>,
}

/// One thing that happened. The tag in JSON is `kind`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[expect(
    clippy::large_enum_variant,
    reason = "a proof holds its plate; bodies are few and never kept in bulk"
)]
pub enum Body {
    Reported {
        place_id: Option<i64>,
        machine_id: Option<MachineId>,
        due_item_id: Option<i64>,
        words: String,
        reporter: String,
        contact: String,
        #[serde(default, skip_serializing_if = "Urgency::is_blank")]
        urgency: Urgency,
    },
    JoinedTo {
        job: JobId,
    },
    TurnedDown {
        reason: String,
    },
    Planned {
        machine_id: MachineId,
        scope: String,
        minutes: Option<i64>,
        steps: String,
    },
    HandedOut {
        to: PersonId,
        on: Date,
        /// Qualified for what `to` is not, and named to be there.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        partner: Option<PersonId>,
    },
    Held {
        reason: HoldReason,
        note: String,
    },
    Resumed {
        note: String,
    },
    /// At the machine: this is the unit that the job names, its tag as read there.
    UnitConfirmed {
        tag_read: String,
        method: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        roof: Option<Stay>,
    },
    AsFound {
        /// `running`, `stopped`, `limping` or `not_looked_at`.
        running: String,
        condition: String,
        guard: String,
        readings: Vec<Reading>,
        live: Option<LiveTest>,
    },
    /// Affected people told before the locks go on (29 CFR 1910.147(c)(9)).
    PeopleTold {
        who: String,
    },
    LockOn {
        machine_id: MachineId,
        source_id: i64,
        lock_number: String,
        /// The device's label as read there.
        label_read: String,
        /// Seen in the off or closed position.
        seen_off: bool,
        /// How stored energy was let out, with what was read; empty where the source stores none.
        relieved: String,
    },
    /// Tried, then tested at the point of work: live, dead, live.
    DeadTest {
        machine_id: MachineId,
        instrument: String,
        instrument_due: Option<Date>,
        /// `None`: not the shop's own.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        instrument_id: Option<InstrumentId>,
        /// The controls were worked and it did not start.
        did_not_start: bool,
        live_before: String,
        live_after: String,
        pairs: Vec<Reading>,
        /// Whether what was recorded is complete and reads dead; never a promise.
        verdict: Verdict,
        working: Working,
    },
    MotorChosen {
        motor_id: MotorId,
        motor_name: String,
        verdict: Verdict,
        working: Working,
        changes: Working,
    },
    CircuitChecked {
        motor_id: MotorId,
        rule_set: String,
        verdict: Verdict,
        working: Working,
    },
    /// A licensed person's decision on a circuit check that did not pass.
    CircuitDecided {
        motor_id: MotorId,
        licensed_person: String,
        licence: String,
        decision: String,
    },
    MotorFitted {
        machine_id: MachineId,
        motor_id: MotorId,
        work_done: String,
    },
    WorkDone {
        what: String,
    },
    /// Tools and people clear, people told: the locks may come off for the run test
    /// (29 CFR 1910.147(f)(1)(i) and (ii), (e)(2)).
    ReadyToLift {
        tools_clear: bool,
        guards_on: bool,
        people_clear: String,
        people_told: String,
    },
    LockOff {
        /// The entry that put it on.
        lock: String,
    },
    /// Power is back on for the run test ((f)(1)(iv)).
    Energised {
        machine_id: MachineId,
        note: String,
    },
    Proof {
        machine_id: MachineId,
        readings: Vec<Reading>,
        input: calc::proof::ProofInput,
        live: LiveTest,
        verdict: Verdict,
        working: Working,
    },
    BackInService {
        guards_on: bool,
        people_told: String,
        accepted_by: String,
    },
    TestOwed {
        due_on: Date,
        why: String,
    },
    Cause {
        component: String,
        mode: String,
        mechanism: String,
        cause: String,
        evidence: String,
    },
    PlanMade {
        plan_id: i64,
        action: String,
        first_due: Date,
    },
    SignedOff {
        note: String,
    },
    Note {
        text: String,
    },
    /// Puts an earlier entry right; both stay.
    Correction {
        of: String,
        text: String,
    },
    /// A stretch of time on this job, of one person or of waiting (IEC 60050-192, figures 1 and 2).
    TimeSpent {
        /// Whose time; nobody's where the job waited.
        person: Option<PersonId>,
        /// One of [`super::spells::KINDS`].
        spent: String,
        from: Millis,
        to: Millis,
        note: String,
    },
    /// A stretch of time that was written down wrongly no longer counts.
    TimeWithdrawn {
        /// The entry that wrote it down.
        of: String,
        why: String,
    },
    /// A supervisor puts the job at another level than the rule did.
    PrioritySet {
        level: Level,
        reason: String,
    },
    /// An emergency: whoever is at the machine takes it at once, planned and handed out in one.
    EmergencyTaken {
        machine_id: MachineId,
        on: Date,
    },
    /// The paper of an emergency, afterwards: fills what is blank and changes nothing that is not.
    PaperGiven {
        words: String,
        reporter: String,
        scope: String,
        minutes: Option<i64>,
    },
    /// Somebody reports the same fault while the job is open. The first report's words stay.
    ReportedAgain {
        words: String,
        reporter: String,
        contact: String,
        #[serde(default, skip_serializing_if = "Urgency::is_blank")]
        urgency: Urgency,
    },
    Photo(Photo),
    /// A wrong photo, or one that shows people, is shown no more.
    PhotoWithdrawn {
        /// The entry that holds it.
        of: String,
        reason: String,
    },
    /// Small work, work on a place, exceptions, an outside firm, acceptance.
    #[serde(untagged)]
    Ways(Ways),
    /// What is taken from the shelf and given back.
    #[serde(untagged)]
    Stores(Stores),
    /// Absent owners, lock boxes, a change of person, permits.
    #[serde(untagged)]
    Control(Control),
    /// Steps, parts, reviews, follow-ups and temporary fixes, each with a kind of its own. Stays
    /// last: it is tried when the kind is none of the above.
    #[serde(untagged)]
    Detail(Detail),
}

impl Body {
    /// The kind's word, as stored beside the JSON.
    pub fn kind(&self) -> &'static str {
        match self {
            Body::Reported { .. } => "reported",
            Body::JoinedTo { .. } => "joined_to",
            Body::TurnedDown { .. } => "turned_down",
            Body::Planned { .. } => "planned",
            Body::HandedOut { .. } => "handed_out",
            Body::Held { .. } => "held",
            Body::Resumed { .. } => "resumed",
            Body::UnitConfirmed { .. } => "unit_confirmed",
            Body::AsFound { .. } => "as_found",
            Body::PeopleTold { .. } => "people_told",
            Body::LockOn { .. } => "lock_on",
            Body::DeadTest { .. } => "dead_test",
            Body::MotorChosen { .. } => "motor_chosen",
            Body::CircuitChecked { .. } => "circuit_checked",
            Body::CircuitDecided { .. } => "circuit_decided",
            Body::MotorFitted { .. } => "motor_fitted",
            Body::WorkDone { .. } => "work_done",
            Body::ReadyToLift { .. } => "ready_to_lift",
            Body::LockOff { .. } => "lock_off",
            Body::Energised { .. } => "energised",
            Body::Proof { .. } => "proof",
            Body::BackInService { .. } => "back_in_service",
            Body::TestOwed { .. } => "test_owed",
            Body::Cause { .. } => "cause",
            Body::PlanMade { .. } => "plan_made",
            Body::SignedOff { .. } => "signed_off",
            Body::Note { .. } => "note",
            Body::Correction { .. } => "correction",
            Body::TimeSpent { .. } => "time_spent",
            Body::TimeWithdrawn { .. } => "time_withdrawn",
            Body::PrioritySet { .. } => "priority_set",
            Body::EmergencyTaken { .. } => "emergency_taken",
            Body::PaperGiven { .. } => "paper_given",
            Body::ReportedAgain { .. } => "reported_again",
            Body::Photo(_) => "photo",
            Body::PhotoWithdrawn { .. } => "photo_withdrawn",
            Body::Ways(ways) => ways.kind(),
            Body::Stores(stores) => stores.kind(),
            Body::Control(control) => control.kind(),
            Body::Detail(detail) => detail.kind(),
        }
    }

    /// What people read in the timeline.
    pub fn title(&self) -> &'static str {
        match self {
            Body::Reported { .. } => "Reported",
            Body::JoinedTo { .. } => "Joined to another job",
            Body::TurnedDown { .. } => "Turned down",
            Body::Planned { .. } => "Planned",
            Body::HandedOut { .. } => "Handed out",
            Body::Held { .. } => "Held",
            Body::Resumed { .. } => "Taken up again",
            Body::UnitConfirmed { .. } => "Unit confirmed",
            Body::AsFound { .. } => "As found",
            Body::PeopleTold { .. } => "People told before the locks",
            Body::LockOn { .. } => "Lock on",
            Body::DeadTest { .. } => "Dead test",
            Body::MotorChosen { .. } => "Motor chosen",
            Body::CircuitChecked { .. } => "Circuit checked",
            Body::CircuitDecided { .. } => "Licensed person's decision",
            Body::MotorFitted { .. } => "Motor fitted",
            Body::WorkDone { .. } => "Work done",
            Body::ReadyToLift { .. } => "Clear for the run test",
            Body::LockOff { .. } => "Lock off",
            Body::Energised { .. } => "Energised for the run test",
            Body::Proof { .. } => "Proof",
            Body::BackInService { .. } => "Back in service",
            Body::TestOwed { .. } => "Test owed",
            Body::Cause { .. } => "Cause",
            Body::PlanMade { .. } => "Preventive plan made",
            Body::SignedOff { .. } => "Signed off",
            Body::Note { .. } => "Note",
            Body::Correction { .. } => "Correction",
            Body::TimeSpent { .. } => "Time",
            Body::TimeWithdrawn { .. } => "Time withdrawn",
            Body::PrioritySet { .. } => "Priority set",
            Body::EmergencyTaken { .. } => "Emergency taken up",
            Body::PaperGiven { .. } => "Paper of the emergency",
            Body::ReportedAgain { .. } => "Reported again",
            Body::Photo(_) => "Photo",
            Body::PhotoWithdrawn { .. } => "Photo withdrawn",
            Body::Ways(ways) => ways.title(),
            Body::Stores(stores) => stores.title(),
            Body::Control(control) => control.title(),
            Body::Detail(detail) => detail.title(),
        }
    }
}

/// How a verdict is written in the job row; the same word as in JSON.
pub fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Same => "same",
        Verdict::Suits => "suits",
        Verdict::SuitsAfterWork => "suits_after_work",
        Verdict::Within => "within",
        Verdict::WithinNote => "within_note",
        Verdict::NotKnownYet => "not_known_yet",
        Verdict::DoNotFit => "do_not_fit",
        Verdict::Beyond => "beyond",
    }
}

/// The body as stored: its version beside its fields.
#[derive(Debug, Serialize, Deserialize)]
pub struct Stored {
    pub v: u32,
    #[serde(flatten)]
    pub body: Body,
}

/// The version written today. A reader of an older one is added here when a body changes.
pub const VERSION: u32 = 1;

impl Stored {
    pub fn write(body: &Body) -> serde_json::Result<String> {
        serde_json::to_string(&Stored {
            v: VERSION,
            body: body.clone(),
        })
    }

    pub fn read(text: &str) -> Result<Body, String> {
        let stored: Stored = serde_json::from_str(text).map_err(|e| e.to_string())?;
        if stored.v == VERSION {
            Ok(stored.body)
        } else {
            Err(format!("entry body of version {}", stored.v))
        }
    }
}
