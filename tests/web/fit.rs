//! Which motor: every candidate judged, the best first, and the choice recorded.

use crate::floor::{Floor, run};
use axum::http::StatusCode;
use brasstag::jobs::{self, JobId};

#[tokio::test]
async fn every_candidate_is_judged_against_the_design_motor_and_the_best_stands_first() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    let page = visit.get(&floor.page("fit")).await;
    assert_eq!(page.status, StatusCode::OK);
    assert_eq!(page.text(".next h2"), "Best: Quarter horse 1075");
    let words = page.words();
    assert!(
        words.contains("Judged against the design motor, Built with"),
        "{words}"
    );
    assert!(words.contains("Not against Copied mistake"));
    assert!(words.contains("Judged 4 motors, 2 of them on the shelf"));
    assert!(
        words.contains("1 suits after work, 1 not known yet, 1 does not fit"),
        "{words}"
    );
    assert!(words.contains("On the shelf, bin K-2, 2 held, 148.50 USD"));
    assert!(words.contains("Harbour Supply, 3 days, 129.00 USD"));
    let names = page.texts("tbody th");
    assert_eq!(
        names,
        ["Quarter horse 1075", "Long-shaft 1075", "Worn plate"]
    );
    assert!(!words.to_lowercase().contains(" safe"));
    let all = visit.get(&floor.page("fit?all=1")).await;
    assert!(all.text("ul.names").contains("Three-phase 1075"));
}

#[tokio::test]
async fn only_the_fitted_motor_known_is_said_and_warned_about() {
    let floor = Floor::lay().await;
    run(
        &floor.app,
        "UPDATE machines SET design_motor_id = NULL".to_owned(),
    )
    .await;
    let page = floor
        .app
        .sign_in("technician")
        .await
        .get(&floor.page("fit"))
        .await;
    let words = page.words();
    assert!(
        words.contains("Judged against the motor that is on it now, Copied mistake"),
        "{words}"
    );
    assert!(words.contains("no design motor is recorded. It may be an earlier mistake"));
}

#[tokio::test]
async fn a_motor_is_chosen_with_its_working_and_the_circuit_check_follows() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    let path = floor.page(&format!("fit/{}", floor.long));
    let page = visit.get(&path).await;
    assert_eq!(page.text(".next h2"), "suits after work");
    assert!(
        page.text("ol.work").contains("Cut the shaft"),
        "{}",
        page.words()
    );
    assert!(page.words().contains("What changes with this motor"));
    // A verdict in the form is not believed: it is worked out again.
    let done = visit.submit(&path, &path, &[("verdict", "same")]).await;
    assert_eq!(done.location, floor.page("circuit"));
    let job = jobs::queries::find(floor.app.db(), JobId(floor.job))
        .await
        .expect("db");
    let job = job.expect("the job");
    assert_eq!(job.chosen_motor_id.map(|id| id.0), Some(floor.long));
    assert_eq!(job.fit_verdict.as_deref(), Some("suits_after_work"));
    let again = visit.get(&path).await;
    assert!(again.words().contains("This motor is chosen for the job"));
}

#[tokio::test]
async fn a_motor_that_does_not_fit_cannot_be_chosen() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    for (motor, why) in [
        (floor.wrong, "This motor does not fit"),
        (floor.doubtful, "not known yet to fit"),
    ] {
        let path = floor.page(&format!("fit/{motor}"));
        let page = visit.get(&path).await;
        assert!(!page.has("form#form"), "no button");
        let token = page.value("form.who input[name=csrf]");
        let entry = uuid::Uuid::now_v7().to_string();
        let fields = [
            ("csrf", token.as_str()),
            ("entry", entry.as_str()),
            ("seen", "3"),
        ];
        let refused = visit.post(&path, &fields).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(
            refused.text("#motor-error").contains(why),
            "{}",
            refused.words()
        );
    }
    let page = visit
        .get(&floor.page(&format!("fit/{}", floor.wrong)))
        .await;
    assert!(
        page.text("ul.blocks").contains("Phases"),
        "{}",
        page.words()
    );
    let page = visit
        .get(&floor.page(&format!("fit/{}", floor.doubtful)))
        .await;
    assert!(
        page.text("ol.missing")
            .contains("Output power of the candidate")
    );
    assert_eq!(
        floor
            .app
            .count("SELECT count(*) FROM entries WHERE kind = 'motor_chosen'")
            .await,
        0
    );
}

