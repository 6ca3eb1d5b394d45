//! What the set would do, with power on, without a tube or with a part open.
//!
//! Source: the sheet's wiring; where the picture tube's grid and cathode hang free of
//! other tubes, the set at rest is solved with B+ on it and every control at both ends
//! of its turn. Volts, ohms. What the sheet does not show stays `None`, and that counts as
//! harmful. Nothing here can fail.

use std::collections::HashSet;

use circuit::Element;
use circuit::resting::resting;
use parts::SectionKind;

use crate::conditions::BenchConditions;
use crate::expect::ROOM_KELVIN;
use crate::hazard::Absence;
use crate::sheet::{HeaterArrangement, PartValue, SheetTube};
use crate::wiring::{Rectifying, SetModel, Variation};

use super::{
    Role, capacitors, ends, has_screen, has_section, is_electrolytic, is_horizontal_output,
    is_in_string, is_named, reach, role_junctions, supply_sources, sweep_feed,
};

/// What the set would do with power on and this tube out, everything else as `conditions` have it.
///
/// A tube of a string is no step at all: nothing favourable is told of it. Where
/// every rectifier is out no direct volts stand anywhere, so nothing is harmed.
pub fn absence(model: &SetModel<'_>, tube: usize, conditions: &BenchConditions) -> Absence {
    if tube >= model.sheet.tubes.len() || is_in_string(model, tube) {
        return Absence::default();
    }
    let mut pulled: Vec<usize> = conditions
        .pulled
        .iter()
        .filter_map(|reference| model.tube_index(reference))
        .collect();
    if !pulled.contains(&tube) {
        pulled.push(tube);
    }
    let open: Vec<usize> = conditions
        .open
        .iter()
        .chain(&conditions.fitted_without)
        .filter_map(|reference| model.part_index(reference))
        .collect();
    if model.rectifying().is_empty() {
        return Absence::default();
    }
    if supply_sources(model, &pulled).is_empty() {
        return Absence::HARMLESS;
    }
    Missing {
        model,
        tube: Some(tube),
        fed: fed(model, &pulled, &open),
        pulled,
        open,
    }
    .absence()
}

/// What the set would do with power on and this plug, switch or part open, everything else as
/// `conditions` have it.
pub fn absence_of_part(model: &SetModel<'_>, part: usize, conditions: &BenchConditions) -> Absence {
    let pulled: Vec<usize> = conditions
        .pulled
        .iter()
        .filter_map(|reference| model.tube_index(reference))
        .collect();
    let mut open: Vec<usize> = conditions
        .open
        .iter()
        .chain(&conditions.fitted_without)
        .filter_map(|reference| model.part_index(reference))
        .collect();
    if model.rectifying().is_empty() {
        return Absence::default();
    }
    let before = fed(model, &pulled, &open);
    if supply_sources(model, &pulled).is_empty() {
        return Absence::HARMLESS;
    }
    if !open.contains(&part) {
        open.push(part);
    }
    let missing = Missing {
        model,
        tube: None,
        fed: fed(model, &pulled, &open),
        pulled,
        open,
    };
    let lost: HashSet<usize> = before.difference(&missing.fed).copied().collect();
    missing.absence_of(part, &lost)
}

/// What opening the sweep feed does to what stays fed, and whether it may be opened.
#[derive(Debug, Clone, Copy)]
pub struct SweepOpening {
    /// What goes missing.
    pub absence: Absence,
    /// The picture tube's socket comes off first: its grid may rise above its cathode, or the
    /// sheet does not tell. A string's heater runs through the socket, so there it stays on.
    pub socket_off: bool,
    /// Nothing is fed wrongly with the feed open.
    pub is_harmless: bool,
}

/// What opening the sweep feed at this part does while all of B+ stands.
pub fn opening_the_sweep(model: &SetModel<'_>, part: usize) -> SweepOpening {
    let absence = absence_of_part(model, part, &BenchConditions::default());
    let grid_is_low = absence.lifts_picture_grid == Some(false);
    let string = model
        .sheet
        .heaters
        .iter()
        .any(|row| row.arrangement == HeaterArrangement::Series);
    let socket_off = !grid_is_low && !string;
    SweepOpening {
        absence,
        socket_off,
        is_harmless: (grid_is_low || socket_off)
            && absence.leaves_screen_fed == Some(false)
            && absence.takes_drive == Some(false)
            && absence.takes_bias == Some(false),
    }
}

