//! Published points that the table of tubes lacks.
//!
//! Outside values: rows TP of data/checks.csv (makers' data sheets, mostly from memory; each
//! row has its source). Conditions are written here, the expected figure is read there. The
//! tolerance of a row is the doubt of its figure; the law is allowed its own doubt beside it.

use parts::{OperatingPoint, Provenance, Standing};

/// Fields of one line of a table, quotation marks taken off.
fn fields(line: &str) -> Vec<String> {
    let (mut all, mut field, mut quoted) = (Vec::new(), String::new(), false);
    for letter in line.chars() {
        match letter {
            '"' => quoted = !quoted,
            ',' if !quoted => all.push(std::mem::take(&mut field)),
            other => field.push(other),
        }
    }
    all.push(field);
    all
}

/// Expected figure of a row.
fn expected(id: &str) -> f64 {
    include_str!("../../../data/checks.csv")
        .lines()
        .map(fields)
        .find(|row| row[0] == id)
        .and_then(|row| row[3].parse().ok())
        .unwrap_or_else(|| panic!("data/checks.csv has no row {id}"))
}

/// Row, type, section, plate, screen, grid volts or cathode ohms.
type At = (
    &'static str,
    &'static str,
    &'static str,
    f64,
    Option<f64>,
    Bias,
);

#[derive(Clone, Copy)]
enum Bias {
    Grid(f64),
    Cathode(f64),
}
use Bias::{Cathode, Grid};

#[rustfmt::skip]
const PLATE_CURRENTS: [At; 13] = [
    ("TP013", "6BC5", "pentode", 125.0, Some(125.0), Cathode(100.0)),
    ("TP016", "6BZ6", "pentode", 200.0, Some(150.0), Cathode(180.0)),
    ("TP022", "6SJ7", "pentode", 100.0, Some(100.0), Grid(-3.0)),
    ("TP025", "6SH7", "pentode", 100.0, Some(100.0), Grid(-1.0)),
    ("TP031", "6BJ6", "pentode", 100.0, Some(100.0), Grid(-1.0)),
    ("TP037", "6AU6", "pentode", 100.0, Some(100.0), Grid(-1.0)),
    ("TP039", "6AK5", "pentode", 150.0, Some(140.0), Cathode(330.0)),
    ("TP042", "6AN8", "triode", 200.0, None, Grid(-6.0)),
    ("TP047", "6AM8-A", "pentode", 200.0, Some(150.0), Cathode(120.0)),
    ("TP052", "6U8-A", "pentode", 125.0, Some(110.0), Grid(-1.0)),
    ("TP060", "12AT7", "each-triode", 200.0, None, Grid(-1.0)),
    ("TP066", "6CD6-G", "beam", 60.0, Some(100.0), Grid(0.0)),
    ("TP068", "6BE6", "converter", 100.0, Some(100.0), Grid(-1.5)),
];

#[rustfmt::skip]
const SCREEN_CURRENTS: [At; 11] = [
    ("TP014", "6BC5", "pentode", 125.0, Some(125.0), Cathode(100.0)),
    ("TP017", "6BZ6", "pentode", 200.0, Some(150.0), Cathode(180.0)),
    ("TP023", "6SJ7", "pentode", 100.0, Some(100.0), Grid(-3.0)),
    ("TP026", "6SH7", "pentode", 100.0, Some(100.0), Grid(-1.0)),
    ("TP032", "6BJ6", "pentode", 100.0, Some(100.0), Grid(-1.0)),
    ("TP038", "6AU6", "pentode", 100.0, Some(100.0), Grid(-1.0)),
    ("TP040", "6AK5", "pentode", 150.0, Some(140.0), Cathode(330.0)),
    ("TP048", "6AM8-A", "pentode", 200.0, Some(150.0), Cathode(120.0)),
    ("TP053", "6U8-A", "pentode", 125.0, Some(110.0), Grid(-1.0)),
    ("TP067", "6CD6-G", "beam", 60.0, Some(100.0), Grid(0.0)),
    ("TP069", "6BE6", "converter", 100.0, Some(100.0), Grid(-1.5)),
];

