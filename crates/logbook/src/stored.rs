//! The stored form of each fact, converted by hand, so that the facts stay free to change.
//!
//! Keys are fixed once they are released; a later format may add some. Figures are in the
//! unit that their key or the kind of reading names. Fails with every fault of the fields.

use crate::fact::{
    Advised, Changed, Conditions, Corrected, Decided, Fact, Fitted, Measured, Photographed, Seen,
    SheetTaken, StepEvent, Stepped, TestResult, Tested, Undone, What,
};
use crate::fields::{FieldFault, Fields, Reader, finite};
use crate::picture_tube::OfPictureTube;
use crate::placed::Placed;
use crate::proof::OfProof;
use crate::re_forming::OfReForming;

impl Fact {
    /// The fact as keys and texts.
    pub fn to_fields(&self) -> Fields {
        let mut fields = Fields::default();
        let mut texts = |pairs: &[(&str, &str)]| {
            for (key, text) in pairs {
                fields.text(key, text);
            }
        };
        match self {
            Fact::SheetTaken(one) => texts(&[("name", &one.name), ("sheet", &one.sheet)]),
            Fact::Seen(one) => texts(&[
                ("area", &one.area),
                ("thing", &one.thing),
                ("part", &one.part),
                ("found", &one.found),
                ("note", &one.note),
            ]),
            Fact::Measured(one) => return measured_fields(one),
            Fact::Tested(one) => return tested_fields(one),
            Fact::OfPictureTube(one) => return one.to_fields(),
            Fact::OfReForming(one) => return one.to_fields(),
            Fact::OfProof(one) => return one.to_fields(),
            Fact::Fitted(one) => texts(&[
                ("part", &one.part),
                ("old", &one.old),
                ("new", &one.new),
                ("rating", &one.rating),
                ("note", &one.note),
            ]),
            Fact::Changed(one) => texts(&[
                ("what", &one.what),
                ("was", &one.was),
                ("is", &one.is),
                ("note", &one.note),
            ]),
            Fact::Photographed(one) => texts(&[
                ("name", &one.name),
                ("photograph", &one.photograph),
                ("shows", &one.shows),
                ("taken", &one.taken),
                ("note", &one.note),
            ]),
            Fact::Placed(one) => return one.to_fields(),
            Fact::Decided(one) => texts(&[("what", &one.what), ("because", &one.because)]),
            Fact::Stepped(one) => texts(&[
                ("step", &one.step),
                ("key", &one.key),
                ("event", one.event.word()),
                ("because", &one.because),
                ("leaves_unknown", &one.leaves_unknown),
            ]),
            Fact::Advised(one) => texts(&[
                ("asked", &one.asked),
                ("said", &one.said),
                ("program", &one.program),
                ("data", &one.data),
            ]),
            Fact::Corrected(one) => {
                texts(&[("names", &one.names.to_string()), ("because", &one.because)]);
                texts(&[("instead.kind", one.instead.kind())]);
                fields.prefixed("instead.", &one.instead.to_fields());
            }
            Fact::Undone(one) => {
                texts(&[("names", &one.names.to_string()), ("because", &one.because)]);
            }
        }
        fields
    }

