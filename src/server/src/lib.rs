//! Brasstag: the shop's web application. Start reading at [`routes`].

pub mod audit;
pub mod check;
pub mod clock;
pub mod config;
pub mod db;
pub mod demo;
pub mod error;
pub mod form;
pub mod jobs;
pub mod machines;
pub mod measure;
pub mod motors;
pub mod page;
pub mod panels;
pub mod people;
pub mod routes;
pub mod rows;
pub mod security;
pub mod serve;
pub mod shop;
pub mod state;
pub mod static_files;
