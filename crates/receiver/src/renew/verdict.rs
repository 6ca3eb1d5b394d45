//! Whether a part is replaced now, before long use, after a test, or left alone, and why.
//!
//! Chances are plain, from 0 to 1. The rules are common practice (`data/parts_trade.csv`): what can kill or burn,
//! and what takes along a part that cannot be bought again, comes first; parts that seldom fail, are matched, or belong to a
//! tuned circuit stay unless something speaks against them. What was found of the part itself, what readings say
//! of it, how it looks, and what it bears against its marking stand above the rules. Nothing here can fail.

use parts::Irreplaceable;

use crate::plan::capacitors::{CapacitorPlace, CapacitorReview, CapacitorState};
use crate::plan::situation::{Role, is_horizontal_output, is_named, role_junctions};
use crate::sections::Sections;
use crate::sheet::{CapacitorStyle, PartValue};
use crate::suspects::hypotheses::{Hypotheses, Suspect};
use crate::wiring::SetModel;

use super::burden::Burdens;
use super::right_part::parts_line_from_people;

/// Chance below which a part that was checked counts as good (judgement).
const SURE: f64 = 0.15;
/// Share of the marked volts from which a forming counts as one to the full rating.
const FORMED_IN_FULL: f64 = 0.98;
/// Weight among the suspects from which a part is as good as found.
const SUSPECTED: f64 = 0.5;

/// What is done with a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// Replaced before anything else: it is unsafe, or takes others along.
    Now,
    /// Replaced before the set is used for long.
    BeforeLongUse,
    /// Tested first.
    TestFirst,
    /// Left alone.
    Leave,
    /// Done already.
    Done,
}

impl Verdict {
    /// All of them, the most urgent first.
    pub const ALL: [Verdict; 5] = [
        Verdict::Now,
        Verdict::BeforeLongUse,
        Verdict::TestFirst,
        Verdict::Leave,
        Verdict::Done,
    ];

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Verdict::Now => "replace now",
            Verdict::BeforeLongUse => "replace before long use",
            Verdict::TestFirst => "test first",
            Verdict::Leave => "leave",
            Verdict::Done => "done",
        }
    }
}

/// What is known beside the sheet.
#[derive(Debug, Clone, Copy)]
pub struct Evidence<'a> {
    /// The ways of failing with what looks and checks have made of their chances.
    pub hypotheses: &'a Hypotheses,
    /// Weight of each suspect by the readings, where any were taken.
    pub weights: &'a [(Suspect, f64)],
    /// What was found of single parts, in words.
    pub found: &'a [(Suspect, String)],
    /// Electrolytics formed anew, by their position, each with the volts to which that went.
    pub formed: &'a [(usize, f64)],
}

/// The verdict on one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The verdict.
    pub verdict: Verdict,
    /// Reasons, the weightiest first.
    pub because: Vec<String>,
    /// How it is tested, where it is.
    pub test: String,
    /// The part that cannot be bought again and that it endangers.
    pub protects: Option<Irreplaceable>,
    /// Whether a person or the house is endangered.
    pub can_kill: bool,
    /// Chance that it has failed in one of the ways of its kind.
    pub chance_bad: Option<f64>,
}

/// What all verdicts on a set go by.
pub struct Judge<'a, 's> {
    /// The set.
    pub model: &'a SetModel<'s>,
    /// Its burdens.
    pub burdens: &'a Burdens,
    /// Its capacitors.
    pub reviews: &'a [CapacitorReview],
    /// Its sections.
    pub sections: &'a Sections,
    /// What is known.
    pub evidence: Evidence<'a>,
}

