//! A picture's light, to be made into a repeat.

use std::io::Cursor;

use image::{ImageDecoder, ImageReader, Limits};
use latchwork::motif::Light;

use crate::photo::NoPhoto;

/// The most megapixels that are decoded.
const MOST_MEGAPIXELS: u64 = 40;

/// The light of a picture, what is transparent as if on white paper.
///
/// # Errors
/// When the bytes are not a picture, or one that is too large to decode: its size is read from its header alone.
pub fn light(bytes: &[u8]) -> Result<Light, NoPhoto> {
    let not = |_| NoPhoto::NotOne;
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().map_err(|_| NoPhoto::NotOne)?;
    let mut limits = Limits::default();
    limits.max_alloc = Some(8 * MOST_MEGAPIXELS * 1_000_000);
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(not)?;
    let (width, height) = decoder.dimensions();
    let megapixels = (u64::from(width) * u64::from(height)).div_ceil(1_000_000);
    if megapixels > MOST_MEGAPIXELS {
        return Err(NoPhoto::TooWide { megapixels, most: MOST_MEGAPIXELS });
    }
    let picture = image::DynamicImage::from_decoder(decoder).map_err(not)?.to_luma_alpha8();
    // A byte of light and one of how much it covers.
    let values = picture.pixels().map(|p| {
        let [light, alpha] = p.0.map(|b| f32::from(b) / 255.0);
        light * alpha + 1.0 - alpha
    });
    Ok(Light { wide: picture.width() as usize, high: picture.height() as usize, values: values.collect() })
}
