//! What the sheet, the bench and the state tell of a set before anything is done to it.
//!
//! Units: volts. Source: the sheet's wiring and the catalogue's tube types; a job
//! in words ("horizontal output") counts where the type alone cannot tell. What
//! only an eye can see stays `None`, and a missing tube whose effect was not found
//! counts as harmful. Nothing here can fail.

mod absence;

pub use absence::{
    SweepOpening, absence, absence_of_part, fed, opening_the_sweep, sweep_stands_open,
};

use std::collections::HashSet;

use parts::{Deflection, Envelope, IonTrap, PinName, SectionKind, TubeType};

use crate::hazard::{ActPlace, ChassisRelation, Situation};
use crate::sheet::{
    CapacitorStyle, ChassisStanding, HeaterArrangement, PartValue, Place, SheetTube,
};
use crate::wiring::{Change, Rectifying, SetModel, Variation};

use super::powered::sweep_opening;

/// Volts above which a capacitor's charge counts as hurtful (the usual limit for direct volts).
pub const HURTFUL_DIRECT_VOLTS: f64 = 60.0;

/// Bonded windows came about 1959 (common practice); a set made before this year has none.
const FIRST_BONDED_YEAR: u16 = 1957;

/// What is known at the start: nothing joined, nothing replaced beyond the sheet's state, plug perhaps in.
///
/// A chassis that the sheet shows parted from the line still counts as unknown, until
/// the dead measurement has shown it too.
pub fn situation_of(model: &SetModel<'_>) -> Situation {
    let sheet = model.sheet;
    let picture = picture_tube(model);
    let data = picture.and_then(|tube| tube.kind.picture.as_ref());
    let line_parts = line_capacitors(model);
    let electrolytics: Vec<usize> = capacitors(model)
        .filter(|&part| is_electrolytic(model, part))
        .collect();
    let has_rectifiers = model
        .rectifying()
        .iter()
        .any(|way| !matches!(way, Rectifying::Tube { damper: true, .. }));
    let selenium = sheet
        .parts
        .iter()
        .any(|part| matches!(part.value, PartValue::Selenium { .. }));
    let paper = capacitors(model).any(|part| {
        matches!(
            sheet.parts[part].value,
            PartValue::Capacitor {
                style: CapacitorStyle::Paper,
                ..
            }
        ) && !is_named(&sheet.state.replaced, &sheet.parts[part].reference)
    });
    Situation {
        chassis: match sheet.chassis_standing() {
            ChassisStanding::OnTheLine { .. } => ChassisRelation::OnTheLine,
            ChassisStanding::Isolated { .. } | ChassisStanding::NotTold => ChassisRelation::Unknown,
        },
        marked_line_volts: Some(sheet.line_volts),
        heater_string: heater_string(model),
        capacitors_above_60_volts: capacitors_above_60_volts(model),
        selenium: if selenium {
            Some(true)
        } else {
            has_rectifiers.then_some(false)
        },
        top_caps: top_caps(model),
        horizontal_output: horizontal_output_in_set(model),
        power_transformer: if !sheet.primaries().is_empty() {
            Some(true)
        } else if has_rectifiers {
            Some(false)
        } else {
            None
        },
        line_capacitors: (!line_parts.is_empty()).then_some(true),
        old_line_capacitors: (!line_parts.is_empty())
            .then(|| line_parts.iter().any(|&part| is_as_found(model, part))),
        electrolytics_as_found: (!electrolytics.is_empty())
            .then(|| electrolytics.iter().any(|&part| is_as_found(model, part))),
        electrolytic_replaced: electrolytics
            .iter()
            .any(|&part| is_named(&sheet.state.replaced, &sheet.parts[part].reference)),
        tubes_hot: Some(false),
        waxed_parts: paper.then_some(true),
        picture_tube: picture.map(|_| true),
        anode_maximum_volts: data.and_then(|data| data.anode_max_volts),
        coating: data.and_then(|data| data.has_coating),
        metal_cone: data
            .and_then(|data| data.envelope)
            .map(|envelope| envelope == Envelope::Metal),
        bonded_window: sheet
            .made
            .filter(|made| *made < FIRST_BONDED_YEAR)
            .map(|_| false),
        ion_trap_needed: data
            .and_then(|data| data.ion_trap)
            .map(|trap| trap != IonTrap::None),
        line_frequency_high_voltage: high_voltage_rectifier(model).map(|_| false),
        ..Situation::default()
    }
}

