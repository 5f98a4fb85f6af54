//! What a register holds of what a file names.

use super::plan::{Job, Known};
use super::{machines::Machines, motors::Motors, places::Places, queries};
use crate::exchange::columns::Register;
use crate::machines::{Machine, queries as machine_queries};
use crate::panels;
use crate::shop::Units;
use crate::state::AppState;
use std::collections::HashSet;

pub async fn known(app: &AppState, job: &Job) -> sqlx::Result<Known> {
    let db = &app.db;
    Ok(match job.register {
        Register::Places => {
            let versions = queries::place_versions(db).await?.into_iter().collect();
            Known::Places(Places::new(machine_queries::places(db).await?, &versions))
        }
        Register::Machines => {
            let named = named(job, "tag");
            let mut machines = machine_queries::list(db).await?;
            machines.retain(|machine| named.contains(&machine.tag.to_ascii_lowercase()));
            self::machines(app, machines, job.units).await?
        }
        Register::Shelf => {
            let rows = queries::held(db).await?;
            Known::Motors(Motors::new(job.register, rows, Vec::new(), job.units))
        }
        Register::Lists => {
            let named = named(job, "name");
            let mut rows = queries::listed(db).await?;
            rows.retain(|row| named.contains(&row.name.to_lowercase()));
            let lists = queries::lists(db).await?;
            let lists = lists
                .into_iter()
                .map(|(_, name, day)| (name, day))
                .collect();
            Known::Motors(Motors::new(job.register, rows, lists, job.units))
        }
    })
}

/// The machines given, and everything that machines refer to.
pub async fn machines(app: &AppState, machines: Vec<Machine>, units: Units) -> sqlx::Result<Known> {
    let places = machine_queries::places(&app.db).await?;
    let circuits = panels::queries::all_circuits(&app.db).await?;
    let now = (units, app.today());
    Ok(Known::Machines(Machines::new(
        machines, places, circuits, now,
    )))
}

/// What the file says in a column, in small letters.
fn named(job: &Job, field: &str) -> HashSet<String> {
    let Some(at) = job.fields.iter().position(|f| f == field) else {
        return HashSet::new();
    };
    let cells = job.sheet.rows.iter().filter_map(|line| line.cells.get(at));
    cells.map(|cell| cell.trim().to_lowercase()).collect()
}
