//! One set off the maker's line: its parts as drawn, its network, its volts and ohms.
//!
//! Volts, amperes, ohms. A dense network of the sheet's resistances, the chart maker's
//! tube law and its driven stages, solved by Newton's rule with a dense matrix. The
//! supply is a source behind a resistance: the rectifier cycle is not followed. Fails
//! by panic with the place at which it stuck, as a test may.

use nalgebra::{DMatrix, DVector};
use parts::PinName;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use receiver::sheet::{PartValue, Place, Places, Sheet};

use crate::drive::{Drive, Driven, Stand, cycle};
use crate::law::{self, Electrodes, Law};
use crate::march::{March, Means};

/// What closes a contact, ohms.
const CONTACT: f64 = 0.01;
/// What leaks from every junction to the chassis, siemens: it keeps a junction that
/// nothing holds from being undefined, and no meter sees it.
const LEAK: f64 = 1e-11;
/// Siemens by which a clamped grid is held at its mean.
const CLAMP: f64 = 1e-2;

/// A source behind a resistance: it drives current out of `to`.
#[derive(Clone, Copy)]
pub struct Source {
    pub from: &'static str,
    pub to: &'static str,
    pub volts: f64,
    pub ohms: f64,
}

/// What the chart maker is told of a set beside its sheet.
pub struct Told {
    pub seed: u64,
    /// Rectifier, and boost across the damper.
    pub sources: &'static [Source],
    pub drives: &'static [Drive],
    /// The vertical stages, which are followed in time.
    pub march: March,
}

/// A section of a tube in its places: plate, screen, grid, third grid, cathode.
pub struct Stage {
    pub name: String,
    pub law: Law,
    pub at: [Option<usize>; 5],
    drive: Option<(Drive, Vec<f64>)>,
    /// Means of the march: currents, and volts over the cathode.
    marched: Option<(Electrodes, Electrodes)>,
}

/// A coil at its marked inductance.
pub struct Coil {
    pub name: String,
    pub from: usize,
    pub to: usize,
    pub ohms: f64,
    pub henries: f64,
}

/// The set as drawn.
pub struct Set {
    pub places: Places,
    chassis: usize,
    pub conductances: Vec<(usize, usize, f64)>,
    /// Capacitors by their ends and farads, as marked.
    pub capacitors: Vec<(usize, usize, f64)>,
    pub coils: Vec<Coil>,
    /// References of the resistors with their ends, ohms and watts.
    pub resistors: Vec<(String, usize, usize, f64, Option<f64>)>,
    sources: Vec<(usize, usize, f64, f64)>,
    pub stages: Vec<Stage>,
}

impl Set {
    /// The set with every part at its marked value.
    pub fn as_marked(sheet: &Sheet, told: &Told) -> Set {
        Set::made(sheet, told, &mut |_| 1.0)
    }

    /// The set that the maker measured: parts within their tolerance, tubes within 15 %,
    /// drives within 10 %, sources within 2 %, all even and from the seed.
    pub fn as_drawn(sheet: &Sheet, told: &Told) -> Set {
        let mut random = Pcg64::seed_from_u64(told.seed);
        Set::made(sheet, told, &mut |tolerance| {
            1.0 + tolerance * (2.0 * random.random::<f64>() - 1.0)
        })
    }

    fn made(sheet: &Sheet, told: &Told, draw: &mut dyn FnMut(f64) -> f64) -> Set {
        let places = sheet.places();
        let chassis = junction(&places, &Place::Chassis);
        let mut set = Set {
            chassis,
            conductances: Vec::new(),
            capacitors: Vec::new(),
            coils: Vec::new(),
            resistors: Vec::new(),
            sources: Vec::new(),
            stages: Vec::new(),
            places,
        };
        set.add_parts(sheet, draw);
        for source in told.sources {
            let (from, to) = (set.find(source.from), set.find(source.to));
            let volts = source.volts * draw(0.02);
            set.sources.push((from, to, volts, source.ohms));
        }
        for tube in &sheet.tubes {
            for section in law::sections(&tube.kind.name) {
                let place = |pin: &str| {
                    let pin = match pin {
                        "cap" => PinName::Cap,
                        number => PinName::Number(number.parse().expect("a pin number")),
                    };
                    let place = Place::Pin {
                        tube: tube.reference.clone(),
                        pin,
                    };
                    set.places.junction_of(&place).map(|id| id.index())
                };
                let at = [
                    place(section.plate),
                    section.screen.and_then(place),
                    section.grid.and_then(place),
                    section.third.and_then(place),
                    place(section.cathode),
                ];
                let emission = draw(0.15);
                let drive = told.drives.iter().find(|drive| {
                    let driven = set.find(drive.at);
                    let pin = match drive.electrode {
                        Driven::Grid => at[2],
                        Driven::Third => at[3],
                    };
                    drive.at.starts_with(&format!("{}.", tube.reference)) && pin == Some(driven)
                });
                let mut law = Law::through(section.point).times(emission);
                if let Some(share) = drive.and_then(|drive| drive.screen_share) {
                    law = law.with_screen_share(share);
                }
                let drive = drive.map(|drive| (*drive, cycle(drive, draw(0.1))));
                set.stages.push(Stage {
                    name: format!("{}.{}", tube.reference, section.plate),
                    law,
                    at,
                    drive,
                    marched: None,
                });
            }
        }
        set
    }

