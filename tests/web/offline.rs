//! The phone without signal, as the server sees it: the worker, the pages made to be kept, and the
//! answers to forms that were kept and come later.

use crate::app::{Answer, TestApp, Visit};
use crate::small_shop::{confirm_and_find, lay_out, plan_and_hand_out, report};
use axum::body::Body;
use axum::http::{Request, StatusCode, header};

async fn handed_out(app: &TestApp) -> i64 {
    lay_out(app).await;
    let job = report(app, "F-1", "It hums").await;
    plan_and_hand_out(app, job).await;
    job
}

/// The page as the phone asks for it to keep it.
async fn ahead(app: &TestApp, visit: &Visit<'_>, of: &str, path: &str) -> Answer {
    let request = Request::get(path)
        .header(header::COOKIE, visit.cookie())
        .header("brasstag-ahead", app.person(of).await.0.to_string());
    visit
        .send(request.body(Body::empty()).expect("request"))
        .await
}

/// Sends a kept form of `writer` over this visit's session, with the session's own csrf word.
async fn sent_later(
    app: &TestApp,
    visit: &Visit<'_>,
    writer: &str,
    path: &str,
    fields: &[(String, String)],
) -> Answer {
    let csrf = visit.get("/outbox/session").await;
    let csrf = serde_json::from_str::<serde_json::Value>(&csrf.body).unwrap_or_default();
    let mut fields: Vec<(String, String)> = fields.to_vec();
    for (name, value) in &mut fields {
        if name == "csrf" {
            *value = csrf["csrf"].as_str().unwrap_or("none").to_owned();
        }
    }
    let value = |name: &str| {
        let found = fields.iter().find(|(n, _)| n == name);
        found.map_or_else(String::new, |(_, v)| v.clone())
    };
    let request = Request::post(path)
        .header(header::COOKIE, visit.cookie())
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .header("brasstag-writer", app.person(writer).await.0.to_string())
        .header("brasstag-entry", value("entry"))
        .header("brasstag-seen", value("seen"));
    let body = serde_html_form::to_string(&fields).expect("a form");
    visit
        .send(request.body(Body::from(body)).expect("request"))
        .await
}

fn header_of<'a>(answer: &'a Answer, name: &str) -> &'a str {
    let value = answer.headers.get(name).expect("the header");
    value.to_str().expect("ascii")
}

fn json(answer: &Answer) -> serde_json::Value {
    serde_json::from_str(&answer.body).unwrap_or_else(|e| panic!("{e}: {}", answer.body))
}

#[tokio::test]
async fn the_worker_stands_beside_the_pages_and_knows_its_installation() {
    for base in ["", "/brasstag"] {
        let app = TestApp::behind(base).await;
        let visit = app.visitor();
        let answer = visit.get(&format!("{base}/worker.js")).await;
        assert_eq!(answer.status, StatusCode::OK);
        assert!(
            answer
                .body
                .starts_with(&format!("const BASE = \"{base}\";"))
        );
        assert!(answer.body.contains(&format!("\"{base}/static/")));
        assert_eq!(header_of(&answer, "cache-control"), "no-cache");
        assert!(header_of(&answer, "content-security-policy").contains("default-src 'none'"));
    }
}

#[tokio::test]
async fn only_pages_of_who_works_at_machines_load_what_the_phone_needs() {
    let app = TestApp::start().await;
    let works = app.sign_in("technician").await;
    let page = works.get("/outbox").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.has("#outbox") && page.body.contains("/offline.js"));
    for role in ["reporter", "storekeeper", "auditor", "keeper"] {
        let visit = app.sign_in(role).await;
        assert_eq!(
            visit.get("/outbox").await.status,
            StatusCode::FORBIDDEN,
            "{role}"
        );
        assert!(
            !visit.get("/report").await.body.contains("/offline.js"),
            "{role}"
        );
    }
    let nobody = app.visitor();
    assert!(!nobody.get("/sign-in").await.body.contains("/offline.js"));
    assert_eq!(
        nobody.get("/outbox/session").await.status,
        StatusCode::UNAUTHORIZED
    );
}

