//! The table of refusals, tried one by one and in any order.

use super::super::apply;
use super::super::body::{LiveTest, Reading};
use super::*;
use crate::motors::MotorId;
use calc::working::Working;
use time::macros::date;

const MACHINE: MachineId = MachineId(1);

fn person(id: i64) -> Person {
    Person {
        id: PersonId(id),
        sign_in_name: format!("p{id}"),
        name: format!("Person {id}"),
        role: Role::Technician,
        authorised_on: Some(date!(2026 - 01 - 05)),
        qualified_on: Some(date!(2026 - 01 - 05)),
        hours_a_day: Some(8.0),
        closed: false,
    }
}

fn job(id: i64) -> Job {
    let report = Body::Reported {
        place_id: None,
        machine_id: Some(MACHINE),
        due_item_id: None,
        words: "it hums".to_owned(),
        reporter: String::new(),
        contact: String::new(),
        urgency: Default::default(),
    };
    let mut job = apply::begin(JobId(id), &report, 0).expect("a report begins a job");
    job.state = State::HandedOut;
    job.confirmed_at = Some(1);
    job
}

fn around(locks: Vec<Lock>) -> Surroundings {
    let source = |source_id| SheetSource {
        source_id,
        name: format!("Source {source_id}"),
        stores: false,
        tested: true,
    };
    Surroundings {
        sources: vec![source(1), source(2)],
        locks,
        tag: "EF-1".to_owned(),
        live_person: Some(person(1)),
        ..Surroundings::default()
    }
}

fn standing(entry: &str, job: i64, source: i64, by: i64) -> Lock {
    Lock {
        entry_id: entry.to_owned(),
        job_id: JobId(job),
        machine_id: MACHINE,
        source_id: source,
        source: format!("Source {source}"),
        person_id: PersonId(by),
        person: format!("Person {by}"),
        lock_number: entry.to_owned(),
        on_at: 0,
    }
}

fn lock_on(source_id: i64, number: &str) -> Body {
    Body::LockOn {
        machine_id: MACHINE,
        source_id,
        lock_number: number.to_owned(),
        label_read: String::new(),
        seen_off: true,
        relieved: String::new(),
    }
}

fn dead_test(verdict: Verdict) -> Body {
    Body::DeadTest {
        machine_id: MACHINE,
        instrument: "V-3".to_owned(),
        instrument_due: None,
        instrument_id: None,
        did_not_start: true,
        live_before: "121 V".to_owned(),
        live_after: "121 V".to_owned(),
        pairs: vec![Reading {
            point: "L-N".to_owned(),
            quantity: "volts".to_owned(),
            as_shown: "0".to_owned(),
            value: Some(0.0),
        }],
        verdict,
        working: Working::new("Test"),
    }
}

fn work() -> Body {
    Body::WorkDone {
        what: "cleaned".to_owned(),
    }
}

fn fitted(machine_id: MachineId) -> Body {
    Body::MotorFitted {
        machine_id,
        motor_id: MotorId(7),
        work_done: "fitted".to_owned(),
    }
}

fn clear() -> Body {
    Body::ReadyToLift {
        tools_clear: true,
        guards_on: true,
        people_clear: "P".to_owned(),
        people_told: "P".to_owned(),
    }
}

fn proof(verdict: Verdict) -> Body {
    Body::Proof {
        machine_id: MACHINE,
        readings: Vec::new(),
        input: calc::proof::ProofInput::default(),
        live: LiveTest {
            qualified_person: PersonId(1),
            instrument: "V-3".to_owned(),
            instrument_id: None,
            instrument_due: None,
            precautions: "gloves".to_owned(),
        },
        verdict,
        working: Working::new("Run test"),
    }
}

fn back() -> Body {
    Body::BackInService {
        guards_on: true,
        people_told: "P".to_owned(),
        accepted_by: "P".to_owned(),
    }
}

