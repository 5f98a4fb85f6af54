//! What the work of a plan needs: isolation keeps it off a round, the hard limit asks for a reason, and the
//! job made of a due item carries it all.

use crate::app::TestApp;
use crate::small_shop;
use axum::http::StatusCode;
use brasstag::preventive::make_ahead;

const ROUND: &str = "/rounds/1";

/// Four plans on `F-1`, one of each way to know that the machine has to be isolated, and one on `F-2` that
/// nobody has said anything of; a part on the shelf.
async fn lay_out(app: &TestApp) {
    small_shop::lay_out(app).await;
    app.run(
        "INSERT INTO procedures (id, name, made_at) VALUES (101, 'Belt change', 0);
         INSERT INTO procedure_revisions (procedure_id, revision, made_at) VALUES (101, 1, 0);
         INSERT INTO procedure_steps (procedure_id, revision, position, text, takes, locked)
         VALUES (101, 1, 1, 'Belts lifted off', 'tick', TRUE);
         INSERT INTO parts (id, name, kind, standing, on_hand, created_at)
         VALUES (101, 'Belt A42', 'belt', 'held', 3000, 0);
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at, minutes, steps, needs)
         VALUES (101, 1, 'Change the belt', '{\"kind\":\"calendar\",\"every\":{\"months\":3}}', '2026-11-20', 7, 0,
            45, 'Old belts counted',
            '{\"lock\":true,\"procedure\":101,\"crew\":2,\"access\":\"Key 9\",\"hard_days\":30,\"parts\":[{\"part\":101,\"name\":\"Belt A42\",\"amount\":2000}]}');
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at, steps)
         VALUES (102, 1, 'Brush the wheel', '{\"kind\":\"calendar\",\"every\":{\"months\":3}}', '2026-11-21', 7, 0,
            'Isolate and prove dead first');
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at, needs)
         VALUES (103, 1, 'Bearings', '{\"kind\":\"calendar\",\"every\":{\"months\":3}}', '2026-11-22', 7, 0,
            '{\"procedure\":101}');
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at, needs)
         VALUES (104, 1, 'Listen', '{\"kind\":\"after_done\",\"every\":{\"months\":3}}', '2026-11-23', 0, 0,
            '{\"lock\":false,\"hard_days\":0}');
         INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         VALUES (105, 2, 'Look', '{\"kind\":\"calendar\",\"every\":{\"months\":3}}', '2026-11-24', 7, 0)",
    )
    .await;
    make_ahead(&app.state).await.expect("made");
    let mut fields = vec![("title".to_owned(), "Hall".to_owned())];
    for plan in 101..=105 {
        fields.push((format!("item-{}", item(app, plan).await), "yes".to_owned()));
    }
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    let visit = app.sign_in("supervisor").await;
    let made = visit.submit("/rounds?days=30", "/rounds", &fields).await;
    assert_eq!(made.location, ROUND, "{}", made.body);
}

async fn item(app: &TestApp, plan: i64) -> i64 {
    match plan {
        101 => {
            app.count("SELECT max(id) FROM due_items WHERE plan_id = 101")
                .await
        }
        102 => {
            app.count("SELECT max(id) FROM due_items WHERE plan_id = 102")
                .await
        }
        103 => {
            app.count("SELECT max(id) FROM due_items WHERE plan_id = 103")
                .await
        }
        104 => {
            app.count("SELECT max(id) FROM due_items WHERE plan_id = 104")
                .await
        }
        _ => {
            app.count("SELECT max(id) FROM due_items WHERE plan_id = 105")
                .await
        }
    }
}

async fn open(app: &TestApp) -> i64 {
    app.count("SELECT count(*) FROM due_items WHERE state = 'open' AND plan_id BETWEEN 101 AND 105")
        .await
}

