//! What the grid of the horizontal output tube shows of its drive.
//!
//! That the grid stands some tens of volts negative while pulses come, and at nothing without them, and that the tube
//! burns then, is common practice; a string's heaters are all dark when one tube is out.

use receiver::conditions::BenchConditions;
use receiver::judge_reading::TakenReading;
use receiver::reading::What;
use receiver::sheet::{Sheet, read_sheet};
use receiver::sweep_drive::{BenchReading, Draws, Drive, OutputDrive, danger, drives};
use receiver::wiring::SetModel;

const LARKFIELD: &str = include_str!("../../../examples/whole/larkfield_12t.toml");
const MERROW: &str = include_str!("../../../examples/whole/merrow_17s.toml");

fn sheet(text: &str) -> Sheet {
    let catalogue = parts::catalogue().expect("the tables are sound");
    read_sheet(text, catalogue).sheet.expect("no fault")
}

fn read(entry: u64, at: &str, volts: f64) -> BenchReading {
    BenchReading {
        entry,
        taken: TakenReading {
            at: at.to_owned(),
            to: None,
            what: What::DcVolts,
            value: volts,
        },
        conditions: BenchConditions {
            line_volts: Some(117.0),
            ..BenchConditions::default()
        },
        band: None,
    }
}

/// The one output tube of a set after these readings.
fn after(text: &str, readings: &[BenchReading], dark: &[&str]) -> OutputDrive {
    let sheet = sheet(text);
    let model = SetModel::new(&sheet, parts::catalogue().expect("the tables are sound"));
    let dark: Vec<usize> = dark
        .iter()
        .filter_map(|own| model.tube_index(own))
        .collect();
    let mut all = drives(&model, readings, &dark);
    assert_eq!(all.len(), 1, "{all:?}");
    all.remove(0)
}

#[test]
fn a_fed_tube_whose_grid_reads_nothing_is_a_danger_in_both_sets() {
    for (text, tube, grid) in [(LARKFIELD, "V17", "V17.5"), (MERROW, "V14", "V14.5")] {
        for volts in [0.0, -0.2, -4.9, 12.0] {
            let own = after(text, &[read(2, grid, volts)], &[]);
            let told = own.danger().expect("danger");
            assert!(
                told.head.contains(tube) && told.head.contains("no drive"),
                "{told:?}"
            );
            assert!(told.head.contains("pull the plug now"), "{told:?}");
            assert!(told.then.contains("J2 is open"), "{told:?}");
            // Another reading later takes nothing back; one that shows drive does.
            let readings = [read(2, grid, volts), read(3, "boost", 250.0)];
            assert!(after(text, &readings, &[]).danger().is_some());
            let seen = [read(2, grid, volts), read(3, grid, -24.0)];
            let own = after(text, &seen, &[]);
            assert_eq!((own.drive.clone(), own.danger()), (Drive::Seen, None));
            assert_eq!(own.comes_first(), None);
        }
        let own = after(text, &[], &[]);
        assert_eq!((own.drive.clone(), own.danger()), (Drive::NotRead, None));
        assert!(
            own.comes_first()
                .is_some_and(|own| own.contains("comes first"))
        );
    }
}

/// A string's tube is not advised to be pulled: the whole set would be dark.
#[test]
fn only_the_tube_that_may_be_pulled_is_named_as_a_way() {
    let ways = |text, grid| after(text, &[read(2, grid, 0.0)], &[]).kept_by.join(", ");
    assert!(ways(LARKFIELD, "V17.5").contains("V17 is out"));
    assert!(!ways(MERROW, "V14.5").contains("V14 is out"));
}

#[test]
fn a_band_tells_drive_from_too_little_of_it() {
    let banded = |volts, band| {
        let own = BenchReading {
            band: Some(band),
            ..read(2, "V17.5", volts)
        };
        after(LARKFIELD, &[own], &[]).drive
    };
    assert_eq!(banded(-14.0, (-20.2, -13.0)), Drive::Seen);
    assert!(matches!(banded(-9.0, (-20.2, -13.0)), Drive::Weak(_)));
    assert!(matches!(banded(-1.0, (-20.2, -13.0)), Drive::Nothing(_)));
    // A band of a grid at rest shows no drive, and drives nothing.
    assert!(matches!(banded(0.0, (-0.5, 0.1)), Drive::Nothing(_)));
    let weak = after(LARKFIELD, &[read(2, "V17.5", -9.0)], &[]);
    assert!(
        weak.danger()
            .is_some_and(|own| own.head.contains("too little drive"))
    );
}

#[test]
fn a_tube_that_is_out_or_not_fed_is_in_no_danger() {
    let under = |change: fn(&mut BenchConditions)| {
        let mut own = read(2, "V17.5", 0.0);
        change(&mut own.conditions);
        after(LARKFIELD, &[own], &[])
    };
    let out = under(|own| own.pulled = vec!["V17".to_owned()]);
    assert_eq!(out.danger(), None);
    // With the tube out no grid current makes the volts: they tell nothing.
    assert_eq!(out.drive, Drive::NotRead);
    assert!(matches!(out.draws, Draws::NotFed(_)), "{out:?}");
    for own in [
        under(|own| own.open = vec!["J2".to_owned()]),
        under(|own| own.pulled = vec!["V14".to_owned()]),
    ] {
        assert_eq!(own.danger(), None, "{own:?}");
        assert!(matches!(own.drive, Drive::Nothing(_)), "{own:?}");
    }
    // Too early to tell.
    assert_eq!(under(|own| own.seconds = Some(8.0)).danger(), None);
    assert!(under(|own| own.seconds = Some(60.0)).danger().is_some());
    // B+ was read as nothing.
    let dead = [read(2, "V17.5", 0.0), read(3, "sweep feed", 0.3)];
    assert_eq!(after(LARKFIELD, &dead, &[]).danger(), None);
}

#[test]
fn a_cold_tube_is_in_no_danger_and_says_so() {
    let grid = || read(2, "V14.5", 0.0);
    for own in [
        after(MERROW, &[grid()], &["V9"]),
        after(MERROW, &[grid()], &["V14"]),
    ] {
        assert_eq!((own.danger(), own.comes_first()), (None, None), "{own:?}");
        let (text, _) = own.when_warm().expect("told");
        assert!(text.contains("V14 is cold"), "{text}");
    }
    // A dark heater in a set with its heaters side by side says nothing of another tube.
    assert!(
        after(LARKFIELD, &[read(2, "V17.5", 0.0)], &["V9"])
            .danger()
            .is_some()
    );
    // Two cathodes of the string that should stand at some volts do not.
    let idle = |at: &str| BenchReading {
        band: Some((1.8, 2.6)),
        ..read(3, at, 0.0)
    };
    let sheet = sheet(MERROW);
    let cathodes: Vec<String> = sheet
        .parts
        .iter()
        .flat_map(|own| [own.from.to_string(), own.to.to_string()])
        .filter(|at| ["V2.7", "V3.7", "V4.7", "V5.7", "V6.2", "V9.2"].contains(&at.as_str()))
        .collect();
    assert!(cathodes.len() >= 2, "{cathodes:?}");
    let all: Vec<BenchReading> = [grid()]
        .into_iter()
        .chain(cathodes.iter().map(|at| idle(at)))
        .collect();
    assert!(
        matches!(after(MERROW, &all, &[]).draws, Draws::Cold(_)),
        "{cathodes:?}"
    );
    // One alone may have a fault of its own.
    let one = [grid(), idle(&cathodes[0])];
    assert!(danger(&[after(MERROW, &one, &[])]).is_some());
}
