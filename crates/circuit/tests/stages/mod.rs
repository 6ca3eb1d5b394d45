//! Stages that run, for tests and benches: values of no set in particular, laws from memory.
//!
//! Volts, amperes, ohms, farads, henries, seconds.
#![allow(dead_code, missing_docs)]

use std::sync::Arc;

use circuit::Node;
use circuit::operating::{Branch, Figure, Network};
use circuit::running::{Limits, Running, RunningFigures, RunningNetwork, Settled, Wave, Waveform};
use circuit::tube::{DiodeLaw, GridCurrent, PentodeLaw, TriodeLaw, TubeLaw, TubeState};

/// A stage while it is being put together.
#[derive(Clone)]
pub struct Stage {
    pub network: RunningNetwork,
    pub figures: RunningFigures,
}

impl Stage {
    pub fn new() -> Stage {
        Stage {
            network: RunningNetwork {
                network: Network::new(),
                ..RunningNetwork::default()
            },
            figures: RunningFigures::new(Vec::new(), Vec::new(), Vec::new()),
        }
    }
    pub fn node(&mut self) -> Node {
        self.network.network.node()
    }
    pub fn ohms(&mut self, a: Node, b: Node, ohms: f64) -> usize {
        self.figures.figures.push(Figure::Siemens(1.0 / ohms));
        self.network.network.add(Branch::Resistance { a, b })
    }
    pub fn source(&mut self, a: Node, b: Node, volts: f64, ohms: f64) -> usize {
        let siemens = 1.0 / ohms;
        self.figures.figures.push(Figure::Source { volts, siemens });
        self.network.network.add(Branch::Source { a, b })
    }
    pub fn current(&mut self, a: Node, b: Node, amperes: f64) -> usize {
        self.figures.figures.push(Figure::Amperes(amperes));
        self.network.network.add(Branch::Current { a, b })
    }
    pub fn tube(&mut self, law: &Arc<TubeLaw>, cathode: Node, at: [Option<Node>; 4]) -> usize {
        self.figures
            .figures
            .push(Figure::Tube(TubeState::default()));
        self.network.network.add(Branch::Tube {
            cathode,
            electrodes: at,
            law: Arc::clone(law),
        })
    }
    pub fn farads(&mut self, a: Node, b: Node, farads: f64) -> usize {
        self.figures.farads.push(farads);
        self.network.capacitances.push((a, b));
        self.network.capacitances.len() - 1
    }
    /// A coil of copper `ohms` and `henries`.
    pub fn coil(&mut self, a: Node, b: Node, ohms: f64, henries: f64) -> usize {
        let branch = self.ohms(a, b, ohms);
        self.figures.henries.push(henries);
        self.network.coils.push(branch);
        self.network.coils.len() - 1
    }
    pub fn couple(&mut self, one: usize, other: usize, share: f64) {
        self.figures.couplings.push(share);
        self.network.couplings.push((one, other));
    }
    pub fn drive(&mut self, branch: usize, wave: Waveform, period: f64) {
        self.figures.drives.push(wave);
        self.figures.period_seconds = period;
        self.network.drives.push(branch);
    }
    pub fn running(&self) -> Running {
        Running::new(&self.network).expect("a sound network")
    }
    pub fn settle(&self, tolerance: f64) -> Settled {
        let limits = Limits {
            tolerance,
            ..Limits::default()
        };
        self.running()
            .settle(&self.figures, None, limits)
            .expect("a state")
    }
    pub fn wave(&self, tolerance: f64) -> Wave {
        match self.settle(tolerance) {
            Settled::Repeats(wave) => *wave,
            Settled::Rests(rest) => panic!("rests: {rest:?}"),
        }
    }
}

pub const GRID: GridCurrent = GridCurrent {
    perveance: 8e-4,
    contact_volts: 0.3,
    softness_volts: 0.2,
};