#[tokio::test]
async fn others_read_but_do_not_choose_and_missing_rows_are_missing() {
    let floor = Floor::lay().await;
    let path = floor.page(&format!("fit/{}", floor.same));
    for role in ["auditor", "storekeeper", "keeper"] {
        let visit = floor.app.sign_in(role).await;
        let page = visit.get(&path).await;
        assert_eq!(page.status, StatusCode::OK, "{role}");
        assert!(!page.has("form#form"), "{role} sees no button");
        let token = page.value("form.who input[name=csrf]");
        let refused = visit.post(&path, &[("csrf", &token)]).await;
        assert_eq!(refused.status, StatusCode::FORBIDDEN, "{role}");
    }
    let reporter = floor.app.sign_in("reporter").await;
    assert_eq!(
        reporter.get(&floor.page("fit")).await.status,
        StatusCode::FORBIDDEN
    );
    let visit = floor.app.sign_in("technician").await;
    for missing in ["/jobs/999/fit", "/jobs/999/circuit", &floor.page("fit/999")] {
        assert_eq!(
            visit.get(missing).await.status,
            StatusCode::NOT_FOUND,
            "{missing}"
        );
    }
}

#[tokio::test]
async fn a_choice_sent_twice_is_recorded_once() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    let path = floor.page(&format!("fit/{}", floor.same));
    let entry = uuid::Uuid::now_v7().to_string();
    for _ in 0..2 {
        let token = visit.get(&path).await.value("form.who input[name=csrf]");
        let fields = [
            ("csrf", token.as_str()),
            ("entry", entry.as_str()),
            ("seen", "3"),
        ];
        assert_eq!(
            visit.post(&path, &fields).await.location,
            floor.page("circuit")
        );
    }
    assert_eq!(
        floor
            .app
            .count("SELECT count(*) FROM entries WHERE kind = 'motor_chosen'")
            .await,
        1
    );
}

#[tokio::test]
async fn the_best_of_the_shelf_is_named_where_a_suppliers_motor_stands_before_it() {
    let floor = Floor::lay().await;
    let sql = "DELETE FROM shelf_motors; INSERT INTO shelf_motors (motor_id, bin, held) VALUES (4, 'K-1', 1);
               INSERT INTO supplier_motors (list_id, motor_id) VALUES (1, 3)";
    run(&floor.app, sql.to_owned()).await;
    let visit = floor.app.sign_in("technician").await;
    let words = visit.get(&floor.page("fit")).await.text(".next");
    assert!(words.starts_with("Best: Quarter horse 1075"), "{words}");
    assert!(
        words.contains("Here already: Long-shaft 1075, suits after work, 1 thing to do"),
        "{words}"
    );
}

#[tokio::test]
async fn where_nothing_can_be_chosen_the_page_says_what_to_find_out_first() {
    let floor = Floor::lay().await;
    run(
        &floor.app,
        "DELETE FROM supplier_motors; DELETE FROM shelf_motors WHERE motor_id = 3".to_owned(),
    )
    .await;
    let visit = floor.app.sign_in("technician").await;
    let page = visit.get(&floor.page("fit")).await;
    assert_eq!(page.text(".next h2"), "No motor can be chosen yet");
    let first = page.text("ol.first");
    assert!(
        first.starts_with("Output power of the candidate (1 waits for it)"),
        "{first}"
    );
}
