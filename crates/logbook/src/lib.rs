//! One restoration in one file.
//!
//! A [`Logbook`] is a file with the ending `.restoration`. Facts ([`Fact`]) are appended to
//! it, each with its number and the time that the caller tells ([`Stamp`]); none is ever
//! changed or deleted. A correction names the fact that it tells anew, an undo the one that
//! it takes back; [`standing_facts`] gives what holds now. Sheets are kept whole as text,
//! photographs ([`Photograph`]) as the camera wrote them, both under the hash of what they hold.
//!
//! [`export`] writes all of it into a folder of readable files and [`import`] takes such a folder
//! back without loss.
//!
//! What is sent over a network bears an id of its own and is written once ([`Logbook::once`]), and may
//! be bound to what its sender had seen ([`Logbook::only_as_seen`]).
//!
//! Only this crate knows the database. It judges no reading and knows no clock. Units are in
//! the names. What went wrong is a [`LogbookError`] with what to do about it.
//!
//! ```
//! use logbook::{Decided, Fact, Logbook, Stamp, Undone, standing_facts};
//!
//! let folder = tempfile::tempdir()?;
//! let path = folder.path().join("larkfield.restoration");
//! let mut book = Logbook::start(&path, "Larkfield 12T")?;
//! let at = Stamp::read("2026-11-29T08:49:51+01:00")?;
//! let what = "re-form C1A from outside".to_owned();
//! let number = book.append(&at, &Fact::Decided(Decided { what, ..Decided::default() }))?;
//! assert_eq!(number, 1);
//! assert_eq!(standing_facts(&book.entries()?).len(), 1);
//!
//! let because = "the can bulges".to_owned();
//! book.append(&at, &Fact::Undone(Undone { names: 1, because }))?;
//! assert_eq!(standing_facts(&book.entries()?).len(), 0);
//! assert_eq!(book.entries()?.len(), 2);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod copy;
mod error;
mod fact;
mod fields;
mod folder;
mod lists;
mod logbook;
mod open;
mod photograph;
mod picture_tube;
mod placed;
mod plain_story;
mod proof;
mod re_forming;
mod reading;
mod schema;
mod sent;
mod stamp;
mod stored;
mod story;
mod what;
mod worked_out;
mod writing;

pub use error::LogbookError;
pub use fact::{
    Advised, Changed, Conditions, Corrected, Decided, Fact, Fitted, LONGEST_TEXT, Measured,
    Photographed, Seen, SheetTaken, StepEvent, Stepped, TestResult, Tested, Undone, What,
};
pub use fields::{FieldFault, Fields, number_text};
pub use folder::{Exported, FolderFault, export, import};
pub use lists::csv_line;
pub use logbook::{Logbook, hash_of};
pub use photograph::{LARGEST_BYTES, LONGEST_SIDE, MOST_PIXELS, Photograph, PhotographError};
pub use picture_tube::{Needle, OfPictureTube, TubeFinding};
pub use placed::Placed;
pub use plain_story::PlainStory;
pub use proof::{OfProof, PlugWay, ProofFinding};
pub use re_forming::{CAN_LOOKS, FormingEnd, FormingFinding, OfReForming};
pub use reading::KeptPhotograph;
pub use schema::{APPLICATION_ID, FORMAT};
pub use sent::{SENDING_ID_LENGTH, check_sending_id};
pub use stamp::Stamp;
pub use story::{
    Entry, Standing, StandingFact, at, holds_now, overtaken_by, stand_anew, standing_facts,
};
pub use worked_out::{LARGEST_ANSWER, MOST_KEPT};
