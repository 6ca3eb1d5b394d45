//! The readings of a restoration that may tell which part is bad, and how the set stood for each.
//!
//! Units of the readings. A reading belongs to the set as it is now unless a part that was in
//! circuit for it was replaced since, a can was formed anew or something else was changed; a part
//! cut loose or put back is no such change but part of how the set stood. Of several readings of
//! one thing in the same conditions the last counts. What is not weighed says why. Nothing here
//! fails.

use logbook::{Fact, Measured, StandingFact, StepEvent};
use receiver::conditions::BenchConditions;
use receiver::judge_reading::TakenReading;
use receiver::reading::What;
use receiver::sheet::Sheet;

use crate::check_conditions::fitting;
use crate::judge_entry::{bench_conditions, taken};
use crate::lamp_words::lamp_volts;
use crate::reading_words::last_figure;
use crate::sheet_so_far::is_cut_loose;
use crate::trouble::Trouble;

/// Seconds after switch-on from which a set counts as settled (judgement: heaters and thermistors
/// have come up within three minutes).
const SETTLED_SECONDS: f64 = 180.0;

/// A reading of the restoration.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Gathered {
    /// Number of its entry.
    pub entry: u64,
    /// Place, tube or part.
    pub at: String,
    /// Where the other lead was; `None` is the chassis.
    pub to: Option<String>,
    /// Its kind, as it is answered.
    pub what: &'static str,
    /// The value in the unit of `what`; infinite for an open place.
    pub value: f64,
    /// How far it may be off, in the same unit, where the words tell; `None` leaves it to the meter.
    pub doubt: Option<f64>,
    /// Standard deviation by the last figure that was typed, in the same unit.
    pub rounded: f64,
    /// Whether it counts.
    pub stands: Stands,
}

/// Standard deviations in half of the way from end to end of an even spread.
const EVEN: f64 = 1.732;

/// Whether a reading counts for the set as it is now.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Stands {
    /// It does, under these conditions.
    Now(What, Box<BenchConditions>),
    /// It belongs to the set as it was before an entry.
    Former {
        /// The entry that changed the set.
        since: u64,
        /// What it changed.
        because: String,
    },
    /// Nothing is made of it.
    Unused {
        /// Why.
        because: String,
    },
}

/// Something that ends what readings before it tell.
pub(crate) struct Ending {
    /// Number of the entry.
    pub entry: u64,
    /// The part; empty where it is none of the sheet.
    part: String,
    /// What it changed.
    pub because: String,
}

/// Everything that changed the set, in order: parts replaced, cans formed anew, other changes but cutting
/// loose and putting back.
pub(crate) fn endings(sheet: &Sheet, facts: &[StandingFact<'_>]) -> Vec<Ending> {
    let ends = |one: &StandingFact<'_>| match one.fact {
        Fact::Changed(changed) => {
            let part = reference(sheet, &changed.what);
            match (is_cut_loose(&changed.is), &part) {
                (Some(_), Some(_)) => None,
                _ => Some((
                    part.unwrap_or_default(),
                    format!("{} was changed", changed.what.trim()),
                )),
            }
        }
        Fact::Fitted(fitted) => Some((
            reference(sheet, &fitted.part).unwrap_or_default(),
            format!("{} was replaced", fitted.part.trim()),
        )),
        Fact::Stepped(stepped) if stepped.event == StepEvent::Done => {
            let part = stepped.key.strip_prefix("re_forming ")?;
            Some((
                reference(sheet, part).unwrap_or_default(),
                format!("{part} was formed anew"),
            ))
        }
        _ => None,
    };
    facts
        .iter()
        .filter_map(|one| {
            let (part, because) = ends(one)?;
            Some(Ending {
                entry: one.number,
                part,
                because,
            })
        })
        .collect()
}

/// A part or tube as the sheet spells it.
fn reference(sheet: &Sheet, name: &str) -> Option<String> {
    let part = sheet.part(name.trim()).map(|part| part.reference.clone());
    part.or_else(|| sheet.tube(name.trim()).map(|tube| tube.reference.clone()))
}

