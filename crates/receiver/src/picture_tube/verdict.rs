//! The verdict on a picture tube, in plain words, with its reasons and what would change it.
//!
//! Each judgement that was made goes in; what was not made is named as missing. The cheap cures
//! come first, always: a dirty pin looks like a dead tube. Harsher ways are never part of it.
//! Limits are judgement and common practice. Cannot fail but for a damaged table of hazards.

use super::advised::{Advised, Answer, ask};
use super::bench_method::Cathode;
use super::drive::CutoffFinding;
use super::emission::{Direction, EmissionOutlook, Heading, Waiting, level_text};
use super::heater::HeaterFinding;
use super::life_test::Reserve;
use crate::hazard::{
    Absence, Act, ActKind, ActPlace, Instrument, Measured, Situation, StoredCharge, TableFault,
};

/// Everything that was judged; all of it may be missing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Judged {
    /// What the heater tells.
    pub heater: Vec<HeaterFinding>,
    /// Where emission is heading.
    pub emission: Option<EmissionOutlook>,
    /// Reading, in the unit of the record, from which on the instrument's maker calls a tube good; `None` unknown.
    pub good_from: Option<f64>,
    /// How the cathode stands by the bench method.
    pub cathode: Option<Cathode>,
    /// The zero-bias current of the bench method against what the type should show.
    pub bench_current: Option<CutoffFinding>,
    /// The measured cut-off against the type.
    pub cutoff: Option<CutoffFinding>,
    /// Whether the beam can be cut off at all.
    pub is_cut_off: Option<bool>,
    /// Reserve by the life test.
    pub reserve: Option<Reserve>,
    /// Leakage from heater to cathode was found.
    pub heater_cathode_leak: Option<bool>,
    /// Leakage between other elements was found.
    pub other_leak: Option<bool>,
    /// It gives a picture in the set.
    pub gives_a_picture: Option<bool>,
    /// Cathode current in the set against what is usual there.
    pub running_current: Option<CutoffFinding>,
}

/// How the tube stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Nothing to be done.
    Good,
    /// Of use as it is, weaker than new.
    Usable,
    /// Too weak for now; gentle recovery may help.
    Tired,
    /// Nothing found that a restorer can mend.
    Spent,
    /// The facts do not tell yet.
    CannotTell,
}

/// The verdict.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeVerdict {
    /// How it stands.
    pub standing: Standing,
    /// Why, the weightiest first.
    pub reasons: Vec<String>,
    /// What would change it.
    pub would_change: Vec<String>,
    /// Cheap cures in the order in which they are tried.
    pub cures: Vec<Cure>,
}

/// A cheap cure.
#[derive(Clone, Debug, PartialEq)]
pub struct Cure {
    /// Its short name.
    pub name: &'static str,
    /// What it is for.
    pub because: &'static str,
    /// The acts, each let pass by the rules.
    pub acts: Vec<Advised>,
    /// What cannot be said as an act.
    pub words: &'static str,
}

