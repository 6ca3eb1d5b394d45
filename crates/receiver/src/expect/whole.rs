//! The prediction of a set whose stages can be calculated, settled.
//!
//! Units as each reading says. Source: [`crate::whole_set`]. Fails as that does.

use crate::bands::as_read;
use crate::causes::{causes, stage_causes};
use crate::conditions::{BenchConditions, KnownReading};
use crate::probes::Probe;
use crate::reading::{Notice, Reading, Unknown, What};
use crate::whole_set::running::Running;
use crate::whole_set::{
    Known, Narrowing, Wanted, WholeReadings, WholeSet, hanging, whole_readings,
};
use crate::wiring::WiringError;

use super::{ExpectError, Expectation, Predictor, READ_SHARE, READ_VOLTS, Solved};

/// A whole set solved and drawn once; what is read of it may be narrowed again and again.
pub(super) struct WholeForeseen {
    line_volts: f64,
    probes: Vec<Probe>,
    /// Why a probe is not told.
    because: Vec<Option<String>>,
    notices: Vec<Notice>,
    read: WholeReadings,
    /// Whether sets were drawn.
    wanted: bool,
}

impl WholeForeseen {
    /// What a reading is in every drawn set.
    pub(super) fn drawn(&self, reading: &Reading) -> Option<&[f64]> {
        let probe = self.probes.iter().position(|probe| {
            probe.at == reading.at && probe.to == reading.to && probe.what == reading.what
        })?;
        self.read.drawn(probe)
    }
}

impl Predictor<'_, '_> {
    /// The same for a set whose stages can be calculated, settled.
    pub(super) fn foresee_whole(
        &self,
        conditions: &BenchConditions,
        probes: Vec<Probe>,
    ) -> Result<WholeForeseen, ExpectError> {
        let model = self.model;
        let mut notices = self.notices(conditions);
        let wanted = conditions.bands || !conditions.known.is_empty();
        let found = if wanted {
            let mut all = causes(model, conditions);
            all.extend(stage_causes(model));
            all
        } else {
            Vec::new()
        };
        let asked = if wanted {
            Wanted::Bands
        } else {
            Wanted::Expected
        };
        let read = whole_readings(model, conditions, &probes, &found, asked)?;
        if read.lost > 0 {
            notices.push(Notice {
                text: format!(
                    "drawn sets that could not be solved and are not part of the bands: {}",
                    read.lost
                ),
                hint: "the bands may be too narrow".to_string(),
            });
        }
        if !read.unsolved.is_empty() {
            notices.push(Notice {
                text: format!("not part of the bands: {}", read.unsolved.join(", ")),
                hint: "the set could not be solved with these at the ends of their range"
                    .to_string(),
            });
        }
        self.stage_notices(&read.set.running, &mut notices);
        let solved = self.of_whole(&read.set);
        let hangs_on = hanging(model, &read.set, &probes);
        let because = probes
            .iter()
            .zip(hangs_on)
            .map(|(probe, hangs_on)| {
                self.why_driven(probe, &read.set.running, hangs_on)
                    .or_else(|| self.why_unknown(probe, conditions, &solved))
            })
            .collect();
        Ok(WholeForeseen {
            line_volts: conditions.line_volts.unwrap_or(model.sheet.line_volts),
            probes,
            because,
            notices,
            read,
            wanted,
        })
    }

