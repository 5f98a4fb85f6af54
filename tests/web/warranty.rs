//! Warranty asked about before opening, and units taken off with what is still owed back.

use crate::app::{Answer, TestApp};
use crate::small_shop::{confirm_and_find, lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;

/// Sends one of the forms of a page with its hidden fields.
async fn send(app: &TestApp, who: &str, page: &str, to: &str, fields: &[(&str, &str)]) -> Answer {
    let visit = app.sign_in(who).await;
    let shown = app.sign_in("technician").await.get(page).await;
    let (entry, seen) = (shown.value("[name=entry]"), shown.value("[name=seen]"));
    let csrf = visit.get("/shelf/parts").await.value("[name=csrf]");
    let mut all = vec![
        ("csrf", csrf.as_str()),
        ("entry", entry.as_str()),
        ("seen", seen.as_str()),
        ("device_at", ""),
    ];
    all.extend(fields);
    visit.post(to, &all).await
}

/// Notes a warranty in the machine's papers.
async fn note(app: &TestApp, who: &str, fields: &[(&str, &str)]) -> Answer {
    let visit = app.sign_in(who).await;
    let page = visit.get("/machines/1/papers").await;
    let csrf = page.value("[name=csrf]");
    let mut all = vec![("csrf", csrf.as_str()), ("act", "warranty")];
    all.extend(fields);
    visit.post("/machines/1/papers", &all).await
}

const RUNS: &[(&str, &str)] = &[
    ("of", "machine"),
    ("covers", "Builder, wheel and motor"),
    ("until", "2027-05-01"),
    ("terms", "Call first"),
];

async fn job(app: &TestApp) -> String {
    let job = report(app, "F-1", "It rattles").await;
    plan_and_hand_out(app, job).await;
    job.to_string()
}

#[tokio::test]
async fn a_running_warranty_is_shown_until_somebody_answers() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let refused = note(&app, "supervisor", &[("of", "roof")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text("#of-error").contains("Choose"));
    assert!(refused.text("#covers-error").contains("answers for"));
    assert!(refused.text("#until-error").contains("last day"));
    let denied = note(&app, "technician", RUNS).await;
    assert_eq!(denied.status, StatusCode::FORBIDDEN);
    let noted = note(&app, "supervisor", RUNS).await;
    assert_eq!(noted.location, "/machines/1/papers", "{}", noted.body);

    let job = job(&app).await;
    let tech = app.sign_in("technician").await;
    for page in ["", "/work"] {
        let words = tech.get(&format!("/jobs/{job}{page}")).await.words();
        assert!(words.contains("A warranty runs"), "{page}: {words}");
    }
    let page = format!("/jobs/{job}/warranty");
    let empty = send(&app, "technician", &page, &page, &[("of", "1")]).await;
    assert_eq!(empty.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(empty.text("#answer-error"), "Choose what was agreed");
    let go_on = [("of", "1"), ("answer", "go_on")];
    let unsaid = send(&app, "technician", &page, &page, &go_on).await;
    assert!(unsaid.text("#why-error").contains("Say why"));
    let other = [("of", "77"), ("answer", "claim")];
    let other = send(&app, "technician", &page, &page, &other).await;
    assert_eq!(other.status, StatusCode::UNPROCESSABLE_ENTITY);
    let denied = send(&app, "auditor", &page, &page, &go_on).await;
    assert_eq!(denied.status, StatusCode::FORBIDDEN);
    let said = [("of", "1"), ("answer", "go_on"), ("why", "Storm damage")];
    let done = send(&app, "technician", &page, &page, &said).await;
    assert_eq!(done.location, page, "{}", done.body);
    let words = tech.get(&format!("/jobs/{job}/work")).await.words();
    assert!(!words.contains("A warranty runs") && words.contains("Storm damage"));
    let told = "SELECT count(*) FROM entries WHERE kind = 'warranty_answered'";
    assert_eq!(app.count(told).await, 1);
}

#[tokio::test]
async fn nothing_is_worked_on_before_a_running_warranty_is_answered_for() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    note(&app, "supervisor", RUNS).await;
    let job = job(&app).await;
    let number: i64 = job.parse().expect("a number");
    let tech = app.sign_in("technician").await;
    confirm_and_find(&tech, number).await;
    crate::isolation::isolate(&tech, number).await;
    let work = format!("/jobs/{job}/work");
    let done = [("what", "Wheel cleaned")];
    let refused = tech.submit(&work, &work, &done).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused.words().contains("opened under warranty because"),
        "{}",
        refused.words()
    );
    assert_eq!(
        refused.value("#what"),
        "Wheel cleaned",
        "what was typed stays"
    );
    assert!(
        refused.has("#warranty"),
        "the message leads to the way through"
    );
    let page = format!("/jobs/{job}/warranty");
    let said = [("of", "1"), ("answer", "go_on"), ("why", "The café waits")];
    let answered = send(&app, "technician", &page, &page, &said).await;
    assert_eq!(answered.location, page, "{}", answered.body);
    let done = tech.submit(&work, &work, &done).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
}

