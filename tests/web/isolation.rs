//! Isolation worked by posting: what is kept, what is refused, and where it says so.

use crate::app::{Answer, TestApp, Visit};
use crate::small_shop::{confirm_and_find, lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;

/// A job of machine 1 at the point where isolation begins.
pub async fn at_the_machine(app: &TestApp, visit: &Visit<'_>) -> i64 {
    let job = report(app, "F-1", "It hums and stands still").await;
    plan_and_hand_out(app, job).await;
    confirm_and_find(visit, job).await;
    job
}

pub async fn tell(visit: &Visit<'_>, job: i64) -> Answer {
    let page = format!("/jobs/{job}/isolation");
    let who = [("who", "the kiln hall")];
    visit.submit(&page, &format!("{page}/told"), &who).await
}

/// A lock on a source; the draught's energy is let out.
pub async fn lock(visit: &Visit<'_>, job: i64, source: i64, number: &str) -> Answer {
    let page = format!("/jobs/{job}/isolation");
    let source = source.to_string();
    let of = |name: &str| format!("{name}_{source}");
    let (number_field, label, seen, relieved) = (
        of("lock_number"),
        of("label_read"),
        of("seen_off"),
        of("relieved"),
    );
    let typed = [
        ("source", source.as_str()),
        (number_field.as_str(), number),
        (label.as_str(), "Roof fans"),
        (seen.as_str(), "yes"),
        (relieved.as_str(), "wheel blocked, turns no more"),
    ];
    visit.submit(&page, &format!("{page}/lock"), &typed).await
}

const DEAD: &[(&str, &str)] = &[
    ("did_not_start", "yes"),
    ("instrument", "V-3"),
    ("instrument_unknown", "yes"),
    ("known_source", "outlet beside the door"),
    ("before", "121.4"),
    ("after", "121.2 V"),
    ("pair_1_L-N", "0"),
    ("pair_1_L-E", "0.2"),
    ("pair_1_N-E", "0,1"),
];

/// The dead test with some fields typed otherwise.
pub async fn dead(visit: &Visit<'_>, job: i64, other: &[(&str, &str)]) -> Answer {
    let page = format!("/jobs/{job}/isolation");
    let mut typed: Vec<(&str, &str)> = DEAD
        .iter()
        .filter(|(name, _)| other.iter().all(|(n, _)| n != name))
        .copied()
        .collect();
    typed.extend(other);
    visit.submit(&page, &format!("{page}/dead"), &typed).await
}

pub fn goes_to(answer: &Answer, page: &str) {
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
    assert_eq!(answer.location, page);
}

/// Told, both sources locked, proved dead.
pub async fn isolate(visit: &Visit<'_>, job: i64) {
    let page = format!("/jobs/{job}/isolation");
    goes_to(&tell(visit, job).await, &page);
    goes_to(&lock(visit, job, 1, "A1").await, &page);
    goes_to(&lock(visit, job, 2, "A2").await, &page);
    goes_to(&dead(visit, job, &[]).await, &format!("/jobs/{job}"));
}

/// Clear, own locks off; not yet energised.
pub async fn lift(visit: &Visit<'_>, job: i64) {
    let page = format!("/jobs/{job}/lift");
    let clear = [
        ("tools_clear", "yes"),
        ("guards_on", "yes"),
        ("people_clear", "T. Fox"),
        ("people_told", "the kiln hall"),
    ];
    goes_to(
        &visit.submit(&page, &format!("{page}/ready"), &clear).await,
        &page,
    );
    let off = format!("{page}/off");
    while visit
        .get(&page)
        .await
        .has("button.quiet + *, input[name=lock]")
    {
        goes_to(&visit.submit(&page, &off, &[]).await, &page);
    }
}

pub async fn energise(visit: &Visit<'_>, job: i64) -> Answer {
    let page = format!("/jobs/{job}/lift");
    visit.submit(&page, &format!("{page}/energise"), &[]).await
}

#[tokio::test]
async fn readings_are_kept_as_the_instrument_showed_them_ghosts_and_all() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let job = at_the_machine(&app, &visit).await;
    let page = format!("/jobs/{job}/isolation");
    goes_to(&tell(&visit, job).await, &page);
    goes_to(&lock(&visit, job, 1, "A1").await, &page);
    goes_to(&lock(&visit, job, 2, "A2").await, &page);

    // 12 V is over the threshold: a finding, kept as shown, and work stays shut.
    goes_to(
        &dead(&visit, job, &[("pair_1_L-E", "12 ghost")]).await,
        &page,
    );
    let sql = "SELECT count(*) FROM readings
        WHERE as_shown = '12 ghost' AND value = 12.0 AND point = 'L-E'";
    assert_eq!(app.count(sql).await, 1);
    let shown = visit.get(&page).await;
    assert!(
        shown.words().contains("It reads live. Do not touch."),
        "{}",
        shown.words()
    );
    assert!(shown.words().contains("low-impedance tester"));
    let work = visit.get(&format!("/jobs/{job}/work")).await;
    assert!(work.words().contains("Work is not open"));

    // Tested again with another tester: both records stand.
    goes_to(&dead(&visit, job, &[]).await, &format!("/jobs/{job}"));
    let sql = "SELECT count(*) FROM readings WHERE as_shown = '0,1' AND value = 0.1";
    assert_eq!(app.count(sql).await, 2);
    assert_eq!(app.count("SELECT count(*) FROM readings").await, 6);
    assert!(
        !visit
            .get(&page)
            .await
            .words()
            .to_lowercase()
            .contains(" safe")
    );
}

