//! No page reads a large table through: the statements that the pages run, as the database would
//! answer them.
//!
//! The statements are caught where they are logged, which is one place for a whole process; so the
//! test starts itself again in a process of its own.

use crate::app::{NOON, TestApp, fresh_database};
use axum::http::StatusCode;
use brasstag::clock::Clock;
use brasstag::db::Db;
use std::collections::BTreeSet;
use std::sync::{Arc, Mutex};
use tracing::field::{Field, Visit};
use tracing_subscriber::layer::{Context, Layer, SubscriberExt};

/// Tables that grow for as long as the shop works, or as large as it is.
const LARGE: &[&str] = &[
    "machines",
    "jobs",
    "entries",
    "motors",
    "photos",
    "job_spells",
    "locks",
    "due_items",
    "readings",
    "instrument_uses",
];

const PAGES: &[&str] = &[
    "/desk",
    "/desk/board",
    "/desk/week",
    "/desk/month",
    "/desk/proposal",
    "/desk/backlog",
    "/crew",
    "/today",
    "/jobs/3",
    "/jobs/3/plan",
    "/jobs/3/confirm",
    "/jobs/3/review",
    "/desk/old",
    "/jobs/3/isolation",
    "/jobs/3/photos",
    "/jobs/3/sheet",
    "/locks",
    "/machines",
    "/machines?kind=fan",
    "/machines?place=1",
    "/machines?q=fan",
    "/machines/1",
    "/machines/1/readings",
    "/machines/1/timeline",
    "/machines/tags",
    "/search?q=fan",
    "/search?q=hum",
    "/ledger",
    "/ledger?state=open",
    "/ledger?state=signed_off",
    "/ledger?machine=F-14",
    "/ledger?from=2026-01-01&to=2026-11-25",
    "/ledger?place=1",
    "/ledger?figure=repeats",
    "/ledger?figure=overdue",
    "/ledger?figure=due",
    "/ledger/figures",
    "/ledger/figures/backlog",
    "/ledger/figures/response?place=1",
    "/ledger/figures/response/jobs?kind=fan",
    "/ledger/figures/failure-modes/jobs",
    "/preventive",
    "/preventive?machine=F-14",
    "/preventive/1",
    "/panels",
    "/panels/1",
    "/machines/1/edit",
    "/machines/1/papers",
    "/machines/1/parts",
    "/photos/of/machine-1",
    "/shelf",
    "/instruments",
    "/instruments/1",
    "/shelf/motors/1",
    "/shop/places",
    "/shop/telling",
    "/telling",
];

/// Statements that read one large table on purpose: a part of their text, and why.
const ON_PURPOSE: &[(&str, &str)] = &[(
    "SELECT place_id, count(*) FROM machines",
    "the tree of places counts every machine, over an index",
)];

#[derive(Clone, Default)]
struct Caught(Arc<Mutex<BTreeSet<String>>>);

#[derive(Default)]
struct Statement {
    summary: String,
    whole: String,
}

impl Visit for Statement {
    fn record_debug(&mut self, field: &Field, value: &dyn std::fmt::Debug) {
        let text = format!("{value:?}");
        self.record_str(field, &text);
    }

    fn record_str(&mut self, field: &Field, value: &str) {
        match field.name() {
            "summary" => self.summary = value.to_owned(),
            "db.statement" => self.whole = value.to_owned(),
            _ => {}
        }
    }
}

impl<S: tracing::Subscriber> Layer<S> for Caught {
    fn on_event(&self, event: &tracing::Event<'_>, _: Context<'_, S>) {
        if event.metadata().target() != "sqlx::query" {
            return;
        }
        let mut statement = Statement::default();
        event.record(&mut statement);
        // A short statement is its own summary.
        let text = match statement.whole.trim() {
            "" => statement.summary,
            whole => whole.to_owned(),
        };
        self.0.lock().expect("no panic holds it").insert(text);
    }
}

#[test]
fn no_page_reads_a_large_table_through() {
    const CHILD: &str = "BRASSTAG_QUERY_PLANS";
    if std::env::var_os(CHILD).is_none() {
        let this = std::env::current_exe().expect("this program");
        let name = "query_plans::no_page_reads_a_large_table_through";
        let done = std::process::Command::new(this)
            .args(["--exact", name, "--nocapture"])
            .env(CHILD, "1")
            .output()
            .expect("it starts again");
        let said = String::from_utf8_lossy(&done.stdout) + String::from_utf8_lossy(&done.stderr);
        assert!(done.status.success() && said.contains("1 passed"), "{said}");
        return;
    }
    let caught = Caught::default();
    let all = tracing_subscriber::registry().with(caught.clone());
    tracing::subscriber::set_global_default(all).expect("nobody listens yet");
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    runtime.block_on(look(caught));
}

