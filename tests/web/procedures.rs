//! Procedures: written as plain text, kept by revision, taken by jobs and worked step by step.

use crate::app::{Answer, TestApp, Visit};
use crate::isolation::{at_the_machine, energise, isolate, lift};
use crate::small_shop::lay_out;
use axum::http::StatusCode;

const TEXT: &str = "Guard off [locked]\n! It may turn by draught\nInsulation to earth [megohm >= 5]\n\
                    Belt [whole | cracked]\nRunning amps [amps <= 6.5]";

pub async fn write(app: &TestApp, text: &str) {
    let desk = app.sign_in("supervisor").await;
    let typed = [
        ("name", "Look at a fan"),
        ("for_kind", "fan"),
        ("text", text),
    ];
    let answer = desk
        .submit("/procedures/new", "/procedures/new", &typed)
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
}

#[tokio::test]
async fn a_procedure_is_written_shown_back_and_changed_by_revision() {
    let app = TestApp::start().await;
    write(&app, TEXT).await;
    let desk = app.sign_in("supervisor").await;
    let words = desk.get("/procedures/1").await.words();
    assert!(words.contains("5 MΩ or more"), "{words}");
    assert!(words.contains("whole / cracked"), "{words}");
    assert!(words.contains("Caution: It may turn by draught"), "{words}");
    let shown = desk.get("/procedures/1/edit").await;
    assert!(
        shown
            .value("#text")
            .contains("Insulation to earth [megohm >= 5]")
    );
    let page = "/procedures/1/edit";
    let typed = [("text", "Only this [rpm]"), ("act", "look")];
    let looked = desk.submit(page, page, &typed).await;
    assert_eq!(looked.status, StatusCode::OK);
    assert!(looked.text("ol.procedure").contains("Only this"));
    assert_eq!(
        app.count("SELECT revision FROM procedures").await,
        1,
        "looking saves nothing"
    );
    let saved = desk
        .submit(page, page, &[("text", "Only this [rpm]")])
        .await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    let words = desk.get("/procedures/1").await.words();
    assert!(words.contains("Revision 2") && !words.contains("Guard off"));
    let old = desk.get("/procedures/1?revision=1").await.words();
    assert!(old.contains("Guard off") && old.contains("not the newest"));
    assert_eq!(
        desk.get("/procedures/1?revision=3").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn each_line_that_does_not_read_is_named_and_all_is_kept() {
    let app = TestApp::start().await;
    let desk = app.sign_in("supervisor").await;
    let typed = [
        ("name", ""),
        ("text", "Speed [furlong]\nVolts [volts 9..2]"),
    ];
    let page = desk
        .submit("/procedures/new", "/procedures/new", &typed)
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#text-error").contains("Line 1: “furlong”"));
    assert!(page.texts(".problem-lines li")[1].contains("Line 2: The limits"));
    assert!(page.text("#name-error").contains("Name the procedure"));
    assert!(page.value("#text").contains("furlong"));
    assert_eq!(app.count("SELECT count(*) FROM procedures").await, 0);
    write(&app, TEXT).await;
    let typed = [("name", "look at a FAN"), ("text", "One")];
    let page = desk
        .submit("/procedures/new", "/procedures/new", &typed)
        .await;
    assert!(page.text("#name-error").contains("has this name"));
}

#[tokio::test]
async fn two_who_change_it_at_once_do_not_overwrite_each_other() {
    let app = TestApp::start().await;
    write(&app, TEXT).await;
    let desk = app.sign_in("supervisor").await;
    let page = "/procedures/1/edit";
    for status in [StatusCode::SEE_OTHER, StatusCode::CONFLICT] {
        let answer = desk
            .submit(page, page, &[("text", "One"), ("version", "1")])
            .await;
        assert_eq!(answer.status, status);
    }
}

#[tokio::test]
async fn the_starter_set_adds_what_is_missing_and_only_a_supervisor_writes() {
    let app = TestApp::start().await;
    let desk = app.sign_in("supervisor").await;
    for _ in 0..2 {
        let answer = desk.submit("/procedures", "/procedures/starter", &[]).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER);
        assert_eq!(app.count("SELECT count(*) FROM procedures").await, 6);
    }
    let technician = app.sign_in("technician").await;
    let page = technician.get("/procedures").await;
    assert!(page.words().contains("Pump seal and coupling"));
    assert!(!page.has("form[action='/procedures/starter']"));
    assert_eq!(
        technician.get("/procedures/new").await.status,
        StatusCode::FORBIDDEN
    );
    let csrf = page.value("[name=csrf]");
    let sent = technician
        .post("/procedures/starter", &[("csrf", &csrf)])
        .await;
    assert_eq!(sent.status, StatusCode::FORBIDDEN);
    let reporter = app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/procedures").await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        desk.get("/procedures/99").await.status,
        StatusCode::NOT_FOUND
    );
}

