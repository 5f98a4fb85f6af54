//! A technician without signal: from opening a job to several entries with nobody answering, the
//! browser closed and opened again, and everything sent once, in order, when there is a line.

use crate::driver::{Browser, PHONE};
use crate::server::Server;
use serde_json::{Value, json};
use std::time::Duration;

const PASSWORD: &str = "clay and copper";

async fn sign_in(browser: &Browser, name: &str) {
    browser.goto("/sign-in").await;
    browser.fill("name", name).await;
    browser.fill("password", PASSWORD).await;
    browser.press("Sign in").await;
}

/// Waits until the page's script answers so.
async fn until(browser: &Browser, what: &str, script: &str, args: &[Value]) {
    for _ in 0..150 {
        if browser.run(script, args.to_vec()).await == json!(true) {
            return;
        }
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    panic!(
        "{what} never came; on {}:\n{}",
        browser.url().await,
        browser.page_text().await
    );
}

/// A technician signed in, whose phone has kept the job on the north roof fan; the job's page.
async fn with_a_kept_job(server: &Server) -> (Browser, String) {
    let browser = Browser::start(PHONE, true).await.on(server.url());
    sign_in(&browser, "tobin").await;
    browser.goto("/today").await;
    let find = "const link = [...document.querySelectorAll('main a')].find(a => \
        a.innerText.includes('Lavatory roof fan, north')); return link.getAttribute('href')";
    let job = browser.run(find, vec![]).await;
    let job = job.as_str().expect("its address").to_owned();
    let kept = "return caches.match(arguments[0]).then(found => Boolean(found))";
    let last = format!("{job}/sheet");
    until(&browser, "the job on the phone", kept, &[json!(last)]).await;
    (browser, job)
}

/// What the phone keeps: title and state of each, oldest first.
async fn outbox(browser: &Browser) -> Vec<(String, String)> {
    let rows = "return Phone.all('outbox').then(rows => rows.map(row => [row.title, row.state]))";
    serde_json::from_value(browser.run(rows, vec![]).await).expect("titles and states")
}

async fn until_sent(browser: &Browser) {
    let sent = "return Phone.all('outbox').then(rows => rows.every(row => row.state === 'sent'))";
    until(browser, "the line", sent, &[]).await;
}

async fn looks_right(browser: &Browser) {
    assert!(!browser.horizontal_overflow().await, "something sticks out");
    let small = browser.small_targets().await;
    assert!(small.is_empty(), "too small to touch: {small:?}");
}

async fn says(browser: &Browser, words: &str) {
    let page = browser.page_text().await;
    assert!(
        page.contains(words),
        "{words:?} is not on {}:\n{page}",
        browser.url().await
    );
}

/// The titles of the job's record, oldest first.
async fn record(browser: &Browser, job: &str) -> Vec<String> {
    browser.goto(job).await;
    let mut titles = browser
        .texts("ol.timeline > li > p:first-child > strong")
        .await;
    titles.reverse();
    titles
}

async fn note(browser: &Browser, job: &str, text: &str) {
    browser.goto(&format!("{job}/note")).await;
    browser.fill("text", text).await;
    browser.press("Add it").await;
}

async fn confirm_and_find(browser: &Browser, job: &str) {
    browser.goto("/today").await;
    says(browser, "without signal").await;
    looks_right(browser).await;
    browser.goto(job).await;
    says(browser, "Every step").await;
    looks_right(browser).await;
    browser.follow("Confirm the unit").await;
    browser.fill("tag_read", "R-01").await;
    browser
        .choose("method", "read the tag at the machine")
        .await;
    let protection = "travel restraint: the rope ends before the edge";
    browser.choose("roof_protection", protection).await;
    browser.press("This is the unit").await;
    says(browser, "Not yet sent: 1").await;
    looks_right(browser).await;
    browser
        .follow(&format!(
            "Go on with job {}",
            job.trim_start_matches("/jobs/")
        ))
        .await;
    browser.follow("As found").await;
    browser.choose("running", "stopped").await;
    browser.choose("guard", "there and whole").await;
    browser.fill("condition", "Stands still, hub hot").await;
    browser.press("Record as found").await;
}

/// People told, a lock on, and the same lock off again before anything was sent.
async fn lock_on_and_off(browser: &Browser, job: &str) {
    browser.goto(&format!("{job}/isolation")).await;
    browser.fill("who", "Front desk").await;
    browser.press("Record who was told").await;
    browser.goto(&format!("{job}/isolation")).await;
    let fill = "const form = document.querySelector('main details[open] form');
        for (const field of form.querySelectorAll('input:not([type=hidden])')) {
            if (field.type === 'checkbox') field.checked = true;
            else field.value = field.name.startsWith('lock_number') ? '71' : 'Toilet fans roof';
        }
        return form.querySelector('button').innerText";
    let button = browser.run(fill, vec![]).await;
    browser.press(button.as_str().expect("its words")).await;
    browser.goto(&format!("{job}/lift")).await;
    says(browser, "Your lock 71, kept on this phone and not sent yet").await;
    looks_right(browser).await;
    browser.press("Take it off").await;
}

#[tokio::test]
async fn a_job_is_worked_in_flight_mode_and_sent_once_in_order() {
    let mut server = Server::start();
    let (mut browser, job) = with_a_kept_job(&server).await;
    let before = record(&browser, &job).await.len();

    server.kill9();
    confirm_and_find(&browser, &job).await;
    lock_on_and_off(&browser, &job).await;
    // The phone's own time goes with it: two hours ago, by this one.
    browser.goto(&format!("{job}/note")).await;
    let ago = "return String(Date.now() - 2 * 3600000)";
    let ago = browser.run(ago, vec![]).await;
    browser
        .fill("device_at", ago.as_str().expect("a time"))
        .await;
    browser.fill("text", "Two skylights are cracked").await;
    browser.press("Add it").await;
    assert_eq!(outbox(&browser).await.len(), 6);

    browser.reopen().await;
    browser.goto("/outbox").await;
    says(&browser, "Not yet sent: 6").await;
    looks_right(&browser).await;

    server.restart();
    browser.goto("/today").await;
    until_sent(&browser).await;
    let record = record(&browser, &job).await;
    let came = [
        "Unit confirmed",
        "As found",
        "People told before the locks",
        "Lock on",
        "Lock off",
        "Note",
    ];
    assert_eq!(record[before..], came);
    let first = browser.text("ol.timeline > li:first-child").await;
    assert!(first.contains("device clock"), "{first}");
    // Sent again by an impatient thumb, nothing comes twice.
    browser.goto("/outbox").await;
    says(&browser, "Nothing waits").await;
    looks_right(&browser).await;
}

#[tokio::test]
async fn a_refused_form_is_put_right_and_nothing_behind_it_is_lost() {
    let mut server = Server::start();
    let (browser, job) = with_a_kept_job(&server).await;
    server.kill9();
    browser.goto(&format!("{job}/work")).await;
    browser.fill("what", "Belt changed before any lock").await;
    browser.press("Record the work").await;
    note(&browser, &job, "Hub is hot").await;
    server.restart();
    browser.goto("/outbox").await;
    let refused = "return Phone.all('outbox').then(rows => rows[0].state === 'refused')";
    until(&browser, "the refusal", refused, &[]).await;
    browser
        .wait_for("#outbox li[data-state=refused] .bad")
        .await;
    looks_right(&browser).await;
    // What comes after it on this job waits, and says so.
    assert_eq!(outbox(&browser).await[1].1, "waiting");
    browser.press("Open the form and put it right").await;
    assert_eq!(browser.value("what").await, "Belt changed before any lock");
    assert!(browser.exists(".problems").await);
    looks_right(&browser).await;
    // It was no work after all: taken back, and the note goes.
    browser.goto("/outbox").await;
    browser
        .wait_for("#outbox li[data-state=refused] .bad")
        .await;
    browser.tap("Take it back").await;
    browser.tap("Take it back: it is then gone").await;
    browser
        .wait_for("#outbox li[data-state=waiting], #outbox li[data-state=sent]")
        .await;
    browser.goto("/today").await;
    until_sent(&browser).await;
    let record = record(&browser, &job).await;
    assert_eq!(record.last().map(String::as_str), Some("Note"));
    assert!(!record.contains(&"Work done".to_owned()));
}

#[tokio::test]
async fn what_one_person_wrote_is_never_sent_by_another_on_the_same_phone() {
    let mut server = Server::start();
    let (browser, job) = with_a_kept_job(&server).await;
    server.kill9();
    note(&browser, &job, "Written by Tobin").await;
    // When the line is back the session has ended.
    let gone = json!({ "cmd": "Network.clearBrowserCookies", "params": {} });
    browser.devtools(&gone);
    server.restart();
    sign_in(&browser, "ilse").await;
    browser.goto("/outbox").await;
    browser.wait_for("#outbox p").await;
    says(&browser, "1 of another person wait on this phone").await;
    assert!(!browser.page_text().await.contains("Written by Tobin"));
    let foreign = "return caches.match(arguments[0]).then(found => found === undefined)";
    until(&browser, "the other's pages to go", foreign, &[json!(job)]).await;
    assert_eq!(outbox(&browser).await[0].1, "waiting");
    browser.press("Sign out").await;
    sign_in(&browser, "tobin").await;
    until_sent(&browser).await;
    assert_eq!(
        record(&browser, &job).await.last().map(String::as_str),
        Some("Note")
    );
    browser.press("Sign out").await;
    let empty = "return caches.keys().then(names => names.every(name => !name.includes('pages')))";
    until(&browser, "the pages to leave the phone", empty, &[]).await;
}

#[tokio::test]
async fn what_is_half_typed_comes_back_and_goes_when_it_is_taken() {
    let server = Server::start();
    let (mut browser, job) = with_a_kept_job(&server).await;
    let page = format!("{job}/note");
    browser.goto(&page).await;
    browser.fill("text", "Half of a long story").await;
    let kept = "return Phone.all('drafts').then(rows => rows.length === 1)";
    until(&browser, "the draft", kept, &[]).await;
    browser.reopen().await;
    browser.goto(&page).await;
    browser.wait_for(".draft").await;
    assert_eq!(browser.value("text").await, "Half of a long story");
    looks_right(&browser).await;
    browser.press("Add it").await;
    browser.goto(&page).await;
    let gone = "return Phone.all('drafts').then(rows => rows.length === 0)";
    until(&browser, "the draft to go", gone, &[]).await;
    assert_eq!(browser.value("text").await, "");
}
