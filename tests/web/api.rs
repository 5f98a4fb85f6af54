//! `/api/v1` for programs: tokens, scopes and roles over every operation, pages of lists, refusals.

use crate::app::{Answer, TestApp};
use crate::small_shop::{lay_out, report};
use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use brasstag::api::document;
use brasstag::api::scopes::Scope;
use brasstag::api::table::{Operation, TABLE};
use brasstag::people::Role;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// A program with its token.
pub struct Program<'a> {
    pub app: &'a TestApp,
    pub token: String,
}

/// A token made by the keeper on the page, as it is shown there once.
pub async fn program<'a>(
    app: &'a TestApp,
    name: &str,
    role: Role,
    scopes: &[Scope],
) -> Program<'a> {
    let keeper = app.sign_in("keeper").await;
    let fields: Vec<String> = scopes
        .iter()
        .map(|scope| format!("scope-{}", scope.word().replace(':', "-")))
        .collect();
    let mut typed = vec![("name", name), ("role", role.word()), ("a_minute", "60000")];
    typed.extend(fields.iter().map(|field| (field.as_str(), "yes")));
    let page = "/shop/integrations";
    let shown = keeper.submit(page, page, &typed).await;
    assert_eq!(shown.status, StatusCode::OK, "{}", shown.text("main"));
    let token = shown.text("#token");
    assert!(token.starts_with("bt_") && token.len() == 46, "{token}");
    let again = keeper.get(page).await;
    assert!(!again.body.contains(&token), "a token is shown once");
    Program { app, token }
}

impl Program<'_> {
    pub async fn send(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &str,
    ) -> Answer {
        let mut request = Request::builder()
            .method(Method::from_bytes(method.as_bytes()).expect("a method"))
            .uri(format!("/api/v1{path}"));
        if !self.token.is_empty() {
            request = request.header(header::AUTHORIZATION, format!("Bearer {}", self.token));
        }
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let request = request
            .body(Body::from(body.to_owned()))
            .expect("a request");
        self.app.visitor().send(request).await
    }

    pub async fn get(&self, path: &str) -> (StatusCode, Value) {
        let answer = self.send("GET", path, &[], "").await;
        (answer.status, json_of(&answer))
    }
}

pub fn json_of(answer: &Answer) -> Value {
    serde_json::from_str(&answer.body).unwrap_or_else(|e| panic!("{e}: {}", answer.body))
}

/// A refusal is a problem, whoever made it, and is kept by no cache.
pub fn problem(answer: &Answer) -> Value {
    let header = |name| answer.headers.get(name).and_then(|v| v.to_str().ok());
    let said = (answer.status, &answer.body);
    let kind = header(header::CONTENT_TYPE);
    assert_eq!(kind, Some("application/problem+json"), "{said:?}");
    assert_eq!(header(header::CACHE_CONTROL), Some("no-store"), "{said:?}");
    let problem = json_of(answer);
    assert_eq!(problem["status"], json!(answer.status.as_u16()), "{said:?}");
    assert_eq!(problem["type"], json!("about:blank"));
    for text in ["title", "detail"] {
        let text = problem[text].as_str().unwrap_or("");
        assert!(!text.is_empty(), "{said:?}");
    }
    assert!(problem["errors"].is_array());
    problem
}

fn address(row: &Operation) -> String {
    let path = row.path.replace("{topic}", "motor_branch");
    path.replace("{id}", "1")
}

async fn ask(program: &Program<'_>, row: &Operation) -> Answer {
    let kind = match row.method {
        "PATCH" => "application/merge-patch+json",
        _ => "application/json",
    };
    let headers = [("content-type", kind)];
    program
        .send(row.method, &address(row), &headers, "{}")
        .await
}

/// The routes as they stand in the source, with their methods.
fn routes() -> BTreeSet<(String, String)> {
    let source = include_str!("../../src/server/src/api/mod.rs");
    let (_, v1) = source.split_once("fn v1(").expect("the routes of v1");
    let mut found = BTreeSet::new();
    for call in v1.split(".route(").skip(1) {
        let path = call.split('"').nth(1).expect("a path");
        let (handlers, _) = call.split_once(".fallback").unwrap_or((call, ""));
        for (word, method) in [("get(", "GET"), ("post(", "POST"), ("patch(", "PATCH")] {
            if handlers.contains(word) {
                found.insert((method.to_owned(), path.to_owned()));
            }
        }
        for word in ["put(", "delete(", "any(", "options("] {
            assert!(!handlers.contains(word), "{path} has {word}");
        }
    }
    found
}

