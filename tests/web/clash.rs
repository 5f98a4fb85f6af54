//! Two people on one job at once: what stands side by side stands, a true clash is shown to a person,
//! and nothing is lost.

use crate::app::{Answer, TestApp, Visit};
use crate::replay::same_jobs;
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;

async fn at_the_machine(app: &TestApp) -> i64 {
    lay_out(app).await;
    let job = report(app, "F-1", "It hums").await;
    plan_and_hand_out(app, job).await;
    let visit = app.sign_in("technician").await;
    let page = format!("/jobs/{job}/confirm");
    let typed = [
        ("tag_read", "F-1"),
        ("method", "tag read at the machine"),
        ("roof_protection", "restraint"),
    ];
    visit.submit(&page, &page, &typed).await;
    job
}

/// Sends the form of a page that was opened earlier.
async fn send(visit: &Visit<'_>, opened: &Answer, action: &str, typed: &[(&str, &str)]) -> Answer {
    let fields = opened.filled(action, typed);
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (&**n, &**v)).collect();
    visit.post(action, &fields).await
}

fn found<'a>(running: &'a str, condition: &'a str) -> [(&'a str, &'a str); 3] {
    [
        ("running", running),
        ("condition", condition),
        ("guard", "there and whole"),
    ]
}

#[tokio::test]
async fn two_who_found_it_differently_are_both_kept_and_the_clash_is_shown() {
    let app = TestApp::start().await;
    let job = at_the_machine(&app).await;
    let (one, two) = (
        app.sign_in("technician").await,
        app.sign_in("supervisor").await,
    );
    let page = format!("/jobs/{job}/as-found");
    let (opened, opened_too) = (one.get(&page).await, two.get(&page).await);
    send(&two, &opened_too, &page, &found("stopped", "Seized, cold")).await;
    let answer = send(&one, &opened, &page, &found("limping", "Howls, warm")).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let shown = one.get(&format!("/jobs/{job}")).await.words();
    for words in [
        "The last entry was set aside",
        "The supervisor had written the same down in the meantime",
        "Seized, cold",
        "Howls, warm",
    ] {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    let aside = "SELECT count(*) FROM entries WHERE kind = 'as_found' AND set_aside IS NOT NULL";
    assert_eq!(app.count(aside).await, 1);
    // Who has seen both says which holds.
    let holds = found("stopped", "Seized; it had howled before");
    let answer = one.submit(&page, &page, &holds).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert_eq!(app.count(aside).await, 1);
    same_jobs(app.db()).await;
}

#[tokio::test]
async fn what_does_not_clash_is_merged_whoever_was_first() {
    let app = TestApp::start().await;
    let job = at_the_machine(&app).await;
    let (one, two) = (
        app.sign_in("technician").await,
        app.sign_in("supervisor").await,
    );
    let (found_at, note) = (format!("/jobs/{job}/as-found"), format!("/jobs/{job}/note"));
    let (opened, noted) = (one.get(&found_at).await, one.get(&note).await);
    // The other adds a note, this one the state and a note: three different things.
    two.submit(&note, &note, &[("text", "Key 4 is bent")]).await;
    send(&one, &opened, &found_at, &found("stopped", "Seized")).await;
    send(&one, &noted, &note, &[("text", "Hatch is iced")]).await;
    let aside = "SELECT count(*) FROM entries WHERE set_aside IS NOT NULL";
    assert_eq!(app.count(aside).await, 0);
    let notes = "SELECT count(*) FROM entries WHERE kind = 'note'";
    assert_eq!(app.count(notes).await, 2);
    // One's own second word is no clash.
    let opened = one.get(&found_at).await;
    let again = send(&one, &opened, &found_at, &found("stopped", "Seized")).await;
    assert_eq!(again.status, StatusCode::SEE_OTHER);
    assert_eq!(app.count(aside).await, 0);
    same_jobs(app.db()).await;
}
