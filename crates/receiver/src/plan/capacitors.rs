//! What each capacitor of the sheet does, how it stands, and what it risks.
//!
//! Units: volts. Source: the wiring around it and the state on the sheet; what old
//! capacitors of each kind do is common practice. A capacitor whose place cannot be told
//! is called a bypass and judged by its kind. The restorer decides about everything
//! that may remain; the plan wants only what can kill, or ruin what cannot be bought
//! again. Nothing here can fail.

use std::collections::HashSet;

use crate::hazard::SafetyClass;
use crate::sheet::{CapacitorStyle, PartValue, Place};
use crate::wiring::{Rectifying, SetModel};

use super::situation::{
    Role, capacitors, ends, is_horizontal_output, is_named, line_side, reach, role_junctions,
    supply_sources,
};

/// Where a capacitor sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CapacitorPlace {
    /// From one side of the line to the other, a chassis on the line counted with its side.
    AcrossLine,
    /// From the line to a chassis that is parted from it, or of which that is not known.
    LineToChassis,
    /// In series with the rectifiers of a doubler.
    Doubler,
    /// From a B+ line to chassis or negative line, electrolytic.
    Filter,
    /// From a negative line to chassis.
    NegativeLine,
    /// From a B+ line to chassis, not electrolytic.
    SupplyBypass,
    /// From the plate of one tube to the grid of another, or from any place that has volts to a grid.
    Coupling,
    /// At the boosted supply of the horizontal output stage.
    Boost,
    /// At a screen grid.
    ScreenBypass,
    /// At a cathode.
    CathodeBypass,
    /// At a grid, the other end on the chassis.
    GridBypass,
    /// At the picture tube's cathode.
    PictureTubeCathode,
    /// At another electrode of the picture tube, the other end on the chassis.
    PictureTube,
    /// Anything else.
    Other,
}

impl CapacitorPlace {
    /// The safety class that alone may stand there (IEC 60384-14); `None` where no class is asked.
    #[must_use]
    pub fn safety_class(self) -> Option<SafetyClass> {
        match self {
            Self::AcrossLine => Some(SafetyClass::X),
            Self::LineToChassis => Some(SafetyClass::Y),
            _ => None,
        }
    }

    /// In a few words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::AcrossLine => "across the line",
            Self::LineToChassis => "from the line to the chassis",
            Self::Doubler => "in the doubler",
            Self::Filter => "filter",
            Self::NegativeLine => "on the negative line",
            Self::SupplyBypass => "B+ bypass",
            Self::Coupling => "coupling",
            Self::Boost => "boost",
            Self::ScreenBypass => "screen bypass",
            Self::CathodeBypass => "cathode bypass",
            Self::GridBypass => "grid bypass",
            Self::PictureTubeCathode => "at the picture tube's cathode",
            Self::PictureTube => "at the picture tube",
            Self::Other => "bypass",
        }
    }
}

/// How a capacitor stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CapacitorState {
    /// A new part.
    Replaced,
    /// Formed anew.
    ReFormed,
    /// One end lifted.
    CutLoose,
    /// As found and untested.
    AsFound,
}

/// What the plan wants done with a capacitor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wish {
    /// Nothing: new, re-formed, or cut loose.
    Nothing,
    /// A new part of this safety class, or cut loose, before any power.
    SafetyPart(SafetyClass),
    /// A new part, or cut loose, before B+.
    ReplaceOrCutLoose,
    /// A new part, or formed anew from a separate source, before B+.
    ReplaceOrReForm,
    /// It may remain; the restorer decides.
    Decide,
}

/// A capacitor and what the plan says of it.
#[derive(Debug, Clone, PartialEq)]
pub struct CapacitorReview {
    /// Position among the sheet's parts.
    pub part: usize,
    /// Its reference.
    pub reference: String,
    /// Its dielectric.
    pub style: CapacitorStyle,
    /// Where it sits.
    pub place: CapacitorPlace,
    /// How it stands.
    pub state: CapacitorState,
    /// What the plan wants.
    pub wish: Wish,
    /// What it risks if it stays as it is; empty where there is nothing to risk.
    pub risk: String,
}

/// Every capacitor of the sheet, in its order.
#[must_use]
pub fn review_capacitors(model: &SetModel<'_>) -> Vec<CapacitorReview> {
    let around = Around::new(model);
    capacitors(model)
        .filter_map(|part| {
            let PartValue::Capacitor { style, .. } = model.sheet.parts[part].value else {
                return None;
            };
            let place = around.place(model, part, style);
            let state = state_of(model, part);
            let wish = wish(style, place, state);
            Some(CapacitorReview {
                part,
                reference: model.sheet.parts[part].reference.clone(),
                style,
                place,
                state,
                wish,
                risk: match wish {
                    Wish::Nothing => String::new(),
                    _ => risk(style, place),
                },
            })
        })
        .collect()
}

