//! What a meter says about the next service: its date moves with each reading, and shows its basis.

use super::queries;
use crate::clock::date_words;
use crate::db::Tx;
use crate::error::AppError;
use crate::machines::MachineId;
use crate::measure::figure;
use crate::preventive::{self, Plan, ahead, ahead_queries, make_ahead_of};
use crate::state::AppState;
use calc::due::{self, MeterReading, Rule};
use time::Date;

/// The interval by meter in a rule.
pub fn interval(rule: &Rule) -> Option<f64> {
    match rule {
        Rule::Meter { every } => Some(*every),
        Rule::FirstOf { rules } => rules.iter().find_map(interval),
        _ => None,
    }
}

/// After a reading: items by meter that are still to come go to the day that it now forecasts. What has
/// fallen due stays, and so does what a job was made of.
///
/// # Errors
/// The database's own.
pub async fn move_on(tx: &mut Tx, machine: MachineId, today: Date) -> Result<(), AppError> {
    ahead_queries::alone(tx).await?;
    let readings = queries::total_in(tx, machine).await?;
    for plan in preventive::queries::plans_of_machine_in(tx, machine).await? {
        let Some(plan) = preventive::queries::going_on(tx, plan).await? else {
            continue;
        };
        if interval(&plan.rule).is_none() {
            continue;
        }
        let items = ahead_queries::past(tx, plan.id).await?;
        let coming = |state: &str, on: Date| state == "open" && on > today;
        let open = items
            .iter()
            .find(|item| coming(&item.state, item.due_on) && item.job_id.is_none());
        if let Some(open) = open {
            let past: Vec<_> = items
                .iter()
                .filter(|item| item.id != open.id)
                .map(|item| (item.due_on, item.state.clone(), item.done_on))
                .collect();
            let found = ahead::next(&plan.rule, plan.anchor_on, &past, &readings);
            if let Some(found) = found.filter(|found| found.on != open.due_on) {
                queries::redate(tx, open.id, found.on, &found.reason).await?;
            }
        }
        make_ahead_of(tx, plan.id, today).await?;
    }
    Ok(())
}

/// One plan by meter, with what the readings forecast.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    pub plan: i64,
    pub action: String,
    /// The day, or why there is none.
    pub when: String,
    pub basis: String,
}

/// The forecasts of a machine's plans.
///
/// # Errors
/// The database's own.
pub async fn forecasts(
    app: &AppState,
    machine: MachineId,
    unit: &str,
) -> Result<Vec<Forecast>, AppError> {
    let readings = queries::total(&app.db, machine).await?;
    let mut list = Vec::new();
    for (id, _) in preventive::queries::plans_of_machine(&app.db, machine).await? {
        let Some(plan) = preventive::queries::plan(&app.db, id).await? else {
            continue;
        };
        let Some(every) = interval(&plan.rule) else {
            continue;
        };
        let past: Vec<_> = preventive::queries::items_of(&app.db, id)
            .await?
            .into_iter()
            .map(|item| (item.due_on, item.state, item.done_on))
            .collect();
        list.push(forecast(
            &plan,
            every,
            &readings,
            ahead::last_done(&past),
            unit,
        ));
    }
    Ok(list)
}

/// The same readings and rate as the plan's own dates.
fn forecast(
    plan: &Plan,
    every: f64,
    readings: &[MeterReading],
    done: Option<Date>,
    unit: &str,
) -> Forecast {
    let meter = ahead::meter(readings.to_vec(), done);
    let service = match (done, meter.last_service) {
        (Some(on), Some(at)) => format!("last done {} at {}", date_words(on), figure(at, 1)),
        (None, Some(at)) => format!(
            "never done; counted from the first reading, {}",
            figure(at, 1)
        ),
        (_, None) => "no reading yet".to_owned(),
    };
    let (when, rate) = match due::forecast(&meter, every) {
        Ok((at, rate, left, on)) if left <= 0.0 => (
            format!(
                "due since {}: {} {unit} passed",
                date_words(on),
                figure(at, 1)
            ),
            Some(rate),
        ),
        Ok((at, rate, left, on)) => {
            let (at, left) = (figure(at, 1), figure(left, 1));
            let on = date_words(on);
            (
                format!("{on}, at {at} {unit}; {left} {unit} left"),
                Some(rate),
            )
        }
        Err(why) => (format!("no date: {why}"), None),
    };
    let span = match (readings.first(), readings.last()) {
        (Some(first), Some(last)) => (last.on - first.on).whole_days(),
        _ => 0,
    };
    let rate = rate.map_or_else(String::new, |rate| {
        format!(", {} {unit} a day", figure(rate, 2))
    });
    Forecast {
        plan: plan.id,
        action: plan.action.clone(),
        when,
        basis: format!(
            "every {} {unit}; {service}; {} readings over {span} days{rate}",
            figure(every, 1),
            readings.len()
        ),
    }
}
