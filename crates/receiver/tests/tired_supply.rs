//! Tired rectifiers and a worn sweep: what they leave of the volts, and cold resistances where no bleeder stands.
//!
//! Volts, amperes, ohms. Second methods: a stack of more plates has the same drop as an aged one of few; a damper's type in place of a
//! rectifier's; arithmetic beside each figure. Small sets are invented. That a worn output or damper leaves the boosted line low is
//! common practice. Fails by a panic, as a test may.

mod whole_sets;

use receiver::conditions::BenchConditions;
use receiver::probes::ohms_probes;
use receiver::sheet::{Sheet, read_sheet};
use receiver::suspects::hypotheses::Hypotheses;
use receiver::suspects::predict_cold::foretell_cold;
use receiver::whole_set::{WholeSet, couple, faulty_readings};
use receiver::wiring::{FaultKind, SetModel, Variation};
use whole_sets::{LARKFIELD, nominal, sheet};

fn read(text: &str) -> Sheet {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let read = read_sheet(text, catalogue);
    read.sheet.expect("no fault")
}

fn half_wave(stack: &str) -> String {
    format!(
        r#"sheet = 1
name = "Half-wave study"
line_volts = 117
line_hertz = 60
parts = [
  ["W1", "wire", "", "line b", "chassis"],
  ["R1", "resistor", "10 ohm 10 W", "line a", "surge"],
  ["SR1", "selenium", "{stack}", "surge", "raw"],
  ["C1", "electrolytic", "100 mfd 200 V", "raw", "chassis"],
  ["X1", "load", "200 mA at 120 V steady", "raw", "chassis"],
]
"#
    )
}

fn volts(model: &SetModel<'_>, set: &WholeSet, place: &str) -> f64 {
    let place = model.places.find(place).expect("a place");
    set.volts[model.junction(place).expect("a junction")]
}

/// The forward drop of a stack times six is six times the drop: as that of thirty plates in place of five, to within what a
/// threshold that hardly ages makes of it. Five volts at 350 mA become thirty.
#[test]
fn an_aged_stack_drops_as_many_times_as_it_says() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let raw = |stack: &str, times: f64| {
        let sheet = read(&half_wave(stack));
        let model = SetModel::new(&sheet, catalogue);
        let part = model.part_index("SR1").expect("a part");
        let variation = match times == 1.0 {
            true => Variation::none(),
            false => FaultKind::SeleniumResistive(part).variation(times),
        };
        let set = couple(&model, &BenchConditions::default(), &variation, &[]);
        volts(&model, &set.expect("settled"), "raw")
    };
    let new = raw("5 plates 350 mA", 1.0);
    let aged = raw("5 plates 350 mA", 6.0);
    let many = raw("30 plates 350 mA", 1.0);
    assert!(new - aged > 12.0, "{new} {aged}");
    assert!(
        (aged - many).abs() < 0.25 * (new - many),
        "{new} {aged} {many}"
    );
}

