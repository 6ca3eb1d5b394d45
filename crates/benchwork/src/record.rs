//! Puts one fact into a restoration: what was seen, measured, tested, fitted, changed, decided,
//! photographed; undoes one, and corrects one.
//!
//! Values as they are typed are kept beside what was understood. Names are spelled as the sheet
//! spells them. Fails for what cannot be understood (nothing is written) and where the file
//! cannot be opened or written.

use std::path::Path;

use logbook::{
    Changed, Conditions, Corrected, Decided, Fact, Fields, Fitted, Measured, Photograph,
    Photographed, Seen, Stamp, Standing, Tested, Undone, What, holds_now,
};

use crate::check_sheet::catalogue;
use crate::new_part::cautions_of_a_new_part;
use crate::read_photograph::{name_of_a_file, photograph_of_bytes, read_photograph};
use crate::reading_words::reading;
use crate::restoration::{Entering, OpenBook, trouble};
use crate::sent_once::enter;
use crate::suits_part::{pin_of_its_base, result_suits};
use crate::tell_things_to_see::thing_named;
use crate::trouble::Trouble;
use crate::view::{FaultView, NoticeView, RecordedView};

/// A reading as it is typed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NewReading {
    /// Place, tube or part.
    pub place: String,
    /// The value with its unit.
    pub value: String,
    /// Where the other lead was; empty for the chassis.
    pub to: String,
    /// The kind of reading, where the value does not say it.
    pub what: Option<String>,
    /// The meter.
    pub meter: String,
    /// How the set stood.
    pub conditions: Conditions,
    /// Anything else.
    pub note: String,
}

/// Notes what was seen. A thing of the list, or of the restorer's own table `own`, goes by its
/// name; anything else in own words.
pub fn note_seen(
    entering: &Entering<'_>,
    mut seen: Seen,
    own: Option<&Path>,
) -> Result<RecordedView, Trouble> {
    enter(entering, |mut open| {
        match thing_named(&seen.thing, own)? {
            Some(thing) => {
                seen.area.clone_from(&thing.area);
                seen.thing.clone_from(&thing.thing);
                if !thing.caution.is_empty() {
                    open.notices.push(notice(&thing.caution, ""));
                }
            }
            None => open.notices.push(notice(
                &format!(
                    "`{}` is not in the list of things to see; kept in your own words",
                    seen.thing
                ),
                "`firstraster see` shows the list",
            )),
        }
        seen.part = open.part(&seen.part);
        open.append(&Fact::Seen(seen))
    })
}

/// Records a reading.
pub fn record_reading(entering: &Entering<'_>, new: NewReading) -> Result<RecordedView, Trouble> {
    enter(entering, |mut open| {
        let measured = measured(&mut open, new)?;
        open.append(&Fact::Measured(measured))
    })
}

fn measured(open: &mut OpenBook, new: NewReading) -> Result<Measured, Trouble> {
    if let Some(sheet) = &open.sheet {
        pin_of_its_base(sheet, &new.place)?;
        pin_of_its_base(sheet, &new.to)?;
    }
    let place = open.place(&new.place);
    let to = open.place(&new.to);
    let mut conditions = new.conditions;
    let lists = [
        &mut conditions.pulled,
        &mut conditions.open,
        &mut conditions.fitted_without,
    ];
    for name in lists.into_iter().flatten() {
        *name = open.part(name);
    }
    let understood =
        reading(&place, &new.value, new.what.as_deref()).map_err(|fault| Trouble::Input {
            faults: vec![fault],
        })?;
    // A tube without a pin has one pair of a.c. volts: those of its heater.
    let of_tube = open.sheet.as_ref().and_then(|sheet| sheet.tube(&place));
    let is_heater = new.what.is_none() && to.is_empty() && understood.what == What::AcVoltsRms;
    let what = match of_tube {
        Some(tube) if is_heater => {
            let name = &tube.reference;
            open.notices.push(notice(
                &format!("a.c. volts at {name} without a pin are taken as those across its heater"),
                &format!("if they were read at a pin, correct the entry: `place = {name}.2`, `what = ac_volts_rms`"),
            ));
            What::HeaterVoltsRms
        }
        _ => understood.what,
    };
    Ok(Measured {
        place,
        to,
        what,
        typed: new.value.trim().to_owned(),
        value: understood.value,
        meter: new.meter.trim().to_owned(),
        conditions,
        note: new.note,
    })
}

/// Records what a tester said of a tube or a part.
pub fn record_test(entering: &Entering<'_>, tested: Tested) -> Result<RecordedView, Trouble> {
    enter(entering, |open| put_test(open, tested))
}

