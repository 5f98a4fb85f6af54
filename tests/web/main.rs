//! The router, driven over a real database: one file per feature, one test per promise.

mod app;

mod isolation;
mod jobs;
mod proof;
mod sign_in;
mod small_shop;
