//! The pulses that the horizontal output stage puts on its coils, from what the set's own sheet says of it.
//!
//! Volts. In the settled sweep the mean volts across a coil are none (Faraday): what the damper holds across the flyback
//! for most of a line, the lift of the boosted line over its feed, comes back as a half sine in the retrace. Of a retrace
//! that takes the share r of a line the peak is π/2 · (1 - r)/r times the lift. How long the retrace takes is not on a
//! sheet: it ends within the blanking, 0.18 of a line at most (EIA RS-170, from memory), and hardly takes less than
//! 0.10 of it (common practice); the shorter it is, the higher the pulse, so the short end counts.
//!
//! The lift is that of the maker's chart, in proportion to the line. Windings of one transformer share the pulse by
//! their turns (roots of their inductances), other coils by their inductances; a capacitor of 0.01 microfarad or more
//! to the chassis, a filter section or the feed, or between two places of the coils, is a short for it. Where the chart has no boosted line, a coil no inductance, or the damper is joined otherwise,
//! nothing is told, and a place that the pulse cannot be followed to has none told.

use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::FRAC_PI_2;

use crate::sheet::PartValue;
use crate::stages::family;
use crate::whole_set::running::{along_coils, charted};
use crate::wiring::SetModel;

/// Shortest and longest retrace, shares of a line.
pub const RETRACE: [f64; 2] = [0.10, 0.18];
/// From this on a capacitor is a short for the pulse, farads (judgement: 0.01 microfarad is some 250 ohms in the retrace).
const SHORT: f64 = 0.009e-6;
/// From this on it holds a supply still, farads (judgement: a filter section; a coupling capacitor is less).
const FILTER: f64 = 0.9e-6;
/// Rounds of the divider of coils, and where they end.
const MOST_ROUNDS: usize = 2000;
const CLOSE: f64 = 1e-10;

/// Peak of the retrace over the lift, for a retrace of this share of a line.
#[must_use]
pub fn peak_over_lift(retrace: f64) -> f64 {
    FRAC_PI_2 * (1.0 - retrace) / retrace
}

/// Volts across a part of the sweep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AcrossSweep {
    /// Mean, without sign.
    pub mean: f64,
    /// Peak of the pulse upon it, without sign.
    pub pulse: f64,
}

impl AcrossSweep {
    /// The highest momentary volts.
    #[must_use]
    pub fn highest(&self) -> f64 {
        self.mean + self.pulse
    }

    /// Root of the mean square: a half sine of the share of a line that makes it highest.
    #[must_use]
    pub fn rms(&self) -> f64 {
        let pulse = self.pulse * (0.5 * RETRACE[0]).sqrt();
        self.mean.hypot(pulse)
    }
}

/// The sweep of a set.
#[derive(Debug, Clone, PartialEq)]
pub struct SweepPulses {
    /// Lift of the boosted line over its feed, volts.
    pub lift: f64,
    /// Mean volts of all places on the damper's coils, and of those that the chart has.
    means: BTreeMap<usize, f64>,
    /// Peak over the boosted line by junction, volts.
    pulses: BTreeMap<usize, f64>,
    /// Those on the damper's own coils, whose pulses all go one way.
    swung: Vec<usize>,
}

impl SweepPulses {
    /// The sweep of a set at a line of these volts, where its sheet tells enough.
    #[must_use]
    pub fn of(model: &SetModel<'_>, line_volts: f64) -> Option<SweepPulses> {
        let mut dampers = model.stages.complete.iter().filter(|own| own.is_damper());
        let (damper, None) = (dampers.next()?, dampers.next()) else {
            return None;
        };
        let charted = charted(model);
        let swung = along_coils(model, damper.cathode);
        let feed = along_coils(model, damper.electrodes[0]?);
        let told = |places: &[usize]| places.iter().find_map(|own| charted.get(own).copied());
        let (above, below) = (told(&swung)?, told(&feed)?);
        let chart = model.sheet.chart.as_ref();
        let chart_line = chart.and_then(|own| own.line_volts);
        let scale = line_volts / chart_line.unwrap_or(model.sheet.line_volts);
        let lift = (above - below) * scale;
        if lift <= 1.0 || swung.contains(&feed[0]) {
            return None;
        }
        let shares = shares(model, &swung, &feed, damper.cathode)?;
        let peak = peak_over_lift(RETRACE[0]) * lift;
        let mut means: BTreeMap<usize, f64> = charted
            .iter()
            .map(|(place, volts)| (*place, volts * scale))
            .collect();
        means.extend(swung.iter().map(|place| (*place, above * scale)));
        if let Some(chassis) = model.chassis {
            means.insert(chassis, 0.0);
        }
        Some(SweepPulses {
            lift,
            means,
            pulses: shares
                .into_iter()
                .map(|(place, share)| (place, share * peak))
                .collect(),
            swung,
        })
    }

