//! The router, driven over a real database: one file per feature, one test per promise.

mod app;

mod jobs;
mod sign_in;
mod small_shop;
