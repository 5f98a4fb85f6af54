//! Figures for Prometheus, on an address of this host that only the keeper's own programs reach.

use super::Failure;
use crate::db::Db;
use axum::Router;
use axum::extract::{MatchedPath, Request};
use axum::middleware::Next;
use axum::response::Response;
use axum::routing::get;
use metrics_exporter_prometheus::{PrometheusBuilder, PrometheusHandle};
use std::net::SocketAddr;
use std::time::{Duration, Instant};

const SECONDS: &str = "brasstag_request_seconds";
const WORKING: &str = "brasstag_requests_in_work";
/// Bounds of the buckets of request times, in seconds.
const BOUNDS: [f64; 10] = [0.001, 0.003, 0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0];

/// Counts each request by its route as the program knows it, so that an address made up by a
/// stranger adds no line.
pub async fn counted(req: Request, next: Next) -> Response {
    let route = req
        .extensions()
        .get::<MatchedPath>()
        .map_or("none", MatchedPath::as_str)
        .to_owned();
    let method = match req.method().as_str() {
        known @ ("GET" | "HEAD" | "POST" | "PUT" | "PATCH" | "DELETE") => known.to_owned(),
        _ => "other".to_owned(),
    };
    let began = Instant::now();
    metrics::gauge!(WORKING).increment(1.0);
    let _done = Counted;
    let response = next.run(req).await;
    let status = response.status().as_u16().to_string();
    metrics::histogram!(SECONDS, "route" => route, "method" => method, "status" => status)
        .record(began.elapsed().as_secs_f64());
    response
}

/// A request that a client gives up is counted out as well.
struct Counted;

impl Drop for Counted {
    fn drop(&mut self) {
        metrics::gauge!(WORKING).decrement(1.0);
    }
}

/// Serves the figures until the process ends.
///
/// # Errors
/// One sentence where the address is taken.
pub async fn serve(at: SocketAddr, db: Db) -> Result<(), Failure> {
    let recorder = PrometheusBuilder::new()
        .set_buckets(&BOUNDS)
        .map_err(|e| e.to_string())?
        .install_recorder()
        .map_err(|e| format!("Figures cannot be kept: {e}"))?;
    describe();
    let listener = tokio::net::TcpListener::bind(at)
        .await
        .map_err(|e| format!("Cannot show figures on {at}: {e}"))?;
    println!(
        "Figures on http://{}/metrics",
        listener.local_addr().unwrap_or(at)
    );
    keep_up(recorder.clone());
    let page = get(move || {
        let (recorder, db) = (recorder.clone(), db.clone());
        async move { shown(&recorder, &db) }
    });
    let router = Router::new().route("/metrics", page);
    tokio::spawn(async move {
        if let Err(error) = axum::serve(listener, router).await {
            tracing::error!(%error, "figures are not shown any more");
        }
    });
    Ok(())
}

fn describe() {
    metrics::describe_histogram!(SECONDS, "Time until a request was answered, by route");
    metrics::describe_gauge!(WORKING, "Requests that are being answered");
    metrics::describe_gauge!(CONNECTIONS, "Connections to the database, by what they do");
    metrics::describe_gauge!(MEMORY, "Memory of this process that is in the machine's");
}

const CONNECTIONS: &str = "brasstag_database_connections";
const MEMORY: &str = "brasstag_resident_bytes";

fn shown(recorder: &PrometheusHandle, db: &Db) -> String {
    let (open, idle) = db.connections();
    let count = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    metrics::gauge!(CONNECTIONS, "state" => "busy").set(count(open.saturating_sub(idle)));
    metrics::gauge!(CONNECTIONS, "state" => "idle").set(count(idle));
    if let Some(pages) = resident_pages() {
        metrics::gauge!(MEMORY).set(pages * 4096.0);
    }
    recorder.render()
}

/// As Linux tells it; other systems do not.
fn resident_pages() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/statm").ok()?;
    text.split_whitespace().nth(1)?.parse().ok()
}

/// Samples between two readings must not pile up.
fn keep_up(recorder: PrometheusHandle) {
    tokio::spawn(async move {
        let mut tick = tokio::time::interval(Duration::from_secs(10));
        loop {
            tick.tick().await;
            recorder.run_upkeep();
        }
    });
}
