//! Reads the table of one pattern.
//!
//! A table is TOML with `name`, `title`, `look` and the list `ask`, one question
//! a line. All faults of a table come at once, each with the question it stands
//! in.

use toml_edit::{Document, InlineTable, Value};

use super::pattern::{End, PatternQuestion, QuestionForm, StagePattern, TubeNeed};
use crate::sheet::PartKind;

/// The keys that say what a question asks for.
const FORMS: [&str; 7] = [
    "tube",
    "place",
    "part",
    "wire",
    "transformer",
    "winding",
    "heaters",
];

/// A fault of a pattern's table.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("pattern {pattern}, {question}: {text}")]
pub struct PatternFault {
    /// The pattern, or its file where it has no name.
    pub pattern: String,
    /// The question, or `the table`.
    pub question: String,
    /// What is wrong.
    pub text: String,
}

/// Reads one table; `file` names it in messages.
///
/// # Errors
/// Every fault of the table.
pub fn read_pattern(file: &str, text: &str) -> Result<StagePattern, Vec<PatternFault>> {
    let mut faults = Faults {
        pattern: file.to_string(),
        found: Vec::new(),
    };
    let document = match Document::parse(text) {
        Ok(document) => document,
        Err(error) => {
            faults.add("the table", error.message());
            return Err(faults.found);
        }
    };
    let mut top = |key: &str| match document.as_table().get(key).and_then(|item| item.as_str()) {
        Some(text) if !text.trim().is_empty() => text.to_string(),
        _ => {
            faults.add("the table", &format!("`{key}` is missing"));
            String::new()
        }
    };
    let (name, title, look) = (top("name"), top("title"), top("look"));
    let mut questions = Vec::new();
    match document
        .as_table()
        .get("ask")
        .and_then(|item| item.as_array())
    {
        Some(rows) => {
            for row in rows {
                match row.as_inline_table() {
                    Some(row) => {
                        if let Some(question) = read_question(row, &mut faults) {
                            questions.push(question);
                        }
                    }
                    None => faults.add("the table", "a question is a table between braces"),
                }
            }
        }
        None => faults.add("the table", "`ask` is missing: the list of questions"),
    }
    for (index, question) in questions.iter().enumerate() {
        check_question(&questions, index, question, &mut faults);
    }
    if faults.found.is_empty() {
        Ok(StagePattern {
            name,
            title,
            look,
            questions,
        })
    } else {
        Err(faults.found)
    }
}

struct Faults {
    pattern: String,
    found: Vec<PatternFault>,
}

impl Faults {
    fn add(&mut self, question: &str, text: &str) {
        self.found.push(PatternFault {
            pattern: self.pattern.clone(),
            question: question.to_string(),
            text: text.to_string(),
        });
    }
}

fn read_question(row: &InlineTable, faults: &mut Faults) -> Option<PatternQuestion> {
    let text = |key: &str| row.get(key).and_then(Value::as_str).map(str::to_string);
    let Some(kind) = FORMS.into_iter().find(|form| row.contains_key(form)) else {
        faults.add(
            "a question",
            &format!("asks for none of {}", FORMS.join(", ")),
        );
        return None;
    };
    let name = text(kind).unwrap_or_default();
    let mut need = |key: &str| {
        text(key).unwrap_or_else(|| {
            faults.add(&name, &format!("`{key}` is missing"));
            String::new()
        })
    };
    let (ask, example) = (need("ask"), need("example"));
    let form = match kind {
        "tube" => {
            let (word, job) = (need("need"), need("job"));
            match TubeNeed::WORDS.iter().find(|(known, _)| *known == word) {
                Some((_, need)) => QuestionForm::Tube { need: *need, job },
                None => {
                    faults.add(&name, &format!("`{word}` is no section a stage can need"));
                    return None;
                }
            }
        }
        "place" => QuestionForm::Place,
        "part" => {
            let (kinds, from, to) = (need("kind"), end(&need("from")), end(&need("to")));
            let third = text("third").map(|third| end(&third));
            let mut known = Vec::new();
            for word in kinds.split_whitespace() {
                match PartKind::named(word) {
                    Some(kind) => known.push(kind),
                    None => faults.add(&name, &format!("`{word}` is no kind of part")),
                }
            }
            if known.is_empty() {
                return None;
            }
            QuestionForm::Part {
                kinds: known,
                from,
                to,
                third,
            }
        }
        "wire" => QuestionForm::Wire {
            from: end(&need("from")),
            to: end(&need("to")),
        },
        "transformer" => QuestionForm::Transformer,
        "winding" => QuestionForm::Winding {
            transformer: need("of"),
            name: name.clone(),
            start: end(&need("from")),
            end: end(&need("to")),
        },
        _ => QuestionForm::Heaters {
            from: end(&need("from")),
            to: end(&need("to")),
            in_series: text("chain").as_deref() == Some("series"),
        },
    };
    Some(PatternQuestion {
        name,
        ask,
        example,
        form,
    })
}

fn end(text: &str) -> End {
    let lower = text.to_ascii_lowercase();
    if ["chassis", "line a", "line b"].contains(&lower.as_str()) {
        return End::Fixed(lower);
    }
    if let Some(own) = text.strip_prefix('@') {
        return End::Own(own.to_string());
    }
    match text.split_once('.') {
        Some((tube, element)) => End::Element {
            tube: tube.to_string(),
            element: element.to_string(),
        },
        None => End::Asked(text.to_string()),
    }
}

/// What a question refers to must have been asked before it.
fn check_question(
    questions: &[PatternQuestion],
    index: usize,
    question: &PatternQuestion,
    faults: &mut Faults,
) {
    let earlier = questions.get(..index).unwrap_or(&[]);
    if earlier.iter().any(|other| other.name == question.name) {
        faults.add(&question.name, "is asked twice");
    }
    let was_asked = |name: &str, fits: fn(&QuestionForm) -> bool| {
        earlier
            .iter()
            .any(|other| other.name == name && fits(&other.form))
    };
    for end in question.form.ends() {
        let known = match end {
            End::Fixed(_) => true,
            End::Own(name) => !name.trim().is_empty(),
            End::Asked(name) => was_asked(name, |form| matches!(form, QuestionForm::Place)),
            End::Element { tube, element } => {
                !element.is_empty()
                    && was_asked(tube, |form| matches!(form, QuestionForm::Tube { .. }))
            }
        };
        if !known {
            faults.add(&question.name, &format!("{end:?} was not asked for before"));
        }
    }
    if let QuestionForm::Winding { transformer, .. } = &question.form
        && !was_asked(transformer, |form| {
            matches!(form, QuestionForm::Transformer)
        })
    {
        faults.add(&question.name, "its transformer was not asked for before");
    }
}
