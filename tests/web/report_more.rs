//! What a report brings with it: the code that shows it again, joining, and the same thing reported
//! once more.

use crate::app::TestApp;
use crate::small_shop::{lay_out, plan_and_hand_out};
use axum::http::StatusCode;

pub const HOUR: i64 = 3_600_000;

pub async fn shop() -> TestApp {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app
}

/// Reports on `F-1` with these answers; the job's number.
pub async fn reported(app: &TestApp, answers: &[(&str, &str)]) -> i64 {
    let mut typed = vec![("tag", "F-1"), ("words", "It howls")];
    typed.extend(answers);
    let visit = app.visitor();
    let answer = visit.submit("/t/F-1", "/report", &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    app.count("SELECT max(id) FROM jobs").await
}

/// The code in the address after reporting.
fn code(location: &str) -> String {
    let (_, code) = location.split_once("code=").expect("a code");
    assert_eq!(code.len(), 6, "{location}");
    code.to_owned()
}

pub async fn report_with_code(app: &TestApp, words: &str) -> String {
    let typed = [("words", words), ("reporter", "Ana of the café")];
    let answer = app.visitor().submit("/t/F-1", "/report", &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    code(&answer.location)
}

#[tokio::test]
async fn the_code_shows_a_reporter_their_own_words_and_what_became_of_them() {
    let app = shop().await;
    let visit = app.visitor();
    let typed = [("words", "It howls"), ("reporter", "Ana of the café")];
    let answer = visit.submit("/t/F-1", "/report", &typed).await;
    let code = code(&answer.location);
    let after = visit.get(&answer.location).await.words();
    for said in ["Number 1", "Keep both", code.as_str(), "It howls"] {
        assert!(after.contains(said), "{said} in {after}");
    }
    // Small letters, from the form.
    let small = code.to_lowercase();
    let asked = visit.get(&format!("/status?number=1&code={small}")).await;
    assert_eq!(asked.location, format!("/status/1?code={code}"));
    plan_and_hand_out(&app, 1).await;
    let words = visit.get(&asked.location).await.words();
    for said in ["It howls", "Accepted.", "Visit planned for Wed 25 Nov 2026"] {
        assert!(words.contains(said), "{said} in {words}");
    }
    assert!(!words.contains("The technician"), "no names: {words}");
    app.run(
        "UPDATE jobs SET state = 'back_in_service', back_at = 1795651200000,
        cause_at = 1795651200000, component = 'fan', mode = 'noise'",
    )
    .await;
    let words = visit.get(&asked.location).await.words();
    assert!(
        words.contains("Back in service since 26 Nov 2026 00:00"),
        "{words}"
    );
    assert!(words.contains("What was found: fan, noise."), "{words}");
    let plain = visit.get("/status/1").await.words();
    assert!(
        !plain.contains("What was found") && !plain.contains("howls"),
        "{plain}"
    );
}

#[tokio::test]
async fn a_wrong_code_shows_what_no_code_shows_and_many_make_the_address_wait() {
    let app = shop().await;
    let code = report_with_code(&app, "It howls").await;
    let wrong = if code == "AAAAAA" { "CCCCCC" } else { "AAAAAA" };
    let visit = app.visitor_from("198.51.100.7");
    let plain = visit.get("/status/1").await.words();
    for _ in 0..10 {
        let page = visit.get(&format!("/status/1?code={wrong}")).await;
        assert_eq!(page.words(), plain);
    }
    let right = format!("/status/1?code={code}");
    let paused = visit.get(&right).await.words();
    assert!(
        paused.contains("taken again from 25 Nov 2026 13:00"),
        "{paused}"
    );
    assert!(!paused.contains("howls"), "{paused}");
    let other = app.visitor_from("198.51.100.8");
    assert!(
        other.get(&right).await.words().contains("howls"),
        "others do not wait"
    );
    app.state.clock.advance(HOUR);
    for _ in 0..30 {
        let page = visit.get(&right).await;
        assert!(page.words().contains("howls"), "right ones never count");
    }
}

#[tokio::test]
async fn an_old_job_has_no_code_and_no_guess_opens_it() {
    let app = shop().await;
    report_with_code(&app, "It howls").await;
    app.run("DELETE FROM report_codes").await;
    let visit = app.visitor();
    for guess in ["", "%20", "AAAAAA"] {
        let page = visit.get(&format!("/status/1?code={guess}")).await;
        assert_eq!(page.status, StatusCode::OK);
        assert!(!page.words().contains("howls"), "{guess:?}");
    }
    let page = visit.get("/status/99?code=AAAAAA").await;
    assert_eq!(page.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn joined_reports_all_get_the_outcome_and_turned_down_ones_the_reason() {
    let app = shop().await;
    let first = report_with_code(&app, "It howls").await;
    let second = report_with_code(&app, "Still that noise").await;
    let desk = app.sign_in("supervisor").await;
    let plan = desk.get("/jobs/2/plan").await.words();
    assert!(
        plan.contains("“It howls”"),
        "the other's words stand there: {plan}"
    );
    desk.submit("/jobs/2/plan", "/jobs/2/join", &[("job", "1")])
        .await;
    let job = desk.get("/jobs/1").await.words();
    assert!(
        job.contains("Still that noise") && job.contains("Joined: job 2"),
        "{job}"
    );
    let why = [("reason", "The kiln is off for the holidays")];
    desk.submit("/jobs/1/plan", "/jobs/1/turn-down", &why).await;
    let visit = app.visitor();
    let one = visit.get(&format!("/status/1?code={first}")).await.words();
    assert!(one.contains("Turned down: The kiln is off"), "{one}");
    let two = visit.get(&format!("/status/2?code={second}")).await.words();
    assert!(two.contains("Joined to number 1"), "{two}");
    assert!(two.contains("Turned down: The kiln is off"), "{two}");
    assert!(
        two.contains("Still that noise") && !two.contains("It howls"),
        "{two}"
    );
    // A code opens its own number only.
    let swapped = visit.get(&format!("/status/1?code={second}")).await.words();
    assert!(!swapped.contains("howls"), "{swapped}");
}

#[tokio::test]
async fn reports_near_each_other_are_joined_and_distant_ones_are_not() {
    let app = shop().await;
    app.run("INSERT INTO places (id, kind, name) VALUES (9, 'site', 'Far barn')")
        .await;
    report_with_code(&app, "It howls").await;
    let visit = app.visitor();
    for (place, words) in [
        ("2", "Noise on the roof"),
        ("1", "Noise at the mill"),
        ("9", "Noise"),
    ] {
        let typed = [("place", place), ("words", words)];
        let done = visit.submit("/report", "/report", &typed).await;
        assert_eq!(done.status, StatusCode::SEE_OTHER);
    }
    let desk = app.sign_in("supervisor").await;
    for (job, joined) in [(2, true), (3, true), (4, false)] {
        let page = desk.get(&format!("/jobs/{job}/plan")).await;
        assert_eq!(page.words().contains("“It howls”"), joined, "job {job}");
        let typed = [
            ("csrf", page.value("input[name=csrf]")),
            (
                "entry",
                brasstag::jobs::record::new_id(crate::app::NOON + job),
            ),
            ("seen", page.value("input[name=seen]")),
            ("job", "1".to_owned()),
        ];
        let typed: Vec<(&str, &str)> = typed.iter().map(|(n, v)| (*n, v.as_str())).collect();
        let answer = desk.post(&format!("/jobs/{job}/join"), &typed).await;
        let wanted = if joined {
            StatusCode::SEE_OTHER
        } else {
            StatusCode::UNPROCESSABLE_ENTITY
        };
        assert_eq!(answer.status, wanted, "job {job}: {}", answer.words());
    }
    // A fortnight later the same roof is another matter.
    app.state.clock.advance(15 * 24 * HOUR);
    visit
        .submit(
            "/report",
            "/report",
            &[("place", "2"), ("words", "Noise again")],
        )
        .await;
    let desk = app.sign_in("supervisor").await;
    assert!(
        !desk
            .get("/jobs/5/plan")
            .await
            .words()
            .contains("“It howls”")
    );
}

#[tokio::test]
async fn a_danger_is_not_joined_behind_a_job_that_may_wait() {
    let app = shop().await;
    reported(&app, &[("danger", "no"), ("needed", "no")]).await;
    reported(&app, &[("smoke", "yes")]).await;
    let desk = app.sign_in("supervisor").await;
    let refused = desk
        .submit("/jobs/2/plan", "/jobs/2/join", &[("job", "1")])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .text("#job-error")
            .contains("more urgent (danger) than job 1")
    );
    let set = [("level", "danger"), ("reason", "Smoke reported too")];
    desk.submit("/jobs/1/priority", "/jobs/1/priority", &set)
        .await;
    let done = desk
        .submit("/jobs/2/plan", "/jobs/2/join", &[("job", "1")])
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.words());
}

#[tokio::test]
async fn the_same_thing_is_added_to_the_open_report_with_a_code_of_its_own() {
    let app = shop().await;
    let first = report_with_code(&app, "It howls").await;
    plan_and_hand_out(&app, 1).await;
    app.state.clock.advance(50 * HOUR);
    let visit = app.visitor();
    let shown = visit.get("/t/F-1").await;
    let legend = shown.text("#same");
    assert!(
        legend.contains("number 1, reported 2 days ago, handed out"),
        "{legend}"
    );
    assert!(
        !shown.words().contains("It howls") && !shown.words().contains("Ana"),
        "no words, no names"
    );
    assert!(!visit.get("/t/F-2").await.has("#same"), "another machine's");
    let typed = [("same", "1"), ("words", "Now it smokes"), ("smoke", "yes")];
    let answer = visit.submit("/t/F-1", "/report", &typed).await;
    assert!(answer.location.starts_with("/status/1?"), "{}", answer.body);
    let second = code(&answer.location);
    assert_ne!(first, second);
    assert_eq!(app.count("SELECT count(*) FROM jobs").await, 1);
    let mine = visit.get(&format!("/status/1?code={second}")).await.words();
    assert!(
        mine.contains("Now it smokes") && !mine.contains("howls"),
        "{mine}"
    );
    let job = app.sign_in("supervisor").await.get("/jobs/1").await.words();
    for said in [
        "It howls",
        "Now it smokes",
        "danger",
        "Because reported again: the reporter noticed smoke",
    ] {
        assert!(job.contains(said), "{said} in {job}");
    }
}

#[tokio::test]
async fn what_is_over_or_elsewhere_takes_no_more_reports() {
    let app = shop().await;
    report_with_code(&app, "It howls").await;
    let visit = app.visitor();
    let typed = [("tag", "F-2"), ("same", "1"), ("words", "Mine too")];
    let refused = visit.submit("/report", "/report", &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused.value("#words"), "Mine too", "kept as typed");
    let page = visit.get("/t/F-1").await;
    let desk = app.sign_in("supervisor").await;
    desk.submit(
        "/jobs/1/plan",
        "/jobs/1/turn-down",
        &[("reason", "By plan")],
    )
    .await;
    let (csrf, entry) = (
        page.value("input[name=csrf]"),
        page.value("input[name=entry]"),
    );
    let typed = [
        ("csrf", csrf.as_str()),
        ("entry", &entry),
        ("tag", "F-1"),
        ("same", "1"),
        ("words", "Mine too"),
    ];
    let refused = visit.post("/report", &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused.words().contains("That report is no longer open"),
        "{}",
        refused.words()
    );
    assert_eq!(
        app.count("SELECT count(*) FROM entries WHERE kind = 'reported_again'")
            .await,
        0
    );
}
