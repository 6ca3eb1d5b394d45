//! The bench method of a type and what was read by it, as they are shown.
//!
//! Volts, ohms, microamperes. Fails only for faults of the program's own tables.

use parts::{Catalogue, TubeType};
use quantity::Volts;
use receiver::picture_tube::bench_method::{Cathode, NoMethod, bench_method};
use receiver::picture_tube::judge_tube::{TubeJudgement, against};

use super::assemble::{act, against_word};
use super::drive::MICRO;
use crate::trouble::Trouble;
use crate::view::{
    BandView, BenchMethodView, BenchReadingView, FindingView, WireView, six_figures,
};

pub(super) fn bench_view(
    tube: &TubeType,
    source: f64,
    judged: Option<&TubeJudgement>,
    catalogue: &Catalogue,
) -> Result<BenchMethodView, Trouble> {
    let readings = judged
        .iter()
        .flat_map(|judged| &judged.bench)
        .map(|(reading, band)| {
            let band = band.as_ref().ok();
            let found = band.map(|band| against(reading.at_once.0, band));
            BenchReadingView {
                second_grid_volts: reading.second_grid.0,
                microamperes: six_figures(reading.at_once.0 * MICRO),
                microamperes_later: six_figures(reading.later.0 * MICRO),
                band: band.map(|band| BandView::new(band, MICRO)),
                verdict: found.map_or("says_nothing", against_word),
            }
        })
        .collect();
    let mut view = BenchMethodView {
        unknown: None,
        source_volts: source,
        resistor_ohms: None,
        most_microamperes: None,
        wires: Vec::new(),
        acts: Vec::new(),
        expected_microamperes: None,
        at_half_microamperes: None,
        current_unknown: None,
        readings,
        cathode: judged
            .and_then(|judged| judged.cathode.as_ref())
            .map(cathode_finding),
    };
    match bench_method(tube, Volts(source), catalogue) {
        Ok(method) => {
            view.resistor_ohms = Some(six_figures(method.resistor.0));
            view.most_microamperes = Some(six_figures(method.most.0 * MICRO));
            view.acts = method.acts.iter().map(act).collect();
            view.wires = method
                .wires
                .iter()
                .map(|wire| WireView {
                    from: wire.from.clone(),
                    to: wire.to.clone(),
                    through: wire.through.clone(),
                })
                .collect();
            match (&method.expected, &method.at_half) {
                (Ok(whole), Ok(half)) => {
                    view.expected_microamperes = Some(BandView::new(whole, MICRO));
                    view.at_half_microamperes = Some(BandView::new(half, MICRO));
                }
                (Err(unknown), _) | (_, Err(unknown)) => {
                    view.current_unknown = Some(unknown.to_string());
                }
            }
        }
        Err(NoMethod::Table(fault)) => return Err(Trouble::ours(fault.to_string())),
        Err(other) => view.unknown = Some(other.to_string()),
    }
    Ok(view)
}

fn cathode_finding(cathode: &Cathode) -> FindingView {
    let (kind, text) = match cathode {
        Cathode::FollowsTheLaw => (
            "follows_the_law",
            "the current follows the second grid and does not sag: the cathode has emission to spare".to_owned(),
        ),
        Cathode::Tired(text) => ("tired", text.clone()),
        Cathode::Spent(text) => ("spent", text.clone()),
        Cathode::CannotTell(text) => ("cannot_tell", text.clone()),
    };
    FindingView { kind, text }
}
