//! The facts that stand of one picture tube, brought into the form that the receiver judges.
//!
//! Units as kept. Where a life test lacks its first reading, or volts at the heater, this is
//! told as a notice and nothing is made of it. Nothing here fails.

use logbook::{Fact, Needle, OfPictureTube, StandingFact, TubeFinding, What};
use parts::TubeType;
use quantity::{Amperes, Ohms, Volts};
use receiver::picture_tube::bench_method::BenchReading;
use receiver::picture_tube::emission::{EmissionReading, EmissionRecord};
use receiver::picture_tube::judge_tube::{CutOffReading, Running, Sitting, TubeFacts};
use receiver::picture_tube::leakage::{Element, LeakReading};
use receiver::picture_tube::life_fall::LifeFall;
use receiver::sheet::Sheet;

use crate::view::NoticeView;

/// Name of a picture tube where neither sheet nor entries give one.
const NAMELESS: &str = "picture tube";
/// Error of a needle where nobody told it, share of the scale (judgement).
const USUAL_NEEDLE: f64 = 0.02;
/// How an entry about a cure that was tried begins, behind the tube's name.
pub(super) const TRIED: &str = "cure tried";

/// What was gathered.
pub(super) struct Gathered {
    /// For the receiver.
    pub facts: TubeFacts,
    /// Cures that were tried, with what they gained.
    pub tried: Vec<(String, String)>,
    /// Second-grid volts that were measured in the set.
    pub second_grid: Option<(f64, String)>,
    /// How many entries it rests on.
    pub entries: usize,
    /// What is missing.
    pub notices: Vec<NoticeView>,
}

/// The findings of one tube, the oldest first.
pub(super) fn findings_of<'a>(
    facts: &'a [StandingFact<'a>],
    part: &str,
) -> Vec<(&'a StandingFact<'a>, &'a OfPictureTube)> {
    let own = |one: &'a StandingFact<'a>| match one.fact {
        Fact::OfPictureTube(found) if found.part.eq_ignore_ascii_case(part) => Some((one, found)),
        _ => None,
    };
    facts.iter().filter_map(own).collect()
}

