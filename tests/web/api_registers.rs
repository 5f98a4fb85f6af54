//! Machines and meters that programs write: the version that was read, the rules of the pages.

use crate::api::{json_of, problem};
use crate::api_writes::{JSON, post, refused, shop};
use crate::app::TestApp;
use axum::http::{StatusCode, header};
use serde_json::json;

const PATCH: (&str, &str) = ("content-type", "application/merge-patch+json");

#[tokio::test]
async fn a_machine_is_added_and_changed_by_the_version_that_was_read() {
    let app = TestApp::start().await;
    let planner = shop(&app).await;
    let new = json!({
        "tag": "P-7", "name": "Heating pump", "kind": "pump", "place_id": 2,
        "criticality": "high", "serves": "Studios", "before_you_go": "Ask at the office",
    });
    let answer = planner
        .send("POST", "/machines", &[JSON], &new.to_string())
        .await;
    assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.body);
    let at = answer.location.trim_start_matches("/api/v1").to_owned();
    let made = json_of(&answer);
    assert_eq!(made["before_you_go"], json!("Ask at the office"));
    assert!(made["installed_on"].is_null());
    let tag = answer.headers[header::ETAG]
        .to_str()
        .expect("text")
        .to_owned();
    for (body, field) in [
        (
            json!({ "tag": "p-7", "name": "x", "kind": "fan", "place_id": 2, "criticality": "low" }),
            "tag",
        ),
        (
            json!({ "tag": "P 8", "name": "x", "kind": "fan", "place_id": 2, "criticality": "low" }),
            "tag",
        ),
        (
            json!({ "tag": "P-8", "name": "x", "kind": "fan", "place_id": 99, "criticality": "low" }),
            "place_id",
        ),
        (
            json!({ "tag": "P-8", "name": "x", "kind": "mill", "place_id": 2, "criticality": "low" }),
            "kind",
        ),
        (
            json!({ "tag": "P-8", "name": "x", "kind": "fan", "place_id": 2 }),
            "criticality",
        ),
        (
            json!({ "tag": "P-8", "name": "x", "kind": "fan", "place_id": 2, "criticality": "low",
            "installed_on": "2026-02-30" }),
            "installed_on",
        ),
    ] {
        assert_eq!(
            refused(&planner, "/machines", &body).await,
            (422, field.to_owned()),
            "{body}"
        );
    }
    let change = r#"{"serves": null, "installed_on": "2019-05-02", "tag": "P-8"}"#;
    let send = async |headers: &[(&str, &str)], body: &str| {
        planner.send("PATCH", &at, headers, body).await
    };
    let unsaid = send(&[PATCH], change).await;
    assert_eq!(unsaid.status, StatusCode::PRECONDITION_REQUIRED);
    problem(&unsaid);
    assert_eq!(
        send(&[JSON, ("if-match", &tag)], change)
            .await
            .status
            .as_u16(),
        415
    );
    let changed = send(&[PATCH, ("if-match", &tag)], change).await;
    assert_eq!(changed.status, StatusCode::OK, "{}", changed.body);
    let now = json_of(&changed);
    assert_eq!(
        (&now["tag"], &now["installed_on"]),
        (&json!("P-8"), &json!("2019-05-02"))
    );
    assert!(now["serves"].is_null());
    assert_eq!(
        now["before_you_go"],
        json!("Ask at the office"),
        "what is left out stays"
    );
    let stale = send(&[PATCH, ("if-match", &tag)], change).await;
    assert_eq!(stale.status, StatusCode::PRECONDITION_FAILED);
    problem(&stale);
    let tag = changed.headers[header::ETAG]
        .to_str()
        .expect("text")
        .to_owned();
    let blank = send(&[PATCH, ("if-match", &tag)], r#"{"retired_on": ""}"#).await;
    assert_eq!(problem(&blank)["errors"][0]["field"], json!("retired_on"));
    let wrong = send(&[PATCH, ("if-match", &tag)], r#"{"tag": null}"#).await;
    assert_eq!(problem(&wrong)["errors"][0]["field"], json!("tag"));
    let sent = (0..20).map(|n| {
        let body = format!("{{\"serves\": \"Studio {n}\"}}");
        let tag = tag.clone();
        let send = &send;
        async move { send(&[PATCH, ("if-match", &tag)], &body).await.status }
    });
    let statuses = futures_util::future::join_all(sent).await;
    let taken = statuses
        .iter()
        .filter(|status| **status == StatusCode::OK)
        .count();
    assert_eq!(taken, 1, "one change to one version: {statuses:?}");
    let keeper =
        app.count("SELECT count(*) FROM audit WHERE thing = 'machines' AND act = 'change'");
    assert_eq!(keeper.await, 2);
}

#[tokio::test]
async fn a_change_leaves_motors_facts_and_a_proved_feed_as_they_are() {
    let app = TestApp::start().await;
    let planner = shop(&app).await;
    app.run(
        "UPDATE machines SET facts = '{\"driven\": {\"wheel_diameter\": 314.7}}',
            feed_proved_on = '2026-03-02', feed_proved_by = 'Tobin' WHERE id = 1",
    )
    .await;
    let motors = app.count("SELECT count(*) FROM motors").await;
    let kept = "SELECT count(*) FROM machines WHERE id = 1 AND fitted_motor_id = 1
        AND facts LIKE '%314.7%' AND feed_proved_by = 'Tobin'";
    let any = [PATCH, ("if-match", "*")];
    let answer = planner
        .send("PATCH", "/machines/1", &any, r#"{"name": "Kiln-hall fan"}"#)
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert_eq!(app.count(kept).await, 1);
    assert_eq!(app.count("SELECT count(*) FROM motors").await, motors);
    let answer = planner
        .send("PATCH", "/machines/1", &any, r#"{"circuit_id": null}"#)
        .await;
    assert!(
        json_of(&answer)["feed_proved_on"].is_null(),
        "{}",
        answer.body
    );
}

#[tokio::test]
async fn a_meter_is_read_by_a_program_and_odd_readings_are_refused() {
    let app = TestApp::start().await;
    let planner = shop(&app).await;
    app.run(
        "INSERT INTO meters (machine_id, name, unit, hours) VALUES (1, 'Run hours', 'h', TRUE)",
    )
    .await;
    let at = "/meters/1/readings";
    let (status, meter) = post(
        &planner,
        at,
        &json!({ "read_on": "2026-11-20", "value": 5200.5 }),
    )
    .await;
    assert_eq!(status, StatusCode::CREATED, "{meter}");
    assert_eq!(
        (&meter["last_value"], &meter["unit"]),
        (&json!(5200.5), &json!("h"))
    );
    for (body, field) in [
        (json!({ "read_on": "2026-11-26", "value": 5300 }), "read_on"),
        (json!({ "read_on": "2026-11-25", "value": 5100 }), "value"),
        (json!({ "read_on": "2026-11-25", "value": -1 }), "value"),
        (json!({ "read_on": "2026-11-25", "value": 5200.5 }), "value"),
        (json!({ "read_on": "2026-11-25", "value": 9999 }), "value"),
        (json!({ "read_on": "the 25th", "value": 5210 }), "read_on"),
        (json!({ "read_on": "2026-11-25", "value": "5210" }), "value"),
    ] {
        assert_eq!(
            refused(&planner, at, &body).await,
            (422, field.to_owned()),
            "{body}"
        );
    }
    let same = json!({ "read_on": "2026-11-25", "value": 5200.5, "same_as_last": true });
    assert_eq!(post(&planner, at, &same).await.0, StatusCode::CREATED);
    let (_, meters) = planner.get("/machines/1/meters").await;
    assert_eq!(meters["items"][0]["last_read_on"], json!("2026-11-25"));
    let none = json!({ "read_on": "2026-11-25", "value": 1 });
    assert_eq!(refused(&planner, "/meters/9/readings", &none).await.0, 404);
}
