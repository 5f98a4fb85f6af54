use super::*;
use image::codecs::png::PngEncoder;
use image::codecs::webp::WebPEncoder;
use image::{ImageEncoder, Rgb};

/// Red on the left, blue on the right, green below both.
fn picture(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        if y > height / 2 {
            Rgb([0, 200, 0])
        } else if x < width / 2 {
            Rgb([220, 0, 0])
        } else {
            Rgb([0, 0, 220])
        }
    })
}

/// EXIF with an orientation and a position in its GPS part.
fn exif(orientation: u16) -> Vec<u8> {
    let mut tiff = b"II\x2A\x00\x08\x00\x00\x00\x02\x00".to_vec();
    tiff.extend([0x12, 0x01, 3, 0, 1, 0, 0, 0]);
    tiff.extend([orientation.to_le_bytes(), [0, 0]].concat());
    tiff.extend([0x25, 0x88, 4, 0, 1, 0, 0, 0, 38, 0, 0, 0]);
    tiff.extend([0, 0, 0, 0]);
    // One GPS field: the datum, as text.
    tiff.extend([1, 0, 0x12, 0x00, 2, 0, 12, 0, 0, 0, 56, 0, 0, 0, 0, 0, 0, 0]);
    tiff.extend(b"WGS-84-HERE\0");
    tiff
}

fn jpeg(picture: &RgbImage, exif: Option<Vec<u8>>) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut out, 90);
    if let Some(exif) = exif {
        encoder.set_exif_metadata(exif).expect("exif is written");
    }
    encoder.encode_image(picture).expect("a jpeg");
    out
}

fn png(picture: &RgbImage) -> Vec<u8> {
    let mut out = Vec::new();
    let (width, height) = picture.dimensions();
    PngEncoder::new(&mut out)
        .write_image(picture, width, height, ExtendedColorType::Rgb8)
        .expect("a png");
    out
}

fn read(bytes: &[u8]) -> RgbImage {
    image::load_from_memory_with_format(bytes, ImageFormat::Jpeg)
        .expect("what is kept is a jpeg")
        .into_rgb8()
}

fn holds(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|window| window == part)
}

#[test]
fn a_large_photo_is_shrunk_and_a_small_one_left_its_size() {
    let kept = shrink(&jpeg(&picture(3200, 1000), None)).expect("taken");
    assert_eq!((kept.width, kept.height), (1600, 500));
    assert_eq!(read(&kept.large).dimensions(), (1600, 500));
    assert_eq!(read(&kept.small).dimensions(), (320, 100));
    let kept = shrink(&jpeg(&picture(90, 60), None)).expect("taken");
    assert_eq!(read(&kept.large).dimensions(), (90, 60));
    assert_eq!(read(&kept.small).dimensions(), (90, 60));
}

#[test]
fn png_and_webp_come_out_as_jpeg() {
    let picture = picture(400, 300);
    let mut webp = Vec::new();
    WebPEncoder::new_lossless(&mut webp)
        .write_image(&picture, 400, 300, ExtendedColorType::Rgb8)
        .expect("a webp");
    for bytes in [png(&picture), webp] {
        let kept = shrink(&bytes).expect("taken");
        assert_eq!(read(&kept.large).dimensions(), (400, 300));
    }
}

#[test]
fn a_photo_taken_upright_is_turned_and_its_place_data_stay_behind() {
    let bytes = jpeg(&picture(400, 200), Some(exif(6)));
    assert!(holds(&bytes, b"WGS-84-HERE"), "the test's own photo has it");
    let kept = shrink(&bytes).expect("taken");
    assert_eq!((kept.width, kept.height), (200, 400));
    let turned = read(&kept.large);
    // A quarter turn clockwise: red and blue come to the right, green to the left.
    let [r, g, b] = turned.get_pixel(180, 40).0;
    assert!(r > 150 && g < 90 && b < 90, "red above right: {r} {g} {b}");
    let [r, g, b] = turned.get_pixel(180, 360).0;
    assert!(r < 90 && g < 90 && b > 150, "blue below right: {r} {g} {b}");
    let [r, g, b] = turned.get_pixel(20, 200).0;
    assert!(r < 90 && g > 130 && b < 90, "green at left: {r} {g} {b}");
    for kept in [&kept.large, &kept.small] {
        assert!(!holds(kept, b"Exif") && !holds(kept, b"WGS-84-HERE"));
    }
}

