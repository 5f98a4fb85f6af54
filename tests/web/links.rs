//! Invited by link, a new password by link, and what hangs on a person's sign-in.

use crate::app::{PASSWORD, TestApp};
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;
use brasstag::clock::DAY;

const NEW: &str = "/shop/people/new";

/// Ada, invited by the keeper: the path of her link.
async fn invited(app: &TestApp) -> String {
    let keeper = app.sign_in("keeper").await;
    let typed = [
        ("name", "Ada Brook"),
        ("sign_in_name", "ada"),
        ("role", "technician"),
    ];
    let page = keeper.submit(NEW, NEW, &typed).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    assert!(page.has(".qr svg"));
    let address = page.text("main code");
    let path = address.strip_prefix("http://shop.example");
    path.expect("the shop's own address").to_owned()
}

#[tokio::test]
async fn whoever_is_invited_sets_their_own_password_once() {
    let app = TestApp::start().await;
    let link = invited(&app).await;
    let visit = app.visitor();
    let blank = [("name", "ada"), ("password", "")];
    let refused = visit.submit("/sign-in", "/sign-in", &blank).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let page = visit.get(&link).await;
    assert!(page.words().contains("Ada Brook"));
    assert!(!page.words().contains("The keeper"), "nothing about others");
    // Looking uses nothing up.
    assert_eq!(app.visitor().get(&link).await.status, StatusCode::OK);
    for (bad, word) in [
        ("short", "at least 15"),
        ("passwordpassword", "would be tried"),
        ("Ada Brook ada 1999", "words of your own"),
    ] {
        let page = visit.submit(&link, &link, &[("new_password", bad)]).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(page.text("#new_password-error").contains(word), "{bad}");
    }
    let other = app.visitor();
    let shown = other.get(&link).await;
    let done = visit
        .submit(&link, &link, &[("new_password", PASSWORD)])
        .await;
    assert_eq!(done.location, "/sign-in");
    app.sign_in("ada").await;
    assert_eq!(visit.get(&link).await.status, StatusCode::GONE);
    let again = shown.filled(&link, &[("new_password", "another plain one")]);
    let again: Vec<(&str, &str)> = again.iter().map(|(n, v)| (&**n, &**v)).collect();
    assert_eq!(other.post(&link, &again).await.status, StatusCode::GONE);
    let raw =
        "SELECT count(*) FROM password_links WHERE used_at IS NOT NULL AND length(token_hash) = 64";
    assert_eq!(app.count(raw).await, 1);
}

#[tokio::test]
async fn a_link_ends_and_a_newer_one_takes_its_place() {
    let app = TestApp::start().await;
    let first = invited(&app).await;
    let keeper = app.sign_in("keeper").await;
    let page = format!("/shop/people/{}", app.person("ada").await.0);
    let made = keeper.submit(&page, &format!("{page}/link"), &[]).await;
    let second = made.text("main code").replace("http://shop.example", "");
    let visit = app.visitor();
    assert_eq!(visit.get(&first).await.status, StatusCode::GONE);
    assert_eq!(visit.get(&second).await.status, StatusCode::OK);
    let wrong = visit.get("/password/made-up").await;
    assert_eq!(wrong.text("main"), visit.get(&first).await.text("main"));
    app.state.clock.advance(3 * DAY);
    assert_eq!(visit.get(&second).await.status, StatusCode::GONE);
    for role in ["technician", "storekeeper", "auditor", "reporter"] {
        let visit = app.sign_in(role).await;
        let csrf = visit.get("/me").await.value("form.who input[name=csrf]");
        for act in ["link", "sessions", "second-factor", "password", "close"] {
            let answer = visit
                .post(&format!("{page}/{act}"), &[("csrf", &csrf)])
                .await;
            assert_eq!(answer.status, StatusCode::FORBIDDEN, "{role} {act}");
        }
    }
}

#[tokio::test]
async fn ones_own_password_changes_and_ends_every_other_session() {
    let app = TestApp::start().await;
    let here = app.sign_in("technician").await;
    let there = app.sign_in("technician").await;
    let before = here.cookie();
    let wrong = [
        ("password", "not it at all, no"),
        ("new_password", "wheel of grey clay"),
    ];
    let page = here.submit("/me", "/me/password", &wrong).await;
    assert_eq!(page.text("#password-error"), "This is not your password");
    assert_eq!(page.value("#password"), "", "never shown again");
    let right = [
        ("password", PASSWORD),
        ("new_password", "wheel of grey clay"),
    ];
    assert_eq!(
        here.submit("/me", "/me/password", &right).await.location,
        "/me"
    );
    assert_eq!(here.get("/today").await.status, StatusCode::OK);
    assert_ne!(here.cookie(), before, "under a new token");
    assert_eq!(there.get("/today").await.status, StatusCode::SEE_OTHER);
    app.sign_in_with("technician", "wheel of grey clay").await;
}

