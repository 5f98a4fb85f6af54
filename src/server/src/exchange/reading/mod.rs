//! A file of a spreadsheet as rows of text: CSV in the habits of spreadsheets, or XLSX. Pure: bytes
//! in, rows or one clear sentence out, within bounds of memory and time.

mod comma;
#[cfg(test)]
mod hostile;
mod text;
mod workbook;

use super::archive::cells::unguarded;
use serde::{Deserialize, Serialize};

/// Bounds of one upload.
pub const MOST_BYTES: usize = 32 * 1024 * 1024;
pub const MOST_ROWS: usize = 200_000;
pub const MOST_COLUMNS: usize = 200;
pub const MOST_CELL: usize = 64 * 1024;
/// A workbook may name one long text in every cell: all cells together are bounded too.
const MOST_TEXT: usize = 64 * 1024 * 1024;
const MOST_CELLS: usize = 4_000_000;

/// The first row and the others; a row ends with its last cell that says something.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sheet {
    pub heads: Vec<String>,
    pub rows: Vec<Line>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Line {
    /// As the spreadsheet numbers it.
    pub number: usize,
    pub cells: Vec<String>,
}

/// Reads by what the bytes are, whatever the file is called.
pub fn read(bytes: &[u8]) -> Result<Sheet, String> {
    if bytes.len() > MOST_BYTES {
        return Err("The file is larger than 32 MB. Part it into several files.".to_owned());
    }
    if bytes.starts_with(b"PK") {
        return workbook::read(bytes);
    }
    if bytes.starts_with(&[0xD0, 0xCF, 0x11, 0xE0]) {
        return Err("This is a workbook of the old kind. Save it as XLSX or CSV.".to_owned());
    }
    comma::read(&text::decoded(bytes)?)
}

/// Takes rows one by one and keeps them within bounds.
#[derive(Default)]
struct Taker {
    sheet: Sheet,
    text: usize,
    cells: usize,
}

impl Taker {
    fn take(&mut self, number: usize, mut cells: Vec<String>) -> Result<(), String> {
        if let Some(long) = cells.iter().position(|cell| cell.len() > MOST_CELL) {
            return Err(format!(
                "Row {number}, column {}: the text is longer than 64 KB.",
                long + 1
            ));
        }
        if let Some(odd) = cells.iter().position(|cell| cell.contains('\0')) {
            return Err(format!(
                "Row {number}, column {}: this is no text.",
                odd + 1
            ));
        }
        self.text += cells.iter().map(String::len).sum::<usize>();
        if self.text > MOST_TEXT {
            return Err("The cells hold more than 64 MB of text. Part the file.".to_owned());
        }
        for cell in &mut cells {
            *cell = plain(cell);
        }
        while cells.last().is_some_and(|cell| cell.trim().is_empty()) {
            cells.pop();
        }
        if cells.is_empty() {
            return Ok(());
        }
        if cells.len() > MOST_COLUMNS {
            return Err(format!(
                "Row {number} has {} columns; {MOST_COLUMNS} are read at most.",
                cells.len()
            ));
        }
        if self.sheet.heads.is_empty() {
            self.sheet.heads = heads(cells)?;
            return Ok(());
        }
        if cells.len() > self.sheet.heads.len() {
            return Err(format!(
                "Row {number} has more cells than the first row has names. Is a quote or a separator missing?"
            ));
        }
        if self.sheet.rows.len() == MOST_ROWS {
            return Err(format!("The file has more than {MOST_ROWS} rows. Part it."));
        }
        self.cells += cells.len();
        if self.cells > MOST_CELLS {
            return Err("The file has more than 4 million cells. Part it.".to_owned());
        }
        self.sheet.rows.push(Line { number, cells });
        Ok(())
    }

    fn done(self) -> Result<Sheet, String> {
        if self.sheet.heads.is_empty() {
            return Err("The file is empty.".to_owned());
        }
        if self.sheet.rows.is_empty() {
            return Err("The file has names of columns and no row beneath them.".to_owned());
        }
        Ok(self.sheet)
    }
}

/// The text that was meant: `="007"`, as spreadsheets keep zeros, is 007, and the apostrophe that
/// keeps a text from being run as a formula is no part of it.
fn plain(cell: &str) -> String {
    let cell = cell.trim();
    let kept = cell.strip_prefix("=\"").and_then(|c| c.strip_suffix('"'));
    match kept {
        Some(text) if !text.contains('"') => text.to_owned(),
        _ => unguarded(cell).to_owned(),
    }
}

fn heads(cells: Vec<String>) -> Result<Vec<String>, String> {
    let heads: Vec<String> = cells.iter().map(|cell| cell.trim().to_owned()).collect();
    for (i, head) in heads.iter().enumerate() {
        let lower = head.to_lowercase();
        if !head.is_empty() && heads[..i].iter().any(|h| h.to_lowercase() == lower) {
            return Err(format!(
                "Two columns are called {head}. Rename one of them."
            ));
        }
    }
    Ok(heads)
}