/// The place of an act at a place of the sheet, with what is dangerous about it.
pub fn act_place(model: &SetModel<'_>, place: &Place) -> ActPlace {
    match place {
        Place::Chassis => return ActPlace::Chassis,
        Place::LineA | Place::LineB => return ActPlace::LineBlade(place.to_string()),
        Place::Pin { tube, pin } => {
            if let Some(special) = special_pin(model, tube, *pin) {
                return special;
            }
        }
        Place::Named(_) => {}
    }
    let others = model
        .places
        .junction_of(place)
        .and_then(|id| model.places.junction(id));
    if let Some(junction) = others {
        if junction.places.contains(&Place::Chassis) {
            return ActPlace::Chassis;
        }
        let dangerous = junction.places.iter().find_map(|other| {
            let (tube, pin) = other.pin()?;
            special_pin(model, tube, pin).filter(|special| {
                special.has_sweep_pulses()
                    || special.has_high_voltage()
                    || matches!(special, ActPlace::TubeCap(_))
            })
        });
        if let Some(dangerous) = dangerous {
            return dangerous;
        }
    }
    ActPlace::Junction(place.to_string())
}

/// The place of an act at a junction, called by its label.
pub fn act_junction(model: &SetModel<'_>, junction: usize) -> ActPlace {
    match model.places.junctions().get(junction) {
        Some(found) => act_place(model, found.label()),
        None => ActPlace::Chassis,
    }
}

/// The place of an act at a part.
pub fn act_part(model: &SetModel<'_>, part: usize) -> ActPlace {
    let Some(found) = model.sheet.parts.get(part) else {
        return ActPlace::OpenChassis;
    };
    let reference = found.reference.clone();
    match found.value {
        _ if sweep_feed(model) == Some(part) => ActPlace::SweepFeed(reference),
        PartValue::Switch { .. } => ActPlace::Switch(reference),
        PartValue::Plug { .. } => ActPlace::Plug(reference),
        PartValue::Fuse { .. } => ActPlace::Fuse(reference),
        PartValue::Selenium { .. } => ActPlace::Selenium(reference),
        _ => ActPlace::Part(reference),
    }
}

fn special_pin(model: &SetModel<'_>, tube: &str, pin: PinName) -> Option<ActPlace> {
    let sheet_tube = model.sheet.tube(tube)?;
    let reference = sheet_tube.reference.clone();
    if sheet_tube.kind.is_picture_tube {
        return match pin {
            PinName::Anode | PinName::Cap => Some(ActPlace::PictureTubeAnode),
            PinName::Coating => Some(ActPlace::PictureTubeCoating),
            PinName::Number(_) => sheet_tube
                .kind
                .pins_carrying("anode2")
                .contains(&pin)
                .then_some(ActPlace::PictureTubeAnode),
        };
    }
    match sheet_tube
        .kind
        .rectifier_section()
        .map(|section| section.kind)
    {
        Some(SectionKind::HvRectifier) => {
            return Some(ActPlace::HighVoltageRectifier(reference));
        }
        Some(SectionKind::Damper) => {
            let paths = sheet_tube.kind.rectifier_paths();
            if paths.iter().any(|path| path.cathodes.contains(&pin))
                || (paths.is_empty() && pin == PinName::Cap)
            {
                return Some(ActPlace::DamperCathode(reference));
            }
        }
        _ => {}
    }
    if is_horizontal_output(sheet_tube)
        && (pin == PinName::Cap || roles(&sheet_tube.kind, pin).contains(&Role::Plate))
    {
        return Some(ActPlace::HorizontalOutputPlate(reference));
    }
    (pin == PinName::Cap).then_some(ActPlace::TubeCap(reference))
}

/// The picture tube, if the sheet has one.
pub fn picture_tube<'m>(model: &'m SetModel<'_>) -> Option<&'m SheetTube> {
    model
        .sheet
        .tubes
        .iter()
        .find(|tube| tube.kind.is_picture_tube)
}

/// Whether a list of references names this one.
pub fn is_named(list: &[String], reference: &str) -> bool {
    list.iter()
        .any(|name| name.trim().eq_ignore_ascii_case(reference))
}

/// Whether a part is neither replaced, nor re-formed, nor cut loose.
pub fn is_as_found(model: &SetModel<'_>, part: usize) -> bool {
    let state = &model.sheet.state;
    model.sheet.parts.get(part).is_some_and(|part| {
        [&state.replaced, &state.re_formed, &state.cut_loose]
            .into_iter()
            .all(|list| !is_named(list, &part.reference))
    })
}

/// Whether a part is an electrolytic.
pub fn is_electrolytic(model: &SetModel<'_>, part: usize) -> bool {
    model.sheet.parts.get(part).is_some_and(|part| {
        matches!(
            part.value,
            PartValue::Capacitor {
                style: CapacitorStyle::Electrolytic,
                ..
            }
        )
    })
}

/// Positions of all capacitors.
pub fn capacitors<'m>(model: &'m SetModel<'_>) -> impl Iterator<Item = usize> + 'm {
    model
        .sheet
        .parts
        .iter()
        .enumerate()
        .filter(|(_, part)| matches!(part.value, PartValue::Capacitor { .. }))
        .map(|(index, _)| index)
}