/// A tube that is out while B+ stands.
struct Missing<'m, 's> {
    model: &'m SetModel<'s>,
    /// The tube that is taken out; `None` where a part is opened instead.
    tube: Option<usize>,
    /// All tubes that are out, this one among them.
    pulled: Vec<usize>,
    open: Vec<usize>,
    fed: HashSet<usize>,
}

impl Missing<'_, '_> {
    fn absence(&self) -> Absence {
        Absence {
            lifts_picture_grid: self.lifts_picture_grid(),
            leaves_screen_fed: self.leaves_screen_fed(),
            takes_drive: self.takes_drive(),
            takes_bias: self.takes_bias(),
        }
    }

    /// The same for an opened part, behind which these junctions have lost their feed.
    fn absence_of(&self, part: usize, lost: &HashSet<usize>) -> Absence {
        let model = self.model;
        let sweep = sweep_feed(model) == Some(part);
        // What a sweep feed feeds is the sweep; a stage of another job that the sheet does not
        // show is fed elsewhere.
        let may_hang_on_it = |tube: usize| {
            let job = model.sheet.tubes[tube].job.to_ascii_lowercase();
            !sweep || job.contains("vertical")
        };
        let mut screens = Some(false);
        let mut bias = Some(false);
        for output in self.outputs() {
            if sweep && is_horizontal_output(&model.sheet.tubes[output]) {
                continue;
            }
            let plates = role_junctions(model, output, &[Role::Plate]);
            let own_screens = role_junctions(model, output, &[Role::Screen]);
            let grids = role_junctions(model, output, &[Role::ControlGrid]);
            if plates.is_empty() || own_screens.is_empty() {
                if may_hang_on_it(output) {
                    screens = screens.filter(|harm| *harm);
                }
            } else if own_screens.iter().any(|own| self.fed.contains(own))
                && plates.iter().any(|own| lost.contains(own))
            {
                screens = Some(true);
            }
            let is_dead = !plates.is_empty()
                && plates
                    .iter()
                    .chain(&own_screens)
                    .all(|own| !self.fed.contains(own));
            if is_dead {
                continue;
            }
            if grids.is_empty() {
                if may_hang_on_it(output) {
                    bias = bias.filter(|harm| *harm);
                }
            } else if self.held_with(&grids).iter().any(|junction| {
                ends(model, part).is_some_and(|(a, b)| a == *junction || b == *junction)
            }) {
                bias = None;
            }
        }
        Absence {
            lifts_picture_grid: self.opening_lifts_picture_grid(lost),
            leaves_screen_fed: screens,
            takes_drive: if sweep || self.sweep_is_open() {
                Some(false)
            } else {
                None
            },
            takes_bias: bias,
        }
    }

    fn opening_lifts_picture_grid(&self, lost: &HashSet<usize>) -> Option<bool> {
        let model = self.model;
        let picture = model
            .sheet
            .tubes
            .iter()
            .position(|tube| tube.kind.is_picture_tube)?;
        if self.pulled.contains(&picture) {
            return Some(false);
        }
        let grid = role_junctions(model, picture, &[Role::ControlGrid]);
        let cathode = role_junctions(model, picture, &[Role::Cathode]);
        let (grid, cathode) = (grid.first().copied()?, cathode.first().copied()?);
        let near = self.held_with(&[grid, cathode]);
        let held_by_tubes = (0..model.sheet.tubes.len()).any(|tube| {
            tube != picture
                && !self.pulled.contains(&tube)
                && all_pin_junctions(model, tube)
                    .iter()
                    .any(|junction| near.contains(junction))
        });
        if !held_by_tubes {
            return self.grid_above_cathode(grid, cathode);
        }
        // The tubes that hold them work on as before when nothing near has lost its feed.
        near.is_disjoint(lost).then_some(false)
    }

    fn job(&self) -> String {
        self.tube
            .and_then(|tube| self.model.sheet.tubes.get(tube))
            .map(|tube| tube.job.to_ascii_lowercase())
            .unwrap_or_default()
    }

