//! The shop: overview, settings and the tree of places.

use crate::app::TestApp;
use crate::small_shop::lay_out;
use axum::http::StatusCode;

#[tokio::test]
async fn settings_are_changed_once_and_hold_at_once() {
    let app = TestApp::start().await;
    let visit = app.sign_in("keeper").await;
    let edit = "/shop/settings";
    let typed = [
        ("name", "Mill House"),
        ("units", "si"),
        ("rule_set", "NEC 2020"),
    ];
    assert_eq!(visit.submit(edit, edit, &typed).await.location, "/shop");
    let page = visit.get("/shop").await;
    assert_eq!(page.text("h1"), "Mill House");
    assert!(page.words().contains("NEC 2020") && page.words().contains("SI: kilowatts"));
    let page = visit
        .submit(edit, edit, &[("time_zone", "Nowhere/Here"), ("name", "")])
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.has("#time_zone-error") && page.has("#name-error"));
    assert_eq!(page.value("#time_zone"), "Nowhere/Here");
    let stale = visit.submit(edit, edit, &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    assert_eq!(
        app.count("SELECT count(*) FROM audit WHERE thing = 'shop'")
            .await,
        1
    );
}

#[tokio::test]
async fn an_auditor_reads_the_shop_and_a_technician_does_not() {
    let app = TestApp::start().await;
    let auditor = app.sign_in("auditor").await;
    assert_eq!(auditor.get("/shop").await.status, StatusCode::OK);
    assert_eq!(auditor.get("/shop/places").await.status, StatusCode::OK);
    assert_eq!(
        auditor.get("/shop/settings").await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        auditor.get("/shop/places/new").await.status,
        StatusCode::FORBIDDEN
    );
    let technician = app.sign_in("technician").await;
    assert_eq!(technician.get("/shop").await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn places_make_a_tree_that_cannot_be_tied_into_a_ring() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let edit = "/shop/places/1";
    let page = visit.submit(edit, edit, &[("parent_id", "2")]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        page.text("#parent_id-error"),
        "A place cannot lie within itself"
    );
    let edit = "/shop/places/2";
    let saved = visit
        .submit(edit, edit, &[("access_note", "Ladder in the loft")])
        .await;
    assert_eq!(saved.location, "/shop/places");
    let page = visit.get("/shop/places").await;
    assert!(page.text("li.place-1").contains("Ladder in the loft"));
    let stale = visit.submit(edit, edit, &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    let page = visit
        .submit("/shop/places/new", "/shop/places/new", &[("name", " ")])
        .await;
    assert!(page.has("#name-error") && page.has("#kind-error"));
    assert_eq!(
        visit.get("/shop/places/99").await.status,
        StatusCode::NOT_FOUND
    );
}
