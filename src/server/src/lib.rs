//! Brasstag: the shop's web application. Start reading at [`routes`].

pub mod clock;
pub mod config;
pub mod db;
pub mod demo;
pub mod error;
pub mod form;
pub mod jobs;
pub mod ledger;
pub mod machines;
pub mod motors;
pub mod page;
pub mod panels;
pub mod people;
pub mod preventive;
pub mod routes;
pub mod security;
pub mod serve;
pub mod shop;
pub mod state;
pub mod static_files;
