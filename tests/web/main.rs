//! The router, driven over a real database: one file per feature, one test per promise.

mod app;

mod jobs;
mod machines;
mod panels;
mod people;
mod shop;
mod sign_in;
mod small_shop;
