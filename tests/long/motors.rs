//! Fit over two hundred thousand motors: server time, warm, on both databases.

use crate::crowd;
use brasstag::clock::Clock;
use brasstag::config::Config;
use brasstag::db::{Db, Tx};
use brasstag::fit::filter::Filter;
use brasstag::fit::search::{self, Wanted};
use brasstag::motors::{MotorId, search as columns};
use brasstag::state::AppState;
use calc::installation::*;
use calc::plate::{Direction, Plate, Position, read};
use calc::units::*;
use std::sync::Arc;
use std::time::{Duration, Instant};

const CROWD: u64 = 200_000;
const RUNS: usize = 40;
const BUDGET: Duration = Duration::from_millis(150);

pub async fn database(folder: &std::path::Path) -> Db {
    let db = match std::env::var("TEST_DATABASE_URL") {
        Ok(url) => {
            let Db::Postgres(pool) = Db::open(&url).await.expect("the server answers") else {
                panic!("TEST_DATABASE_URL is for Postgres")
            };
            let fresh = "DROP SCHEMA IF EXISTS brasstag_long CASCADE; CREATE SCHEMA brasstag_long";
            sqlx::raw_sql(fresh).execute(&pool).await.expect("a schema");
            let sign = if url.contains('?') { '&' } else { '?' };
            Db::open(&format!("{url}{sign}options[search_path]=brasstag_long")).await
        }
        Err(_) => Db::open(&format!("sqlite:{}", folder.join("long.sqlite").display())).await,
    };
    let db = db.expect("the database opens");
    db.migrate().await.expect("the schema comes up to date");
    db
}

/// Motors, two lists, and every two-hundredth on the shelf.
async fn fill(db: &Db) {
    run(
        db,
        "INSERT INTO supplier_lists (id, name, read_on) VALUES (1, 'North', '2026-11-01')",
    )
    .await;
    run(
        db,
        "INSERT INTO supplier_lists (id, name, read_on) VALUES (2, 'South', '2026-11-01')",
    )
    .await;
    let mut number = 0;
    while number < CROWD {
        let mut tx = db.begin_write().await.expect("a transaction");
        for _ in 0..5_000 {
            number += 1;
            motor(&mut tx, number).await.expect("a motor");
        }
        tx.commit().await.expect("commit");
    }
    if let Db::Postgres(pool) = db {
        sqlx::raw_sql("ANALYZE")
            .execute(pool)
            .await
            .expect("statistics");
    }
}

async fn run(db: &Db, sql: &'static str) {
    let done = match db {
        Db::Sqlite { write, .. } => sqlx::raw_sql(sql).execute(write).await.map(|_| ()),
        Db::Postgres(pool) => sqlx::raw_sql(sql).execute(pool).await.map(|_| ()),
    };
    done.expect("the statement runs");
}

async fn motor(tx: &mut Tx, number: u64) -> sqlx::Result<()> {
    let (name, price, days) = crowd::offer(number);
    let plate = serde_json::to_string(&crowd::plate(number)).expect("a plate");
    let id: MotorId = brasstag::on_tx!(&mut *tx, conn =>
        sqlx::query_scalar("INSERT INTO motors (name, plate) VALUES ($1, $2) RETURNING id")
            .bind(&name).bind(&plate).fetch_one(conn).await)?;
    columns::fill(tx, id, &plate).await?;
    let list = 1 + (number % 2) as i64;
    const LIST: &str = "INSERT INTO supplier_motors (list_id, motor_id, price_minor, lead_days)
        VALUES ($1, $2, $3, $4)";
    brasstag::on_tx!(&mut *tx, conn => sqlx::query(LIST)
        .bind(list).bind(id).bind(price).bind(days).execute(conn).await.map(|_| ()))?;
    if number % 200 == 0 {
        const SHELF: &str = "INSERT INTO shelf_motors (motor_id, bin, held) VALUES ($1, 'A-1', 1)";
        brasstag::on_tx!(&mut *tx, conn =>
            sqlx::query(SHELF).bind(id).execute(conn).await.map(|_| ()))?;
    }
    Ok(())
}