    /// A prediction of a whole set, narrowed by readings that are known.
    pub(super) fn told_by(
        &self,
        foreseen: &WholeForeseen,
        known: &[KnownReading],
    ) -> Result<Expectation, ExpectError> {
        let mut notices = foreseen.notices.clone();
        let known = self.known(known, &foreseen.probes, &mut notices)?;
        let bands = foreseen.read.bands(&known);
        let mut readings = Vec::new();
        let mut unknown = Vec::new();
        for ((probe, because), band) in foreseen.probes.iter().zip(&foreseen.because).zip(bands) {
            match (because.clone(), band) {
                (Some(because), _) => unknown.push(Unknown {
                    at: probe.at.clone(),
                    what: probe.what,
                    because,
                }),
                (None, Some(band)) => readings.push(Reading {
                    at: probe.at.clone(),
                    to: probe.to.clone(),
                    what: probe.what,
                    lead: None,
                    band: if foreseen.wanted {
                        as_read(band, probe.what)
                    } else {
                        band
                    },
                }),
                (None, None) => {}
            }
        }
        Ok(Expectation {
            readings,
            unknown,
            notices,
            line_volts: Some(foreseen.line_volts),
            solved_states: foreseen.read.solved_states,
            balance_amperes: foreseen.read.set.point.balance_amperes,
        })
    }

    /// The known readings, each at its probe.
    fn known(
        &self,
        readings: &[KnownReading],
        probes: &[Probe],
        notices: &mut Vec<Notice>,
    ) -> Result<Vec<Narrowing>, ExpectError> {
        let mut found = Vec::new();
        for known in readings {
            let place = self
                .model
                .places
                .find(&known.place)
                .map_err(WiringError::from)?;
            let probe = probes.iter().position(|probe| {
                probe.what == What::DcVolts && probe.at.eq_ignore_ascii_case(&place.to_string())
            });
            match probe {
                Some(probe) => found.push(Narrowing {
                    probe,
                    value: known.volts,
                    sigma: READ_SHARE * known.volts.abs() + READ_VOLTS,
                }),
                None => notices.push(Notice {
                    text: format!("the known reading at {} says nothing here", known.place),
                    hint: "d.c. volts of a place other than the chassis narrow the bands"
                        .to_string(),
                }),
            }
        }
        Ok(found)
    }

    /// What a solved whole set says to [`Predictor::why_unknown`].
    fn of_whole(&self, set: &WholeSet) -> Solved {
        Solved {
            values: Vec::new(),
            near: None,
            tube_shares: set.tube_shares(),
            junction_volts: set.volts.clone(),
            junction_peaks: set.junction_peaks().to_vec(),
            floating: set.floating(),
            balance_amperes: set.point.balance_amperes,
        }
    }

    /// Sync separators at rest: the words of the tube's job, and a grid that is not tied down.
    fn separators(&self, running: &[Running]) -> Vec<&str> {
        let model = self.model;
        let mut found: Vec<&str> = Vec::new();
        for (stage, running) in model.stages.complete.iter().zip(running) {
            let tube = &model.sheet.tubes[stage.tube];
            let job = tube.job.to_lowercase();
            let named = job.contains("separator") || job.contains("sync clipper");
            let rests = *running == Running::AtRest && !stage.drive.is_signal();
            let free = stage.electrodes[1].is_some_and(|grid| Some(grid) != model.chassis);
            let reference = tube.reference.as_str();
            if named && rests && free && !found.contains(&reference) {
                found.push(reference);
            }
        }
        found
    }