/// Takes the procedure of the tests into this job.
async fn take(visit: &Visit<'_>, job: i64) -> Answer {
    let page = format!("/jobs/{job}/steps");
    let action = format!("{page}/take");
    visit.submit(&page, &action, &[("procedure", "1")]).await
}

async fn answer(visit: &Visit<'_>, step: i64, typed: &[(&str, &str)]) -> Answer {
    answer_on(visit, 1, step, typed).await
}

async fn answer_on(visit: &Visit<'_>, job: i64, step: i64, typed: &[(&str, &str)]) -> Answer {
    let page = format!("/jobs/{job}/steps/{step}");
    visit.submit(&page, &page, typed).await
}

fn saved(answer: &Answer) {
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
}

/// A job at the machine that took the procedure of the tests.
async fn floor(app: &TestApp) -> Visit<'_> {
    lay_out(app).await;
    write(app, TEXT).await;
    let technician = app.sign_in("technician").await;
    at_the_machine(app, &technician).await;
    saved(&take(&technician, 1).await);
    technician
}

#[tokio::test]
async fn a_job_keeps_the_steps_it_took_whatever_is_written_later() {
    let app = TestApp::start().await;
    let technician = floor(&app).await;
    let again = take(&technician, 1).await;
    assert!(again.text("#procedure-error").contains("already"));
    let desk = app.sign_in("supervisor").await;
    let page = "/procedures/1/edit";
    saved(&desk.submit(page, page, &[("text", "Something else")]).await);
    let words = technician.get("/jobs/1/steps").await.words();
    assert!(words.contains("Insulation to earth"));
    assert!(!words.contains("Something else"));
    assert!(words.contains("0 of 4 answered"), "{words}");
    let plan = desk.get("/jobs/1/plan").await;
    assert!(plan.text("#procedure-of-job").contains("0 of 4 answered"));

    let page = "/jobs/1/steps";
    let drop = format!("{page}/drop");
    let refused = technician.submit(page, &drop, &[]).await;
    assert!(refused.text("#drop_why-error").contains("wrong one"));
    saved(
        &technician
            .submit(page, &drop, &[("drop_why", "A pump's")])
            .await,
    );
    let words = technician.get(page).await.words();
    assert!(words.contains("no procedure taken"));
    let gone = technician.get("/jobs/1/steps/1").await;
    assert_eq!(gone.status, StatusCode::NOT_FOUND);
    saved(&take(&technician, 1).await);
    let words = technician.get(page).await.words();
    assert!(words.contains("0 of 1 answered"));
}