    fn own(&self) -> Option<&SheetTube> {
        self.tube.and_then(|tube| self.model.sheet.tubes.get(tube))
    }

    fn own_junctions(&self) -> Vec<usize> {
        self.tube
            .map(|tube| all_pin_junctions(self.model, tube))
            .unwrap_or_default()
    }

    fn own_is(&self, kind: SectionKind) -> bool {
        self.own().is_some_and(|tube| has_section(tube, kind))
    }

    fn is_supply_rectifier(&self) -> bool {
        self.own_is(SectionKind::Rectifier)
    }

    /// Output tubes that stay in their sockets.
    fn outputs(&self) -> impl Iterator<Item = usize> + '_ {
        let tubes = &self.model.sheet.tubes;
        (0..tubes.len()).filter(move |index| {
            !self.pulled.contains(index)
                && tubes[*index].job.to_ascii_lowercase().contains("output")
                && !tubes[*index].kind.is_picture_tube
                && has_screen(&tubes[*index])
        })
    }

    /// Junctions reached from these through parts that pass direct current, as far as
    /// the places that a supply, an electrolytic or the chassis holds.
    fn held_with(&self, starts: &[usize]) -> HashSet<usize> {
        let model = self.model;
        let stiff: HashSet<usize> = capacitors(model)
            .filter(|&part| is_electrolytic(model, part))
            .filter_map(|part| ends(model, part))
            .flat_map(|(from, to)| [from, to])
            .chain(supply_sources(model, &[]))
            .chain(model.chassis)
            .collect();
        reach(
            model,
            starts,
            |part| passes_direct_current(model, part, &self.open),
            |junction| stiff.contains(&junction),
        )
    }

    fn lifts_picture_grid(&self) -> Option<bool> {
        let model = self.model;
        let picture = model
            .sheet
            .tubes
            .iter()
            .position(|tube| tube.kind.is_picture_tube)?;
        if self.pulled.contains(&picture) {
            return Some(false);
        }
        let first = |role: Role| role_junctions(model, picture, &[role]).first().copied();
        let (grid, cathode) = (first(Role::ControlGrid)?, first(Role::Cathode)?);
        let near = self.held_with(&[grid, cathode]);
        let touches = |tube: usize| {
            all_pin_junctions(model, tube)
                .iter()
                .any(|junction| near.contains(junction))
        };
        let others = (0..model.sheet.tubes.len())
            .filter(|&other| other != picture && !self.pulled.contains(&other) && touches(other))
            .count();
        if others > 0 {
            // A tube that stays holds grid or cathode; whether it still does so is told by its own
            // couplings alone when the missing one shares no place with it.
            return if self.tube.is_none_or(touches) || self.is_supply_rectifier() {
                None
            } else {
                self.drives_none_of(&near, picture)
            };
        }
        self.grid_above_cathode(grid, cathode)
    }

    /// `Some(false)` when no tube that holds the picture tube's grid or cathode is
    /// driven from the missing tube for direct current.
    fn drives_none_of(&self, near: &HashSet<usize>, picture: usize) -> Option<bool> {
        let model = self.model;
        let own = self.own_junctions();
        let holders = (0..model.sheet.tubes.len()).filter(|&other| {
            other != picture
                && Some(other) != self.tube
                && all_pin_junctions(model, other)
                    .iter()
                    .any(|junction| near.contains(junction))
        });
        for holder in holders {
            let mut steers = role_junctions(model, holder, &[Role::ControlGrid]);
            if steers.is_empty() {
                return None;
            }
            steers.extend(role_junctions(model, holder, &[Role::Cathode]));
            let around = self.held_with(&steers);
            if own.iter().any(|junction| around.contains(junction)) {
                return None;
            }
        }
        Some(false)
    }

    /// Solves the set at rest with B+ on each source, the tubes drawing nothing, every
    /// control near grid and cathode at both ends of its turn.
    fn grid_above_cathode(&self, grid: usize, cathode: usize) -> Option<bool> {
        let model = self.model;
        let sources = supply_sources(model, &self.pulled);
        let conditions = BenchConditions {
            pulled: self.names(&self.pulled, |tube| {
                model
                    .sheet
                    .tubes
                    .get(tube)
                    .map(|tube| tube.reference.clone())
            }),
            open: self.names(&self.open, |part| {
                model
                    .sheet
                    .parts
                    .get(part)
                    .map(|part| part.reference.clone())
            }),
            ..BenchConditions::default()
        };
        let mut wired = model.wire_unplugged(&conditions, &Variation::none()).ok()?;
        // The line side hangs free with the plug out; it carries nothing here.
        for node in 1..wired.circuit.nodes {
            wired.circuit.resistor(node, 0, 1e11);
        }
        for source in sources {
            let node = wired.node(source);
            wired.circuit.add(Element::Source {
                a: node,
                b: 0,
                ohms: 1.0,
                direct_volts: 300.0,
                peak_volts: 0.0,
                phase: 0.0,
            });
        }
        let controls: Vec<[usize; 2]> = model
            .sheet
            .parts
            .iter()
            .enumerate()
            .filter(|(_, part)| matches!(part.value, PartValue::Control { .. }))
            .filter_map(
                |(index, _)| match wired.parts.get(index).map(Vec::as_slice) {
                    Some([one, other]) => Some([*one, *other]),
                    _ => None,
                },
            )
            .collect();
        let (a, b) = (wired.node(grid), wired.node(cathode));
        // Half a volt: less is lost in the gun's own contact potential (judgement).
        let lifted = |circuit: &circuit::Circuit| {
            resting(circuit, ROOM_KELVIN)
                .ok()
                .map(|record| record.volts(a, b).mean() > 0.5)
        };
        let mut above = lifted(&wired.circuit)?;
        for pair in controls {
            for (low, high) in [(0, 1), (1, 0)] {
                let mut turned = wired.circuit.clone();
                let whole: f64 = pair
                    .iter()
                    .map(|&element| match turned.elements[element] {
                        Element::Resistor { ohms, .. } => ohms,
                        _ => 0.0,
                    })
                    .sum();
                for (end, share) in [(low, 1e-4), (high, 1.0)] {
                    if let Element::Resistor { ohms, .. } = &mut turned.elements[pair[end]] {
                        *ohms = (whole * share).max(1e-2);
                    }
                }
                above |= lifted(&turned)?;
            }
        }
        Some(above)
    }

    fn names(&self, list: &[usize], name: impl Fn(usize) -> Option<String>) -> Vec<String> {
        list.iter().filter_map(|&index| name(index)).collect()
    }

    fn leaves_screen_fed(&self) -> Option<bool> {
        let model = self.model;
        if !self.own_is(SectionKind::Damper) && !self.is_supply_rectifier() {
            return Some(false);
        }
        let mut unknown = self.outputs().next().is_none()
            && model
                .sheet
                .tubes
                .iter()
                .enumerate()
                .any(|(index, tube)| !self.pulled.contains(&index) && tube.job.is_empty());
        for output in self.outputs() {
            let plates = role_junctions(model, output, &[Role::Plate]);
            let screens = role_junctions(model, output, &[Role::Screen]);
            if plates.is_empty() || screens.is_empty() {
                // The stage is not on the sheet; with its feed open it is dead all the same.
                unknown |=
                    !(is_horizontal_output(&model.sheet.tubes[output]) && self.sweep_is_open());
                continue;
            }
            let is_fed = |list: &[usize]| list.iter().any(|junction| self.fed.contains(junction));
            if is_fed(&screens) && !is_fed(&plates) {
                return Some(true);
            }
        }
        (!unknown).then_some(false)
    }

    fn sweep_is_open(&self) -> bool {
        sweep_stands_open(self.model, &self.open)
    }

    fn takes_drive(&self) -> Option<bool> {
        let model = self.model;
        if self.sweep_is_open() {
            return Some(false);
        }
        let stays = (0..model.sheet.tubes.len()).find(|index| {
            !self.pulled.contains(index) && is_horizontal_output(&model.sheet.tubes[*index])
        });
        if self.own().is_some_and(is_horizontal_output) {
            return Some(false);
        }
        let job = self.job();
        let Some(output) = stays else {
            // No output tube in its socket, or none on the sheet: then the job must tell.
            let was_pulled = self
                .pulled
                .iter()
                .any(|&tube| is_horizontal_output(&model.sheet.tubes[tube]));
            return (was_pulled || (!job.is_empty() && !job.contains("horizontal")))
                .then_some(false);
        };
        if job.contains("horizontal") && !self.own_is(SectionKind::HvRectifier) {
            return Some(true);
        }
        if self.is_supply_rectifier() || job.is_empty() {
            return None;
        }
        // Coupled to its grid through anything but a stiff place.
        let grids = role_junctions(model, output, &[Role::ControlGrid]);
        let stiff = self.held_with(&grids);
        let coupled = capacitors(model)
            .filter_map(|part| ends(model, part))
            .filter(|(from, to)| stiff.contains(from) != stiff.contains(to))
            .flat_map(|(from, to)| [from, to])
            .chain(stiff.iter().copied())
            .collect::<HashSet<usize>>();
        let own = self.own_junctions();
        Some(own.iter().any(|junction| coupled.contains(junction)))
    }

    fn takes_bias(&self) -> Option<bool> {
        let model = self.model;
        let own = self.own_junctions();
        let mut unknown = false;
        for output in self.outputs() {
            if is_horizontal_output(&model.sheet.tubes[output]) && self.sweep_is_open() {
                continue;
            }
            let grids = role_junctions(model, output, &[Role::ControlGrid]);
            if grids.is_empty() {
                // What feeds that grid is not on the sheet; it may be this tube.
                unknown = true;
                continue;
            }
            let around = self.held_with(&grids);
            if own.iter().any(|junction| around.contains(junction)) {
                return Some(true);
            }
        }
        let others = model
            .sheet
            .tubes
            .iter()
            .enumerate()
            .any(|(index, tube)| !self.pulled.contains(&index) && tube.job.is_empty());
        (!unknown && !others).then_some(false)
    }
}

