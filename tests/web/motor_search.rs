//! The search columns: written with the plate, blank where something else wrote it, and never the
//! reason why a motor is not found.

use crate::app::TestApp;
use crate::floor::{Floor, old_plate, run};
use brasstag::db::Tx;
use brasstag::fit::filter::Filter;
use brasstag::fit::search::{self, Wanted};
use brasstag::motors::{MotorId, search as columns};
use brasstag::shelf::form::MotorChange;
use brasstag::shelf::queries;
use calc::fit::{Column, Sieve, Traits};
use calc::installation::*;
use calc::plate::*;
use calc::units::*;
use calc::working::Verdict;
use std::collections::BTreeSet;
use std::sync::Arc;

#[path = "../long/crowd.rs"]
mod crowd;

async fn number(app: &TestApp, sql: &'static str) -> i64 {
    app.count(sql).await
}

fn change(name: &str) -> MotorChange {
    MotorChange {
        name: name.to_owned(),
        plate: Plate::default(),
        plate_text: String::new(),
        made: "made".to_owned(),
        note: String::new(),
        bin: None,
        held: 0,
        price: None,
        lead_days: None,
    }
}

#[tokio::test]
async fn the_columns_are_written_with_the_plate_and_change_with_it() {
    let app = TestApp::start().await;
    let mut tx = app.state.db.begin_write().await.expect("tx");
    let mut plate = old_plate();
    let text = serde_json::to_string(&plate).expect("json");
    let id = queries::insert_motor(&mut tx, &change("Fan motor"), &text).await;
    let id = id.expect("a motor");
    tx.commit().await.expect("commit");
    let filled = "SELECT count(*) FROM motor_search WHERE revision IS NOT NULL AND phases = 1
        AND power_w > 186 AND power_w < 187 AND listing = ''";
    assert_eq!(number(&app, filled).await, 1);

    plate.power = Field::read(Watts(373.0));
    let text = serde_json::to_string(&plate).expect("json");
    let mut tx = app.state.db.begin_write().await.expect("tx");
    let stale = queries::update_motor(&mut tx, id, 7, &change("Fan motor"), &text).await;
    assert!(!stale.expect("db"), "somebody else's version");
    let done = queries::update_motor(&mut tx, id, 1, &change("Fan motor"), &text).await;
    assert!(done.expect("db"));
    tx.commit().await.expect("commit");
    assert_eq!(
        number(
            &app,
            "SELECT count(*) FROM motor_search WHERE power_w = 373 AND revision = 1"
        )
        .await,
        1
    );
}

#[tokio::test]
async fn a_plate_that_something_else_wrote_is_found_by_its_new_values() {
    let floor = Floor::lay().await;
    let app = &floor.app;
    // Before: three-phase, ruled out. Written past the program: the same as the old motor.
    let plate = serde_json::to_string(&old_plate()).expect("json");
    run(
        app,
        format!(
            "UPDATE motors SET plate = '{plate}' WHERE id = {}",
            floor.wrong
        ),
    )
    .await;
    assert_eq!(
        number(
            app,
            "SELECT count(*) FROM motor_search WHERE revision IS NULL"
        )
        .await,
        1,
        "blank, never stale"
    );
    let visit = app.sign_in("technician").await;
    let page = visit.get(&floor.page("fit")).await;
    assert!(
        page.texts("tbody th")
            .contains(&"Three-phase 1075".to_owned())
    );
    assert_eq!(columns::fill_blank(app.db()).await.expect("db"), 1);
    assert_eq!(columns::fill_blank(app.db()).await.expect("db"), 0);
    let page = visit.get(&floor.page("fit")).await;
    assert!(
        page.texts("tbody th")
            .contains(&"Three-phase 1075".to_owned())
    );
}

#[tokio::test]
async fn motors_from_before_the_columns_are_found_and_filled() {
    let floor = Floor::lay().await;
    let app = &floor.app;
    let visit = app.sign_in("technician").await;
    let before = visit.get(&floor.page("fit")).await.texts("tbody th");
    // As the migration leaves the rows of an older shop.
    run(
        app,
        "DELETE FROM motor_search; INSERT INTO motor_search (motor_id) SELECT id FROM motors"
            .to_owned(),
    )
    .await;
    let after = visit.get(&floor.page("fit")).await.texts("tbody th");
    assert_eq!(after, before);
    // And of a program that made the columns another way, whatever they say.
    run(
        app,
        "UPDATE motor_search SET revision = 0, phases = 7, power_w = 1".to_owned(),
    )
    .await;
    let after = visit.get(&floor.page("fit")).await.texts("tbody th");
    assert_eq!(after, before);
    let motors = number(app, "SELECT count(*) FROM motors").await;
    let filled = columns::fill_blank(app.db()).await.expect("db");
    assert_eq!(filled as i64, motors);
    assert_eq!(
        visit.get(&floor.page("fit")).await.texts("tbody th"),
        before
    );
}