/// Opens the pages of the demo shop and asks for the plan of everything they ran.
async fn look(caught: Caught) {
    let (db, folder) = fresh_database(true).await;
    brasstag::demo::fill(&db, &Clock::fixed(NOON), true)
        .await
        .expect("the demo fills");
    let app = TestApp::filled(db, folder).await;
    let visit = app.sign_in_with("maren", brasstag::demo::PASSWORD).await;
    caught.0.lock().expect("no panic holds it").clear();
    for page in PAGES {
        let answer = visit.get(page).await;
        assert_eq!(answer.status, StatusCode::OK, "{page}");
    }
    let ran = caught.0.lock().expect("no panic holds it").clone();
    let reads: Vec<&String> = ran.iter().filter(|sql| reads(sql)).collect();
    assert!(reads.len() > 60, "statements are caught: {}", reads.len());
    let mut bad = Vec::new();
    for sql in reads {
        if ON_PURPOSE.iter().any(|(part, _)| sql.contains(part)) {
            continue;
        }
        for line in scans(app.db(), sql).await {
            bad.push(format!("{line}\n{sql}\n"));
        }
    }
    assert!(bad.is_empty(), "{}\n{} in all", bad.join("\n"), bad.len());
}

fn reads(sql: &str) -> bool {
    let first = sql.split_whitespace().next().unwrap_or("");
    first.eq_ignore_ascii_case("SELECT") || first.eq_ignore_ascii_case("WITH")
}

/// The steps of the statement's plan that go over a whole large table.
async fn scans(db: &Db, sql: &str) -> Vec<String> {
    match db {
        Db::Sqlite { read, .. } => {
            // The text is the program's own, as it was logged.
            let explain = sqlx::AssertSqlSafe(format!("EXPLAIN QUERY PLAN {sql}"));
            let steps: Vec<(i64, i64, i64, String)> = sqlx::query_as(explain)
                .fetch_all(read)
                .await
                .unwrap_or_else(|e| panic!("{e}: {sql}"));
            let ordered =
                sql.contains("LIMIT") && !steps.iter().any(|s| s.3.contains("TEMP B-TREE"));
            let steps = steps.into_iter().map(|step| step.3);
            let bad = |step: &String| {
                scans_large(step, sql) && !standing(step) && !(ordered && by_order(step))
            };
            steps.filter(bad).collect()
        }
        Db::Postgres(pool) => {
            let mut connection = pool.acquire().await.expect("a connection");
            let nulls = vec!["NULL"; parameters(sql)].join(", ");
            let run = match nulls.as_str() {
                "" => "EXPLAIN EXECUTE looked_at".to_owned(),
                some => format!("EXPLAIN EXECUTE looked_at ({some})"),
            };
            let set = "SET enable_seqscan = off; SET plan_cache_mode = force_generic_plan";
            for text in [set.to_owned(), format!("PREPARE looked_at AS {sql}")] {
                sqlx::raw_sql(sqlx::AssertSqlSafe(text))
                    .execute(&mut *connection)
                    .await
                    .unwrap_or_else(|e| panic!("{e}: {sql}"));
            }
            let steps: Vec<String> = sqlx::query_scalar(sqlx::AssertSqlSafe(run))
                .fetch_all(&mut *connection)
                .await
                .unwrap_or_else(|e| panic!("{e}: {sql}"));
            let end = "DEALLOCATE looked_at; RESET enable_seqscan; RESET plan_cache_mode";
            sqlx::raw_sql(end)
                .execute(&mut *connection)
                .await
                .expect("put back");
            let large = |step: &String| LARGE.iter().any(|t| step.contains(&format!(" on {t} ")));
            let whole = |step: &String| step.contains("Seq Scan") && large(step);
            steps.into_iter().filter(whole).collect()
        }
    }
}

/// `$1` to the highest.
fn parameters(sql: &str) -> usize {
    let numbers = sql.split('$').skip(1).filter_map(|rest| {
        let end = rest
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(rest.len());
        rest[..end].parse().ok()
    });
    numbers.max().unwrap_or(0)
}

/// SQLite's `SCAN j USING …`, where `j` is a large table in this statement.
fn scans_large(step: &str, sql: &str) -> bool {
    let Some(rest) = step.strip_prefix("SCAN ") else {
        return false;
    };
    let scanned = rest.split_whitespace().next().unwrap_or("");
    let words: Vec<&str> = sql
        .split(|c: char| !c.is_alphanumeric() && c != '_')
        .collect();
    let words: Vec<&str> = words.into_iter().filter(|word| !word.is_empty()).collect();
    LARGE.iter().any(|table| {
        let named = |pair: &[&str]| pair[0] == *table && pair[1] == scanned;
        scanned == *table || words.windows(2).any(named)
    })
}

/// An index of only the locks that stand, however many there ever were.
fn standing(step: &str) -> bool {
    step.contains("_standing_idx")
}

/// An index walked in the order that the page has, up to its limit.
fn by_order(step: &str) -> bool {
    step.contains("USING INDEX") || !step.contains("USING")
}
