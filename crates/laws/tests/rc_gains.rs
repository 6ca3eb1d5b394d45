//! Resistance-coupled stages: plate current and gain of makers' tables.
//!
//! Outside values: rows CS of data/checks.csv (Philips and Mullard sheets), and further rows of
//! the same tables and of RCA's resistance-coupled charts (Receiving Tube Manuals), all from
//! memory. The stage: supply, plate resistor, cathode resistor with a bypass, grid leak to the
//! chassis, a following grid leak behind a capacitor; a screen resistor with a bypass. The gain
//! is that for small signals at middle frequencies.

use circuit::tube::{TubeLaw, TubeState};

/// A stage of a table: type, section, supply volts, plate, following grid leak, cathode, screen
/// ohms (0 without), then plate milliamperes where printed, and the gain.
type Row = (
    &'static str,
    &'static str,
    f64,
    f64,
    f64,
    f64,
    f64,
    Option<f64>,
    f64,
);

/// Philips and Mullard, ECC83; those marked CS stand in data/checks.csv too.
#[rustfmt::skip]
const ECC83: [Row; 15] = [
    ("12AX7", "each-triode", 200.0, 47e3, 150e3, 1500.0, 0.0, Some(0.86), 34.0),
    ("12AX7", "each-triode", 250.0, 47e3, 150e3, 1200.0, 0.0, Some(1.18), 37.5),
    ("12AX7", "each-triode", 300.0, 47e3, 150e3, 1000.0, 0.0, Some(1.55), 40.0),
    ("12AX7", "each-triode", 350.0, 47e3, 150e3, 820.0, 0.0, Some(1.98), 42.5),
    ("12AX7", "each-triode", 400.0, 47e3, 150e3, 680.0, 0.0, Some(2.45), 44.0),
    // CS001, CS002
    ("12AX7", "each-triode", 200.0, 100e3, 330e3, 1800.0, 0.0, Some(0.65), 50.0),
    ("12AX7", "each-triode", 250.0, 100e3, 330e3, 1500.0, 0.0, Some(0.86), 54.5),
    // CS005, CS006
    ("12AX7", "each-triode", 300.0, 100e3, 330e3, 1200.0, 0.0, Some(1.11), 57.0),
    // CS007, CS008
    ("12AX7", "each-triode", 350.0, 100e3, 330e3, 1000.0, 0.0, Some(1.40), 61.0),
    ("12AX7", "each-triode", 400.0, 100e3, 330e3, 820.0, 0.0, Some(1.72), 63.0),
    ("12AX7", "each-triode", 200.0, 220e3, 680e3, 3300.0, 0.0, Some(0.36), 56.5),
    ("12AX7", "each-triode", 250.0, 220e3, 680e3, 2700.0, 0.0, Some(0.48), 66.5),
    ("12AX7", "each-triode", 300.0, 220e3, 680e3, 2200.0, 0.0, Some(0.63), 72.0),
    ("12AX7", "each-triode", 350.0, 220e3, 680e3, 1500.0, 0.0, Some(0.85), 75.5),
    ("12AX7", "each-triode", 400.0, 220e3, 680e3, 1200.0, 0.0, Some(1.02), 76.5),
];

/// Philips and Mullard, ECC82; the first stands in data/checks.csv (CS011, CS012).
#[rustfmt::skip]
const ECC82: [Row; 2] = [
    ("12AU7", "each-triode", 250.0, 47e3, 150e3, 1200.0, 0.0, Some(3.02), 13.5),
    ("12AU7", "each-triode", 250.0, 100e3, 330e3, 2200.0, 0.0, Some(1.63), 14.0),
];

