//! Report, plan, hand out, at the machine: what works and what is refused, with the words.

use crate::app::{NOON, TestApp};
use crate::small_shop::{confirm_and_find, lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;

#[tokio::test]
async fn anyone_reports_without_signing_in_and_sees_where_it_stands_by_the_number() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.visitor();
    let sign = visit.get("/t/f-1").await;
    assert!(
        sign.words().contains("Kiln fan"),
        "the tag's code opens this machine's report"
    );
    let words = "It \"howls\" & smells <burnt>";
    let answer = visit.submit("/t/F-1", "/report", &[("words", words)]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    let page = visit.get(&answer.location).await;
    assert_eq!(page.text("h1"), "Number 1");
    assert!(page.words().contains("has not looked at it yet"));
    assert!(
        !visit.get("/status/1").await.words().contains("howls"),
        "the words are for the shop and for the code, not for the number"
    );
    plan_and_hand_out(&app, 1).await;
    assert!(
        visit
            .get("/status/1")
            .await
            .words()
            .contains("for Wed 25 Nov 2026")
    );
    let desk = app.sign_in("supervisor").await;
    assert!(
        desk.get("/jobs/1").await.words().contains(words),
        "kept word for word"
    );
    assert_eq!(visit.get("/status/99").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_report_without_words_or_place_is_refused_and_nothing_typed_is_lost() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.visitor();
    let page = visit
        .submit("/report", "/report", &[("words", " "), ("reporter", "Ana")])
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#words-error").contains("in your own words"));
    assert!(page.text("#place-error").contains("Choose the place"));
    assert_eq!(page.value("#reporter"), "Ana");
    let page = visit
        .submit("/report", "/report", &[("words", "hot"), ("tag", "Z-9")])
        .await;
    assert!(
        page.text("#tag-error")
            .contains("No machine here wears this tag")
    );
    assert_eq!(page.value("#tag"), "Z-9");
    assert_eq!(app.count("SELECT count(*) FROM jobs").await, 0);
}

#[tokio::test]
async fn the_same_report_sent_twice_is_one_job() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.visitor();
    let csrf = visit.get("/report").await.value("input[name=csrf]");
    let entry = brasstag::jobs::record::new_id(NOON);
    let mut typed = [
        ("csrf", csrf.as_str()),
        ("entry", &entry),
        ("tag", "F-1"),
        ("words", "It howls"),
    ];
    let first = visit.post("/report", &typed).await.location;
    assert!(first.starts_with("/status/1?new=yes&code="), "{first}");
    for _ in 0..2 {
        assert_eq!(visit.post("/report", &typed).await.location, first);
    }
    typed[3].1 = "Other words";
    let clash = visit.post("/report", &typed).await;
    assert_eq!(clash.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(app.count("SELECT count(*) FROM entries").await, 1);
}

#[tokio::test]
async fn planning_names_the_machine_and_a_technician_gets_it_today() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let job = report(&app, "F-1", "It howls").await;
    let desk = app.sign_in("supervisor").await;
    assert!(desk.get("/desk").await.words().contains("Came in (1)"));
    let refused = desk
        .submit(
            "/jobs/1/plan",
            "/jobs/1/plan",
            &[("scope", " "), ("hours", "two")],
        )
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused.text("#scope-error"), "Say what is to be done");
    assert!(refused.text("#hours-error").contains("Enter a number"));
    assert_eq!(refused.value("#hours"), "two");
    plan_and_hand_out(&app, job).await;
    let phone = app.sign_in("technician").await;
    let today = phone.get("/today").await;
    assert!(today.words().contains("Kiln fan") && today.words().contains("Confirm the unit"));
    assert!(desk.get("/desk").await.words().contains("2.5 of 8 h"));
    assert_eq!(
        phone.get("/jobs/1/plan").await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(phone.get("/jobs/77").await.status, StatusCode::NOT_FOUND);
    assert_eq!(
        app.visitor().get("/jobs/1").await.location,
        "/sign-in?next=/jobs/1"
    );
}

#[tokio::test]
async fn a_job_is_not_handed_to_a_storekeeper_or_to_nobody() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    plan_and_hand_out(&app, 1).await;
    let desk = app.sign_in("supervisor").await;
    let keeper = app.person("storekeeper").await.0.to_string();
    let typed = [("to", keeper.as_str()), ("on", "2026-02-30")];
    let page = desk
        .submit("/jobs/1/plan", "/jobs/1/hand-out", &typed)
        .await;
    assert!(page.text("#on-error").contains("Enter a date that exists"));
    let typed = [("to", keeper.as_str()), ("on", "2026-11-26")];
    let page = desk
        .submit("/jobs/1/plan", "/jobs/1/hand-out", &typed)
        .await;
    assert_eq!(
        page.text("#to-error"),
        "Hand it to a technician or a supervisor"
    );
}