/// Two sets alike but for a resistor from B+ to the chassis: with it and without, what healthy sets read cold is known, and a
/// short at the screen shows.
#[test]
fn cold_ohms_are_known_without_a_bleeder() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    for bleeder in ["", r#"["R9", "resistor", "22k", "B+", "chassis"],"#] {
        let text = format!(
            r#"sheet = 1
name = "Screen study"
line_volts = 117
line_hertz = 60
tubes = [["V1", "6SJ7", "first audio"], ["V2", "5Y3-GT", "rectifier"]]
windings = [
  ["T1", "primary", "117 V", "line a", "line b"],
  ["T1", "plates 1", "330 V 90 ohm", "V2.4", "chassis"],
  ["T1", "plates 2", "330 V 95 ohm", "chassis", "V2.6"],
  ["T1", "rectifier", "5.1 V", "V2.2", "V2.8"],
  ["T1", "heaters", "6.4 V", "V1.2", "V1.7"],
]
parts = [
  ["C1", "electrolytic", "16 mfd 450 V", "V2.8", "chassis"],
  ["L1", "choke", "6 H 210 ohm", "V2.8", "B+"],
  ["C2", "electrolytic", "16 mfd 450 V", "B+", "chassis"],
  ["R3", "resistor", "2.2k", "V1.5", "chassis"],
  ["R4", "resistor", "1 meg", "B+", "V1.6"],
  ["C3", "paper", ".05 mfd 400 V", "V1.6", "chassis"],
  ["R5", "resistor", "270k", "B+", "V1.8"],
  ["R6", "resistor", "470k", "V1.4", "chassis"],
  {bleeder}
]
"#
        );
        let sheet = read(&text);
        let model = SetModel::new(&sheet, catalogue);
        let hypotheses = Hypotheses::of(&model, catalogue);
        let conditions = BenchConditions::default();
        let told = foretell_cold(&model, &hypotheses, &conditions, &ohms_probes(&model));
        let told = told.expect("a solution");
        for place in ["V1.6", "V1.8", "B+"] {
            let at = told.probes.iter().position(|own| own.at == place);
            let at = at.expect("a place");
            assert!(told.healthy[at].is_some(), "{place} {bleeder}");
            let drawn = told.drawn[at].as_ref().expect("drawn");
            assert!(drawn.iter().all(|own| own.is_finite() && *own > 0.0));
        }
    }
}

/// A rectifier's type in the damper's socket is a damper: the boosted line stands as with the damper's own type.
#[test]
fn a_rectifier_that_works_as_a_damper_lifts_the_line() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let usual = sheet(LARKFIELD);
    let usual = SetModel::new(&usual, catalogue);
    let text = LARKFIELD
        .replace(r#""6W4-GT",  "damper""#, r#""5V4-G",  "damper""#)
        .replace(r#""V18.5""#, r#""V18.4""#)
        .replace(r#""V18.3""#, r#""V18.8""#)
        .replace(
            r#"["T1", "heaters 2", "6.6 V 0.05 ohm",                  "damper heater", "B+ main"]"#,
            r#"["T1", "heaters 2", "5.2 V 0.05 ohm",                  "V18.2", "V18.8"]"#,
        )
        .replace(
            r#"{ from = "damper heater", to = "B+ main", parallel = ["V18"] },"#,
            "",
        );
    let other = receiver::sheet::read_sheet(&text, catalogue);
    let told = |notices: &[receiver::sheet::Notice]| {
        let mut own = notices.iter();
        own.any(|own| own.text.contains("its plates count as one"))
    };
    assert!(told(&other.notices), "{:?}", other.notices);
    // Where the job names a rectifier it is one.
    let supply = text.replace(
        r#""5V4-G",  "damper""#,
        r#""5V4-G",  "rectifier and damper""#,
    );
    assert!(!told(
        &receiver::sheet::read_sheet(&supply, catalogue).notices
    ));
    let Some(other) = other.sheet else {
        panic!("{:?}", other.faults);
    };
    let other = SetModel::new(&other, catalogue);
    let boost = |model: &SetModel<'_>| {
        let set = couple(model, &nominal(), &Variation::none(), &[]).expect("settled");
        (volts(model, &set, "boost"), volts(model, &set, "B+ 275"))
    };
    let (usual, other) = (boost(&usual), boost(&other));
    assert!(usual.0 > usual.1 + 50.0, "{usual:?}");
    assert!(
        (other.0 - usual.0).abs() < 0.05 * usual.0,
        "{usual:?} {other:?}"
    );
}

/// With a tenth of its emission, x = 0.8 of what it needs where healthy ones have eight times that, a cathode gives x / sqrt(1 + x^2) of
/// its need, 0.625, and 0.630 of its usual current 8 / sqrt(65); the patches that wear has killed leave (0.1 / 0.75)^0.4 = 0.447 of that, together
/// 0.281 (closed forms of the laws in `circuit::thermal`). The boosted line falls with that, and less is drawn from B+. With half of its
/// emission four times its need is left, and 0.850 of its currents.
#[test]
fn a_worn_output_or_damper_leaves_the_boosted_line_low() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    let healthy = couple(&model, &nominal(), &Variation::none(), &[]).expect("settled");
    let lift = |set: &WholeSet| volts(&model, set, "boost") - volts(&model, set, "sweep feed");
    let probes: Vec<_> = receiver::probes::all_probes(&model, None)
        .into_iter()
        .filter(|own| own.at == "boost" || own.at == "sweep feed")
        .filter(|own| own.what == receiver::reading::What::DcVolts)
        .collect();
    assert_eq!(probes.len(), 2);
    for tube in ["V17", "V18"] {
        let kind = FaultKind::Emission {
            tube: model.tube_index(tube).expect("a tube"),
            rectifies: false,
        };
        let worn = [kind.variation(0.1), kind.variation(0.5)];
        let set = couple(&model, &nominal(), &worn[0], &[]).expect("settled");
        let share = lift(&set) / lift(&healthy);
        assert!((share - 0.281).abs() < 0.03, "{tube}: {share}");
        // From the healthy set the same.
        let near = faulty_readings(&model, &nominal(), &healthy, &probes, &worn);
        let told = |severity: usize, place: &str| {
            let at = probes.iter().position(|own| own.at == place);
            near.values[severity].as_ref().expect("solved")[at.expect("a place")].expect("told")
        };
        let near_lift = |severity| told(severity, "boost") - told(severity, "sweep feed");
        assert!((near_lift(0) / lift(&set) - 1.0).abs() < 0.02, "{tube}");
        let half = near_lift(1) / lift(&healthy);
        assert!((half - 0.98 * 0.85).abs() < 0.03, "{tube}: {half}");
    }
}

