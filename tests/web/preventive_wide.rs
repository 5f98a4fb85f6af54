//! Plans on a kind or a place, services inside longer ones, and what a plan was before it was changed.

use crate::app::TestApp;
use axum::http::StatusCode;
use brasstag::clock::DAY;
use brasstag::preventive::make_ahead;

async fn lay_out(app: &TestApp) {
    app.run(
        "INSERT INTO places (id, parent_id, kind, name) VALUES (1, NULL, 'site', 'Mill'),
             (2, 1, 'building', 'North'), (3, 2, 'roof', 'North roof'), (4, 1, 'building', 'South');
         INSERT INTO machines (id, tag, name, kind, place_id, facts, created_at)
         VALUES (1, 'F-1', 'Roof fan', 'fan', 3, '{}', 0), (2, 'P-1', 'Pump', 'pump', 2, '{}', 0),
             (3, 'F-2', 'Hall fan', 'fan', 4, '{}', 0)",
    )
    .await;
}

const YEARLY: &[(&str, &str)] = &[
    ("action", "Look at it"),
    ("kind", "calendar"),
    ("anchor_on", "2027-01-15"),
    ("count", "3"),
    ("unit", "months"),
    ("window_days", "5"),
];

fn with<'a>(more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    YEARLY.iter().chain(more).copied().collect()
}

#[tokio::test]
async fn a_plan_on_a_place_reaches_what_lies_below_it_and_what_comes_later() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let path = "/preventive/wide/new";
    let made = visit.submit(path, path, &with(&[("on_place", "2")])).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
    let fans = "SELECT count(*) FROM plans p JOIN due_items d ON d.plan_id = p.id
        WHERE p.wide_id IS NOT NULL AND d.due_on = '2027-01-15' AND d.state = 'open'";
    assert_eq!(
        app.count(fans).await,
        2,
        "the roof fan and the pump, not the south"
    );
    app.run(
        "INSERT INTO machines (id, tag, name, kind, place_id, facts, created_at)
         VALUES (9, 'F-9', 'New fan', 'fan', 3, '{}', 0)",
    )
    .await;
    make_ahead(&app.state).await.expect("made");
    make_ahead(&app.state).await.expect("made");
    assert_eq!(app.count(fans).await, 3);
    let page = visit.get("/preventive").await;
    assert!(
        page.words().contains("every machine in Mill, North"),
        "{}",
        page.words()
    );

    let wide = app.count("SELECT id FROM wide_plans").await;
    let edit = format!("/preventive/wide/{wide}/edit");
    let changed = [
        ("count", "2"),
        ("anchor_on", "2027-02-01"),
        ("changed_because", "Dusty"),
    ];
    let changed = visit.submit(&edit, &edit, &changed).await;
    assert_eq!(changed.status, StatusCode::SEE_OTHER, "{}", changed.body);
    let moved = "SELECT count(*) FROM due_items WHERE due_on = '2027-02-01' AND revision = 2";
    assert_eq!(app.count(moved).await, 3);
    assert_eq!(
        app.count("SELECT count(*) FROM plan_revisions WHERE reason = 'Dusty'")
            .await,
        3
    );
    let stale = visit.submit(&edit, &edit, &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn a_wide_plan_needs_a_kind_or_a_place_and_a_supervisor() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let path = "/preventive/wide/new";
    let refused = visit.submit(path, path, YEARLY).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused.text("#on_kind-error"), "Choose a kind or a place");
    assert_eq!(refused.value("#action"), "Look at it");
    let both = with(&[("on_place", "2"), ("on_kind", "fan")]);
    let refused = visit.submit(path, path, &both).await;
    assert_eq!(
        refused.text("#on_kind-error"),
        "Choose a kind or a place, not both"
    );
    let made = visit.submit(path, path, &with(&[("on_kind", "fan")])).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER);
    assert_eq!(
        app.count("SELECT count(*) FROM plans").await,
        2,
        "both fans"
    );
    let technician = app.sign_in("technician").await;
    assert_eq!(technician.get(path).await.status, StatusCode::FORBIDDEN);
    assert_eq!(
        visit.get("/preventive/wide/77/edit").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn the_next_ten_dates_are_shown_and_nothing_is_saved() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let typed = with(&[("preview", "yes")]);
    let page = visit
        .submit("/preventive/new?machine=F-1", "/preventive/new", &typed)
        .await;
    assert_eq!(page.status, StatusCode::OK);
    assert_eq!(page.texts("#dates tbody tr").len(), 10);
    assert!(page.text("#dates tbody tr").contains("Fri 15 Jan 2027"));
    assert!(page.text("#dates tbody tr").contains("every 3 months"));
    assert_eq!(page.value("#anchor_on"), "2027-01-15");
    assert_eq!(app.count("SELECT count(*) FROM plans").await, 0);
}

