//! Parts, repeats and their reviews, follow-ups and temporary fixes.

use crate::app::{Answer, TestApp, Visit};
use crate::isolation::{at_the_machine, isolate};
use crate::proof::{on_test, prove};
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;

const DAY: i64 = 86_400_000;

fn saved(answer: &Answer) {
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
}

async fn floor(app: &TestApp) -> Visit<'_> {
    lay_out(app).await;
    let technician = app.sign_in("technician").await;
    at_the_machine(app, &technician).await;
    technician
}

#[tokio::test]
async fn parts_are_recorded_one_by_one_and_shown_on_the_machine() {
    let app = TestApp::start().await;
    let technician = floor(&app).await;
    let page = "/jobs/1/parts";
    let nothing = technician.submit(page, page, &[]).await;
    assert_eq!(nothing.status, StatusCode::UNPROCESSABLE_ENTITY);
    // Wheel good, belt bad and left without a reason, a note without an answer.
    let typed = [
        ("found_0", "good"),
        ("found_3", "bad_and_left"),
        ("note_3", "Cracked"),
        ("note_4", "Worn?"),
    ];
    let refused = technician.submit(page, page, &typed).await;
    assert!(refused.text("#found_3-error").contains("why the belt"));
    assert!(refused.text("#found_4-error").contains("how the sheaves"));
    assert_eq!(refused.value("[name=note_3]"), "Cracked", "kept as typed");
    let typed = [
        ("found_0", "good"),
        ("found_3", "bad_and_left"),
        ("reason_3", "part"),
        ("note_3", "Cracked"),
        ("found_4", "not_looked_at"),
    ];
    saved(&technician.submit(page, page, &typed).await);
    assert_eq!(app.count("SELECT count(*) FROM part_conditions").await, 3);
    let job = technician.get("/jobs/1").await.text("#beside");
    assert!(job.contains("belt: bad and left, the part is not here (Cracked)"));
    let machine = technician.get("/machines/1").await.text("#parts");
    assert!(machine.contains("wheel: good, 25 Nov 2026 12:00, job 1"));
    assert!(machine.contains("sheaves: not looked at"), "{machine}");
    let sheet = technician.get("/jobs/1/sheet").await.words();
    assert!(sheet.contains("bad and left (why)") && sheet.contains("capacitor"));
}

