//! A calendar as another program reads it: Python's icalendar and recurring-ical-events.

use crate::scratch::Scratch;
use crate::shop::{Database, Shop, sql};
use crate::web::{Visitor, curl, hidden};
use serde_json::Value;
use std::collections::BTreeSet;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

/// What the other program finds in a calendar.
///
/// # Panics
/// Where `BRASSTAG_TEST_PYTHON` names no Python that has both libraries.
fn read(calendar: &str) -> Value {
    let python = std::env::var("BRASSTAG_TEST_PYTHON")
        .expect("BRASSTAG_TEST_PYTHON names a Python with tests/python-tools.txt");
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/deploy/read_calendar.py");
    let mut child = Command::new(python)
        .arg(script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("Python starts");
    let mut to = child.stdin.take().expect("its input");
    to.write_all(calendar.as_bytes()).expect("it reads");
    drop(to);
    let out = child.wait_with_output().expect("it ends");
    let words = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.success(), "{words}\n{calendar}");
    serde_json::from_slice(&out.stdout).expect("JSON")
}

/// The address of a new calendar, as the page shows it.
fn subscribe(visitor: &Visitor, kind: &str) -> String {
    let csrf = hidden(&visitor.get("/telling").body, "csrf");
    let fields = [
        format!("csrf={csrf}"),
        format!("kind={kind}"),
        "what=new".to_owned(),
    ];
    let page = visitor.post("/telling/calendar", &fields);
    let (_, rest) = page
        .body
        .split_once("readonly value=\"")
        .expect("an address");
    rest.split('"').next().unwrap_or_default().to_owned()
}

fn events(read: &Value) -> &Vec<Value> {
    read["events"].as_array().expect("events")
}

fn set<'a>(read: &'a Value, field: &str) -> BTreeSet<&'a str> {
    let all = events(read).iter();
    all.filter_map(|event| event[field].as_str()).collect()
}

#[test]
fn another_program_reads_every_event_and_finds_it_again_after_changes() {
    let folder = Scratch::new("calendar");
    let database = Database::with_demo(folder.path());
    let settings = [("BRASSTAG_DATABASE_URL", database.url.as_str())];
    let shop = Shop::start(folder.path(), "demo", &settings);
    let maren = Visitor::signed_in(folder.path(), &shop.url, "maren");
    let address = subscribe(&maren, "shop");
    assert!(address.starts_with(&shop.url), "{address}");
    let first = curl(&[&address]);
    assert_eq!(first.status, 200);
    let told = read(&first.body);
    assert_eq!(told["errors"], serde_json::json!([]));
    assert_eq!(told["refresh"], 3600.0);
    assert!(events(&told).len() > 5, "{}", events(&told).len());
    assert_eq!(
        set(&told, "uid").len(),
        events(&told).len(),
        "names are its own"
    );
    assert_eq!(told["days"], events(&told).len(), "each on one day");
    for event in events(&told) {
        let day = |field: &str| {
            let text = event[field].as_str().unwrap_or_default();
            let form = time::macros::format_description!("[year]-[month]-[day]");
            time::Date::parse(text, form).unwrap_or_else(|e| panic!("{text}: {e}"))
        };
        assert_eq!(day("start").next_day(), Some(day("end")), "{event}");
        assert_eq!(event["class"], "PRIVATE");
        assert_eq!(event["stamp"], event["modified"]);
        assert!(
            event["url"]
                .as_str()
                .is_some_and(|url| url.starts_with(&shop.url))
        );
    }

    // Everything is shown, in words that have to be escaped and folded in the middle of letters.
    let words = "Ölfilter; prüfen, \\n wörtlich — 清掃する・部品を交換して記録する、すべての軸受に注油する 🛠🛠🛠🛠🛠🛠🛠🛠🛠🛠🛠 Ende";
    sql(
        &database.url,
        &format!("UPDATE plans SET action = '{words}'; UPDATE places SET name = name || ', süd;'"),
    );
    let csrf = hidden(&maren.get("/shop/telling").body, "csrf");
    let version = hidden(&maren.get("/shop/telling").body, "version");
    let fields = [
        format!("csrf={csrf}"),
        format!("version={version}"),
        "shows_tag=yes".to_owned(),
        "shows_work=yes".to_owned(),
        "shows_place=yes".to_owned(),
    ];
    assert_eq!(maren.post("/shop/telling", &fields).status, 303);
    let second = read(&curl(&[&address]).body);
    assert_eq!(set(&second, "uid"), set(&told, "uid"), "names stay");
    assert!(events(&second).iter().all(|event| event["sequence"] == 1));
    let due: Vec<&str> = set(&second, "summary")
        .into_iter()
        .filter(|summary| summary.contains("ue work"))
        .collect();
    assert!(
        !due.is_empty() && due.iter().all(|summary| summary.ends_with(words)),
        "{due:?}"
    );
    assert!(
        set(&second, "location")
            .iter()
            .any(|place| place.ends_with(", süd;"))
    );

    // Called off: still there by its name, with a higher sequence.
    sql(
        &database.url,
        "UPDATE due_items SET state = 'waived' WHERE state = 'open'",
    );
    let third = read(&curl(&[&address]).body);
    assert_eq!(set(&third, "uid"), set(&told, "uid"));
    let off = events(&third)
        .iter()
        .filter(|event| event["status"] == "CANCELLED");
    let off: Vec<&Value> = off.collect();
    assert!(!off.is_empty() && off.iter().all(|event| event["sequence"] == 2));
}
