//! The router, driven over a real database: one file per feature, one test per promise.

mod app;
mod demo;

mod bench;
mod circuit_check;
mod fit;
mod floor;
mod jobs;
mod machines;
mod panels;
mod people;
mod shelf;
mod shop;
mod sign_in;
mod small_shop;
