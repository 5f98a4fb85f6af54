//! SQL, odd characters and long texts in every field of every form, and in every address.

use super::{address, filled, forms, rooms, routes, send};
use crate::app::{TestApp, Visit};

const SQL: &str = "1'; DELETE FROM entries; --\" OR '1'='1'/*";
const ODD: &str = "\u{202e}\u{1f527}\u{fffd}%_\\\r\n\t=cmd|' /C'!A0\u{301}\u{7f}";

/// What ends the visit or somebody's way in, or takes minutes.
fn leave_alone(action: &str) -> bool {
    let ends = [
        "/sign-out",
        "/close",
        "/password",
        "/sessions",
        "/second-factor",
        "/tablet",
    ];
    ends.iter().any(|end| action.ends_with(end))
        || action.starts_with("/me")
        || action == "/shop/backups"
}

async fn rows(app: &TestApp) -> [i64; 4] {
    [
        app.count("SELECT count(*) FROM entries").await,
        app.count("SELECT count(*) FROM people").await,
        app.count("SELECT count(*) FROM machines").await,
        app.count("SELECT count(*) FROM audit").await,
    ]
}

/// Sends the page's forms with the text in every field that is typed; how many that were.
async fn fill(visit: &Visit<'_>, page: &str, text: &str, broken: &mut Vec<String>) -> usize {
    let answer = visit.get(page).await;
    if answer.status.is_server_error() {
        broken.push(format!("GET {page}"));
    }
    let mut sent = 0;
    for form in forms(&answer) {
        if leave_alone(&form.action) {
            continue;
        }
        let typed = |kind: &str| {
            !matches!(
                kind,
                "hidden" | "select" | "file" | "button" | "radio" | "checkbox"
            )
        };
        let fields: Vec<(&str, &str)> = form
            .fields
            .iter()
            .filter(|(_, kind, _)| kind != "file")
            .map(|(name, kind, value)| (&**name, if typed(kind) { text } else { &**value }))
            .collect();
        let answer = if form.posts {
            let action = form.action.split('?').next().unwrap_or("");
            send(visit, action, &fields, &[]).await
        } else {
            let query = serde_html_form::to_string(&fields).expect("a query");
            // No client can ask for more than this.
            let query = query.get(..60_000).unwrap_or(&query);
            // A form without an address of its own asks for its own page anew.
            let own = page.split('?').next().unwrap_or(page);
            let to = form.action.split('?').next().unwrap_or("");
            visit
                .get(&format!("{}?{query}", if to.is_empty() { own } else { to }))
                .await
        };
        if answer.status.is_server_error() {
            broken.push(format!("{} with {text:?} from {page}", form.action));
        }
        sent += 1;
    }
    sent
}

#[tokio::test]
async fn no_field_of_any_form_reaches_the_database_as_anything_but_text() {
    let app = filled().await;
    let before = rows(&app).await;
    let (mut sent, mut broken) = (0, Vec::new());
    let long = "ä".repeat(4_000);
    for name in ["maren", "tobin", "dov", "wren"] {
        let visit = app.sign_in_with(name, brasstag::demo::PASSWORD).await;
        for page in rooms() {
            for text in [SQL, ODD, &long] {
                sent += fill(&visit, &page, text, &mut broken).await;
            }
        }
    }
    broken.sort();
    broken.dedup();
    assert!(broken.is_empty(), "{}", broken.join("\n"));
    assert!(sent > 500, "{sent} forms");
    let after = rows(&app).await;
    assert!(
        before.iter().zip(after).all(|(was, is)| is >= *was),
        "{before:?} {after:?}"
    );
}

#[tokio::test]
async fn no_address_and_no_query_breaks_a_page() {
    let app = filled().await;
    let visit = app.sign_in_with("maren", brasstag::demo::PASSWORD).await;
    let ids = [
        "1'%20OR%20'1'='1",
        "-1",
        "0",
        "99999999999999999999",
        "%00",
        "%ff",
        "1%3B--",
        "..%2f..%2fetc%2fpasswd",
        "%2e%2e",
    ];
    let query = "q=1%27%3B--&machine=%27&from=%ff&to=9999-99-99&before=1.1.1&after=%00&person=x&page=-1&state=%27";
    let mut broken = Vec::new();
    for route in routes().into_iter().filter(|route| route.gets) {
        let plain = address(&route.path, "1", "1");
        let mut tries = vec![
            format!("{plain}?{query}"),
            format!("{plain}?{}", "a=b&".repeat(500)),
        ];
        if route.path.contains('{') {
            tries.extend(ids.iter().map(|id| {
                let parts = route
                    .path
                    .split('/')
                    .map(|part| if part.starts_with('{') { id } else { part });
                parts.collect::<Vec<_>>().join("/")
            }));
        }
        for path in tries {
            let answer = visit.get(&path).await;
            if answer.status.is_server_error() && !path.starts_with("/readyz") {
                broken.push(path.chars().take(200).collect::<String>());
            }
            assert!(!answer.body.contains("root:x:"), "{path}");
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}
