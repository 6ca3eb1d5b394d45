//! Findings of a picture tube, as they are typed, checked and put into a restoration.
//!
//! `MINUTES=READING`, `SECONDS=READING` and `VOLTS=CURRENT` may be given several times in one go;
//! they go in together or not at all. Unit, end of the scale, needle error and sitting are
//! carried over from the last reading of the same tube, so that they are said once. Heater
//! volts stand behind an `@`. All faults come at once; then nothing is written.

use logbook::{Changed, Entry, Fact, OfPictureTube, Standing, TubeFinding, standing_facts};

use super::ask::PictureAsk;
use super::gather::{TRIED, notice, type_of, which_tube};
use super::judge::{Asked, view_of};
use super::needle::{LastNeedle, needle_findings};
use super::typed::{Typed, rounded};
use crate::check_sheet::catalogue;
use crate::restoration::{Entering, OpenBook, open, trouble};
use crate::sent_once::Made;
use crate::trouble::Trouble;
use crate::view::{EntryView, FoundView};
use crate::{FORMAT, PROGRAM_VERSION};

/// Cures that can be told as tried, with what each is.
pub(super) const CURES: [(&str, &str); 5] = [
    ("pins", "base pins and socket cleaned"),
    ("solder", "heater and cathode pins re-soldered"),
    ("rated", "hours at rated heater"),
    ("transformer", "isolating heater transformer"),
    ("running set", "judged in the running set"),
];

/// What was found, as typed.
#[derive(Debug, Clone, PartialEq)]
pub enum NewFinding {
    /// The heater.
    Heater {
        /// Cold ohms.
        cold: Option<String>,
        /// Volts while hot.
        volts: Option<String>,
        /// Amperes at those volts.
        amperes: Option<String>,
        /// Whether it glows.
        glow: Option<String>,
    },
    /// Ohms between two elements.
    Leak {
        /// Element at the plus lead.
        plus: String,
        /// Element at the minus lead.
        minus: String,
        /// What was read.
        ohms: String,
        /// Whether the heater was hot.
        hot: bool,
    },
    /// Cut-off.
    CutOff {
        /// Volts that the grid stood below the cathode.
        volts: Option<String>,
        /// Whether the beam went out.
        reached: Option<String>,
        /// Volts of the second grid, to the cathode.
        second_grid: Option<String>,
    },
    /// Emission: `MINUTES=READING[@HEATER VOLTS]`.
    Emission {
        /// The readings.
        readings: Vec<String>,
        /// The instrument.
        needle: NewNeedle,
    },
    /// Life test: `SECONDS=READING`.
    LifeTest {
        /// The readings.
        readings: Vec<String>,
        /// The instrument; its heater is the reduced one, or `cut`.
        needle: NewNeedle,
    },
    /// Bench currents: `VOLTS=CURRENT[,TEN SECONDS LATER]`.
    BenchCurrent {
        /// The readings.
        readings: Vec<String>,
    },
    /// What the running set shows.
    RunningSet {
        /// Such as bright, dim, none.
        picture: Option<String>,
        /// Cathode current.
        current: Option<String>,
    },
    /// A cure that was tried.
    Tried {
        /// Its name.
        cure: String,
        /// What it gained.
        gained: String,
    },
}

/// An instrument, as typed; what is absent is carried over.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NewNeedle {
    /// Name of the sitting.
    pub sitting: Option<String>,
    /// Unit of its scale.
    pub unit: Option<String>,
    /// Last mark of its scale.
    pub scale_end: Option<String>,
    /// Its error, percent of the scale.
    pub needle_percent: Option<String>,
    /// Heater volts.
    pub heater: Option<String>,
}