pub fn triode(mu: f64, perveance: f64) -> Arc<TubeLaw> {
    Arc::new(TubeLaw::Triode(TriodeLaw {
        perveance,
        mu,
        offset_volts: 0.4,
        spread: 0.03,
        softness: 0.02,
        low_plate_volts: 6.0,
        grid: GRID,
        emission_amperes: 0.2,
    }))
}

/// A triode as textbooks draw it: the three-halves law to a sharp cut-off at `Vp/mu`.
pub fn sharp_triode(mu: f64, perveance: f64) -> Arc<TubeLaw> {
    Arc::new(TubeLaw::Triode(TriodeLaw {
        perveance,
        mu,
        offset_volts: 0.0,
        spread: 0.0,
        softness: 0.0,
        low_plate_volts: 1.0,
        grid: GridCurrent {
            perveance: 5e-3,
            contact_volts: 0.0,
            softness_volts: 0.05,
        },
        emission_amperes: 10.0,
    }))
}

pub fn pentode(mu_screen: f64, perveance: f64) -> Arc<TubeLaw> {
    Arc::new(TubeLaw::Pentode(PentodeLaw {
        perveance,
        mu_screen,
        mu_plate: mu_screen * 40.0,
        offset_volts: 0.4,
        spread: 0.04,
        softness: 0.03,
        low_screen_volts: 5.0,
        screen_share: 0.1,
        screen_share_fall: 0.1,
        knee: 3.0,
        grid: GRID,
        gate: None,
        emission_amperes: 0.6,
    }))
}

pub fn diode(perveance: f64) -> Arc<TubeLaw> {
    Arc::new(TubeLaw::Diode(DiodeLaw {
        plate: GridCurrent {
            perveance,
            contact_volts: 0.4,
            softness_volts: 0.2,
        },
        emission_amperes: 0.5,
    }))
}

/// Two plate-coupled triodes, equal halves.
pub fn multivibrator(law: &Arc<TubeLaw>, load: f64, leak: f64, farads: f64) -> Stage {
    let mut stage = Stage::new();
    let [top, plate1, grid1, plate2, grid2] = std::array::from_fn(|_| stage.node());
    stage.source(top, 0, 250.0, 1.0);
    stage.ohms(top, plate1, load);
    stage.ohms(top, plate2, load);
    stage.ohms(grid1, 0, leak);
    stage.ohms(grid2, 0, leak);
    stage.farads(plate1, grid2, farads);
    stage.farads(plate2, grid1, farads);
    stage.tube(law, 0, [Some(plate1), Some(grid1), None, None]);
    stage.tube(law, 0, [Some(plate2), Some(grid2), None, None]);
    stage
}

/// A cathode-coupled multivibrator as in horizontal oscillators.
pub fn cathode_coupled(scale: f64) -> Stage {
    let law = triode(20.0, 1e-3);
    let mut stage = Stage::new();
    let [top, plate1, grid1, plate2, grid2, cathode] = std::array::from_fn(|_| stage.node());
    stage.source(top, 0, 250.0, 1.0);
    stage.ohms(top, plate1, 22e3);
    stage.ohms(top, plate2, 47e3);
    stage.ohms(grid1, 0, 100e3);
    stage.ohms(grid2, 0, 220e3);
    stage.ohms(cathode, 0, 1500.0);
    stage.farads(plate1, grid2, 390e-12 * scale);
    stage.tube(&law, cathode, [Some(plate1), Some(grid1), None, None]);
    stage.tube(&law, cathode, [Some(plate2), Some(grid2), None, None]);
    stage
}

