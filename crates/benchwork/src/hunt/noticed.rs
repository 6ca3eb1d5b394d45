//! What was noticed beside the meter: facts read back as signs for the ranking.
//!
//! Words as they were entered; figures in the unit of the fault table's rows. Symptoms, signals and glow are
//! facts of what was seen, each under an area of its own; figures of single parts stand in the words of
//! what was found of them ("leaky, 200k at 300 volts"). What the set has changed since belongs to its former
//! state, as readings do. What is not understood says why; nothing here fails.

use logbook::{Fact, Seen, StandingFact};
use parts::Symptom;
use quantity::notation::{read_farads, read_ohms};
use receiver::suspects::by_itself::ByItself;
use receiver::suspects::hypotheses::{Hypotheses, Suspect};
use receiver::suspects::outcome::{Check, Found};
use receiver::suspects::signs::Sign;
use receiver::suspects::signs::changes::Warmth;
use receiver::suspects::signs::glow::Glow;
use receiver::suspects::signs::signal_way::SignalEnd;
use receiver::suspects::signs::signals::SignalCame;
use receiver::wiring::{FaultKind, SetModel};

use super::gather::Ending;
use super::outcomes::PartFound;
use super::waves::wave;

/// Areas under which signs are kept.
pub(crate) const SYMPTOMS: &str = "picture and sound";
pub(crate) const SIGNALS: &str = "signal";
pub(crate) const HEATERS: &str = "heaters";
/// What a symptom that the set does not show is kept with.
pub(crate) const SHOWN: &str = "seen";
pub(crate) const NOT_SHOWN: &str = "not seen";
/// Beginning of a signal's name.
pub(crate) const FROM: &str = "signal from ";
/// The place of a station's signal.
pub(crate) const STATION: &str = "the antenna";
/// Area of a disturbance with a tube out, and its words.
pub(crate) const PULLED: &str = "with a tube out";
pub(crate) const DISTURBANCE: &str = "disturbance at ";
pub(crate) const GONE: [(&str, bool); 2] = [("gone", true), ("the same", false)];
/// Area of what warmth does, and its words.
pub(crate) const WARMTH: &str = "as it warms up";
pub(crate) const COMPLAINT: &str = "complaint";
pub(crate) const WARMS: [(&str, Warmth); 2] = [("comes", Warmth::Comes), ("goes", Warmth::Goes)];
/// The thing that is noticed of a heater.
pub(crate) const GLOW: &str = "glow";

/// Ends by their words.
pub(crate) const ENDS: [(&str, SignalEnd); 4] = [
    ("the loudspeaker", SignalEnd::Ear),
    ("the screen", SignalEnd::Screen),
    ("the height", SignalEnd::Height),
    ("the width", SignalEnd::Width),
];

/// What comes of a signal, by its words.
pub(crate) const CAME: [(&str, SignalCame); 4] = [
    ("right", SignalCame::Right),
    ("weak", SignalCame::Weak),
    ("distorted", SignalCame::Bent),
    ("lost", SignalCame::Lost),
];

/// The word for what came of a signal.
pub(crate) fn came_word(came: SignalCame) -> &'static str {
    let own = CAME.iter().find(|own| own.1 == came);
    own.map_or("", |own| own.0)
}

/// How a heater glows, by its words.
pub(crate) const GLOWS: [(&str, Glow); 4] = [
    ("dark", Glow::Dark),
    ("dim", Glow::Dim),
    ("as usual", Glow::Usual),
    ("too bright", Glow::Bright),
];

/// Whether something was noticed of the running set, and is no thing that was looked at and found: its words, such as
/// `gone`, tell of what the set did.
pub(crate) fn is_noticed(seen: &Seen) -> bool {
    match seen.area.as_str() {
        SYMPTOMS | SIGNALS | PULLED => true,
        WARMTH => seen.thing == COMPLAINT,
        HEATERS => seen.thing == GLOW,
        _ => false,
    }
}

/// Whether a heater was seen dark; `None` of what is no look at a heater.
pub(crate) fn is_dark(seen: &Seen) -> Option<bool> {
    let is_glow = seen.area == HEATERS && seen.thing == GLOW;
    is_glow.then(|| GLOWS.contains(&(seen.found.as_str(), Glow::Dark)))
}

/// One thing noticed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Noticed {
    /// Number of its entry.
    pub entry: u64,
    /// In words.
    pub text: String,
    /// The same, understood, or why not.
    pub sign: Result<Sign, String>,
    /// The entry since which it belongs to a former state, and why.
    pub former: Option<(u64, String)>,
}

