//! The energised steps: which come in which order, and what each is made of.
//!
//! Volts rms for the line, watts, seconds. The order follows from the set: the
//! transformer alone, the heaters without B+, B+ with the sweep feed open, up to
//! full line; a set without a transformer begins with its string. Every figure of a
//! step is solved for that step. A step that cannot be solved ends the plan there,
//! with the reason.

use circuit::Element;
use quantity::Band;

use crate::bands::as_read;
use crate::causes::causes;
use crate::conditions::BenchConditions;
use crate::expect::Predictor;
use crate::probes::{Probe, all_probes};
use crate::reading::{Notice, Reading, Unknown, What};
use crate::sheet::{HeaterArrangement, PartValue};
use crate::wiring::{Rectifying, SetModel, Variation};

use super::bench_facts::BenchFacts;
use super::faults::LikelyFault;
use super::lamp::{Reach, choose, heater_share, percent, words};
use super::limits::{StepLimits, Wanted, find_limits};
use super::ratings::{Strain, highest_line};
use super::watch::{NotSeen, Watch};
use super::{LampChoice, PlanWork};

/// What an energised step is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// The transformer with every tube out.
    TransformerAlone,
    /// Heaters with the rectifiers out.
    HeatersAlone,
    /// B+ with the sweep feed open.
    Supply,
}

/// An energised step before it is put into words.
#[derive(Debug, Clone)]
pub struct PoweredStep {
    /// What it is about.
    pub stage: Stage,
    /// How the set stands on the bench.
    pub conditions: BenchConditions,
    /// Why it exists, and why its lamp and line.
    pub because: String,
    /// The lamp, where one was chosen.
    pub lamp: Option<LampChoice>,
    /// What a healthy set shows.
    pub expect: Vec<Reading>,
    /// What cannot be told.
    pub unknown: Vec<Unknown>,
    /// Limits and what they tell.
    pub limits: StepLimits,
    /// Seconds until the readings are taken.
    pub wait_seconds: f64,
    /// Highest momentary volts to chassis at each junction.
    pub peaks: Vec<f64>,
    /// Volts to chassis at each junction that a capacitor there holds at most, with sign.
    pub peaks_signed: Vec<f64>,
    /// What is strained most.
    pub strains: Vec<Strain>,
    /// Share of rated heater volts.
    pub heater_share: Option<f64>,
}

/// All energised steps and what was found on the way.
#[derive(Debug, Clone, Default)]
pub struct PoweredSteps {
    /// The steps.
    pub steps: Vec<PoweredStep>,
    /// What was found.
    pub notices: Vec<Notice>,
    /// Plug, fuse or part that opens the sweep feed.
    pub sweep_opening: Option<String>,
    /// Highest line that spares every part, volts.
    pub highest_line: f64,
    /// Direct current that the set draws through an isolation transformer, amperes.
    pub direct_line_amperes: f64,
    /// Volt-amperes at full line.
    pub volt_amperes: f64,
}

/// What opens the sweep feed: the plug, fuse, switch or part without which the damper
/// and the horizontal output stage get nothing.
pub fn sweep_opening(model: &SetModel<'_>) -> Option<String> {
    let watched = sweep_junctions(model);
    if watched.is_empty() {
        return None;
    }
    let supplies = model.supply_places();
    let reaches = |without: usize| {
        let mut reached = supplies
            .iter()
            .copied()
            .filter(|junction| !watched.contains(junction))
            .collect::<Vec<_>>();
        let mut at = 0;
        while at < reached.len() {
            let here = reached[at];
            at += 1;
            for index in 0..model.sheet.parts.len() {
                if index == without || !passes_direct(model, index) {
                    continue;
                }
                let [Some(a), Some(b), _] = model.part_junctions(index) else {
                    continue;
                };
                for (one, other) in [(a, b), (b, a)] {
                    if one == here
                        && Some(other) != model.chassis_junction()
                        && !reached.contains(&other)
                    {
                        reached.push(other);
                    }
                }
            }
        }
        watched.iter().any(|junction| reached.contains(junction))
    };
    let rank = |value: &PartValue| match value {
        PartValue::Plug { .. } => Some(0),
        PartValue::Switch { .. } => Some(1),
        PartValue::Fuse { .. } => Some(2),
        PartValue::Coil { .. } | PartValue::Resistor { .. } => Some(3),
        _ => None,
    };
    let mut candidates: Vec<(usize, usize)> = model
        .sheet
        .parts
        .iter()
        .enumerate()
        .filter_map(|(index, part)| Some((rank(&part.value)?, index)))
        .collect();
    candidates.sort_unstable();
    candidates
        .into_iter()
        .find(|&(_, index)| {
            let on_line = model.part_junctions(index)[..2]
                .iter()
                .flatten()
                .any(|&end| model.alternates(end));
            !on_line && !reaches(index)
        })
        .map(|(_, index)| model.sheet.parts[index].reference.clone())
}

