//! Readings of a machine: drawn with their limits, gaps for what is no figure, the table beneath.

use crate::app::TestApp;
use crate::small_shop::{lay_out, report};
use axum::http::StatusCode;
use calc::plate::{Field, Plate};
use calc::units::{Amps, Volts};

async fn taken(app: &TestApp) {
    lay_out(app).await;
    let job = report(app, "F-1", "It hums").await;
    app.run(
        format!(
            "INSERT INTO entries (id, job_id, number, received_at, kind, body)
            VALUES ('e1', {job}, 2, 1795000000000, 'as_found', '{{}}'),
                ('e2', {job}, 3, 1795400000000, 'step_done', '{{}}'),
                ('e3', {job}, 4, 1795500000000, 'dead_test', '{{}}'),
                ('e4', {job}, 5, 1795600000000, 'step_done', '{{}}');
         INSERT INTO readings (entry_id, position, job_id, machine_id, point, quantity, as_shown,
                value, taken_at)
            VALUES ('e1', 0, {job}, 1, 'L1', 'amps', '1.8', 1.8, 1795000000000),
                ('e2', 0, {job}, 1, 'winding', 'megohm', 'OL', NULL, 1795400000000),
                ('e3', 0, {job}, 1, 'L1-N', 'volts', '0.0', 0, 1795500000000),
                ('e4', 0, {job}, 1, 'winding', 'megohm', '200', 200, 1795600000000);"
        )
        .leak(),
    )
    .await;
}

#[tokio::test]
async fn every_reading_is_in_the_chart_and_in_the_table() {
    let app = TestApp::start().await;
    taken(&app).await;
    let visit = app.sign_in("auditor").await;
    let page = visit.get("/machines/1/readings").await;
    assert_eq!(page.status, StatusCode::OK);
    assert_eq!(
        page.texts("h2"),
        ["Current, A", "Insulation resistance, MΩ"]
    );
    assert_eq!(page.texts("svg.chart").len(), 2);
    assert_eq!(page.body.matches("class=\"mark\"").count(), 2); // OL has no mark
    let words = page.words();
    for said in ["1.8", "OL", "no figure: a gap", "as found", "step"] {
        assert!(words.contains(said), "{said}: {words}");
    }
    assert!(!words.contains("L1-N"), "a dead test is no reading of it");
}

#[tokio::test]
async fn a_machine_without_readings_says_so_and_reporters_do_not_see_it() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let page = visit.get("/machines/2/readings").await;
    assert!(page.words().contains("No job has taken a reading"));
    assert_eq!(
        visit.get("/machines/99/readings").await.status,
        StatusCode::NOT_FOUND
    );
    let reporter = app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/machines/1/readings").await.status,
        StatusCode::FORBIDDEN
    );
}

#[tokio::test]
async fn current_is_drawn_against_the_plate_of_the_fitted_motor() {
    let app = TestApp::start().await;
    taken(&app).await;
    let visit = app.sign_in("technician").await;
    let before = visit.get("/machines/1/readings").await;
    assert!(
        !before.body.contains("class=\"limit\""),
        "not known, not drawn"
    );
    let plate = Plate {
        volts: Field::read(vec![Volts(115.0)]),
        amps: Field::read(vec![Amps(2.2)]),
        ..Plate::default()
    };
    let plate = serde_json::to_string(&plate).expect("a plate");
    app.run(format!("UPDATE motors SET plate = '{plate}' WHERE id = 1").leak())
        .await;
    app.run("UPDATE machines SET facts = '{\"site\":{\"nominal_volts\":115.0}}' WHERE id = 1")
        .await;
    let page = visit.get("/machines/1/readings").await;
    assert_eq!(page.body.matches("class=\"limit\"").count(), 1);
    assert!(page.body.contains("plate 2.2 A at 115 V"));
}
