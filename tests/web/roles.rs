//! Who may open and send what in a job: one table, which a new route cannot leave out.

use crate::app::{Answer, NOON, TestApp, Visit};
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use brasstag::people::Role;

/// Who is let in.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Who {
    /// Also without sign-in.
    Anybody,
    Staff,
    Workers,
    Supervisor,
    Desk,
    /// Who takes from the shelf.
    Hands,
    /// There is no such page.
    Nobody,
}
use Who::{Anybody, Desk, Hands, Nobody, Staff, Supervisor, Workers};

impl Who {
    fn lets_in(self, role: Role) -> bool {
        match self {
            Anybody => true,
            Staff => role != Role::Reporter,
            Workers => matches!(role, Role::Technician | Role::Supervisor),
            Supervisor => role == Role::Supervisor,
            Desk => matches!(role, Role::Supervisor | Role::Auditor),
            Hands => Workers.lets_in(role) || role == Role::Storekeeper,
            Nobody => false,
        }
    }
}

/// Route, who may look, who may send.
const TABLE: &[(&str, Who, Who)] = &[
    ("/report", Anybody, Anybody),
    ("/t/{tag}", Anybody, Nobody),
    ("/status", Anybody, Nobody),
    ("/status/{number}", Anybody, Nobody),
    ("/desk", Desk, Nobody),
    ("/desk/board", Desk, Nobody),
    ("/desk/hand-out", Nobody, Supervisor),
    ("/desk/week", Desk, Nobody),
    ("/desk/month", Desk, Nobody),
    ("/desk/proposal", Supervisor, Nobody),
    ("/desk/backlog", Desk, Nobody),
    ("/desk/old", Desk, Nobody),
    ("/today", Workers, Nobody),
    ("/temporary", Staff, Nobody),
    ("/locks", Staff, Nobody),
    ("/photos/{sha}", Staff, Nobody),
    ("/photos/{sha}/small", Staff, Nobody),
    ("/jobs/{id}", Staff, Nobody),
    ("/jobs/{id}/plan", Supervisor, Supervisor),
    ("/jobs/{id}/priority", Supervisor, Supervisor),
    ("/jobs/{id}/hand-out", Nobody, Supervisor),
    ("/jobs/{id}/turn-down", Nobody, Supervisor),
    ("/jobs/{id}/join", Nobody, Supervisor),
    ("/jobs/{id}/confirm", Workers, Workers),
    ("/jobs/{id}/as-found", Workers, Workers),
    ("/jobs/{id}/hold", Workers, Workers),
    ("/jobs/{id}/paper", Workers, Workers),
    ("/jobs/{id}/resume", Nobody, Workers),
    ("/jobs/{id}/time", Staff, Workers),
    ("/jobs/{id}/time/withdraw", Nobody, Workers),
    ("/jobs/{id}/note", Workers, Workers),
    ("/jobs/{id}/cause", Workers, Workers),
    ("/jobs/{id}/sign-off", Supervisor, Supervisor),
    ("/jobs/{id}/new-machine", Nobody, Supervisor),
    ("/jobs/{id}/way", Staff, Nobody),
    ("/jobs/{id}/way/{what}", Nobody, Workers),
    ("/jobs/{id}/steps", Staff, Nobody),
    ("/jobs/{id}/steps/take", Nobody, Workers),
    ("/jobs/{id}/steps/drop", Nobody, Workers),
    ("/jobs/{id}/steps/{position}", Workers, Workers),
    ("/jobs/{id}/parts", Staff, Workers),
    ("/jobs/{id}/review", Supervisor, Supervisor),
    ("/jobs/{id}/follow-up", Workers, Workers),
    ("/jobs/{id}/temporary", Staff, Workers),
    ("/jobs/{id}/temporary/end", Nobody, Workers),
    ("/jobs/{id}/sheet", Staff, Nobody),
    ("/jobs/{id}/from-paper", Workers, Workers),
    ("/day-pack", Workers, Nobody),
    ("/jobs/{id}/isolation", Staff, Nobody),
    ("/jobs/{id}/isolation/told", Nobody, Workers),
    ("/jobs/{id}/isolation/lock", Nobody, Workers),
    ("/jobs/{id}/isolation/off", Nobody, Workers),
    ("/jobs/{id}/isolation/dead", Nobody, Workers),
    ("/jobs/{id}/work", Staff, Workers),
    ("/jobs/{id}/fitted", Nobody, Workers),
    ("/jobs/{id}/lift", Staff, Nobody),
    ("/jobs/{id}/lift/ready", Nobody, Workers),
    ("/jobs/{id}/lift/off", Nobody, Workers),
    ("/jobs/{id}/lift/energise", Nobody, Workers),
    ("/jobs/{id}/proof", Staff, Workers),
    ("/jobs/{id}/return", Staff, Workers),
    ("/jobs/{id}/return/owed", Nobody, Workers),
    ("/jobs/{id}/return/interlocks", Nobody, Workers),
    ("/jobs/{id}/photos", Staff, Workers),
    ("/jobs/{id}/photos/withdraw", Nobody, Workers),
    ("/jobs/{id}/lock/{lock}/removal", Staff, Supervisor),
    ("/jobs/{id}/lock/{lock}/told", Nobody, Workers),
    ("/jobs/{id}/handover", Staff, Workers),
    ("/jobs/{id}/box", Staff, Workers),
    ("/jobs/{id}/box/on", Nobody, Workers),
    ("/jobs/{id}/box/off", Nobody, Workers),
    ("/jobs/{id}/permits", Staff, Workers),
    ("/jobs/{id}/permits/needed", Nobody, Supervisor),
    ("/jobs/{id}/permits/close", Nobody, Workers),
    // In the rooms of the shelf and of preventive work
    ("/jobs/{id}/fit", Staff, Nobody),
    ("/jobs/{id}/fit/{motor}", Staff, Workers),
    ("/jobs/{id}/circuit", Staff, Workers),
    ("/jobs/{id}/circuit/decision", Nobody, Supervisor),
    ("/jobs/{id}/warranty", Staff, Hands),
    ("/jobs/{id}/warranty/unit", Nobody, Hands),
    ("/jobs/{id}/warranty/settled", Nobody, Hands),
    ("/jobs/{id}/stores", Staff, Nobody),
    ("/jobs/{id}/stores/issue", Nobody, Hands),
    ("/jobs/{id}/stores/return", Nobody, Hands),
    ("/jobs/{id}/stores/keep", Nobody, Hands),
    ("/jobs/{id}/stores/release", Nobody, Hands),
    ("/jobs/{id}/stores/count", Nobody, Hands),
    ("/jobs/{id}/plan-from-cause", Workers, Supervisor),
];

