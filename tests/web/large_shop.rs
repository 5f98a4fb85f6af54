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

/// So many circuits, sources and parts that no list holds them.
async fn crowd(app: &TestApp) {
    app.run(
        "INSERT INTO circuits (id, panel_id, number, label_read, facts)
         WITH RECURSIVE n (i) AS (SELECT 1001 UNION ALL SELECT i + 1 FROM n WHERE i < 1300)
         SELECT i, 1, CAST(i AS TEXT), 'Crowd', '{}' FROM n;
         INSERT INTO energy_sources (id, kind, name, device)
         WITH RECURSIVE n (i) AS (SELECT 1001 UNION ALL SELECT i + 1 FROM n WHERE i < 1300)
         SELECT i, 'water', 'Far valve ' || CAST(i AS TEXT), 'Valve ' || CAST(i AS TEXT) FROM n;
         INSERT INTO parts (name, kind, standing, created_at)
         WITH RECURSIVE n (i) AS (SELECT 1001 UNION ALL SELECT i + 1 FROM n WHERE i < 1300)
         SELECT 'Belt ' || CAST(i AS TEXT), 'belt', 'to_buy', 0 FROM n;
         INSERT INTO machines (id, tag, name, kind, place_id, facts, circuit_id, created_at)
         WITH RECURSIVE n (i) AS (SELECT 1001 UNION ALL SELECT i + 1 FROM n WHERE i < 1030)
         SELECT i, 'Z-' || CAST(i AS TEXT), 'Crowd fan', 'fan', 1, '{}', 1, 0 FROM n;
         INSERT INTO isolation_sheets (id, machine_id, revision, steps, made_at)
            VALUES (1001, 1001, 1, 'Stop', 0);
         INSERT INTO isolation_sheet_sources VALUES (1001, 1250, 1);",
    )
    .await;
}

#[tokio::test]
async fn among_many_a_circuit_is_typed_with_its_panel() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    assert!(visit.get("/machines/1/edit").await.has("select#circuit_id"));
    crowd(&app).await;
    let edit = "/machines/1/edit";
    assert_eq!(visit.get(edit).await.value("input#circuit_id"), "LP-1, 7");
    let wrong = [("circuit_id", "LP-9, 7")];
    let refused = visit.submit(edit, edit, &wrong).await;
    assert!(refused.text("#circuit_id-error").contains("as LP-1, 7"));
    assert_eq!(refused.value("#circuit_id"), "LP-9, 7");
    let saved = visit
        .submit(edit, edit, &[("circuit_id", "lp-1, 1299")])
        .await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.words());
    let circuit = app
        .count("SELECT circuit_id FROM machines WHERE id = 1")
        .await;
    assert_eq!(circuit, 1299);
    // Fed from one of its own circuits: it would feed itself.
    let own = [("fed_from", "LP-1, 1299")];
    let refused = visit.submit("/panels/1/edit", "/panels/1/edit", &own).await;
    assert!(refused.has("#fed_from-error"), "{}", refused.words());
    let panel = visit.get("/panels/1").await;
    assert!(
        panel.words().contains("and 19 more"),
        "31 on circuit 7, 12 are named"
    );
}

#[tokio::test]
async fn among_many_sources_those_near_by_and_those_asked_for_can_be_ticked() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    crowd(&app).await;
    let visit = app.sign_in("supervisor").await;
    let edit = "/machines/1/isolation/edit";
    let near = visit.get(edit).await;
    assert!(near.words().contains("Draught on F-1"));
    assert!(
        !near.words().contains("Far valve 1100"),
        "far ones are not listed"
    );
    let asked = visit.get(&format!("{edit}?with=z-1001")).await;
    assert!(
        asked.words().contains("Far valve 1250"),
        "{}",
        asked.words()
    );
    app.run("UPDATE energy_sources SET device_place = 'Shaft' WHERE id = 1199")
        .await;
    let csrf = near.value("input[name=csrf]");
    let again = [
        ("csrf", csrf.as_str()),
        ("revision", "1"),
        ("steps", "Stop and lock"),
        ("new1_name", "Water"),
        ("new1_kind", "water"),
        ("new1_device", "valve 1199"),
        ("new1_device_place", "shaft"),
        ("new1_dead_test", "none"),
    ];
    let refused = visit.post(edit, &again).await;
    let message = refused.text("#new1_device-error");
    assert!(message.contains("tick Far valve 1199"), "{message}");
    assert!(
        refused.has("input[name=source][value='1199']"),
        "and it is there to tick"
    );
}

#[tokio::test]
async fn among_many_parts_one_is_named() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    crowd(&app).await;
    let visit = app.sign_in("storekeeper").await;
    let list = "/machines/1/parts";
    let typed = [
        ("place", "belt 1"),
        ("part_name", "Belt 9999"),
        ("amount", "1"),
    ];
    let refused = visit.submit(list, list, &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.has("#part_name-error"), "{}", refused.words());
    let typed = [
        ("place", "belt 1"),
        ("part_name", "belt 1250"),
        ("amount", "1"),
    ];
    let added = visit.submit(list, list, &typed).await;
    assert_eq!(added.status, StatusCode::SEE_OTHER, "{}", added.words());
    let named = "SELECT count(*) FROM machine_parts l JOIN parts p ON p.id = l.part_id
        WHERE p.name = 'Belt 1250'";
    assert_eq!(app.count(named).await, 1);
}
