//! A form of another site, of another visit, or of none is refused at every route that takes one.

use super::matrix::listed;
use super::{address, filled, routes, send, word};
use axum::http::StatusCode;

/// What calculates and writes nothing, and what is asked with a token of its own instead of a cookie.
/// The word sent, headers, and what is wrong with them.
type Try<'a> = (&'a str, &'a [(&'static str, &'a str)], &'a str);

/// Programs have a token of their own, and a mail program stops a mail with the word in its address
/// (RFC 8058): neither has a form's word.
fn no_form(path: &str) -> bool {
    path.starts_with("/api/") || path == "/stop/{word}"
}

#[tokio::test]
async fn no_route_takes_a_form_that_its_own_page_did_not_make() {
    const ROWS: &str = "SELECT (SELECT count(*) FROM entries) + (SELECT count(*) FROM audit)
        + (SELECT count(*) FROM people) + (SELECT count(*) FROM sessions)
        + (SELECT count(*) FROM machines)";
    let app = filled().await;
    let who = listed();
    let names = [
        ('u', "maren"),
        ('k', "wren"),
        ('t', "tobin"),
        ('s', "dov"),
        ('n', ""),
    ];
    let mut visits = Vec::new();
    for (letter, name) in names {
        let visit = match name {
            "" => app.visitor(),
            name => app.sign_in_with(name, brasstag::demo::PASSWORD).await,
        };
        let own = word(&visit).await;
        visits.push((letter, visit, own));
    }
    let other = app.sign_in_with("ilse", brasstag::demo::PASSWORD).await;
    let others = word(&other).await;
    let before = app.count(ROWS).await;
    let mut tried = 0;
    for route in routes() {
        if !route.posts || no_form(&route.path) {
            continue;
        }
        let letters = who.get(&format!("POST {}", route.path));
        let letters = letters.map_or("u", String::as_str);
        let sender = visits.iter().find(|(letter, ..)| letters.contains(*letter));
        let (_, visit, own) = sender.unwrap_or(&visits[0]);
        let path = address(&route.path, "1", "2");
        let elsewhere = [("origin", "https://evil.example"), ("host", "shop.example")];
        let opaque = [("origin", "null"), ("host", "shop.example")];
        let tries: [Try<'_>; 6] = [
            ("", &[], "no word"),
            ("made-up", &[], "a word of nobody"),
            (&others, &[], "the word of another visit"),
            (own, &elsewhere, "another site"),
            (own, &opaque, "a site that hides"),
            (
                own,
                &[("sec-fetch-site", "cross-site")],
                "sent across sites",
            ),
        ];
        for (csrf, headers, what) in tries {
            let answer = send(visit, &path, &[("csrf", csrf)], headers).await;
            assert_eq!(
                answer.status,
                StatusCode::FORBIDDEN,
                "{path}: {what}: {}",
                answer.text("main")
            );
            tried += 1;
        }
    }
    assert!(tried > 600, "{tried}");
    assert_eq!(app.count(ROWS).await, before, "nothing was written");
}
