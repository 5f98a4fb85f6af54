//! Locks beyond one person's: an owner who is away, a change of person, a group's box, the board of
//! all locks, the account at sign-off, permits.

use crate::app::{Answer, TestApp, Visit};
use crate::isolation::{at_the_machine, dead, energise, goes_to, isolate, lift, lock, tell};
use crate::replay::control_replays;
use crate::small_shop::lay_out;
use axum::http::StatusCode;

const AWAY: &[(&str, &str)] = &[
    (
        "owner_not_on_site",
        "Gate log: left 15:02; asked at the desk",
    ),
    ("tried_to_reach", "Called 16:10 and 16:25, message at 16:26"),
    ("directed_by", "M. Hale, trained in EC-4"),
    ("procedure_ref", "EC-4 rev 2"),
    ("device_checked", "Breaker off, nobody at the fan, guard on"),
];

/// The entry that put this lock on.
async fn entry_of(app: &TestApp, number: &'static str) -> String {
    let sql = "SELECT entry_id FROM locks WHERE lock_number = $1
        UNION ALL SELECT entry_id FROM box_locks WHERE lock_number = $1";
    brasstag::on_db!(app.db(), pool =>
        sqlx::query_scalar(sql).bind(number).fetch_one(pool).await.expect("a lock"))
}

/// A form that this page does not offer, posted all the same.
async fn force(visit: &Visit<'_>, page: &str, action: &str, fields: &[(&str, &str)]) -> Answer {
    let csrf = visit.get(page).await.value("input[name=csrf]");
    let entry = brasstag::jobs::record::new_id(1);
    let mut all = vec![("csrf", csrf.as_str()), ("entry", entry.as_str())];
    all.extend(fields);
    visit.post(action, &all).await
}

/// Tools and people clear, people told; no lock taken off.
async fn clear(visit: &Visit<'_>, job: i64) -> Answer {
    let page = format!("/jobs/{job}/lift");
    let typed = [
        ("tools_clear", "yes"),
        ("guards_on", "yes"),
        ("people_clear", "T. Fox"),
        ("people_told", "the kiln hall"),
    ];
    visit.submit(&page, &format!("{page}/ready"), &typed).await
}

async fn work(visit: &Visit<'_>, job: i64) -> Answer {
    let page = format!("/jobs/{job}/work");
    force(visit, &page, &page, &[("what", "Wheel cleaned")]).await
}

fn refused(answer: &Answer, words: &str) {
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.words().contains(words), "{}", answer.words());
}

