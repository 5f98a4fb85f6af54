//! What was typed before a session ended is kept for its person and sent on once.

use crate::app::{Answer, PASSWORD, TestApp, Visit};
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;

/// The technician's note, sent after the session was ended; the answer, and the job.
async fn sent_too_late(app: &TestApp, visit: &Visit<'_>, words: &str) -> (Answer, String) {
    lay_out(app).await;
    let job = report(app, "F-1", "It hums").await;
    plan_and_hand_out(app, job).await;
    let page = format!("/jobs/{job}/note");
    let shown = visit.get(&page).await;
    let fields = shown.filled(&page, &[("text", words)]);
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (&**n, &**v)).collect();
    app.run("DELETE FROM sessions").await;
    (visit.post(&page, &fields).await, page)
}

#[tokio::test]
async fn a_note_typed_before_the_session_ended_is_sent_after_signing_in_again_and_once() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let (answer, page) = sent_too_late(&app, &visit, "Belt <worn>\nand \"wet\"").await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    let kept = answer.location.strip_prefix("/sign-in?next=");
    let kept = kept.expect("asked to sign in").to_owned();
    assert!(kept.starts_with("/kept/"), "{kept}");

    let typed = [("name", "technician"), ("password", PASSWORD)];
    let answer = visit.submit(&answer.location, "/sign-in", &typed).await;
    assert_eq!(answer.location, kept);
    let shown = visit.get(&kept).await;
    assert!(shown.words().contains("Belt <worn>"), "{}", shown.body);
    let send = format!("{kept}/send");
    let fields = shown.filled(&send, &[]);
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (&**n, &**v)).collect();
    let answer = visit.post(&send, &fields).await;
    assert_eq!(answer.status, StatusCode::TEMPORARY_REDIRECT);
    assert_eq!(answer.location, page);
    // The browser posts the same fields there; twice, where somebody is impatient.
    for _ in 0..2 {
        let answer = visit.post(&page, &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    }
    let notes = "SELECT count(*) FROM entries WHERE kind = 'note' AND body LIKE '%Belt%'";
    assert_eq!(app.count(notes).await, 1);
    // It does not go a second time.
    assert_eq!(visit.post(&send, &fields).await.location, kept);
    assert!(visit.get(&kept).await.words().contains("Look there"));
}

#[tokio::test]
async fn what_was_typed_is_never_shown_to_another_person() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let (answer, _) = sent_too_late(&app, &visit, "Belt worn").await;
    let kept = answer
        .location
        .trim_start_matches("/sign-in?next=")
        .to_owned();
    let other = app.sign_in("supervisor").await;
    let shown = other.get(&kept).await;
    assert_eq!(shown.status, StatusCode::FORBIDDEN);
    assert!(!shown.body.contains("Belt worn"));
    let csrf = other.get("/desk").await.value("input[name=csrf]");
    for act in ["send", "away"] {
        let answer = other
            .post(&format!("{kept}/{act}"), &[("csrf", &csrf)])
            .await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{act}");
    }
    assert_eq!(app.count("SELECT count(*) FROM kept_forms").await, 1);
}

#[tokio::test]
async fn only_a_form_of_the_ended_session_itself_is_kept() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let (_, page) = sent_too_late(&app, &visit, "Belt worn").await;
    app.run("DELETE FROM kept_forms").await;
    for csrf in ["", "of another site"] {
        let fields = [("csrf", csrf), ("text", "planted")];
        let answer = visit.post(&page, &fields).await;
        assert!(!answer.location.contains("/kept/"), "{}", answer.location);
    }
    assert_eq!(app.count("SELECT count(*) FROM kept_forms").await, 0);
    assert_eq!(
        app.count("SELECT count(*) FROM entries WHERE kind = 'note'")
            .await,
        0
    );
}

#[tokio::test]
async fn a_kept_form_can_be_thrown_away_and_is_gone_after_a_day() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let (answer, _) = sent_too_late(&app, &visit, "Belt worn").await;
    let kept = answer
        .location
        .trim_start_matches("/sign-in?next=")
        .to_owned();
    let again = app.sign_in("technician").await;
    app.run("UPDATE kept_forms SET kept_at = kept_at - 86400001")
        .await;
    assert_eq!(again.get(&kept).await.status, StatusCode::NOT_FOUND);
    app.run("UPDATE kept_forms SET kept_at = kept_at + 86400001")
        .await;
    let away = format!("{kept}/away");
    again.submit(&kept, &away, &[]).await;
    assert_eq!(app.count("SELECT count(*) FROM kept_forms").await, 0);
}

/// A file that fills its form beyond what is held in memory of it.
fn large_file() -> Vec<u8> {
    vec![0x5a; 20 * 1024 * 1024]
}

#[tokio::test]
async fn what_was_typed_beside_large_photos_is_kept_and_the_photos_are_asked_for_again() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let job = report(&app, "F-1", "It hums").await;
    plan_and_hand_out(&app, job).await;
    let visit = app.sign_in("technician").await;
    let page = format!("/jobs/{job}/photos");
    let shown = visit.get(&page).await;
    let fields = shown.filled(
        &page,
        &[("about", "plate"), ("caption", "Plate of the burnt one")],
    );
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (&**n, &**v))
        .filter(|(name, _)| *name != "photo")
        .collect();
    app.run("DELETE FROM sessions").await;
    let file = large_file();
    let files = [("photo", "plate.jpg", file.as_slice())];
    let answer = visit.post_files(&page, &fields, &files).await;
    let kept = answer.location.strip_prefix("/sign-in?next=");
    let kept = kept.expect("asked to sign in").to_owned();
    let again = app.sign_in("technician").await;
    let shown = again.get(&kept).await;
    let words = shown.words();
    assert!(words.contains("Plate of the burnt one"), "{words}");
    assert!(words.contains("Photos were not kept"), "{words}");
    // Sent on, it comes back to its page with what was typed, and asks for the photo.
    let send = format!("{kept}/send");
    let fields = shown.filled(&send, &[]);
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (&**n, &**v)).collect();
    let answer = again.post(&page, &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(answer.value("#caption"), "Plate of the burnt one");
    assert!(answer.has("#photo-error"), "{}", answer.words());
}

#[tokio::test]
async fn a_form_with_photos_of_another_visit_is_not_kept_and_goes_on_whole() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("reporter").await;
    app.run("DELETE FROM sessions").await;
    // The cookie of the ended session is still sent; the page and its csrf word are new.
    let report = [("tag", "F-1"), ("words", "It hums")];
    let answer = visit.submit_files("/report", "/report", &report, &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert!(
        answer.location.starts_with("/status/"),
        "{}",
        answer.location
    );
    assert_eq!(app.count("SELECT count(*) FROM kept_forms").await, 0);
}