fn state_of(model: &SetModel<'_>, part: usize) -> CapacitorState {
    let reference = &model.sheet.parts[part].reference;
    let state = &model.sheet.state;
    if is_named(&state.replaced, reference) {
        CapacitorState::Replaced
    } else if is_named(&state.cut_loose, reference) {
        CapacitorState::CutLoose
    } else if is_named(&state.re_formed, reference) {
        CapacitorState::ReFormed
    } else {
        CapacitorState::AsFound
    }
}

/// The junctions that tell what a capacitor does.
struct Around {
    /// The line with the chassis, where that is on the line.
    line: HashSet<usize>,
    chassis_on_line: bool,
    supply: HashSet<usize>,
    boost: HashSet<usize>,
    plates: HashSet<usize>,
    grids: HashSet<usize>,
    screens: HashSet<usize>,
    cathodes: HashSet<usize>,
    picture_cathode: HashSet<usize>,
    picture: HashSet<usize>,
    rectified: HashSet<usize>,
}

impl Around {
    fn new(model: &SetModel<'_>) -> Around {
        let tubes = model.sheet.tubes.len();
        let of_picture = |roles: &[Role]| -> HashSet<usize> {
            (0..tubes)
                .filter(|&tube| model.sheet.tubes[tube].kind.is_picture_tube)
                .flat_map(|tube| role_junctions(model, tube, roles))
                .filter(|junction| Some(*junction) != model.chassis)
                .collect()
        };
        let with = |role: Role| -> HashSet<usize> {
            (0..tubes)
                .flat_map(|tube| role_junctions(model, tube, &[role]))
                .filter(|junction| Some(*junction) != model.chassis)
                .collect()
        };
        let is_kind = |part: usize, coils_only: bool| match model.sheet.parts[part].value {
            PartValue::Coil { .. } => true,
            PartValue::Fuse { .. } | PartValue::Plug { .. } | PartValue::Switch { .. } => {
                !coils_only
            }
            _ => false,
        };
        let closed = |junction: usize| Some(junction) == model.chassis;
        let mut pulses: Vec<usize> = model
            .rectifying()
            .iter()
            .filter_map(|way| match way {
                Rectifying::Tube {
                    cathode,
                    damper: true,
                    ..
                } => Some(*cathode),
                _ => None,
            })
            .collect();
        for (tube, sheet_tube) in model.sheet.tubes.iter().enumerate() {
            if is_horizontal_output(sheet_tube) {
                pulses.extend(role_junctions(model, tube, &[Role::Plate]));
            }
        }
        let rectified: HashSet<usize> = model
            .rectifying()
            .iter()
            .flat_map(|way| match way {
                Rectifying::Metal { part } => match ends(model, *part) {
                    Some((from, to)) => vec![from, to],
                    None => Vec::new(),
                },
                Rectifying::Tube {
                    anode,
                    cathode,
                    damper: false,
                    ..
                } => vec![*anode, *cathode],
                Rectifying::Tube { .. } => Vec::new(),
            })
            .filter(|junction| Some(*junction) != model.chassis)
            .collect();
        let sources = supply_sources(model, &[]);
        let line = line_side(model);
        let supply = reach(
            model,
            &model
                .supply_places()
                .into_iter()
                .chain(sources)
                .collect::<Vec<_>>(),
            |part| is_kind(part, false),
            |junction| closed(junction) || line.contains(&junction),
        );
        let mut boost = reach(model, &pulses, |part| is_kind(part, true), closed);
        boost.retain(|junction| !supply.contains(junction));
        Around {
            chassis_on_line: chassis_is_a_blade(model),
            line,
            supply,
            boost,
            plates: with(Role::Plate),
            grids: with(Role::ControlGrid),
            screens: with(Role::Screen),
            cathodes: with(Role::Cathode),
            picture_cathode: of_picture(&[Role::Cathode]),
            picture: of_picture(&[Role::ControlGrid, Role::Screen]),
            rectified,
        }
    }

