//! Without a proxy: TLS by files, figures, logs, readiness.

use crate::scratch::Scratch;
use crate::shop::{Shop, certificate, free_port, soon};
use crate::web::{Visitor, curl};
use std::process::Command;

/// The name in the certificate that the program shows.
fn shown(port: u16) -> String {
    let script = format!(
        "openssl s_client -connect 127.0.0.1:{port} </dev/null 2>/dev/null \
         | openssl x509 -noout -subject"
    );
    let out = Command::new("sh").args(["-c", &script]).output();
    String::from_utf8_lossy(&out.expect("openssl starts").stdout).into_owned()
}

#[test]
fn a_shop_without_a_proxy_speaks_https_and_takes_a_renewed_certificate() {
    let folder = Scratch::new("tls");
    let (cert, key) = certificate(folder.path(), "first");
    let settings = [
        ("BRASSTAG_TLS_CERT", cert.as_str()),
        ("BRASSTAG_TLS_KEY", key.as_str()),
    ];
    let shop = Shop::start(folder.path(), "demo", &settings);
    assert!(shop.url.starts_with("https://127.0.0.1:"), "{}", shop.url);

    for version in ["--http1.1", "--http2"] {
        let page = curl(&[version, &format!("{}/sign-in", shop.url)]);
        assert_eq!(page.status, 200, "{version}");
        let hsts = page.header("strict-transport-security");
        assert_eq!(hsts, Some("max-age=31536000"));
        let cookie = page.header("set-cookie").expect("a cookie for the form");
        assert!(
            cookie.contains("; Secure") && cookie.contains("HttpOnly"),
            "{cookie}"
        );
    }
    let plain = curl(&[&format!("http://127.0.0.1:{}/sign-in", shop.port())]);
    assert_ne!(
        plain.status, 200,
        "plain HTTP is not served on the TLS port"
    );
    assert!(shown(shop.port()).contains("first"));

    let (renewed, renewed_key) = certificate(folder.path(), "second");
    std::fs::copy(&renewed_key, &key).expect("a new key");
    std::fs::copy(&renewed, &cert).expect("a new certificate");
    shop.tell("-HUP");
    soon("the renewed certificate is shown", || {
        shown(shop.port()).contains("second")
    });

    // A broken renewal changes nothing.
    std::fs::write(&cert, "not a certificate").expect("a broken file");
    shop.tell("-HUP");
    soon("the trouble is told", || {
        shop.log().contains("certificate not renewed")
    });
    assert!(shown(shop.port()).contains("second"));
    Visitor::signed_in(folder.path(), &shop.url, "maren");
}

#[test]
fn figures_are_read_on_an_address_of_this_host_and_nowhere_else() {
    let folder = Scratch::new("figures");
    let at = format!("127.0.0.1:{}", free_port());
    let shop = Shop::start(folder.path(), "demo", &[("BRASSTAG_METRICS_LISTEN", &at)]);
    let tobin = Visitor::signed_in(folder.path(), &shop.url, "tobin");
    assert_eq!(tobin.get("/machines/1").status, 200);
    assert_eq!(tobin.get("/made-up-address-4711").status, 404);

    let figures = curl(&[&format!("http://{at}/metrics")]);
    assert_eq!(figures.status, 200);
    let has = |words: &str| {
        assert!(figures.body.contains(words), "{words} in {}", figures.body);
    };
    has("brasstag_request_seconds_count{route=\"/machines/{id}\",method=\"GET\",status=\"200\"} 1");
    has("brasstag_request_seconds_bucket");
    has("brasstag_database_connections{state=\"idle\"}");
    has("brasstag_resident_bytes");
    assert!(
        !figures.body.contains("4711"),
        "a stranger's address makes no line"
    );
    let public = curl(&[&format!("{}/metrics", shop.url)]);
    assert_eq!(public.status, 404, "the shop's own address has no figures");

    let mut elsewhere = Command::new(env!("CARGO_BIN_EXE_brasstag"));
    let refused = elsewhere
        .args([
            "serve",
            "--metrics-listen",
            "0.0.0.0:0",
            "--listen",
            "127.0.0.1:0",
        ])
        .args([
            "--folder",
            &folder.path().join("other").display().to_string(),
        ])
        .output()
        .expect("the program starts");
    assert!(!refused.status.success());
    let words = String::from_utf8_lossy(&refused.stderr);
    assert!(
        words.contains("BRASSTAG_METRICS_LISTEN must be an address of this host"),
        "{words}"
    );
}

