//! Rounds: what is due by place on one sheet and one page, what was missed, what waits for the season.

use crate::app::{Answer, TestApp};
use crate::small_shop;
use axum::http::StatusCode;
use brasstag::preventive::make_ahead;

/// The small shop with a plan by run hours and one by months on `F-1`, and one on `F-2`.
async fn lay_out(app: &TestApp) {
    small_shop::lay_out(app).await;
    app.run(
        "INSERT INTO meters (id, machine_id, name, unit, hours) VALUES (101, 1, 'Run hours', 'h', TRUE);
         INSERT INTO meter_readings (id, meter_id, read_on, value) VALUES (101, 101, '2026-10-01', 5000);
         INSERT INTO meter_readings (id, meter_id, read_on, value) VALUES (102, 101, '2026-11-20', 5500);
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at, steps)
         VALUES (101, 1, 'Grease', '{\"kind\":\"meter\",\"every\":500}', '2026-10-01', 7, 0, 'Two strokes.');
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         VALUES (102, 1, 'Look at the belt', '{\"kind\":\"calendar\",\"every\":{\"months\":3}}',
            '2026-11-20', 7, 0);
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         VALUES (103, 2, 'Brush the screen', '{\"kind\":\"calendar\",\"every\":{\"months\":1}}',
            '2026-11-28', 7, 0)",
    )
    .await;
    make_ahead(&app.state).await.expect("made");
}

const ROUND: &str = "/rounds/1";

/// The numbers of the open items by plan.
async fn items(app: &TestApp) -> [i64; 3] {
    let one = "SELECT id FROM due_items WHERE state = 'open' AND plan_id = 101";
    let two = "SELECT id FROM due_items WHERE state = 'open' AND plan_id = 102";
    let three = "SELECT id FROM due_items WHERE state = 'open' AND plan_id = 103";
    [
        app.count(one).await,
        app.count(two).await,
        app.count(three).await,
    ]
}

async fn made(app: &TestApp) -> [i64; 3] {
    let answer = app
        .sign_in("supervisor")
        .await
        .submit(
            "/rounds?place=1&days=7",
            "/rounds",
            &[("title", "Kiln shutdown")],
        )
        .await;
    assert_eq!(answer.location, ROUND, "{}", answer.body);
    items(app).await
}

/// Sends the page's own form again, as it stands there.
async fn again(visit: &crate::app::Visit<'_>, page: &Answer, fields: &[(&str, &str)]) -> Answer {
    let fields = page.filled(ROUND, fields);
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    visit.post(ROUND, &fields).await
}

#[tokio::test]
async fn what_is_due_by_place_becomes_a_round_with_its_sheet() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let near = visit.get("/rounds?place=2&days=1").await;
    assert_eq!(near.texts("fieldset .tick").len(), 2, "{}", near.words());
    assert!(near.words().contains("Key 4 at the office"));
    let none = visit.get("/rounds?place=99").await.words();
    assert!(none.contains("Nothing is due here"), "{none}");
    let csrf = near.value("input[name=csrf]");
    let refused = visit
        .post("/rounds", &[("csrf", csrf.as_str()), ("title", "Empty")])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.words().contains("Tick what belongs to the round"));
    assert_eq!(refused.value("#title"), "Empty");
    let [grease, ..] = made(&app).await;
    let list = visit.get("/rounds?place=1&days=7").await;
    assert!(list.words().contains("on round 1 already"));
    assert!(!list.has(&format!("#item-{grease}[checked]")));
    let sheet = visit.get("/rounds/1/sheet").await;
    let words = sheet.words();
    for expected in [
        "Kiln shutdown",
        "3 open lines",
        "Key 4 at the office",
        "Two strokes.",
        "Run hours (h): last 5500 h on Fri 20 Nov 2026. Now",
    ] {
        assert!(words.contains(expected), "{expected}: {words}");
    }
    assert_eq!(
        words.matches("Run hours").count(),
        1,
        "once for the machine"
    );
}

