//! Files made to do harm, and files that are merely odd: each ends in rows or in one clear sentence.

use super::*;
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;

fn refused(bytes: &[u8]) -> String {
    read(bytes).expect_err("refused")
}

fn cells(bytes: &[u8]) -> Vec<Vec<String>> {
    let sheet = read(bytes).expect("readable");
    sheet.rows.into_iter().map(|line| line.cells).collect()
}

#[test]
fn the_habits_of_spreadsheets_are_read() {
    assert_eq!(
        cells(b"\xEF\xBB\xBFtag;name\r\nF-1;\"Fan; old\"\r\n"),
        [["F-1", "Fan; old"]]
    );
    assert_eq!(cells(b"sep=;\ntag;name\nF-1;a,b,c\n"), [["F-1", "a,b,c"]]);
    assert_eq!(cells(b"tag\tname\nF-1\tFan\n"), [["F-1", "Fan"]]);
    assert_eq!(
        cells(b"tag,name\n\"=\"\"007\"\"\",'=1+1\n"),
        [["007", "=1+1"]]
    );
    let mut utf16 = vec![0xFF, 0xFE];
    utf16.extend(
        "tag\tname\nF-1\tÖl"
            .encode_utf16()
            .flat_map(u16::to_le_bytes),
    );
    assert_eq!(cells(&utf16), [["F-1", "Öl"]]);
}

#[test]
fn rows_have_the_numbers_that_the_spreadsheet_shows() {
    let sheet = read(b"sep=,\ntag,name\nF-1,\"two\nlines\"\n\nF-2,x\n").expect("readable");
    let numbers: Vec<usize> = sheet.rows.iter().map(|line| line.number).collect();
    assert_eq!(
        numbers,
        [3, 5],
        "the blank row counts, the quoted line does not"
    );
}

#[test]
fn odd_text_is_refused_with_its_place() {
    assert!(refused(b"tag,name\nF-1,caf\xE9\n").contains("Line 2 is not UTF-8"));
    assert!(refused(b"tag,name\nF-1,a\0b\n").contains("no text"));
    assert!(refused(b"tag,TAG\n1,2\n").contains("Two columns are called TAG"));
    assert!(refused(b"tag,name\n").contains("no row beneath"));
    assert!(refused(b"\n\n").contains("empty"));
    assert!(refused(b"tag,name\nF-1,a,b\n").contains("Row 2 has more cells"));
    assert!(refused(&[0xD0, 0xCF, 0x11, 0xE0, 0, 0]).contains("old kind"));
    assert!(refused(&[0xFF, 0xFE, 0x41]).contains("cut off"));
}

#[test]
fn size_is_bounded() {
    assert!(refused(&vec![b'a'; MOST_BYTES + 1]).contains("larger than 32 MB"));
    let mut long = b"tag\n".to_vec();
    long.extend(vec![b'a'; 10 * 1024 * 1024]);
    assert!(refused(&long).contains("longer than 64 KB"));
    let unclosed = [b"tag\n\"".to_vec(), vec![b'a'; 10 * 1024 * 1024]].concat();
    assert!(refused(&unclosed).contains("longer than 64 KB"));
    let heads: Vec<String> = (0..1000).map(|n| format!("c{n}")).collect();
    let wide = format!("{}\n1\n", heads.join(","));
    assert!(refused(wide.as_bytes()).contains("1000 columns; 200 are read"));
    let many = format!("tag\n{}", "a\n".repeat(MOST_ROWS + 1));
    assert!(refused(many.as_bytes()).contains("200000 rows"));
    let row = format!("{}1\n", ",".repeat(199));
    let heads: Vec<String> = (0..200).map(|n| format!("c{n}")).collect();
    let cells = format!("{}\n{}", heads.join(","), row.repeat(21_000));
    assert!(refused(cells.as_bytes()).contains("4 million cells"));
}

/// A workbook whose first sheet is this XML.
fn workbook(sheet: &[u8]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let mut part = |name: &str, text: &[u8]| {
        zip.start_file(name, SimpleFileOptions::default())
            .expect("part");
        zip.write_all(text).expect("part");
    };
    part(
        "[Content_Types].xml",
        br#"<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>"#,
    );
    part(
        "xl/workbook.xml",
        br#"<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="S" sheetId="1" r:id="rId1"/></sheets></workbook>"#,
    );
    part(
        "xl/_rels/workbook.xml.rels",
        br#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#,
    );
    part("xl/worksheets/sheet1.xml", sheet);
    zip.finish().expect("zip").into_inner()
}

