//! Lays a document out as a PDF that can be kept and as one page of HTML.
//!
//! A [`Document`] is a row of [`Block`]s: headings, paragraphs, cautions, lists, tables, drawings,
//! photographs. [`to_pdf`] makes a PDF/A-2a of it that can also be spoken (PDF/UA-1), [`to_html`] a
//! page that stands alone. [`labels_to_pdf`] makes sheets of labels, [`reduce`] makes photographs
//! small enough. Knows fonts, pages and pictures, no set and no file. Millimetres and points of
//! 1/72 inch. What cannot be laid out is a [`PaperError`].
//!
//! ```
//! use paper::{Block, Document, Moment, Text, to_html, to_pdf};
//!
//! let made_at = Moment { year: 2026, month: 11, day: 29, hour: 8, minute: 49, second: 51, offset_minutes: 60 };
//! let document = Document {
//!     blocks: vec![
//!         Block::Title { text: "Larkfield 12T".to_owned(), below: vec!["made 1950".into()] },
//!         Block::Paragraph(Text::plain("The chassis is ").and_strong("on the line").and(".")),
//!     ],
//!     ..Document::new("Larkfield 12T", "en", made_at)
//! };
//! let paged = to_pdf(&document)?;
//! assert_eq!(paged.pages, 1);
//! assert!(to_html(&document).contains("<strong>on the line</strong>"));
//! # Ok::<(), paper::PaperError>(())
//! ```

mod document;
mod error;
mod html;
mod labels;
mod lay;
mod lay_table;
mod letters;
mod pages;
mod pdf;
mod photograph;
mod strips;

pub use document::{
    Block, Column, Document, Drawing, Jpeg, Look, Moment, Photograph, Piece, Sheet, Table, Text,
    points,
};
pub use error::{PaperError, PictureError};
pub use html::to_html;
pub use labels::{LABEL_MILLIMETRES, Label, labels_on, labels_to_pdf};
pub use pdf::{Paged, to_pdf};
pub use photograph::{MOST_PIXELS, reduce};
