//! The search: what it finds, what it forgives, and that no write leaves it behind.

use crate::app::TestApp;
use crate::small_shop::{lay_out, report};
use axum::http::StatusCode;

async fn shop() -> TestApp {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app
}

#[tokio::test]
async fn a_tag_leads_to_its_machine_and_a_mistyped_one_to_a_suggestion() {
    let app = shop().await;
    let visit = app.sign_in("technician").await;
    for typed in ["F-1", "f1", "F+1"] {
        let answer = visit.get(&format!("/search?q={typed}")).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{typed}");
    }
    let slip = visit.get("/search?q=F-1l").await;
    assert_eq!(slip.status, StatusCode::OK);
    assert!(slip.texts("ul.machines .tag").contains(&"F-1".to_owned()));
    assert!(slip.words().contains("Did you mean"));
}

#[tokio::test]
async fn every_change_is_found_at_once() {
    let app = shop().await;
    let visit = app.sign_in("technician").await;
    let tags = async |q: &str| {
        let page = visit.get(&format!("/search?all=1&q={q}")).await;
        assert_eq!(page.status, StatusCode::OK, "{q}");
        page.texts("ul.machines .tag")
    };
    assert_eq!(tags("flat+roof").await.len(), 2);
    assert!(tags("penthouse").await.is_empty());
    app.run("UPDATE places SET name = 'Penthouse' WHERE id = (SELECT place_id FROM machines WHERE id = 1)")
        .await;
    assert_eq!(tags("penthouse").await.len(), 2);
    assert!(tags("flat+roof").await.is_empty());
    app.run(
        "INSERT INTO motors (id, name, plate, plate_text) VALUES (9001, 'Zephyr', '{}', 'FR 48Q')",
    )
    .await;
    app.run("UPDATE machines SET fitted_motor_id = 9001 WHERE id = 1")
        .await;
    assert_eq!(tags("48q").await, ["F-1"]);
    app.run("UPDATE motors SET plate_text = 'FR 77R' WHERE id = 9001")
        .await;
    assert_eq!(tags("77r").await, ["F-1"]);
    assert!(tags("48q").await.is_empty());
    app.run("UPDATE machines SET serves = 'observatory' WHERE id = 2")
        .await;
    assert_eq!(tags("observ").await, ["F-2"]);
}

#[tokio::test]
async fn a_job_is_found_by_its_words_and_by_what_was_written_later() {
    let app = shop().await;
    report(&app, "F-1", "It hums quizzically").await;
    let visit = app.sign_in("technician").await;
    assert!(
        visit
            .get("/search?q=quizzic")
            .await
            .words()
            .contains("Job 1")
    );
    assert!(
        !visit
            .get("/search?q=marmalade")
            .await
            .words()
            .contains("Job 1")
    );
    app.run(
        "INSERT INTO entries (id, job_id, number, received_at, kind, body) VALUES
         ('n1', 1, 99, 1, 'work_done', '{\"v\":1,\"kind\":\"work_done\",\"what\":\"Scraped off marmalade\"}')",
    )
    .await;
    assert!(
        visit
            .get("/search?q=marmalade")
            .await
            .words()
            .contains("Job 1")
    );
}

#[tokio::test]
async fn nothing_typed_breaks_it_and_a_reporter_has_none() {
    let app = shop().await;
    let visit = app.sign_in("technician").await;
    let long = "fan%20".repeat(400);
    for typed in [
        "%22",
        "*",
        "NEAR(a%20b)",
        "a%20AND",
        "%27%27%27",
        "-",
        "x:y",
        "%F0%9F%94%A5",
        "%E9%A2%A8%E6%A9%9F",
        "%00",
        "F%00-1",
        "%5C",
        "((",
        "%E2%92%B6b",
        "",
        &long,
    ] {
        let answer = visit.get(&format!("/search?q={typed}")).await;
        assert_eq!(answer.status, StatusCode::OK, "{typed}");
        let answer = visit
            .get(&format!("/machines?q={typed}&after=%00&kind=%00"))
            .await;
        assert_eq!(answer.status, StatusCode::OK, "{typed}");
    }
    let reporter = app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/search?q=F-1").await.status,
        StatusCode::FORBIDDEN
    );
    assert!(reporter.get("/report").await.texts("form.find").is_empty());
    assert_eq!(visit.get("/today").await.texts("form.find").len(), 1);
}

#[tokio::test]
async fn machines_come_a_page_at_a_time_and_narrowed_down() {
    let app = shop().await;
    app.run(
        "INSERT INTO machines (tag, name, kind, place_id, criticality, facts, created_at)
         WITH RECURSIVE n (i) AS (SELECT 1000 UNION ALL SELECT i + 1 FROM n WHERE i < 1149)
         SELECT 'X-' || CAST(i AS TEXT), 'Crowd', 'pump', (SELECT place_id FROM machines WHERE id = 1),
            'low', '{}', 1 FROM n",
    )
    .await;
    let visit = app.sign_in("technician").await;
    let first = visit.get("/machines").await;
    assert_eq!(first.texts("ul.machines .tag").len(), 100);
    let second = visit.get("/machines?after=X-1097").await;
    assert_eq!(second.texts("ul.machines .tag")[0], "X-1098");
    assert_eq!(second.texts("ul.machines .tag").len(), 52);
    let fans = visit.get("/machines?kind=fan").await;
    assert_eq!(fans.texts("ul.machines .tag"), ["F-1", "F-2"]);
    let none = visit
        .get("/machines?criticality=high&kind=pump&place=1")
        .await;
    assert!(none.texts("ul.machines .tag").is_empty());
}
