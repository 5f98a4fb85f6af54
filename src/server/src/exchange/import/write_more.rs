//! Panels, circuits, parts, parts lists and plans, one row at a time.

use super::circuits::NewCircuitRow;
use super::parts::NewPart;
use super::plan::{Act, New, Plan};
use super::plans::{NewPlanRow, plan_key};
use super::queries;
use super::write::{By, Names};
use crate::db::Tx;
use crate::machines::MachineId;
use crate::panels::CircuitId;
use crate::panels::queries::{self as panels, NewPanel};
use crate::preventive::{ahead_queries, queries as plans, wide::queries as past};
use crate::stores::form::NewLine;
use crate::stores::{self, Item, PartId, amount::Amount};

/// The record that was written; `None` where it was changed meanwhile.
type Written = sqlx::Result<Option<(&'static str, i64)>>;

/// What machines are parts of, once all of them are there.
pub async fn parts_of(tx: &mut Tx, plan: &Plan, names: &Names) -> sqlx::Result<bool> {
    for act in &plan.acts {
        let New::Machine { new, part_of, .. } = &act.new else {
            continue;
        };
        let Some(above) = part_of else { continue };
        let of = |tag: &str| names.machines.get(tag).copied();
        let (Some(id), above) = (of(&new.tag.to_lowercase()), of(above)) else {
            return Ok(false);
        };
        queries::set_part_of(tx, id, above).await?;
    }
    Ok(true)
}

pub async fn panel(tx: &mut Tx, act: &Act, new: &NewPanel) -> Written {
    let id = match act.of {
        None => panels::insert_panel(tx, new).await?,
        Some((id, version)) => {
            if !panels::update_panel(tx, id, version, new).await? {
                return Ok(None);
            }
            id
        }
    };
    Ok(Some(("panels", id)))
}

pub async fn circuit(tx: &mut Tx, act: &Act, row: &NewCircuitRow) -> Written {
    let id = match act.of {
        None => panels::insert_circuit(tx, row.panel, &row.new).await?,
        Some((id, version)) => {
            let id = CircuitId(id);
            if !panels::update_circuit(tx, id, version, &row.new).await? {
                return Ok(None);
            }
            id
        }
    };
    if let Some(proof) = &row.proof {
        queries::set_label_proof(tx, id.0, proof.on, &proof.by, &proof.how).await?;
    }
    for panel in &row.leaves {
        if !queries::set_feeder(tx, *panel, Some(id.0), None).await? {
            return Ok(None);
        }
    }
    for panel in &row.feeds {
        if !queries::set_feeder(tx, *panel, None, Some(id.0)).await? {
            return Ok(None);
        }
    }
    Ok(Some(("circuits", id.0)))
}

pub async fn part(tx: &mut Tx, act: &Act, part: &NewPart, by: &By<'_>) -> Written {
    let id = match act.of {
        None => stores::queries::insert_part(tx, &part.change, by.at).await?,
        Some((id, version)) => {
            let id = PartId(id);
            if !stores::queries::update_part(tx, id, version, &part.change).await? {
                return Ok(None);
            }
            id
        }
    };
    let Some((was, counted)) = part.counted else {
        return Ok(Some(("parts", id.0)));
    };
    let item = Item::Part(id);
    let balance = stores::queries::lock_balance(tx, item).await?;
    // Taken or received after the file was shown: the count of the file is no longer about this.
    if balance.is_none_or(|b| b.on_hand != was || b.reserved > counted) {
        return Ok(None);
    }
    let difference = Amount(counted.0 - was.0);
    let mut moved = stores::queries::Move::new(item, "counted", difference, by.at);
    let why = match act.of {
        None => "First count".to_owned(),
        Some(_) => format!("Count in the file {}", by.file),
    };
    moved.why = &why;
    moved.person = Some(by.person);
    stores::queries::insert_move(tx, &moved).await?;
    Ok(Some(("parts", id.0)))
}

pub async fn line(tx: &mut Tx, act: &Act, machine: MachineId, new: &NewLine) -> Written {
    match act.of {
        None => {
            let (place, note) = (&new.place, &new.note);
            stores::queries::insert_line(tx, machine, place, new.part, new.amount, note).await?;
        }
        Some((id, _)) => {
            if !queries::update_line(tx, id, new.amount, &new.note).await? {
                return Ok(None);
            }
        }
    }
    Ok(Some(("machines", machine.0)))
}

pub async fn plan(
    tx: &mut Tx,
    act: &Act,
    row: &NewPlanRow,
    (names, by): (&mut Names, &By<'_>),
) -> Written {
    ahead_queries::alone(tx).await?;
    let mut new = row.new.clone();
    let longer = row.included_in.as_ref();
    new.included_in = longer.and_then(|key| names.plans.get(key).copied());
    if longer.is_some() && new.included_in.is_none() {
        return Ok(None);
    }
    let Some((id, version)) = act.of else {
        let id = plans::insert_plan(tx, &new, by.at).await?;
        if row.ended_on.is_some() {
            queries::end_plan(tx, id, row.ended_on).await?;
        }
        let (tag, _) = act.title.split_once(": ").unwrap_or((&act.title, ""));
        names.plans.insert(plan_key(tag, &new.action), id);
        return Ok(Some(("plans", id)));
    };
    let why = format!("From the file {}", by.file);
    past::keep_revision(tx, id, by.at, by.person, &why).await?;
    if !plans::update_plan(tx, id, version, &new, row.ended_on).await? {
        return Ok(None);
    }
    if row.moved || row.ended_on.is_some() {
        plans::drop_coming_item(tx, id, by.today).await?;
    }
    Ok(Some(("plans", id)))
}