fn sheet_of(rows: &str) -> Vec<u8> {
    let text = format!(
        r#"<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}</sheetData></worksheet>"#
    );
    workbook(text.as_bytes())
}

#[test]
fn a_real_workbook_is_read_with_what_its_formulas_came_to() {
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    for (at, head) in ["tag", "held", "installed", "sum"].iter().enumerate() {
        sheet
            .write(0, u16::try_from(at).expect("small"), *head)
            .expect("cell");
    }
    let date = rust_xlsxwriter::Format::new().set_num_format("yyyy-mm-dd");
    let day = rust_xlsxwriter::ExcelDateTime::from_ymd(2019, 5, 31).expect("a day");
    sheet.write(2, 0, "F-1").expect("cell");
    sheet.write(2, 1, 3).expect("cell");
    sheet.write_with_format(2, 2, day, &date).expect("cell");
    let formula = rust_xlsxwriter::Formula::new("=1+1").set_result("2");
    sheet.write(2, 3, formula).expect("cell");
    let bytes = book.save_to_buffer().expect("a file");
    let read = read(&bytes).expect("readable");
    assert_eq!(read.heads, ["tag", "held", "installed", "sum"]);
    assert_eq!(read.rows.len(), 1);
    assert_eq!(read.rows[0].number, 3, "as the spreadsheet numbers it");
    assert_eq!(read.rows[0].cells, ["F-1", "3", "2019-05-31", "2"]);
}

#[test]
fn a_bomb_costs_nothing() {
    let rows = " ".repeat(20 * 1024 * 1024);
    let bomb = sheet_of(&rows);
    assert!(bomb.len() < 1024 * 1024, "it is small: {}", bomb.len());
    assert!(refused(&bomb).contains("packed as no spreadsheet packs"));
    // The last cell of all is refused, by the reader of workbooks or by the bound.
    let far = sheet_of(
        r#"<row r="1"><c r="A1" t="str"><v>tag</v></c></row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>"#,
    );
    let told = refused(&far);
    assert!(
        told.contains("200 are read") || told.contains("cannot be read"),
        "{told}"
    );
}

#[test]
fn a_size_that_is_claimed_is_not_believed() {
    let mut book = sheet_of(r#"<row r="1"><c r="A1" t="str"><v>tag</v></c></row>"#);
    // The uncompressed size in every entry of the central directory says 2 GB.
    let at: Vec<usize> = (0..book.len() - 4)
        .filter(|at| book[*at..].starts_with(b"PK\x01\x02"))
        .collect();
    for at in at {
        book[at + 24..at + 28].copy_from_slice(&0x7FFF_FFFF_u32.to_le_bytes());
    }
    assert!(refused(&book).contains("unpacks to more than 128 MB"));
}

#[test]
fn broken_and_other_zips_are_told_apart() {
    let whole = sheet_of(r#"<row r="1"><c r="A1"><v>1</v></c></row>"#);
    assert!(refused(&whole[..whole.len() / 2]).contains("broken or cut off"));
    assert!(refused(b"PK nothing of the kind").contains("broken or cut off"));
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    zip.start_file("a.txt", SimpleFileOptions::default())
        .expect("part");
    zip.write_all(b"a").expect("part");
    let other = zip.finish().expect("zip").into_inner();
    assert!(refused(&other).contains("no workbook"));
}

#[test]
fn entities_are_not_followed() {
    let text = r#"<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;"><!ENTITY f SYSTEM "file:///etc/passwd">]><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData><row r="1"><c r="A1" t="str"><v>tag</v></c></row><row r="2"><c r="A2" t="inlineStr"><is><t>&b;&f;</t></is></c></row></sheetData></worksheet>"#;
    let told = match read(&workbook(text.as_bytes())) {
        Ok(sheet) => sheet.rows[0].cells.concat(),
        Err(message) => message,
    };
    assert!(!told.contains("root:") && !told.contains("aaaa"), "{told}");
}