#[tokio::test]
async fn a_warranty_that_is_over_or_taken_out_asks_nothing() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let mut over = RUNS.to_vec();
    over[2] = ("until", "2020-01-01");
    assert_eq!(
        note(&app, "supervisor", &over).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        note(&app, "supervisor", RUNS).await.status,
        StatusCode::SEE_OTHER
    );
    let visit = app.sign_in("supervisor").await;
    let csrf = visit.get("/machines/1/papers").await.value("[name=csrf]");
    let end = [
        ("csrf", csrf.as_str()),
        ("act", "end_warranty"),
        ("id", "2"),
    ];
    let ended = visit.post("/machines/1/papers", &end).await;
    assert_eq!(ended.status, StatusCode::SEE_OTHER);
    let again = visit.post("/machines/1/papers", &end).await;
    assert_eq!(again.status, StatusCode::CONFLICT);
    assert!(visit.get("/machines/1").await.words().contains("(over)"));
    let job = job(&app).await;
    let words = visit.get(&format!("/jobs/{job}")).await.words();
    assert!(!words.contains("A warranty runs"), "{words}");
}

#[tokio::test]
async fn what_goes_back_is_owed_until_it_is_settled() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let job = job(&app).await;
    let (page, unit) = (
        format!("/jobs/{job}/warranty"),
        format!("/jobs/{job}/warranty/unit"),
    );
    let typed = [("what", "Old motor"), ("goes", "core")];
    let refused = send(&app, "storekeeper", &page, &unit, &typed).await;
    assert!(refused.text("#sent_to-error").contains("to whom"));
    assert_eq!(refused.value("#what"), "Old motor");
    let bad = [("what", "Old motor"), ("goes", "river")];
    let refused = send(&app, "storekeeper", &page, &unit, &bad).await;
    assert!(refused.text("#goes-error").contains("where it goes"));
    let typed = [
        ("what", "Old motor"),
        ("goes", "core"),
        ("sent_to", "Rewinder"),
        ("back_by", "2026-11-01"),
    ];
    let done = send(&app, "storekeeper", &page, &unit, &typed).await;
    assert_eq!(done.location, page, "{}", done.body);
    let scrap = [("what", "Old belt"), ("goes", "scrap")];
    let done = send(&app, "technician", &page, &unit, &scrap).await;
    assert_eq!(done.location, page, "{}", done.body);
    let visit = app.sign_in("storekeeper").await;
    let words = visit.get("/buying").await.words();
    assert!(words.contains("Still to go back (1)"), "{words}");
    assert!(words.contains("late: was due by"), "{words}");
    assert!(!words.contains("Old belt"), "{words}");

    let settled = format!("{page}/settled");
    let of: String = visit
        .get(&page)
        .await
        .value("form[action$=settled] [name=of]");
    let blank = [("of", of.as_str())];
    let refused = send(&app, "storekeeper", &page, &settled, &blank).await;
    assert!(refused.text("#how-error").contains("how it ended"));
    let how = [("of", of.as_str()), ("how", "Sent, 40 credited")];
    let done = send(&app, "storekeeper", &page, &settled, &how).await;
    assert_eq!(done.location, page, "{}", done.body);
    let again = send(&app, "storekeeper", &page, &settled, &how).await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
    let words = visit.get("/buying").await.words();
    assert!(!words.contains("Still to go back"), "{words}");
}
