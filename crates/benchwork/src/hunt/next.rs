//! What to measure next: the most told about the suspects for the least effort and danger.
//!
//! Information in bits; effort in minutes with the danger in them, by the built-in table or one of
//! the restorer's own. Every offer is one that hazard lets pass, with the cautions of its acts.
//! Fails as opening the restoration does, and for a table of efforts with faults.

use std::path::Path;

use parts::{Effort, efforts, read_efforts};
use receiver::hazard::{self, HazardTable, Situation};
use receiver::reading::What;
use receiver::suspects::hypotheses::Suspect;
use receiver::suspects::next::{
    Asked, Blame, GotAt, Meaning, Measurement, OfHeaters, Offered, Outcome, SURE, as_told,
    elsewhere, information::held_by, next, of_heaters, while_hunting,
};
use receiver::suspects::rank::Ranking;
use receiver::suspects::signs::signal_way::SignalEnd;
use receiver::sweep_drive::{OutputDrive, danger};
use receiver::wiring::SetModel;

use super::ask::{Hunt, Without, hunt};
use super::noticed::{ENDS, GLOWS};
use super::rank::{cautions, verdict};
use crate::long_work::LongWork;
use crate::read_own_file::read_own_file;
use crate::trouble::Trouble;
use crate::view::{
    DangerView, GainView, MeaningView, NextOfferView, NoticeView, OffersView, six_figures,
};
use crate::{FORMAT, PROGRAM_VERSION};

/// Weight from which on the tube at a suspect is pulled for a trial, and how many are.
const OF_INTEREST: f64 = 0.05;
const MOST_TUBES: usize = 3;
/// Offers told at most; those behind tell less for more.
const MOST_OFFERS: usize = 12;

/// Tells what to measure next, `further` in conditions that nothing was read in yet. `own` is a
/// table of the restorer's own efforts.
pub fn tell_next(
    file: &Path,
    own: Option<&Path>,
    further: bool,
    work: LongWork<'_>,
) -> Result<OffersView, Trouble> {
    let efforts = efforts_of(own)?;
    hunt(file, Without::Settled, work, |hunt| {
        let seen = hunt.seen();
        let ranking = hunt.ranking();
        let present = hunt.present();
        let Some(told) = hunt.foretold.get(present) else {
            return Err(Trouble::ours("no conditions were foretold"));
        };
        let now = told.conditions.clone();
        let drives = hunt.drives();
        // Where the sheet shows no output tube, what it has of a sweep counts as driven by nothing that was seen.
        let drive_seen = !drives.is_empty() && !drives.iter().any(OutputDrive::is_not_seen);
        let situation = while_hunting(hunt.model, &now, drive_seen);
        // An offer is weighed by those who hold nearly all of the weight, and by nobody else.
        let held = held_by(&hunt.hypotheses, &ranking);
        hunt.foretell_cold(&now, &held);
        if further {
            let tubes = tubes_of_interest(hunt.model, &ranking);
            let others = elsewhere(hunt.model, &now, &situation, &tubes);
            let others = others.map_err(|fault| Trouble::ours(fault.to_string()))?;
            hunt.foretell(&others, Some(&held), work)?;
        }
        work.comes_to("Looking at everything that can be measured")?;
        let asked = Asked {
            model: hunt.model,
            hypotheses: &hunt.hypotheses,
            foretold: &hunt.foretold,
            seen: &seen,
            ranking: &ranking,
            efforts: &efforts,
            situation: &situation,
            present,
            beside: hunt.signs(),
        };
        let damaged = |fault: hazard::TableFault| Trouble::ours(fault.to_string());
        let offered = as_told(&asked, next(&asked).map_err(damaged)?, MOST_OFFERS);
        let looks = of_heaters(&asked).map_err(damaged)?;
        let all = best_first(&offered, &looks);
        let offers = all.iter().take(MOST_OFFERS);
        Ok(OffersView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            file: hunt.file.clone(),
            restoration: hunt.restoration.clone(),
            danger: danger(&drives).map(DangerView::from),
            verdict: verdict(&ranking, hunt.knows_nothing()),
            conditions: hunt.conditions_views(),
            present,
            offers: offers
                .map(|own| match own {
                    Either::Measured(own) => {
                        let mut view =
                            offer_view(hunt.model, &situation, own, named(hunt, own.measurement))?;
                        let also = own.also.iter();
                        view.also = also.map(|own| named(hunt, *own).1).collect();
                        Ok(view)
                    }
                    Either::OfHeaters(own) => offer_view(
                        hunt.model,
                        &situation,
                        own,
                        heaters_named(hunt.model, own.measurement),
                    ),
                })
                .collect::<Result<_, _>>()?,
            first: {
                let drive = drives.iter().filter_map(OutputDrive::comes_first);
                let sure = by_itself_first(hunt.model, &ranking, &offered);
                drive.chain(sure).collect()
            },
            not_told: all.len().saturating_sub(MOST_OFFERS),
            cautions: cautions(),
            dangers: hazards()?
                .cautions(&[], &situation)
                .iter()
                .map(|own| own.caution.clone())
                .collect(),
            notices: {
                let cold = drives.iter().filter_map(OutputDrive::when_warm);
                let cold = cold
                    .map(|(text, hint)| NoticeView::from(receiver::reading::Notice { text, hint }));
                hunt.notices.iter().cloned().chain(cold).collect()
            },
        })
    })
}