#[rustfmt::skip]
const TRANSCONDUCTANCES: [At; 10] = [
    ("TP015", "6BC5", "pentode", 125.0, Some(125.0), Cathode(100.0)),
    ("TP018", "6BZ6", "pentode", 200.0, Some(150.0), Cathode(180.0)),
    ("TP024", "6SJ7", "pentode", 100.0, Some(100.0), Grid(-3.0)),
    ("TP027", "6SH7", "pentode", 100.0, Some(100.0), Grid(-1.0)),
    ("TP033", "6BJ6", "pentode", 100.0, Some(100.0), Grid(-1.0)),
    ("TP041", "6AK5", "pentode", 150.0, Some(140.0), Cathode(330.0)),
    ("TP043", "6AN8", "triode", 200.0, None, Grid(-6.0)),
    ("TP049", "6AM8-A", "pentode", 200.0, Some(150.0), Cathode(120.0)),
    ("TP054", "6U8-A", "pentode", 125.0, Some(110.0), Grid(-1.0)),
    ("TP061", "12AT7", "each-triode", 200.0, None, Grid(-1.0)),
];

fn by_law(at: &At) -> laws::AtPoint {
    let (_, name, section, plate, screen, bias) = *at;
    let catalogue = parts::catalogue().expect("the tables are sound");
    let laws = laws::laws(catalogue).of(name).expect("listed");
    let law = laws
        .iter()
        .find(|law| law.section == section)
        .unwrap_or_else(|| panic!("{name} {section}"));
    let (grid_volts, cathode_ohms) = match bias {
        Grid(volts) => (Some(volts), None),
        Cathode(ohms) => (None, Some(ohms)),
    };
    let point = OperatingPoint {
        plate_volts: Some(plate),
        screen_volts: screen,
        grid_volts,
        cathode_ohms,
        plate_milliamperes: None,
        screen_milliamperes: None,
        transconductance_micromhos: None,
        plate_resistance_ohms: None,
        amplification_factor: None,
        cutoff_volts: None,
        cutoff_milliamperes: None,
        provenance: Provenance {
            source: "data/checks.csv".to_string(),
            standing: Standing::Memory,
            read_fields: Vec::new(),
            doubt_fields: Vec::new(),
            notes: String::new(),
        },
    };
    laws::at_point(law, &point).expect("the type has points")
}

/// Errors as shares, printed; the worst names come first to the eye by their size.
fn errors(title: &str, rows: &[At], figure: impl Fn(&laws::AtPoint) -> f64) -> Vec<f64> {
    println!("{title}");
    rows.iter()
        .map(|row| {
            let (expected, found) = (expected(row.0), figure(&by_law(row)));
            let error = found / expected - 1.0;
            println!(
                "  {} {} {}: {found:.3}, published {expected}, {:+.0} %",
                row.0,
                row.1,
                row.2,
                100.0 * error
            );
            error
        })
        .collect()
}

fn part(errors: &[f64], share: f64) -> f64 {
    let mut sizes: Vec<f64> = errors.iter().map(|error| error.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let place = ((share * sizes.len() as f64).ceil() as usize).clamp(1, sizes.len());
    sizes[place - 1]
}

#[test]
fn plate_currents_of_further_points() {
    let errors = errors("plate current, mA", &PLATE_CURRENTS, |at| {
        at.plate_amperes * 1e3
    });
    println!(
        "median {:.3}, nine of ten {:.3}",
        part(&errors, 0.5),
        part(&errors, 0.9)
    );
    assert!(part(&errors, 0.5) <= 0.10);
    assert!(part(&errors, 0.9) <= 0.25);
}

#[test]
fn screen_currents_of_further_points() {
    let errors = errors("screen current, mA", &SCREEN_CURRENTS, |at| {
        at.screen_amperes * 1e3
    });
    println!(
        "median {:.3}, nine of ten {:.3}",
        part(&errors, 0.5),
        part(&errors, 0.9)
    );
    assert!(part(&errors, 0.5) <= 0.15);
    assert!(part(&errors, 0.9) <= 0.30);
}

#[test]
fn transconductances_of_further_points() {
    let errors = errors("transconductance, umho", &TRANSCONDUCTANCES, |at| {
        at.transconductance_siemens * 1e6
    });
    println!(
        "median {:.3}, nine of ten {:.3}",
        part(&errors, 0.5),
        part(&errors, 0.9)
    );
    assert!(part(&errors, 0.5) <= 0.10);
    assert!(part(&errors, 0.9) <= 0.20);
}
