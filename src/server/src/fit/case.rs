//! One job with its machine and the plate its candidates are judged against.

use super::search::Wanted;
use crate::error::AppError;
use crate::jobs::{self, Job, JobId};
use crate::machines::{self, Machine};
use crate::motors::{self, Motor, MotorId};
use crate::state::AppState;
use crate::stores::alternates::{self, Kept};
use calc::fit::Need;
use calc::plate::Plate;
use std::sync::Arc;

#[derive(Clone, Debug)]
pub struct Case {
    pub job: Job,
    pub machine: Machine,
    /// The way to the machine, from the site down.
    pub place: String,
    pub old: Old,
    /// Approved for machines built with the same motor, judged on this one.
    pub kept: Vec<Kept>,
}

/// The old plate and why it is this one.
#[derive(Clone, Debug)]
pub struct Old {
    pub motor: Option<Motor>,
    pub plate: Plate,
    pub why: String,
}

impl Case {
    /// # Errors
    /// [`AppError::NotFound`] where there is no such job; a job without a machine has no fit.
    pub async fn load(app: &AppState, id: i64) -> Result<Case, AppError> {
        let job = jobs::queries::find(&app.db, JobId(id))
            .await?
            .ok_or(AppError::NotFound)?;
        let machine_id = job.machine_id.ok_or_else(|| {
            let sentence = "This job names no machine yet. Plan it on a machine first.";
            AppError::BadRequest(sentence.to_owned())
        })?;
        let machine = machines::queries::find(&app.db, machine_id)
            .await?
            .ok_or(AppError::NotFound)?;
        let place = machines::queries::place(&app.db, machine.place_id).await?;
        let old = Old::of(app, &machine).await?;
        let need = Need {
            old: &old.plate,
            installation: &machine.facts,
        };
        let kept = alternates::kept(app, machine.design_motor_id, &need).await?;
        Ok(Case {
            job,
            machine,
            place: place.map_or_else(String::new, |p| p.path),
            old,
            kept,
        })
    }

    pub fn wanted(&self) -> Wanted {
        Wanted {
            old: Arc::new(self.old.plate.clone()),
            installation: Arc::new(self.machine.facts.clone()),
        }
    }

    pub fn need(&self) -> Need<'_> {
        Need {
            old: &self.old.plate,
            installation: &self.machine.facts,
        }
    }
}

async fn motor(app: &AppState, id: Option<MotorId>) -> Result<Option<Motor>, AppError> {
    match id {
        Some(id) => Ok(motors::queries::find(&app.db, id).await?),
        None => Ok(None),
    }
}

/// Something on the plate that a fit can start from.
fn tells(motor: &Motor) -> bool {
    motor.plate.power.value().is_some() || motor.plate.speeds.value().is_some()
}

impl Old {
    /// # Errors
    /// The database's.
    pub async fn of(app: &AppState, machine: &Machine) -> Result<Old, AppError> {
        let design = motor(app, machine.design_motor_id).await?;
        let fitted = match machine.fitted_motor_id == machine.design_motor_id {
            true => design.clone(),
            false => motor(app, machine.fitted_motor_id).await?,
        };
        Ok(Old::choose(design, fitted))
    }

    /// The design motor where its plate tells something, else the fitted one: what is on the
    /// machine now may be an earlier mistake, and a fit must not copy it.
    pub fn choose(design: Option<Motor>, fitted: Option<Motor>) -> Old {
        let (motor, why) = match (design, fitted) {
            (Some(design), Some(fitted)) if design.id == fitted.id => {
                let why = format!(
                    "Judged against {}: the machine was built with it and it is on it now.",
                    design.name
                );
                (Some(design), why)
            }
            (Some(design), fitted) if tells(&design) => {
                let why = match fitted {
                    Some(fitted) => format!(
                        "Judged against the design motor, {}, which the machine was built with. \
                         Not against {}, which is on it now: that one may be an earlier mistake.",
                        design.name, fitted.name
                    ),
                    None => format!(
                        "Judged against the design motor, {}, which the machine was built with.",
                        design.name
                    ),
                };
                (Some(design), why)
            }
            (design, Some(fitted)) => {
                let lacking = match design {
                    Some(_) => "the design motor's plate tells neither power nor speed",
                    None => "no design motor is recorded",
                };
                let why = format!(
                    "Judged against the motor that is on it now, {}, because {lacking}. It may be \
                     an earlier mistake; where site and wheel are recorded, they rule.",
                    fitted.name
                );
                (Some(fitted), why)
            }
            (Some(design), None) => {
                let why = format!(
                    "Judged against the design motor, {}, whose plate tells neither power nor \
                     speed.",
                    design.name
                );
                (Some(design), why)
            }
            (None, None) => (
                None,
                "No old motor is recorded: judged against site and wheel alone, so much stays not \
                 known. Record the old plate first."
                    .to_owned(),
            ),
        };
        let plate = motor
            .as_ref()
            .map_or_else(Plate::default, |motor| motor.plate.clone());
        Old { motor, plate, why }
    }
}
