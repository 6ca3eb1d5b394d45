//! Builds one step of the plan from acts that the rules have let pass.
//!
//! Units: as the acts say. Every act is judged by the table of hazards in the situation
//! in which it would be done; what it changes (plug out, lamp in, feed open) holds for
//! the acts after it, through [`PlanState`]. A refused act is never shown: it makes the
//! step fail with [`PlanError::Refused`], which is a fault of ours. A step is shown with
//! the cautions of its acts; a caution that hangs on no act is told once, the usual ones
//! in every energised step.

use std::collections::{BTreeMap, BTreeSet};

use circuit::CircuitError;

use crate::conditions::BenchConditions;
use crate::expect::ExpectError;
use crate::hazard::{
    self, Act, ActKind, ActPlace, Connected, Cord, Isolation, PULL_THE_PLUG_FIRST, Replacement,
    Setting, Situation, StoredCharge, TableFault, Treatment, USUAL_STORED_CHARGE,
    USUAL_WHILE_ENERGISED, Verdict,
};
use crate::plan::Step;
use crate::wiring::{SetModel, WiringError};

use super::situation::situation_of;
use super::step_kind::StepKind;

/// Why no plan was made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// The plan wanted an act that must not be advised: a fault of ours.
    #[error("the plan is at fault in \"{step}\": \"{act}\" must not be advised, because {because}")]
    Refused {
        /// Title of the step.
        step: String,
        /// The act in words.
        act: String,
        /// Every rule it breaks, with the reason.
        because: String,
    },
    /// The table of hazards built into the program cannot be used.
    #[error("{0}")]
    Table(TableFault),
    /// The sheet does not make a circuit.
    #[error("{0}")]
    Wiring(#[from] WiringError),
    /// A state of the set was not found.
    #[error("{0}")]
    Expect(#[from] ExpectError),
    /// A state of the set was not found.
    #[error("no settled state was found: {0}")]
    NotSettled(#[from] CircuitError),
}

/// What holds between the steps: the situation, and what was told already.
#[derive(Debug, Clone)]
pub struct PlanState {
    /// What is known of set and bench now.
    pub situation: Situation,
    /// Number of the last step made.
    pub steps: usize,
    told: BTreeSet<String>,
    counts: BTreeMap<&'static str, usize>,
}

impl PlanState {
    /// The state before the first step.
    pub fn new(model: &SetModel<'_>) -> PlanState {
        PlanState {
            situation: situation_of(model),
            steps: 0,
            told: BTreeSet::new(),
            counts: BTreeMap::new(),
        }
    }

    /// Begins a step.
    pub fn step<'p>(
        &'p mut self,
        kind: StepKind,
        title: impl Into<String>,
        because: impl Into<String>,
    ) -> StepBuilder<'p> {
        StepBuilder {
            state: self,
            kind,
            about: String::new(),
            title: title.into(),
            because: because.into(),
            acts: Vec::new(),
            sentences: Vec::new(),
            cautions: BTreeSet::new(),
            stop_signs: Vec::new(),
            refused: None,
        }
    }
}

/// One step on its way.
pub struct StepBuilder<'p> {
    state: &'p mut PlanState,
    kind: StepKind,
    about: String,
    title: String,
    because: String,
    acts: Vec<Act>,
    sentences: Vec<String>,
    cautions: BTreeSet<String>,
    stop_signs: Vec<&'static str>,
    refused: Option<PlanError>,
}

