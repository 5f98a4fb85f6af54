//! QR codes as inline pictures that print sharp.

use qrcode::{EcLevel, QrCode, render::svg};

/// An SVG element of the text, black on white, for a page that marks it as ready HTML. Medium error
/// correction: a scratched label still reads.
pub fn svg(text: &str) -> String {
    let Ok(code) = QrCode::with_error_correction_level(text, EcLevel::M) else {
        return String::new(); // longer than a QR code holds; the address stands beside it in words
    };
    let picture = code
        .render::<svg::Color<'_>>()
        .min_dimensions(120, 120)
        .build();
    // Only the element itself: the XML declaration has no place inside a page.
    picture
        .find("<svg")
        .map_or_else(String::new, |at| picture[at..].to_owned())
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_code_is_one_svg_element() {
        let picture = super::svg("http://shop.example/t/K-04");
        assert!(picture.starts_with("<svg") && picture.trim_end().ends_with("</svg>"));
        assert!(
            !picture.contains("style="),
            "the content policy forbids inline style"
        );
    }
}
