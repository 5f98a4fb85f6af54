//! Fifty thousand rows of a spreadsheet into an empty register: what the page that shows what would
//! change takes, and the writing of it.

use crate::{motors, pages};
use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use brasstag::clock::Clock;
use brasstag::db::Db;
use brasstag::demo;
use brasstag::state::AppState;
use std::time::{Duration, Instant};

const ROWS: usize = 50_000;
const BUDGET: Duration = Duration::from_secs(30);

fn places(row: usize) -> String {
    match row {
        0 => "Works,,site".to_owned(),
        1..500 => format!("Hall {row},Works,building"),
        _ => format!("Room {row},\"Works, Hall {}\",room", 1 + row % 499),
    }
}

fn machines(row: usize) -> String {
    let kind = ["fan", "pump", "unit_heater", "other"][row % 4];
    let room = 500 + row % 40_000;
    format!("S-{row},Machine {row},{kind},Room {room},14,1/2 hp,120")
}

fn shelf(row: usize) -> String {
    let power = ["1/4", "1/2", "1", "3"][row % 4];
    format!(
        "Motor {row},A-{},{},{power} hp,115/230,1,1725,TEFC,5/8",
        row % 900,
        row % 7
    )
}

fn parts(row: usize) -> String {
    format!("Part {row},belt,held,B-{},{},4.50,14", row % 900, row % 9)
}

type Kind = (&'static str, &'static str, fn(usize) -> String);

const KINDS: &[Kind] = &[
    ("places", "name,within,kind", places),
    (
        "machines",
        "tag,name,kind,place,wheel_diameter,shaft_power,nominal_volts",
        machines,
    ),
    (
        "shelf-motors",
        "name,bin,held,power,volts,phases,speeds,enclosure,shaft_diameter",
        shelf,
    ),
    (
        "parts",
        "name,kind,standing,bins,on_hand,price,lead_days",
        parts,
    ),
];

/// Prints a line per register; `false` where one takes longer than it may.
pub async fn measure() -> bool {
    let folder = std::env::temp_dir().join(format!("brasstag_rows_{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let db = motors::database(&folder).await;
    let name = match &db {
        Db::Sqlite { .. } => "SQLite",
        Db::Postgres(_) => "PostgreSQL",
    };
    demo::fill(&db, &Clock::System, true)
        .await
        .expect("the demo fills");
    let shop = brasstag::shop::queries::find(&db).await.expect("it reads");
    let app = AppState::new(pages::config(), db, Clock::System, shop, "");
    let router = brasstag::routes::router(app.clone());
    let cookie = pages::sign_in(&router).await;
    let mut within = true;
    for kind in KINDS {
        within &= file(&router, &cookie, name, kind).await;
    }
    app.db.close().await;
    let _gone = std::fs::remove_dir_all(&folder);
    within
}

async fn file(router: &Router, cookie: &str, name: &str, (register, fields, row): &Kind) -> bool {
    let mut text = format!("{fields}\n");
    for at in 0..ROWS {
        text += &row(at);
        text.push('\n');
    }
    let csrf = between(
        &get(router, cookie, "/exchange/import").await,
        "name=\"csrf\" value=\"",
    );
    let mark = "rows-5f2c";
    let part = |head: &str, value: &str| {
        format!("--{mark}\r\nContent-Disposition: form-data; {head}\r\n\r\n{value}\r\n")
    };
    let body = part("name=\"csrf\"", &csrf)
        + &part("name=\"register\"", register)
        + &part("name=\"file\"; filename=\"rows.csv\"", &text)
        + &format!("--{mark}--\r\n");
    let kind = format!("multipart/form-data; boundary={mark}");
    let begun = Instant::now();
    let at = post(router, cookie, ("/exchange/import", &kind), body).await;
    let read = begun.elapsed();
    let form = "application/x-www-form-urlencoded";
    let mut columns = format!("csrf={csrf}");
    for (column, field) in fields.split(',').enumerate() {
        columns += &format!("&column{column}={field}");
    }
    let check = post(router, cookie, (&at, form), columns).await;
    let begun = Instant::now();
    let shown = get(router, cookie, &check).await;
    let checked = begun.elapsed();
    let seen = between(&shown, "name=\"seen\" value=\"");
    assert!(!seen.is_empty(), "{register}: nothing to write");
    let begun = Instant::now();
    let write = format!("{at}/write");
    post(
        router,
        cookie,
        (&write, form),
        format!("csrf={csrf}&seen={seen}"),
    )
    .await;
    let mut looks = 0;
    loop {
        let page = get(router, cookie, &check).await;
        if page.contains("rows.csv is written") {
            break;
        }
        assert!(
            page.contains("is being written"),
            "{register}: it was refused"
        );
        looks += 1;
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    let took = begun.elapsed();
    println!(
        "{name}: {ROWS} {register}: read {read:.1?}, checked {checked:.1?}, written {took:.1?}, \
         progress seen {looks} times"
    );
    took <= BUDGET
}

/// What stands behind these words up to the next quote.
fn between(page: &str, words: &str) -> String {
    let rest = page.split(words).nth(1).unwrap_or("");
    rest.split('"').next().unwrap_or("").to_owned()
}

async fn get(router: &Router, cookie: &str, path: &str) -> String {
    let request = Request::get(path).header(header::COOKIE, cookie);
    let request = request.body(Body::empty()).expect("a request");
    let (status, _, body) = pages::ask(router, request).await;
    assert_eq!(status, StatusCode::OK, "{path}");
    body
}

/// The address that the answer leads to.
async fn post(router: &Router, cookie: &str, (path, kind): (&str, &str), body: String) -> String {
    let request = Request::post(path)
        .header(header::COOKIE, cookie)
        .header(header::CONTENT_TYPE, kind);
    let request = request.body(Body::from(body)).expect("a request");
    let response = tower::ServiceExt::oneshot(router.clone(), request)
        .await
        .expect("infallible");
    assert_eq!(response.status(), StatusCode::SEE_OTHER, "{path}");
    let to = response
        .headers()
        .get(header::LOCATION)
        .expect("an address");
    to.to_str().expect("ascii").to_owned()
}
