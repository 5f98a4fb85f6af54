//! Attacks, each tried: forms of other sites, script in every text, SQL in every field, pages of
//! others, signing in as somebody else, and what slow, large or odd requests do.

mod csrf;
mod forms;
mod fuzz;
mod matrix;
mod odd;
mod script;
mod sign_in;
mod slow;

use crate::app::{Answer, NOON, TestApp, Visit, fresh_database};
use axum::body::Body;
use axum::http::{Request, header};
use brasstag::clock::Clock;
use scraper::{Html, Selector};
use std::path::Path;

/// One route as its file has it.
#[derive(Clone, Debug)]
pub struct Route {
    pub path: String,
    pub gets: bool,
    pub posts: bool,
}

/// Every route of every file in the folder of routes.
pub fn routes() -> Vec<Route> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/routes");
    let mut routes = Vec::new();
    for file in std::fs::read_dir(folder).expect("the folder of routes") {
        let text = std::fs::read_to_string(file.expect("a file").path()).expect("it reads");
        for call in text.split(".route(").skip(1) {
            let path = call.split('"').nth(1).expect("a path").to_owned();
            let (gets, posts) = (call.contains("get("), call.contains("post("));
            routes.push(Route { path, gets, posts });
        }
    }
    routes.sort_by(|a, b| a.path.cmp(&b.path));
    assert!(routes.len() > 150, "{}", routes.len());
    routes
}

/// The shop that is shown to strangers, with all its records.
pub async fn filled() -> TestApp {
    let (db, folder) = fresh_database(true).await;
    brasstag::demo::fill(&db, &Clock::fixed(NOON), true)
        .await
        .expect("the demo fills");
    TestApp::filled(db, folder).await
}

/// A route's address in that shop; `person` is one whom nobody misses.
pub fn address(route: &str, id: &str, person: &str) -> String {
    let people = route.starts_with("/shop/people/");
    let mut path = String::new();
    for part in route.split('/').skip(1) {
        path.push('/');
        path.push_str(match part {
            "{id}" if people => person,
            "{topic}" => "plate",
            "{register}" => "machines",
            "{kind}" => "parts",
            "{tag}" => "K-01",
            "{what}" => "touches",
            "{name}" if route.starts_with("/exchange") => "machines.csv",
            "{name}" => "motor_branch",
            "{lock}" | "{sha}" | "{token}" | "{hash}" => "none",
            part if part.starts_with('{') => id,
            part => part,
        });
    }
    path
}

/// The csrf word of this visit.
pub async fn word(visit: &Visit<'_>) -> String {
    let own = visit.get("/me").await.value("form.who input[name=csrf]");
    if own.is_empty() {
        visit.get("/report").await.value("input[name=csrf]")
    } else {
        own
    }
}

pub fn takes_files(path: &str) -> bool {
    path.ends_with("/photos") || path == "/report" || path == "/exchange/import"
}

/// A POST with these fields, in the form that the route reads, and with these headers.
pub async fn send(
    visit: &Visit<'_>,
    path: &str,
    fields: &[(&str, &str)],
    headers: &[(&'static str, &str)],
) -> Answer {
    let (kind, body) = if takes_files(path) {
        let part = |(name, value): &(&str, &str)| {
            format!("--b\r\ncontent-disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n")
        };
        let parts: String = fields.iter().map(part).collect();
        (
            "multipart/form-data; boundary=b",
            format!("{parts}--b--\r\n"),
        )
    } else {
        let form = serde_html_form::to_string(fields).expect("a form");
        ("application/x-www-form-urlencoded", form)
    };
    let mut request = Request::post(path)
        .header(header::COOKIE, visit.cookie())
        .header(header::CONTENT_TYPE, kind);
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    visit
        .send(request.body(Body::from(body)).expect("a request"))
        .await
}

/// The pages that the browser walk opens, with a job's number filled in.
pub fn rooms() -> Vec<String> {
    let text = include_str!("../../browser/rooms.rs");
    let quoted = text.split('"').filter(|part| part.starts_with('/'));
    let pages = quoted.map(|page| page.replace("{job}", "3"));
    // Words of its comments are no addresses, nor is what only the walk can fill in.
    let mut pages: Vec<String> = pages
        .filter(|page| !page.contains(['{', ' ', '\n']))
        .collect();
    pages.sort();
    pages.dedup();
    assert!(pages.len() > 80, "{}", pages.len());
    pages
}

/// A form on a page: where it goes, its fields with their types and values, and how it is sent.
pub struct Form {
    pub action: String,
    pub posts: bool,
    pub fields: Vec<(String, String, String)>,
}

pub fn forms(answer: &Answer) -> Vec<Form> {
    let page = Html::parse_document(&answer.body);
    let select = |css: &str| Selector::parse(css).expect("a selector");
    let (form, field, option) = (
        select("form"),
        select("input, select, textarea, button[name]"),
        select("option"),
    );
    let read = |field: scraper::ElementRef<'_>| {
        let name = field.attr("name")?.to_owned();
        let kind = match field.value().name() {
            "input" => field.attr("type").unwrap_or("text"),
            other => other,
        };
        let value = match kind {
            "textarea" => field.text().collect(),
            "select" => {
                let last = field.select(&option).last();
                last.and_then(|o| o.attr("value")).unwrap_or("").to_owned()
            }
            _ => field.attr("value").unwrap_or("").to_owned(),
        };
        Some((name, kind.to_owned(), value))
    };
    page.select(&form)
        .map(|form| Form {
            action: form.attr("action").unwrap_or("").to_owned(),
            posts: form.attr("method") == Some("post"),
            fields: form.select(&field).filter_map(read).collect(),
        })
        .collect()
}