/// A blocking oscillator with its transformer; `farads` and `leak` give the rate.
pub fn blocking(law: &Arc<TubeLaw>, henries: f64, farads: f64, leak: f64) -> Stage {
    let mut stage = Stage::new();
    let [top, plate, grid, winding] = std::array::from_fn(|_| stage.node());
    stage.source(top, 0, 200.0, 1000.0);
    // The grid winding turns the plate's pulse over.
    let primary = stage.coil(top, plate, 100.0, henries);
    let secondary = stage.coil(winding, 0, 200.0, henries);
    stage.couple(primary, secondary, 0.98);
    stage.ohms(top, plate, 47e3);
    stage.farads(top, 0, 1e-6);
    stage.farads(winding, grid, farads);
    stage.ohms(grid, 0, leak);
    stage.tube(law, 0, [Some(plate), Some(grid), None, None]);
    stage
}

/// A sync separator: composite signal through a capacitor, grid leak, low plate supply.
pub fn separator(signal: Waveform) -> Stage {
    let law = pentode(20.0, 8e-4);
    let mut stage = Stage::new();
    let [input, inner, grid, top, plate, screen] = std::array::from_fn(|_| stage.node());
    let source = stage.source(input, 0, 0.0, 4700.0);
    stage.drive(source, signal, 63.5e-6);
    stage.ohms(input, inner, 10e3);
    stage.farads(inner, grid, 0.01e-6);
    stage.ohms(grid, 0, 1e6);
    stage.source(top, 0, 120.0, 2200.0);
    stage.ohms(top, plate, 47e3);
    stage.ohms(top, screen, 33e3);
    stage.farads(screen, 0, 0.1e-6);
    stage.tube(&law, 0, [Some(plate), Some(grid), Some(screen), None]);
    stage
}

/// A horizontal output stage with grid-leak bias, its transformer, and the damper that
/// boosts the supply.
pub fn sweep_output() -> Stage {
    let beam = pentode(9.0, 1.6e-3);
    let damper = diode(1.5e-3);
    let mut stage = Stage::new();
    let [input, grid, cathode, screen, top, boost, plate, tap] =
        std::array::from_fn(|_| stage.node());
    let source = stage.source(input, 0, 0.0, 10e3);
    stage.drive(source, Waveform::sawtooth(90.0, 0.14), 63.5e-6);
    stage.farads(input, grid, 0.001e-6);
    stage.ohms(grid, 0, 1e6);
    stage.ohms(cathode, 0, 100.0);
    stage.farads(cathode, 0, 0.25e-6);
    stage.source(top, 0, 280.0, 50.0);
    stage.ohms(top, screen, 8200.0);
    stage.farads(screen, 0, 0.1e-6);
    // The transformer's upper and lower part; damper at the tap, boost capacitor to the supply.
    let upper = stage.coil(tap, plate, 8.0, 0.012);
    let lower = stage.coil(boost, tap, 15.0, 0.05);
    stage.couple(lower, upper, 0.97);
    stage.farads(plate, 0, 80e-12);
    stage.farads(boost, top, 0.1e-6);
    stage.tube(&damper, tap, [Some(top), None, None, None]);
    // What else lives on the boosted supply.
    stage.ohms(boost, 0, 220e3);
    stage.tube(
        &beam,
        cathode,
        [Some(plate), Some(grid), Some(screen), None],
    );
    stage
}

/// A tapped-coil oscillator with grid-leak bias.
pub fn tapped_coil(law: &Arc<TubeLaw>, leak: f64) -> Stage {
    let mut stage = Stage::new();
    let [top, plate, tank, grid] = std::array::from_fn(|_| stage.node());
    stage.source(top, 0, 150.0, 1.0);
    // Plate coil and grid coil tightly wound: the grid swings against the plate.
    let upper = stage.coil(top, plate, 0.5, 1e-3);
    let lower = stage.coil(tank, 0, 0.5, 1e-3);
    stage.couple(upper, lower, 0.95);
    stage.farads(tank, 0, 1000e-12);
    stage.ohms(tank, 0, 20e3);
    stage.farads(tank, grid, 220e-12);
    stage.ohms(grid, 0, leak);
    stage.tube(law, 0, [Some(plate), Some(grid), None, None]);
    stage
}
