//! What services found suggests longer or shorter; a person decides, and the reason is kept.

use crate::app::TestApp;
use axum::http::StatusCode;

/// Two plans: one found good six times running, one found bad the last time.
async fn lay_out(app: &TestApp) {
    app.run(
        "INSERT INTO places (id, parent_id, kind, name) VALUES (1, NULL, 'site', 'Mill');
         INSERT INTO machines (id, tag, name, kind, place_id, facts, created_at) VALUES
             (1, 'F-1', 'Fan', 'fan', 1, '{}', 0), (2, 'P-1', 'Pump', 'pump', 1, '{}', 0);
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, made_at) VALUES
             (1, 1, 'Grease', '{\"kind\":\"calendar\",\"every\":{\"months\":1}}', '2026-01-01', 0),
             (2, 2, 'Look', '{\"kind\":\"after_done\",\"every\":{\"months\":1}}', '2026-01-01', 0);
         INSERT INTO jobs (id, machine_id, due_item_id, state, words, reported_at, entry_count,
             last_entry_at)
         WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 9)
         SELECT i, CASE WHEN i < 7 THEN 1 ELSE 2 END, i, 'signed_off', 'Service', 1780000000000, 1, 0
         FROM n;
         INSERT INTO entries (id, job_id, number, received_at, kind, body)
         SELECT 'e' || CAST(id AS TEXT), id, 1, 1780000000000, 'parts', '{}' FROM jobs;
         INSERT INTO due_items (id, plan_id, due_on, reason, state, done_on, job_id) VALUES
             (1, 1, '2026-01-01', '', 'done', '2026-01-01', 1),
             (2, 1, '2026-02-01', '', 'done', '2026-02-03', 2),
             (3, 1, '2026-03-01', '', 'done', '2026-02-27', 3),
             (4, 1, '2026-04-01', '', 'done', '2026-04-01', 4),
             (5, 1, '2026-05-01', '', 'done', '2026-05-01', 5),
             (6, 1, '2026-06-01', '', 'done', '2026-06-01', 6),
             (7, 2, '2026-05-01', '', 'done', '2026-05-11', 7),
             (8, 2, '2026-06-11', '', 'done', '2026-06-12', 8),
             (9, 2, '2026-07-12', '', 'done', '2026-07-12', 9);
         INSERT INTO part_conditions (entry_id, position, job_id, machine_id, part, found, found_at)
         SELECT 'e' || CAST(id AS TEXT), 1, id, machine_id, 'bearing',
             CASE WHEN id = 8 THEN 'replaced' WHEN id = 9 THEN 'not_looked_at' ELSE 'good' END, 0
         FROM jobs",
    )
    .await;
}

#[tokio::test]
async fn services_suggest_and_a_person_decides_with_a_reason() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let page = visit.get("/preventive/learning").await;
    assert_eq!(page.status, StatusCode::OK);
    let plans = page.texts("section.plan-learned");
    assert_eq!(plans.len(), 2);
    assert!(plans[0].contains("P-1 Look") && plans[0].contains("a shorter interval is suggested"));
    assert!(plans[0].contains("not known, bad, good"), "{}", plans[0]);
    assert!(
        plans[0].contains("0 early, 2 late; together 11 days late. The dates of this plan float")
    );
    assert!(
        plans[1].contains("a longer interval may do"),
        "{}",
        plans[1]
    );
    assert!(
        plans[1].contains("1 early, 1 late; together 0 days late"),
        "{}",
        plans[1]
    );

    let (path, keep) = ("/preventive/learning", "/preventive/learning/keep");
    let bare = visit
        .submit(path, keep, &[("plan", "1"), ("because", " ")])
        .await;
    assert_eq!(bare.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        bare.text("#because-1-error"),
        "Say why the interval is kept"
    );
    let kept = visit
        .submit(
            path,
            keep,
            &[("plan", "1"), ("because", "The hall is closed in July")],
        )
        .await;
    assert_eq!(kept.location, "/preventive/learning?machine=F-1");
    let page = visit.get(&kept.location).await;
    assert!(
        page.words()
            .contains("The supervisor: The hall is closed in July"),
        "{}",
        page.words()
    );
    assert_eq!(
        app.count("SELECT count(*) FROM audit WHERE act = 'interval kept'")
            .await,
        1
    );
    let none = visit
        .submit(path, keep, &[("plan", "99"), ("because", "x")])
        .await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_failure_in_between_takes_the_suggestion_back() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run(
        "INSERT INTO jobs (id, machine_id, state, words, reported_at, entry_count, last_entry_at)
         VALUES (50, 1, 'planned', 'Hot', 1776556800000, 1, 0)", // 19 April
    )
    .await;
    let visit = app.sign_in("auditor").await;
    let page = visit.get("/preventive/learning?machine=f-1").await;
    let plans = page.texts("section.plan-learned");
    assert_eq!(plans.len(), 1);
    assert!(
        plans[0].contains("keep the interval") && plans[0].contains("1 had a failure"),
        "{plans:?}"
    );
    assert!(
        !page.has("form[action='/preventive/learning/keep']"),
        "an auditor decides nothing"
    );
    let reporter = app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/preventive/learning").await.status,
        StatusCode::FORBIDDEN
    );
    let technician = app.sign_in("technician").await;
    let path = "/preventive/learning/keep";
    let form = technician.get("/report").await.value("input[name=csrf]");
    let refused = technician
        .post(path, &[("csrf", &form), ("plan", "1"), ("because", "x")])
        .await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn replacing_by_age_needs_data_and_a_ratio() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let path = "/preventive/learning/replacement";
    assert!(
        !visit.get(path).await.has("#verdict"),
        "nothing is asked yet"
    );
    let none = visit
        .get(&format!("{path}?kind=fan&component=belt&ratio=5"))
        .await;
    assert!(none.text("#verdict").contains("nothing can be said"));
    app.run(
        "INSERT INTO jobs (id, machine_id, state, words, reported_at, back_at, component, entry_count,
             last_entry_at)
         WITH RECURSIVE n (i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < 9)
         SELECT 100 + i, 1, 'signed_off', 'Belt', 1700000000000 + i * 8640000000 + (i * 7 % 4) * 604800000,
             1790000000000, 'belt', 1, 0 FROM n",
    )
    .await;
    let asked = visit.get(&format!("{path}?kind=fan&component=belt")).await;
    assert!(
        asked
            .text("#verdict")
            .starts_with("Wear is shown. Say how many times"),
        "{}",
        asked.text("#verdict")
    );
    let told = visit
        .get(&format!("{path}?kind=fan&component=belt&ratio=10"))
        .await;
    assert!(
        told.text("#verdict").starts_with("Replacing at about"),
        "{}",
        told.text("#verdict")
    );
    assert!(
        told.words().contains("10 failures on 1 machines; 9 ages"),
        "{}",
        told.words()
    );
    let odd = visit
        .get(&format!("{path}?kind=fan&component=belt&ratio=many"))
        .await;
    assert!(odd.has("p.error") && odd.value("#ratio") == "many");
}
