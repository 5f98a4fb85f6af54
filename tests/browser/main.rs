//! Walks through the program as people do, in a real browser. `tests/all` runs it; alone:
//! `cargo test -p brasstag --test browser` with chromium, chromedriver and poppler installed.

#![allow(
    dead_code,
    reason = "the harness offers more than any one set of walks uses"
)]

mod child;
mod driver;
mod harness;
mod offline;
mod pdf;
mod rooms;
mod scratch;
mod server;
mod walk;
