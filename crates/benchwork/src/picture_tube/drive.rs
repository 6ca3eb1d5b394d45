//! Cut-off, drive and brightness of a type, and cut-off readings held against it.
//!
//! Volts, microamperes. Which volts the second grid has comes from what was asked, from a
//! reading in the set, or is the type's usual figure, and is said. Unknown is told with the reason.

use parts::{Catalogue, TubeType};
use quantity::Volts;
use receiver::picture_tube::drive::{
    CutoffFinding, Drive, DriveLaw, DriveUnknown, PERVEANCE, brightest, cathode_current,
    current_band, cutoff_by_cathode, cutoff_spread,
};
use receiver::picture_tube::judge_tube::{CutOffReading, TubeJudgement};
use receiver::picture_tube::set_range::{RangeEnd, SetRange};

use crate::view::{
    BandView, BrightnessView, CutOffView, DriveView, LawPointView, RangeEndView, SetRangeView,
    six_figures,
};

/// Microamperes in an ampere.
pub(super) const MICRO: f64 = 1e6;
/// Places between zero bias and cut-off for which the laws are laid side by side.
const PLACES: usize = 31;

/// Everything about the drive.
pub(super) fn drive_view(
    tube: &TubeType,
    second_grid: Option<(f64, String)>,
    drives: &[f64],
    (facts, judged): (&[CutOffReading], Option<&TubeJudgement>),
    catalogue: &Catalogue,
) -> DriveView {
    let picture = tube.picture.as_ref();
    let usual = picture.and_then(|picture| picture.grid2_typical_volts);
    let told = second_grid.or_else(|| Some((usual?, "the type's usual volts".to_owned())));
    let mut view = DriveView {
        second_grid_volts: told.as_ref().map(|(volts, _)| *volts),
        second_grid_from: told
            .as_ref()
            .map(|(_, from)| from.clone())
            .unwrap_or_default(),
        cut_off_by_grid: None,
        cut_off_by_cathode: None,
        standing: None,
        source: None,
        unknown: None,
        zero_bias_microamperes: None,
        laws: Vec::new(),
        brightness: Vec::new(),
        readings: facts.iter().map(|one| reading_view(one, judged)).collect(),
        set_range: None,
        set_range_unknown: None,
    };
    let Some((volts, _)) = told else {
        view.unknown = Some(DriveUnknown::NoCutoff(tube.name.clone()).to_string());
        return view;
    };
    if let Err(unknown) = fill(&mut view, tube, Volts(volts), drives, catalogue) {
        view.unknown = Some(unknown.to_string());
    }
    view
}

fn fill(
    view: &mut DriveView,
    tube: &TubeType,
    second_grid: Volts,
    drives: &[f64],
    catalogue: &Catalogue,
) -> Result<(), DriveUnknown> {
    let spread = cutoff_spread(tube, second_grid)?;
    let ends = [spread.nearest, spread.farthest];
    view.cut_off_by_grid = Some(ends.map(|cutoff| six_figures(cutoff.0)));
    view.cut_off_by_cathode =
        Some(ends.map(|cutoff| six_figures(cutoff_by_cathode(cutoff, second_grid).0)));
    view.standing = Some(spread.standing.to_string());
    view.source = Some(spread.source.clone());
    let zero = current_band(tube, Drive::Grid, second_grid, Volts(0.0))?;
    view.zero_bias_microamperes = Some(BandView::new(&zero, MICRO));
    let middle = spread.middle();
    for place in 0..PLACES {
        let bias = Volts(spread.farthest.0 * place as f64 / (PLACES - 1) as f64);
        let by = |law| {
            let [_, usual, _] = PERVEANCE;
            let current = cathode_current(law, Drive::Grid, middle, second_grid, bias, usual);
            six_figures(current.0 * MICRO)
        };
        let band = current_band(tube, Drive::Grid, second_grid, bias)?;
        view.laws.push(LawPointView {
            bias_volts: six_figures(bias.0),
            microamperes: DriveLaw::ALL.map(by).to_vec(),
            band: BandView::new(&band, MICRO),
        });
    }
    for drive in drives {
        let by_grid = brightest(tube, Drive::Grid, second_grid, Volts(*drive))?;
        let by_cathode = brightest(tube, Drive::Cathode, second_grid, Volts(*drive))?;
        let text = brightness_in_words(by_grid.expected, catalogue);
        view.brightness.push(BrightnessView {
            drive_volts: *drive,
            by_grid: BandView::new(&by_grid, MICRO),
            by_cathode: BandView::new(&by_cathode, MICRO),
            text,
        });
    }
    Ok(())
}

