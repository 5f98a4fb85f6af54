//! Repeats within the shop's own windows: settings, a job's page, the Desk.

use crate::app::{NOON, TestApp, Visit};
use crate::small_shop::{lay_out, report};
use axum::http::StatusCode;
use brasstag::clock::DAY;

/// Earlier failures, each on a machine, so many days ago, with what was found.
async fn earlier(app: &TestApp, failures: &[(i64, i64, &str)]) {
    for (machine, days, mode) in failures {
        let at = NOON - days * DAY;
        let sql = format!(
            "INSERT INTO jobs (machine_id, state, words, reported_at, mode, entry_count,
                last_entry_at) VALUES ({machine}, 'signed_off', 'Howls', {at}, '{mode}', 0, {at})"
        );
        app.run(sql.leak()).await;
    }
}

async fn desk_says(desk: &Visit<'_>, words: &str) -> bool {
    desk.get("/desk").await.words().contains(words)
}

#[tokio::test]
async fn the_windows_are_the_shops_own() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    earlier(&app, &[(1, 60, "worn")]).await;
    let job = report(&app, "F-1", "Howls again").await;
    let desk = app.sign_in("supervisor").await;
    let page = format!("/jobs/{job}");
    let words = desk.get(&page).await.words();
    assert!(
        words.contains("Second on this machine in 90 days"),
        "{words}"
    );
    assert!(desk_says(&desk, "Second on this machine in 90 days").await);
    let set = "/shop/repeats";
    let wrong = [("small_days", "40"), ("large_days", "30")];
    let answer = desk.submit(set, set, &wrong).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer
            .text("#large_days-error")
            .contains("at least as long")
    );
    assert_eq!(answer.value("#small_days"), "40");
    for typed in ["0", "731", "soon", ""] {
        let answer = desk
            .submit(set, set, &[("small_days", typed), ("large_days", "90")])
            .await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{typed}");
    }
    let typed = [("small_days", "20"), ("large_days", "45")];
    let answer = desk.submit(set, set, &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert_eq!(desk.get(set).await.value("#large_days"), "45");
    let words = desk.get(&page).await.words();
    assert!(
        !words.contains("on this machine in"),
        "60 days are no repeat"
    );
    assert!(!desk_says(&desk, "on this machine in").await);
    let technician = app.sign_in("technician").await;
    assert_eq!(technician.get(set).await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_critical_machine_is_watched_longer_than_a_small_one() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let plate = serde_json::to_string(&crate::floor::old_plate()).expect("json");
    app.run(format!("UPDATE motors SET plate = '{plate}' WHERE id = 1").leak())
        .await;
    earlier(&app, &[(1, 60, "worn")]).await;
    let job = report(&app, "F-1", "Howls again").await;
    let desk = app.sign_in("supervisor").await;
    let page = format!("/jobs/{job}");
    assert!(
        !desk
            .get(&page)
            .await
            .words()
            .contains("Second on this machine")
    );
    app.run("UPDATE machines SET criticality = 'high' WHERE id = 1")
        .await;
    assert!(
        desk.get(&page)
            .await
            .words()
            .contains("Second on this machine in 90 days")
    );
}

#[tokio::test]
async fn a_place_is_found_over_its_machines_and_the_desk_holds_each_run_once() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    earlier(&app, &[(1, 8, "worn"), (2, 5, "loose"), (1, 3, "worn")]).await;
    let job = report(&app, "F-2", "Hums").await;
    let desk = app.sign_in("supervisor").await;
    let words = desk.get(&format!("/jobs/{job}")).await.words();
    assert!(
        words.contains("Second on this machine in 90 days"),
        "{words}"
    );
    assert!(words.contains("Fourth in this place in 90 days"), "{words}");
    let words = desk.get("/desk").await.words();
    assert!(words.contains("Reviews of causes owed (1)"), "{words}");
    let review = format!("/jobs/{job}/review");
    let typed = [
        ("finding", "Grease of the wrong kind"),
        ("action", "Other grease"),
    ];
    // A review is taken once the job is planned.
    crate::small_shop::plan_and_hand_out(&app, job).await;
    let answer = desk.submit(&review, &review, &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert!(!desk_says(&desk, "Reviews of causes owed").await);
}

#[tokio::test]
async fn a_fault_that_was_not_found_is_looked_for_at_its_hour() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    earlier(&app, &[(1, 4, "nothing found")]).await;
    let job = report(&app, "F-1", "Howls again").await;
    let desk = app.sign_in("supervisor").await;
    let words = desk.get(&format!("/jobs/{job}")).await.words();
    assert!(
        words.contains("Leave a logger on it, or come at the time of day"),
        "{words}"
    );
    assert!(
        words.contains("21 Nov 2026"),
        "when it was first reported: {words}"
    );
}

