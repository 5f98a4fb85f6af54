//! Wrong tries at signing in wait, and lock nobody out who has been here before.

use crate::app::{Answer, PASSWORD, TestApp, Visit};
use axum::http::StatusCode;
use brasstag::clock::{HOUR, MINUTE};

async fn try_as(visit: &Visit<'_>, name: &str, password: &str) -> Answer {
    let typed = [("name", name), ("password", password)];
    visit.submit("/sign-in", "/sign-in", &typed).await
}

#[tokio::test]
async fn wrong_tries_wait_longer_and_longer_and_the_right_one_gets_in_after_the_wait() {
    let app = TestApp::start().await;
    let visit = app.visitor_from("192.0.2.1");
    for _ in 0..5 {
        let answer = try_as(&visit, "technician", "wrong wrong wrong").await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    }
    let answer = try_as(&visit, "technician", PASSWORD).await;
    assert_eq!(answer.status, StatusCode::TOO_MANY_REQUESTS);
    assert_eq!(answer.headers["retry-after"], "5");
    assert!(answer.text("#name-error").contains("Wait 5 seconds"));
    // Asking again while waiting makes nothing longer.
    app.state.clock.advance(5_000);
    let answer = try_as(&visit, "technician", "wrong wrong wrong").await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let answer = try_as(&visit, "technician", PASSWORD).await;
    assert_eq!(answer.headers["retry-after"], "10", "twice as long");
    app.state.clock.advance(10_000);
    let answer = try_as(&visit, "technician", PASSWORD).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    // And from then on nothing is held against them.
    let visit = app.visitor_from("192.0.2.1");
    let answer = try_as(&visit, "technician", "wrong wrong wrong").await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        try_as(&visit, "technician", PASSWORD).await.location,
        "/today"
    );
}

#[tokio::test]
async fn who_tries_one_name_from_everywhere_does_not_keep_its_person_out() {
    let app = TestApp::start().await;
    let own = app.visitor_from("192.0.2.1");
    assert_eq!(
        try_as(&own, "technician", PASSWORD).await.location,
        "/today"
    );
    own.submit("/sign-in", "/sign-out", &[]).await;
    let addresses = [
        "198.51.100.1",
        "198.51.100.2",
        "198.51.100.3",
        "198.51.100.4",
        "192.0.2.1",
    ];
    for address in addresses {
        let stranger = app.visitor_from(address);
        for _ in 0..5 {
            try_as(&stranger, "technician", "wrong wrong wrong").await;
        }
    }
    let fresh = app.visitor_from("198.51.100.9");
    let answer = try_as(&fresh, "technician", PASSWORD).await;
    assert_eq!(
        answer.status,
        StatusCode::TOO_MANY_REQUESTS,
        "a browser never seen"
    );
    assert_eq!(
        try_as(&own, "technician", PASSWORD).await.location,
        "/today"
    );
    // Even the browser never seen waits for minutes at most.
    app.state.clock.advance(5 * MINUTE);
    assert_eq!(
        try_as(&fresh, "technician", PASSWORD).await.location,
        "/today"
    );
}

#[tokio::test]
async fn the_shops_one_address_is_slowed_but_whoever_was_here_before_gets_in() {
    let app = TestApp::start().await;
    let known = app.visitor_from("192.0.2.1");
    try_as(&known, "supervisor", PASSWORD).await;
    known.submit("/sign-in", "/sign-out", &[]).await;
    let stranger = app.visitor_from("192.0.2.1");
    for number in 0..30 {
        try_as(&stranger, &format!("name{number}"), "wrong wrong wrong").await;
    }
    let fresh = app.visitor_from("192.0.2.1");
    let answer = try_as(&fresh, "technician", PASSWORD).await;
    assert_eq!(answer.status, StatusCode::TOO_MANY_REQUESTS);
    assert_eq!(
        try_as(&known, "supervisor", PASSWORD).await.location,
        "/desk"
    );
    app.state.clock.advance(2_000);
    assert_eq!(
        try_as(&fresh, "technician", PASSWORD).await.location,
        "/today"
    );
    app.state.clock.advance(2 * HOUR);
    let answer = try_as(&stranger, "name1", "wrong wrong wrong").await;
    assert_eq!(
        answer.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "an hour is enough"
    );
}

#[tokio::test]
async fn a_browser_known_for_one_person_is_no_way_around_for_another_and_has_a_limit_too() {
    let app = TestApp::start().await;
    let known = app.visitor_from("192.0.2.1");
    try_as(&known, "reporter", PASSWORD).await;
    known.submit("/sign-in", "/sign-out", &[]).await;
    for _ in 0..5 {
        try_as(&known, "keeper", "wrong wrong wrong").await;
    }
    let answer = try_as(&known, "keeper", "wrong wrong wrong").await;
    assert_eq!(answer.status, StatusCode::TOO_MANY_REQUESTS);
    for _ in 0..10 {
        let answer = try_as(&known, "reporter", "wrong wrong wrong").await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    }
    let answer = try_as(&known, "reporter", PASSWORD).await;
    assert_eq!(answer.status, StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test]
async fn names_that_exist_and_names_that_do_not_are_answered_alike() {
    let app = TestApp::start().await;
    let mut seen = Vec::new();
    for (name, address) in [("technician", "192.0.2.1"), ("nobody-here", "192.0.2.2")] {
        let visit = app.visitor_from(address);
        let mut answers = Vec::new();
        for _ in 0..7 {
            let answer = try_as(&visit, name, "wrong wrong wrong").await;
            answers.push((answer.status, answer.text("#name-error")));
        }
        seen.push(answers);
    }
    assert_eq!(seen[0], seen[1]);
}

#[tokio::test]
async fn what_is_kept_of_wrong_tries_goes_and_names_nobody() {
    let app = TestApp::start().await;
    let visit = app.visitor_from("192.0.2.1");
    try_as(&visit, "technician", "wrong wrong wrong").await;
    let rows = "SELECT count(*) FROM sign_in_tries";
    assert_eq!(app.count(rows).await, 3);
    let named = "SELECT count(*) FROM sign_in_tries WHERE key_hash LIKE '%technician%'";
    assert_eq!(app.count(named).await, 0);
    app.state.clock.advance(25 * HOUR);
    try_as(&app.visitor_from("192.0.2.9"), "other", "wrong wrong wrong").await;
    assert_eq!(app.count(rows).await, 3);
}
