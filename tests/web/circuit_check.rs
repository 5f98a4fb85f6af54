//! The chosen motor against its circuit: recorded, held when beyond, released by a decision.

use crate::app::Visit;
use crate::floor::{Floor, circuit, run};
use axum::http::StatusCode;
use brasstag::jobs::{self, Job, JobId, State};

async fn choose(floor: &Floor, visit: &Visit<'_>, motor: i64) {
    let path = floor.page(&format!("fit/{motor}"));
    assert_eq!(
        visit.submit(&path, &path, &[]).await.location,
        floor.page("circuit")
    );
}

async fn load(floor: &Floor, other: i64) {
    let json = serde_json::to_string(&circuit(other)).expect("json");
    run(&floor.app, format!("UPDATE circuits SET facts = '{json}'")).await;
}

async fn job(floor: &Floor) -> Job {
    let found = jobs::queries::find(floor.app.db(), JobId(floor.job)).await;
    found.expect("the database").expect("the job")
}

#[tokio::test]
async fn without_a_motor_or_a_circuit_the_page_says_what_to_do() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    let page = visit.get(&floor.page("circuit")).await;
    assert_eq!(page.text(".next h2"), "No motor is chosen yet");
    choose(&floor, &visit, floor.same).await;
    run(
        &floor.app,
        "UPDATE machines SET circuit_id = NULL".to_owned(),
    )
    .await;
    let page = visit.get(&floor.page("circuit")).await;
    assert_eq!(
        page.text(".next h2"),
        "No circuit is recorded for this machine"
    );
    assert!(!page.has("form#form"));
}

#[tokio::test]
async fn a_check_within_its_limits_is_recorded_and_holds_nothing() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    choose(&floor, &visit, floor.same).await;
    let path = floor.page("circuit");
    let page = visit.get(&path).await;
    assert!(
        page.text(".next h2").starts_with("within"),
        "{}",
        page.words()
    );
    let words = page.words();
    assert!(words.contains("NEC 2023, chosen by the shop"));
    assert!(words.contains("No local amendments are recorded"));
    assert!(words.contains("Nobody has proved that this circuit feeds the machine"));
    assert_eq!(visit.submit(&path, &path, &[]).await.location, path);
    let job = job(&floor).await;
    assert_eq!(job.state, State::HandedOut);
    assert!(job.circuit_cleared());
    let page = visit.get(&path).await;
    assert!(
        page.words().contains("by The technician"),
        "{}",
        page.words()
    );
}

#[tokio::test]
async fn a_failing_check_holds_the_job_and_a_decision_releases_it() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    choose(&floor, &visit, floor.same).await;
    load(&floor, 20).await;
    let path = floor.page("circuit");
    assert_eq!(visit.get(&path).await.text(".next h2"), "beyond");
    assert_eq!(visit.submit(&path, &path, &[]).await.location, path);
    let held = job(&floor).await;
    assert_eq!(
        (held.state, held.held_for.as_deref()),
        (State::Held, Some("circuit"))
    );
    let page = visit.get(&path).await;
    assert!(page.words().contains("The job is held by this check"));
    assert!(
        !page.has("#licensed_person"),
        "a technician notes no decision"
    );

    let to = floor.page("circuit/decision");
    let boss = floor.app.sign_in("supervisor").await;
    assert!(
        boss.get(&path)
            .await
            .words()
            .contains("The program does not decide")
    );
    let typed = [
        ("licensed_person", "Rhea Moss"),
        ("licence", " "),
        ("decision", ""),
    ];
    let refused = boss.submit(&path, &to, &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        refused.text("#licence-error"),
        "Enter the licence the person holds"
    );
    assert!(
        refused
            .text("#decision-error")
            .contains("in the person's words")
    );
    assert_eq!(refused.value("#licensed_person"), "Rhea Moss");
    assert_eq!(job(&floor).await.state, State::Held);

    let typed = [
        ("licensed_person", "Rhea Moss"),
        ("licence", "Master electrician 4471"),
        (
            "decision",
            "Kiln controller moved to circuit 9 before the fan runs",
        ),
    ];
    assert_eq!(boss.submit(&path, &to, &typed).await.location, path);
    let free = job(&floor).await;
    assert_eq!(free.state, State::HandedOut);
    assert!(free.circuit_cleared());
    let page = boss.get(&path).await;
    assert!(page.text("#decided").contains("Master electrician 4471"));
    assert!(page.text("#decided").contains("It did not decide"));
}

#[tokio::test]
async fn another_motor_releases_the_hold_and_its_own_check_is_asked() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    choose(&floor, &visit, floor.same).await;
    load(&floor, 20).await;
    let path = floor.page("circuit");
    visit.submit(&path, &path, &[]).await;
    choose(&floor, &visit, floor.long).await;
    let job = job(&floor).await;
    assert_eq!(job.state, State::HandedOut);
    assert!(!job.circuit_cleared());
}

#[tokio::test]
async fn what_is_missing_is_listed_with_where_to_record_it() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    choose(&floor, &visit, floor.same).await;
    run(
        &floor.app,
        "UPDATE circuits SET facts = '{\"volts\": 120, \"phases\": 1}'".to_owned(),
    )
    .await;
    let page = visit.get(&floor.page("circuit")).await;
    assert_eq!(page.text(".next h2"), "not known yet");
    assert!(
        page.text(".next ul").contains("other loads on the circuit"),
        "{}",
        page.words()
    );
    assert!(page.has(".next a"));
}

#[tokio::test]
async fn the_wrong_role_records_nothing() {
    let floor = Floor::lay().await;
    let path = floor.page("circuit");
    for (role, to) in [
        ("auditor", path.clone()),
        ("storekeeper", path.clone()),
        ("technician", floor.page("circuit/decision")),
    ] {
        let visit = floor.app.sign_in(role).await;
        let token = visit.get(&path).await.value("form.who input[name=csrf]");
        let refused = visit.post(&to, &[("csrf", &token)]).await;
        assert_eq!(refused.status, StatusCode::FORBIDDEN, "{role} {to}");
    }
}