#[tokio::test]
async fn an_absent_owners_lock_goes_only_with_every_proof_and_the_owner_is_told_before_more_work() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let desk = app.sign_in("supervisor").await;
    let job = at_the_machine(&app, &visit).await;
    isolate(&visit, job).await;
    let first = format!("/jobs/{job}/lock/{}/removal", entry_of(&app, "A1").await);

    // Its own owner, a technician, is not offered it and may not post it.
    let shown = visit.get(&first).await;
    assert!(shown.words().contains("You take it off yourself"));
    let answer = force(&visit, "/today", &first, AWAY).await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
    let reporter = app.sign_in("reporter").await;
    assert_eq!(reporter.get(&first).await.status, StatusCode::FORBIDDEN);
    let unknown = format!("/jobs/{job}/lock/none/removal");
    assert_eq!(desk.get(&unknown).await.status, StatusCode::NOT_FOUND);

    // While work is open behind it, it does not go.
    refused(
        &desk.submit(&first, &first, AWAY).await,
        "tools and people are clear",
    );
    goes_to(&clear(&visit, job).await, &format!("/jobs/{job}/lift"));
    for (field, _) in AWAY {
        let typed: Vec<_> = AWAY
            .iter()
            .map(|(name, words)| (*name, if name == field { " " } else { *words }))
            .collect();
        let answer = desk.submit(&first, &first, &typed).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{field}");
        assert!(answer.has(&format!("#{field}-error")), "{field}");
        let kept = if *field == "procedure_ref" {
            ("#directed_by", "M. Hale, trained in EC-4")
        } else {
            ("#procedure_ref", "EC-4 rev 2")
        };
        assert_eq!(answer.value(kept.0), kept.1);
    }
    assert_eq!(app.count("SELECT count(*) FROM lock_removals").await, 0);
    goes_to(&desk.submit(&first, &first, AWAY).await, &first);
    app.state.clock.advance(60_000);
    let second = format!("/jobs/{job}/lock/{}/removal", entry_of(&app, "A2").await);
    goes_to(&desk.submit(&second, &second, AWAY).await, &second);
    let standing = "SELECT count(*) FROM locks WHERE off_at IS NULL";
    assert_eq!(app.count(standing).await, 0);
    goes_to(&energise(&desk, job).await, &format!("/jobs/{job}/proof"));

    // Not told yet: on the job, on the board, before the owner's next lock anywhere.
    for page in [format!("/jobs/{job}"), "/locks".to_owned(), first.clone()] {
        let words = desk.get(&page).await.words();
        assert!(words.contains("not told yet"), "{page}: {words}");
    }
    let page = format!("/jobs/{job}/isolation");
    assert!(visit.get("/today").await.words().contains("Your lock A1"));
    let shown = visit.get(&page).await.words();
    assert!(shown.contains("taken off while you were away"), "{shown}");
    goes_to(&tell(&visit, job).await, &page);
    refused(
        &lock(&visit, job, 1, "A1").await,
        "Your lock A1 on Breaker 7 was taken off while you were away",
    );
    for (removal, number) in [(&first, "A1"), (&second, "A2")] {
        let told = removal.replace("/removal", "/told");
        let answer = visit.submit(removal, &told, &[("how", "")]).await;
        assert!(
            answer.text("#how-error").contains("how and when"),
            "{number}"
        );
        let how = [("how", "Read it here at 7:05")];
        goes_to(&visit.submit(removal, &told, &how).await, removal);
        let again = force(&visit, removal, &told, &how).await;
        refused(&again, "told already");
    }
    goes_to(&lock(&visit, job, 1, "A1").await, &page);
    let words = desk.get(&first).await.words();
    assert!(
        words.contains("Gate log") && words.contains("7:05"),
        "{words}"
    );
    assert!(!words.contains("not told yet") && !words.to_lowercase().contains(" safe"));
    control_replays(app.db()).await;
}

async fn hand_over(visit: &Visit<'_>, job: i64, from: i64, to: i64) -> Answer {
    let page = format!("/jobs/{job}/handover");
    let (from, to) = (from.to_string(), to.to_string());
    let typed = [("from", from.as_str()), ("to", &to), ("note", "belt off")];
    visit.submit(&page, &page, &typed).await
}

#[tokio::test]
async fn a_handover_leaves_no_gap_and_the_incoming_person_proves_it_dead() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let next = app.sign_in("supervisor").await;
    let (out, into) = (
        app.person("technician").await.0,
        app.person("supervisor").await.0,
    );
    let job = at_the_machine(&app, &visit).await;
    isolate(&visit, job).await;
    let page = format!("/jobs/{job}/handover");
    let isolation = format!("/jobs/{job}/isolation");

    let bare = visit.submit(&page, &page, &[]).await;
    assert_eq!(bare.text("#to-error"), "Choose who takes over");
    let answer = hand_over(&visit, job, out, into).await;
    assert!(
        answer
            .text("#to-error")
            .contains("the outgoing one stays until then")
    );
    assert_eq!(answer.value("#note"), "belt off");
    goes_to(&lock(&next, job, 1, "S1").await, &isolation);
    let answer = hand_over(&visit, job, out, into).await;
    assert!(answer.text("#to-error").contains("Draught on F-1 first"));
    goes_to(&lock(&next, job, 2, "S2").await, &isolation);
    let third = app.person("storekeeper").await.0;
    assert!(
        hand_over(&visit, job, out, third)
            .await
            .text("#to-error")
            .contains("not authorised")
    );
    goes_to(&hand_over(&visit, job, out, into).await, &page);

    // Work waits, whoever asks, until the incoming person's own test.
    refused(&work(&visit, job).await, "locked and proved dead");
    let today = next.get("/today").await.words();
    assert!(today.contains("Handed over to you"), "{today}");
    assert!(today.contains("from The technician: prove it dead"));
    refused(
        &dead(&visit, job, &[]).await,
        "Who took it over proves it dead",
    );
    // The outgoing locks come off now; the incoming ones do not.
    let off = |number| {
        let (app, isolation) = (&app, &isolation);
        async move {
            let entry = entry_of(app, number).await;
            let who = if number.starts_with('A') {
                "technician"
            } else {
                "supervisor"
            };
            let visit = app.sign_in(who).await;
            let action = format!("{isolation}/off");
            force(&visit, isolation, &action, &[("lock", &entry)]).await
        }
    };
    goes_to(&off("A1").await, &isolation);
    goes_to(&off("A2").await, &isolation);
    refused(&off("S1").await, "Another lock of theirs goes on here");
    goes_to(&dead(&next, job, &[]).await, &format!("/jobs/{job}"));
    let work_page = format!("/jobs/{job}/work");
    goes_to(&work(&next, job).await, &work_page);
    assert!(
        !next
            .get("/today")
            .await
            .words()
            .contains("Handed over to you")
    );
    let assigned = app.count("SELECT assigned_to FROM jobs").await;
    assert_eq!(assigned, into, "the job follows");
    let job_page = next.get(&format!("/jobs/{job}")).await.words();
    assert!(
        job_page.contains("From The technician to The supervisor"),
        "{job_page}"
    );
    let auditor = app.sign_in("auditor").await;
    let answer = force(&auditor, "/locks", &page, &[("from", "1"), ("to", "2")]).await;
    assert_ne!(answer.status, StatusCode::SEE_OTHER);
    control_replays(app.db()).await;
}