    /// Follows the vertical stages in time and takes their means over; twice, since what they
    /// draw moves the places around them.
    pub fn marched(mut self, told: &Told) -> (Set, f64) {
        let mut hertz = 0.0;
        for _ in 0..2 {
            let volts = self.volts(None, None);
            let Means {
                stages,
                hertz: rate,
            } = told.march.follow(&self, &volts);
            hertz = rate;
            for (stage, means) in self.stages.iter_mut().zip(stages) {
                stage.marched = means.or(stage.marched);
            }
        }
        (self, hertz)
    }

    fn add_parts(&mut self, sheet: &Sheet, draw: &mut dyn FnMut(f64) -> f64) {
        let spread = |marked: Option<quantity::Tolerance>, common: f64| {
            marked.map_or(common, |tolerance| tolerance.up)
        };
        for winding in &sheet.windings {
            let ohms = winding.ohms.expect("the windings have their ohms") * draw(0.1);
            let ends = (self.at(&winding.start), self.at(&winding.end));
            self.conductances.push((ends.0, ends.1, 1.0 / ohms));
        }
        for part in &sheet.parts {
            let (from, to) = (self.at(&part.from), self.at(&part.to));
            let third = part.third.as_ref().map(|place| self.at(place));
            let (ohms, at, watts) = match &part.value {
                PartValue::Resistor {
                    ohms,
                    at,
                    watts,
                    tolerance,
                    ..
                } => (ohms * draw(spread(*tolerance, 0.2)), *at, *watts),
                PartValue::Control {
                    ohms,
                    at,
                    watts,
                    tolerance,
                } => (ohms * draw(spread(*tolerance, 0.2)), *at, *watts),
                PartValue::Coil { ohms, henries, .. } => {
                    let ohms = ohms.unwrap_or_else(|| panic!("{}: no ohms", part.reference));
                    let ohms = ohms * draw(0.1);
                    self.coils.push(Coil {
                        name: part.reference.clone(),
                        from,
                        to,
                        ohms,
                        henries: henries.expect("the coils have their henries"),
                    });
                    (ohms, None, None)
                }
                PartValue::Capacitor { farads, .. } => {
                    self.capacitors.push((from, to, *farads));
                    continue;
                }
                PartValue::Fuse { ohms, .. } => (ohms.unwrap_or(CONTACT), None, None),
                PartValue::Switch { open: false } | PartValue::Plug { open: false } => {
                    (CONTACT, None, None)
                }
                _ => continue,
            };
            match (third, at) {
                (Some(wiper), Some(share)) => {
                    for (a, b, ohms) in [
                        (from, wiper, ohms * share),
                        (wiper, to, ohms * (1.0 - share)),
                    ] {
                        if a != b {
                            self.conductances.push((a, b, 1.0 / ohms.max(0.1)));
                        }
                    }
                }
                _ => {
                    self.conductances.push((from, to, 1.0 / ohms));
                    if matches!(part.value, PartValue::Resistor { .. }) {
                        self.resistors
                            .push((part.reference.clone(), from, to, ohms, watts));
                    }
                }
            }
        }
    }

    /// The junction of a place by its name.
    pub fn find(&self, text: &str) -> usize {
        let place = self.places.find(text);
        self.at(place.unwrap_or_else(|unknown| panic!("{unknown}")))
    }

    fn at(&self, place: &Place) -> usize {
        junction(&self.places, place)
    }

