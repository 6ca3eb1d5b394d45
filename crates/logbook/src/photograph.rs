//! A photograph as it comes: its kind judged by its bytes, its size limited before it is
//! decoded, its time and its upright side read from what the camera wrote into it.
//!
//! The bytes are kept as they are. Beside them stands an upright picture of at most
//! [`LONGEST_SIDE`] pixels for show. Read are JPEG, PNG and WebP. Source of the camera's
//! marks: the Exif standard, tags 0x0112 (orientation), 0x9003 and 0x0132 (time), 0x9011
//! (offset). Fails with [`PhotographError`].

use std::io::Cursor;

use exif::{In, Tag, Value};
use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits};
use thiserror::Error;

/// The largest file that is taken, bytes.
pub const LARGEST_BYTES: usize = 64 * 1024 * 1024;

/// The most pixels that are decoded; phones of 2026 make up to 200 million.
pub const MOST_PIXELS: u64 = 220_000_000;

/// The most bytes that a decoded picture may take: four a pixel.
const MOST_ROOM: u64 = MOST_PIXELS * 4;

/// The longest side of the picture for show, pixels.
pub const LONGEST_SIDE: u32 = 1600;

/// Quality of the picture for show, of a hundred.
const QUALITY: u8 = 82;

/// A photograph that can be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photograph {
    /// The bytes as they came.
    pub original: Vec<u8>,
    /// The usual ending of its kind of file.
    pub ending: &'static str,
    /// An upright picture of it for show, JPEG.
    pub upright: Vec<u8>,
    /// When it was taken, as the camera wrote it: `2026-11-29T08:49:51`, with the offset where it is known.
    pub taken: Option<String>,
}

/// Why a photograph is not taken.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PhotographError {
    /// The file is too large.
    #[error("{bytes} bytes are more than the {LARGEST_BYTES} that are kept of one photograph")]
    TooLarge {
        /// Size of the file.
        bytes: usize,
    },
    /// The bytes are those of another kind of file.
    #[error("{found}, where a photograph (JPEG, PNG or WebP) was expected")]
    OtherKind {
        /// What the bytes look like.
        found: String,
    },
    /// The picture has more pixels than are decoded.
    #[error("{width} by {height} pixels are more than the {} million that are looked at", MOST_PIXELS / 1_000_000)]
    TooManyPixels {
        /// Width, pixels.
        width: u32,
        /// Height, pixels.
        height: u32,
    },
    /// The picture takes more room than is given to one, as it does with more than 8 bits for each colour.
    #[error("decoded, the picture takes more than the {MOST_ROOM} bytes that are given to one")]
    TooMuchDecoded,
    /// The bytes begin like a picture but cannot be decoded.
    #[error("the picture cannot be read: {because}")]
    Broken {
        /// What the decoder said.
        because: String,
    },
}

impl PhotographError {
    /// What to do next.
    pub fn hint(&self) -> &'static str {
        match self {
            PhotographError::TooLarge { .. } | PhotographError::TooManyPixels { .. } => {
                "take it at a smaller size, or cut out what matters"
            }
            PhotographError::TooMuchDecoded => {
                "save it with 8 bits for each colour, or take it at a smaller size"
            }
            PhotographError::OtherKind { .. } => {
                "let the camera write JPEG (phones: the most compatible form), or save it as JPEG"
            }
            PhotographError::Broken { .. } => "copy it from the camera once more",
        }
    }
}

impl Photograph {
    /// Looks at the bytes of a file.
    pub fn read(original: Vec<u8>) -> Result<Photograph, PhotographError> {
        if original.len() > LARGEST_BYTES {
            let bytes = original.len();
            return Err(PhotographError::TooLarge { bytes });
        }
        let (format, ending) = kind_of(&original)?;
        let picture = decode(&original, format)?;
        let upright = show(picture)?;
        let taken = taken(&original);
        Ok(Photograph {
            original,
            ending,
            upright,
            taken,
        })
    }
}

