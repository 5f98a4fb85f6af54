//! A tablet that several people use: who may what there with a PIN, and under whose name entries go.

use crate::app::{PASSWORD, TestApp, Visit};
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;
use brasstag::clock::{HOUR, MINUTE};

/// Signs in on this browser with the password.
async fn enter(visit: &Visit<'_>, name: &str) {
    let typed = [("name", name), ("password", PASSWORD)];
    let answer = visit.submit("/sign-in", "/sign-in", &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
}

async fn choose_pin(visit: &Visit<'_>, name: &str, pin: &str) {
    enter(visit, name).await;
    let answer = visit.submit("/me", "/me/pin", &[("pin", pin)]).await;
    assert_eq!(answer.location, "/me", "{}", answer.text("#pin-error"));
}

/// The tablet of the pump room, with the technician and the supervisor; nobody is signed in.
async fn shared(app: &TestApp) -> Visit<'_> {
    let tablet = app.visitor();
    enter(&tablet, "supervisor").await;
    let refused = tablet.submit("/me", "/me/tablet", &[("tablet", " ")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    tablet
        .submit("/me", "/me/tablet", &[("tablet", "Pump room")])
        .await;
    for bad in ["1234", "123456", "24071983", "abcdef"] {
        let refused = tablet.submit("/me", "/me/pin", &[("pin", bad)]).await;
        assert!(refused.has("#pin-error"), "{bad}");
    }
    choose_pin(&tablet, "supervisor", "482915").await;
    choose_pin(&tablet, "technician", "730264").await;
    tablet.submit("/today", "/tablet/change", &[]).await;
    tablet
}

async fn change_to(app: &TestApp, tablet: &Visit<'_>, name: &str, pin: &str) -> String {
    let id = app.person(name).await.0;
    let page = format!("/tablet?person={id}");
    let answer = tablet.submit(&page, "/tablet", &[("pin", pin)]).await;
    if answer.status == StatusCode::SEE_OTHER {
        answer.location
    } else {
        answer.text("#pin-error")
    }
}

#[tokio::test]
async fn people_change_over_with_a_pin_and_a_pin_reaches_nothing_administrative() {
    let app = TestApp::start().await;
    let tablet = shared(&app).await;
    let page = tablet.get("/tablet").await;
    assert!(page.words().contains("The technician") && page.words().contains("Pump room"));
    assert_eq!(
        change_to(&app, &tablet, "technician", "730264").await,
        "/today"
    );
    assert!(tablet.get("/today").await.words().contains("Change person"));
    tablet.submit("/today", "/tablet/change", &[]).await;
    assert_eq!(tablet.get("/today").await.status, StatusCode::SEE_OTHER);
    assert_eq!(
        change_to(&app, &tablet, "supervisor", "482915").await,
        "/desk"
    );
    let desk = tablet.get("/desk").await;
    let csrf = desk.value("form.who input[name=csrf]");
    for path in [
        "/shop/settings",
        "/shop/people/1",
        "/shop/audit",
        "/exchange",
        "/me",
        "/shop/backups",
    ] {
        assert_eq!(
            tablet.get(path).await.status,
            StatusCode::FORBIDDEN,
            "{path}"
        );
    }
    for path in [
        "/me/password",
        "/me/pin",
        "/me/second-factor/begin",
        "/shop/people/new",
        "/me/tablet",
    ] {
        let answer = tablet.post(path, &[("csrf", &csrf)]).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{path}");
    }
    // It ends soon by itself.
    app.state.clock.advance(16 * MINUTE);
    assert_eq!(tablet.get("/desk").await.status, StatusCode::SEE_OTHER);
    assert_eq!(
        change_to(&app, &tablet, "supervisor", "482915").await,
        "/desk"
    );
    for _ in 0..43 {
        app.state.clock.advance(14 * MINUTE);
        tablet.get("/desk").await;
    }
    assert_eq!(
        tablet.get("/desk").await.status,
        StatusCode::SEE_OTHER,
        "after ten hours"
    );
}

#[tokio::test]
async fn after_five_wrong_pins_the_password_is_asked_for() {
    let app = TestApp::start().await;
    let tablet = shared(&app).await;
    for left in ["4 more", "3 more", "2 more", "One more", "no longer opens"] {
        let said = change_to(&app, &tablet, "technician", "111222").await;
        assert!(said.contains(left), "{said}");
    }
    let said = change_to(&app, &tablet, "technician", "730264").await;
    assert!(said.contains("no longer opens"), "{said}");
    assert_eq!(
        change_to(&app, &tablet, "supervisor", "482915").await,
        "/desk"
    );
    choose_pin(&tablet, "technician", "905173").await;
    tablet.submit("/today", "/tablet/change", &[]).await;
    assert_eq!(
        change_to(&app, &tablet, "technician", "905173").await,
        "/today"
    );
}

#[tokio::test]
async fn a_pin_is_worth_nothing_on_another_browser_or_for_another_person() {
    let app = TestApp::start().await;
    let tablet = shared(&app).await;
    let other = app.visitor();
    assert_eq!(other.get("/tablet").await.status, StatusCode::GONE);
    let csrf = other.get("/sign-in").await.value("input[name=csrf]");
    let id = app.person("technician").await.0.to_string();
    let fields = [("csrf", &*csrf), ("person", &*id), ("pin", "730264")];
    assert_eq!(
        other.post("/tablet", &fields).await.status,
        StatusCode::GONE
    );
    let said = change_to(&app, &tablet, "technician", "482915").await;
    assert!(said.contains("Wrong PIN"), "{said}");
    let csrf = tablet.get("/tablet").await.value("input[name=csrf]");
    let csrf = if csrf.is_empty() {
        tablet.get("/sign-in").await.value("input[name=csrf]")
    } else {
        csrf
    };
    let keeper = app.person("keeper").await.0.to_string();
    let fields = [("csrf", &*csrf), ("person", &*keeper), ("pin", "730264")];
    let refused = tablet.post("/tablet", &fields).await;
    assert_eq!(
        refused.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "no PIN here"
    );
    let reporter = app.sign_in("reporter").await;
    let csrf = reporter.get("/me").await.value("form.who input[name=csrf]");
    let refused = reporter
        .post("/me/tablet", &[("csrf", &csrf), ("tablet", "Mine")])
        .await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_form_that_the_one_before_left_open_never_goes_under_the_next_name() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let job = report(&app, "F-1", "It hums").await;
    plan_and_hand_out(&app, job).await;
    let tablet = shared(&app).await;
    change_to(&app, &tablet, "technician", "730264").await;
    let note = format!("/jobs/{job}/note");
    let open = tablet.get(&note).await;
    tablet.submit("/today", "/tablet/change", &[]).await;
    change_to(&app, &tablet, "supervisor", "482915").await;
    let fields = open.filled(&note, &[("text", "Belt is worn")]);
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (&**n, &**v)).collect();
    assert_eq!(
        tablet.post(&note, &fields).await.status,
        StatusCode::FORBIDDEN
    );
    let notes = "SELECT count(*) FROM entries WHERE kind = 'note'";
    assert_eq!(app.count(notes).await, 0);
    let done = tablet
        .submit(&note, &note, &[("text", "Belt is worn")])
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    let whose = "SELECT count(*) FROM entries e JOIN people p ON p.id = e.person_id
        WHERE e.kind = 'note' AND p.role = 'supervisor'";
    assert_eq!(app.count(whose).await, 1);
}

#[tokio::test]
async fn a_tablet_that_was_ended_a_closed_person_and_a_new_password_open_nothing() {
    let app = TestApp::start().await;
    let tablet = shared(&app).await;
    let keeper = app.sign_in("keeper").await;
    let id = app.person("technician").await.0;
    let page = format!("/shop/people/{id}");
    let new = [("new_password", "wheel of grey clay")];
    keeper
        .submit(&page, &format!("{page}/password"), &new)
        .await;
    let csrf = tablet.get("/sign-in").await.value("input[name=csrf]");
    let fields = [
        ("csrf", csrf),
        ("person", id.to_string()),
        ("pin", "730264".to_owned()),
    ];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, &**v)).collect();
    let refused = tablet.post("/tablet", &fields).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    change_to(&app, &tablet, "supervisor", "482915").await;
    let listed = keeper.get("/shop/tablets").await;
    assert!(listed.words().contains("Pump room"));
    keeper
        .submit("/shop/tablets", "/shop/tablets/1/end", &[])
        .await;
    assert_eq!(tablet.get("/desk").await.status, StatusCode::SEE_OTHER);
    assert_eq!(tablet.get("/tablet").await.status, StatusCode::GONE);
    let technician = app.sign_in_with("technician", "wheel of grey clay").await;
    assert_eq!(
        technician.get("/shop/tablets").await.status,
        StatusCode::FORBIDDEN
    );
    app.state.clock.advance(HOUR);
    assert_eq!(app.count("SELECT count(*) FROM tablet_pins").await, 0);
}
