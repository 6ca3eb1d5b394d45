//! How trouble is told: for people on standard error, for scripts on standard output.
//!
//! A fault of the sheet is shown with its line and the place marked; lines and
//! columns count from 1, columns in characters. Each message says what happened
//! and, apart from it, what to do next.

use std::any::Any;
use std::io::{self, Write};
use std::panic::PanicHookInfo;
use std::sync::Mutex;

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use anstream::AutoStream;
use anstyle::{AnsiColor, Style};
use benchwork::view::{FaultView, NoticeView, TroubleView};
use benchwork::{SheetFile, Trouble};

use super::PAGE_WIDTH;
use super::lists::indented;

const FAULT: Style = AnsiColor::Red.on_default().bold();
const HINT: Style = Style::new().bold();

/// The longest part of a sheet's line that is shown, in characters.
const LONGEST_LINE: usize = 400;

/// Exit status for a fault of the program.
const OURS: u8 = 3;

/// Columns that stand before a hint: rule, sign and name.
const ROOM_BEFORE_HINT: usize = 22;

static LAST_PANIC: Mutex<Option<String>> = Mutex::new(None);

/// Tells why there is no answer and gives the exit status for it.
pub fn tell_trouble(trouble: &Trouble, json: bool) -> u8 {
    if json {
        match serde_json::to_string_pretty(&TroubleView::from(trouble)) {
            // A reader that has gone has no use for a second message.
            Ok(text) => drop(writeln!(io::stdout(), "{text}")),
            Err(error) => tell(&simple(&error.to_string(), "")),
        }
    } else {
        tell(&page(trouble));
    }
    trouble.exit_status()
}

/// Tells that the output could not be written and gives the exit status for it.
pub fn tell_write_fault(error: &io::Error) -> u8 {
    tell(&simple(
        &format!("the output cannot be written: {error}"),
        "look whether the disk is full or the place may not be written to",
    ));
    1
}

/// Keeps what a panic said and where, for [`tell_panic`].
pub fn remember_panic(about: &PanicHookInfo<'_>) {
    if let Ok(mut last) = LAST_PANIC.lock() {
        last.get_or_insert_with(|| about.to_string());
    }
}

/// Tells of a panic, a fault of the program, and gives the exit status for it.
pub fn tell_panic(cause: &(dyn Any + Send), json: bool) -> u8 {
    let remembered = LAST_PANIC.lock().ok().and_then(|mut last| last.take());
    let said = cause
        .downcast_ref::<String>()
        .cloned()
        .or_else(|| cause.downcast_ref::<&str>().map(|text| (*text).to_owned()))
        .unwrap_or_else(|| "no more is known".to_owned());
    let text = remembered.unwrap_or(said).replace('\n', " ");
    tell_trouble(
        &Trouble::ours(format!("the program broke down: {text}")),
        json,
    );
    OURS
}

/// The faults of a sheet with their lines, then what was noticed.
pub fn faults_with_lines(file: &SheetFile, faults: &[FaultView]) -> String {
    let text = file.text();
    let lines: Vec<&str> = text
        .split('\n')
        .map(|line| line.trim_end_matches('\r'))
        .collect();
    faults
        .iter()
        .map(|fault| fault_with_line(&file.name, &lines, fault))
        .collect()
}

/// Notices, one paragraph each.
pub fn notices(notices: &[NoticeView]) -> String {
    let mut page = String::new();
    for notice in notices {
        let line = notice
            .line
            .map(|line| format!("line {line}: "))
            .unwrap_or_default();
        page.push_str(&indented(&format!("{line}{}", notice.text), "  - ", "    "));
        if !notice.hint.is_empty() {
            page.push_str(&indented(&notice.hint, "    -> ", "       "));
        }
    }
    page
}

fn tell(page: &str) {
    let mut stream = AutoStream::auto(io::stderr());
    // When standard error has gone as well, nobody is left to be told.
    let _ = stream.write_all(page.as_bytes());
}

pub fn page(trouble: &Trouble) -> String {
    match trouble {
        Trouble::File { name, text, hint }
        | Trouble::NotNow {
            name, text, hint, ..
        } => simple(&format!("{name}: {text}"), hint),
        Trouble::Sheet { file, faults, .. } => {
            let mut page = faults_with_lines(file, faults);
            page.push_str(&simple(
                &format!("{}: {}", file.name, count_of(faults.len())),
                "",
            ));
            page
        }
        Trouble::Input { faults } => faults
            .iter()
            .map(|fault| simple(&fault.text, &fault.hint))
            .collect(),
        Trouble::NotSettled { error, conditions } => {
            let mut page = simple(&error.text, "");
            for evidence in &error.evidence {
                page.push_str(&indented(evidence, "  - ", "    "));
            }
            if let Some(conditions) = conditions {
                page.push_str(&indented(
                    &format!("conditions: {}", conditions.in_words()),
                    "  - ",
                    "    ",
                ));
            }
            page.push_str(&hint_line(&error.hint));
            page
        }
        Trouble::Overtaken { text, hint, .. } | Trouble::Ours { text, hint } => simple(text, hint),
        Trouble::Left => simple(&trouble.to_string(), "ask once more"),
    }
}