#[tokio::test]
async fn a_blank_pair_is_refused_beside_its_field_and_the_rest_is_kept() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let job = at_the_machine(&app, &visit).await;
    let page = format!("/jobs/{job}/isolation");
    tell(&visit, job).await;
    lock(&visit, job, 1, "A1").await;
    lock(&visit, job, 2, "A2").await;
    let typed = [
        ("pair_1_L-N", ""),
        ("pair_1_L-E", "OL"),
        ("after", ""),
        ("instrument_due", "2026-11-24"),
    ];
    let refused = dead(&visit, job, &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let said = |field: &str| refused.text(&format!("[id='{field}-error']"));
    assert!(
        said("pair_1_L-N").starts_with("Blank is not zero"),
        "{}",
        refused.words()
    );
    assert!(said("pair_1_L-E").contains("showed in volts"));
    assert_eq!(said("pair_1_N-E"), "");
    assert!(said("after").contains("live"));
    assert!(said("instrument_due").contains("has ended"));
    assert_eq!(refused.value("#before"), "121.4");
    assert_eq!(refused.value("[id='pair_1_N-E']"), "0,1");
    assert_eq!(refused.value("[id='pair_1_L-E']"), "OL");
    assert!(refused.has("#did_not_start[checked]"));
    assert_eq!(app.count("SELECT count(*) FROM readings").await, 0);

    let bare = [("did_not_start", ""), ("known_source", "")];
    let refused = dead(&visit, job, &bare).await;
    assert!(
        refused
            .text("#did_not_start-error")
            .contains("does not start")
    );
    assert!(refused.text("#known_source-error").contains("live source"));
    assert!(
        visit
            .get(&page)
            .await
            .words()
            .contains("no dead test stands")
    );
}

#[tokio::test]
async fn a_locks_mistakes_stand_beside_its_own_source_with_what_was_typed() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let job = at_the_machine(&app, &visit).await;
    let page = format!("/jobs/{job}/isolation");
    let early = [
        ("source", "1"),
        ("lock_number_1", "A1"),
        ("seen_off_1", "yes"),
    ];
    let csrf = visit.get(&page).await.value("input[name=csrf]");
    let entry = brasstag::jobs::record::new_id(1);
    let mut all = vec![("csrf", csrf.as_str()), ("entry", entry.as_str())];
    all.extend(early);
    let refused = visit.post(&format!("{page}/lock"), &all).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.words().contains("Tell the affected people"));

    tell(&visit, job).await;
    let typed = [
        ("source", "2"),
        ("lock_number_2", "A2"),
        ("label_read_2", "Block 2"),
    ];
    let lock_it = format!("{page}/lock");
    let refused = visit.submit(&page, &lock_it, &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text("#seen_off_2-error").contains("off or closed"));
    assert_eq!(refused.text("#seen_off_1-error"), "");
    assert_eq!(refused.value("#lock_number_2"), "A2");
    assert_eq!(refused.value("#label_read_2"), "Block 2");
    assert_eq!(refused.value("#lock_number_1"), "");
    let typed = [
        ("source", "2"),
        ("lock_number_2", "A2"),
        ("seen_off_2", "yes"),
    ];
    let refused = visit.submit(&page, &lock_it, &typed).await;
    assert!(refused.text("#relieved_2-error").contains("stored energy"));
    assert_eq!(app.count("SELECT count(*) FROM locks").await, 0);
}