#[tokio::test]
async fn a_plate_changed_while_rows_are_filled_is_not_overwritten_by_its_old_values() {
    let floor = Floor::lay().await;
    let app = &floor.app;
    run(app, "UPDATE motors SET plate = '{}'".to_owned()).await;
    let blank = columns::queries::blank(app.db(), 10).await.expect("db");
    let first = &blank[0];
    let old = Traits::of(&old_plate());
    let mut tx = app.state.db.begin_write().await.expect("tx");
    let late = Some(first.changed - 1);
    columns::queries::write(&mut tx, first.id, &old, 1, late)
        .await
        .expect("db");
    tx.commit().await.expect("commit");
    assert_eq!(
        number(
            app,
            "SELECT count(*) FROM motor_search WHERE revision IS NOT NULL"
        )
        .await,
        0
    );
}

async fn crowd_of(app: &TestApp, count: u64) {
    let mut tx = app.state.db.begin_write().await.expect("tx");
    for at in 1..=count {
        let (name, price, days) = crowd::offer(at);
        let plate = serde_json::to_string(&crowd::plate(at)).expect("json");
        let id = queries::insert_motor(&mut tx, &change(&name), &plate).await;
        let id = id.expect("a motor");
        if at % 5 == 0 {
            queries::shelve(&mut tx, id, "B-1", 1, price)
                .await
                .expect("db");
        } else {
            list(&mut tx, id, price, days).await;
        }
    }
    tx.commit().await.expect("commit");
}

async fn list(tx: &mut Tx, id: MotorId, price: Option<i64>, days: Option<i64>) {
    queries::add_to_list(tx, 50, id, price, days)
        .await
        .expect("db");
}

fn machines() -> Vec<Wanted> {
    let fan = "1/4 HP 1075RPM 208-230V 1.8A 60HZ 1PH PSC CWSE 48Y TEAO";
    let belt = "1 HP 1725RPM 230/460V 60HZ 3PH 56 TEFC 5/8 shaft";
    let mut known = Installation::default();
    known.driven.drive = Some(Drive::Direct);
    known.driven.wheel_limit = Some(Rpm(1400.0));
    known.driven.hub_bore = Some(Millimetres(12.7));
    known.driven.hub_length = Some(Millimetres(50.8));
    known.driven.shaft_power = Some(Watts(120.0));
    known.driven.shaft_power_at = Some(Rpm(1075.0));
    known.driven.reverses = Some(false);
    known.site.measured_volts = Some(Volts(228.0));
    known.site.frequency = Some(Hertz(60.0));
    known.site.ambient = Some(Celsius(45.0));
    known.site.surroundings = Some(Surroundings::Dusty);
    known.site.free_length = Some(Millimetres(200.0));
    known.site.free_diameter = Some(Millimetres(150.0));
    let mut belted = Installation::default();
    belted.driven.drive = Some(Drive::Belt);
    belted.driven.hub_bore = Some(Millimetres(15.875));
    let mut classified = known.clone();
    classified.site.hazardous = Some("Class I Div 1 Group D T3".to_owned());
    let plate = |text: &str| Arc::new(read(text).plate);
    let wanted = |old, installation: &Installation| Wanted {
        old,
        installation: Arc::new(installation.clone()),
    };
    vec![
        wanted(plate(fan), &known),
        wanted(Arc::default(), &known),
        wanted(plate(fan), &classified),
        wanted(plate(belt), &belted),
        wanted(plate(belt), &Installation::default()),
    ]
}

