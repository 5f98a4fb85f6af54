//! Preventive: work planned before a failure. A plan on a machine makes due items, and a due item
//! becomes a job or is closed with a reason. A plan on a kind or a place gives each of its machines one.

pub mod acts;
pub mod ahead;
pub mod ahead_queries;
pub mod form;
pub mod from_cause;
pub mod learning;
pub mod missed;
pub mod missed_queries;
pub mod needs;
pub mod needs_form;
pub mod pages;
pub mod queries;
pub mod season;
pub mod steps;
pub mod to_job;
pub mod wide;
pub mod words;

pub use ahead::{keep_ahead, make_ahead, make_ahead_in, make_ahead_of};
pub use needs::Needs;

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
    /// Which state of the plan this is; its items keep the one they were made under.
    pub version: i64,
    /// The plan on a kind or a place that this one came from.
    pub wide_id: Option<i64>,
    /// The present rule's first day; dates before it were not its.
    pub since_on: Option<Date>,
    /// The longer plan of this machine that covers this one's work.
    pub included_in: Option<i64>,
    pub needs: Needs,
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
    /// The rule's first day; on a change `None` keeps what stands.
    pub since_on: Option<Date>,
    pub included_in: Option<i64>,
    pub needs: Needs,
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
    /// The open item of a longer plan that includes this one.
    pub covered_by: Option<i64>,
    pub needs: Needs,
}

impl DueItem {
    /// Days since the due date; below zero where it is still to come.
    pub fn days_late(&self, today: Date) -> i64 {
        (today - self.due_on).whole_days()
    }

    /// Past the day beyond which it counts as missed, and still open.
    pub fn beyond_limit(&self, today: Date) -> bool {
        let limit = self.needs.hard_limit(self.due_on);
        self.state == "open" && limit.is_some_and(|limit| today > limit)
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