/// Everything noticed, in the order of the entries.
pub(crate) fn noticed(
    model: &SetModel<'_>,
    hypotheses: &Hypotheses,
    table: &[Symptom],
    facts: &[StandingFact<'_>],
    found: &[PartFound],
    endings: &[Ending],
) -> Vec<Noticed> {
    let former = |entry: u64| {
        let ended = endings.iter().find(|ending| ending.entry > entry);
        ended.map(|ending| (ending.entry, ending.because.clone()))
    };
    let mut all: Vec<Noticed> = Vec::new();
    for one in facts {
        let Fact::Seen(seen) = one.fact else { continue };
        if let Some((text, sign)) = of_seen(model, table, seen) {
            let former = former(one.number);
            // The last word on one thing holds.
            let is_same = |own: &Noticed| match (&own.sign, &sign) {
                (Ok(one), Ok(other)) => same_thing(one, other),
                _ => false,
            };
            all.retain(|own| own.former.is_some() != former.is_some() || !is_same(own));
            all.push(Noticed {
                entry: one.number,
                text,
                sign,
                former,
            });
        }
    }
    for own in found {
        let of_words = || match &own.outcome.found {
            Found::Bad(words) => figure_of(model, hypotheses, own.outcome.suspect, words),
            Found::Good(_) => None,
        };
        if let Some(figure) = own.figure.or_else(of_words) {
            // A trial tells of the fault that the set had then.
            let is_trial = matches!(figure.check, Check::Exchange | Check::Bridge);
            all.push(Noticed {
                entry: own.entry,
                text: format!("{}: {}", own.part, own.words),
                sign: Ok(Sign::Measured(figure)),
                former: former(own.entry).filter(|_| is_trial),
            });
        }
    }
    all.sort_by_key(|own| own.entry);
    all
}

/// Where a signal was fed in and watched for; `None` of other signs.
fn way_of(sign: &Sign) -> Option<(Option<usize>, SignalEnd)> {
    match sign {
        Sign::Signal { from, end, .. } | Sign::Wave { from, end, .. } => Some((*from, *end)),
        _ => None,
    }
}

/// Whether two signs are of one thing, so that the later one holds.
fn same_thing(one: &Sign, other: &Sign) -> bool {
    match (one, other) {
        (Sign::Symptom(one, _), Sign::Symptom(other, _)) => one == other,
        (Sign::Glow(one, _), Sign::Glow(other, _)) => one == other,
        (Sign::Warms(_), Sign::Warms(_)) => true,
        (
            Sign::Pulled { tube, end, .. },
            Sign::Pulled {
                tube: other,
                end: at,
                ..
            },
        ) => tube == other && end == at,
        _ => way_of(one).is_some() && way_of(one) == way_of(other),
    }
}

fn of_seen(
    model: &SetModel<'_>,
    table: &[Symptom],
    seen: &Seen,
) -> Option<(String, Result<Sign, String>)> {
    if !is_noticed(seen) {
        return None;
    }
    match seen.area.as_str() {
        SYMPTOMS => {
            let at = table.iter().position(|own| own.name == seen.thing);
            let shown = seen.found != NOT_SHOWN;
            let text = match shown {
                true => seen.thing.clone(),
                false => format!("not: {}", seen.thing),
            };
            let sign = at.map(|at| Sign::Symptom(at, shown));
            Some((
                text,
                sign.ok_or_else(|| "no symptom of the list".to_owned()),
            ))
        }
        SIGNALS => {
            let text = format!("{}: {}", seen.thing, seen.found);
            Some((text, signal(model, seen)))
        }
        PULLED => {
            let text = format!("{} with {} out: {}", seen.thing, seen.part, seen.found);
            let end = seen.thing.strip_prefix(DISTURBANCE).unwrap_or_default();
            let end = ENDS.iter().find(|own| own.0 == end).map(|own| own.1);
            let gone = GONE.iter().find(|own| own.0 == seen.found);
            let sign = match (model.tube_index(&seen.part), end, gone) {
                (Some(tube), Some(end), Some((_, gone))) => Ok(Sign::Pulled {
                    tube,
                    end,
                    gone: *gone,
                }),
                (None, ..) => Err(format!("{} is no tube of the sheet", seen.part)),
                _ => Err("these words are not understood".to_owned()),
            };
            Some((text, sign))
        }
        WARMTH => {
            let text = format!("the complaint {} as the set warms up", seen.found);
            let warmth = WARMS.iter().find(|own| own.0 == seen.found);
            let sign = warmth.map(|own| Sign::Warms(own.1));
            Some((
                text,
                sign.ok_or_else(|| "these words are not understood".to_owned()),
            ))
        }
        HEATERS => {
            let text = format!("the heater of {} is {}", seen.part, seen.found);
            let glow = GLOWS.iter().find(|own| own.0 == seen.found);
            let sign = match (model.tube_index(&seen.part), glow) {
                (Some(tube), Some((_, glow))) => Ok(Sign::Glow(tube, *glow)),
                (None, _) => Err(format!("{} is no tube of the sheet", seen.part)),
                (_, None) => Err(format!("{} is no word for a glow", seen.found)),
            };
            Some((text, sign))
        }
        _ => None,
    }
}

fn signal(model: &SetModel<'_>, seen: &Seen) -> Result<Sign, String> {
    let unknown = |what: &str| format!("{what} is not on the sheet");
    let way = seen.thing.strip_prefix(FROM).unwrap_or(&seen.thing);
    let junction = |place: &str| {
        let place = model.places.find(place).ok()?;
        model.junction(place)
    };
    let end_of = |words: &str| {
        let known = ENDS.iter().find(|own| own.0 == words).map(|own| own.1);
        known.or_else(|| junction(words).map(SignalEnd::Junction))
    };
    let from_of = |words: &str| match words {
        STATION => Some(None),
        place => junction(place).map(Some),
    };
    // Names of places may hold a "to" themselves.
    let splits = way.match_indices(" to ").map(|(at, _)| at);
    let both = splits
        .filter_map(|at| {
            let (from, end) = (way.get(..at)?, way.get(at + 4..)?);
            Some((from_of(from)?, end_of(end)?))
        })
        .next();
    let (from, end) = both.ok_or_else(|| unknown(way))?;
    if let Some(wave) = wave(&seen.found) {
        return Ok(Sign::Wave { from, end, wave });
    }
    let came = CAME.iter().find(|own| own.0 == seen.found);
    let (_, came) = came.ok_or_else(|| format!("{} is no word for a signal", seen.found))?;
    Ok(Sign::Signal {
        from,
        end,
        came: *came,
    })
}

/// The first figure in words that one of the part's faults can be told in.
fn figure_of(
    model: &SetModel<'_>,
    hypotheses: &Hypotheses,
    suspect: Suspect,
    words: &str,
) -> Option<ByItself> {
    let named = hypotheses.named_by(suspect, words);
    let kinds: Vec<&FaultKind> = named
        .iter()
        .filter_map(|at| hypotheses.list.get(*at))
        .map(|own| &own.kind)
        .collect();
    let Suspect::Part(part) = suspect else {
        return None;
    };
    let leaks = kinds
        .iter()
        .any(|kind| matches!(kind, FaultKind::CapacitorLeak(_) | FaultKind::Across(_)));
    let figure = |check: Check, value: f64| ByItself {
        suspect,
        check,
        value,
    };
    for text in figures_in(words) {
        if let Ok(farads) = read_farads(&text)
            && has_unit(&text)
            && model.farads(part).is_some()
        {
            return Some(figure(Check::Capacitance, farads.0));
        }
        if let Ok(ohms) = read_ohms(&text) {
            if leaks {
                return Some(figure(Check::Leakage, ohms.0));
            }
            // Ohms in series with a capacitor, and those of a can, are told by words alone.
            return model.ohms(part).map(|_| figure(Check::Ohms, ohms.0));
        }
    }
    None
}

/// Whether a figure tells farads: letters behind the number that are none of ohms.
fn has_unit(text: &str) -> bool {
    let lower = text.to_lowercase();
    ["mfd", "mmf", "uf", "nf", "pf", "µf", "μf"]
        .iter()
        .any(|unit| lower.contains(unit))
}

/// Words that begin with a figure, each alone and with the next word as its unit; figures of volts are left out.
fn figures_in(words: &str) -> Vec<String> {
    let all: Vec<&str> = words
        .split(|letter: char| letter.is_whitespace() || letter == ',' || letter == ';')
        .filter(|word| !word.is_empty())
        .collect();
    let mut found = Vec::new();
    for (at, word) in all.iter().enumerate() {
        let begins = |letter: char| letter.is_ascii_digit() || letter == '.';
        if !word.starts_with(begins) {
            continue;
        }
        let next = all.get(at + 1).map_or("", |next| next);
        let is_volts = |text: &str| {
            let lower = text.to_lowercase();
            lower.starts_with("volt") || lower == "v" || lower.ends_with('v')
        };
        if is_volts(next) || is_volts(word) {
            continue;
        }
        let units = ["ohm", "ohms", "k", "meg", "mfd", "mmf", "uf", "nf", "pf"];
        if units.contains(&next.to_lowercase().as_str()) {
            found.push(format!("{word} {next}"));
        } else {
            found.push((*word).to_owned());
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::gather::endings;
    use super::super::outcomes::outcomes;
    use super::*;
    use crate::test_facts::with_standing;
    use logbook::{Fitted, TestResult, Tested};
    use receiver::sheet::read_sheet;

    const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");

    fn with(facts: &[Fact], look: impl FnOnce(&SetModel<'_>, Vec<Noticed>)) {
        let catalogue = crate::catalogue().expect("sound");
        let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let hypotheses = Hypotheses::of(&model, catalogue);
        let table = parts::symptoms().expect("sound");
        with_standing(facts, |standing| {
            let found = outcomes(&model, standing);
            let endings = endings(&sheet, standing);
            let all = noticed(&model, &hypotheses, table, standing, &found, &endings);
            look(&model, all);
        });
    }

    fn seen(area: &str, thing: &str, found: &str) -> Fact {
        Fact::Seen(Seen {
            area: area.to_owned(),
            thing: thing.to_owned(),
            found: found.to_owned(),
            ..Seen::default()
        })
    }

    #[test]
    fn facts_are_read_back_as_signs() {
        let facts = [
            seen(SYMPTOMS, "snow", SHOWN),
            seen(
                SIGNALS,
                "signal from sync take-off to the loudspeaker",
                "lost",
            ),
            seen(SIGNALS, "signal from the antenna to V9.5", "right"),
            seen(SIGNALS, "signal from nowhere to V9.5", "right"),
            seen("wiring", "rubber covered wires", "crumbling"),
        ];
        with(&facts, |model, all| {
            let junction = |place: &str| {
                let place = model.places.find(place).expect("a place");
                model.junction(place)
            };
            assert_eq!(all.len(), 4);
            assert!(matches!(all[0].sign, Ok(Sign::Symptom(_, true))));
            assert!(
                matches!(all[1].sign, Ok(Sign::Signal { from, end: SignalEnd::Ear, came: SignalCame::Lost })
                    if from == junction("sync take-off"))
            );
            assert!(matches!(
                all[2].sign,
                Ok(Sign::Signal {
                    from: None,
                    end: SignalEnd::Junction(_),
                    ..
                })
            ));
            let because = all[3].sign.as_ref().expect_err("no such place");
            assert!(because.contains("not on the sheet"), "{because}");
        });
    }

    #[test]
    fn the_last_word_holds_and_a_repair_ends_it() {
        let facts = [
            seen(SYMPTOMS, "snow", SHOWN),
            seen(SYMPTOMS, "snow", NOT_SHOWN),
            Fact::Fitted(Fitted {
                part: "C50".to_owned(),
                new: "new".to_owned(),
                ..Fitted::default()
            }),
            seen(SYMPTOMS, "snow", SHOWN),
        ];
        with(&facts[..2], |_, all| {
            assert_eq!(all.len(), 1);
            assert!(matches!(all[0].sign, Ok(Sign::Symptom(_, false))));
        });
        with(&facts, |_, all| {
            let former: Vec<Option<u64>> = all
                .iter()
                .map(|own| own.former.as_ref().map(|former| former.0))
                .collect();
            assert_eq!(former, [Some(3), None]);
        });
    }

    #[test]
    fn figures_in_words_are_understood_and_volts_are_none() {
        let found = |part: &str, verdict: &str| {
            Fact::Tested(Tested {
                part: part.to_owned(),
                section: String::new(),
                type_number: String::new(),
                tester: String::new(),
                result: TestResult::Verdict(verdict.to_owned()),
                note: String::new(),
            })
        };
        let figure = |part: &str, verdict: &str| {
            let mut told = None;
            with(&[found(part, verdict)], |_, all| {
                told = all.first().and_then(|own| match own.sign {
                    Ok(Sign::Measured(figure)) => Some((figure.check, figure.value)),
                    _ => None,
                });
            });
            told
        };
        assert_eq!(
            figure("C50", "bad: leaky, 200k at 300 volts"),
            Some((Check::Leakage, 2e5))
        );
        assert_eq!(
            figure("C50", "bad: at 300 V it leaks 1.2 meg"),
            Some((Check::Leakage, 1.2e6))
        );
        let low = figure("C1A", "bad: low capacitance, 10 mfd");
        assert!(
            matches!(low, Some((Check::Capacitance, farads)) if (farads / 1e-5 - 1.0).abs() < 1e-9)
        );
        assert_eq!(figure("C50", "bad: leaky"), None);
        assert_eq!(figure("C50", "bad: leaky at 300 V"), None);
    }
}
