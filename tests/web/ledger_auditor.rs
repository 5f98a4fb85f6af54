//! The auditor's query: each rule with its blanks, in the asked days and place, and what was changed.

use crate::app::TestApp;
use axum::http::StatusCode;
use brasstag::ledger::auditor::Rule;

/// One line of everything that is looked over in the hall, with and without a blank, and one in the barn.
async fn lay_out(app: &TestApp) {
    app.run(
        "INSERT INTO places (id, parent_id, kind, name) VALUES (1, NULL, 'building', 'Mill'),
             (2, 1, 'room', 'Hall'), (3, NULL, 'building', 'Barn');
         INSERT INTO machines (id, tag, name, kind, place_id, facts, created_at) VALUES
             (1, 'F-1', 'Hall fan', 'fan', 2, '{}', 0), (2, 'P-1', 'Barn pump', 'pump', 3, '{}', 0),
             (3, 'F-2', 'Old fan', 'fan', 2, '{}', 0);
         INSERT INTO energy_sources (id, kind, name, device, dead_test) VALUES
             (1, 'electrical', 'Disconnect', 'Disconnect', 'single_phase');
         INSERT INTO isolation_sheets (id, machine_id, revision, steps, made_at, inspected_on,
             inspected_by) VALUES (1, 1, 1, 'Lock', 0, '2025-02-01', 'A'), (2, 1, 2, 'Lock', 0,
             '2026-02-01', 'B'), (3, 2, 1, 'Lock', 0, NULL, '');
         INSERT INTO jobs (id, machine_id, state, words, reported_at, back_at, signed_at, proof_verdict,
             entry_count, last_entry_at) VALUES
             (1, 1, 'signed_off', 'Proved', 1780000000000, 1780100000000, 1780200000000, 'within', 1, 0),
             (2, 1, 'back_in_service', 'Bare', 1780000000000, 1780300000000, NULL, NULL, 1, 0),
             (3, 2, 'signed_off', 'Barn', 1780000000000, 1780100000000, 1780200000000, 'beyond', 1, 0),
             (4, 1, 'signed_off', 'Before', 1700000000000, 1700000000000, 1700000000000, NULL, 1, 0);
         INSERT INTO entries (id, job_id, number, person_id, received_at, kind, body, set_aside) VALUES
             ('e1', 1, 1, 1, 1780000000000, 'dead_test', '{}', NULL),
             ('e2', 1, 2, 1, 1780000000000, 'lock_on', '{}', NULL),
             ('e3', 2, 1, 1, 1780000000000, 'lock_on', '{}', NULL),
             ('e4', 2, 2, 1, 1780000000000, 'note', '{}', 'came too late'),
             ('e5', 1, 3, 1, 1780000000000, 'permit', '{}', NULL),
             ('e6', 1, 4, 1, 1780000000000, 'fix', '{}', NULL),
             ('e7', 1, 5, 1, 1780050000000, 'lock_off', '{}', NULL);
         INSERT INTO locks (entry_id, job_id, machine_id, source_id, person_id, lock_number, on_at,
             off_entry_id, off_at) VALUES ('e2', 1, 1, 1, 1, '7', 1780000000000, 'e7', 1780050000000),
             ('e3', 2, 1, 1, 1, '8', 1780000000000, 'e7', 1780050000000);
         INSERT INTO permits (entry_id, job_id, permit_kind, number, issued_by, issued_to, valid_from,
             valid_to, conditions, closed_entry_id, closed_at) VALUES ('e5', 1, 'hot_work', '12', 'Fire',
             'Us', 1780000000000, 1780050000000, 'Watch', NULL, NULL);
         INSERT INTO temporary_fixes (entry_id, job_id, machine_id, what, until_on, made_at) VALUES
             ('e6', 1, 1, 'Belt tied', '2026-06-10', 1780000000000);
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, made_at) VALUES
             (1, 1, 'Clean', '{}', '2026-01-01', 0);
         INSERT INTO due_items (plan_id, due_on, reason, state, done_on, note) VALUES
             (1, '2026-05-01', '', 'done', '2026-05-02', ''), (1, '2026-06-01', '', 'missed', NULL, ''),
             (1, '2026-07-01', '', 'missed', NULL, 'No lift'), (1, '2027-06-01', '', 'open', NULL, '');
         INSERT INTO plan_revisions (plan_id, version, until_at, person_id, action, rule, anchor_on,
             window_days, steps, reason) VALUES (1, 1, 1780000000000, 1, 'Clean', '{}', '2026-01-01', 0,
             '', '');
         INSERT INTO audit (at, person_id, thing, thing_id, act, detail) VALUES
             (1780000000000, 1, 'machines', 1, 'change', '{}'),
             (1780000000000, NULL, 'machines', 2, 'change', '{}')",
    )
    .await;
}

