//! The change list of a register: who, when, which field, before and after.

use crate::app::TestApp;
use crate::small_shop::lay_out;
use axum::http::StatusCode;

#[tokio::test]
async fn a_changed_field_is_listed_with_what_it_was() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let edit = "/machines/1/edit";
    let typed = [("serves", "Kiln hall"), ("wheel_diameter", "14")];
    let answer = visit.submit(edit, edit, &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let page = app
        .sign_in("auditor")
        .await
        .get("/changes/machines/1")
        .await;
    let rows = page.texts("tbody tr");
    assert!(
        rows.iter()
            .any(|row| row.contains("serves") && row.contains("Kiln hall")),
        "{rows:?}"
    );
    assert!(
        rows.iter()
            .any(|row| row.contains("wheel diameter") && row.contains("not known")),
        "{rows:?}"
    );
    assert!(page.words().contains("The supervisor: change"));
}

#[tokio::test]
async fn panels_circuits_and_motors_have_one_and_nothing_else_has() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    for path in ["machines/1", "motors/1", "panels/1", "circuits/1"] {
        let page = visit.get(&format!("/changes/{path}")).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
        assert!(page.words().contains("Nothing was changed"), "{path}");
    }
    for path in ["people/1", "machines/99", "circuits/99", "motors/99"] {
        let page = visit.get(&format!("/changes/{path}")).await;
        assert_eq!(page.status, StatusCode::NOT_FOUND, "{path}");
    }
    let reporter = app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/changes/machines/1").await.status,
        StatusCode::FORBIDDEN
    );
}