#[tokio::test]
async fn nobody_lifts_or_works_past_the_locks_on_a_box() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let other = app.sign_in("supervisor").await;
    let lead = app.person("supervisor").await.0.to_string();
    let job = at_the_machine(&app, &visit).await;
    isolate(&visit, job).await;
    let page = format!("/jobs/{job}/box");
    let (one, two) = (entry_of(&app, "A1").await, entry_of(&app, "A2").await);
    let (key_one, key_two) = (format!("key_{one}"), format!("key_{two}"));

    let typed = [
        ("box_name", "Box 2"),
        ("coordinator", lead.as_str()),
        (key_one.as_str(), "yes"),
    ];
    let answer = visit.submit(&page, &page, &typed).await;
    assert!(
        answer
            .text("#keys_of-error")
            .contains("Draught on F-1 is missing"),
        "{}",
        answer.words()
    );
    assert_eq!(answer.value("#box_name"), "Box 2");
    // Nobody puts another's keys in.
    let both = [typed[0], typed[1], typed[2], (key_two.as_str(), "yes")];
    refused(
        &force(&other, &page, &page, &both).await,
        "Only keys of your own locks",
    );
    goes_to(&visit.submit(&page, &page, &both).await, &page);
    refused(&work(&visit, job).await, "Put your own lock on Box 2");

    let on = format!("{page}/on");
    let of = visit.get(&page).await.value("input[name=box]");
    let number = format!("lock_number_{of}");
    let bare = visit.submit(&page, &on, &[]).await;
    assert!(bare.words().contains("Enter the number on your lock"));
    goes_to(&visit.submit(&page, &on, &[(&number, "P1")]).await, &page);
    goes_to(&other.submit(&page, &on, &[(&number, "P2")]).await, &page);
    let shown = visit.get(&page).await.words();
    assert!(shown.contains("2 people"), "{shown}");
    assert!(shown.contains("Primary responsibilityThe supervisor"));
    goes_to(&work(&visit, job).await, &format!("/jobs/{job}/work"));

    refused(&clear(&visit, job).await, "2 people have a lock there");
    let theirs = entry_of(&app, "P2").await;
    let off = format!("{page}/off");
    let answer = force(&visit, &page, &off, &[("lock", &theirs)]).await;
    refused(&answer, "Each takes off their own");
    goes_to(&visit.submit(&page, &off, &[]).await, &page);
    refused(&clear(&visit, job).await, "Lock P2 of The supervisor");
    // The key is behind their lock, whatever the state of the job.
    app.run("UPDATE jobs SET lifting = TRUE").await;
    let take = format!("/jobs/{job}/lift/off");
    let answer = force(&visit, &page, &take, &[("lock", &one)]).await;
    refused(&answer, "1 personal locks stand on it");
    refused(&energise(&visit, job).await, "Nothing is energised");
    app.run("UPDATE jobs SET lifting = FALSE").await;

    // The neighbour's board shows it too, and the board of all locks.
    let board = other.get("/locks").await.words();
    assert!(board.contains("P2") && board.contains("Box 2 (box; The supervisor leads)"));
    goes_to(&other.submit(&page, &off, &[]).await, &page);
    lift(&visit, job).await;
    goes_to(&energise(&visit, job).await, &format!("/jobs/{job}/proof"));
    control_replays(app.db()).await;
}