/// What comes before a part is replaced of which the ranking is as good as sure.
fn by_itself_first(model: &SetModel<'_>, ranking: &Ranking, offered: &[Offered]) -> Option<String> {
    let leader = ranking.suspects.first().filter(|own| own.weight >= SURE)?;
    let mut checks = offered
        .iter()
        .filter_map(|own| own.measurement.is_check_of());
    checks.find(|own| *own == leader.suspect)?;
    let name = leader.suspect.reference(model);
    Some(format!(
        "{name} is as good as sure by what was read. Measure it by itself before you replace it: another fault that nobody thought of may read the same."
    ))
}

/// Tubes that are suspected, and those on which a suspected part sits, the heaviest first.
fn tubes_of_interest(model: &SetModel<'_>, ranking: &Ranking) -> Vec<usize> {
    let mut found: Vec<usize> = Vec::new();
    for own in ranking
        .suspects
        .iter()
        .filter(|own| own.weight >= OF_INTEREST)
    {
        let tubes: Vec<usize> = match own.suspect {
            Suspect::Tube(tube) | Suspect::Socket(tube) => vec![tube],
            Suspect::Part(part) => {
                let ends = model.part_junctions(part);
                let stages = model.stages.complete.iter();
                let sits = stages.filter(|stage| {
                    let pins = stage.electrodes.iter().flatten();
                    let mut pins = pins.chain([&stage.cathode]);
                    pins.any(|pin| {
                        Some(*pin) != model.chassis_junction() && ends.contains(&Some(*pin))
                    })
                });
                sits.map(|stage| stage.tube).collect()
            }
            Suspect::Transformer(_) => Vec::new(),
        };
        for tube in tubes {
            if !found.contains(&tube) {
                found.push(tube);
            }
        }
    }
    found.truncate(MOST_TUBES);
    found
}

/// The built-in efforts, or the restorer's own.
fn efforts_of(own: Option<&Path>) -> Result<Vec<Effort>, Trouble> {
    if let Some(path) = own {
        return read_own_file(path, read_efforts);
    }
    let built_in = efforts().map_err(|faults| {
        let first = faults.first();
        Trouble::ours(first.map_or_else(String::new, ToString::to_string))
    })?;
    Ok(built_in.to_vec())
}

fn hazards() -> Result<&'static HazardTable, Trouble> {
    hazard::table().map_err(|faults| {
        let first = faults.first();
        Trouble::ours(first.map_or_else(String::new, ToString::to_string))
    })
}