/// Which tube is meant: the one asked for, the set's own, or the one of the last finding.
pub(super) fn which_tube(
    asked: Option<&str>,
    sheet: Option<&Sheet>,
    facts: &[StandingFact<'_>],
) -> String {
    let spelled = |name: &str| {
        let own = sheet.and_then(|sheet| sheet.tube(name));
        own.map_or_else(|| name.to_owned(), |tube| tube.reference.clone())
    };
    if let Some(asked) = asked.map(str::trim).filter(|asked| !asked.is_empty()) {
        return spelled(asked);
    }
    let of_set = sheet.and_then(|sheet| {
        let mut own = sheet.tubes.iter().filter(|tube| tube.kind.is_picture_tube);
        own.next().map(|tube| tube.reference.clone())
    });
    let of_facts = || {
        facts.iter().rev().find_map(|one| match one.fact {
            Fact::OfPictureTube(found) => Some(found.part.clone()),
            _ => None,
        })
    };
    of_set
        .or_else(of_facts)
        .unwrap_or_else(|| NAMELESS.to_owned())
}

/// The type's number as it was said last for this tube, or as the sheet has it.
pub(super) fn type_of(
    part: &str,
    sheet: Option<&Sheet>,
    facts: &[StandingFact<'_>],
) -> Option<String> {
    let said = findings_of(facts, part)
        .iter()
        .rev()
        .map(|(_, found)| found.type_number.clone())
        .find(|number| !number.is_empty());
    said.or_else(|| Some(sheet?.tube(part)?.kind.name.clone()))
}

/// Everything of one tube.
pub(super) fn gather(facts: &[StandingFact<'_>], part: &str, tube: &TubeType) -> Gathered {
    let own = findings_of(facts, part);
    let mut gathered = Gathered {
        facts: TubeFacts::default(),
        tried: Vec::new(),
        second_grid: measured_second_grid(facts, part, tube),
        entries: own.len(),
        notices: Vec::new(),
    };
    let rated = tube.heater_volts.unwrap_or(6.3);
    let mut life: Vec<(f64, &Needle)> = Vec::new();
    for (_, found) in &own {
        take(&mut gathered.facts, &found.found, rated, &mut life);
    }
    if tube.heater_volts.is_none() && !gathered.facts.sittings.is_empty() {
        gathered.notices.push(notice(
            "the heater volts of the type are not known; 6.3 V were taken for the emission readings",
            "give the type with --type",
        ));
    }
    gathered.facts.fall = fall_of(&life, rated, &mut gathered.notices);
    for one in facts {
        if let Fact::Changed(changed) = one.fact
            && let Some(cure) = changed
                .what
                .strip_prefix(part)
                .and_then(|rest| rest.trim_start_matches(',').trim().strip_prefix(TRIED))
        {
            let cure = cure.trim_start_matches(':').trim().to_owned();
            gathered.facts.tried.push(cure.clone());
            gathered.tried.push((cure, changed.is.clone()));
        }
    }
    gathered
}

fn take<'a>(
    facts: &mut TubeFacts,
    found: &'a TubeFinding,
    rated: f64,
    life: &mut Vec<(f64, &'a Needle)>,
) {
    match found {
        TubeFinding::Heater {
            cold_ohms,
            volts,
            amperes,
            glows,
        } => {
            let heater = &mut facts.heater;
            heater.cold_ohms = cold_ohms.map(Ohms).or(heater.cold_ohms);
            if volts.is_some() && amperes.is_some() {
                heater.hot_volts = volts.map(Volts);
                heater.hot_amperes = amperes.map(Amperes);
            } else {
                heater.hot_volts = volts.map(Volts).or(heater.hot_volts);
                heater.hot_amperes = amperes.map(Amperes).or(heater.hot_amperes);
            }
            heater.glows = glows.or(heater.glows);
        }
        TubeFinding::Leak {
            plus,
            minus,
            ohms,
            hot,
        } => {
            if let (Some(plus), Some(minus)) = (element(plus), element(minus)) {
                facts.leaks.push(LeakReading {
                    plus,
                    minus,
                    ohms: Ohms(*ohms),
                    hot: *hot,
                });
            }
        }
        TubeFinding::CutOff {
            grid_volts,
            reached,
            second_grid_volts,
        } => facts.cut_offs.push(CutOffReading {
            grid: grid_volts.map(Volts),
            reached: *reached,
            second_grid: second_grid_volts.map(Volts),
        }),
        TubeFinding::Emission { minutes, needle } => {
            let reading = EmissionReading {
                minutes: *minutes,
                reading: needle.shown,
                heater_volts: needle.heater_volts.map(Volts),
            };
            let sitting = facts
                .sittings
                .iter_mut()
                .find(|own| own.name == needle.sitting);
            match sitting {
                Some(own) => own.record.readings.push(reading),
                None => facts.sittings.push(Sitting {
                    name: needle.sitting.clone(),
                    record: EmissionRecord {
                        unit: needle.unit.clone(),
                        scale_end: needle.scale_end,
                        needle_error_share: needle.needle_percent.map(|percent| percent / 100.0),
                        rated_heater_volts: Volts(rated),
                        readings: vec![reading],
                    },
                }),
            }
        }
        TubeFinding::LifeTest { seconds, needle } => life.push((*seconds, needle)),
        TubeFinding::BenchCurrent {
            second_grid_volts,
            microamperes,
            microamperes_later,
        } => facts.bench.push(BenchReading {
            second_grid: Volts(*second_grid_volts),
            at_once: Amperes(microamperes * 1e-6),
            later: Amperes(microamperes_later.unwrap_or(*microamperes) * 1e-6),
        }),
        TubeFinding::RunningSet {
            picture,
            cathode_microamperes,
        } => {
            let folded = picture.trim().to_lowercase();
            facts.running = Running {
                gives_a_picture: if folded.is_empty() {
                    facts.running.gives_a_picture
                } else {
                    Some(!folded.starts_with("no"))
                },
                cathode: cathode_microamperes
                    .map(|current| Amperes(current * 1e-6))
                    .or(facts.running.cathode),
            };
        }
    }
}

/// The last life test that has a reading before and one after.
fn fall_of(life: &[(f64, &Needle)], rated: f64, notices: &mut Vec<NoticeView>) -> Option<LifeFall> {
    let sitting = &life.last()?.1.sitting;
    let own: Vec<&(f64, &Needle)> = life
        .iter()
        .filter(|one| &one.1.sitting == sitting)
        .collect();
    let before = own.iter().rev().find(|one| one.0 == 0.0);
    let later: Vec<(f64, f64)> = own
        .iter()
        .filter(|one| one.0 > 0.0)
        .map(|one| (one.0, one.1.shown))
        .collect();
    let heater = own
        .iter()
        .rev()
        .filter(|one| one.0 > 0.0)
        .find_map(|one| one.1.heater_volts);
    let Some(before) = before else {
        notices.push(notice(
            "the life test has no reading just before the heater was reduced",
            "add it as second 0: 0=READING",
        ));
        return None;
    };
    let heater = match (heater, later.is_empty()) {
        (_, true) => return None,
        (None, _) => {
            notices.push(notice(
                "the life test does not say at how many volts the heater was then",
                "give --heater cut, or its volts, with the readings",
            ));
            return None;
        }
        (Some(volts), _) => volts,
    };
    let share = before
        .1
        .needle_percent
        .map_or(USUAL_NEEDLE, |percent| percent / 100.0);
    Some(LifeFall {
        before: before.1.shown,
        readings: later,
        heater_share: heater / rated,
        needle_error: share * before.1.scale_end,
    })
}

/// Volts last measured in the set at the second grid's pin, to the chassis.
fn measured_second_grid(
    facts: &[StandingFact<'_>],
    part: &str,
    tube: &TubeType,
) -> Option<(f64, String)> {
    let pin = tube.pins_carrying("grid2").first()?.to_string();
    let place = format!("{part}.{pin}");
    facts.iter().rev().find_map(|one| match one.fact {
        Fact::Measured(measured)
            if measured.what == What::DcVolts
                && measured.place.eq_ignore_ascii_case(&place)
                && measured.to.is_empty()
                && measured.value > 0.0 =>
        {
            Some((
                measured.value,
                format!("measured at {place}, entry {}", one.number),
            ))
        }
        _ => None,
    })
}

/// The element of this word; as it was kept.
pub(super) fn element(word: &str) -> Option<Element> {
    [
        Element::Heater,
        Element::Cathode,
        Element::Grid,
        Element::SecondGrid,
        Element::Focus,
    ]
    .into_iter()
    .find(|element| element.word() == word)
}

pub(super) fn notice(text: &str, hint: &str) -> NoticeView {
    NoticeView {
        text: text.to_owned(),
        hint: hint.to_owned(),
        line: None,
    }
}