fn says(job: &Job, body: &Body, by: &Person, around: &Surroundings) -> String {
    check(job, body, Some(by), around)
        .err()
        .map(|refusal| refusal.message)
        .unwrap_or_default()
}

fn isolated(id: i64) -> Job {
    let mut job = job(id);
    job.told_at = Some(2);
    job.dead_at = Some(3);
    job.state = State::Isolated;
    job
}

#[test]
fn an_entry_for_another_machine_is_refused() {
    let mut job = isolated(1);
    job.chosen_motor_id = Some(MotorId(7));
    job.circuit_motor_id = Some(MotorId(7));
    job.circuit_verdict = Some("within".to_owned());
    let locks = around(vec![standing("a", 1, 1, 1), standing("b", 1, 2, 1)]);
    assert_eq!(says(&job, &fitted(MACHINE), &person(1), &locks), "");
    let said = says(&job, &fitted(MachineId(2)), &person(1), &locks);
    assert!(said.contains("another machine"), "{said}");
}

#[test]
fn a_dead_test_needs_a_qualified_person() {
    let mut by = person(1);
    by.qualified_on = None;
    let locks = around(vec![standing("a", 1, 1, 1), standing("b", 1, 2, 1)]);
    let said = says(&job(1), &dead_test(Verdict::Within), &by, &locks);
    assert!(said.contains("qualified person"), "{said}");
    assert_eq!(
        says(&job(1), &dead_test(Verdict::Within), &person(1), &locks),
        ""
    );
}

#[test]
fn a_source_added_to_the_sheet_in_mid_job_shuts_the_work() {
    let one = around(vec![standing("a", 1, 1, 1)]);
    let said = says(&isolated(1), &work(), &person(1), &one);
    assert_eq!(said, "No lock of this job is on: Source 2");
}

#[test]
fn a_sheet_changed_after_the_dead_test_asks_for_another() {
    let mut locks = around(vec![standing("a", 1, 1, 1), standing("b", 1, 2, 1)]);
    locks.sheet_made_at = Some(2);
    assert_eq!(says(&isolated(1), &work(), &person(1), &locks), "");
    locks.sheet_made_at = Some(4);
    let said = says(&isolated(1), &work(), &person(1), &locks);
    assert!(said.contains("Prove dead again on the new sheet"), "{said}");
}

#[test]
fn a_failed_proof_binds_the_machine_and_not_its_own_job_only() {
    let mut job = isolated(2);
    job.lifting = true;
    let energised = Body::Energised {
        machine_id: MACHINE,
        note: String::new(),
    };
    let mut none = around(Vec::new());
    assert_eq!(says(&job, &energised, &person(1), &none), "");
    none.failed_elsewhere = Some(JobId(1));
    let said = says(&job, &energised, &person(1), &none);
    assert!(
        said.contains("Job 1 on this machine failed its proof"),
        "{said}"
    );
    job.state = State::OnTest;
    job.proof_verdict = Some("within".to_owned());
    let said = says(&job, &back(), &person(1), &none);
    assert!(said.contains("Job 1"), "{said}");
}

#[test]
fn energy_control_is_for_authorised_people() {
    let mut by = person(1);
    by.authorised_on = None;
    let locks = around(vec![standing("a", 1, 1, 1), standing("b", 1, 2, 1)]);
    for body in [clear(), dead_test(Verdict::Within)] {
        let said = says(&isolated(1), &body, &by, &locks);
        assert!(said.contains("not recorded as authorised"), "{said}");
    }
}

#[test]
fn a_plan_for_another_machine_starts_anew() {
    let mut job = job(1);
    job.state = State::Planned;
    job.told_at = Some(2);
    job.chosen_motor_id = Some(MotorId(7));
    job.circuit_motor_id = Some(MotorId(7));
    job.circuit_verdict = Some("within".to_owned());
    let plan = |machine| Body::Planned {
        machine_id: machine,
        scope: "look".to_owned(),
        minutes: None,
        steps: String::new(),
    };
    let mut same = job.clone();
    apply::apply(&mut same, &plan(MACHINE), None, 9);
    assert!(same.circuit_cleared());
    apply::apply(&mut job, &plan(MachineId(2)), None, 9);
    assert!(!job.circuit_cleared() && job.chosen_motor_id.is_none() && job.told_at.is_none());
}