    fn size(&self) -> usize {
        self.places.junctions().len()
    }

    /// The resistances alone, with the chassis held; `meter` hangs on one junction.
    fn resistances(&self, meter: Option<(usize, f64)>) -> DMatrix<f64> {
        let size = self.size();
        let mut matrix = DMatrix::from_diagonal_element(size, size, LEAK);
        for (a, b, siemens) in &self.conductances {
            add(&mut matrix, *a, *b, *siemens);
        }
        if let Some((at, ohms)) = meter {
            matrix[(at, at)] += 1.0 / ohms;
        }
        // A good earth: the chassis is where everything is measured from.
        matrix[(self.chassis, self.chassis)] += 1e6;
        matrix
    }

    /// Cold ohms from a junction to the chassis, set unplugged; infinite beyond 20 megohms.
    pub fn ohms(&self, at: usize) -> f64 {
        let mut one = DVector::zeros(self.size());
        one[at] = 1.0;
        let solved = self.resistances(None).lu().solve(&one);
        let ohms = solved.expect("the leak holds every junction")[at];
        if at == self.chassis || ohms < 1e-3 {
            0.0
        } else if ohms > 20e6 {
            f64::INFINITY
        } else {
            ohms
        }
    }

    /// The volts of every junction; `near` is where to begin.
    pub fn volts(&self, meter: Option<(usize, f64)>, near: Option<&DVector<f64>>) -> DVector<f64> {
        let mut linear = self.resistances(meter);
        let mut driven = DVector::zeros(self.size());
        for (from, to, volts, ohms) in &self.sources {
            add(&mut linear, *from, *to, 1.0 / ohms);
            driven[*to] += volts / ohms;
            driven[*from] -= volts / ohms;
        }
        let mut volts = near.cloned().unwrap_or_else(|| {
            linear
                .clone()
                .lu()
                .solve(&driven)
                .expect("the leak holds every junction")
        });
        let mut worst = (0, 0.0);
        for _ in 0..2000 {
            let mut left = &linear * &volts - &driven;
            let mut slopes = linear.clone();
            for stage in &self.stages {
                stage.stamp(&volts, &mut left, &mut slopes);
            }
            let step = slopes.lu().solve(&left).expect("the slopes hold");
            let largest = step.amax();
            let share = (20.0 / largest).min(1.0);
            volts -= step.scale(share);
            worst = (step.iamax(), largest);
            if largest < 1e-7 {
                return volts;
            }
        }
        let stuck = &self.places.junctions()[worst.0];
        panic!("no settled volts: {} moves by {}", stuck.label(), worst.1);
    }

    /// Currents into the electrodes of a stage at these volts, mean over the cycle.
    pub fn currents(&self, stage: &Stage, volts: &DVector<f64>) -> Electrodes {
        let [plate, screen, grid, third, _] = stage.mean_currents(stage.electrode_volts(volts));
        Electrodes {
            plate,
            screen,
            grid,
            third,
        }
    }
}

impl Stage {
    /// Plate, screen, grid, third grid against the chassis, and the cathode.
    fn electrode_volts(&self, volts: &DVector<f64>) -> [f64; 5] {
        self.at.map(|at| at.map_or(0.0, |at| volts[at]))
    }

    /// What the march found, carried on to other volts: plate and screen in proportion to
    /// theirs; a grid that holds itself stays, another takes its current.
    fn marched_currents(&self, at: [f64; 5]) -> Option<[f64; 5]> {
        let (amperes, across) = self.marched?;
        let plate = amperes.plate * (at[0] - at[4]) / across.plate;
        let screen = match self.at[1] {
            Some(_) => amperes.screen * (at[1] - at[4]) / across.screen,
            None => 0.0,
        };
        let held =
            matches!(&self.drive, Some((drive, _)) if matches!(drive.stand, Stand::Clamped(_)));
        let grid = match held {
            true => CLAMP * (at[2] - at[4] - across.grid),
            false => amperes.grid,
        };
        Some([plate, screen, grid, 0.0, -(plate + screen + grid)])
    }