/// A roof fan whose site and wheel are known.
fn known_machine() -> Installation {
    Installation {
        driven: Driven {
            drive: Some(Drive::Direct),
            wheel_limit: Some(Rpm(1400.0)),
            hub_bore: Some(Millimetres(12.7)),
            hub_length: Some(Millimetres(50.8)),
            hub_keyway: Some(false),
            rotation: Some(Direction::Clockwise),
            shaft_power: Some(Watts(140.0)),
            shaft_power_at: Some(Rpm(1075.0)),
            second_shaft_used: Some(false),
            reverses: Some(false),
            ..Driven::default()
        },
        site: Site {
            nominal_volts: Some(Volts(230.0)),
            phases: Some(1),
            frequency: Some(Hertz(60.0)),
            ambient: Some(Celsius(40.0)),
            surroundings: Some(Surroundings::Dusty),
            in_air_stream: Some(true),
            position: Some(Position::Horizontal),
            free_length: Some(Millimetres(250.0)),
            free_diameter: Some(Millimetres(200.0)),
            taps_used: Some(1),
            restart_can_hurt: Some(false),
            hazardous: Some("none".to_owned()),
            continuous: Some(true),
            ..Site::default()
        },
        ..Installation::default()
    }
}

fn cases() -> Vec<(&'static str, Wanted)> {
    let typed = |text: &str| Arc::new(read(text).plate);
    let known = Arc::new(known_machine());
    let nothing = Arc::new(Installation::default());
    let fan = "1/4 HP 1075RPM 208-230V 1.8A 60HZ 1PH PSC CWSE 48Y TEAO";
    let belt = "3 HP 1750RPM 230/460V 60HZ 3PH 182T TEFC";
    let wanted = |old: Arc<Plate>, installation: Arc<Installation>| Wanted { old, installation };
    vec![
        (
            "machine known, plate known",
            wanted(typed(fan), known.clone()),
        ),
        ("machine known, no plate", wanted(Arc::default(), known)),
        ("small plate alone", wanted(typed(fan), nothing.clone())),
        (
            "three-phase plate alone",
            wanted(typed(belt), nothing.clone()),
        ),
        (
            "power and phases alone",
            wanted(typed("1 HP 3PH"), nothing.clone()),
        ),
        ("nothing known", wanted(Arc::default(), nothing)),
    ]
}

/// Prints a line per case; `false` where a median passes the budget.
pub async fn measure() -> bool {
    let folder = std::env::temp_dir().join(format!("brasstag_long_{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let db = database(&folder).await;
    let name = match &db {
        Db::Sqlite { .. } => "SQLite",
        Db::Postgres(_) => "PostgreSQL",
    };
    let begun = Instant::now();
    fill(&db).await;
    println!("{name}: {CROWD} motors written in {:.0?}", begun.elapsed());
    let config = Config {
        folder: folder.clone(),
        base_path: String::new(),
        public_url: "http://shop.example".to_owned(),
        cheap_passwords: true,
        proxy: None,
        demo: false,
    };
    let app = AppState::new(config, db, Clock::System, None, "");
    let mut within = true;
    for (case, wanted) in cases() {
        within &= time(&app, name, case, &wanted).await;
    }
    app.db.close().await;
    let _gone = std::fs::remove_dir_all(&folder);
    within
}

async fn time(app: &AppState, name: &str, case: &str, wanted: &Wanted) -> bool {
    let filter = Filter::default();
    let mut times = Vec::with_capacity(RUNS);
    let mut cold = Duration::ZERO;
    let mut line = String::new();
    for run in 0..=RUNS {
        let begun = Instant::now();
        let found = search::search(app, wanted, &filter)
            .await
            .expect("a search");
        match run {
            0 => cold = begun.elapsed(),
            _ => times.push(begun.elapsed()),
        }
        let cut = if found.cut { ", cut" } else { "" };
        line = format!("{} judged, {} open{cut}", found.hits.len(), found.open());
    }
    times.sort();
    let (median, p95) = (times[RUNS / 2], times[RUNS * 95 / 100]);
    println!("{name}: {case}: median {median:.1?}, p95 {p95:.1?}, first {cold:.0?}; {line}");
    median <= BUDGET
}
