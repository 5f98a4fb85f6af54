//! What can happen on these ways, and what each extent of work needs.

use super::Exception;
use crate::machines::MachineId;
use serde::{Deserialize, Serialize};

/// How far the work goes into a machine, from least to most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Touches {
    /// No machine, or nothing of it opened: a look-see, a leak, a door, a light.
    Nothing,
    /// Behind a guard or cover, no conductor bared: a filter, a belt, cleaning.
    Guard,
    /// Electrical parts changed for the same ones.
    LikeForLike,
    Full,
}

/// What work of one extent needs before hands go in and before the machine serves again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Needs {
    /// Every source of the sheet locked, and tried.
    pub isolation: bool,
    /// Proved dead with an instrument, by a qualified person.
    pub instrument: bool,
    pub proof: ProofNeed,
    /// Another motor may be chosen and fitted.
    pub fit: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ProofNeed {
    None,
    /// It runs as it should, guards on; nothing is measured on live parts.
    Run,
    /// The run test with numbers and limits.
    Numbers,
}

impl Touches {
    pub const ALL: [(Touches, &'static str, &'static str); 4] = [
        (
            Touches::Nothing,
            "nothing",
            "nothing of a machine opened: a look-see, or a place alone",
        ),
        (
            Touches::Guard,
            "guard",
            "behind a guard, no conductor bared: filter, belt, cleaning",
        ),
        (
            Touches::LikeForLike,
            "like_for_like",
            "electrical parts changed for the same ones",
        ),
        (Touches::Full, "full", "anything: motor, wiring, drive"),
    ];

    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(one, ..)| *one == self)
            .map_or("", |(_, word, _)| word)
    }

    pub fn words(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(one, ..)| *one == self)
            .map_or("", |(.., words)| words)
    }

    pub fn named(word: &str) -> Option<Touches> {
        Self::ALL
            .iter()
            .find(|(_, known, _)| *known == word)
            .map(|(one, ..)| *one)
    }

    /// 29 CFR 1910.147(d)(6): isolation is verified before hands go in; 1910.333(b)(2)(iv)(B): with
    /// an instrument where conductors are bared. The rest is common practice.
    pub fn needs(self) -> Needs {
        let (isolation, instrument, proof, fit) = match self {
            Touches::Nothing => (false, false, ProofNeed::None, false),
            Touches::Guard => (true, false, ProofNeed::Run, false),
            Touches::LikeForLike => (true, true, ProofNeed::Numbers, false),
            Touches::Full => (true, true, ProofNeed::Numbers, true),
        };
        Needs {
            isolation,
            instrument,
            proof,
            fit,
        }
    }
}

/// One thing that happened; the tag in JSON is `kind`, as for every entry.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Ways {
    /// Work on a place alone: no machine's energy is touched.
    PlacePlanned {
        place_id: i64,
        scope: String,
        minutes: Option<i64>,
    },
    TouchesSet {
        touches: Touches,
        #[serde(default)]
        why: String,
    },
    /// Every source locked, controls worked, it did not start; no conductor is bared.
    TriedDead {
        machine_id: MachineId,
        did_not_start: bool,
        how: String,
    },
    /// The proof of small work: it runs as it should.
    RunChecked {
        machine_id: MachineId,
        starts: bool,
        right_way: bool,
        sounds_right: bool,
        guards_on: bool,
        seen: String,
    },
    /// The finish check of work that needed neither isolation nor proof.
    Finished {
        done: String,
        checked: String,
        checked_by: String,
        found: String,
    },
    /// A recorded exception in place of isolation, with its conditions confirmed one by one.
    Excepted {
        exception: Exception,
        confirmed: Vec<String>,
        measures: String,
    },
    ExceptionEnded {
        why: String,
    },
    /// An outside firm on the job; the whole record each time.
    OutsideFirm {
        firm: String,
        contact: String,
        /// How ours was given to them, and theirs to us.
        our_procedure: String,
        their_procedure: String,
        left_for_us: String,
    },
    OutsideLockOn {
        machine_id: MachineId,
        source_id: i64,
        owner: String,
        lock_number: String,
    },
    OutsideLockOff {
        /// The entry that recorded it.
        lock: String,
        /// Its owner took it off in person.
        by_owner: bool,
    },
    /// Who is responsible for the place or machine accepts the work.
    Accepted {
        by: String,
        saw: String,
    },
}

impl Ways {
    /// The kind's word, as stored beside the JSON.
    pub fn kind(&self) -> &'static str {
        match self {
            Ways::PlacePlanned { .. } => "place_planned",
            Ways::TouchesSet { .. } => "touches_set",
            Ways::TriedDead { .. } => "tried_dead",
            Ways::RunChecked { .. } => "run_checked",
            Ways::Finished { .. } => "finished",
            Ways::Excepted { .. } => "excepted",
            Ways::ExceptionEnded { .. } => "exception_ended",
            Ways::OutsideFirm { .. } => "outside_firm",
            Ways::OutsideLockOn { .. } => "outside_lock_on",
            Ways::OutsideLockOff { .. } => "outside_lock_off",
            Ways::Accepted { .. } => "accepted",
        }
    }

    /// What people read in the timeline.
    pub fn title(&self) -> &'static str {
        match self {
            Ways::PlacePlanned { .. } => "Planned on the place alone",
            Ways::TouchesSet { .. } => "What the work touches",
            Ways::TriedDead { .. } => "Locked and tried",
            Ways::RunChecked { .. } => "Run check",
            Ways::Finished { .. } => "Finish check",
            Ways::Excepted { .. } => "Exception recorded",
            Ways::ExceptionEnded { .. } => "Exception ended",
            Ways::OutsideFirm { .. } => "Outside firm",
            Ways::OutsideLockOn { .. } => "Outside firm's lock on",
            Ways::OutsideLockOff { .. } => "Outside firm's lock off",
            Ways::Accepted { .. } => "Accepted back",
        }
    }

    /// A run check in which all was as it should be.
    pub fn passed(&self) -> bool {
        matches!(
            self,
            Ways::RunChecked {
                starts: true,
                right_way: true,
                sounds_right: true,
                guards_on: true,
                ..
            }
        )
    }

    /// The machine it is made for.
    pub fn machine(&self) -> Option<MachineId> {
        match self {
            Ways::TriedDead { machine_id, .. }
            | Ways::RunChecked { machine_id, .. }
            | Ways::OutsideLockOn { machine_id, .. } => Some(*machine_id),
            _ => None,
        }
    }
}
