//! What the types of a kind have in common.
//!
//! Usual value and deviation of each number that is searched for, found by fitting the types
//! of the catalogue and taking middle and scatter of what their points tell (see
//! docs/theory/tube_laws.md); where no point tells it (knee, low volts, grid current) from
//! memory of makers' curves. Volts, or logarithms as named. Nothing here fails.

use circuit::tube::GridCurrent;

use super::least_squares::{Prior, prior};

/// Greatest spread of mu along the cathode.
pub(super) const MOST_SPREAD: f64 = 0.98;

/// Contact potential and the electrons' own speed, volts.
pub(super) const TRIODE_OFFSET: Prior = prior(0.5, 0.35);
/// Spread, see [`share_of`].
pub(super) const TRIODE_SPREAD: Prior = prior(-0.4, 0.9);
/// Logarithm of the softness.
pub(super) const TRIODE_SOFTNESS: Prior = prior(-1.8, 0.5);
/// Logarithm of the plate volts below which the plate no longer draws all.
pub(super) const TRIODE_LOW_PLATE: Prior = prior(2.7, 0.4);

/// What a screened tube is, as far as its law differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Screened {
    /// A pentode of sharp cut-off.
    Sharp,
    /// Of semi-remote cut-off.
    SemiRemote,
    /// Of remote cut-off.
    Remote,
    /// A power pentode.
    PowerPentode,
    /// A beam tube.
    Beam,
    /// A beam tube of a horizontal sweep.
    SweepBeam,
    /// A heptode.
    Heptode,
}

/// The priors of a screened tube, but for its perveance.
#[derive(Clone, Copy, Debug)]
pub(super) struct ScreenedPriors {
    /// Logarithm of the screen's mu, where no figure of the type tells it.
    pub(super) screen_mu: Prior,
    /// Logarithm of the plate's mu over the screen's.
    pub(super) plate_mu: Prior,
    pub(super) offset: Prior,
    pub(super) spread: Prior,
    pub(super) softness: Prior,
    /// Screen's share, see [`share_of`] of [`MOST_SCREEN_SHARE`].
    pub(super) share: Prior,
    /// See [`share_of`] of one.
    pub(super) fall: Prior,
    /// Logarithm of the knee over the screen's mu.
    pub(super) knee: Prior,
    /// Logarithm of the screen volts below which it no longer draws all.
    pub(super) low_screen: Prior,
    /// Logarithm of the mu of grid 3, and of the width of its gate at 100 screen volts.
    pub(super) gate: [Prior; 2],
}

/// Greatest share of the current that a screen catches.
pub(super) const MOST_SCREEN_SHARE: f64 = 0.495;

impl Screened {
    pub(super) fn priors(self) -> ScreenedPriors {
        let sharp = ScreenedPriors {
            screen_mu: prior(3.75, 0.3),
            plate_mu: prior(5.3, 0.6),
            offset: prior(0.5, 0.35),
            spread: prior(-0.8, 0.8),
            softness: prior(-1.3, 0.5),
            share: prior(0.0, 0.6),
            fall: prior(-1.9, 0.7),
            knee: prior(-1.75, 0.3),
            low_screen: prior(2.3, 0.4),
            gate: [prior(3.2, 0.6), prior(0.9, 0.6)],
        };
        match self {
            Screened::Sharp => sharp,
            Screened::SemiRemote => ScreenedPriors {
                spread: prior(1.0, 0.8),
                softness: prior(-1.9, 0.5),
                ..sharp
            },
            Screened::Remote => ScreenedPriors {
                screen_mu: prior(3.3, 0.4),
                spread: prior(3.0, 1.0),
                softness: prior(-1.9, 0.5),
                ..sharp
            },
            Screened::PowerPentode => ScreenedPriors {
                screen_mu: prior(2.4, 0.5),
                plate_mu: prior(4.0, 0.6),
                spread: prior(0.0, 1.0),
                softness: prior(-1.9, 0.5),
                share: prior(-0.9, 0.7),
                knee: prior(-2.0, 0.3),
                fall: prior(-0.2, 0.8),
                ..sharp
            },
            Screened::Beam => ScreenedPriors {
                screen_mu: prior(2.1, 0.25),
                plate_mu: prior(3.5, 0.6),
                spread: prior(1.0, 1.0),
                softness: prior(-1.9, 0.5),
                share: prior(-1.7, 0.7),
                knee: prior(-2.2, 0.3),
                fall: prior(0.7, 0.8),
                ..sharp
            },
            Screened::SweepBeam => ScreenedPriors {
                screen_mu: prior(1.87, 0.15),
                plate_mu: prior(3.3, 0.6),
                spread: prior(2.5, 1.0),
                softness: prior(-1.9, 0.5),
                share: prior(-2.0, 0.7),
                knee: prior(-2.6, 0.3),
                fall: prior(0.7, 0.8),
                ..sharp
            },
            Screened::Heptode => ScreenedPriors {
                screen_mu: prior(3.2, 0.5),
                plate_mu: prior(5.0, 1.0),
                share: prior(1.0, 1.0),
                ..sharp
            },
        }
    }
}

/// A share between 0 and `most` from a number without bounds.
pub(super) fn share_of(number: f64, most: f64) -> f64 {
    most / (1.0 + (-number.clamp(-30.0, 30.0)).exp())
}

/// The exponential of a number, held finite.
pub(super) fn bounded_exp(number: f64) -> f64 {
    number.clamp(-40.0, 40.0).exp()
}

/// The current of a control grid beside a tube of this perveance. A positive grid takes
/// about a third of what it lets pass at like volts; with these the grid of a 10-megohm leak
/// rests 0.5 to 1 V below the cathode (makers' sheets of the 6AV6 and its like: contact
/// potential bias, from memory; common practice).
pub(super) fn grid_current(perveance: f64) -> GridCurrent {
    GridCurrent {
        perveance: 0.3 * perveance,
        contact_volts: 0.2,
        softness_volts: 0.14,
    }
}
