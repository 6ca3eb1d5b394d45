//! Practice: a hidden fault in an example set, and a bench that answers.
//!
//! Units of the readings. A practice file is a restoration of an example set, so that every other task
//! works on it; its name bears the number of the hidden set, from which the set is drawn anew each
//! time. Readings answered are entered as a restorer's own. Fails for a file that is no practice file,
//! for what the sheet has not, and for a reading that no meter may take.

mod bench;
mod ended;
mod shown;

use std::path::Path;

use logbook::{Conditions, Fact, Logbook, Seen, standing_facts};
use receiver::practice::loose::{Loose, measured_loose};
use receiver::suspects::outcome::suspect_named;

use crate::hunt::{NewNotice, came_word, record_notice};
use crate::read_sheet_file::SheetFile;
use crate::record::{NewReading, record_reading};
use crate::restoration::{Entering, trouble};
use crate::sent_once::{enter, made_before};
use crate::start_restoration::start_restoration;
use crate::trouble::Trouble;
use crate::view::{PracticeView, RecordedView};

use bench::PracticeBench;
pub use bench::PracticeSet;
pub use ended::{give_up, name_part};

/// The meter where none is named: a good electronic one.
const USUAL_METER: &str = "10M";
/// The thing of a note of a part measured by itself.
const BY_ITSELF: &str = "by itself";
/// The note of a signal that the bench answered.
const WATCHED: &str = "answered by the bench";
/// The note of a complaint that a practice begins with.
const OWNER: &str = "its owner says so";

/// Begins a practice file: hides one or two faults that show in an example set, and enters what its owner complains of.
pub fn begin_practice(
    entering: &Entering<'_>,
    set: PracticeSet,
    number: u64,
    faults: usize,
) -> Result<PracticeView, Trouble> {
    if number == 0 || number > PracticeSet::LARGEST_NUMBER || !(1..=2).contains(&faults) {
        return Err(Trouble::input(
            format!(
                "hidden sets have numbers from 1 to {}, and one or two faults",
                PracticeSet::LARGEST_NUMBER
            ),
            "give another number",
        ));
    }
    if let Ok(Some(_)) = made_before(entering) {
        return tell_practice(entering.file);
    }
    let (seed, complaint) = bench::with_bench(set, |bench| bench.seed_that_shows(number, faults))??;
    let sheet = SheetFile::in_memory(set.sheet_name(), set.sheet());
    start_restoration(entering, &sheet, Some(&set.name(seed, faults)))?;
    for at in complaint {
        if let Some(symptom) = shown::symptoms()?.get(at) {
            let name = symptom.name.clone();
            let new = NewNotice::Symptom { name, shown: true };
            // The file was started under the id, so these entries belong to it.
            let entering = Entering::new(entering.file, entering.at.clone());
            record_notice(&entering, new, OWNER.to_owned())?;
        }
    }
    tell_practice(entering.file)
}

/// How the practice stands.
pub fn tell_practice(file: &Path) -> Result<PracticeView, Trouble> {
    let (told, _) = ended::standing(file)?;
    Ok(told)
}

/// Reads volts at a place of the hidden set, or ohms with the plug out, and enters them.
pub fn practice_reading(
    entering: &Entering<'_>,
    place: &str,
    to: &str,
    meter: &str,
    conditions: Conditions,
) -> Result<RecordedView, Trouble> {
    let hidden = Hidden::of(entering.file)?;
    let meter = if meter.trim().is_empty() {
        USUAL_METER
    } else {
        meter
    };
    let mut conditions = conditions;
    if !conditions.plug_out && conditions.line_volts.is_none() {
        conditions.line_volts = Some(PracticeSet::LINE_VOLTS);
    }
    let typed = bench::with_bench(hidden.set, |bench| {
        bench.reading(hidden.seed, hidden.faults, place, to, meter, &conditions)
    })??;
    let new = NewReading {
        place: place.to_owned(),
        value: typed,
        to: to.to_owned(),
        what: None,
        meter: if conditions.plug_out {
            String::new()
        } else {
            meter.to_owned()
        },
        conditions,
        note: String::new(),
    };
    record_reading(entering, new)
}

/// Watches for a signal, fed in at a place or of a station, and enters what came of it.
pub fn practice_signal(
    entering: &Entering<'_>,
    fed: Option<&str>,
    watched: &str,
) -> Result<RecordedView, Trouble> {
    let hidden = Hidden::of(entering.file)?;
    let came = bench::with_bench(hidden.set, |bench| {
        bench.came(hidden.seed, hidden.faults, fed, watched)
    })??;
    let new = NewNotice::Signal {
        from: fed.map(str::to_owned),
        end: watched.to_owned(),
        came: Some(came_word(came).to_owned()),
        volts: None,
    };
    record_notice(entering, new, WATCHED.to_owned())
}

