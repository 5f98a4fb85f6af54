//! Entries as programs read them, and the kinds of entries that a program may add.

use super::shapes::instant;
use crate::clock::{Zone, date_value};
use crate::jobs::body::{Body, HoldReason};
use crate::jobs::priority::Level;
use crate::jobs::queries::Entry;
use crate::jobs::timeline;
use crate::people::Person;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What a program may add to a job. What hands do at a machine is a person's own word, so that locks,
/// tests, energising, proofs, putting back in service and signing off are none of these.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum EntryBody {
    /// Something worth knowing.
    Note {
        #[schema(min_length = 1, max_length = 4000)]
        text: String,
    },
    /// Puts an earlier entry of this job right; both stay.
    Correction {
        /// The entry's id.
        #[schema(format = "uuid")]
        of: String,
        #[schema(min_length = 1, max_length = 4000)]
        text: String,
    },
    Planned {
        #[schema(minimum = 1)]
        machine_id: i64,
        /// What is to be done.
        #[schema(min_length = 1, max_length = 4000)]
        scope: String,
        /// Minutes of work; null: not known.
        #[schema(minimum = 0, maximum = 60000)]
        minutes: Option<i64>,
        /// One step a line; null: none are written.
        #[schema(max_length = 8000)]
        steps: Option<String>,
    },
    HandedOut {
        /// The number of the person who does it.
        to: i64,
        #[schema(format = "date")]
        on: String,
        /// The number of a person who is qualified for what `to` is not, and is there too.
        #[serde(default)]
        partner: Option<i64>,
    },
    /// The job waits.
    Held {
        reason: Reason,
        /// What it waits for; null: nothing is noted.
        #[schema(max_length = 4000)]
        note: Option<String>,
    },
    /// The reason is gone.
    Resumed {
        #[schema(max_length = 4000)]
        note: Option<String>,
    },
    TurnedDown {
        /// The reporter reads it.
        #[schema(min_length = 1, max_length = 4000)]
        reason: String,
    },
    /// The same fault as another open job's.
    JoinedTo { job_id: i64 },
    PrioritySet {
        level: Priority,
        #[schema(min_length = 1, max_length = 4000)]
        reason: String,
    },
}

/// Why a job waits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    Part,
    Access,
    Weather,
    OutsideFirm,
    Other,
}

/// How urgent a job is, most urgent first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Priority {
    Danger,
    Damage,
    ServiceLost,
    WhenItSuits,
}

impl Reason {
    pub fn of(reason: HoldReason) -> Option<Reason> {
        Some(match reason {
            HoldReason::Part => Reason::Part,
            HoldReason::Access => Reason::Access,
            HoldReason::Weather => Reason::Weather,
            HoldReason::OutsideFirm => Reason::OutsideFirm,
            HoldReason::Other => Reason::Other,
            HoldReason::Circuit => return None, // the program's own
        })
    }

    pub fn stored(self) -> HoldReason {
        match self {
            Reason::Part => HoldReason::Part,
            Reason::Access => HoldReason::Access,
            Reason::Weather => HoldReason::Weather,
            Reason::OutsideFirm => HoldReason::OutsideFirm,
            Reason::Other => HoldReason::Other,
        }
    }
}

impl Priority {
    pub fn of(level: Level) -> Priority {
        match level {
            Level::Danger => Priority::Danger,
            Level::Damage => Priority::Damage,
            Level::ServiceLost => Priority::ServiceLost,
            Level::WhenItSuits => Priority::WhenItSuits,
        }
    }

    pub fn stored(self) -> Level {
        match self {
            Priority::Danger => Level::Danger,
            Priority::Damage => Level::Damage,
            Priority::ServiceLost => Level::ServiceLost,
            Priority::WhenItSuits => Level::WhenItSuits,
        }
    }
}

fn known(text: &str) -> Option<String> {
    (!text.trim().is_empty()).then(|| text.to_owned())
}

