//! Puts into a restoration what was noticed of a set that is on: a symptom, a signal, a heater's glow.
//!
//! Words of the list of symptoms and of the sheet; a name that is not exact is looked up by its nearest, and
//! told as a fault where it stays open. Fails where the file cannot be opened or written and for names that the
//! list or the sheet has not; nothing is written then.

use logbook::{Fact, Seen};
use parts::Symptom;
use receiver::suspects::signs::no_way;
use receiver::suspects::signs::signal_way::SignalEnd;
use receiver::wiring::SetModel;

use super::noticed::{
    CAME, COMPLAINT, DISTURBANCE, ENDS, FROM, GLOW, GLOWS, GONE, HEATERS, NOT_SHOWN, PULLED, SHOWN,
    SIGNALS, STATION, SYMPTOMS, WARMS, WARMTH,
};
use super::waves::in_words;
use crate::check_sheet::catalogue;
use crate::restoration::{Entering, OpenBook};
use crate::sent_once::enter;
use crate::stage_answers::folded;
use crate::suits_part::{has_a_heater, is_a_tube, pin_of_its_base};
use crate::trouble::Trouble;
use crate::view::{NoticeView, RecordedView, SymptomSectionView, SymptomView, SymptomsView};
use crate::{FORMAT, PROGRAM_VERSION};

/// Something noticed, as it is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NewNotice {
    /// A symptom of the list, and whether the set shows it.
    Symptom {
        /// Its name, or enough of its words.
        name: String,
        /// Whether the set shows it.
        shown: bool,
    },
    /// A signal.
    Signal {
        /// The place where it is fed in; `None` for a station at the antenna.
        from: Option<String>,
        /// Where it is watched for: `sound`, `picture`, `height`, `width` or a place.
        end: String,
        /// `right`, `weak`, `distorted` or `lost`; with figures right and distorted tell the shape.
        came: Option<String>,
        /// Peak-to-peak volts read at the place, and the maker's.
        volts: Option<(String, String)>,
    },
    /// How a tube's heater glows.
    Glow {
        /// The tube.
        tube: String,
        /// `dark`, `dim`, `as usual` or `too bright`.
        how: String,
    },
    /// A disturbance with a tube out of its socket.
    Pulled {
        /// The tube.
        tube: String,
        /// Where the disturbance is: `sound`, `picture`, `height` or `width`.
        end: String,
        /// `gone` or `the same`.
        then: String,
    },
    /// What warmth does to the complaint: `comes` or `goes`.
    Warms(String),
}

/// Records what was noticed.
pub fn record_notice(
    entering: &Entering<'_>,
    new: NewNotice,
    note: String,
) -> Result<RecordedView, Trouble> {
    enter(entering, |open| noticed(open, new, note))
}

