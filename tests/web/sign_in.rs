//! Set-up, signing in and out, and what a stranger is refused.

use crate::app::{PASSWORD, SET_UP_CODE, TestApp};
use crate::small_shop::lay_out;
use axum::http::StatusCode;

#[tokio::test]
async fn an_empty_shop_is_set_up_once_with_the_code_of_the_terminal() {
    let app = TestApp::empty().await;
    let visit = app.visitor();
    assert_eq!(visit.get("/").await.location, "/set-up");
    let mut answers = [
        ("code", "guessed"),
        ("shop", "Mill House"),
        ("time_zone", "Europe/Lisbon"),
        ("rule_set", ""),
        ("units", "si"),
        ("name", "Ada Brook"),
        ("sign_in_name", "ada"),
        ("password", "short"),
    ];
    let refused = visit.submit("/set-up", "/set-up", &answers).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .text("#code-error")
            .contains("printed on the terminal")
    );
    assert!(
        refused
            .text("#rule_set-error")
            .contains("Choose the edition")
    );
    assert!(refused.text("#password-error").contains("at least 15"));
    assert_eq!(refused.value("#shop"), "Mill House");
    assert_eq!(app.count("SELECT count(*) FROM people").await, 0);

    answers[0].1 = SET_UP_CODE;
    answers[3].1 = "IEC 60364";
    answers[7].1 = "a long enough one";
    let done = visit.submit("/set-up", "/set-up", &answers).await;
    assert_eq!(done.location, "/shop");
    assert_eq!(
        app.count("SELECT count(*) FROM people WHERE role = 'supervisor'")
            .await,
        1
    );
    assert_eq!(visit.get("/set-up").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_wrong_password_is_refused_without_saying_which_part_was_wrong() {
    let app = TestApp::start().await;
    let visit = app.visitor();
    for (name, password) in [("technician", "not it at all"), ("nobody", PASSWORD)] {
        let typed = [("name", name), ("password", password)];
        let page = visit.submit("/sign-in", "/sign-in", &typed).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(
            page.text("#name-error"),
            "This name and password do not belong together"
        );
        assert_eq!(page.value("#name"), name);
        assert_eq!(page.value("#password"), "");
    }
    assert_eq!(app.count("SELECT count(*) FROM sessions").await, 0);
}

#[tokio::test]
async fn signing_in_goes_on_to_the_page_asked_for_but_never_to_another_site() {
    let app = TestApp::start().await;
    let typed = [
        ("name", "technician"),
        ("password", PASSWORD),
        ("next", "//evil.example"),
    ];
    let visit = app.visitor();
    assert_eq!(
        visit.submit("/sign-in", "/sign-in", &typed).await.location,
        "/today"
    );
    let typed = [
        ("name", "technician"),
        ("password", PASSWORD),
        ("next", "/machines"),
    ];
    assert_eq!(
        app.visitor()
            .submit("/sign-in", "/sign-in", &typed)
            .await
            .location,
        "/machines"
    );
}

#[tokio::test]
async fn signing_out_ends_the_session_on_the_server() {
    let app = TestApp::start().await;
    let visit = app.sign_in("supervisor").await;
    assert_eq!(app.count("SELECT count(*) FROM sessions").await, 1);
    let left = visit.submit("/sign-in", "/sign-out", &[]).await;
    assert_eq!(left.location, "/sign-in");
    assert_eq!(app.count("SELECT count(*) FROM sessions").await, 0);
}

#[tokio::test]
async fn a_form_without_this_visits_word_is_refused() {
    let app = TestApp::start().await;
    let visit = app.visitor();
    visit.get("/sign-in").await;
    let typed = [
        ("name", "technician"),
        ("password", PASSWORD),
        ("csrf", "made-up"),
    ];
    assert_eq!(
        visit.post("/sign-in", &typed).await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(app.count("SELECT count(*) FROM sessions").await, 0);
}

#[tokio::test]
async fn every_answer_carries_the_guarding_headers() {
    let app = TestApp::start().await;
    let page = app.visitor().get("/sign-in").await;
    let policy = page.headers["content-security-policy"]
        .to_str()
        .expect("ascii");
    assert!(policy.contains("default-src 'none'") && !policy.contains("unsafe"));
    assert_eq!(page.headers["x-content-type-options"], "nosniff");
    assert_eq!(page.headers["cache-control"], "no-store");
    assert_eq!(app.visitor().get("/healthz").await.body, "ok\n");
    assert_eq!(app.visitor().get("/readyz").await.body, "ok\n");
    assert_eq!(
        app.visitor().get("/no-such-page").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn behind_a_base_path_every_link_form_and_redirect_carries_it() {
    let app = TestApp::behind("/shop").await;
    lay_out(&app).await;
    let visit = app.visitor();
    assert_eq!(visit.get("/report").await.status, StatusCode::NOT_FOUND);
    let page = visit.get("/shop/report").await;
    assert_eq!(page.status, StatusCode::OK);
    let stray: Vec<String> = ["href", "src", "action"]
        .iter()
        .flat_map(|name| page.attributes(name))
        .filter(|link| link.starts_with('/') && !link.starts_with("/shop/"))
        .collect();
    assert!(stray.is_empty(), "{stray:?}");
    let typed = [("tag", "F-1"), ("words", "It howls")];
    let done = visit.submit("/shop/report", "/shop/report", &typed).await;
    assert!(done.location.starts_with("/shop/status/1?new=yes"));
    let typed = [("name", "supervisor"), ("password", PASSWORD)];
    let entered = visit.submit("/shop/sign-in", "/shop/sign-in", &typed).await;
    assert_eq!(entered.location, "/shop/desk");
    for path in [
        "/shop/desk",
        "/shop/jobs/1",
        "/shop/jobs/1/plan",
        "/shop/machines/1",
    ] {
        let page = visit.get(path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
        let stray: Vec<String> = ["href", "src", "action"]
            .iter()
            .flat_map(|name| page.attributes(name))
            .filter(|link| link.starts_with('/') && !link.starts_with("/shop/"))
            .collect();
        assert!(stray.is_empty(), "{path}: {stray:?}");
    }
}
