//! Every route, and who gets what there: `matrix.txt`, which a new route cannot leave out.
//!
//! Write it afresh with `BRASSTAG_WRITE=1`, and look at what that changed.

use super::{address, filled, routes, send, word};
use crate::app::{NOON, PASSWORD, TestApp, Visit};
use axum::http::StatusCode;
use brasstag::people::queries::NewPerson;
use brasstag::people::{Role, password};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

/// Columns: nobody, reporter, technician, storekeeper, supervisor, auditor, keeper.
const WHO: [(&str, char); 7] = [
    ("", 'n'),
    ("piet", 'r'),
    ("tobin", 't'),
    ("dov", 's'),
    ("maren", 'u'),
    ("quill", 'a'),
    ("wren", 'k'),
];

const HEAD: &str = "\
# Who gets what: n nobody, r reporter, t technician, s storekeeper, u supervisor, a auditor, k keeper.
# A letter: let in. A dot: refused (403, 401, or sent to sign in). A question mark: there is nothing at
# this address in the shop of the test, so nobody is let in or turned away.
# Written by BRASSTAG_WRITE=1 cargo test -p brasstag --test web attacks::matrix; read what it changed.
";

pub fn file() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/web/attacks/matrix.txt")
}

/// `GET /path` to its seven letters.
pub fn listed() -> BTreeMap<String, String> {
    let text = std::fs::read_to_string(file()).unwrap_or_default();
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    lines
        .filter_map(|line| line.split_once(' '))
        .map(|(who, what)| (what.to_owned(), who.to_owned()))
        .collect()
}

async fn enter<'a>(app: &'a TestApp, name: &str) -> Visit<'a> {
    if name.is_empty() {
        return app.visitor();
    }
    app.sign_in_with(name, brasstag::demo::PASSWORD).await
}

fn letter(answer: &crate::app::Answer, letter: char) -> char {
    match answer.status {
        StatusCode::FORBIDDEN | StatusCode::UNAUTHORIZED => '.',
        StatusCode::NOT_FOUND | StatusCode::GONE => '?',
        _ if answer.location.starts_with("/sign-in?") => '.',
        status if status.is_server_error() => '!',
        _ => letter,
    }
}

/// Somebody whose sign-in may be closed; their number.
async fn spare(app: &TestApp) -> String {
    let mut tx = app.db().begin_write().await.expect("a transaction");
    let new = NewPerson {
        sign_in_name: "spare".to_owned(),
        name: "Spare Hand".to_owned(),
        role: Role::Technician,
        password_hash: password::hash(PASSWORD, true).await.expect("a hash"),
        authorised_on: None,
        qualified_on: None,
        hours_a_day: None,
    };
    let id = brasstag::people::queries::insert(&mut tx, &new, NOON).await;
    tx.commit().await.expect("commit");
    id.expect("a person").0.to_string()
}

async fn observed(app: &TestApp) -> BTreeMap<String, String> {
    let person = spare(app).await;
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    let all = routes();
    for (name, of) in WHO {
        let visit = enter(app, name).await;
        for route in all.iter().filter(|route| route.gets) {
            let answer = visit.get(&address(&route.path, "1", &person)).await;
            let row = seen.entry(format!("GET {}", route.path)).or_default();
            row.push(letter(&answer, of));
        }
    }
    for (name, of) in WHO {
        let mut visit = enter(app, name).await;
        for route in all.iter().filter(|route| route.posts) {
            let mut csrf = word(&visit).await;
            if !name.is_empty() && !visit.get("/me").await.status.is_success() {
                visit = enter(app, name).await;
                csrf = word(&visit).await;
            }
            let entry = brasstag::jobs::record::new_id(NOON);
            let fields = [("csrf", &*csrf), ("entry", &*entry), ("seen", "1")];
            let path = address(&route.path, "1", &person);
            let answer = send(&visit, &path, &fields, &[]).await;
            let row = seen.entry(format!("POST {}", route.path)).or_default();
            row.push(letter(&answer, of));
        }
    }
    seen
}

#[tokio::test]
async fn every_route_is_listed_and_lets_in_whom_the_list_says() {
    let app = filled().await;
    let seen = observed(&app).await;
    if std::env::var_os("BRASSTAG_WRITE").is_some() {
        let mut text = HEAD.to_owned();
        for (what, who) in &seen {
            writeln!(text, "{who} {what}").expect("a string");
        }
        std::fs::write(file(), text).expect("it writes");
        return;
    }
    let listed = listed();
    let mut wrong = Vec::new();
    for (what, who) in &seen {
        match listed.get(what) {
            None => wrong.push(format!("{what} is not listed; it does {who}")),
            Some(said) => {
                // What is not there in this shop today says nothing.
                let differs = said.chars().zip(who.chars()).any(|(said, is)| {
                    is == '!'
                        || (is != '?' && said != '?' && said != is)
                        || (said == '?' && is.is_alphabetic())
                });
                if differs || said.len() != who.len() {
                    wrong.push(format!("{what}: listed {said}, is {who}"));
                }
            }
        }
    }
    for what in listed.keys().filter(|what| !seen.contains_key(*what)) {
        wrong.push(format!("{what} is listed and no route"));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn nobody_reaches_what_is_the_shops_own_and_who_only_reads_writes_nothing() {
    /// What is open without a sign-in.
    const OPEN: &[&str] = &[
        "/",
        "/report",
        "/status",
        "/status/{number}",
        "/t/{tag}",
        "/sign-in",
        "/sign-in/code",
        "/sign-out",
        "/password/{token}",
        "/tablet",
        "/tablet/change",
        "/set-up",
        "/healthz",
        "/readyz",
        "/static/{hash}/{name}",
        "/worker.js",
    ];
    // Each person's own settings, forms and feeds.
    const OWN: &[&str] = &["/me", "/kept", "/telling", "/outbox/session"];
    // What an auditor and a reporter send: their own sign-in, and reports.
    let own = |path: &str| OPEN.contains(&path) || OWN.iter().any(|start| path.starts_with(start));
    for (what, who) in listed() {
        let (method, path) = what.split_once(' ').expect("a method");
        if who.contains('n') {
            assert!(OPEN.contains(&path), "{what} is open to everybody");
        }
        if method == "POST" && (who.contains('a') || who.contains('r')) {
            let reads = path.starts_with("/bench") || path.starts_with("/api/figure");
            let reads = reads || path == "/motors/plate/read";
            assert!(own(path) || reads, "{what}: {who}");
        }
        if method == "GET" && who.contains('r') {
            assert!(own(path), "{what}: a reporter sees their own only");
        }
    }
}
