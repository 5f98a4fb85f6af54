//! Pages over a large shop: the server's own time from request to the last byte, warm.
//!
//! `BRASSTAG_SCALE_DB` names a database that `cargo run --example scale` has filled; `tests/long/run`
//! fills one where there is none.

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use brasstag::clock::Clock;
use brasstag::config::Config;
use brasstag::db::Db;
use brasstag::demo;
use brasstag::state::AppState;
use http_body_util::BodyExt;
use std::time::{Duration, Instant};
use tower::ServiceExt;

const RUNS: usize = 25;
const SEARCH: Duration = Duration::from_millis(20);
const PAGE: Duration = Duration::from_millis(100);

/// What is asked for, with its budget. `{machine}` and `{job}` are in the middle of the crowd, `{tag}` is
/// the machine's.
const PAGES: &[(&str, &str, Duration)] = &[
    ("search: exact tag", "/search?q={tag}", SEARCH),
    ("search: mistyped tag", "/search?q={typo}", SEARCH),
    ("search: one word", "/search?q=circulating", SEARCH),
    ("search: beginning of a word", "/search?q=vibr", SEARCH),
    (
        "search: several words",
        "/search?q=extract+fan+kiln",
        SEARCH,
    ),
    ("search: plate", "/search?q=TEFC+1750", SEARCH),
    ("search: nothing", "/search?q=zzyzx", SEARCH),
    ("machines", "/machines", PAGE),
    ("machines by kind", "/machines?kind=pump", PAGE),
    (
        "machines by criticality",
        "/machines?criticality=high",
        PAGE,
    ),
    ("machines of a place", "/machines?place=1500", PAGE),
    ("machines by word", "/machines?q=kiln", PAGE),
    ("machines, far on", "/machines?after={tag}", PAGE),
    ("tags", "/machines/tags", PAGE),
    ("machine", "/machines/{machine}", PAGE),
    ("readings", "/machines/{machine}/readings", PAGE),
    ("job", "/jobs/{job}", PAGE),
    ("job of today", "/jobs/{new}", PAGE),
    ("plan a job", "/jobs/{new}/plan", PAGE),
    ("lock board", "/locks", PAGE),
    ("Today", "/today", PAGE),
    ("Desk", "/desk", PAGE),
    ("ledger", "/ledger", PAGE),
    ("ledger: open", "/ledger?state=open", PAGE),
    ("ledger: machine", "/ledger?machine={tag}", PAGE),
    ("ledger: room", "/ledger?place=1503", PAGE),
    (
        "ledger: days",
        "/ledger?from=2026-01-10&to=2026-01-12",
        PAGE,
    ),
    ("ledger: repeats", "/ledger?figure=repeats", PAGE),
    ("ledger: overdue", "/ledger?figure=overdue", PAGE),
    ("ledger: planned work", "/ledger?figure=due", PAGE),
    ("preventive", "/preventive", PAGE),
    ("preventive: machine", "/preventive?machine={tag}", PAGE),
    ("panels", "/panels", PAGE),
    ("panel", "/panels/1", PAGE),
    ("change a machine", "/machines/{machine}/edit", PAGE),
    (
        "change its isolation",
        "/machines/{machine}/isolation/edit",
        PAGE,
    ),
    ("shelf", "/shelf", PAGE),
];

