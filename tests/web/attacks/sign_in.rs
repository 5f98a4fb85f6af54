//! Who somebody is: other sites after signing in, names told by time, and what stays behind.

use crate::app::{PASSWORD, TestApp};
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use brasstag::people::password;
use std::time::{Duration, Instant};

#[tokio::test]
async fn after_signing_in_nobody_is_led_to_another_site() {
    for base in ["", "/shop"] {
        let app = TestApp::behind(base).await;
        let sign_in = format!("{base}/sign-in");
        for next in [
            "//evil.example",
            "/\\evil.example",
            "\\\\evil.example",
            "https://evil.example",
            "/%09/evil.example/",
            "/\t/evil.example",
            "javascript:alert(1)",
            "///evil.example",
            "/.evil.example@",
            "evil.example",
            " //evil.example",
            "/x\r\nset-cookie: a=b",
        ] {
            let visit = app.visitor();
            let page = visit.get(&sign_in).await;
            let typed = [
                ("name", "technician"),
                ("password", PASSWORD),
                ("next", next),
            ];
            let fields = page.filled(&sign_in, &typed);
            let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (&**n, &**v)).collect();
            let answer = visit.post(&sign_in, &fields).await;
            assert_eq!(answer.status, StatusCode::SEE_OTHER, "{next}");
            let to = &answer.location;
            let own = to.starts_with(&format!("{base}/")) && !to.starts_with("//");
            assert!(
                own && !to.contains('\\') && !answer.headers.contains_key("a"),
                "{next}: {to}"
            );
        }
    }
}

#[tokio::test]
async fn the_host_that_a_request_names_is_in_no_link() {
    let app = TestApp::start().await;
    let visit = app.sign_in("keeper").await;
    let page = format!("/shop/people/{}", app.person("technician").await.0);
    let csrf = visit.get(&page).await.value("input[name=csrf]");
    let body = serde_html_form::to_string([("csrf", csrf)]).expect("a form");
    let request = Request::post(format!("{page}/link"))
        .header(header::COOKIE, visit.cookie())
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .header(header::HOST, "evil.example")
        .header("x-forwarded-host", "evil.example")
        .header("forwarded", "host=evil.example")
        .body(Body::from(body))
        .expect("a request");
    let made = visit.send(request).await;
    assert!(
        made.text("main code")
            .starts_with("http://shop.example/password/"),
        "{}",
        made.body
    );
    assert!(!made.body.contains("evil.example"));
    for path in ["/", "/sign-in", "/report", "/shop", "/machines"] {
        let request = Request::get(path)
            .header(header::HOST, "evil.example")
            .header("x-forwarded-host", "evil.example")
            .body(Body::empty())
            .expect("a request");
        let answer = visit.send(request).await;
        assert!(
            !answer.body.contains("evil.example") && !answer.location.contains("evil"),
            "{path}"
        );
    }
}

/// How long one check takes.
async fn takes(hash: Option<String>) -> Duration {
    let from = Instant::now();
    assert!(!password::verify("not it at all, no", hash, false).await);
    from.elapsed()
}

#[tokio::test]
async fn a_name_that_does_not_exist_takes_as_long_as_one_that_does() {
    // At full cost, as in a shop. Turn by turn, and the shortest of many, so that a busy machine does
    // not count for one of them only.
    let real = password::hash(PASSWORD, false).await.expect("a hash");
    let hashes = [Some(real), None, Some(String::new())];
    let mut least = [Duration::MAX; 3];
    for _ in 0..15 {
        for (least, hash) in least.iter_mut().zip(&hashes) {
            *least = (*least).min(takes(hash.clone()).await);
        }
    }
    let (less, more) = (least.iter().min(), least.iter().max());
    let (less, more) = (*less.expect("three"), *more.expect("three"));
    assert!(more < 2 * less, "right name, unknown, invited: {least:?}");
}

#[tokio::test]
async fn cookies_cannot_be_read_by_script_or_set_by_a_neighbour() {
    let app = TestApp::start().await;
    let given = app.visitor().get("/sign-in").await;
    let cookie = given.headers[header::SET_COOKIE]
        .to_str()
        .expect("ascii")
        .to_owned();
    assert!(
        cookie.contains("; HttpOnly") && cookie.contains("; SameSite=Lax"),
        "{cookie}"
    );
    let mut config = (*app.state.config).clone();
    config.public_url = "https://shop.example".to_owned();
    for (base, name) in [("", "__Host-brasstag_visit="), ("/shop", "brasstag_visit=")] {
        config.base_path = base.to_owned();
        let app = TestApp::with_config(config.clone()).await;
        let answer = app.visitor().get(&format!("{base}/set-up")).await;
        let cookie = answer.headers[header::SET_COOKIE].to_str().expect("ascii");
        assert!(
            cookie.starts_with(name) && cookie.contains("; Secure"),
            "{cookie}"
        );
        assert!(answer.headers.contains_key("strict-transport-security"));
    }
}

#[tokio::test]
async fn after_signing_out_the_back_button_finds_nothing() {
    let app = TestApp::start().await;
    let visit = app.sign_in("supervisor").await;
    let old = visit.cookie();
    let page = visit.get("/desk").await;
    assert_eq!(page.headers["cache-control"], "no-store");
    visit.submit("/desk", "/sign-out", &[]).await;
    let request = Request::get("/desk").header(header::COOKIE, old);
    let answer = visit
        .send(request.body(Body::empty()).expect("a request"))
        .await;
    assert!(
        answer.location.starts_with("/sign-in"),
        "the token opens nothing any more"
    );
}
