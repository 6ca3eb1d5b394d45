//! Healthy sets drawn at random, with laws of their own.
//!
//! Volts, amperes, ohms, seconds. Spreads are those that the prediction states
//! ([`receiver::causes`]). What differs from the prediction, so that its model is tested
//! with its spreads:
//!
//! - tube rectifiers: `k (v + c)^1.4` with a contact potential of 0.7 V, through the same
//!   published drop, with a softer passage to the emission limit;
//! - selenium: two slopes, through the published drop of the stack;
//! - heaters: every tube its own current (4 percent) and its own warm-up time (10 percent),
//!   another hot-to-cold ratio, other ways of the heat and other heat capacities (on the
//!   whole a third more of each than the prediction takes);
//! - loads: tubes with five to twelve times the emission that they need.
#![allow(dead_code)]

use circuit::ohm_network::OhmNetwork;
use circuit::resting::OhmMeter;
use circuit::solver::{GoOn, SettledState};
use circuit::thermal::{HeaterLaw, HeaterShares, HeaterSpec, Heating, ThermalLaw};
use circuit::{BodyRef, Element, MeasuredCurve, RectifierLaw, Solver, SolverOptions, Start};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use receiver::causes::Cause;
use receiver::conditions::BenchConditions;
use receiver::probes::Probe;
use receiver::wiring::{Figure, SetModel, Variation, Wired};

/// One drawn set, as wired.
pub struct DrawnSet {
    pub wired: Wired,
}

/// The source of all draws of one set: seed and number of the set.
pub fn random(seed: u64, set: u64) -> Pcg64 {
    Pcg64::seed_from_u64(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ set)
}

fn bell(random: &mut Pcg64, sigma: f64) -> f64 {
    // Sum of twelve even draws: normal enough to four sigma.
    let sum: f64 = (0..12).map(|_| random.random::<f64>()).sum();
    1.0 + sigma * (sum - 6.0)
}

fn between(random: &mut Pcg64, low: f64, high: f64) -> f64 {
    low * (high / low).powf(random.random::<f64>())
}

/// Draws a healthy set of this sheet from the causes, on the line.
pub fn draw(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    causes: &[Cause],
    random: &mut Pcg64,
) -> DrawnSet {
    draw_wired(model, causes, random, |variation| {
        model
            .wire(conditions, variation)
            .expect("the conditions fit")
    })
}

/// The same with the plug out.
pub fn draw_unplugged(model: &SetModel<'_>, causes: &[Cause], random: &mut Pcg64) -> DrawnSet {
    draw_wired(model, causes, random, |variation| {
        model
            .wire_unplugged(&BenchConditions::default(), variation)
            .expect("the conditions fit")
    })
}

fn draw_wired(
    model: &SetModel<'_>,
    causes: &[Cause],
    random: &mut Pcg64,
    wire: impl FnOnce(&Variation) -> Wired,
) -> DrawnSet {
    let mut variation = Variation::none();
    for cause in causes {
        let ratio = cause.spread.ratio(random.random::<f64>());
        // Heaters are drawn tube by tube below; curves have a shape of their own.
        if !matches!(
            cause.figure,
            Figure::HeaterAmperes(_)
                | Figure::HeaterCold(_)
                | Figure::OwnHeater(_)
                | Figure::HeatWays
                | Figure::LoadReserve
                | Figure::CurveShape
                | Figure::Meter
                | Figure::Model
        ) {
            variation.set(cause.figure, ratio);
        }
    }
    let mut wired = wire(&variation);
    let warm_up = variation.factor(Figure::WarmUp);
    let mut followers: Vec<BodyRef> = Vec::new();
    for element in &mut wired.circuit.elements {
        match element {
            Element::Rectifier { law, .. } => *law = other_law(law),
            Element::Load {
                reserve, warmed_by, ..
            } => {
                *reserve = between(random, 5.0, 12.0);
                followers.extend(*warmed_by);
            }
            _ => {}
        }
    }
    let shares = HeaterShares {
        contact: between(random, 0.3, 0.55),
        support: between(random, 0.18, 0.38),
        filament_end: between(random, 0.1, 0.2),
        wire_capacity: between(random, 0.14, 0.28),
    };
    let places = model.heater_places();
    for (place, parted) in places.iter().zip(wired.heaters.clone()) {
        let common = bell(random, 0.01);
        let hot_to_cold = between(random, 5.8, 8.5);
        for heaters in parted {
            for (body, &tube) in heaters.tubes.iter().enumerate() {
                // A load stands for some four tubes: what is each tube's own averages out.
                let averaged = followers.contains(&BodyRef {
                    group: heaters.group,
                    body,
                });
                let own = if averaged { 0.5 } else { 1.0 };
                let rating = model.sheet.tubes[tube]
                    .kind
                    .heater
                    .as_ref()
                    .expect("heated, so rated");
                let direct = matches!(rating.heating, Some(parts::Heating::Direct));
                assert!(!place.halved, "the examples have no halved heaters");
                let law = HeaterLaw::with_shares(
                    HeaterSpec {
                        volts: rating.volts,
                        amperes: rating.amperes * common * bell(random, 0.04 * own),
                        heating: if direct {
                            Heating::Direct
                        } else {
                            Heating::Indirect
                        },
                        warm_up_seconds: rating.warm_up_seconds,
                        controlled: rating.controlled_warm_up,
                        hot_to_cold: if direct { 4.5 } else { hot_to_cold },
                    },
                    shares,
                )
                .expect("figures of a real heater")
                .slower(warm_up * bell(random, 0.1 * own));
                wired.circuit.groups[heaters.group].bodies[body].law = ThermalLaw::Heater(law);
            }
        }
    }
    DrawnSet { wired }
}

