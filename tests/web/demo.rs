//! The demo shop: whole, plausible, and good for the walk from a broken fan to a proved one.

use crate::app::{NOON, fresh_database};
use brasstag::clock::Clock;
use brasstag::db::Db;
use brasstag::demo::{self, registers, spec::Spec, suppliers};
use brasstag::{machines, motors, panels};
use calc::circuit::{RuleSet, check};
use calc::fit::{Need, judge};
use calc::plate::{MotorType, Plate};
use calc::working::Verdict;
use std::collections::BTreeMap;

/// A filled demo on the database of this run.
pub async fn filled() -> (Db, impl Drop) {
    let (db, guard) = fresh_database(true).await;
    demo::fill(&db, &Clock::fixed(NOON), true)
        .await
        .expect("the demo fills");
    (db, guard)
}

async fn run(db: &Db, sql: &'static str) {
    match db {
        Db::Sqlite { write, .. } => sqlx::raw_sql(sql).execute(write).await.map(|_| ()),
        Db::Postgres(pool) => sqlx::raw_sql(sql).execute(pool).await.map(|_| ()),
    }
    .expect("the statements run");
}

async fn count(db: &Db, sql: &'static str) -> i64 {
    brasstag::on_db!(db, pool => sqlx::query_scalar(sql).fetch_one(pool).await.expect("a count"))
}

/// Shaft power over volts and amps: what a motor of this kind can be.
fn plausible(plate: &Plate) -> Result<(), String> {
    let (Some(power), Some(volts), Some(amps), Some(phases), Some(kind)) = (
        plate.power.value(),
        plate.volts.value(),
        plate.amps.value(),
        plate.phases.value(),
        plate.motor_type.value(),
    ) else {
        return Err("power, volts, amps, phases and kind are on every plate".to_owned());
    };
    let (low, high) = match kind {
        MotorType::ShadedPole => (0.08, 0.25),
        MotorType::SplitPhase | MotorType::CapacitorStart => (0.30, 0.50),
        MotorType::PermanentSplitCapacitor => (0.40, 0.65),
        _ => (0.40, 0.75),
    };
    if volts.len() != amps.len() {
        return Err("each voltage has its amps".to_owned());
    }
    for (volts, amps) in volts.iter().zip(amps) {
        let root = if *phases == 3 { 3f64.sqrt() } else { 1.0 };
        let share = power.0 / (root * volts.0 * amps.0);
        if !(low..=high).contains(&share) {
            return Err(format!("{:.2} of the volt-amperes at {} V", share, volts.0));
        }
    }
    Ok(())
}

#[test]
fn every_motor_of_the_demo_could_be_one() {
    let mut specs: Vec<Spec> = registers::motors().expect("motors.csv reads");
    let listed = suppliers::offered();
    assert!(
        (450..=560).contains(&listed.len()),
        "{} motors on lists",
        listed.len()
    );
    specs.extend(listed.into_iter().map(|offered| offered.spec));
    let wrong: Vec<String> = specs
        .iter()
        .filter_map(|spec| {
            let plate = spec.plate().expect("every cell reads");
            plausible(&plate)
                .err()
                .map(|e| format!("{}: {e}", spec.name))
        })
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    let mut names: Vec<&str> = specs.iter().map(|s| s.name.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), specs.len(), "no two motors share a name");
}

