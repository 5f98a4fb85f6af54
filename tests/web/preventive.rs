//! Preventive plans: dates come by themselves, become jobs, and grow out of causes.

use crate::app::TestApp;
use axum::http::StatusCode;
use brasstag::preventive::make_ahead;

/// A place and a fan `F-1`, with a plan of every three months that has never been done. Its id is high:
/// on Postgres a written id does not move the counter that gives the next.
async fn lay_out(app: &TestApp) {
    app.run(
        "INSERT INTO places (id, kind, name) VALUES (1, 'site', 'Mill');
         INSERT INTO machines (id, tag, name, kind, place_id, facts, created_at)
         VALUES (1, 'F-1', 'Hall fan', 'fan', 1, '{}', 0);
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         VALUES (101, 1, 'Clean the wheel', '{\"kind\":\"after_done\",\"every\":{\"months\":3}}',
                 '2026-11-01', 7, 0)",
    )
    .await;
}

const PLAN: &[(&str, &str)] = &[
    ("action", "Grease the bearings"),
    ("kind", "nth_weekday"),
    ("anchor_on", "2026-12-01"),
    ("count", "2"),
    ("nth", "-1"),
    ("weekday", "Friday"),
];

#[tokio::test]
async fn making_ahead_twice_makes_each_item_once() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    assert_eq!(make_ahead(&app.state).await.expect("made"), 1);
    assert_eq!(make_ahead(&app.state).await.expect("made"), 0);
    assert_eq!(app.count("SELECT count(*) FROM due_items").await, 1);
    let page = app.sign_in("supervisor").await.get("/preventive").await;
    assert!(
        page.words().contains("1 open, 1 of them overdue"),
        "{}",
        page.words()
    );
    assert!(page.words().contains("overdue: 24 days late"));
    assert!(
        page.words()
            .contains("every 3 months, counted from the day")
    );
    let other = app
        .sign_in("supervisor")
        .await
        .get("/preventive?machine=X-9")
        .await;
    assert!(other.words().contains("Nothing is due on X-9"));
}

#[tokio::test]
async fn a_due_item_becomes_one_job_however_often_it_is_sent() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    make_ahead(&app.state).await.expect("made");
    let item = app.count("SELECT id FROM due_items").await;
    let action = format!("/preventive/items/{item}/job");
    let visit = app.sign_in("supervisor").await;
    let made = visit.submit("/preventive/101", &action, &[]).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER);
    let job = app.count("SELECT id FROM jobs").await;
    assert_eq!(made.location, format!("/jobs/{job}"));
    assert_eq!(app.count("SELECT due_item_id FROM jobs").await, item);
    assert_eq!(app.count("SELECT job_id FROM due_items").await, job);
    let csrf = visit.get("/preventive/101").await.value("input[name=csrf]");
    let again = visit.post(&action, &[("csrf", csrf.as_str())]).await;
    assert_eq!(again.location, format!("/jobs/{job}"));
    assert_eq!(app.count("SELECT count(*) FROM jobs").await, 1);
}

#[tokio::test]
async fn what_could_not_be_done_needs_a_reason_and_comes_back_later() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    make_ahead(&app.state).await.expect("made");
    let item = app.count("SELECT id FROM due_items").await;
    let action = format!("/preventive/items/{item}/could-not");
    let visit = app.sign_in("supervisor").await;
    let refused = visit
        .submit("/preventive/101", &action, &[("note", " ")])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused.text("#note-error"), "Say why it could not be done");
    let done = visit
        .submit("/preventive/101", &action, &[("note", "Hall in use")])
        .await;
    assert_eq!(done.location, "/preventive/101");
    let open = "SELECT count(*) FROM due_items WHERE state = 'open' AND due_on = '2027-02-25'";
    assert_eq!(
        app.count(open).await,
        1,
        "three months from the day that was said"
    );
    let page = visit.get("/preventive/101").await;
    assert!(page.words().contains("could not be done"));
    assert!(page.words().contains("Hall in use"));
    assert_eq!(visit.post(&action, &[]).await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_plan_is_written_changed_and_kept_from_stale_changes() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let refused = visit
        .submit(
            "/preventive/new?machine=f-1",
            "/preventive/new",
            &[("action", "Grease")],
        )
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused.text("#kind-error"), "Choose when it is due");
    assert_eq!(refused.value("#action"), "Grease");

    let made = visit
        .submit("/preventive/new?machine=f-1", "/preventive/new", PLAN)
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
    let page = visit.get(&made.location).await;
    assert!(
        page.words().contains("on the last Friday, every 2 months"),
        "{}",
        page.words()
    );
    assert!(page.words().contains("Fri 25 Dec 2026"));
    assert_eq!(
        page.texts("h2 + p + table tbody tr").len(),
        10,
        "ten dates ahead"
    );

    let edit = format!("{}/edit", made.location);
    let before = visit.get(&edit).await;
    assert_eq!(before.value("#weekday"), "Friday");
    let changed = visit.submit(&edit, &edit, &[("weekday", "Monday")]).await;
    assert_eq!(changed.location, made.location);
    assert!(
        visit
            .get(&made.location)
            .await
            .words()
            .contains("last Monday")
    );
    let open = "SELECT count(*) FROM due_items WHERE state = 'open' AND plan_id <> 101";
    assert_eq!(
        app.count(open).await,
        1,
        "the open date follows the new rule"
    );
    let stale = visit.submit(&edit, &edit, &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn only_a_supervisor_changes_plans_and_reporters_see_none() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let technician = app.sign_in("technician").await;
    assert_eq!(
        technician.get("/preventive/101").await.status,
        StatusCode::OK
    );
    assert_eq!(
        technician.get("/preventive/101/edit").await.status,
        StatusCode::FORBIDDEN
    );
    let new = technician.get("/preventive/new?machine=F-1").await;
    assert_eq!(new.status, StatusCode::FORBIDDEN);
    let reporter = app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/preventive").await.status,
        StatusCode::FORBIDDEN
    );
    let supervisor = app.sign_in("supervisor").await;
    assert_eq!(
        supervisor.get("/preventive/99").await.status,
        StatusCode::NOT_FOUND
    );
}

