//! What programs write through `/api/v1`: the same gates as the pages, the field named, once.

use crate::api::{Program, json_of, problem, program};
use crate::app::TestApp;
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::http::{StatusCode, header};
use brasstag::api::scopes::Scope;
use brasstag::people::Role;
use serde_json::{Value, json};

pub const JSON: (&str, &str) = ("content-type", "application/json");

pub async fn post(program: &Program<'_>, path: &str, body: &Value) -> (StatusCode, Value) {
    let answer = program.send("POST", path, &[JSON], &body.to_string()).await;
    if answer.status.is_client_error() {
        problem(&answer);
    }
    (answer.status, json_of(&answer))
}

/// Status and the first field that was refused.
pub async fn refused(program: &Program<'_>, path: &str, body: &Value) -> (u16, String) {
    let (status, answer) = post(program, path, body).await;
    let field = answer["errors"][0]["field"].as_str().unwrap_or("");
    assert!(status.is_client_error(), "{answer}");
    (status.as_u16(), field.to_owned())
}

pub async fn shop(app: &TestApp) -> Program<'_> {
    lay_out(app).await;
    program(app, "Planner", Role::Supervisor, &Scope::ALL).await
}

#[tokio::test]
async fn a_report_begins_a_job_once_and_carries_the_programs_name() {
    let app = TestApp::start().await;
    let planner = shop(&app).await;
    let id = "018f4e1c-7d2a-7c3e-9f00-0123456789ab";
    let body = json!({
        "id": id, "tag": "f-1", "words": "No flow at the grille", "danger": false, "needed": true,
        "signs": ["burning"],
    });
    let answer = planner
        .send("POST", "/jobs", &[JSON], &body.to_string())
        .await;
    assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.body);
    assert_eq!(answer.location, "/api/v1/jobs/1");
    assert!(answer.headers.contains_key(header::ETAG));
    let job = json_of(&answer);
    assert_eq!(job["machine_id"], json!(1));
    assert!(job["priority"].is_string(), "{job}");
    let (status, again) = post(&planner, "/jobs", &body).await;
    assert_eq!((status, &again["id"]), (StatusCode::OK, &job["id"]));
    let other = json!({ "id": id, "tag": "F-1", "words": "Something else" });
    assert_eq!(
        refused(&planner, "/jobs", &other).await,
        (422, "id".to_owned())
    );
    let (_, entries) = planner.get("/jobs/1/entries").await;
    assert_eq!(entries["items"][0]["by"]["name"], json!("Planner"));
    assert_eq!(entries["items"].as_array().map(Vec::len), Some(1));
    for (body, field) in [
        (json!({ "tag": "F-1" }), "words"),
        (json!({ "tag": "F-1", "words": " " }), "words"),
        (json!({ "tag": "X-9", "words": "Howls" }), "tag"),
        (json!({ "words": "Howls" }), "place_id"),
        (json!({ "words": "Howls", "place_id": 99 }), "place_id"),
        (json!({ "words": "Howls", "colour": 1 }), "colour"),
        (json!({ "words": "Howls", "place_id": "2" }), "place_id"),
        (
            json!({ "words": "Howls", "tag": "F-1", "signs": ["ghosts"] }),
            "signs[0]",
        ),
        (json!({ "words": "x".repeat(2001), "tag": "F-1" }), "words"),
        (json!({ "id": "one", "words": "Howls", "tag": "F-1" }), "id"),
    ] {
        assert_eq!(
            refused(&planner, "/jobs", &body).await,
            (422, field.to_owned()),
            "{body}"
        );
    }
    assert_eq!(app.count("SELECT count(*) FROM jobs").await, 1);
    let desk = app.sign_in("supervisor").await;
    assert!(desk.get("/jobs/1").await.words().contains("Planner"));
}

