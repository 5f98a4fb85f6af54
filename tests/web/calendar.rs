//! Calendar feeds: secret addresses, what they tell and to whom, and what is never in them.

use crate::app::{Answer, NOON, TestApp};
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use brasstag::clock::{DAY, HOUR, MINUTE};
use brasstag::preventive::make_ahead;

const PAGE: &str = "/telling";
const CALENDAR: &str = "/telling/calendar";

/// Makes an address as this person and answers with its path.
async fn subscribe(app: &TestApp, who: &str, kind: &str) -> String {
    let visit = app.sign_in(who).await;
    let csrf = visit.get(PAGE).await.value("input[name=csrf]");
    let fields = [("csrf", csrf.as_str()), ("kind", kind), ("what", "new")];
    let made = visit.post(CALENDAR, &fields).await;
    assert_eq!(made.status, StatusCode::OK, "{}", made.body);
    let address = made.value("#calendar-address");
    let path = address
        .strip_prefix("http://shop.example")
        .unwrap_or_else(|| panic!("{address:?} is of this shop"));
    assert!(path.len() > "/calendar/.ics".len() + 40, "{path}");
    assert!(
        !visit.get(PAGE).await.body.contains(&address),
        "it is shown once"
    );
    path.to_owned()
}

async fn ask(app: &TestApp, path: &str) -> Answer {
    let answer = app.visitor().get(path).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    answer
}

fn lines(answer: &Answer, start: &str) -> Vec<String> {
    let lines = answer.body.split("\r\n");
    let found = lines.filter_map(|line| line.strip_prefix(start));
    found.map(str::to_owned).collect()
}

#[tokio::test]
async fn a_job_stands_in_the_calendar_of_who_has_it_and_is_called_off_when_it_goes_on() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let job = report(&app, "F-1", "It hums, says Anna Muster").await;
    plan_and_hand_out(&app, job).await;
    let path = subscribe(&app, "technician", "own").await;
    let first = ask(&app, &path).await;
    assert_eq!(lines(&first, "DTSTART;VALUE=DATE:"), ["20261125"]);
    assert_eq!(lines(&first, "DTEND;VALUE=DATE:"), ["20261126"]);
    assert_eq!(lines(&first, "SUMMARY:"), [format!("Job {job}")]);
    assert_eq!(lines(&first, "SEQUENCE:"), ["0"]);
    assert_eq!(lines(&first, "STATUS:"), ["CONFIRMED"]);
    for private in ["hums", "Anna", "F-1", "Find out", "The technician", "roof"] {
        assert!(!first.body.contains(private), "{private} is private");
    }
    // Nothing changed: the same to the byte.
    app.state.clock.advance(HOUR);
    assert_eq!(ask(&app, &path).await.body, first.body);
    // Moved to another day, then to another person.
    app.run("UPDATE jobs SET planned_on = '2026-11-27'").await;
    let moved = ask(&app, &path).await;
    assert_eq!(lines(&moved, "DTSTART;VALUE=DATE:"), ["20261127"]);
    assert_eq!(lines(&moved, "SEQUENCE:"), ["1"]);
    assert_eq!(lines(&moved, "DTSTAMP:"), ["20261125T130000Z"]);
    assert_eq!(lines(&moved, "UID:"), lines(&first, "UID:"));
    app.run("UPDATE jobs SET assigned_to = (SELECT id FROM people WHERE role = 'supervisor')")
        .await;
    let gone = ask(&app, &path).await;
    assert_eq!(lines(&gone, "STATUS:"), ["CANCELLED"]);
    assert_eq!(lines(&gone, "SEQUENCE:"), ["2"]);
    let theirs = subscribe(&app, "supervisor", "own").await;
    let theirs = ask(&app, &theirs).await;
    assert_eq!(lines(&theirs, "STATUS:"), ["CONFIRMED"]);
    app.state.clock.advance(31 * DAY);
    assert!(lines(&ask(&app, &path).await, "STATUS:").is_empty());
}

#[tokio::test]
async fn due_work_shows_what_the_shop_allows_and_stays_when_done() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run(
        "INSERT INTO plans (id, machine_id, action, rule, anchor_on, window_days, made_at)
         VALUES (101, 1, 'Grease; both ends, and wipe', '{\"kind\":\"calendar\",\"every\":{\"months\":1}}',
            '2026-11-27', 7, 0)",
    )
    .await;
    make_ahead(&app.state).await.expect("made");
    let path = subscribe(&app, "auditor", "due").await;
    let bare = ask(&app, &path).await;
    assert_eq!(lines(&bare, "DTSTART;VALUE=DATE:"), ["20261127"]);
    assert!(!bare.body.contains("Grease") && !bare.body.contains("F-1"));

    let keeper = app.sign_in("keeper").await;
    let all = [
        ("shows_tag", "yes"),
        ("shows_work", "yes"),
        ("shows_place", "yes"),
    ];
    let kept = keeper.submit("/shop/telling", "/shop/telling", &all).await;
    assert_eq!(kept.location, "/shop/telling", "{}", kept.body);
    let stale = keeper.get("/shop/telling").await;
    let stale: Vec<(String, String)> = stale.filled("/shop/telling", &[("version", "1")]);
    let stale: Vec<(&str, &str)> = stale
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    let stale = keeper.post("/shop/telling", &stale).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);

    let full = ask(&app, &path).await;
    let summary = &lines(&full, "SUMMARY:")[0];
    assert!(
        summary.ends_with(r"\, F-1\, Grease\; both ends\, and wipe"),
        "{summary}"
    );
    assert_eq!(lines(&full, "LOCATION:"), ["Flat roof"]);
    app.run("UPDATE due_items SET state = 'done', done_on = '2026-11-25' WHERE plan_id = 101")
        .await;
    let done = ask(&app, &path).await;
    assert!(lines(&done, "SUMMARY:")[0].starts_with("Done: due work"));
    assert_eq!(lines(&done, "STATUS:"), ["CONFIRMED"]);
    app.run("UPDATE due_items SET state = 'could_not'").await;
    assert_eq!(lines(&ask(&app, &path).await, "STATUS:"), ["CANCELLED"]);
}

