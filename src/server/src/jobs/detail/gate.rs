//! When the entries of the work in detail are taken: pure, as the rest of the gate.

use super::part_list::{FOUND, REASONS, WORKED};
use super::{Answer, Detail, JobStep, PartFound};
use crate::jobs::Job;
use crate::jobs::allowed::Stand;
use crate::jobs::body::LiveTest;
use crate::jobs::control::gate::beside_hands;
use crate::jobs::gate::{Refusal, Surroundings, live_gate, refuse};
use crate::jobs::needs::hands_open;
use crate::people::Person;
use crate::procedures::{Judged, Takes};

/// A reading of the same step on the same machine, on an earlier job.
#[derive(Clone, Debug, PartialEq)]
pub struct Last {
    pub shown: String,
    /// The day and job, in words.
    pub when: String,
}

/// What the gate looks at for these entries, read in the same transaction.
#[derive(Clone, Debug, Default)]
pub struct Around {
    pub step: Option<JobStep>,
    pub last: Option<Last>,
    /// The procedure counts in this job.
    pub procedure_counts: bool,
    /// The temporary fix is this job's and still there.
    pub fix_stands: bool,
}

/// # Errors
/// [`Refusal`]: what to do instead, and the field it belongs beside.
pub fn check(
    job: &Job,
    detail: &Detail,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    match detail {
        Detail::ProcedureTaken { .. } if around.detail.procedure_counts => {
            refuse("procedure", "This job has taken this procedure already")
        }
        Detail::ProcedureDropped { .. } if !around.detail.procedure_counts => {
            refuse("form", "This procedure no longer counts in this job")
        }
        Detail::StepDone { .. } => step_gate(job, detail, by, around),
        Detail::PartsInspected {
            machine_id,
            parts,
            before_power,
        } => {
            if job.machine_id != Some(*machine_id) {
                return refuse(
                    "form",
                    "This was made for another machine than the job's. Reload the page",
                );
            }
            parts_gate(parts)?;
            if hands(detail, around) {
                hands_gate(job, *before_power, by, around)?;
            }
            Ok(())
        }
        Detail::TemporaryEnded { .. } if !around.detail.fix_stands => {
            refuse("of", "This temporary fix was ended already")
        }
        _ => Ok(()),
    }
}

/// Whether an entry says that hands were in the machine.
pub fn hands(detail: &Detail, around: &Surroundings) -> bool {
    match detail {
        Detail::StepDone { answer, .. } => {
            let locked = around.detail.step.as_ref().is_some_and(|s| s.step.locked);
            locked && answer.carried_out()
        }
        Detail::PartsInspected { parts, .. } => {
            parts.iter().any(|p| WORKED.contains(&p.found.as_str()))
        }
        _ => false,
    }
}

/// Hands in the machine: behind locks on every source, proved dead. What was done there may be
/// written down later, once power is back, by saying so.
fn hands_gate(
    job: &Job,
    before_power: bool,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    match Stand::of(job) {
        Stand::Lifting => {
            beside_hands(job, by, around)?;
            refuse(
                "form",
                "The isolation is being lifted. Put the locks back and prove dead again before \
                 work goes on",
            )
        }
        Stand::Isolated | Stand::Excepted => {
            beside_hands(job, by, around)?;
            hands_open(job, by, around)
        }
        Stand::OnTest | Stand::Failed | Stand::TestOwed | Stand::BackInService if before_power => {
            Ok(())
        }
        Stand::OnTest | Stand::Failed | Stand::TestOwed | Stand::BackInService => refuse(
            "before_power",
            "Power is back. Tick this if it was done behind the locks; else isolate again first",
        ),
        Stand::Finished => refuse(
            "form",
            "This job ended as work that opened nothing. Make a follow-up for what is open",
        ),
        _ => refuse(
            "form",
            "Work on the machine waits until every source is locked and proved dead",
        ),
    }
}