impl Judge<'_, '_> {
    /// The verdict on a part; `None` for wires and what has not been transcribed.
    #[must_use]
    pub fn part(&self, part: usize) -> Option<Judged> {
        let own = &self.model.sheet.parts[part];
        let suspect = Suspect::Part(part);
        let mut judged = match &own.value {
            PartValue::Wire | PartValue::Load { .. } | PartValue::Plug { .. } => return None,
            PartValue::Capacitor { style, .. } => self.capacitor(part, *style)?,
            PartValue::Resistor {
                ohms, watts, make, ..
            } => self.resistor(part, *ohms, *watts, *make),
            PartValue::Control { .. } => Judged::new(
                Verdict::TestFirst,
                "controls wear and gather dirt",
                "clean it with the power off, then turn it through with the ohmmeter on",
            ),
            PartValue::Selenium { .. } => Judged::new(
                Verdict::BeforeLongUse,
                "selenium ages in use and in rest: its drop rises, and when it burns its smoke is poisonous",
                "volts across it at load against those of a new one, five volts for five plates",
            ),
            PartValue::Thermistor { .. } | PartValue::Ballast { .. } => Judged::new(
                Verdict::TestFirst,
                "heat has worked on it for years",
                "its ohms cold, and the volts across it when the set is warm",
            ),
            PartValue::Switch { .. } => Judged::new(
                Verdict::TestFirst,
                "contacts of the line switch burn",
                "ohms across it closed, less than half an ohm, and open, no reading",
            ),
            PartValue::Silicon { .. } => Judged::new(
                Verdict::TestFirst,
                "silicon of the time had little margin in inverse volts",
                "diode range both ways, one end free",
            ),
            PartValue::Coil { .. } => Judged::new(
                Verdict::Leave,
                "coils cannot be had again and seldom fail: ohms tell",
                "its ohms against the sheet, power off",
            ),
            PartValue::Fuse { .. }
            | PartValue::Lamp(_)
            | PartValue::Crystal { .. }
            | PartValue::Neon { .. }
            | PartValue::Vdr { .. } => {
                Judged::new(Verdict::Leave, "it is replaced when it has failed", "")
            }
        };
        self.weigh(suspect, &own.reference, &mut judged);
        self.hold_against_forming(part, &mut judged);
        Some(judged)
    }

    /// The verdict on a tube.
    #[must_use]
    pub fn tube(&self, tube: usize) -> Judged {
        let own = &self.model.sheet.tubes[tube];
        let mut judged = if own.kind.is_picture_tube {
            Judged::new(
                Verdict::Leave,
                "it cannot be bought again: tested and recovered, not replaced",
                "`firstraster picture` leads through it",
            )
        } else {
            Judged::new(
                Verdict::Leave,
                "old tubes are seldom worn out: readings or a tester tell",
                "tester, or its volts and cathode current against `expect`",
            )
        };
        self.weigh(Suspect::Tube(tube), &own.reference, &mut judged);
        if own.kind.is_picture_tube && judged.verdict < Verdict::TestFirst {
            judged.verdict = Verdict::TestFirst;
        }
        judged
    }

    /// Chance that a suspect has failed in any way.
    #[must_use]
    pub fn chance_bad(&self, suspect: Suspect) -> Option<f64> {
        let mut all = self.evidence.hypotheses.of_suspect(suspect).peekable();
        all.peek()?;
        let good: f64 = all
            .filter(|own| !own.is_of_sheet())
            .map(|own| 1.0 / (1.0 + own.odds(1.0)))
            .product();
        Some(1.0 - good)
    }

    /// What was found of the part itself, and what the readings say, above the rules.
    fn weigh(&self, suspect: Suspect, reference: &str, judged: &mut Judged) {
        judged.chance_bad = self.chance_bad(suspect);
        let state = &self.model.sheet.state;
        if is_named(&state.replaced, reference) {
            judged.verdict = Verdict::Done;
            judged.because = vec!["it was replaced".to_owned()];
            judged.test.clear();
        }
        let condemned = self
            .evidence
            .hypotheses
            .of_suspect(suspect)
            .any(|own| own.condemned.is_some());
        let mut found = self.evidence.found.iter();
        let words = found
            .rfind(|(own, _)| *own == suspect)
            .map(|(_, words)| words.clone());
        if condemned {
            let urgent = judged.can_kill || judged.protects.is_some();
            let by_rule = judged.verdict == Verdict::Now;
            judged.verdict = if urgent || by_rule {
                Verdict::Now
            } else {
                Verdict::BeforeLongUse
            };
            let words = words.unwrap_or_else(|| "it was found bad".to_owned());
            judged.because.insert(0, format!("found: {words}"));
            return;
        }
        let weight = self
            .evidence
            .weights
            .iter()
            .find(|(own, _)| *own == suspect);
        if let Some((_, weight)) = weight
            && *weight >= SUSPECTED
        {
            if judged.verdict > Verdict::BeforeLongUse {
                judged.verdict = Verdict::TestFirst;
            }
            judged.because.insert(
                0,
                format!(
                    "the readings point at it: weight {:.0} of 100",
                    100.0 * weight
                ),
            );
        } else if let Some(words) = words
            && judged.chance_bad.is_some_and(|own| own < SURE)
            && !judged.can_kill
            && matches!(
                judged.verdict,
                Verdict::Now | Verdict::BeforeLongUse | Verdict::TestFirst
            )
        {
            judged.verdict = Verdict::Leave;
            judged
                .because
                .insert(0, format!("checked: {words}; watch it"));
        }
    }