    fn place(&self, model: &SetModel<'_>, part: usize, style: CapacitorStyle) -> CapacitorPlace {
        let Some((from, to)) = ends(model, part) else {
            return CapacitorPlace::Other;
        };
        let chassis = |junction: usize| Some(junction) == model.chassis;
        let to_chassis = chassis(from) || chassis(to);
        let either = |set: &HashSet<usize>| set.contains(&from) || set.contains(&to);
        let both = |set: &HashSet<usize>| set.contains(&from) && set.contains(&to);
        let electrolytic = style == CapacitorStyle::Electrolytic;
        if !electrolytic && either(&self.line) {
            if both(&self.line) || (to_chassis && self.chassis_on_line) {
                return CapacitorPlace::AcrossLine;
            }
            if to_chassis {
                return CapacitorPlace::LineToChassis;
            }
        }
        if electrolytic {
            if chassis(from) && !chassis(to) {
                return CapacitorPlace::NegativeLine;
            }
            if either(&self.cathodes) && to_chassis && !either(&self.supply) {
                return CapacitorPlace::CathodeBypass;
            }
            if either(&self.screens) && !either(&self.supply) {
                return CapacitorPlace::ScreenBypass;
            }
            if either(&self.rectified) && !to_chassis && !both(&self.supply) && {
                let feeds = |junction: usize| {
                    model.rectifying().iter().any(|way| {
                        matches!(way, Rectifying::Metal { part } if ends(model, *part)
                            .is_some_and(|(anode, _)| anode == junction))
                    })
                };
                feeds(from) || feeds(to)
            } {
                return CapacitorPlace::Doubler;
            }
            return CapacitorPlace::Filter;
        }
        if either(&self.boost) {
            return CapacitorPlace::Boost;
        }
        if to_chassis && either(&self.supply) {
            return CapacitorPlace::SupplyBypass;
        }
        if to_chassis && either(&self.picture_cathode) {
            return CapacitorPlace::PictureTubeCathode;
        }
        if to_chassis && either(&self.picture) {
            return CapacitorPlace::PictureTube;
        }
        if either(&self.grids) {
            return if to_chassis {
                CapacitorPlace::GridBypass
            } else {
                CapacitorPlace::Coupling
            };
        }
        if either(&self.plates) && !to_chassis && !either(&self.supply) {
            return CapacitorPlace::Coupling;
        }
        if either(&self.screens) {
            return CapacitorPlace::ScreenBypass;
        }
        if either(&self.cathodes) && to_chassis {
            return CapacitorPlace::CathodeBypass;
        }
        CapacitorPlace::Other
    }
}

/// Whether plugs, fuses and switches alone join the chassis to a blade.
fn chassis_is_a_blade(model: &SetModel<'_>) -> bool {
    let blades: Vec<usize> = [Place::LineA, Place::LineB]
        .iter()
        .filter_map(|blade| model.junction(blade))
        .collect();
    let reached = reach(
        model,
        &blades,
        |part| {
            matches!(
                model.sheet.parts[part].value,
                PartValue::Plug { .. } | PartValue::Fuse { .. } | PartValue::Switch { .. }
            )
        },
        |_| false,
    );
    model
        .chassis
        .is_some_and(|chassis| reached.contains(&chassis))
}

fn wish(style: CapacitorStyle, place: CapacitorPlace, state: CapacitorState) -> Wish {
    if state != CapacitorState::AsFound {
        return Wish::Nothing;
    }
    let paper = matches!(style, CapacitorStyle::Paper | CapacitorStyle::MouldedPaper);
    if let Some(class) = place.safety_class() {
        return Wish::SafetyPart(class);
    }
    match place {
        CapacitorPlace::Coupling | CapacitorPlace::Boost if paper => Wish::ReplaceOrCutLoose,
        _ if style == CapacitorStyle::Electrolytic => Wish::ReplaceOrReForm,
        _ => Wish::Decide,
    }
}

/// What an old capacitor at a place does when it leaks or shorts (common practice).
fn risk(style: CapacitorStyle, place: CapacitorPlace) -> String {
    let kind = match style {
        CapacitorStyle::Electrolytic => "an old electrolytic has lost its oxide layer",
        CapacitorStyle::Paper => "old waxed paper leaks, more when warm",
        CapacitorStyle::MouldedPaper => "moulded paper leaks like waxed paper, only later",
        CapacitorStyle::Film => "film seldom leaks",
        CapacitorStyle::Mica => "mica seldom leaks; silvered mica may short after decades",
        CapacitorStyle::Ceramic => "a ceramic disc seldom leaks",
        CapacitorStyle::Trimmer => "a trimmer's plates may touch",
    };
    let effect = match place {
        CapacitorPlace::AcrossLine => "it stands across the line: a short blows the fuse or burns",
        CapacitorPlace::LineToChassis => {
            "it joins the line to metal that is touched: leakage is a shock, a short puts the chassis on the line"
        }
        CapacitorPlace::Doubler => {
            "it carries the whole current of the supply: a short puts the line on the rectifier"
        }
        CapacitorPlace::Filter => {
            "leaking it overloads rectifier and transformer, and the can grows hot and may burst"
        }
        CapacitorPlace::NegativeLine => {
            "shorted it takes the bias of the output tubes, which then draw all they can"
        }
        CapacitorPlace::SupplyBypass => "a short pulls the B+ line to the chassis",
        CapacitorPlace::Coupling => {
            "leakage makes the next grid positive: its tube draws too much and takes transformer, \
             coil or picture tube along"
        }
        CapacitorPlace::Boost => {
            "a short puts B+ through flyback and output tube, and the flyback cannot be bought again"
        }
        CapacitorPlace::ScreenBypass => "a short burns the screen's feed resistor",
        CapacitorPlace::CathodeBypass => {
            "leakage lowers the bias; the tube draws more than it should"
        }
        CapacitorPlace::GridBypass => "leakage shifts the bias of that grid",
        CapacitorPlace::PictureTubeCathode => {
            "leakage pulls the picture tube's cathode down: too much beam, and brightness will not go dark"
        }
        CapacitorPlace::PictureTube => {
            "leakage takes volts from that electrode; the picture goes dark"
        }
        CapacitorPlace::Other => "leakage shifts what hangs on it",
    };
    format!("{kind}; {effect}")
}