/// Puts what a tester said into an open restoration.
pub(crate) fn put_test(mut open: OpenBook, mut tested: Tested) -> Result<RecordedView, Trouble> {
    result_suits(open.sheet.as_ref(), &tested)?;
    tested.part = open.part(&tested.part);
    if let Some(tube) = open
        .sheet
        .as_ref()
        .and_then(|sheet| sheet.tube(&tested.part))
    {
        let listed = tube.kind.name.clone();
        let tested_type = tested.type_number.clone();
        if !tested_type.is_empty() && !same_type(&tested_type, &listed)? {
            open.notices.push(notice(
                &format!(
                    "the sheet has {listed} at {}, tested was {tested_type}",
                    tested.part
                ),
                "look which is right, and correct the sheet or the entry",
            ));
        }
    }
    open.append(&Fact::Tested(tested))
}

fn same_type(one: &str, other: &str) -> Result<bool, Trouble> {
    let catalogue = catalogue()?;
    let name = |number: &str| {
        let found = catalogue.tube(number);
        found.map_or_else(|| number.to_uppercase(), |tube| tube.name.clone())
    };
    Ok(name(one) == name(other))
}

/// Records a part that was replaced.
pub fn record_fitted(entering: &Entering<'_>, mut fitted: Fitted) -> Result<RecordedView, Trouble> {
    enter(entering, |mut open| {
        fitted.part = open.part(&fitted.part);
        if let Some(sheet) = &open.sheet {
            let cautions = cautions_of_a_new_part(sheet, &fitted)?;
            open.notices.extend(cautions);
        }
        let unread = open.not_used_of(&fitted)?;
        open.notices.extend(unread);
        open.append(&Fact::Fitted(fitted))
    })
}

/// Notes something else that was changed.
pub fn note_changed(entering: &Entering<'_>, changed: Changed) -> Result<RecordedView, Trouble> {
    enter(entering, |open| open.append(&Fact::Changed(changed)))
}

/// Notes a decision.
pub fn note_decided(entering: &Entering<'_>, decided: Decided) -> Result<RecordedView, Trouble> {
    enter(entering, |open| open.append(&Fact::Decided(decided)))
}

/// Adds a photograph; the file's bytes are kept as they are.
pub fn add_photograph(
    entering: &Entering<'_>,
    picture: &Path,
    shows: &str,
    note: &str,
) -> Result<RecordedView, Trouble> {
    enter(entering, |open| {
        let photograph = read_photograph(picture)?;
        let name = picture.file_name().unwrap_or(picture.as_os_str());
        let name = name.to_string_lossy().into_owned();
        keep_photograph(open, &entering.at, &photograph, (name, shows, note))
    })
}

/// Adds a photograph of which the bytes are at hand; `name` is that of the file they came from.
pub fn add_photograph_bytes(
    entering: &Entering<'_>,
    name: &str,
    bytes: Vec<u8>,
    shows: &str,
    note: &str,
) -> Result<RecordedView, Trouble> {
    enter(entering, |open| {
        let name = name_of_a_file(name);
        let photograph = photograph_of_bytes(&name, bytes)?;
        keep_photograph(open, &entering.at, &photograph, (name, shows, note))
    })
}

fn keep_photograph(
    open: OpenBook,
    at: &Stamp,
    photograph: &Photograph,
    (name, shows, note): (String, &str, &str),
) -> Result<RecordedView, Trouble> {
    let about = Photographed {
        name,
        shows: shows.to_owned(),
        note: note.to_owned(),
        ..Photographed::default()
    };
    open.with(|book| book.add_photograph(at, photograph, about))
}

/// Takes an entry back; the last one that stands if no number is given.
pub fn undo_entry(
    entering: &Entering<'_>,
    number: Option<u64>,
    because: &str,
) -> Result<RecordedView, Trouble> {
    enter(entering, |open| undo(open, number, because))
}

fn undo(open: OpenBook, number: Option<u64>, because: &str) -> Result<RecordedView, Trouble> {
    let in_file = |error| trouble(open.book.path(), error);
    let entries = open.book.entries().map_err(in_file)?;
    // The last one is that which was shown as the last.
    let shown = open.seen.unwrap_or(u64::MAX);
    let last = entries
        .iter()
        .rev()
        .filter(|entry| entry.number <= shown)
        .find(|entry| {
            let is_undone = matches!(entry.standing, Standing::UndoneBy(by) if by <= shown);
            !is_undone && !matches!(entry.fact, Fact::Undone(_))
        })
        .map(|entry| entry.number);
    let names = number.or(last).ok_or_else(|| {
        Trouble::input(
            "there is no entry that could be undone",
            "`firstraster story` shows what there is",
        )
    })?;
    open.refuse_overtaken(&entries, names)?;
    let because = because.to_owned();
    open.append(&Fact::Undone(Undone { names, because }))
}

