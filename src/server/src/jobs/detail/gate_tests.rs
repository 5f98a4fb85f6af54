//! Steps and parts are refused for what they lack, and never open an isolated machine.

use super::*;
use crate::clock::Millis;
use crate::jobs::body::{Body, Reading};
use crate::jobs::gate::{Lock, SheetSource};
use crate::jobs::{JobId, State, apply};
use crate::machines::MachineId;
use crate::people::PersonId;
use crate::procedures::Step;

const NOW: Millis = 1_000;

fn job(state: State) -> Job {
    let report = Body::Reported {
        place_id: None,
        machine_id: Some(MachineId(1)),
        due_item_id: None,
        words: "It hums".to_owned(),
        reporter: String::new(),
        contact: String::new(),
        urgency: Default::default(),
    };
    let mut job = apply::begin(JobId(1), &report, NOW).expect("a report");
    job.state = state;
    job.dead_at = (state == State::Isolated).then_some(NOW);
    job
}

fn insulation(locked: bool) -> Step {
    Step {
        text: "Insulation".to_owned(),
        takes: Takes::Reading,
        quantity: "megohm".to_owned(),
        unit: "MΩ".to_owned(),
        low: Some(5.0),
        locked,
        ..Step::default()
    }
}

fn around(step: Step) -> Surroundings {
    Surroundings {
        sources: vec![SheetSource {
            source_id: 1,
            name: "Breaker 7".to_owned(),
            stores: false,
            tested: true,
        }],
        detail: Around {
            step: Some(JobStep {
                position: 1,
                taken: "t".to_owned(),
                step,
                dropped: false,
            }),
            ..Around::default()
        },
        ..Surroundings::default()
    }
}

fn lock() -> Lock {
    Lock {
        entry_id: "l".to_owned(),
        job_id: JobId(1),
        machine_id: MachineId(1),
        source_id: 1,
        source: "Breaker 7".to_owned(),
        person_id: PersonId(1),
        person: "P".to_owned(),
        lock_number: "B7".to_owned(),
        on_at: 0,
    }
}

fn read(shown: &str, why: &str, same: bool, before: bool) -> Detail {
    let step = insulation(false);
    let judged = step.judge(shown);
    Detail::StepDone {
        position: 1,
        answer: Answer::Reading,
        reading: (!shown.is_empty()).then(|| Reading {
            point: step.text.clone(),
            quantity: step.quantity.clone(),
            as_shown: shown.to_owned(),
            value: step.figure(shown),
        }),
        choice: String::new(),
        outside: !shown.is_empty() && matches!(judged, Judged::Outside | Judged::NotJudged),
        as_found: false,
        why: why.to_owned(),
        same_read_again: same,
        before_power: before,
        live: None,
        used: None,
    }
}

fn field(job: &Job, detail: &Detail, around: &Surroundings) -> &'static str {
    check(job, detail, None, around).map_or_else(|refusal| refusal.field, |()| "")
}

#[test]
fn a_reading_is_needed_and_a_limit_asks_why() {
    let job = job(State::HandedOut);
    let around = around(insulation(false));
    assert_eq!(field(&job, &read("", "", false, false), &around), "reading");
    assert_eq!(field(&job, &read("5", "", false, false), &around), "");
    assert_eq!(field(&job, &read("4", "", false, false), &around), "why");
    assert_eq!(field(&job, &read("4", "Damp", false, false), &around), "");
    assert_eq!(field(&job, &read("OL", "", false, false), &around), "why");
    let mut hidden = read("4", "Damp", false, false);
    if let Detail::StepDone { outside, .. } = &mut hidden {
        *outside = false;
    }
    assert_eq!(
        field(&job, &hidden, &around),
        "form",
        "a limit cannot be talked away"
    );
}

#[test]
fn a_step_that_takes_a_reading_cannot_be_ticked() {
    let around = around(insulation(false));
    let mut ticked = read("", "", false, false);
    if let Detail::StepDone { answer, .. } = &mut ticked {
        *answer = Answer::Done;
    }
    assert_eq!(field(&job(State::HandedOut), &ticked, &around), "reading");
    if let Detail::StepDone { answer, .. } = &mut ticked {
        *answer = Answer::NotLookedAt;
    }
    assert_eq!(field(&job(State::HandedOut), &ticked, &around), "");
    if let Detail::StepDone { answer, .. } = &mut ticked {
        *answer = Answer::DoesNotApply;
    }
    assert_eq!(field(&job(State::HandedOut), &ticked, &around), "why");
}

