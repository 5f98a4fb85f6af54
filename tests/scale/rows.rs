//! The crowd of rows: one SQL text for both databases, each table in one statement.

use super::{Sizes, words};
use brasstag::db::{Db, Tx};
use brasstag::on_tx;
use time::{Date, Duration};

type Done = Result<(), Box<dyn std::error::Error + Send + Sync>>;

/// Tables with triggers, which would index each row by itself.
const INDEXED: &[&str] = &["places", "panels", "motors", "machines", "jobs", "entries"];
/// Rows of the demo shop have lower numbers.
const BASE: i64 = 1_000;
/// On a panel, each with one machine.
const CIRCUITS: i64 = 40;

pub async fn fill(db: &Db, sizes: Sizes, now: i64) -> Done {
    let mut tx = db.begin_write().await?;
    let triggers = without_triggers(&mut tx).await?;
    helpers(&mut tx, now).await?;
    for (name, sql, rows) in [
        ("places", PLACES, sizes.machines / 25),
        ("motors", MOTORS, sizes.motors),
        ("offers", OFFERS, sizes.motors),
        ("panels", PANELS, sizes.machines / CIRCUITS),
        (
            "circuits",
            EACH_CIRCUIT,
            sizes.machines / CIRCUITS * CIRCUITS,
        ),
        ("machines", MACHINES, sizes.machines),
        ("sources", SOURCES, sizes.machines),
        ("sheets", SHEETS, sizes.machines),
        ("sheet sources", SHEET_SOURCES, sizes.machines),
        ("plans", PLANS, sizes.machines / 2),
        ("due items done", DUE_DONE, sizes.machines / 2),
        ("due items open", DUE_OPEN, sizes.machines / 2),
        ("jobs", JOBS, sizes.jobs),
        ("reported", REPORTED, sizes.jobs),
        ("work", WORK_DONE, sizes.jobs),
        ("causes", CAUSE, sizes.jobs),
        ("sign-offs", SIGNED, sizes.jobs),
        ("readings", READINGS, sizes.jobs),
        ("spells", SPELLS, sizes.jobs),
        ("locks", LOCKS, sizes.jobs),
        ("photos", PHOTOS, sizes.jobs),
    ] {
        let from = std::time::Instant::now();
        let made = run(&mut tx, sql, rows, sizes, now).await?;
        println!(
            "{name}: {made} rows in {:.1} s",
            from.elapsed().as_secs_f64()
        );
    }
    statement(&mut tx, "DROP TABLE scale_words".to_owned()).await?;
    statement(&mut tx, "DROP TABLE scale_plates".to_owned()).await?;
    statement(&mut tx, "DROP TABLE scale_days".to_owned()).await?;
    with_triggers(&mut tx, triggers).await?;
    tx.commit().await?;
    let mut tx = db.begin_write().await?;
    brasstag::search::queries::rebuild(&mut tx).await?;
    tx.commit().await?;
    let mut tx = db.begin_write().await?;
    statement(&mut tx, "ANALYZE".to_owned()).await?;
    tx.commit().await?;
    Ok(())
}

/// `$1` rows, `$2` machines, `$3` motors, `$4` jobs, `$5` now.
async fn run(tx: &mut Tx, sql: &'static str, rows: i64, of: Sizes, now: i64) -> sqlx::Result<u64> {
    // Every statement names all five, so that one way of binding serves them all.
    on_tx!(tx, conn => sqlx::query(sql).bind(rows).bind(of.machines).bind(of.motors).bind(of.jobs)
        .bind(now).execute(conn).await.map(|done| done.rows_affected()))
}

async fn statement(tx: &mut Tx, sql: String) -> sqlx::Result<()> {
    // Made of names written above or read from the schema.
    let sql = sqlx::AssertSqlSafe(sql);
    on_tx!(tx, conn => sqlx::raw_sql(sql).execute(conn).await.map(|_| ()))
}

