//! The second factor: set up, asked for, counted once, replaced by recovery codes, taken away.

use crate::app::{Answer, PASSWORD, TestApp, Visit};
use axum::http::StatusCode;
use brasstag::clock::MINUTE;
use brasstag::config::PersonAct;
use brasstag::people::{command, factor};

const PAGE: &str = "/me/second-factor";

fn code(app: &TestApp, secret: &str) -> String {
    let now = u64::try_from(app.state.clock.now() / 1000).expect("after 1970");
    let totp = factor::totp(secret, "", "").expect("a secret");
    totp.generate(now).to_string()
}

/// Sets it up; the secret and the recovery codes.
async fn set_up(app: &TestApp, visit: &Visit<'_>) -> (String, Vec<String>) {
    visit.submit(PAGE, &format!("{PAGE}/begin"), &[]).await;
    let shown = visit.get(PAGE).await;
    assert!(shown.has(".qr svg"));
    let secret = shown.text("main code");
    let wrong = visit.submit(PAGE, PAGE, &[("code", "000000")]).await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    let done = visit
        .submit(PAGE, PAGE, &[("code", &code(app, &secret))])
        .await;
    assert_eq!(done.status, StatusCode::OK, "{}", done.body);
    let codes = done.texts("main ol code");
    assert_eq!(codes.len(), 10);
    app.state.clock.advance(MINUTE);
    (secret, codes)
}

/// The password, and then the page that asks for the code.
async fn password(visit: &Visit<'_>, name: &str) -> Answer {
    let typed = [("name", name), ("password", PASSWORD)];
    visit.submit("/sign-in", "/sign-in", &typed).await
}

async fn send(visit: &Visit<'_>, page: &Answer, code: &str) -> Answer {
    let all = page.filled("/sign-in/code", &[("code", code)]);
    let all: Vec<(&str, &str)> = all.iter().map(|(n, v)| (&**n, &**v)).collect();
    visit.post("/sign-in/code", &all).await
}

#[tokio::test]
async fn a_code_is_asked_for_and_counts_once() {
    let app = TestApp::start().await;
    let own = app.sign_in("technician").await;
    let (secret, _) = set_up(&app, &own).await;
    assert_eq!(own.get("/today").await.status, StatusCode::OK);
    let visit = app.visitor();
    let page = password(&visit, "technician").await;
    assert_eq!(page.status, StatusCode::OK);
    assert_eq!(
        visit.get("/today").await.status,
        StatusCode::SEE_OTHER,
        "not in yet"
    );
    let right = code(&app, &secret);
    let refused = send(&visit, &page, "123456").await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(send(&visit, &refused, &right).await.location, "/today");
    // The same code a second time, by whoever read it over the shoulder.
    let other = app.visitor();
    let page = password(&other, "technician").await;
    let replayed = send(&other, &page, &right).await;
    assert_eq!(replayed.status, StatusCode::UNPROCESSABLE_ENTITY);
    // A clock half a minute behind is taken.
    let late = code(&app, &secret);
    app.state.clock.advance(30_000);
    let early = send(&other, &replayed, &late).await;
    assert_eq!(
        early.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "that step was taken"
    );
    let next = code(&app, &secret);
    app.state.clock.advance(30_000);
    assert_eq!(send(&other, &early, &next).await.location, "/today");
}

#[tokio::test]
async fn five_wrong_codes_need_the_password_again_and_the_step_is_bound_to_its_visit() {
    let app = TestApp::start().await;
    let own = app.sign_in("technician").await;
    let (secret, _) = set_up(&app, &own).await;
    let visit = app.visitor();
    let page = password(&visit, "technician").await;
    let thief = app.visitor();
    let csrf = thief.get("/sign-in").await.value("input[name=csrf]");
    let step = page.value("input[name=step]");
    let right = code(&app, &secret);
    let stolen = [("csrf", &*csrf), ("step", &*step), ("code", &*right)];
    assert_eq!(
        thief.post("/sign-in/code", &stolen).await.status,
        StatusCode::GONE
    );
    for _ in 0..5 {
        send(&visit, &page, "123456").await;
    }
    assert_eq!(send(&visit, &page, &right).await.status, StatusCode::GONE);
    let page = password(&visit, "technician").await;
    app.state.clock.advance(11 * MINUTE);
    let late = send(&visit, &page, &code(&app, &secret)).await;
    assert_eq!(late.status, StatusCode::GONE);
    // Whoever has the password only is slowed down: its tries count until a code is right.
    for _ in 0..4 {
        password(&visit, "technician").await;
    }
    let answer = password(&app.visitor(), "technician").await;
    assert_eq!(answer.status, StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test]
async fn a_recovery_code_opens_once_and_new_ones_replace_the_old() {
    let app = TestApp::start().await;
    let own = app.sign_in("supervisor").await;
    let (_, codes) = set_up(&app, &own).await;
    let visit = app.visitor();
    let page = password(&visit, "supervisor").await;
    let typed = codes[0].to_uppercase().replace('-', " ");
    assert_eq!(send(&visit, &page, &typed).await.location, "/desk");
    let again = app.visitor();
    let page = password(&again, "supervisor").await;
    let refused = send(&again, &page, &codes[0]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        own.get(PAGE)
            .await
            .words()
            .contains("9 of your recovery codes")
    );
    let typed = [("password", PASSWORD)];
    let new = own
        .submit(
            PAGE,
            &format!("{PAGE}/codes"),
            &[("password", "wrong one here")],
        )
        .await;
    assert_eq!(new.status, StatusCode::UNPROCESSABLE_ENTITY);
    let page = own.get(PAGE).await;
    let csrf = page.value("input[name=csrf]");
    let fields = [("csrf", &*csrf), typed[0]];
    let new = own.post(&format!("{PAGE}/codes"), &fields).await;
    assert_eq!(new.texts("main ol code").len(), 10);
    let page = password(&again, "supervisor").await;
    let refused = send(&again, &page, &codes[1]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        own.post(&format!("{PAGE}/off"), &fields).await.location,
        "/me"
    );
    app.sign_in("supervisor").await;
    let noted = "SELECT count(*) FROM audit WHERE act IN ('second factor on', 'recovery code used',
        'new recovery codes', 'second factor off')";
    assert_eq!(app.count(noted).await, 4);
    let raw = "SELECT count(*) FROM recovery_codes";
    assert_eq!(app.count(raw).await, 0);
}

