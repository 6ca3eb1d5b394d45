//! How far an interview has come: tubes, places, rows, what was left out.
//!
//! The sheet's text grows by each row that is taken, so every answer is judged
//! against the sheet with all answers before it. Places in bench notation.
//! Nothing here fails; answers are judged in `take_answer`.

use std::collections::BTreeMap;

use parts::{Catalogue, TubeType};

use super::interview::LeftOut;
use super::pattern::{End, PatternQuestion, QuestionForm, StagePattern};
use super::tube_pins::{Pins, Unit, pins_of, units};
use crate::sheet::{Sheet, read_sheet};
use crate::sheet_edit::{EditError, NewRow, ReferenceUse, SheetList, SheetOutline};

/// A tube that was answered.
#[derive(Debug, Clone)]
pub(super) struct StageTube {
    pub(super) reference: String,
    pub(super) type_name: String,
    pub(super) kind: Option<TubeType>,
    pub(super) units: Vec<Unit>,
    pub(super) unit: Option<Unit>,
    /// The places of its elements; `None` where the restorer did not know.
    pub(super) places: BTreeMap<String, Option<String>>,
    /// Elements that the tube has not.
    pub(super) absent: Vec<String>,
}

/// A question that the answer before it has raised.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Further {
    /// Which section of the tube.
    Section { tube: String },
    /// Which pin has the element; the pins it is on, or none where no map is recorded.
    Pin {
        tube: String,
        element: String,
        pins: Vec<String>,
    },
}

/// What an end is, as far as the answers tell.
pub(super) enum EndState {
    Known(String),
    /// The tube has no such element, so there is nothing to write.
    Absent(String),
    Unknown(String),
}

/// The state of an interview.
#[derive(Debug, Clone)]
pub(super) struct Progress {
    pub(super) at: usize,
    pub(super) further: Vec<Further>,
    pub(super) tubes: BTreeMap<String, StageTube>,
    /// Places and transformers; `None` where there was no answer.
    pub(super) named: BTreeMap<String, Option<String>>,
    pub(super) rows: Vec<NewRow>,
    pub(super) left_out: Vec<LeftOut>,
    /// The sheet with the rows so far.
    pub(super) text: String,
    pub(super) references: Vec<ReferenceUse>,
    /// Those that the sheet had before the interview, with their lines in the file.
    pub(super) in_file: Vec<ReferenceUse>,
    first_tube: Option<String>,
    own: BTreeMap<String, String>,
}

impl Progress {
    pub(super) fn new(text: &str) -> Result<Progress, EditError> {
        let references = SheetOutline::of(text)?.references();
        Ok(Progress {
            at: 0,
            further: Vec::new(),
            tubes: BTreeMap::new(),
            named: BTreeMap::new(),
            rows: Vec::new(),
            left_out: Vec::new(),
            in_file: references.clone(),
            references,
            text: text.to_string(),
            first_tube: None,
            own: BTreeMap::new(),
        })
    }

    /// The tubes that the stage has, in the order of the pattern.
    pub(super) fn tube_references(&self, pattern: &StagePattern) -> Vec<String> {
        let mut references: Vec<String> = Vec::new();
        for question in &pattern.questions {
            if let Some(tube) = self.tubes.get(&question.name)
                && !references.contains(&tube.reference)
            {
                references.push(tube.reference.clone());
            }
        }
        references
    }

    /// Passes over the questions that cannot be asked, and says what is left out.
    pub(super) fn advance(&mut self, pattern: &StagePattern) {
        while self.further.is_empty() {
            let Some(question) = pattern.questions.get(self.at) else {
                return;
            };
            let Some(because) = self.cannot_be_asked(question) else {
                return;
            };
            if !because.is_empty() {
                self.leave_out(&question.name, &because);
            }
            self.at += 1;
        }
    }

    pub(super) fn leave_out(&mut self, question: &str, because: &str) {
        self.left_out.push(LeftOut {
            question: question.to_string(),
            because: because.to_string(),
        });
    }

    /// Why a question has no sense here; empty if there is nothing to tell about it.
    fn cannot_be_asked(&mut self, question: &PatternQuestion) -> Option<String> {
        if let QuestionForm::Winding { transformer, .. } = &question.form
            && self.named.get(transformer).cloned().flatten().is_none()
        {
            return Some(format!("{transformer} is not known"));
        }
        let mut places = Vec::new();
        for end in question.form.ends() {
            match self.end(end) {
                EndState::Known(place) => places.push(place),
                EndState::Absent(because) | EndState::Unknown(because) => return Some(because),
            }
        }
        // Joined inside the tube: no part can be between them.
        match places.as_slice() {
            [from, to, ..] if from == to => Some(String::new()),
            _ => None,
        }
    }

