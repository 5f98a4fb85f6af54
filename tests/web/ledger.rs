//! The ledger: jobs to search, and figures that open to the rows they count.

use crate::app::TestApp;
use axum::http::StatusCode;

/// Two places, two fans, a repeat on one of them and planned work late and in time.
async fn lay_out(app: &TestApp) {
    // The jobs were reported 80, 60, 20 and 1 days before the noon at which tests begin.
    app.run(
        "INSERT INTO places (id, parent_id, kind, name) VALUES
             (1, NULL, 'site', 'Mill'), (2, 1, 'room', 'Hall'), (3, 1, 'room', 'Store');
         INSERT INTO machines (id, tag, name, kind, place_id, facts, created_at) VALUES
             (1, 'F-1', 'Hall fan', 'fan', 2, '{}', 0),
             (2, 'F-2', 'Store fan', 'fan', 3, '{}', 0);
         INSERT INTO jobs (id, machine_id, due_item_id, state, words, reported_at, entry_count,
             last_entry_at)
         VALUES (1, 1, NULL, 'signed_off', 'Belt broken', 1788696000000, 1, 0),
             (2, 2, NULL, 'signed_off', 'Humming', 1790424000000, 1, 0),
             (3, 1, NULL, 'signed_off', 'Belt again', 1793880000000, 1, 0),
             (4, 2, 99, 'held', 'Planned, waits', 1795521600000, 1, 0);
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         VALUES (1, 1, 'Clean', '{\"kind\":\"calendar\",\"every\":{\"months\":1}}', '2026-08-01',
                 3, 0);
         INSERT INTO due_items (plan_id, due_on, reason, state, done_on) VALUES
             (1, '2026-08-01', '', 'done', '2026-08-03'),
             (1, '2026-09-01', '', 'done', '2026-09-20'),
             (1, '2026-10-01', '', 'could_not', '2026-10-01'),
             (1, '2026-11-01', '', 'open', NULL)",
    )
    .await;
}

#[tokio::test]
async fn figures_say_what_they_count_and_open_to_their_rows() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("auditor").await;
    let page = visit.get("/ledger").await;
    assert_eq!(page.status, StatusCode::OK);
    let figures = page.texts("table.figures tbody tr");
    assert!(figures[0].starts_with("Jobs open1: 1 held"), "{figures:?}");
    assert!(
        figures[1].starts_with("Planned work overdue1"),
        "{figures:?}"
    );
    assert!(figures[2].starts_with("Repeats1 F-1"), "{figures:?}");
    assert!(figures[2].contains("within 90 days"), "{figures:?}");
    assert!(
        figures[3].contains("1 of 4 due; 1 late, 2 not done"),
        "{figures:?}"
    );

    let repeats = visit.get("/ledger?figure=repeats").await;
    let rows = repeats.texts("table:not(.figures) tbody tr");
    assert_eq!(rows.len(), 1);
    assert!(rows[0].contains("F-1") && rows[0].contains("job 1") && rows[0].contains("job 3"));
    assert!(rows[0].ends_with("60"), "{rows:?}");
    let overdue = visit.get("/ledger?figure=overdue").await;
    assert_eq!(overdue.texts("table:not(.figures) tbody tr").len(), 1);
    let due = visit.get("/ledger?figure=due").await;
    assert_eq!(due.texts("table:not(.figures) tbody tr").len(), 4);
}

#[tokio::test]
async fn jobs_are_found_by_state_machine_place_and_day() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    for (query, ids) in [
        ("", vec!["job 4", "job 3", "job 2", "job 1"]),
        ("?state=open", vec!["job 4"]),
        ("?state=signed_off&machine=f-1", vec!["job 3", "job 1"]),
        ("?place=3", vec!["job 4", "job 2"]),
        ("?place=1", vec!["job 4", "job 3", "job 2", "job 1"]),
        ("?from=2026-09-20&to=2026-11-10", vec!["job 3", "job 2"]),
        ("?machine=nothing", vec![]),
    ] {
        let page = visit.get(&format!("/ledger{query}")).await;
        let found = page.texts("table:not(.figures) tbody th");
        assert_eq!(found, ids, "{query}");
    }
    let odd = visit.get("/ledger?from=2026-02-30&place=abc").await;
    assert_eq!(odd.status, StatusCode::OK);
    assert_eq!(
        odd.text("p.error"),
        "Enter a date that exists, as 2026-11-25"
    );
    assert_eq!(odd.value("#from"), "2026-02-30");
}

#[tokio::test]
async fn the_ledger_is_for_supervisor_auditor_and_keeper() {
    let app = TestApp::start().await;
    for (role, status) in [
        ("supervisor", StatusCode::OK),
        ("auditor", StatusCode::OK),
        ("keeper", StatusCode::OK),
        ("technician", StatusCode::FORBIDDEN),
        ("storekeeper", StatusCode::FORBIDDEN),
        ("reporter", StatusCode::FORBIDDEN),
    ] {
        let visit = app.sign_in(role).await;
        assert_eq!(visit.get("/ledger").await.status, status, "{role}");
    }
    let stranger = app.visitor().get("/ledger").await;
    assert_eq!(stranger.location, "/sign-in?next=/ledger");
}

#[tokio::test]
async fn a_long_list_goes_on_where_the_page_ends() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    // All reported in one minute, twenty of them in the same millisecond.
    app.run(
        "INSERT INTO jobs (id, machine_id, state, words, reported_at, entry_count, last_entry_at)
         WITH RECURSIVE n (i) AS (SELECT 101 UNION ALL SELECT i + 1 FROM n WHERE i < 250)
         SELECT i, 2, 'signed_off', 'Crowd', 1790000000000 + i / 20, 1, 0 FROM n",
    )
    .await;
    let visit = app.sign_in("auditor").await;
    let mut seen = Vec::new();
    let mut path = "/ledger?state=signed_off".to_owned();
    for rows in [100, 53] {
        let page = visit.get(&path).await;
        let found = page.texts("table:not(.figures) tbody th");
        assert_eq!(found.len(), rows, "{path}");
        seen.extend(found);
        let mut links = page.attributes("href").into_iter();
        path = links.find(|to| to.contains("before=")).unwrap_or_default();
    }
    assert_eq!(path, "", "the last page goes on nowhere");
    seen.sort();
    seen.dedup();
    assert_eq!(seen.len(), 153);
    let figures = visit.get("/ledger").await.texts("table.figures tbody tr");
    assert!(figures[0].starts_with("Jobs open1: 1 held"), "{figures:?}");
}
