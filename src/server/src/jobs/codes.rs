//! Cause codes: what failed, how, by what, and why, with what would prevent it. A list of our own.
//!
//! The levels follow the trade's usual order (component, failure mode, mechanism, cause; ISO 14224
//! and EN 13306 use the same words). They prompt; a person may write other words.

use serde::Deserialize;
use std::sync::LazyLock;

/// One line of the list.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub struct Code {
    pub component: String,
    pub mode: String,
    pub mechanism: String,
    pub cause: String,
    /// What would prevent it.
    pub action: String,
    /// What to write down so that the cause can be believed.
    pub evidence: String,
}

/// The component that stands for every component.
pub const ANY: &str = "any";
/// The mode, under [`ANY`], of answers that go with every mode: unknown, not examined.
const EVERY_MODE: &str = "mode known";

static CODES: LazyLock<Vec<Code>> = LazyLock::new(|| {
    // The list is compiled in and a test reads it whole.
    csv::Reader::from_reader(include_str!("codes.csv").as_bytes())
        .deserialize()
        .filter_map(Result::ok)
        .collect()
});

fn distinct<'a>(words: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut list: Vec<&str> = Vec::new();
    for word in words {
        if !list.contains(&word) {
            list.push(word);
        }
    }
    list
}

/// Every line, in the order of the list.
pub fn all() -> &'static [Code] {
    &CODES
}

/// The components, `any` last.
pub fn components() -> Vec<&'static str> {
    distinct(CODES.iter().map(|code| code.component.as_str()))
}

/// The failure modes of a component, and the ones that any component can have.
pub fn modes(component: &str) -> Vec<&'static str> {
    let of = |wanted: &str| {
        let wanted = wanted.to_owned();
        CODES
            .iter()
            .filter(move |code| code.component == wanted && code.mode != EVERY_MODE)
            .map(|code| code.mode.as_str())
    };
    distinct(of(component).chain(of(ANY)))
}

/// The lines of a component and mode; `unknown` and `not examined` are among the answers to each.
pub fn rows(component: &str, mode: &str) -> Vec<&'static Code> {
    let own = CODES
        .iter()
        .filter(|code| code.mode == mode && (code.component == component || code.component == ANY));
    let every = CODES
        .iter()
        .filter(|code| code.component == ANY && code.mode == EVERY_MODE);
    own.chain(every).collect()
}

/// What would prevent this cause: the line that agrees in most levels, the cause before the
/// mechanism before the mode. `None` where nothing but the component agrees.
pub fn suggested_action(
    component: &str,
    mode: &str,
    mechanism: &str,
    cause: &str,
) -> Option<&'static str> {
    CODES
        .iter()
        .filter(|code| code.component == component || code.component == ANY)
        .map(|code| {
            let agree = 8 * u8::from(code.cause == cause)
                + 4 * u8::from(code.mechanism == mechanism)
                + 2 * u8::from(code.mode == mode)
                + u8::from(code.component == component);
            (agree, code)
        })
        .filter(|(agree, _)| *agree >= 2)
        // The first of equals: `max_by_key` would take the last.
        .reduce(|best, next| if next.0 > best.0 { next } else { best })
        .map(|(_, code)| code.action.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_reads_whole() {
        let lines = include_str!("codes.csv").lines().count() - 1;
        assert_eq!(all().len(), lines);
        assert_eq!(components().last(), Some(&ANY));
        let blank = |code: &&Code| code.cause.is_empty() || code.action.is_empty();
        assert_eq!(all().iter().find(blank), None);
    }

    #[test]
    fn unknown_and_not_examined_go_with_every_mode() {
        for component in components() {
            for mode in modes(component) {
                let rows = rows(component, mode);
                for answer in ["unknown", "not examined"] {
                    assert!(
                        rows.iter().any(|r| r.mechanism == answer),
                        "{component} {mode}"
                    );
                }
            }
        }
    }

    #[test]
    fn the_suggestion_follows_the_cause_first() {
        let rows = rows("motor", "will not start");
        let fouled = rows
            .iter()
            .find(|r| r.cause.starts_with("cooling air lost"))
            .expect("line");
        let action = suggested_action("motor", "will not start", "open winding", &fouled.cause);
        assert_eq!(action, Some(fouled.action.as_str()));
        assert!(action.is_some_and(|a| a.starts_with("clean the wheel")));
        assert_eq!(
            suggested_action("teapot", "leaks", "crack", "dropped"),
            None
        );
    }
}
