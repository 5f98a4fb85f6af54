//! What a printed page says, read back with poppler's tools.

use crate::scratch::Scratch;
use std::path::Path;
use std::process::Command;

/// The text as it stands on the paper, columns kept apart, a form feed after each page.
pub fn pdf_text(pdf: &[u8]) -> String {
    with_file(pdf, |file| {
        run(Command::new("pdftotext")
            .args(["-layout", "-enc", "UTF-8"])
            .arg(file)
            .arg("-"))
    })
}

pub fn pdf_pages(pdf: &[u8]) -> usize {
    info(pdf, "Pages:").parse().expect("a number of pages")
}

/// Width and height of the first page in millimetres, rounded.
pub fn pdf_paper(pdf: &[u8]) -> (u32, u32) {
    let size = info(pdf, "Page size:"); // such as `594.96 x 841.92 pts (A4)`
    let mut points = size
        .split_whitespace()
        .filter_map(|word| word.parse::<f64>().ok());
    let mut next = || (points.next().expect("a page size") / 72.0 * 25.4).round() as u32;
    (next(), next())
}

fn info(pdf: &[u8], field: &str) -> String {
    let all = with_file(pdf, |file| run(Command::new("pdfinfo").arg(file)));
    let found = all.lines().find_map(|line| line.strip_prefix(field));
    found
        .unwrap_or_else(|| panic!("pdfinfo gives no {field}\n{all}"))
        .trim()
        .to_owned()
}

fn with_file<T>(pdf: &[u8], read: impl FnOnce(&Path) -> T) -> T {
    let folder = Scratch::new("pdf");
    let file = folder.path().join("page.pdf");
    std::fs::write(&file, pdf).expect("the PDF as a file");
    read(&file)
}

fn run(command: &mut Command) -> String {
    let out = command
        .output()
        .unwrap_or_else(|e| panic!("{command:?} does not start: {e}"));
    assert!(
        out.status.success(),
        "{command:?}: {}",
        String::from_utf8_lossy(&out.stderr)
    );
    String::from_utf8(out.stdout).expect("UTF-8")
}
