//! Data in and out: the archive of everything, and tables from and for spreadsheets.

pub mod archive;
mod asks;
pub mod columns;
pub mod command;
pub mod export;
pub mod heads;
pub mod import;
pub mod pages;
pub mod reading;
