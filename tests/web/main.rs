//! The router, driven over a real database: one file per feature, one test per promise.

mod app;
mod demo;

mod sign_in;
