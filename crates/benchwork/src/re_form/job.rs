//! The capacitor and the source of a forming, from a sheet's rows or from bench notation.
//!
//! Microfarads and volts as they are marked. What is typed is read as a sheet would read it. Fails for
//! a part that is no electrolytic, one without marked volts, and figures out of any reason.

use receiver::forming::{FormingBench, FormingError, FormingJob, FormingSource};
use receiver::sheet::{CapacitorStyle, PartValue, Sheet, SheetPart, State, read_sheet};

use crate::check_sheet::catalogue;
use crate::picture_tube::typed::Typed;
use crate::trouble::Trouble;

/// What a question about a forming may say besides the capacitor.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FormingAsk {
    /// What is marked on a capacitor that the sheet has not, such as `40 mfd 450 V`.
    pub marked: Option<String>,
    /// The source, such as `0-450 V 20 mA`; that of the sheet's bench if absent.
    pub source: Option<String>,
    /// Volts to form to; the marked volts if absent.
    pub to: Option<String>,
    /// The discharge resistor; 4.7k if absent.
    pub discharge: Option<String>,
}

/// A capacitor with its bench.
pub(super) struct Job {
    /// Its name.
    pub reference: String,
    /// What was typed for its marks; empty for a part of the sheet.
    pub marked: String,
    /// Other sections of its can.
    pub others: Vec<String>,
    /// Everything between source and capacitor.
    pub bench: FormingBench,
}

/// The job for a part of a sheet, or for marks that were typed.
pub(super) fn job(
    sheet: Option<&Sheet>,
    part: Option<&str>,
    ask: &FormingAsk,
) -> Result<Job, Trouble> {
    let listed = part.and_then(|part| sheet?.part(part));
    let (value, reference, marked) = match (listed, part, &ask.marked) {
        (Some(listed), ..) if ask.marked.is_none() => (
            listed.value.clone(),
            listed.reference.clone(),
            String::new(),
        ),
        (_, part, Some(marked)) => {
            let name =
                part.map_or_else(|| "the capacitor".to_owned(), |part| part.trim().to_owned());
            (marked_value(marked)?, name, marked.trim().to_owned())
        }
        (_, Some(part), None) => return Err(no_such_part(sheet, part)),
        (_, None, None) => {
            return Err(Trouble::input(
                "no capacitor is named",
                "name a part, such as C1A, or a value, such as \"40 mfd 450 V\"",
            ));
        }
    };
    let (farads, marked_volts) = figures(&reference, &value)?;
    let mut typed = Typed::default();
    let source = match &ask.source {
        Some(text) => source_of(text, &mut typed)?,
        None => sheet
            .and_then(|sheet| sheet.bench.as_ref()?.dc_source)
            .map(|own| FormingSource {
                low_volts: own.low_volts,
                high_volts: own.high_volts,
                amperes: own.amperes,
            }),
    };
    let wanted_volts = ask
        .to
        .as_ref()
        .and_then(|text| typed.volts("--to", text, 1000.0));
    let discharge_ohms = ask
        .discharge
        .as_ref()
        .and_then(|text| typed.ohms("--discharge", text));
    typed.end()?;
    let bench = FormingBench::of(FormingJob {
        farads,
        marked_volts,
        source,
        wanted_volts,
        discharge_ohms,
        is_new: listed.is_some_and(|part| {
            sheet.is_some_and(|sheet| state_of(&sheet.state, &part.reference) == "replaced")
        }),
    })
    .map_err(|error| sorted(&error))?;
    let others = sheet.map_or_else(Vec::new, |sheet| other_sections(sheet, &reference));
    Ok(Job {
        reference,
        marked,
        others,
        bench,
    })
}

pub(super) fn sorted(error: &FormingError) -> Trouble {
    match error {
        FormingError::Marked { .. } => Trouble::input(
            error.to_string(),
            "look at what is marked on the capacitor, and at the volts asked for",
        ),
        FormingError::SourceTooHigh { .. } => Trouble::input(
            error.to_string(),
            "use a source that goes down to a tenth of the marked volts",
        ),
        FormingError::NoResistors { .. } => Trouble::input(
            error.to_string(),
            "form it to fewer volts (--to), or make up a string of more resistors by hand",
        ),
        FormingError::Refused { .. } => Trouble::ours(error.to_string()),
    }
}

fn no_such_part(sheet: Option<&Sheet>, part: &str) -> Trouble {
    let nearest = sheet.and_then(|sheet| sheet.nearest_reference(part));
    let hint = match nearest {
        Some(nearest) => format!(
            "the nearest name on the sheet is `{nearest}`; a part that is not on it is told with --marked \"40 mfd 450 V\""
        ),
        None => "tell what is marked on it with --marked \"40 mfd 450 V\"".to_owned(),
    };
    Trouble::input(format!("the sheet has no `{part}`"), hint)
}

