//! The demo's preventive plans, meters and what was done of them last year.

use super::queries;
use super::registers::Made;
use crate::clock::{DAY, Millis, Zone};
use crate::db::Tx;
use crate::people::PersonId;
use crate::preventive::{self, NewPlan, ahead};
use calc::due::{MeterReading, Rule};
use serde::Deserialize;
use std::collections::HashMap;
use time::{Date, Duration};

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
    /// What was written when it was done, in turn.
    notes: Vec<String>,
    /// How many of the dates that have passed nobody has served.
    behind: usize,
    /// Which date could not be served, and why.
    could_not: Option<(usize, String)>,
    #[serde(default)]
    needs: preventive::Needs,
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

/// The due item, and its date, that a job of last year was made from: by plan and which.
pub type Items = HashMap<(String, usize), (i64, Date)>;

/// Days after the due date on which the work of last year was done, in turn.
const LATE: &[i64] = &[0, 1, 9, 0, 3];

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
    for data in &data.meters {
        let id = queries::meter(tx, machine(&data.machine)?, &data.name, &data.unit)
            .await
            .map_err(sql)?;
        for (days, value) in &data.readings {
            queries::meter_reading(tx, id, ago(*days), *value, person("tobin")?)
                .await
                .map_err(sql)?;
        }
    }
    for data in data.plans {
        let new = NewPlan {
            machine_id: machine(&data.machine)?,
            action: data.action,
            why: data.why,
            rule: data.rule,
            anchor_on: ago(data.anchor_days_ago),
            window_days: data.window_days,
            minutes: data.minutes,
            steps: data.steps,
            made_from_job: None,
            since_on: None,
            included_in: None,
            needs: data.needs,
        };
        let at = now - data.anchor_days_ago * DAY;
        let id = preventive::queries::insert_plan(tx, &new, at)
            .await
            .map_err(sql)?;
        let readings = preventive::queries::meter_in(tx, new.machine_id)
            .await
            .map_err(sql)?;
        let served = served(
            &new,
            &readings,
            ago(0),
            data.behind,
            data.could_not.as_ref(),
        );
        for (which, (due, state, done)) in served.into_iter().enumerate() {
            let by = person(if which % 2 == 0 { "tobin" } else { "ilse" })?;
            let (open, could_not) = (by_job(&data.key, which), state == "could_not");
            let note = match &data.could_not {
                Some((_, why)) if could_not => why.as_str(),
                _ => data
                    .notes
                    .get(which % data.notes.len().max(1))
                    .map_or("", String::as_str),
            };
            let item = if open {
                queries::past_item(tx, id, due, "open", None, "").await
            } else {
                queries::past_item(tx, id, due, &state, done.map(|on| (on, by)), note).await
            };
            items.insert((data.key.clone(), which), (item.map_err(sql)?, due));
        }
    }
    Ok(items)
}

/// The dates of last year by the plan's own rule, each closed a little after its day.
fn served(
    plan: &NewPlan,
    readings: &[MeterReading],
    today: Date,
    behind: usize,
    could_not: Option<&(usize, String)>,
) -> Vec<(Date, String, Option<Date>)> {
    let mut past: Vec<(Date, String, Option<Date>)> = Vec::new();
    while let Some(due) = ahead::next(&plan.rule, plan.anchor_on, &past, readings) {
        let late = LATE[past.len() % LATE.len()].min(plan.window_days + 4);
        let on = due.on + Duration::days(late);
        if on >= today || past.len() > 60 {
            break;
        }
        let missed = could_not.is_some_and(|(which, _)| *which == past.len());
        let state = if missed { "could_not" } else { "done" };
        past.push((due.on, state.to_owned(), Some(on)));
    }
    past.truncate(past.len().saturating_sub(behind));
    past
}
