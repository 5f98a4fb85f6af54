//! `brasstag healthy`: asks the server of this host whether it is ready, for a container's check.

use super::Failure;
use crate::config::Settings;
use std::io::{Read, Write};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, TcpStream};
use std::time::Duration;

const PATIENCE: Duration = Duration::from_secs(3);

/// # Errors
/// One sentence: nothing answers, or it says that it is not ready. With TLS by files only the
/// connection is tried.
pub fn ask(settings: &Settings) -> Result<(), Failure> {
    let at = reachable(settings.listen);
    let failed = |e: std::io::Error| format!("Nothing answers on {at}: {e}");
    let mut tcp = TcpStream::connect_timeout(&at, PATIENCE).map_err(failed)?;
    if settings.tls_cert.is_some() {
        return Ok(());
    }
    tcp.set_read_timeout(Some(PATIENCE)).map_err(failed)?;
    let base = settings.base_path.trim_end_matches('/');
    write!(tcp, "GET {base}/readyz HTTP/1.0\r\nHost: {at}\r\n\r\n").map_err(failed)?;
    let mut answer = String::new();
    tcp.read_to_string(&mut answer).map_err(failed)?;
    match answer.split_whitespace().nth(1) {
        Some("200") => Ok(()),
        _ => Err(format!(
            "Not ready: {}",
            answer.lines().last().unwrap_or("no words")
        )),
    }
}

/// A server that listens everywhere is asked on this host.
fn reachable(listen: SocketAddr) -> SocketAddr {
    let ip = match listen.ip() {
        IpAddr::V4(ip) if ip.is_unspecified() => Ipv4Addr::LOCALHOST.into(),
        IpAddr::V6(ip) if ip.is_unspecified() => Ipv6Addr::LOCALHOST.into(),
        ip => ip,
    };
    SocketAddr::new(ip, listen.port())
}