#[test]
fn the_same_figure_as_last_time_is_asked_about() {
    let mut around = around(insulation(false));
    around.detail.last = Some(Last {
        shown: "12".to_owned(),
        when: "Mon".to_owned(),
    });
    let job = job(State::HandedOut);
    assert_eq!(field(&job, &read("12", "", false, false), &around), "same");
    assert_eq!(field(&job, &read("12", "", true, false), &around), "");
    assert_eq!(field(&job, &read("13", "", false, false), &around), "");
}

#[test]
fn work_on_the_machine_waits_for_every_lock() {
    let open = around(insulation(true));
    let mut locked = around(insulation(true));
    locked.locks = vec![lock()];
    let detail = read("12", "", false, false);
    for state in [State::HandedOut, State::Held] {
        assert_eq!(field(&job(state), &detail, &locked), "form", "{state:?}");
    }
    assert_eq!(field(&job(State::Isolated), &detail, &open), "form");
    assert_eq!(field(&job(State::Isolated), &detail, &locked), "");
    let mut lifting = job(State::Isolated);
    lifting.lifting = true;
    assert_eq!(field(&lifting, &detail, &locked), "form");
    let after = read("12", "", false, true);
    assert_eq!(field(&job(State::OnTest), &detail, &open), "before_power");
    assert_eq!(field(&job(State::OnTest), &after, &open), "");
    assert_eq!(
        field(&job(State::HandedOut), &after, &open),
        "form",
        "saying so opens nothing before the isolation"
    );
}

#[test]
fn live_readings_need_a_qualified_person() {
    let amps = Step {
        quantity: "amps".to_owned(),
        unit: "A".to_owned(),
        low: None,
        ..insulation(false)
    };
    let mut detail = read("4.2", "", false, false);
    if let Detail::StepDone {
        reading: Some(reading),
        outside,
        ..
    } = &mut detail
    {
        reading.quantity = "amps".to_owned();
        *outside = false;
    }
    let around = around(amps);
    let on_test = job(State::OnTest);
    assert_eq!(field(&on_test, &detail, &around), "precautions");
    if let Detail::StepDone { live, .. } = &mut detail {
        *live = Some(LiveTest {
            qualified_person: PersonId(7),
            instrument: "Clamp".to_owned(),
            instrument_id: None,
            instrument_due: None,
            precautions: "Gloves".to_owned(),
        });
    }
    assert_eq!(field(&on_test, &detail, &around), "qualified_person");
}

#[test]
fn a_bad_part_that_is_left_needs_its_reason_and_work_on_parts_needs_locks() {
    let part = |found: &str, reason: &str| Detail::PartsInspected {
        machine_id: MachineId(1),
        parts: vec![PartFound {
            part: "belt".to_owned(),
            found: found.to_owned(),
            reason: reason.to_owned(),
            note: String::new(),
        }],
        before_power: false,
    };
    let around = around(insulation(false));
    let out = job(State::HandedOut);
    assert_eq!(field(&out, &part("good", ""), &around), "");
    assert_eq!(field(&out, &part("bad_and_left", ""), &around), "form");
    assert_eq!(field(&out, &part("bad_and_left", "part"), &around), "");
    assert_eq!(field(&out, &part("splendid", ""), &around), "form");
    assert_eq!(field(&out, &part("replaced", ""), &around), "form");
    let mut locked = around.clone();
    locked.locks = vec![lock()];
    assert_eq!(
        field(&job(State::Isolated), &part("replaced", ""), &locked),
        ""
    );
}

#[test]
fn hands_in_the_machine_wait_for_a_needed_permit_as_all_work_does() {
    let mut job = job(State::Isolated);
    job.permits_needed = "hot_work".to_owned();
    let mut around = around(insulation(true));
    around.locks = vec![lock()];
    let detail = read("6", "", false, false);
    let refused = check(&job, &detail, None, &around).expect_err("no permit is open");
    assert!(refused.message.contains("permit"), "{}", refused.message);
    job.permits_needed.clear();
    assert_eq!(check(&job, &detail, None, &around), Ok(()));
}