/// Plates of dampers: where the sweep stage takes its B+.
fn sweep_junctions(model: &SetModel<'_>) -> Vec<usize> {
    model
        .rectifying()
        .iter()
        .filter_map(|rectifying| match rectifying {
            Rectifying::Tube {
                anode,
                damper: true,
                ..
            } => Some(*anode),
            _ => None,
        })
        .collect()
}

fn passes_direct(model: &SetModel<'_>, index: usize) -> bool {
    match model.sheet.parts[index].value {
        PartValue::Plug { .. }
        | PartValue::Switch { .. }
        | PartValue::Fuse { .. }
        | PartValue::Coil { .. } => true,
        PartValue::Resistor { .. } => model.ohms(index).unwrap_or(0.0) < 20_000.0,
        _ => false,
    }
}

/// Works out the energised steps; each is handed to `ready` as soon as it stands.
pub fn powered_steps(
    predictor: &Predictor<'_, '_>,
    bench: &BenchFacts,
    faults: &[LikelyFault],
    work: &mut PlanWork,
    ready: &mut dyn FnMut(&PoweredStep),
) -> Result<PoweredSteps, NotSeen> {
    let model = predictor.model;
    let sheet = model.sheet;
    let rectifier_tubes: Vec<String> = tube_rectifiers(model);
    let metals: Vec<String> = model
        .rectifying()
        .iter()
        .filter_map(|rectifying| match rectifying {
            Rectifying::Metal { part } => Some(sheet.parts[*part].reference.clone()),
            Rectifying::Tube { .. } => None,
        })
        .collect();
    let string = model
        .heater_places()
        .iter()
        .any(|place| place.arrangement == HeaterArrangement::Series);
    let transformer = !model.transformer_firsts().is_empty();
    let heated: Vec<String> = sheet
        .tubes
        .iter()
        .enumerate()
        .filter(|(index, _)| {
            model
                .heater_places()
                .iter()
                .any(|place| place.tubes.contains(index))
        })
        .map(|(_, tube)| tube.reference.clone())
        .collect();
    let mut all = PoweredSteps {
        sweep_opening: super::situation::sweep_feed(model)
            .map(|part| sheet.parts[part].reference.clone()),
        ..PoweredSteps::default()
    };
    let open: Vec<String> = all.sweep_opening.iter().cloned().collect();
    let base = BenchConditions {
        source_ohms: bench.source_ohms,
        meter: bench.meter.clone(),
        bands: true,
        ..BenchConditions::default()
    };
    let supply_base = BenchConditions {
        open: open.clone(),
        ..base.clone()
    };
    // How far the line may be raised without harm to a healthy part.
    let today = model.todays_line();
    let (highest, top, runs) = highest_line(predictor, &supply_base, today)?;
    work.warm_up_runs += runs;
    all.highest_line = highest;
    let full = sheet.line_volts.min(highest);
    if highest < today {
        let worst = over_their_limit(&top);
        all.notices.push(Notice {
            text: format!("On a line of {today:.0} V the healthy set goes beyond its ratings: {worst}. The plan ends at {full:.0} V."),
            hint: "remedies: a lower line by a bucking or variable transformer, parts of a higher rating, or a slower rectifier".to_string(),
        });
    }
    all.notices.extend(what_open_plugs_do(
        predictor,
        &supply_base,
        sheet.line_volts.min(highest),
        work,
    )?);
    let mut settings: Vec<(Stage, BenchConditions, Option<Reach>)> = Vec::new();
    let at = |conditions: &BenchConditions, line: f64| BenchConditions {
        line_volts: Some(line),
        ..conditions.clone()
    };
    if transformer && !string {
        let conditions = BenchConditions {
            pulled: heated.clone(),
            fitted_without: metals.clone(),
            open: open.clone(),
            ..base.clone()
        };
        settings.push((
            Stage::TransformerAlone,
            at(&conditions, full),
            Some(Reach::Windings(0.8)),
        ));
    }
    if !heated.is_empty() {
        let conditions = BenchConditions {
            pulled: rectifier_tubes.clone(),
            fitted_without: metals.clone(),
            open: open.clone(),
            ..base.clone()
        };
        settings.push((
            Stage::HeatersAlone,
            at(&conditions, full),
            Some(Reach::Heaters(0.4)),
        ));
        settings.push((Stage::HeatersAlone, at(&conditions, full), None));
    }
    if !model.supply_places().is_empty() {
        let alone = one_rectifier_at_a_time(model, &supply_base);
        if rectifier_tubes.len() > 1 && alone.is_empty() {
            all.notices.push(Notice {
                text: format!(
                    "{} are waked together: with one of them out, the sheet does not show that every tube is fed rightly",
                    rectifier_tubes.join(" and ")
                ),
                hint: "put plates, screens and grids of the output tubes on the sheet".to_string(),
            });
        }
        for pulled in alone {
            let conditions = BenchConditions {
                pulled,
                ..supply_base.clone()
            };
            settings.push((
                Stage::Supply,
                at(&conditions, full),
                Some(Reach::Supply(0.4)),
            ));
        }
        settings.push((
            Stage::Supply,
            at(&supply_base, full),
            Some(Reach::Supply(0.4)),
        ));
        if bench.variable {
            for share in [0.6, 0.8] {
                settings.push((
                    Stage::Supply,
                    at(&supply_base, (share * full / 5.0).round() * 5.0),
                    None,
                ));
            }
        } else if let Some(strongest) = super::lamp::combinations(&bench.lamps).last() {
            settings.push((
                Stage::Supply,
                BenchConditions {
                    lamps: strongest.clone(),
                    ..at(&supply_base, full)
                },
                None,
            ));
        }
        settings.push((Stage::Supply, at(&supply_base, full), None));
    } else {
        all.notices.push(Notice {
            text: "the sheet shows no rectifier and no B+ line, so the plan ends with the heaters"
                .to_string(),
            hint: "add the rectifier, the filter and the B+ lines to the sheet".to_string(),
        });
    }
    for (stage, mut conditions, reach) in settings {
        let lamp = match reach {
            Some(reach) => {
                let choice = choose(predictor, &conditions, &bench.lamps, faults, reach, work);
                if let Some(choice) = &choice {
                    conditions.lamps.clone_from(&choice.watts);
                }
                choice
            }
            None => None,
        };
        if stage != Stage::Supply {
            // With tubes out the windings stand higher: the line is lowered where that is too much.
            let wanted = conditions.line_volts.unwrap_or(full);
            let (spared, strained, runs) = highest_line(predictor, &conditions, wanted)?;
            work.warm_up_runs += runs;
            if spared < wanted {
                all.notices.push(Notice {
                    text: format!(
                        "A step is held at {spared:.0} V instead of {wanted:.0} V: {}.",
                        over_their_limit(&strained)
                    ),
                    hint: "with tubes out a winding stands higher than in the working set"
                        .to_string(),
                });
                conditions.line_volts = Some(spared);
            }
        }
        let step = one_step(predictor, stage, conditions, lamp, faults, work)?;
        ready(&step);
        all.steps.push(step);
    }
    line_draw(predictor, &at(&supply_base, full), &mut all)?;
    Ok(all)
}

