//! Script in every text: a marker is put in every text column of every table, and no page has it raw.

use super::{address, filled, rooms, routes};
use crate::app::TestApp;
use brasstag::db::Db;
use serde_json::Value;

const MARK: &str = "<b x=\"'>&{{";
/// Raw, it is an element; a page writes its sign in another way.
const RAW: &str = "<b x=";
const PROBES: &[&str] = &[
    "/desk",
    "/today",
    "/ledger",
    "/machines",
    "/machines/1",
    "/panels/1",
    "/shelf",
    "/shelf/parts",
    "/preventive",
    "/jobs/3",
    "/jobs/18",
    "/jobs/3/sheet",
    "/shop",
    "/meters",
    "/procedures",
    "/search?q=fan",
    "/find?machine=1",
    "/rounds",
    "/locks",
    "/buying",
];

async fn columns(app: &TestApp) -> Vec<(String, String)> {
    match app.db() {
        Db::Sqlite { read, .. } => {
            sqlx::query_as(
                "SELECT m.name, p.name FROM sqlite_master m, pragma_table_info(m.name) p
             WHERE m.type = 'table' AND upper(p.type) = 'TEXT' ORDER BY 1, 2",
            )
            .fetch_all(read)
            .await
        }
        Db::Postgres(pool) => {
            sqlx::query_as(
                "SELECT c.table_name::text, c.column_name::text FROM information_schema.columns c
             JOIN information_schema.tables t USING (table_schema, table_name)
             WHERE c.table_schema = current_schema() AND c.data_type = 'text'
                AND t.table_type = 'BASE TABLE' ORDER BY 1, 2",
            )
            .fetch_all(pool)
            .await
        }
    }
    .expect("the columns")
}

async fn values(app: &TestApp, table: &str, column: &str) -> Vec<String> {
    let sql = format!("SELECT DISTINCT {column} FROM {table} WHERE {column} IS NOT NULL");
    // Names of the schema's own.
    brasstag::on_db!(app.db(), pool => sqlx::query_scalar(sqlx::AssertSqlSafe(sql.clone()))
        .fetch_all(pool).await.expect("the values"))
}

/// `false` where the database refuses it.
async fn put(app: &TestApp, table: &str, column: &str, was: &str, is: &str) -> bool {
    let sql = format!("UPDATE {table} SET {column} = $1 WHERE {column} = $2");
    let sql = sqlx::AssertSqlSafe(sql);
    match app.db() {
        Db::Sqlite { write, .. } => sqlx::query(sql)
            .bind(is)
            .bind(was)
            .execute(write)
            .await
            .is_ok(),
        Db::Postgres(pool) => sqlx::query(sql)
            .bind(is)
            .bind(was)
            .execute(pool)
            .await
            .is_ok(),
    }
}

/// The words in it with the mark behind them; what is a word of the program's own is left alone.
fn marked(text: &str) -> Option<String> {
    if let Ok(mut json) = serde_json::from_str::<Value>(text)
        && (json.is_object() || json.is_array())
    {
        return mark_json(&mut json).then(|| json.to_string());
    }
    let words = text.contains(' ') || text.chars().any(char::is_uppercase) || text.is_empty();
    let zone = text.contains('/') && !text.contains(' ');
    (words && !zone).then(|| format!("{text}{MARK}"))
}

fn mark_json(json: &mut Value) -> bool {
    match json {
        Value::String(text) if text.contains(' ') => {
            text.push_str(MARK);
            true
        }
        Value::Array(all) => all.iter_mut().map(mark_json).filter(|any| *any).count() > 0,
        Value::Object(all) => all.values_mut().map(mark_json).filter(|any| *any).count() > 0,
        _ => false,
    }
}

/// Marks one column; what was done, to undo it.
async fn mark(app: &TestApp, table: &str, column: &str) -> Vec<(String, String)> {
    let mut done = Vec::new();
    for was in values(app, table, column).await.into_iter().take(200) {
        if let Some(is) = marked(&was)
            && put(app, table, column, &was, &is).await
        {
            done.push((was, is));
        }
    }
    done
}

async fn breaks(app: &TestApp, visit: &crate::app::Visit<'_>) -> bool {
    app.state.clock.advance(3_000);
    for page in PROBES {
        let status = visit.get(page).await.status;
        if status.is_server_error() || status.is_redirection() {
            return true;
        }
    }
    false
}

#[tokio::test]
async fn no_page_shows_any_text_as_it_was_typed_into_the_database() {
    let app = filled().await;
    let mut visits = Vec::new();
    for name in ["maren", "tobin", "dov", "quill", "wren", "piet"] {
        visits.push(app.sign_in_with(name, brasstag::demo::PASSWORD).await);
    }
    let maren = &visits[0];
    let (mut kept, mut left) = (Vec::new(), Vec::new());
    // The search's own tables are made from the others.
    let alone = ["_sqlx_migrations", "sessions", "audit", "known_devices"];
    let all = columns(&app).await;
    for (table, column) in &all {
        if alone.contains(&table.as_str())
            || table.starts_with("search_")
            || table.starts_with("sqlite")
        {
            continue;
        }
        let done = mark(&app, table, column).await;
        if done.is_empty() {
            continue;
        }
        if breaks(&app, maren).await {
            for (was, is) in done.iter().rev() {
                put(&app, table, column, is, was).await;
            }
            left.push(format!("{table}.{column}"));
        } else {
            kept.push(format!("{table}.{column}"));
        }
    }
    app.run(
        "INSERT INTO audit (at, person_id, thing, thing_id, act, detail) VALUES (1795608000000, NULL,
         '<b x=\"''>&{{', 1, '<b x=\"''>&{{', '{\"was\":{},\"is\":{\"<b x=''>\":\"<b x=\\\"''>&{{\"}}')",
    )
    .await;
    assert!(
        kept.len() > 30,
        "marked {}: {kept:?}\nleft {left:?}",
        kept.len()
    );
    let mut pages = rooms();
    for route in routes().into_iter().filter(|route| route.gets) {
        pages.extend(["1", "2", "3"].map(|id| address(&route.path, id, id)));
    }
    pages.sort();
    pages.dedup();
    let (mut shown, mut wrong) = (0, Vec::new());
    for visit in visits.iter().take(4) {
        for page in &pages {
            let answer = visit.get(page).await;
            let kind = answer
                .headers
                .get("content-type")
                .and_then(|v| v.to_str().ok())
                .unwrap_or("");
            let (html, svg) = (kind.starts_with("text/html"), kind.starts_with("image/svg"));
            if (html || svg) && answer.body.contains(RAW) {
                wrong.push(page.clone());
            }
            if answer
                .headers
                .values()
                .any(|value| value.as_bytes().windows(5).any(|w| w == RAW.as_bytes()))
            {
                wrong.push(format!("a header of {page}"));
            }
            shown +=
                usize::from(html && answer.body.contains("b x=") && !answer.body.contains(RAW));
        }
    }
    wrong.dedup();
    assert!(wrong.is_empty(), "raw on {wrong:?}");
    assert!(shown > 60, "the mark is on {shown} pages");
}