/// Measures a part by itself, one end free, or a tube on a tester, and enters what it shows.
pub fn practice_check(entering: &Entering<'_>, part: &str) -> Result<RecordedView, Trouble> {
    let hidden = Hidden::of(entering.file)?;
    let (reference, found) = bench::with_bench(hidden.set, |bench| {
        let suspect = suspect_named(bench.model(), part).ok_or_else(|| no_part(bench, part))?;
        let set = bench.hidden(hidden.seed, hidden.faults);
        let reference = suspect.reference(bench.model()).to_owned();
        let loose = measured_loose(bench.model(), &set, suspect);
        Ok::<_, Trouble>((reference, loose.map(|own| in_words(&own))))
    })??;
    let Some(found) = found else {
        return Err(Trouble::input(
            format!("no instrument of the bench tells {reference} by itself"),
            "judge it by readings in the set",
        ));
    };
    let fact = Fact::Seen(Seen {
        area: String::new(),
        thing: BY_ITSELF.to_owned(),
        part: reference,
        found,
        note: String::new(),
    });
    enter(entering, |open| open.append(&fact))
}

fn no_part(bench: &PracticeBench<'_>, part: &str) -> Trouble {
    let near = bench.model().sheet.nearest_reference(part);
    let hint = match near {
        Some(near) => format!("did you mean {near}?"),
        None => "name a part, tube or transformer as the sheet does".to_owned(),
    };
    Trouble::input(format!("the sheet has no `{}`", part.trim()), hint)
}

/// What the instrument shows, in bench words.
fn in_words(loose: &Loose) -> String {
    use quantity::{Unit, bench as shown};
    let ohms = |ohms: f64| match ohms.is_finite() {
        true => shown(ohms, Unit::Ohms),
        false => "open".to_owned(),
    };
    match loose {
        Loose::Ohms(own) => ohms(*own),
        Loose::Capacitor {
            leak_ohms,
            farads,
            series_ohms,
        } => {
            let leak = match *leak_ohms > 1e9 {
                true => "no leakage at working volts".to_owned(),
                false => format!("leaks {} at working volts", ohms(*leak_ohms)),
            };
            let farads = match *farads > 0.0 {
                true => shown(*farads, Unit::Farads),
                false => "no capacitance".to_owned(),
            };
            let series = series_ohms.map(|own| format!(", {} in series", ohms(own)));
            format!("{farads}, {leak}{}", series.unwrap_or_default())
        }
        Loose::Tube { percent, shows } => match shows.as_slice() {
            [] => format!("{percent:.0} percent, no shorts"),
            shows => format!("{percent:.0} percent, {}", shows.join(", ")),
        },
    }
}

/// Which hidden set a file holds.
#[derive(Debug, Clone, Copy)]
struct Hidden {
    set: PracticeSet,
    seed: u64,
    faults: usize,
}

impl Hidden {
    fn of(file: &Path) -> Result<Hidden, Trouble> {
        let in_file = |error| trouble(file, error);
        let book = Logbook::look(file).map_err(in_file)?;
        Hidden::named(&book.name().map_err(in_file)?).ok_or_else(|| Trouble::File {
            name: file.display().to_string(),
            text: "this is no practice file".to_owned(),
            hint: "begin one with `firstraster practice FILE begin`".to_owned(),
        })
    }

    fn named(name: &str) -> Option<Hidden> {
        let (set, seed, faults) = PracticeSet::read_name(name)?;
        Some(Hidden { set, seed, faults })
    }
}

/// What the owner complains of: symptoms by their position in the table.
fn complaint(book: &Logbook) -> Result<Vec<usize>, Trouble> {
    let entries = book
        .entries()
        .map_err(|error| trouble(book.path(), error))?;
    let table = shown::symptoms()?;
    let facts = standing_facts(&entries);
    let own = facts.iter().filter_map(|one| match one.fact {
        Fact::Seen(seen) if seen.note == OWNER => {
            table.iter().position(|own| own.name == seen.thing)
        }
        _ => None,
    });
    Ok(own.collect())
}

/// Readings and signals answered so far, and parts measured by themselves.
fn measurements(book: &Logbook) -> Result<usize, logbook::LogbookError> {
    let entries = book.entries()?;
    let counts = |fact: &Fact| match fact {
        Fact::Measured(_) => true,
        Fact::Seen(seen) => seen.thing == BY_ITSELF || seen.note == WATCHED,
        _ => false,
    };
    Ok(standing_facts(&entries)
        .iter()
        .filter(|one| counts(one.fact))
        .count())
}
