//! The router, driven over a real database: one file per feature, one test per promise.

mod app;
mod bench;
mod circuit_check;
mod demo;
mod fit;
mod floor;
mod isolation;
mod jobs;
mod machines;
mod panels;
mod people;
mod proof;
mod shelf;
mod shop;
mod sign_in;
mod small_shop;
