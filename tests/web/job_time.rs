//! Time on a job: written down by those who work, split by the standard, odd ones pointed out.

use crate::app::TestApp;
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;

const PAGE: &str = "/jobs/1/time";

/// A job reported and handed out at noon, its clock then moved on to the evening.
async fn floor() -> TestApp {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It hums").await;
    plan_and_hand_out(&app, 1).await;
    app.state.clock.advance(10 * 3_600_000);
    app
}

async fn technician(app: &TestApp) -> String {
    app.person("technician").await.0.to_string()
}

#[tokio::test]
async fn time_of_two_people_and_of_waiting_is_split_by_the_standard() {
    let app = floor().await;
    let visit = app.sign_in("technician").await;
    let (me, other) = (
        technician(&app).await,
        app.person("supervisor").await.0.to_string(),
    );
    for (spent, person, from, to) in [
        ("travel", me.as_str(), "13:00", "13:30"),
        ("diagnosing", &me, "13:30", "14:00"),
        ("part", "", "14:00", "17:00"),
        ("repair", &me, "17:00", "18:30"),
        ("repair", &other, "17:15", "18:30"),
    ] {
        let typed = [
            ("spent", spent),
            ("person", person),
            ("from", from),
            ("to", to),
        ];
        let answer = visit.submit(PAGE, PAGE, &typed).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
    }
    let page = visit.get(PAGE).await;
    let words = page.words();
    assert!(words.contains("nobody: the job waited"), "{words}");
    let rows = page.texts(".working tbody tr");
    let row = |label: &str| {
        rows.iter()
            .find(|row| row.starts_with(label))
            .unwrap_or_else(|| panic!("no {label} in {rows:#?}"))
    };
    assert!(
        row("Logistic delay").contains("3.5 h"),
        "{}",
        row("Logistic delay")
    );
    assert!(
        row("Fault correction").contains("1.5 h"),
        "an hour of two counts once"
    );
    assert_eq!(app.count("SELECT COUNT(*) FROM job_spells").await, 5);
    let job = visit.get("/jobs/1").await.words();
    assert!(
        job.contains("repair: 25 Nov 2026 17:00"),
        "it stands in what happened"
    );
}

#[tokio::test]
async fn what_cannot_be_is_refused_beside_its_field_and_kept() {
    let app = floor().await;
    let visit = app.sign_in("technician").await;
    let me = technician(&app).await;
    let post = async |typed: &[(&str, &str)]| visit.submit(PAGE, PAGE, typed).await;
    let page = post(&[
        ("person", ""),
        ("spent", "repair"),
        ("from", "noon"),
        ("to", "13:00"),
    ])
    .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#person-error").contains("whose time"));
    assert!(page.text("#from-error").contains("08:30"));
    assert_eq!(page.value("#from"), "noon");
    assert_eq!(page.value("#spent"), "repair");
    let page = post(&[
        ("person", &me),
        ("spent", "repair"),
        ("from", "14:00"),
        ("to", "13:00"),
    ])
    .await;
    assert!(page.text("#to-error").contains("end after it starts"));
    let page = post(&[
        ("person", &me),
        ("spent", "repair"),
        ("from", "14:00"),
        ("to", "14:00"),
    ])
    .await;
    assert!(page.text("#to-error").contains("end after it starts"));
    let tomorrow = [
        ("person", me.as_str()),
        ("spent", "repair"),
        ("day", "2026-11-26"),
        ("from", "14:00"),
        ("to", "15:00"),
    ];
    assert!(
        post(&tomorrow)
            .await
            .text("#to-error")
            .contains("still to come")
    );
    let reporter = app.person("reporter").await.0.to_string();
    let page = post(&[
        ("person", &reporter),
        ("spent", "repair"),
        ("from", "13:00"),
        ("to", "14:00"),
    ])
    .await;
    assert!(page.text("#person-error").contains("technicians"));
    assert_eq!(app.count("SELECT COUNT(*) FROM job_spells").await, 0);
}