    /// The pulse at a place over the boosted line; none where none comes, `None` where it cannot be followed.
    #[must_use]
    pub fn at(&self, model: &SetModel<'_>, place: usize) -> Option<f64> {
        match self.pulses.get(&place) {
            Some(pulse) => Some(*pulse),
            None if self.swung.contains(&place) => None,
            None if Some(place) == model.chassis => Some(0.0),
            None => (!model.stages.pulsed.get(place).copied().unwrap_or(false)).then_some(0.0),
        }
    }

    /// Volts between two places, where both are known.
    #[must_use]
    pub fn across(&self, model: &SetModel<'_>, one: usize, other: usize) -> Option<AcrossSweep> {
        let mean = self.means.get(&one)? - self.means.get(&other)?;
        let (a, b) = (self.at(model, one)?, self.at(model, other)?);
        // Of a winding of its own nobody knows which way it is joined: then both count.
        let go_one_way = self.swung.contains(&one) && self.swung.contains(&other);
        let pulse = if go_one_way { (a - b).abs() } else { a + b };
        Some(AcrossSweep {
            mean: mean.abs(),
            pulse,
        })
    }
}

/// The places with what joins them for the pulse, by one number each.
struct Joined {
    of: BTreeMap<usize, usize>,
}

impl Joined {
    fn of(model: &SetModel<'_>, swung: &[usize]) -> Joined {
        let mut of: BTreeMap<usize, usize> = swung.iter().map(|place| (*place, *place)).collect();
        for (one, other) in capacitors(model, SHORT) {
            if let (Some(&a), Some(&b)) = (of.get(&one), of.get(&other)) {
                for own in of.values_mut().filter(|own| **own == b) {
                    *own = a;
                }
            }
        }
        Joined { of }
    }

    fn get(&self, place: usize) -> usize {
        self.of.get(&place).copied().unwrap_or(place)
    }
}

/// Ends of the capacitors of so many farads or more.
fn capacitors<'a>(
    model: &'a SetModel<'_>,
    least: f64,
) -> impl Iterator<Item = (usize, usize)> + 'a {
    let parts = model.sheet.parts.iter().zip(&model.part_ends);
    parts.filter_map(move |(part, ends)| match (&part.value, ends) {
        (PartValue::Capacitor { farads, .. }, [Some(from), Some(to), _]) if *farads >= least => {
            Some((*from, *to))
        }
        _ => None,
    })
}

/// The places that no pulse moves: the chassis, the damper's feed, and what a filter capacitor holds to either.
fn still(model: &SetModel<'_>, swung: &[usize], feed: &[usize]) -> BTreeSet<usize> {
    let mut found: BTreeSet<usize> = model
        .chassis
        .into_iter()
        .chain(feed.iter().copied())
        .collect();
    let filters: Vec<(usize, usize)> = capacitors(model, FILTER).collect();
    loop {
        let before = found.len();
        for (one, other) in &filters {
            for (here, there) in [(one, other), (other, one)] {
                if found.contains(here) && !swung.contains(there) {
                    found.insert(*there);
                }
            }
        }
        if found.len() == before {
            return found;
        }
    }
}

