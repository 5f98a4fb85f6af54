//! What an entry does to its job: pure, so that a replay of all entries finds the same rows.

use super::body::{Body, HoldReason, Reading, verdict_word};
use super::response::Response;
use super::{Job, JobId, State, control, ways};
use crate::clock::Millis;
use crate::people::PersonId;
use calc::working::Verdict;

/// The job that a report starts.
pub fn begin(id: JobId, body: &Body, at: Millis) -> Option<Job> {
    let Body::Reported {
        place_id,
        machine_id,
        due_item_id,
        words,
        reporter,
        contact,
        urgency,
    } = body
    else {
        return None;
    };
    Some(Job {
        id,
        place_id: *place_id,
        machine_id: *machine_id,
        due_item_id: *due_item_id,
        state: State::Reported,
        held_from: None,
        held_for: None,
        held_note: String::new(),
        words: words.clone(),
        reporter: reporter.clone(),
        contact: contact.clone(),
        reported_at: at,
        scope: String::new(),
        minutes_planned: None,
        steps: String::new(),
        assigned_to: None,
        planned_on: None,
        confirmed_at: None,
        as_found_at: None,
        told_at: None,
        dead_at: None,
        lifting: false,
        energised_at: None,
        chosen_motor_id: None,
        fit_verdict: None,
        circuit_motor_id: None,
        circuit_verdict: None,
        circuit_decided_at: None,
        fitted_motor_id: None,
        proof_verdict: None,
        proof_at: None,
        test_owed_on: None,
        component: String::new(),
        mode: String::new(),
        mechanism: String::new(),
        cause: String::new(),
        cause_at: None,
        back_at: None,
        signed_by: None,
        signed_at: None,
        turned_down_why: String::new(),
        joined_to: None,
        response: Response::begun(urgency, at),
        entry_count: 1,
        last_entry_at: at,
        version: 1,
        handover_from: None,
        handover_to: None,
        permits_needed: String::new(),
        interlocks_restored: String::new(),
        way: ways::Way::default(),
    })
}

