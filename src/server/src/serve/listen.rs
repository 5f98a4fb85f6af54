//! Taking connections: plain or with TLS, with an end to what is slow or large.

use super::Failure;
use crate::config::Settings;
use axum::Router;
use axum_server::Handle;
use axum_server::accept::NoDelayAcceptor;
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use std::net::{SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::time::Duration;
use tokio::signal::unix::{SignalKind, signal};

/// A request's line and headers must be here by then; a phone on a weak signal needs seconds. A
/// connection that asks for nothing is closed after it too.
const HEADERS_BY: Duration = Duration::from_secs(30);
/// Headers larger than this, or more of them, are refused with 431.
const HEADER_BYTES: usize = 32 * 1024;
const HEADERS: usize = 64;
/// Running requests have this long once the program was told to stop.
const FINISH_BY: Duration = Duration::from_secs(30);

/// Certificate and key, as files.
pub struct Tls {
    cert: PathBuf,
    key: PathBuf,
}

impl Tls {
    pub fn of(settings: &Settings) -> Option<Tls> {
        Some(Tls {
            cert: settings.tls_cert.clone()?,
            key: settings.tls_key.clone()?,
        })
    }
}

/// Serves until the process is told to stop, and lets running requests finish.
///
/// # Errors
/// One sentence: the certificate cannot be read, or the system gives no connections.
pub async fn serve(
    listener: TcpListener,
    tls: Option<Tls>,
    router: Router,
    stopping: impl Future<Output = ()> + Send + 'static,
) -> Result<(), Failure> {
    let handle = Handle::new();
    tokio::spawn({
        let handle = handle.clone();
        async move {
            stopping.await;
            handle.graceful_shutdown(Some(FINISH_BY));
        }
    });
    let broken = |e: std::io::Error| format!("The server stopped: {e}");
    let service = router.into_make_service_with_connect_info::<SocketAddr>();
    let mut server = axum_server::from_tcp(listener)
        .map_err(broken)?
        .handle(handle)
        // Small pages must not wait for the client's delayed acknowledgement.
        .acceptor(NoDelayAcceptor::new())
        .first_request_timeout(HEADERS_BY);
    server
        .http_builder()
        .http1()
        .header_read_timeout(HEADERS_BY)
        .max_buf_size(HEADER_BYTES)
        .max_headers(HEADERS)
        .http2()
        .max_header_list_size(HEADER_BYTES as u32)
        .max_concurrent_streams(64);
    let Some(tls) = tls else {
        return server.serve(service).await.map_err(broken);
    };
    let config = certificate(&tls).await?;
    keep_certificate_fresh(config.clone(), tls);
    server
        .map(|nodelay| RustlsAcceptor::new(config).acceptor(nodelay))
        .serve(service)
        .await
        .map_err(broken)
}

async fn certificate(tls: &Tls) -> Result<RustlsConfig, Failure> {
    let named = |path: &Path| path.display().to_string();
    RustlsConfig::from_pem_file(&tls.cert, &tls.key)
        .await
        .map_err(|e| {
            let (cert, key) = (named(&tls.cert), named(&tls.key));
            format!("Certificate {cert} with key {key} cannot be used: {e}")
        })
}

/// A renewed certificate is taken on SIGHUP, and within an hour without it. One that cannot be read
/// is told of, and the old one goes on.
fn keep_certificate_fresh(config: RustlsConfig, tls: Tls) {
    tokio::spawn(async move {
        let Ok(mut told) = signal(SignalKind::hangup()) else {
            return;
        };
        loop {
            let _either = tokio::time::timeout(Duration::from_secs(3600), told.recv()).await;
            match config.reload_from_pem_file(&tls.cert, &tls.key).await {
                Ok(()) => tracing::info!("certificate read again"),
                Err(error) => tracing::error!(%error, "certificate not renewed; the old one stays"),
            }
        }
    });
}
