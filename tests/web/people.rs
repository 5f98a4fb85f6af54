//! People: added, changed, given a password, closed; and the command line that does the same.

use crate::app::{PASSWORD, TestApp};
use axum::http::StatusCode;
use brasstag::config::PersonAct;
use brasstag::people::command;

#[tokio::test]
async fn a_person_is_added_and_signs_in() {
    let app = TestApp::start().await;
    let visit = app.sign_in("keeper").await;
    let new = "/shop/people/new";
    let typed = [
        ("name", "Ada Brook"),
        ("sign_in_name", "ada brook"),
        ("role", "technician"),
        ("authorised_on", "2026-13-01"),
        ("password", "short"),
    ];
    let page = visit.submit(new, new, &typed).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.has("#sign_in_name-error") && page.has("#authorised_on-error"));
    assert!(page.text("#password-error").contains("at least 15"));
    assert_eq!(page.value("#name"), "Ada Brook");
    assert_eq!(page.value("#password"), "");
    let typed = [
        ("name", "Ada Brook"),
        ("sign_in_name", "ada"),
        ("role", "technician"),
        ("password", PASSWORD),
    ];
    assert_eq!(visit.submit(new, new, &typed).await.location, "/shop");
    app.sign_in("ada").await;
    let page = visit
        .submit(
            new,
            new,
            &[typed[0], ("sign_in_name", "ADA"), typed[2], typed[3]],
        )
        .await;
    assert_eq!(
        page.text("#sign_in_name-error"),
        "Another person has this sign-in name"
    );
}

#[tokio::test]
async fn a_new_password_and_a_closed_sign_in_end_every_session() {
    let app = TestApp::start().await;
    let technician = app.sign_in("technician").await;
    let keeper = app.sign_in("keeper").await;
    let id = app.person("technician").await.0;
    let page = format!("/shop/people/{id}");
    let short = [("new_password", "short")];
    let refused = keeper
        .submit(&page, &format!("{page}/password"), &short)
        .await;
    assert!(refused.text("#new_password-error").contains("at least 15"));
    let long = [("new_password", "another long one")];
    let done = keeper
        .submit(&page, &format!("{page}/password"), &long)
        .await;
    assert_eq!(done.location, "/shop");
    assert_eq!(
        technician.get("/machines").await.status,
        StatusCode::SEE_OTHER
    );
    let done = keeper.submit(&page, &format!("{page}/close"), &[]).await;
    assert_eq!(done.location, page);
    assert!(keeper.get("/shop").await.words().contains("closed"));
    let closed = "SELECT count(*) FROM people WHERE closed_at IS NOT NULL";
    assert_eq!(app.count(closed).await, 1);
}

#[tokio::test]
async fn nobody_closes_or_demotes_themselves() {
    let app = TestApp::start().await;
    let keeper = app.sign_in("keeper").await;
    let id = app.person("keeper").await.0;
    let page = format!("/shop/people/{id}");
    assert!(!keeper.get(&page).await.has("form[action$='/close']"));
    let csrf = keeper.get(&page).await.value("input[name=csrf]");
    let refused = keeper
        .post(&format!("{page}/close"), &[("csrf", &csrf)])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let refused = keeper.submit(&page, &page, &[("role", "reporter")]).await;
    assert!(refused.text("#role-error").contains("somebody else"));
    let saved = keeper.submit(&page, &page, &[("name", "Wren")]).await;
    assert_eq!(saved.location, "/shop");
    let stale = keeper.submit(&page, &page, &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    assert_eq!(
        keeper.get("/shop/people/99").await.status,
        StatusCode::NOT_FOUND
    );
    let auditor = app.sign_in("auditor").await;
    assert_eq!(auditor.get(&page).await.status, StatusCode::OK);
    assert!(!auditor.get(&page).await.has("main form"));
    assert_eq!(
        auditor.get("/shop/people/new").await.status,
        StatusCode::FORBIDDEN
    );
    let technician = app.sign_in("technician").await;
    assert_eq!(technician.get(&page).await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn the_command_line_adds_changes_and_closes_in_plain_sentences() {
    let app = TestApp::start().await;
    let run = async |act: PersonAct, typed: &str| {
        command::run(app.db(), &app.state.clock, &act, typed, true).await
    };
    let add = |role: &str| PersonAct::Add {
        sign_in_name: "ada".to_owned(),
        name: "Ada Brook".to_owned(),
        role: role.to_owned(),
    };
    let ada = || "ada".to_owned();
    let refused = run(add("boss"), PASSWORD).await.expect_err("no such role");
    assert!(refused.contains("is no role") && refused.contains("keeper"));
    let refused = run(add("keeper"), "short\n").await.expect_err("too short");
    assert!(refused.contains("at least 15"));
    let added = run(add("technician"), &format!("{PASSWORD}\n")).await;
    assert_eq!(
        added,
        Ok("Ada Brook signs in as ada, technician.".to_owned())
    );
    app.sign_in("ada").await;
    let twice = run(add("technician"), PASSWORD).await.expect_err("twice");
    assert!(twice.contains("already"));
    let role = PersonAct::Role {
        sign_in_name: ada(),
        role: "keeper".to_owned(),
    };
    assert_eq!(run(role, "").await, Ok("ada is keeper now.".to_owned()));
    let new = PersonAct::NewPassword {
        sign_in_name: ada(),
    };
    assert!(run(new, "a different long one").await.is_ok());
    assert_eq!(app.count("SELECT count(*) FROM sessions").await, 0);
    assert!(
        run(
            PersonAct::Close {
                sign_in_name: ada()
            },
            ""
        )
        .await
        .is_ok()
    );
    let nobody = PersonAct::Close {
        sign_in_name: "nobody".to_owned(),
    };
    let refused = run(nobody, "").await.expect_err("nobody");
    assert_eq!(refused, "Nobody signs in as \"nobody\".");
    let noted = "SELECT count(*) FROM audit WHERE thing = 'people' AND person_id IS NULL";
    assert_eq!(app.count(noted).await, 4);
}