/// Adds one accepted entry to the summary. `version` counts up with every entry.
pub fn apply(job: &mut Job, body: &Body, by: Option<PersonId>, at: Millis) {
    job.entry_count += 1;
    job.version += 1;
    job.last_entry_at = at;
    match body {
        Body::Reported { .. }
        | Body::PlanMade { .. }
        | Body::Note { .. }
        | Body::Correction { .. }
        | Body::TimeSpent { .. }
        | Body::TimeWithdrawn { .. }
        | Body::Photo(_)
        | Body::PhotoWithdrawn { .. }
        | Body::LockOff { .. } => {}
        Body::WorkDone { .. } => hands(job),
        Body::Detail(_) | Body::Stores(_) => {}
        Body::Ways(ways) => ways::apply(job, ways, by, at),
        Body::Control(control) => control::apply(job, control),
        Body::JoinedTo { job: other } => {
            job.state = State::Joined;
            job.joined_to = Some(*other);
        }
        Body::TurnedDown { reason } => {
            job.state = State::TurnedDown;
            job.turned_down_why = reason.clone();
        }
        Body::Planned {
            machine_id,
            scope,
            minutes,
            steps,
        } => {
            if job.state == State::Reported {
                job.state = State::Planned;
            }
            if job.machine_id != Some(*machine_id) {
                another_machine(job);
            }
            job.machine_id = Some(*machine_id);
            job.scope = scope.clone();
            job.minutes_planned = *minutes;
            job.steps = steps.clone();
        }
        Body::HandedOut { to, on, .. } => {
            if job.state == State::Planned {
                job.state = State::HandedOut;
            }
            job.assigned_to = Some(*to);
            job.planned_on = Some(*on);
        }
        Body::Held { reason, note } => {
            hold(job, *reason, note);
            job.response.held(*reason, at);
        }
        Body::Resumed { .. } => {
            resume(job);
            job.response.resumed(at);
        }
        Body::UnitConfirmed { .. } => {
            job.confirmed_at = Some(at);
            job.response.attended(at);
        }
        Body::AsFound { .. } => {
            job.as_found_at = Some(at);
            job.response.attended(at);
        }
        Body::PeopleTold { .. } => job.told_at = Some(at),
        // A lock put on while the isolation was being lifted, or after power was on, means that
        // nothing counts as dead until it is tested again. It also ends a run test: whatever was
        // proved is proved anew. A failed proof stays until the dead test.
        Body::LockOn { .. } => {
            job.response.attended(at);
            if job.lifting || job.state == State::OnTest {
                job.dead_at = None;
            }
            if job.state == State::OnTest && !job.must_isolate_again() {
                job.proof_verdict = None;
                job.proof_at = None;
                // The run test is over: power comes back by the whole way only.
                job.state = State::HandedOut;
            }
        }
        Body::DeadTest { verdict, .. } => dead_test(job, *verdict, at),
        Body::MotorChosen {
            motor_id, verdict, ..
        } => {
            job.chosen_motor_id = Some(*motor_id);
            job.fit_verdict = Some(verdict_word(*verdict).to_owned());
            if job.circuit_motor_id != Some(*motor_id) {
                job.circuit_motor_id = None;
                job.circuit_verdict = None;
                job.circuit_decided_at = None;
                release_circuit_hold(job);
            }
        }
        Body::CircuitChecked {
            motor_id,
            verdict,
            working,
            ..
        } => {
            job.circuit_motor_id = Some(*motor_id);
            job.circuit_verdict = Some(verdict_word(*verdict).to_owned());
            job.circuit_decided_at = None;
            if *verdict == Verdict::Beyond {
                let why = working
                    .lines
                    .iter()
                    .find(|line| line.verdict == Some(Verdict::Beyond))
                    .map_or_else(String::new, |line| format!("{}: {}", line.label, line.note));
                hold(job, HoldReason::Circuit, &why);
            } else {
                release_circuit_hold(job);
            }
        }
        Body::CircuitDecided { .. } => {
            job.circuit_decided_at = Some(at);
            release_circuit_hold(job);
        }
        Body::MotorFitted { motor_id, .. } => {
            job.fitted_motor_id = Some(*motor_id);
            hands(job);
        }
        Body::ReadyToLift { .. } => job.lifting = true,
        Body::Energised { .. } => {
            job.state = State::OnTest;
            job.lifting = false;
            job.dead_at = None;
            job.told_at = None;
            job.energised_at = Some(at);
            job.interlocks_restored.clear();
            job.proof_verdict = None;
            job.proof_at = None;
            ways::end_exception(job);
        }
        Body::Proof { verdict, .. } => {
            proof(job, verdict_word(*verdict), at);
            job.way.short_proof = false;
        }
        Body::BackInService { accepted_by, .. } => {
            job.way.accepted_by.clone_from(accepted_by);
            job.state = State::BackInService;
            job.back_at = Some(at);
            job.test_owed_on = None;
        }
        Body::TestOwed { due_on, .. } => {
            job.state = State::TestOwed;
            job.test_owed_on = Some(*due_on);
        }
        Body::Cause {
            component,
            mode,
            mechanism,
            cause,
            ..
        } => {
            job.component = component.clone();
            job.mode = mode.clone();
            job.mechanism = mechanism.clone();
            job.cause = cause.clone();
            job.cause_at = Some(at);
        }
        Body::EmergencyTaken { on, .. } => {
            job.state = State::HandedOut;
            job.assigned_to = by;
            job.planned_on = Some(*on);
            job.response.emergency = true;
        }
        Body::PaperGiven {
            words,
            reporter,
            scope,
            minutes,
        } => {
            let blank = |field: &mut String, text: &String| {
                if field.is_empty() {
                    field.clone_from(text);
                }
            };
            blank(&mut job.words, words);
            blank(&mut job.reporter, reporter);
            blank(&mut job.scope, scope);
            job.minutes_planned = job.minutes_planned.or(*minutes);
        }
        Body::ReportedAgain { urgency, .. } => job.response.reported_again(urgency, at),
        Body::PrioritySet { level, reason } => {
            job.response.level = Some(*level);
            job.response.level_why = reason.clone();
        }
        Body::SignedOff { .. } => {
            job.state = State::SignedOff;
            job.signed_by = by;
            job.signed_at = Some(at);
        }
    }
}

