//! The cookies of the program: names, and how they are given.

use crate::config::Config;
use axum::http::{HeaderMap, HeaderValue, header};
use sha2::{Digest, Sha256};

/// Who is signed in.
pub const SESSION: &str = "brasstag_session";
/// Binds the forms of somebody who is not.
pub const VISIT: &str = "brasstag_visit";
/// A browser in which people signed in before.
pub const DEVICE: &str = "brasstag_device";
/// A shared tablet.
pub const TABLET: &str = "brasstag_tablet";

/// Over https and without a base path the name itself keeps other hosts of the domain from setting it.
fn name(config: &Config, what: &str) -> String {
    if config.secure() && config.base_path.is_empty() {
        format!("__Host-{what}")
    } else {
        what.to_owned()
    }
}

pub fn read<'a>(config: &Config, headers: &'a HeaderMap, what: &str) -> Option<&'a str> {
    let name = name(config, what);
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(n, _)| *n == name)
        .map(|(_, v)| v)
}

pub fn give(config: &Config, what: &str, value: &str, max_age_s: i64) -> HeaderValue {
    let path = if config.base_path.is_empty() {
        "/"
    } else {
        &config.base_path
    };
    let name = name(config, what);
    let secure = if config.secure() { "; Secure" } else { "" };
    let text =
        format!("{name}={value}; Path={path}; HttpOnly; SameSite=Lax; Max-Age={max_age_s}{secure}");
    HeaderValue::from_str(&text).expect("tokens and base paths are plain ASCII")
}

/// What stands in the database in place of a token.
pub fn hash(what: &str, token: &str) -> String {
    let digest = Sha256::new_with_prefix(what).chain_update(token).finalize();
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}