    /// Adds the currents of this moment and their slopes, where `own` gives a place's row.
    pub fn stamp_at(
        &self,
        left: &mut DVector<f64>,
        slopes: &mut DMatrix<f64>,
        volts: impl Fn(usize) -> f64,
        own: impl Fn(usize) -> Option<usize>,
    ) {
        const NUDGE: f64 = 1e-5;
        let at = self.at.map(|at| at.map_or(0.0, &volts));
        let now = |at: [f64; 5]| {
            let drawn = self.law.currents(Electrodes {
                plate: at[0] - at[4],
                screen: at[1] - at[4],
                grid: at[2] - at[4],
                third: at[3] - at[4],
            });
            let mut out = [drawn.plate, drawn.screen, drawn.grid, 0.0, 0.0];
            if self.at[1].is_none() {
                out[1] = 0.0;
            }
            out[4] = -(out[0] + out[1] + out[2]);
            out
        };
        let drawn = now(at);
        let rows = self.at.map(|at| at.and_then(&own));
        for (row, amperes) in rows.iter().zip(drawn) {
            if let Some(row) = row {
                left[*row] += amperes;
            }
        }
        for (moved, column) in rows.iter().enumerate() {
            let Some(column) = column else { continue };
            let mut nudged = at;
            nudged[moved] += NUDGE;
            let after = now(nudged);
            for (electrode, row) in rows.iter().enumerate() {
                if let Some(row) = row {
                    slopes[(*row, *column)] += (after[electrode] - drawn[electrode]) / NUDGE;
                }
            }
        }
    }

    /// Currents into plate, screen, grid, third grid and cathode, mean over the cycle.
    fn mean_currents(&self, at: [f64; 5]) -> [f64; 5] {
        if let Some(marched) = self.marched_currents(at) {
            return marched;
        }
        let [plate, screen, grid, third, cathode] = at;
        let resting = Electrodes {
            plate: plate - cathode,
            screen: screen - cathode,
            grid: grid - cathode,
            third: third - cathode,
        };
        let mut mean = match &self.drive {
            None => self.law.currents(resting),
            Some((drive, cycle)) => {
                let mut sum = Electrodes::default();
                for wave in cycle {
                    let mut now = resting;
                    let slot = match drive.electrode {
                        Driven::Grid => &mut now.grid,
                        Driven::Third => &mut now.third,
                    };
                    *slot = match drive.stand {
                        Stand::Clamped(_) => *wave,
                        Stand::Swinging => *slot + wave,
                    };
                    let drawn = self.law.currents(now);
                    sum.plate += drawn.plate;
                    sum.screen += drawn.screen;
                    sum.grid += drawn.grid;
                    sum.third += drawn.third;
                }
                let moments = cycle.len() as f64;
                sum.plate /= moments;
                sum.screen /= moments;
                sum.grid /= moments;
                sum.third /= moments;
                if let Stand::Clamped(_) = drive.stand {
                    // What the grid draws at the peaks is what holds it at its mean.
                    let held = cycle.iter().sum::<f64>() / moments;
                    match drive.electrode {
                        Driven::Grid => sum.grid = CLAMP * (resting.grid - held),
                        Driven::Third => sum.third = CLAMP * (resting.third - held),
                    }
                }
                sum
            }
        };
        if self.at[3].is_none() {
            mean.third = 0.0;
        }
        let cathode = -(mean.plate + mean.screen + mean.grid + mean.third);
        [mean.plate, mean.screen, mean.grid, mean.third, cathode]
    }

    fn stamp(&self, volts: &DVector<f64>, left: &mut DVector<f64>, slopes: &mut DMatrix<f64>) {
        const STEP: f64 = 1e-5;
        let at = self.electrode_volts(volts);
        let drawn = self.mean_currents(at);
        for (electrode, place) in self.at.iter().enumerate() {
            if let Some(place) = place {
                left[*place] += drawn[electrode];
            }
        }
        for (moved, column) in self.at.iter().enumerate() {
            let Some(column) = column else { continue };
            let mut nudged = at;
            nudged[moved] += STEP;
            let after = self.mean_currents(nudged);
            for (electrode, row) in self.at.iter().enumerate() {
                if let Some(row) = row {
                    slopes[(*row, *column)] += (after[electrode] - drawn[electrode]) / STEP;
                }
            }
        }
    }
}

fn junction(places: &Places, place: &Place) -> usize {
    let id = places.junction_of(place);
    id.unwrap_or_else(|| panic!("{place} is no place of the sheet"))
        .index()
}

fn add(matrix: &mut DMatrix<f64>, a: usize, b: usize, siemens: f64) {
    matrix[(a, a)] += siemens;
    matrix[(b, b)] += siemens;
    matrix[(a, b)] -= siemens;
    matrix[(b, a)] -= siemens;
}
