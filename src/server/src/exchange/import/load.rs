//! What a register holds of what a file names.

use super::circuits::Circuits;
use super::lines::Lines;
use super::panels::Panels;
use super::parts::Parts;
use super::place_names::PlaceNames;
use super::plan::{Job, Known};
use super::plans::Plans;
use super::{machines::Machines, motors::Motors, places::Places, queries};
use crate::exchange::columns::Register;
use crate::machines::queries as machine_queries;
use crate::state::AppState;
use crate::{panels, preventive, stores};
use std::collections::HashSet;

pub async fn known(app: &AppState, job: &Job) -> sqlx::Result<Known> {
    let db = &app.db;
    Ok(match job.register {
        Register::Places => {
            let versions = queries::place_versions(db).await?.into_iter().collect();
            Box::new(Places::new(machine_queries::places(db).await?, &versions))
        }
        Register::Panels => Box::new(self::panels(app).await?),
        Register::Circuits => Box::new(circuits(app).await?),
        Register::Machines => {
            let named = named(job, "tag");
            Box::new(machines(app, |tag| named.contains(tag)).await?)
        }
        Register::Shelf => {
            let rows = queries::held(db).await?;
            Box::new(Motors::new(job.register, rows, Vec::new(), job.units))
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
            Box::new(Motors::new(job.register, rows, lists, job.units))
        }
        Register::Parts => Box::new(Parts::new(
            stores::queries::parts(db, "%%", "", i64::MAX).await?,
        )),
        Register::Lines => {
            let names = queries::part_names(db).await?;
            let tags = queries::tags(db).await?;
            Box::new(Lines::new(queries::lines(db).await?, tags, names))
        }
        Register::Plans => Box::new(plans(app).await?),
    })
}

async fn place_names(app: &AppState) -> sqlx::Result<PlaceNames> {
    Ok(PlaceNames::new(machine_queries::places(&app.db).await?))
}

pub async fn panels(app: &AppState) -> sqlx::Result<Panels> {
    let all = panels::queries::panels(&app.db).await?;
    Ok(Panels::new(all, place_names(app).await?))
}

pub async fn circuits(app: &AppState) -> sqlx::Result<Circuits> {
    let all = panels::queries::all_circuits(&app.db).await?;
    let panels = panels::queries::panels(&app.db).await?;
    Ok(Circuits::new(all, panels, (app.units(), app.today())))
}

/// The machines whose tags, in small letters, are wanted, and everything that they refer to.
pub async fn machines(app: &AppState, wanted: impl Fn(&str) -> bool) -> sqlx::Result<Machines> {
    let all = machine_queries::list(&app.db).await?;
    let circuits = panels::queries::all_circuits(&app.db).await?;
    let refers = (place_names(app).await?, circuits);
    let now = (app.units(), app.today());
    Ok(Machines::new(all, wanted, refers, now))
}

pub async fn plans(app: &AppState) -> sqlx::Result<Plans> {
    let all = preventive::queries::plans(&app.db).await?;
    let tags = queries::tags(&app.db).await?;
    Ok(Plans::new(all, tags, app.today()))
}

/// What the file says in a column, in small letters.
fn named(job: &Job, field: &str) -> HashSet<String> {
    let Some(at) = job.fields.iter().position(|f| f == field) else {
        return HashSet::new();
    };
    let cells = job.sheet.rows.iter().filter_map(|line| line.cells.get(at));
    cells.map(|cell| cell.trim().to_lowercase()).collect()
}
