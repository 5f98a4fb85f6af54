//! The run test and what it leads to: back in service, out of service, or a test owed.

use crate::app::{Answer, TestApp, Visit};
use crate::isolation::{at_the_machine, energise, goes_to, isolate, lift};
use crate::small_shop::lay_out;
use axum::http::StatusCode;

/// A job on test, with a plate to hold the readings against.
pub async fn on_test(app: &TestApp, visit: &Visit<'_>) -> i64 {
    lay_out(app).await;
    app.run(
        r#"UPDATE motors SET plate = '{
            "volts": {"known": {"value": [115.0], "how": "read"}},
            "amps": {"known": {"value": [4.0], "how": "read"}},
            "phases": {"known": {"value": 1, "how": "read"}},
            "power": {"known": {"value": 249.0, "how": "read"}},
            "speeds": {"known": {"value": [1075.0], "how": "read"}}}' WHERE id = 1;
        UPDATE machines SET facts =
            '{"driven": {"drive": "direct", "rotation": "clockwise"}}' WHERE id = 1;"#,
    )
    .await;
    let job = at_the_machine(app, visit).await;
    isolate(visit, job).await;
    lift(visit, job).await;
    goes_to(&energise(visit, job).await, &format!("/jobs/{job}/proof"));
    job
}

const WHOLE: &[(&str, &str)] = &[
    ("direction_seen", "clockwise"),
    ("flow", "right_way"),
    ("volts_1", "118.4"),
    ("amps_1", "3.62 A"),
    ("guard_complete", "yes"),
    ("first_symptom_gone", "yes"),
    ("minutes_run", "20"),
    ("instrument", "C-2"),
    ("instrument_unknown", "yes"),
    ("precautions", "gloves, barrier, second person"),
];

pub async fn prove(app: &TestApp, visit: &Visit<'_>, job: i64, other: &[(&str, &str)]) -> Answer {
    let person = app.person("technician").await.0.to_string();
    let page = format!("/jobs/{job}/proof");
    let mut typed = vec![("qualified_person", person.as_str())];
    typed.extend(WHOLE);
    typed.retain(|(name, _)| other.iter().all(|(n, _)| n != name));
    typed.extend(other);
    visit.submit(&page, &page, &typed).await
}

async fn put_back(visit: &Visit<'_>, job: i64, page: &Answer) -> Answer {
    let csrf = page.value("input[name=csrf]");
    let entry = brasstag::jobs::record::new_id(1);
    let typed = [
        ("csrf", csrf.as_str()),
        ("entry", &entry),
        ("guards_on", "yes"),
        ("people_told", "the kiln hall"),
        ("accepted_by", "A. Lund"),
    ];
    visit.post(&format!("/jobs/{job}/return"), &typed).await
}

#[tokio::test]
async fn a_passed_proof_shows_its_margins_and_leads_back_into_service() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let job = on_test(&app, &visit).await;
    let page = format!("/jobs/{job}/proof");
    let typed = [
        ("vibration", "1.4"),
        ("support", "rigid"),
        ("speed", "1080"),
    ];
    goes_to(&prove(&app, &visit, job, &typed).await, &page);
    let shown = visit.get(&page).await;
    assert!(
        shown.words().contains("The proof was passed"),
        "{}",
        shown.words()
    );
    assert!(shown.words().contains("4 A on the plate"));
    assert!(shown.words().contains("9.5 %"));
    assert!(shown.words().contains("L1 3.62 A A") || shown.words().contains("L1 3.62 A"));
    let kept = "SELECT count(*) FROM readings WHERE quantity IN ('volts', 'amps', 'mm_s', 'rpm')
        AND job_id = 1 AND point IN ('L1', 'highest', 'driven shaft')";
    assert_eq!(app.count(kept).await, 4);

    let back = format!("/jobs/{job}/return");
    let refused = visit
        .submit(&back, &back, &[("people_told", "the kiln hall")])
        .await;
    assert!(refused.text("#accepted_by-error").contains("who accepted"));
    let typed = [("people_told", "the kiln hall"), ("accepted_by", "A. Lund")];
    let refused = visit.submit(&back, &back, &typed).await;
    assert!(refused.text("#guards_on-error").contains("without guards"));
    assert_eq!(refused.value("#accepted_by"), "A. Lund");
    assert!(
        !refused.has("#due_on"),
        "a passed proof leaves no test owed"
    );
    let typed = [("guards_on", "yes"), typed[0], typed[1]];
    goes_to(
        &visit.submit(&back, &back, &typed).await,
        &format!("/jobs/{job}"),
    );
    let sql = "SELECT count(*) FROM jobs WHERE state = 'back_in_service'";
    assert_eq!(app.count(sql).await, 1);
}

