//! Mail to people of the shop: who is told what and when, and what becomes of it whatever the mail
//! server does.

use crate::app::{NOON, TestApp};
use crate::mail_server::MailServer;
use crate::small_shop::{confirm_and_find, lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;
use brasstag::clock::{DAY, HOUR, MINUTE};
use brasstag::preventive::make_ahead;
use brasstag::telling::mail::Mail;
use brasstag::telling::mail::sending::pass;
use brasstag::telling::mail::settings::{MailSettings, Security};
use std::time::{Duration, Instant};

const PAGE: &str = "/telling";
const MAIL: &str = "/telling/mail";

/// A server on this host, which may be silent for three seconds.
pub fn mail_by(port: u16) -> Mail {
    let settings = MailSettings {
        server: Some(format!("127.0.0.1:{port}")),
        security: Security::None,
        from: Some("Mill shop <shop@example.org>".to_owned()),
        reply_to: Some("desk@example.org".to_owned()),
        ..MailSettings::default()
    };
    let mail = Mail::with_silence(&settings, Duration::from_secs(3));
    mail.expect("the settings hold together").expect("a server")
}

pub async fn shop() -> (TestApp, MailServer) {
    let server = MailServer::start().await;
    let app = TestApp::start().await.mailing(mail_by(server.port));
    lay_out(&app).await;
    (app, server)
}

/// The technician and the supervisor have addresses.
async fn with_addresses(app: &TestApp) {
    app.run(
        "INSERT INTO mail_people (person_id, address)
            SELECT id, sign_in_name || '@example.org' FROM people
            WHERE role IN ('technician', 'supervisor')",
    )
    .await;
}

async fn send(app: &TestApp) -> usize {
    pass(&app.state).await.expect("a pass")
}

/// A mail to the technician that waits.
async fn one_waits(app: &TestApp) {
    with_addresses(app).await;
    let job = report(app, "F-1", "It hums").await;
    plan_and_hand_out(app, job).await;
    app.run("DELETE FROM news WHERE kind <> 'handed'").await;
}

const WAITS: &str = "SELECT count(*) FROM mails WHERE state = 'waits'";
const SENT: &str = "SELECT count(*) FROM mails WHERE state = 'sent'";
const GIVEN_UP: &str = "SELECT count(*) FROM mails WHERE state = 'given_up'";

#[tokio::test]
async fn an_address_counts_once_its_owner_typed_the_code_that_was_mailed() {
    let (app, server) = shop().await;
    let visit = app.sign_in("technician").await;
    for wrong in ["", "ann", "ann@localhost", "a@example.org b@example.org"] {
        let typed = [("what", "address"), ("address", wrong)];
        let refused = visit.submit(PAGE, MAIL, &typed).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
        assert_eq!(
            refused.text("#address-error"),
            "Enter one address, as name@example.org"
        );
        assert_eq!(refused.value("#address"), wrong);
    }
    let typed = [("what", "address"), ("address", "ann@example.org")];
    assert_eq!(visit.submit(PAGE, MAIL, &typed).await.location, PAGE);
    let soon = visit.submit(PAGE, MAIL, &typed).await;
    assert!(
        soon.text("#address-error").contains("a moment ago"),
        "{}",
        soon.body
    );
    assert_eq!(send(&app).await, 1);
    let letters = server.letters();
    assert_eq!(letters[0].to, "ann@example.org");
    let words = letters[0].words();
    let (_, rest) = words.split_once("type the code ").expect("a code");
    let code = rest.split_whitespace().next().expect("a code").to_owned();
    let page = visit.get(PAGE).await;
    assert!(!page.body.contains(&code) && page.has("#code"));
    let wrong = visit
        .submit(PAGE, MAIL, &[("what", "code"), ("code", "AAAAAA")])
        .await;
    assert!(
        wrong.text("#code-error").contains("not the code"),
        "{}",
        wrong.body
    );
    // Nothing is told to an address that nobody confirmed.
    let job = report(&app, "F-1", "It hums").await;
    plan_and_hand_out(&app, job).await;
    assert_eq!(send(&app).await, 0);
    let right = visit
        .submit(
            PAGE,
            MAIL,
            &[("what", "code"), ("code", &code.to_lowercase())],
        )
        .await;
    assert_eq!(right.location, PAGE, "{}", right.body);
    assert!(visit.get(PAGE).await.words().contains("ann@example.org"));
    let csrf = visit.get(PAGE).await.value("input[name=csrf]");
    let off = [("csrf", csrf.as_str()), ("what", "off")];
    assert_eq!(visit.post(MAIL, &off).await.location, PAGE);
    let left = "SELECT count(*) FROM mail_people WHERE address <> ''";
    assert_eq!(app.count(left).await, 0);
    // Five wrong ones and it is over.
    app.state.clock.advance(HOUR);
    assert_eq!(visit.submit(PAGE, MAIL, &typed).await.location, PAGE);
    for _ in 0..5 {
        visit
            .submit(PAGE, MAIL, &[("what", "code"), ("code", "AAAAAA")])
            .await;
    }
    let over = visit
        .submit(PAGE, MAIL, &[("what", "code"), ("code", "AAAAAA")])
        .await;
    assert!(
        over.text("#code-error").contains("holds no longer"),
        "{}",
        over.body
    );
}

#[tokio::test]
async fn people_hear_of_what_others_did_and_not_of_their_own() {
    let (app, server) = shop().await;
    with_addresses(&app).await;
    let job = report(&app, "F-1", "It hums, says Anna").await;
    assert_eq!(send(&app).await, 1);
    let came = server.letters();
    assert_eq!(came[0].to, "supervisor@example.org");
    assert_eq!(
        came[0].header("Subject"),
        format!("Report {job}: F-1, Kiln fan")
    );
    plan_and_hand_out(&app, job).await;
    assert_eq!(send(&app).await, 1, "the supervisor did it and is not told");
    let handed = server.letters();
    let letter = &handed[0];
    assert_eq!(letter.to, "technician@example.org");
    assert_eq!(
        letter.header("Subject"),
        format!("Job {job} is yours: F-1, Kiln fan")
    );
    assert_eq!(letter.header("From"), "\"Mill shop\" <shop@example.org>");
    assert_eq!(letter.header("Reply-To"), "desk@example.org");
    assert_eq!(letter.header("Auto-Submitted"), "auto-generated");
    assert_eq!(letter.header("Date"), "Wed, 25 Nov 2026 12:00:00 +0000");
    assert!(letter.header("Message-ID").ends_with("@example.org>"));
    assert!(letter.header("Content-Type").starts_with("text/plain"));
    assert!(
        letter
            .words()
            .contains(&format!("http://shop.example/jobs/{job}"))
    );
    assert!(!letter.text.contains("Anna"));
    assert_eq!(send(&app).await, 0, "told once");
    // One click, and there is no more of it.
    let stop = letter.header("List-Unsubscribe");
    let stop = stop
        .trim_matches(['<', '>'])
        .replace("http://shop.example", "");
    assert_eq!(
        letter.header("List-Unsubscribe-Post"),
        "List-Unsubscribe=One-Click"
    );
    let looked = app.visitor().get(&stop).await;
    assert!(
        looked.words().contains("No more mail from the shop"),
        "{}",
        looked.body
    );
    let stopped = app
        .visitor()
        .post(&stop, &[("List-Unsubscribe", "One-Click")])
        .await;
    assert_eq!(stopped.status, StatusCode::OK, "{}", stopped.body);
    let other = report(&app, "F-2", "It squeals").await;
    let desk = app.sign_in("supervisor").await;
    let plan = format!("/jobs/{other}/plan");
    let planned = [("machine", "2"), ("scope", "Look"), ("hours", "1")];
    desk.submit(&plan, &plan, &planned).await;
    let to = app.person("technician").await.0.to_string();
    let hand = [("to", to.as_str()), ("on", "2026-11-25")];
    let handed = desk
        .submit(&plan, &format!("/jobs/{other}/hand-out"), &hand)
        .await;
    assert_eq!(handed.status, StatusCode::SEE_OTHER, "{}", handed.body);
    send(&app).await;
    let to: Vec<String> = server
        .letters()
        .into_iter()
        .map(|letter| letter.to)
        .collect();
    assert_eq!(to, ["supervisor@example.org"]);
    assert_eq!(
        app.visitor().get("/stop/unknown").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn a_digest_gathers_what_came_until_its_hour() {
    let (app, server) = shop().await;
    with_addresses(&app).await;
    let visit = app.sign_in("supervisor").await;
    let chosen = [("what", "ways"), ("hour", "17"), ("report", "digest")];
    assert_eq!(visit.submit(PAGE, MAIL, &chosen).await.location, PAGE);
    assert_eq!(visit.get(PAGE).await.value("#report"), "digest");
    report(&app, "F-1", "It hums").await;
    report(&app, "F-2", "It squeals").await;
    app.state.clock.advance(4 * HOUR + 59 * MINUTE);
    assert_eq!(send(&app).await, 0);
    app.state.clock.advance(MINUTE);
    assert_eq!(send(&app).await, 1);
    let letters = server.letters();
    assert_eq!(letters[0].header("Subject"), "2 things to know");
    let words = letters[0].words();
    assert!(
        words.contains("F-1, Kiln fan") && words.contains("F-2, Glaze fan"),
        "{words}"
    );
    app.state.clock.advance(DAY);
    assert_eq!(send(&app).await, 0, "nothing new, nothing sent");
}

#[tokio::test]
async fn without_a_server_nothing_is_written_and_nothing_asked() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    with_addresses(&app).await;
    let job = report(&app, "F-1", "It hums").await;
    plan_and_hand_out(&app, job).await;
    assert_eq!(send(&app).await, 0);
    let all = "SELECT (SELECT count(*) FROM mails) + (SELECT count(*) FROM news)";
    assert_eq!(app.count(all).await, 0);
    let visit = app.sign_in("technician").await;
    let page = visit.get(PAGE).await;
    assert!(page.words().contains("sends no mail") && !page.has("form[action='/telling/mail']"));
}

#[tokio::test]
async fn a_server_that_is_down_delays_blocks_nothing_and_is_given_up_in_view() {
    let server = MailServer::start().await;
    let down = {
        let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
        listener.local_addr().expect("an address").port()
    };
    let app = TestApp::start().await.mailing(mail_by(down));
    lay_out(&app).await;
    one_waits(&app).await;
    let mut passes = 0;
    while app.count(GIVEN_UP).await == 0 {
        assert_eq!(send(&app).await, 0);
        app.state.clock.advance(MINUTE);
        passes += 1;
        // Past the first hours the steps are long.
        if passes > 400 {
            app.state.clock.advance(6 * HOUR);
        }
        assert!(passes < 500, "it ends");
    }
    let tries = app.count("SELECT tries FROM mails").await;
    assert!((8..=30).contains(&tries), "{tries} tries: delays grow");
    assert!(app.state.clock.now() - NOON >= 4 * DAY);
    let keeper = app.sign_in("keeper").await;
    let page = keeper.get("/shop/telling").await;
    let words = page.words();
    assert!(
        words.contains("given up") && words.contains("technician@example.org"),
        "{words}"
    );
    // The server is back, and the keeper has it tried again.
    let app = app.mailing(mail_by(server.port));
    let keeper = app.sign_in("keeper").await;
    let again = [("what", "again")];
    let tried = keeper
        .submit("/shop/telling", "/shop/telling/mail", &again)
        .await;
    assert_eq!(tried.location, "/shop/telling", "{}", tried.body);
    // Beside it there is what the days that passed brought.
    let sent = send(&app).await;
    let letters = server.letters();
    assert_eq!(letters.len(), sent);
    let handed = letters.iter().filter(|l| l.text.contains("is yours"));
    assert_eq!(handed.count(), 1, "{letters:?}");
}

#[tokio::test]
async fn not_yet_is_tried_again_and_never_is_not() {
    let (app, server) = shop().await;
    one_waits(&app).await;
    server.answer_next(&["451 come back later"]);
    assert_eq!(send(&app).await, 0);
    assert_eq!((app.count(WAITS).await, server.letters().len()), (1, 0));
    assert_eq!(send(&app).await, 0, "not before a minute");
    app.state.clock.advance(MINUTE);
    assert_eq!(send(&app).await, 1);
    assert_eq!(server.letters().len(), 1);

    app.run("DELETE FROM news; DELETE FROM mails; UPDATE jobs SET assigned_to = NULL")
        .await;
    for tag in ["F-1", "F-2"] {
        report(&app, tag, "It squeals").await;
        // Each a mail of its own.
        server.answer_next(&["550 5.1.1 no such person"]);
        send(&app).await;
        app.state.clock.advance(MINUTE);
    }
    assert_eq!((app.count(GIVEN_UP).await, app.count(WAITS).await), (2, 0));
    let keeper = app.sign_in("keeper").await;
    let words = keeper.get("/shop/telling").await.words();
    assert!(
        words.contains("no such person"),
        "the server's words: {words}"
    );
    app.state.clock.advance(DAY);
    let before = server.connections();
    assert_eq!(send(&app).await, 0);
    assert_eq!(server.connections(), before, "nobody tries again");
}

#[tokio::test]
async fn one_mail_that_cannot_go_does_not_hold_up_the_others() {
    let (app, server) = shop().await;
    app.run(
        "INSERT INTO mails (message_id, address, subject, words, made_at, next_at) VALUES
            ('a@x', 'not an address', 'One', 'x', 1795608000000, 1),
            ('b@x', 'greylisted@example.org', 'Two', 'x', 1795608000000, 2),
            ('c@x', 'ann@example.org', 'Three', 'x', 1795608000000, 3)",
    )
    .await;
    server.answer_next(&["450 busy"]);
    assert_eq!(send(&app).await, 1);
    assert_eq!(server.letters()[0].to, "ann@example.org");
    assert_eq!((app.count(GIVEN_UP).await, app.count(WAITS).await), (1, 1));
}

#[tokio::test]
async fn a_slow_server_is_left_and_pages_go_on_meanwhile() {
    let (app, server) = shop().await;
    one_waits(&app).await;
    server.be_silent(true);
    let began = Instant::now();
    let (sent, page) = tokio::join!(send(&app), async {
        let visit = app.sign_in("technician").await;
        let page = visit.get("/today").await;
        (page.status, began.elapsed())
    });
    assert_eq!((sent, page.0), (0, StatusCode::OK));
    assert!(
        began.elapsed() < Duration::from_secs(20),
        "{:?}",
        began.elapsed()
    );
    server.be_silent(false);
    app.state.clock.advance(MINUTE);
    assert_eq!(send(&app).await, 1);
}

#[tokio::test]
async fn killed_between_sending_and_noting_it_sends_the_same_mail_again() {
    let (app, server) = shop().await;
    one_waits(&app).await;
    server.take_and_be_silent(true);
    // The server has the mail, and this process ends before it hears so.
    let state = app.state.clone();
    let process = tokio::spawn(async move { pass(&state).await });
    while !server.has_letters() {
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    process.abort();
    assert!(process.await.is_err_and(|end| end.is_cancelled()));
    let first = server.letters();
    assert_eq!((first.len(), app.count(SENT).await), (1, 0));
    server.take_and_be_silent(false);
    // The lock of a process that is gone goes with its connection.
    let mut tries = 0;
    while send(&app).await == 0 {
        tokio::time::sleep(Duration::from_millis(50)).await;
        tries += 1;
        assert!(tries < 200, "the next process sends");
    }
    let second = server.letters();
    assert_eq!(second[0].text, first[0].text, "the same to the letter");
    assert!(!second[0].header("Message-ID").is_empty());
    assert_eq!(send(&app).await, 0);
}

#[tokio::test]
async fn several_processes_send_once() {
    let (app, server) = shop().await;
    if matches!(app.db(), brasstag::db::Db::Sqlite { .. }) {
        return; // one process has the file
    }
    one_waits(&app).await;
    let passes = (0..6).map(|_| pass(&app.state));
    let sent = futures_util::future::join_all(passes).await;
    let sent: usize = sent.into_iter().map(|sent| sent.expect("a pass")).sum();
    assert_eq!((sent, server.letters().len()), (1, 1));
}

#[tokio::test]
async fn the_clock_brings_what_is_late_due_soon_and_still_locked() {
    let (app, server) = shop().await;
    with_addresses(&app).await;
    app.run(
        "INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         VALUES (101, 1, 'Grease', '{\"kind\":\"calendar\",\"every\":{\"months\":1}}', '2026-12-01', 2, 0);
         INSERT INTO mail_ways (person_id, kind, way) SELECT id, 'due_soon', 'at_once' FROM people;
         INSERT INTO mail_ways (person_id, kind, way) SELECT id, 'overdue', 'at_once' FROM people;
         INSERT INTO mail_ways (person_id, kind, way) SELECT id, 'report', 'nothing' FROM people",
    )
    .await;
    make_ahead(&app.state).await.expect("made");
    assert_eq!(send(&app).await, 1);
    let soon = server.letters();
    assert_eq!(
        soon[0].header("Subject"),
        "1 piece of work due within seven days"
    );
    assert!(
        soon[0].words().contains("Tue 1 Dec 2026: F-1, Grease"),
        "{}",
        soon[0].text
    );

    let job = report(&app, "F-1", "It hums").await;
    plan_and_hand_out(&app, job).await;
    let technician = app.sign_in("technician").await;
    confirm_and_find(&technician, job).await;
    send(&app).await;
    server.letters();
    let keeper = app.sign_in("keeper").await;
    let refused = keeper
        .submit(
            "/shop/telling",
            "/shop/telling/shift",
            &[("shift_end", "25:00")],
        )
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused.value("#shift_end"), "25:00");
    let kept = keeper
        .submit(
            "/shop/telling",
            "/shop/telling/shift",
            &[("shift_end", "15:30")],
        )
        .await;
    assert_eq!(kept.location, "/shop/telling", "{}", kept.body);
    let entry = "INSERT INTO locks (entry_id, job_id, machine_id, source_id, person_id, lock_number, on_at)
        SELECT e.id, e.job_id, 1, 1, (SELECT id FROM people WHERE role = 'technician'), '17', 1795608000000
        FROM entries e WHERE e.kind = 'as_found'";
    app.run(entry).await;
    app.state.clock.advance(3 * HOUR);
    assert_eq!(send(&app).await, 0, "the shift goes on");
    app.state.clock.advance(HOUR);
    assert_eq!(send(&app).await, 2);
    let mut locked = server.letters();
    locked.sort_by(|a, b| a.to.cmp(&b.to));
    assert_eq!(locked[1].to, "technician@example.org");
    assert_eq!(
        locked[1].header("Subject"),
        "1 lock standing after the shift"
    );
    let line = format!("Lock 17 of The technician on Breaker 7, job {job}");
    assert!(locked[0].words().contains(&line), "{}", locked[0].text);
    app.state.clock.advance(HOUR);
    assert_eq!(send(&app).await, 0, "told once a day");
    app.run("UPDATE locks SET off_at = 1795608000001").await;

    // The job was planned for the 25th and nobody began it.
    app.run("UPDATE jobs SET state = 'handed_out'").await;
    app.state.clock.advance(DAY);
    assert_eq!(send(&app).await, 1);
    let late = server.letters();
    assert_eq!(late[0].to, "technician@example.org");
    assert!(
        late[0]
            .words()
            .contains("planned for Wed 25 Nov 2026: F-1, Kiln fan")
    );
    // Due on the first, two days of window: late on the fourth.
    app.state.clock.advance(7 * DAY);
    assert_eq!(send(&app).await, 0);
    app.state.clock.advance(DAY);
    assert_eq!(send(&app).await, 1);
    let late = server.letters();
    assert_eq!(late[0].to, "supervisor@example.org");
    assert!(
        late[0]
            .words()
            .contains("Was due Tue 1 Dec 2026: F-1, Grease")
    );
    app.state.clock.advance(DAY);
    assert_eq!(send(&app).await, 0, "told once");
}

#[tokio::test]
async fn the_keeper_gives_addresses_and_sees_what_became_of_mail() {
    let (app, server) = shop().await;
    let keeper = app.sign_in("keeper").await;
    let person = app.person("technician").await.0.to_string();
    let page = "/shop/telling";
    let give = "/shop/telling/address";
    let wrong = [
        ("person", person.as_str()),
        ("address", "x\r\nBcc: y@example.org"),
    ];
    let refused = keeper.submit(page, give, &wrong).await;
    assert_eq!(
        refused.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "{}",
        refused.body
    );
    let right = [("person", person.as_str()), ("address", "tech@example.org")];
    assert_eq!(keeper.submit(page, give, &right).await.location, page);
    assert!(keeper.get(page).await.words().contains("tech@example.org"));
    let job = report(&app, "F-1", "It hums").await;
    plan_and_hand_out(&app, job).await;
    server.answer_next(&["450 busy"]);
    send(&app).await;
    let words = keeper.get(page).await.words();
    assert!(words.contains("450") && words.contains("busy"), "{words}");
    let drop = keeper
        .submit(page, "/shop/telling/mail", &[("what", "drop")])
        .await;
    assert_eq!(drop.location, page);
    app.state.clock.advance(HOUR);
    assert_eq!(send(&app).await, 0);
    for who in ["technician", "auditor"] {
        let visit = app.sign_in(who).await;
        assert_eq!(visit.get(page).await.status, StatusCode::FORBIDDEN, "{who}");
        let csrf = visit.get(PAGE).await.value("input[name=csrf]");
        for to in [give, "/shop/telling/mail", "/shop/telling/shift"] {
            let answer = visit.post(to, &[("csrf", csrf.as_str())]).await;
            assert_eq!(answer.status, StatusCode::FORBIDDEN, "{who} {to}");
        }
    }
}
