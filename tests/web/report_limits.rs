//! How often an address, and the whole shop, takes reports without a sign-in.

use crate::report_more::{HOUR, shop};
use axum::http::StatusCode;

#[tokio::test]
async fn an_address_reports_ten_times_an_hour_and_signed_in_people_as_often_as_they_must() {
    let app = shop().await;
    let visit = app.visitor_from("198.51.100.7");
    let report = |n: usize| [("words", format!("Fault {n}"))];
    for n in 0..10 {
        let [(name, words)] = report(n);
        // A form that is refused does not count.
        visit.submit("/t/F-1", "/report", &[(name, " ")]).await;
        let done = visit.submit("/t/F-1", "/report", &[(name, &words)]).await;
        assert_eq!(done.status, StatusCode::SEE_OTHER, "{n}");
    }
    let refused = visit
        .submit("/t/F-1", "/report", &[("words", "Fault 11")])
        .await;
    assert_eq!(refused.status, StatusCode::TOO_MANY_REQUESTS);
    let said = refused.text(".problems");
    assert!(
        said.contains("Phone the shop, or sign in") && said.contains("13:00"),
        "{said}"
    );
    assert_eq!(refused.value("#words"), "Fault 11", "kept as typed");
    let other = app.visitor_from("198.51.100.8");
    let shown = other.get("/t/F-1").await;
    let (csrf, entry) = (
        shown.value("input[name=csrf]"),
        shown.value("input[name=entry]"),
    );
    let mine = [
        ("csrf", csrf.as_str()),
        ("entry", &entry),
        ("tag", "F-1"),
        ("words", "Mine"),
    ];
    for _ in 0..12 {
        let done = other.post("/report", &mine).await;
        assert_eq!(
            done.status,
            StatusCode::SEE_OTHER,
            "sent twice, counted once"
        );
    }
    let signed = app.sign_in("reporter").await;
    for _ in 0..12 {
        let done = signed
            .submit("/t/F-1", "/report", &[("words", "Again")])
            .await;
        assert_eq!(done.status, StatusCode::SEE_OTHER);
    }
    app.state.clock.advance(HOUR);
    let done = visit
        .submit("/t/F-1", "/report", &[("words", "Fault 11")])
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn thirty_open_reports_without_sign_in_are_enough_for_a_day() {
    let app = shop().await;
    const FROM: [&str; 3] = ["198.51.100.1", "198.51.100.2", "198.51.100.3"];
    for address in FROM {
        let visit = app.visitor_from(address);
        for _ in 0..10 {
            let done = visit.submit("/t/F-1", "/report", &[("words", "x")]).await;
            assert_eq!(done.status, StatusCode::SEE_OTHER);
        }
    }
    let visit = app.visitor_from("198.51.100.4");
    let refused = visit
        .submit("/t/F-1", "/report", &[("words", "Fire")])
        .await;
    assert_eq!(refused.status, StatusCode::TOO_MANY_REQUESTS);
    assert!(
        refused.text(".problems").contains("Phone the shop"),
        "{}",
        refused.words()
    );
    // Somebody looks at them, and it goes again.
    app.run("UPDATE jobs SET state = 'turned_down' WHERE id = 1")
        .await;
    let done = visit
        .submit("/t/F-1", "/report", &[("words", "Fire")])
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn what_is_too_long_is_refused_beside_its_field() {
    let app = shop().await;
    let (words, name) = ("x".repeat(2001), "y".repeat(201));
    let typed = [("words", words.as_str()), ("reporter", &name)];
    let refused = app.visitor().submit("/t/F-1", "/report", &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .text("#words-error")
            .contains("under 2000 characters")
    );
    assert!(
        refused
            .text("#reporter-error")
            .contains("under 200 characters")
    );
    let words = "x".repeat(300_000);
    let refused = app
        .visitor()
        .submit("/t/F-1", "/report", &[("words", &words)])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
}