#[tokio::test]
async fn the_same_lock_sent_twice_is_one_lock() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let job = at_the_machine(&app, &visit).await;
    tell(&visit, job).await;
    let page = format!("/jobs/{job}/isolation");
    let entry = brasstag::jobs::record::new_id(1);
    let typed = [
        ("entry", entry.as_str()),
        ("source", "1"),
        ("lock_number_1", "A1"),
        ("seen_off_1", "yes"),
    ];
    for _ in 0..2 {
        goes_to(
            &visit.submit(&page, &format!("{page}/lock"), &typed).await,
            &page,
        );
    }
    assert_eq!(app.count("SELECT count(*) FROM locks").await, 1);
    let kept = "SELECT count(*) FROM entries WHERE kind = 'lock_on'";
    assert_eq!(app.count(kept).await, 1);
}

#[tokio::test]
async fn who_is_not_authorised_or_not_qualified_or_of_another_role_is_refused() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let job = at_the_machine(&app, &visit).await;
    let page = format!("/jobs/{job}/isolation");
    tell(&visit, job).await;
    app.run("UPDATE people SET authorised_on = NULL WHERE sign_in_name = 'technician'")
        .await;
    let refused = lock(&visit, job, 1, "A1").await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .text("#lock_number_1-error")
            .contains("not recorded as authorised")
    );

    app.run(
        "UPDATE people SET authorised_on = '2026-01-05', qualified_on = NULL
             WHERE sign_in_name = 'technician'",
    )
    .await;
    goes_to(&lock(&visit, job, 1, "A1").await, &page);
    goes_to(&lock(&visit, job, 2, "A2").await, &page);
    let refused = dead(&visit, job, &[]).await;
    assert!(
        refused
            .text("#instrument-error")
            .contains("qualified person")
    );

    let auditor = app.sign_in("auditor").await;
    let shown = auditor.get(&page).await;
    assert_eq!(shown.status, StatusCode::OK);
    assert!(
        !shown.has("input[name=who], button:not(.quiet)"),
        "an auditor only reads"
    );
    let csrf = shown.value("input[name=csrf]");
    for step in [
        "isolation/told",
        "isolation/lock",
        "isolation/off",
        "isolation/dead",
        "work",
        "fitted",
        "lift/ready",
        "lift/off",
        "lift/energise",
        "proof",
        "return",
        "return/owed",
    ] {
        let answer = auditor
            .post(&format!("/jobs/{job}/{step}"), &[("csrf", &csrf)])
            .await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{step}");
    }
    let reporter = app.sign_in("reporter").await;
    assert_eq!(reporter.get(&page).await.status, StatusCode::FORBIDDEN);
    assert_eq!(
        visit.get("/jobs/99/isolation").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn another_jobs_lock_on_a_shared_source_keeps_the_power_off_and_is_named() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let job = at_the_machine(&app, &visit).await;
    isolate(&visit, job).await;

    // The neighbour's job on the same breaker, straight into the record.
    let other = report(&app, "F-2", "It squeals").await;
    app.run("UPDATE jobs SET state = 'handed_out', confirmed_at = 1, told_at = 1 WHERE id = 2")
        .await;
    assert_eq!(other, 2);
    let desk = app.sign_in("supervisor").await;
    goes_to(&lock(&desk, other, 1, "B9").await, "/jobs/2/isolation");
    let shown = visit.get(&format!("/jobs/{job}/isolation")).await;
    assert!(
        shown.words().contains("Lock B9 of The supervisor, job 2"),
        "{}",
        shown.words()
    );

    lift(&visit, job).await;
    let shown = visit.get(&format!("/jobs/{job}/lift")).await;
    assert!(
        shown
            .words()
            .contains("The supervisor takes it off, in job 2")
    );
    let refused = energise(&visit, job).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let said = refused.text("#energise-error");
    assert!(
        said.contains("Lock B9") && said.contains("(job 2)"),
        "{said}"
    );
    assert_eq!(
        app.count("SELECT count(*) FROM jobs WHERE state = 'on_test'")
            .await,
        0
    );

    // Nobody takes off another's lock.
    let sql = "SELECT count(*) FROM locks WHERE off_at IS NULL";
    assert_eq!(app.count(sql).await, 1);
    let off = desk
        .submit("/jobs/2/isolation", "/jobs/2/isolation/off", &[])
        .await;
    goes_to(&off, "/jobs/2/isolation");
    goes_to(&energise(&visit, job).await, &format!("/jobs/{job}/proof"));
}

