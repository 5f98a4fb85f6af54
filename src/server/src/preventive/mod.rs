//! Preventive: work planned before a failure. A plan on a machine makes due items, and a due item
//! becomes a job or is closed with a reason.

pub mod acts;
pub mod ahead;
pub mod form;
pub mod from_cause;
pub mod pages;
pub mod queries;
pub mod words;

pub use ahead::{keep_ahead, make_ahead, make_ahead_in};

use crate::jobs::JobId;
use crate::machines::MachineId;
use calc::due::Rule;
use time::Date;

#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    pub id: i64,
    pub machine_id: MachineId,
    pub tag: String,
    pub machine: String,
    pub action: String,
    pub why: String,
    pub rule: Rule,
    pub anchor_on: Date,
    /// Days before and after the due date that still count as in time.
    pub window_days: i64,
    pub minutes: Option<i64>,
    pub steps: String,
    pub made_from_job: Option<JobId>,
    pub ended_on: Option<Date>,
    pub version: i64,
}

/// A plan about to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct NewPlan {
    pub machine_id: MachineId,
    pub action: String,
    pub why: String,
    pub rule: Rule,
    pub anchor_on: Date,
    pub window_days: i64,
    pub minutes: Option<i64>,
    pub steps: String,
    pub made_from_job: Option<JobId>,
}

/// One date of a plan, with the machine and action it is for.
#[derive(Clone, Debug, PartialEq)]
pub struct DueItem {
    pub id: i64,
    pub plan_id: i64,
    pub machine_id: MachineId,
    pub tag: String,
    pub machine: String,
    pub action: String,
    pub window_days: i64,
    pub minutes: Option<i64>,
    pub due_on: Date,
    pub reason: String,
    /// `open`, `done`, `could_not`, `missed` or `waived`.
    pub state: String,
    pub done_on: Option<Date>,
    pub person: Option<String>,
    pub note: String,
    pub job_id: Option<JobId>,
    pub version: i64,
}

impl DueItem {
    /// Days since the due date; below zero where it is still to come.
    pub fn days_late(&self, today: Date) -> i64 {
        (today - self.due_on).whole_days()
    }

    /// Past its date and window, and still open.
    pub fn overdue(&self, today: Date) -> bool {
        self.state == "open" && self.days_late(today) > self.window_days
    }

    /// Done no later than its window allows.
    pub fn done_in_window(&self) -> bool {
        self.state == "done"
            && self
                .done_on
                .is_some_and(|on| (on - self.due_on).whole_days() <= self.window_days)
    }

    pub fn state_words(&self) -> &str {
        match self.state.as_str() {
            "could_not" => "could not be done",
            other => other,
        }
    }
}