/// With one half of its plate winding open a full-wave supply is a half-wave one: as that of a sheet on which this half was never
/// wound (the second method). Common practice: B+ low, twice the ripple and more.
#[test]
fn an_open_half_of_the_plate_winding_leaves_a_half_wave_supply() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sound = sheet(LARKFIELD);
    let model = SetModel::new(&sound, catalogue);
    let half = sound.windings.iter().position(|own| own.name == "plates 2");
    let fault = FaultKind::WindingOpen(half.expect("a winding")).variation(1.0);
    let open = couple(&model, &nominal(), &fault, &[]).expect("settled");
    let healthy = couple(&model, &nominal(), &Variation::none(), &[]).expect("settled");
    let rows = LARKFIELD.lines();
    let without: Vec<&str> = rows.filter(|row| !row.contains("\"plates 2\"")).collect();
    let never = read(&without.join("\n"));
    let other = SetModel::new(&never, catalogue);
    let never = couple(&other, &nominal(), &Variation::none(), &[]).expect("settled");
    for place in ["V14.8", "B+ main", "B+ 275", "B+ 140"] {
        let (open, never) = (volts(&model, &open, place), volts(&other, &never, place));
        assert!((open / never - 1.0).abs() < 0.01, "{place}: {open} {never}");
        let healthy = volts(&model, &healthy, place);
        assert!(open < 0.95 * healthy, "{place}: {open} of {healthy}");
    }
    // Nothing lifts the plate that idles: it stands with its winding's other end, or somewhat below by what its tube still rectifies,
    // far from the cathode's hundreds of volts (common practice: an idle plate shows next to nothing).
    let (idle, centre) = (
        volts(&model, &open, "V14.6"),
        volts(&model, &open, "B minus"),
    );
    assert!(
        (centre - 60.0..=centre + 5.0).contains(&idle),
        "{idle} {centre}"
    );
    // It is among what may be wrong, with the open primary, and at no other winding.
    let hypotheses = Hypotheses::of(&model, catalogue);
    let windings: Vec<&str> = hypotheses
        .list
        .iter()
        .filter_map(|own| match own.kind {
            FaultKind::WindingOpen(winding) => Some(sound.windings[winding].name.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(windings, ["primary", "plates 1", "plates 2"]);
}
