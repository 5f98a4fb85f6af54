//! Panels and circuits: what feeds what, and labels that lie.

use crate::app::TestApp;
use crate::small_shop::lay_out;
use axum::http::StatusCode;

#[tokio::test]
async fn a_panel_shows_label_and_proved_feed_as_separate_facts() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let page = visit.get("/panels/1").await;
    assert!(page.words().contains("Roof fans") && page.words().contains("not proved"));
    assert!(page.words().contains("rating not known"));
    assert!(!page.has(".caution"));
    assert!(
        visit
            .get("/panels")
            .await
            .words()
            .contains("none found wrong")
    );
    assert_eq!(visit.get("/panels/9").await.status, StatusCode::NOT_FOUND);
    assert_eq!(
        visit.get("/panels/circuits/9").await.status,
        StatusCode::NOT_FOUND
    );
    let reporter = app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/panels/1").await.status,
        StatusCode::FORBIDDEN
    );
}

#[tokio::test]
async fn a_technician_marks_a_label_wrong_and_every_machine_of_the_panel_warns() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let (page, post) = ("/panels/circuits/1", "/panels/circuits/1/label");
    let refused = visit
        .submit(page, post, &[("label", ""), ("note", " ")])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text("#label-error").contains("wrong or right"));
    assert!(refused.text("#note-error").contains("in truth"));
    let typed = [("label", "wrong"), ("note", "Feeds the glaze room lights")];
    assert_eq!(visit.submit(page, post, &typed).await.location, page);
    for shown in ["/machines/2", "/panels/1", "/machines/1/isolation"] {
        let words = visit.get(shown).await.words();
        assert!(
            words.contains("have been wrong before. Prove dead at the motor."),
            "{shown}"
        );
    }
    let stale = visit
        .submit(
            page,
            post,
            &[
                ("version", "1"),
                ("label", "right"),
                ("proved_how", "Breaker off, fan dead"),
            ],
        )
        .await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    let auditor = app.sign_in("auditor").await;
    assert!(!auditor.get(page).await.has("form[action$='/label']"));
    assert_eq!(
        app.count("SELECT count(*) FROM audit WHERE act = 'mark label'")
            .await,
        1
    );
}

#[tokio::test]
async fn a_circuit_is_changed_and_a_looked_at_zero_is_kept() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let edit = "/panels/circuits/1/edit";
    let typed = [
        ("device", "inverse_time_breaker"),
        ("device_rating", "15"),
        ("poles", "1"),
        ("one_way", "82"),
        ("other_motors", "0"),
    ];
    assert_eq!(visit.submit(edit, edit, &typed).await.location, "/panels/1");
    assert!(
        visit
            .get("/panels/1")
            .await
            .words()
            .contains("15 A, inverse-time breaker, 1-pole")
    );
    let page = visit.get(edit).await;
    assert_eq!(page.value("#one_way"), "82");
    assert_eq!(page.value("#other_motors"), "0");
    assert_eq!(page.value("#other_continuous"), "", "blank stays not known");
    let page = visit
        .submit(edit, edit, &[("device_rating", "lots"), ("number", "")])
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.has("#device_rating-error") && page.has("#number-error"));
    assert_eq!(page.value("#device_rating"), "lots");
    let stale = visit.submit(edit, edit, &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn panels_and_circuits_are_added_by_a_supervisor_only() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let typed = [
        ("name", "LP-2"),
        ("place_id", "2"),
        ("supply", "208Y/120 V three-phase"),
    ];
    let added = visit.submit("/panels/new", "/panels/new", &typed).await;
    assert_eq!(added.status, StatusCode::SEE_OTHER, "{}", added.body);
    let page = visit
        .submit(
            "/panels/new",
            "/panels/new",
            &[("name", "lp-2"), typed[1], typed[2]],
        )
        .await;
    assert_eq!(page.text("#name-error"), "Another panel has this name");
    let new = "/panels/1/circuits/new";
    let page = visit
        .submit(new, new, &[("number", "7"), ("label_read", "blank")])
        .await;
    assert!(
        page.text("#number-error")
            .contains("another circuit with this number")
    );
    let added = visit
        .submit(new, new, &[("number", "9-11"), ("label_read", "blank")])
        .await;
    assert_eq!(added.location, "/panels/1");
    let edit = "/panels/1/edit";
    assert_eq!(
        visit
            .submit(edit, edit, &[("note", "Door sticks")])
            .await
            .location,
        "/panels/1"
    );
    let stale = visit.submit(edit, edit, &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    let technician = app.sign_in("technician").await;
    for page in [
        "/panels/new",
        "/panels/1/edit",
        new,
        "/panels/circuits/1/edit",
    ] {
        assert_eq!(
            technician.get(page).await.status,
            StatusCode::FORBIDDEN,
            "{page}"
        );
    }
}
