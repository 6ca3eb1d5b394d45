//! Nothing of the first collection of figures is lost from the catalogue.
//!
//! Source: `first_collection.csv` beside this file, the list of the collection
//! from which `data/` was begun: type, section, base, heater and pins. A cell that
//! is empty there was not known then and may have been filled since.

use parts::{PinName, TubeType, catalogue};

const LIST: &str = include_str!("first_collection.csv");

struct Listed {
    name: String,
    section: String,
    base: String,
    heater: [String; 2],
    pins: String,
}

fn listed() -> Vec<Listed> {
    let mut reader = csv::Reader::from_reader(LIST.as_bytes());
    reader
        .records()
        .map(|record| {
            let record = record.expect("the list is a table");
            let cell = |at: usize| record.get(at).unwrap_or_default().to_string();
            Listed {
                name: cell(0),
                section: cell(1),
                base: cell(2),
                heater: [cell(3), cell(4)],
                pins: cell(5),
            }
        })
        .collect()
}

/// How many rows of the section the type holds: points, drops, or the section itself.
fn rows_of(tube: &TubeType, section: &str) -> usize {
    tube.sections
        .iter()
        .filter(|own| own.name == section)
        .map(|own| {
            let drops = own.rectifier.as_ref().map_or(0, |r| r.drop_points.len());
            own.operating_points.len().max(drops).max(1)
        })
        .sum()
}

#[test]
fn every_type_and_every_row_is_there() {
    let listed = listed();
    assert_eq!(listed.len(), 360);
    let mut missing = Vec::new();
    for row in &listed {
        let found = catalogue()
            .expect("sound")
            .tubes()
            .find(|tube| tube.name == row.name);
        let Some(tube) = found else {
            missing.push(row.name.clone());
            continue;
        };
        let (section, wanted) = match row.section.split_once("/op") {
            Some((section, number)) => (section, number.parse().unwrap_or(99)),
            None => (row.section.as_str(), 1),
        };
        if section.is_empty() != tube.is_picture_tube {
            missing.push(format!("{} is another kind of tube", row.name));
        }
        if !section.is_empty() && rows_of(tube, section) < wanted {
            missing.push(format!("{} {}", row.name, row.section));
        }
    }
    assert!(missing.is_empty(), "{missing:#?}");
}

#[test]
fn bases_heaters_and_pins_are_those_of_the_list() {
    let mut differing = Vec::new();
    for row in listed() {
        let Some(tube) = catalogue().expect("sound").tube(&row.name) else {
            continue; // told by the other test
        };
        let heater = |figure: &str| figure.parse::<f64>().ok();
        let own = tube.heater.as_ref();
        let volts = own.map(|h| h.volts).or(tube.heater_volts);
        let same = |wanted: Option<f64>, found: Option<f64>| wanted.is_none() || wanted == found;
        if !same(heater(&row.heater[0]), volts)
            || !same(heater(&row.heater[1]), own.map(|h| h.amperes))
        {
            differing.push(format!("{}: heater {own:?}", row.name));
        }
        let base = catalogue().expect("sound").base(&row.base);
        if !row.base.is_empty() && base.map(|base| base.name.as_str()) != Some(&tube.base) {
            differing.push(format!("{}: {} {}", row.name, row.base, tube.base));
        }
        for entry in row.pins.split_whitespace() {
            let (contact, elements) = entry.split_once(':').expect("pin:element");
            let mut contact: PinName = contact.parse().expect("a contact");
            if tube.is_picture_tube && contact == PinName::Cap {
                contact = PinName::Anode;
            }
            let found = tube.pin(contact).map(|pin| pin.elements.join("+"));
            if found.as_deref() != Some(elements) {
                differing.push(format!("{} {entry}: {found:?}", row.name));
            }
        }
    }
    assert!(differing.is_empty(), "{differing:#?}");
}

#[test]
fn european_numbers_lead_to_the_american_ones() {
    // Equivalents lists of the trade, from memory.
    for (european, american) in [
        ("ECC82", "12AU7"),
        ("EF94", "6AU6"),
        ("EAA91", "6AL5"),
        ("D77", "6AL5"),
        ("CV140", "6AL5"),
        ("B309", "12AT7"),
        ("EZ90", "6X4"),
        ("U78", "6X4"),
        ("EL84", "6BQ5"),
        ("N709", "6BQ5"),
        ("PCL82", "16A8"),
        ("EL90", "EL90"),
    ] {
        let found = catalogue().expect("sound").tube(european);
        assert_eq!(
            found.map(|tube| tube.name.as_str()),
            Some(american),
            "{european}"
        );
    }
}