/// One that is offered.
enum Either<'a> {
    Measured(&'a Offered),
    OfHeaters(&'a Offered<OfHeaters>),
}

/// Both lists as one, the best first; each is in that order.
fn best_first<'a>(offered: &'a [Offered], looks: &'a [Offered<OfHeaters>]) -> Vec<Either<'a>> {
    let mut all: Vec<(f64, Either<'a>)> = looks
        .iter()
        .map(|own| (own.worth(), Either::OfHeaters(own)))
        .chain(
            offered
                .iter()
                .map(|own| (own.worth(), Either::Measured(own))),
        )
        .collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.into_iter().map(|own| own.1).collect()
}

/// Kind, place or part, kind of reading and conditions of a measurement.
type Name = (&'static str, String, Option<&'static str>, Option<usize>);

fn heaters_named(model: &SetModel<'_>, measurement: OfHeaters) -> Name {
    let OfHeaters::Glow(tube) = measurement;
    let own = model.sheet.tubes.get(tube);
    let tube = own.map_or_else(String::new, |own| own.reference.clone());
    ("glow", tube, None, None)
}

fn offer_view<M>(
    model: &SetModel<'_>,
    situation: &Situation,
    own: &Offered<M>,
    (kind, at, what, conditions): Name,
) -> Result<NextOfferView, Trouble> {
    let cautions = own_cautions(&own.acts, situation)?;
    Ok(NextOfferView {
        kind,
        at,
        what,
        conditions,
        bits: six_figures(own.bits),
        effort_minutes: six_figures(own.effort),
        also: Vec::new(),
        acts: own.acts.iter().map(hazard::Act::sentence).collect(),
        cautions,
        meanings: own
            .meanings
            .iter()
            .map(|meaning| meaning_view(model, meaning))
            .collect(),
    })
}

/// Cautions of these acts that set and bench do not ask for anyway.
fn own_cautions(acts: &[hazard::Act], situation: &Situation) -> Result<Vec<String>, Trouble> {
    let table = hazards()?;
    let always = table.cautions(&[], situation);
    let mut cautions = table.cautions(acts, situation);
    cautions.retain(|own| always.iter().all(|always| always.id != own.id));
    Ok(cautions.iter().map(|own| own.caution.clone()).collect())
}

fn named(hunt: &Hunt<'_, '_>, measurement: Measurement) -> Name {
    let sheet = hunt.model.sheet;
    let part = |part: usize| {
        let own = sheet.parts.get(part);
        own.map_or_else(String::new, |own| own.reference.clone())
    };
    let tube = |tube: usize| {
        let own = sheet.tubes.get(tube);
        own.map_or_else(String::new, |own| own.reference.clone())
    };
    match measurement {
        Measurement::Read { conditions, probe } => {
            let told = hunt.foretold.get(conditions);
            let probe = told.and_then(|told| told.probes.get(probe));
            let at = probe.map_or_else(String::new, |own| own.at.clone());
            let what = probe.map(|own| own.what.name());
            ("read", at, what, Some(conditions))
        }
        Measurement::PartOhms(own) => {
            let kind = match GotAt::of(hunt.model, own) {
                GotAt::CutLoose => "part_ohms",
                GotAt::InPlace => "ohms_in_place",
                GotAt::OutOfHolder => "ohms_out_of_holder",
            };
            (kind, part(own), None, None)
        }
        Measurement::PartLeakage(own) => ("part_leakage", part(own), None, None),
        Measurement::PartCapacitance(own) => ("part_capacitance", part(own), None, None),
        Measurement::LooseEnd { part: own, .. } => {
            ("loose_end", part(own), Some(What::DcVolts.name()), None)
        }
        Measurement::Bridge(own) => ("capacitor_bridge", part(own), None, None),
        Measurement::CapacitorExchange(own) => ("capacitor_exchange", part(own), None, None),
        Measurement::TubeExchange(own) => ("tube_exchange", tube(own), None, None),
        Measurement::TubeTester(own) => ("tube_tester", tube(own), None, None),
        Measurement::Signal { from, end } => {
            let end = match end {
                SignalEnd::Junction(place) => hunt.model.junction_name(place),
                own => ENDS
                    .iter()
                    .find(|end| end.1 == own)
                    .map_or_else(|| "its end".to_owned(), |end| end.0.to_owned()),
            };
            let station = || "a station".to_owned();
            let from = from.map_or_else(station, |own| hunt.model.junction_name(own));
            ("signal", format!("{from} to {end}"), None, None)
        }
    }
}

fn meaning_view(model: &SetModel<'_>, own: &Meaning) -> MeaningView {
    let name = |blame: Blame| match blame {
        Blame::Suspect(suspect) => suspect.reference(model).to_owned(),
        Blame::Both(one, other) => {
            format!("{} and {}", one.reference(model), other.reference(model))
        }
        Blame::Healthy => "nothing is wrong".to_owned(),
        Blame::NotListed => "a fault of a kind not listed".to_owned(),
    };
    MeaningView {
        outcome: match own.outcome {
            Outcome::Low => "low",
            Outcome::Inside => "inside",
            Outcome::High => "high",
            Outcome::Good => "good",
            Outcome::Otherwise => "otherwise",
            Outcome::Bad => "bad",
            Outcome::Glows(glow) => {
                let word = GLOWS.iter().find(|own| own.1 == glow);
                word.map_or("", |own| own.0)
            }
        },
        from: own.from.map(six_figures),
        to: own.to.map(six_figures),
        chance: six_figures(own.chance),
        gains: own
            .gains
            .iter()
            .map(|(blame, now, then)| GainView {
                who: name(*blame),
                now: six_figures(*now),
                then: six_figures(*then),
            })
            .collect(),
    }
}