/// The part's two ends as junctions, where both are on the sheet.
pub fn ends(model: &SetModel<'_>, part: usize) -> Option<(usize, usize)> {
    match model.part_ends.get(part) {
        Some([Some(from), Some(to), _]) => Some((*from, *to)),
        _ => None,
    }
}

/// Junctions on the line: the blades and what plugs, fuses and switches join to them,
/// the chassis left out.
pub fn line_side(model: &SetModel<'_>) -> HashSet<usize> {
    let carries_on = |part: usize| {
        matches!(
            model.sheet.parts[part].value,
            PartValue::Plug { .. } | PartValue::Fuse { .. } | PartValue::Switch { .. }
        )
    };
    let blades: Vec<usize> = [Place::LineA, Place::LineB]
        .iter()
        .filter_map(|blade| model.junction(blade))
        .filter(|junction| Some(*junction) != model.chassis)
        .collect();
    reach(model, &blades, carries_on, |junction| {
        Some(junction) == model.chassis
    })
}

/// Capacitors with an end on the line.
pub fn line_capacitors(model: &SetModel<'_>) -> Vec<usize> {
    let side = line_side(model);
    capacitors(model)
        .filter(|&part| {
            !is_electrolytic(model, part)
                && ends(model, part)
                    .is_some_and(|(from, to)| side.contains(&from) || side.contains(&to))
        })
        .collect()
}

/// Junctions reached from `starts` through the parts that pass; `closed` junctions are not entered.
pub fn reach(
    model: &SetModel<'_>,
    starts: &[usize],
    pass: impl Fn(usize) -> bool,
    closed: impl Fn(usize) -> bool,
) -> HashSet<usize> {
    let mut reached: HashSet<usize> = starts.iter().copied().collect();
    let mut open: Vec<usize> = starts.to_vec();
    while let Some(here) = open.pop() {
        for (part, all) in model.part_ends.iter().enumerate() {
            if !all.contains(&Some(here)) || !pass(part) {
                continue;
            }
            for &there in all.iter().flatten() {
                if !closed(there) && reached.insert(there) {
                    open.push(there);
                }
            }
        }
    }
    reached
}

fn heater_string(model: &SetModel<'_>) -> Option<bool> {
    let places = model.heater_places();
    if places
        .iter()
        .any(|place| place.arrangement == HeaterArrangement::Series && place.tubes.len() > 1)
    {
        return Some(true);
    }
    (!places.is_empty()).then_some(false)
}

/// Whether a tube's heater is one of several in series.
pub fn is_in_string(model: &SetModel<'_>, tube: usize) -> bool {
    let in_string = model.heater_places().iter().any(|place| {
        place.arrangement == HeaterArrangement::Series
            && place.tubes.len() > 1
            && place.tubes.contains(&tube)
    });
    in_string
        || (heater_string(model) == Some(true)
            && !model
                .heater_places()
                .iter()
                .any(|place| place.tubes.contains(&tube))
            && model.sheet.tubes.get(tube).is_some_and(|tube| {
                tube.kind.rectifier_section().map(|section| section.kind)
                    != Some(SectionKind::HvRectifier)
            }))
}

fn capacitors_above_60_volts(model: &SetModel<'_>) -> Option<bool> {
    let mut any = false;
    for part in capacitors(model) {
        any = true;
        let marked = match model.sheet.parts[part].value {
            PartValue::Capacitor { volts, .. } => volts,
            _ => None,
        };
        if marked.is_none_or(|volts| volts > HURTFUL_DIRECT_VOLTS) {
            return Some(true);
        }
    }
    any.then_some(false)
}

fn top_caps(model: &SetModel<'_>) -> Option<bool> {
    let tubes = &model.sheet.tubes;
    let cap = |tube: &SheetTube| tube.kind.pin(PinName::Cap).is_some();
    if tubes
        .iter()
        .any(|tube| !tube.kind.is_picture_tube && cap(tube))
    {
        return Some(true);
    }
    let known = |tube: &SheetTube| tube.kind.is_picture_tube || !tube.kind.pins.is_empty();
    (!tubes.is_empty() && tubes.iter().all(known)).then_some(false)
}

/// Whether the job says horizontal output, or line output.
pub fn is_horizontal_output(tube: &SheetTube) -> bool {
    let job = tube.job.to_ascii_lowercase();
    ["horizontal output", "line output"]
        .iter()
        .any(|words| job.contains(words))
}

fn has_section(tube: &SheetTube, kind: SectionKind) -> bool {
    tube.kind
        .rectifier_section()
        .is_some_and(|section| section.kind == kind)
}

/// The high-voltage rectifier, if the sheet has one.
pub fn high_voltage_rectifier<'m>(model: &'m SetModel<'_>) -> Option<&'m SheetTube> {
    model
        .sheet
        .tubes
        .iter()
        .find(|tube| has_section(tube, SectionKind::HvRectifier))
}

