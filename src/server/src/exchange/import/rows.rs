//! Every row of a register as its columns hold it.

use super::plan::Known;
use super::{load, motors, places};
use crate::error::AppError;
use crate::exchange::columns::Register;
use crate::exchange::import::queries;
use crate::machines::queries as machine_queries;
use crate::rows::Typed;
use crate::state::AppState;

pub async fn all(app: &AppState, register: Register) -> Result<Vec<Typed>, AppError> {
    let units = app.units();
    let motors = match register {
        Register::Places => {
            let all = machine_queries::places(&app.db).await?;
            return Ok(all.iter().map(places::typed).collect());
        }
        Register::Machines => {
            let all = machine_queries::list(&app.db).await?;
            let Known::Machines(known) = load::machines(app, Vec::new(), units).await? else {
                return Ok(Vec::new());
            };
            return Ok(all.iter().map(|machine| known.typed(machine)).collect());
        }
        Register::Shelf => queries::held(&app.db).await?,
        Register::Lists => queries::listed(&app.db).await?,
    };
    let rows = motors.iter().map(|row| motors::typed_row(row, units));
    rows.collect::<Result<_, String>>()
        .map_err(AppError::Broken)
}
