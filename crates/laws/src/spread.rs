//! How far samples of a kind of tube lie apart, new and used.
//!
//! Factors on [`circuit::tube::TubeState`]; contact in volts. Nine of ten samples lie between
//! low and high. Nothing here fails.
//!
//! New tubes: makers' acceptance limits for plate current at the published point are about
//! -25 to +45 percent (6SN7: 7 to 13 mA about 9; 6V6: 33 to 59 mA about 45; read in data
//! sheets of 2009 reproductions); with the limits at some two and a half half-widths of the
//! middle, strength and cut-off below give nine of ten within about 20 percent of the plate
//! current at the middle of a triode's range. Used tubes: a tube counts as used up at half to
//! two thirds of its transconductance (common practice of tube testers); what a drawer of
//! used tubes holds is judgement.

use parts::SectionKind;

/// A range that holds nine of ten samples.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// One in twenty lies below.
    pub low: f64,
    /// The usual sample.
    pub middle: f64,
    /// One in twenty lies above.
    pub high: f64,
}

const fn spread(low: f64, middle: f64, high: f64) -> Spread {
    Spread { low, middle, high }
}

/// How far samples of a kind lie apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TubeSpread {
    /// Factor of the currents of new tubes.
    pub strength_new: Spread,
    /// Factor of the currents of used tubes that still work.
    pub strength_used: Spread,
    /// Factor of the grid volts that cut it off.
    pub cutoff: Spread,
    /// Volts added to the contact potential of the grids, or of a diode's plate.
    pub contact_volts: Spread,
    /// What a new cathode can emit over what the law takes.
    pub emission_new: Spread,
    /// The same of a used one.
    pub emission_used: Spread,
}

/// The spread of a kind.
pub fn tube_spread(kind: SectionKind) -> TubeSpread {
    // Contact potential: a few tenths of a volt from sample to sample, and it drifts with use
    // (from memory of handbooks on d.c. amplifiers).
    let contact_volts = spread(-0.2, 0.0, 0.2);
    // New cathodes differ by about half in what they emit; used ones have lost up to nine
    // tenths before the tube is thrown away (from memory; judgement).
    let emission_new = spread(0.6, 1.0, 1.5);
    let emission_used = spread(0.12, 0.5, 1.0);
    let with = |strength_new, strength_used, cutoff| TubeSpread {
        strength_new,
        strength_used,
        cutoff,
        contact_volts,
        emission_new,
        emission_used,
    };
    match kind {
        // Drop of rectifiers: within a fifth of the sheet (from memory).
        SectionKind::Rectifier
        | SectionKind::Damper
        | SectionKind::HvRectifier
        | SectionKind::Diode => with(
            spread(0.8, 1.0, 1.2),
            spread(0.5, 0.9, 1.1),
            spread(1.0, 1.0, 1.0),
        ),
        SectionKind::Triode => with(
            spread(0.88, 1.0, 1.12),
            spread(0.65, 0.92, 1.1),
            spread(0.93, 1.0, 1.07),
        ),
        SectionKind::Pentode | SectionKind::Beam => with(
            spread(0.87, 1.0, 1.13),
            spread(0.6, 0.9, 1.1),
            spread(0.93, 1.0, 1.07),
        ),
        // Tubes with two control grids have finer grids and wider limits (judgement).
        SectionKind::Pentagrid | SectionKind::GatedBeam => with(
            spread(0.82, 1.0, 1.18),
            spread(0.55, 0.88, 1.1),
            spread(0.9, 1.0, 1.1),
        ),
    }
}