/// All readings among the facts. `sheet` is that on which the fault is hunted.
pub(crate) fn gather(sheet: &Sheet, facts: &[StandingFact<'_>]) -> Vec<Gathered> {
    let mut loose: Vec<String> = Vec::new();
    let mut found: Vec<(Gathered, Vec<String>)> = Vec::new();
    for one in facts {
        match one.fact {
            Fact::Measured(measured) => {
                let own = gathered(sheet, one.number, measured, &loose);
                let out = out_of_circuit(measured, &loose);
                found.push((own, out));
            }
            Fact::Changed(changed) => {
                match (is_cut_loose(&changed.is), reference(sheet, &changed.what)) {
                    (Some(true), Some(part))
                        if !loose.contains(&part) && !sheet.state.cut_loose.contains(&part) =>
                    {
                        loose.push(part);
                    }
                    (Some(false), Some(part)) => loose.retain(|own| *own != part),
                    _ => {}
                }
            }
            Fact::Fitted(fitted) => {
                if let Some(part) = reference(sheet, &fitted.part) {
                    loose.retain(|own| *own != part);
                }
            }
            _ => {}
        }
    }
    let endings = endings(sheet, facts);
    for (own, out) in &mut found {
        let is_out = |part: &String| {
            !part.is_empty() && out.iter().any(|other| other.eq_ignore_ascii_case(part))
        };
        let ended = endings
            .iter()
            .find(|ending| ending.entry > own.entry && !is_out(&ending.part));
        if let Some(ending) = ended {
            own.stands = Stands::Former {
                since: ending.entry,
                because: ending.because.clone(),
            };
        }
    }
    let mut found: Vec<Gathered> = found.into_iter().map(|(own, _)| own).collect();
    keep_the_last(&mut found);
    found
}

/// Tubes and parts that the reading did not feel.
fn out_of_circuit(measured: &Measured, loose: &[String]) -> Vec<String> {
    let conditions = &measured.conditions;
    let said = conditions.pulled.iter().chain(&conditions.fitted_without);
    said.chain(loose).cloned().collect()
}

fn gathered(sheet: &Sheet, entry: u64, measured: &Measured, loose: &[String]) -> Gathered {
    let stands = match taken(measured) {
        None => Stands::Unused {
            because: "nothing is foretold for this kind of reading".to_owned(),
        },
        Some(taken) => match conditions(sheet, measured, &taken, loose) {
            Ok(conditions) => Stands::Now(taken.what, Box::new(conditions)),
            Err(because) => Stands::Unused { because },
        },
    };
    let is_chassis = measured.to.is_empty() || measured.to.eq_ignore_ascii_case("chassis");
    Gathered {
        entry,
        at: measured.place.clone(),
        to: (!is_chassis).then(|| measured.to.clone()),
        what: measured.what.name(),
        value: measured.value,
        doubt: lamp_volts(&measured.typed)
            .filter(|_| measured.what == logbook::What::LampVoltsRms)
            .map(|own| own.1 / EVEN),
        rounded: last_figure(&measured.place, &measured.typed, measured.what)
            .map_or(0.0, |step| 0.5 * step / EVEN),
        stands,
    }
}

/// How the set stood, in one spelling, or why the reading is not weighed.
fn conditions(
    sheet: &Sheet,
    measured: &Measured,
    taken: &TakenReading,
    loose: &[String],
) -> Result<BenchConditions, String> {
    let said = &measured.conditions;
    let is_cold = taken.what == What::Ohms;
    if !is_cold && !taken.value.is_finite() {
        return Err("an open place is no figure".to_owned());
    }
    if !said.dc.is_empty() {
        return Err("readings on a d.c. source are not weighed yet".to_owned());
    }
    if !is_cold && said.plug_out {
        return Err("the plug was out".to_owned());
    }
    if let Some(seconds) = said
        .seconds
        .filter(|seconds| !is_cold && *seconds < SETTLED_SECONDS)
    {
        return Err(format!(
            "read {seconds:.0} s after switch-on; the set counts as warm after {SETTLED_SECONDS:.0} s"
        ));
    }
    let mut conditions = BenchConditions {
        seconds: None,
        ..bench_conditions(said, &measured.meter)?
    };
    if is_cold {
        // With the plug out only what is out of circuit counts.
        conditions = BenchConditions {
            pulled: conditions.pulled,
            open: conditions.open,
            fitted_without: conditions.fitted_without,
            bands: true,
            ..BenchConditions::default()
        };
    }
    conditions.fitted_without.extend(loose.iter().cloned());
    let mut conditions = fitting(&conditions, sheet).map_err(|trouble| match trouble {
        Trouble::Input { faults } => {
            let texts: Vec<String> = faults.into_iter().map(|fault| fault.text).collect();
            texts.join("; ")
        }
        other => other.to_string(),
    })?;
    // What the sheet has loose already is loose in every reading.
    let state = &sheet.state.cut_loose;
    conditions
        .fitted_without
        .retain(|part| !state.contains(part));
    let lists = [
        &mut conditions.pulled,
        &mut conditions.open,
        &mut conditions.fitted_without,
    ];
    for list in lists {
        list.sort();
        list.dedup();
    }
    Ok(conditions)
}

/// Of several readings of one thing in the same conditions the last counts.
fn keep_the_last(found: &mut [Gathered]) {
    for at in (0..found.len()).rev() {
        let (before, rest) = found.split_at_mut(at);
        let Some(own) = rest.first() else { continue };
        let Stands::Now(..) = own.stands else {
            continue;
        };
        for earlier in before {
            let is_same = earlier.what == own.what
                && earlier.at.eq_ignore_ascii_case(&own.at)
                && earlier.to == own.to
                && earlier.stands == own.stands;
            if is_same {
                earlier.stands = Stands::Unused {
                    because: format!("read again in entry {}", own.entry),
                };
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_facts::with_standing;
    use logbook::{Changed, Conditions, Fitted, Stepped};
    use receiver::sheet::read_sheet;

    const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");

    fn volts(place: &str, value: f64, conditions: Conditions) -> Fact {
        Fact::Measured(Measured {
            place: place.to_owned(),
            to: String::new(),
            what: logbook::What::DcVolts,
            typed: format!("{value} V"),
            value,
            meter: "10M".to_owned(),
            conditions,
            note: String::new(),
        })
    }

    fn on_line() -> Conditions {
        Conditions {
            line_volts: Some(117.0),
            ..Conditions::default()
        }
    }

    fn changed(what: &str, is: &str) -> Fact {
        Fact::Changed(Changed {
            what: what.to_owned(),
            is: is.to_owned(),
            ..Changed::default()
        })
    }

    fn fitted(part: &str) -> Fact {
        Fact::Fitted(Fitted {
            part: part.to_owned(),
            new: "new".to_owned(),
            ..Fitted::default()
        })
    }

    /// One word a reading: now, the entry that ended it, or why not.
    fn told(facts: &[Fact]) -> Vec<String> {
        let catalogue = crate::catalogue().expect("sound");
        let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
        with_standing(facts, |standing| gather(&sheet, standing))
            .into_iter()
            .map(|own| match own.stands {
                Stands::Now(_, conditions) => {
                    format!("now {}", conditions.fitted_without.join(" "))
                        .trim()
                        .to_owned()
                }
                Stands::Former { since, .. } => format!("before {since}"),
                Stands::Unused { because } => because,
            })
            .collect()
    }

    #[test]
    fn a_repair_makes_earlier_readings_those_of_a_former_state() {
        let one = || volts("V15.5", 2.0, on_line());
        assert_eq!(told(&[one()]), ["now"]);
        assert_eq!(told(&[one(), fitted("C50")]), ["before 2"]);
        assert_eq!(
            told(&[one(), fitted("c50"), volts("V15.5", -18.0, on_line())]),
            ["before 2", "now"]
        );
        assert_eq!(
            told(&[one(), changed("height control", "in the middle")]),
            ["before 2"]
        );
        let formed = Fact::Stepped(Stepped {
            step: "form C1A".to_owned(),
            key: "re_forming C1A".to_owned(),
            event: StepEvent::Done,
            because: String::new(),
            leaves_unknown: String::new(),
        });
        assert_eq!(told(&[one(), formed]), ["before 2"]);
    }

    #[test]
    fn a_part_cut_loose_goes_with_each_reading() {
        let one = |value| volts("V15.5", value, on_line());
        let loose = changed("C50", "cut loose");
        assert_eq!(
            told(&[one(2.0), loose.clone(), one(-18.0)]),
            ["now", "now C50"]
        );
        // It was out of circuit when it was read: another one says nothing against that.
        assert_eq!(
            told(&[one(2.0), loose.clone(), one(-18.0), fitted("C50")]),
            ["before 4", "now C50"]
        );
        assert_eq!(
            told(&[loose, one(-18.0), changed("C50", "put back"), one(2.0)]),
            ["now C50", "now"]
        );
        // The sheet has C40 loose.
        assert_eq!(told(&[changed("C40", "lifted"), one(2.0)]), ["now"]);
    }

    #[test]
    fn the_last_of_equal_readings_counts() {
        let lamp = Conditions {
            lamp_watts: vec![100.0],
            ..on_line()
        };
        assert_eq!(
            told(&[
                volts("V9.5", 100.0, on_line()),
                volts("v9.5", 101.0, on_line()),
                volts("V9.5", 80.0, lamp),
            ]),
            ["read again in entry 2", "now", "now"]
        );
    }

    #[test]
    fn what_is_not_weighed_says_why() {
        let with = |change: fn(&mut Conditions)| {
            let mut own = on_line();
            change(&mut own);
            volts("V9.5", 100.0, own)
        };
        let said = told(&[
            with(|own| own.seconds = Some(45.0)),
            with(|own| own.seconds = Some(300.0)),
            with(|own| own.plug_out = true),
            with(|own| own.dc = "B+ main 300 V 47k".to_owned()),
            with(|own| own.pulled = vec!["V99".to_owned()]),
            volts("V9.5", f64::INFINITY, on_line()),
        ]);
        for (said, wanted) in said.iter().zip([
            "45 s after switch-on",
            "now",
            "the plug was out",
            "d.c. source",
            "`V99` is no tube",
            "an open place",
        ]) {
            assert!(said.contains(wanted), "`{wanted}` is not in `{said}`");
        }
    }
}
