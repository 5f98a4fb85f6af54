//! The Desk: handing out jobs and due items, the part that is asked for again, week and proposal, and who
//! is qualified.

use crate::app::TestApp;
use crate::small_shop;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use brasstag::preventive::make_ahead;

/// A plan that asks for a skill, and one for nothing special.
async fn lay_out(app: &TestApp) {
    small_shop::lay_out(app).await;
    app.run(
        "INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at, minutes, needs)
         VALUES (101, 1, 'Gas valve', '{\"kind\":\"calendar\",\"every\":{\"months\":3}}', '2026-11-26', 7, 0,
            60, '{\"lock\":false,\"skills\":[\"gas\"]}');
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at, minutes, needs)
         VALUES (102, 2, 'Look', '{\"kind\":\"calendar\",\"every\":{\"months\":3}}', '2026-11-27', 7, 0, 30,
            '{\"lock\":false}')",
    )
    .await;
    make_ahead(&app.state).await.expect("made");
}

async fn item(app: &TestApp, gas: bool) -> String {
    let id = match gas {
        true => {
            app.count("SELECT max(id) FROM due_items WHERE plan_id = 101")
                .await
        }
        false => {
            app.count("SELECT max(id) FROM due_items WHERE plan_id = 102")
                .await
        }
    };
    format!("item-{id}")
}

#[tokio::test]
async fn a_due_item_becomes_its_job_once_when_it_is_handed_out() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let to = app.person("technician").await.0.to_string();
    let line = item(&app, false).await;
    let fields = [
        (line.as_str(), "yes"),
        ("to", to.as_str()),
        ("on", "2026-11-27"),
    ];
    let page = visit.get("/desk").await;
    assert!(page.has(&format!("#{line}")), "{}", page.words());
    for _ in 0..2 {
        let csrf = page.value("#hand-out input[name=csrf]");
        let mut sent = fields.to_vec();
        sent.push(("csrf", csrf.as_str()));
        let answer = visit.post("/desk/hand-out", &sent).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
        assert_eq!(answer.location, "/desk");
    }
    let jobs = "SELECT count(*) FROM jobs WHERE due_item_id IS NOT NULL AND state = 'handed_out'";
    assert_eq!(app.count(jobs).await, 1);
    let entries = "SELECT count(*) FROM entries WHERE kind = 'handed_out'";
    assert_eq!(app.count(entries).await, 1, "sent twice, handed out once");
    let week = visit.get("/desk/week?from=2026-11-27").await.words();
    assert!(
        week.contains("Look") && week.contains("0.5 of 8 h"),
        "{week}"
    );
    let month = visit.get("/desk/month?from=2026-11-01").await.words();
    assert!(month.contains("November 2026"), "{month}");
    let backlog = visit.get("/desk/backlog").await.words();
    assert!(backlog.contains("By what it waits for"), "{backlog}");
}

#[tokio::test]
async fn nothing_ticked_or_nobody_chosen_is_said_and_the_ticks_stay() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let csrf = visit.get("/desk").await.value("#hand-out input[name=csrf]");
    let none = visit
        .post(
            "/desk/hand-out",
            &[("csrf", csrf.as_str()), ("on", "2026-11-27")],
        )
        .await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(none.words().contains("Tick what is to be handed out"));
    let line = item(&app, false).await;
    let fields = [
        ("csrf", csrf.as_str()),
        (line.as_str(), "yes"),
        ("on", "2026-11-27"),
    ];
    let nobody = visit.post("/desk/hand-out", &fields).await;
    assert_eq!(nobody.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(nobody.text("#to-error").contains("Choose who does it"));
    assert!(nobody.has(&format!("#{line}[checked]")));
    assert_eq!(
        app.count("SELECT count(*) FROM jobs WHERE due_item_id IS NOT NULL")
            .await,
        0
    );
}

#[tokio::test]
async fn who_is_not_qualified_needs_a_partner_who_is() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let technician = app.person("technician").await.0.to_string();
    let supervisor = app.person("supervisor").await.0.to_string();
    let line = item(&app, true).await;
    let csrf = visit.get("/desk").await.value("#hand-out input[name=csrf]");
    let mut fields = vec![
        ("csrf", csrf.as_str()),
        (line.as_str(), "yes"),
        ("to", technician.as_str()),
        ("on", "2026-11-27"),
    ];
    let refused = visit.post("/desk/hand-out", &fields).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .words()
            .contains("not qualified for it that day: gas"),
        "{}",
        refused.words()
    );
    assert_eq!(
        app.count("SELECT count(*) FROM jobs WHERE due_item_id IS NOT NULL")
            .await,
        0
    );
    fields.push(("partner", supervisor.as_str()));
    let lacks = visit.post("/desk/hand-out", &fields).await;
    assert!(
        lacks.words().contains("This partner lacks it too: gas"),
        "{}",
        lacks.words()
    );
    let page = format!("/crew/{supervisor}");
    let skill = [
        ("csrf", csrf.as_str()),
        ("what", "skill"),
        ("skill", "Gas"),
        ("valid_from", "2026-01-01"),
        ("valid_until", "2026-11-27"),
    ];
    let kept = visit.post(&page, &skill).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.body);
    let made = visit.post("/desk/hand-out", &fields).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
    let job = app.count("SELECT max(id) FROM jobs").await;
    let words = visit.get(&format!("/jobs/{job}")).await.words();
    assert!(words.contains("as the qualified partner"), "{words}");
}

#[tokio::test]
async fn the_lists_answer_304_until_something_changes() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let ask = |tag: &str| {
        let request = Request::get("/desk/board").header(header::COOKIE, visit.cookie());
        let request = match tag {
            "" => request,
            tag => request.header(header::IF_NONE_MATCH, tag),
        };
        request.body(Body::empty()).expect("a request")
    };
    let first = visit.send(ask("")).await;
    assert_eq!(first.status, StatusCode::OK);
    let tag = first.headers[header::ETAG]
        .to_str()
        .expect("text")
        .to_owned();
    assert_eq!(visit.send(ask(&tag)).await.status, StatusCode::NOT_MODIFIED);
    app.run("UPDATE plans SET action = 'Look twice' WHERE id = 102")
        .await;
    let changed = visit.send(ask(&tag)).await;
    assert_eq!(changed.status, StatusCode::OK);
    assert!(changed.words().contains("Look twice"));
}

#[tokio::test]
async fn a_proposal_puts_work_to_qualified_people_and_says_what_is_left() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let page = visit.get("/desk/proposal?from=2026-11-25").await;
    let words = page.words();
    assert!(words.contains("Placed (1)"), "{words}");
    assert!(words.contains("on the day it is due"), "{words}");
    assert!(words.contains("nobody who may do it has hours"), "{words}");
    let line = item(&app, false).await;
    assert!(page.has(&format!("#{line}[checked]")));
    let fields = page.filled("/desk/hand-out", &[]);
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    let made = visit.post("/desk/hand-out", &fields).await;
    assert_eq!(made.location, "/desk/week?from=2026-11-23", "{}", made.body);
    let technician = app.sign_in("technician").await;
    let refused = technician.get("/desk/proposal").await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}
