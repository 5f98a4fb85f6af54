//! Mail through the shop's own server. What is to be told is written in the transaction that makes it
//! so ([`news`], [`reporter`]); a task gathers and sends ([`sending`]) and blocks nothing.
//!
//! A mail is sent at least once: a process that dies between the server's yes and the note of it sends
//! again, under the same Message-ID, by which mail programs know it for the same.

pub mod compose;
pub mod kinds;
pub mod news;
pub mod queries;
pub mod reporter;
pub mod sending;
pub mod settings;
pub mod stop;
pub mod timed;
pub mod timed_queries;

pub use settings::Mail;

use lettre::Address;

/// The longest address there is (RFC 5321, 4.5.3.1.3).
const LONGEST: usize = 254;

/// An address that mail can be sent to, as typed among other words; `None` where there is none.
pub fn address_in(text: &str) -> Option<String> {
    text.split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '<' | '>' | '(' | ')'))
        .map(|word| {
            word.trim_end_matches(['.', ':'])
                .trim_start_matches("mailto:")
        })
        .filter(|word| word.contains('@') && word.len() <= LONGEST && word.is_ascii())
        .find(|word| {
            word.parse::<Address>()
                .is_ok_and(|a| a.domain().contains('.'))
        })
        .map(str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_found_among_words_and_never_a_header() {
        let find = |text| address_in(text);
        assert_eq!(
            find("extension 12, or ann@example.org."),
            Some("ann@example.org".to_owned())
        );
        assert_eq!(
            find("Ann <ann@example.org>"),
            Some("ann@example.org".to_owned())
        );
        for none in [
            "",
            "extension 12",
            "@",
            "ann@",
            "ann@localhost",
            "a b@c",
            "ann@exa mple",
        ] {
            assert_eq!(find(none), None, "{none}");
        }
        let forged = find("ann@example.org\r\nBcc: all@example.org").expect("the first");
        assert_eq!(forged, "ann@example.org");
        assert_eq!(find(&format!("{}@example.org", "a".repeat(300))), None);
    }
}