#[tokio::test]
async fn the_shop_can_ask_its_supervisors_and_keepers_for_one() {
    let app = TestApp::start().await;
    let keeper = app.sign_in("keeper").await;
    let supervisor = app.sign_in("supervisor").await;
    let technician = app.sign_in("technician").await;
    let rules = "/shop/sign-in";
    keeper
        .submit(rules, rules, &[("second_factor", "yes")])
        .await;
    for visit in [&keeper, &supervisor, &app.sign_in("supervisor").await] {
        assert_eq!(visit.get("/shop").await.location, PAGE);
        assert_eq!(visit.get("/desk").await.location, PAGE);
    }
    assert_eq!(technician.get("/today").await.status, StatusCode::OK);
    let before = supervisor.cookie();
    set_up(&app, &supervisor).await;
    assert_ne!(
        supervisor.cookie(),
        before,
        "a stronger session has a new token"
    );
    assert_eq!(supervisor.get("/desk").await.status, StatusCode::OK);
    // Switched off, it is asked for again at once.
    let off = [("password", PASSWORD)];
    let csrf = supervisor.get(PAGE).await.value("input[name=csrf]");
    supervisor
        .post(&format!("{PAGE}/off"), &[("csrf", &csrf), off[0]])
        .await;
    assert_eq!(supervisor.get("/desk").await.location, PAGE);
    set_up(&app, &supervisor).await;
    supervisor
        .submit(rules, rules, &[("csrf", ""), ("second_factor", "")])
        .await;
    let csrf = supervisor.get(rules).await.value("input[name=csrf]");
    supervisor.post(rules, &[("csrf", &csrf)]).await;
    assert_eq!(
        keeper.get("/shop").await.status,
        StatusCode::OK,
        "asked no more"
    );
    assert_eq!(technician.get(rules).await.status, StatusCode::FORBIDDEN);
    let auditor = app.sign_in("auditor").await;
    let csrf = auditor.get(rules).await.value("input[name=csrf]");
    let refused = auditor
        .post(rules, &[("csrf", &csrf), ("second_factor", "yes")])
        .await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_keeper_takes_it_away_and_the_password_goes_with_it() {
    let app = TestApp::start().await;
    let own = app.sign_in("technician").await;
    let (_, codes) = set_up(&app, &own).await;
    let keeper = app.sign_in("keeper").await;
    let page = format!("/shop/people/{}", app.person("technician").await.0);
    let made = keeper
        .submit(&page, &format!("{page}/second-factor"), &[])
        .await;
    assert_eq!(made.status, StatusCode::OK, "{}", made.body);
    let link = made.text("main code").replace("http://shop.example", "");
    assert_eq!(own.get("/today").await.status, StatusCode::SEE_OTHER);
    let refused = password(&app.visitor(), "technician").await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let visit = app.visitor();
    visit
        .submit(&link, &link, &[("new_password", "wheel of grey clay")])
        .await;
    app.sign_in_with("technician", "wheel of grey clay").await;
    assert_eq!(
        app.count("SELECT count(*) FROM audit WHERE act = 'second factor reset'")
            .await,
        1
    );
    assert_eq!(codes.len(), 10);
    // A second time there is nothing to take away.
    let again = keeper.get(&page).await;
    let csrf = again.value("input[name=csrf]");
    let refused = keeper
        .post(&format!("{page}/second-factor"), &[("csrf", &csrf)])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn the_command_line_takes_it_away_too_and_prints_a_link() {
    let app = TestApp::start().await;
    let own = app.sign_in("keeper").await;
    set_up(&app, &own).await;
    let act = PersonAct::ResetSecondFactor {
        sign_in_name: "keeper".to_owned(),
    };
    let said = command::run(app.db(), &app.state.clock, &act, "", true).await;
    let said = said.expect("it does");
    let (_, link) = said.split_once("followed by ").expect("a link");
    let visit = app.visitor();
    visit
        .submit(link, link, &[("new_password", "wheel of grey clay")])
        .await;
    app.sign_in_with("keeper", "wheel of grey clay").await;
    let act = PersonAct::NewLink {
        sign_in_name: "keeper".to_owned(),
    };
    let said = command::run(app.db(), &app.state.clock, &act, "", true).await;
    assert!(said.expect("it does").contains("/password/"));
}