impl StepBuilder<'_> {
    /// The situation as the acts so far have made it.
    pub fn situation(&mut self) -> &mut Situation {
        &mut self.state.situation
    }

    /// The part that the step is about, where each of its kind is about one.
    pub fn about(&mut self, part: &str) -> &mut Self {
        part.clone_into(&mut self.about);
        self
    }

    /// Adds an act. The first refused one makes the whole step fail.
    pub fn act(&mut self, act: Act) -> &mut Self {
        let sentence = act.sentence();
        self.judged(act, sentence)
    }

    /// Adds two acts of which the restorer does one; both are judged.
    pub fn either(&mut self, one: Act, other: Act) -> &mut Self {
        // What has to come first is said once, behind the second.
        let shown = Act {
            charge: StoredCharge::Unknown,
            ..one.clone()
        };
        let sentence = format!("{} Or: {}", shown.sentence(), other.sentence());
        self.judged(one, sentence);
        let before = self.sentences.len();
        self.judged(other, String::new());
        self.sentences.truncate(before);
        self
    }

    fn judged(&mut self, act: Act, sentence: String) -> &mut Self {
        if self.refused.is_some() {
            return self;
        }
        let table = match hazard::table() {
            Ok(table) => table,
            Err(faults) => {
                self.refused = faults.first().cloned().map(PlanError::Table);
                return self;
            }
        };
        match table.judge(&act, &self.state.situation) {
            Verdict::Allowed { cautions } => {
                self.cautions
                    .extend(cautions.iter().map(|caution| caution.id.clone()));
                for sign in hazard::stop_signs(std::slice::from_ref(&act), &self.state.situation) {
                    if !self.stop_signs.contains(&sign.text) {
                        self.stop_signs.push(sign.text);
                    }
                }
                self.sentences.push(sentence);
                take_effect(&mut self.state.situation, &act);
                self.acts.push(act);
            }
            Verdict::Refused { rules } => {
                let because: Vec<String> = rules
                    .iter()
                    .map(|refusal| format!("{} ({})", refusal.because, refusal.rule))
                    .collect();
                self.refused = Some(PlanError::Refused {
                    step: self.title.clone(),
                    act: act.sentence(),
                    because: because.join("; "),
                });
            }
        }
        self
    }

    /// Adds acts of one kind at several places, each judged by itself, told in one
    /// sentence: that of the first act with the other places named beside its own.
    pub fn acts_together(&mut self, acts: Vec<Act>) -> &mut Self {
        let places: Vec<String> = acts.iter().map(|act| act.place.to_string()).collect();
        let before = self.sentences.len();
        for act in acts {
            self.act(act);
        }
        if self.sentences.len() > before + 1 {
            let first = self.sentences[before].replacen(&places[0], &places.join(", "), 1);
            self.sentences.truncate(before);
            self.sentences.push(first);
        }
        self
    }

    /// Adds a sentence that is no act: what to watch, how to read it, what a reading means.
    pub fn say(&mut self, sentence: impl Into<String>) -> &mut Self {
        self.sentences.push(sentence.into());
        self
    }

    /// The step, with empty readings for the caller to fill.
    ///
    /// # Errors
    /// The refused act, if there was one.
    pub fn finish(self) -> Result<Step, PlanError> {
        if let Some(error) = self.refused {
            return Err(error);
        }
        let table = hazard::table().map_err(first_fault)?;
        let energised = self.acts.iter().any(Act::is_under_power);
        let runs = self.acts.iter().any(Act::runs_the_set);
        let mut stop_signs = Vec::new();
        if energised {
            stop_signs.push(PULL_THE_PLUG_FIRST.to_owned());
            if !runs {
                stop_signs.push(
                    "here that is the plug of the d.c. source; the set's own plug is out all the time"
                        .to_owned(),
                );
            }
            stop_signs.extend(in_order(&self.stop_signs));
        }
        let mut cautions: Vec<String> = Vec::new();
        if energised {
            cautions.extend(USUAL_WHILE_ENERGISED.iter().map(|text| (*text).to_owned()));
        }
        for hazard in table.hazards() {
            if !self.cautions.contains(&hazard.id) {
                continue;
            }
            let hangs_on_no_act = hazard.trigger.holds(&[], &self.state.situation);
            let is_new = self.state.told.insert(hazard.id.clone());
            if is_new || !hangs_on_no_act {
                cautions.push(hazard.caution.clone());
            }
        }
        if energised || self.state.steps == 0 {
            cautions.extend(USUAL_STORED_CHARGE.iter().map(|text| (*text).to_owned()));
        }
        let mut seen = BTreeSet::new();
        cautions.retain(|caution| seen.insert(caution.clone()));
        self.state.steps += 1;
        let key = if self.kind.has_line_power() {
            let count = self.state.counts.entry(self.kind.name()).or_default();
            *count += 1;
            format!("{} {count}", self.kind.name())
        } else {
            format!("{} {}", self.kind.name(), self.about)
                .trim_end()
                .to_owned()
        };
        Ok(Step {
            number: self.state.steps,
            kind: self.kind,
            key,
            title: self.title,
            parts: Vec::new(),
            acts: self.sentences,
            conditions: BenchConditions::default(),
            energised,
            wait_seconds: 0.0,
            because: self.because,
            expect: Vec::new(),
            unknown: Vec::new(),
            stop: Vec::new(),
            stop_signs,
            live: Vec::new(),
            charged: Vec::new(),
            cautions,
            lamp: None,
        })
    }
}