/// How many faults there are, in words.
pub fn count_of(faults: usize) -> String {
    match faults {
        1 => "1 fault".to_owned(),
        several => format!("{several} faults"),
    }
}

fn simple(text: &str, hint: &str) -> String {
    format!("{FAULT}fault{FAULT:#}: {text}\n{}", hint_line(hint))
}

fn hint_line(hint: &str) -> String {
    if hint.is_empty() {
        String::new()
    } else {
        format!("  {HINT}what to do{HINT:#}: {hint}\n")
    }
}

fn fault_with_line(name: &str, lines: &[&str], fault: &FaultView) -> String {
    let (Some(line), Some(column)) = (fault.line, fault.column) else {
        return simple(&fault.text, &fault.hint);
    };
    let shown = lines
        .get(line.saturating_sub(1))
        .copied()
        .unwrap_or_default();
    // A line that is no line of a sheet (a file of other kind) is cut before it is shown.
    let skipped = column.saturating_sub(1).saturating_sub(LONGEST_LINE / 2);
    let shown: String = shown.chars().skip(skipped).take(LONGEST_LINE).collect();
    let from = byte_of(&shown, column.saturating_sub(1).saturating_sub(skipped));
    let to = end_of_word(&shown, from);
    let snippet = Snippet::source(shown.as_str())
        .line_start(line)
        .path(name)
        .annotation(AnnotationKind::Primary.span(from..to));
    let mut group = Level::ERROR
        .with_name("fault")
        .primary_title(fault.text.as_str())
        .element(snippet);
    // The renderer breaks no lines itself; it sets in the further ones.
    let hint = textwrap::fill(&fault.hint, PAGE_WIDTH - ROOM_BEFORE_HINT);
    if !hint.is_empty() {
        group = group.element(Level::HELP.with_name("what to do").message(hint.as_str()));
    }
    let mut text = Renderer::styled().term_width(PAGE_WIDTH).render(&[group]);
    text.push_str("\n\n");
    text
}

fn byte_of(line: &str, character: usize) -> usize {
    line.char_indices()
        .nth(character)
        .map_or(line.len(), |(byte, _)| byte)
}

/// Where the word or the quoted text that begins here ends.
fn end_of_word(line: &str, from: usize) -> usize {
    let rest = line.get(from..).unwrap_or_default();
    let mut characters = rest.char_indices();
    let Some((_, first)) = characters.next() else {
        return line.len();
    };
    let is_quote = first == '"' || first == '\'';
    let ends = |character: char| {
        if is_quote {
            character == first
        } else {
            character.is_whitespace() || ",]}=\"'#".contains(character)
        }
    };
    match characters.find(|(_, character)| ends(*character)) {
        Some((byte, _)) if is_quote => from + byte + 1,
        Some((byte, _)) => from + byte,
        None => line.len(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(line: &str, column: usize, wanted: &str) {
        let from = byte_of(line, column - 1);
        assert_eq!(&line[from..end_of_word(line, from)], wanted, "{line}");
    }

    #[test]
    fn the_marked_place_is_a_whole_word_or_text() {
        check("line_volts = fast", 14, "fast");
        check(r#"  ["V9", "6AU7x", "job"],"#, 10, r#""6AU7x""#);
        check(r#"µ = "a"#, 5, r#""a"#);
        check("a = 1", 1, "a");
        check("a = 1", 9, "");
    }

    #[test]
    fn a_fault_shows_its_line_and_what_to_do() {
        let file = SheetFile::in_memory("my.toml", "sheet = 1\nline_volts = fast\n");
        let fault = FaultView {
            line: Some(2),
            column: Some(14),
            text: "`fast` is no number of volts".to_owned(),
            hint: "write 117".to_owned(),
        };
        let page = faults_with_lines(&file, &[fault]);
        for wanted in [
            "my.toml:2:14",
            "line_volts = fast",
            "^^^^",
            "no number of volts",
            "write 117",
        ] {
            assert!(page.contains(wanted), "`{wanted}` is not in\n{page}");
        }
    }

    #[test]
    fn a_fault_outside_the_text_is_shown_as_well() {
        let file = SheetFile::in_memory("my.toml", "");
        let fault = FaultView {
            line: Some(7),
            column: Some(3),
            text: "gone".to_owned(),
            hint: String::new(),
        };
        assert!(faults_with_lines(&file, &[fault]).contains("gone"));
    }

    #[test]
    fn a_panic_is_a_fault_of_ours() {
        let cause: Box<dyn Any + Send> = Box::new("out of range");
        assert_eq!(tell_panic(cause.as_ref(), false), OURS);
        assert_eq!(Trouble::ours("x").exit_status(), OURS);
    }
}
