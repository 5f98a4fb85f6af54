//! The demo's preventive plans, meters and what was done of them last year.

use super::queries;
use super::registers::Made;
use crate::clock::{DAY, Millis, Zone};
use crate::db::Tx;
use crate::people::PersonId;
use crate::preventive::{self, NewPlan};
use calc::due::Rule;
use serde::Deserialize;
use std::collections::HashMap;

#[derive(Deserialize)]
struct PastData {
    due: i64,
    done: i64,
    by: String,
    note: String,
    state: String,
}

#[derive(Deserialize)]
struct PlanData {
    key: String,
    machine: String,
    action: String,
    why: String,
    rule: Rule,
    anchor_days_ago: i64,
    window_days: i64,
    minutes: Option<i64>,
    steps: String,
    past: Vec<PastData>,
}

#[derive(Deserialize)]
struct MeterData {
    machine: String,
    name: String,
    unit: String,
    /// Days ago and what it showed.
    readings: Vec<(i64, f64)>,
}

#[derive(Deserialize)]
struct PlansData {
    plans: Vec<PlanData>,
    meters: Vec<MeterData>,
}

/// The due items of each plan that a job of last year was made from: `(key, which)`.
pub type Items = HashMap<(String, usize), i64>;

/// `by_job` tells whether a past item is to be worked by a job; those are left open for it.
pub async fn fill(
    tx: &mut Tx,
    made: &Made,
    people: &HashMap<String, PersonId>,
    now: Millis,
    zone: &Zone,
    by_job: impl Fn(&str, usize) -> bool,
) -> Result<Items, String> {
    let data: PlansData = serde_json::from_str(include_str!("data/plans.json"))
        .map_err(|e| format!("plans.json: {e}"))?;
    let sql = |e: sqlx::Error| format!("the demo's plans: {e}");
    let ago = |days: i64| zone.date(now - days * DAY);
    let person = |name: &str| {
        people
            .get(name)
            .copied()
            .ok_or(format!("no person {name:?}"))
    };
    let machine = |tag: &str| {
        made.machines
            .get(tag)
            .copied()
            .ok_or(format!("no machine {tag:?}"))
    };
    let mut items = Items::new();
    for plan in data.plans {
        let new = NewPlan {
            machine_id: machine(&plan.machine)?,
            action: plan.action,
            why: plan.why,
            rule: plan.rule,
            anchor_on: ago(plan.anchor_days_ago),
            window_days: plan.window_days,
            minutes: plan.minutes,
            steps: plan.steps,
            made_from_job: None,
        };
        let at = now - plan.anchor_days_ago * DAY;
        let id = preventive::queries::insert_plan(tx, &new, at)
            .await
            .map_err(sql)?;
        for (which, past) in plan.past.iter().enumerate() {
            let open = by_job(&plan.key, which);
            let state = if open { "open" } else { past.state.as_str() };
            let done = if open {
                None
            } else {
                Some((ago(past.done), person(&past.by)?))
            };
            let note = if open { "" } else { past.note.as_str() };
            let item = queries::past_item(tx, id, ago(past.due), state, done, note)
                .await
                .map_err(sql)?;
            items.insert((plan.key.clone(), which), item);
        }
    }
    for data in data.meters {
        let id = queries::meter(tx, machine(&data.machine)?, &data.name, &data.unit)
            .await
            .map_err(sql)?;
        for (days, value) in data.readings {
            queries::meter_reading(tx, id, ago(days), value, person("tobin")?)
                .await
                .map_err(sql)?;
        }
    }
    Ok(items)
}
