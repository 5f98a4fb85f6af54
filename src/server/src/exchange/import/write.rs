//! The rows of a plan into their register, each with a line in the audit list.

use super::plan::{Act, New, Plan};
use super::{apply, batches, places, queries, write_more};
use crate::audit::{self, Line, audit};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::exchange::columns::Register;
use crate::machines::{MachineId, queries as machines};
use crate::motors::MotorId;
use crate::people::PersonId;
use crate::preventive;
use crate::shelf::form::{MotorChange, NewList};
use crate::shelf::queries as shelf;
use crate::shop::places::queries::{self as place_queries, NewPlace};
use crate::stores::amount::Amount;
use crate::stores::{self, Item};
use serde_json::json;
use std::collections::{BTreeMap, HashMap};
use time::Date;

/// Who writes what file when.
pub struct By<'a> {
    pub person: PersonId,
    pub at: Millis,
    pub today: Date,
    pub file: &'a str,
    pub id: &'a str,
}

/// What rows refer to by name: made before, or by a row above.
#[derive(Default)]
pub struct Names {
    pub places: HashMap<String, i64>,
    pub lists: HashMap<String, i64>,
    /// By tag in small letters.
    pub machines: HashMap<String, i64>,
    /// By machine and what is to be done.
    pub plans: HashMap<String, i64>,
}

impl Names {
    async fn of(db: &Db, register: Register) -> sqlx::Result<Names> {
        let mut names = Names::default();
        match register {
            Register::Places => {
                let all = machines::places(db).await?.into_iter();
                let path = all.map(|place| (place.path.to_lowercase(), place.id));
                names.places = path.collect();
            }
            Register::Lists => {
                let all = queries::lists(db).await?.into_iter();
                names.lists = all.map(|(id, name, _)| (name.to_lowercase(), id)).collect();
            }
            Register::Machines => {
                let all = queries::tags(db).await?.into_iter();
                names.machines = all.map(|(id, tag)| (tag.to_lowercase(), id.0)).collect();
            }
            Register::Plans => {
                let all = preventive::queries::plans(db).await?.into_iter();
                let key = |p: preventive::Plan| (super::plans::plan_key(&p.tag, &p.action), p.id);
                names.plans = all.map(key).collect();
            }
            _ => {}
        }
        Ok(names)
    }
}

/// `false` where a record was changed meanwhile.
pub async fn all(
    tx: &mut Tx,
    db: &Db,
    (register, plan): (Register, &Plan),
    by: &By<'_>,
) -> sqlx::Result<bool> {
    let mut names = Names::of(db, register).await?;
    let mut done = 0;
    while let Some(rest) = plan.acts.get(done..).filter(|rest| !rest.is_empty()) {
        apply::note(by.id, done, plan.acts.len());
        let together = batches::run(rest, &names);
        let lines = if together > 1 {
            let acts = &rest[..together];
            let Some((thing, ids)) = batches::write(tx, acts, &mut names, by).await? else {
                return Ok(false);
            };
            let made = acts.iter().zip(ids);
            made.map(|(act, id)| line(act, (thing, id), by)).collect()
        } else {
            let Some(thing) = one(tx, &rest[0], &mut names, by).await? else {
                return Ok(false);
            };
            vec![line(&rest[0], thing, by)]
        };
        for (act, line) in rest.iter().zip(&lines) {
            if let New::Machine { new, .. } = &act.new {
                names.machines.insert(new.tag.to_lowercase(), line.id);
            }
        }
        audit::audit_many(tx, by.at, Some(by.person), &lines).await?;
        done += lines.len();
    }
    write_more::parts_of(tx, plan, &names).await
}

