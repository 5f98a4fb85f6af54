//! Over a real connection: what is slow or too large is cut, and others are served meanwhile.

use crate::app::TestApp;
use std::net::SocketAddr;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

/// The shop behind a port of its own, as `serve` has it.
async fn listening(app: &TestApp) -> SocketAddr {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
    let address = listener.local_addr().expect("an address");
    let router = brasstag::routes::router(app.state.clone());
    tokio::spawn(async move {
        let never = std::future::pending::<()>();
        let _ended = brasstag::serve::listen::serve(listener, None, router, never).await;
    });
    address
}

/// What comes back for these bytes, or nothing within the time.
async fn asked(to: SocketAddr, bytes: &[u8], within: Duration) -> Option<String> {
    let mut stream = TcpStream::connect(to).await.expect("it connects");
    let _closed_early = stream.write_all(bytes).await;
    let mut answer = Vec::new();
    let read = stream.read_to_end(&mut answer);
    let ended = tokio::time::timeout(within, read).await.is_ok();
    ended.then(|| String::from_utf8_lossy(&answer).into_owned())
}

#[tokio::test]
async fn too_large_a_request_is_refused_before_it_is_read() {
    let app = TestApp::start().await;
    let to = listening(&app).await;
    let soon = Duration::from_secs(10);
    let many: String = (0..200).map(|n| format!("x-{n}: 1\r\n")).collect();
    let large = format!("x-large: {}\r\n", "a".repeat(64 * 1024));
    for (what, headers) in [("many", many), ("large", large)] {
        let bytes =
            format!("GET /healthz HTTP/1.1\r\nhost: x\r\nconnection: close\r\n{headers}\r\n");
        let answer = asked(to, bytes.as_bytes(), soon).await.expect("an end");
        assert!(!answer.starts_with("HTTP/1.1 200"), "{what}: {answer}");
    }
    let line = format!(
        "GET /{} HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n",
        "a".repeat(70_000)
    );
    let answer = asked(to, line.as_bytes(), soon).await.expect("an end");
    assert!(!answer.starts_with("HTTP/1.1 200"), "{answer}");
    let body = format!(
        "POST /sign-in HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\
         content-type: application/x-www-form-urlencoded\r\ncontent-length: 1000000000\r\n\r\n{}",
        "a".repeat(300 * 1024)
    );
    let answer = asked(to, body.as_bytes(), soon).await.expect("an end");
    let refused = answer.starts_with("HTTP/1.1 4") || answer.is_empty();
    assert!(refused, "{}", answer.chars().take(200).collect::<String>());
    let fine = asked(
        to,
        b"GET /healthz HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n",
        soon,
    )
    .await;
    assert!(fine.expect("an end").starts_with("HTTP/1.1 200"));
}

#[tokio::test]
async fn slow_headers_and_slow_bodies_are_cut_and_others_are_served_meanwhile() {
    let app = TestApp::start().await;
    let to = listening(&app).await;
    let mut slow = Vec::new();
    for _ in 0..150 {
        let mut stream = TcpStream::connect(to).await.expect("it connects");
        stream
            .write_all(b"GET /healthz HTTP/1.1\r\nhost: x\r\nx-slow: ")
            .await
            .expect("a part");
        slow.push(stream);
    }
    let body =
        b"POST /sign-in HTTP/1.1\r\nhost: x\r\ncontent-type: application/x-www-form-urlencoded\r\n\
        content-length: 1000\r\n\r\nname=";
    for _ in 0..20 {
        let mut stream = TcpStream::connect(to).await.expect("it connects");
        stream.write_all(body).await.expect("a part");
        slow.push(stream);
    }
    let soon = Duration::from_secs(5);
    let fine = asked(
        to,
        b"GET /report HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n",
        soon,
    )
    .await;
    assert!(fine.expect("served meanwhile").starts_with("HTTP/1.1 200"));
    // The limits are 30 s; all of them are cut at the same time.
    tokio::time::sleep(Duration::from_secs(29)).await;
    for (at, mut stream) in slow.into_iter().enumerate() {
        let mut answer = Vec::new();
        let ended = tokio::time::timeout(soon, stream.read_to_end(&mut answer)).await;
        assert!(ended.is_ok(), "connection {at} is open still");
        let answer = String::from_utf8_lossy(&answer);
        assert!(!answer.starts_with("HTTP/1.1 200"), "{answer}");
    }
}
