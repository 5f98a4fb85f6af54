//! Closed days of the shop: written under Shop, and seen where dates are shown.

use crate::app::TestApp;
use crate::small_shop;
use axum::http::StatusCode;
use brasstag::preventive::make_ahead;

const PAGE: &str = "/shop/closed";

#[tokio::test]
async fn closed_days_are_written_and_seen_beside_the_dates() {
    let app = TestApp::start().await;
    small_shop::lay_out(&app).await;
    app.run(
        "INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         VALUES (101, 1, 'Grease', '{\"kind\":\"calendar\",\"every\":{\"months\":1}}', '2026-11-27', 7, 0)",
    )
    .await;
    make_ahead(&app.state).await.expect("made");
    let visit = app.sign_in("supervisor").await;
    let csrf = visit.get(PAGE).await.value("input[name=csrf]");
    let send = async |fields: &[(&str, &str)]| {
        let mut all = vec![("csrf", csrf.as_str())];
        all.extend_from_slice(fields);
        visit.post(PAGE, &all).await
    };
    let refused = send(&[("what", "add"), ("day", "soon"), ("name", "Fair")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused.text("#day-error"), "Enter the day, as 2026-12-25");
    assert_eq!(refused.value("#name"), "Fair");
    let added = send(&[("what", "add"), ("day", "2026-11-27"), ("name", "Fair")]).await;
    assert_eq!(added.location, PAGE);
    let weekdays = send(&[("what", "weekdays"), ("weekday-7", "yes")]).await;
    assert_eq!(weekdays.location, PAGE);
    let page = visit.get(PAGE).await;
    assert!(
        page.words().contains("Fri 27 Nov 2026, Fair"),
        "{}",
        page.words()
    );
    assert!(page.has("#weekday-7[checked]") && !page.has("#weekday-6[checked]"));
    let expected = "the shop is closed that day: planned for Thu 26 Nov 2026";
    for path in ["/rounds", "/preventive/101"] {
        let words = visit.get(path).await.words();
        assert!(words.contains(expected), "{path}: {words}");
    }
    // 27 December is a Sunday.
    let words = visit.get("/preventive/101").await.words();
    assert!(words.contains("planned for Sat 26 Dec 2026"), "{words}");
    let open = send(&[("what", "remove"), ("day", "2026-11-27")]).await;
    assert_eq!(open.location, PAGE);
    assert!(!visit.get("/rounds").await.words().contains(expected));
    let all: Vec<(String, &str)> = (1..=7).map(|n| (format!("weekday-{n}"), "yes")).collect();
    let mut all: Vec<(&str, &str)> = all.iter().map(|(n, v)| (n.as_str(), *v)).collect();
    all.push(("what", "weekdays"));
    assert_eq!(send(&all).await.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn only_who_runs_the_shop_changes_its_closed_days() {
    let app = TestApp::start().await;
    let auditor = app.sign_in("auditor").await;
    assert_eq!(auditor.get(PAGE).await.status, StatusCode::OK);
    let csrf = auditor.get("/preventive").await.value("input[name=csrf]");
    let fields = [("csrf", csrf.as_str()), ("what", "weekdays")];
    assert_eq!(
        auditor.post(PAGE, &fields).await.status,
        StatusCode::FORBIDDEN
    );
    let technician = app.sign_in("technician").await;
    assert_eq!(technician.get(PAGE).await.status, StatusCode::FORBIDDEN);
}