fn first_fault(faults: &'static [TableFault]) -> PlanError {
    PlanError::Table(faults.first().cloned().unwrap_or(TableFault {
        line: 0,
        column: "",
        read: String::new(),
        expected: "a table",
    }))
}

/// The signs in their own order: the quickest to harm first.
fn in_order(signs: &[&'static str]) -> Vec<String> {
    hazard::STOP_SIGNS
        .iter()
        .filter(|sign| signs.contains(&sign.text))
        .map(|sign| sign.text.to_owned())
        .collect()
}

/// What an act that was done changes for those after it.
fn take_effect(situation: &mut Situation, act: &Act) {
    match act.kind {
        ActKind::PlugIn => situation.plug_in = Some(true),
        ActKind::PlugOut => situation.plug_in = Some(false),
        ActKind::Connect(Connected::IsolationTransformer) => {
            situation.isolation = Isolation::IsolationTransformer;
        }
        ActKind::Connect(Connected::VariableTransformer { .. }) => {
            situation.variable_transformer = true;
            if situation.isolation == Isolation::None {
                situation.isolation = Isolation::VariableAutotransformer;
            }
        }
        ActKind::Connect(Connected::LimiterLamp) => situation.limiter_lamp = true,
        ActKind::Connect(Connected::GroundedInstrument | Connected::OscilloscopeGround) => {
            situation.grounded_leads = situation.grounded_leads.saturating_add(1);
        }
        ActKind::Replace(Replacement::Cord) => situation.cord = Cord::New,
        ActKind::Replace(Replacement::Electrolytic { .. }) => {
            situation.electrolytic_replaced = true;
        }
        ActKind::Open => match act.place {
            ActPlace::SweepFeed(_) => situation.output_stage_fed = Some(false),
            ActPlace::Plug(_) => situation.load_missing = true,
            _ => {}
        },
        ActKind::Close => match act.place {
            ActPlace::SweepFeed(_) => situation.output_stage_fed = Some(true),
            ActPlace::Plug(_) => situation.load_missing = false,
            _ => {}
        },
        ActKind::Pull => match act.place {
            ActPlace::Tube(_) => situation.load_missing = true,
            ActPlace::PictureTubeSocket => situation.picture_socket_on = Some(false),
            ActPlace::TubeCap(_) | ActPlace::HorizontalOutputPlate(_) => {
                situation.loose_cap_lead = true;
            }
            _ => {}
        },
        ActKind::Fit => match act.place {
            ActPlace::PictureTubeSocket => situation.picture_socket_on = Some(true),
            ActPlace::PictureTubeCoating => situation.coating_grounded = Some(true),
            ActPlace::TubeCap(_) | ActPlace::HorizontalOutputPlate(_) => {
                situation.loose_cap_lead = false;
            }
            ActPlace::Cage => situation.cage_fitted = Some(true),
            _ => {}
        },
        ActKind::Set(Setting::LineVolts { volts, .. }) => situation.line_volts = Some(volts),
        ActKind::Set(Setting::BrightnessToMinimum) => situation.brightness_at_minimum = true,
        ActKind::Set(Setting::BrightnessUp) => situation.brightness_at_minimum = false,
        ActKind::Set(Setting::IonTrapForBrightest) => situation.ion_trap_set = true,
        ActKind::Treat(Treatment::SealAndHandIn) => situation.seen.clear(),
        ActKind::SwitchOn | ActKind::KeepRunning => situation.tubes_hot = Some(true),
        _ => {}
    }
}