#[tokio::test]
async fn what_is_open_for_long_is_listed_with_what_it_waits_for() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "Howls").await;
    let given = report(&app, "F-2", "Rattles").await;
    crate::small_shop::plan_and_hand_out(&app, given).await;
    let desk = app.sign_in("supervisor").await;
    assert!(
        desk.get("/desk/old")
            .await
            .words()
            .contains("Open for long (0)")
    );
    app.state.clock.advance(31 * DAY);
    report(&app, "F-2", "Hums").await;
    let desk = app.sign_in("supervisor").await;
    let words = desk.get("/desk/old").await.words();
    assert!(
        words.contains("Open for long (2)") && !words.contains("Hums"),
        "{words}"
    );
    assert!(
        words.contains("to be planned, joined, or turned down"),
        "{words}"
    );
    assert!(words.contains("for Wed 25 Nov 2026"), "{words}");
    let words = desk.get("/desk/old?days=0").await.words();
    assert!(
        words.contains("Open for long (2)"),
        "reported this instant is not before it"
    );
    let refused = desk.get("/desk/old?days=many").await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text("#days-error").contains("whole number"));
    assert_eq!(refused.value("#days"), "many");
    let technician = app.sign_in("technician").await;
    let page = format!("/jobs/{given}/hold");
    let typed = [("reason", "part"), ("note", "bearing 6203")];
    let answer = technician.submit(&page, &page, &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let words = desk.get("/desk/old").await.words();
    assert!(
        words.contains("waiting for a part: bearing 6203"),
        "{words}"
    );
    assert_eq!(
        technician.get("/desk/old").await.status,
        StatusCode::FORBIDDEN
    );
}

#[tokio::test]
async fn a_plan_is_made_with_the_failures_before_it_in_sight() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    earlier(&app, &[(1, 4, "nothing found")]).await;
    let job = report(&app, "F-1", "Howls again").await;
    let desk = app.sign_in("supervisor").await;
    let plan = desk.get(&format!("/jobs/{job}/plan")).await;
    let words = plan.words();
    assert!(
        words.contains("Second on this machine in 90 days"),
        "{words}"
    );
    assert!(words.contains("Leave a logger on it"), "{words}");
    assert!(
        plan.has("a[href='/jobs/1']"),
        "the one before is a tap away"
    );
}

#[tokio::test]
async fn a_job_that_was_handed_out_is_turned_down_only_while_nothing_was_opened() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let job = report(&app, "F-1", "Howls").await;
    crate::small_shop::plan_and_hand_out(&app, job).await;
    let desk = app.sign_in("supervisor").await;
    let (plan, turn_down) = (
        format!("/jobs/{job}/plan"),
        format!("/jobs/{job}/turn-down"),
    );
    app.run("UPDATE jobs SET hands = 'guard'").await;
    let why = [("reason", "Not there any more")];
    let answer = desk.submit(&plan, &turn_down, &why).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text("#reason-error").contains("is not turned down"));
    assert_eq!(answer.value("#reason"), "Not there any more");
    app.run("UPDATE jobs SET hands = NULL").await;
    let answer = desk.submit(&plan, &turn_down, &why).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert_eq!(
        app.count("SELECT count(*) FROM jobs WHERE state = 'turned_down'")
            .await,
        1
    );
}
