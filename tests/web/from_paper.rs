//! Typing in what came back on paper: the same gates, the mark, and what an old sheet is told.

use crate::app::{Answer, TestApp, Visit};
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;

pub async fn handed_out(app: &TestApp) -> i64 {
    lay_out(app).await;
    let job = report(app, "F-1", "It hums").await;
    plan_and_hand_out(app, job).await;
    job
}

/// Types in a paper: the head, and what is given.
pub async fn type_in(
    app: &TestApp,
    visit: &Visit<'_>,
    (job, code): (i64, &str),
    parts: &[(&str, &str)],
) -> Answer {
    let writer = app.person("technician").await.0.to_string();
    let mut typed = vec![
        ("sheet_code", code),
        ("writer", writer.as_str()),
        ("written_on", "2026-11-25"),
        ("written_at", "11:30"),
    ];
    typed.extend(parts);
    let page = format!("/jobs/{job}/from-paper");
    visit.submit(&page, &page, &typed).await
}

pub async fn code(visit: &Visit<'_>, job: i64) -> String {
    let sheet = visit.get(&format!("/jobs/{job}/sheet")).await;
    sheet.text(".sheet-head strong")
}

pub const UNTIL_DEAD: &[(&str, &str)] = &[
    ("unit_tag_read", "F-1"),
    ("unit_roof_protection", "restraint"),
    ("seen_running", "stopped"),
    ("seen_condition", "Hums, warm"),
    ("seen_guard", "there and whole"),
    ("told_who", "Kiln keeper"),
    ("lock1_seen_off", "yes"),
    ("lock1_lock_number", "41"),
    ("lock2_seen_off", "yes"),
    ("lock2_lock_number", "42"),
    ("lock2_relieved", "Wheel blocked, does not turn"),
    ("dead_did_not_start", "yes"),
    ("dead_instrument", "Tester T-1"),
    ("dead_instrument_unknown", "yes"),
    ("dead_known_source", "Receptacle"),
    ("dead_before", "119"),
    ("dead_after", "119"),
    ("dead_pair_1_L-N", "0.2"),
    ("dead_pair_1_L-E", "0.1"),
    ("dead_pair_1_N-E", "0"),
    ("work_what", "Wheel cleaned"),
];

#[tokio::test]
async fn a_whole_paper_makes_its_entries_in_order_with_the_mark() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    let visit = app.sign_in("technician").await;
    let code = code(&visit, job).await;
    let answer = type_in(&app, &visit, (job, &code), UNTIL_DEAD).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
    let marked = "SELECT count(*) FROM entries WHERE kind = 'from_paper'";
    assert_eq!(app.count(marked).await, 1);
    let isolated = "SELECT count(*) FROM jobs WHERE state = 'isolated'";
    assert_eq!(app.count(isolated).await, 1);
    // The day and time of the paper are the device's time.
    let at = "SELECT count(*) FROM entries WHERE kind = 'work_done' AND device_at < received_at";
    assert_eq!(app.count(at).await, 1);
    let shown = visit.get(&format!("/jobs/{job}")).await.words();
    assert!(shown.contains("From paper, typed in by"), "{shown}");
    assert!(shown.contains(&code), "{shown}");
}

#[tokio::test]
async fn paper_opens_no_way_around_a_gate_and_keeps_what_was_typed() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    let visit = app.sign_in("technician").await;
    let code = code(&visit, job).await;
    // One pair was left blank: the dead test is refused, and so is the work behind it.
    let parts: Vec<(&str, &str)> = UNTIL_DEAD
        .iter()
        .copied()
        .filter(|(name, _)| *name != "dead_pair_1_L-E")
        .collect();
    let answer = type_in(&app, &visit, (job, &code), &parts).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has("#dead_pair_1_L-E-error"), "{}", answer.words());
    assert_eq!(answer.value("#dead_pair_1_L-N"), "0.2");
    assert_eq!(answer.text("#work_what"), "Wheel cleaned");
    assert_eq!(answer.value("#unit_tag_read"), "", "that was taken");
    let work = "SELECT count(*) FROM entries WHERE kind = 'work_done'";
    assert_eq!(app.count(work).await, 0);
    assert_eq!(app.count("SELECT count(*) FROM locks").await, 2);

    // The rest is typed; the sheet is not called old for what came from itself.
    let page = format!("/jobs/{job}/from-paper");
    let fields = answer.filled(&page, &[("dead_pair_1_L-E", "0.1")]);
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (&**n, &**v)).collect();
    let answer = visit.post(&page, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
    assert_eq!(app.count(work).await, 1);
    assert_eq!(app.count("SELECT count(*) FROM locks").await, 2);
}

#[tokio::test]
async fn an_old_sheet_is_told_what_has_changed_and_goes_in_once_looked_at() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    let visit = app.sign_in("technician").await;
    let code = code(&visit, job).await;
    let note = format!("/jobs/{job}/note");
    visit
        .submit(&note, &note, &[("text", "Key 4 is bent")])
        .await;
    let parts = [("unit_tag_read", "F-1"), ("unit_roof_protection", "arrest")];
    let answer = type_in(&app, &visit, (job, &code), &parts).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text("#looked-error").contains("older"));
    assert!(answer.words().contains("Note, "), "{}", answer.words());
    assert_eq!(answer.value("#unit_tag_read"), "F-1");
    let parts = [
        ("unit_tag_read", "F-1"),
        ("unit_roof_protection", "arrest"),
        ("looked", "yes"),
    ];
    let page = format!("/jobs/{job}/from-paper");
    let fields = answer.filled(&page, &parts);
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (&**n, &**v)).collect();
    let answer = visit.post(&page, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
}

#[tokio::test]
async fn locks_of_another_person_are_not_typed_off() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    let visit = app.sign_in("technician").await;
    let first = code(&visit, job).await;
    type_in(&app, &visit, (job, &first), UNTIL_DEAD).await;
    let desk = app.sign_in("supervisor").await;
    let now = code(&desk, job).await;
    let parts = [
        ("ready_tools_clear", "yes"),
        ("ready_guards_on", "yes"),
        ("ready_people_clear", "all"),
        ("ready_people_told", "Kiln keeper"),
        ("off1_off", "yes"),
        ("power_on", "yes"),
    ];
    let answer = type_in(&app, &desk, (job, &now), &parts).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.words().contains("own hand"), "{}", answer.words());
    let standing = "SELECT count(*) FROM locks WHERE off_at IS NULL";
    assert_eq!(app.count(standing).await, 2);
    // And a technician does not type in another's paper.
    let writer = app.person("supervisor").await.0.to_string();
    let page = format!("/jobs/{job}/from-paper");
    let typed = [("writer", writer.as_str()), ("sheet_code", now.as_str())];
    let answer = visit.submit(&page, &page, &typed).await;
    assert!(answer.text("#writer-error").contains("your own"));
}

#[tokio::test]
async fn the_day_pack_holds_the_sheets_of_one_person() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    let visit = app.sign_in("technician").await;
    let pack = visit.get("/day-pack").await;
    assert_eq!(pack.texts("article.sheet").len(), 1);
    assert!(pack.text(".pack-cover").contains(&code(&visit, job).await));
    assert!(
        visit
            .get("/day-pack?day=2026-11-24")
            .await
            .words()
            .contains("No job")
    );
    let me = app.person("technician").await.0;
    let desk = app.sign_in("supervisor").await;
    let of = desk.get(&format!("/day-pack?person={me}&large=yes")).await;
    assert!(of.has("article.sheet.roomy"));
    let other = app.person("supervisor").await.0;
    let refused = visit.get(&format!("/day-pack?person={other}")).await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}
