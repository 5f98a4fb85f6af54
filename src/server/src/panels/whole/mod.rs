//! `/panels/{id}/check`: every circuit of a panel with the motors it feeds, and the feeder with all of
//! them. A check of figures, never a permission.

mod feeder;

use super::queries::Panel;
use super::show::find_panel;
use super::{PanelCircuit, queries};
use crate::circuit_check::shared;
use crate::error::AppError;
use crate::machines::show::motor;
use crate::machines::{self, Machine};
use crate::motors::Motor;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use calc::working::{Verdict, Working};

/// A machine on a circuit, judged; `None` where its motor is not recorded.
pub(super) struct Judged {
    machine: Machine,
    motor: Option<Motor>,
    working: Option<Working>,
}

impl Judged {
    fn verdict(&self) -> Verdict {
        let judged = self.working.as_ref().and_then(Working::verdict);
        judged.unwrap_or(Verdict::NotKnownYet)
    }
}

/// A circuit with what it feeds.
pub(super) struct OnCircuit {
    circuit: PanelCircuit,
    machines: Vec<Judged>,
}

impl OnCircuit {
    /// The worst of its machines; `None` where no machine is recorded on it.
    fn verdict(&self) -> Option<Verdict> {
        self.machines
            .iter()
            .map(Judged::verdict)
            .reduce(Verdict::worse)
    }

    /// In a few words, for the list at the top.
    fn words(&self) -> String {
        match self.verdict() {
            None => "no machine is recorded on it: not judged".to_owned(),
            Some(verdict) => verdict.words().to_owned(),
        }
    }

    fn bad(&self) -> bool {
        self.verdict() == Some(Verdict::Beyond)
    }

    fn name(&self) -> String {
        format!("Circuit {}", self.circuit.number)
    }
}

#[derive(Template)]
#[template(path = "panels/check.html")]
struct WholePage {
    layout: Layout,
    panel: Panel,
    rule_set: &'static str,
    circuits: Vec<OnCircuit>,
    /// The circuit that feeds the panel; `None`: not recorded.
    fed_from: Option<PanelCircuit>,
    feeders: Vec<Working>,
    /// What is missing anywhere, once each, with how to find it.
    missing: Vec<(String, String)>,
    printed: String,
}

impl WholePage {
    fn outstanding(&self) -> usize {
        let wrong = self.circuits.iter().filter(|one| one.circuit.label_wrong);
        wrong.count()
    }
}

async fn judged(app: &AppState, circuit: &PanelCircuit) -> Result<Vec<Judged>, AppError> {
    let rule_set = app.shop().ok_or(AppError::NotFound)?.rule_set;
    let mut found = Vec::new();
    for machine in machines::queries::fed_by(&app.db, circuit.id).await? {
        if machine.retired_on.is_some() {
            continue;
        }
        let motor = motor(app, machine.fitted_motor_id).await?;
        let working = match &motor {
            Some(motor) => {
                let facts = shared::for_machine(&app.db, rule_set, &machine, circuit).await?;
                let installation = machine.circuit_facts();
                Some(calc::circuit::check(
                    rule_set,
                    &motor.plate,
                    &installation,
                    &facts,
                ))
            }
            None => None,
        };
        found.push(Judged {
            machine,
            motor,
            working,
        });
    }
    Ok(found)
}

fn missing(circuits: &[OnCircuit], feeders: &[Working]) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = Vec::new();
    let mut add = |what: String, how: String| {
        if !found.iter().any(|(known, _)| *known == what) {
            found.push((what, how));
        }
    };
    for one in circuits {
        for judged in &one.machines {
            let Some(working) = &judged.working else {
                let what = format!("{}: the motor on {}", one.name(), judged.machine.tag);
                add(what, "Read its plate".to_owned());
                continue;
            };
            for missing in &working.missing {
                let what = format!("{}, {}: {}", one.name(), judged.machine.tag, missing.what);
                add(what, missing.how.to_string());
            }
        }
    }
    for missing in feeders.iter().flat_map(|working| &working.missing) {
        add(format!("Feeder: {}", missing.what), missing.how.to_string());
    }
    found
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let panel = find_panel(&app, id).await?;
    let rule_set = app.shop().ok_or(AppError::NotFound)?.rule_set;
    let mut circuits = Vec::new();
    for circuit in queries::of_panel(&app.db, id).await? {
        let machines = judged(&app, &circuit).await?;
        circuits.push(OnCircuit { circuit, machines });
    }
    let fed_from = match panel.fed_from_id {
        Some(circuit) => queries::circuit(&app.db, circuit).await?,
        None => None,
    };
    let feeders = feeder::judge(rule_set, &panel, fed_from.as_ref(), &circuits);
    let page = WholePage {
        layout: Layout::new(&app, &user.visitor, "Panels"),
        rule_set: rule_set.words(),
        missing: missing(&circuits, &feeders),
        printed: app.zone().minute_words(app.clock.now()),
        panel,
        circuits,
        fed_from,
        feeders,
    };
    Ok(Page(page).into_response())
}
