//! A machine's history goes on when its motor is changed; the motor's own goes with the motor.

use crate::app::{TestApp, Visit};
use crate::demo::filled;
use crate::small_shop::lay_out;
use axum::http::StatusCode;
use brasstag::jobs;
use brasstag::jobs::body::Body;
use std::collections::BTreeMap;

const PAGE: &str = "/machines/1/motors/another";

async fn another(visit: &Visit<'_>, typed: &[(&str, &str)]) -> crate::app::Answer {
    visit.submit(PAGE, PAGE, typed).await
}

#[tokio::test]
async fn another_motor_ends_one_history_and_begins_another() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let typed = [
        ("name", "Spare from the attic"),
        ("plate_text", "1/6 HP 1075 RPM 115 V 2.4 A"),
        ("on", "2026-11-20"),
        ("old", "scrapped"),
    ];
    let answer = another(&visit, &typed).await;
    assert_eq!(answer.location, "/machines/1", "{}", answer.body);
    let page = visit.get("/machines/1").await;
    let rows = page.texts("#stays tbody tr");
    assert_eq!(rows.len(), 2);
    assert!(rows[0].contains("Spare from the attic") && rows[0].contains("it is on it"));
    assert!(rows[1].contains("Old fan motor") && rows[1].contains("scrapped"));
    assert!(rows[1].contains("Fri 20 Nov 2026"));
    assert!(page.words().contains("1075 rpm"));
    let old = visit.get("/motors/units/1").await.words();
    assert!(old.contains("F-1") && old.contains("scrapped"), "{old}");
    let changes = visit.get("/changes/machines/1").await.words();
    assert!(changes.contains("another motor fitted"), "{changes}");
    assert!(changes.contains("Old fan motor") && changes.contains("Spare from the attic"));
}

#[tokio::test]
async fn a_unit_from_the_shelf_keeps_its_history_on_the_next_machine() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let typed = [("name", "New"), ("on", "2026-11-20"), ("old", "shelf")];
    assert_eq!(another(&visit, &typed).await.status, StatusCode::SEE_OTHER);
    let next = "/machines/2/motors/another";
    let page = visit.get(next).await;
    assert!(page.words().contains("unit 1: Old fan motor, on the shelf"));
    let answer = visit
        .submit(next, next, &[("unit", "1"), ("on", "2026-11-22")])
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let unit = visit.get("/motors/units/1").await;
    let rows = unit.texts("tbody tr");
    assert!(rows[0].contains("F-2") && rows[0].contains("it is on it"));
    assert!(rows[1].contains("F-1") && rows[1].contains("Fri 20 Nov 2026"));
    let words = visit.get("/machines/2").await.words();
    assert!(words.contains("Unit 1") && !words.contains("unit 2"));
}

#[tokio::test]
async fn what_cannot_be_is_refused_beside_its_field() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let page = another(&visit, &[("on", "2027-01-01")]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(page.text("#name-error"), "Enter the shop's name for it");
    assert_eq!(page.text("#on-error"), "This day has not come yet");
    assert_eq!(page.text("#old-error"), "Choose where the old motor went");
    let typed = [("name", "N"), ("on", "2026-11-20"), ("old", "shelf")];
    let stale = [&typed[..], &[("version", "0")]].concat();
    assert_eq!(another(&visit, &stale).await.status, StatusCode::CONFLICT);
    assert_eq!(app.count("SELECT count(*) FROM motor_units").await, 0);
    for role in ["technician", "storekeeper", "auditor"] {
        let visit = app.sign_in(role).await;
        assert_eq!(
            visit.get(PAGE).await.status,
            StatusCode::FORBIDDEN,
            "{role}"
        );
    }
}

#[tokio::test]
async fn where_a_motor_went_is_noted_by_those_who_carry_it() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let typed = [("name", "New"), ("on", "2026-11-20"), ("old", "removed")];
    assert_eq!(another(&visit, &typed).await.status, StatusCode::SEE_OTHER);
    let keeper = app.sign_in("storekeeper").await;
    let page = "/motors/units/1";
    let bad = keeper.submit(page, page, &[("state", "fitted")]).await;
    assert_eq!(bad.text("#state-error"), "Choose where it is");
    let typed = [("state", "away"), ("mark", "M-7")];
    assert_eq!(
        keeper.submit(page, page, &typed).await.status,
        StatusCode::SEE_OTHER
    );
    let words = keeper.get(page).await.words();
    for said in ["away for repair", "M-7", "The storekeeper", "where it is"] {
        assert!(words.contains(said), "{said}: {words}");
    }
    assert_eq!(
        keeper.get("/motors/units/99").await.status,
        StatusCode::NOT_FOUND
    );
    let auditor = app.sign_in("auditor").await;
    assert_eq!(auditor.get(page).await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_plate_put_right_is_the_same_unit() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let typed = [("name", "New"), ("on", "2026-11-20"), ("old", "shelf")];
    assert_eq!(another(&visit, &typed).await.status, StatusCode::SEE_OTHER);
    let edit = "/machines/1/edit";
    let answer = visit
        .submit(edit, edit, &[("fitted_power", "1/4 hp")])
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert_eq!(app.count("SELECT count(*) FROM motor_stays").await, 2);
    assert_eq!(
        visit
            .get("/machines/1")
            .await
            .texts("#stays tbody tr")
            .len(),
        2
    );
    let words = visit.get("/motors/units/2").await.words();
    assert!(words.contains("1/4 hp"), "{words}");
}

#[tokio::test]
async fn a_replay_of_all_entries_finds_the_stays() {
    type Row = (i64, i64, Option<i64>);
    let (db, _guard) = filled().await;
    let mut replayed: BTreeMap<String, Row> = BTreeMap::new();
    let mut last: BTreeMap<i64, String> = BTreeMap::new();
    let mut ended: BTreeMap<String, String> = BTreeMap::new();
    let mut entries = jobs::queries::all_entries(&db).await.expect("they read");
    entries.sort_by_key(|entry| entry.received_at);
    for entry in entries.iter().filter(|entry| entry.set_aside.is_none()) {
        if let Body::MotorFitted {
            machine_id,
            motor_id,
            ..
        } = &entry.body
        {
            let row = (machine_id.0, motor_id.0, Some(entry.received_at));
            replayed.insert(entry.id.clone(), row);
            if let Some(before) = last.insert(machine_id.0, entry.id.clone()) {
                ended.insert(before, entry.id.clone());
            }
        }
    }
    assert!(!replayed.is_empty(), "the demo fits motors");
    const SQL: &str = "SELECT s.on_entry, s.machine_id, u.motor_id, s.on_at, s.off_entry
        FROM motor_stays s JOIN motor_units u ON u.id = s.unit_id WHERE s.on_entry IS NOT NULL";
    type Found = (String, i64, i64, Option<i64>, Option<String>);
    let rows: Vec<Found> = brasstag::on_db!(&db, pool =>
        sqlx::query_as(SQL).fetch_all(pool).await.expect("the stays read"));
    assert_eq!(rows.len(), replayed.len());
    for (entry, machine, motor, on_at, off) in rows {
        assert_eq!(replayed.get(&entry), Some(&(machine, motor, on_at)));
        assert_eq!(ended.get(&entry), off.as_ref());
    }
}