#[tokio::test]
async fn turning_down_sends_the_reason_back_with_the_number() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "Too quiet").await;
    let desk = app.sign_in("supervisor").await;
    let page = desk
        .submit("/jobs/1/plan", "/jobs/1/turn-down", &[("reason", "")])
        .await;
    assert_eq!(page.text("#reason-error"), "Say why; the reporter reads it");
    let typed = [("reason", "It is off on Sundays by plan")];
    desk.submit("/jobs/1/plan", "/jobs/1/turn-down", &typed)
        .await;
    let status = app.visitor().get("/status/1").await;
    assert!(status.words().contains("It is off on Sundays by plan"));
}

#[tokio::test]
async fn the_wrong_unit_is_not_confirmed() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    plan_and_hand_out(&app, 1).await;
    let phone = app.sign_in("technician").await;
    let typed = [("tag_read", "F-2"), ("method", "tag scanned")];
    let page = phone
        .submit("/jobs/1/confirm", "/jobs/1/confirm", &typed)
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        page.text("#tag_read-error")
            .contains("The job is for F-1; you read F-2")
    );
    assert_eq!(page.value("#tag_read"), "F-2");
    let put_right = "/jobs/1/follow-up?tag=F-2";
    assert!(page.has(&format!("a[href='{put_right}']")));
    let follow_up = phone.get(put_right).await;
    let words = follow_up.value("#words");
    assert!(words.contains("reads F-2, the record says F-1"), "{words}");
    let made = phone.submit(put_right, "/jobs/1/follow-up", &[]).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
    assert_eq!(app.count("SELECT count(*) FROM follow_ups").await, 1);
    confirm_and_find(&phone, 1).await;
    assert!(
        phone
            .get("/jobs/1")
            .await
            .words()
            .contains("Tell the affected people")
    );
}

#[tokio::test]
async fn live_readings_need_a_qualified_person_and_precautions() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    plan_and_hand_out(&app, 1).await;
    let phone = app.sign_in("technician").await;
    let mut typed = vec![
        ("running", "running"),
        ("condition", "Howls"),
        ("guard", "there and whole"),
        ("amps", "2.4"),
    ];
    let page = phone
        .submit("/jobs/1/as-found", "/jobs/1/as-found", &typed)
        .await;
    assert!(
        page.text("#qualified_person-error")
            .contains("qualified person")
    );
    assert!(page.text("#precautions-error").contains("precautions"));
    assert_eq!(page.value("#amps"), "2.4");
    let unqualified = app.person("storekeeper").await.0.to_string();
    typed.extend([
        ("instrument", "Clamp 3"),
        ("instrument_unknown", "yes"),
        ("precautions", "Gloves, second person"),
    ]);
    typed.push(("qualified_person", unqualified.as_str()));
    let page = phone
        .submit("/jobs/1/as-found", "/jobs/1/as-found", &typed)
        .await;
    assert!(
        page.text("#qualified_person-error")
            .contains("not recorded as a qualified person")
    );
    let qualified = app.person("technician").await.0.to_string();
    typed.pop();
    typed.push(("qualified_person", qualified.as_str()));
    let done = phone
        .submit("/jobs/1/as-found", "/jobs/1/as-found", &typed)
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    assert_eq!(
        app.count("SELECT count(*) FROM readings WHERE quantity = 'amps'")
            .await,
        1
    );
}

