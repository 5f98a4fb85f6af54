//! Rounds: what is due on a roof, in a building or in a shutdown, walked to with one sheet and typed in
//! on one page. A round looks and reads; what has to be stopped or opened has its job.

pub mod checks;
mod form;
pub mod pages;
pub mod queries;
pub mod sheet;

use crate::clock::{Millis, date_words};
use crate::machines::MachineId;
use crate::preventive::Needs;
use time::Date;

/// A due item as a round has it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Item {
    pub id: i64,
    pub plan_id: i64,
    pub machine_id: MachineId,
    pub tag: String,
    pub machine: String,
    pub place_id: i64,
    pub action: String,
    pub steps: String,
    /// JSON of the plan's rule.
    pub rule: String,
    /// JSON of what the work needs.
    pub needs: String,
    pub window_days: i64,
    pub minutes: Option<i64>,
    pub due_on: Date,
    pub state: String,
    pub done_on: Option<Date>,
    pub person: Option<String>,
    pub note: String,
    pub job_id: Option<i64>,
    /// The newest round that it is on; 0 for none.
    pub round: i64,
}

impl Item {
    pub fn due_words(&self, today: Date) -> String {
        let day = date_words(self.due_on);
        match (today - self.due_on).whole_days() {
            late if self.beyond_limit(today) => {
                format!("{day}, beyond its hard limit: {late} days late")
            }
            late if late > self.window_days => format!("{day}, overdue: {late} days late"),
            late if late > 0 => format!("{day}, {late} days late, in its window"),
            0 => format!("{day}, today"),
            early => format!("{day}, in {} days", -early),
        }
    }

    /// Past the hard limit of its plan.
    pub fn beyond_limit(&self, today: Date) -> bool {
        let limit = Needs::read(&self.needs).ok();
        let limit = limit.and_then(|needs| needs.hard_limit(self.due_on));
        limit.is_some_and(|limit| today > limit)
    }

    /// What became of it.
    pub fn closed_words(&self) -> String {
        let what = match self.state.as_str() {
            "could_not" => "could not be done",
            other => other,
        };
        let on = self.done_on.map(|on| format!(" on {}", date_words(on)));
        let by = self.person.as_ref().map(|by| format!(" by {by}"));
        let note = match self.note.as_str() {
            "" => String::new(),
            note => format!(": {note}"),
        };
        format!(
            "{what}{}{}{note}",
            on.unwrap_or_default(),
            by.unwrap_or_default()
        )
    }

    /// Its plan counts by the meter.
    pub fn by_meter(&self) -> bool {
        serde_json::from_str(&self.rule)
            .ok()
            .and_then(|rule| crate::meters::ahead::interval(&rule))
            .is_some()
    }
}

/// A round as the list shows it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Round {
    pub id: i64,
    pub title: String,
    pub made_at: Millis,
    pub made_by: String,
    pub lines: i64,
    /// Lines that nobody has closed yet.
    pub open: i64,
}