#[tokio::test]
async fn what_needs_isolation_is_not_ticked_done_on_a_round() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let page = visit.get(ROUND).await;
    for plan in [101, 102, 103] {
        let item = item(&app, plan).await;
        assert!(!page.has(&format!("#done-{item}")), "plan {plan}");
        assert!(!page.has(&format!("#job-{item}")), "a supervisor's");
    }
    let words = page.words();
    assert_eq!(words.matches("Needs its job.").count(), 3, "{words}");
    assert!(words.contains("A supervisor makes the job"), "{words}");
    // A form made by hand fares no better.
    let csrf = page.value("input[name=csrf]");
    for plan in [101, 102, 103] {
        let said = format!("said-{}", item(&app, plan).await);
        for word in ["done", "job"] {
            let fields = [
                ("csrf", csrf.as_str()),
                ("done_on", "2026-11-25"),
                (said.as_str(), word),
            ];
            let answer = visit.post(ROUND, &fields).await;
            assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        }
    }
    assert_eq!(open(&app).await, 5);
    let sheet = visit.get("/rounds/1/sheet").await.words();
    assert_eq!(sheet.matches("not on this round").count(), 3, "{sheet}");
    assert!(sheet.contains("Parts: 2 × Belt A42"), "{sheet}");
}

#[tokio::test]
async fn a_plan_that_changes_while_the_round_is_open_is_asked_again() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let page = visit.get(ROUND).await;
    let look = item(&app, 105).await;
    assert!(page.has(&format!("#done-{look}")), "nobody has said");
    // What it would cover counts too.
    app.run(
        "UPDATE due_items SET covered_by = (SELECT max(id) FROM due_items WHERE plan_id = 105)
            WHERE plan_id = 102",
    )
    .await;
    let said = format!("said-{look}");
    let fields = [(said.as_str(), "done")];
    let answer = visit.submit(ROUND, ROUND, &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer
            .text(&format!("#note-{look}-error"))
            .starts_with("This needs the machine isolated"),
        "{}",
        answer.body
    );
    assert_eq!(open(&app).await, 5);
}

#[tokio::test]
async fn on_a_round_it_becomes_its_job_once_and_carries_what_it_needs() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let belt = item(&app, 101).await;
    let said = format!("said-{belt}");
    let kept = visit.submit(ROUND, ROUND, &[(said.as_str(), "job")]).await;
    assert_eq!(kept.status, StatusCode::OK, "{}", kept.body);
    let again = visit.submit(ROUND, ROUND, &[(said.as_str(), "job")]).await;
    assert_eq!(again.status, StatusCode::OK);
    let count = "SELECT count(*) FROM jobs WHERE due_item_id IS NOT NULL";
    assert_eq!(app.count(count).await, 1);
    let planned = "SELECT count(*) FROM jobs WHERE due_item_id IS NOT NULL AND state = 'planned'
            AND scope = 'Change the belt' AND minutes_planned = 45
            AND steps = 'People at once: 2\nParts: 2 × Belt A42\nAccess: Key 9\nOld belts counted'";
    assert_eq!(app.count(planned).await, 1);
    let steps = "SELECT count(*) FROM job_steps WHERE text = 'Belts lifted off' AND locked";
    assert_eq!(app.count(steps).await, 1);
    assert_eq!(
        app.count("SELECT reserved FROM parts WHERE id = 101").await,
        2000
    );
    // Less on the shelf than the plan needs: the job says so.
    app.run("UPDATE due_items SET state = 'open', job_id = NULL WHERE plan_id = 101")
        .await;
    let page = visit.get("/preventive/101").await;
    assert!(
        page.words().contains("2 × Belt A42 (1 free)"),
        "{}",
        page.words()
    );
    let entry = page.value("input[name=entry_id]");
    let csrf = page.value("input[name=csrf]");
    let fields = [("csrf", csrf.as_str()), ("entry_id", entry.as_str())];
    let made = visit
        .post(&format!("/preventive/items/{belt}/job"), &fields)
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
    assert_eq!(
        app.count("SELECT reserved FROM parts WHERE id = 101").await,
        2000
    );
    let job = visit.get(&made.location).await.words();
    assert!(job.contains("could not be kept for this job"), "{job}");
}

