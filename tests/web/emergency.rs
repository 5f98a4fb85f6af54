//! The emergency that is worked before its paper, and a replay of all that a report brings.

use crate::report_more::{HOUR, report_with_code, reported, shop};
use crate::small_shop::{confirm_and_find, plan_and_hand_out};
use axum::http::StatusCode;

#[tokio::test]
async fn an_emergency_is_open_with_one_tap_and_its_paper_is_owed() {
    let app = shop().await;
    let phone = app.sign_in("technician").await;
    let tap = "/machines/1/emergency";
    let shown = phone.get("/t/F-1").await;
    let (csrf, entry) = (
        shown.value("form[action='/machines/1/emergency'] input[name=csrf]"),
        shown.value("form[action='/machines/1/emergency'] input[name=entry]"),
    );
    let typed = [("csrf", csrf.as_str()), ("entry", &entry)];
    for _ in 0..2 {
        assert_eq!(
            phone.post(tap, &typed).await.location,
            "/jobs/1",
            "tapped twice, opened once"
        );
    }
    assert_eq!(app.count("SELECT count(*) FROM entries").await, 2);
    let page = phone.get("/jobs/1").await;
    assert!(page.text("h1").contains("handed out"));
    let words = page.words();
    for said in [
        "Emergency · danger",
        "Paper still owed",
        "who noticed it",
        "the cause",
        "WithThe technician",
    ] {
        assert!(words.contains(said), "{said} in {words}");
    }
    assert!(phone.get("/today").await.words().contains("Kiln fan"));
    let paper = "/jobs/1/paper";
    let refused = phone.submit(paper, paper, &[("hours", "two")]).await;
    assert!(refused.text("#hours-error").contains("Enter a number"));
    assert_eq!(refused.value("#hours"), "two");
    let refused = phone.submit(paper, paper, &[]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let typed = [("words", "Smoke from the housing"), ("reporter", "Ana")];
    assert_eq!(
        phone.submit(paper, paper, &typed).await.status,
        StatusCode::SEE_OTHER
    );
    let words = phone.get("/jobs/1").await.words();
    assert!(
        words.contains("Smoke from the housing") && words.contains("hours of work"),
        "{words}"
    );
    assert!(!words.contains("who noticed it"), "{words}");
    assert!(
        !phone.get(paper).await.has("#words"),
        "only what is missing is asked"
    );
}

#[tokio::test]
async fn an_emergency_skips_no_gate_and_is_signed_off_with_its_paper_only() {
    let app = shop().await;
    let desk = app.sign_in("supervisor").await;
    let tap = "/machines/1/emergency";
    assert_eq!(
        desk.submit("/machines/1", tap, &[]).await.location,
        "/jobs/1"
    );
    let page = desk.get("/jobs/1/note").await;
    let csrf = page.value("input[name=csrf]");
    for (step, fields) in [
        ("work", &[("what", "Pulled the wheel")][..]),
        ("lift/energise", &[]),
        (
            "return",
            &[
                ("guards_on", "yes"),
                ("people_told", "all"),
                ("accepted_by", "Ana"),
            ],
        ),
        ("sign-off", &[("note", "")]),
    ] {
        let entry = brasstag::jobs::record::new_id(crate::app::NOON);
        let mut typed = vec![
            ("csrf", csrf.as_str()),
            ("entry", entry.as_str()),
            ("seen", "2"),
        ];
        typed.extend(fields);
        let answer = desk.post(&format!("/jobs/1/{step}"), &typed).await;
        assert_ne!(answer.status, StatusCode::SEE_OTHER, "{step} went through");
    }
    assert_eq!(app.count("SELECT count(*) FROM entries").await, 2);
    app.run("UPDATE jobs SET state = 'back_in_service', accepted_by = 'The desk', cause_at = 1, back_at = 1")
        .await;
    let refused = desk
        .submit("/jobs/1/sign-off", "/jobs/1/sign-off", &[])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let said = refused.words();
    assert!(
        said.contains("still owed: what was seen, heard or smelt, who noticed it"),
        "{said}"
    );
    let typed = [
        ("words", "Smoke"),
        ("reporter", "Ana"),
        ("scope", "Stop it"),
        ("hours", "1,5"),
    ];
    desk.submit("/jobs/1/paper", "/jobs/1/paper", &typed).await;
    let done = desk
        .submit("/jobs/1/sign-off", "/jobs/1/sign-off", &[])
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.words());
}

