//! Warranties of a machine, of the motor on it and of its parts.

use super::{Done, Machine, PapersInput, noted};
use crate::clock::date_value;
use crate::error::AppError;
use crate::form::{self, FieldErrors, required};
use crate::people::CurrentUser;
use crate::state::AppState;
use crate::stores::queries::{self, NewWarranty};
use crate::stores::{Item, PartId};
use serde_json::json;

/// What a warranty can be of: the machine, the motor that is on it, each part of its list.
pub async fn things(app: &AppState, machine: &Machine) -> Result<Vec<(String, String)>, AppError> {
    let mut things = vec![("machine".to_owned(), "the machine".to_owned())];
    if machine.fitted_motor_id.is_some() {
        let words = "the motor that is on it now".to_owned();
        things.push(("motor".to_owned(), words));
    }
    let list = queries::machine_list(&app.db, machine.id).await?;
    things.extend(list.iter().map(|line| {
        let words = format!("{}, {}", line.part.name, line.place);
        (line.part.item().value(), words)
    }));
    things.dedup_by(|one, other| one.0 == other.0);
    Ok(things)
}

/// The motor or part that was chosen.
fn chosen(machine: &Machine, of: &str) -> NewWarranty {
    let part: Option<PartId> = Item::named(of).and_then(Item::part);
    NewWarranty {
        motor_id: machine.fitted_motor_id.filter(|_| of == "motor"),
        part_id: part,
        ..NewWarranty::default()
    }
}

pub async fn add(
    app: &AppState,
    user: &CurrentUser,
    machine: &Machine,
    input: &PapersInput,
) -> Done {
    let mut errors = FieldErrors::default();
    let things = things(app, machine).await?;
    if !things.iter().any(|(value, _)| *value == input.of) {
        errors.add("of", "Choose what it is of");
    }
    let covers = required(&input.covers, "Say who answers for what");
    let covers = errors.take("covers", covers);
    let until = form::date(&input.until, "Enter its last day");
    let until = errors.take("until", until.map(Some));
    if !errors.is_empty() {
        return Ok(Err(errors));
    }
    let new = NewWarranty {
        covers,
        until_on: until,
        terms: input.terms.trim().to_owned(),
        ..chosen(machine, &input.of)
    };
    let mut tx = app.db.begin_write().await?;
    queries::insert_warranty(&mut tx, machine.id, &new).await?;
    let detail = json!({ "warranty": new.covers, "warranty until": until.map(date_value),
        "terms": new.terms });
    noted(app, user, tx, machine.id, "warranty noted", detail).await?;
    Ok(Ok(()))
}

pub async fn end(
    app: &AppState,
    user: &CurrentUser,
    machine: &Machine,
    input: &PapersInput,
) -> Done {
    let mut tx = app.db.begin_write().await?;
    if !queries::end_warranty(&mut tx, machine.id, input.id).await? {
        return Err(AppError::Stale);
    }
    let detail = json!({ "warranty": input.id, "ended": true });
    noted(app, user, tx, machine.id, "warranty ended", detail).await?;
    Ok(Ok(()))
}