/// Whether the sweep feed is among these open parts, or stands open on the sheet.
pub fn sweep_stands_open(model: &SetModel<'_>, open: &[usize]) -> bool {
    sweep_feed(model).is_some_and(|part| {
        open.contains(&part)
            || matches!(
                model.sheet.parts[part].value,
                PartValue::Plug { open: true } | PartValue::Switch { open: true }
            )
    })
}

/// Junctions fed with direct volts: from the rectifiers that stay, through dampers that stay.
pub fn fed(model: &SetModel<'_>, pulled: &[usize], open: &[usize]) -> HashSet<usize> {
    let mut starts = supply_sources(model, pulled);
    loop {
        let reached = reach(
            model,
            &starts,
            |part| passes_direct_current(model, part, open),
            |junction| Some(junction) == model.chassis,
        );
        let further = model.rectifying().iter().find_map(|way| match way {
            Rectifying::Tube {
                tube,
                anode,
                cathode,
                damper: true,
                ..
            } if !pulled.contains(tube)
                && reached.contains(anode)
                && !reached.contains(cathode) =>
            {
                Some(*cathode)
            }
            _ => None,
        });
        match further {
            Some(cathode) => starts.push(cathode),
            None => return reached,
        }
    }
}

fn passes_direct_current(model: &SetModel<'_>, part: usize, open: &[usize]) -> bool {
    if open.contains(&part) {
        return false;
    }
    match model.sheet.parts[part].value {
        PartValue::Capacitor { .. } | PartValue::Load { .. } => false,
        PartValue::Switch { open } | PartValue::Plug { open } => !open,
        PartValue::Selenium { .. } | PartValue::Silicon { .. } => false,
        _ => !is_named(
            &model.sheet.state.cut_loose,
            &model.sheet.parts[part].reference,
        ),
    }
}

fn all_pin_junctions(model: &SetModel<'_>, tube: usize) -> Vec<usize> {
    let Some(found) = model.sheet.tubes.get(tube) else {
        return Vec::new();
    };
    model
        .places
        .iter()
        .filter(|place| {
            place.pin().is_some_and(|(own, pin)| {
                own == found.reference && !found.kind.heater_pins().contains(&pin)
            })
        })
        .filter_map(|place| model.junction(place))
        .filter(|junction| Some(*junction) != model.chassis)
        .collect()
}