/// Puts findings of one tube into a restoration, and judges the tube.
pub fn record_findings(
    entering: &Entering<'_>,
    ask: &PictureAsk,
    (instrument, note): (&str, &str),
    new: &NewFinding,
) -> Result<FoundView, Trouble> {
    let mut open = open(entering)?;
    let in_file = |error| trouble(entering.file, error);
    let mut entries = open.book.entries().map_err(in_file)?;
    let standing = standing_facts(&entries);
    let part = which_tube(ask.tube.as_deref(), open.sheet.as_ref(), &standing);
    if let Some(made) = open.made_before {
        open.notices.push(made.notice());
        drop(standing);
        return found(entering, open, &entries, &part, ask, made);
    }
    let mut typed = Typed::default();
    let type_number = said_type(ask, &part, &mut open, &mut typed)?;
    let today = entering.at.as_str().get(..10).unwrap_or_default();
    let last = LastNeedle::of(&standing, &part, today);
    let facts: Vec<Fact> = match new {
        NewFinding::Tried { cure, gained } => tried(&part, cure, gained, note, &mut typed)
            .into_iter()
            .collect(),
        _ => findings(new, &last, &mut typed)
            .into_iter()
            .map(|found| {
                Fact::OfPictureTube(OfPictureTube {
                    part: part.clone(),
                    type_number: type_number.clone(),
                    instrument: instrument.trim().to_owned(),
                    found,
                    note: note.trim().to_owned(),
                })
            })
            .collect(),
    };
    typed.end()?;
    drop(standing);
    let made = open
        .append_all(&facts)?
        .ok_or_else(|| Trouble::input("nothing was found", "give what was read"))?;
    let (read, count) = (entries.len() as u64, facts.len() as u64);
    if made.first == read + 1 && made.last == read + count {
        // What was read before and what was just written are the whole story.
        entries.extend((made.first..).zip(facts).map(|(number, fact)| Entry {
            number,
            at: entering.at.clone(),
            fact,
            standing: Standing::Stands,
        }));
    } else {
        // Another program entered more meanwhile.
        entries = open.book.entries().map_err(in_file)?;
    }
    found(entering, open, &entries, &part, ask, made)
}

/// The entries that were made, and the tube as it is judged with them.
fn found(
    entering: &Entering<'_>,
    mut open: OpenBook,
    entries: &[Entry],
    part: &str,
    ask: &PictureAsk,
    made: Made,
) -> Result<FoundView, Trouble> {
    let in_file = |error| trouble(entering.file, error);
    let standing = standing_facts(entries);
    let made = entries
        .iter()
        .filter(|entry| made.has(entry.number))
        .map(EntryView::from)
        .collect();
    let picture = match type_of(part, open.sheet.as_ref(), &standing) {
        Some(_) => Some(view_of(
            entering.file,
            &open.book,
            open.sheet.as_ref(),
            &standing,
            &Asked {
                ask: &PictureAsk {
                    tube: Some(part.to_owned()),
                    ..ask.clone()
                },
                of_set: false,
            },
        )?),
        None => {
            let text = format!("the type of {part} is not known, so nothing is judged yet");
            open.notices
                .push(notice(&text, "say it with --type, such as 12LP4"));
            None
        }
    };
    Ok(FoundView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: entering.file.display().to_string(),
        restoration: open.book.name().map_err(in_file)?,
        entries: made,
        picture,
        notices: open.notices,
    })
}

/// The type that was said with the entry, as the catalogue spells it.
fn said_type(
    ask: &PictureAsk,
    part: &str,
    open: &mut OpenBook,
    typed: &mut Typed,
) -> Result<String, Trouble> {
    let Some(said) = ask.type_number.as_deref().map(str::trim) else {
        return Ok(String::new());
    };
    let name = match catalogue()?.tube(said) {
        Some(tube) if tube.is_picture_tube => tube.name.clone(),
        Some(tube) => {
            typed.fault(
                format!("--type: {} is no picture tube", tube.name),
                "read the number on the tube again",
            );
            return Ok(String::new());
        }
        None => {
            open.notices.push(notice(
                &format!("{said} is not in the catalogue; it is kept as you typed it"),
                "`firstraster tube` with the number names the nearest types",
            ));
            said.to_owned()
        }
    };
    let listed = open.sheet.as_ref().and_then(|sheet| sheet.tube(part));
    if let Some(listed) = listed.filter(|tube| tube.kind.name != name) {
        let text = format!(
            "the sheet has {} at {part}, found was {name}",
            listed.kind.name
        );
        let hint = "look which is right; a spare tube gets a name of its own with --tube spare";
        open.notices.push(notice(&text, hint));
    }
    Ok(name)
}

fn tried(part: &str, cure: &str, gained: &str, note: &str, typed: &mut Typed) -> Option<Fact> {
    let folded = cure.trim().to_lowercase();
    let Some((name, _)) = CURES.iter().find(|(name, _)| *name == folded) else {
        let known: Vec<String> = CURES
            .iter()
            .map(|(name, what)| format!("{name} ({what})"))
            .collect();
        typed.fault(
            format!("`{cure}` read, a cure expected"),
            format!("it is one of: {}", known.join(", ")),
        );
        return None;
    };
    Some(Fact::Changed(Changed {
        what: format!("{part}, {TRIED}: {name}"),
        was: String::new(),
        is: gained.trim().to_owned(),
        note: note.trim().to_owned(),
    }))
}