#[tokio::test]
async fn odd_stretches_are_taken_and_pointed_out() {
    let app = floor().await;
    lay_second_job(&app).await;
    let visit = app.sign_in("technician").await;
    let me = technician(&app).await;
    for (page, from, to) in [
        (PAGE, "11:00", "13:00"),
        (PAGE, "12:30", "14:00"),
        ("/jobs/2/time", "13:30", "15:00"),
    ] {
        let typed = [
            ("spent", "repair"),
            ("person", me.as_str()),
            ("from", from),
            ("to", to),
        ];
        let answer = visit.submit(page, page, &typed).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
    }
    let words = visit.get(PAGE).await.words();
    assert!(words.contains("starts before the report"), "{words}");
    assert!(words.contains("two things at once"), "{words}");
    assert!(words.contains("on job 2 at the same time"), "{words}");
}

async fn lay_second_job(app: &TestApp) {
    let second = report(app, "F-1", "It hums again").await;
    assert_eq!(second, 2);
    plan_and_hand_out(app, second).await;
}

#[tokio::test]
async fn a_wrong_stretch_is_withdrawn_with_a_reason_and_stays_to_be_seen() {
    let app = floor().await;
    let visit = app.sign_in("technician").await;
    let me = technician(&app).await;
    let typed = [
        ("spent", "repair"),
        ("person", me.as_str()),
        ("from", "13:00"),
        ("to", "14:00"),
    ];
    visit.submit(PAGE, PAGE, &typed).await;
    let away = format!("{PAGE}/withdraw");
    let page = visit.submit(PAGE, &away, &[]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#why-error").contains("what was wrong"));
    let entry = visit.get(PAGE).await.value("#of");
    let done = visit
        .submit(PAGE, &away, &[("why", "That was another fan")])
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    assert!(
        visit
            .get(PAGE)
            .await
            .words()
            .contains("No time is written down yet")
    );
    assert!(
        visit
            .get("/jobs/1")
            .await
            .words()
            .contains("That was another fan")
    );
    visit.submit(PAGE, PAGE, &typed).await;
    let page = visit
        .submit(PAGE, &away, &[("why", "Twice"), ("of", &entry)])
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#of-error").contains("no longer counts"));
}

#[tokio::test]
async fn the_same_form_sent_twice_counts_once_and_only_workers_write() {
    let app = floor().await;
    let visit = app.sign_in("technician").await;
    let me = technician(&app).await;
    let shown = visit.get(PAGE).await;
    let (csrf, entry, seen) = (
        shown.value("[name=csrf]"),
        shown.value("[name=entry]"),
        shown.value("[name=seen]"),
    );
    let fields = [
        ("csrf", csrf.as_str()),
        ("entry", &entry),
        ("seen", &seen),
        ("person", &me),
        ("spent", "repair"),
        ("day", "2026-11-25"),
        ("from", "13:00"),
        ("to", "14:00"),
    ];
    for _ in 0..20 {
        assert_eq!(
            visit.post(PAGE, &fields).await.status,
            StatusCode::SEE_OTHER
        );
    }
    assert_eq!(app.count("SELECT COUNT(*) FROM job_spells").await, 1);

    let auditor = app.sign_in("auditor").await;
    let page = auditor.get(PAGE).await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(!page.has("form[action='/jobs/1/time']"));
    let csrf = auditor.get("/machines").await.value("[name=csrf]");
    let answer = auditor
        .post(PAGE, &[("csrf", &csrf), ("spent", "repair")])
        .await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
    let reporter = app.sign_in("reporter").await;
    assert_eq!(reporter.get(PAGE).await.status, StatusCode::FORBIDDEN);
    assert_eq!(
        visit.get("/jobs/99/time").await.status,
        StatusCode::NOT_FOUND
    );
}