#[tokio::test]
async fn the_board_says_how_long_a_lock_has_been_on_against_its_owners_shift() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    assert!(
        visit
            .get("/locks")
            .await
            .words()
            .contains("No lock is recorded")
    );
    let job = at_the_machine(&app, &visit).await;
    tell(&visit, job).await;
    lock(&visit, job, 1, "A1").await;
    app.state.clock.advance(9 * 3_600_000);
    let desk = app.sign_in("supervisor").await;
    let board = desk.get("/locks").await;
    let words = board.words();
    assert!(words.contains("9 h, longer than a shift of 8 h"), "{words}");
    assert!(words.contains("F-1") && words.contains("The technician"));
    assert!(
        board.has("a[href$='/removal']"),
        "a supervisor goes on from here"
    );
    app.run("UPDATE people SET hours_a_day = NULL").await;
    let words = desk.get("/locks").await.words();
    assert!(words.contains("length of the shift not known"), "{words}");
    let auditor = app.sign_in("auditor").await;
    let board = auditor.get("/locks").await;
    assert_eq!(board.status, StatusCode::OK);
    assert!(!board.has("a[href$='/removal']"));
    let reporter = app.sign_in("reporter").await;
    assert_eq!(reporter.get("/locks").await.status, StatusCode::FORBIDDEN);
    for page in ["/desk", "/today"] {
        assert!(desk.get(page).await.has("a[href='/locks']"), "{page}");
    }
}

#[tokio::test]
async fn sign_off_lists_every_lock_and_waits_for_one_that_stands() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let job = at_the_machine(&app, &visit).await;
    isolate(&visit, job).await;
    lift(&visit, job).await;
    app.run("UPDATE jobs SET state = 'back_in_service', accepted_by = 'The desk', cause_at = 1")
        .await;
    let desk = app.sign_in("supervisor").await;
    let page = format!("/jobs/{job}/sign-off");
    let words = desk.get(&page).await.words();
    assert!(words.contains("Lock A1 on Breaker 7: on"), "{words}");
    assert!(words.contains("by The technician, off"), "{words}");
    app.run("UPDATE locks SET off_at = NULL WHERE lock_number = 'A2'")
        .await;
    assert!(desk.get(&page).await.words().contains("still on"));
    refused(
        &desk.submit(&page, &page, &[]).await,
        "Lock A2 of The technician",
    );
    app.run("UPDATE locks SET off_at = 1").await;
    goes_to(
        &desk.submit(&page, &page, &[]).await,
        &format!("/jobs/{job}"),
    );
}

