//! Whether a text was taken apart without rest.

use calc::plate::Reading;

/// Every letter and figure is in exactly one part; the parts stand in order and are as typed.
pub fn covered(text: &str, reading: &Reading) {
    let understood = reading
        .understood
        .iter()
        .map(|part| (part.at.clone(), part.text.as_str()));
    let missed = reading
        .not_understood
        .iter()
        .map(|part| (part.at.clone(), part.text.as_str()));
    let mut parts: Vec<_> = understood.chain(missed).collect();
    parts.sort_by_key(|(at, _)| at.start);
    let mut from = 0;
    for (at, part) in parts {
        assert!(
            at.start >= from && at.start < at.end,
            "{text:?}: {at:?} overlaps"
        );
        assert_eq!(text.get(at.clone()), Some(part));
        blank(text, from, at.start);
        from = at.end;
    }
    blank(text, from, text.len());
}

fn blank(text: &str, from: usize, to: usize) {
    let gap = text.get(from..to).unwrap_or("?");
    let parts = ",;:/|.-@()[]{}'\"_*•·=&+–—−‐‑‒⁻⁄∕\\″”“’‘′，\u{200b}\u{200c}\u{200d}\u{feff}\u{ad}";
    let plain = gap.chars().all(|c| c.is_whitespace() || parts.contains(c));
    assert!(plain, "{text:?}: {gap:?} is in no part");
}
