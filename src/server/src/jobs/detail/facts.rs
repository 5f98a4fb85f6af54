//! The work in detail as people read it in what happened.

use super::part_list::{FOUND, REASONS};
use super::{Detail, PartFound};
use crate::clock::date_words;
use crate::rows::words_of;

/// A few plain lines.
pub fn of(detail: &Detail) -> Vec<Option<String>> {
    match detail {
        Detail::ProcedureTaken {
            revision,
            name,
            steps,
            ..
        } => vec![Some(format!(
            "{name}, revision {revision}: {} steps",
            steps.len()
        ))],
        Detail::ProcedureDropped { why, .. } => vec![said("Why", why)],
        Detail::StepDone {
            position,
            answer,
            reading,
            choice,
            outside,
            as_found,
            why,
            same_read_again,
            before_power,
            live,
            used,
        } => {
            let shown = match reading {
                Some(reading) => format!("{} {}", reading.point, reading.as_shown),
                None if choice.is_empty() => answer.words().to_owned(),
                None => format!("found {choice}"),
            };
            let out = if *outside { ", outside its limit" } else { "" };
            let note = |told: bool, words: &str| told.then(|| words.to_owned());
            vec![
                Some(format!("{position}: {shown}{out}")),
                note(*as_found, "As found, before anything was changed"),
                said("Why", why),
                note(*same_read_again, "The same as last time, read again"),
                note(
                    *before_power,
                    "Done behind the locks, before power came back",
                ),
                live.as_ref()
                    .map(|test| format!("With {}: {}", test.used().words(), test.precautions)),
                used.as_ref().map(|used| format!("With {}", used.words())),
            ]
        }
        Detail::PartsInspected { parts, .. } => parts.iter().map(|p| Some(part(p))).collect(),
        Detail::CauseReviewed { finding, action } => {
            vec![said("Finding", finding), said("Action", action)]
        }
        Detail::FollowUpMade { job, from } => {
            vec![Some(format!("Job {}", job.0)), said("From", from)]
        }
        Detail::Temporary { what, until } => vec![
            Some(what.clone()),
            Some(format!("To be ended by {}", date_words(*until))),
        ],
        Detail::TemporaryEnded { how, .. } => vec![said("How", how)],
        Detail::FromPaper {
            writer_name,
            written_on,
            sheet,
            changed,
            ..
        } => {
            let by = format!("Written by {writer_name}, {}", date_words(*written_on));
            let mut lines = vec![Some(by), Some(format!("Sheet {sheet}"))];
            lines.extend((!changed.is_empty()).then(|| {
                let changed = changed.join("; ");
                Some(format!("Older than the job, and looked at: {changed}"))
            }));
            lines
        }
    }
}

fn said(label: &str, text: &str) -> Option<String> {
    let text = text.trim();
    (!text.is_empty()).then(|| format!("{label}: {text}"))
}

/// `belt: bad and left, waiting for a part (cracked)`
pub fn part(found: &PartFound) -> String {
    let mut words = format!("{}: {}", found.part, words_of(FOUND, &found.found));
    if !found.reason.is_empty() {
        words.push_str(", ");
        words.push_str(&words_of(REASONS, &found.reason));
    }
    if !found.note.is_empty() {
        words.push_str(&format!(" ({})", found.note));
    }
    words
}
