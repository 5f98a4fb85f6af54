//! The router, driven over a real database: one file per feature, one test per promise.

mod app;
mod demo;
mod ledger;
mod migrations;
mod preventive;
mod replay;
mod sign_in;
