//! Rows of the preventive plans of machines.

use super::cells::{self, Cells};
use super::plan::{Current, New, Rows};
use crate::clock::date_value;
use crate::form::{self, FieldErrors, required};
use crate::machines::MachineId;
use crate::preventive::form::PlanInput;
use crate::preventive::{NewPlan, Plan};
use crate::rows::Typed;
use std::collections::HashMap;
use time::Date;

/// A plan as it is to be.
#[derive(Clone, Debug)]
pub struct NewPlanRow {
    pub new: NewPlan,
    /// The key of the longer plan, which a row before may have added.
    pub included_in: Option<String>,
    pub ended_on: Option<Date>,
    /// Another rule or first date: what is still to come follows it.
    pub moved: bool,
}

/// A plan by its machine and what is to be done, as rows are compared.
pub fn plan_key(tag: &str, action: &str) -> String {
    format!("{tag}\n{action}").to_lowercase()
}

pub struct Plans {
    /// `None` where several are the same.
    by_key: HashMap<String, Option<Plan>>,
    /// What is to be done by each, by number.
    actions: HashMap<i64, String>,
    /// By key, rows so far too: the action as it reads, and whether a longer plan includes it.
    known: HashMap<String, (String, bool)>,
    machines: HashMap<String, (MachineId, String)>,
    today: Date,
}

impl Plans {
    pub fn new(plans: Vec<Plan>, machines: Vec<(MachineId, String)>, today: Date) -> Plans {
        let mut by_key = HashMap::new();
        let mut known = HashMap::new();
        let mut actions = HashMap::new();
        for plan in plans {
            let key = plan_key(&plan.tag, &plan.action);
            actions.insert(plan.id, plan.action.clone());
            let included = plan.included_in.is_some();
            known.insert(key.clone(), (plan.action.clone(), included));
            by_key
                .entry(key)
                .and_modify(|known| *known = None)
                .or_insert(Some(plan));
        }
        let tag = |(id, tag): (MachineId, String)| (tag.to_lowercase(), (id, tag));
        Plans {
            by_key,
            actions,
            known,
            machines: machines.into_iter().map(tag).collect(),
            today,
        }
    }

    pub fn typed(&self, plan: &Plan) -> Typed {
        let longer = plan.included_in.and_then(|id| self.actions.get(&id));
        typed(plan, longer.map_or("", String::as_str))
    }

    /// The key of the longer plan, and what is to be done by it.
    fn longer(&self, tag: &str, key: &str, text: &str) -> Result<Option<(String, String)>, String> {
        if text.is_empty() {
            return Ok(None);
        }
        let longer = plan_key(tag, text);
        match self.known.get(&longer) {
            Some((action, false)) if longer != key => Ok(Some((longer, action.clone()))),
            _ => {
                let message = "This is no longer plan of the machine, here or in a row above, \
                    that no other plan includes";
                Err(message.to_owned())
            }
        }
    }
}

fn typed(plan: &Plan, longer: &str) -> Typed {
    let input = PlanInput::of(plan);
    let mut t = Typed::default();
    for (field, text) in [
        ("machine", input.machine),
        ("action", input.action),
        ("why", input.why),
        ("kind", input.kind),
        ("count", input.count),
        ("unit", input.unit),
        ("hours", input.hours),
        ("nth", input.nth),
        ("weekday", input.weekday),
        ("months", input.months),
        ("month_day", input.month_day),
        ("season_start", input.season_start),
        ("season_end", input.season_end),
        ("lead_days", input.lead_days),
        ("anchor_on", input.anchor_on),
        ("window_days", input.window_days),
        ("minutes", input.minutes),
        ("steps", input.steps),
        ("included_in", longer.to_owned()),
    ] {
        t.put(field, text);
    }
    t.put_known("ended_on", plan.ended_on, date_value);
    t
}