#[tokio::test]
async fn work_waits_for_its_permit_and_stops_when_that_runs_out() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let desk = app.sign_in("supervisor").await;
    let job = at_the_machine(&app, &visit).await;
    isolate(&visit, job).await;
    let page = format!("/jobs/{job}/permits");
    let needed = format!("{page}/needed");
    let hot = [("needs_hot_work", "yes")];
    let answer = force(&visit, &page, &needed, &hot).await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
    goes_to(&desk.submit(&page, &needed, &hot).await, &page);
    refused(
        &work(&visit, job).await,
        "needs a hot work permit, and none is open",
    );

    let typed = [
        ("permit_kind", "hot_work"),
        ("number", "HW-12"),
        ("issued_by", "R. Bell"),
        ("issued_to", "T. Fox"),
        ("from_day", "2026-11-25"),
        ("from_time", "11:00"),
        ("to_day", "2026-11-25"),
        ("to_time", "11:30"),
        ("conditions", "Fire watch for an hour after"),
    ];
    let answer = visit.submit(&page, &page, &typed).await;
    assert!(answer.text("#to_time-error").contains("run out already"));
    assert_eq!(answer.value("#number"), "HW-12");
    let with = |time: &'static str| {
        let mut all = typed.to_vec();
        all[7].1 = time;
        all
    };
    let answer = visit.submit(&page, &page, &with("soon")).await;
    assert!(answer.text("#to_time-error").contains("time of day"));
    let answer = visit.submit(&page, &page, &with("10:30")).await;
    assert!(
        answer
            .text("#to_time-error")
            .contains("end after it starts")
    );
    goes_to(&visit.submit(&page, &page, &with("16:00")).await, &page);
    goes_to(&work(&visit, job).await, &format!("/jobs/{job}/work"));
    for shown in [format!("/jobs/{job}"), format!("/jobs/{job}/sheet")] {
        let words = visit.get(&shown).await.words();
        assert!(words.contains("hot work permit HW-12"), "{words}");
        assert!(words.contains("open until 25 Nov 2026 16:00"), "{words}");
        assert!(words.contains("Fire watch"), "{words}");
    }
    app.state.clock.advance(5 * 3_600_000);
    let visit = app.sign_in("technician").await;
    refused(&work(&visit, job).await, "HW-12 has run out");
    let words = visit.get(&format!("/jobs/{job}")).await.words();
    assert!(words.contains("ran out 25 Nov 2026 16:00"), "{words}");

    let close = format!("{page}/close");
    let bare = visit.submit(&page, &close, &[]).await;
    assert!(bare.words().contains("Say who closed it"));
    let of = visit.get(&page).await.value("input[name=of]");
    let by = format!("closed_by_{of}");
    goes_to(
        &visit.submit(&page, &close, &[(&by, "R. Bell")]).await,
        &page,
    );
    refused(&work(&visit, job).await, "none is open now");
    let again = force(&visit, &page, &close, &[("of", &of), (&by, "R. Bell")]).await;
    refused(&again, "closed already");
    control_replays(app.db()).await;
}

#[tokio::test]
async fn interlocks_of_the_sheet_are_asked_back_before_the_machine_serves_again() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let desk = app.sign_in("supervisor").await;
    let edit = "/machines/1/isolation/edit";
    let typed = [
        ("tell_first", "Front desk"),
        ("keys_needed", "Key 4"),
        ("interlocks", "Fire alarm zone 3\n\nGas valve"),
        ("source", "1"),
        ("source", "2"),
    ];
    goes_to(
        &desk.submit(edit, edit, &typed).await,
        "/machines/1/isolation",
    );
    assert_eq!(desk.get(edit).await.value("#keys_needed"), "Key 4");
    let job = at_the_machine(&app, &visit).await;
    for page in [
        "/machines/1/isolation".to_owned(),
        format!("/jobs/{job}/isolation"),
        format!("/jobs/{job}/sheet"),
    ] {
        let words = visit.get(&page).await.words();
        for said in ["Front desk", "Key 4", "Fire alarm zone 3"] {
            assert!(words.contains(said), "{page}: {said}: {words}");
        }
    }
    isolate(&visit, job).await;
    lift(&visit, job).await;
    goes_to(&energise(&visit, job).await, &format!("/jobs/{job}/proof"));
    app.run("UPDATE jobs SET proof_verdict = 'within', proof_at = 1")
        .await;
    let page = format!("/jobs/{job}/return");
    let back = [
        ("guards_on", "yes"),
        ("people_told", "the hall"),
        ("accepted_by", "R. Bell"),
    ];
    refused(
        &visit.submit(&page, &page, &back).await,
        "Not recorded as restored: Fire alarm zone 3",
    );
    let restore = format!("{page}/interlocks");
    let half = [("restored_0", "yes"), ("words_0", "Panel shows normal")];
    let answer = visit.submit(&page, &restore, &half).await;
    assert!(answer.text("#restored_1-error").contains("Restore it"));
    assert!(answer.text("#words_1-error").contains("who restored it"));
    assert_eq!(answer.value("#words_0"), "Panel shows normal");
    let all = [half[0], half[1], ("restored_1", "yes"), ("words_1", "Open")];
    goes_to(&visit.submit(&page, &restore, &all).await, &page);
    let job_page = format!("/jobs/{job}");
    goes_to(&visit.submit(&page, &page, &back).await, &job_page);
    let words = visit.get(&job_page).await.words();
    assert!(
        words.contains("Fire alarm zone 3: Panel shows normal"),
        "{words}"
    );
}
