//! The pages of a stage: patterns, the form of one, the conversation, the lines.
//!
//! A form is what `--answers` reads: its remarks begin with `#`. Lines of the
//! sheet are shown as they will stand, however long. Nothing here fails.

use benchwork::WrittenAnswer;
use benchwork::view::{StageListView, StagePatternView, StageView};
use receiver::stage_patterns::{AnswerFault, Asked, GivenAnswer, StagePattern, is_nothing};

use super::lists::{dashes, heading, indented, paragraph, sentence, table, title};
use super::notices;

/// What can be typed in place of an answer.
pub const HELP: &str = "  ? or nothing   the part is not there, or not known: it is left out\n  \
     back           the question before\n  \
     lines          what would be written so far\n  \
     stop           end, write nothing\n";

/// All patterns.
pub fn list(list: &StageListView) -> String {
    let mut page = title("Patterns of stages, in the order in which a set is copied");
    let rows = list
        .patterns
        .iter()
        .map(|pattern| {
            vec![
                pattern.name.clone(),
                pattern.title.clone(),
                pattern.questions.len().to_string(),
            ]
        })
        .collect();
    page.push_str(&table(&["pattern", "stage", "questions"], &[2], rows));
    page.push('\n');
    page.push_str(&paragraph(
        "`firstraster stage PATTERN` shows the questions of one, as a form to fill in; `firstraster stage PATTERN SHEET` \
         asks them and writes the lines into the sheet.",
    ));
    page
}

/// The questions of one pattern, as a form that can be filled in.
pub fn form(pattern: &StagePatternView) -> String {
    let remark = |text: &str| indented(text, "# ", "# ");
    let mut page = remark(&format!("{}: {}", pattern.name, pattern.title));
    page.push_str(&remark(&pattern.look));
    page.push_str(&remark(
        "Write each answer behind its `=`; leave empty what is not there or not known.",
    ));
    for question in &pattern.questions {
        page.push('\n');
        page.push_str(&remark(&format!(
            "{}. Expected: {}.",
            sentence(&question.ask),
            question.expects
        )));
        page.push_str(&remark(&format!("Such as: {}", question.example)));
        page.push_str(&format!("{} =\n", question.name));
    }
    page
}

/// What stands before the first question.
pub fn opening(pattern: &StagePattern, sheet: &str) -> String {
    let mut page = title(&format!("{}, into {sheet}", pattern.title));
    page.push_str(&paragraph(
        "Plug out, every capacitor discharged through a resistor and proved empty with the meter, before a hand goes \
         under the chassis.",
    ));
    page.push_str(&paragraph(&pattern.look));
    page.push_str(&paragraph(
        "Nothing is written before you say yes at the end. In place of an answer:",
    ));
    page.push_str(HELP);
    page
}

/// One question.
pub fn question(number: usize, asked: &Asked) -> String {
    let mut page = String::from("\n");
    page.push_str(&heading(
        indented(&format!("{number}. {}", sentence(&asked.ask)), "", "   ").trim_end(),
    ));
    page.push_str(&indented(
        &format!("expected: {}", asked.expects),
        "   ",
        "     ",
    ));
    let mut besides = Vec::new();
    if !asked.example.is_empty() {
        besides.push(format!("such as: {}", asked.example));
    }
    if !asked.proposal.is_empty() {
        besides.push(format!("next free reference: {}", asked.proposal));
    }
    if !besides.is_empty() {
        page.push_str(&indented(&besides.join("; "), "   ", "     "));
    }
    page
}

/// Something worth saying about an answer.
pub fn remark(text: &str) -> String {
    indented(text, "  - ", "    ")
}

/// Why an answer was refused, with the character marked where it has one.
pub fn refusal(answer: &str, fault: &AnswerFault) -> String {
    let mut page = String::new();
    if let Some(column) = fault.column {
        let before: String = answer
            .chars()
            .take(column.saturating_sub(1))
            .map(|_| ' ')
            .collect();
        page.push_str(&format!("  {answer}\n  {before}^\n"));
    }
    page.push_str(&indented(&fault.text, "  fault: ", "    "));
    if !fault.hint.is_empty() {
        page.push_str(&indented(&fault.hint, "  what to do: ", "    "));
    }
    page
}

/// The lines that are or would be written, and what was left out.
pub fn lines(view: &StageView) -> String {
    let mut page = String::from("\n");
    if view.lines.is_empty() {
        page.push_str("No line to write.\n");
    }
    let mut last = "";
    for line in &view.lines {
        if line.list != last {
            page.push_str(&heading(&format!("{}:", line.list)));
            last = line.list;
        }
        page.push_str(&format!("  {}\n", line.text));
    }
    if !view.left_out.is_empty() {
        page.push_str(&heading("Left out:"));
        let left: Vec<String> = view
            .left_out
            .iter()
            .map(|left| format!("{}: {}", left.question, left.because))
            .collect();
        page.push_str(&dashes(left.iter().map(String::as_str)));
    }
    page
}

/// Written answers that no question asked for.
pub fn not_asked<'a>(answers: impl Iterator<Item = &'a WrittenAnswer>) -> String {
    let told: Vec<String> = answers
        .map(|answer| format!("{} = {}", answer.question, answer.text))
        .collect();
    if told.is_empty() {
        return String::new();
    }
    let mut page = heading("Answers that no question asked for:");
    page.push_str(&dashes(told.iter().map(String::as_str)));
    page
}

/// Asks whether to write.
pub fn write_question(count: usize, sheet: &str) -> String {
    let lines = if count == 1 { "line" } else { "lines" };
    format!("\nWrite {count} {lines} into {sheet}? yes, no or back\n")
}

/// What came of it.
pub fn outcome(view: &StageView) -> String {
    let mut page = String::new();
    if !view.said.is_empty() {
        page.push_str(&heading("About the answers:"));
        page.push_str(&dashes(view.said.iter().map(String::as_str)));
    }
    if !view.notices.is_empty() {
        page.push_str(&heading("To notice in the sheet with these lines:"));
        page.push_str(&notices(&view.notices));
    }
    page.push('\n');
    page.push_str(&if view.written {
        format!("Written into {}.\n", view.sheet)
    } else {
        format!("Nothing was written into {}.\n", view.sheet)
    });
    page
}

/// The answers so far, so that none is lost.
pub fn kept_answers(given: &[GivenAnswer]) -> String {
    let mut page = String::from("\nNothing was written.\n");
    if given.iter().all(|answer| is_nothing(&answer.text)) {
        return page;
    }
    page.push_str(&paragraph(
        "Your answers so far. Put these lines into a file to go on later with `--answers FILE --ask-the-rest`:",
    ));
    page.push('\n');
    for answer in given {
        // What was passed over is not asked again.
        let text = if is_nothing(&answer.text) {
            "?"
        } else {
            &answer.text
        };
        page.push_str(&format!("{} = {text}\n", answer.question));
    }
    page
}