    /// What an end is.
    pub(super) fn end(&mut self, end: &End) -> EndState {
        match end {
            End::Fixed(place) => EndState::Known(place.clone()),
            End::Own(name) => EndState::Known(self.own_place(name)),
            End::Asked(name) => match self.named.get(name) {
                Some(Some(place)) => EndState::Known(place.clone()),
                _ => EndState::Unknown(format!("{name} is not known")),
            },
            End::Element { tube, element } => {
                let Some(known) = self.tubes.get(tube) else {
                    return EndState::Unknown(format!("{tube} is not known"));
                };
                if known.absent.contains(element) {
                    return EndState::Absent(format!(
                        "{} has no pin for its {element}",
                        known.type_name
                    ));
                }
                match known.places.get(element) {
                    Some(Some(place)) => EndState::Known(place.clone()),
                    _ => EndState::Unknown(format!(
                        "the pin of the {element} of {} is not known",
                        known.reference
                    )),
                }
            }
        }
    }

    /// A name for a place that has none on the chassis, after the first tube of the stage.
    fn own_place(&mut self, name: &str) -> String {
        if let Some(known) = self.own.get(name) {
            return known.clone();
        }
        let base = match &self.first_tube {
            Some(tube) => format!("{tube} {name}"),
            None => name.to_string(),
        };
        let taken = place_names(&self.text);
        let mut place = base.clone();
        let mut number = 2;
        while taken.iter().any(|other| other.eq_ignore_ascii_case(&place)) {
            place = format!("{base} {number}");
            number += 1;
        }
        self.own.insert(name.to_string(), place.clone());
        place
    }

    /// Takes a tube in and raises the questions that its pins leave open.
    pub(super) fn enter_tube(
        &mut self,
        pattern: &StagePattern,
        question: &str,
        mut tube: StageTube,
    ) {
        if self.first_tube.is_none() {
            self.first_tube = Some(tube.reference.clone());
        }
        if tube.units.len() == 1 {
            tube.unit = tube.units.first().cloned();
        }
        let settled = tube.unit.is_some();
        self.tubes.insert(question.to_string(), tube);
        if settled {
            self.find_pins(pattern, question);
        } else {
            self.further.push(Further::Section {
                tube: question.to_string(),
            });
        }
    }

    /// Looks the elements up that the pattern needs; what the map does not settle is asked.
    pub(super) fn find_pins(&mut self, pattern: &StagePattern, question: &str) {
        let Some(tube) = self.tubes.get_mut(question) else {
            return;
        };
        for element in elements_of(pattern, question) {
            let found = match (&tube.kind, &tube.unit) {
                (Some(kind), Some(unit)) => pins_of(kind, unit, &element),
                _ => Pins::NotRecorded,
            };
            let mut ask = |pins: Vec<String>| {
                self.further.push(Further::Pin {
                    tube: question.to_string(),
                    element: element.clone(),
                    pins,
                });
            };
            match found {
                Pins::One(pin) => {
                    let place = format!("{}.{pin}", tube.reference);
                    tube.places.insert(element, Some(place));
                }
                Pins::Several(pins) => ask(pins),
                Pins::Absent => tube.absent.push(element),
                Pins::NotRecorded => ask(Vec::new()),
            }
        }
    }

    /// Where a reference stands, for a message.
    pub(super) fn where_it_stands(&self, reference: &str) -> String {
        let same = |one: &&ReferenceUse| one.reference.eq_ignore_ascii_case(reference);
        match self.in_file.iter().find(same) {
            Some(one) => format!("on line {}", one.line),
            None => "among the answers above".to_string(),
        }
    }

    /// The sheet with the rows so far, if it has no fault.
    pub(super) fn sheet(&self, catalogue: &Catalogue) -> Option<Sheet> {
        read_sheet(&self.text, catalogue).sheet
    }
}

/// The sections of a type that the need fits.
pub(super) fn units_for(kind: Option<&TubeType>, need: super::pattern::TubeNeed) -> Vec<Unit> {
    match kind {
        Some(kind) => units(kind, need),
        None => vec![Unit::whole()],
    }
}

/// The elements of a tube that the pattern puts parts on, in its order.
fn elements_of(pattern: &StagePattern, question: &str) -> Vec<String> {
    let mut elements: Vec<String> = Vec::new();
    for other in &pattern.questions {
        for end in other.form.ends() {
            if let End::Element { tube, element } = end
                && tube == question
                && !elements.contains(element)
            {
                elements.push(element.clone());
            }
        }
    }
    elements
}

/// The names of places that a text has, as written.
pub(super) fn place_names(text: &str) -> Vec<String> {
    let Ok(outline) = SheetOutline::of(text) else {
        return Vec::new();
    };
    let mut names: Vec<String> = Vec::new();
    for list in [SheetList::Windings, SheetList::Parts] {
        for row in outline.rows(list) {
            for column in 3..6 {
                let name = row.cell(column);
                if !name.is_empty() && !names.iter().any(|known| known == name) {
                    names.push(name.to_string());
                }
            }
        }
    }
    names
}
