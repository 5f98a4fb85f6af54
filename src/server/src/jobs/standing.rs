//! What is recorded about a machine's isolation and what is not known, in sentences; never a promise.

use super::steps::JobView;
use crate::clock::Zone;

#[derive(Clone, Debug, Default)]
pub struct Standing {
    pub recorded: Vec<String>,
    pub not_known: Vec<String>,
}

/// Both lists for the job's machine, locks of every job included.
pub fn of(view: &JobView, zone: &Zone) -> Standing {
    Standing {
        recorded: recorded(view, zone),
        not_known: not_known(view),
    }
}

fn recorded(view: &JobView, zone: &Zone) -> Vec<String> {
    let job = &view.job;
    let mut said = Vec::new();
    if let Some(at) = job.told_at {
        said.push(format!("People were told, {}", zone.minute_words(at)));
    }
    for lock in &view.locks {
        said.push(format!(
            "Lock {} of {} on {}, job {}, since {}",
            lock.lock_number,
            lock.person,
            lock.source,
            lock.job_id.0,
            zone.minute_words(lock.on_at)
        ));
    }
    for of in &view.control.boxes {
        for lock in &of.locks {
            said.push(format!(
                "Lock {} of {} on {}, job {}, since {}",
                lock.lock_number,
                lock.person,
                of.name,
                of.job_id.0,
                zone.minute_words(lock.on_at)
            ));
        }
        said.push(format!(
            "{} holds {} keys, {} people on it; primary responsibility: {}",
            of.name,
            of.keys.len(),
            of.locks.len(),
            of.coordinator
        ));
    }
    if let Some(at) = job.dead_at {
        said.push(format!("Dead test accepted, {}", zone.minute_words(at)));
    }
    if job.lifting {
        said.push("The isolation is being lifted for the run test".to_owned());
    }
    if let Some(at) = job.energised_at {
        said.push(format!(
            "Power was last put on in this job {}",
            zone.minute_words(at)
        ));
    }
    said
}

fn not_known(view: &JobView) -> Vec<String> {
    let job = &view.job;
    let mut said = Vec::new();
    match &view.sheet {
        None => said.push("Which sources feed it: there is no isolation sheet".to_owned()),
        Some(sheet) => {
            for source in &sheet.sources {
                if !view.own_locks().any(|lock| lock.source_id == source.id) {
                    said.push(format!(
                        "Whether {} is off: no lock of this job is recorded there",
                        source.name
                    ));
                }
                if source.label_read.trim().is_empty() && source.dead_test != "none" {
                    said.push(format!("The label on {}", source.device));
                }
            }
            if sheet.inspected_on.is_none() {
                said.push("Whether the sheet is right: it was never inspected".to_owned());
            }
        }
    }
    if job.told_at.is_none() {
        said.push("Whether the people affected know".to_owned());
    }
    if job.handover_to.is_some() {
        said.push("Whether it is dead for who took it over: they have not tested it".to_owned());
    } else if job.dead_at.is_none() {
        said.push("Whether it is dead: no dead test stands".to_owned());
    }
    if view
        .machine
        .as_ref()
        .is_some_and(|m| m.feed_proved_on.is_none())
    {
        said.push("Which circuit really feeds it: nobody has proved it".to_owned());
    }
    said
}
