//! Procedures: written as plain text, kept by revision, taken by jobs and worked step by step.

use crate::app::TestApp;
use axum::http::StatusCode;

const TEXT: &str = "Guard off [locked]\n! It may turn by draught\nInsulation to earth [megohm >= 5]\n\
                    Belt [whole | cracked]\nRunning amps [amps <= 6.5]";

pub async fn write(app: &TestApp, text: &str) {
    let desk = app.sign_in("supervisor").await;
    let typed = [
        ("name", "Look at a fan"),
        ("for_kind", "fan"),
        ("text", text),
    ];
    let answer = desk
        .submit("/procedures/new", "/procedures/new", &typed)
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
}

#[tokio::test]
async fn a_procedure_is_written_shown_back_and_changed_by_revision() {
    let app = TestApp::start().await;
    write(&app, TEXT).await;
    let desk = app.sign_in("supervisor").await;
    let words = desk.get("/procedures/1").await.words();
    assert!(words.contains("5 MΩ or more"), "{words}");
    assert!(words.contains("whole / cracked"), "{words}");
    assert!(words.contains("Caution: It may turn by draught"), "{words}");
    let shown = desk.get("/procedures/1/edit").await;
    assert!(
        shown
            .value("#text")
            .contains("Insulation to earth [megohm >= 5]")
    );
    let page = "/procedures/1/edit";
    let typed = [("text", "Only this [rpm]"), ("act", "look")];
    let looked = desk.submit(page, page, &typed).await;
    assert_eq!(looked.status, StatusCode::OK);
    assert!(looked.text("ol.procedure").contains("Only this"));
    assert_eq!(
        app.count("SELECT revision FROM procedures").await,
        1,
        "looking saves nothing"
    );
    let saved = desk
        .submit(page, page, &[("text", "Only this [rpm]")])
        .await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    let words = desk.get("/procedures/1").await.words();
    assert!(words.contains("Revision 2") && !words.contains("Guard off"));
    let old = desk.get("/procedures/1?revision=1").await.words();
    assert!(old.contains("Guard off") && old.contains("not the newest"));
    assert_eq!(
        desk.get("/procedures/1?revision=3").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn each_line_that_does_not_read_is_named_and_all_is_kept() {
    let app = TestApp::start().await;
    let desk = app.sign_in("supervisor").await;
    let typed = [
        ("name", ""),
        ("text", "Speed [furlong]\nVolts [volts 9..2]"),
    ];
    let page = desk
        .submit("/procedures/new", "/procedures/new", &typed)
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#text-error").contains("Line 1: “furlong”"));
    assert!(page.texts(".problem-lines li")[1].contains("Line 2: The limits"));
    assert!(page.text("#name-error").contains("Name the procedure"));
    assert!(page.value("#text").contains("furlong"));
    assert_eq!(app.count("SELECT count(*) FROM procedures").await, 0);
    write(&app, TEXT).await;
    let typed = [("name", "look at a FAN"), ("text", "One")];
    let page = desk
        .submit("/procedures/new", "/procedures/new", &typed)
        .await;
    assert!(page.text("#name-error").contains("has this name"));
}

#[tokio::test]
async fn two_who_change_it_at_once_do_not_overwrite_each_other() {
    let app = TestApp::start().await;
    write(&app, TEXT).await;
    let desk = app.sign_in("supervisor").await;
    let page = "/procedures/1/edit";
    for status in [StatusCode::SEE_OTHER, StatusCode::CONFLICT] {
        let answer = desk
            .submit(page, page, &[("text", "One"), ("version", "1")])
            .await;
        assert_eq!(answer.status, status);
    }
}

#[tokio::test]
async fn the_starter_set_adds_what_is_missing_and_only_a_supervisor_writes() {
    let app = TestApp::start().await;
    let desk = app.sign_in("supervisor").await;
    for _ in 0..2 {
        let answer = desk.submit("/procedures", "/procedures/starter", &[]).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER);
        assert_eq!(app.count("SELECT count(*) FROM procedures").await, 6);
    }
    let technician = app.sign_in("technician").await;
    let page = technician.get("/procedures").await;
    assert!(page.words().contains("Pump seal and coupling"));
    assert!(!page.has("form[action='/procedures/starter']"));
    assert_eq!(
        technician.get("/procedures/new").await.status,
        StatusCode::FORBIDDEN
    );
    let csrf = page.value("[name=csrf]");
    let sent = technician
        .post("/procedures/starter", &[("csrf", &csrf)])
        .await;
    assert_eq!(sent.status, StatusCode::FORBIDDEN);
    let reporter = app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/procedures").await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        desk.get("/procedures/99").await.status,
        StatusCode::NOT_FOUND
    );
}
