//! What readings tell of single parts and windings.
//!
//! Ohms, volts. Closed forms: what lies beside a winding is tens of thousands of ohms, so the
//! reading is its own within a part in a hundred; two doubts share a difference by their squares.

use receiver::conditions::BenchConditions;
use receiver::expect::Predictor;
use receiver::judge_reading::TakenReading;
use receiver::learned::{AllLearned, OfWhat, ReadingTaken, learned};
use receiver::reading::What;
use receiver::sheet::{Sheet, read_sheet};
use receiver::wiring::SetModel;

const LARKFIELD: &str = include_str!("../../../examples/larkfield_12t.toml");

fn sheet() -> Sheet {
    let catalogue = parts::catalogue().expect("data");
    read_sheet(LARKFIELD, catalogue).sheet.expect("a sheet")
}

fn cold(at: &str, to: Option<&str>, ohms: f64) -> ReadingTaken {
    ReadingTaken {
        entry: 7,
        taken: TakenReading {
            at: at.to_owned(),
            to: to.map(str::to_owned),
            what: What::Ohms,
            value: ohms,
        },
        conditions: BenchConditions::default(),
        plug_out: true,
    }
}

fn tell(readings: &[ReadingTaken]) -> AllLearned {
    let sheet = sheet();
    let catalogue = parts::catalogue().expect("data");
    learned(&SetModel::new(&sheet, catalogue), readings)
}

fn winding(transformer: &str, name: &str) -> (String, String) {
    (transformer.to_owned(), name.to_owned())
}

#[test]
fn a_winding_and_a_choke_read_themselves_in_the_circuit() {
    // 31 ohm on the sheet; everything beside it is the primary's side or tens of kilohms.
    let all = tell(&[
        cold("V14.4", Some("B minus"), 32.55),
        cold("B+ main", Some("V14.8"), 90.0),
    ]);
    assert_eq!(all.not_used, Vec::<String>::new());
    assert_eq!(all.figures.len(), 2);
    let (transformer, name) = winding("T1", "plates 1");
    assert_eq!(all.figures[0].of, OfWhat::WindingOhms(transformer, name));
    assert!((all.figures[0].value / 32.55 - 1.0).abs() < 0.01);
    assert_eq!(all.figures[1].of, OfWhat::Part("L1".to_owned()));
    assert!((all.figures[1].value / 90.0 - 1.0).abs() < 0.02);
}

#[test]
fn what_lies_beside_a_part_keeps_its_reading_from_counting() {
    // R30 is a bleeder: beside it lies everything else of B+.
    assert_eq!(
        tell(&[cold("B+ main", None, 9_700.0)]),
        AllLearned::default()
    );
    // Cut loose it reads itself.
    let mut loose = cold("R30", None, 23_500.0);
    assert_eq!(tell(std::slice::from_ref(&loose)), AllLearned::default());
    loose.conditions.fitted_without = vec!["r30".to_owned()];
    let all = tell(&[loose]);
    assert_eq!(all.figures.len(), 1);
    assert_eq!(all.figures[0].of, OfWhat::Part("R30".to_owned()));
    assert_eq!(all.figures[0].value, 23_500.0);
}

#[test]
fn the_last_reading_holds_and_a_slip_is_told_and_not_used() {
    let mut later = cold("V14.4", Some("B minus"), 31.5);
    later.entry = 9;
    let all = tell(&[cold("V14.4", Some("B minus"), 33.0), later]);
    assert_eq!(all.figures.len(), 1);
    assert_eq!(all.figures[0].entry, 9);
    let all = tell(&[cold("V14.4", Some("B minus"), 310.0)]);
    assert!(all.figures.is_empty());
    assert!(
        all.not_used[0].contains("T1 plates 1"),
        "{:?}",
        all.not_used
    );
    for value in [0.0, -5.0, f64::NAN, f64::INFINITY] {
        assert_eq!(
            tell(&[cold("V14.4", Some("B minus"), value)]),
            AllLearned::default()
        );
    }
    assert_eq!(
        tell(&[cold("nowhere", Some("V14.4"), 31.0)]),
        AllLearned::default()
    );
}

/// The volts of a winding with every tube out but the picture tube, off by a share.
fn unloaded(share: f64, pulled_all: bool, lamp: bool) -> AllLearned {
    let sheet = sheet();
    let catalogue = parts::catalogue().expect("data");
    let model = SetModel::new(&sheet, catalogue);
    // V19 is lit by the flyback and takes nothing here.
    let stays =
        |tube: &&receiver::sheet::SheetTube| tube.kind.picture.is_none() && tube.reference != "V19";
    let mut pulled: Vec<String> = sheet
        .tubes
        .iter()
        .filter(stays)
        .map(|tube| tube.reference.clone())
        .collect();
    if !pulled_all {
        pulled.pop();
    }
    let conditions = BenchConditions {
        line_volts: Some(112.0),
        lamps: if lamp { vec![40.0] } else { Vec::new() },
        pulled,
        to: Some("B minus".to_owned()),
        ..BenchConditions::default()
    };
    let told = Predictor::new(&model).expect(&conditions).expect("solved");
    let foreseen = told
        .readings
        .iter()
        .find(|own| own.at == "V14.4" && own.what == What::AcVoltsRms)
        .expect("a reading")
        .band
        .expected;
    let reading = ReadingTaken {
        entry: 12,
        taken: TakenReading {
            at: "V14.4".to_owned(),
            to: Some("B minus".to_owned()),
            what: What::AcVoltsRms,
            value: foreseen * (1.0 + share),
        },
        conditions: BenchConditions {
            to: None,
            ..conditions
        },
        plug_out: false,
    };
    learned(&model, &[reading])
}

#[test]
fn volts_of_an_unloaded_winding_are_shared_between_meter_and_sheet() {
    let sheet = sheet();
    let rated = sheet
        .windings
        .iter()
        .find(|winding| winding.name == "plates 1")
        .and_then(|winding| winding.volts)
        .expect("volts");
    // Two doubts share a difference by their squares (closed form). Those of sheet and reading are
    // judgement, 1.2 and 1.5 percent: the reading has 1.44 / (1.44 + 2.25) of the word. Six percent
    // are no spread of a sheet but the winding's own: the reading has all of it.
    for (off, counts) in [
        (0.02, 0.02 * 1.44 / 3.69),
        (-0.03, -0.03 * 1.44 / 3.69),
        (0.06, 0.06),
    ] {
        let all = unloaded(off, true, false);
        assert_eq!(all.figures.len(), 1, "{off}");
        let (transformer, name) = winding("T1", "plates 1");
        assert_eq!(all.figures[0].of, OfWhat::WindingVolts(transformer, name));
        let value = all.figures[0].value;
        assert!(
            (value / (rated * (1.0 + counts)) - 1.0).abs() < 1e-3,
            "{off}: {value}"
        );
    }
    let fault = unloaded(-0.3, true, false);
    assert!(fault.figures.is_empty() && fault.not_used[0].contains("-30 percent"));
    // Behind a lamp the reading is doubted by 3 percent (judgement) and has 1.44 / (1.44 + 9) of
    // the word.
    let behind = unloaded(0.04, true, true);
    let value = behind.figures[0].value;
    assert!(
        (value / (rated * (1.0 + 0.04 * 1.44 / 10.44)) - 1.0).abs() < 1e-3,
        "{value}"
    );
    // With a tube in, the winding is loaded and says nothing of itself.
    assert_eq!(unloaded(0.02, false, false), AllLearned::default());
}