fn horizontal_output_in_set(model: &SetModel<'_>) -> Option<bool> {
    let any = model
        .sheet
        .tubes
        .iter()
        .any(|tube| is_horizontal_output(tube) || has_section(tube, SectionKind::Damper));
    if any {
        return Some(true);
    }
    let electrostatic = picture_tube(model)
        .and_then(|tube| tube.kind.picture.as_ref())
        .and_then(|data| data.deflection)
        == Some(Deflection::Electrostatic);
    electrostatic.then_some(false)
}

/// Junctions at which direct volts of a rectifier stand: cathodes of supply
/// rectifiers and + ends of metal ones, those of the pulled tubes left out.
pub fn supply_sources(model: &SetModel<'_>, pulled: &[usize]) -> Vec<usize> {
    let mut found: Vec<usize> = model
        .rectifying()
        .iter()
        .filter_map(|way| match way {
            Rectifying::Tube {
                tube,
                cathode,
                damper: false,
                ..
            } => (!pulled.contains(tube)).then_some(*cathode),
            Rectifying::Tube { .. } => None,
            Rectifying::Metal { part } => ends(model, *part).map(|(_, cathode)| cathode),
        })
        .filter(|junction| Some(*junction) != model.chassis)
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// The plug, switch, fuse or part that opens the feed of the horizontal output stage; where
/// the stage is not on the sheet, the plug at a place named for it.
pub fn sweep_feed(model: &SetModel<'_>) -> Option<usize> {
    sweep_opening(model)
        .and_then(|reference| model.part_index(&reference))
        .or_else(|| {
            model.sheet.parts.iter().position(|part| {
                matches!(
                    part.value,
                    PartValue::Plug { .. } | PartValue::Switch { .. }
                ) && [&part.from, &part.to].into_iter().any(|place| {
                    let name = place.to_string().to_ascii_lowercase();
                    place.pin().is_none() && (name.contains("sweep") || name.contains("horizontal"))
                })
            })
        })
}

/// Whether the set has a horizontal output tube and its sheet nothing that opens the sweep feed.
pub fn nothing_opens_the_sweep(model: &SetModel<'_>) -> bool {
    sweep_feed(model).is_none() && model.sheet.tubes.iter().any(is_horizontal_output)
}

/// What an electrode does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Takes the current.
    Plate,
    /// Steers it.
    ControlGrid,
    /// Second grid of a pentode, a beam tube or a picture tube.
    Screen,
    /// Gives it.
    Cathode,
}

/// What the elements on a pin do; empty where the catalogue has nothing on it.
pub fn roles(kind: &TubeType, pin: PinName) -> Vec<Role> {
    let has_screen = |section: &str| {
        section != "triode"
            && (kind.is_picture_tube
                || kind.sections.iter().any(|section| {
                    matches!(
                        section.kind,
                        SectionKind::Pentode
                            | SectionKind::Beam
                            | SectionKind::Pentagrid
                            | SectionKind::GatedBeam
                    )
                }))
    };
    let Some(pin) = kind.pin(pin) else {
        return Vec::new();
    };
    pin.elements
        .iter()
        .filter_map(|element| {
            let (section, inner) = element.split_once('-').unwrap_or(("", element));
            let name = inner.trim_end_matches(|letter: char| letter.is_ascii_digit());
            match (name, &inner[name.len()..]) {
                ("plate", _) => Some(Role::Plate),
                ("cathode", _) => Some(Role::Cathode),
                ("grid", "2") if has_screen(section) => Some(Role::Screen),
                // In a tube with several grids the third and further steer, or are joined inside.
                ("grid", "" | "1") => Some(Role::ControlGrid),
                ("grid", _) if !has_screen(section) => Some(Role::ControlGrid),
                _ => None,
            }
        })
        .collect()
}

/// Junctions of a tube's pins that have one of these roles.
pub fn role_junctions(model: &SetModel<'_>, tube: usize, wanted: &[Role]) -> Vec<usize> {
    let Some(found) = model.sheet.tubes.get(tube) else {
        return Vec::new();
    };
    model
        .places
        .iter()
        .filter(|place| {
            place.pin().is_some_and(|(own, pin)| {
                own == found.reference
                    && roles(&found.kind, pin)
                        .iter()
                        .any(|role| wanted.contains(role))
            })
        })
        .filter_map(|place| model.junction(place))
        .collect()
}

fn has_screen(tube: &SheetTube) -> bool {
    tube.kind
        .pins
        .iter()
        .any(|pin| roles(&tube.kind, pin.number).contains(&Role::Screen))
}

/// The change that lifts a part.
pub fn lifted(part: usize) -> Variation {
    Variation::change(Change::Open(part))
}
