//! The audit list: what is in it, who reads it, and that it only grows.

use crate::app::TestApp;
use axum::http::StatusCode;
use brasstag::db::Db;

/// What the database says to a statement.
async fn refused(app: &TestApp, sql: &'static str) -> String {
    let done = match app.db() {
        Db::Sqlite { write, .. } => sqlx::raw_sql(sql).execute(write).await.map(|_| ()),
        Db::Postgres(pool) => sqlx::raw_sql(sql).execute(pool).await.map(|_| ()),
    };
    done.expect_err("refused").to_string()
}

#[tokio::test]
async fn the_list_is_shown_narrowed_and_written_as_a_file() {
    let app = TestApp::start().await;
    let keeper = app.sign_in("keeper").await;
    let new = "/shop/people/new";
    for name in ["=1+1", "Ada Brook"] {
        let sign_in = format!("p{}", name.len());
        let typed = [
            ("name", name),
            ("sign_in_name", &sign_in),
            ("role", "technician"),
        ];
        keeper.submit(new, new, &typed).await;
    }
    keeper
        .submit(
            "/shop/settings",
            "/shop/settings",
            &[("name", "Mill House")],
        )
        .await;
    app.run(
        "INSERT INTO audit (at, person_id, thing, thing_id, act, detail)
         VALUES (1795608000001, NULL, 'machines', 7, 'change', '{\"was\":{\"a\":1},\"is\":{\"a\":2}}')",
    )
    .await;
    let rows = async |path: &str| keeper.get(path).await.texts("main tbody tr").len();
    assert_eq!(rows("/shop/audit").await, 4);
    assert_eq!(rows("/shop/audit?thing=people").await, 2);
    assert_eq!(rows("/shop/audit?thing=people&act=AD").await, 2);
    assert_eq!(rows("/shop/audit?act=%25").await, 0);
    assert_eq!(rows("/shop/audit?person=0").await, 1);
    let id = app.person("keeper").await.0;
    assert_eq!(rows(&format!("/shop/audit?person={id}")).await, 3);
    assert_eq!(rows("/shop/audit?from=2026-11-25&to=2026-11-25").await, 4);
    assert_eq!(rows("/shop/audit?to=2026-11-24").await, 0);
    let odd = keeper.get("/shop/audit?from=yesterday&person=x").await;
    assert_eq!(odd.status, StatusCode::OK);
    assert!(odd.words().contains("All lines are shown"));
    let page = keeper.get("/shop/audit").await;
    assert!(
        page.words().contains("Test shop → Mill House"),
        "{}",
        page.words()
    );
    let file = keeper.get("/shop/audit.csv?thing=people").await;
    assert!(
        file.headers["content-type"]
            .to_str()
            .expect("ascii")
            .starts_with("text/csv")
    );
    assert_eq!(file.body.lines().count(), 3);
    let all = keeper.get("/shop/audit.csv").await;
    assert_eq!(all.body.lines().count(), 5);
}

#[tokio::test]
async fn supervisor_auditor_and_keeper_read_it_nobody_else() {
    let app = TestApp::start().await;
    for (role, status) in [
        ("auditor", StatusCode::OK),
        ("keeper", StatusCode::OK),
        ("supervisor", StatusCode::OK),
        ("technician", StatusCode::FORBIDDEN),
        ("storekeeper", StatusCode::FORBIDDEN),
        ("reporter", StatusCode::FORBIDDEN),
    ] {
        let visit = app.sign_in(role).await;
        for path in ["/shop/audit", "/shop/audit.csv"] {
            assert_eq!(visit.get(path).await.status, status, "{role} {path}");
        }
    }
}

#[tokio::test]
async fn a_long_list_goes_on_page_by_page() {
    let app = TestApp::start().await;
    let mut tx = app.db().begin_write().await.expect("a transaction");
    for number in 0..205 {
        let thing = ("machines", number);
        let done = brasstag::audit::audit(&mut tx, number, None, thing, "change", &number).await;
        done.expect("a line");
    }
    tx.commit().await.expect("commit");
    let visit = app.sign_in("auditor").await;
    let (mut path, mut seen) = ("/shop/audit".to_owned(), 0);
    loop {
        let page = visit.get(&path).await;
        seen += page.texts("main tbody tr").len();
        let next = page
            .attributes("href")
            .into_iter()
            .find(|to| to.contains("before=") && !to.contains("before=&") && !to.contains(".csv"));
        match next {
            Some(next) => path = next,
            None => break,
        }
    }
    assert_eq!(seen, 205);
}

#[tokio::test]
async fn the_database_itself_refuses_to_change_or_delete_a_line() {
    let app = TestApp::start().await;
    let keeper = app.sign_in("keeper").await;
    keeper
        .submit(
            "/shop/settings",
            "/shop/settings",
            &[("name", "Mill House")],
        )
        .await;
    for sql in [
        "UPDATE audit SET detail = '{}'",
        "UPDATE audit SET person_id = NULL WHERE id > 0",
        "DELETE FROM audit",
        "DELETE FROM audit WHERE id = 1",
    ] {
        let said = refused(&app, sql).await;
        assert!(said.contains("only added to"), "{sql}: {said}");
    }
    if matches!(app.db(), Db::Postgres(_)) {
        assert!(
            refused(&app, "TRUNCATE audit")
                .await
                .contains("only added to")
        );
    }
    assert_eq!(app.count("SELECT count(*) FROM audit").await, 1);
}