#[tokio::test]
async fn each_line_is_kept_on_its_own_and_the_others_stay_typed() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let [grease, belt, screen] = made(&app).await;
    let visit = app.sign_in("technician").await;
    let (done, not) = (format!("said-{grease}"), format!("said-{belt}"));
    let (open, note) = (format!("said-{screen}"), format!("note-{screen}"));
    let typed = [
        (done.as_str(), "done"),
        (not.as_str(), "could_not"),
        (open.as_str(), "done"),
        (note.as_str(), "Brushed"),
        ("value-101", "99"),
    ];
    let answer = visit.submit(ROUND, ROUND, &typed).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.words().contains("1 kept."), "{}", answer.words());
    assert!(
        answer
            .text("#value-101-error")
            .starts_with("Lower than 5500 h")
    );
    assert_eq!(answer.value("#value-101"), "99");
    assert_eq!(
        answer.text(&format!("#note-{grease}-error")),
        "Put the reading right first"
    );
    assert_eq!(
        answer.text(&format!("#note-{belt}-error")),
        "Say why it could not be done"
    );
    assert!(answer.has(&format!("#not-{belt}[checked]")));
    let state = "SELECT count(*) FROM due_items WHERE state = 'done' AND note = 'Brushed'
        AND done_on = '2026-11-25' AND person_id IS NOT NULL";
    assert_eq!(app.count(state).await, 1);
    let why = format!("note-{belt}");
    let rest = again(
        &visit,
        &answer,
        &[("value-101", "5550"), (why.as_str(), "Belt guard seized")],
    )
    .await;
    // A page that is typed in again by the same form asks for nothing twice.
    assert!(rest.status == StatusCode::OK || rest.status == StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        app.count("SELECT count(*) FROM meter_readings WHERE value = 5550")
            .await,
        1
    );
    let could_not =
        "SELECT count(*) FROM due_items WHERE state = 'could_not' AND note = 'Belt guard seized'";
    let left = app.count(could_not).await;
    let last = again(
        &visit,
        &visit.get(ROUND).await,
        &[
            (done.as_str(), "done"),
            (not.as_str(), "could_not"),
            (why.as_str(), "Belt guard seized"),
        ],
    )
    .await;
    assert_eq!(last.status, StatusCode::OK, "{left} {}", last.words());
    assert_eq!(app.count(could_not).await, 1);
    // Done on its day, the next one counts from the reading of that day.
    let next = "SELECT count(*) FROM due_items WHERE plan_id = 101 AND state = 'open' AND due_on > '2026-12-25'";
    assert_eq!(app.count(next).await, 1);
    assert!(visit.get(ROUND).await.words().contains("3 lines, 0 open"));
    assert!(
        visit
            .get("/rounds/1/sheet")
            .await
            .words()
            .contains("Every line of this round is closed")
    );
}

#[tokio::test]
async fn a_service_by_meter_asks_for_the_reading_or_why_there_is_none() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let [grease, ..] = made(&app).await;
    let visit = app.sign_in("technician").await;
    let (said, note) = (format!("said-{grease}"), format!("note-{grease}"));
    let asked = visit.submit(ROUND, ROUND, &[(said.as_str(), "done")]).await;
    let error = asked.text(&format!("#note-{grease}-error"));
    assert_eq!(
        error,
        "Enter what the meter shows, or why it could not be read"
    );
    let mute = visit
        .submit(ROUND, ROUND, &[(note.as_str(), "Looks dry")])
        .await;
    let error = mute.text(&format!("#note-{grease}-error"));
    assert_eq!(error, "Say whether it was done or could not be done");
    let late = visit
        .submit(
            ROUND,
            ROUND,
            &[("done_on", "2026-11-26"), (said.as_str(), "done")],
        )
        .await;
    assert_eq!(late.text("#done_on-error"), "This day has not come yet");
    let kept = [
        (said.as_str(), "done"),
        (note.as_str(), "Glass of the meter blind"),
    ];
    let kept = visit.submit(ROUND, ROUND, &kept).await;
    assert_eq!(kept.status, StatusCode::OK, "{}", kept.words());
    assert!(kept.words().contains("Glass of the meter blind"));
}

#[tokio::test]
async fn the_same_as_last_is_asked_as_it_is_entered_and_counted_by_person() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    made(&app).await;
    let visit = app.sign_in("technician").await;
    let asked = visit.submit(ROUND, ROUND, &[("value-101", "5500")]).await;
    assert!(asked.text("#value-101-error").contains("Read it again"));
    let kept = again(&visit, &asked, &[]).await;
    assert_eq!(kept.status, StatusCode::OK, "{}", kept.words());
    assert_eq!(
        app.count("SELECT count(*) FROM meter_readings WHERE same_as_last")
            .await,
        1
    );
    let desk = app.sign_in("supervisor").await;
    let checks = desk.get("/rounds/checks?month=2026-11").await;
    assert!(
        checks.words().contains("The technician"),
        "{}",
        checks.words()
    );
    let row = checks.texts("tbody tr").pop().unwrap_or_default();
    assert_eq!(row, "The technician 1 1");
    assert!(checks.words().contains("Nothing was done in 2026-11"));
    assert_eq!(
        visit.get("/rounds/checks").await.status,
        StatusCode::FORBIDDEN
    );
}

