//! Meters: readings are judged before they are kept, a changed meter counts on, dates move with them.

use crate::app::TestApp;
use crate::small_shop;
use axum::http::StatusCode;
use brasstag::preventive::make_ahead;

/// The small shop with a meter of run hours on `F-1` and a plan of every 500 hours.
async fn lay_out(app: &TestApp) {
    small_shop::lay_out(app).await;
    app.run(
        "INSERT INTO meters (id, machine_id, name, unit, hours) VALUES (101, 1, 'Run hours', 'h', TRUE);
         INSERT INTO meter_readings (id, meter_id, read_on, value) VALUES (101, 101, '2026-10-01', 5000);
         INSERT INTO meter_readings (id, meter_id, read_on, value) VALUES (102, 101, '2026-11-15', 5225);
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         VALUES (101, 1, 'Grease', '{\"kind\":\"meter\",\"every\":500}', '2026-10-01', 7, 0)",
    )
    .await;
}

const PAGE: &str = "/machines/1/meters";

#[tokio::test]
async fn a_reading_is_kept_and_the_next_service_moves_with_it() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    make_ahead(&app.state).await.expect("made");
    let visit = app.sign_in("technician").await;
    let page = visit.get(PAGE).await.words();
    // 225 h in 45 days are 5 a day; 275 are left.
    assert!(
        page.contains("Sat 9 Jan 2027, at 5500 h; 275 h left"),
        "{page}"
    );
    assert!(
        page.contains("2 readings over 45 days, 5 h a day"),
        "{page}"
    );
    let kept = visit.submit(PAGE, PAGE, &[("value-101", "5350")]).await;
    assert_eq!(kept.location, PAGE, "{}", kept.body);
    // 350 h in 55 days; 150 left are 24 days.
    let due = "SELECT count(*) FROM due_items WHERE state = 'open' AND due_on = '2026-12-19'";
    assert_eq!(app.count(due).await, 1);
    assert_eq!(app.count("SELECT count(*) FROM due_items").await, 1);
    let page = visit.get(PAGE).await.words();
    assert!(
        page.contains("5350 h on Wed 25 Nov 2026, The technician"),
        "{page}"
    );
}

#[tokio::test]
async fn what_cannot_be_is_refused_beside_its_field_and_stays_typed() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let lower = visit.submit(PAGE, PAGE, &[("value-101", "522")]).await;
    assert_eq!(lower.status, StatusCode::UNPROCESSABLE_ENTITY);
    let error = lower.text("#value-101-error");
    assert!(
        error.starts_with("Lower than 5225 h read on Sun 15 Nov 2026. Mistyped?"),
        "{error}"
    );
    assert_eq!(lower.value("#value-101"), "522");
    assert!(
        lower
            .body
            .contains("/meters/101/changed?changed_on=2026-11-25&amp;new_start=522")
    );
    let fast = visit.submit(PAGE, PAGE, &[("value-101", "5500")]).await;
    let error = fast.text("#value-101-error");
    assert!(error.contains("more than 24 hours a day"), "{error}");
    let words = visit.submit(PAGE, PAGE, &[("value-101", "many")]).await;
    assert_eq!(
        words.text("#value-101-error"),
        "Enter what the meter shows, as 5201"
    );
    let late = visit
        .submit(
            PAGE,
            PAGE,
            &[("value-101", "5300"), ("read_on", "2026-11-26")],
        )
        .await;
    assert_eq!(late.text("#read_on-error"), "This day has not come yet");
    assert_eq!(app.count("SELECT count(*) FROM meter_readings").await, 2);
}

#[tokio::test]
async fn the_same_as_last_is_asked_about_once_and_then_marked() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let asked = visit.submit(PAGE, PAGE, &[("value-101", "5225")]).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(asked.text("#value-101-error").contains("Read it again"));
    assert_eq!(app.count("SELECT count(*) FROM meter_readings").await, 2);
    let fields = asked.filled(PAGE, &[]);
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    let kept = visit.post(PAGE, &fields).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.body);
    let marked = "SELECT count(*) FROM meter_readings WHERE same_as_last AND value = 5225";
    assert_eq!(app.count(marked).await, 1);
    assert!(
        visit
            .get(PAGE)
            .await
            .words()
            .contains("same as the one before, read again")
    );
}

