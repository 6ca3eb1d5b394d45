//! What is foretold for the readings at hand: each set of bench conditions once, kept beside the
//! facts.
//!
//! Units of the readings. Of each set of conditions are foretold the d.c. volts and the ripple at
//! every place that a common meter may touch, the watts from the line, the heater volts, and what was read besides;
//! places of one junction are foretold once. The key stands for everything that it rests on, so
//! it is worked out anew whenever anything of that changes. Conditions under which no settled
//! state is found are told with the evidence.

use std::collections::HashSet;

use logbook::Logbook;
use receiver::conditions::BenchConditions;
use receiver::probes::{Probe, Spot, all_probes};
use receiver::reading::What;
use receiver::suspects::hypotheses::Hypotheses;
use receiver::suspects::predict::{Foreteller, Foretold};
use receiver::wiring::SetModel;

use super::kept_foretold::{from_bytes, to_bytes};
use crate::judge_entry::outline_of;
use crate::sheet_so_far::SheetSoFar;

/// Edition of what is kept; it changes with how it is worked out.
const KEPT: u32 = 10;

/// One reading as it is asked for: place, other lead, kind.
pub(crate) type Asked<'a> = (&'a str, Option<&'a str>, What);

/// The names under which the probes of one set of conditions are read.
pub(crate) struct Names {
    /// Names of places, tubes and parts, each with its kind and the probe that reads it.
    pub read: Vec<(String, What, usize)>,
    /// Places and kinds of which nothing is told, with the reason.
    pub unknown: Vec<(String, What, String)>,
}

impl Names {
    /// The probe of a reading, or why nothing is foretold of it.
    pub fn probe(&self, told: &Foretold, (at, to, what): Asked<'_>) -> Result<usize, String> {
        let probes = &told.probes;
        let found = match to {
            Some(to) => probes.iter().position(|own| {
                let other = own.to.as_deref().unwrap_or_default();
                matches!(own.spot, Spot::Between(..))
                    && own.what == what
                    && own.at.eq_ignore_ascii_case(at)
                    && other.eq_ignore_ascii_case(to)
            }),
            None => self
                .read
                .iter()
                .find(|(name, own, _)| *own == what && name.eq_ignore_ascii_case(at))
                .map(|(_, _, probe)| *probe),
        };
        let is_told = |probe: usize| {
            let healthy = told.healthy.get(probe).copied().flatten();
            let drawn = told.drawn.get(probe).is_some_and(Option::is_some);
            healthy.is_some() && drawn
        };
        match found {
            Some(probe) if is_told(probe) => Ok(probe),
            Some(_) => Err("how far healthy sets differ there is not known".to_owned()),
            None => {
                let unknown = self.unknown.iter();
                let because = unknown
                    .filter(|(name, own, _)| *own == what && name.eq_ignore_ascii_case(at))
                    .map(|(_, _, because)| because.clone())
                    .next();
                Err(because
                    .unwrap_or_else(|| format!("the sheet predicts no such reading at {at}")))
            }
        }
    }
}

/// A set of which something is to be foretold.
pub(crate) struct Foretelling<'m, 's> {
    so_far: &'m SheetSoFar,
    model: &'m SetModel<'s>,
    foreteller: Foreteller<'m, 's>,
    /// How many hypotheses there are.
    hypotheses: usize,
}

impl<'m, 's> Foretelling<'m, 's> {
    /// Makes ready what all conditions share.
    pub fn new(
        so_far: &'m SheetSoFar,
        model: &'m SetModel<'s>,
        hypotheses: &Hypotheses,
    ) -> Foretelling<'m, 's> {
        Foretelling {
            so_far,
            model,
            foreteller: Foreteller::new(model, hypotheses),
            hypotheses: hypotheses.list.len(),
        }
    }

