//! New rows of one kind that stand one below the other, written together.

use super::batch_queries::{self as queries, AT_ONCE};
use super::plan::{Act, New};
use super::write::{By, Names, list_of};
use crate::db::Tx;
use crate::motors::{MotorId, search};
use crate::shelf::form::MotorChange;
use crate::shop::places::queries::NewPlace;
use crate::stores::amount::Amount;
use crate::stores::{self, Item, PartId};

/// How many acts from the first go together; fewer than two are written one by one.
pub fn run(acts: &[Act], names: &Names) -> usize {
    let Some(first) = acts.first() else { return 0 };
    let alike = |act: &&Act| {
        act.of.is_none()
            && match (&first.new, &act.new) {
                // Not below a place that this very run adds.
                (New::Place { .. }, New::Place { within, .. }) => {
                    within.is_empty() || names.places.contains_key(within)
                }
                (New::Machine { .. }, New::Machine { .. })
                | (New::Held(_), New::Held(_))
                | (New::Listed { .. }, New::Listed { .. })
                | (New::Part(_), New::Part(_)) => true,
                _ => false,
            }
    };
    acts.iter().take(AT_ONCE).take_while(alike).count()
}

/// The records that were written, in the order of the acts; `None` where something is missing.
pub async fn write(
    tx: &mut Tx,
    acts: &[Act],
    names: &mut Names,
    by: &By<'_>,
) -> sqlx::Result<Option<(&'static str, Vec<i64>)>> {
    Ok(match acts.first().map(|act| &act.new) {
        Some(New::Place { .. }) => Some(("places", places(tx, acts, names).await?)),
        Some(New::Machine { .. }) => {
            let new = acts.iter().filter_map(|act| match &act.new {
                New::Machine { new, motors, .. } => Some((&**new, *motors)),
                _ => None,
            });
            let new: Vec<_> = new.collect();
            Some(("machines", queries::machines(tx, &new, by.at).await?))
        }
        Some(New::Held(_)) => Some(("motors", held(tx, acts, by).await?)),
        Some(New::Listed { .. }) => listed(tx, acts, names, by)
            .await?
            .map(|ids| ("motors", ids)),
        Some(New::Part(_)) => Some(("parts", parts(tx, acts, by).await?)),
        _ => None,
    })
}

async fn places(tx: &mut Tx, acts: &[Act], names: &mut Names) -> sqlx::Result<Vec<i64>> {
    let mut new = Vec::new();
    let mut paths = Vec::new();
    for act in acts {
        let New::Place {
            within,
            kind,
            name,
            access_note,
        } = &act.new
        else {
            continue;
        };
        paths.push(super::places::path(within, name));
        new.push(NewPlace {
            parent_id: names.places.get(within).copied(),
            kind: kind.clone(),
            name: name.clone(),
            access_note: access_note.clone(),
        });
    }
    let ids = queries::places(tx, &new).await?;
    names
        .places
        .extend(paths.into_iter().zip(ids.iter().copied()));
    Ok(ids)
}

/// The motors' own rows with their search columns.
async fn motors(tx: &mut Tx, new: &[&MotorChange]) -> sqlx::Result<Vec<i64>> {
    let plates = new.iter().map(|new| serde_json::to_string(&new.plate));
    let plates: Vec<String> = plates
        .collect::<Result<_, _>>()
        .map_err(|e| sqlx::Error::Encode(e.into()))?;
    let ids = queries::motors(tx, new, &plates).await?;
    let rows = ids.iter().zip(new).zip(&plates);
    let rows: Vec<_> = rows
        .map(|((id, new), plate)| (MotorId(*id), &new.plate, plate.as_str()))
        .collect();
    search::fill_many(tx, &rows).await?;
    Ok(ids)
}

async fn held(tx: &mut Tx, acts: &[Act], by: &By<'_>) -> sqlx::Result<Vec<i64>> {
    let changes = acts.iter().filter_map(|act| match &act.new {
        New::Held(change) => Some(&**change),
        _ => None,
    });
    let changes: Vec<&MotorChange> = changes.collect();
    let ids = motors(tx, &changes).await?;
    let rows = ids.iter().map(|id| MotorId(*id)).zip(changes);
    let rows: Vec<(MotorId, &MotorChange)> = rows.collect();
    queries::shelve(tx, &rows).await?;
    let counts = rows
        .iter()
        .map(|(id, new)| (Item::Motor(*id), Amount(new.held * 1000)));
    let counts: Vec<(Item, Amount)> = counts.collect();
    stores::queries::first_counts(tx, &counts, by.person, by.at).await?;
    Ok(ids)
}

async fn listed(
    tx: &mut Tx,
    acts: &[Act],
    names: &mut Names,
    by: &By<'_>,
) -> sqlx::Result<Option<Vec<i64>>> {
    let mut changes = Vec::new();
    let mut lists = Vec::new();
    for act in acts {
        let New::Listed { list, day, change } = &act.new else {
            continue;
        };
        let Some(list) = list_of(tx, names, list, *day, by).await? else {
            return Ok(None);
        };
        lists.push(list);
        changes.push(&**change);
    }
    let ids = motors(tx, &changes).await?;
    let rows = lists.iter().zip(&ids).zip(&changes);
    let rows: Vec<(i64, MotorId, &MotorChange)> = rows
        .map(|((list, id), change)| (*list, MotorId(*id), *change))
        .collect();
    queries::add_to_lists(tx, &rows).await?;
    Ok(Some(ids))
}

async fn parts(tx: &mut Tx, acts: &[Act], by: &By<'_>) -> sqlx::Result<Vec<i64>> {
    let new = acts.iter().filter_map(|act| match &act.new {
        New::Part(part) => Some(&**part),
        _ => None,
    });
    let new: Vec<_> = new.collect();
    let changes: Vec<_> = new.iter().map(|part| &part.change).collect();
    let ids = queries::parts(tx, &changes, by.at).await?;
    let counts = ids.iter().zip(&new).filter_map(|(id, part)| {
        let (_, counted) = part.counted?;
        Some((Item::Part(PartId(*id)), counted))
    });
    let counts: Vec<(Item, Amount)> = counts.collect();
    stores::queries::first_counts(tx, &counts, by.person, by.at).await?;
    Ok(ids)
}
