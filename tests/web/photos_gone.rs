//! Photos that are withdrawn, and files that nobody needs: gone, and nothing else with them.

use crate::app::TestApp;
use crate::photos::{files, jpeg, reported_with, rows, shown, three_photos_one_withdrawn};
use crate::small_shop::lay_out;
use axum::http::StatusCode;
use std::time::Duration;

#[tokio::test]
async fn a_withdrawn_photo_is_served_to_nobody_and_its_file_is_gone() {
    let app = TestApp::start().await;
    three_photos_one_withdrawn(&app).await;
    let visit = app.sign_in("technician").await;
    assert_eq!((rows(&app).await, files(&app).len()), (3, 2));
    let page = visit.get("/jobs/1").await;
    assert_eq!(page.texts("ol.timeline img").len(), 2);
    assert!(page.words().contains("Shows a face"));
    assert!(page.words().contains("Withdrawn: see entry 5"));
    let gone = app
        .count("SELECT count(*) FROM photos WHERE withdrawn_by IS NOT NULL")
        .await;
    assert_eq!(gone, 1);
    let sha: String = brasstag::on_db!(app.db(), pool => sqlx::query_scalar(
        "SELECT sha FROM photos WHERE withdrawn_by IS NOT NULL").fetch_one(pool).await.expect("it"));
    let path = format!("/photos/{sha}");
    assert_eq!(visit.get(&path).await.status, StatusCode::NOT_FOUND);
    assert_eq!(
        visit.get(&format!("{path}/small")).await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn who_took_a_photo_or_a_supervisor_withdraws_it_with_a_reason() {
    let app = TestApp::start().await;
    three_photos_one_withdrawn(&app).await;
    let (page, action) = ("/jobs/1/photos", "/jobs/1/photos/withdraw");
    let technician = app.sign_in("technician").await;
    let own = technician.get(page).await;
    assert_eq!(
        own.texts("#of option").len(),
        1,
        "the reporter's is not theirs"
    );
    let answer = technician.submit(page, action, &[("reason", " ")]).await;
    assert_eq!(answer.text("#reason-error"), "Say why it is withdrawn");
    let of_reporter: String = brasstag::on_db!(app.db(), pool => sqlx::query_scalar(
        "SELECT entry_id FROM photos WHERE person_id IS NULL").fetch_one(pool).await.expect("it"));
    let typed = [("of", of_reporter.as_str()), ("reason", "blurred")];
    let answer = technician.submit(page, action, &typed).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer
            .text("#of-error")
            .contains("a supervisor, withdraws it")
    );
    assert_eq!(answer.value("#reason"), "blurred");
    for role in ["storekeeper", "auditor", "keeper", "reporter"] {
        let other = app.sign_in(role).await;
        let csrf = other.get("/report").await.value("[name=csrf]");
        let fields = [("csrf", csrf.as_str()), typed[0], typed[1]];
        let answer = other.post(action, &fields).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{role}");
    }
    let desk = app.sign_in("supervisor").await;
    let answer = desk.submit(page, action, &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let answer = desk.submit(page, action, &typed).await;
    assert!(
        answer
            .text("#of-error")
            .contains("not one of the job's any more")
    );
    assert_eq!(files(&app).len(), 1);
}

#[tokio::test]
async fn a_file_that_another_photo_needs_stays() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let photo = jpeg(30, 20, 1);
    for _ in 0..2 {
        let answer = reported_with(&app, &[("photo", "a.jpg", &photo)]).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER);
    }
    assert_eq!((rows(&app).await, files(&app).len()), (2, 1), "kept once");
    let desk = app.sign_in("supervisor").await;
    let (page, action) = ("/jobs/1/photos", "/jobs/1/photos/withdraw");
    let sha = shown(&desk.get(page).await).remove(0);
    desk.submit(page, action, &[("reason", "wrong machine")])
        .await;
    assert_eq!(
        desk.get(&format!("/photos/{sha}")).await.status,
        StatusCode::OK
    );
    let (page, action) = ("/jobs/2/photos", "/jobs/2/photos/withdraw");
    desk.submit(page, action, &[("reason", "wrong machine")])
        .await;
    assert_eq!(files(&app).len(), 0);
}

#[tokio::test]
async fn files_that_a_kill_left_behind_are_swept_at_the_next_start() {
    let app = TestApp::start().await;
    three_photos_one_withdrawn(&app).await;
    let kept = files(&app);
    let folder = app.state.config.folder.join("photos");
    let lost = "c".repeat(64);
    for name in [
        format!("{lost}.jpg"),
        format!("{lost}.jpg#1"),
        "list.txt".to_owned(),
    ] {
        std::fs::write(folder.join(name), b"left").expect("written");
    }
    let path = format!("/photos/{lost}");
    let desk = app.sign_in("supervisor").await;
    assert_eq!(
        desk.get(&path).await.status,
        StatusCode::NOT_FOUND,
        "harmless meanwhile"
    );
    let swept = brasstag::photos::taking::sweep(&app.state).await;
    assert_eq!(
        swept,
        Ok(0),
        "a young one may belong to an entry that is being written"
    );
    let swept = brasstag::photos::taking::sweep_older(&app.state, Duration::ZERO).await;
    assert_eq!(swept, Ok(2));
    let mut left = files(&app);
    left.retain(|name| !kept.contains(name));
    assert_eq!(left, ["list.txt"], "what is somebody else's is left alone");
}
