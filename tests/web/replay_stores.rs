//! The movements of jobs come from entries alone: replayed, they are found as they stand.

use crate::demo::filled;
use brasstag::jobs;
use brasstag::jobs::body::Body;
use brasstag::jobs::stores::Stores;
use brasstag::jobs::stores::rows::movement;
use brasstag::stores::amount::Amount;
use std::collections::BTreeMap;

/// Entry, kind, part, amount, held back, cost, job, machine.
type MoveRow = (
    String,
    String,
    Option<i64>,
    i64,
    i64,
    Option<i64>,
    i64,
    Option<i64>,
);

#[tokio::test]
async fn a_replay_finds_the_movements_of_jobs() {
    let (db, _guard) = filled().await;
    let mut found = Vec::new();
    let mut kept: BTreeMap<(i64, String), i64> = BTreeMap::new();
    let mut machines: BTreeMap<i64, Option<i64>> = BTreeMap::new();
    for entry in jobs::queries::all_entries(&db).await.expect("they read") {
        let job = entry.job_id.0;
        if entry.set_aside.is_some() {
            continue;
        }
        match &entry.body {
            Body::Reported { machine_id, .. } => {
                machines.insert(job, machine_id.map(|m| m.0));
            }
            Body::Planned { machine_id, .. } | Body::EmergencyTaken { machine_id, .. } => {
                machines.insert(job, Some(machine_id.0));
            }
            Body::Stores(stores) => {
                let Some(item) = stores.moved().map(|moved| moved.item) else {
                    continue;
                };
                let of = kept.entry((job, item.value())).or_default();
                let (kind, amount, held_back, moved) =
                    movement(stores, Amount(*of)).expect("it moves");
                *of += held_back.0;
                found.push((
                    entry.id.clone(),
                    kind.to_owned(),
                    item.part().map(|part| part.0),
                    amount.0,
                    held_back.0,
                    moved.cost_minor,
                    job,
                    machines[&job],
                ));
            }
            _ => {}
        }
    }
    const SQL: &str = "SELECT entry_id, kind, part_id, amount, held_back, cost_minor, job_id,
            machine_id
        FROM stock_moves WHERE entry_id IS NOT NULL AND why <> 'Fitted'";
    let mut stored: Vec<MoveRow> = brasstag::on_db!(&db, pool =>
        sqlx::query_as(SQL).fetch_all(pool).await.expect("the rows read"));
    stored.sort();
    found.sort();
    assert!(found.len() > 6, "the demo takes parts");
    assert_eq!(stored, found);

    // Balances, of parts and of motors, are the sums.
    for sql in [
        "SELECT count(*) FROM parts p WHERE p.on_hand <> COALESCE((SELECT sum(s.amount)
            FROM stock_moves s WHERE s.part_id = p.id), 0) OR p.reserved <> COALESCE((SELECT
            sum(s.held_back) FROM stock_moves s WHERE s.part_id = p.id), 0)",
        "SELECT count(*) FROM shelf_motors m WHERE m.held * 1000 <> COALESCE((SELECT
            sum(s.amount) FROM stock_moves s WHERE s.motor_id = m.motor_id), 0)",
    ] {
        let wrong: i64 = brasstag::on_db!(&db, pool =>
            sqlx::query_scalar(sql).fetch_one(pool).await.expect("a count"));
        assert_eq!(wrong, 0, "{sql}");
    }
}

/// Entry, job, what, where it goes, the entry that settled it.
type UnitRow = (String, i64, String, String, Option<String>);

#[tokio::test]
async fn a_replay_finds_the_answers_about_warranties_and_the_units_taken_off() {
    let (db, _guard) = filled().await;
    let mut answers: Vec<(String, i64, i64, String)> = Vec::new();
    let mut units: BTreeMap<String, UnitRow> = BTreeMap::new();
    for entry in jobs::queries::all_entries(&db).await.expect("they read") {
        let (id, job) = (entry.id.clone(), entry.job_id.0);
        let Body::Stores(stores) = entry.body else {
            continue;
        };
        if entry.set_aside.is_some() {
            continue;
        }
        match stores {
            Stores::WarrantyAnswered {
                warranty_id,
                answer,
                ..
            } => answers.push((id, job, warranty_id, answer)),
            Stores::UnitRemoved { what, goes, .. } => {
                units.insert(id.clone(), (id, job, what, goes, None));
            }
            Stores::UnitSettled { of, .. } => {
                units.get_mut(&of).expect("it was taken off").4 = Some(id);
            }
            _ => {}
        }
    }
    answers.sort();
    assert!(
        !answers.is_empty() && !units.is_empty(),
        "the demo has some"
    );
    const ANSWERS: &str = "SELECT entry_id, job_id, warranty_id, answer FROM warranty_answers
        ORDER BY entry_id";
    const UNITS: &str = "SELECT entry_id, job_id, what, goes, settled_by FROM removed_units
        ORDER BY entry_id";
    let stored: Vec<(String, i64, i64, String)> = brasstag::on_db!(&db, pool =>
        sqlx::query_as(ANSWERS).fetch_all(pool).await.expect("the rows read"));
    assert_eq!(stored, answers);
    let stored: Vec<UnitRow> = brasstag::on_db!(&db, pool =>
        sqlx::query_as(UNITS).fetch_all(pool).await.expect("the rows read"));
    assert_eq!(stored, units.into_values().collect::<Vec<_>>());
}