/// The verdict on what was judged.
///
/// # Errors
/// A fault of the table of hazards built into the program.
pub fn verdict(judged: &Judged) -> Result<TubeVerdict, TableFault> {
    let mut reasons = Vec::new();
    let mut would_change = Vec::new();
    let mut standing = Standing::CannotTell;
    let mut worst = |found: Standing, because: String| {
        standing = graver(standing, found);
        reasons.push((gravity(found), because));
    };
    for finding in &judged.heater {
        match finding {
            HeaterFinding::Open => worst(
                Standing::Spent,
                "the heater is open, unless a base pin only lacks solder".to_owned(),
            ),
            HeaterFinding::ShortedTurns => worst(
                Standing::Tired,
                "the heater draws more than its rating: turns that touch".to_owned(),
            ),
            HeaterFinding::BadJoint => worst(
                Standing::CannotTell,
                "the heater draws too little: a bad joint in a base pin looks like a weak tube"
                    .to_owned(),
            ),
            HeaterFinding::AnotherType { rated_amperes, .. } => worst(
                Standing::CannotTell,
                format!("the heater draws as types of {rated_amperes} A do: read the type again"),
            ),
            HeaterFinding::Slip(words) | HeaterFinding::CannotTell(words) => {
                would_change.push(words.clone());
            }
            HeaterFinding::AsItShould => {}
        }
    }
    if judged.heater.is_empty() {
        would_change.push("heater volts and amperes at the pins".to_owned());
    }
    match &judged.emission {
        Some(outlook) => by_emission(outlook, judged.good_from, &mut worst, &mut would_change),
        None => would_change.push("emission read against minutes, ten readings or more".to_owned()),
    }
    match &judged.cathode {
        Some(Cathode::FollowsTheLaw) => worst(
            Standing::Good,
            "its current follows the second grid and does not sag".to_owned(),
        ),
        Some(Cathode::Tired(words)) => worst(Standing::Tired, words.clone()),
        Some(Cathode::Spent(words)) => worst(Standing::Spent, words.clone()),
        Some(Cathode::CannotTell(words)) => would_change.push(words.clone()),
        None => {}
    }
    match judged.bench_current {
        Some(CutoffFinding::Low) => worst(
            Standing::Usable,
            "on the bench it gives less current than a sound tube of the type".to_owned(),
        ),
        Some(CutoffFinding::High) => would_change.push(
            "the bench readings: more current than the type gives, so look at meter, volts and type"
                .to_owned(),
        ),
        Some(CutoffFinding::Inside) => worst(
            Standing::Good,
            "on the bench it gives the current of a sound tube of the type".to_owned(),
        ),
        None => {}
    }
    match &judged.reserve {
        Some(Reserve::Told(band)) if band.high < 2.0 => worst(
            Standing::Tired,
            format!(
                "the life test leaves {:.1} to {:.1} of reserve",
                band.low, band.high
            ),
        ),
        Some(Reserve::Told(band)) if band.low >= 4.0 => worst(
            Standing::Good,
            format!("the life test shows a reserve of {:.1} or more", band.low),
        ),
        Some(Reserve::Told(band)) => worst(
            Standing::Usable,
            format!(
                "the life test shows {:.1} to {:.1} of reserve",
                band.low, band.high
            ),
        ),
        Some(Reserve::AtLeast(least)) => {
            worst(
                Standing::Good,
                format!("the life test shows a reserve of {least:.1} or more"),
            );
        }
        Some(Reserve::CannotTell(words)) => would_change.push(words.clone()),
        None => would_change.push("a life test".to_owned()),
    }
    match judged.cutoff {
        Some(CutoffFinding::Low) => worst(
            Standing::Usable,
            "cut-off is nearer than the type's: second-grid volts, or a weak tube".to_owned(),
        ),
        Some(CutoffFinding::High) => would_change.push(
            "second-grid volts and the type number: cut-off is farther than the type's".to_owned(),
        ),
        Some(CutoffFinding::Inside) | None => {}
    }
    match judged.running_current {
        Some(CutoffFinding::Low) => worst(
            Standing::Usable,
            "in the set its cathode current stays below that of a picture of normal brightness"
                .to_owned(),
        ),
        Some(CutoffFinding::Inside | CutoffFinding::High) => worst(
            Standing::Good,
            "in the set its cathode current is that of a picture of normal brightness".to_owned(),
        ),
        None => {}
    }
    if judged.is_cut_off == Some(false) {
        worst(
            Standing::Usable,
            "the beam is not cut off: grid volts that do not arrive, or a leak to the grid"
                .to_owned(),
        );
    }
    if judged.other_leak == Some(true) {
        worst(
            Standing::Tired,
            "elements leak to each other: clean base and socket first".to_owned(),
        );
    }
    if judged.heater_cathode_leak == Some(true) {
        worst(
            Standing::Usable,
            "heater and cathode leak: an isolating heater transformer lets the tube live"
                .to_owned(),
        );
    }
    if judged.gives_a_picture == Some(true) && standing == Standing::Spent {
        standing = Standing::Tired;
        reasons.insert(
            0,
            (
                u8::MAX,
                "it gives a picture, so it is not spent whatever the readings say".to_owned(),
            ),
        );
    }
    reasons.sort_by_key(|(gravity, _)| std::cmp::Reverse(*gravity));
    Ok(TubeVerdict {
        standing,
        reasons: reasons.into_iter().map(|(_, because)| because).collect(),
        would_change,
        cures: if matches!(standing, Standing::Good) {
            Vec::new()
        } else {
            cheap_cures(judged)?
        },
    })
}