#[tokio::test]
async fn beyond_the_hard_limit_it_counts_as_missed_and_asks_why() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let missed = visit.get("/preventive/missed").await.words();
    assert!(missed.contains("Open beyond the hard limit"), "{missed}");
    let plan = visit.get("/preventive/104").await.words();
    assert!(
        plan.contains("Beyond its hard limit, Mon 23 Nov 2026"),
        "{plan}"
    );
    let listen = item(&app, 104).await;
    let (said, note) = (format!("said-{listen}"), format!("note-{listen}"));
    let refused = visit.submit(ROUND, ROUND, &[(said.as_str(), "done")]).await;
    assert!(
        refused
            .text(&format!("#note-{listen}-error"))
            .starts_with("Beyond its hard limit"),
        "{}",
        refused.body
    );
    let fields = [(said.as_str(), "done"), (note.as_str(), "Hall was let")];
    let kept = visit.submit(ROUND, ROUND, &fields).await;
    assert_eq!(kept.status, StatusCode::OK, "{}", kept.body);
    assert_eq!(
        app.count("SELECT count(*) FROM due_items WHERE plan_id = 104 AND state = 'done'")
            .await,
        1
    );
}

#[tokio::test]
async fn the_form_takes_what_is_needed_and_refuses_what_contradicts_itself() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let page = "/preventive/102/edit";
    let bad = [
        ("lock", "no"),
        ("hard_days", "3"),
        ("parts", "2 Belt A99\nBelt"),
        ("crew", "0"),
    ];
    let refused = visit.submit(page, page, &bad).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text("#hard_days-error").contains("no nearer"));
    assert!(refused.text("#parts-error").contains("write how many"));
    assert!(refused.text("#crew-error").contains("people"));
    assert_eq!(refused.text("#parts"), "2 Belt A99 Belt");
    let named = [("lock", "no"), ("parts", "2 Belt A99")];
    let refused = visit.submit(page, page, &named).await;
    assert!(refused.text("#parts-error").contains("Belt A99"));
    assert!(refused.text("#lock-error").contains("isolated"));
    let good = [
        ("lock", "yes"),
        ("hard_days", "20"),
        ("parts", "0.5 belt a42"),
        ("crew", "2"),
        ("procedure", "101"),
        ("access", "Key 4"),
    ];
    let saved = visit.submit(page, page, &good).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.body);
    let words = visit.get("/preventive/102").await.words();
    for expected in [
        "20 days after the date",
        "Belt change",
        "0.5 × Belt A42",
        "Key 4",
    ] {
        assert!(words.contains(expected), "{expected}: {words}");
    }
    let again = visit.get(page).await;
    assert_eq!(again.text("#parts"), "0.5 Belt A42");
    let past = "SELECT count(*) FROM plan_revisions WHERE plan_id = 102 AND needs = '{}'";
    assert_eq!(app.count(past).await, 1, "what it was before is kept");
}

#[tokio::test]
async fn a_plan_on_a_kind_hands_its_needs_on() {
    let app = TestApp::start().await;
    small_shop::lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let fields = [
        ("on_kind", "fan"),
        ("action", "Tension the belt"),
        ("kind", "calendar"),
        ("count", "3"),
        ("unit", "months"),
        ("anchor_on", "2026-12-01"),
        ("lock", "yes"),
    ];
    let page = "/preventive/wide/new";
    let made = visit.submit(page, page, &fields).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
    let all = "SELECT count(*) FROM plans WHERE wide_id IS NOT NULL";
    let locked =
        "SELECT count(*) FROM plans WHERE wide_id IS NOT NULL AND needs = '{\"lock\":true}'";
    assert!(app.count(all).await > 0);
    assert_eq!(app.count(all).await, app.count(locked).await);
}