/// RCA, 6AV6 and 12AX7.
#[rustfmt::skip]
const AV6: [Row; 18] = [
    ("6AV6", "triode", 180.0, 100e3, 100e3, 1800.0, 0.0, None, 40.0),
    ("6AV6", "triode", 180.0, 100e3, 220e3, 2000.0, 0.0, None, 47.0),
    ("6AV6", "triode", 180.0, 100e3, 470e3, 2200.0, 0.0, None, 52.0),
    ("6AV6", "triode", 180.0, 220e3, 220e3, 3000.0, 0.0, None, 53.0),
    ("6AV6", "triode", 180.0, 220e3, 470e3, 3500.0, 0.0, None, 59.0),
    ("6AV6", "triode", 180.0, 220e3, 1e6, 3900.0, 0.0, None, 63.0),
    ("6AV6", "triode", 180.0, 470e3, 470e3, 5800.0, 0.0, None, 62.0),
    ("6AV6", "triode", 180.0, 470e3, 1e6, 6700.0, 0.0, None, 66.0),
    ("6AV6", "triode", 180.0, 470e3, 2.2e6, 7400.0, 0.0, None, 68.0),
    ("6AV6", "triode", 300.0, 100e3, 100e3, 1300.0, 0.0, None, 43.0),
    ("6AV6", "triode", 300.0, 100e3, 220e3, 1500.0, 0.0, None, 52.0),
    ("6AV6", "triode", 300.0, 100e3, 470e3, 1700.0, 0.0, None, 57.0),
    ("6AV6", "triode", 300.0, 220e3, 220e3, 2200.0, 0.0, None, 59.0),
    ("6AV6", "triode", 300.0, 220e3, 470e3, 2800.0, 0.0, None, 65.0),
    ("6AV6", "triode", 300.0, 220e3, 1e6, 3100.0, 0.0, None, 68.0),
    ("6AV6", "triode", 300.0, 470e3, 470e3, 4300.0, 0.0, None, 69.0),
    ("6AV6", "triode", 300.0, 470e3, 1e6, 5200.0, 0.0, None, 73.0),
    ("6AV6", "triode", 300.0, 470e3, 2.2e6, 5900.0, 0.0, None, 75.0),
];

/// RCA, 6J5 and 6SN7-GT.
#[rustfmt::skip]
const J5: [Row; 15] = [
    ("6SN7-GT", "each-triode", 180.0, 50e3, 50e3, 1190.0, 0.0, None, 13.0),
    ("6SN7-GT", "each-triode", 180.0, 50e3, 100e3, 1490.0, 0.0, None, 13.0),
    ("6SN7-GT", "each-triode", 180.0, 50e3, 250e3, 1740.0, 0.0, None, 14.0),
    ("6SN7-GT", "each-triode", 180.0, 100e3, 100e3, 2330.0, 0.0, None, 14.0),
    ("6SN7-GT", "each-triode", 180.0, 100e3, 250e3, 2830.0, 0.0, None, 14.0),
    ("6SN7-GT", "each-triode", 180.0, 100e3, 500e3, 3230.0, 0.0, None, 14.0),
    ("6SN7-GT", "each-triode", 300.0, 50e3, 50e3, 1020.0, 0.0, None, 13.0),
    ("6SN7-GT", "each-triode", 300.0, 50e3, 100e3, 1270.0, 0.0, None, 14.0),
    ("6SN7-GT", "each-triode", 300.0, 50e3, 250e3, 1500.0, 0.0, None, 14.0),
    ("6SN7-GT", "each-triode", 300.0, 100e3, 100e3, 1900.0, 0.0, None, 14.0),
    ("6SN7-GT", "each-triode", 300.0, 100e3, 250e3, 2440.0, 0.0, None, 14.0),
    ("6SN7-GT", "each-triode", 300.0, 100e3, 500e3, 2700.0, 0.0, None, 15.0),
    ("6SN7-GT", "each-triode", 300.0, 250e3, 250e3, 4590.0, 0.0, None, 15.0),
    ("6SN7-GT", "each-triode", 300.0, 250e3, 500e3, 5770.0, 0.0, None, 15.0),
    ("6SN7-GT", "each-triode", 300.0, 250e3, 1e6, 6950.0, 0.0, None, 16.0),
];

/// RCA, 6SJ7 as a pentode at 300 V.
#[rustfmt::skip]
const SJ7: [Row; 9] = [
    ("6SJ7", "pentode", 300.0, 100e3, 100e3, 500.0, 350e3, None, 67.0),
    ("6SJ7", "pentode", 300.0, 100e3, 250e3, 530.0, 370e3, None, 98.0),
    ("6SJ7", "pentode", 300.0, 100e3, 500e3, 590.0, 470e3, None, 104.0),
    ("6SJ7", "pentode", 300.0, 250e3, 250e3, 850.0, 890e3, None, 139.0),
    ("6SJ7", "pentode", 300.0, 250e3, 500e3, 860.0, 1.1e6, None, 167.0),
    ("6SJ7", "pentode", 300.0, 250e3, 1e6, 910.0, 1.18e6, None, 185.0),
    ("6SJ7", "pentode", 300.0, 500e3, 500e3, 1300.0, 2.0e6, None, 200.0),
    ("6SJ7", "pentode", 300.0, 500e3, 1e6, 1410.0, 2.2e6, None, 238.0),
    ("6SJ7", "pentode", 300.0, 500e3, 2e6, 1530.0, 2.5e6, None, 263.0),
];