#[tokio::test]
async fn steps_are_worked_in_any_order_with_their_readings() {
    let app = TestApp::start().await;
    let technician = floor(&app).await;
    let refused = answer(&technician, 3, &[("answer", "choice")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text("#choice-error").contains("Choose one"));
    let cracked = [("answer", "choice"), ("choice", "cracked")];
    saved(&answer(&technician, 3, &cracked).await);

    let refused = answer(&technician, 2, &[("answer", "reading")]).await;
    assert!(refused.text("#reading-error").contains("without one"));
    let low = [
        ("answer", "reading"),
        ("reading", "2.5"),
        ("as_found", "yes"),
    ];
    let refused = answer(&technician, 2, &low).await;
    assert!(refused.text("#why-error").contains("5 MΩ or more"));
    assert_eq!(refused.value("#reading"), "2.5", "kept as typed");
    saved(&answer(&technician, 2, &[&low[..], &[("why", "Damp")]].concat()).await);

    let amps = [("answer", "reading"), ("reading", "4.2")];
    let refused = answer(&technician, 4, &amps).await;
    let said = refused.text("#qualified_person-error");
    assert!(said.contains("qualified person"));
    let me = app.person("technician").await.0.to_string();
    let test = [
        ("instrument", "Clamp 2"),
        ("instrument_unknown", "yes"),
        ("qualified_person", me.as_str()),
        ("precautions", "Gloves, shield"),
    ];
    saved(&answer(&technician, 4, &[&amps[..], &test].concat()).await);

    let refused = answer(&technician, 1, &[("answer", "done")]).await;
    assert!(refused.text("#form").contains("locked and proved dead"));
    let refused = answer(&technician, 1, &[("answer", "does_not_apply")]).await;
    assert!(refused.text("#why-error").contains("does not apply"));
    saved(&answer(&technician, 1, &[("answer", "not_looked_at")]).await);

    let page = technician.get("/jobs/1/steps").await;
    let words = page.words();
    let tally = "3 of 4 answered, 1 outside its limit, 1 not looked at";
    assert!(words.contains(tally), "{words}");
    let bad = page.text(".bad");
    assert!(bad.contains("as found: 2.5 MΩ, outside its limit"), "{bad}");
    let read = "SELECT count(*) FROM readings WHERE quantity IN ('megohm', 'amps')";
    assert_eq!(app.count(read).await, 2, "readings become the machine's");
    let job = technician.get("/jobs/1").await.words();
    assert!(job.contains("Insulation to earth 2.5, outside its limit"));
}

#[tokio::test]
async fn a_step_behind_the_locks_is_open_once_it_is_dead_and_later_by_saying_so() {
    let app = TestApp::start().await;
    let technician = floor(&app).await;
    isolate(&technician, 1).await;
    saved(&answer(&technician, 1, &[("answer", "done")]).await);
    lift(&technician, 1).await;
    let refused = answer(&technician, 1, &[("answer", "done")]).await;
    assert!(refused.text("#form").contains("being lifted"));
    energise(&technician, 1).await;
    let refused = answer(&technician, 1, &[("answer", "done")]).await;
    let said = refused.text("#before_power-error");
    assert!(said.contains("behind the locks"));
    let said = [("answer", "done"), ("before_power", "yes")];
    saved(&answer(&technician, 1, &said).await);
    let job = technician.get("/jobs/1").await.words();
    assert!(job.contains("Done behind the locks, before power came back"));
}

#[tokio::test]
async fn the_same_figure_as_on_the_last_visit_is_asked_about_first() {
    let app = TestApp::start().await;
    let technician = floor(&app).await;
    let typed = [("answer", "reading"), ("reading", "12")];
    saved(&answer(&technician, 2, &typed).await);
    at_the_machine(&app, &technician).await;
    saved(&take(&technician, 2).await);
    let asked = answer_on(&technician, 2, 2, &typed).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY);
    let said = asked.text("#same-error");
    assert!(said.contains("Wed 25 Nov 2026, job 1"), "{said}");
    let again = [&typed[..], &[("same", "yes")]].concat();
    saved(&answer_on(&technician, 2, 2, &again).await);
    let job = technician.get("/jobs/2").await.words();
    assert!(job.contains("The same as last time, read again"));
}

#[tokio::test]
async fn a_step_sent_twice_counts_once_and_others_only_look() {
    let app = TestApp::start().await;
    let technician = floor(&app).await;
    let shown = technician.get("/jobs/1/steps/3").await;
    let (csrf, entry, seen) = (
        shown.value("[name=csrf]"),
        shown.value("[name=entry]"),
        shown.value("[name=seen]"),
    );
    let fields = [
        ("csrf", csrf.as_str()),
        ("entry", &entry),
        ("seen", &seen),
        ("answer", "choice"),
        ("choice", "whole"),
    ];
    for _ in 0..3 {
        saved(&technician.post("/jobs/1/steps/3", &fields).await);
    }
    let answers = "SELECT count(*) FROM job_step_answers";
    assert_eq!(app.count(answers).await, 1);
    let auditor = app.sign_in("auditor").await;
    let page = auditor.get("/jobs/1/steps").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(!page.has("button[name=answer]"));
    let csrf = auditor.get("/desk").await.value("[name=csrf]");
    let sent = [("csrf", csrf.as_str()), ("answer", "choice")];
    let sent = auditor.post("/jobs/1/steps/3", &sent).await;
    assert_eq!(sent.status, StatusCode::FORBIDDEN);
    let none = technician.get("/jobs/1/steps/9").await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
    let reporter = app.sign_in("reporter").await;
    let shut = reporter.get("/jobs/1/steps").await;
    assert_eq!(shut.status, StatusCode::FORBIDDEN);
}
