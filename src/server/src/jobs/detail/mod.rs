//! The work in detail: procedures and their steps, parts, cause reviews, follow-ups, temporary fixes.
//! Entries like all others; none of them moves a job from one state to another.

pub mod beside;
pub mod facts;
pub mod follow_up;
pub mod gate;
pub mod part_list;
pub mod parts;
pub mod repeats;
pub mod review;
pub mod step_answer;
pub mod step_list;
pub mod temporary;

use super::body::{LiveTest, Reading};
use super::{Job, JobId, queries};
use crate::clock::date_words;
use crate::db::Tx;
use crate::instruments::used::Used;
use crate::machines::MachineId;
use crate::people::PersonId;
use crate::procedures::Step;
use crate::state::AppState;
use serde::{Deserialize, Serialize};
use time::Date;

/// The answer to a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Answer {
    Done,
    Reading,
    Choice,
    /// Nobody looked, or it could not be done: never as good as done.
    NotLookedAt,
    DoesNotApply,
}

impl Answer {
    const ALL: [(Answer, &'static str, &'static str); 5] = [
        (Answer::Done, "done", "done"),
        (Answer::Reading, "reading", "read"),
        (Answer::Choice, "choice", "found"),
        (
            Answer::NotLookedAt,
            "not_looked_at",
            "not looked at, or could not be",
        ),
        (
            Answer::DoesNotApply,
            "does_not_apply",
            "does not apply here",
        ),
    ];

    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(answer, ..)| *answer == self)
            .map_or("", |(_, word, _)| word)
    }

    pub fn words(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(answer, ..)| *answer == self)
            .map_or("", |(.., words)| words)
    }

    pub fn named(word: &str) -> Option<Answer> {
        Self::ALL
            .iter()
            .find(|(_, known, _)| *known == word)
            .map(|(answer, ..)| *answer)
    }

    /// The step itself was carried out.
    pub fn carried_out(self) -> bool {
        matches!(self, Answer::Done | Answer::Reading | Answer::Choice)
    }
}

/// How one part was found and left.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct PartFound {
    pub part: String,
    /// One of [`part_list::FOUND`].
    pub found: String,
    /// Why it was left as it is: one of [`part_list::REASONS`].
    pub reason: String,
    pub note: String,
}

/// One thing that happened. The tag in JSON is `kind`, one of the kinds of [`super::body::Body`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Detail {
    /// The job takes a copy of a procedure as it is in this revision.
    ProcedureTaken {
        procedure_id: i64,
        revision: i64,
        name: String,
        steps: Vec<Step>,
    },
    /// It was the wrong one; its steps no longer count.
    ProcedureDropped {
        /// The entry that took it.
        taken: String,
        why: String,
    },
    StepDone {
        /// The step's number in the job, from 1, through all procedures taken.
        position: i64,
        answer: Answer,
        /// Its point is the step's text, so that the next visit finds it.
        reading: Option<Reading>,
        #[serde(default)]
        choice: String,
        #[serde(default)]
        outside: bool,
        /// Taken before anything was changed.
        #[serde(default)]
        as_found: bool,
        #[serde(default)]
        why: String,
        /// The same figure as on the last visit, and looked at again.
        #[serde(default)]
        same_read_again: bool,
        /// Work on the machine, written down after power came back.
        #[serde(default)]
        before_power: bool,
        #[serde(default)]
        live: Option<LiveTest>,
        /// What a reading that is not live was taken with.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        used: Option<Used>,
    },
    PartsInspected {
        machine_id: MachineId,
        parts: Vec<PartFound>,
        #[serde(default)]
        before_power: bool,
    },
    /// A supervisor looked at why it fails again.
    CauseReviewed { finding: String, action: String },
    FollowUpMade {
        job: JobId,
        /// The step or part it was found at, in words.
        #[serde(default)]
        from: String,
    },
    /// A fix that is not to stay.
    Temporary { what: String, until: Date },
    TemporaryEnded {
        /// The entry that wrote it down.
        of: String,
        how: String,
    },
    /// These entries were typed in from a sheet; the entry's own person typed them.
    FromPaper {
        writer: PersonId,
        writer_name: String,
        written_on: Date,
        /// The code of the sheet.
        sheet: String,
        /// What had changed since it was printed; empty: nothing.
        changed: Vec<String>,
        entries: Vec<String>,
    },
}