/// The form of the page with the row's fields in it.
fn input(merged: &Typed) -> PlanInput {
    let text = |field: &str| merged.get(field).to_owned();
    PlanInput {
        action: text("action"),
        why: text("why"),
        kind: text("kind"),
        count: text("count"),
        unit: text("unit"),
        hours: text("hours"),
        nth: text("nth"),
        weekday: text("weekday"),
        months: text("months"),
        month_day: text("month_day"),
        season_start: text("season_start"),
        season_end: text("season_end"),
        lead_days: text("lead_days"),
        anchor_on: text("anchor_on"),
        window_days: text("window_days"),
        minutes: text("minutes"),
        steps: text("steps"),
        ..PlanInput::default()
    }
}

impl Rows for Plans {
    fn key(&self, cells: &Cells) -> Result<(String, String), FieldErrors> {
        let mut errors = FieldErrors::default();
        let tag = required(cells::text(cells, "machine"), "Enter the machine's tag");
        let tag = errors.take("machine", tag);
        let action = required(cells::text(cells, "action"), "Enter what is to be done");
        let action = errors.take("action", action);
        errors.or((plan_key(&tag, &action), format!("{tag}: {action}")))
    }

    fn find(&self, key: &str) -> Result<Option<Current>, FieldErrors> {
        let refuse = |message: &str| Err(FieldErrors::of("action", message));
        match self.by_key.get(key) {
            None => Ok(None),
            Some(None) => refuse("Several plans of this machine say this: name them apart first"),
            Some(Some(plan)) if plan.wide_id.is_some() => {
                refuse("This comes from a plan on a kind or a place: change that one on its page")
            }
            Some(Some(plan)) => Ok(Some(Current {
                id: plan.id,
                version: plan.version,
                typed: self.typed(plan),
            })),
        }
    }

    fn read(&mut self, key: &str, merged: &Typed, _: &Cells) -> Result<(New, Typed), FieldErrors> {
        let mut errors = FieldErrors::default();
        let machine = self.machines.get(&merged.get("machine").to_lowercase());
        if machine.is_none() {
            let message = "There is no such machine: add it first, or from a file of machines";
            errors.add("machine", message);
        }
        let (id, tag) = machine.cloned().unwrap_or((MachineId(0), String::new()));
        let new = errors.gather(input(merged).parse(id));
        let ended_on = form::optional_date(merged.get("ended_on"));
        let ended_on = errors.take("ended_on", ended_on);
        if ended_on.is_some_and(|on| on > self.today) {
            errors.add("ended_on", "This day has not come yet");
        }
        let longer = self.longer(&tag, key, merged.get("included_in"));
        let longer = errors.take("included_in", longer);
        let mut new = errors.or(new)?.ok_or_else(FieldErrors::default)?;
        let was = self.by_key.get(key).and_then(Option::as_ref);
        if let Some(was) = was {
            new.action.clone_from(&was.action);
            // No column of the file says them: what the work needs stays as it is.
            new.needs.clone_from(&was.needs);
        }
        let moved = was.is_none_or(|was| was.rule != new.rule || was.anchor_on != new.anchor_on);
        new.since_on = moved.then_some(self.today);
        let (included_in, longer) = longer.unzip();
        let after = typed(
            &as_plan(&new, &tag, ended_on),
            longer.as_deref().unwrap_or(""),
        );
        let known = (new.action.clone(), included_in.is_some());
        self.known.insert(key.to_owned(), known);
        let row = NewPlanRow {
            new,
            included_in,
            ended_on,
            moved,
        };
        Ok((New::Plan(Box::new(row)), after))
    }

    fn key_field(&self) -> &'static str {
        "action"
    }
}

/// The plan as the register will hold it.
fn as_plan(new: &NewPlan, tag: &str, ended_on: Option<Date>) -> Plan {
    Plan {
        id: 0,
        machine_id: new.machine_id,
        tag: tag.to_owned(),
        machine: String::new(),
        action: new.action.clone(),
        why: new.why.clone(),
        rule: new.rule.clone(),
        anchor_on: new.anchor_on,
        window_days: new.window_days,
        minutes: new.minutes,
        steps: new.steps.clone(),
        needs: new.needs.clone(),
        made_from_job: None,
        ended_on,
        version: 0,
        wide_id: None,
        since_on: None,
        included_in: None,
    }
}
