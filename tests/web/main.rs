//! The router, driven over a real database: one file per feature, one test per promise.

mod app;
mod bench;
mod circuit_check;
mod demo;
mod figure;
mod fit;
mod floor;
mod inspection;
mod isolation;
mod job_time;
mod jobs;
mod ledger;
mod machines;
mod migrations;
mod panels;
mod people;
mod preventive;
mod procedures;
mod proof;
mod replay;
mod replay_detail;
mod shelf;
mod shop;
mod sign_in;
mod small_shop;