/// Prints a line per page; `false` where a median is over its budget.
pub async fn measure() -> bool {
    let Ok(url) = std::env::var("BRASSTAG_SCALE_DB") else {
        println!("pages: BRASSTAG_SCALE_DB names no filled database");
        return false;
    };
    let db = Db::open(&url).await.expect("the database opens");
    db.migrate().await.expect("the schema comes up to date");
    let name = match &db {
        Db::Sqlite { .. } => "SQLite",
        Db::Postgres(_) => "PostgreSQL",
    };
    let largest = |sql: &'static str| {
        let db = db.clone();
        async move {
            brasstag::on_db!(&db, pool => sqlx::query_scalar::<_, i64>(sql).fetch_one(pool).await)
                .expect("a number")
        }
    };
    let machines = largest("SELECT max(id) FROM machines").await;
    let jobs = largest("SELECT max(id) FROM jobs").await;
    println!("{name}: {machines} machines, {jobs} jobs");
    let shop = brasstag::shop::queries::find(&db).await.expect("it reads");
    let app = AppState::new(config(), db, Clock::System, shop, "");
    let machine = machines / 2;
    let tag = brasstag::machines::queries::find(&app.db, brasstag::machines::MachineId(machine))
        .await
        .expect("it reads")
        .expect("a machine in the middle")
        .tag;
    let router = brasstag::routes::router(app);
    let cookie = sign_in(&router).await;
    let mut within = true;
    for (what, path, budget) in PAGES {
        let path = path
            .replace("{machine}", &machine.to_string())
            .replace("{job}", &(jobs / 2).to_string())
            .replace("{new}", &(jobs - 3).to_string())
            .replace("{typo}", &tag.replacen('0', "o", 1).replace('-', "+"))
            .replace("{tag}", &tag);
        within &= time(&router, &cookie, (name, what, &path, *budget)).await;
    }
    within
}

pub fn config() -> Config {
    Config {
        folder: std::env::temp_dir(),
        base_path: String::new(),
        public_url: "http://shop.example".to_owned(),
        cheap_passwords: true,
        proxy: None,
        demo: false,
    }
}

pub async fn ask(router: &Router, request: Request<Body>) -> (StatusCode, String, String) {
    let response = router.clone().oneshot(request).await.expect("infallible");
    let status = response.status();
    let set = response.headers().get_all(header::SET_COOKIE).iter();
    let pairs = set.filter_map(|value| value.to_str().ok()?.split(';').next());
    let cookies = pairs.collect::<Vec<_>>().join("; ");
    let bytes = response.into_body().collect().await.expect("a body");
    let body = String::from_utf8_lossy(&bytes.to_bytes()).into_owned();
    (status, cookies, body)
}

/// The demo's supervisor; their cookie.
pub async fn sign_in(router: &Router) -> String {
    let page = Request::get("/sign-in").body(Body::empty());
    let (_, cookie, body) = ask(router, page.expect("a request")).await;
    let csrf = body.split("name=\"csrf\" value=\"").nth(1).unwrap_or("");
    let csrf = csrf.split('"').next().unwrap_or("");
    let fields = [
        ("csrf", csrf),
        ("name", demo::SIGN_INS[0].name),
        ("password", demo::PASSWORD),
    ];
    let form = serde_html_form::to_string(fields).expect("a form");
    let post = Request::post("/sign-in")
        .header(header::COOKIE, cookie.as_str())
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(form));
    let (status, mine, _) = ask(router, post.expect("a request")).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "the supervisor signs in");
    mine
}

async fn time(
    router: &Router,
    cookie: &str,
    (name, what, path, budget): (&str, &str, &str, Duration),
) -> bool {
    let mut times = Vec::with_capacity(RUNS);
    let (mut cold, mut size) = (Duration::ZERO, 0);
    for run in 0..=RUNS {
        let request = Request::get(path).header(header::COOKIE, cookie);
        let begun = Instant::now();
        let (status, _, body) = ask(router, request.body(Body::empty()).expect("a request")).await;
        let took = begun.elapsed();
        let fine = status == StatusCode::OK || status == StatusCode::SEE_OTHER;
        assert!(fine, "{path}: {status}");
        size = body.len();
        match run {
            0 => cold = took,
            _ => times.push(took),
        }
        // A page far over its budget is not asked for again and again.
        if took > Duration::from_secs(2) && run > 2 {
            break;
        }
    }
    times.sort();
    let (median, p95) = (times[times.len() / 2], times[times.len() * 95 / 100]);
    let over = if median > budget { "  OVER BUDGET" } else { "" };
    println!(
        "{name}: {what:28} median {:7.1} ms, p95 {:7.1} ms, first {:7.1} ms, {:5} kB{over}",
        ms(median),
        ms(p95),
        ms(cold),
        size / 1024
    );
    median <= budget
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}