#[tokio::test]
async fn an_answer_that_still_holds_is_not_sent_again() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let path = subscribe(&app, "technician", "own").await;
    let first = ask(&app, &path).await;
    let head = |name| first.headers.get(name).and_then(|v| v.to_str().ok());
    assert_eq!(head("content-type"), Some("text/calendar; charset=utf-8"));
    assert_eq!(head("cache-control"), Some("private, no-cache"));
    assert_eq!(head("set-cookie"), None, "no visit begins");
    let tag = head("etag").expect("a tag").to_owned();
    let again = async |tag: &str| {
        let request = Request::get(&path).header(header::IF_NONE_MATCH, tag);
        let request = request.body(Body::empty()).expect("a request");
        app.visitor().send(request).await
    };
    let held = again(&format!("\"other\", {tag}")).await;
    assert_eq!(held.status, StatusCode::NOT_MODIFIED);
    assert!(held.body.is_empty() && held.headers.contains_key("etag"));
    assert_eq!(again("\"other\"").await.status, StatusCode::OK);
    let job = report(&app, "F-1", "It hums").await;
    plan_and_hand_out(&app, job).await;
    assert_eq!(again(&tag).await.status, StatusCode::OK, "it changed");
}

#[tokio::test]
async fn an_address_opens_only_while_it_is_the_persons_and_their_role_allows_it() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let missing = async |path: &str| {
        let answer = app.visitor().get(path).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
    };
    let old = subscribe(&app, "supervisor", "shop").await;
    let new = subscribe(&app, "supervisor", "shop").await;
    missing(&old).await;
    ask(&app, &new).await;
    for wrong in [
        "/calendar/.ics",
        "/calendar/abc.ics",
        new.trim_end_matches(".ics"),
        &format!("{}x.ics", new.trim_end_matches(".ics")),
        &format!("/calendar/{}.ics", "a".repeat(5000)),
    ] {
        missing(wrong).await;
    }
    app.run("UPDATE people SET role = 'auditor' WHERE role = 'supervisor'")
        .await;
    missing(&new).await;
    app.run("UPDATE people SET role = 'supervisor' WHERE sign_in_name = 'supervisor'")
        .await;
    ask(&app, &new).await;
    app.run("UPDATE people SET closed_at = 1 WHERE sign_in_name = 'supervisor'")
        .await;
    missing(&new).await;

    let technician = app.sign_in("technician").await;
    let csrf = technician.get(PAGE).await.value("input[name=csrf]");
    let shop = [("csrf", csrf.as_str()), ("kind", "shop"), ("what", "new")];
    assert_eq!(
        technician.post(CALENDAR, &shop).await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        technician.get("/shop/telling").await.status,
        StatusCode::FORBIDDEN
    );
    let own = subscribe(&app, "technician", "own").await;
    let csrf = technician.get(PAGE).await.value("input[name=csrf]");
    let end = [("csrf", csrf.as_str()), ("kind", "own"), ("what", "end")];
    assert_eq!(technician.post(CALENDAR, &end).await.location, PAGE);
    missing(&own).await;
    let reporter = app.sign_in("reporter").await.get(PAGE).await;
    assert!(!reporter.has("form[action='/telling/calendar']"));
}

#[tokio::test]
async fn the_keeper_takes_an_address_away_that_got_into_wrong_hands() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let path = subscribe(&app, "technician", "own").await;
    ask(&app, &path).await;
    let keeper = app.sign_in("keeper").await;
    let page = keeper.get("/shop/telling").await;
    let words = page.words();
    assert!(
        words.contains("The technician") && words.contains("25 Nov 2026 12:00"),
        "{words}"
    );
    assert!(
        !page.body.contains("/calendar/"),
        "nobody else sees an address"
    );
    let ended = keeper
        .submit("/shop/telling", "/shop/telling/end", &[])
        .await;
    assert_eq!(ended.location, "/shop/telling");
    assert_eq!(app.visitor().get(&path).await.status, StatusCode::NOT_FOUND);
    let noted = "SELECT count(*) FROM audit WHERE thing = 'feeds' AND act = 'ended'";
    assert_eq!(app.count(noted).await, 1);
}

#[tokio::test]
async fn whoever_guesses_is_stopped_and_the_others_are_not() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let path = subscribe(&app, "technician", "own").await;
    let guesser = app.visitor_from("203.0.113.7");
    for n in 0..30 {
        let answer = guesser.get(&format!("/calendar/guess{n}.ics")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND);
    }
    let stopped = guesser.get("/calendar/guess.ics").await;
    assert_eq!(stopped.status, StatusCode::TOO_MANY_REQUESTS);
    let wait = stopped
        .headers
        .get("retry-after")
        .and_then(|v| v.to_str().ok());
    assert!(wait.is_some_and(|s| s.parse::<i64>().is_ok_and(|s| s > 0 && s <= 3601)));
    assert_eq!(
        guesser.get(&path).await.status,
        StatusCode::OK,
        "a right one still opens"
    );
    assert_eq!(
        app.visitor_from("203.0.113.9").get(&path).await.status,
        StatusCode::OK
    );
    app.state.clock.advance(HOUR + MINUTE);
    let again = guesser.get("/calendar/guess.ics").await;
    assert_eq!(again.status, StatusCode::NOT_FOUND);
    assert!(app.state.clock.now() > NOON);
}
