//! The code of a printed sheet: the job, how many entries it had, and a mark of what else stands on
//! it, so that an old sheet is known as old when it comes back.

use super::body::Body;
use super::detail::Detail;
use super::queries::Entry;
use super::steps::JobView;
use crate::clock::date_words;
use sha2::{Digest, Sha256};
use std::fmt;

/// `12-7-K3QF`: job 12, seven entries, and the mark of machine, isolation sheet, panel and motor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetCode {
    pub job: i64,
    pub revision: i64,
    pub mark: String,
}

/// Letters and digits that are not taken for one another when written by hand.
const LETTERS: &[u8; 32] = b"23456789ABCDEFGHJKLMNPQRSTUVWXYZ";

impl SheetCode {
    pub fn of(view: &JobView) -> SheetCode {
        SheetCode {
            job: view.job.id.0,
            revision: view.job.entry_count,
            mark: mark(&printed_from_registers(view)),
        }
    }

    /// # Errors
    /// A sentence for whoever types it, where it is not a code of this job.
    pub fn read(text: &str, job: i64) -> Result<SheetCode, String> {
        let text = text.trim().to_uppercase().replace(' ', "");
        let parts: Vec<&str> = text.split('-').collect();
        let code = match parts[..] {
            [number, revision, mark] if mark.len() == 4 => number
                .parse()
                .ok()
                .zip(revision.parse().ok())
                .map(|(job, revision)| SheetCode {
                    job,
                    revision,
                    mark: mark.to_owned(),
                }),
            _ => None,
        };
        match code {
            None => Err("Type the sheet's code as it is printed at its top, as 12-7-K3QF".into()),
            Some(code) if code.job != job => Err(format!(
                "This sheet is of job {}. Open that job and type it in there",
                code.job
            )),
            Some(code) => Ok(code),
        }
    }

    /// What has changed since the sheet was printed, one line each; empty: nothing.
    pub fn changed_since(&self, now: &SheetCode, entries: &[Entry]) -> Vec<String> {
        // What came in from this very sheet has not changed it.
        let paper = self.to_string();
        let mut own: Vec<&str> = Vec::new();
        for entry in entries {
            if let Body::Detail(Detail::FromPaper { sheet, entries, .. }) = &entry.body
                && *sheet == paper
            {
                own.push(&entry.id);
                own.extend(entries.iter().map(String::as_str));
            }
        }
        let mut changed: Vec<String> = entries
            .iter()
            .filter(|entry| entry.number > self.revision && !own.contains(&entry.id.as_str()))
            .map(|entry| {
                format!(
                    "Entry {}: {}, {}",
                    entry.number,
                    entry.body.title(),
                    entry.person
                )
            })
            .collect();
        if self.mark != now.mark {
            changed.push(
                "The machine, its place, its isolation sheet, its circuit or its motor is \
                 described otherwise than on the sheet"
                    .to_owned(),
            );
        }
        changed
    }
}

impl fmt::Display for SheetCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{}-{}", self.job, self.revision, self.mark)
    }
}

/// Everything on the sheet that can change without an entry of the job.
fn printed_from_registers(view: &JobView) -> Vec<String> {
    let mut words = Vec::new();
    if let Some(machine) = &view.machine {
        words.extend([
            machine.tag.clone(),
            machine.name.clone(),
            machine.before_you_go.clone(),
        ]);
    }
    if let Some(place) = &view.place {
        words.extend([place.path.clone(), place.access_note.clone()]);
    }
    if let Some(circuit) = &view.circuit {
        words.extend([circuit.words(), circuit.label_read.clone()]);
        words.push(circuit.label_wrong.to_string());
    }
    if let Some(sheet) = &view.sheet {
        words.push(sheet.revision.to_string());
        let before = &sheet.before;
        words.extend([before.tell_first.clone(), before.keys_needed.clone()]);
        words.push(before.interlocks.clone());
        for source in &sheet.sources {
            words.extend([
                source.name.clone(),
                source.device.clone(),
                source.device_place.clone(),
            ]);
            words.extend([source.label_read.clone(), source.relieved_how.clone()]);
        }
        words.extend(sheet.inspected_on.map(date_words));
    }
    if let Some(motor) = &view.fitted {
        words.push(motor.name.clone());
        words.extend(serde_json::to_string(&motor.plate).ok());
    }
    words
}

fn mark(words: &[String]) -> String {
    let mut hash = Sha256::new();
    for word in words {
        // The length keeps `ab`, `c` apart from `a`, `bc`.
        hash.update(word.len().to_le_bytes());
        hash.update(word);
    }
    let letter = |byte: &u8| char::from(LETTERS[usize::from(byte % 32)]);
    hash.finalize().iter().take(4).map(letter).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_read_as_it_is_printed() {
        let code = SheetCode {
            job: 12,
            revision: 7,
            mark: "K3QF".to_owned(),
        };
        assert_eq!(SheetCode::read(" 12-7-k3qf", 12), Ok(code.clone()));
        assert_eq!(code.to_string(), "12-7-K3QF");
        for wrong in ["", "12-7", "12-7-K3Q", "a-7-K3QF", "12-7-K3QF-1"] {
            assert!(SheetCode::read(wrong, 12).is_err(), "{wrong}");
        }
        let other = SheetCode::read("12-7-K3QF", 13).unwrap_err();
        assert!(other.contains("job 12"), "{other}");
    }

    #[test]
    fn the_mark_tells_neighbours_apart() {
        let of = |words: &[&str]| mark(&words.iter().map(ToString::to_string).collect::<Vec<_>>());
        assert_ne!(of(&["ab", "c"]), of(&["a", "bc"]));
        assert_eq!(of(&["ab", "c"]), of(&["ab", "c"]));
    }
}
