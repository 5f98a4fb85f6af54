//! The entries of the shelf as people read them in what happened.

use super::body::Stores;

/// A few plain lines.
pub fn facts(stores: &Stores) -> Vec<Option<String>> {
    let mut lines: Vec<Option<String>> = stores
        .moved()
        .map(|moved| {
            let cost = moved.cost_minor.map_or_else(String::new, |minor| {
                format!(", {}.{:02}", minor / 100, minor % 100)
            });
            let amount = moved.amount.with_unit(&moved.unit);
            format!("{}: {amount}{cost}", moved.name)
        })
        .into_iter()
        .map(Some)
        .collect();
    if let Stores::BuyingStep { step, words, .. } = stores {
        lines.push(Some(format!("{step}: {words}")));
    }
    if let Stores::PartReturned { note, .. } = stores
        && !note.is_empty()
    {
        lines.push(Some(note.clone()));
    }
    lines
}