/// What the healthy set does at full line with one of its other plugs out: a speaker or
/// focus plug that is not home takes the load away. The plan never opens these; it
/// tells which of them must not be open.
fn what_open_plugs_do(
    predictor: &Predictor<'_, '_>,
    base: &BenchConditions,
    line: f64,
    work: &mut PlanWork,
) -> Result<Vec<Notice>, NotSeen> {
    let mut notices = Vec::new();
    for plug in super::powered_words::supply_plugs(predictor.model, base) {
        let mut conditions = BenchConditions {
            line_volts: Some(line),
            ..base.clone()
        };
        conditions.open.push(plug.clone());
        let strained = super::ratings::strains(predictor, &conditions)?;
        work.warm_up_runs += 1;
        let over = over_their_limit(&strained);
        if !over.is_empty() {
            notices.push(Notice {
                text: format!(
                    "With {plug} out at {line:.0} V the set goes beyond its ratings: {over}."
                ),
                hint: format!(
                    "switch on only with {plug} home; pull the plug of the set before you open it"
                ),
            });
        }
    }
    Ok(notices)
}

/// With several rectifier tubes, each alone first: the tubes to pull for each of these
/// steps. A step that would leave a tube fed wrongly is no step.
fn one_rectifier_at_a_time(model: &SetModel<'_>, base: &BenchConditions) -> Vec<Vec<String>> {
    let tubes = model.rectifier_tubes();
    if tubes.len() < 2 {
        return Vec::new();
    }
    let mut found = Vec::new();
    for &kept in &tubes {
        let others: Vec<usize> = tubes.iter().copied().filter(|&tube| tube != kept).collect();
        let pulled: Vec<String> = others
            .iter()
            .map(|&tube| model.sheet.tubes[tube].reference.clone())
            .collect();
        let conditions = BenchConditions {
            pulled: pulled.clone(),
            ..base.clone()
        };
        let harmless = others.iter().all(|&tube| {
            super::situation::absence(model, tube, &conditions) == crate::hazard::Absence::HARMLESS
        });
        if harmless {
            found.push(pulled);
        }
    }
    found
}