const YEAR: &str = "from=2026-01-01&to=2026-12-31";

#[tokio::test]
async fn each_rule_lists_what_was_done_and_what_is_blank_there() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("auditor").await;
    // Rule, lines in the mill with what is below it, those with a blank, the first blank.
    for (rule, lines, blanks, first) in [
        (Rule::Isolation, 2, 1, "no dead test on the job"),
        (Rule::Inspections, 2, 1, "no isolation sheet"),
        (Rule::Proofs, 2, 1, "no run test"),
        (Rule::Permits, 1, 1, "not closed"),
        (Rule::Temporary, 1, 1, "still there, past its day"),
        (Rule::Due, 3, 1, "missed, no reason"),
        (Rule::SignOffs, 2, 1, "not signed off"),
        (Rule::Changes, 3, 2, "no reason"),
    ] {
        let query = format!("{YEAR}&place=1&key={}", rule.word());
        let page = visit.get(&format!("/ledger/auditor?{query}")).await;
        assert_eq!(page.status, StatusCode::OK, "{rule:?}");
        let found = page.texts("table.found tbody tr");
        assert_eq!(found.len(), lines, "{rule:?}: {found:?}");
        let marked = page.texts("table.found tbody strong");
        assert_eq!(marked.len(), blanks, "{rule:?}: {marked:?}");
        assert!(
            marked.iter().any(|words| words == first),
            "{rule:?}: {marked:?}"
        );
        assert!(
            !page
                .texts("table.found tbody tr:first-child strong")
                .is_empty(),
            "blanks first"
        );
        assert!(
            page.words()
                .contains(&format!("{lines} in all, {blanks} with a blank"))
        );
        let file = visit.get(&format!("/ledger/auditor.csv?{query}")).await;
        assert_eq!(
            file.body.lines().count(),
            lines + 2,
            "{rule:?}: {}",
            file.body
        );
        if rule != Rule::Changes {
            assert_eq!(page.texts("table.changes tbody tr").len(), 3, "{rule:?}");
        }
    }
}

#[tokio::test]
async fn days_and_places_narrow_it_and_an_unknown_rule_is_no_page() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let lines = |query: String| {
        let visit = &visit;
        async move {
            let page = visit.get(&format!("/ledger/auditor?{query}")).await;
            assert_eq!(page.status, StatusCode::OK, "{query}");
            page.texts("table.found tbody tr").len()
        }
    };
    assert_eq!(lines(format!("{YEAR}&key=sign-offs")).await, 3);
    assert_eq!(lines(format!("{YEAR}&key=sign-offs&place=3")).await, 1);
    assert_eq!(
        lines("from=2023-01-01&to=2023-12-31&key=sign-offs".to_owned()).await,
        1
    );
    assert_eq!(
        lines("from=2025-01-01&to=2025-12-31&key=due".to_owned()).await,
        0
    );
    assert_eq!(
        visit.get("/ledger/auditor?key=luck").await.status,
        StatusCode::NOT_FOUND
    );
    for role in ["technician", "storekeeper", "reporter"] {
        let visit = app.sign_in(role).await;
        for path in ["/ledger/auditor", "/ledger/auditor.csv"] {
            assert_eq!(
                visit.get(path).await.status,
                StatusCode::FORBIDDEN,
                "{role} {path}"
            );
        }
    }
}