#[tokio::test]
async fn parts_are_worked_on_behind_locks_only() {
    let app = TestApp::start().await;
    let technician = floor(&app).await;
    let page = "/jobs/1/parts";
    let typed = [("found_3", "replaced")];
    let refused = technician.submit(page, page, &typed).await;
    assert!(refused.text("#form").contains("locked and proved dead"));
    isolate(&technician, 1).await;
    saved(&technician.submit(page, page, &typed).await);
    let auditor = app.sign_in("auditor").await;
    assert!(!auditor.get(page).await.has("select[name=found_0]"));
    let csrf = auditor.get("/desk").await.value("[name=csrf]");
    let sent = auditor.post(page, &[("csrf", &csrf)]).await;
    assert_eq!(sent.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_follow_up_is_a_job_of_its_own_linked_both_ways_and_made_once() {
    let app = TestApp::start().await;
    let technician = floor(&app).await;
    let typed = [("found_3", "bad_and_left"), ("reason_3", "part")];
    saved(
        &technician
            .submit("/jobs/1/parts", "/jobs/1/parts", &typed)
            .await,
    );
    let form = technician.get("/jobs/1/follow-up?part=belt").await;
    let words = form.value("#words");
    assert_eq!(
        words,
        "Found on job 1: belt: bad and left, the part is not here"
    );
    let fields: Vec<(String, String)> = ["csrf", "entry", "seen", "report", "from"]
        .into_iter()
        .map(|name| (name.to_owned(), form.value(&format!("main [name={name}]"))))
        .chain([("words".to_owned(), words)])
        .collect();
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    for _ in 0..2 {
        let made = technician.post("/jobs/1/follow-up", &fields).await;
        saved(&made);
        assert_eq!(made.location, "/jobs/2");
    }
    assert_eq!(app.count("SELECT count(*) FROM jobs").await, 2);
    let there = technician.get("/jobs/2").await;
    assert!(there.text("#beside").contains("Follows up job 1, belt"));
    assert!(there.text("h1").contains("reported"));
    let here = technician.get("/jobs/1").await;
    assert!(
        here.text("#beside")
            .contains("Followed up by job 2, from belt")
    );
    let desk = app.sign_in("supervisor").await;
    assert!(desk.get("/desk").await.words().contains("Found on job 1"));

    let page = "/jobs/1/follow-up";
    let blank = technician.submit(page, page, &[("words", " ")]).await;
    assert!(blank.text("#words-error").contains("what is to be done"));
    let none = technician.get("/jobs/1/follow-up?part=wheel").await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
    let auditor = app.sign_in("auditor").await;
    assert_eq!(auditor.get(page).await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_follow_up_that_its_job_refuses_leaves_no_job_behind() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It hums").await;
    let technician = app.sign_in("technician").await;
    let page = "/jobs/1/follow-up";
    let refused = technician.submit(page, page, &[("words", "More")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text("#form").contains("reported now"));
    assert_eq!(app.count("SELECT count(*) FROM jobs").await, 1);
}

#[tokio::test]
async fn a_repeat_is_shown_and_owes_a_review_until_a_supervisor_gives_one() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It hums").await;
    let desk = app.sign_in("supervisor").await;
    assert!(!desk.get("/desk").await.has("#reviews"));
    app.state.clock.advance(20 * DAY);
    report(&app, "F-1", "It stands still").await;
    plan_and_hand_out(&app, 2).await;
    let desk = app.sign_in("supervisor").await;
    let job = desk.get("/jobs/2").await.text("#beside");
    assert!(
        job.contains("Second on this machine in 90 days: jobs 1, 2"),
        "{job}"
    );
    assert!(job.contains("review of the cause is owed"), "{job}");
    let owed = desk.get("/desk").await.text("#reviews");
    assert!(owed.contains("F-1 Job 2: Second on this machine"), "{owed}");

    let page = "/jobs/2/review";
    let refused = desk.submit(page, page, &[("finding", "Dust")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text("#action-error").contains("what is done"));
    assert_eq!(refused.value("#finding"), "Dust");
    let technician = app.sign_in("technician").await;
    assert_eq!(technician.get(page).await.status, StatusCode::FORBIDDEN);
    let typed = [("finding", "Dust"), ("action", "Clean it monthly")];
    saved(&desk.submit(page, page, &typed).await);
    assert!(!desk.get("/desk").await.has("#reviews"));
    let job = desk.get("/jobs/2").await.words();
    assert!(job.contains("Finding: Dust") && !job.contains("is owed"));
}

#[tokio::test]
async fn a_temporary_fix_needs_its_end_and_stays_listed_until_then() {
    let app = TestApp::start().await;
    let technician = floor(&app).await;
    let page = "/jobs/1/temporary";
    let what = ("what", "Lead taped at the box");
    let refused = technician.submit(page, page, &[what]).await;
    assert!(refused.text("#until-error").contains("needs the day"));
    assert_eq!(refused.value("#what"), "Lead taped at the box");
    let past = [what, ("until", "2026-11-24")];
    let refused = technician.submit(page, page, &past).await;
    assert!(refused.text("#until-error").contains("has passed"));
    let typed = [what, ("until", "2026-11-28")];
    saved(&technician.submit(page, page, &typed).await);
    let machine = technician.get("/machines/1").await.words();
    assert!(machine.contains("Lead taped at the box"));
    let desk = app.sign_in("supervisor").await;
    let shown = desk.get("/desk").await;
    assert!(
        shown
            .text("#fixes")
            .contains("to be ended by Sat 28 Nov 2026")
    );
    assert!(!shown.has("#fixes .bad"));
    app.state.clock.advance(4 * DAY);
    let desk = app.sign_in("supervisor").await;
    let bad = desk.get("/temporary").await.text(".bad");
    assert!(bad.contains("overdue, was to be ended by"), "{bad}");

    let technician = app.sign_in("technician").await;
    let end = format!("{page}/end");
    let entry = technician.get(page).await.value("#of");
    let refused = technician.submit(page, &end, &[]).await;
    assert!(refused.text("#how-error").contains("how it was ended"));
    saved(&technician.submit(page, &end, &[("how", "New lead")]).await);
    let words = desk.get("/temporary").await.words();
    assert!(words.contains("None is recorded"));
    // Another one makes the form show again; the first is over.
    saved(
        &technician
            .submit(page, page, &[what, ("until", "2026-12-28")])
            .await,
    );
    let twice = [("how", "Again"), ("of", entry.as_str())];
    let refused = technician.submit(page, &end, &twice).await;
    assert!(refused.text("#of-error").contains("ended already"));
    let reporter = app.sign_in("reporter").await;
    let shut = reporter.get("/temporary").await;
    assert_eq!(shut.status, StatusCode::FORBIDDEN);
}

/// The page's first form only asks which part and mode; this one posts.
async fn record_cause(visit: &Visit<'_>, page: &str, typed: &[(&str, &str)]) -> Answer {
    let shown = visit.get(page).await;
    let hidden: Vec<(&str, String)> = ["csrf", "entry", "seen", "component", "mode"]
        .into_iter()
        .map(|name| (name, shown.value(&format!("main #form [name={name}]"))))
        .collect();
    let hidden = hidden.iter().map(|(name, value)| (*name, value.as_str()));
    let fields: Vec<(&str, &str)> = hidden.chain(typed.iter().copied()).collect();
    visit.post("/jobs/1/cause", &fields).await
}

#[tokio::test]
async fn a_cause_is_added_by_another_person_after_sign_off_and_marked_so() {
    let app = TestApp::start().await;
    let technician = app.sign_in("technician").await;
    let job = on_test(&app, &technician).await;
    saved(&prove(&app, &technician, job, &[]).await);
    let back = [
        ("guards_on", "yes"),
        ("people_told", "the kiln hall"),
        ("accepted_by", "A. Lund"),
    ];
    saved(
        &technician
            .submit("/jobs/1/return", "/jobs/1/return", &back)
            .await,
    );
    let form = "/jobs/1/cause?what=motor%7Cwill+not+start";
    let unknown = technician.get(form).await;
    let lines = unknown.attributes("value");
    let unknown = lines.iter().find(|line| line.starts_with("unknown|"));
    let unknown = unknown.expect("unknown is an answer");
    assert!(lines.iter().any(|line| line.starts_with("not examined|")));
    let typed = [("line", unknown.as_str())];
    saved(&record_cause(&technician, form, &typed).await);
    let desk = app.sign_in("supervisor").await;
    saved(
        &desk
            .submit("/jobs/1/sign-off", "/jobs/1/sign-off", &[])
            .await,
    );
    let before = desk.get("/jobs/1").await.words();
    assert!(!before.contains("after sign-off"));

    let typed = [
        ("line", "open winding|ran overloaded for long"),
        ("evidence", "Opened on the bench"),
    ];
    saved(&record_cause(&desk, form, &typed).await);
    let note = "/jobs/1/note";
    saved(&desk.submit(note, note, &[("text", "Kept in bin 4")]).await);
    let job = desk.get("/jobs/1").await;
    let marked: Vec<String> = job.texts(".timeline strong");
    assert!(
        marked.contains(&"Cause, after sign-off".to_owned()),
        "{marked:?}"
    );
    assert!(marked.contains(&"Note, after sign-off".to_owned()));
    assert!(marked.contains(&"Cause".to_owned()), "the first one stays");
    let words = job.words();
    assert!(words.contains("Would prevent it: measure running current"));
    assert!(words.contains("Make a plan"));
}
