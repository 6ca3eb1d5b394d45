//! A type near another, with what changes, for people and scripts.
//!
//! Figures are in the unit of the catalogue's column named in `what`. The
//! distance serves the order only and has no unit. Making a view cannot fail.

use parts::NearTube;
use serde::Serialize;

use super::six_figures;

/// A type near the one asked for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NearTubeView {
    /// The type number.
    #[serde(rename = "type")]
    pub name: String,
    /// Whether it goes into the same socket: a word such as `same_socket`, `rewire`, `other_socket`.
    pub fit: &'static str,
    /// Whether it may take the place of the other as it stands.
    pub plain_substitute: bool,
    /// Whether to fit it, in words.
    pub verdict: String,
    /// For order only; 0 is the same.
    pub distance: f64,
    /// What changes, the gravest first.
    pub changes: Vec<ChangeView>,
}

/// One thing that changes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChangeView {
    /// What it touches: `pins`, `heater`, `rating_lower`, `rating_unknown`, `rating_higher`, `characteristic`, `make`.
    pub matter: &'static str,
    /// The column of the catalogue, with its unit.
    pub what: &'static str,
    /// The figure of the type asked for, where it is one figure.
    pub asked: Option<f64>,
    /// The figure of this type.
    pub this: Option<f64>,
    /// The change in words.
    pub text: String,
}

impl NearTubeView {
    /// The view of a near type.
    pub fn new(near: &NearTube<'_>) -> NearTubeView {
        NearTubeView {
            name: near.tube.name.clone(),
            fit: near.fit.word(),
            plain_substitute: near.is_plain_substitute(),
            verdict: near.verdict(),
            distance: six_figures(near.distance),
            changes: near
                .changes
                .iter()
                .map(|change| ChangeView {
                    matter: change.matter.word(),
                    what: change.what,
                    asked: change.asked.map(six_figures),
                    this: change.this.map(six_figures),
                    text: change.text.clone(),
                })
                .collect(),
        }
    }
}
