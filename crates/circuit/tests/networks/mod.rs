//! Networks of the size of whole sets, for tests and benches of the operating point.
//!
//! Volts, amperes, ohms, siemens. The values are those of no set in particular: stages as the
//! trade built them, parts drawn by a stated seed. Laws resemble common tubes from memory.
#![allow(dead_code, missing_docs)]

pub mod dense;

use std::sync::Arc;

use circuit::Node;
use circuit::operating::{Branch, Figure, Network, SHORT_SIEMENS};
use circuit::tube::{DiodeLaw, GridCurrent, PentodeLaw, TriodeLaw, TubeLaw, TubeState};
use circuit::two_terminal::TwoTerminalLaw;

/// A small source of chance: splitmix64 (S. Vigna, public domain; from memory).
pub struct Chance(pub u64);

impl Chance {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    /// From 0 to 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }
    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count.max(1) as u64) as usize
    }
}

const GRID: GridCurrent = GridCurrent {
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

pub fn pentode(mu_screen: f64, perveance: f64, spread: f64, screen_share: f64) -> Arc<TubeLaw> {
    Arc::new(TubeLaw::Pentode(PentodeLaw {
        perveance,
        mu_screen,
        mu_plate: mu_screen * 40.0,
        offset_volts: 0.4,
        spread,
        softness: 0.03,
        low_screen_volts: 5.0,
        screen_share,
        screen_share_fall: 0.1,
        knee: 3.0,
        grid: GRID,
        gate: None,
        emission_amperes: 0.4,
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

/// A network with one sample of figures.
#[derive(Clone)]
pub struct Sample {
    pub network: Network,
    pub figures: Vec<Figure>,
}

impl Sample {
    pub fn new() -> Sample {
        Sample {
            network: Network::new(),
            figures: Vec::new(),
        }
    }
    pub fn node(&mut self) -> Node {
        self.network.node()
    }
    pub fn ohms(&mut self, a: Node, b: Node, ohms: f64) -> usize {
        self.figures.push(Figure::Siemens(1.0 / ohms));
        self.network.add(Branch::Resistance { a, b })
    }
    pub fn source(&mut self, a: Node, b: Node, volts: f64, ohms: f64) -> usize {
        let siemens = 1.0 / ohms;
        self.figures.push(Figure::Source { volts, siemens });
        self.network.add(Branch::Source { a, b })
    }
    pub fn current(&mut self, a: Node, b: Node, amperes: f64) -> usize {
        self.figures.push(Figure::Amperes(amperes));
        self.network.add(Branch::Current { a, b })
    }
    pub fn tube(
        &mut self,
        law: &Arc<TubeLaw>,
        cathode: Node,
        electrodes: [Option<Node>; 4],
    ) -> usize {
        self.figures.push(Figure::Tube(TubeState::default()));
        let law = Arc::clone(law);
        self.network.add(Branch::Tube {
            cathode,
            electrodes,
            law,
        })
    }
    pub fn thing(&mut self, law: TwoTerminalLaw, a: Node, b: Node) -> usize {
        self.figures.push(Figure::TwoTerminal { scale: 1.0 });
        self.network.add(Branch::TwoTerminal { a, b, law })
    }
}

/// A set of about 150 nodes and 40 tube sections.
pub fn television(seed: u64) -> Sample {
    let mut chance = Chance(seed);
    let mut set = Sample::new();
    let near = |chance: &mut Chance, ohms: f64| ohms * chance.between(0.8, 1.25);
    // Supply: main line, filtered line, low line, boosted line, negative bias.
    let raw = set.node();
    let main = set.node();
    let filtered = set.node();
    let low = set.node();
    let boosted = set.node();
    let minus = set.node();
    set.source(raw, 0, 345.0, 180.0);
    set.ohms(raw, main, 60.0);
    set.ohms(main, filtered, 470.0);
    set.ohms(main, low, near(&mut chance, 2200.0));
    set.ohms(low, 0, near(&mut chance, 15e3));
    set.source(boosted, 0, 520.0, 3300.0);
    set.source(minus, 0, -42.0, 2200.0);
    let agc = set.node();
    set.ohms(minus, agc, near(&mut chance, 4.7e6));
    set.ohms(agc, 0, near(&mut chance, 470e3));

    // Tuner and intermediate frequency: pentodes in cascade.
    let sharp = pentode(36.0, 2.1e-3, 0.04, 0.28);
    let remote = pentode(25.0, 1.2e-3, 0.25, 0.27);
    for stage in 0..7 {
        let [grid, cathode, screen, tank, plate, feed] = std::array::from_fn(|_| set.node());
        let law = if stage < 3 { &remote } else { &sharp };
        let leak_to = if stage < 3 { agc } else { 0 };
        set.ohms(
            grid,
            leak_to,
            near(&mut chance, [470e3, 1e6, 6.8e3][stage % 3]),
        );
        set.ohms(cathode, 0, near(&mut chance, 120.0));
        set.ohms(low, feed, near(&mut chance, 1000.0));
        set.ohms(feed, tank, near(&mut chance, 2.0));
        set.ohms(tank, plate, near(&mut chance, 0.5));
        set.ohms(feed, screen, near(&mut chance, 470.0));
        set.tube(law, cathode, [Some(plate), Some(grid), Some(screen), None]);
    }
    // Video detector, direct coupled to the video amplifier.
    let video = pentode(22.0, 2.5e-3, 0.04, 0.22);
    let [detected, grid, cathode, screen, peak, plate] = std::array::from_fn(|_| set.node());
    set.thing(
        TwoTerminalLaw::Crystal {
            saturation_amperes: 2e-6,
            slope_volts: 0.05,
            series_ohms: 80.0,
            leak_siemens: 2e-6,
        },
        detected,
        0,
    );
    set.ohms(detected, grid, 12.0);
    set.ohms(grid, 0, near(&mut chance, 3900.0));
    set.ohms(cathode, 0, near(&mut chance, 180.0));
    set.ohms(filtered, screen, near(&mut chance, 15e3));
    set.ohms(filtered, peak, near(&mut chance, 4700.0));
    set.ohms(peak, plate, 8.0);
    set.tube(
        &video,
        cathode,
        [Some(plate), Some(grid), Some(screen), None],
    );

    // Twin triodes: sync, audio, vertical, horizontal control.
    let medium = triode(20.0, 9e-4);
    let high = triode(100.0, 1.2e-3);
    let mut before = plate;
    for stage in 0..24 {
        let [grid, plate] = std::array::from_fn(|_| set.node());
        let law = if stage % 3 == 0 { &high } else { &medium };
        let rail = [filtered, main, boosted, low][stage % 4];
        set.ohms(
            rail,
            plate,
            near(&mut chance, [100e3, 47e3, 220e3, 10e3][(stage / 2) % 4]),
        );
        let cathode = match stage % 6 {
            // Contact bias on a high grid leak.
            0 => {
                set.ohms(grid, 0, near(&mut chance, 10e6));
                0
            }
            // Direct coupled from the plate before, by a divider to the minus line.
            1 => {
                let cathode = set.node();
                set.ohms(before, grid, near(&mut chance, 1e6));
                set.ohms(grid, minus, near(&mut chance, 680e3));
                set.ohms(cathode, 0, near(&mut chance, 4700.0));
                cathode
            }
            // Cathode bias with a stopper before the grid.
            2 => {
                let [cathode, leak] = std::array::from_fn(|_| set.node());
                set.ohms(leak, grid, 1000.0);
                set.ohms(leak, 0, near(&mut chance, 470e3));
                set.ohms(cathode, 0, near(&mut chance, 1500.0));
                cathode
            }
            // Fixed bias from the minus line.
            3 => {
                set.ohms(grid, minus, near(&mut chance, 2.2e6));
                set.ohms(grid, 0, near(&mut chance, 470e3));
                0
            }
            // Two with a common cathode: this one makes it, the next shares it.
            4 => {
                let cathode = set.node();
                set.ohms(grid, 0, near(&mut chance, 1e6));
                set.ohms(cathode, 0, near(&mut chance, 1200.0));
                before = cathode;
                cathode
            }
            _ => {
                set.ohms(grid, before, near(&mut chance, 330e3));
                before
            }
        };
        set.tube(law, cathode, [Some(plate), Some(grid), None, None]);
        if stage % 6 != 4 {
            before = plate;
        }
    }
    // Output stages: audio, vertical, horizontal.
    let beam = pentode(9.5, 1.0e-3, 0.03, 0.09);
    for (stage, rail) in [main, boosted, main].into_iter().enumerate() {
        let [leak, grid, cathode, screen, plate] = std::array::from_fn(|_| set.node());
        set.ohms(leak, grid, 470.0);
        set.ohms(
            leak,
            if stage == 2 { minus } else { 0 },
            near(&mut chance, 470e3),
        );
        set.ohms(cathode, 0, near(&mut chance, [330.0, 680.0, 100.0][stage]));
        set.ohms(main, screen, near(&mut chance, 6800.0));
        set.ohms(rail, plate, near(&mut chance, 350.0));
        set.tube(
            &beam,
            cathode,
            [Some(plate), Some(grid), Some(screen), None],
        );
    }
    // Discriminator and a.g.c. diodes.
    let small = diode(1e-4);
    for stage in 0..5 {
        let [plate, cathode] = std::array::from_fn(|_| set.node());
        set.ohms(
            plate,
            if stage == 0 { agc } else { 0 },
            near(&mut chance, 1e6),
        );
        set.ohms(
            cathode,
            if stage == 1 { plate } else { 0 },
            near(&mut chance, 470e3),
        );
        set.tube(&small, cathode, [Some(plate), None, None, None]);
    }
    // Dividers with controls, as for height, linearity, brightness, focus.
    for (rail, to) in [
        (main, 0),
        (boosted, 0),
        (filtered, minus),
        (main, 0),
        (boosted, minus),
    ] {
        let [upper, slider] = std::array::from_fn(|_| set.node());
        set.ohms(rail, upper, near(&mut chance, 220e3));
        set.ohms(upper, slider, near(&mut chance, 250e3));
        set.ohms(slider, to, near(&mut chance, 330e3));
    }
    set
}

/// One to three parts open, shorted or ten times off, a tube pulled, or a supply at 20 %.
pub fn damaged(figures: &[Figure], chance: &mut Chance) -> Vec<Figure> {
    let mut figures = figures.to_vec();
    for _ in 0..1 + chance.below(3) {
        let index = chance.below(figures.len());
        let kind = chance.below(4);
        figures[index] = match (figures[index], kind) {
            (Figure::Siemens(_), 0) => Figure::Siemens(0.0),
            (Figure::Siemens(_), 1) => Figure::Siemens(SHORT_SIEMENS),
            (Figure::Siemens(siemens), 2) => Figure::Siemens(siemens * 10.0),
            (Figure::Siemens(siemens), _) => Figure::Siemens(siemens / 10.0),
            (Figure::Source { volts, siemens }, _) => Figure::Source {
                volts: 0.2 * volts,
                siemens,
            },
            (Figure::Amperes(amperes), _) => Figure::Amperes(0.2 * amperes),
            (Figure::Tube(state), 0) => Figure::Tube(TubeState {
                emission: 0.0,
                ..state
            }),
            (Figure::Tube(state), 1) => Figure::Tube(TubeState {
                emission: 0.05,
                ..state
            }),
            (Figure::Tube(state), 2) => Figure::Tube(TubeState {
                strength: 10.0,
                ..state
            }),
            (Figure::Tube(state), _) => Figure::Tube(TubeState {
                cutoff: 0.3,
                contact_volts: -2.0,
                ..state
            }),
            (Figure::TwoTerminal { .. }, 0) => Figure::TwoTerminal { scale: 0.0 },
            (Figure::TwoTerminal { scale }, _) => Figure::TwoTerminal {
                scale: 100.0 * scale,
            },
        };
    }
    figures
}

/// All figures off by their tolerance.
pub fn drawn(figures: &[Figure], chance: &mut Chance) -> Vec<Figure> {
    figures
        .iter()
        .map(|figure| match *figure {
            Figure::Siemens(siemens) => Figure::Siemens(siemens * chance.between(0.85, 1.15)),
            Figure::Source { volts, siemens } => Figure::Source {
                volts: volts * chance.between(0.95, 1.05),
                siemens: siemens * chance.between(0.9, 1.1),
            },
            Figure::Amperes(amperes) => Figure::Amperes(amperes * chance.between(0.9, 1.1)),
            Figure::Tube(_) => Figure::Tube(TubeState {
                emission: chance.between(0.5, 1.2),
                strength: chance.between(0.8, 1.2),
                cutoff: chance.between(0.9, 1.1),
                contact_volts: chance.between(-0.2, 0.2),
            }),
            Figure::TwoTerminal { scale } => Figure::TwoTerminal {
                scale: scale * chance.between(0.5, 2.0),
            },
        })
        .collect()
}
