//! The code that comes with a report's number: who has it sees what became of their own words.

use subtle::ConstantTimeEq;

/// No letter or digit that is mistaken for another when read aloud or copied by hand.
const ALPHABET: &[u8; 23] = b"34679ACDEFGHJKMNPQRTWXY";
const LENGTH: usize = 6;

/// A new code from the operating system's random bytes, each of the alphabet equally likely.
pub fn new_code() -> String {
    let mut code = String::with_capacity(LENGTH);
    // The largest multiple of the alphabet's length that a byte can hold.
    let fair = (256 / ALPHABET.len()) * ALPHABET.len();
    while code.len() < LENGTH {
        let mut bytes = [0_u8; 16];
        getrandom::fill(&mut bytes).expect("the operating system gives random bytes");
        for byte in bytes.into_iter().map(usize::from) {
            if byte < fair && code.len() < LENGTH {
                code.push(char::from(ALPHABET[byte % ALPHABET.len()]));
            }
        }
    }
    code
}

/// As typed by hand: small letters, spaces and hyphens do not matter.
pub fn typed(code: &str) -> String {
    code.chars()
        .filter(char::is_ascii_alphanumeric)
        .map(|c| c.to_ascii_uppercase())
        .take(2 * LENGTH)
        .collect()
}

/// The value of the code that was typed; every code is compared, and each in the same time.
pub fn matching<T>(codes: Vec<(String, T)>, typed: &str) -> Option<T> {
    let mut found = None;
    for (code, value) in codes {
        if bool::from(code.as_bytes().ct_eq(typed.as_bytes())) {
            found = Some(value);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn codes_differ_and_hold_nothing_that_is_misread() {
        let codes: BTreeSet<String> = (0..500).map(|_| new_code()).collect();
        assert!(codes.len() > 498, "{}", codes.len());
        for code in &codes {
            assert_eq!(code.len(), LENGTH);
            assert!(!code.contains(['0', 'O', '1', 'I', 'L', 'B', '8', 'S', '5', 'Z', '2']));
        }
        let used: BTreeSet<char> = codes.iter().flat_map(|c| c.chars()).collect();
        assert_eq!(used.len(), ALPHABET.len(), "all of the alphabet comes up");
    }

    #[test]
    fn a_code_is_found_as_people_type_it_and_no_other() {
        let codes = || vec![("K7MQXR".to_owned(), 1), ("34679A".to_owned(), 2)];
        assert_eq!(matching(codes(), &typed("k7m-qxr ")), Some(1));
        assert_eq!(matching(codes(), &typed("34679A")), Some(2));
        for wrong in ["", "K7MQX", "K7MQXRR", "K7MQXT"] {
            assert_eq!(matching(codes(), &typed(wrong)), None, "{wrong}");
        }
    }
}
