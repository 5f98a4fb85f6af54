//! A database that is full, takes no writing or is away: a clear page with what was typed, nothing
//! half done, and all well again by itself afterwards.

use crate::app::{Answer, TestApp, Visit};
use crate::small_shop::{lay_out, report};
use axum::http::{StatusCode, header};
use brasstag::db::Db;

/// Both databases can be told to take no more, SQLite its one writer, PostgreSQL new connections too.
async fn take_no_writing(db: &Db, on: bool) {
    match db {
        Db::Sqlite { write, .. } => {
            let sql = if on {
                "PRAGMA query_only = ON"
            } else {
                "PRAGMA query_only = OFF"
            };
            sqlx::query(sql).execute(write).await.expect("the pragma");
        }
        Db::Postgres(pool) => {
            let sql = if on {
                "SET default_transaction_read_only = on"
            } else {
                "SET default_transaction_read_only = off"
            };
            // Every connection of the pool, so that whichever is taken says no.
            let mut held = Vec::new();
            for _ in 0..16 {
                let mut one = pool.acquire().await.expect("a connection");
                sqlx::query(sql)
                    .execute(&mut *one)
                    .await
                    .expect("the setting");
                held.push(one);
            }
        }
    }
}

/// A technician at the form of a note, with the form's word.
async fn at_the_form(app: &TestApp, job: i64) -> (Visit<'_>, String) {
    let visit = app.sign_in("technician").await;
    let form = visit.get(&format!("/jobs/{job}/note")).await;
    let csrf = form.value("input[name=csrf]");
    (visit, csrf)
}

async fn note((visit, csrf): &(Visit<'_>, String), job: i64, entry: &str) -> Answer {
    let fields = [
        ("csrf", csrf.as_str()),
        ("text", "Smells of <varnish> & dust"),
        ("entry", entry),
        ("seen", "1"),
    ];
    visit.post(&format!("/jobs/{job}/note"), &fields).await
}

fn has_what_was_typed(answer: &Answer, entry: &str) {
    assert_eq!(answer.status, StatusCode::SERVICE_UNAVAILABLE);
    assert!(
        answer
            .body
            .contains("Smells of &#60;varnish&#62; &#38; dust"),
        "{}",
        answer.body
    );
    assert!(!answer.body.contains("<varnish>"));
    assert!(answer.body.contains(entry), "the same entry is sent again");
    assert!(answer.body.contains("Send it again"));
    assert_eq!(answer.headers[header::RETRY_AFTER], "5");
    assert_eq!(answer.headers[header::CACHE_CONTROL], "no-store");
}

async fn entries(app: &TestApp) -> i64 {
    brasstag::on_db!(&app.state.db, pool =>
        sqlx::query_scalar("SELECT count(*) FROM entries").fetch_one(pool).await.expect("a count"))
}

#[tokio::test]
async fn a_database_that_takes_no_writing_gives_back_what_was_typed() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let job = report(&app, "F-1", "It hums").await;
    let form = at_the_form(&app, job).await;
    let visit = &form.0;
    let before = entries(&app).await;
    let entry = uuid::Uuid::now_v7().to_string();

    take_no_writing(&app.state.db, true).await;
    let refused = note(&form, job, &entry).await;
    has_what_was_typed(&refused, &entry);
    assert!(
        refused.words().contains("takes no writing just now"),
        "{}",
        refused.words()
    );
    // What is only read is still there.
    assert_eq!(
        visit.get(&format!("/jobs/{job}")).await.status,
        StatusCode::OK
    );
    assert_eq!(entries(&app).await, before);

    take_no_writing(&app.state.db, false).await;
    assert_eq!(note(&form, job, &entry).await.status, StatusCode::SEE_OTHER);
    assert_eq!(note(&form, job, &entry).await.status, StatusCode::SEE_OTHER);
    assert_eq!(entries(&app).await, before + 1, "sent twice, added once");
}

