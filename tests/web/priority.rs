//! How urgent a report is, by rule or by a supervisor, and the response clock.

use crate::report_more::{HOUR, reported, shop};
use crate::small_shop::{confirm_and_find, plan_and_hand_out};
use axum::http::StatusCode;

#[tokio::test]
async fn the_answers_decide_how_urgent_it_is_and_by_when_somebody_comes() {
    let app = shop().await;
    for (answers, said) in [
        (
            &[("sparks", "yes")][..],
            "danger · to be attended by 25 Nov 2026 13:00",
        ),
        (
            &[("water", "yes")],
            "damage · to be attended by 26 Nov 2026 12:00",
        ),
        (
            &[("needed", "yes")],
            "service lost · to be attended by 2 Dec 2026 12:00",
        ),
        (
            &[("danger", "no"), ("needed", "no")],
            "when it suits · to be attended by 25 Dec 2026 12:00",
        ),
        (&[("danger", "no")], "not judged"),
    ] {
        let job = reported(&app, answers).await;
        let desk = app.sign_in("supervisor").await;
        let words = desk.get(&format!("/jobs/{job}")).await.words();
        assert!(words.contains(said), "{answers:?}: {said} in {words}");
    }
    app.state.clock.advance(3 * HOUR);
    let desk = app.sign_in("supervisor").await.get("/desk").await;
    let order: Vec<String> = desk.texts("ul.desk a strong");
    let numbers: Vec<&str> = order.iter().filter_map(|t| t.split(':').next()).collect();
    assert_eq!(
        numbers,
        ["1", "5", "2", "3", "4"],
        "soonest due first, the unjudged with the danger"
    );
    assert!(
        desk.words()
            .contains("overdue by 2 h, was to be attended by 25 Nov 2026 13:00")
    );
}

#[tokio::test]
async fn the_record_speaks_where_the_reporter_does_not() {
    let app = shop().await;
    app.run("UPDATE machines SET criticality = 'high' WHERE id = 1")
        .await;
    let job = reported(&app, &[]).await;
    let words = app
        .sign_in("supervisor")
        .await
        .get(&format!("/jobs/{job}"))
        .await
        .words();
    assert!(
        words.contains("Because people or work stop without this machine"),
        "{words}"
    );
}

#[tokio::test]
async fn a_supervisor_sets_another_priority_with_a_reason_and_nobody_else_does() {
    let app = shop().await;
    reported(&app, &[("danger", "yes")]).await;
    let desk = app.sign_in("supervisor").await;
    let page = "/jobs/1/priority";
    let refused = desk
        .submit(page, page, &[("level", ""), ("reason", " ")])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused.text("#level-error"), "Choose how urgent it is");
    assert!(refused.text("#reason-error").contains("Say why"));
    let typed = [
        ("level", "when_it_suits"),
        ("reason", "I looked: the guard is loose, no more"),
    ];
    assert_eq!(
        desk.submit(page, page, &typed).await.status,
        StatusCode::SEE_OTHER
    );
    let words = desk.get("/jobs/1").await.words();
    assert!(
        words.contains("when it suits · to be attended by 25 Dec 2026"),
        "{words}"
    );
    assert!(words.contains("Because I looked"), "{words}");
    assert!(words.contains("Judged danger"), "what the rule found stays");
    for role in ["technician", "auditor", "reporter", "storekeeper", "keeper"] {
        let visit = app.sign_in(role).await;
        assert_eq!(
            visit.get(page).await.status,
            StatusCode::FORBIDDEN,
            "{role}"
        );
        let csrf = visit.get("/report").await.value("input[name=csrf]");
        let typed = [
            ("csrf", csrf.as_str()),
            ("level", "danger"),
            ("reason", "x"),
        ];
        assert_eq!(
            visit.post(page, &typed).await.status,
            StatusCode::FORBIDDEN,
            "{role}"
        );
    }
    assert_eq!(
        desk.get("/jobs/99/priority").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn the_clock_pauses_only_while_held_and_stops_when_somebody_is_there() {
    let app = shop().await;
    reported(&app, &[("water", "yes")]).await;
    plan_and_hand_out(&app, 1).await;
    app.state.clock.advance(4 * HOUR);
    let phone = app.sign_in("technician").await;
    let held = [("reason", "access"), ("note", "Room let until ten")];
    phone.submit("/jobs/1/hold", "/jobs/1/hold", &held).await;
    app.state.clock.advance(40 * HOUR);
    // Sessions end by themselves over so long a time.
    let desk = app.sign_in("supervisor").await.get("/desk").await.words();
    let said = "clock paused since 25 Nov 2026 16:00, no access; 20 h left";
    assert!(desk.contains(said), "{desk}");
    let phone = app.sign_in("technician").await;
    phone.submit("/jobs/1/hold", "/jobs/1/resume", &[]).await;
    let words = phone.get("/jobs/1").await.words();
    assert!(
        words.contains("to be attended by 28 Nov 2026 04:00"),
        "{words}"
    );
    app.state.clock.advance(2 * HOUR);
    confirm_and_find(&phone, 1).await;
    let words = phone.get("/jobs/1").await.words();
    assert!(
        words.contains("first attended 27 Nov 2026 10:00"),
        "{words}"
    );
    assert!(!words.contains("late by"), "{words}");
}

#[tokio::test]
async fn the_shop_sets_its_own_response_times() {
    let app = shop().await;
    let desk = app.sign_in("supervisor").await;
    let page = "/shop/response";
    let typed = [
        ("danger", "soon"),
        ("damage", "200"),
        ("service_lost", "100"),
    ];
    let refused = desk.submit(page, page, &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(!refused.text("#danger-error").is_empty());
    assert!(
        refused
            .text("#service_lost-error")
            .contains("cannot be due sooner")
    );
    assert_eq!(refused.value("#danger"), "soon");
    let (csrf, was) = {
        let shown = desk.get(page).await;
        (
            shown.value("input[name=csrf]"),
            shown.value("input[name=was]"),
        )
    };
    let typed = [("danger", "0.5"), ("damage", "12")];
    assert_eq!(
        desk.submit(page, page, &typed).await.status,
        StatusCode::SEE_OTHER
    );
    reported(&app, &[("water", "yes")]).await;
    let words = desk.get("/jobs/1").await.words();
    assert!(
        words.contains("to be attended by 26 Nov 2026 00:00"),
        "{words}"
    );
    let late = [
        ("csrf", csrf.as_str()),
        ("was", &was),
        ("danger", "1"),
        ("damage", "2"),
        ("service_lost", "3"),
        ("when_it_suits", "4"),
    ];
    assert_eq!(desk.post(page, &late).await.status, StatusCode::CONFLICT);
    assert_eq!(
        app.count("SELECT count(*) FROM audit WHERE act = 'response targets'")
            .await,
        1
    );
    for role in ["technician", "auditor", "reporter"] {
        let visit = app.sign_in(role).await;
        assert_eq!(
            visit.get(page).await.status,
            StatusCode::FORBIDDEN,
            "{role}"
        );
    }
}
