//! XLSX: the zip is looked through before the workbook is read, so that neither a bomb nor a file
//! that claims gigabytes costs anything.

use super::{MOST_COLUMNS, Sheet, Taker};
use calamine::{Data, ExcelDateTime, Reader, Xlsx};
use std::io::{Cursor, Read};

/// What all parts of a workbook may come to.
const MOST_UNPACKED: u64 = 128 * 1024 * 1024;
const MOST_PARTS: usize = 2_000;

/// A part that unpacks to so many times its size was made to do harm.
const MOST_RATIO: u64 = 400;

pub fn read(bytes: &[u8]) -> Result<Sheet, String> {
    looked_through(bytes)?;
    let unreadable = |_| "This workbook cannot be read. Save it as XLSX or CSV again.".to_owned();
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(unreadable)?;
    let names = book.sheet_names();
    let first = names.first().ok_or("The workbook has no sheet.")?.clone();
    // Cell by cell: a sheet that says it is a million cells wide costs nothing.
    let mut cells = book.worksheet_cells_reader(&first).map_err(unreadable)?;
    let mut taker = Taker::default();
    let mut row = (0, Vec::new());
    while let Some(cell) = cells.next_cell().map_err(unreadable)? {
        let (at, column) = cell.get_position();
        if at != row.0 {
            let (number, done) = std::mem::replace(&mut row, (at, Vec::new()));
            taker.take(number as usize + 1, done)?;
        }
        let text = words(&Data::from(cell.get_value().clone()));
        let column = column as usize;
        if text.is_empty() {
            continue;
        }
        if column >= MOST_COLUMNS {
            return Err(format!(
                "Row {} has a cell in column {}; {MOST_COLUMNS} are read at most.",
                at + 1,
                column + 1
            ));
        }
        if row.1.len() <= column {
            row.1.resize(column + 1, String::new());
        }
        row.1[column] = text;
    }
    taker.take(row.0 as usize + 1, row.1)?;
    taker.done()
}

/// Unpacks every part once, keeping nothing, and stops at the bound: what a part says of its own size
/// is not believed.
fn looked_through(bytes: &[u8]) -> Result<(), String> {
    let broken = "This file begins like a workbook and is broken or cut off.";
    let too_large = "The workbook unpacks to more than 128 MB. Save the sheet as CSV.";
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|_| broken)?;
    if zip.len() > MOST_PARTS {
        return Err("The workbook has too many parts.".to_owned());
    }
    if zip.by_name("xl/workbook.xml").is_err() {
        return Err("This is a zip file and no workbook.".to_owned());
    }
    let mut room = MOST_UNPACKED;
    for i in 0..zip.len() {
        let part = zip.by_index(i).map_err(|_| broken)?;
        if part.size() > room {
            return Err(too_large.to_owned());
        }
        let packed = part.compressed_size();
        let unpacked = std::io::copy(&mut part.take(room + 1), &mut std::io::sink());
        let unpacked = unpacked.map_err(|_| broken)?;
        if unpacked > 1024 * 1024 && unpacked > packed.saturating_mul(MOST_RATIO) {
            return Err(
                "The workbook is packed as no spreadsheet packs. Save it again.".to_owned(),
            );
        }
        room = room.checked_sub(unpacked).ok_or(too_large)?;
    }
    Ok(())
}

fn words(data: &Data) -> String {
    match data {
        Data::Empty | Data::Error(_) => String::new(),
        Data::String(text) => text.clone(),
        Data::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        Data::DateTime(at) => date(at),
        other => other.to_string(),
    }
}

/// The day, as dates are written everywhere here.
fn date(at: &ExcelDateTime) -> String {
    if !at.is_datetime() {
        return at.as_f64().to_string();
    }
    let (year, month, day, ..) = at.to_ymd_hms_milli();
    format!("{year:04}-{month:02}-{day:02}")
}
