//! Tags that are easily taken for one another: one letter or digit apart, or two swapped. Pure.

/// Letters and digits only, small: `F-12` and `f 12` are one tag.
fn bare(tag: &str) -> Vec<char> {
    let kept = tag.chars().filter(|c| c.is_alphanumeric());
    kept.flat_map(char::to_lowercase).collect()
}

pub fn alike(one: &str, other: &str) -> bool {
    let (one, other) = (bare(one), bare(other));
    let (short, long) = if one.len() <= other.len() {
        (&one, &other)
    } else {
        (&other, &one)
    };
    if long.len() - short.len() > 1 {
        return false;
    }
    let same = short.iter().zip(long).take_while(|(a, b)| a == b).count();
    let (short, long) = (&short[same..], &long[same..]);
    match (short, long) {
        // One letter more, wherever it stands.
        _ if short.len() < long.len() => short == &long[1..],
        ([], []) => true,
        ([a, rest @ ..], [b, others @ ..]) if rest == others => a != b,
        // Two swapped, side by side or with others between.
        _ => {
            let differ: Vec<usize> = (0..short.len())
                .filter(|at| short[*at] != long[*at])
                .collect();
            matches!(differ[..], [a, b] if short[a] == long[b] && short[b] == long[a])
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_apart_or_swapped_is_alike_and_more_is_not() {
        for (one, other) in [
            ("F-12", "F-21"),
            ("F-1", "F-2"),
            ("K-04", "K-05"),
            ("EF-12", "EF-120"),
            ("EF-1", "F-1"),
            ("P-103", "P-301"),
            ("f 12", "F-12"),
        ] {
            assert!(alike(one, other) && alike(other, one), "{one} {other}");
        }
        for (one, other) in [
            ("F-12", "F-34"),
            ("F-1", "UH-7"),
            ("F-1", "F-123"),
            ("A-1", "B-2"),
        ] {
            assert!(!alike(one, other) && !alike(other, one), "{one} {other}");
        }
    }
}