/// A quarterly plan 100 inside a yearly one 101, both due on one day.
async fn nested(app: &TestApp) {
    lay_out(app).await;
    app.run(
        "INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         VALUES (101, 1, 'Overhaul', '{\"kind\":\"calendar\",\"every\":{\"years\":1}}',
             '2026-11-24', 7, 0);
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at, included_in)
         VALUES (100, 1, 'Quarterly clean', '{\"kind\":\"calendar\",\"every\":{\"months\":3}}',
             '2026-11-22', 7, 0, 101)",
    )
    .await;
    make_ahead(&app.state).await.expect("made");
}

#[tokio::test]
async fn the_longer_service_covers_the_shorter_and_both_count_as_done() {
    let app = TestApp::start().await;
    nested(&app).await;
    assert_eq!(
        app.count("SELECT count(*) FROM due_items WHERE covered_by IS NOT NULL")
            .await,
        1
    );
    let page = app.sign_in("technician").await.get("/preventive").await;
    assert!(
        page.words().contains("includes: Quarterly clean"),
        "{}",
        page.words()
    );
    app.run("UPDATE due_items SET state = 'done', done_on = '2026-11-25' WHERE plan_id = 101")
        .await;
    make_ahead(&app.state).await.expect("made");
    let both = "SELECT count(*) FROM due_items WHERE state = 'done' AND done_on = '2026-11-25'";
    assert_eq!(app.count(both).await, 2);
    let next = "SELECT count(*) FROM due_items WHERE plan_id = 100 AND state = 'open'
        AND due_on = '2027-02-22' AND covered_by IS NULL";
    assert_eq!(app.count(next).await, 1);
}

#[tokio::test]
async fn where_the_longer_service_could_not_be_done_the_shorter_stands_again() {
    let app = TestApp::start().await;
    nested(&app).await;
    let item = app
        .count("SELECT id FROM due_items WHERE plan_id = 101")
        .await;
    let visit = app.sign_in("supervisor").await;
    let action = format!("/preventive/items/{item}/could-not");
    let said = visit
        .submit("/preventive/101", &action, &[("note", "No crane")])
        .await;
    assert_eq!(said.status, StatusCode::SEE_OTHER, "{}", said.body);
    let open = "SELECT count(*) FROM due_items WHERE plan_id = 100 AND state = 'open'
        AND covered_by IS NULL";
    assert_eq!(app.count(open).await, 1);
}

#[tokio::test]
async fn what_had_fallen_due_stays_when_the_rule_changes() {
    let app = TestApp::start().await;
    nested(&app).await;
    app.state.clock.advance(DAY);
    let visit = app.sign_in("supervisor").await;
    let edit = "/preventive/101/edit";
    let changed = visit
        .submit(
            edit,
            edit,
            &[("count", "2"), ("changed_because", "Found clean")],
        )
        .await;
    assert_eq!(changed.status, StatusCode::SEE_OTHER, "{}", changed.body);
    let kept = "SELECT count(*) FROM due_items WHERE plan_id = 101 AND state = 'open'
        AND due_on = '2026-11-24' AND revision = 1";
    assert_eq!(app.count(kept).await, 1);
    let page = visit.get("/preventive/101").await;
    assert!(page.words().contains("What the plan was before"));
    assert!(page.words().contains("Found clean"));
    // A plan cannot lie inside one that itself lies inside another.
    let refused = visit.submit(edit, edit, &[("included_in", "100")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .text("#included_in-error")
            .starts_with("Choose a longer plan")
    );
}
