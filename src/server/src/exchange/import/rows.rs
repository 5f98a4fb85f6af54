//! Every row of a register as its columns hold it.

use super::{lines, load, motors, parts, places, queries};
use crate::error::AppError;
use crate::exchange::columns::Register;
use crate::machines::queries as machine_queries;
use crate::rows::Typed;
use crate::state::AppState;
use crate::{panels, preventive, stores};

pub async fn all(app: &AppState, register: Register) -> Result<Vec<Typed>, AppError> {
    let (db, units) = (&app.db, app.units());
    let motors = match register {
        Register::Places => {
            let all = machine_queries::places(db).await?;
            return Ok(all.iter().map(places::typed).collect());
        }
        Register::Panels => {
            let known = load::panels(app).await?;
            let all = panels::queries::panels(db).await?;
            return Ok(all.iter().map(|panel| known.typed(panel)).collect());
        }
        Register::Circuits => {
            let known = load::circuits(app).await?;
            let all = panels::queries::all_circuits(db).await?;
            return Ok(all.iter().map(|circuit| known.typed(circuit)).collect());
        }
        Register::Machines => return machines(app).await,
        Register::Parts => {
            let all = stores::queries::parts(db, "%%", "", i64::MAX).await?;
            return Ok(all.iter().map(parts::typed).collect());
        }
        Register::Lines => {
            let all = queries::lines(db).await?;
            return Ok(all.iter().map(lines::typed).collect());
        }
        Register::Plans => return plans(app).await,
        Register::Shelf => queries::held(db).await?,
        Register::Lists => queries::listed(db).await?,
    };
    let rows = motors.iter().map(|row| motors::typed_row(row, units));
    rows.collect::<Result<_, String>>()
        .map_err(AppError::Broken)
}

/// Those that others are parts of come first, so that the rows below find them.
async fn machines(app: &AppState) -> Result<Vec<Typed>, AppError> {
    let known = load::machines(app, |_| false).await?;
    let mut all = machine_queries::list(&app.db).await?;
    all.sort_by_cached_key(|machine| known.depth(&machine.tag));
    Ok(all.iter().map(|machine| known.typed(machine)).collect())
}

/// The longer plans first; without those that a plan on a kind or a place gave their machines.
async fn plans(app: &AppState) -> Result<Vec<Typed>, AppError> {
    let known = load::plans(app).await?;
    let mut all = preventive::queries::plans(&app.db).await?;
    all.retain(|plan| plan.wide_id.is_none());
    all.sort_by_key(|plan| plan.included_in.is_some());
    Ok(all.iter().map(|plan| known.typed(plan)).collect())
}