/// A highlight's current against the usual ones (`data/trade_numbers.csv`, "beam current average"
/// and "beam current peak", from memory).
fn brightness_in_words(amperes: f64, catalogue: &Catalogue) -> String {
    let usual = |name: &str| catalogue.trade_number(name).map(|own| own.low * 1e-3);
    match (usual("beam current average"), usual("beam current peak")) {
        (Some(average), _) if amperes < average => "highlights darker than a usual picture",
        (_, Some(peak)) if amperes < peak => "a picture for a dim room",
        (Some(_), Some(_)) => "full brightness",
        _ => "",
    }
    .to_owned()
}

fn reading_view(one: &CutOffReading, judged: Option<&TubeJudgement>) -> CutOffView {
    let found = judged.and_then(|judged| judged.cut_offs.iter().find(|(own, _)| own == one));
    let (verdict, text) = match found.map(|(_, found)| found) {
        Some(Ok(CutoffFinding::Inside)) => ("inside", "as the type should".to_owned()),
        Some(Ok(CutoffFinding::Low)) => (
            "low",
            "nearer than the type's: second-grid volts low, or a weak tube".to_owned(),
        ),
        Some(Ok(CutoffFinding::High)) => (
            "high",
            "farther than the type's: second-grid volts high, or another type".to_owned(),
        ),
        Some(Err(unknown)) => ("says_nothing", unknown.to_string()),
        None => (
            "says_nothing",
            match (one.grid, one.reached) {
                (None, Some(true)) => "the beam goes out; by how many volts was not read",
                (_, Some(false)) => {
                    "the beam does not go out: measure grid and cathode volts, and leakage to the grid"
                }
                _ => "the second grid's volts were not read with it",
            }
            .to_owned(),
        ),
    };
    CutOffView {
        grid_volts: one.grid.map(|volts| volts.0),
        second_grid_volts: one.second_grid.map(|volts| volts.0),
        reached: one.reached,
        verdict,
        text,
    }
}

/// What the set does to the tube, with what the type makes of it.
pub(super) fn range_view(tube: &TubeType, range: &SetRange, usual: Option<f64>) -> SetRangeView {
    let end = |end: &RangeEnd, is_dark: bool| {
        let second_grid = end.second_grid.map(|volts| volts.0).or(usual);
        let spread = second_grid.and_then(|volts| cutoff_spread(tube, Volts(volts)).ok());
        let band = second_grid
            .and_then(|volts| current_band(tube, Drive::Grid, Volts(volts), end.bias).ok());
        let bias = end.bias.0;
        let text = match (&spread, is_dark) {
            (None, _) => "what the type makes of it is not known",
            (Some(spread), true) if bias >= spread.farthest.0 => {
                "every healthy tube of the type is cut off"
            }
            (Some(spread), true) if bias > spread.nearest.0 => {
                "some tubes of the type are cut off, others stay lit"
            }
            (Some(_), true) => "no tube of the type is cut off: look at the sheet and the control",
            (Some(spread), false) if bias >= spread.farthest.0 => {
                "every tube of the type stays dark without a picture"
            }
            (Some(spread), false) if bias > spread.nearest.0 => {
                "some tubes of the type stay dark without a picture"
            }
            (Some(_), false) => "every healthy tube of the type lights up",
        };
        RangeEndView {
            bias_volts: six_figures(bias),
            second_grid_volts: end.second_grid.map(|volts| six_figures(volts.0)),
            microamperes: band.map(|band| BandView::new(&band, MICRO)),
            text: text.to_owned(),
        }
    };
    SetRangeView {
        control: range.control.clone(),
        dark: end(&range.dark, true),
        bright: end(&range.bright, false),
    }
}
