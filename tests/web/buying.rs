//! Buying, what to order, shelf life, and approved alternates.

use crate::app::TestApp;
use crate::small_shop;
use crate::stores::{at_shelf, job, with_belts};
use axum::http::StatusCode;

/// Takes a purchase one step on, as its page's form does.
async fn step(app: &TestApp, who: &str, to: &str, fields: &[(&str, &str)]) -> crate::app::Answer {
    let visit = app.sign_in(who).await;
    let page = visit.get("/buying/1").await;
    let (csrf, version) = (page.value("[name=csrf]"), page.value("[name=version]"));
    let mut all = vec![("csrf", csrf.as_str()), ("version", &version), ("to", to)];
    all.extend(fields);
    visit.post("/buying/1", &all).await
}

#[tokio::test]
async fn what_is_bought_for_a_job_is_told_there_and_kept_for_it() {
    let app = with_belts("1").await;
    let job = job(&app).await;
    let tech = app.sign_in("technician").await;
    let number = job.to_string();
    let page = tech.get("/buying").await;
    let csrf = page.value("[name=csrf]");
    let typed = [
        ("csrf", csrf.as_str()),
        ("part", "1"),
        ("amount", "2"),
        ("job", number.as_str()),
        ("why", "Both belts go"),
    ];
    assert_eq!(tech.post("/buying", &typed).await.location, "/buying/1");
    let denied = step(&app, "technician", "approved", &[]).await;
    assert_eq!(denied.status, StatusCode::FORBIDDEN);
    let denied = step(&app, "storekeeper", "approved", &[]).await;
    assert_eq!(denied.status, StatusCode::FORBIDDEN);
    let early = step(&app, "supervisor", "arrived", &[]).await;
    assert_eq!(early.status, StatusCode::UNPROCESSABLE_ENTITY);
    let done = step(&app, "supervisor", "approved", &[]).await;
    assert_eq!(done.location, "/buying/1", "{}", done.body);
    let refused = step(&app, "storekeeper", "ordered", &[("order_number", "77")]).await;
    assert_eq!(refused.text("#supplier-error"), "Say from whom");
    assert!(refused.text("#expected_on-error").contains("promised"));
    assert_eq!(refused.value("#order_number"), "77");
    let typed = [
        ("order_number", "77"),
        ("supplier", "Drive counter"),
        ("expected_on", "2026-11-20"),
        ("cost", "25.00"),
    ];
    assert_eq!(
        step(&app, "storekeeper", "ordered", &typed).await.location,
        "/buying/1"
    );
    let words = tech.get("/buying").await.words();
    assert!(
        words.contains("late: was promised for Fri 20 Nov 2026"),
        "{words}"
    );
    let words = tech.get(&format!("/jobs/{job}")).await.words();
    assert!(words.contains("Being bought for it"), "{words}");
    assert_eq!(
        step(&app, "storekeeper", "arrived", &[]).await.location,
        "/buying/1"
    );
    assert_eq!(app.count("SELECT on_hand FROM parts").await, 3000);
    assert_eq!(app.count("SELECT reserved FROM parts").await, 2000);
    let cost = "SELECT cost_minor FROM stock_moves WHERE purchase_id = 1";
    assert_eq!(app.count(cost).await, 2500);
    let told = "SELECT count(*) FROM entries WHERE kind = 'buying_step'";
    assert_eq!(app.count(told).await, 4);
    let again = step(&app, "storekeeper", "arrived", &[]).await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn an_ask_is_refused_beside_its_fields_and_a_cancelled_one_says_why() {
    let app = with_belts("1").await;
    let tech = app.sign_in("technician").await;
    let refused = tech.submit("/buying", "/buying", &[("job", "99")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused.text("#what-error"), "Say what is to be bought");
    assert_eq!(refused.text("#job-error"), "There is no job of this number");
    let typed = [("what", "Roof sealant"), ("amount", "3")];
    assert_eq!(
        tech.submit("/buying", "/buying", &typed).await.location,
        "/buying/1"
    );
    let refused = step(&app, "storekeeper", "cancelled", &[]).await;
    assert_eq!(
        refused.text("#cancelled_why-error"),
        "Say why it is not bought"
    );
    let typed = [("cancelled_why", "Found a tin")];
    step(&app, "storekeeper", "cancelled", &typed).await;
    let words = tech.get("/buying").await.words();
    assert!(words.contains("cancelled: Found a tin"), "{words}");
    let stale = [("version", "1"), ("cancelled_why", "No")];
    let again = step(&app, "supervisor", "cancelled", &stale).await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
    let reporter = app.sign_in("reporter").await;
    assert_eq!(reporter.get("/buying").await.status, StatusCode::FORBIDDEN);
    let auditor = app.sign_in("auditor").await;
    assert_eq!(auditor.get("/buying/1").await.status, StatusCode::OK);
}

#[tokio::test]
async fn what_to_order_says_why_and_what_is_not_known() {
    let app = with_belts("1").await;
    let store = app.sign_in("storekeeper").await;
    let words = store.get("/shelf/to-order").await.words();
    assert!(
        words.contains("Not known: use over at least 90 days"),
        "{words}"
    );
    let edit = "/shelf/parts/1/edit";
    store.submit(edit, edit, &[("order_at", "2")]).await;
    let page = store.get("/shelf/to-order").await;
    assert!(
        page.words().contains("1 left or on order; order at 2"),
        "{}",
        page.words()
    );
    let job = job(&app).await;
    at_shelf(&store, job, "issue", &[("item", "part-1"), ("amount", "1")]).await;
    assert!(
        store
            .get("/shelf/parts/1")
            .await
            .words()
            .contains("When to order")
    );
    let counting = store.get("/shelf/counting").await.words();
    assert!(counting.contains("Belt A42"), "{counting}");
}

#[tokio::test]
async fn a_lot_with_a_date_stands_on_the_shelf_life_list_until_it_is_used() {
    let app = with_belts("1").await;
    let store = app.sign_in("storekeeper").await;
    let typed = [("received", "2"), ("expires_on", "2026-10-01")];
    store
        .submit("/shelf/parts/1", "/shelf/parts/1/receive", &typed)
        .await;
    let page = store.get("/shelf/expiry").await;
    assert_eq!(page.texts("tbody th").len(), 1);
    assert!(
        page.words().contains("Thu 1 Oct 2026 past"),
        "{}",
        page.words()
    );
    let typed = [("scrapped", "3"), ("scrap_why", "Past its date")];
    store
        .submit("/shelf/parts/1", "/shelf/parts/1/scrap", &typed)
        .await;
    assert!(store.get("/shelf/expiry").await.words().contains("No lot"));
}

#[tokio::test]
async fn an_ended_part_shows_its_alternate_with_who_approved_it_on_what_limits() {
    let app = with_belts("1").await;
    let store = app.sign_in("storekeeper").await;
    let typed = [("name", "Belt 3L"), ("kind", "belt"), ("standing", "ended")];
    store
        .submit("/shelf/parts/new", "/shelf/parts/new", &typed)
        .await;
    let page = "/shelf/parts/2/alternates";
    let desk = app.sign_in("supervisor").await;
    let refused = desk.submit(page, page, &[("other", "part-2")]).await;
    assert!(refused.text("#limits-error").contains("Write the limits"));
    assert!(refused.text("#other-error").contains("Choose"));
    let typed = [("other", "part-1"), ("limits", "Not on the café hood")];
    let done = desk.submit(page, page, &typed).await;
    assert_eq!(done.location, page, "{}", done.body);
    let words = store.get("/shelf/parts/2").await.words();
    assert!(
        words.contains("Belt A42"),
        "the part's page names it: {words}"
    );
    let words = store.get(page).await.words();
    assert!(words.contains("Approved by The supervisor"), "{words}");
    let csrf = store.get(page).await.value("[name=csrf]");
    let denied = store
        .post(page, &[("csrf", csrf.as_str()), ("other", "part-1")])
        .await;
    assert_eq!(denied.status, StatusCode::FORBIDDEN);
    let gone = "/shelf/parts/2/alternates/1/withdraw";
    let typed = [("withdrawn_why", "It slips")];
    assert_eq!(desk.submit(page, gone, &typed).await.location, page);
    assert!(
        store
            .get(page)
            .await
            .words()
            .contains("no longer approved: It slips")
    );
    assert_eq!(
        desk.get("/shelf/belts/2/alternates").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn a_fit_accepted_once_is_kept_for_every_machine_with_that_design_motor() {
    let app = TestApp::start().await;
    small_shop::lay_out(&app).await;
    app.run(
        "INSERT INTO motors (id, name, plate) VALUES (50, 'New fan motor', '{}');
         UPDATE machines SET design_motor_id = 1;",
    )
    .await;
    let (first, second) = (job(&app).await, job(&app).await);
    assert_eq!((first, second), (1, 2));
    let desk = app.sign_in("supervisor").await;
    let page = "/shelf/motors/1/alternates";
    let typed = [("other", "motor-50"), ("limits", "Roof fans below 40 °C")];
    assert_eq!(desk.get(page).await.status, StatusCode::OK);
    assert!(
        !desk.get(page).await.has("#other"),
        "no fit was accepted yet"
    );
    app.run("UPDATE jobs SET chosen_motor_id = 50, fit_verdict = 'suits' WHERE id = 1;")
        .await;
    let done = desk.submit(page, page, &typed).await;
    assert_eq!(done.location, page, "{}", done.body);
    let words = desk.get("/jobs/2/fit").await.words();
    assert!(
        words.contains("Approved for machines built with this motor"),
        "{words}"
    );
    assert!(words.contains("Roof fans below 40 °C"), "{words}");
    assert!(
        words.contains("judged on this machine now, not known yet"),
        "{words}"
    );
    let technician = app.sign_in("technician").await;
    assert!(!technician.get(page).await.has("#other"));
}