/// Plate, screen and cathode amperes at volts against the chassis.
fn currents(law: &TubeLaw, plate: f64, screen: f64, cathode: f64) -> circuit::tube::TubeCurrents {
    let volts = [plate - cathode, -cathode, screen - cathode, 0.0];
    law.currents(volts, &TubeState::default())
}

/// Halves an interval on a quantity that falls as its argument rises.
fn root(mut low: f64, mut high: f64, excess: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..70 {
        let middle = 0.5 * (low + high);
        if excess(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Plate milliamperes and gain of a stage.
fn stage(row: &Row) -> (f64, f64) {
    let (name, section, supply, plate_ohms, leak_ohms, cathode_ohms, screen_ohms, _, _) = *row;
    let catalogue = parts::catalogue().expect("the tables are sound");
    let laws = laws::laws(catalogue).of(name).expect("listed");
    let law = laws
        .iter()
        .find(|law| law.section == section)
        .and_then(|law| law.law.clone())
        .expect("it has points");
    let is_screened = screen_ohms > 0.0;
    let screen_at = |plate: f64, cathode: f64| {
        if !is_screened {
            return 0.0;
        }
        root(0.0, supply, |screen| {
            (supply - screen) / screen_ohms - currents(&law, plate, screen, cathode).amperes[2]
        })
    };
    let plate_at = |cathode: f64| {
        root(0.0, supply, |plate| {
            let screen = screen_at(plate, cathode);
            (supply - plate) / plate_ohms - currents(&law, plate, screen, cathode).amperes[0]
        })
    };
    let cathode = root(0.0, 60.0, |cathode| {
        let plate = plate_at(cathode);
        let drawn = currents(&law, plate, screen_at(plate, cathode), cathode).cathode_amperes();
        drawn - cathode / cathode_ohms
    });
    let plate = plate_at(cathode);
    let at = currents(&law, plate, screen_at(plate, cathode), cathode);
    let load = 1.0 / plate_ohms + 1.0 / leak_ohms + at.slopes[0][0];
    (at.amperes[0] * 1e3, at.slopes[0][1] / load)
}

fn part(errors: &[f64], share: f64) -> f64 {
    let mut sizes: Vec<f64> = errors.iter().map(|error| error.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let place = ((share * sizes.len() as f64).ceil() as usize).clamp(1, sizes.len());
    sizes[place - 1]
}

/// Prints a table and gives the errors of gain and of current.
fn table(title: &str, rows: &[Row]) -> (Vec<f64>, Vec<f64>) {
    let (mut gains, mut amperes) = (Vec::new(), Vec::new());
    println!("{title}");
    for row in rows {
        let (milliamperes, gain) = stage(row);
        let (printed, printed_gain) = (row.7, row.8);
        gains.push(gain / printed_gain - 1.0);
        if let Some(printed) = printed {
            amperes.push(milliamperes / printed - 1.0);
        }
        println!(
            "  {} V {:>7} {:>8} {:>5}: {milliamperes:.2} mA ({}), gain {gain:.1} ({printed_gain}), {:+.0} %",
            row.2,
            row.3,
            row.4,
            row.5,
            printed.map_or("-".to_string(), |ma| ma.to_string()),
            100.0 * (gain / printed_gain - 1.0)
        );
    }
    println!(
        "  nine of ten gains within {:.1} %",
        100.0 * part(&gains, 0.9)
    );
    (gains, amperes)
}

#[test]
fn gains_of_makers_tables_are_met() {
    let (mut gains, mut amperes) = (Vec::new(), Vec::new());
    for (title, rows) in [
        ("12AX7, Philips and Mullard", &ECC83[..]),
        ("12AU7, Philips and Mullard", &ECC82[..]),
        ("6AV6, RCA", &AV6[..]),
        ("6SN7-GT, RCA", &J5[..]),
        ("6SJ7, RCA", &SJ7[..]),
    ] {
        let (more, currents) = table(title, rows);
        gains.extend(more);
        amperes.extend(currents);
    }
    println!(
        "all: {} gains, median {:.1} %, nine of ten within {:.1} %; {} currents, median {:.1} %, nine of ten within {:.1} %",
        gains.len(),
        100.0 * part(&gains, 0.5),
        100.0 * part(&gains, 0.9),
        amperes.len(),
        100.0 * part(&amperes, 0.5),
        100.0 * part(&amperes, 0.9)
    );
    assert!(part(&gains, 0.9) <= 0.15, "nine of ten gains");
    assert!(part(&amperes, 0.9) <= 0.15, "nine of ten currents");
}