/// Tells an entry anew: each change is `field = text`, with the fields that `story --json` shows.
pub fn correct_entry(
    entering: &Entering<'_>,
    number: u64,
    changes: &[String],
    because: &str,
) -> Result<RecordedView, Trouble> {
    enter(entering, |open| correct(open, number, changes, because))
}

fn correct(
    mut open: OpenBook,
    number: u64,
    changes: &[String],
    because: &str,
) -> Result<RecordedView, Trouble> {
    let path = open.book.path().to_path_buf();
    let in_file = |error| trouble(&path, error);
    let entries = open.book.entries().map_err(in_file)?;
    open.refuse_overtaken(&entries, number)?;
    let old = holds_now(&entries, number)
        .or_else(|| logbook::at(&entries, number).map(|entry| &entry.fact));
    let Some(old) = old.cloned() else {
        let last = entries.len() as u64;
        let error = logbook::LogbookError::NoSuchFact { number, last };
        return Err(in_file(error));
    };
    let instead = changed(&mut open, &old, changes)?;
    let because = because.to_owned();
    open.append(&Fact::Corrected(Corrected {
        names: number,
        instead: Box::new(instead),
        because,
    }))
}

fn changed(open: &mut OpenBook, old: &Fact, changes: &[String]) -> Result<Fact, Trouble> {
    let mut fields = old.to_fields();
    let mut faults = Vec::new();
    let mut value = None;
    for change in changes {
        let Some((key, text)) = change.split_once('=') else {
            faults.push(FaultView::of_input(
                format!("`{change}` read, field = text expected"),
                "such as: value = 153 V",
            ));
            continue;
        };
        let (key, text) = (key.trim(), text.trim());
        match (old, key) {
            (Fact::Measured(_), "value" | "typed") => value = Some(text.to_owned()),
            (Fact::Photographed(_), "photograph" | "taken") | (Fact::SheetTaken(_), "sheet") => {
                faults.push(FaultView::of_input(
                    format!("`{key}` belongs to what is kept and is never changed"),
                    "undo the entry and make a new one",
                ));
            }
            (Fact::Tested(_), "percent" | "micromhos" | "verdict") => {
                for other in ["percent", "micromhos", "verdict"] {
                    fields.replace(other, "");
                }
                fields.replace(key, text);
            }
            _ => put(&mut fields, key, text),
        }
    }
    let mut fact = read_back(old, &fields, &mut faults);
    if let (Some(Fact::Measured(measured)), Some(typed)) = (&mut fact, value) {
        let is_asked = changes
            .iter()
            .any(|change| change.trim_start().starts_with("what"));
        let before = measured.what;
        let asked = (is_asked || needs_kind(before)).then(|| before.name());
        match reading(&measured.place, &typed, asked) {
            Ok(understood) => {
                measured.what = understood.what;
                measured.value = understood.value;
                measured.typed = typed;
            }
            Err(fault) => faults.push(fault),
        }
    }
    if let Some(Fact::Measured(measured)) = &mut fact {
        measured.place = open.place(&measured.place);
    }
    match fact {
        Some(fact) if faults.is_empty() && &fact != old => Ok(fact),
        Some(_) if faults.is_empty() => Err(Trouble::input(
            "the correction says what the entry says already",
            "give what is to hold instead, such as \"value = 153 V\"",
        )),
        _ => Err(Trouble::Input { faults }),
    }
}

/// Kinds that a value with its unit does not name by itself.
fn needs_kind(what: logbook::What) -> bool {
    use logbook::What;
    !matches!(
        what,
        What::DcVolts | What::AcVoltsRms | What::RippleVoltsPeakToPeak | What::Ohms
    )
}

/// A list is given anew with commas between its entries.
fn put(fields: &mut Fields, key: &str, text: &str) {
    fields.replace(key, "");
    if ["pulled", "open", "fitted_without", "lamp_watts"].contains(&key) {
        for entry in text.split([',', '+']) {
            fields.text(key, entry.trim());
        }
    } else {
        fields.text(key, text);
    }
}

fn read_back(old: &Fact, fields: &Fields, faults: &mut Vec<FaultView>) -> Option<Fact> {
    match Fact::from_fields(old.kind(), fields) {
        Ok(fact) => Some(fact),
        Err(more) => {
            faults.extend(more.into_iter().map(|one| {
                let text = format!("`{}` {}", one.key, one.text);
                FaultView::of_input(text, &one.hint)
            }));
            None
        }
    }
}

fn notice(text: &str, hint: &str) -> NoticeView {
    NoticeView {
        text: text.to_owned(),
        hint: hint.to_owned(),
        line: None,
    }
}