#[test]
fn a_motor_is_not_fitted_twice() {
    let mut job = isolated(1);
    job.chosen_motor_id = Some(MotorId(7));
    job.circuit_motor_id = Some(MotorId(7));
    job.circuit_verdict = Some("within".to_owned());
    job.fitted_motor_id = Some(MotorId(7));
    let locks = around(vec![standing("a", 1, 1, 1), standing("b", 1, 2, 1)]);
    let said = says(&job, &fitted(MACHINE), &person(1), &locks);
    assert!(said.contains("recorded as fitted already"), "{said}");
}

#[test]
fn the_outgoing_lock_comes_off_once_the_incoming_one_is_on() {
    let off = Body::LockOff {
        lock: "a".to_owned(),
    };
    let alone = around(vec![standing("a", 1, 1, 1), standing("b", 1, 2, 1)]);
    let said = says(&isolated(1), &off, &person(1), &alone);
    assert!(said.contains("First record"), "{said}");
    // A lock of another job on the source is no replacement.
    let other = around(vec![standing("a", 1, 1, 1), standing("c", 2, 1, 2)]);
    assert_ne!(says(&isolated(1), &off, &person(1), &other), "");
    let handed_over = around(vec![standing("a", 1, 1, 1), standing("c", 1, 1, 2)]);
    assert_eq!(says(&isolated(1), &off, &person(1), &handed_over), "");
    let said = says(&isolated(1), &off, &person(2), &handed_over);
    assert!(said.contains("Each takes off their own"), "{said}");
}

#[test]
fn a_lock_put_on_after_the_run_test_voids_a_pass_but_not_a_failure() {
    for (word, after) in [("within", None), ("beyond", Some("beyond"))] {
        let mut job = job(1);
        job.state = State::OnTest;
        job.proof_verdict = Some(word.to_owned());
        apply::apply(&mut job, &lock_on(1, "a"), Some(PersonId(1)), 9);
        assert_eq!(job.proof_verdict.as_deref(), after);
    }
}

#[test]
fn a_live_reading_shuts_what_was_open_and_ends_the_lifting() {
    let mut job = isolated(1);
    job.lifting = true;
    apply::apply(&mut job, &dead_test(Verdict::Beyond), Some(PersonId(1)), 9);
    assert_eq!(job.state, State::HandedOut);
    assert!(!job.lifting && job.dead_at.is_none());
}

#[test]
fn a_proof_is_read_back_as_it_was_written() {
    let Body::Proof {
        mut input,
        machine_id,
        readings,
        live,
        verdict,
        working,
    } = proof(Verdict::Within)
    else {
        unreachable!()
    };
    input.date = Some(date!(2026 - 11 - 25));
    input.motor.phases = calc::plate::Field::read(1);
    input.motor.volts = calc::plate::Field::read(vec![calc::units::Volts(115.0)]);
    input.volts = Some(vec![calc::proof::Reading {
        calibration_due: Some(date!(2027 - 01 - 31)),
        ..calc::proof::Reading::default()
    }]);
    input.amps = Some(vec![calc::proof::Reading {
        kind: None,
        value: Some(3.6),
        instrument: Some("C-2".to_owned()),
        calibration_due: Some(date!(2027 - 01 - 31)),
    }]);
    let body = Body::Proof {
        machine_id,
        readings,
        input,
        live,
        verdict,
        working,
    };
    let text = super::super::body::Stored::write(&body).expect("it writes");
    assert_eq!(super::super::body::Stored::read(&text), Ok(body), "{text}");
}

#[path = "gate_walk.rs"]
mod walk;
