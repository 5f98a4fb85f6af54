//! Data in and out: the archive of everything, and tables from and for spreadsheets.

pub mod archive;
pub mod command;
pub mod pages;
