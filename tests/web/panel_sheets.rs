//! The schedule of a panel, the whole panel checked, labels until they are proved, panels fed from
//! panels.

use crate::app::TestApp;
use crate::small_shop::lay_out;
use axum::http::StatusCode;

async fn two_more(app: &TestApp) {
    lay_out(app).await;
    app.run(
        "INSERT INTO circuits (id, panel_id, number, label_read, facts)
            VALUES (2, 1, '2-4', 'Water heater', '{\"poles\":2}'), (3, 1, 'main', 'Main', '{}');
         INSERT INTO panels (id, name, place_id, supply) VALUES (2, 'LP-2', 2, '120/240 V');
         INSERT INTO circuits (id, panel_id, number, label_read, facts)
            VALUES (4, 2, '1', 'Pump', '{}');
         UPDATE machines SET circuit_id = 4 WHERE id = 2;",
    )
    .await;
}

#[tokio::test]
async fn the_schedule_stands_like_the_panels_face() {
    let app = TestApp::start().await;
    two_more(&app).await;
    let visit = app.sign_in("auditor").await;
    let page = visit.get("/panels/1/schedule").await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    let rows = page.texts("table.face tbody tr");
    assert_eq!(rows.len(), 4);
    assert!(rows[0].contains("Water heater") && rows[0].contains("nothing recorded"));
    assert!(rows[1].contains("goes on from 2-4"));
    assert!(rows[3].contains("Roof fans") && rows[3].contains("F-1"));
    assert!(rows[3].contains("not proved"));
    assert!(page.words().contains("main, not known: Main"));
    let reporter = app.sign_in("reporter").await;
    for path in ["/panels/1/schedule", "/panels/1/check"] {
        assert_eq!(reporter.get(path).await.status, StatusCode::FORBIDDEN);
    }
    for path in ["/panels/9/schedule", "/panels/9/check"] {
        assert_eq!(visit.get(path).await.status, StatusCode::NOT_FOUND);
    }
}

#[tokio::test]
async fn the_whole_panel_is_checked_and_says_what_is_missing() {
    let app = TestApp::start().await;
    two_more(&app).await;
    let visit = app.sign_in("technician").await;
    let page = visit.get("/panels/1/check").await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    let rows = page.texts("table.stack tbody tr");
    assert!(
        rows[0].contains("F-1") && rows[0].contains("not known yet"),
        "{rows:?}"
    );
    assert!(rows[1].contains("not judged"));
    let words = page.words();
    assert!(words.contains("Feeder, conductor A") && words.contains("Feeder, conductor B"));
    assert!(words.contains("Fed from: not known"));
    assert!(page.texts("#missing li").len() > 3);
    assert!(!words.to_lowercase().contains("is safe"));
}

#[tokio::test]
async fn a_label_is_wrong_until_it_is_relabelled_and_proved() {
    let app = TestApp::start().await;
    two_more(&app).await;
    let visit = app.sign_in("technician").await;
    let (page, post) = ("/panels/circuits/1", "/panels/circuits/1/label");
    let wrong = [("label", "wrong"), ("note", "Feeds the pump")];
    assert_eq!(visit.submit(page, post, &wrong).await.location, page);
    let warning = "have been wrong before";
    assert!(visit.get("/machines/1").await.words().contains(warning));
    let half = [("label", "right"), ("label_read", ""), ("proved_how", "")];
    let refused = visit.submit(page, post, &half).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .text("#label_read-error")
            .contains("as it reads now")
    );
    assert!(
        refused
            .text("#proved_how-error")
            .contains("only when it is proved")
    );
    assert!(visit.get("/machines/1").await.words().contains(warning));
    let right = [
        ("label", "right"),
        ("note", "New label"),
        ("label_read", "Kiln fan"),
        ("proved_how", "Breaker off, fan dead"),
    ];
    assert_eq!(visit.submit(page, post, &right).await.location, page);
    let words = visit.get(page).await.words();
    assert!(words.contains("Wed 25 Nov 2026 by The technician: Breaker off, fan dead"));
    assert!(words.contains("Kiln fan"));
    assert!(!visit.get("/machines/1").await.words().contains(warning));
}

#[tokio::test]
async fn a_wrong_label_of_the_feeder_warns_on_the_panel_below() {
    let app = TestApp::start().await;
    two_more(&app).await;
    let visit = app.sign_in("supervisor").await;
    let edit = "/panels/2/edit";
    let answer = visit.submit(edit, edit, &[("fed_from", "2")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let words = visit.get("/panels/2").await.words();
    assert!(
        words.contains("Fed from Panel LP-1, circuit 2-4"),
        "{words}"
    );
    assert!(
        visit
            .get("/panels/1")
            .await
            .words()
            .contains("Feeds panel LP-2")
    );
    app.run("UPDATE circuits SET label_wrong = TRUE WHERE id = 2")
        .await;
    let words = visit.get("/machines/2").await.words();
    assert!(words.contains("have been wrong before"), "{words}");
    let up = "/panels/1/edit";
    let round = visit.submit(up, up, &[("fed_from", "4")]).await;
    assert_eq!(round.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(round.text("#fed_from-error").contains("does not feed"));
    let changes = visit.get("/changes/panels/2").await.words();
    assert!(changes.contains("fed from") && changes.contains("Panel LP-1, circuit 2-4"));
}
