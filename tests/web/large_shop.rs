//! What changes where a shop has more than fits into a list.

use crate::app::TestApp;
use crate::small_shop::{lay_out, report};
use axum::http::StatusCode;

#[tokio::test]
async fn in_a_large_shop_a_machine_that_is_not_listed_is_named_by_its_tag() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let desk = app.sign_in("supervisor").await;
    report(&app, "F-1", "It howls").await;
    assert!(
        !desk.get("/jobs/1/plan").await.has("#tag"),
        "all are listed"
    );
    app.run(
        "INSERT INTO machines (id, tag, name, kind, place_id, facts, created_at)
         WITH RECURSIVE n (i) AS (SELECT 1001 UNION ALL SELECT i + 1 FROM n WHERE i < 1300)
         SELECT i, 'Z-' || CAST(i AS TEXT), 'Crowd fan', 'fan', (SELECT min(id) FROM places), '{}', 0
         FROM n",
    )
    .await;
    let typed = [("tag", "z-9999"), ("scope", "Find out why")];
    let refused = desk.submit("/jobs/1/plan", "/jobs/1/plan", &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused.text("#tag-error"), "No machine has the tag z-9999");
    assert_eq!(refused.value("#tag"), "z-9999");
    let typed = [("tag", "z-1299"), ("scope", "Find out why")];
    let planned = desk.submit("/jobs/1/plan", "/jobs/1/plan", &typed).await;
    assert_eq!(planned.status, StatusCode::SEE_OTHER, "{}", planned.words());
    let machine = app.count("SELECT machine_id FROM jobs").await;
    assert_eq!(machine, 1299);
    let tags = desk.get("/machines/tags?q=Z-1299").await;
    assert_eq!(tags.texts(".label .tag"), ["Z-1299"]);
    let tags = desk.get("/machines/tags?kind=fan").await;
    assert_eq!(tags.texts(".label .tag").len(), 100);
    assert!(tags.body.contains("The next tags"));
}