/// The parts beyond their limit, in words.
fn over_their_limit(strains: &[Strain]) -> String {
    strains
        .iter()
        .filter(|strain| strain.share > 1.0)
        .map(Strain::words)
        .collect::<Vec<_>>()
        .join("; ")
}

/// Rectifier tubes of the supply, by reference.
pub fn tube_rectifiers(model: &SetModel<'_>) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for rectifying in model.rectifying() {
        if let Rectifying::Tube {
            tube,
            damper: false,
            ..
        } = rectifying
        {
            let reference = &model.sheet.tubes[*tube].reference;
            if !found.contains(reference) {
                found.push(reference.clone());
            }
        }
    }
    found
}

/// What the set draws at full line: volt-amperes, and direct current of half-wave sets.
fn line_draw(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
    all: &mut PoweredSteps,
) -> Result<(), NotSeen> {
    let wired = predictor.model.wire(conditions, &Variation::none())?;
    let solver = circuit::Solver::new(&wired.circuit, circuit::SolverOptions::default())?;
    let start = if predictor.model.has_thermistor() {
        circuit::Start::Cold
    } else {
        circuit::Start::Warm
    };
    let settled = solver.settled(start)?;
    if let Some(line) = wired.line
        && matches!(
            wired.circuit.elements.get(line),
            Some(Element::Source { .. })
        )
    {
        let current = settled.record.amperes(line);
        all.direct_line_amperes = current.mean().abs();
        all.volt_amperes = current.rms() * wired.line_volts;
    }
    Ok(())
}

/// Moments at which the warm-up is compared with the settled state, seconds.
const WAITS: [f64; 13] = [
    2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 90.0, 120.0, 180.0, 240.0, 300.0,
];