#[tokio::test]
async fn a_few_done_items_of_a_month_are_drawn_to_be_seen_again() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let by = app.person("technician").await.0;
    for day in 1..=9 {
        let sql = format!(
            "INSERT INTO due_items (plan_id, due_on, reason, state, done_on, person_id)
             VALUES (103, '2026-10-0{day}', 'x', 'done', '2026-10-0{day}', {by})"
        );
        app.run(Box::leak(sql.into_boxed_str())).await;
    }
    let visit = app.sign_in("supervisor").await;
    let one = visit.get("/rounds/checks").await;
    assert!(
        one.words().contains("5 of the 9 items done in 2026-10"),
        "{}",
        one.words()
    );
    let other = visit.get("/rounds/checks?month=2026-10").await;
    assert_eq!(one.texts("tbody tr"), other.texts("tbody tr"));
}

#[tokio::test]
async fn missed_is_shown_by_building_and_month_and_never_waived() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run(
        "INSERT INTO due_items (plan_id, due_on, reason, state, done_on)
            VALUES (103, '2026-09-28', 'x', 'missed', '2026-10-28');
         INSERT INTO due_items (plan_id, due_on, reason, state, done_on, note)
            VALUES (103, '2026-08-28', 'x', 'could_not', '2026-08-28', 'Hall in use')",
    )
    .await;
    let visit = app.sign_in("auditor").await;
    let page = visit.get("/preventive/missed").await;
    let rows = page.texts("tbody tr");
    assert!(
        rows.contains(&"Sep 2026 0 % of 1 1 0 0 0 1 0 0 0".to_owned()),
        "{rows:?}"
    );
    assert!(
        rows.contains(&"Aug 2026 0 % of 1 1 0 0 1 0 0 0 0".to_owned()),
        "{rows:?}"
    );
    assert!(rows.contains(&"Mill 1 1".to_owned()), "{rows:?}");
    assert!(page.words().contains("Mon 28 Sep 2026"));
}

#[tokio::test]
async fn what_waits_for_the_season_is_listed_with_its_days() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run(
        "INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         VALUES (104, 2, 'Check the heater', '{\"kind\":\"before_season\",\"start\":{\"month\":12,\"day\":15},\"lead_days\":28}',
            '2026-01-01', 7, 0)",
    )
    .await;
    let visit = app.sign_in("supervisor").await;
    let before = visit.get("/preventive/season").await.words();
    assert!(before.contains("20 days left"), "{before}");
    app.run(
        "INSERT INTO due_items (plan_id, due_on, reason, state, done_on)
         VALUES (104, '2026-11-17', 'x', 'done', '2026-11-18')",
    )
    .await;
    let after = visit.get("/preventive/season").await.words();
    assert!(after.contains("Nothing is waiting"), "{after}");
    assert!(
        after.contains("Check the heater, for Tue 15 Dec 2026"),
        "{after}"
    );
}

#[tokio::test]
async fn who_does_not_work_at_machines_walks_no_round() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    made(&app).await;
    let auditor = app.sign_in("auditor").await;
    assert_eq!(auditor.get(ROUND).await.status, StatusCode::OK);
    let csrf = auditor.get(ROUND).await.value("input[name=csrf]");
    for action in ["/rounds", ROUND] {
        let answer = auditor.post(action, &[("csrf", csrf.as_str())]).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{action}");
    }
    let reporter = app.sign_in("reporter").await;
    for path in [
        "/rounds",
        ROUND,
        "/rounds/1/sheet",
        "/rounds/checks",
        "/preventive/missed",
        "/preventive/season",
    ] {
        assert_eq!(
            reporter.get(path).await.status,
            StatusCode::FORBIDDEN,
            "{path}"
        );
    }
    for path in ["/rounds/99", "/rounds/99/sheet"] {
        assert_eq!(
            auditor.get(path).await.status,
            StatusCode::NOT_FOUND,
            "{path}"
        );
    }
}
