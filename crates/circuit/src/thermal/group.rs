//! Several thermal bodies in parallel or in series, seen by a network as one conductance.
//!
//! Volts, amperes, siemens, kelvin, seconds. The drive is mean-square volts across the group
//! (parallel) or mean-square amperes through it (series); not a number or negative counts as
//! none, above 1e6 times a body's rating it is held there; both mark the response. Bodies
//! that behave alike in shares of their ratings and stand at the same temperatures are
//! calculated once. Nothing fails here.

use super::integrate::{Drive, Run};
use super::{AMBIENT_KELVIN, BodyState, FIXED_OHMS, ThermalBody};

/// How the bodies of a group are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Arrangement {
    /// All across the same two points.
    Parallel,
    /// One after the other.
    Series,
}

/// Thermal bodies joined to a group with two ends.
#[derive(Debug, Clone)]
pub struct ThermalGroup {
    /// How they are joined.
    pub arrangement: Arrangement,
    /// The bodies in order.
    pub bodies: Vec<ThermalBody>,
}

/// The temperatures of a group, body for body. A body without an entry counts as cold.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupState {
    /// In the order of the group's bodies.
    pub bodies: Vec<BodyState>,
}

/// What a group comes to under a drive.
#[derive(Debug, Clone, PartialEq)]
pub struct Response {
    /// Conductance of the whole group at the end, siemens.
    pub siemens: f64,
    /// Change of that conductance with the drive, siemens per square volt or square ampere.
    pub siemens_per_drive: f64,
    /// Temperatures at the end.
    pub state: GroupState,
    /// Some body was held at its limit, a drive or time was no usable number, or the bound on
    /// work was met: the result is the nearest one the model has, not a prediction.
    pub beyond_range: bool,
}

/// Drive over rated drive at which it is held.
const HIGHEST_DRIVE: f64 = 1e6;
/// Longest time followed at once, seconds; by then everything has settled.
const LONGEST_SECONDS: f64 = 1e7;
/// Kinds of body remembered while a group is worked through.
const REMEMBERED: usize = 12;

impl ThermalGroup {
    /// Every body at this temperature, kelvin.
    pub fn cold_state(&self, ambient_kelvin: f64) -> GroupState {
        GroupState {
            bodies: self
                .bodies
                .iter()
                .map(|body| body.state_at(ambient_kelvin))
                .collect(),
        }
    }

    /// Conductance of the whole group now, siemens (held at 1e9, a wire; 1e-15, open).
    pub fn siemens(&self, state: &GroupState) -> f64 {
        let sum: f64 = (0..self.bodies.len())
            .map(|at| {
                let ohms = self.bodies[at].ohms(&self.body_state(state, at));
                match self.arrangement {
                    Arrangement::Parallel => ohms.recip(),
                    Arrangement::Series => ohms,
                }
            })
            .sum();
        self.siemens_of_sum(sum)
    }

    /// The share of each body in the group's volts (series) or amperes (parallel); sums to 1.
    pub fn body_share(&self, state: &GroupState) -> Vec<f64> {
        let mut shares: Vec<f64> = (0..self.bodies.len())
            .map(|at| {
                let ohms = self.bodies[at].ohms(&self.body_state(state, at));
                match self.arrangement {
                    Arrangement::Parallel => ohms.recip(),
                    Arrangement::Series => ohms,
                }
            })
            .collect();
        let over_sum = shares.iter().sum::<f64>().recip();
        shares.iter_mut().for_each(|share| *share *= over_sum);
        shares
    }

    /// Where the group settles under a constant drive.
    ///
    /// With a thermistor under a fixed voltage this is the state reached from cold.
    pub fn settled(&self, drive: f64) -> Response {
        let (drive, unusable) = usable(drive, f64::MAX);
        let mut known = Known::default();
        let mut response = Gather::new(self, unusable);
        for (at, body) in self.bodies.iter().enumerate() {
            let (body_drive, held) = self.body_drive(body, drive);
            let cold = BodyState {
                kelvin: AMBIENT_KELVIN,
                cathode_kelvin: AMBIENT_KELVIN,
            };
            let run = match known.find(self, body, body_drive, &cold) {
                Some(run) => run,
                None => {
                    let run = body.settle(body_drive);
                    known.keep(at, body_drive, cold, run);
                    run
                }
            };
            response.add(self, body, run, held);
        }
        response.end(self)
    }

    /// Where the group is `seconds` later under a constant drive.
    ///
    /// Time that is negative or no number counts as none and marks the response.
    pub fn advance(&self, from: &GroupState, drive: f64, seconds: f64) -> Response {
        let (drive, unusable) = usable(drive, f64::MAX);
        let (seconds, no_time) = usable(seconds, LONGEST_SECONDS);
        let mut known = Known::default();
        let mut response = Gather::new(self, unusable || no_time);
        for (at, body) in self.bodies.iter().enumerate() {
            let (body_drive, held) = self.body_drive(body, drive);
            let start = self.body_state(from, at);
            let run = match known.find(self, body, body_drive, &start) {
                Some(run) => run,
                None => {
                    let run = body.advance(&start, body_drive, seconds, true);
                    known.keep(at, body_drive, start, run);
                    run
                }
            };
            response.add(self, body, run, held);
        }
        response.end(self)
    }