#[tokio::test]
async fn a_database_that_is_away_is_said_in_plain_words_on_every_page() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let job = report(&app, "F-1", "It hums").await;
    let form = at_the_form(&app, job).await;
    let visit = &form.0;
    let entry = uuid::Uuid::now_v7().to_string();
    app.state.db.close().await;
    let refused = note(&form, job, &entry).await;
    has_what_was_typed(&refused, &entry);
    let page = visit.get(&format!("/jobs/{job}")).await;
    assert_eq!(page.status, StatusCode::SERVICE_UNAVAILABLE);
    assert!(
        page.words().contains("does not answer just now"),
        "{}",
        page.words()
    );
    let ready = visit.get("/readyz").await;
    assert_eq!(ready.status, StatusCode::SERVICE_UNAVAILABLE);
    // A password is not put on a page.
    let fields = [("name", "technician"), ("password", "clay and copper")];
    let sign_in = visit.post("/sign-in", &fields).await;
    assert_eq!(sign_in.status, StatusCode::SERVICE_UNAVAILABLE);
    assert!(!sign_in.body.contains("clay and copper"));
}

#[tokio::test]
async fn a_full_disk_is_named_and_nothing_is_half_written() {
    let app = TestApp::start().await;
    let Db::Sqlite { write, .. } = &app.state.db else {
        // Its answer, SQLSTATE 53100, is read in `error.rs`; its disk cannot be filled from here.
        return;
    };
    lay_out(&app).await;
    let job = report(&app, "F-1", "It hums").await;
    let form = at_the_form(&app, job).await;
    let pages: i64 = sqlx::query_scalar("PRAGMA page_count")
        .fetch_one(write)
        .await
        .expect("a number");
    let most = sqlx::AssertSqlSafe(format!("PRAGMA max_page_count = {pages}"));
    sqlx::query(most).execute(write).await.expect("the pragma");
    let mut taken = 0;
    let refused = loop {
        let entry = uuid::Uuid::now_v7().to_string();
        let before = entries(&app).await;
        let answer = note(&form, job, &entry).await;
        if answer.status == StatusCode::SERVICE_UNAVAILABLE {
            assert_eq!(entries(&app).await, before, "nothing half written");
            has_what_was_typed(&answer, &entry);
            break answer;
        }
        taken += 1;
        assert!(taken < 500, "the file never filled");
    };
    assert!(
        refused.words().contains("The disk is full"),
        "{}",
        refused.words()
    );
    sqlx::query("PRAGMA max_page_count = 1000000")
        .execute(write)
        .await
        .expect("the pragma");
    let entry = uuid::Uuid::now_v7().to_string();
    assert_eq!(note(&form, job, &entry).await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_clock_that_jumps_back_and_forth_keeps_the_order_of_entries() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let job = report(&app, "F-1", "It hums").await;
    let form = at_the_form(&app, job).await;
    let visit = &form.0;
    let before = entries(&app).await;
    for jump in [
        -3 * brasstag::clock::HOUR,
        6 * brasstag::clock::HOUR,
        -5 * brasstag::clock::HOUR,
    ] {
        app.state.clock.advance(jump);
        let entry = uuid::Uuid::now_v7().to_string();
        assert_eq!(
            note(&form, job, &entry).await.status,
            StatusCode::SEE_OTHER,
            "{jump}"
        );
        let page = visit.get(&format!("/jobs/{job}")).await;
        assert_eq!(page.status, StatusCode::OK, "{jump}");
    }
    assert_eq!(entries(&app).await, before + 3);
    let gaps: i64 = brasstag::on_db!(&app.state.db, pool => sqlx::query_scalar(
        "SELECT count(*) FROM (SELECT job_id FROM entries GROUP BY job_id \
         HAVING max(number) <> count(*)) AS g",
    ).fetch_one(pool).await.expect("a count"));
    assert_eq!(gaps, 0, "numbered one after the other");
}
