//! An address as a code that a camera reads (QR code, ISO/IEC 18004).
//!
//! Drawn by a kept library, with its quiet border. Fails for a text that is longer than such a code holds, which no
//! address here is.

use qrcode::render::{svg, unicode};
use qrcode::{EcLevel, QrCode};

/// The code as a picture.
pub fn as_svg(text: &str) -> Option<String> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M).ok()?;
    let drawn = code
        .render::<svg::Color<'_>>()
        .min_dimensions(260, 260)
        .build();
    // It stands inside a page: the declaration of a file of its own goes.
    let from = drawn.find("<svg")?;
    Some(drawn[from..].to_owned())
}

/// The code in letters, two dots high each: black on white.
pub fn in_letters(text: &str) -> Option<Vec<String>> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M).ok()?;
    let drawn = code.render::<unicode::Dense1x2>().build();
    Some(drawn.lines().map(str::to_owned).collect())
}
