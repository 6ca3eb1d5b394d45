//! Who gets in: this computer itself, under the address that is listened on, from pages of this program.
//!
//! A page asks under a name of this computer (`Host`), so that no other site can borrow the address; a form
//! comes from one of its own pages (`Origin`). Fails with a page that says why and what to do.

mod guard;

pub use guard::guard;