#[test]
fn every_route_stands_in_the_table_and_in_the_contract() {
    let mut routes = routes();
    assert!(routes.remove(&("GET".to_owned(), "/openapi.json".to_owned())));
    let table: BTreeSet<(String, String)> = TABLE
        .iter()
        .map(|row| (row.method.to_owned(), row.path.to_owned()))
        .collect();
    assert_eq!(routes, table);
    let paths = document::contract()["paths"].as_object().expect("paths");
    for (method, path) in &routes {
        assert!(
            paths[path][method.to_lowercase()].is_object(),
            "{method} {path}"
        );
    }
}

#[tokio::test]
async fn each_scope_opens_its_operations_and_no_others() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    for scope in Scope::ALL {
        let program = program(&app, scope.word(), Role::Supervisor, &[scope]).await;
        for row in TABLE {
            let answer = ask(&program, row).await;
            let refused = answer.status == StatusCode::FORBIDDEN;
            let said = (row.method, row.path, scope.word(), answer.status);
            assert_eq!(refused, scope != row.scope, "{said:?} {}", answer.body);
            assert!(!answer.status.is_server_error(), "{said:?}");
            if refused {
                let detail = problem(&answer)["detail"].to_string();
                assert!(detail.contains(row.scope.word()), "{detail}");
            }
        }
    }
}

#[tokio::test]
async fn each_role_does_what_it_may_on_pages() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    for role in Role::ALL.into_iter().filter(|role| *role != Role::Keeper) {
        let program = program(&app, role.word(), role, &Scope::ALL).await;
        for row in TABLE {
            let answer = ask(&program, row).await;
            let refused = answer.status == StatusCode::FORBIDDEN;
            let said = (role, row.method, row.path, answer.status);
            assert_eq!(
                refused,
                !row.roles.contains(&role),
                "{said:?} {}",
                answer.body
            );
        }
    }
}