/// A job with its cause, as the walk leaves it after the run test.
async fn lay_out_job(app: &TestApp) {
    lay_out(app).await;
    app.run(
        "INSERT INTO jobs (id, machine_id, place_id, state, words, reported_at, component, mode,
             mechanism, cause, cause_at, back_at, entry_count, last_entry_at)
         VALUES (7, 1, 1, 'back_in_service', 'It hums', 0, 'fan wheel', 'vibrates',
             'out of balance', 'dirt on blades', 1, 1, 1, 1);
         INSERT INTO entries (id, job_id, number, received_at, kind, body)
         VALUES ('01936000-0000-7000-8000-000000000001', 7, 1, 0, 'reported', '{}')",
    )
    .await;
}

#[tokio::test]
async fn a_cause_becomes_a_plan_with_its_first_date_and_an_entry_all_at_once() {
    let app = TestApp::start().await;
    lay_out_job(&app).await;
    let path = "/jobs/7/plan-from-cause";
    let visit = app.sign_in("supervisor").await;
    let page = visit.get(path).await;
    assert!(
        page.value("#action").starts_with("Clean at interval"),
        "{}",
        page.body
    );
    let refused = visit.submit(path, path, &[("months", "0")]).await;
    assert_eq!(
        refused.text("#months-error"),
        "Enter every how many months, as 3"
    );
    assert_eq!(app.count("SELECT count(*) FROM plans").await, 1);

    let typed = [
        ("action", "Brush the wheel"),
        ("months", "2"),
        ("first_due", "2027-01-20"),
    ];
    let saved = visit.submit(path, path, &typed).await;
    assert_eq!(saved.location, "/jobs/7", "{}", saved.body);
    let plan = "SELECT count(*) FROM plans WHERE made_from_job = 7 AND action = 'Brush the wheel'";
    assert_eq!(app.count(plan).await, 1);
    let item = "SELECT count(*) FROM due_items d JOIN plans p ON p.id = d.plan_id
        WHERE p.made_from_job = 7 AND d.due_on = '2027-01-20' AND d.state = 'open'";
    assert_eq!(app.count(item).await, 1);
    let entry = "SELECT count(*) FROM entries WHERE job_id = 7 AND kind = 'plan_made'";
    assert_eq!(app.count(entry).await, 1);
}

#[tokio::test]
async fn a_plan_the_job_refuses_leaves_nothing_behind() {
    let app = TestApp::start().await;
    lay_out_job(&app).await;
    app.run("UPDATE jobs SET state = 'reported' WHERE id = 7")
        .await;
    let path = "/jobs/7/plan-from-cause";
    let visit = app.sign_in("supervisor").await;
    let refused = visit
        .submit(path, path, &[("first_due", "2027-01-20")])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.words().contains("This job is reported now"));
    assert_eq!(app.count("SELECT count(*) FROM plans").await, 1);
    assert_eq!(
        app.count("SELECT count(*) FROM due_items WHERE plan_id <> 101")
            .await,
        0
    );
    assert_eq!(app.count("SELECT count(*) FROM entries").await, 1);

    let technician = app.sign_in("technician").await;
    let seen = technician.get(path).await;
    assert!(seen.words().contains("A supervisor makes the plan"));
    assert!(!seen.has("#action"));
    let csrf = technician
        .get("/preventive")
        .await
        .value("input[name=csrf]");
    let sent = technician.post(path, &[("csrf", csrf.as_str())]).await;
    assert_eq!(sent.status, StatusCode::FORBIDDEN);
}
