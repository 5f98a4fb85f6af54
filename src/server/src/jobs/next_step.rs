//! What comes next in a job: pure, from what is recorded.

use super::State;
use super::steps::JobView;
use super::ways::Touches;
use super::ways::pages::asked_of;

/// The one thing to do now, the page for it, and whose it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NextStep {
    pub say: String,
    /// Page of the job, such as `/isolation`; empty where there is nothing to press.
    pub page: &'static str,
    pub label: &'static str,
}

fn step(say: impl Into<String>, page: &'static str, label: &'static str) -> NextStep {
    NextStep {
        say: say.into(),
        page,
        label,
    }
}

/// The next step of the technician, or of the supervisor where it is theirs.
pub fn of(view: &JobView) -> NextStep {
    let job = &view.job;
    match job.state {
        State::Reported => step(
            "The supervisor plans it: machine, scope, hours, sheet.",
            "/plan",
            "Plan it",
        ),
        State::Planned => step(
            "The supervisor hands it to somebody for a day.",
            "/plan#hand-out",
            "Hand it out",
        ),
        State::HandedOut if job.way.exception.is_some() => step(
            "Under a recorded exception: work, then the run test or the finish check.",
            "/way",
            "The exception",
        ),
        State::HandedOut
            if job.machine_id.is_none() && job.confirmed_at.is_none() && view.on_roof() =>
        {
            step(
                "The place is a roof: before work there, say what keeps you from falling.",
                "/confirm",
                "Before the roof",
            )
        }
        State::HandedOut if job.machine_id.is_none() => finish_check(),
        State::HandedOut if job.confirmed_at.is_none() => step(
            "At the machine: read the tag and confirm that this is the unit.",
            "/confirm",
            "Confirm the unit",
        ),
        State::HandedOut if job.way.level() == Touches::Nothing => finish_check(),
        State::HandedOut if job.as_found_at.is_none() => step(
            "Before anything is changed: write down how you found it.",
            "/as-found",
            "Record as found",
        ),
        State::HandedOut => isolate(view),
        State::Isolated if job.lifting => step(
            "Isolation is being lifted: each takes off their own lock, then energise for the test. \
             To go on working, put the locks back and prove dead again.",
            "/lift",
            "Lift for the run test",
        ),
        State::Isolated => isolated(view),
        State::OnTest if job.must_isolate_again() => step(
            "The proof was failed: the machine stays out of service. Put the locks back on and \
             prove dead again.",
            "/isolation",
            "Isolate again",
        ),
        State::OnTest if job.proved() => step(
            "The proof was passed. Guards on, people told, then back in service.",
            "/return",
            "Return to service",
        ),
        State::OnTest | State::TestOwed if job.way.level() == Touches::Guard => step(
            "Power is back. Run it and record the run check.",
            "/way#run-check",
            "Record the run check",
        ),
        State::OnTest => step(
            "Locks are off. Re-lock and prove dead again before touching. Record the run test.",
            "/proof",
            "Record the proof",
        ),
        State::TestOwed => step(
            "It runs, but nobody has proved it. The test is owed.",
            "/proof",
            "Record the proof",
        ),
        State::BackInService if job.cause_at.is_none() && asked_of(view).cause => step(
            "Write down what failed, how and why, as far as it is known.",
            "/cause",
            "Record the cause",
        ),
        State::BackInService => step(
            "The supervisor looks it over and signs it off.",
            "/sign-off",
            "Sign off",
        ),
        State::Held if job.held_for.as_deref() == Some("circuit") => step(
            "The circuit check holds this job. Choose another motor, change the circuit, or note a \
             licensed person's decision.",
            "/circuit",
            "Look at the circuit check",
        ),
        State::Held => step(
            "It waits. Take it up again when the reason is gone.",
            "/hold",
            "Take it up again",
        ),
        State::SignedOff => step("Done and signed off.", "", ""),
        State::TurnedDown => step("Turned down; the reason went back to the reporter.", "", ""),
        State::Joined => step("Joined to another job; look there.", "", ""),
    }
}

fn finish_check() -> NextStep {
    step(
        "Nothing of a machine is opened: do it, then record the finish check. If it touches more, \
         say so there.",
        "/way",
        "Finish check",
    )
}

fn isolate(view: &JobView) -> NextStep {
    let Some(sheet) = &view.sheet else {
        return step(
            "This machine has no isolation sheet. A supervisor writes one before it is opened.",
            "/isolation",
            "Isolation",
        );
    };
    let open = view.sources_without_lock();
    let say = if view.job.told_at.is_none() {
        "Tell the affected people, lock every source, then prove dead.".to_owned()
    } else if open > 0 {
        format!(
            "{open} of {} sources without a lock of this job.",
            sheet.sources.len()
        )
    } else if view.job.handover_to.is_some() {
        "It was handed over. Who took it over tries to start it and proves it dead.".to_owned()
    } else {
        "Every source has a lock. Try to start it, then prove it dead.".to_owned()
    };
    if open == 0 && view.job.told_at.is_some() && view.job.way.level() == Touches::Guard {
        return step(
            "Every source has a lock. Try to start it, and record that.",
            "/way#try",
            "Record the try",
        );
    }
    step(say, "/isolation", "Isolate")
}

fn isolated(view: &JobView) -> NextStep {
    let job = &view.job;
    match job.chosen_motor_id {
        Some(chosen) if job.fitted_motor_id == Some(chosen) => step(
            "The motor is fitted. Record other work, then clear up for the run test.",
            "/lift",
            "Lift for the run test",
        ),
        Some(_) if job.circuit_cleared() => step(
            "Fit the chosen motor; the work needed is listed.",
            "/work",
            "Record the work",
        ),
        Some(_) => step(
            "A motor is chosen. Check the circuit that feeds it.",
            "/circuit",
            "Check the circuit",
        ),
        None => step(
            "Work may go on. Record it, find a motor if one is needed, then clear up for the run \
             test.",
            "/work",
            "Record the work",
        ),
    }
}