#[tokio::test]
async fn entries_pass_the_same_gates_as_on_the_pages_and_the_field_is_named() {
    let app = TestApp::start().await;
    let planner = shop(&app).await;
    report(&app, "F-1", "It howls").await;
    let at = "/jobs/1/entries";
    let technician = app.person("technician").await.0;
    let storekeeper = app.person("storekeeper").await.0;
    let said = |body: Value| json!({ "body": body });
    for (body, field) in [
        (
            json!({ "kind": "planned", "machine_id": 9, "scope": "Look" }),
            "body.machine_id",
        ),
        (
            json!({ "kind": "planned", "machine_id": 1, "scope": " " }),
            "body.scope",
        ),
        (json!({ "kind": "planned", "machine_id": 1 }), "body.scope"),
        (
            json!({ "kind": "planned", "machine_id": 1, "scope": "x", "minutes": -1 }),
            "body.minutes",
        ),
        (
            json!({ "kind": "handed_out", "to": technician, "on": "2026-11-25" }),
            "form",
        ),
        (json!({ "kind": "held", "reason": "weather" }), "form"),
        (json!({ "kind": "held", "reason": "other" }), "body.note"),
        (json!({ "kind": "joined_to", "job_id": 1 }), "body.job_id"),
        (
            json!({ "kind": "correction", "of": "none", "text": "No" }),
            "body.of",
        ),
        (
            json!({ "kind": "note", "text": "x", "colour": 1 }),
            "body.colour",
        ),
    ] {
        let sent = said(body.clone());
        assert_eq!(
            refused(&planner, at, &sent).await,
            (422, field.to_owned()),
            "{body}"
        );
    }
    // What hands do is a person's own word.
    for kind in [
        "lock_on",
        "lock_off",
        "dead_test",
        "energised",
        "proof",
        "work_done",
        "back_in_service",
        "signed_off",
        "reported",
        "ready_to_lift",
    ] {
        let sent = said(json!({ "kind": kind, "note": "", "machine_id": 1 }));
        assert_eq!(refused(&planner, at, &sent).await.0, 422, "{kind}");
    }
    assert_eq!(app.count("SELECT count(*) FROM entries").await, 1);
    let plan =
        said(json!({ "kind": "planned", "machine_id": 1, "scope": "Find out", "minutes": 90 }));
    assert_eq!(post(&planner, at, &plan).await.0, StatusCode::CREATED);
    let to = |person: i64| said(json!({ "kind": "handed_out", "to": person, "on": "2026-11-25" }));
    assert_eq!(
        refused(&planner, at, &to(storekeeper)).await,
        (422, "body.to".to_owned())
    );
    let own = app.count("SELECT person_id FROM integrations").await;
    assert_eq!(
        refused(&planner, at, &to(own)).await,
        (422, "body.to".to_owned())
    );
    let (status, entry) = post(&planner, at, &to(technician)).await;
    assert_eq!(status, StatusCode::CREATED);
    assert_eq!(entry["body"]["to"], json!(technician));
    assert!(entry["set_aside"].is_null());
    let (_, job) = planner.get("/jobs/1").await;
    assert_eq!(
        (&job["state"], &job["planned_minutes"]),
        (&json!("handed_out"), &json!(90))
    );
    let held = said(json!({ "kind": "held", "reason": "part", "note": "A belt" }));
    let (_, entry) = post(&planner, at, &held).await;
    assert_eq!(entry["by"]["name"], json!("Planner"));
    let resumed = said(json!({ "kind": "resumed", "note": null }));
    assert_eq!(post(&planner, at, &resumed).await.0, StatusCode::CREATED);
    let correction = said(json!({ "kind": "correction", "of": entry["id"], "text": "Two belts" }));
    assert_eq!(post(&planner, at, &correction).await.0, StatusCode::CREATED);
    let level = said(json!({ "kind": "priority_set", "level": "danger", "reason": "Smoke" }));
    assert_eq!(post(&planner, at, &level).await.0, StatusCode::CREATED);
    let none = said(json!({ "kind": "note", "text": "Nobody there" }));
    assert_eq!(refused(&planner, "/jobs/99/entries", &none).await.0, 404);
}

#[tokio::test]
async fn an_entry_that_comes_too_late_is_kept_and_set_aside() {
    let app = TestApp::start().await;
    let planner = shop(&app).await;
    report(&app, "F-1", "It howls").await;
    let (_, before) = planner.get("/jobs/1").await;
    plan_and_hand_out(&app, 1).await;
    let late = json!({
        "seen_version": before["version"], "happened_at": "2026-11-25T09:30:00+01:00",
        "body": { "kind": "resumed", "note": "It runs" },
    });
    let (status, entry) = post(&planner, "/jobs/1/entries", &late).await;
    assert_eq!(status, StatusCode::CREATED, "{entry}");
    assert!(
        entry["set_aside"]
            .as_str()
            .is_some_and(|why| !why.is_empty())
    );
    assert_eq!(entry["device_at"], json!("2026-11-25T08:30:00.000Z"));
    let (_, job) = planner.get("/jobs/1").await;
    assert_eq!(job["state"], json!("handed_out"), "kept, not acted on");
    let desk = app.sign_in("supervisor").await;
    assert!(desk.get("/jobs/1").await.words().contains("It runs"));
}

