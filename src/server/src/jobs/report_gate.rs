//! When a report may be joined to a job or added to it.

use super::emergency::owed;
use super::gate::{Refusal, Surroundings, refuse};
use super::priority::Level;
use super::{Job, JobId};
use crate::clock::{DAY, Millis};

/// Reports further apart than this are not taken for the same fault by themselves.
pub const SAME_FAULT: Millis = 14 * DAY;

pub(super) fn join_gate(job: &Job, other: JobId, around: &Surroundings) -> Result<(), Refusal> {
    if other == job.id {
        return refuse("job", "A job cannot be joined to itself");
    }
    let near = |machine| machine == job.machine_id || around.joined_near;
    match around.joined {
        Some((machine, state)) if near(machine) && !state.ended() => {}
        _ => {
            return refuse(
                "job",
                "Choose an open job on the same machine, or one reported near it within 14 days",
            );
        }
    }
    // A danger is not put away behind a job that may wait.
    match (job.response.level, around.joined_level) {
        (Some(level), other_level) if other_level.is_none_or(|other| level < other) => refuse(
            "job",
            format!(
                "This report is more urgent ({}) than job {} ({}). Set the priority of that job \
                 first, then join them",
                level.words(),
                other.0,
                other_level.map_or("not judged", Level::words)
            ),
        ),
        _ => Ok(()),
    }
}

/// Only an emergency leaves blanks to be filled in afterwards.
pub(super) fn paper_gate(job: &Job) -> Result<(), Refusal> {
    if job.response.emergency {
        Ok(())
    } else {
        refuse(
            "form",
            "This job was not opened as an emergency; nothing of it was left out",
        )
    }
}

/// The paper of an emergency follows before anybody signs it off.
pub(super) fn paper_there_gate(job: &Job) -> Result<(), Refusal> {
    let owed = owed(job);
    if owed.is_empty() {
        return Ok(());
    }
    refuse(
        "form",
        format!(
            "The paper of this emergency is still owed: {}",
            owed.join(", ")
        ),
    )
}
