//! The maker's chart of a drawn set, as text of a sheet.
//!
//! Volts and ohms to the chassis at every pin but those of heaters and those that carry
//! pulses or high voltage, and at the named lines. Volts are those that a meter of 20k
//! per volt shows on the lowest range that holds them. Rounded as makers print: 0.1 V
//! below 10 V, 1 V below 100 V, 5 V above; ohms to two figures.

use parts::PinName;
use receiver::sheet::{Place, Sheet};

use crate::set::Set;

/// The ranges of the maker's meter, volts.
const RANGES: [f64; 6] = [2.5, 10.0, 50.0, 250.0, 500.0, 1000.0];
const OHMS_PER_VOLT: f64 = 20e3;

/// One place of the chart with what was read there.
pub struct Row {
    pub at: String,
    pub volts: f64,
    pub ohms: f64,
}

/// The rows in the order of the tubes, then the named lines.
pub fn rows(sheet: &Sheet, set: &Set, lines: &[&str], unread: &[&str]) -> Vec<Row> {
    let open = set.volts(None, None);
    let mut names: Vec<String> = Vec::new();
    for tube in &sheet.tubes {
        let heaters = tube.kind.heater_pins();
        for number in 1..=12 {
            let pin = PinName::Number(number);
            let place = Place::Pin {
                tube: tube.reference.clone(),
                pin,
            };
            let name = place.to_string();
            let measured = set.places.junction_of(&place).is_some()
                && !heaters.contains(&pin)
                && !unread.contains(&name.as_str())
                && !unread.contains(&tube.reference.as_str());
            if measured {
                names.push(name);
            }
        }
    }
    names.extend(lines.iter().map(|line| (*line).to_string()));
    names
        .into_iter()
        .map(|at| {
            let junction = set.find(&at);
            let range = RANGES
                .into_iter()
                .find(|range| *range >= open[junction].abs())
                .expect("a range holds it");
            let meter = Some((junction, OHMS_PER_VOLT * range));
            let volts = set.volts(meter, Some(&open))[junction];
            Row {
                volts: printed_volts(volts),
                ohms: printed_ohms(set.ohms(junction)),
                at,
            }
        })
        .collect()
}

fn volts_step(volts: f64) -> f64 {
    match volts.abs() {
        v if v < 9.95 => 0.1,
        v if v < 99.5 => 1.0,
        _ => 5.0,
    }
}

fn printed_volts(volts: f64) -> f64 {
    let step = volts_step(volts);
    // Adding nothing turns minus nothing into nothing.
    (volts / step).round() * step + 0.0
}

fn ohms_step(ohms: f64) -> f64 {
    if ohms < 1.0 {
        0.1
    } else {
        10f64.powf(ohms.log10().floor() - 1.0)
    }
}

fn printed_ohms(ohms: f64) -> f64 {
    if ohms.is_infinite() {
        return ohms;
    }
    let step = ohms_step(ohms);
    (ohms / step).round() * step
}

/// Whether two printed volts are the same, give or take a last figure: other machines
/// round otherwise in their last bits.
pub fn same_volts(one: f64, other: f64) -> bool {
    (one - other).abs() <= 1.01 * volts_step(one).max(volts_step(other))
}

/// The same for ohms.
pub fn same_ohms(one: f64, other: f64) -> bool {
    one == other || (one - other).abs() <= 1.01 * ohms_step(one).max(ohms_step(other))
}

fn volts_text(volts: f64) -> String {
    let text = format!("{volts:.1}");
    text.strip_suffix(".0").unwrap_or(&text).to_string()
}

fn ohms_text(ohms: f64) -> String {
    let short = |number: f64| {
        let text = format!("{number:.1}");
        text.strip_suffix(".0").unwrap_or(&text).to_string()
    };
    if ohms.is_infinite() {
        "infinite".to_string()
    } else if ohms < 999.0 {
        short(ohms)
    } else if ohms < 999e3 {
        format!("{}k", short(ohms / 1e3))
    } else {
        format!("{} meg", short(ohms / 1e6))
    }
}

/// The `[chart]` of the sheet, a tube a line.
pub fn text(conditions: &str, rows: &[Row]) -> String {
    let mut chart = format!(
        "[chart]\nline_volts = 117\nmeter = \"20k per volt\"\nconditions = \"{conditions}\"\n"
    );
    chart.push_str(&listed("volts", rows, |row| volts_text(row.volts)));
    chart.push_str(&listed("ohms", rows, |row| {
        format!("\"{}\"", ohms_text(row.ohms))
    }));
    chart
}

fn listed(name: &str, rows: &[Row], value: impl Fn(&Row) -> String) -> String {
    let mut list = format!("{name} = [\n");
    let mut last = "";
    for row in rows {
        let tube = row.at.split_once('.').map_or("", |(tube, _)| tube);
        let joint = match (last.is_empty(), tube == last && !tube.is_empty()) {
            (_, true) => " ",
            (true, _) if list.ends_with("[\n") => "  ",
            _ => "\n  ",
        };
        list.push_str(&format!("{joint}[\"{}\", {}],", row.at, value(row)));
        last = tube;
    }
    list.push_str("\n]\n");
    list
}