fn one_step(
    predictor: &Predictor<'_, '_>,
    stage: Stage,
    conditions: BenchConditions,
    lamp: Option<LampChoice>,
    faults: &[LikelyFault],
    work: &mut PlanWork,
) -> Result<PoweredStep, NotSeen> {
    let model = predictor.model;
    let mut watch = Watch::new(predictor, conditions.clone());
    let solved = predictor
        .solve(
            &conditions,
            &Variation::none(),
            &all_probes(model, None),
            None,
        )
        .map_err(|error| match error {
            crate::expect::ExpectError::NotSettled(error) => NotSeen::Circuit(error),
            crate::expect::ExpectError::Wiring(error) => NotSeen::Wiring(error),
            crate::expect::ExpectError::Conditions { .. } => {
                NotSeen::Circuit(circuit::CircuitError::Stopped { seconds: 0.0 })
            }
        })?;
    work.solved_states += 1;
    let mut unknown = Vec::new();
    watch.probes.retain(|probe: &Probe| {
        if !super::powered_words::is_safe_to_read(model, probe, &solved.junction_peaks) {
            return false;
        }
        match predictor.why_unknown(probe, &conditions, &solved) {
            Some(because) => {
                unknown.push(Unknown {
                    at: probe.at.clone(),
                    what: probe.what,
                    because,
                });
                false
            }
            None => true,
        }
    });
    leave_out_what_says_nothing(&mut watch, work)?;
    let wait_seconds = waiting(&watch, work)?;
    let early: &[f64] = match stage {
        Stage::Supply => &[2.0, 10.0],
        _ => &[2.0],
    };
    let early: Vec<f64> = early
        .iter()
        .copied()
        .filter(|seconds| *seconds < wait_seconds)
        .collect();
    let found_causes = causes(model, &conditions);
    let limits = find_limits(
        &watch,
        &Wanted {
            faults,
            causes: &found_causes,
            early_seconds: &early,
            settled_seconds: wait_seconds,
        },
        work,
    )?;
    let expect = watch
        .probes
        .iter()
        .zip(&limits.bands)
        .filter_map(|(probe, band)| {
            Some(Reading {
                at: probe.at.clone(),
                to: probe.to.clone(),
                what: probe.what,
                lead: None,
                band: as_read(main_causes(band.clone()?), probe.what),
            })
        })
        .collect();
    let strains = super::ratings::strains(predictor, &conditions)?;
    work.warm_up_runs += 1;
    let share = heater_share(model, &limits.healthy);
    Ok(PoweredStep {
        stage,
        because: because(stage, &conditions, lamp.as_ref(), share)
            + &first_rise(model, stage, &strains, &watch, &limits),
        conditions,
        lamp,
        expect,
        unknown,
        wait_seconds,
        peaks_signed: solved
            .junction_volts
            .iter()
            .zip(&solved.junction_peaks)
            .map(|(mean, peak)| {
                // Where direct volts rule, the crest of the ripple is what the capacitor keeps.
                if peak - mean.abs() < 0.5 * mean.abs() {
                    mean.signum() * peak
                } else {
                    *mean
                }
            })
            .collect(),
        peaks: solved.junction_peaks,
        strains,
        heater_share: share,
        limits,
    })
}

/// Share of a band's width below which a cause is not named.
const LEAST_SHARE: f64 = 0.005;

/// The band with the causes that matter; none where the reading is nothing.
fn main_causes(mut band: Band) -> Band {
    if band.expected.abs() < 1e-3 {
        band.made_of.clear();
    }
    band.made_of.retain(|share| share.share >= LEAST_SHARE);
    let whole: f64 = band.made_of.iter().map(|share| share.share).sum();
    for share in &mut band.made_of {
        share.share /= whole;
    }
    band
}

/// Of the readings that a healthy set leaves at nothing, the first B+ line alone is
/// kept: it must show nothing, and that is worth one look.
fn leave_out_what_says_nothing(watch: &mut Watch<'_>, work: &mut PlanWork) -> Result<(), NotSeen> {
    let settled = watch.settled(&Variation::none(), None)?;
    work.solved_states += 1;
    let mut first = true;
    let mut number = 0;
    watch.probes.retain(|probe| {
        let value = settled.values.get(number).copied().flatten();
        number += 1;
        let nothing = value.is_none_or(|value| value.abs() < 0.5);
        match probe.what {
            What::DcVolts if nothing => std::mem::take(&mut first),
            What::RippleVoltsPeakToPeak | What::AcVoltsRms => !nothing,
            _ => value.is_some(),
        }
    });
    Ok(())
}

/// Seconds until every reading is within 3 percent of where it settles.
fn waiting(watch: &Watch<'_>, work: &mut PlanWork) -> Result<f64, NotSeen> {
    let settled = watch.settled(&Variation::none(), None)?;
    let moments = watch.at_moments(&Variation::none(), &WAITS)?;
    work.solved_states += 1;
    work.warm_up_runs += 1;
    let near = |values: &[Option<f64>]| {
        values
            .iter()
            .zip(&settled.values)
            .all(|(now, end)| match (now, end) {
                (Some(now), Some(end)) => (now - end).abs() <= 0.03 * end.abs() + 0.5,
                _ => true,
            })
    };
    let mut wait = WAITS[WAITS.len() - 1];
    for (seconds, seen) in moments.iter().rev() {
        if !near(&seen.values) {
            break;
        }
        wait = *seconds;
    }
    Ok(wait.round())
}