async fn without_triggers(tx: &mut Tx) -> sqlx::Result<Vec<String>> {
    if let Tx::Sqlite(lite) = tx {
        let all: Vec<(String, String)> =
            sqlx::query_as("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
                .fetch_all(&mut **lite)
                .await?;
        for (name, _) in &all {
            statement(tx, format!("DROP TRIGGER {name}")).await?;
        }
        return Ok(all.into_iter().map(|(_, sql)| sql).collect());
    }
    for table in INDEXED {
        statement(tx, format!("ALTER TABLE {table} DISABLE TRIGGER USER")).await?;
    }
    Ok(Vec::new())
}

async fn with_triggers(tx: &mut Tx, triggers: Vec<String>) -> sqlx::Result<()> {
    for sql in triggers {
        statement(tx, sql).await?;
    }
    if matches!(tx, Tx::Postgres(_)) {
        // Numbers were given; the next one the program asks for is above them.
        for table in [
            "places",
            "panels",
            "circuits",
            "motors",
            "supplier_lists",
            "machines",
            "energy_sources",
            "isolation_sheets",
            "plans",
            "due_items",
            "jobs",
        ] {
            statement(
                tx,
                format!(
                    "SELECT setval(pg_get_serial_sequence('{table}', 'id'), \
                (SELECT max(id) FROM {table}))"
                ),
            )
            .await?;
        }
        for table in INDEXED {
            statement(tx, format!("ALTER TABLE {table} ENABLE TRIGGER USER")).await?;
        }
    }
    Ok(())
}

/// Words, plates and days by number, to be picked from.
async fn helpers(tx: &mut Tx, now: i64) -> Done {
    for sql in [
        "CREATE TABLE scale_words (part TEXT, k BIGINT, word TEXT, PRIMARY KEY (part, k))",
        "CREATE TABLE scale_plates (k BIGINT PRIMARY KEY, name TEXT, plate TEXT, words TEXT)",
        "CREATE TABLE scale_days (k BIGINT PRIMARY KEY, on_day DATE)",
    ] {
        statement(tx, sql.to_owned()).await?;
    }
    for (part, list) in [
        ("name", words::NAMES),
        ("serves", words::SERVES),
        ("trouble", words::TROUBLES),
        ("work", words::WORK),
        ("cause", words::CAUSES),
    ] {
        for (k, word) in (0_i64..).zip(list) {
            on_tx!(&mut *tx, conn => sqlx::query("INSERT INTO scale_words VALUES ($1, $2, $3)")
                .bind(part).bind(k).bind(*word).execute(conn).await.map(|_| ()))?;
        }
    }
    for (k, row) in (0_i64..).zip(words::plates()?) {
        on_tx!(&mut *tx, conn => sqlx::query("INSERT INTO scale_plates VALUES ($1, $2, $3, $4)")
            .bind(k).bind(&row.name).bind(&row.plate).bind(&row.text).execute(conn).await
            .map(|_| ()))?;
    }
    let today: Date = brasstag::clock::Zone::utc().date(now);
    for k in 0..800_i64 {
        on_tx!(&mut *tx, conn => sqlx::query("INSERT INTO scale_days VALUES ($1, $2)")
            .bind(k).bind(today + Duration::days(k - 400)).execute(conn).await.map(|_| ()))?;
    }
    let days = today - Duration::days(20);
    for list in 0..4_i64 {
        on_tx!(&mut *tx, conn => sqlx::query(
            "INSERT INTO supplier_lists (id, name, read_on) VALUES ($1, $2, $3)")
            .bind(BASE + list).bind(format!("Crowd list {list}")).bind(days).execute(conn).await
            .map(|_| ()))?;
    }
    Ok(())
}

/// A statement over the numbers `n.i` from 1 to `$1`. The last line names every value, so that both
/// databases take the same five, and is always true.
macro_rules! each {
    ($insert:literal, $select:literal, $($join:literal),*) => {
        concat!(
            $insert, " WITH RECURSIVE n (i) AS (SELECT CAST(1 AS BIGINT) UNION ALL \
             SELECT i + 1 FROM n WHERE i < $1) SELECT ", $select, " FROM n ", $($join, " ",)*
            "WHERE n.i <= $1 AND CAST($2 AS BIGINT) + CAST($3 AS BIGINT) + CAST($4 AS BIGINT) \
             + CAST($5 AS BIGINT) > 0"
        )
    };
}

// A room's floor is the first of its ten, a floor's building the first of its hundred.
const PLACES: &str = each!(
    "INSERT INTO places (id, parent_id, kind, name)",
    "1000 + i, CASE WHEN i = 1 THEN NULL WHEN i % 100 = 1 THEN 1001 WHEN i % 10 = 1
        THEN 1000 + i - i % 100 + 1 ELSE 1000 + i - (i + 9) % 10 END,
     CASE WHEN i = 1 THEN 'site' WHEN i % 100 = 1 THEN 'building' WHEN i % 10 = 1 THEN 'floor'
        ELSE 'room' END,
     CASE WHEN i = 1 THEN 'Crowd works' WHEN i % 100 = 1 THEN 'Building ' WHEN i % 10 = 1
        THEN 'Floor ' ELSE 'Room ' END || CAST(i AS TEXT)",
);
const MOTORS: &str = each!(
    "INSERT INTO motors (id, name, plate, plate_text, made)",
    "1000 + i, p.name || ' no ' || CAST(i AS TEXT), p.plate, p.words,
     CASE WHEN i % 9 = 0 THEN 'ended' ELSE 'made' END",
    "JOIN scale_plates p ON p.k = (i * 7919) % (SELECT count(*) FROM scale_plates)"
);
const OFFERS: &str = each!(
    "INSERT INTO supplier_motors (list_id, motor_id, price_minor, lead_days)",
    "1000 + i % 4, 1000 + i, 4000 + (i * 37) % 90000, CASE WHEN i % 5 = 0 THEN NULL
        ELSE 1 + i % 40 END",
);
const PANELS: &str = each!(
    "INSERT INTO panels (id, name, place_id, supply)",
    "1000 + i, 'Crowd panel ' || CAST(i AS TEXT), 1001 + i % ($2 / 25), d.supply",
    "JOIN panels d ON d.id = (SELECT min(id) FROM panels)"
);
const EACH_CIRCUIT: &str = each!(
    "INSERT INTO circuits (id, panel_id, number, label_read, label_wrong, facts)",
    "1000 + i, 1001 + (i - 1) / 40, CAST(1 + (i - 1) % 40 AS TEXT), 'Spare', i % 200 = 0, d.facts",
    "JOIN circuits d ON d.id = (SELECT min(id) FROM circuits)"
);
const MACHINES: &str = each!(
    "INSERT INTO machines (id, tag, name, kind, serves, place_id, criticality, facts, circuit_id,
        design_motor_id, fitted_motor_id, created_at)",
    "1000 + i, substr('FPUCA', CAST(1 + i % 5 AS INTEGER), 1) || '-'
        || substr(CAST(1000000 + i AS TEXT), 2),
     w.word || ' ' || CAST(i AS TEXT),
     CASE i % 5 WHEN 0 THEN 'fan' WHEN 1 THEN 'pump' WHEN 2 THEN 'unit_heater'
        WHEN 3 THEN 'compressor' ELSE 'air_handler' END,
     s.word || ' ' || CAST(i % 977 AS TEXT), 1001 + i % ($2 / 25),
     CASE WHEN i % 10 = 0 THEN 'high' WHEN i % 3 = 0 THEN 'low' ELSE 'ordinary' END,
     d.facts, c.id, 1001 + (i * 31) % $3, 1001 + (i * 31) % $3, $5",
    "JOIN scale_words w ON w.part = 'name' AND w.k = (i * 7) % 11",
    "JOIN scale_words s ON s.part = 'serves' AND s.k = (i * 5 + i / 13) % 13",
    "JOIN machines d ON d.id = (SELECT min(id) FROM machines) + i % 10",
    "LEFT JOIN circuits c ON c.id = 1000 + i"
);
const SOURCES: &str = each!(
    "INSERT INTO energy_sources (id, kind, name, device, dead_test)",
    "1000 + i, 'electrical', 'Disconnect of ' || m.tag, 'Disconnect', 'single_phase'",
    "JOIN machines m ON m.id = 1000 + i"
);
const SHEETS: &str = each!(
    "INSERT INTO isolation_sheets (id, machine_id, revision, steps, made_at)",
    "1000 + i, 1000 + i, 1, 'Stop it. Open the disconnect and lock it. Try it. Test dead.', $5",
);
const SHEET_SOURCES: &str = each!(
    "INSERT INTO isolation_sheet_sources (sheet_id, source_id, position)",
    "1000 + i, 1000 + i, 1",
);
const PLANS: &str = each!(
    "INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, minutes, made_at)",
    "1000 + i, 1000 + 2 * i, 'Clean the wheel and grease the bearings',
     '{\"kind\":\"calendar\",\"every\":{\"months\":6}}', d.on_day, 14, 45, $5",
    "JOIN scale_days d ON d.k = i % 180"
);
const DUE_DONE: &str = each!(
    "INSERT INTO due_items (id, plan_id, due_on, reason, state, done_on)",
    "1000 + 2 * i, 1000 + i, d.on_day, 'every 6 months', 'done', d.on_day",
    "JOIN scale_days d ON d.k = 180 + i % 180"
);
const DUE_OPEN: &str = each!(
    "INSERT INTO due_items (id, plan_id, due_on, reason, state)",
    "1001 + 2 * i, 1000 + i, d.on_day, 'every 6 months', 'open'",
    "JOIN scale_days d ON d.k = 390 + i % 180"
);
// The last five hundred or so are open, all before them signed off; spread over two years.
const JOBS: &str = each!(
    "INSERT INTO jobs (id, machine_id, place_id, state, words, reporter, reported_at, clock_from,
        scope, minutes_planned, assigned_to, planned_on, component, mode, mechanism, cause,
        cause_at, back_at, signed_at, entry_count, last_entry_at)",
    "1000 + i, m.id, m.place_id,
     CASE WHEN i <= $1 - 500 THEN 'signed_off' WHEN i % 4 = 0 THEN 'planned'
        WHEN i % 4 = 1 THEN 'handed_out' ELSE 'reported' END,
     t.word || ', ' || m.serves, 'Caretaker', $5 - ($1 - i) * (63000000000 / $1),
     $5 - ($1 - i) * (63000000000 / $1),
     CASE WHEN i <= $1 - 500 OR i % 4 < 2 THEN 'Find out why and put it right' ELSE '' END,
     CASE WHEN i <= $1 - 500 OR i % 4 < 2 THEN 30 + 15 * (i % 6) ELSE NULL END,
     CASE WHEN i <= $1 - 500 OR i % 4 = 1 THEN p.id ELSE NULL END,
     CASE WHEN i > $1 - 500 AND i % 4 = 1 THEN d.on_day ELSE NULL END,
     CASE WHEN i <= $1 - 500 THEN 'motor' ELSE '' END,
     CASE WHEN i <= $1 - 500 THEN 'does not start' ELSE '' END,
     CASE WHEN i <= $1 - 500 THEN 'wear' ELSE '' END,
     CASE WHEN i <= $1 - 500 THEN c.word ELSE '' END,
     CASE WHEN i <= $1 - 500 THEN $5 - ($1 - i) * (63000000000 / $1) + 7200000 ELSE NULL END,
     CASE WHEN i <= $1 - 500 THEN $5 - ($1 - i) * (63000000000 / $1) + 7200000 ELSE NULL END,
     CASE WHEN i <= $1 - 500 THEN $5 - ($1 - i) * (63000000000 / $1) + 90000000 ELSE NULL END,
     CASE WHEN i <= $1 - 500 THEN 4 ELSE 1 END, $5 - ($1 - i) * (63000000000 / $1)",
    "JOIN machines m ON m.id = 1001 + (i * 104729) % $2",
    "JOIN scale_words t ON t.part = 'trouble' AND t.k = (i * 3 + i / 11) % 11",
    "JOIN scale_words c ON c.part = 'cause' AND c.k = (i * 5 + i / 9) % 9",
    "JOIN people p ON p.sign_in_name = CASE WHEN i % 2 = 0 THEN 'tobin' ELSE 'ilse' END",
    "JOIN scale_days d ON d.k = 398 + i % 8"
);
const REPORTED: &str = each!(
    "INSERT INTO entries (id, job_id, number, received_at, kind, body)",
    "'01900000-0000-7001-8000-' || substr(CAST(1000000000000 + i AS TEXT), 2), j.id, 1,
     j.reported_at, 'reported', '{\"v\":1,\"kind\":\"reported\",\"place_id\":' || CAST(j.place_id AS TEXT)
        || ',\"machine_id\":' || CAST(j.machine_id AS TEXT) || ',\"due_item_id\":null,\"words\":\"'
        || j.words || '\",\"reporter\":\"Caretaker\",\"contact\":\"\"}'",
    "JOIN jobs j ON j.id = 1000 + i"
);
const WORK_DONE: &str = each!(
    "INSERT INTO entries (id, job_id, number, person_id, received_at, kind, body)",
    "'01900000-0000-7002-8000-' || substr(CAST(1000000000000 + i AS TEXT), 2), j.id, 2,
     j.assigned_to, j.reported_at + 7200000, 'work_done',
     '{\"v\":1,\"kind\":\"work_done\",\"what\":\"' || w.word || '\"}'",
    "JOIN jobs j ON j.id = 1000 + i AND j.state = 'signed_off'",
    "JOIN scale_words w ON w.part = 'work' AND w.k = (i * 3 + i / 10) % 10"
);
const CAUSE: &str = each!(
    "INSERT INTO entries (id, job_id, number, person_id, received_at, kind, body)",
    "'01900000-0000-7003-8000-' || substr(CAST(1000000000000 + i AS TEXT), 2), j.id, 3,
     j.assigned_to, j.reported_at + 7200000, 'cause',
     '{\"v\":1,\"kind\":\"cause\",\"component\":\"motor\",\"mode\":\"does not start\",\"mechanism\":\"wear\",\"cause\":\"'
        || j.cause || '\",\"evidence\":\"seen\"}'",
    "JOIN jobs j ON j.id = 1000 + i AND j.state = 'signed_off'"
);
const SIGNED: &str = each!(
    "INSERT INTO entries (id, job_id, number, received_at, kind, body)",
    "'01900000-0000-7004-8000-' || substr(CAST(1000000000000 + i AS TEXT), 2), j.id, 4,
     j.signed_at, 'signed_off', '{\"v\":1,\"kind\":\"signed_off\",\"note\":\"\"}'",
    "JOIN jobs j ON j.id = 1000 + i AND j.state = 'signed_off'"
);
const READINGS: &str = each!(
    "INSERT INTO readings (entry_id, position, job_id, machine_id, point, quantity, as_shown, value,
        taken_at)",
    "e.id, 1, j.id, j.machine_id, 'L1', 'amps', CAST(1 + i % 9 AS TEXT), 1 + i % 9, e.received_at",
    "JOIN jobs j ON j.id = 1000 + i AND i % 5 = 0",
    "JOIN entries e ON e.job_id = j.id AND e.number = 2"
);
const SPELLS: &str = each!(
    "INSERT INTO job_spells (entry_id, job_id, person_id, spent, from_at, to_at)",
    "e.id, j.id, j.assigned_to, 'repair', e.received_at - 3600000, e.received_at",
    "JOIN jobs j ON j.id = 1000 + i AND i % 2 = 0",
    "JOIN entries e ON e.job_id = j.id AND e.number = 2"
);
// Taken off again; the photos have no files.
const LOCKS: &str = each!(
    "INSERT INTO locks (entry_id, job_id, machine_id, source_id, person_id, lock_number, on_at,
        off_entry_id, off_at)",
    "e.id, j.id, j.machine_id, j.machine_id, j.assigned_to, 'C' || CAST(i AS TEXT),
     e.received_at - 3600000, o.id, o.received_at",
    "JOIN jobs j ON j.id = 1000 + i AND i % 10 = 0",
    "JOIN entries e ON e.job_id = j.id AND e.number = 2",
    "JOIN entries o ON o.job_id = j.id AND o.number = 4"
);
const PHOTOS: &str = each!(
    "INSERT INTO photos (entry_id, job_id, person_id, sha, thumb, width, height, bytes, about,
        taken_at)",
    "e.id, j.id, j.assigned_to, 'sha' || CAST(i AS TEXT), 'thumb' || CAST(i AS TEXT), 1600, 1200,
     200000, 'as_left', e.received_at",
    "JOIN jobs j ON j.id = 1000 + i AND i % 5 = 1",
    "JOIN entries e ON e.job_id = j.id AND e.number = 3"
);