fn parts_gate(parts: &[PartFound]) -> Result<(), Refusal> {
    if parts.is_empty() {
        return refuse("form", "Say how at least one part was found");
    }
    let known = |list: &[(&str, &str)], word: &str| list.iter().any(|(w, _)| *w == word);
    for part in parts {
        if !known(FOUND, &part.found) {
            return refuse("form", format!("Say how the {} was found", part.part));
        }
        if part.found == "bad_and_left" && !known(REASONS, &part.reason) {
            return refuse("form", format!("Say why the {} was left", part.part));
        }
    }
    Ok(())
}

fn step_gate(
    job: &Job,
    detail: &Detail,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    let Detail::StepDone {
        answer,
        reading,
        choice,
        outside,
        why,
        same_read_again,
        before_power,
        live,
        ..
    } = detail
    else {
        return Ok(());
    };
    let Some(JobStep { step, dropped, .. }) = &around.detail.step else {
        return refuse("form", "This job has no such step");
    };
    if *dropped {
        return refuse("form", "The procedure of this step no longer counts");
    }
    let takes = match step.takes {
        Takes::Tick => Answer::Done,
        Takes::Reading => Answer::Reading,
        Takes::Choice => Answer::Choice,
    };
    if answer.carried_out() && *answer != takes {
        return match takes {
            Answer::Reading => refuse("reading", "This step is answered by its reading"),
            Answer::Choice => refuse("choice", "Choose one of its words"),
            _ => refuse("answer", "This step is ticked"),
        };
    }
    if *answer == Answer::DoesNotApply && why.trim().is_empty() {
        return refuse("why", "Say why it does not apply here");
    }
    if !answer.carried_out() {
        return match (reading, choice.as_str()) {
            (None, "") => Ok(()),
            _ => refuse("answer", "You gave a reading; then it was looked at"),
        };
    }
    if step.locked {
        hands_gate(job, *before_power, by, around)?;
    }
    match answer {
        Answer::Choice if !step.choices.iter().any(|word| word == choice) => {
            refuse("choice", "Choose one of its words")
        }
        Answer::Reading => {
            let Some(reading) = reading.as_ref().filter(|r| !r.as_shown.trim().is_empty()) else {
                return refuse(
                    "reading",
                    "Enter the reading; without one the step is not done",
                );
            };
            live_step_gate(step.live(), live.as_ref(), around)?;
            if reading.point != step.text || reading.quantity != step.quantity {
                return refuse("form", "This reading is of another step. Reload the page");
            }
            limit_gate(
                &step.judge(&reading.as_shown),
                *outside,
                why,
                &step.limit_words(),
            )?;
            same_gate(&reading.as_shown, *same_read_again, around)
        }
        _ => Ok(()),
    }
}

/// Volts and amps are read on live parts: by whom, and with which precautions.
fn live_step_gate(
    needed: bool,
    live: Option<&LiveTest>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    match live {
        None if needed => refuse(
            "precautions",
            "Live readings need the qualified person and the precautions taken",
        ),
        Some(test) if test.precautions.trim().is_empty() => {
            refuse("precautions", "Say which precautions were taken")
        }
        Some(_) => live_gate(around),
        None => Ok(()),
    }
}

fn limit_gate(judged: &Judged, outside: bool, why: &str, limit: &str) -> Result<(), Refusal> {
    let (is_outside, ask) = match judged {
        Judged::NoLimit | Judged::Within => (false, String::new()),
        Judged::Outside => (
            true,
            format!("This is outside the limit, {limit}. Say why, as far as you know"),
        ),
        Judged::NotJudged => (
            true,
            format!("This is no figure that the limit, {limit}, can judge. Say what it means"),
        ),
    };
    if is_outside && why.trim().is_empty() {
        return refuse("why", ask);
    }
    if is_outside != outside {
        return refuse("form", "The limit was judged otherwise. Reload the page");
    }
    Ok(())
}

fn same_gate(shown: &str, read_again: bool, around: &Surroundings) -> Result<(), Refusal> {
    match &around.detail.last {
        Some(last) if last.shown.trim() == shown.trim() && !read_again => refuse(
            "same",
            format!(
                "The same as on {}. Read it again, then tick that it is",
                last.when
            ),
        ),
        _ => Ok(()),
    }
}

#[cfg(test)]
#[path = "gate_tests.rs"]
mod tests;
