//! Brasstag: the shop's web application. Start reading at [`routes`].

pub mod bench;
pub mod circuit_check;
pub mod clock;
pub mod config;
pub mod db;
pub mod demo;
pub mod error;
pub mod fit;
pub mod form;
pub mod jobs;
pub mod machines;
pub mod measure;
pub mod motors;
pub mod page;
pub mod panels;
pub mod people;
pub mod qr;
pub mod routes;
pub mod rows;
pub mod security;
pub mod serve;
pub mod shelf;
pub mod shop;
pub mod state;
pub mod static_files;
