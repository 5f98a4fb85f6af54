//! Small work, work on a place, exceptions, an outside firm, acceptance; two people on one job.

use crate::app::{NOON, TestApp, Visit};
use crate::small_shop::{confirm_and_find, lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;

async fn way(visit: &Visit<'_>, what: &str, typed: &[(&str, &str)]) -> crate::app::Answer {
    let action = format!("/jobs/1/way/{what}");
    visit.submit("/jobs/1/way", &action, typed).await
}

/// The firm's form, sent although the page has none any more.
async fn way_from_old_page(visit: &Visit<'_>, typed: &[(&str, &str)]) -> String {
    let page = visit.get("/jobs/1/note").await;
    let all = page.filled("/jobs/1/note", typed);
    let all: Vec<_> = all.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    visit.post("/jobs/1/way/firm", &all).await.words()
}

async fn began(app: &TestApp) -> Visit<'_> {
    lay_out(app).await;
    report(app, "F-1", "It howls").await;
    plan_and_hand_out(app, 1).await;
    let tech = app.sign_in("technician").await;
    confirm_and_find(&tech, 1).await;
    tech
}

const FINISH: &[(&str, &str)] = &[
    ("done", "Looked and listened"),
    ("checked", "Belt, noise, guard"),
    ("checked_by", "Tam"),
    ("found", "Nothing wrong"),
];

#[tokio::test]
async fn a_look_see_ends_with_its_own_check_and_is_signed_off_without_a_cause() {
    let app = TestApp::start().await;
    let tech = began(&app).await;
    assert!(!tech.get("/jobs/1/way").await.has("#finish"), "full work");
    let less = way(&tech, "touches", &[("touches", "nothing")]).await;
    assert!(less.text("#touches-error").contains("a supervisor's"));
    let desk = app.sign_in("supervisor").await;
    let typed = [("touches", "nothing"), ("why", "Only to look")];
    assert_eq!(
        way(&desk, "touches", &typed).await.status,
        StatusCode::SEE_OTHER
    );
    let blank = way(&tech, "finish", &[("done", "Looked")]).await;
    assert_eq!(blank.text("#checked-error"), "Say what was checked");
    assert_eq!(blank.value("#done"), "Looked");
    assert_eq!(
        way(&tech, "finish", FINISH).await.status,
        StatusCode::SEE_OTHER
    );
    assert!(
        tech.get("/jobs/1")
            .await
            .text("h1")
            .contains("finished and checked")
    );
    let signed = desk
        .submit("/jobs/1/sign-off", "/jobs/1/sign-off", &[])
        .await;
    assert_eq!(
        signed.status,
        StatusCode::SEE_OTHER,
        "{}",
        signed.text("main")
    );
}

#[tokio::test]
async fn anybody_at_the_work_may_say_it_touches_more_and_then_it_does_not_end_by_a_check() {
    let app = TestApp::start().await;
    let tech = began(&app).await;
    let desk = app.sign_in("supervisor").await;
    let typed = [("touches", "nothing"), ("why", "Only to look")];
    way(&desk, "touches", &typed).await;
    let typed = [("touches", "full"), ("why", "The motor is burnt")];
    assert_eq!(
        way(&tech, "touches", &typed).await.status,
        StatusCode::SEE_OTHER
    );
    let page = tech.get("/jobs/1/way").await;
    assert!(!page.has("#finish"));
    let csrf = page.value("input[name=csrf]");
    let entry = brasstag::jobs::record::new_id(NOON);
    let mut all = vec![("csrf", csrf.as_str()), ("entry", entry.as_str())];
    all.extend(FINISH);
    let refused = tech.post("/jobs/1/way/finish", &all).await;
    assert!(refused.words().contains("isolation lifted and its proof"));
}

