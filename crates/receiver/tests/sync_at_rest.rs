//! Sync separators without a station, as a set is measured by default: at rest, and said so.
//!
//! Volts. The expected values are the contact potential of a grid behind its leak (published
//! for grid-leak biased triodes: half a volt to one volt; from memory) and Ohm's law at a grid
//! that a direct coupling draws positive. Fails by panic, as a test does.

mod whole_sets;

use receiver::expect::Expectation;
use receiver::reading::What;
use whole_sets::{LARKFIELD, MERROW, band, nominal, told, without_chart};

#[track_caller]
fn volts(told: &Expectation, at: &str) -> f64 {
    band(told, at, What::DcVolts).expected
}

#[track_caller]
fn is_said(told: &Expectation, tube: &str) {
    let said = told
        .notices
        .iter()
        .any(|notice| notice.text.contains("without a station") && notice.text.contains(tube));
    assert!(said, "{:#?}", told.notices);
}

#[test]
fn a_separator_behind_its_capacitor_rests_at_contact_potential() {
    for (text, tube, grid) in [(LARKFIELD, "V10", "V10.1"), (MERROW, "V10", "V10.1")] {
        // No chart may stand in for it.
        let found = told(&without_chart(text), &nominal());
        let grid = volts(&found, grid);
        // The published half a volt to one, and less where the leak is large.
        assert!((-1.0..-0.2).contains(&grid), "{grid}");
        is_said(&found, tube);
    }
    // Nothing feeds it: a triode at contact potential conducts, and behind 150k its plate is far
    // down. With mu 20 and some 20k of plate resistance at 1.5 mA (6SN7-GT, from memory):
    // 20 x 0.5 V + 265 V x 20k / 170k = 41 V of 275; a quarter of the line leaves room.
    let found = told(&without_chart(LARKFIELD), &nominal());
    let (plate, line) = (volts(&found, "V10.2"), volts(&found, "B+ 275"));
    assert!(plate < 0.25 * line, "{plate} {line}");
}

/// The coupling capacitor made a resistance: the sync amplifier's plate draws the grid up, and
/// the grid takes all that current: near the cathode, the resistors carry it by Ohm's law.
#[test]
fn a_separator_that_is_tied_to_the_stage_before_is_told_at_rest() {
    let row = "[\"C45\",  \"paper\",        \"0.1 mfd 600 V\",";
    assert!(LARKFIELD.contains(row));
    let text =
        without_chart(&LARKFIELD.replace(row, "[\"R245\", \"resistor\",     \"1 meg 1/2 W 10%\","));
    let found = told(&text, &nominal());
    is_said(&found, "V10");
    let grid = volts(&found, "V10.1");
    assert!((-0.2..1.5).contains(&grid), "{grid}");
    let through = (volts(&found, "V9.5") - grid) / 1e6;
    let by_part = 1e-3 * band(&found, "R245", What::PartMilliamps).expected;
    assert!(
        (through / by_part - 1.0).abs() < 0.01,
        "{through} {by_part}"
    );
    let coupled = told(&without_chart(LARKFIELD), &nominal());
    // More grid volts, less plate volts.
    assert!(volts(&found, "V10.2") < volts(&coupled, "V10.2"));
}