#[tokio::test]
async fn sessions_are_listed_and_ended_by_their_person_and_by_a_keeper() {
    let app = TestApp::start().await;
    let here = app.sign_in("technician").await;
    let there = app.sign_in("technician").await;
    let third = app.sign_in("technician").await;
    let page = here.get("/me").await;
    assert_eq!(page.texts("main tbody tr").len(), 3);
    assert_eq!(
        page.texts("main tbody button").len(),
        2,
        "not the one that looks"
    );
    let handle = page.attributes("value").into_iter().find(|v| v.len() == 16);
    let handle = handle.expect("a handle");
    let end = [("session", handle.as_str())];
    here.submit("/me", "/me/sessions", &end).await;
    assert_eq!(app.count("SELECT count(*) FROM sessions").await, 2);
    let supervisor = app.sign_in("supervisor").await;
    // Nobody else's session ends by its handle.
    let own = supervisor.get("/me").await;
    let csrf = own.value("form.who input[name=csrf]");
    let others = here.get("/me").await.attributes("value");
    let others = others
        .into_iter()
        .find(|v| v.len() == 16)
        .expect("a handle");
    supervisor
        .post("/me/sessions", &[("csrf", &csrf), ("session", &others)])
        .await;
    assert_eq!(app.count("SELECT count(*) FROM sessions").await, 3);
    let page = format!("/shop/people/{}", app.person("technician").await.0);
    let shown = supervisor.get(&page).await;
    assert_eq!(shown.texts("main tbody tr").len(), 2);
    supervisor
        .post(&format!("{page}/sessions"), &[("csrf", &csrf)])
        .await;
    for visit in [&here, &there, &third] {
        assert_eq!(visit.get("/today").await.status, StatusCode::SEE_OTHER);
    }
    assert_eq!(supervisor.get("/desk").await.status, StatusCode::OK);
    assert_eq!(
        app.count("SELECT count(*) FROM audit WHERE act = 'sessions ended'")
            .await,
        2
    );
}

#[tokio::test]
async fn a_closed_sign_in_lists_its_open_work_and_opens_nothing() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let job = report(&app, "F-1", "It hums").await;
    plan_and_hand_out(&app, job).await;
    let worker = app.sign_in("technician").await;
    let keeper = app.sign_in("keeper").await;
    let page = format!("/shop/people/{}", app.person("technician").await.0);
    keeper.submit(&page, &format!("{page}/link"), &[]).await;
    let done = keeper.submit(&page, &format!("{page}/close"), &[]).await;
    assert_eq!(done.location, page);
    let shown = keeper.get(&page).await;
    assert!(
        shown.words().contains("Open work to hand over"),
        "{}",
        shown.words()
    );
    assert!(shown.attributes("href").contains(&format!("/jobs/{job}")));
    assert_eq!(worker.get("/today").await.status, StatusCode::SEE_OTHER);
    let open = "SELECT count(*) FROM password_links WHERE used_at IS NULL";
    assert_eq!(app.count(open).await, 0);
    assert_eq!(
        keeper.get(&page).await.texts("form").len(),
        3,
        "search, who, facts: no new link"
    );
}

#[tokio::test]
async fn a_token_that_somebody_laid_into_the_browser_is_not_the_one_that_signs_in() {
    let app = TestApp::start().await;
    let visit = app.visitor();
    visit.take(
        "brasstag_session",
        "a-token-that-the-attacker-knows-as-well-0000",
    );
    visit.take(
        "brasstag_device",
        "a-device-that-the-attacker-knows-as-well-000",
    );
    let typed = [("name", "technician"), ("password", PASSWORD)];
    visit.submit("/sign-in", "/sign-in", &typed).await;
    assert!(!visit.cookie().contains("attacker"), "{}", visit.cookie());
    let first = visit.cookie();
    visit.submit("/sign-in", "/sign-in", &typed).await;
    assert_ne!(visit.cookie(), first, "a new one each time");
    assert_eq!(
        app.count("SELECT count(*) FROM sessions").await,
        1,
        "the one before has ended"
    );
}

#[tokio::test]
async fn settings_changed_by_another_process_are_seen_at_once() {
    let app = TestApp::start().await;
    let keeper = app.sign_in("keeper").await;
    let visitor = app.visitor();
    assert!(keeper.get("/shop").await.text("h1").contains("Test shop"));
    visitor.get("/report").await;
    app.run("UPDATE shop SET name = 'Mill House', version = version + 1")
        .await;
    assert_eq!(keeper.get("/shop").await.text("h1"), "Mill House");
    app.run("UPDATE shop SET name = 'Kiln House', version = version + 1")
        .await;
    app.state.clock.advance(3_000);
    assert!(
        visitor
            .get("/report")
            .await
            .text(".shop-name")
            .contains("Kiln House")
    );
}
