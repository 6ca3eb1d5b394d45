//! What can go wrong while pages are made.
//!
//! A drawing that is no drawing, and pages that the standard for keeping forbids. A photograph that
//! cannot be read is no error of the pages: its place says so ([`PictureError`]).

use thiserror::Error;

/// Why there are no pages.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PaperError {
    /// The letters that belong to the program cannot be read.
    #[error("the letters of the program cannot be read")]
    Letters,
    /// A drawing cannot be read.
    #[error("the drawing \"{about}\" cannot be read: {because}")]
    Drawing {
        /// What it shows.
        about: String,
        /// What is wrong with it.
        because: String,
    },
    /// A picture that stands on a page is none that a PDF can hold.
    #[error("the photograph \"{about}\" cannot stand in a PDF: {because}")]
    Photograph {
        /// What it shows.
        about: String,
        /// What is wrong with it.
        because: String,
    },
    /// The finished file breaks the rules of PDF/A or PDF/UA.
    #[error("the pages break the rules of the PDF that is kept: {because}")]
    Rules {
        /// Which rules.
        because: String,
    },
}

/// Why a photograph cannot be shown.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PictureError {
    /// The bytes are no JPEG.
    #[error("the picture cannot be read: {because}")]
    Broken {
        /// What the decoder said.
        because: String,
    },
    /// It has more pixels than are decoded.
    #[error("{width} by {height} pixels are more than are looked at")]
    TooManyPixels {
        /// Width, pixels.
        width: u32,
        /// Height, pixels.
        height: u32,
    },
}