impl EntryBody {
    /// The stored body, where it is one of these.
    pub fn of(body: &Body) -> Option<EntryBody> {
        Some(match body {
            Body::Note { text } => EntryBody::Note { text: text.clone() },
            Body::Correction { of, text } => EntryBody::Correction {
                of: of.clone(),
                text: text.clone(),
            },
            Body::Planned {
                machine_id,
                scope,
                minutes,
                steps,
            } => EntryBody::Planned {
                machine_id: machine_id.0,
                scope: scope.clone(),
                minutes: *minutes,
                steps: known(steps),
            },
            Body::HandedOut { to, on, partner } => EntryBody::HandedOut {
                to: to.0,
                on: date_value(*on),
                partner: partner.map(|partner| partner.0),
            },
            Body::Held { reason, note } => EntryBody::Held {
                reason: Reason::of(*reason)?,
                note: known(note),
            },
            Body::Resumed { note } => EntryBody::Resumed { note: known(note) },
            Body::TurnedDown { reason } => EntryBody::TurnedDown {
                reason: reason.clone(),
            },
            Body::JoinedTo { job } => EntryBody::JoinedTo { job_id: job.0 },
            Body::PrioritySet { level, reason } => EntryBody::PrioritySet {
                level: Priority::of(*level),
                reason: reason.clone(),
            },
            _ => return None,
        })
    }
}

/// Whose entry it is.
#[derive(Debug, Serialize, ToSchema)]
pub struct By {
    pub id: i64,
    pub name: String,
}

/// One thing that happened in a job.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Entry)]
pub struct EntryShown {
    /// The entry's id. It never changes.
    #[schema(format = "uuid")]
    pub id: String,
    pub job_id: i64,
    /// Counts from 1 within the job.
    #[schema(minimum = 1)]
    pub number: i64,
    pub kind: &'static str,
    /// The kind in words.
    pub title: &'static str,
    /// A person or an integration; null: a report without sign-in.
    pub by: Option<By>,
    /// What was recorded, a line each, figures with their units.
    pub lines: Vec<String>,
    /// The fields, where it is of a kind that programs may add; left out for all others.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub body: Option<EntryBody>,
    #[schema(format = "date-time")]
    pub received_at: String,
    /// When the device says that it happened; null: it did not say.
    #[schema(format = "date-time")]
    pub device_at: Option<String>,
    /// The entry that it puts right.
    #[schema(format = "uuid")]
    pub corrects: Option<String>,
    /// It came too late for the state it needs: kept, not acted on, and why; null: it counts.
    pub set_aside: Option<String>,
}

impl EntryShown {
    /// `reporters`: the token may see who reported.
    pub fn of(mut entry: Entry, reporters: bool, people: &[Person], zone: &Zone) -> EntryShown {
        if !reporters {
            unnamed(&mut entry.body);
        }
        let lines = timeline::lines(std::slice::from_ref(&entry), people, zone);
        EntryShown {
            job_id: entry.job_id.0,
            number: entry.number,
            kind: entry.body.kind(),
            title: entry.body.title(),
            by: entry.person_id.map(|id| By {
                id: id.0,
                name: entry.person,
            }),
            lines: lines.into_iter().flat_map(|line| line.facts).collect(),
            body: EntryBody::of(&entry.body),
            received_at: instant(entry.received_at),
            device_at: entry.device_at.map(instant),
            corrects: entry.corrects,
            set_aside: entry.set_aside,
            id: entry.id,
        }
    }
}

/// Without who reported, and how to reach them.
fn unnamed(body: &mut Body) {
    match body {
        Body::Reported {
            reporter, contact, ..
        }
        | Body::ReportedAgain {
            reporter, contact, ..
        } => {
            reporter.clear();
            contact.clear();
        }
        Body::PaperGiven { reporter, .. } => reporter.clear(),
        _ => {}
    }
}