#[test]
fn what_hangs_on_a_photo_is_dropped() {
    let mut bytes = jpeg(&picture(100, 80), None);
    bytes.extend(b"<html><script>alert(1)</script></html>");
    let kept = shrink(&bytes).expect("the photo itself is fine");
    assert!(!holds(&kept.large, b"script") && !holds(&kept.small, b"script"));
    // A remark inside the file too.
    let mut remark = vec![0xFF, 0xD8, 0xFF, 0xFE, 0, 10];
    remark.extend(b"<script>");
    remark.extend(&bytes[2..]);
    let kept = shrink(&remark).expect("the photo itself is fine");
    assert!(!holds(&kept.large, b"script"));
}

#[test]
fn what_is_no_photo_is_refused_whatever_its_name() {
    for (bytes, why) in [
        (b"".as_slice(), Problem::Empty),
        (
            b"<!doctype html><script>alert(1)</script>",
            Problem::NoPhoto,
        ),
        (
            b"<svg xmlns='http://www.w3.org/2000/svg'/>",
            Problem::NoPhoto,
        ),
        (b"GIF89a\x01\0\x01\0\x80\0\0\0\0\0", Problem::NoPhoto),
        (b"BM\x9a\0\0\0", Problem::NoPhoto),
        (b"%PDF-1.7", Problem::NoPhoto),
        (b"\0\0\0\x18ftypheic\0\0\0\0", Problem::OtherKind),
        (b"\xFF\xD8\xFF", Problem::Incomplete),
        (b"\xFF\xD8\xFF\xE0\0\x04ab\xFF\xD9", Problem::Unreadable),
        (b"\x89PNG\r\n\x1a\n", Problem::Unreadable),
        (b"RIFF\x04\0\0\0WEBP", Problem::Unreadable),
    ] {
        assert_eq!(
            shrink(bytes),
            Err(why),
            "{:?}",
            String::from_utf8_lossy(bytes)
        );
    }
}

#[test]
fn half_a_photo_is_refused_and_never_filled_with_grey() {
    let picture = RgbImage::from_fn(600, 400, |x, y| {
        let grain = |by: u32| u8::try_from((x * 7 + y * by) % 251).unwrap_or(0);
        Rgb([grain(13), grain(31), grain(5)])
    });
    let whole = jpeg(&picture, Some(exif(1)));
    for part in [2, 3, 5, 9] {
        let cut = &whole[..whole.len() * part / 10];
        assert_eq!(shrink(cut), Err(Problem::Incomplete), "{part} tenths");
    }
    assert_eq!(
        shrink(&whole[..whole.len() - 2]),
        Err(Problem::Incomplete),
        "only its end mark is missing"
    );
    let whole = png(&picture);
    assert_eq!(shrink(&whole[..whole.len() / 2]), Err(Problem::Unreadable));
}

/// A PNG's head that promises this many points.
fn promised(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = png(&picture(8, 8));
    bytes[16..20].copy_from_slice(&width.to_be_bytes());
    bytes[20..24].copy_from_slice(&height.to_be_bytes());
    let sum = crc(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&sum.to_be_bytes());
    bytes
}

fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            (crc >> 1) ^ (0xEDB8_8320 & 0_u32.wrapping_sub(crc & 1))
        })
    })
}

#[test]
fn a_small_file_that_unfolds_to_a_huge_picture_is_refused() {
    for (width, height) in [
        (50_000, 50_000),
        (60_000, 1000),
        (8000, 6251),
        (u32::MAX >> 1, 2),
    ] {
        assert_eq!(
            shrink(&promised(width, height)),
            Err(Problem::TooManyPixels),
            "{width} by {height}"
        );
    }
    // Within the limit it is read, and found to be broken.
    assert_eq!(shrink(&promised(4000, 3000)), Err(Problem::Unreadable));
}

#[test]
fn a_file_beyond_the_limit_is_refused_before_it_is_read() {
    let mut bytes = jpeg(&picture(64, 64), None);
    bytes.resize(MOST_BYTES + 1, 0);
    assert_eq!(shrink(&bytes), Err(Problem::TooManyBytes));
}