#[tokio::test]
async fn without_a_token_in_force_nothing_is_open() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let made = program(&app, "Clock", Role::Supervisor, &Scope::ALL).await;
    let supervisor = app.sign_in("supervisor").await;
    let cookie = supervisor.cookie();
    let wrong = format!("Bearer {}x", &made.token[..45]);
    for row in TABLE {
        let none = Program {
            app: &app,
            token: String::new(),
        };
        let json = ("content-type", "application/json");
        for headers in [
            vec![json],
            vec![json, ("cookie", cookie.as_str())],
            vec![json, ("authorization", wrong.as_str())],
            vec![json, ("authorization", "Basic YTpi")],
        ] {
            let answer = none.send(row.method, &address(row), &headers, "{}").await;
            let said = (row.method, row.path, &headers, &answer.body);
            assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{said:?}");
            assert!(answer.headers.contains_key(header::WWW_AUTHENTICATE));
            problem(&answer);
        }
    }
    assert_eq!(made.get("/jobs").await.0, StatusCode::OK);
    let keeper = app.sign_in("keeper").await;
    let page = keeper.get("/shop/integrations").await;
    assert!(page.words().contains("Clock"));
    assert!(page.words().contains("12:00"), "when it was last used");
    let ended = keeper
        .submit("/shop/integrations", "/shop/integrations/1/end", &[])
        .await;
    assert_eq!(ended.status, StatusCode::SEE_OTHER);
    assert_eq!(made.get("/jobs").await.0, StatusCode::UNAUTHORIZED);
    let twice = keeper.submit("/shop/places", "/sign-out", &[]).await.status;
    assert_eq!(twice, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_token_is_over_after_its_last_day() {
    let app = TestApp::start().await;
    let keeper = app.sign_in("keeper").await;
    let page = "/shop/integrations";
    let typed = [
        ("name", "Door counter"),
        ("role", "auditor"),
        ("scope-jobs-read", "yes"),
        ("expires_on", "2026-11-26"),
        ("a_minute", "2"),
    ];
    let shown = keeper.submit(page, page, &typed).await;
    let program = Program {
        app: &app,
        token: shown.text("#token"),
    };
    assert_eq!(program.get("/jobs").await.0, StatusCode::OK);
    assert_eq!(program.get("/jobs").await.0, StatusCode::OK);
    let often = program.send("GET", "/jobs", &[], "").await;
    assert_eq!(often.status, StatusCode::TOO_MANY_REQUESTS);
    problem(&often);
    assert_eq!(often.headers[header::RETRY_AFTER], "30");
    app.state.clock.advance(36 * brasstag::clock::HOUR - 1);
    assert_eq!(program.get("/jobs").await.0, StatusCode::OK);
    app.state.clock.advance(1);
    assert_eq!(program.get("/jobs").await.0, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn only_the_keeper_makes_and_ends_tokens_and_what_is_wrong_stands_beside_its_field() {
    let app = TestApp::start().await;
    for role in ["supervisor", "auditor"] {
        let visit = app.sign_in(role).await;
        let page = visit.get("/shop/integrations").await;
        assert_eq!(page.status, StatusCode::OK);
        assert!(!page.has("input[name=a_minute]"));
        let csrf = page.value("input[name=csrf]");
        for path in ["/shop/integrations", "/shop/integrations/1/end"] {
            let answer = visit.post(path, &[("csrf", &csrf)]).await;
            assert_eq!(answer.status, StatusCode::FORBIDDEN, "{role} {path}");
        }
    }
    let technician = app.sign_in("technician").await;
    for path in ["/shop/integrations", "/shop/integrations/contract"] {
        assert_eq!(technician.get(path).await.status, StatusCode::FORBIDDEN);
    }
    let keeper = app.sign_in("keeper").await;
    let page = "/shop/integrations";
    let typed = [
        ("expires_on", "2029-01-01"),
        ("a_minute", "0"),
        ("role", "keeper"),
    ];
    let refused = keeper.submit(page, page, &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    for field in ["name", "role", "scopes", "expires_on", "a_minute"] {
        assert!(
            !refused.text(&format!("#{field}-error")).is_empty(),
            "{field}"
        );
    }
    assert_eq!(
        refused.value("#expires_on"),
        "2029-01-01",
        "typed text stays"
    );
    assert_eq!(app.count("SELECT count(*) FROM integrations").await, 0);
    program(&app, "Clock", Role::Auditor, &[Scope::JobsRead]).await;
    let typed = [
        ("name", "clock"),
        ("role", "auditor"),
        ("scope-jobs-read", "yes"),
    ];
    let refused = keeper.submit(page, page, &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text("#name-error").contains("has this name"));
    let audited = app
        .count("SELECT count(*) FROM audit WHERE thing = 'integrations'")
        .await;
    assert_eq!(audited, 1);
    let twice = keeper.submit(page, "/shop/integrations/1/end", &[]).await;
    assert_eq!(twice.status, StatusCode::SEE_OTHER);
    let csrf = keeper.get(page).await.value("input[name=csrf]");
    let gone = keeper
        .post("/shop/integrations/1/end", &[("csrf", &csrf)])
        .await;
    assert_eq!(gone.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_token_is_no_person_and_nobody_signs_in_as_one() {
    let app = TestApp::start().await;
    program(&app, "Clock", Role::Technician, &[Scope::JobsRead]).await;
    let stored = app
        .count("SELECT count(*) FROM integrations WHERE length(token_hash) = 64 AND token_hash NOT LIKE 'bt_%'")
        .await;
    assert_eq!(stored, 1, "a fingerprint, not the token");
    let supervisor = app.sign_in("supervisor").await;
    assert!(
        !supervisor
            .get("/shop")
            .await
            .text("table")
            .contains("Clock")
    );
    let people = brasstag::people::queries::list(app.db())
        .await
        .expect("people");
    let own = people
        .iter()
        .find(|p| p.name == "Clock")
        .expect("a row of its own");
    assert!(own.closed && own.is_integration());
    for password in ["", "x"] {
        let answer = app
            .visitor()
            .submit(
                "/sign-in",
                "/sign-in",
                &[("name", &own.sign_in_name), ("password", password)],
            )
            .await;
        assert_ne!(answer.status, StatusCode::SEE_OTHER);
    }
}
