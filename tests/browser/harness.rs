//! The harness tried on pages of its own, so that a failing walk is the program's fault.

use crate::child::processes_naming;
use crate::driver::{Browser, DESK, PHONE};
use crate::pdf::{pdf_pages, pdf_paper, pdf_text};
use crate::scratch::Scratch;
use crate::server::{Server, psql};
use axum::Router;
use axum::extract::RawQuery;
use axum::response::Html;
use axum::routing::get;
use fantoccini::wd::PrintSize;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;

const FORM: &str = r#"<!doctype html><html lang="en"><title>script off</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<style>
  input, select, .tall { min-height: 44px } .tick { display: block; line-height: 44px }
  .tick.hidden input { position: absolute; opacity: 0; visibility: hidden }
  @page { margin: 10mm } @media print { .screen { display: none } }
</style>
<link rel="icon" href="data:,">
<main>
  <h1>Report a "machine"</h1>
  <noscript><p id="plain">No script here</p></noscript>
  <p class="screen">See <a href="/wide">the wide page</a> before you go on.</p>
  <form action="/sent">
    <label for="tag">Its tag</label> <input id="tag" name="tag" value="old">
    <label>Seen on <input type="date" name="seen"></label>
    <label>What <textarea class="tall" name="what"></textarea></label>
    <select name="place"><option value="1">Roof</option><option value="2">Kiln hall</option></select>
    <label class="tick"><input type="checkbox" name="stopped" value="yes"> It stands still</label>
    <label class="tick hidden"><input type="radio" name="noise" value="loud"> Loud</label>
    <button style="height: 20px">Look up</button>
    <button class="tall" name="go" value="1">Send "it"</button>
  </form>
</main>
<script>document.title = 'script on'</script></html>"#;

const WIDE: &str = r#"<!doctype html><title>Wide</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<main><div style="width: 1400px">wide</div><p style="break-before: page">second sheet</p></main>
<script>console.error('on purpose')</script>"#;

async fn pages() -> String {
    let sent = |RawQuery(query): RawQuery| async move { Html(query.unwrap_or_default()) };
    let router = Router::new()
        .route("/", get(|| async { Html(FORM) }))
        .route("/wide", get(|| async { Html(WIDE) }))
        .route("/sent", get(sent));
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0")
        .await
        .expect("a port");
    let address = listener.local_addr().expect("its address");
    tokio::spawn(async move { axum::serve(listener, router).await });
    format!("http://{address}")
}

