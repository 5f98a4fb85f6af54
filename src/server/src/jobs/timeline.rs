//! Entries as people read them: one title and a few plain lines each.

use super::body::{Body, HoldReason, LiveTest, Reading};
use super::detail;
use super::priority::Urgency;
use super::queries::Entry;
use super::roof::Stay;
use super::{control, spells, stores};
use crate::clock::{Zone, date_words};
use crate::instruments::used::Used;
use crate::people::Person;
use crate::photos;
use crate::photos::shown::Thumb;

/// One entry in the timeline.
#[derive(Clone, Debug)]
pub struct Line {
    pub id: String,
    pub number: i64,
    pub title: &'static str,
    pub when: String,
    /// Set where the device's clock and the server's differ by more than two minutes.
    pub device_when: String,
    pub who: String,
    pub facts: Vec<String>,
    /// Why it was kept but not acted on; empty: it counts.
    pub set_aside: String,
    /// The photo of this entry, unless it was withdrawn.
    pub photo: Option<Thumb>,
    /// Corrections of this entry, shown beside it.
    pub corrections: Vec<String>,
    /// Added after the job was signed off.
    pub after_sign_off: bool,
}

/// The timeline, newest first.
pub fn lines(entries: &[Entry], people: &[Person], zone: &Zone) -> Vec<Line> {
    let mut lines: Vec<Line> = entries
        .iter()
        .map(|entry| line(entry, people, zone))
        .collect();
    for entry in entries {
        if let Body::Correction { of, text } = &entry.body
            && let Some(line) = lines.iter_mut().find(|line| line.id == *of)
        {
            line.corrections
                .push(format!("{text} ({}, entry {})", entry.person, entry.number));
        }
        if let Body::Detail(detail::Detail::FromPaper { entries, .. }) = &entry.body {
            for line in lines.iter_mut().filter(|line| entries.contains(&line.id)) {
                line.facts
                    .push(format!("From paper, typed in by {}", entry.person));
            }
        }
        if let Body::PhotoWithdrawn { of, .. } = &entry.body
            && entry.set_aside.is_none()
            && let Some(line) = lines.iter_mut().find(|line| line.id == *of)
        {
            line.photo = None;
            line.facts
                .push(format!("Withdrawn: see entry {}", entry.number));
        }
    }
    let signed = entries
        .iter()
        .find(|e| e.set_aside.is_none() && matches!(e.body, Body::SignedOff { .. }));
    if let Some(signed) = signed {
        for line in &mut lines {
            line.after_sign_off = line.number > signed.number;
        }
    }
    lines.reverse();
    lines
}

fn line(entry: &Entry, people: &[Person], zone: &Zone) -> Line {
    let far = |device: i64| (device - entry.received_at).abs() > 120_000;
    Line {
        id: entry.id.clone(),
        number: entry.number,
        title: entry.body.title(),
        when: zone.minute_words(entry.received_at),
        device_when: entry
            .device_at
            .filter(|at| far(*at))
            .map_or_else(String::new, |at| zone.minute_words(at)),
        who: if entry.person.is_empty() {
            "without sign-in".to_owned()
        } else {
            entry.person.clone()
        },
        facts: facts(&entry.body, people, zone),
        set_aside: entry.set_aside.clone().unwrap_or_default(),
        photo: match &entry.body {
            Body::Photo(photo) if entry.set_aside.is_none() => Some(Thumb::of(photo)),
            _ => None,
        },
        corrections: Vec::new(),
        after_sign_off: false,
    }
}

fn reading(reading: &Reading) -> String {
    let unit = match reading.quantity.as_str() {
        "volts" => "V",
        "amps" => "A",
        "mm_s" => "mm/s",
        "rpm" => "rpm",
        "megohm" => "MΩ",
        "celsius" => "°C",
        other => other,
    };
    format!("{} {} {unit}", reading.point, reading.as_shown)
}

fn readings(all: &[Reading]) -> Option<String> {
    if all.is_empty() {
        None
    } else {
        Some(all.iter().map(reading).collect::<Vec<_>>().join(", "))
    }
}

fn live(live: &LiveTest, people: &[Person]) -> String {
    let person = people
        .iter()
        .find(|p| p.id == live.qualified_person)
        .map_or("somebody", |p| p.name.as_str());
    format!(
        "Energised testing by {person} with {}: {}",
        live.used().words(),
        live.precautions
    )
}

fn said(label: &str, text: &str) -> Option<String> {
    let text = text.trim();
    if text.is_empty() {
        None
    } else {
        Some(format!("{label}: {text}"))
    }
}

fn judged(urgency: &Urgency) -> Option<String> {
    let level = urgency.level?;
    Some(format!("Judged {}: {}", level.words(), urgency.because))
}

