//! What somebody typed, as words to look for. Nothing of it is ever syntax of a database's search.

/// More words than this narrow nothing down.
const MOST_WORDS: usize = 8;
/// Longer ones are taken by their beginning, as the index does.
const LONGEST: usize = 60;

/// The words, in small letters, each of letters and digits only.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Terms(pub Vec<String>);

/// An accent typed apart from its letter belongs to the word.
fn of_a_word(c: char) -> bool {
    c.is_alphanumeric() || ('\u{300}'..='\u{36f}').contains(&c)
}

impl Terms {
    pub fn of(typed: &str) -> Terms {
        let words = typed
            .split(|c| !of_a_word(c))
            .filter(|word| word.chars().any(char::is_alphanumeric))
            .take(MOST_WORDS)
            .map(|word| {
                word.chars()
                    .take(LONGEST)
                    .collect::<String>()
                    .to_lowercase()
            });
        Terms(words.collect())
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// For SQLite's FTS5; with `begins`, the last word may go on.
    pub fn fts5(&self, begins: bool) -> String {
        self.joined("\"", " AND ", if begins { " *" } else { "" })
    }

    /// For a `tsquery`.
    pub fn tsquery(&self, begins: bool) -> String {
        self.joined("'", " & ", if begins { ":*" } else { "" })
    }

    fn joined(&self, quote: &str, and: &str, end: &str) -> String {
        let words: Vec<String> = self
            .0
            .iter()
            .map(|w| format!("{quote}{w}{quote}"))
            .collect();
        format!("{}{end}", words.join(and))
    }
}

/// A tag without what is mistyped most: marks, case, o for 0, i and l for 1. The same as
/// `machines_tag_key_idx`.
pub fn tag_key(tag: &str) -> String {
    tag.trim()
        .to_ascii_lowercase()
        .chars()
        .filter(|c| !matches!(c, '-' | ' ' | '.' | '/' | '_'))
        .map(|c| match c {
            'o' => '0',
            'i' | 'l' => '1',
            other => other,
        })
        .collect()
}

/// Every key one slip away from this one: two characters swapped, one lacking, too many or wrong.
/// Empty where it cannot be a tag.
pub fn slips(key: &str) -> Vec<String> {
    let chars: Vec<char> = key.chars().collect();
    let of_a_tag = key.chars().any(|c| c.is_ascii_digit()) && !key.contains('\0');
    if !of_a_tag || !(2..=12).contains(&chars.len()) {
        return Vec::new();
    }
    let mut out = Vec::new();
    let mut put = |before: &[char], middle: &[char], after: &[char]| {
        out.push(before.iter().chain(middle).chain(after).collect::<String>());
    };
    let letters: Vec<char> = ('a'..='z').chain('0'..='9').collect();
    for at in 0..=chars.len() {
        let (before, after) = chars.split_at(at);
        for letter in &letters {
            put(before, &[*letter], after);
        }
        let Some((first, rest)) = after.split_first() else {
            continue;
        };
        put(before, &[], rest);
        for letter in &letters {
            put(before, &[*letter], rest);
        }
        if let Some((second, rest)) = rest.split_first() {
            put(before, &[*second, *first], rest);
        }
    }
    out.sort();
    out.dedup();
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_typed_is_syntax() {
        assert_eq!(
            Terms::of("\"fan* NEAR(a b) -x:y' OR").fts5(true),
            "\"fan\" AND \"near\" AND \"a\" AND \"b\" AND \"x\" AND \"y\" AND \"or\" *"
        );
        assert_eq!(Terms::of("K-04").tsquery(true), "'k' & '04':*");
        assert!(Terms::of(" \u{1f525} \" * \0 ").is_empty());
        assert_eq!(Terms::of(&"word ".repeat(100)).0.len(), MOST_WORDS);
        assert_eq!(Terms::of(&"x".repeat(10_000)).0, ["x".repeat(LONGEST)]);
    }

    #[test]
    fn a_tag_is_known_through_a_slip() {
        assert_eq!(tag_key("K-o4"), tag_key("K 04"));
        for typed in ["K-40", "K-4", "K-044", "K-05", "J-04"] {
            assert!(slips(&tag_key(typed)).contains(&tag_key("K-04")), "{typed}");
        }
        assert!(!slips(&tag_key("K-99")).contains(&tag_key("K-04")));
        assert!(slips("fan").is_empty(), "no tag without a number");
        assert!(slips(&"k0".repeat(50)).is_empty());
    }
}
