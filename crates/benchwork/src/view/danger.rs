//! A danger that readings show, as it is shown before anything else and as scripts read it.
//!
//! Words. Nothing here fails.

use receiver::sweep_drive::Danger;
use serde::Serialize;

/// What must be done at once.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DangerView {
    /// What to do now.
    pub head: String,
    /// Why.
    pub because: String,
    /// What comes after.
    pub then: String,
}

impl From<Danger> for DangerView {
    fn from(own: Danger) -> DangerView {
        DangerView {
            head: own.head,
            because: own.because,
            then: own.then,
        }
    }
}
