//! What drives the stages whose d.c. a signal makes, as assumed for the chart.
//!
//! Volts. An oscillator's or a driven grid is clamped by its own grid current, so that
//! the peak of the wave stands near the cathode and the grid leak carries the mean; a
//! grid on a fixed bias swings about that bias. Currents are means over one cycle of
//! the law. The sizes of the waves are common practice for such stages, not measured.

use std::f64::consts::TAU;

/// How many moments of a cycle are looked at.
const MOMENTS: usize = 48;

/// The form of a wave, from 0 at its peak downwards to minus one.
#[derive(Clone, Copy)]
pub enum Wave {
    Sine,
    /// A straight rise.
    Saw,
    /// A rise that flattens towards the peak: what drives a horizontal output tube.
    Scan,
    /// A blocking oscillator's or discharge tube's grid: at the peak for this share of
    /// the cycle, else far below and coming back to a third.
    Discharge(f64),
}

/// Which electrode is driven.
#[derive(Clone, Copy, PartialEq)]
pub enum Driven {
    Grid,
    Third,
}

/// How the wave stands against the cathode.
#[derive(Clone, Copy)]
pub enum Stand {
    /// The peak is held at these volts by grid current.
    Clamped(f64),
    /// The mean is whatever the d.c. of the grid is.
    Swinging,
}

/// The drive of one section, found by the place of the driven electrode.
#[derive(Clone, Copy)]
pub struct Drive {
    pub at: &'static str,
    pub electrode: Driven,
    pub wave: Wave,
    pub peak_to_peak: f64,
    pub stand: Stand,
    /// The screen's share while the plate swings below its knee at the end of the scan.
    pub screen_share: Option<f64>,
}

const fn grid(at: &'static str, wave: Wave, peak_to_peak: f64, stand: Stand) -> Drive {
    Drive {
        at,
        electrode: Driven::Grid,
        wave,
        peak_to_peak,
        stand,
        screen_share: None,
    }
}

pub const LARKFIELD: &[Drive] = &[
    grid("V2.5", Wave::Sine, 5.0, Stand::Clamped(0.0)),
    grid("V2.6", Wave::Sine, 12.0, Stand::Clamped(1.5)),
    grid("V10.4", Wave::Discharge(0.04), 60.0, Stand::Clamped(0.0)),
    grid("V21.5", Wave::Saw, 16.0, Stand::Swinging),
    grid("V16.4", Wave::Saw, 12.0, Stand::Swinging),
    grid("V16.1", Wave::Discharge(0.08), 45.0, Stand::Clamped(0.0)),
    Drive {
        screen_share: Some(0.11),
        ..grid("V17.5", Wave::Scan, 60.0, Stand::Clamped(0.0))
    },
];

pub const MERROW: &[Drive] = &[
    grid("V2.2", Wave::Sine, 5.0, Stand::Clamped(0.0)),
    grid("V2.9", Wave::Sine, 10.0, Stand::Clamped(1.0)),
    Drive {
        electrode: Driven::Third,
        ..grid("V8.7", Wave::Sine, 8.0, Stand::Clamped(0.0))
    },
    grid("V12.7", Wave::Discharge(0.04), 60.0, Stand::Clamped(0.0)),
    grid("V12.2", Wave::Saw, 10.0, Stand::Swinging),
    grid("V13.2", Wave::Discharge(0.08), 40.0, Stand::Clamped(0.0)),
    Drive {
        screen_share: Some(0.11),
        ..grid("V14.5", Wave::Scan, 90.0, Stand::Clamped(0.0))
    },
];

/// The wave over one cycle: volts against the cathode if clamped, against the mean if swinging.
pub fn cycle(drive: &Drive, size: f64) -> Vec<f64> {
    let volts = drive.peak_to_peak * size;
    let shape: Vec<f64> = (0..MOMENTS)
        .map(|moment| {
            let x = (moment as f64 + 0.5) / MOMENTS as f64;
            match drive.wave {
                Wave::Sine => ((TAU * x).cos() - 1.0) / 2.0,
                Wave::Saw => x - 1.0,
                Wave::Scan => -(1.0 - x).powf(1.5),
                Wave::Discharge(share) if x < share => 0.0,
                Wave::Discharge(share) => -1.0 + (x - share) / (1.0 - share) * (2.0 / 3.0),
            }
        })
        .collect();
    let mean = shape.iter().sum::<f64>() / MOMENTS as f64;
    shape
        .into_iter()
        .map(|part| match drive.stand {
            Stand::Clamped(peak) => peak + volts * part,
            Stand::Swinging => volts * (part - mean),
        })
        .collect()
}
