//! Telling people: mail, and calendars that they subscribe to.

pub mod calendar;
pub mod mail;
pub mod mail_page;
pub mod outbox_page;
pub mod pages;
pub mod shop_page;

/// One line of text: what comes after a line break or a tabulator follows a blank, other control
/// characters go.
pub fn one_line(text: &str) -> String {
    text.split(|c: char| c.is_control() || c.is_whitespace())
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