    /// As [`advance`](Self::advance), changing the state itself, without the slope.
    ///
    /// Gives whether the result is beyond range (see [`Response::beyond_range`]).
    pub fn advance_in_place(&self, state: &mut GroupState, drive: f64, seconds: f64) -> bool {
        let (drive, unusable) = usable(drive, f64::MAX);
        let (seconds, no_time) = usable(seconds, LONGEST_SECONDS);
        let mut beyond_range = unusable || no_time;
        let mut known = Known::default();
        if state.bodies.len() != self.bodies.len() {
            state.bodies = (0..self.bodies.len())
                .map(|at| self.body_state(state, at))
                .collect();
        }
        for (at, (body, place)) in self.bodies.iter().zip(&mut state.bodies).enumerate() {
            let (body_drive, held) = self.body_drive(body, drive);
            let run = match known.find(self, body, body_drive, place) {
                Some(run) => run,
                None => {
                    let run = body.advance(place, body_drive, seconds, false);
                    known.keep(at, body_drive, *place, run);
                    run
                }
            };
            *place = BodyState {
                kelvin: run.kelvin[0],
                cathode_kelvin: run.kelvin[1],
            };
            beyond_range |= run.beyond_range || held;
        }
        beyond_range
    }

    fn body_state(&self, state: &GroupState, at: usize) -> BodyState {
        state.bodies.get(at).copied().unwrap_or(BodyState {
            kelvin: AMBIENT_KELVIN,
            cathode_kelvin: AMBIENT_KELVIN,
        })
    }

    /// The group's drive in shares of a body's rating, and whether it had to be held.
    fn body_drive(&self, body: &ThermalBody, drive: f64) -> (Drive, bool) {
        let square = drive * self.drive_share(body);
        let held = square.min(HIGHEST_DRIVE);
        let body_drive = match self.arrangement {
            Arrangement::Parallel => Drive::Volts(held),
            Arrangement::Series => Drive::Amperes(held),
        };
        (body_drive, held != square)
    }

    /// Change of a body's normalised drive with the group's.
    fn drive_share(&self, body: &ThermalBody) -> f64 {
        let rated = match self.arrangement {
            Arrangement::Parallel => body.rated_volts(),
            Arrangement::Series => body.rated_amperes(),
        };
        rated.map_or(0.0, |rated| 1.0 / (rated * rated))
    }

    fn siemens_of_sum(&self, sum: f64) -> f64 {
        match self.arrangement {
            Arrangement::Parallel => sum,
            Arrangement::Series => sum.max(FIXED_OHMS.0).recip(),
        }
    }
}

/// A number that is not negative, held at a bound, and whether it was not one already.
fn usable(number: f64, most: f64) -> (f64, bool) {
    if number.is_nan() || number < 0.0 {
        return (0.0, true);
    }
    (number.min(most), number > most)
}

/// Bodies already worked out, for others that do the same.
#[derive(Default)]
struct Known {
    entries: [Option<(usize, Drive, BodyState, Run)>; REMEMBERED],
    count: usize,
}

impl Known {
    fn find(
        &self,
        group: &ThermalGroup,
        body: &ThermalBody,
        drive: Drive,
        from: &BodyState,
    ) -> Option<Run> {
        self.entries[..self.count]
            .iter()
            .flatten()
            .find_map(|(at, then, start, run)| {
                let same = *then == drive && start == from && group.bodies[*at].alike(body);
                same.then_some(*run)
            })
    }

    fn keep(&mut self, at: usize, drive: Drive, from: BodyState, run: Run) {
        if self.count < REMEMBERED {
            self.entries[self.count] = Some((at, drive, from, run));
            self.count += 1;
        }
    }
}

/// Sums the bodies up to the response of the group.
struct Gather {
    sum: f64,
    sum_per_drive: f64,
    bodies: Vec<BodyState>,
    beyond_range: bool,
}

impl Gather {
    fn new(group: &ThermalGroup, beyond_range: bool) -> Self {
        let bodies = Vec::with_capacity(group.bodies.len());
        Self {
            sum: 0.0,
            sum_per_drive: 0.0,
            bodies,
            beyond_range,
        }
    }

    fn add(&mut self, group: &ThermalGroup, body: &ThermalBody, run: Run, held: bool) {
        let (ohms, slope) = body.ohms_with_slope(run.kelvin[0]);
        let slope = slope * run.kelvin_per_drive * group.drive_share(body);
        match group.arrangement {
            Arrangement::Parallel => {
                self.sum += ohms.recip();
                self.sum_per_drive -= slope / (ohms * ohms);
            }
            Arrangement::Series => {
                self.sum += ohms;
                self.sum_per_drive += slope;
            }
        }
        self.bodies.push(BodyState {
            kelvin: run.kelvin[0],
            cathode_kelvin: run.kelvin[1],
        });
        self.beyond_range |= run.beyond_range || held;
    }

    fn end(self, group: &ThermalGroup) -> Response {
        let siemens = group.siemens_of_sum(self.sum);
        Response {
            siemens,
            siemens_per_drive: match group.arrangement {
                Arrangement::Parallel => self.sum_per_drive,
                Arrangement::Series => -siemens * siemens * self.sum_per_drive,
            },
            state: GroupState {
                bodies: self.bodies,
            },
            beyond_range: self.beyond_range,
        }
    }
}
