//! What programs read through `/api/v1`: pages of lists, versions, unknowns, refusals.

use crate::api::{json_of, problem, program};
use crate::app::TestApp;
use crate::small_shop::{lay_out, report};
use axum::http::{StatusCode, header};
use brasstag::api::scopes::Scope;
use brasstag::people::Role;
use serde_json::json;

#[tokio::test]
async fn every_refusal_below_api_is_a_problem() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let program = program(&app, "Clock", Role::Supervisor, &Scope::ALL).await;
    let json = ("content-type", "application/json");
    let big = format!("\"{}\"", "x".repeat(300 * 1024));
    for (method, path, headers, body, status) in [
        ("GET", "/nowhere", vec![], "", 404),
        ("GET", "", vec![], "", 404),
        ("GET", "/machines/99", vec![], "", 404),
        ("GET", "/machines/x", vec![], "", 404),
        ("GET", "/machines/%FF", vec![], "", 404),
        ("DELETE", "/machines", vec![], "", 405),
        (
            "OPTIONS",
            "/machines",
            vec![("origin", "https://other.example")],
            "",
            405,
        ),
        ("GET", "/machines?limit=0", vec![], "", 400),
        ("GET", "/machines?limit=many", vec![], "", 400),
        ("GET", "/machines?colour=green", vec![], "", 400),
        ("GET", "/machines?cursor=AAAA", vec![], "", 400),
        ("GET", "/jobs?state=lost", vec![], "", 400),
        ("GET", "/due?until=2026-02-30", vec![], "", 400),
        ("POST", "/figure/motor_branch", vec![json], "no json", 400),
        ("POST", "/figure/motor_branch", vec![], "{}", 415),
        ("POST", "/figure/motor_branch", vec![json], &big, 413),
        ("POST", "/figure/horoscope", vec![json], "{}", 404),
        (
            "POST",
            "/figure/motor_branch",
            vec![json],
            "{\"hp\": \"\\u0000\"}",
            422,
        ),
    ] {
        let answer = program.send(method, path, &headers, body).await;
        assert_eq!(
            answer.status.as_u16(),
            status,
            "{method} {path}: {}",
            answer.body
        );
        problem(&answer);
        assert!(!answer.headers.contains_key("access-control-allow-origin"));
        if status == 405 {
            assert!(
                answer.headers.contains_key(header::ALLOW),
                "{method} {path}"
            );
        }
    }
    let visit = app.visitor();
    for path in ["/api", "/api/", "/api/v2", "/api/figure/x/y"] {
        let answer = visit.get(path).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        problem(&answer);
    }
    problem(&visit.get("/api/figure").await);
    problem(&visit.post("/api/figure", &[]).await);
}

#[tokio::test]
async fn pages_stay_whole_while_rows_are_added() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    for n in 0..5 {
        report(&app, "F-1", &format!("It howls {n}")).await;
    }
    let program = program(&app, "Mirror", Role::Auditor, &Scope::ALL).await;
    let mut seen = Vec::new();
    let mut next = "/jobs?limit=2".to_owned();
    while !next.is_empty() {
        let answer = program.send("GET", &next, &[], "").await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
        let page = json_of(&answer);
        for job in page["items"].as_array().expect("items") {
            seen.push(job["id"].as_i64().expect("a number"));
        }
        if seen.len() == 2 {
            report(&app, "F-2", "Added meanwhile").await;
        }
        let link = answer
            .headers
            .get(header::LINK)
            .map(|v| v.to_str().expect("text"));
        assert_eq!(link.is_some(), page["next_cursor"].is_string());
        next = link.map_or_else(String::new, |link| {
            let (address, rel) = link.split_once('>').expect("an address");
            assert_eq!(rel, "; rel=\"next\"");
            address.trim_start_matches("</api/v1").to_owned()
        });
    }
    assert_eq!(seen, [1, 2, 3, 4, 5, 6], "each once, in order");
    let (_, all) = program.get("/jobs?machine_id=2").await;
    assert_eq!(all["items"][0]["id"], json!(6));
    let (_, all) = program
        .get("/jobs?machine_id=1&state=reported&limit=200")
        .await;
    assert_eq!(all["items"].as_array().map(Vec::len), Some(5));
    let (_, none) = program.get("/jobs?state=held").await;
    assert_eq!(none["items"], json!([]));
    let (_, first) = program.get("/machines?limit=1").await;
    assert_eq!(first["items"][0]["tag"], json!("F-1"));
    app.run(
        "INSERT INTO machines (tag, name, kind, place_id, facts, created_at)
        VALUES ('A-1', 'Early', 'pump', 2, '{}', 0), ('F-10', 'Between', 'fan', 2, '{}', 0)",
    )
    .await;
    let next = first["next_cursor"].as_str().expect("more");
    let (_, rest) = program.get(&format!("/machines?cursor={next}")).await;
    let tags: Vec<&str> = rest["items"]
        .as_array()
        .expect("items")
        .iter()
        .filter_map(|machine| machine["tag"].as_str())
        .collect();
    assert_eq!(tags, ["F-10", "F-2"]);
    let (_, fans) = program.get("/machines?kind=fan&place_id=1&limit=2").await;
    assert!(fans["next_cursor"].is_string());
    let (_, one) = program.get("/machines?tag=f-2").await;
    assert_eq!(one["items"][0]["id"], json!(2));
    let (_, places) = program.get("/places").await;
    assert_eq!(places["items"][1]["parent_id"], json!(1));
}

