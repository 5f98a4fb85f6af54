//! The entries of the shelf as people read them in what happened.

use super::body::{ANSWERS, GOES, Stores};
use super::warranty::words_of;
use crate::clock::date_words;

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
    match stores {
        Stores::WarrantyAnswered {
            covers,
            answer,
            why,
            ..
        } => {
            lines.push(Some(covers.clone()));
            lines.push(Some(words_of(ANSWERS, answer).to_owned()));
            lines.push((!why.is_empty()).then(|| why.clone()));
        }
        Stores::UnitRemoved {
            what,
            goes,
            sent_to,
            back_by,
        } => {
            lines.push(Some(format!("{what}: {}", words_of(GOES, goes))));
            lines.push((!sent_to.is_empty()).then(|| format!("To {sent_to}")));
            lines.push(back_by.map(|day| format!("Back there by {}", date_words(day))));
        }
        Stores::UnitSettled { how, .. } => lines.push(Some(how.clone())),
        _ => {}
    }
    if let Stores::PartReturned { note, .. } = stores
        && !note.is_empty()
    {
        lines.push(Some(note.clone()));
    }
    lines
}