fn kind_of(bytes: &[u8]) -> Result<(ImageFormat, &'static str), PhotographError> {
    let other = |found: &str| {
        Err(PhotographError::OtherKind {
            found: found.to_owned(),
        })
    };
    match image::guess_format(bytes) {
        Ok(ImageFormat::Jpeg) => Ok((ImageFormat::Jpeg, "jpg")),
        Ok(ImageFormat::Png) => Ok((ImageFormat::Png, "png")),
        Ok(ImageFormat::WebP) => Ok((ImageFormat::WebP, "webp")),
        _ if bytes.is_empty() => other("the file is empty"),
        _ if bytes.get(4..8) == Some(b"ftyp") => {
            other("the file is a film, or a picture in the form HEIC")
        }
        _ if bytes.starts_with(b"%PDF") => other("the file is a PDF"),
        Ok(format) => other(&format!("the file is a picture in the form {format:?}")),
        Err(_) if is_text(bytes) => other("the file is a text and no picture"),
        Err(_) => other("the file is no picture that is known here"),
    }
}

/// Whether the beginning of the bytes is text that a person can read.
fn is_text(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(512)];
    let text = match std::str::from_utf8(head) {
        Ok(text) => text,
        // Cut within a letter.
        Err(error) if error.error_len().is_none() => {
            std::str::from_utf8(&head[..error.valid_up_to()]).unwrap_or_default()
        }
        Err(_) => return false,
    };
    let is_sign = |sign: char| !sign.is_control() || sign.is_whitespace();
    !text.is_empty() && text.chars().all(is_sign)
}

fn decode(bytes: &[u8], format: ImageFormat) -> Result<DynamicImage, PhotographError> {
    let broken = |error: image::ImageError| match error {
        image::ImageError::Limits(_) => PhotographError::TooMuchDecoded,
        other => PhotographError::Broken {
            because: other.to_string(),
        },
    };
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_ROOM);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(broken)?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(PhotographError::TooManyPixels { width, height });
    }
    // 16 bits for each colour need twice the room; the decoder's own limit leaves that out.
    if decoder.total_bytes() > MOST_ROOM {
        return Err(PhotographError::TooMuchDecoded);
    }
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder).map_err(broken)?;
    if picture.width() > LONGEST_SIDE || picture.height() > LONGEST_SIDE {
        // Reduced before it is turned: fewer pixels to move.
        picture = picture.thumbnail(LONGEST_SIDE, LONGEST_SIDE);
    }
    picture.apply_orientation(orientation);
    Ok(picture)
}

fn show(picture: DynamicImage) -> Result<Vec<u8>, PhotographError> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, QUALITY)
        .encode_image(&picture.to_rgb8())
        .map_err(|error| PhotographError::Broken {
            because: error.to_string(),
        })?;
    Ok(bytes)
}

/// When the camera says that it was taken; `None` where it says nothing that can be read.
fn taken(bytes: &[u8]) -> Option<String> {
    let marks = exif::Reader::new()
        .read_from_container(&mut Cursor::new(bytes))
        .ok()?;
    let text = |tag: Tag| match &marks.get_field(tag, In::PRIMARY)?.value {
        Value::Ascii(texts) => String::from_utf8(texts.first()?.clone()).ok(),
        _ => None,
    };
    let time = text(Tag::DateTimeOriginal).or_else(|| text(Tag::DateTime))?;
    let digits = time.trim();
    let form = b"dddd:dd:dd dd:dd:dd";
    let fits = digits.len() == form.len()
        && digits.bytes().zip(form).all(|(byte, form)| match form {
            b'd' => byte.is_ascii_digit(),
            other => byte == *other,
        });
    if !fits || digits.starts_with("0000") {
        return None;
    }
    let (day, hour) = digits.split_once(' ')?;
    let offset = text(Tag::OffsetTimeOriginal).unwrap_or_default();
    let is_offset = offset.len() == 6 && offset.starts_with(['+', '-']);
    let offset = if is_offset { offset.as_str() } else { "" };
    Some(format!("{}T{hour}{offset}", day.replace(':', "-")))
}
