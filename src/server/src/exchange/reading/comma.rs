//! CSV: the separator is told by a `sep=` line or by the first row.

use super::{Sheet, Taker};

pub fn read(text: &str) -> Result<Sheet, String> {
    let (separator, text, before) = separator(text);
    let mut lines = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .from_reader(text.as_bytes());
    let mut taker = Taker::default();
    let mut record = csv::StringRecord::new();
    // Lines within quotes: a spreadsheet counts rows, not lines.
    let mut within = 0;
    loop {
        let more = lines
            .read_record(&mut record)
            .map_err(|e| format!("The file cannot be read: {e}"))?;
        if !more {
            return taker.done();
        }
        let number = record.position().map_or(0, |at| line(text, at)) + before - within;
        within += record
            .iter()
            .map(|cell| cell.matches('\n').count())
            .sum::<usize>();
        taker.take(number, record.iter().map(str::to_owned).collect())?;
    }
}

/// Where a record begins: the reader's own place is before the blank lines that it passed over.
fn line(text: &str, at: &csv::Position) -> usize {
    let from = usize::try_from(at.byte()).unwrap_or(usize::MAX);
    let rest = text.as_bytes().get(from..).unwrap_or_default();
    let blank = rest.iter().take_while(|b| matches!(b, b'\r' | b'\n'));
    usize::try_from(at.line()).unwrap_or(0) + blank.filter(|b| **b == b'\n').count()
}

fn separator(text: &str) -> (u8, &str, usize) {
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    if let Some(&sep) = first
        .trim_end()
        .strip_prefix("sep=")
        .and_then(|s| s.as_bytes().first())
    {
        return (sep, rest, 1);
    }
    let count = |sep: char| {
        let mut quoted = false;
        let outside = first.chars().filter(|c| {
            quoted ^= *c == '"';
            !quoted && *c == sep
        });
        outside.count()
    };
    let found = [',', ';', '\t']
        .into_iter()
        .rev()
        .max_by_key(|sep| count(*sep));
    (found.map_or(b',', |sep| sep as u8), text, 0)
}