#[tokio::test]
async fn work_on_a_place_alone_names_no_machine() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let typed = [("place", "2"), ("words", "The roof leaks")];
    app.visitor().submit("/report", "/report", &typed).await;
    let desk = app.sign_in("supervisor").await;
    let planned = way(&desk, "place", &[("scope", "Seal the seam")]).await;
    assert_eq!(
        planned.status,
        StatusCode::SEE_OTHER,
        "{}",
        planned.text("main")
    );
    let to = app.person("technician").await.0.to_string();
    let handed = [("to", to.as_str()), ("on", "2026-11-25")];
    let answer = desk
        .submit("/jobs/1/plan", "/jobs/1/hand-out", &handed)
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    let tech = app.sign_in("technician").await;
    // The place is a roof.
    let next = tech.get("/jobs/1").await.words();
    assert!(next.contains("what keeps you from falling"), "{next}");
    let unasked = way(&tech, "finish", FINISH).await;
    assert!(unasked.words().contains("This place is a roof"));
    assert_eq!(unasked.value("#done"), "Looked and listened");
    let there = "/jobs/1/confirm";
    let page = tech.get(there).await;
    assert!(page.text("h1").contains("At the place") && !page.has("#tag_read"));
    let near = [
        ("roof_edge", "3 ft"),
        ("roof_drop", "20 ft"),
        ("roof_minutes", "30"),
    ];
    let refused = tech.submit(there, there, &near).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.has("#roof_protection-error"), "{}", refused.words());
    let named = [&near[..], &[("roof_protection", "restraint")]].concat();
    let answer = tech.submit(there, there, &named).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert!(tech.get("/jobs/1").await.words().contains("finish check"));
    let more = way(&tech, "touches", &[("touches", "full")]).await;
    assert!(
        more.text("#touches-error")
            .contains("Name the machine first")
    );
    assert_eq!(
        way(&tech, "finish", FINISH).await.status,
        StatusCode::SEE_OTHER
    );
}