/// The routes of a job, wherever they are listed, each with whether it has a page and whether it
/// takes a form.
fn routes() -> Vec<(String, bool, bool)> {
    let own = include_str!("../../src/server/src/routes/jobs.rs");
    let others = [
        include_str!("../../src/server/src/routes/shelf.rs"),
        include_str!("../../src/server/src/routes/preventive.rs"),
        include_str!("../../src/server/src/routes/registers.rs"),
        include_str!("../../src/server/src/routes/shop.rs"),
        include_str!("../../src/server/src/routes/exchange.rs"),
    ];
    let others = others.iter().flat_map(|file| file.split(".route(").skip(1));
    let of_jobs = others.filter(|call| call.contains("\"/jobs/{id}"));
    let calls = own.split(".route(").skip(1).chain(of_jobs);
    calls
        .map(|call| {
            let path = call.split('"').nth(1).expect("a path");
            (
                path.to_owned(),
                call.contains("get("),
                call.contains("post("),
            )
        })
        .collect()
}

fn address(route: &str) -> String {
    route
        .replace("{id}", "1")
        .replace("{tag}", "F-1")
        .replace("{number}", "1")
        .replace("{position}", "1")
        .replace("{what}", "touches")
        .replace("{lock}", "none")
        .replace("{motor}", "1")
        .replace("{sha}", "none")
}

#[test]
fn every_route_of_a_job_stands_in_the_table_as_it_is() {
    let routes = routes();
    assert!(routes.len() > 50, "{routes:?}");
    for (path, gets, posts) in &routes {
        let row = TABLE.iter().find(|(route, ..)| route == path);
        let (_, look, send) = row.unwrap_or_else(|| panic!("{path} is not in the table of roles"));
        assert_eq!(*look != Nobody, *gets, "a page at {path}");
        assert_eq!(*send != Nobody, *posts, "a form at {path}");
    }
    for (route, ..) in TABLE {
        let known = routes.iter().any(|(path, ..)| path == route);
        assert!(known, "{route} is a route");
    }
}

async fn send(visit: &Visit<'_>, path: &str, csrf: &str) -> Answer {
    if path.ends_with("/photos") {
        let body = format!(
            "--b\r\ncontent-disposition: form-data; name=\"csrf\"\r\n\r\n{csrf}\r\n--b--\r\n"
        );
        let request = Request::post(path)
            .header(header::COOKIE, visit.cookie())
            .header(header::CONTENT_TYPE, "multipart/form-data; boundary=b")
            .body(Body::from(body))
            .expect("a request");
        return visit.send(request).await;
    }
    let entry = brasstag::jobs::record::new_id(NOON);
    visit
        .post(path, &[("csrf", csrf), ("entry", &entry), ("seen", "1")])
        .await
}

#[tokio::test]
async fn each_role_is_let_in_where_the_table_says_and_nowhere_else() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    plan_and_hand_out(&app, 1).await;
    for role in Role::ALL {
        let visit = app.sign_in(role.word()).await;
        let csrf = visit.get("/report").await.value("input[name=csrf]");
        let before = app.count("SELECT count(*) FROM entries").await;
        for (route, look, post) in TABLE {
            let path = address(route);
            if *look != Nobody {
                let status = visit.get(&path).await.status;
                let refused = status == StatusCode::FORBIDDEN;
                assert_eq!(
                    refused,
                    !look.lets_in(role),
                    "{role:?} at {route}: {status}"
                );
            }
            if *post != Nobody {
                let answer = send(&visit, &path, &csrf).await;
                let refused = answer.status == StatusCode::FORBIDDEN;
                let said = (role, route, answer.status, answer.text("main"));
                assert_eq!(refused, !post.lets_in(role), "{said:?}");
            }
        }
        if !Hands.lets_in(role) {
            let after = app.count("SELECT count(*) FROM entries").await;
            assert_eq!(after, before, "{role:?} wrote nothing");
        }
    }
}

#[tokio::test]
async fn without_sign_in_only_reporting_and_status_are_open() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    let visit = app.visitor();
    let csrf = visit.get("/report").await.value("input[name=csrf]");
    for (route, look, post) in TABLE {
        let path = address(route);
        for (who, answer) in [
            (*look, visit.get(&path).await),
            (*post, send(&visit, &path, &csrf).await),
        ] {
            if matches!(who, Anybody | Nobody) {
                continue;
            }
            let sent_in = answer.location.starts_with("/sign-in");
            assert!(sent_in, "{route}: {} {}", answer.status, answer.location);
        }
    }
    assert_eq!(app.count("SELECT count(*) FROM entries").await, 1);
}
