//! Text in a cell of a CSV file, such that no spreadsheet takes it for a formula and that reading it
//! back gives the very same text.

const STARTS_FORMULA: &[char] = &['=', '+', '-', '@', '\t', '\r', '\n', '\''];

/// An apostrophe goes before a text that a spreadsheet might run, or that begins with one itself.
pub fn guarded(text: &str) -> String {
    if text.starts_with(STARTS_FORMULA) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// Undoes [`guarded`]; an apostrophe before anything else belongs to the text.
pub fn unguarded(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.starts_with(STARTS_FORMULA) => rest,
        _ => cell,
    }
}

/// A lone apostrophe is a text that is there and empty, where a blank cell is nothing at all.
const EMPTY: &str = "'";

/// The cell of a column that can be nothing.
pub fn nullable(text: Option<&str>) -> String {
    match text {
        None => String::new(),
        Some("") => EMPTY.to_owned(),
        Some(text) => guarded(text),
    }
}

/// Undoes [`nullable`].
pub fn known(cell: &str) -> Option<&str> {
    match cell {
        "" => None,
        EMPTY => Some(""),
        cell => Some(unguarded(cell)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn formulas_are_made_harmless_and_come_back() {
        assert_eq!(guarded("=1+1"), "'=1+1");
        assert_eq!(unguarded("'=1+1"), "=1+1");
        assert_eq!(guarded("plain"), "plain");
        assert_eq!(unguarded("'90s wing"), "'90s wing", "typed by a person");
        assert_eq!(known("'"), Some(""));
        assert_eq!(known("''"), Some("'"));
        assert_eq!(known(""), None);
    }

    proptest! {
        #[test]
        fn every_text_comes_back(text in "['=+@\t\r\n a-]{0,5}") {
            let guarded = guarded(&text);
            prop_assert_eq!(unguarded(&guarded), text.as_str());
            let cell = nullable(Some(&text));
            prop_assert_eq!(known(&cell), Some(text.as_str()));
            prop_assert!(!guarded.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']));
        }
    }
}
