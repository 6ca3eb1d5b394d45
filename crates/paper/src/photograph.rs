//! Photographs made small enough for a page, side by side on all cores.
//!
//! In go the upright pictures that a restoration keeps (JPEG); out come smaller ones of at most so
//! many pixels, without anything a camera wrote into them. All together they keep within a number
//! of bytes as long as they can: where the usual size is too much, sides and quality fall in
//! steps. Decoding is limited before it begins. A picture that cannot be read is a
//! [`PictureError`] of its own and stops no other.

use std::io::Cursor;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use fast_image_resize::images::Image;
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageEncoder, ImageFormat, ImageReader, Limits, RgbImage};
use rayon::prelude::*;

use crate::document::Jpeg;
use crate::error::PictureError;

/// The most pixels that are decoded.
pub const MOST_PIXELS: u64 = 64_000_000;

/// Longest side in pixels and quality of a hundred, the usual first. At 85 mm on paper the first
/// has about 340 dots to the inch.
const STEPS: &[(u32, u8)] = &[
    (1150, 80),
    (1000, 74),
    (860, 68),
    (700, 62),
    (560, 56),
    (440, 50),
];

impl Jpeg {
    /// A JPEG of pixels in rows, three bytes each: red, green, blue.
    pub fn from_rgb(
        pixels: Vec<u8>,
        width: u32,
        height: u32,
        quality: u8,
    ) -> Result<Jpeg, PictureError> {
        let picture = RgbImage::from_raw(width, height, pixels);
        encoded(&picture.ok_or_else(|| broken("too few pixels"))?, quality)
    }
}

/// Makes pictures small; all together at most so many bytes where that can be done. `tell` hears
/// how many are done, from any thread.
pub fn reduce(
    pictures: &[&[u8]],
    most_bytes: usize,
    tell: &(dyn Fn(usize) + Sync),
) -> Vec<Result<Arc<Jpeg>, PictureError>> {
    let share = most_bytes / pictures.len().max(1);
    let done = AtomicUsize::new(0);
    pictures
        .par_iter()
        .map(|bytes| {
            let small = reduced(bytes, share);
            tell(done.fetch_add(1, Ordering::Relaxed) + 1);
            small.map(Arc::new)
        })
        .collect()
}

/// One picture, by the first step that keeps within its share.
fn reduced(bytes: &[u8], share: usize) -> Result<Jpeg, PictureError> {
    let mut picture = decoded(bytes)?;
    let mut small = None;
    for (longest, quality) in STEPS {
        picture = fitted(picture, *longest)?;
        let made = encoded(&picture, *quality)?;
        let fits = made.bytes.len() <= share;
        small = Some(made);
        if fits {
            break;
        }
    }
    small.ok_or_else(|| broken("there is no size for it"))
}

fn decoded(bytes: &[u8]) -> Result<RgbImage, PictureError> {
    let mut reader = ImageReader::with_format(Cursor::new(bytes), ImageFormat::Jpeg);
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_PIXELS * 4);
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(broken)?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(PictureError::TooManyPixels { width, height });
    }
    let picture = DynamicImage::from_decoder(decoder).map_err(broken)?;
    Ok(picture.into_rgb8())
}

/// The picture with its longest side at most so long.
fn fitted(picture: RgbImage, longest: u32) -> Result<RgbImage, PictureError> {
    let (width, height) = picture.dimensions();
    let side = width.max(height);
    if side <= longest {
        return Ok(picture);
    }
    let scaled = |own: u32| {
        let own = u64::from(own) * u64::from(longest) / u64::from(side);
        u32::try_from(own).unwrap_or(longest).max(1)
    };
    let (wide, high) = (scaled(width), scaled(height));
    let from = Image::from_vec_u8(width, height, picture.into_raw(), PixelType::U8x3);
    let from = from.map_err(broken)?;
    let mut to = Image::new(wide, high, PixelType::U8x3);
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::CatmullRom));
    Resizer::new()
        .resize(&from, &mut to, &options)
        .map_err(broken)?;
    RgbImage::from_raw(wide, high, to.into_vec()).ok_or_else(|| broken("its size does not fit"))
}

fn encoded(picture: &RgbImage, quality: u8) -> Result<Jpeg, PictureError> {
    let (width, height) = picture.dimensions();
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, quality)
        .write_image(picture, width, height, image::ExtendedColorType::Rgb8)
        .map_err(broken)?;
    Ok(Jpeg {
        bytes,
        width,
        height,
    })
}

fn broken(error: impl std::fmt::Display) -> PictureError {
    PictureError::Broken {
        because: error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture with much in it, the same every time.
    fn picture(width: u32, height: u32) -> Vec<u8> {
        let mut state = 7_u32;
        let picture = RgbImage::from_fn(width, height, |_, _| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let grain = (state >> 24) as u8;
            image::Rgb([grain, grain / 2, 255 - grain])
        });
        encoded(&picture, 90).expect("a picture").bytes
    }

    #[test]
    fn pictures_become_small_and_keep_their_shape() {
        let (wide, tall, tiny) = (picture(1600, 1200), picture(900, 1600), picture(30, 20));
        let told = AtomicUsize::new(0);
        let small = reduce(&[&wide, &tall, &tiny], usize::MAX, &|done| {
            told.fetch_max(done, Ordering::Relaxed);
        });
        let sizes: Vec<(u32, u32)> = small
            .iter()
            .map(|own| {
                own.as_ref()
                    .map(|own| (own.width, own.height))
                    .expect("small")
            })
            .collect();
        assert_eq!(sizes, [(1150, 862), (646, 1150), (30, 20)]);
        assert_eq!(told.into_inner(), 3);
        for own in small.iter().flatten() {
            let back = image::load_from_memory(&own.bytes).expect("a picture");
            assert_eq!((back.width(), back.height()), (own.width, own.height));
        }
    }

    #[test]
    fn a_small_allowance_is_kept_as_far_as_it_can_be() {
        let wide = picture(1600, 1200);
        let usual = reduce(&[&wide], usize::MAX, &|_| {});
        let usual = usual[0].as_ref().expect("small").bytes.len();
        let halved = reduce(&[&wide, &wide], usual, &|_| {});
        for own in halved {
            assert!(own.expect("small").bytes.len() <= usual / 2);
        }
        // No allowance at all: the smallest there is, not nothing.
        let least = reduce(&[&wide], 0, &|_| {});
        assert_eq!(least[0].as_ref().expect("small").width, 440);
    }

    #[test]
    fn what_is_no_picture_stops_no_other() {
        let good = picture(40, 30);
        let half = &good[..good.len() / 3];
        let made = reduce(&[b"noise", &good, half, b""], usize::MAX, &|_| {});
        let good: Vec<bool> = made.iter().map(Result::is_ok).collect();
        assert!(!good[0] && good[1] && !good[3]);
        assert!(
            made[0]
                .as_ref()
                .is_err_and(|error| !error.to_string().is_empty())
        );
    }
}
