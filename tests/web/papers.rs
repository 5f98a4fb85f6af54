//! Notes with who wrote them when, documents with their revision, warranty and parent of a machine.

use crate::app::TestApp;
use crate::small_shop::{lay_out, report};
use axum::http::StatusCode;

const PAGE: &str = "/machines/1/papers";

async fn send(app: &TestApp, role: &str, typed: &[(&str, &str)]) -> crate::app::Answer {
    let visit = app.sign_in(role).await;
    let csrf = visit.get(PAGE).await.value("input[name=csrf]");
    let all = [&[("csrf", csrf.as_str())], typed].concat();
    visit.post(PAGE, &all).await
}

/// Documents have a form of their own, with a file or without.
async fn document(app: &TestApp, role: &str, typed: &[(&str, &str)]) -> crate::app::Answer {
    let visit = app.sign_in(role).await;
    let csrf = visit.get(PAGE).await.value("input[name=csrf]");
    let all = [&[("csrf", csrf.as_str())], typed].concat();
    let action = format!("{PAGE}/document");
    visit.post_files(&action, &all, &[]).await
}

const NOTED: &str = "/machines/1/papers#documents";

#[tokio::test]
async fn a_note_is_dated_and_signed_and_stands_on_the_jobs() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run("UPDATE machines SET before_you_go = 'Old word' WHERE id = 1")
        .await;
    let answer = send(&app, "technician", &[("act", "note"), ("text", " ")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text("#text-error").contains("before going"));
    let typed = [("act", "note"), ("text", "Tell the kiln keeper")];
    assert_eq!(send(&app, "technician", &typed).await.location, PAGE);
    let visit = app.sign_in("supervisor").await;
    let machine = visit.get("/machines/1").await.words();
    let said = "Tell the kiln keeper (The technician, Wed 25 Nov 2026)";
    assert!(
        machine.contains("Old word") && machine.contains(said),
        "{machine}"
    );
    report(&app, "F-1", "It hums").await;
    let page = visit.get(PAGE).await;
    let notes = page.texts("#notes li");
    assert!(notes[0].contains("Writer not known") && notes[1].contains("The technician"));
    let typed = [("act", "end_note"), ("id", "1")];
    assert_eq!(send(&app, "technician", &typed).await.location, PAGE);
    let machine = visit.get("/machines/1").await.words();
    assert!(!machine.contains("Old word") && machine.contains(said));
    assert!(visit.get(PAGE).await.words().contains("ended Wed 25 Nov"));
    let again = send(&app, "technician", &typed).await;
    assert_eq!(again.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn a_newer_document_takes_the_place_and_an_old_one_is_flagged() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let first = [("name", "Manual"), ("revision", "A"), ("kept", "Drawer 3")];
    assert_eq!(document(&app, "technician", &first).await.location, NOTED);
    let why = [
        ("act", "stale"),
        ("id", "1"),
        ("why", "Starter was changed"),
    ];
    assert_eq!(send(&app, "technician", &why).await.location, PAGE);
    let visit = app.sign_in("auditor").await;
    let machine = visit.get("/machines/1").await.words();
    assert!(
        machine.contains("Manual, revision A (out of date)"),
        "{machine}"
    );
    let job = report(&app, "F-1", "It hums").await;
    crate::small_shop::plan_and_hand_out(&app, job).await;
    let sheet = visit.get(&format!("/jobs/{job}/sheet")).await.words();
    assert!(
        sheet.contains("Manual, revision A (out of date)"),
        "{sheet}"
    );
    let next = [("name", "manual"), ("revision", "B"), ("kept", "Drawer 3")];
    assert_eq!(document(&app, "supervisor", &next).await.location, NOTED);
    let documents = visit.get(PAGE).await.texts("#documents li");
    assert_eq!(documents.len(), 1);
    assert!(documents[0].contains("revision B") && !documents[0].contains("Out of date"));
    let bare = document(&app, "technician", &[("name", "X")]).await;
    assert!(bare.text("#kept-error").contains("where it is kept"));
    assert_eq!(bare.value("#name"), "X");
}

#[tokio::test]
async fn a_machine_is_part_of_another_and_never_of_itself() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let second = "/machines/2/papers";
    let csrf = visit.get(second).await.value("input[name=csrf]");
    let typed = [
        ("csrf", csrf.as_str()),
        ("act", "record"),
        ("version", "1"),
        ("part_of", "f-1"),
    ];
    assert_eq!(visit.post(second, &typed).await.location, second);
    let words = visit.get("/machines/2").await.words();
    assert!(words.contains("F-1"), "{words}");
    assert!(visit.get("/machines/1").await.words().contains("F-2"));
    let stale = visit.post(second, &typed).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    for (tag, message) in [
        ("F-1", "part of itself"),
        ("F-2", "one of its parts"),
        ("X", "No machine"),
    ] {
        let typed = [("act", "record"), ("version", "1"), ("part_of", tag)];
        let answer = send(&app, "supervisor", &typed).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(answer.text("#part_of-error").contains(message), "{tag}");
    }
    let changes = visit.get("/changes/machines/2").await.words();
    assert!(changes.contains("part of"));
}

#[tokio::test]
async fn those_who_only_read_write_nothing() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    for role in ["auditor", "storekeeper"] {
        let answer = send(&app, role, &[("act", "note"), ("text", "Mine")]).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{role}");
    }
    let answer = send(&app, "technician", &[("act", "record")]).await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
    let reporter = app.sign_in("reporter").await;
    assert_eq!(reporter.get(PAGE).await.status, StatusCode::FORBIDDEN);
    let visit = app.sign_in("auditor").await;
    assert_eq!(
        visit.get("/machines/99/papers").await.status,
        StatusCode::NOT_FOUND
    );
    assert!(!visit.get(PAGE).await.has("#add-note"));
}

#[tokio::test]
async fn places_count_their_machines_with_those_below() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let words = visit.get("/shop/places").await.words();
    assert!(words.contains("2 machines"), "{words}");
}