/// Current, amperes, at which both laws of a tube have the same drop: the published
/// drops of the examples' rectifier are at 225 mA a plate.
const PUBLISHED_AMPERES: f64 = 0.225;
const CONTACT_VOLTS: f64 = 0.7;

fn other_law(law: &RectifierLaw) -> RectifierLaw {
    match *law {
        RectifierLaw::Tube {
            perveance,
            rated_emission,
        } => {
            let drop = (PUBLISHED_AMPERES / perveance).powf(2.0 / 3.0);
            let k = PUBLISHED_AMPERES / (drop + CONTACT_VOLTS).powf(1.4);
            let points = [0.0, 0.12, 0.4, 1.0, 2.2, 5.0].map(|share: f64| {
                let volts = -CONTACT_VOLTS + share * (drop + CONTACT_VOLTS);
                (volts, k * (volts + CONTACT_VOLTS).powf(1.4))
            });
            RectifierLaw::Curve {
                through: MeasuredCurve::through(points).expect("a power rises"),
                rated_emission,
                leak_siemens: 1e-10,
            }
        }
        RectifierLaw::Junction {
            threshold,
            series_ohms,
            leak_siemens,
            corner,
        } if corner > 0.2 => {
            // A stack: its published drop is five volts at 0.9 A in the examples.
            let amperes = 0.9;
            let drop = threshold + amperes * series_ohms;
            let points = [
                (0.2, 0.0),
                (0.45, 0.08),
                (0.68, 0.3),
                (0.86, 0.62),
                (1.0, 1.0),
                (1.65, 3.2),
            ]
            .map(|(volts, share)| (volts * drop, share * amperes));
            RectifierLaw::Curve {
                through: MeasuredCurve::through(points).expect("two slopes that rise"),
                rated_emission: f64::INFINITY,
                leak_siemens,
            }
        }
        other => other,
    }
}

impl DrawnSet {
    /// Cold ohms from every junction to the chassis, the + lead at the junction.
    pub fn ohms(&self, meter: OhmMeter) -> Vec<f64> {
        let network = OhmNetwork::new(&self.wired.circuit, 298.0).expect("a resistive network");
        self.wired
            .nodes
            .iter()
            .map(|&node| network.ohms(node, 0, meter).expect("decided"))
            .collect()
    }

    /// All probes of the set settled, or at each moment of its warm-up.
    pub fn read(
        &self,
        probes: &[Probe],
        moments: &[f64],
        near: Option<&SettledState>,
    ) -> Vec<Vec<Option<f64>>> {
        let solver = Solver::new(&self.wired.circuit, SolverOptions::default())
            .expect("a circuit of sound figures");
        if moments.is_empty() {
            let start = near.map_or(Start::Cold, Start::Near);
            let settled = solver.settled(start).expect("a healthy set settles");
            let groups = &settled.at.state.groups;
            return vec![
                probes
                    .iter()
                    .map(|probe| probe.read(&self.wired, &settled.record, groups))
                    .collect(),
            ];
        }
        let mut rows = Vec::new();
        solver
            .warm_up(moments, &mut |moment| {
                rows.push(
                    probes
                        .iter()
                        .map(|probe| probe.read(&self.wired, &moment.record, &moment.state.groups))
                        .collect(),
                );
                GoOn::Yes
            })
            .expect("a healthy set warms up");
        rows
    }
}
