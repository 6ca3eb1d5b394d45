//! Where the electrodes of a section's units are.
//!
//! By the pin map of the catalogue. Several contacts of one electrode are joined inside the
//! tube, but for the two ends of a filament. An empty list says that the map does not tell.
//! Nothing here fails.

use parts::{PinName, Section, TubeType};

/// The contacts of one unit of a section.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SectionPins {
    /// The plate; several contacts are joined inside, as for every grid.
    pub plate: Vec<PinName>,
    /// The cathode; with `filament` the two ends of the filament, which are not joined.
    pub cathode: Vec<PinName>,
    /// Whether the cathode is a filament.
    pub filament: bool,
    /// Whether the other unit of the section has the same cathode contact.
    pub cathode_is_shared: bool,
    /// The control grid.
    pub grid1: Vec<PinName>,
    /// The screen; grids 2 and 4 of a heptode; the accelerator of a gated-beam tube.
    pub grid2: Vec<PinName>,
    /// Grid 3, where it is a contact apart from the cathode.
    pub grid3: Vec<PinName>,
}

impl SectionPins {
    /// Whether the map tells where plate and cathode are.
    pub fn are_known(&self) -> bool {
        !self.plate.is_empty() && !self.cathode.is_empty()
    }
}

/// Word in front of the elements of a section in a tube with unlike sections.
fn prefixes(section: &Section) -> [String; 2] {
    let kind = section.kind.word();
    let bare = section
        .name
        .trim_end_matches(|c: char| c.is_ascii_digit() || c == '-');
    [format!("{bare}-"), format!("{kind}-")]
}

/// The contacts of a unit (from 0) of a section.
pub(crate) fn pins_of(tube: &TubeType, section: &Section, unit: u8) -> SectionPins {
    let behind_dash = section.name.rsplit('-').next().unwrap_or("");
    let number = match behind_dash.parse::<u8>() {
        Ok(number) => Some(number),
        Err(_) => (section.units > 1).then_some(unit.saturating_add(1)),
    };
    let first_of = |candidates: Vec<String>| {
        candidates
            .iter()
            .map(|element| tube.pins_carrying(element))
            .find(|pins| !pins.is_empty())
            .unwrap_or_default()
    };
    let of_section = |element: &str| {
        let mut names: Vec<String> = prefixes(section)
            .iter()
            .map(|prefix| format!("{prefix}{element}"))
            .collect();
        names.push(element.to_string());
        names
    };
    let numbered = |element: &str, bare_too: bool| {
        let mut names = Vec::new();
        if let Some(number) = number {
            names.push(format!("{element}{number}"));
        }
        if number.is_none() || bare_too {
            names.extend(of_section(element));
        }
        names
    };
    let plate = first_of(numbered("plate", false));
    let mut cathode = first_of(numbered("cathode", true));
    let mut filament = false;
    if cathode.is_empty() {
        cathode = tube.pins_carrying("filament");
        filament = !cathode.is_empty();
    }
    let own_cathode =
        number.is_some_and(|number| !tube.pins_carrying(&format!("cathode{number}")).is_empty());
    let cathode_is_shared = section.units > 1 && !cathode.is_empty() && !own_cathode;
    if section.kind.is_diode() {
        return SectionPins {
            plate,
            cathode,
            filament,
            cathode_is_shared,
            ..SectionPins::default()
        };
    }
    let paired = number.is_some();
    let grid1 = first_of(match number {
        Some(number) => vec![format!("grid{number}")],
        None => {
            let mut names = of_section("grid1");
            names.extend(of_section("grid"));
            names
        }
    });
    let later = |element: &str| {
        if paired {
            Vec::new()
        } else {
            let mut pins = first_of(of_section(element));
            pins.retain(|pin| !cathode.contains(pin));
            pins
        }
    };
    let (grid2, grid3) = (later("grid2"), later("grid3"));
    SectionPins {
        plate,
        grid1,
        grid2,
        grid3,
        cathode,
        filament,
        cathode_is_shared,
    }
}

/// The diodes that sit beside a triode without a row of their own: number and contacts.
pub(crate) fn diodes_beside(tube: &TubeType) -> Vec<(u8, SectionPins)> {
    (1..=3)
        .filter_map(|number: u8| {
            let plate = tube.pins_carrying(&format!("diode{number}"));
            if plate.is_empty() {
                return None;
            }
            let cathode = [
                format!("cathode{number}"),
                "diode-cathode".to_string(),
                "cathode".to_string(),
                "triode-cathode".to_string(),
            ]
            .iter()
            .map(|element| tube.pins_carrying(element))
            .find(|pins| !pins.is_empty())
            .unwrap_or_default();
            Some((
                number,
                SectionPins {
                    plate,
                    cathode,
                    ..SectionPins::default()
                },
            ))
        })
        .collect()
}