fn facts(body: &Body, people: &[Person], zone: &Zone) -> Vec<String> {
    let name = |id| {
        people
            .iter()
            .find(|p| p.id == id)
            .map_or_else(|| "somebody".to_owned(), |p| p.name.clone())
    };
    let lines: Vec<Option<String>> = match body {
        Body::Reported {
            words,
            reporter,
            contact,
            urgency,
            ..
        }
        | Body::ReportedAgain {
            words,
            reporter,
            contact,
            urgency,
        } => {
            vec![
                Some(format!("“{words}”")).filter(|_| !words.is_empty()),
                said("By", reporter),
                said("Contact", contact),
                judged(urgency),
            ]
        }
        Body::JoinedTo { job } => vec![Some(format!("Joined to job {}", job.0))],
        Body::TurnedDown { reason } => vec![Some(reason.clone())],
        Body::Planned {
            scope,
            minutes,
            steps,
            ..
        } => vec![
            said("Scope", scope),
            minutes.map(|m| format!("{:.1} h planned", m as f64 / 60.0)),
            said("Steps", &steps.lines().collect::<Vec<_>>().join("; ")),
        ],
        Body::HandedOut { to, on, partner } => vec![
            Some(format!("To {} for {}", name(*to), date_words(*on))),
            partner.map(|partner| format!("With {} as the qualified partner", name(partner))),
        ],
        Body::Held { reason, note } => vec![
            said(HoldReason::words_of(reason.word()), note)
                .or_else(|| Some(HoldReason::words_of(reason.word()).to_owned())),
        ],
        Body::Resumed { note } | Body::SignedOff { note } => vec![said("Note", note)],
        Body::UnitConfirmed {
            tag_read,
            method,
            roof,
        } => vec![
            Some(format!("Read {tag_read}, {method}")),
            roof.as_ref().map(Stay::words),
        ],
        Body::AsFound {
            running,
            condition,
            guard,
            readings: all,
            live: test,
        } => vec![
            Some(format!("Found {}", running.replace('_', " "))),
            said("Condition", condition),
            said("Guard", guard),
            readings(all),
            test.as_ref().map(|test| live(test, people)),
        ],
        Body::PeopleTold { who } => vec![Some(who.clone())],
        Body::LockOn {
            lock_number,
            label_read,
            relieved,
            ..
        } => vec![
            Some(format!("Lock {lock_number}, device seen off")),
            said("Label there", label_read),
            said("Stored energy", relieved),
        ],
        Body::DeadTest {
            instrument,
            instrument_due,
            instrument_id,
            live_before,
            live_after,
            pairs,
            verdict,
            ..
        } => vec![
            // Without an electrical source it holds how the isolation was verified.
            Some(if pairs.is_empty() {
                format!("Verified: {instrument}")
            } else {
                let used = Used {
                    id: *instrument_id,
                    number: instrument.clone(),
                    due: *instrument_due,
                };
                format!(
                    "{}: live {live_before} before, {live_after} after",
                    used.words()
                )
            }),
            readings(pairs),
            Some(format!("Record against the threshold: {}", verdict.words())),
        ],
        Body::MotorChosen {
            motor_name,
            verdict,
            ..
        } => {
            vec![Some(format!("{motor_name}: {}", verdict.words()))]
        }
        Body::CircuitChecked {
            rule_set, verdict, ..
        } => {
            vec![Some(format!("Under {rule_set}: {}", verdict.words()))]
        }
        Body::CircuitDecided {
            licensed_person,
            licence,
            decision,
            ..
        } => {
            vec![Some(format!("{licensed_person} ({licence}): {decision}"))]
        }
        Body::MotorFitted { work_done, .. } => vec![said("Work", work_done)],
        Body::WorkDone { what } => vec![Some(what.clone())],
        Body::ReadyToLift {
            people_clear,
            people_told,
            ..
        } => vec![
            Some("Tools clear, guards on".to_owned()),
            said("People clear, looked", people_clear),
            said("Told", people_told),
        ],
        Body::LockOff { .. } => vec![],
        Body::Energised { note, .. } => vec![said("Note", note)],
        Body::Proof {
            readings: all,
            live: test,
            verdict,
            ..
        } => vec![
            Some(format!("Verdict: {}", verdict.words())),
            readings(all),
            Some(live(test, people)),
        ],
        Body::BackInService {
            people_told,
            accepted_by,
            ..
        } => vec![
            Some("Guards on".to_owned()),
            said("Told", people_told),
            said("Accepted by", accepted_by),
        ],
        Body::TestOwed { due_on, why } => {
            vec![
                Some(format!("By {}", date_words(*due_on))),
                said("Why", why),
            ]
        }
        Body::Cause {
            component,
            mode,
            mechanism,
            cause,
            evidence,
        } => vec![
            said("Component", component),
            said("Mode", mode),
            said("Mechanism", mechanism),
            said("Cause", cause),
            said("Evidence", evidence),
        ],
        Body::PlanMade {
            action, first_due, ..
        } => {
            vec![Some(format!(
                "{action}; first due {}",
                date_words(*first_due)
            ))]
        }
        Body::Note { text } => vec![Some(text.clone())],
        Body::Photo(photo) => vec![
            Some(photos::about_words(&photo.about).to_owned()),
            said("Caption", &photo.caption),
        ],
        Body::PhotoWithdrawn { reason, .. } => vec![said("Why", reason)],
        Body::TimeSpent {
            person,
            spent,
            from,
            to,
            note,
        } => vec![
            Some(format!(
                "{}{}: {} to {}, {}",
                person.map_or_else(String::new, |person| format!("{}, ", name(person))),
                spells::words_of(spent),
                zone.minute_words(*from),
                zone.minute_words(*to),
                spells::hours(*from, *to),
            )),
            said("Note", note),
        ],
        Body::TimeWithdrawn { why, .. } => vec![said("Why", why)],
        Body::Correction { text, .. } => vec![Some(text.clone())],
        Body::EmergencyTaken { on, .. } => vec![Some(format!("At once, {}", date_words(*on)))],
        Body::PaperGiven {
            words,
            reporter,
            scope,
            minutes,
        } => vec![
            said("Noticed", words),
            said("By", reporter),
            said("Scope", scope),
            minutes.map(|m| format!("{:.1} h of work", m as f64 / 60.0)),
        ],
        Body::PrioritySet { level, reason } => vec![said(level.words(), reason)],
        Body::Stores(of_shelf) => stores::lines::facts(of_shelf),
        Body::Control(control) => control::lines::facts(control, name, zone),
        Body::Ways(ways) => super::ways::lines::facts(ways),
        Body::Detail(detail) => detail::facts::of(detail),
    };
    lines.into_iter().flatten().collect()
}