    /// A can that was formed to fewer volts than the set puts on it counts as it did before it was formed: above those
    /// volts its oxide forms on, in the set, from a source that nothing limits.
    fn hold_against_forming(&self, part: usize, judged: &mut Judged) {
        let PartValue::Capacitor { style, volts, .. } = self.model.sheet.parts[part].value else {
            return;
        };
        let review = self.reviews.iter().find(|own| own.part == part);
        let Some(review) = review.filter(|own| own.state == CapacitorState::ReFormed) else {
            return;
        };
        let mut formed = self.evidence.formed.iter().rev();
        let (Some((_, formed)), Some(seen)) = (
            formed.find(|own| own.0 == part),
            &self.burdens.parts[part].volts,
        ) else {
            return;
        };
        let in_full = volts.is_some_and(|marked| *formed >= FORMED_IN_FULL * marked);
        // Told in whole volts, and held against one another in them.
        if in_full || seen.value.round() <= formed.round() {
            return;
        }
        let unformed = self.capacitor_by_place(part, style, review.place);
        judged.verdict = judged
            .verdict
            .min(unformed.verdict)
            .min(Verdict::BeforeLongUse);
        judged.test = unformed.test;
        judged.because.insert(
            0,
            format!(
                "it was formed anew to {formed:.0} V only, and the set puts {:.0} V on it, {}: form it on to that or more, outside the set, or replace it",
                seen.value,
                seen.case.words()
            ),
        );
    }

    fn capacitor(&self, part: usize, style: CapacitorStyle) -> Option<Judged> {
        let review = self.reviews.iter().find(|own| own.part == part)?;
        let place = review.place;
        let mut own = self.capacitor_by_place(part, style, place);
        if !review.risk.is_empty() {
            own.because.push(review.risk.clone());
        }
        match review.state {
            CapacitorState::CutLoose => {
                own.verdict = own.verdict.min(Verdict::BeforeLongUse);
                own.because.insert(
                    0,
                    "it is cut loose: its place waits for a new one".to_owned(),
                );
            }
            CapacitorState::ReFormed => {
                own.verdict = Verdict::Leave;
                own.because =
                    vec!["formed anew: watch its leakage and warmth in the first hours".to_owned()];
            }
            CapacitorState::Replaced | CapacitorState::AsFound => {}
        }
        let burden = &self.burdens.parts[part];
        if let (
            PartValue::Capacitor {
                volts: Some(marked),
                ..
            },
            Some(seen),
        ) = (&self.model.sheet.parts[part].value, &burden.volts)
            && seen.value > 1.1 * marked
            && own.verdict == Verdict::Leave
        {
            own.verdict = Verdict::TestFirst;
            own.because.insert(
                0,
                format!(
                    "it sees {:.0} V, {}, and is marked {marked:.0}",
                    seen.value,
                    seen.case.words()
                ),
            );
        }
        Some(own)
    }