    /// Foretells the readings asked for under these conditions, and all that else may be read.
    pub fn under(
        &self,
        book: &mut Logbook,
        conditions: &BenchConditions,
        asked: &[Asked<'_>],
    ) -> Result<(Foretold, Names), String> {
        self.of_some(book, conditions, asked, None)
    }

    /// All that may be read under further conditions, for some hypotheses alone; `like` is what is
    /// foretold of all under others.
    pub fn under_for(
        &self,
        book: &mut Logbook,
        conditions: &BenchConditions,
        hypotheses: &[usize],
        like: &[Foretold],
    ) -> Result<(Foretold, Names), String> {
        self.of_some(book, conditions, &[], Some((hypotheses, like)))
    }

    fn of_some(
        &self,
        book: &mut Logbook,
        conditions: &BenchConditions,
        asked: &[Asked<'_>],
        some: Option<(&[usize], &[Foretold])>,
    ) -> Result<(Foretold, Names), String> {
        let (so_far, model) = (self.so_far, self.model);
        let foresight = outline_of(book, so_far, model, conditions);
        let foresight = foresight.map_err(|error| error.to_string())?;
        let told: HashSet<(&str, What)> = foresight
            .readings
            .iter()
            .map(|own| (own.at.as_str(), own.what))
            .collect();
        let safe: HashSet<&str> = foresight.safe.iter().map(String::as_str).collect();
        let is_asked = |probe: &Probe| {
            asked.iter().any(|(at, to, what)| {
                to.is_none() && *what == probe.what && at.eq_ignore_ascii_case(&probe.at)
            })
        };
        let mut probes: Vec<Probe> = Vec::new();
        let mut names = Vec::new();
        for probe in all_probes(model, None) {
            let may_be_read = match probe.what {
                What::DcVolts | What::RippleVoltsPeakToPeak => safe.contains(probe.at.as_str()),
                // Heater volts tell how a heater glows.
                What::LineWatts | What::HeaterVoltsRms => true,
                _ => false,
            };
            if !told.contains(&(probe.at.as_str(), probe.what))
                || !(may_be_read || is_asked(&probe))
            {
                continue;
            }
            let known = probes
                .iter()
                .position(|own| own.spot == probe.spot && own.what == probe.what);
            let at = known.unwrap_or(probes.len());
            names.push((probe.at.clone(), probe.what, at));
            if known.is_none() {
                probes.push(probe);
            }
        }
        for (at, to, what) in asked {
            let Some(to) = to else { continue };
            let junction = |name: &str| model.junction(model.places.find(name).ok()?);
            let told = |name: &str| {
                told.iter()
                    .any(|(own, what)| *what == What::DcVolts && own.eq_ignore_ascii_case(name))
            };
            if let (Some(one), Some(other)) = (junction(at), junction(to))
                && *what == What::DcVolts
                && one != other
                && told(at)
                && told(to)
            {
                probes.push(Probe {
                    at: (*at).to_owned(),
                    to: Some((*to).to_owned()),
                    what: *what,
                    spot: Spot::Between(one, other),
                });
            }
        }
        let foretold = self.kept_or_worked_out(book, conditions, &probes, some)?;
        let unknown = foresight.unknown.into_iter();
        let unknown = unknown.map(|own| (own.at, own.what, own.because));
        let names = Names {
            read: names,
            unknown: unknown.collect(),
        };
        Ok((foretold, names))
    }

    /// What is foretold, kept or worked out.
    fn kept_or_worked_out(
        &self,
        book: &mut Logbook,
        conditions: &BenchConditions,
        probes: &[Probe],
        some: Option<(&[usize], &[Foretold])>,
    ) -> Result<Foretold, String> {
        let read: Vec<String> = probes
            .iter()
            .map(|own| {
                let to = own.to.as_deref().unwrap_or("chassis");
                format!("{} {to} {}", own.at, own.what.name())
            })
            .collect();
        let of = some.map(|(hypotheses, like)| {
            let like: Vec<&BenchConditions> = like.iter().map(|own| &own.conditions).collect();
            (hypotheses, like)
        });
        let rests_on = format!(
            "suspects {KEPT} {of:?}\n{conditions:?}\n{}\n{}",
            read.join(", "),
            self.so_far.rests_on()
        );
        let kept = book.worked_out(&rests_on).ok().flatten();
        let fits = |told: &Foretold| told.faulty.len() == self.hypotheses;
        if let Some(told) = kept.and_then(|bytes| from_bytes(&bytes, conditions, probes))
            && fits(&told)
        {
            return Ok(told);
        }
        let told = match some {
            None => self.foreteller.under(conditions, probes),
            Some((own, like)) => self.foreteller.under_for(conditions, probes, own, like),
        };
        let told = told.map_err(|error| error.to_string())?;
        let Some(bytes) = to_bytes(&told) else {
            return Ok(told);
        };
        // What cannot be kept is worked out again the next time.
        let _ = book.keep_worked_out(&rests_on, &bytes);
        Ok(from_bytes(&bytes, conditions, probes).unwrap_or(told))
    }
}