fn findings(new: &NewFinding, last: &LastNeedle, typed: &mut Typed) -> Vec<TubeFinding> {
    let said = |value: &Option<String>| value.clone().filter(|text| !text.trim().is_empty());
    match new {
        NewFinding::Heater {
            cold,
            volts,
            amperes,
            glow,
        } => {
            let found = TubeFinding::Heater {
                cold_ohms: said(cold).and_then(|text| typed.ohms("--cold", &text)),
                volts: said(volts).and_then(|text| typed.volts("--volts", &text, 120.0)),
                amperes: said(amperes).and_then(|text| typed.amperes("--amperes", &text, 5.0)),
                glows: said(glow).and_then(|text| typed.yes_or_no("--glow", &text)),
            };
            if [cold, volts, amperes, glow]
                .into_iter()
                .all(|one| said(one).is_none())
            {
                typed.fault(
                    "nothing is said of the heater",
                    "give --cold, --volts with --amperes, or --glow",
                );
            }
            vec![found]
        }
        NewFinding::Leak {
            plus,
            minus,
            ohms,
            hot,
        } => {
            let plus = typed.element("plus", plus);
            let minus = typed.element("minus", minus);
            let ohms = typed.ohms("ohms", ohms);
            if plus.is_some() && plus == minus {
                typed.fault("both leads are at one element", "name two");
            }
            match (plus, minus, ohms) {
                (Some(plus), Some(minus), Some(ohms)) => vec![TubeFinding::Leak {
                    plus: plus.word().to_owned(),
                    minus: minus.word().to_owned(),
                    ohms,
                    hot: *hot,
                }],
                _ => Vec::new(),
            }
        }
        NewFinding::CutOff {
            volts,
            reached,
            second_grid,
        } => {
            if said(volts).is_none() && said(reached).is_none() {
                typed.fault(
                    "nothing is said of the cut-off",
                    "give the volts that the grid stood below the cathode, or --reached yes or no",
                );
            }
            vec![TubeFinding::CutOff {
                grid_volts: said(volts).and_then(|text| typed.volts("volts", &text, 300.0)),
                reached: said(reached).and_then(|text| typed.yes_or_no("--reached", &text)),
                second_grid_volts: said(second_grid)
                    .and_then(|text| typed.volts("--second-grid", &text, 1000.0)),
            }]
        }
        NewFinding::Emission { readings, needle } => {
            needle_findings(readings, needle, last, false, typed)
        }
        NewFinding::LifeTest { readings, needle } => {
            needle_findings(readings, needle, last, true, typed)
        }
        NewFinding::BenchCurrent { readings } => readings
            .iter()
            .filter_map(|text| bench_current(text, typed))
            .collect(),
        NewFinding::RunningSet { picture, current } => {
            if said(picture).is_none() && said(current).is_none() {
                typed.fault(
                    "nothing is said of the running set",
                    "give --picture bright, dim or none, or --current with the cathode current",
                );
            }
            let current = said(current).and_then(|text| typed.amperes("--current", &text, 0.01));
            vec![TubeFinding::RunningSet {
                picture: said(picture).unwrap_or_default().trim().to_owned(),
                cathode_microamperes: current.map(|amperes| rounded(amperes * 1e6)),
            }]
        }
        NewFinding::Tried { .. } => Vec::new(),
    }
}

fn bench_current(text: &str, typed: &mut Typed) -> Option<TubeFinding> {
    let Some((volts, currents)) = text.split_once('=') else {
        typed.fault(
            format!("`{text}` read, VOLTS=CURRENT expected"),
            "such as 100=640uA, or 100=640uA,600uA with the current ten seconds later",
        );
        return None;
    };
    let (at_once, later) = match currents.split_once(',') {
        Some((at_once, later)) => (at_once, Some(later)),
        None => (currents, None),
    };
    let place = format!("`{text}`");
    let volts = typed.volts(&place, volts, 1000.0);
    let at_once = typed.amperes(&place, at_once, 0.05);
    let later = later.map(|later| typed.amperes(&place, later, 0.05));
    Some(TubeFinding::BenchCurrent {
        second_grid_volts: volts?,
        microamperes: rounded(at_once? * 1e6),
        microamperes_later: match later {
            Some(later) => Some(rounded(later? * 1e6)),
            None => None,
        },
    })
}
