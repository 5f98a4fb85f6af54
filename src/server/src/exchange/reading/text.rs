//! Bytes to text: UTF-8 with or without its mark, or UTF-16 as "Unicode text" is saved.

pub fn decoded(bytes: &[u8]) -> Result<String, String> {
    match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => utf8(rest),
        [0xFF, 0xFE, rest @ ..] => utf16(rest, u16::from_le_bytes),
        [0xFE, 0xFF, rest @ ..] => utf16(rest, u16::from_be_bytes),
        bytes => utf8(bytes),
    }
}

fn utf8(bytes: &[u8]) -> Result<String, String> {
    let text = std::str::from_utf8(bytes).map_err(|e| {
        let line = bytes[..e.valid_up_to()]
            .iter()
            .filter(|b| **b == b'\n')
            .count()
            + 1;
        format!("Line {line} is not UTF-8 text. Save the file as \"CSV UTF-8\" and send it again.")
    })?;
    plain(text.to_owned())
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<String, String> {
    let (pairs, rest) = bytes.as_chunks::<2>();
    if !rest.is_empty() {
        return Err("The file is cut off in the middle of a letter.".to_owned());
    }
    let text = char::decode_utf16(pairs.iter().map(|pair| unit(*pair)))
        .collect::<Result<String, _>>()
        .map_err(|_| "The file holds letters that cannot be read.".to_owned())?;
    plain(text)
}

fn plain(text: String) -> Result<String, String> {
    if text.contains('\0') {
        return Err("This file is no text: it is neither CSV nor XLSX.".to_owned());
    }
    Ok(text)
}