#[test]
fn a_log_line_has_the_requests_number_and_never_a_secret() {
    let folder = Scratch::new("logs");
    let settings = [("BRASSTAG_LOG_FORMAT", "json"), ("BRASSTAG_LOG", "debug")];
    let shop = Shop::start(folder.path(), "demo", &settings);
    let tobin = Visitor::signed_in(folder.path(), &shop.url, "tobin");
    assert_eq!(tobin.get("/today").status, 200);
    let address = format!("{}/status/3?code=hushhush", shop.url);
    let page = curl(&["--header", "X-Request-Id: proxy-77_a", &address]);
    assert_eq!(page.header("x-request-id"), Some("proxy-77_a"));
    let forged = curl(&["--header", "X-Request-Id: a b\"}", &address]);
    assert_ne!(forged.header("x-request-id"), Some("a b\"}"));
    let wrong = [
        format!(
            "csrf={}",
            crate::web::hidden(&tobin.get("/report").body, "csrf")
        ),
        "name=tobin".to_owned(),
        "password=a wrong secret word".to_owned(),
    ];
    tobin.post("/sign-in", &wrong);

    soon("the lines are written", || {
        shop.log().contains("proxy-77_a")
    });
    let log = shop.log();
    let line = log
        .lines()
        .find(|line| line.contains("proxy-77_a") && line.contains("answered"))
        .expect("the line of the request");
    let line: serde_json::Value = serde_json::from_str(line).expect("one JSON object a line");
    assert_eq!(line["span"]["route"], "/status/{number}");
    assert_eq!(line["status"], 200);
    for secret in [
        "hushhush",
        "clay and copper",
        "a wrong secret word",
        "brasstag_session=",
    ] {
        assert!(!log.contains(secret), "{secret:?} is in the log");
    }
}

#[test]
fn told_to_stop_it_says_so_finishes_and_ends() {
    let folder = Scratch::new("drain");
    let shop = Shop::start(folder.path(), "demo", &[("BRASSTAG_DRAIN_SECONDS", "2")]);
    let ready = |path: &str| curl(&[&format!("{}{path}", shop.url)]);
    assert_eq!(ready("/readyz").status, 200);
    shop.tell("-TERM");
    soon("readyz says no", || ready("/readyz").status == 503);
    let page = ready("/sign-in");
    assert_eq!(page.status, 200, "pages are served while others take over");
    assert_eq!(page.header("connection"), Some("close"));
    soon("it ends", || ready("/healthz").status == 0);
    assert!(shop.log().contains("stopping"), "{}", shop.log());
}

#[test]
fn the_container_asks_the_program_whether_it_is_well() {
    let folder = Scratch::new("healthy");
    let shop = Shop::start(folder.path(), "demo", &[("BRASSTAG_BASE_PATH", "/shop")]);
    let asked = |listen: String| {
        Command::new(env!("CARGO_BIN_EXE_brasstag"))
            .args(["healthy", "--base-path", "/shop", "--listen", &listen])
            .status()
            .expect("the program starts")
            .success()
    };
    assert!(asked(format!("127.0.0.1:{}", shop.port())));
    assert!(
        asked(format!("0.0.0.0:{}", shop.port())),
        "as the container sets it"
    );
    assert!(!asked(format!("127.0.0.1:{}", free_port())));
}