#[tokio::test]
async fn an_own_lock_comes_off_only_once_all_is_clear() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let job = at_the_machine(&app, &visit).await;
    isolate(&visit, job).await;
    let page = format!("/jobs/{job}/isolation");
    let refused = visit.submit(&page, &format!("{page}/off"), &[]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.words().contains("tools and people are clear"));

    let lift_page = format!("/jobs/{job}/lift");
    let half = [("tools_clear", "yes"), ("people_clear", "T. Fox")];
    let refused = visit
        .submit(&lift_page, &format!("{lift_page}/ready"), &half)
        .await;
    assert!(refused.text("#guards_on-error").contains("guards back"));
    assert_eq!(refused.value("#people_clear"), "T. Fox");
    lift(&visit, job).await;
    assert_eq!(
        app.count("SELECT count(*) FROM locks WHERE off_at IS NULL")
            .await,
        0
    );
}

#[tokio::test]
async fn work_is_recorded_only_on_a_machine_proved_dead() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let job = at_the_machine(&app, &visit).await;
    let page = format!("/jobs/{job}/work");
    let shown = visit.get(&page).await;
    assert!(
        shown
            .words()
            .contains("until every source is locked and proved dead")
    );
    assert!(!shown.has("#what"));
    let csrf = shown.value("input[name=csrf]");
    let entry = brasstag::jobs::record::new_id(1);
    let typed = [
        ("csrf", csrf.as_str()),
        ("entry", &entry),
        ("what", "Cleaned"),
    ];
    let refused = visit.post(&page, &typed).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.words().contains("Not saved: Cleaned"));

    isolate(&visit, job).await;
    let refused = visit.submit(&page, &page, &[("what", " ")]).await;
    assert_eq!(refused.text("#what-error"), "Say what was done");
    goes_to(
        &visit
            .submit(&page, &page, &[("what", "Wheel cleaned")])
            .await,
        &page,
    );
    assert!(
        visit
            .get(&page)
            .await
            .words()
            .contains("Wheel cleaned (The technician)")
    );
}

#[tokio::test]
async fn a_machine_without_electrical_sources_is_verified_in_words() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run("UPDATE energy_sources SET dead_test = 'none'")
        .await;
    let visit = app.sign_in("technician").await;
    let job = at_the_machine(&app, &visit).await;
    tell(&visit, job).await;
    lock(&visit, job, 1, "A1").await;
    lock(&visit, job, 2, "A2").await;
    let page = format!("/jobs/{job}/isolation");
    let post = format!("{page}/dead");
    let refused = visit
        .submit(&page, &post, &[("did_not_start", "yes")])
        .await;
    assert!(refused.text("#verified-error").contains("how you verified"));
    let typed = [
        ("did_not_start", "yes"),
        ("verified", "Wheel blocked, gauge at 0"),
    ];
    goes_to(
        &visit.submit(&page, &post, &typed).await,
        &format!("/jobs/{job}"),
    );
    assert!(visit.get(&page).await.words().contains("gauge at 0"));
}