/// The pulse by junction, as a share of that at the damper's cathode.
fn shares(
    model: &SetModel<'_>,
    swung: &[usize],
    feed: &[usize],
    cathode: usize,
) -> Option<BTreeMap<usize, f64>> {
    let joined = Joined::of(model, swung);
    let still = still(model, swung, feed);
    let inside = |place: usize| swung.contains(&place);
    let mut known: BTreeMap<usize, f64> = BTreeMap::new();
    // A capacitor to a place that may move itself, such as a grid, shorts nothing.
    for (one, other) in capacitors(model, SHORT) {
        for (here, there) in [(one, other), (other, one)] {
            if inside(here) && still.contains(&there) {
                known.insert(joined.get(here), 0.0);
            }
        }
    }
    known.extend(model.chassis.map(|chassis| (chassis, 0.0)));
    let top = joined.get(cathode);
    if known.len() < 2 || known.insert(top, 1.0).is_some() {
        return None;
    }
    let coils: Vec<Coil> = coils(model, &joined);
    let own = coils.iter().find(|coil| {
        let ends = coil.ends;
        let far = if ends[0] == top { ends[1] } else { ends[0] };
        ends.contains(&top) && known.get(&far) == Some(&0.0) && coil.family.is_some()
    })?;
    let windings = |coil: &&Coil| coil.family == own.family;
    let turns = |coil: &Coil| -> Option<f64> { Some((coil.henries? / own.henries?).sqrt()) };
    // From winding to winding, as far as one end is known.
    let mut goes_on = true;
    while goes_on {
        goes_on = false;
        for coil in coils.iter().filter(windings) {
            let [a, b] = coil.ends;
            let Some(turns) = turns(coil) else { continue };
            let found = match (known.get(&a).copied(), known.get(&b).copied()) {
                (Some(from), None) => (b, from + turns),
                (None, Some(from)) => (a, from + turns),
                _ => continue,
            };
            known.insert(found.0, found.1);
            goes_on = true;
        }
    }
    let others: Vec<&Coil> = coils.iter().filter(|coil| !windings(coil)).collect();
    divided(&others, &mut known);
    let mut found: BTreeMap<usize, f64> = known.clone();
    for place in swung {
        match known.get(&joined.get(*place)) {
            Some(share) => found.insert(*place, *share),
            None => found.remove(place),
        };
    }
    Some(found)
}

struct Coil {
    ends: [usize; 2],
    henries: Option<f64>,
    /// The transformer that it is a winding of.
    family: Option<String>,
}

fn coils(model: &SetModel<'_>, joined: &Joined) -> Vec<Coil> {
    let parts = model.sheet.parts.iter().zip(&model.part_ends);
    parts
        .filter_map(|(part, ends)| match (&part.value, ends) {
            (PartValue::Coil { henries, .. }, [Some(from), Some(to), _]) => {
                let family = family(&part.reference);
                Some(Coil {
                    ends: [joined.get(*from), joined.get(*to)],
                    henries: *henries,
                    family: (family != part.reference).then_some(family),
                })
            }
            _ => None,
        })
        .collect()
}

/// The places between coils that are no windings: each is the mean of its neighbours, weighed by 1/L.
fn divided(coils: &[&Coil], known: &mut BTreeMap<usize, f64>) {
    let ends = coils.iter().flat_map(|coil| coil.ends);
    let mut open: Vec<usize> = ends.filter(|end| !known.contains_key(end)).collect();
    open.sort_unstable();
    open.dedup();
    let around = |place: usize| coils.iter().filter(move |coil| coil.ends.contains(&place));
    // A place that hangs on a coil without inductance cannot be told, nor one that leads to none that is known.
    open.retain(|place| around(*place).all(|coil| coil.henries.is_some_and(|own| own > 0.0)));
    let mut volts: BTreeMap<usize, f64> = open.iter().map(|place| (*place, 0.0)).collect();
    let reached = reached(coils, known, &open);
    for _ in 0..MOST_ROUNDS {
        let mut moved: f64 = 0.0;
        for place in &reached {
            let (mut sum, mut weight) = (0.0, 0.0);
            for coil in around(*place) {
                let far = if coil.ends[0] == *place {
                    coil.ends[1]
                } else {
                    coil.ends[0]
                };
                let at = known.get(&far).or_else(|| volts.get(&far)).copied();
                if let (Some(at), Some(henries)) = (at, coil.henries) {
                    sum += at / henries;
                    weight += 1.0 / henries;
                }
            }
            if weight > 0.0 {
                let own = sum / weight;
                moved = moved.max((own - volts.get(place).copied().unwrap_or(0.0)).abs());
                volts.insert(*place, own);
            }
        }
        if moved < CLOSE {
            break;
        }
    }
    for place in reached {
        if let Some(own) = volts.get(&place) {
            known.insert(place, *own);
        }
    }
}

/// Those of the open places that hang together with a known one.
fn reached(coils: &[&Coil], known: &BTreeMap<usize, f64>, open: &[usize]) -> Vec<usize> {
    let mut found: Vec<usize> = Vec::new();
    loop {
        let more: Vec<usize> = open
            .iter()
            .copied()
            .filter(|place| !found.contains(place))
            .filter(|place| {
                coils.iter().any(|coil| {
                    let [a, b] = coil.ends;
                    let far = if a == *place { b } else { a };
                    coil.ends.contains(place) && (known.contains_key(&far) || found.contains(&far))
                })
            })
            .collect();
        if more.is_empty() {
            return found;
        }
        found.extend(more);
    }
}