fn noticed(mut open: OpenBook, new: NewNotice, note: String) -> Result<RecordedView, Trouble> {
    match new {
        NewNotice::Symptom { name, shown } => {
            let symptom = symptom_named(&name)?;
            if !symptom.caution.is_empty() {
                let text = symptom.caution.clone();
                open.notices.push(NoticeView {
                    text,
                    hint: String::new(),
                    line: None,
                });
            }
            open.append(&Fact::Seen(Seen {
                area: SYMPTOMS.to_owned(),
                thing: symptom.name.clone(),
                found: if shown { SHOWN } else { NOT_SHOWN }.to_owned(),
                note,
                ..Seen::default()
            }))
        }
        NewNotice::Signal {
            from,
            end,
            came,
            volts,
        } => {
            let is_place = end_of(&end).is_none();
            let came = came_in_words(came.as_deref(), volts.as_ref(), is_place)?;
            let from = match from.as_deref().map(str::trim) {
                None | Some("") => STATION.to_owned(),
                Some(place) => on_sheet(&mut open, place, false)?,
            };
            let end = match end_of(&end) {
                Some(end) => end.to_owned(),
                None => on_sheet(&mut open, &end, false)?,
            };
            let no_way = no_way_told(&open, &from, &end)?;
            open.notices.extend(no_way);
            open.append(&Fact::Seen(Seen {
                area: SIGNALS.to_owned(),
                thing: format!("{FROM}{from} to {end}"),
                found: came,
                note,
                ..Seen::default()
            }))
        }
        NewNotice::Pulled { tube, end, then } => {
            let then = one_of("is then", &then, &GONE.map(|own| own.0))?;
            let Some(end) = end_of(&end) else {
                return Err(Trouble::input(
                    format!("`{}` is no place where one notices it", end.trim()),
                    format!("one of {}", END_WORDS.join(", ")),
                ));
            };
            let tube = on_sheet(&mut open, &tube, true)?;
            if let Some(sheet) = &open.sheet {
                is_a_tube(sheet, &tube)?;
            }
            open.append(&Fact::Seen(Seen {
                area: PULLED.to_owned(),
                thing: format!("{DISTURBANCE}{end}"),
                part: tube,
                found: then.to_owned(),
                note,
            }))
        }
        NewNotice::Warms(how) => {
            let how = one_of("changes", &how, &WARMS.map(|own| own.0))?;
            open.append(&Fact::Seen(Seen {
                area: WARMTH.to_owned(),
                thing: COMPLAINT.to_owned(),
                found: how.to_owned(),
                note,
                ..Seen::default()
            }))
        }
        NewNotice::Glow { tube, how } => {
            let how = one_of("glows", &how, &GLOWS.map(|own| own.0))?;
            let tube = on_sheet(&mut open, &tube, true)?;
            if let Some(sheet) = &open.sheet {
                has_a_heater(sheet, &tube)?;
            }
            open.append(&Fact::Seen(Seen {
                area: HEATERS.to_owned(),
                thing: GLOW.to_owned(),
                part: tube,
                found: how.to_owned(),
                note,
            }))
        }
    }
}

/// That the sheet shows no way for a signal; nothing where it shows one, or where no sheet is there.
fn no_way_told(open: &OpenBook, from: &str, end: &str) -> Result<Option<NoticeView>, Trouble> {
    let Some(sheet) = &open.sheet else {
        return Ok(None);
    };
    let model = SetModel::new(sheet, catalogue()?);
    let junction = |place: &str| model.junction(model.places.find(place).ok()?);
    let known = ENDS.iter().find(|own| own.0 == end).map(|own| own.1);
    let Some(at) = known.or_else(|| junction(end).map(SignalEnd::Junction)) else {
        return Ok(None);
    };
    let from = match from {
        STATION => None,
        place => junction(place),
    };
    Ok(no_way(&model, from, at).map(|why| NoticeView {
        text: format!("kept, and not weighed: {why}"),
        hint: "put the parts and tubes between them into the sheet, with the tubes' jobs: the loudspeaker is behind the tube whose job is sound output".to_owned(),
        line: None,
    }))
}

/// What came of a signal, as it is kept: a word, or volts against the maker's.
fn came_in_words(
    came: Option<&str>,
    volts: Option<&(String, String)>,
    is_place: bool,
) -> Result<String, Trouble> {
    let words = CAME.map(|own| own.0);
    let Some((read, maker)) = volts else {
        let came = came.ok_or_else(|| {
            Trouble::input(
                "nothing was said of how the signal came",
                format!("say one of {}, or --volts with --maker", words.join(", ")),
            )
        })?;
        return one_of("came", came, &words).map(str::to_owned);
    };
    if !is_place {
        return Err(Trouble::input(
            "volts of a signal are read at a place",
            "say at which, such as --watched V13.7",
        ));
    }
    let shape = match came.map(|came| one_of("is shaped", came, &["right", "distorted"])) {
        Some(shape) => Some(shape? == "right"),
        None => None,
    };
    in_words(read, maker, shape)
}

/// Ends as they are typed, in the order of [`ENDS`].
const END_WORDS: [&str; 4] = ["sound", "picture", "height", "width"];

