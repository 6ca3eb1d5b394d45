//! Selenium to silicon, told as a view.
//!
//! Units of the view. Fails as [`super`] says; a set with neither selenium nor a rectifier tube gives empty lists.

use std::path::Path;

use receiver::expect::Predictor;
use receiver::hazard::{USUAL_STORED_CHARGE, USUAL_WHILE_ENERGISED};
use receiver::renew::burden::Worst;
use receiver::renew::instead_of_tube::{TubeAgainstSilicon, tubes_against_silicon};
use receiver::renew::silicon::{SiliconPlan, line_of_today, silicon_plans};

use super::set::with_set;
use crate::asked_of_receiver::sorted;
use crate::check_sheet::catalogue;
use crate::long_work::LongWork;
use crate::trouble::Trouble;
use crate::view::{
    ExceededView, RectifierResistorView, RunView, SeleniumGroupView, SiliconView, TubeAgainstView,
    six_figures,
};
use crate::{FORMAT, PROGRAM_VERSION};

/// Lines between which such a plan is made, volts.
const LINES: (f64, f64) = (80.0, 280.0);

/// Tells what becomes of selenium at this line, or at that of today; of rectifier tubes what silicon in their place
/// would do.
pub fn tell_silicon(
    file: &Path,
    line_volts: Option<f64>,
    work: LongWork<'_>,
) -> Result<SiliconView, Trouble> {
    if let Some(line) = line_volts
        && !(LINES.0..=LINES.1).contains(&line)
    {
        return Err(Trouble::input(
            format!("a line of {line} V: expected {} to {} V", LINES.0, LINES.1),
            "give what a meter shows at the outlet",
        ));
    }
    with_set(file, work, |set| {
        let model = set.model;
        let catalogue = catalogue()?;
        let measured = model.sheet.bench.as_ref().and_then(|own| own.line_volts);
        let (line, line_from) = match (line_volts, measured) {
            (Some(line), _) => (line, "as asked"),
            (None, Some(line)) => (line, "as measured at the outlet"),
            (None, None) => (
                line_of_today(model, catalogue),
                "usual today (common practice); measure yours and give it with --line",
            ),
        };
        work.comes_to("Solving the supply with silicon in it")?;
        let predictor = Predictor::new(model);
        let groups = silicon_plans(&predictor, catalogue, line).map_err(sorted)?;
        let tubes = tubes_against_silicon(&predictor, catalogue).map_err(sorted)?;
        let cautions = [USUAL_WHILE_ENERGISED, USUAL_STORED_CHARGE].concat();
        let mut cautions: Vec<String> = cautions.iter().map(|own| (*own).to_owned()).collect();
        if !groups.is_empty() {
            cautions.push(
                "Burning selenium gives poisonous smoke that stinks: plug out, windows open, leave the room. The old stack goes to the waste that local rules name."
                    .to_owned(),
            );
        }
        Ok(SiliconView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            file: file.display().to_string(),
            set: model.sheet.name.clone(),
            line_volts: six_figures(line),
            line_from: line_from.to_owned(),
            groups: groups.iter().map(group_view).collect(),
            tubes: tubes.iter().map(tube_view).collect(),
            cautions,
        })
    })
}

fn group_view(own: &SiliconPlan) -> SeleniumGroupView {
    let diode = own.diode.as_ref();
    let seen = |worst: &Option<Worst>| worst.as_ref().map(|own| own.value);
    let mut bears = Vec::new();
    if let Some(diode) = diode {
        let burden = &own.burden;
        if let (Some(seen), Some(rated)) = (seen(&burden.inverse_volts), diode.max_inverse_volts) {
            bears.push(format!("{seen:.0} V in reverse; rated {rated:.0} V"));
        }
        if let (Some(seen), Some(rated)) = (seen(&burden.mean_amperes), diode.rated_milliamperes) {
            bears.push(format!(
                "{seen:.2} A on average; rated {:.1} A",
                rated / 1e3
            ));
        }
        if let Some(seen) = seen(&burden.peak_amperes) {
            bears.push(format!("{seen:.1} A at the top of every cycle"));
        }
        if let (Some(seen), Some(rated)) = (seen(&burden.surge_amperes), diode.surge_amperes) {
            bears.push(format!(
                "{seen:.1} A once at switch-on at the peak of the line; rated {rated:.0} A for half a cycle"
            ));
        }
    }
    SeleniumGroupView {
        parts: own.references.clone(),
        circuit: own.circuit.words(),
        place: own.place.clone(),
        wanted_volts: six_figures(own.wanted_volts),
        makers_line_volts: six_figures(own.makers_line),
        resistor: own.resistor.as_ref().map(|own| RectifierResistorView {
            each_ohms: six_figures(own.each_ohms),
            exact_ohms: six_figures(own.exact_ohms),
            each_watts: six_figures(own.each_watts),
            rated_watts: own.rated_watts,
            common_ohms: own.common.map(|own| six_figures(own.0)),
            common_watts: own.common.map(|own| six_figures(own.1)),
            rule_ohms: own.rule_ohms.map(six_figures),
        }),
        diode: diode.map_or_else(String::new, |own| own.name.clone()),
        bears,
        runs: own
            .runs
            .iter()
            .map(|own| RunView {
                name: own.name.clone(),
                line_volts: six_figures(own.line_volts),
                b_plus_volts: six_figures(own.b_plus),
                heaters_low_percent: own.heaters.map(|own| six_figures(100.0 * own.0)),
                heaters_high_percent: own.heaters.map(|own| six_figures(100.0 * own.1)),
                line_amps_rms: six_figures(own.line_amperes),
                surge_amps: own.surge_amperes.map(six_figures),
                remarks: own.remarks.clone(),
            })
            .collect(),
        notices: own.notices.clone(),
    }
}

fn tube_view(own: &TubeAgainstSilicon) -> TubeAgainstView {
    let more = own.settled.1 - own.settled.0;
    let says = if own.exceeded.is_empty() {
        format!(
            "{} stays: silicon would raise {} by {more:.0} V and bring it before any tube draws; nothing marked is exceeded, yet every tube and resistor runs hotter",
            own.tube, own.place
        )
    } else {
        let names: Vec<&str> = own.exceeded.iter().map(|own| &own.0[..]).collect();
        format!(
            "{} stays, silicon is not recommended here: it would raise {} by {more:.0} V, bring {:.0} V at once at switch-on, and put {} above the marking",
            own.tube,
            own.place,
            own.from_cold.1,
            names.join(", ")
        )
    };
    TubeAgainstView {
        tube: own.tube.clone(),
        place: own.place.clone(),
        line_volts: six_figures(own.line_volts),
        tube_volts: six_figures(own.settled.0),
        silicon_volts: six_figures(own.settled.1),
        tube_highest_volts: six_figures(own.from_cold.0),
        silicon_highest_volts: six_figures(own.from_cold.1),
        silicon_surge_amps: six_figures(own.surge.1),
        exceeded: own
            .exceeded
            .iter()
            .map(|(part, volts, marked)| ExceededView {
                part: part.clone(),
                volts: six_figures(*volts),
                marked_volts: *marked,
            })
            .collect(),
        says,
    }
}