#[tokio::test]
async fn only_who_works_at_machines_opens_an_emergency() {
    let app = shop().await;
    report_with_code(&app, "It howls").await;
    let tap = "/machines/1/emergency";
    for role in ["reporter", "storekeeper", "auditor", "keeper"] {
        let visit = app.sign_in(role).await;
        let shown = visit.get("/t/F-1").await;
        assert!(!shown.has("form[action='/machines/1/emergency']"), "{role}");
        let csrf = shown.value("input[name=csrf]");
        let entry = brasstag::jobs::record::new_id(crate::app::NOON);
        let typed = [("csrf", csrf.as_str()), ("entry", &entry)];
        assert_eq!(
            visit.post(tap, &typed).await.status,
            StatusCode::FORBIDDEN,
            "{role}"
        );
        assert_eq!(
            visit.get("/jobs/1/paper").await.status,
            StatusCode::FORBIDDEN,
            "{role}"
        );
    }
    let phone = app.sign_in("technician").await;
    assert_eq!(
        phone.get("/jobs/1/paper").await.status,
        StatusCode::NOT_FOUND,
        "no emergency"
    );
    let csrf = phone.get("/t/F-1").await.value("input[name=csrf]");
    let typed = [("csrf", csrf.as_str()), ("entry", "x")];
    assert_eq!(
        phone.post("/machines/77/emergency", &typed).await.status,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        phone.post(tap, &typed).await.status,
        StatusCode::BAD_REQUEST
    );
    assert_eq!(app.count("SELECT count(*) FROM jobs").await, 1);
}

#[tokio::test]
async fn a_replay_finds_the_same_rows_with_all_that_a_report_brings() {
    let app = shop().await;
    reported(&app, &[("needed", "yes")]).await;
    plan_and_hand_out(&app, 1).await;
    let phone = app.sign_in("technician").await;
    let held = [("reason", "access")];
    phone.submit("/jobs/1/hold", "/jobs/1/hold", &held).await;
    app.state.clock.advance(HOUR);
    let again = [("same", "1"), ("words", "Smoke"), ("smoke", "yes")];
    app.visitor().submit("/t/F-1", "/report", &again).await;
    app.state.clock.advance(HOUR);
    phone.submit("/jobs/1/hold", "/jobs/1/resume", &[]).await;
    let desk = app.sign_in("supervisor").await;
    let set = [("level", "damage"), ("reason", "No fire")];
    desk.submit("/jobs/1/priority", "/jobs/1/priority", &set)
        .await;
    confirm_and_find(&phone, 1).await;
    phone
        .submit("/machines/2", "/machines/2/emergency", &[])
        .await;
    let paper = [("words", "Sparks"), ("hours", "1")];
    phone.submit("/jobs/2/paper", "/jobs/2/paper", &paper).await;
    reported(&app, &[]).await;
    desk.submit("/jobs/3/plan", "/jobs/3/join", &[("job", "1")])
        .await;
    for kind in [
        "reported_again",
        "priority_set",
        "emergency_taken",
        "paper_given",
        "joined_to",
    ] {
        let kinds: Vec<String> = brasstag::jobs::queries::all_entries(app.db())
            .await
            .expect("entries")
            .iter()
            .map(|entry| entry.body.kind().to_owned())
            .collect();
        assert!(kinds.iter().any(|k| k == kind), "{kind} in {kinds:?}");
    }
    crate::replay::same_jobs(app.db()).await;
}
