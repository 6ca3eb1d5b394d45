//! Sheets that are copied row by row: what tubes draw that are not transcribed yet.
//!
//! Volts. The reference is the whole example set, of which the last rows are left out: the
//! bands of its B+ lines have to hold the whole set's own figures meanwhile.

#[path = "whole_sets/mod.rs"]
mod whole_sets;

use receiver::conditions::BenchConditions;
use receiver::expect::expect;
use receiver::sheet::{Sheet, read_sheet};
use receiver::untold::with_untold_tubes;
use receiver::wiring::SetModel;
use whole_sets::LARKFIELD;

fn catalogue() -> &'static parts::Catalogue {
    parts::catalogue().expect("data")
}

fn sheet(text: &str) -> Sheet {
    let reading = read_sheet(text, catalogue());
    let faults = format!("{:?}", reading.faults);
    reading.sheet.unwrap_or_else(|| panic!("{faults}"))
}

/// The text with the first `count` rows of parts alone.
fn first_rows(text: &str, count: usize) -> String {
    let mut inside = false;
    let mut rows = 0;
    let kept: Vec<&str> = text
        .lines()
        .filter(|line| {
            inside = (inside || line.starts_with("parts = [")) && !line.starts_with(']');
            let row = inside && line.trim_start().starts_with("[\"");
            rows += usize::from(row);
            !row || rows <= count
        })
        .collect();
    kept.join("\n")
        .replace("cut_loose = [\"C40\"]", "cut_loose = []")
}

fn b_plus(sheet: &Sheet, bands: bool) -> Vec<(f64, f64, f64)> {
    let conditions = BenchConditions {
        bands,
        ..BenchConditions::default()
    };
    let found = expect(sheet, catalogue(), &conditions).expect("a settled state");
    ["B+ main", "B+ 275", "B+ 140"]
        .map(|at| {
            let reading = found.readings.iter().find(|reading| reading.at == at);
            let band = &reading.expect("a B+ line").band;
            (band.low, band.expected, band.high)
        })
        .to_vec()
}

#[test]
fn a_sheet_that_grows_row_by_row_holds_the_whole_sets_lines() {
    let whole = b_plus(&sheet(LARKFIELD), false);
    let (mut inside, mut all) = (0, 0);
    for rows in [110, 130, 150, 170, 190, 210] {
        let part = sheet(&first_rows(LARKFIELD, rows));
        let (told, notice) = with_untold_tubes(&part, catalogue()).expect("tubes not shown");
        assert!(
            notice.text.contains("nothing on the sheet tells what"),
            "{}",
            notice.text
        );
        for ((low, _, high), (_, own, _)) in b_plus(&told, true).into_iter().zip(&whole) {
            inside += usize::from((low..=high).contains(own));
            all += 1;
        }
        // Without the load the lines would be told too high.
        let bare = b_plus(&part, false);
        assert!(bare[0].1 > 1.03 * whole[0].1, "{rows}: {bare:?}");
    }
    assert!(10 * inside >= 9 * all, "{inside} of {all}");
}

#[test]
fn a_whole_sheet_and_one_with_a_load_for_the_rest_need_none() {
    assert!(with_untold_tubes(&sheet(LARKFIELD), catalogue()).is_none());
    let contract = sheet(include_str!("sheets/contract_example.toml"));
    assert!(with_untold_tubes(&contract, catalogue()).is_none());
    let supply = sheet(include_str!("../../../examples/larkfield_12t.toml"));
    assert!(with_untold_tubes(&supply, catalogue()).is_none());
}

#[test]
fn pins_that_only_the_chart_names_make_no_stage() {
    let part = sheet(&first_rows(LARKFIELD, 170));
    let model = SetModel::new(&part, catalogue());
    let tube = model.tube_index("V15").expect("the sound output tube");
    assert!(
        part.chart
            .as_ref()
            .is_some_and(|chart| !chart.volts.is_empty())
    );
    assert_eq!(model.stages.of_tube(tube).count(), 0);
}