#[tokio::test]
async fn a_failed_proof_leads_only_to_isolation() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let job = on_test(&app, &visit).await;
    let page = format!("/jobs/{job}/proof");
    goes_to(&prove(&app, &visit, job, &[("amps_1", "4.4")]).await, &page);
    let shown = visit.get(&page).await;
    assert!(shown.words().contains("The machine stays out of service"));
    assert!(shown.has(&format!("a[href='/jobs/{job}/isolation']")));
    assert!(!shown.has("#amps_1"), "no second try before it is isolated");
    assert!(!shown.has(&format!("a[href='/jobs/{job}/return']")));

    let back = visit.get(&format!("/jobs/{job}/return")).await;
    assert!(!back.has("#accepted_by") && !back.has("#due_on"));
    let refused = put_back(&visit, job, &back).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused.words().contains("was not passed"),
        "{}",
        refused.words()
    );
    let csrf = back.value("input[name=csrf]");
    let entry = brasstag::jobs::record::new_id(1);
    let typed = [
        ("csrf", csrf.as_str()),
        ("entry", &entry),
        ("due_on", "2026-12-01"),
        ("why", "later"),
    ];
    let refused = visit
        .post(&format!("/jobs/{job}/return/owed"), &typed)
        .await;
    assert!(refused.words().contains("The proof was failed"));

    isolate(&visit, job).await;
    assert!(
        !visit
            .get(&page)
            .await
            .words()
            .contains("stays out of service")
    );
    lift(&visit, job).await;
    goes_to(&energise(&visit, job).await, &page);
    goes_to(&prove(&app, &visit, job, &[]).await, &page);
    let back = visit.get(&format!("/jobs/{job}/return")).await;
    goes_to(&put_back(&visit, job, &back).await, &format!("/jobs/{job}"));
}

#[tokio::test]
async fn without_a_proof_a_machine_is_not_back_in_service_only_its_test_owed() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let job = on_test(&app, &visit).await;
    let page = format!("/jobs/{job}/return");
    let shown = visit.get(&page).await;
    assert!(!shown.has("#accepted_by"));
    let refused = put_back(&visit, job, &shown).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.words().contains("The proof is missing"));

    let owed = format!("{page}/owed");
    let refused = visit
        .submit(&page, &owed, &[("due_on", "2026-11-24")])
        .await;
    assert!(refused.text("#due_on-error").contains("is over"));
    assert!(refused.text("#why-error").contains("why"));
    let typed = [
        ("due_on", "2026-12-01"),
        ("why", "the hall is let until Monday"),
    ];
    goes_to(
        &visit.submit(&page, &owed, &typed).await,
        &format!("/jobs/{job}"),
    );
    let sql = "SELECT count(*) FROM jobs WHERE state = 'test_owed'";
    assert_eq!(app.count(sql).await, 1);
    // The proof is still asked for, and with it the machine goes back.
    let proof = format!("/jobs/{job}/proof");
    goes_to(&prove(&app, &visit, job, &[]).await, &proof);
    let back = visit.get(&page).await;
    goes_to(&put_back(&visit, job, &back).await, &format!("/jobs/{job}"));
}

#[tokio::test]
async fn a_gap_is_refused_beside_its_field_unless_it_is_recorded_as_it_is() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let job = on_test(&app, &visit).await;
    let page = format!("/jobs/{job}/proof");
    let gaps = [
        ("amps_1", ""),
        ("flow", "not_looked"),
        ("volts_1", "OL"),
        ("speed", "fast"),
    ];
    let refused = prove(&app, &visit, job, &gaps).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text("#amps_1-error").starts_with("Not known yet"));
    assert!(refused.text("#flow-error").starts_with("Not known yet"));
    assert!(
        refused
            .text("#volts_1-error")
            .contains("OL is not a figure")
    );
    assert!(refused.text("#speed-error").contains("not a figure"));
    assert_eq!(refused.value("#volts_1"), "OL");
    assert_eq!(refused.value("#flow"), "not_looked");
    assert_eq!(
        refused.value("#precautions"),
        "gloves, barrier, second person"
    );

    let as_is = [("amps_1", ""), ("as_is", "yes")];
    goes_to(&prove(&app, &visit, job, &as_is).await, &page);
    let shown = visit.get(&page).await;
    assert!(
        shown.words().contains("the machine stays on test"),
        "{}",
        shown.words()
    );
    let sql = "SELECT count(*) FROM jobs WHERE state = 'on_test'
        AND proof_verdict = 'not_known_yet'";
    assert_eq!(app.count(sql).await, 1);
    let back = visit.get(&format!("/jobs/{job}/return")).await;
    let refused = put_back(&visit, job, &back).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn live_testing_is_by_a_qualified_person_with_precautions() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let job = on_test(&app, &visit).await;
    app.run("UPDATE people SET qualified_on = NULL WHERE sign_in_name = 'technician'")
        .await;
    let refused = prove(&app, &visit, job, &[]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .text("#qualified_person-error")
            .contains("not recorded as a qualified")
    );
    assert!(
        !refused.text("#qualified_person").contains("The technician"),
        "not offered"
    );
    let none = [
        ("qualified_person", ""),
        ("precautions", " "),
        ("as_is", "yes"),
    ];
    let refused = prove(&app, &visit, job, &none).await;
    assert!(
        refused
            .text("#qualified_person-error")
            .contains("Choose the qualified person")
    );
    assert!(refused.text("#precautions-error").contains("precautions"));
    assert_eq!(
        app.count("SELECT count(*) FROM entries WHERE kind = 'proof'")
            .await,
        0
    );
}
