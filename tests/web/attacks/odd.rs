//! Headers on every answer, nothing kept by a cache, no file of the host's, no formula in a CSV.

use super::{address, filled, rooms, routes};
use axum::http::StatusCode;

const HEADERS: &[(&str, &str)] = &[
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
];

#[tokio::test]
async fn every_answer_carries_the_guarding_headers_and_no_private_page_is_kept() {
    let app = filled().await;
    let visit = app.sign_in_with("maren", brasstag::demo::PASSWORD).await;
    let mut pages = rooms();
    pages.extend(
        routes()
            .iter()
            .filter(|r| r.gets)
            .map(|r| address(&r.path, "1", "1")),
    );
    pages.extend(["/no-such-page".to_owned(), "/machines/999999".to_owned()]);
    let mut wrong = Vec::new();
    for page in &pages {
        let answer = visit.get(page).await;
        let header = |name: &str| {
            let value = answer.headers.get(name).and_then(|v| v.to_str().ok());
            value.unwrap_or("").to_owned()
        };
        for (name, value) in HEADERS {
            if header(name) != *value {
                wrong.push(format!("{page}: {name}: {:?}", header(name)));
            }
        }
        let policy = header("content-security-policy");
        let framed = policy.contains("frame-ancestors 'none'") || policy.contains("sandbox");
        if policy.contains("unsafe") || !policy.contains("default-src 'none'") || !framed {
            wrong.push(format!("{page}: {policy}"));
        }
        if !header("permissions-policy").contains("geolocation=()") {
            wrong.push(format!("{page}: permissions"));
        }
        let open = page.starts_with("/static/")
            || ["/healthz", "/readyz", "/worker.js"].contains(&page.as_str());
        let cache = header("cache-control");
        let private = cache.contains("no-store") || cache.contains("private");
        if !open && answer.status == StatusCode::OK && !private {
            wrong.push(format!("{page}: cache-control {cache:?}"));
        }
        if !open && !header("vary").to_lowercase().contains("cookie") {
            wrong.push(format!("{page}: vary {:?}", header("vary")));
        }
        if !header("etag").is_empty()
            && !open
            && !cache.contains("no-cache")
            && !cache.contains("private")
        {
            wrong.push(format!("{page}: an ETag on what is private"));
        }
    }
    wrong.sort();
    wrong.dedup();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[tokio::test]
async fn no_address_leads_to_a_file_of_the_host() {
    let app = filled().await;
    let visit = app.sign_in_with("wren", brasstag::demo::PASSWORD).await;
    let up = [
        "../",
        "..%2f",
        "%2e%2e%2f",
        "..%5c",
        "....//",
        "%252e%252e%252f",
        "..%c0%af",
    ];
    for up in up {
        for room in [
            "/static/0/",
            "/photos/",
            "/exchange/registers/",
            "/exchange/templates/",
            "/password/",
            "/t/",
        ] {
            for file in ["etc/passwd", "Cargo.toml", "shop.sqlite"] {
                let answer = visit.get(&format!("{room}{}{file}", up.repeat(6))).await;
                let found = answer.body.contains("root:x:")
                    || answer.body.contains("[package]")
                    || answer.body.contains("SQLite format");
                assert!(
                    !found && !answer.status.is_server_error(),
                    "{room}{up}{file}: {}",
                    answer.status
                );
            }
        }
    }
}

#[tokio::test]
async fn no_cell_of_any_csv_is_taken_for_a_formula() {
    let app = filled().await;
    app.run("UPDATE machines SET name = '=1+1'").await;
    app.run("UPDATE people SET name = '@SUM(A1)' WHERE role = 'keeper'")
        .await;
    app.run("UPDATE parts SET name = '+1' WHERE id = 1").await;
    app.run(
        "INSERT INTO audit (at, person_id, thing, thing_id, act, detail)
         VALUES (1795608000000, NULL, '-1', 1, '=cmd', '\t=1')",
    )
    .await;
    let visit = app.sign_in_with("wren", brasstag::demo::PASSWORD).await;
    let maren = app.sign_in_with("maren", brasstag::demo::PASSWORD).await;
    let (mut files, mut cells) = (0, 0);
    let mut paths = vec!["/shop/audit.csv".to_owned()];
    let columns = maren.get("/exchange/columns").await;
    let all = columns.attributes("href");
    paths.extend(all.into_iter().filter(|to| to.ends_with(".csv")));
    paths.extend(
        ["machines", "parts", "motors", "places", "shelf"]
            .map(|r| format!("/exchange/registers/{r}.csv")),
    );
    for path in paths {
        for visit in [&visit, &maren] {
            let answer = visit.get(&path).await;
            if answer.status != StatusCode::OK {
                continue;
            }
            files += 1;
            let text = answer.body.trim_start_matches('\u{feff}').to_owned();
            let mut reader = csv::ReaderBuilder::new()
                .flexible(true)
                .has_headers(false)
                .from_reader(text.as_bytes());
            for record in reader.records() {
                for cell in &record.expect("a record") {
                    let number = cell.parse::<f64>().is_ok();
                    let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
                    assert!(number || !formula, "{path}: {cell:?}");
                    cells += 1;
                }
            }
        }
    }
    assert!(files >= 4 && cells > 100, "{files} files, {cells} cells");
}
