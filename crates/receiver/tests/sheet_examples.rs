//! The sheets of the form's own page and of `examples/`: all pass, and hold what
//! a reader of the page sees in them. Expected values are read off the sheets.

use std::path::{Path, PathBuf};

use receiver::sheet::{
    ChassisStanding, HeaterArrangement, PartValue, Place, SheetReading, read_sheet,
};

fn read(text: &str) -> SheetReading {
    read_sheet(text, parts::catalogue().expect("the tables are sound"))
}

const CONTRACT_EXAMPLE: &str = include_str!("sheets/contract_example.toml");

fn workspace() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

#[test]
fn the_example_of_the_form_has_no_fault() {
    let reading = read(CONTRACT_EXAMPLE);
    assert_eq!(reading.faults, []);
    let sheet = reading.sheet.expect("no fault, so a sheet");
    assert_eq!(sheet.name, "Larkfield 12T");
    assert_eq!(
        (sheet.made, sheet.line_volts, sheet.line_hertz),
        (Some(1950), 117.0, 60.0)
    );
    let counts = (
        sheet.tubes.len(),
        sheet.windings.len(),
        sheet.parts.len(),
        sheet.heaters.len(),
    );
    assert_eq!(counts, (3, 5, 15, 1));

    let rectifier = sheet.tube("v14").expect("in any case");
    assert_eq!(
        (rectifier.kind.name.as_str(), rectifier.job.as_str()),
        ("5U4-G", "B+ rectifier")
    );
    let plates = &sheet.windings[2];
    assert_eq!(
        (plates.volts, plates.ohms, plates.end.to_string()),
        (Some(325.0), Some(33.0), "V14.6".to_string())
    );
    let row = &sheet.heaters[0];
    assert_eq!(
        (row.arrangement, row.tubes.as_slice()),
        (
            HeaterArrangement::Parallel,
            ["V9".to_string(), "V20".to_string()].as_slice()
        )
    );

    let control = sheet.part("R60").expect("there");
    assert!(matches!(
        control.value,
        PartValue::Control {
            ohms: 250e3,
            at: Some(0.4),
            ..
        }
    ));
    assert_eq!(
        control.third,
        Some(Place::Named("brightness wiper".to_string()))
    );
    assert!(matches!(
        sheet.part("X1").expect("there").value,
        PartValue::Load {
            amperes: 0.095,
            volts: 330.0,
            steady: false,
            ..
        }
    ));

    let chart = sheet.chart.as_ref().expect("there");
    assert_eq!((chart.volts[1].value, chart.ohms[0].value), (140.0, 90e3));
    let bench = sheet.bench.as_ref().expect("there");
    assert_eq!(
        (bench.lamps.as_slice(), bench.meters.len()),
        ([40.0, 60.0, 100.0].as_slice(), 2)
    );
    let source = bench.dc_source.expect("there");
    assert_eq!(
        (source.low_volts, source.high_volts, source.amperes),
        (0.0, 450.0, Some(0.02))
    );
    assert!(sheet.state_given);
    assert_eq!(
        (
            sheet.state.measured_ohms("R31"),
            sheet.state.measured_ohms("L1")
        ),
        (Some(5.3e3), Some(88.0))
    );

    let places = sheet.places();
    assert!(places.joined(
        &places.find("V9.2").expect("there").clone(),
        &places.find("V9.7").expect("there").clone()
    ));
    assert_eq!(
        sheet.chassis_standing(),
        ChassisStanding::Isolated {
            line_capacitors: vec![]
        }
    );
    assert_eq!(sheet.primaries().len(), 1);
}

#[test]
fn the_example_is_that_of_the_form() {
    // The page of the form lies beside the checkout where both are at hand.
    let Ok(page) = std::fs::read_to_string(workspace().join("../shared/SHEET.md")) else {
        return;
    };
    let block = page
        .split("```toml\n")
        .nth(1)
        .and_then(|rest| rest.split("```").next());
    assert_eq!(block, Some(CONTRACT_EXAMPLE));
}

#[test]
fn every_example_has_no_fault() {
    let mut checked = 0;
    for folder in ["examples", "examples/small"] {
        let Ok(files) = std::fs::read_dir(workspace().join(folder)) else {
            continue;
        };
        for file in files
            .flatten()
            .map(|entry| entry.path())
            .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        {
            let text = std::fs::read_to_string(&file).expect("readable");
            let reading = read(&text);
            let faults: Vec<String> = reading.faults.iter().map(ToString::to_string).collect();
            assert_eq!(faults, Vec::<String>::new(), "{}", file.display());
            checked += 1;
        }
    }
    assert!(checked >= 2, "{checked} examples found");
}
