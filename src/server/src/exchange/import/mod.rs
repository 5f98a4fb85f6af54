//! A file into a register, in three steps: the file, what its columns are, what it would change.
//! Nothing is written before the third; then all of it, or nothing.

mod apply;
mod batch_queries;
mod batches;
mod cells;
mod circuits;
mod lines;
mod load;
mod machines;
mod motors;
pub mod pages;
mod panels;
mod parts;
mod place_names;
mod places;
pub mod plan;
mod plans;
pub mod queries;
pub mod rows;
mod upload;
pub use cells::written;
pub use upload::FORM_LIMIT;
mod write;
mod write_more;

use super::columns::Register;
use super::reading::Sheet;
use crate::clock::{DAY, Millis};
use crate::error::AppError;
use crate::people::{PersonId, Role};
use crate::state::AppState;

/// A file is kept this long.
pub const KEPT_FOR: Millis = DAY;
/// Of one person; an older one goes when another is sent.
const MOST_OF_ONE: i64 = 5;

/// A file that was read.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Import {
    pub id: String,
    pub person_id: PersonId,
    pub register: String,
    pub file_name: String,
    /// JSON: a [`Sheet`].
    pub sheet: String,
    /// JSON: our field for each column.
    pub fields: String,
    pub made_at: Millis,
    pub begun_at: Option<Millis>,
    pub done_at: Option<Millis>,
    pub said: String,
}

impl Import {
    pub fn register(&self) -> Result<Register, AppError> {
        Register::named(&self.register).ok_or(AppError::NotFound)
    }

    pub fn fields(&self) -> Vec<String> {
        serde_json::from_str(&self.fields).unwrap_or_default()
    }
}

/// Who may fill this register.
pub fn roles(register: Register) -> &'static [Role] {
    match register {
        Register::Places
        | Register::Panels
        | Register::Circuits
        | Register::Machines
        | Register::Plans => &[Role::Supervisor, Role::Keeper],
        Register::Shelf | Register::Lists | Register::Parts | Register::Lines => {
            &[Role::Supervisor, Role::Keeper, Role::Storekeeper]
        }
    }
}

/// The job that a kept file is, read away from the threads that answer.
async fn job(app: &AppState, import: &Import) -> Result<plan::Job, AppError> {
    let (text, fields) = (import.sheet.clone(), import.fields());
    let (register, units) = (import.register()?, app.units());
    let sheet: Sheet = tokio::task::spawn_blocking(move || serde_json::from_str(&text))
        .await
        .map_err(|e| AppError::Broken(e.to_string()))?
        .map_err(|e| AppError::Broken(e.to_string()))?;
    Ok(plan::Job {
        register,
        sheet,
        fields,
        units,
    })
}

/// What the file would do as things stand.
async fn planned(app: &AppState, job: plan::Job) -> Result<plan::Plan, AppError> {
    let known = load::known(app, &job).await?;
    tokio::task::spawn_blocking(move || plan::plan(&job, known))
        .await
        .map_err(|e| AppError::Broken(e.to_string()))
}