    /// Reads a fact of this kind; all faults at once.
    pub fn from_fields(kind: &str, fields: &Fields) -> Result<Fact, Vec<FieldFault>> {
        let mut reader = Reader::new(fields);
        let fact = match kind {
            "sheet taken" => Some(Fact::SheetTaken(SheetTaken {
                name: reader.required("name"),
                sheet: hash(&mut reader, "sheet"),
            })),
            "seen" => Some(Fact::Seen(Seen {
                area: reader.text("area"),
                thing: reader.required("thing"),
                part: reader.text("part"),
                found: reader.required("found"),
                note: reader.text("note"),
            })),
            "measured" => measured(&mut reader).map(Fact::Measured),
            "tested" => tested(&mut reader).map(Fact::Tested),
            "picture tube" => OfPictureTube::read(&mut reader).map(Fact::OfPictureTube),
            "re-forming" => OfReForming::read(&mut reader).map(Fact::OfReForming),
            "proof" => OfProof::read(&mut reader).map(Fact::OfProof),
            "fitted" => Some(Fact::Fitted(Fitted {
                part: reader.required("part"),
                old: reader.text("old"),
                new: reader.required("new"),
                rating: reader.text("rating"),
                note: reader.text("note"),
            })),
            "changed" => Some(Fact::Changed(Changed {
                what: reader.required("what"),
                was: reader.text("was"),
                is: reader.text("is"),
                note: reader.text("note"),
            })),
            "photographed" => Some(Fact::Photographed(Photographed {
                name: reader.required("name"),
                photograph: hash(&mut reader, "photograph"),
                shows: reader.text("shows"),
                taken: reader.text("taken"),
                note: reader.text("note"),
            })),
            "placed" => Some(Fact::Placed(Placed::read(&mut reader))),
            "decided" => Some(Fact::Decided(Decided {
                what: reader.required("what"),
                because: reader.text("because"),
            })),
            "stepped" => stepped(&mut reader).map(Fact::Stepped),
            "advised" => Some(Fact::Advised(Advised {
                asked: reader.required("asked"),
                said: reader.required("said"),
                program: reader.required("program"),
                data: reader.required("data"),
            })),
            "corrected" => corrected(&mut reader).map(Fact::Corrected),
            "undone" => Some(Fact::Undone(Undone {
                names: names(&mut reader),
                because: reader.text("because"),
            })),
            other => {
                let text = format!("`{other}` is no kind of fact");
                return Err(vec![FieldFault::new(
                    "kind",
                    text,
                    "kinds are: sheet taken, seen, measured, tested, picture tube, re-forming, proof, fitted, changed, photographed, placed, decided, stepped, advised, corrected, undone",
                )]);
            }
        };
        let faults = reader.end();
        match fact {
            Some(fact) if faults.is_empty() => Ok(fact),
            _ => Err(faults),
        }
    }
}

fn measured_fields(one: &Measured) -> Fields {
    let mut fields = Fields::default();
    fields.text("place", &one.place);
    fields.text("to", &one.to);
    fields.text("what", one.what.name());
    fields.text("typed", &one.typed);
    fields.number("value", Some(one.value));
    fields.text("meter", &one.meter);
    let conditions = &one.conditions;
    fields.yes("plug_out", conditions.plug_out);
    fields.number("line_volts", conditions.line_volts);
    fields.number("dial_volts", conditions.dial_volts);
    for watts in &conditions.lamp_watts {
        fields.number("lamp_watts", Some(*watts));
    }
    fields.list("pulled", &conditions.pulled);
    fields.list("open", &conditions.open);
    fields.list("fitted_without", &conditions.fitted_without);
    fields.number("seconds", conditions.seconds);
    fields.text("dc", &conditions.dc);
    fields.text("note", &one.note);
    fields
}

fn measured(reader: &mut Reader<'_>) -> Option<Measured> {
    let name = reader.required("what");
    let what = What::from_name(&name);
    if what.is_none() && !name.is_empty() {
        let known: Vec<&str> = What::ALL.iter().map(|what| what.name()).collect();
        let text = format!("`{name}` is no kind of reading");
        reader.fault(
            "what",
            0,
            &text,
            &format!("kinds are: {}", known.join(", ")),
        );
    }
    let place = reader.required("place");
    let to = reader.text("to");
    let typed = reader.required("typed");
    let value = reader.required_number("value");
    if value.is_infinite() && what != Some(What::Ohms) {
        reader.fault("value", 0, "only ohms can be open", "write the number");
    }
    let meter = reader.text("meter");
    let conditions = Conditions {
        plug_out: reader.yes("plug_out"),
        line_volts: finite(reader, "line_volts"),
        dial_volts: finite(reader, "dial_volts"),
        lamp_watts: reader.numbers("lamp_watts"),
        pulled: reader.list("pulled"),
        open: reader.list("open"),
        fitted_without: reader.list("fitted_without"),
        seconds: finite(reader, "seconds"),
        dc: reader.text("dc"),
    };
    if conditions.lamp_watts.iter().any(|watts| !watts.is_finite()) {
        reader.fault("lamp_watts", 0, "a lamp has watts", "write the number");
    }
    let note = reader.text("note");
    what.map(|what| Measured {
        place,
        to,
        what,
        typed,
        value,
        meter,
        conditions,
        note,
    })
}