#[tokio::test]
async fn one_key_is_one_change_however_often_and_at_once_it_is_sent() {
    let app = TestApp::start().await;
    let planner = shop(&app).await;
    report(&app, "F-1", "It howls").await;
    let note = json!({ "body": { "kind": "note", "text": "The door is shut" } }).to_string();
    let key = ("idempotency-key", "note-1");
    let headers = [JSON, key];
    let sent = (0..20).map(|_| planner.send("POST", "/jobs/1/entries", &headers, &note));
    let answers = futures_util::future::join_all(sent).await;
    for answer in &answers {
        assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.body);
        assert_eq!(answer.body, answers[0].body, "the same answer");
        assert_eq!(answer.location, "/api/v1/jobs/1/entries");
    }
    assert_eq!(app.count("SELECT count(*) FROM entries").await, 2);
    let body = json!({ "tag": "F-2", "words": "Howls too" }).to_string();
    let sent =
        (0..20).map(|_| planner.send("POST", "/jobs", &[JSON, ("idempotency-key", "r")], &body));
    let answers = futures_util::future::join_all(sent).await;
    assert!(
        answers
            .iter()
            .all(|a| a.status == StatusCode::CREATED && a.body == answers[0].body)
    );
    assert_eq!(app.count("SELECT count(*) FROM jobs").await, 2);
    // Another body, or another record, is another request.
    let other = note.replace("shut", "open");
    for (path, body) in [("/jobs/1/entries", &other), ("/jobs/2/entries", &note)] {
        let answer = planner.send("POST", path, &headers, body).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(
            problem(&answer)["detail"]
                .to_string()
                .contains("Idempotency-Key")
        );
    }
    let bad = planner
        .send(
            "POST",
            "/jobs/1/entries",
            &[JSON, ("idempotency-key", "a b")],
            &note,
        )
        .await;
    assert_eq!(bad.status, StatusCode::BAD_REQUEST);
    // Another program's key is its own; a refusal is not kept; a day later the key is free again.
    let twin = program(&app, "Twin", Role::Supervisor, &Scope::ALL).await;
    let answer = twin.send("POST", "/jobs/1/entries", &headers, &note).await;
    assert_eq!(answer.status, StatusCode::CREATED);
    assert_eq!(app.count("SELECT count(*) FROM entries").await, 4);
    let key = ("idempotency-key", "try");
    let missing = json!({ "tag": "N-1", "words": "Howls" }).to_string();
    let answer = planner.send("POST", "/jobs", &[JSON, key], &missing).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    app.run(
        "INSERT INTO machines (tag, name, kind, place_id, facts, created_at)
        VALUES ('N-1', 'New', 'fan', 2, '{}', 0)",
    )
    .await;
    let answer = planner.send("POST", "/jobs", &[JSON, key], &missing).await;
    assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.body);
    app.state.clock.advance(brasstag::clock::DAY + 1);
    let answer = planner
        .send("POST", "/jobs/1/entries", &headers, &other)
        .await;
    assert_eq!(answer.status, StatusCode::CREATED);
    assert_eq!(
        app.count("SELECT count(*) FROM api_answers").await,
        1,
        "old ones are gone"
    );
}

#[tokio::test]
async fn an_entry_with_an_id_of_its_own_is_added_once_without_a_key() {
    let app = TestApp::start().await;
    let planner = shop(&app).await;
    report(&app, "F-1", "It howls").await;
    report(&app, "F-2", "It hums").await;
    let note = |text: &str| {
        json!({
            "id": "018f4e1c-7d2a-7c3e-9f00-00000000000a",
            "body": { "kind": "note", "text": text },
        })
    };
    let body = note("Heard it").to_string();
    let sent = (0..20).map(|_| planner.send("POST", "/jobs/1/entries", &[JSON], &body));
    let answers = futures_util::future::join_all(sent).await;
    let made = answers.iter().filter(|a| a.status == StatusCode::CREATED);
    assert_eq!(made.count(), 1);
    let same = answers.iter().filter(|a| a.status == StatusCode::OK);
    assert_eq!(same.count(), 19);
    let other = refused(&planner, "/jobs/1/entries", &note("Heard nothing")).await;
    assert_eq!(other, (422, "id".to_owned()));
    let elsewhere = refused(&planner, "/jobs/2/entries", &note("Heard it")).await;
    assert_eq!(elsewhere, (422, "id".to_owned()));
    assert_eq!(app.count("SELECT count(*) FROM entries").await, 3);
}