/// What was found, told, chosen and checked belonged to the machine that was named before.
pub(super) fn another_machine(job: &mut Job) {
    job.way.touches = None;
    job.as_found_at = None;
    job.told_at = None;
    job.chosen_motor_id = None;
    job.fit_verdict = None;
    job.circuit_motor_id = None;
    job.circuit_verdict = None;
    job.circuit_decided_at = None;
    release_circuit_hold(job);
}

/// An entry that was kept but set aside still counts as one.
pub fn set_aside(job: &mut Job, at: Millis) {
    job.entry_count += 1;
    job.version += 1;
    job.last_entry_at = at;
}

fn dead_test(job: &mut Job, verdict: Verdict, at: Millis) {
    if verdict == Verdict::Beyond {
        // It reads live: whatever was open for work is shut again.
        job.dead_at = None;
        job.lifting = false;
        if job.state == State::Isolated {
            job.state = State::HandedOut;
        }
        return;
    }
    proved_dead(job, at);
    hands(job);
}

/// Hands went, or may have gone, as far as the work touches.
pub(super) fn hands(job: &mut Job) {
    let level = job.way.level().max(ways::Touches::Guard);
    job.way.hands = job.way.hands.max(Some(level));
}

/// A proof with its verdict's word. A failed one is no longer a test owed: it is a machine to
/// isolate again.
pub(super) fn proof(job: &mut Job, word: &str, at: Millis) {
    job.proof_verdict = Some(word.to_owned());
    job.proof_at = Some(at);
    if word == "beyond" {
        job.state = State::OnTest;
        job.test_owed_on = None;
    }
}

/// Locked, tried and found dead: work is open.
pub(super) fn proved_dead(job: &mut Job, at: Millis) {
    job.state = State::Isolated;
    job.handover_from = None;
    job.handover_to = None;
    job.dead_at = Some(at);
    job.lifting = false;
    if job.must_isolate_again() {
        job.proof_verdict = None;
        job.proof_at = None;
    }
}

fn hold(job: &mut Job, reason: HoldReason, note: &str) {
    // A job that waits for something else goes on waiting for it; the circuit check stands in the
    // way of fitting all the same.
    if job.state == State::Held
        && reason == HoldReason::Circuit
        && job.held_for.as_deref() != Some(HoldReason::Circuit.word())
    {
        return;
    }
    if job.state != State::Held {
        job.held_from = Some(job.state);
        job.state = State::Held;
    }
    job.held_for = Some(reason.word().to_owned());
    job.held_note = note.to_owned();
}

fn resume(job: &mut Job) {
    if let (State::Held, Some(from)) = (job.state, job.held_from) {
        job.state = from;
    }
    job.held_from = None;
    job.held_for = None;
    job.held_note.clear();
}

fn release_circuit_hold(job: &mut Job) {
    if job.held_for.as_deref() == Some("circuit") {
        resume(job);
    }
}

/// The readings an entry holds; each becomes a row.
pub fn readings(body: &Body) -> &[Reading] {
    match body {
        Body::AsFound { readings, .. } | Body::Proof { readings, .. } => readings,
        Body::DeadTest { pairs, .. } => pairs,
        Body::Detail(detail) => detail.readings(),
        _ => &[],
    }
}