fn by_emission(
    outlook: &EmissionOutlook,
    good_from: Option<f64>,
    worst: &mut impl FnMut(Standing, String),
    would_change: &mut Vec<String>,
) {
    match &outlook.heading {
        Heading::CannotTell { because, .. } => would_change.push(because.clone()),
        Heading::Told(band) => {
            let words = format!(
                "emission is heading for {} to {} {}",
                level_text(band.low),
                level_text(band.high),
                outlook.unit
            );
            match good_from {
                None => would_change.push(format!(
                    "{words}; what the instrument calls good is not known, so only change and comparison are judged"
                )),
                Some(good) if band.low >= good => worst(Standing::Good, words),
                Some(good) if band.high >= good => worst(Standing::Usable, words),
                Some(good) if band.high >= 0.5 * good => worst(Standing::Tired, words),
                Some(_) => worst(Standing::Spent, words),
            }
        }
    }
    if outlook.direction == Direction::Rising
        && let Waiting::Worth(words) = &outlook.waiting
    {
        would_change.push(format!("waiting: {words}"));
    }
}

fn graver(one: Standing, other: Standing) -> Standing {
    if gravity(other) > gravity(one) {
        other
    } else {
        one
    }
}

fn gravity(standing: Standing) -> u8 {
    match standing {
        Standing::CannotTell => 0,
        Standing::Good => 1,
        Standing::Usable => 2,
        Standing::Tired => 3,
        Standing::Spent => 4,
    }
}

/// The cheap cures, the cheapest first.
fn cheap_cures(judged: &Judged) -> Result<Vec<Cure>, TableFault> {
    let dead = Situation {
        plug_in: Some(false),
        picture_tube: Some(true),
        ..Situation::default()
    };
    let at_socket = |kind: ActKind| {
        Act::new(kind, ActPlace::PictureTubeSocket)
            .charge(StoredCharge::DischargedRepeatedlyClipLeft)
            .absence(Absence::HARMLESS)
    };
    let mut cures = Vec::new();
    let mut add = |name, because, words, acts: Vec<Act>| -> Result<(), TableFault> {
        let mut advised = Vec::new();
        for act in acts {
            match ask(act, &dead)? {
                Answer::Advised(one) => advised.push(one),
                // A cure with an act that must not be advised is no cure.
                Answer::Refused(_) => return Ok(()),
            }
        }
        cures.push(Cure {
            name,
            because,
            acts: advised,
            words,
        });
        Ok(())
    };
    add(
        "pins",
        "dirty pins and a tired socket look like a weak cathode",
        "Clean the base pins and the socket's contacts dry, tighten the contacts.",
        vec![at_socket(ActKind::Pull), at_socket(ActKind::Fit)],
    )?;
    add(
        "solder",
        "solder in the base pins of heater and cathode cracks with age",
        "Re-solder the heater and cathode pins of the base, briefly, the tube lying safely.",
        vec![at_socket(ActKind::Solder)],
    )?;
    if judged.heater_cathode_leak == Some(true) {
        add(
            "transformer",
            "a heater-cathode short can be lived with",
            "Feed its heater from a small isolating heater transformer made for the volts between them.",
            Vec::new(),
        )?;
    }
    let running = Act::measure(
        Measured::Current,
        ActPlace::junction("picture tube cathode"),
        ActPlace::Chassis,
    )
    .with(Instrument::FixedMeter {
        rated_volts: Some(1000.0),
    });
    add(
        "running set",
        "the running set tells more than a tester: cathode current at low brightness",
        "Wire the meter in with the plug out; brightness down first, never a standing spot or line on the screen.",
        vec![running.charge(StoredCharge::ProvenWithMeter)],
    )?;
    Ok(cures)
}