#[tokio::test]
async fn holding_asks_why_and_taking_up_goes_back_to_where_it_was() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    plan_and_hand_out(&app, 1).await;
    let phone = app.sign_in("technician").await;
    let page = phone
        .submit("/jobs/1/hold", "/jobs/1/hold", &[("reason", "")])
        .await;
    assert_eq!(page.text("#reason-error"), "Choose what it waits for");
    phone
        .submit(
            "/jobs/1/hold",
            "/jobs/1/hold",
            &[("reason", "weather"), ("note", "Ice")],
        )
        .await;
    assert!(
        app.sign_in("supervisor")
            .await
            .get("/desk")
            .await
            .words()
            .contains("weather: Ice")
    );
    phone.submit("/jobs/1/hold", "/jobs/1/resume", &[]).await;
    assert!(phone.get("/jobs/1").await.text("h1").contains("handed out"));
}

#[tokio::test]
async fn an_entry_that_came_too_late_is_kept_set_aside_and_shown() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    plan_and_hand_out(&app, 1).await;
    let phone = app.sign_in("technician").await;
    // The page is loaded; meanwhile the supervisor's view and the job move on.
    let old = phone.get("/jobs/1/hold").await;
    let (csrf, entry) = (
        old.value("input[name=csrf]"),
        old.value("input[name=entry]"),
    );
    let seen = old.value("input[name=seen]");
    phone
        .submit("/jobs/1/hold", "/jobs/1/hold", &[("reason", "weather")])
        .await;
    let typed = [
        ("csrf", csrf.as_str()),
        ("entry", &entry),
        ("seen", &seen),
        ("reason", "access"),
        ("note", "Nobody at the gate"),
    ];
    assert_eq!(
        phone.post("/jobs/1/hold", &typed).await.status,
        StatusCode::SEE_OTHER
    );
    let page = phone.get("/jobs/1").await;
    assert!(page.words().contains("Set aside, not acted on"));
    assert!(page.words().contains("Nobody at the gate"));
    assert_eq!(
        app.count("SELECT count(*) FROM jobs WHERE held_for = 'weather'")
            .await,
        1
    );
}

#[tokio::test]
async fn a_correction_stands_beside_what_it_corrects() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    plan_and_hand_out(&app, 1).await;
    let phone = app.sign_in("technician").await;
    confirm_and_find(&phone, 1).await;
    let page = phone.get("/jobs/1/note").await;
    let newest = page.value("#of option:nth-child(2)");
    let typed = [("text", "It was cold, not warm"), ("of", newest.as_str())];
    let done = phone.submit("/jobs/1/note", "/jobs/1/note", &typed).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    let page = phone.get("/jobs/1").await;
    assert!(page.words().contains("Corrected: It was cold, not warm"));
    assert!(
        page.words().contains("Condition: Hums, warm"),
        "nothing is overwritten"
    );
}

#[tokio::test]
async fn the_auditor_reads_everything_and_changes_nothing() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    plan_and_hand_out(&app, 1).await;
    let auditor = app.sign_in("auditor").await;
    for page in ["/jobs/1", "/jobs/1/sheet", "/desk"] {
        assert_eq!(auditor.get(page).await.status, StatusCode::OK, "{page}");
    }
    for page in [
        "/jobs/1/plan",
        "/jobs/1/hold",
        "/jobs/1/confirm",
        "/jobs/1/sign-off",
    ] {
        assert_eq!(
            auditor.get(page).await.status,
            StatusCode::FORBIDDEN,
            "{page}"
        );
    }
    let reporter = app.sign_in("reporter").await;
    for page in ["/jobs/1", "/jobs/1/sheet", "/desk", "/today"] {
        assert_eq!(
            reporter.get(page).await.status,
            StatusCode::FORBIDDEN,
            "{page}"
        );
    }
}

