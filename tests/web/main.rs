//! The router, driven over a real database: one file per feature, one test per promise.

mod app;

mod sign_in;