    /// Which readings rest on the maker's chart, and which stages nothing is known of.
    fn stage_notices(&self, running: &[Running], notices: &mut Vec<Notice>) {
        let model = self.model;
        let mut anchored: Vec<&str> = Vec::new();
        let mut unknown: Vec<&str> = Vec::new();
        let mut let_go: Vec<&str> = Vec::new();
        let mut runs: Vec<(f64, f64, Vec<&str>)> = Vec::new();
        for (number, (stage, running)) in model.stages.complete.iter().zip(running).enumerate() {
            let reference = model.sheet.tubes[stage.tube].reference.as_str();
            let list = match running {
                Running::AtRest if stage.drive.is_signal() => &mut let_go,
                _ => match running.known() {
                    Known::Calculated => continue,
                    Known::Running { hertz } => {
                        match runs.iter_mut().find(|(own, ..)| *own == hertz) {
                            Some((.., list)) => list,
                            None => {
                                // A low line alone moves the rate; the sheet is judged at its own.
                                let makers =
                                    match model.usual().running.get(number).map(Running::known) {
                                        Some(Known::Running { hertz }) => hertz,
                                        _ => hertz,
                                    };
                                runs.push((hertz, makers, Vec::new()));
                                &mut runs.last_mut().expect("pushed above").2
                            }
                        }
                    }
                    Known::FromChart { .. } => &mut anchored,
                    Known::Unknown { .. } => &mut unknown,
                },
            };
            if !list.contains(&reference) {
                list.push(reference);
            }
        }
        for (hertz, makers, list) in &runs {
            notices.push(Notice {
                text: format!(
                    "calculated as they run, by their own oscillation of {} cycles a second: {}",
                    cycles_of(*hertz),
                    list.join(", ")
                ),
                hint: match of_sweep(*makers) {
                    Some(wanted) => format!(
                        "a sweep runs near {wanted} cycles: a hold control or a value on the sheet is off, and these volts belong to this rate"
                    ),
                    None => "their controls stand as the sheet says; a station's pulses hold them to its own rate, and the volts move with it"
                        .to_string(),
                },
            });
        }
        let not_calculated: Vec<String> = model
            .usual()
            .oscillators
            .iter()
            .filter_map(|own| {
                let stage = model.stages.complete.get(*own.group.stages.first()?)?;
                let reference = &model.sheet.tubes[stage.tube].reference;
                Some(format!("{reference} ({})", own.because()?))
            })
            .collect();
        if !not_calculated.is_empty() {
            notices.push(Notice {
                text: format!(
                    "drive themselves but cannot be calculated as they run: {}",
                    not_calculated.join(", ")
                ),
                hint: "the maker's chart stands in for the calculation where it gives their volts"
                    .to_string(),
            });
        }
        if !anchored.is_empty() {
            notices.push(Notice {
                text: format!(
                    "driven by a signal, so taken from the maker's chart and scaled to this supply: {}",
                    anchored.join(", ")
                ),
                hint: "if the sweep does not run, these readings and the current they stand for are others"
                    .to_string(),
            });
        }
        if !unknown.is_empty() {
            notices.push(Notice {
                text: format!(
                    "driven by a signal and not on the maker's chart, so only what the supply usually feels of them is counted: {}",
                    unknown.join(", ")
                ),
                hint: "put the maker's readings of their pins into [chart]".to_string(),
            });
        }
        let separators = self.separators(running);
        if !separators.is_empty() {
            notices.push(Notice {
                text: format!("told without a station: sync separator {}", separators.join(", ")),
                hint: "the sync of a station or generator gives its grid a bias of its own, volts to tens of volts below this, and moves its plate; measure with the antenna off"
                    .to_string(),
            });
        }
        if !let_go.is_empty() {
            notices.push(Notice {
                text: format!(
                    "nothing drives them under these conditions, so they are told at rest: {}",
                    let_go.join(", ")
                ),
                hint: "an output tube without drive may draw far more than when it runs; keep such a test short"
                    .to_string(),
            });
        }
    }
}

/// The rates of a sweep that an oscillator is far from, if it is: fields come 50 or 60 times
/// a second, lines 15,625 or 15,750 times (CCIR 625 lines, RMA 525 lines). A third off is
/// beyond what a hold control reaches (judgement).
fn of_sweep(hertz: f64) -> Option<&'static str> {
    let far = |low: f64, high: f64| !(low / 1.5..high * 1.5).contains(&hertz);
    match hertz {
        hertz if hertz < 1e3 => far(50.0, 60.0).then_some("50 or 60"),
        _ => far(15_625.0, 15_750.0).then_some("15,625 or 15,750"),
    }
}

/// A rate in cycles a second, as one reads it.
fn cycles_of(hertz: f64) -> String {
    match hertz {
        hertz if hertz < 100.0 => format!("{hertz:.0}"),
        hertz => format!("{:.0}", (hertz / 10.0).round() * 10.0),
    }
}
