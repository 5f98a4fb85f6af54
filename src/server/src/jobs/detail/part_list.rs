//! The parts of each kind of machine that an inspection goes through. A list of our own.

use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Deserialize)]
struct Line {
    kind: String,
    part: String,
}

static PARTS: LazyLock<Vec<Line>> = LazyLock::new(|| {
    // The list is compiled in and a test reads it whole.
    csv::Reader::from_reader(include_str!("parts.csv").as_bytes())
        .deserialize()
        .filter_map(Result::ok)
        .collect()
});

/// Values and words of how a part was found and left.
pub const FOUND: &[(&str, &str)] = &[
    ("good", "good"),
    ("cleaned", "cleaned"),
    ("adjusted", "adjusted"),
    ("replaced", "replaced"),
    ("bad_and_left", "bad and left"),
    ("not_looked_at", "not looked at"),
];

/// Of these, what is work on the machine.
pub const WORKED: &[&str] = &["cleaned", "adjusted", "replaced"];

/// Values and words of why a bad part was left.
pub const REASONS: &[(&str, &str)] = &[
    ("part", "the part is not here"),
    ("time", "no time on this visit"),
    ("access", "no access"),
    ("shutdown", "needs a longer shutdown"),
    ("outside_firm", "for an outside firm"),
    ("decision", "waits for a decision"),
    ("watch", "still serves; watched"),
];

/// The parts of a machine of this kind, in the order of looking.
pub fn of(kind: &str) -> Vec<&'static str> {
    let wanted = if PARTS.iter().any(|line| line.kind == kind) {
        kind
    } else {
        "other"
    };
    PARTS
        .iter()
        .filter(|line| line.kind == wanted)
        .map(|line| line.part.as_str())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_reads_whole_and_every_kind_has_its_parts() {
        let lines = include_str!("parts.csv").lines().count() - 1;
        assert_eq!(PARTS.len(), lines);
        for (kind, _) in crate::machines::KINDS {
            let parts = of(kind);
            assert!(parts.len() >= 6, "{kind}");
            assert!(
                parts.contains(&"label") && parts.contains(&"guard"),
                "{kind}"
            );
            let mut once = parts.clone();
            once.sort_unstable();
            once.dedup();
            assert_eq!(once.len(), parts.len(), "{kind} names a part twice");
        }
        assert!(WORKED.iter().all(|w| FOUND.iter().any(|(f, _)| f == w)));
    }
}