#[tokio::test]
async fn who_signs_off_sees_that_the_extent_was_said_anew() {
    let app = TestApp::start().await;
    let tech = began(&app).await;
    let desk = app.sign_in("supervisor").await;
    let quiet = desk.get("/jobs/1/sign-off").await.words();
    assert!(!quiet.contains("was said anew"), "{quiet}");
    assert!(
        quiet.contains("Photosnoneopen"),
        "a picture is asked for: {quiet}"
    );
    app.run("UPDATE jobs SET hands = 'full'").await;
    let typed = [("touches", "guard"), ("why", "Only the filter")];
    let answer = way(&desk, "touches", &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let words = desk.get("/jobs/1/sign-off").await.words();
    assert!(words.contains("was said anew"), "{words}");
    assert!(
        words.contains("Only the filter"),
        "by whom and why: {words}"
    );
    assert!(
        words.contains("The machine was opened as far as: anything"),
        "{words}"
    );
    let more = way(&tech, "touches", &[("touches", "full")]).await;
    assert_eq!(more.status, StatusCode::SEE_OTHER, "{}", more.body);
    let words = desk.get("/jobs/1/sign-off").await.words();
    assert!(!words.contains("as far as"), "{words}");
}

#[tokio::test]
async fn an_exception_is_refused_where_its_conditions_do_not_hold() {
    let app = TestApp::start().await;
    let tech = began(&app).await;
    let cord = [
        ("unplugged", "yes"),
        ("control", "yes"),
        ("only_electric", "yes"),
        ("measures_cord_and_plug", "In my hand"),
    ];
    let page = tech.get("/jobs/1/way").await;
    let csrf = page.value("input[name=csrf]");
    let send = async |more: &[(&str, &str)]| {
        let entry = brasstag::jobs::record::new_id(NOON);
        let mut all = vec![
            ("csrf", csrf.as_str()),
            ("entry", entry.as_str()),
            ("exception", "cord_and_plug"),
        ];
        all.extend(more);
        tech.post("/jobs/1/way/except", &all).await
    };
    assert!(
        send(&cord)
            .await
            .words()
            .contains("energy beside electricity, or stored")
    );
    app.run("DELETE FROM isolation_sheet_sources WHERE source_id = 2")
        .await;
    assert!(
        send(&cord)
            .await
            .words()
            .contains("does not say that it is plugged in")
    );
    app.run(
        "UPDATE machines SET facts = '{\"disconnect\":{\"kind\":\"plug_and_socket\"}}' WHERE id = 1",
    )
    .await;
    let missing = send(&cord[1..]).await;
    assert!(missing.words().contains("Not confirmed: It is unplugged"));
    assert_eq!(send(&cord).await.status, StatusCode::SEE_OTHER);
    assert!(
        tech.get("/jobs/1")
            .await
            .text("h1")
            .contains("under an exception")
    );
    assert!(
        tech.get("/jobs/1/sheet")
            .await
            .words()
            .contains("cord and plug")
    );
}

#[tokio::test]
async fn an_outside_firm_exchanges_procedures_and_its_lock_stops_power() {
    let app = TestApp::start().await;
    let tech = began(&app).await;
    let firm = [("firm", "Northbank Duct Care"), ("contact", "Their yard")];
    assert_eq!(
        way(&tech, "firm", &firm).await.status,
        StatusCode::SEE_OTHER
    );
    let lock = [
        ("source", "1"),
        ("owner", "Their fitter"),
        ("lock_number", "N3"),
    ];
    let refused = way(&tech, "lock", &lock).await;
    assert!(refused.words().contains("have not told each other"));
    let told = [
        ("firm", "Northbank Duct Care"),
        ("our_procedure", "Sheet 1 handed over"),
        ("their_procedure", "Read theirs"),
    ];
    way(&tech, "firm", &told).await;
    assert_eq!(
        way(&tech, "lock", &lock).await.status,
        StatusCode::SEE_OTHER
    );
    app.run("UPDATE jobs SET state = 'isolated', lifting = TRUE")
        .await;
    let power = tech
        .submit("/jobs/1/lift", "/jobs/1/lift/energise", &[])
        .await;
    assert!(
        power.words().contains("Lock N3 of Their fitter"),
        "{}",
        power.text("main")
    );
    let stays = way(&tech, "lock-off", &[]).await;
    assert!(stays.words().contains("in person, or it stays"));
    let off = way(&tech, "lock-off", &[("by_owner", "yes")]).await;
    assert_eq!(off.status, StatusCode::SEE_OTHER);
    assert_eq!(crate::replay_more::same_outside_locks(app.db()).await, 1);
    app.run("UPDATE jobs SET state = 'signed_off'").await;
    let over = tech.get("/jobs/1/way").await;
    assert!(
        !over.has("#firm"),
        "nobody names a firm for work that is over"
    );
    let late = [("firm", "Another firm")];
    let refused = way_from_old_page(&tech, &late).await;
    assert!(refused.contains("does not belong here"), "{refused}");
    assert_eq!(
        app.count("SELECT count(*) FROM outside_locks WHERE off_at IS NULL")
            .await,
        0
    );
}

#[tokio::test]
async fn two_people_on_one_job_are_both_kept_and_a_clash_is_shown() {
    let app = TestApp::start().await;
    let tech = began(&app).await;
    let desk = app.sign_in("supervisor").await;
    let note = |text: &'static str, page: &crate::app::Answer| {
        let mut all = page.filled("/jobs/1/note", &[("text", text)]);
        all.retain(|(name, _)| name != "device_at");
        all
    };
    let (one, other) = (
        tech.get("/jobs/1/note").await,
        desk.get("/jobs/1/note").await,
    );
    for (visit, fields) in [
        (&tech, note("Dry bearing", &one)),
        (&desk, note("Bring a fan", &other)),
    ] {
        let fields: Vec<_> = fields
            .iter()
            .map(|(n, v)| (n.as_str(), v.as_str()))
            .collect();
        for _ in 0..20 {
            let answer = visit.post("/jobs/1/note", &fields).await;
            assert_eq!(answer.status, StatusCode::SEE_OTHER, "sent twenty times");
        }
    }
    assert_eq!(
        app.count("SELECT count(*) FROM entries WHERE kind = 'note'")
            .await,
        2
    );
    // Both hold it: the later of the two is kept, set aside and shown.
    let (one, other) = (
        tech.get("/jobs/1/hold").await,
        desk.get("/jobs/1/hold").await,
    );
    for (visit, page) in [(&tech, one), (&desk, other)] {
        let fields = page.filled("/jobs/1/hold", &[("reason", "part"), ("note", "belt")]);
        let fields: Vec<_> = fields
            .iter()
            .map(|(n, v)| (n.as_str(), v.as_str()))
            .collect();
        visit.post("/jobs/1/hold", &fields).await;
    }
    let kept = "SELECT count(*) FROM entries WHERE kind = 'held'";
    assert_eq!(app.count(kept).await, 2);
    let page = desk.get("/jobs/1").await.words();
    assert!(
        page.contains("The last entry was set aside: Held"),
        "{page}"
    );
}
