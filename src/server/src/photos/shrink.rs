//! What is kept of an uploaded photo: turned upright, made small, and written anew, so that nothing
//! but the picture itself survives. Place data, remarks and whatever was hung on the file stay behind.

use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{
    DynamicImage, ExtendedColorType, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage,
};
use std::io::Cursor;

/// The largest file taken, in bytes.
pub const MOST_BYTES: usize = 15 * 1024 * 1024;
/// A file of a few kilobytes may unfold to a picture that fills the memory.
const MOST_PIXELS: u64 = 50_000_000;
const MOST_MEMORY: u64 = 256 * 1024 * 1024;
const LONGEST_SIDE: u32 = 1600;
const LONGEST_SIDE_SMALL: u32 = 320;
const QUALITY: u8 = 80;

/// A photo as it is kept: JPEG, and a small one for lists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shrunk {
    pub large: Vec<u8>,
    pub small: Vec<u8>,
    pub width: u32,
    pub height: u32,
}

/// Why a photo is not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Problem {
    Empty,
    TooManyBytes,
    TooManyPixels,
    OtherKind,
    NoPhoto,
    Incomplete,
    Unreadable,
    TooMany,
    Busy,
    NotStored,
}

impl Problem {
    /// What people read after the file's name.
    pub fn words(self) -> &'static str {
        match self {
            Problem::Empty => "the file is empty. Take the photo again",
            Problem::TooManyBytes => {
                "the file is larger than 15 MB. Take it again with a smaller setting of the camera"
            }
            Problem::TooManyPixels => {
                "the picture has more than 50 million points. Take it again with a smaller \
                 setting of the camera"
            }
            Problem::OtherKind => {
                "this kind of photo (HEIC or AVIF) cannot be read here. Set the camera to JPEG, or \
                 send a screenshot of it"
            }
            Problem::NoPhoto => "this is no photo. JPEG, PNG and WebP are taken",
            Problem::Incomplete => "the end of the file is missing. Choose it again",
            Problem::Unreadable => "the file is damaged and cannot be read. Take the photo again",
            Problem::TooMany => "too many photos at once; none after the last allowed is taken",
            Problem::Busy => {
                "too many photos are coming in just now. Send it without, or try again in a minute"
            }
            Problem::NotStored => {
                "it could not be stored here just now. Send it without, and tell the shop"
            }
        }
    }
}

/// Which decoder reads it, by its first bytes: a name or a stated type proves nothing.
fn kind(bytes: &[u8]) -> Result<ImageFormat, Problem> {
    match bytes {
        [] => Err(Problem::Empty),
        [0xFF, 0xD8, 0xFF, ..] => Ok(ImageFormat::Jpeg),
        [0x89, b'P', b'N', b'G', 0x0D, 0x0A, 0x1A, 0x0A, ..] => Ok(ImageFormat::Png),
        [
            b'R',
            b'I',
            b'F',
            b'F',
            _,
            _,
            _,
            _,
            b'W',
            b'E',
            b'B',
            b'P',
            ..,
        ] => Ok(ImageFormat::WebP),
        [_, _, _, _, b'f', b't', b'y', b'p', ..] => Err(Problem::OtherKind),
        _ => Err(Problem::NoPhoto),
    }
}

/// Reads, turns, shrinks and writes anew.
///
/// # Errors
/// [`Problem`] for everything that is not one whole photo of bearable size.
pub fn shrink(bytes: &[u8]) -> Result<Shrunk, Problem> {
    let kind = kind(bytes)?;
    if bytes.len() > MOST_BYTES {
        return Err(Problem::TooManyBytes);
    }
    if kind == ImageFormat::Jpeg && !jpeg_ends(bytes) {
        return Err(Problem::Incomplete);
    }
    let (picture, orientation) = decode(bytes, kind)?;
    // Shrunk before it is turned: turning needs a second copy.
    let mut large = fitted(picture, LONGEST_SIDE);
    large.apply_orientation(orientation);
    let large = large.into_rgb8();
    let small = fitted(DynamicImage::ImageRgb8(large.clone()), LONGEST_SIDE_SMALL).into_rgb8();
    Ok(Shrunk {
        width: large.width(),
        height: large.height(),
        large: encode(&large)?,
        small: encode(&small)?,
    })
}

fn decode(bytes: &[u8], kind: ImageFormat) -> Result<(DynamicImage, Orientation), Problem> {
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    let mut reader = ImageReader::with_format(Cursor::new(bytes), kind);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|e| problem(&e))?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MOST_PIXELS || decoder.total_bytes() > MOST_MEMORY {
        return Err(Problem::TooManyPixels);
    }
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let picture = DynamicImage::from_decoder(decoder).map_err(|e| problem(&e))?;
    Ok((picture, orientation))
}

fn problem(error: &image::ImageError) -> Problem {
    match error {
        image::ImageError::Limits(_) => Problem::TooManyPixels,
        _ => Problem::Unreadable,
    }
}

/// Never made larger than it came.
fn fitted(picture: DynamicImage, longest: u32) -> DynamicImage {
    if picture.width().max(picture.height()) <= longest {
        picture
    } else {
        picture.thumbnail(longest, longest)
    }
}

fn encode(picture: &RgbImage) -> Result<Vec<u8>, Problem> {
    let mut out = Vec::new();
    JpegEncoder::new_with_quality(&mut out, QUALITY)
        .encode(
            picture,
            picture.width(),
            picture.height(),
            ExtendedColorType::Rgb8,
        )
        .map_err(|_| Problem::Unreadable)?;
    Ok(out)
}

/// Whether a JPEG reaches its end marker. The decoder fills what is missing with grey, and half a
/// nameplate looks like a whole one at first.
fn jpeg_ends(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some(found) = bytes
        .get(at..)
        .and_then(|rest| rest.iter().position(|byte| *byte == 0xFF))
    {
        at += found + 1;
        match bytes.get(at) {
            Some(0xD9) => return true,
            // Data that looks like a marker, a restart, or padding.
            Some(0x00 | 0x01 | 0xD0..=0xD8) => at += 1,
            Some(0xFF) => {}
            Some(_) => {
                // A segment tells its length; a preview inside it may have an end marker too.
                let (Some(high), Some(low)) = (bytes.get(at + 1), bytes.get(at + 2)) else {
                    return false;
                };
                at += 1 + usize::from(u16::from_be_bytes([*high, *low]));
            }
            None => return false,
        }
    }
    false
}

#[cfg(test)]
#[path = "shrink_tests.rs"]
mod tests;
