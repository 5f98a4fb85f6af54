//! The program as it is installed: behind nginx and Caddy, with TLS of its own, several processes on
//! one PostgreSQL and one store of photos. `tests/all` runs it; alone, with nginx, caddy, curl,
//! openssl, psql, systemd and a virtual environment with `tests/python-tools.txt` named by `BRASSTAG_TEST_PYTHON`:
//! `TEST_DATABASE_URL=postgres://… cargo test -p brasstag --test deploy`.

#[path = "../browser/child.rs"]
#[allow(dead_code, reason = "shared with the browser's tests")]
mod child;
#[path = "../kill/mod.rs"]
mod kill;
#[path = "../browser/scratch.rs"]
mod scratch;

mod alone;
mod api;
mod behind_a_proxy;
mod calendar;
mod files;
mod full_disk;
mod killed;
mod shop;
mod together;
mod web;