    fn capacitor_by_place(
        &self,
        part: usize,
        style: CapacitorStyle,
        place: CapacitorPlace,
    ) -> Judged {
        let paper = matches!(style, CapacitorStyle::Paper | CapacitorStyle::MouldedPaper);
        let electrolytic = style == CapacitorStyle::Electrolytic;
        let protects = self.protects(part, place);
        let antenna = !electrolytic && parts_line_from_people(self.model, part);
        let mut own = if place.safety_class().is_some() || antenna {
            let mut own = Judged::new(
                Verdict::Now,
                "no part of that time may stay on the line or between the line and what is touched",
                "",
            );
            own.can_kill = true;
            own
        } else if electrolytic {
            match place {
                CapacitorPlace::CathodeBypass => Judged::new(
                    Verdict::BeforeLongUse,
                    "small electrolytics dry out",
                    "capacitance and series resistance, one end free",
                ),
                _ => Judged::new(
                    Verdict::Now,
                    "before any power: replaced, or formed anew outside the set if the original is wanted",
                    "`firstraster reform` outside the set; then capacitance and series resistance",
                ),
            }
        } else if paper {
            let test = "leakage at working volts, one end free";
            let takes_along = protects.is_some()
                || matches!(place, CapacitorPlace::Coupling | CapacitorPlace::Boost);
            if takes_along {
                Judged::new(
                    Verdict::Now,
                    "nine of ten leak, and this one takes others along",
                    test,
                )
            } else {
                Judged::new(Verdict::BeforeLongUse, "nine of ten leak by now", test)
            }
        } else {
            let pulsed = self.burdens.parts[part].is_pulsed;
            match style {
                CapacitorStyle::Ceramic if pulsed => Judged::new(
                    Verdict::TestFirst,
                    "ceramic under pulses cracks and loses value: bars at the left of the picture tell",
                    "look for cracks; capacitance, one end free",
                ),
                CapacitorStyle::Mica | CapacitorStyle::Trimmer => Judged::new(
                    Verdict::Leave,
                    "mica seldom fails, and another one means aligning anew",
                    "by its function; leakage with one end free",
                ),
                CapacitorStyle::Film => Judged::new(
                    Verdict::Leave,
                    "film of the time seldom fails",
                    "leakage, one end free, on suspicion",
                ),
                _ => Judged::new(
                    Verdict::Leave,
                    "ceramic seldom fails",
                    "leakage, one end free, on suspicion",
                ),
            }
        };
        own.protects = protects;
        own
    }

    /// The part that cannot be bought again and that a capacitor at this place endangers.
    fn protects(&self, part: usize, place: CapacitorPlace) -> Option<Irreplaceable> {
        let model = self.model;
        let ends = model.part_ends[part];
        let at = |tube: usize, roles: &[Role]| {
            let junctions = role_junctions(model, tube, roles);
            ends[..2]
                .iter()
                .flatten()
                .any(|end| Some(*end) != model.chassis && junctions.contains(end))
        };
        let transformer = || {
            let own = !model.transformer_firsts().is_empty();
            own.then_some(Irreplaceable::PowerTransformer)
        };
        match place {
            CapacitorPlace::Filter | CapacitorPlace::Doubler | CapacitorPlace::SupplyBypass => {
                transformer()
            }
            CapacitorPlace::Boost => Some(Irreplaceable::Flyback),
            CapacitorPlace::PictureTube | CapacitorPlace::PictureTubeCathode => {
                Some(Irreplaceable::PictureTube)
            }
            CapacitorPlace::NegativeLine => Some(Irreplaceable::Flyback),
            CapacitorPlace::Coupling | CapacitorPlace::GridBypass => {
                let tubes = model.sheet.tubes.iter().enumerate();
                let mut found = None;
                for (tube, own) in tubes {
                    if own.kind.is_picture_tube
                        && at(tube, &[Role::Cathode, Role::ControlGrid, Role::Screen])
                    {
                        found = Some(Irreplaceable::PictureTube);
                    } else if is_horizontal_output(own) && at(tube, &[Role::ControlGrid]) {
                        return Some(Irreplaceable::Flyback);
                    }
                }
                found
            }
            _ => None,
        }
    }
}

impl Judged {
    pub(super) fn new(verdict: Verdict, because: &str, test: &str) -> Judged {
        Judged {
            verdict,
            because: vec![because.to_owned()],
            test: test.to_owned(),
            protects: None,
            can_kill: false,
            chance_bad: None,
        }
    }
}