/// The end that a word means; as offers name it, it is taken as well.
fn end_of(typed: &str) -> Option<&'static str> {
    let typed = typed.trim();
    let mut ends = ENDS.iter().map(|own| own.0).zip(END_WORDS);
    ends.find(|(called, word)| {
        typed.eq_ignore_ascii_case(word) || typed.eq_ignore_ascii_case(called)
    })
    .map(|(called, _)| called)
}

/// The same end for the ranking.
pub(crate) fn signal_end(typed: &str) -> Option<SignalEnd> {
    let words = end_of(typed)?;
    ENDS.iter().find(|own| own.0 == words).map(|own| own.1)
}

/// The list of symptoms.
pub fn tell_symptoms() -> Result<SymptomsView, Trouble> {
    Ok(SymptomsView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        symptoms: table()?
            .iter()
            .map(|own| SymptomView {
                symptom: own.name.clone(),
                what: own.what.clone(),
                first_check: own.first_check.clone(),
                caution: own.caution.clone(),
                sections: own
                    .sections
                    .iter()
                    .map(|row| SymptomSectionView {
                        section: row.section.word(),
                        weight: row.weight,
                        source: row.source.clone(),
                        standing: row.standing.to_string(),
                    })
                    .collect(),
            })
            .collect(),
    })
}

/// The table of symptoms.
pub(super) fn table() -> Result<&'static [Symptom], Trouble> {
    parts::symptoms().map_err(|faults| {
        let first = faults.first();
        Trouble::ours(first.map_or_else(String::new, ToString::to_string))
    })
}

/// The symptom of this name, or the only one whose words hold all of these.
fn symptom_named(name: &str) -> Result<&'static Symptom, Trouble> {
    let table = table()?;
    let wanted = folded(name);
    if let Some(own) = table.iter().find(|own| folded(&own.name) == wanted) {
        return Ok(own);
    }
    let words: Vec<&str> = wanted.split_whitespace().collect();
    let holds = |own: &&Symptom| {
        let text = folded(&format!("{} {}", own.name, own.what));
        !words.is_empty() && words.iter().all(|word| text.contains(word))
    };
    let found: Vec<&Symptom> = table.iter().filter(holds).collect();
    match found[..] {
        [one] => Ok(one),
        [] => Err(Trouble::input(
            format!("`{}` is no symptom of the list", name.trim()),
            "`firstraster suspects FILE noticed` shows the list",
        )),
        _ => {
            let names: Vec<String> = found.iter().map(|own| format!("`{}`", own.name)).collect();
            Err(Trouble::input(
                format!("`{}` may be several symptoms", name.trim()),
                format!("say which: {}", names.join(", ")),
            ))
        }
    }
}

/// The word of a list that is meant.
fn one_of<'a>(what: &str, typed: &str, words: &[&'a str]) -> Result<&'a str, Trouble> {
    let found = words.iter().find(|own| folded(own) == folded(typed));
    found.copied().ok_or_else(|| {
        Trouble::input(
            format!("`{}` is no word for how it {what}", typed.trim()),
            format!("one of {}", words.join(", ")),
        )
    })
}

/// A place or tube as the sheet spells it.
fn on_sheet(open: &mut OpenBook, typed: &str, is_tube: bool) -> Result<String, Trouble> {
    if let Some(sheet) = open.sheet.as_ref().filter(|_| !is_tube) {
        pin_of_its_base(sheet, typed)?;
    }
    let before = open.notices.len();
    let name = if is_tube {
        open.part(typed)
    } else {
        open.place(typed)
    };
    if open.notices.len() == before {
        return Ok(name);
    }
    let sheet = open.sheet.as_ref();
    let nearest = sheet.and_then(|sheet| match is_tube {
        true => sheet.nearest_reference(typed).map(str::to_owned),
        false => sheet.places().find(typed).err()?.nearest,
    });
    let hint = match nearest {
        Some(nearest) => format!("did you mean `{nearest}`?"),
        None => "spell it as the sheet does".to_owned(),
    };
    Err(Trouble::input(
        format!("the sheet has no `{}`", typed.trim()),
        hint,
    ))
}
