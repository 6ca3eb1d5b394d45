//! How far long work is, told as it goes, and whether anybody still wants it.
//!
//! No units. Work tells before each of its parts what it comes to; whoever asked answers whether to go on. Without
//! anybody it ends with [`Trouble::Left`], and nothing was written.

use crate::trouble::Trouble;

/// Who hears how far long work is.
#[derive(Clone, Copy)]
pub struct LongWork<'a> {
    hears: &'a dyn Fn(&str) -> bool,
}

impl<'a> LongWork<'a> {
    /// Told to somebody, who answers `false` when the work is not wanted any more.
    pub fn told_to(hears: &'a dyn Fn(&str) -> bool) -> LongWork<'a> {
        LongWork { hears }
    }

    /// Told to nobody, and done to its end.
    pub fn untold() -> LongWork<'static> {
        LongWork { hears: &|_| true }
    }

    /// The work comes to this part of it, such as `Judging the parts`.
    ///
    /// # Errors
    /// [`Trouble::Left`] where nobody wants it any more.
    pub fn comes_to(&self, part: &str) -> Result<(), Trouble> {
        if (self.hears)(part) {
            Ok(())
        } else {
            Err(Trouble::Left)
        }
    }
}
