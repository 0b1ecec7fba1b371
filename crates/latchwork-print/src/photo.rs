//! A photograph made ready for print: decoded, turned upright, no larger than a page needs, and written again, so that
//! nothing that the camera noted beside the picture (place, time, owner) goes with it.

use std::io::Cursor;

use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageReader, Limits};

/// The most megapixels that are decoded.
const MOST_MEGAPIXELS: u64 = 60;
/// The most megabytes that a file may have.
pub const MOST_MEGABYTES: u64 = 50;
/// As wide or high as a photograph is kept, in pixels: 290 to an inch over the width of A4.
const MOST_ACROSS: u32 = 2400;
/// The JPEG quality that it is kept at, out of a hundred.
const QUALITY: u8 = 88;

/// Why a file cannot be a handout's photograph.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoPhoto {
    /// Not JPEG, PNG or WebP, or damaged.
    NotOne,
    /// More megapixels than are decoded.
    TooWide {
        /// How many.
        megapixels: u64,
        /// The most.
        most: u64,
    },
}

/// The photograph as a JPEG that holds nothing but the picture.
///
/// # Errors
/// When the bytes are not a picture, or one that is too large to decode: its size is read from its header alone.
pub fn photo(bytes: &[u8]) -> Result<Vec<u8>, NoPhoto> {
    let not = |_| NoPhoto::NotOne;
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().map_err(|_| NoPhoto::NotOne)?;
    let mut limits = Limits::default();
    limits.max_alloc = Some(8 * MOST_MEGAPIXELS * 1_000_000);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(not)?;
    let (width, height) = decoder.dimensions();
    let megapixels = (u64::from(width) * u64::from(height)).div_ceil(1_000_000);
    if megapixels > MOST_MEGAPIXELS {
        return Err(NoPhoto::TooWide { megapixels, most: MOST_MEGAPIXELS });
    }
    let upright = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder).map_err(not)?;
    picture.apply_orientation(upright);
    if picture.width().max(picture.height()) > MOST_ACROSS {
        picture = picture.resize(MOST_ACROSS, MOST_ACROSS, image::imageops::FilterType::CatmullRom);
    }
    let rgba = picture.to_rgba8();
    let pixels = latchwork_thread::look::Pixels {
        width: rgba.width() as usize,
        height: rgba.height() as usize,
        rgba: rgba.into_raw(),
    };
    let jpeg = crate::data::jpeg_of(&pixels, QUALITY);
    if jpeg.is_empty() { Err(NoPhoto::NotOne) } else { Ok(jpeg) }
}