#[tokio::test]
async fn what_is_not_known_is_null_and_who_reported_needs_a_scope_of_its_own() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let typed = [
        ("tag", "F-1"),
        ("words", "It howls"),
        ("reporter", "Odile of the studio"),
        ("contact", "Extension 12"),
    ];
    app.visitor().submit("/report", "/report", &typed).await;
    let curious = program(&app, "Wall board", Role::Auditor, &[Scope::JobsRead]).await;
    let (_, job) = curious.get("/jobs/1").await;
    assert_eq!(job["state"], json!("reported"));
    assert_eq!(job["words"], json!("It howls"));
    assert_eq!(job["reported_at"], json!("2026-11-25T12:00:00.000Z"));
    assert!(job["planned_minutes"].is_null() && job["scope"].is_null());
    assert!(job.get("reporter").is_none());
    let (_, entries) = curious.get("/jobs/1/entries").await;
    let text = entries.to_string();
    assert!(text.contains("It howls") && !text.contains("Odile") && !text.contains("Extension"));
    assert!(entries["items"][0]["by"].is_null() && entries["items"][0]["number"] == json!(1));
    let scopes = [Scope::JobsRead, Scope::ReportersRead];
    let trusted = program(&app, "Call desk", Role::Auditor, &scopes).await;
    let (_, job) = trusted.get("/jobs/1").await;
    assert_eq!(job["reporter"]["contact"], json!("Extension 12"));
    let (_, entries) = trusted.get("/jobs/1/entries").await;
    assert!(entries.to_string().contains("Odile of the studio"));
}

#[tokio::test]
async fn a_record_says_its_version_and_is_not_sent_twice() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run("UPDATE machines SET facts = '{\"driven\": {\"wheel_diameter\": 315.0}}' WHERE id = 1")
        .await;
    let program = program(&app, "Mirror", Role::Auditor, &Scope::ALL).await;
    let answer = program.send("GET", "/machines/1", &[], "").await;
    let tag = answer.headers[header::ETAG]
        .to_str()
        .expect("text")
        .to_owned();
    let machine = json_of(&answer);
    assert!(machine["serves"].is_null() && machine["retired_on"].is_null());
    let wheel = json!({
        "name": "wheel_diameter", "label": "Wheel diameter", "value": "315", "unit": "mm",
    });
    assert_eq!(machine["facts"], json!([wheel]));
    let known = [("if-none-match", tag.as_str())];
    let same = program.send("GET", "/machines/1", &known, "").await;
    assert_eq!(same.status, StatusCode::NOT_MODIFIED);
    app.run("UPDATE machines SET version = version + 1 WHERE id = 1")
        .await;
    let changed = program.send("GET", "/machines/1", &known, "").await;
    assert_eq!(changed.status, StatusCode::OK);
}

#[tokio::test]
async fn a_program_calculates_with_its_token() {
    let app = TestApp::start().await;
    let program = program(&app, "Bench", Role::Technician, &[Scope::FigureRead]).await;
    let (_, topics) = program.get("/figure").await;
    assert!(topics["items"].as_array().is_some_and(|all| all.len() > 60));
    let json_body = [("content-type", "application/json; charset=utf-8")];
    let motor = r#"{"hp": "5", "phases": 1, "terminal_c": 75, "volts": 230}"#;
    let answer = program
        .send("POST", "/figure/motor_branch", &json_body, motor)
        .await;
    assert_eq!(json_of(&answer)["min_conductor_ampacity_a"], json!(35.0));
    let wrong = program
        .send(
            "POST",
            "/figure/motor_branch",
            &json_body,
            r#"{"hp": "many"}"#,
        )
        .await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(problem(&wrong)["errors"][0]["field"], json!("hp"));
}

#[tokio::test]
async fn the_contract_is_there_for_programs_and_for_people() {
    let app = TestApp::behind("/shop").await;
    let visit = app.visitor();
    let answer = visit.get("/shop/api/v1/openapi.json").await;
    assert_eq!(answer.status, StatusCode::OK);
    let contract = json_of(&answer);
    assert_eq!(contract["openapi"], json!("3.1.0"));
    assert_eq!(contract["servers"][0]["url"], json!("/shop/api/v1"));
}
