//! The whole main job once, on the invented example set that is built in.
//!
//! The sheet is the file in `examples/`, held in the program so that the demo
//! needs nothing beside it. Fails only where one of its tasks fails.

use receiver::conditions::BenchConditions;
use receiver::expect::Predictor;
use receiver::wiring::SetModel;
use serde::Serialize;

use crate::asked_of_receiver::expect_and_foresee;
use crate::check_sheet::{catalogue, check_sheet_of, powered_sheet};
use crate::cold_ohms::cold_ohms_of;
use crate::demo_restoration::demo_restoration;
use crate::expect_readings::expectation;
use crate::lay_chart;
use crate::plan_first_power_up::{PowerUp, plan_first_power_up_of};
use crate::read_sheet_file::SheetFile;
use crate::trouble::Trouble;
use crate::view::{ChartView, CheckView, ConditionsView, ExpectationView, PlanView, RecordedView};

/// Where the example is found in the project.
pub const EXAMPLE_NAME: &str = "examples/whole/larkfield_12t.toml";

/// The example sheet, a 12-inch transformer set that never existed.
pub const EXAMPLE_SHEET: &str = include_str!("../../../examples/whole/larkfield_12t.toml");

/// Everything the demo shows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Demo {
    /// The sheet, line by line as it is written.
    pub sheet: String,
    /// What it says and lacks.
    pub check: CheckView,
    /// The maker's chart beside the sheet.
    pub chart: ChartView,
    /// What an ohmmeter should show, plug out.
    pub ohms: ExpectationView,
    /// What a meter should show, settled at the sheet's line.
    pub expect: ExpectationView,
    /// Readings entered into a restoration, each with its verdict.
    pub readings: Vec<RecordedView>,
    /// The first power-up.
    pub wake: PlanView,
    /// What to do next, one sentence each.
    pub next: Vec<String>,
}

/// Does the whole job once; plan, chart and readings are worked out side by side.
pub fn tell_demo() -> Result<Demo, Trouble> {
    let file = SheetFile::in_memory(EXAMPLE_NAME, EXAMPLE_SHEET);
    let conditions = BenchConditions {
        bands: true,
        ..BenchConditions::default()
    };
    let (chart, rest) = std::thread::scope(|scope| {
        let chart = scope.spawn(|| lay_chart(&file, &mut |_| true));
        let rest = on_one_model(&file, &conditions);
        (joined(chart), rest)
    });
    let (chart, found) = (chart?, rest?);
    Ok(Demo {
        sheet: EXAMPLE_SHEET.to_owned(),
        check: found.check,
        chart,
        ohms: found.ohms,
        expect: found.expect,
        readings: found.readings,
        wake: found.wake.view,
        next: NEXT.iter().map(|sentence| (*sentence).to_owned()).collect(),
    })
}

/// What needs the set as it is.
struct OnOneModel {
    check: CheckView,
    ohms: ExpectationView,
    expect: ExpectationView,
    readings: Vec<RecordedView>,
    wake: PowerUp,
}

/// Check, cold resistances, readings and plan.
fn on_one_model(file: &SheetFile, conditions: &BenchConditions) -> Result<OnOneModel, Trouble> {
    let (sheet, notices) = powered_sheet(file)?;
    let model = SetModel::new(&sheet, catalogue()?);
    let predictor = &Predictor::new(&model);
    let own = notices.clone();
    let (wake, rest) = std::thread::scope(|scope| {
        let wake = scope.spawn(|| plan_first_power_up_of(predictor, own, &mut |_| {}));
        let rest = || {
            let check = check_sheet_of(predictor, notices.clone())?;
            let ohms = cold_ohms_of(&model, notices.clone(), None, &[])?;
            let view = ConditionsView::of(conditions, sheet.line_volts, true);
            let (answer, foresight) = expect_and_foresee(predictor, conditions)?;
            let expect = expectation(view, answer, notices);
            let readings = demo_restoration(&foresight)?;
            Ok((check, ohms, expect, readings))
        };
        let rest = rest();
        (joined(wake), rest)
    });
    let (check, ohms, expect, readings) = rest?;
    Ok(OnOneModel {
        check,
        ohms,
        expect,
        readings,
        wake: wake?,
    })
}

fn joined<T>(thread: std::thread::ScopedJoinHandle<'_, T>) -> T {
    match thread.join() {
        Ok(found) => found,
        Err(panic) => std::panic::resume_unwind(panic),
    }
}

const NEXT: &[&str] = &[
    "Copy examples/larkfield_12t.toml, and write your own set's tubes and power supply into it.",
    "Run `firstraster check` on it until nothing is at fault.",
    "Add stage after stage (`firstraster stage` asks for the values) and the maker's chart, as in examples/whole: `firstraster chart` finds your slips of the pen.",
    "With the plug out and every capacitor proved empty, compare `firstraster ohms` with your ohmmeter.",
    "Begin a file of your restoration with `firstraster start`; enter what you see, read, test and replace.",
    "Then go through `firstraster power` step by step at the bench, and stop where it says so.",
    "Before money goes in, ask `firstraster worth`; `firstraster renew` tells what to replace and with what, before the power-up and after it.",
    "Where it runs and something is wrong, tell `firstraster suspects` what you read, see and hear, and ask it what to measure next.",
    "Everything can be done on a phone beside the chassis: `firstraster bench` with the file, and `--home` for the phone.",
    "At the end `firstraster prove` goes through what makes it safe, and `firstraster hand-on` writes the report for the next owner.",
];