/// Everything a walk does, on one page. The same with script and without.
async fn walk(viewport: (u32, u32), script: bool) {
    let browser = Browser::start(viewport, script).await.on(&pages().await);
    browser.goto("/").await;
    assert_eq!(
        browser.title().await,
        if script { "script on" } else { "script off" }
    );
    assert_eq!(browser.exists("#plain").await, !script);
    let size = browser
        .run("return [innerWidth, innerHeight]", vec![])
        .await;
    assert_eq!(size, serde_json::json!([viewport.0, viewport.1]));
    assert!(!browser.horizontal_overflow().await);
    assert_eq!(
        browser.small_targets().await,
        [r#"button "Look up": 20.0 px"#]
    );
    assert_eq!(browser.text("h1").await, r#"Report a "machine""#);
    assert_eq!(browser.texts("option").await, ["Roof", "Kiln hall"]);

    browser.fill("Its tag", "K-17").await;
    browser.fill("seen", "2024-02-29").await;
    browser.fill("what", "hums").await;
    assert_eq!(browser.value("tag").await, "K-17");
    browser.choose("place", "Kiln hall").await;
    browser.choose("noise", "Loud").await;
    browser.check("stopped", "yes").await;
    browser.check("stopped", "yes").await;
    browser.press(r#"Send "it""#).await;
    let sent = "tag=K-17&seen=2024-02-29&what=hums&place=2&stopped=yes&noise=loud&go=1";
    assert_eq!(browser.page_text().await, sent);
    assert!(browser.url().await.ends_with(sent));

    browser.goto("/").await;
    browser.follow("the wide page").await;
    assert_eq!(browser.title().await, "Wide");
    assert!(browser.horizontal_overflow().await);
    let errors = browser.console_errors();
    assert_eq!(
        errors.iter().any(|line| line.contains("on purpose")),
        script,
        "{errors:?}"
    );
}

#[tokio::test]
async fn a_phone_with_script_walks() {
    walk(PHONE, true).await;
}

#[tokio::test]
async fn a_phone_without_script_walks() {
    walk(PHONE, false).await;
}

#[tokio::test]
async fn a_desk_with_script_walks() {
    walk(DESK, true).await;
}

#[tokio::test]
async fn a_desk_without_script_walks() {
    walk(DESK, false).await;
}

#[tokio::test]
async fn a_page_prints_as_the_paper_shows_it() {
    let browser = Browser::start(PHONE, false).await.on(&pages().await);
    browser.goto("/").await;
    let sheet = browser.pdf().await;
    assert_eq!((pdf_pages(&sheet), pdf_paper(&sheet)), (1, (210, 297)));
    let text = pdf_text(&sheet);
    assert!(
        text.contains(r#"Report a "machine""#) && !text.contains("wide page"),
        "{text}"
    );

    browser.goto("/wide").await;
    let sheets = browser.pdf_on(PrintSize::US_LETTER).await;
    assert_eq!((pdf_pages(&sheets), pdf_paper(&sheets)), (2, (216, 279)));
}

#[tokio::test]
async fn a_browser_leaves_nothing_behind() {
    let browser = Browser::start(DESK, true).await.on(&pages().await);
    let folder = Scratch::new("shot");
    let shot = folder.path().join("page.png");
    browser.goto("/").await;
    browser.screenshot(&shot).await;
    assert!(
        std::fs::read(&shot)
            .expect("a screenshot")
            .starts_with(b"\x89PNG")
    );
    let profile = browser.profile().to_owned();
    assert!(profile.exists() && !processes_naming(&profile).is_empty());
    drop(browser);
    assert_eq!(processes_naming(&profile), Vec::<u32>::new());
    assert!(!profile.exists());
}

/// A program that keeps only the promise on the command line, to try the harness itself.
const STAND_IN: &str = r#"#!/bin/bash
echo "$BRASSTAG_PASSWORD_COST $*" >>"$3.calls"
echo "Demo for the shop"
echo "Listening on http://${5/%:0/:45454}"
echo "database ${BRASSTAG_DATABASE_URL:-none}" >&2
exec sleep 60
"#;

#[test]
fn a_server_is_killed_and_comes_back_on_the_same_data() {
    let folder = Scratch::new("stand-in");
    let program = folder.path().join("program");
    std::fs::write(&program, STAND_IN).expect("the stand-in");
    std::fs::set_permissions(&program, PermissionsExt::from_mode(0o755)).expect("to run it");

    let mut server = Server::start_program(&program);
    assert_eq!(server.url(), "http://127.0.0.1:45454");
    let first = server.id().expect("a process");
    server.kill9();
    assert!(!Path::new(&format!("/proc/{first}")).exists());
    server.restart();
    assert_eq!(server.url(), "http://127.0.0.1:45454");
    let data = server.folder().join("data").display().to_string();
    let calls = std::fs::read_to_string(format!("{data}.calls")).expect("its calls");
    let expected = format!(
        "test demo --folder {data} --listen 127.0.0.1:0\n\
         test demo --folder {data} --listen 127.0.0.1:45454\n"
    );
    assert_eq!(calls, expected);

    if let Some(url) = server.database_url().map(str::to_owned) {
        let name = psql(&url, "SELECT current_database()").expect("a database of its own");
        assert!(url.ends_with(&name) && server.log().contains(&url));
        drop(server);
        assert!(
            psql(&url, "SELECT 1").is_err(),
            "the database is still there"
        );
    }
}
