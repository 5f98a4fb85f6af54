//! Confirming the unit: its neighbours are named; on a roof a unit is confirmed only once the edge is far enough or protection is named.

use crate::app::{Answer, TestApp, Visit};
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;

async fn handed_out() -> TestApp {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    plan_and_hand_out(&app, 1).await;
    app
}

async fn confirm(visit: &Visit<'_>, roof: &[(&str, &str)]) -> Answer {
    let mut typed = vec![("tag_read", "F-1"), ("method", "tag scanned")];
    typed.extend(roof);
    visit
        .submit("/jobs/1/confirm", "/jobs/1/confirm", &typed)
        .await
}

#[tokio::test]
async fn an_unknown_or_near_edge_waits_for_protection_and_keeps_what_was_typed() {
    let app = handed_out().await;
    let phone = app.sign_in("technician").await;
    let page = confirm(&phone, &[("roof_minutes", "45")]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    let why = page.text("#roof_protection-error");
    assert!(why.contains("unknown counts as under 6 ft"), "{why}");
    assert_eq!(page.value("#roof_minutes"), "45");
    let near = [
        ("roof_edge", "5 ft"),
        ("roof_protection", "area_infrequent"),
    ];
    let page = confirm(&phone, &near).await;
    let why = page.text("#roof_protection-error");
    assert!(why.contains("5 ft is under 6 ft from the edge"), "{why}");
    let page = confirm(
        &phone,
        &[("roof_edge", "near"), ("roof_minutes", "a while")],
    )
    .await;
    assert!(page.text("#roof_edge-error").contains("12 ft or 3.6 m"));
    assert!(page.text("#roof_minutes-error").contains("whole minutes"));
    assert_eq!(page.value("#roof_edge"), "near");
    let job = phone.get("/jobs/1").await.words();
    assert!(!job.contains("Unit confirmed"), "nothing was recorded");
}

#[tokio::test]
async fn what_is_named_stands_on_job_timeline_and_sheet() {
    let app = handed_out().await;
    let phone = app.sign_in("technician").await;
    assert!(
        phone
            .get("/jobs/1/sheet")
            .await
            .words()
            .contains("Kept from falling by")
    );
    let named = [
        ("roof_edge", "1.5 m"),
        ("roof_drop", "20"),
        ("roof_minutes", "45"),
        ("roof_protection", "restraint"),
    ];
    let answer = confirm(&phone, &named).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let line = "Roof: edge 1.5 m (4.9 ft), drop 6.1 m (20 ft), 45 min there; protection: travel \
                restraint";
    for page in ["/jobs/1", "/jobs/1/sheet"] {
        let words = phone.get(page).await.words();
        assert!(words.contains(line), "{page}: {words}");
        assert!(words.contains("Named against falling here: travel restraint"));
    }
}

#[tokio::test]
async fn beyond_fifteen_feet_the_rule_is_said_and_nothing_more_is_asked() {
    let app = handed_out().await;
    let phone = app.sign_in("technician").await;
    let between = [
        ("roof_edge", "10 ft"),
        ("roof_minutes", "150"),
        ("roof_protection", "area_infrequent"),
    ];
    let page = confirm(&phone, &between).await;
    assert!(page.text("#roof_minutes-error").contains("two hours only"));
    let answer = confirm(&phone, &[("roof_edge", "25 ft"), ("roof_minutes", "45")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let words = phone.get("/jobs/1").await.words();
    assert!(
        words.contains("nobody goes within 15 ft of the edge"),
        "{words}"
    );
}

#[tokio::test]
async fn a_machine_that_is_on_no_roof_is_asked_nothing_of_it() {
    let app = handed_out().await;
    app.run("UPDATE places SET kind = 'room' WHERE id = 2")
        .await;
    let phone = app.sign_in("technician").await;
    let page = phone.get("/jobs/1/confirm").await;
    assert!(!page.words().contains("On the roof"));
    let answer = confirm(&phone, &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
}

#[tokio::test]
async fn a_neighbour_with_a_tag_alike_is_named() {
    let app = handed_out().await;
    let phone = app.sign_in("technician").await;
    let words = phone.get("/jobs/1/confirm").await.words();
    assert!(
        words.contains("Easily taken for anotherF-2 Glaze fan, Flat roof"),
        "{words}"
    );
    app.run("UPDATE machines SET tag = 'UH-30', kind = 'unit_heater' WHERE id = 2")
        .await;
    let words = phone.get("/jobs/1/confirm").await.words();
    assert!(
        !words.contains("Glaze fan"),
        "neither alike nor of its kind"
    );
    app.run(
        "INSERT INTO places (id, parent_id, kind, name) VALUES (3, 1, 'room', 'Glaze room');
         UPDATE machines SET tag = 'F-1B', place_id = 3 WHERE id = 2",
    )
    .await;
    let words = phone.get("/jobs/1/confirm").await.words();
    assert!(words.contains("F-1B Glaze fan, Glaze room"), "{words}");
}
