//! A few rows to work a job on: one roof, one panel, two fans on one breaker, one motor.

use crate::app::{TestApp, Visit};
use axum::http::StatusCode;

/// The fan `F-1` (machine 1) and its neighbour `F-2` (machine 2) share the breaker's source.
pub async fn lay_out(app: &TestApp) {
    app.run(
        "INSERT INTO places (id, kind, name) VALUES (1, 'site', 'Mill');
         INSERT INTO places (id, parent_id, kind, name, access_note)
            VALUES (2, 1, 'roof', 'Flat roof', 'Key 4 at the office');
         INSERT INTO panels (id, name, place_id, supply) VALUES (1, 'LP-1', 1, '120/240 V');
         INSERT INTO circuits (id, panel_id, number, label_read, facts)
            VALUES (1, 1, '7', 'Roof fans', '{}');
         INSERT INTO motors (id, name, plate) VALUES (1, 'Old fan motor', '{}');
         INSERT INTO machines (id, tag, name, kind, place_id, facts, circuit_id, fitted_motor_id,
            created_at)
            VALUES (1, 'F-1', 'Kiln fan', 'fan', 2, '{}', 1, 1, 0);
         INSERT INTO machines (id, tag, name, kind, place_id, facts, circuit_id, created_at)
            VALUES (2, 'F-2', 'Glaze fan', 'fan', 2, '{}', 1, 0);
         INSERT INTO energy_sources (id, kind, name, device, dead_test, circuit_id, relieved_how)
            VALUES (1, 'electrical', 'Breaker 7', 'Breaker LP-1/7', 'single_phase', 1, 'none');
         INSERT INTO energy_sources (id, kind, name, device, relieved_how)
            VALUES (2, 'draught', 'Draught on F-1', 'Wheel block', 'block the wheel');
         INSERT INTO isolation_sheets (id, machine_id, revision, steps, made_at)
            VALUES (1, 1, 1, 'Stop, lock, block, test', 0);
         INSERT INTO isolation_sheet_sources VALUES (1, 1, 1);
         INSERT INTO isolation_sheet_sources VALUES (1, 2, 2);
         INSERT INTO isolation_sheets (id, machine_id, revision, steps, made_at)
            VALUES (2, 2, 1, 'Stop, lock, test', 0);
         INSERT INTO isolation_sheet_sources VALUES (2, 1, 1);",
    )
    .await;
    // Rows with numbers of our own do not move the counters of Postgres on.
    if matches!(app.state.db, brasstag::db::Db::Postgres(_)) {
        app.run(
            "ALTER TABLE places ALTER COLUMN id RESTART WITH 100;
             ALTER TABLE panels ALTER COLUMN id RESTART WITH 100;
             ALTER TABLE circuits ALTER COLUMN id RESTART WITH 100;
             ALTER TABLE motors ALTER COLUMN id RESTART WITH 100;
             ALTER TABLE machines ALTER COLUMN id RESTART WITH 100;
             ALTER TABLE energy_sources ALTER COLUMN id RESTART WITH 100;
             ALTER TABLE isolation_sheets ALTER COLUMN id RESTART WITH 100;",
        )
        .await;
    }
}

/// Reports a fault on the machine with this tag and answers with the job's number.
pub async fn report(app: &TestApp, tag: &str, words: &str) -> i64 {
    let answer = app
        .visitor()
        .submit("/report", "/report", &[("tag", tag), ("words", words)])
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let number = answer.location.trim_start_matches("/status/");
    let (number, _) = number.split_once('?').expect("a code too");
    number.parse().expect("a number")
}

/// Plans the job for machine 1 and hands it to the technician for the day of the test.
pub async fn plan_and_hand_out(app: &TestApp, job: i64) {
    let desk = app.sign_in("supervisor").await;
    let page = format!("/jobs/{job}/plan");
    let planned = [
        ("machine", "1"),
        ("scope", "Find out why"),
        ("hours", "2.5"),
    ];
    let answer = desk.submit(&page, &page, &planned).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let to = app.person("technician").await.0.to_string();
    let action = format!("/jobs/{job}/hand-out");
    let answer = desk
        .submit(&page, &action, &[("to", &to), ("on", "2026-11-25")])
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
}

/// Confirms the unit and records it as found, as the visit's person.
pub async fn confirm_and_find(visit: &Visit<'_>, job: i64) {
    let page = format!("/jobs/{job}/confirm");
    let typed = [
        ("tag_read", "f-1"),
        ("method", "tag read at the machine"),
        ("roof_protection", "restraint"),
    ];
    let answer = visit.submit(&page, &page, &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let page = format!("/jobs/{job}/as-found");
    let typed = [
        ("running", "stopped"),
        ("condition", "Hums, warm"),
        ("guard", "there and whole"),
    ];
    let answer = visit.submit(&page, &page, &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
}