#[tokio::test]
async fn a_changed_meter_counts_on_and_its_history_stands_apart() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let page = "/meters/101/changed";
    let refused = visit
        .submit(page, page, &[("old_final", "5000"), ("new_start", "")])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text("#new_start-error").contains("0 for a new one"));
    let refused = visit
        .submit(page, page, &[("old_final", "5000"), ("new_start", "0")])
        .await;
    assert!(
        refused
            .text("#old_final-error")
            .starts_with("Lower than it was read")
    );
    let early = [
        ("old_final", "5240"),
        ("new_start", "0"),
        ("changed_on", "2026-11-01"),
    ];
    let refused = visit.submit(page, page, &early).await;
    assert_eq!(
        refused.text("#changed_on-error"),
        "It was read or changed after this day"
    );
    let noted = [
        ("old_final", "5240"),
        ("new_start", "3"),
        ("changed_on", "2026-11-18"),
    ];
    let noted = visit.submit(page, page, &noted).await;
    assert_eq!(noted.location, PAGE, "{}", noted.body);
    let kept = visit.submit(PAGE, PAGE, &[("value-101", "63")]).await;
    assert_eq!(kept.location, PAGE, "{}", kept.body);
    let readings = brasstag::meters::queries::total(app.db(), brasstag::machines::MachineId(1))
        .await
        .expect("a total");
    assert_eq!(readings.last().map(|reading| reading.value), Some(5300.0));
    let shown = visit.get(PAGE).await.words();
    assert!(
        shown.contains("Old meter, until Wed 18 Nov 2026: 5240 h, then 3 h anew"),
        "{shown}"
    );
}

#[tokio::test]
async fn a_wrong_reading_is_struck_with_a_reason_and_counts_no_more() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let action = "/meters/readings/102/wrong";
    let refused = visit.submit(PAGE, action, &[("why", " ")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.body.contains("Say what is wrong with this reading"));
    let struck = visit
        .submit(PAGE, action, &[("why", "Read off the neighbour")])
        .await;
    assert_eq!(struck.location, PAGE);
    assert!(
        visit
            .get(PAGE)
            .await
            .words()
            .contains("wrong: Read off the neighbour (The technician)")
    );
    let lower = visit.submit(PAGE, PAGE, &[("value-101", "5100")]).await;
    assert_eq!(lower.status, StatusCode::SEE_OTHER, "{}", lower.body);
}

#[tokio::test]
async fn several_machines_are_read_at_once_each_line_on_its_own() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let new = "/machines/2/meters/new";
    let refused = visit
        .submit("/machines/2/meters", new, &[("name", "Starts")])
        .await;
    assert_eq!(
        refused.text("#counts-error"),
        "Choose run hours or something else"
    );
    assert_eq!(refused.value("#name"), "Starts");
    let added = [("name", "Starts"), ("unit", "starts"), ("counts", "other")];
    let added = visit.submit("/machines/2/meters", new, &added).await;
    assert_eq!(added.status, StatusCode::SEE_OTHER, "{}", added.body);
    let id = app
        .count("SELECT id FROM meters WHERE machine_id = 2")
        .await;
    let field = format!("value-{id}");
    let typed = [("value-101", "1"), (field.as_str(), "9000")];
    let answer = visit.submit("/meters?place=2", "/meters", &typed).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.words().contains("1 kept."), "{}", answer.words());
    assert_eq!(answer.value("#value-101"), "1");
    assert_eq!(answer.value(&format!("#{field}")), "");
    assert_eq!(app.count("SELECT count(*) FROM meter_readings").await, 3);
    let none = visit.get("/meters?place=99").await.words();
    assert!(none.contains("No machine here has a meter"), "{none}");
}

#[tokio::test]
async fn who_does_not_work_at_machines_reads_no_meter() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let auditor = app.sign_in("auditor").await;
    assert_eq!(auditor.get(PAGE).await.status, StatusCode::OK);
    let csrf = auditor.get("/meters").await.value("input[name=csrf]");
    for action in [
        PAGE,
        "/meters",
        "/machines/1/meters/new",
        "/meters/readings/101/wrong",
    ] {
        let answer = auditor.post(action, &[("csrf", csrf.as_str())]).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{action}");
    }
    let reporter = app.sign_in("reporter").await;
    assert_eq!(reporter.get("/meters").await.status, StatusCode::FORBIDDEN);
    assert_eq!(reporter.get(PAGE).await.status, StatusCode::FORBIDDEN);
    let visit = app.sign_in("technician").await;
    for path in ["/machines/99/meters", "/meters/99/changed"] {
        assert_eq!(
            visit.get(path).await.status,
            StatusCode::NOT_FOUND,
            "{path}"
        );
    }
}