fn stepped(reader: &mut Reader<'_>) -> Option<Stepped> {
    let step = reader.required("step");
    let key = reader.text("key");
    let word = reader.required("event");
    let event = StepEvent::from_word(&word);
    if event.is_none() && !word.is_empty() {
        let text = format!("`{word}` is nothing that becomes of a step");
        let known: Vec<&str> = StepEvent::ALL.iter().map(|one| one.word()).collect();
        reader.fault(
            "event",
            0,
            &text,
            &format!("write one of: {}", known.join(", ")),
        );
    }
    let because = reader.text("because");
    let leaves_unknown = reader.text("leaves_unknown");
    event.map(|event| Stepped {
        step,
        key,
        event,
        because,
        leaves_unknown,
    })
}

fn tested_fields(one: &Tested) -> Fields {
    let mut fields = Fields::default();
    fields.text("part", &one.part);
    fields.text("section", &one.section);
    fields.text("type", &one.type_number);
    fields.text("tester", &one.tester);
    match &one.result {
        TestResult::Percent(percent) => fields.number("percent", Some(*percent)),
        TestResult::Micromhos(micromhos) => fields.number("micromhos", Some(*micromhos)),
        TestResult::Verdict(verdict) => fields.text("verdict", verdict),
    }
    fields.text("note", &one.note);
    fields
}

fn tested(reader: &mut Reader<'_>) -> Option<Tested> {
    let part = reader.required("part");
    let section = reader.text("section");
    let type_number = reader.text("type");
    let tester = reader.text("tester");
    let percent = finite(reader, "percent").map(TestResult::Percent);
    let micromhos = finite(reader, "micromhos").map(TestResult::Micromhos);
    let verdict = reader
        .has("verdict")
        .then(|| TestResult::Verdict(reader.text("verdict")));
    let note = reader.text("note");
    let mut results = [percent, micromhos, verdict].into_iter().flatten();
    let (first, second) = (results.next(), results.next());
    if first.is_none() || second.is_some() {
        reader.fault(
            "",
            0,
            "one result of the tester is expected: percent, micromhos or verdict",
            "give one of the three; make an entry for each",
        );
    }
    first.map(|result| Tested {
        part,
        section,
        type_number,
        tester,
        result,
        note,
    })
}

fn corrected(reader: &mut Reader<'_>) -> Option<Corrected> {
    let names = names(reader);
    let because = reader.text("because");
    let kind = reader.required("instead.kind");
    let inner = reader.prefixed("instead.");
    // The kind has been taken above and is no field of the fact itself.
    let mut fields = inner;
    fields.replace("kind", "");
    if kind == "corrected" || kind == "undone" {
        reader.fault(
            "instead.kind",
            0,
            "a correction tells a fact anew, not another correction or undo",
            "name the first fact; undo an undo by undoing it",
        );
        return None;
    }
    match Fact::from_fields(&kind, &fields) {
        Ok(fact) => Some(Corrected {
            names,
            instead: Box::new(fact),
            because,
        }),
        Err(faults) => {
            reader.more_faults(faults);
            None
        }
    }
}

fn names(reader: &mut Reader<'_>) -> u64 {
    let text = reader.required("names");
    match text.parse::<u64>() {
        Ok(number) if number > 0 && number < 1 << 53 => number,
        _ => {
            if !text.is_empty() {
                let text = format!("`{text}` is no number of a fact");
                reader.fault("names", 0, &text, "write the number of an earlier fact");
            }
            0
        }
    }
}

/// The name under which a sheet or photograph is kept.
pub(crate) fn hash(reader: &mut Reader<'_>, key: &str) -> String {
    let text = reader.required(key);
    let is_hash = text.len() == 64
        && text
            .bytes()
            .all(|byte| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte));
    if !is_hash && !text.is_empty() {
        let fault = format!("`{text}` is no SHA-256 of 64 hexadecimal digits");
        reader.fault(key, 0, &fault, "leave it as it was exported");
    }
    text
}