/// Capacitance and marked volts of an electrolytic.
fn figures(reference: &str, value: &PartValue) -> Result<(f64, f64), Trouble> {
    match value {
        PartValue::Capacitor {
            style: CapacitorStyle::Electrolytic,
            farads,
            volts: Some(volts),
            ..
        } => Ok((*farads, *volts)),
        PartValue::Capacitor {
            style: CapacitorStyle::Electrolytic,
            volts: None,
            ..
        } => Err(Trouble::input(
            format!("{reference} has no marked volts, so no safe end of the forming is known"),
            "read them on the can and put them beside the microfarads, such as \"40 mfd 450 V\"",
        )),
        PartValue::Capacitor { .. } => Err(Trouble::input(
            format!("{reference} is no electrolytic: there is nothing in it to form"),
            "a capacitor of paper, film, mica or ceramic that leaks is replaced",
        )),
        _ => Err(Trouble::input(
            format!("{reference} is no capacitor"),
            "name an electrolytic, such as C1A",
        )),
    }
}

/// What a sheet has before its rows.
const HEAD: &str = "sheet = 1\nline_volts = 117\nline_hertz = 60\ntubes = []\n";

/// Marks as a sheet reads them.
pub(super) fn marked_value(text: &str) -> Result<PartValue, Trouble> {
    let sheet = read_as_sheet("value", text, &|text| {
        format!("{HEAD}parts = [\n[\"C1\", \"electrolytic\", {text}, \"B+\", \"chassis\"],\n]\n")
    })?;
    sheet
        .parts
        .into_iter()
        .next()
        .map(|part| part.value)
        .ok_or_else(|| Trouble::ours("a part that was read is not there"))
}

fn source_of(text: &str, typed: &mut Typed) -> Result<Option<FormingSource>, Trouble> {
    let read = read_as_sheet("--source", text, &|text| {
        format!("{HEAD}[bench]\ndc_source = {text}\n")
    });
    match read {
        Ok(sheet) => Ok(sheet
            .bench
            .and_then(|bench| bench.dc_source)
            .map(|own| FormingSource {
                low_volts: own.low_volts,
                high_volts: own.high_volts,
                amperes: own.amperes,
            })),
        Err(Trouble::Input { faults }) => {
            for fault in faults {
                typed.fault(fault.text, fault.hint);
            }
            Ok(None)
        }
        Err(other) => Err(other),
    }
}

/// A value read in the place where a sheet has it, so that there is one way to read it.
fn read_as_sheet(
    what: &str,
    text: &str,
    around: &dyn Fn(&str) -> String,
) -> Result<Sheet, Trouble> {
    let text = text.trim();
    let is_plain =
        !text.is_empty() && !text.contains(['"', '\\']) && !text.chars().any(char::is_control);
    if !is_plain {
        return Err(Trouble::input(
            format!("{what}: `{text}` cannot be read"),
            "write it as on the part, such as \"40 mfd 450 V\", or as a source, such as \"0-450 V 20 mA\"",
        ));
    }
    let read = read_sheet(&around(&format!("\"{text}\"")), catalogue()?);
    match read.sheet {
        Some(sheet) => Ok(sheet),
        None => Err(Trouble::Input {
            faults: read
                .faults
                .iter()
                .map(|fault| {
                    crate::view::FaultView::of_input(
                        format!("{what}: {}", fault.text),
                        fault.hint.clone(),
                    )
                })
                .collect(),
        }),
    }
}

/// The electrolytics of a sheet, in its order.
pub(super) fn electrolytics(sheet: &Sheet) -> impl Iterator<Item = &SheetPart> {
    sheet.parts.iter().filter(|part| {
        matches!(
            part.value,
            PartValue::Capacitor {
                style: CapacitorStyle::Electrolytic,
                ..
            }
        )
    })
}

/// Other sections of the same can: C1B beside C1A.
fn other_sections(sheet: &Sheet, reference: &str) -> Vec<String> {
    let Some(can) = can_of(reference) else {
        return Vec::new();
    };
    electrolytics(sheet)
        .filter(|part| part.reference != reference && can_of(&part.reference) == Some(can))
        .map(|part| part.reference.clone())
        .collect()
}

/// The name of the can of a section: C1 of C1A.
fn can_of(reference: &str) -> Option<&str> {
    let can = reference.strip_suffix(|letter: char| letter.is_ascii_alphabetic())?;
    can.ends_with(|letter: char| letter.is_ascii_digit())
        .then_some(can)
}

/// `replaced`, `re_formed` or `as_found`.
pub(crate) fn state_of(state: &State, reference: &str) -> &'static str {
    let is_in = |list: &[String]| list.iter().any(|own| own.eq_ignore_ascii_case(reference));
    if is_in(&state.replaced) {
        "replaced"
    } else if is_in(&state.re_formed) {
        "re_formed"
    } else {
        "as_found"
    }
}