#[tokio::test]
async fn the_shop_is_whole_and_the_kiln_hall_fan_can_be_repaired() {
    let (db, _guard) = filled().await;
    assert_eq!(count(&db, "SELECT count(*) FROM machines").await, 26);
    assert_eq!(count(&db, "SELECT count(*) FROM shelf_motors").await, 12);
    assert_eq!(count(&db, "SELECT count(*) FROM shop").await, 1);
    assert_eq!(
        count(&db, "SELECT count(*) FROM circuits WHERE label_wrong").await,
        1
    );

    let fan = machines::queries::find_by_tag(&db, "K-04")
        .await
        .expect("db")
        .expect("the fan");
    let open = "SELECT count(*) FROM jobs j JOIN machines m ON m.id = j.machine_id
        WHERE m.tag = 'K-04'";
    assert_eq!(count(&db, open).await, 0, "its failure is not reported yet");
    let old = motors::queries::find(&db, fan.fitted_motor_id.expect("a motor"))
        .await
        .expect("db")
        .expect("its motor");
    assert_eq!(old.made, "ended");
    let circuit = panels::queries::circuit(&db, fan.circuit_id.expect("a circuit"))
        .await
        .expect("db")
        .expect("its circuit");
    assert_eq!(
        panels::queries::wrong_labels(&db, circuit.panel_id)
            .await
            .expect("db")
            .len(),
        1
    );

    let need = Need {
        old: &old.plate,
        installation: &fan.facts,
    };
    let specs = registers::motors().expect("motors.csv reads");
    let mut shelf: BTreeMap<String, Verdict> = BTreeMap::new();
    let mut circuits: BTreeMap<String, Verdict> = BTreeMap::new();
    let fed = brasstag::circuit_check::shared::for_machine(&db, RuleSet::Nec2023, &fan, &circuit)
        .await
        .expect("db");
    assert_eq!(
        fed.other_motors.as_ref().map(Vec::len),
        Some(1),
        "the fan beside it on the breaker counts, and this fan does not count itself"
    );
    for spec in specs.iter().filter(|spec| spec.key == "shelf") {
        let plate = spec.plate().expect("reads");
        let verdict = judge(&need, &plate).verdict;
        let working = check(RuleSet::Nec2023, &plate, &fan.circuit_facts(), &fed);
        if verdict.severity() < 3 {
            circuits.insert(spec.bin.clone(), working.verdict().expect("judged"));
        }
        shelf.insert(spec.bin.clone(), verdict);
    }
    assert_eq!(
        shelf["A1"],
        Verdict::SuitsAfterWork,
        "the best on the shelf"
    );
    assert!(matches!(
        circuits["A1"],
        Verdict::Within | Verdict::WithinNote
    ));
    for bin in ["A2", "A3"] {
        assert!(shelf[bin].severity() < 3, "{bin} fits");
        assert_eq!(
            circuits[bin],
            Verdict::Beyond,
            "{bin} is too much for the circuit"
        );
    }
    assert_eq!(shelf["A6"], Verdict::NotKnownYet);
    for bin in ["A4", "A5", "B1", "C1"] {
        assert_eq!(shelf[bin], Verdict::DoNotFit, "{bin}");
    }

    let mut lists: BTreeMap<&str, usize> = BTreeMap::new();
    for offered in suppliers::offered() {
        let verdict = judge(&need, &offered.spec.plate().expect("reads")).verdict;
        *lists.entry(verdict.words()).or_default() += 1;
    }
    let of = |words: &str| lists.get(words).copied().unwrap_or(0);
    let fitting = of("same") + of("suits") + of("suits after work");
    assert!(fitting >= 3, "{lists:?}");
    assert!(of("not known yet") >= 2, "{lists:?}");
}

#[tokio::test]
async fn the_year_holds_a_repeat_and_open_work_of_every_kind() {
    let (db, _guard) = filled().await;
    for (state, least) in [
        ("SELECT count(*) FROM jobs WHERE state = 'signed_off'", 12),
        ("SELECT count(*) FROM jobs WHERE state = 'reported'", 1),
        ("SELECT count(*) FROM jobs WHERE state = 'handed_out'", 1),
        (
            "SELECT count(*) FROM jobs WHERE state = 'held' AND held_for = 'part'",
            1,
        ),
        ("SELECT count(*) FROM jobs WHERE state = 'test_owed'", 1),
        (
            "SELECT count(*) FROM due_items WHERE state = 'done' AND job_id IS NOT NULL",
            4,
        ),
        ("SELECT count(*) FROM due_items WHERE state = 'open'", 8),
        (
            "SELECT count(*) FROM due_items WHERE state = 'open' AND due_on < '2026-11-18'",
            2,
        ),
        (
            "SELECT count(*) FROM entries WHERE set_aside IS NOT NULL",
            0,
        ),
    ] {
        assert!(count(&db, state).await >= least, "{state}");
    }
    let standing = "SELECT count(*) FROM locks WHERE off_at IS NULL";
    assert_eq!(
        count(&db, standing).await,
        0,
        "no lock of the history was forgotten"
    );
}

#[tokio::test]
async fn a_demo_that_was_stopped_half_way_is_filled_again() {
    let (db, _guard) = fresh_database(true).await;
    demo::fill(&db, &Clock::fixed(NOON), true)
        .await
        .expect("fills");
    run(&db, "DELETE FROM shop; DELETE FROM readings").await;
    demo::command::prepare(&db, false, true)
        .await
        .expect("filled again");
    assert_eq!(count(&db, "SELECT count(*) FROM shop").await, 1);
    assert!(count(&db, "SELECT count(*) FROM readings").await > 0);
    assert_eq!(
        count(
            &db,
            "SELECT count(*) FROM people WHERE sign_in_name NOT LIKE 'integration %'"
        )
        .await,
        7
    );
    // Another shop is never touched, not even by --fresh.
    run(&db, "UPDATE shop SET name = 'A real shop'").await;
    let refused = demo::command::prepare(&db, true, true)
        .await
        .expect_err("refused");
    assert!(refused.contains("A real shop") && refused.contains("nothing was changed"));
    assert_eq!(count(&db, "SELECT count(*) FROM machines").await, 26);
}