impl Detail {
    pub fn kind(&self) -> &'static str {
        match self {
            Detail::ProcedureTaken { .. } => "procedure_taken",
            Detail::ProcedureDropped { .. } => "procedure_dropped",
            Detail::StepDone { .. } => "step_done",
            Detail::PartsInspected { .. } => "parts_inspected",
            Detail::CauseReviewed { .. } => "cause_reviewed",
            Detail::FollowUpMade { .. } => "follow_up_made",
            Detail::Temporary { .. } => "temporary",
            Detail::TemporaryEnded { .. } => "temporary_ended",
            Detail::FromPaper { .. } => "from_paper",
        }
    }

    pub fn title(&self) -> &'static str {
        match self {
            Detail::ProcedureTaken { .. } => "Procedure taken",
            Detail::ProcedureDropped { .. } => "Procedure dropped",
            Detail::StepDone { .. } => "Step",
            Detail::PartsInspected { .. } => "Parts inspected",
            Detail::CauseReviewed { .. } => "Cause reviewed",
            Detail::FollowUpMade { .. } => "Follow-up made",
            Detail::Temporary { .. } => "Temporary fix",
            Detail::TemporaryEnded { .. } => "Temporary fix ended",
            Detail::FromPaper { .. } => "From paper",
        }
    }

    /// The readings it holds; each becomes a row.
    pub fn readings(&self) -> &[Reading] {
        match self {
            Detail::StepDone {
                reading: Some(reading),
                ..
            } => std::slice::from_ref(reading),
            _ => &[],
        }
    }

    /// The instrument its reading was taken with.
    pub fn used(&self) -> Option<Used> {
        match self {
            Detail::StepDone {
                live: Some(live), ..
            } => Some(live.used()),
            Detail::StepDone { used, .. } => used.clone(),
            _ => None,
        }
    }

    /// The person named in its live test, if it holds one.
    pub fn live(&self) -> Option<&LiveTest> {
        match self {
            Detail::StepDone { live, .. } => live.as_ref(),
            _ => None,
        }
    }
}

/// A step of a job, as the procedure was when it was taken.
#[derive(Clone, Debug, PartialEq)]
pub struct JobStep {
    pub position: i64,
    /// The entry that took its procedure.
    pub taken: String,
    pub step: Step,
    /// Its procedure no longer counts.
    pub dropped: bool,
}

/// What the gate looks at for an entry of the work in detail.
pub(super) async fn around_detail(
    app: &AppState,
    tx: &mut Tx,
    job: &Job,
    detail: &Detail,
) -> sqlx::Result<gate::Around> {
    let mut around = gate::Around::default();
    match detail {
        Detail::StepDone { position, .. } => {
            around.step = queries::job_step(tx, job.id, *position).await?;
            if let (Some(machine), Some(found)) = (job.machine_id, &around.step) {
                let last = queries::last_of_step(tx, machine, &found.step, job.id).await?;
                around.last = last.map(|(shown, at, job)| gate::Last {
                    shown,
                    when: format!("{}, job {}", date_words(app.zone().date(at)), job.0),
                });
            }
        }
        Detail::ProcedureTaken { procedure_id, .. } => {
            let id = Some(*procedure_id);
            around.procedure_counts = queries::procedure_counts(tx, job.id, id, "").await?;
        }
        Detail::ProcedureDropped { taken, .. } => {
            around.procedure_counts = queries::procedure_counts(tx, job.id, None, taken).await?;
        }
        Detail::TemporaryEnded { of, .. } => {
            around.fix_stands = queries::fix_stands(tx, of, job.id).await?;
        }
        _ => {}
    }
    Ok(around)
}