#[tokio::test]
async fn the_sieve_in_the_database_loses_no_motor_that_may_fit() {
    let app = TestApp::start().await;
    run(
        &app,
        "INSERT INTO supplier_lists (id, name, read_on) VALUES (50, 'North', '2026-11-01')"
            .to_owned(),
    )
    .await;
    const CROWD: u64 = 1500;
    crowd_of(&app, CROWD).await;
    for wanted in machines() {
        let found = search::search(&app.state, &wanted, &Filter::default())
            .await
            .expect("db");
        let whole = search::unsieved(&app.state, &wanted).await.expect("db");
        assert_eq!(whole.hits.len() as u64, CROWD);
        assert_eq!(found.available as u64, CROWD);
        let open = |found: &search::Found| -> Vec<i64> {
            found.hits[..found.open()]
                .iter()
                .map(|hit| hit.id.0)
                .collect()
        };
        assert_eq!(
            open(&found),
            open(&whole),
            "the same motors in the same order"
        );
        // The database rules out exactly what the columns rule out.
        let sieve = Sieve::new(&wanted.need());
        let pass = |hit: &&search::Hit| !sieve.rules_out(&Traits::of(&hit.plate));
        let by_rules: BTreeSet<i64> = whole.hits.iter().filter(pass).map(|hit| hit.id.0).collect();
        let by_sql: BTreeSet<i64> = found.hits.iter().map(|hit| hit.id.0).collect();
        assert_eq!(by_sql, by_rules);
        assert!(
            found.hits.len() < whole.hits.len() / 2,
            "{}",
            found.hits.len()
        );
    }
}

#[tokio::test]
async fn filters_keep_what_they_say() {
    let app = TestApp::start().await;
    run(
        &app,
        "INSERT INTO supplier_lists (id, name, read_on) VALUES (50, 'North', '2026-11-01')"
            .to_owned(),
    )
    .await;
    crowd_of(&app, 600).await;
    let wanted = machines().remove(4);
    let all = search::search(&app.state, &wanted, &Filter::default())
        .await
        .expect("db");
    type Keeps = fn(&search::Hit) -> bool;
    let checks: Vec<(Filter, Keeps)> = vec![
        (
            Filter {
                shelf: Some(true),
                ..Filter::default()
            },
            |hit| hit.offer.held.is_some(),
        ),
        (
            Filter {
                most_days: Some(10),
                ..Filter::default()
            },
            |hit| hit.offer.held.is_some() || hit.offer.soonest.is_some_and(|d| d <= 10),
        ),
        (
            Filter {
                most_price: Some(40_000),
                ..Filter::default()
            },
            |hit| hit.offer.cheapest.is_some_and(|p| p <= 40_000),
        ),
        (
            Filter {
                mount: Some(Mount::Feet),
                ..Filter::default()
            },
            |hit| hit.plate.mount.value() == Some(&Mount::Feet),
        ),
        (
            Filter {
                enclosure: Some(Enclosure::OpenDripProof),
                ..Filter::default()
            },
            |hit| hit.plate.enclosure.value() == Some(&Enclosure::OpenDripProof),
        ),
        (
            Filter {
                frame: "5-6".to_owned(),
                ..Filter::default()
            },
            |hit| hit.plate.frame.value().is_some_and(|f| f == "56"),
        ),
        (
            Filter {
                verdict: Some(Verdict::NotKnownYet),
                ..Filter::default()
            },
            |hit| hit.verdict == Verdict::NotKnownYet,
        ),
    ];
    for (filter, keeps) in checks {
        let kept = search::search(&app.state, &wanted, &filter)
            .await
            .expect("db");
        let ids = |hits: &[search::Hit]| hits.iter().map(|hit| hit.id.0).collect::<Vec<_>>();
        let by_hand: Vec<search::Hit> = all.hits.iter().filter(|hit| keeps(hit)).cloned().collect();
        assert_eq!(ids(&kept.hits), ids(&by_hand), "{filter:?}");
        assert!(!by_hand.is_empty(), "{filter:?} is tried on something");
    }
    let shut = Filter {
        verdict: Some(Verdict::DoNotFit),
        ..Filter::default()
    };
    let shut = search::search(&app.state, &wanted, &shut)
        .await
        .expect("db");
    assert_eq!(shut.hits.len(), 600 - all.open(), "the sieve stays away");
}

#[test]
fn column_names_are_those_of_the_migration() {
    let sql = include_str!("../../migrations/sqlite/20261125168000_motor_search.sql");
    for column in Column::ALL {
        assert!(
            sql.contains(&format!("    {} ", column.name())),
            "{}",
            column.name()
        );
    }
}