/// How much higher than settled, as a ratio, the cold start must be to be told.
const RISE_TOLD: f64 = 1.08;

/// What a cold start does before the tubes draw.
fn first_rise(
    model: &SetModel<'_>,
    stage: Stage,
    strains: &[Strain],
    watch: &Watch<'_>,
    limits: &StepLimits,
) -> String {
    if stage != Stage::Supply {
        return String::new();
    }
    let mut told = String::new();
    for (probe, value) in watch.probes.iter().zip(&limits.healthy.values) {
        let (What::DcVolts, crate::probes::Spot::ToChassis(junction), Some(settled)) =
            (probe.what, probe.spot, value)
        else {
            continue;
        };
        let highest = strains
            .iter()
            .filter(|strain| strain.what == "volts")
            .filter(|strain| {
                model
                    .part_index(&strain.reference)
                    .is_some_and(|part| model.part_junctions(part)[..2].contains(&Some(junction)))
            })
            .max_by(|a, b| a.reached.total_cmp(&b.reached));
        if let Some(strain) = highest
            && strain.reached > RISE_TOLD * settled.abs()
            && told.is_empty()
        {
            told = format!(
                " Before the tubes draw, {} rises to {:.0} V ({:.0} s after switch-on); {} there is marked {:.0} V.",
                probe.at, strain.reached, strain.at_seconds, strain.reference, strain.rated
            );
        }
    }
    let direct: Vec<&str> = model
        .sheet
        .tubes
        .iter()
        .filter(|tube| {
            tube.kind.is_directly_heated() == Some(true)
                && tube_rectifiers(model).contains(&tube.reference)
        })
        .map(|tube| tube.reference.as_str())
        .collect();
    if !direct.is_empty() {
        told.push_str(&format!(
            " {} is directly heated: at low line it hardly conducts, then B+ comes within seconds, before the other tubes draw.",
            direct.join(" and ")
        ));
    }
    told
}

fn because(
    stage: Stage,
    conditions: &BenchConditions,
    lamp: Option<&LampChoice>,
    heater_share: Option<f64>,
) -> String {
    let mut text = match stage {
        Stage::TransformerAlone => {
            "The transformer cannot be bought again: alone it shows shorted turns before anything else can hide them."
                .to_string()
        }
        Stage::HeatersAlone => {
            "Heaters and their wiring are seen without B+: a fault there cannot yet burn anything behind it."
                .to_string()
        }
        Stage::Supply if conditions.open.is_empty() => {
            "B+ comes up in stages, so that a fault shows while little can burn.".to_string()
        }
        Stage::Supply => {
            "B+ comes up with the sweep feed open, so that the flyback and the output tube are not yet in danger."
                .to_string()
        }
    };
    if let Some(lamp) = lamp {
        let mut reached = Vec::new();
        if let Some(share) = lamp.heater_share {
            reached.push(format!("{} percent of rated heater volts", percent(share)));
        }
        if let Some(share) = lamp.supply_share {
            reached.push(format!(
                "{} percent of the normal B+ reading",
                percent(share)
            ));
        }
        text.push_str(&format!(
            " Behind {} the healthy set reaches {}.",
            words(&lamp.watts),
            if reached.is_empty() {
                format!(
                    "{} percent of its winding volts",
                    percent(lamp.winding_share.unwrap_or(0.0))
                )
            } else {
                reached.join(" and ")
            }
        ));
        if !lamp.remark.is_empty() {
            text.push(' ');
            text.push_str(&lamp.remark);
        }
    } else if let Some(share) = heater_share
        && share < 0.75
    {
        text.push_str(&format!(
            " At {:.0} V the heaters get {} percent of their volts: no tube current can be judged in this step.",
            conditions.line_volts.unwrap_or(0.0),
            percent(share)
        ));
    }
    text
}