#[tokio::test]
async fn the_sheet_holds_what_goes_to_the_roof() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    plan_and_hand_out(&app, 1).await;
    let sheet = app.sign_in("technician").await.get("/jobs/1/sheet").await;
    let words = sheet.words();
    for part in [
        "F-1",
        "Flat roof",
        "Key 4 at the office",
        "It howls",
        "Lock, tag, try, test",
        "Breaker 7",
        "L-N",
        "2 sources. 2 locks.",
        "revision 3",
        "Panel LP-1, circuit 7",
    ] {
        assert!(words.contains(part), "the sheet says {part:?}:\n{words}");
    }
    assert!(sheet.has(".qr svg"));
}

#[tokio::test]
async fn vibration_alone_is_not_live_testing() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It rattles").await;
    plan_and_hand_out(&app, 1).await;
    let phone = app.sign_in("technician").await;
    let typed = [
        ("running", "limping"),
        ("condition", "Rattles"),
        ("guard", "there, damaged"),
        ("vibration", "9.8"),
    ];
    let done = phone
        .submit("/jobs/1/as-found", "/jobs/1/as-found", &typed)
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    assert_eq!(
        app.count("SELECT count(*) FROM readings WHERE quantity = 'mm_s'")
            .await,
        1
    );
}

#[tokio::test]
async fn two_reports_are_not_joined_in_a_circle() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "It howls").await;
    report(&app, "F-1", "It still howls").await;
    let desk = app.sign_in("supervisor").await;
    let done = desk
        .submit("/jobs/2/plan", "/jobs/2/join", &[("job", "1")])
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    let csrf = desk.get("/jobs/1/plan").await;
    let (csrf, seen) = (
        csrf.value("input[name=csrf]"),
        csrf.value("input[name=seen]"),
    );
    let entry = brasstag::jobs::record::new_id(NOON + 5);
    let typed = [
        ("csrf", csrf.as_str()),
        ("entry", &entry),
        ("seen", &seen),
        ("job", "2"),
    ];
    let back = desk.post("/jobs/1/join", &typed).await;
    assert_eq!(back.status, StatusCode::UNPROCESSABLE_ENTITY);
    let said = back.text(".problems");
    assert!(
        said.contains("Choose an open job on the same machine"),
        "{said}"
    );
    assert_eq!(
        app.count("SELECT count(*) FROM jobs WHERE state = 'joined'")
            .await,
        1
    );
}

#[tokio::test]
async fn a_character_that_is_no_text_is_refused_and_breaks_nothing() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.visitor();
    let page = visit
        .submit("/report", "/report", &[("tag", "F-1"), ("words", "a\0b")])
        .await;
    assert_eq!(page.status, StatusCode::BAD_REQUEST);
    assert_eq!(visit.get("/t/%00").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_machine_has_one_timeline_of_all_its_jobs_with_corrections_in_place() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    for words in ["It howls", "It howls again"] {
        let job = report(&app, "F-1", words).await;
        plan_and_hand_out(&app, job).await;
    }
    report(&app, "F-2", "Another fan").await;
    let tech = app.sign_in("technician").await;
    let note = [("text", "Belt 7 mm")];
    tech.submit("/jobs/1/note", "/jobs/1/note", &note).await;
    let of = tech
        .get("/jobs/1/note")
        .await
        .value("#of option:not([value=''])");
    let right = [("text", "Belt 9 mm, not 7"), ("of", of.as_str())];
    tech.submit("/jobs/1/note", "/jobs/1/note", &right).await;
    let page = tech.get("/machines/1/timeline").await;
    let words = page.words();
    let (new, old) = (words.find("It howls again"), words.find("Belt 7 mm"));
    assert!(new.is_some() && new < old, "the newest job first: {words}");
    assert!(words.contains("Corrected: Belt 9 mm, not 7"), "{words}");
    assert!(!words.contains("Another fan"));
    let older = tech.get("/machines/1/timeline?before=2").await.words();
    assert!(older.contains("Job 1") && !older.contains("It howls again"));
    let reporter = app.sign_in("reporter").await;
    let refused = reporter.get("/machines/1/timeline").await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    let missing = tech.get("/machines/99/timeline").await;
    assert_eq!(missing.status, StatusCode::NOT_FOUND);
}
