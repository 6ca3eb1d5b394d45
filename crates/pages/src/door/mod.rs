//! Who gets in: this computer itself under its own names; from the home network a device with its token.
//!
//! A page asks under a name of this computer (`Host`), so that no other site can borrow the address; a form
//! comes from one of its own pages (`Origin`). Fails with a page that says why and what to do.

mod guard;

pub use guard::{COOKIE, guard};

use crate::bench::Bench;
use crate::home_network::Device;

/// A request of a device of the home network that was let in.
#[derive(Debug, Clone)]
pub struct LetIn(pub Device);

impl LetIn {
    /// Whether it still is.
    pub fn is_let_in(&self, bench: &Bench) -> bool {
        let all = bench.home().map(|home| home.devices().all());
        all.and_then(Result::ok)
            .is_some_and(|devices| devices.contains(&self.0))
    }
}