#[tokio::test]
async fn a_page_made_to_be_kept_shows_every_form_and_gates_nothing_open() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    let visit = app.sign_in("technician").await;
    let path = format!("/jobs/{job}");
    let forms = [
        ("/isolation", "/isolation/told"),
        ("/isolation", "/isolation/lock"),
        ("/isolation", "/isolation/dead"),
        ("/work", "/work"),
        ("/lift", "/lift/ready"),
        ("/lift", "/lift/energise"),
        ("/proof", "/proof"),
        ("/return", "/return"),
    ];
    for (page, form) in forms {
        let css = format!("form[action=\"{path}{form}\"]");
        let page = format!("{path}{page}");
        assert!(!visit.get(&page).await.has(&css), "{page}: not open yet");
        let kept = ahead(&app, &visit, "technician", &page).await;
        assert!(kept.has(&css), "{page} is kept with {form}");
    }
    let kept = ahead(&app, &visit, "technician", &path).await;
    assert!(kept.has("#kept-pages a") && !visit.get(&path).await.has("#kept-pages"));
    // What is typed there early is refused like everything else.
    let kept = ahead(&app, &visit, "technician", &format!("{path}/work")).await;
    let fields = kept.filled(&format!("{path}/work"), &[("what", "Belt changed")]);
    let answer = sent_later(&app, &visit, "technician", &format!("{path}/work"), &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has(".problems"), "{}", answer.body);
    let work = "SELECT count(*) FROM entries WHERE kind = 'work_done'";
    assert_eq!(app.count(work).await, 0);
    // Put right by hand, it comes back on its form, with what was typed.
    let request = Request::post(format!("{path}/work"))
        .header(header::COOKIE, visit.cookie())
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .header(
            "brasstag-ahead",
            app.person("technician").await.0.to_string(),
        );
    let body = serde_html_form::to_string(&fields).expect("a form");
    let answer = visit.send(request.body(Body::from(body)).expect("request"));
    let answer = answer.await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(answer.text("#what"), "Belt changed");
    // An auditor's page offers nothing to send, kept or not.
    let auditor = app.sign_in("auditor").await;
    let kept = ahead(&app, &auditor, "auditor", &format!("{path}/work")).await;
    assert!(!kept.has(&format!("form[action=\"{path}/work\"]")));
}

#[tokio::test]
async fn kept_forms_come_in_order_once_each_and_stand_on_one_another() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    let visit = app.sign_in("technician").await;
    confirm_and_find(&visit, job).await;
    let page = format!("/jobs/{job}/isolation");
    let kept = ahead(&app, &visit, "technician", &page).await;
    let told = kept.filled(
        &format!("{page}/told"),
        &[("who", "Kiln keeper"), ("device_at", "1795600000000")],
    );
    let first = sent_later(&app, &visit, "technician", &format!("{page}/told"), &told).await;
    assert_eq!(first.status, StatusCode::OK, "{}", first.body);
    let seen = told
        .iter()
        .find(|(name, _)| name == "seen")
        .expect("seen")
        .1
        .clone();
    let before: i64 = seen.parse().expect("a version");
    assert_eq!(json(&first)["seen"], before + 1);
    assert!(json(&first)["set_aside"].is_null());
    // The answer was lost: the same again is the same entry.
    for _ in 0..3 {
        let again = sent_later(&app, &visit, "technician", &format!("{page}/told"), &told).await;
        assert_eq!(again.status, StatusCode::OK, "{}", again.body);
    }
    let told =
        "SELECT count(*) FROM entries WHERE kind = 'people_told' AND device_at = 1795600000000";
    assert_eq!(app.count(told).await, 1);
}

#[tokio::test]
async fn what_comes_too_late_is_set_aside_and_says_so() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    let visit = app.sign_in("technician").await;
    let page = format!("/jobs/{job}/work");
    let kept = ahead(&app, &visit, "technician", &page).await;
    let work = kept.filled(&page, &[("what", "Belt changed")]);
    // Meanwhile the desk adds to the job.
    let desk = app.sign_in("supervisor").await;
    let note = format!("/jobs/{job}/note");
    desk.submit(&note, &note, &[("text", "Wait for Orrin")])
        .await;
    let answer = sent_later(&app, &visit, "technician", &page, &work).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert!(json(&answer)["set_aside"].is_string(), "{}", answer.body);
    assert!(json(&answer)["seen"].is_null(), "others have changed it");
    let aside = "SELECT count(*) FROM entries WHERE kind = 'work_done' AND set_aside IS NOT NULL";
    assert_eq!(app.count(aside).await, 1);
}

#[tokio::test]
async fn a_kept_form_goes_under_its_writers_name_or_not_at_all() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    let visit = app.sign_in("technician").await;
    let page = format!("/jobs/{job}/note");
    let fields = visit
        .get(&page)
        .await
        .filled(&page, &[("text", "Belt is worn")]);
    // Another person has signed in on this phone.
    let other = app.sign_in("supervisor").await;
    let answer = sent_later(&app, &other, "technician", &page, &fields).await;
    assert_eq!(answer.status, StatusCode::CONFLICT, "{}", answer.body);
    let kept = ahead(&app, &other, "technician", "/today").await;
    assert_eq!(kept.status, StatusCode::CONFLICT);
    // The session has ended: told plainly, and nothing is kept on the server's side.
    app.run("DELETE FROM sessions").await;
    let answer = sent_later(&app, &visit, "technician", &page, &fields).await;
    assert_eq!(answer.status, StatusCode::UNAUTHORIZED);
    assert_eq!(app.count("SELECT count(*) FROM kept_forms").await, 0);
    let notes = "SELECT count(*) FROM entries WHERE kind = 'note'";
    assert_eq!(app.count(notes).await, 0);
    let again = app.sign_in("technician").await;
    let answer = sent_later(&app, &again, "technician", &page, &fields).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert_eq!(app.count(notes).await, 1);
}