/// What the audit list says of a record.
fn line(act: &Act, (thing, id): (&'static str, i64), by: &By) -> Line {
    let (what, detail) = match act.of {
        None => (
            "added from a file",
            json!({ "file": by.file, "row": act.row, "name": act.title }),
        ),
        Some(_) => {
            let changes = act.changes.iter();
            let changes: BTreeMap<&str, (&str, &str)> = changes
                .map(|change| (change.field, (change.was.as_str(), change.is.as_str())))
                .collect();
            (
                "changed from a file",
                json!({ "file": by.file, "row": act.row, "changes": changes }),
            )
        }
    };
    Line {
        thing,
        id,
        act: what,
        detail: detail.to_string(),
    }
}

/// The record that was written; `None` where it was changed meanwhile.
async fn one(
    tx: &mut Tx,
    act: &Act,
    names: &mut Names,
    by: &By<'_>,
) -> sqlx::Result<Option<(&'static str, i64)>> {
    match &act.new {
        New::Place {
            within,
            kind,
            name,
            access_note,
        } => {
            let new = NewPlace {
                parent_id: names.places.get(within).copied(),
                kind: kind.clone(),
                name: name.clone(),
                access_note: access_note.clone(),
            };
            let id = place(tx, act, &new).await?;
            if let Some(id) = id {
                names.places.insert(places::path(within, name), id);
            }
            Ok(id.map(|id| ("places", id)))
        }
        New::Machine { new, motors, .. } => {
            let id = match act.of {
                None => machines::insert(tx, new, *motors, by.at).await?,
                Some((id, version)) => {
                    let id = MachineId(id);
                    if !machines::claim(tx, id, version).await? {
                        return Ok(None);
                    }
                    machines::update(tx, id, new, *motors).await?;
                    id
                }
            };
            Ok(Some(("machines", id.0)))
        }
        New::Held(change) => held(tx, act, change, by).await,
        New::Listed { list, day, change } => {
            let Some(list) = list_of(tx, names, list, *day, by).await? else {
                return Ok(None);
            };
            listed(tx, act, change, list).await
        }
        New::Panel(new) => write_more::panel(tx, act, new).await,
        New::Circuit(row) => write_more::circuit(tx, act, row).await,
        New::Part(part) => write_more::part(tx, act, part, by).await,
        New::Line(machine, new) => write_more::line(tx, act, *machine, new).await,
        New::Plan(row) => write_more::plan(tx, act, row, (names, by)).await,
    }
}

async fn place(tx: &mut Tx, act: &Act, new: &NewPlace) -> sqlx::Result<Option<i64>> {
    match act.of {
        None => place_queries::insert(tx, new).await.map(Some),
        Some((id, version)) => {
            let updated = place_queries::update(tx, id, version, new).await?;
            Ok(updated.then_some(id))
        }
    }
}

/// The motor's own row; `None` where it was changed meanwhile.
async fn motor(tx: &mut Tx, act: &Act, change: &MotorChange) -> sqlx::Result<Option<MotorId>> {
    let plate = serde_json::to_string(&change.plate).map_err(|e| sqlx::Error::Encode(e.into()))?;
    match act.of {
        None => shelf::insert_motor(tx, change, &plate).await.map(Some),
        Some((id, version)) => {
            let id = MotorId(id);
            let updated = shelf::update_motor(tx, id, version, change, &plate).await?;
            Ok(updated.then_some(id))
        }
    }
}

async fn held(
    tx: &mut Tx,
    act: &Act,
    change: &MotorChange,
    by: &By<'_>,
) -> sqlx::Result<Option<(&'static str, i64)>> {
    let Some(id) = motor(tx, act, change).await? else {
        return Ok(None);
    };
    let bin = change.bin.as_deref().unwrap_or("");
    shelf::shelve(tx, id, bin, change.held, change.price).await?;
    let who = Some(by.person);
    if act.of.is_none() {
        stores::queries::note_first_count(tx, id, change.held, who, by.at).await?;
    } else if let Some(was) = shelf::lock_count(tx, id)
        .await?
        .filter(|was| *was != change.held)
    {
        // Taken or received after the file was shown: the count of the file is no longer about this.
        if !act
            .changes
            .iter()
            .any(|c| c.field == "held" && c.was == was.to_string())
        {
            return Ok(None);
        }
        let item = Item::Motor(id);
        let difference = Amount((change.held - was) * 1000);
        let mut moved = stores::queries::Move::new(item, "counted", difference, by.at);
        let why = format!("Count in the file {}", by.file);
        moved.why = &why;
        moved.person = who;
        stores::queries::insert_move(tx, &moved).await?;
    }
    Ok(Some(("motors", id.0)))
}

/// The list of that name, added where it is new; `None` where its day is not known.
pub async fn list_of(
    tx: &mut Tx,
    names: &mut Names,
    name: &str,
    day: Option<Date>,
    by: &By<'_>,
) -> sqlx::Result<Option<i64>> {
    if let Some(id) = names.lists.get(&name.to_lowercase()) {
        return Ok(Some(*id));
    }
    let Some(read_on) = day else { return Ok(None) };
    let new = NewList {
        name: name.to_owned(),
        read_on,
        note: String::new(),
    };
    let id = shelf::insert_list(tx, &new).await?;
    let detail = json!({ "file": by.file, "name": name });
    let thing = ("supplier_lists", id);
    audit(
        tx,
        by.at,
        Some(by.person),
        thing,
        "added from a file",
        &detail,
    )
    .await?;
    names.lists.insert(name.to_lowercase(), id);
    Ok(Some(id))
}

async fn listed(
    tx: &mut Tx,
    act: &Act,
    change: &MotorChange,
    list: i64,
) -> sqlx::Result<Option<(&'static str, i64)>> {
    let Some(id) = motor(tx, act, change).await? else {
        return Ok(None);
    };
    if act.of.is_none() {
        shelf::add_to_list(tx, list, id, change.price, change.lead_days).await?;
    } else {
        queries::update_listed(tx, (list, id), change.price, change.lead_days).await?;
    }
    Ok(Some(("motors", id.0)))
}
