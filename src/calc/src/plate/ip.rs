//! What an IP code says that the enclosure keeps out.

use crate::tables::rows;
use std::sync::LazyLock;

/// What the first figure keeps out, and the second; `X` says nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IpMeaning {
    /// Solid bodies and fingers.
    pub solids: &'static str,
    /// Water.
    pub water: &'static str,
}

static TABLE: LazyLock<Vec<(String, String, String)>> = LazyLock::new(|| {
    rows(include_str!("../tables/ip_code_digits.csv"))
        .into_iter()
        .filter_map(|row| {
            let cell = |at: usize| row.get(at).cloned();
            Some((cell(0)?, cell(1)?, cell(2)?))
        })
        .collect()
});

/// The meaning of a code such as `IP55`, `IPX4` or `IP5X`; a letter behind the figures is passed over.
///
/// Valid for first figures 0 to 6 and second figures 0 to 9. `None` for anything else.
/// Source: IEC 60529 and IEC 60034-5, from memory.
/// # Examples
/// ```
/// assert_eq!(calc::plate::ip_meaning("IP55").map(|code| code.water), Some("water jets"));
/// ```
pub fn ip_meaning(code: &str) -> Option<IpMeaning> {
    let mut figures = code.trim().to_ascii_uppercase();
    figures.drain(..figures.starts_with("IP").then_some(2)?);
    let mut figures = figures.trim_start().chars();
    Some(IpMeaning {
        solids: digit("first digit", figures.next()?)?,
        water: digit("second digit", figures.next()?)?,
    })
}

fn digit(position: &str, figure: char) -> Option<&'static str> {
    if figure == 'X' {
        return Some("not stated");
    }
    let of =
        |(at, digit, _): &&(String, String, String)| at == position && *digit == figure.to_string();
    TABLE
        .iter()
        .find(of)
        .map(|(_, _, meaning)| meaning.as_str())
}
