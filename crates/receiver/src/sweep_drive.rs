//! The drive of the horizontal output tube: what a meter at its grid shows of it, and what follows.
//!
//! D.c. volts of the grid to chassis. The pulses of the oscillator bias the grid by its own current: some tens of
//! volts negative while they come, nothing while they do not (common practice). Without them the tube draws far
//! more than it may and burns within a minute or two, and the flyback with it (common practice); with too few of
//! them it runs hot. That holds while the tube is in, fed and warm; whether it is, is judged by how the set stood
//! on the bench and by what else was read in the same conditions, and where that tells nothing it counts as fed and
//! warm. Everything that tells of the drive goes by this page: a reading just entered, the ranking, what to
//! measure next, the steps of a power-up, the bench pages. Nothing here fails.

use crate::conditions::BenchConditions;
use crate::hazard::{self, Act, ActKind, ActPlace, Situation, StoredCharge};
use crate::judge_reading::TakenReading;
use crate::plan::situation::{
    Role, absence, fed, is_horizontal_output, opening_the_sweep, role_junctions, situation_of,
    supply_sources, sweep_feed, sweep_stands_open,
};
use crate::reading::What;
use crate::suspects::signs::glow::{DARK_SHARE, darkened_with};
use crate::wiring::SetModel;

/// Volts at the grid from which on, downwards, drive is there where no band tells (judgement: -20 to -60 V are
/// common practice, and a meter loads the grid).
const DRIVEN_VOLTS: f64 = -15.0;
/// Volts at the grid above which no drive is there (judgement: a grid that only catches electrons of its own
/// cathode stands a volt or two below it).
const NO_DRIVE_VOLTS: f64 = -5.0;
/// A band that ends above this tells of a grid at rest, and what lies in it shows no drive (same judgement).
const AT_REST_VOLTS: f64 = -2.0;
/// Seconds after switch-on before which a grid tells nothing: the heaters still come up (common practice: half a
/// minute).
const WARM_SECONDS: f64 = 30.0;
/// Volts below which a supply counts as dead (judgement).
const DEAD_VOLTS: f64 = 10.0;
/// Share of its band's low end below which a cathode says that its tube draws nothing, and the volts that the
/// band must have (judgement).
const NO_CURRENT_SHARE: f64 = 0.1;
const TELLING_VOLTS: f64 = 0.5;
/// How many cathodes of a heater string must say so before the string counts as dark.
const CATHODES: usize = 2;

/// How drive looks at the grid, in the words of the trade.
pub const DRIVE_AT_THE_GRID: &str =
    "some tens of volts negative show that drive is there (common practice: -20 to -60 V)";

/// A reading of the set as it is now.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchReading {
    /// Number of its entry.
    pub entry: u64,
    /// The reading.
    pub taken: TakenReading,
    /// How the set stood on the bench.
    pub conditions: BenchConditions,
    /// Where nine of ten healthy sets read; `None` where no band tells.
    pub band: Option<(f64, f64)>,
}

/// What is known of the drive.
#[derive(Debug, Clone, PartialEq)]
pub enum Drive {
    /// Nothing: the grid was not read.
    NotRead,
    /// It is there.
    Seen,
    /// Less of it than there must be.
    Weak(GridVolts),
    /// None, or next to none.
    Nothing(GridVolts),
}

/// What the grid read.
#[derive(Debug, Clone, PartialEq)]
pub struct GridVolts {
    /// The place as it was typed.
    pub at: String,
    /// D.c. volts to chassis.
    pub volts: f64,
    /// Number of the entry.
    pub entry: u64,
}

/// Whether the tube can draw current as the set stands.
#[derive(Debug, Clone, PartialEq)]
pub enum Draws {
    /// It can, or nothing tells that it cannot.
    Current,
    /// It is out or nothing feeds it: why, in words that follow "as".
    NotFed(String),
    /// Its heater is cold: why.
    Cold(String),
}

/// One horizontal output tube.
#[derive(Debug, Clone, PartialEq)]
pub struct OutputDrive {
    /// Its position among the sheet's tubes.
    pub tube: usize,
    /// Its reference.
    pub name: String,
    /// What the newest reading of its grid shows.
    pub drive: Drive,
    /// Whether it can draw current in the conditions of the last reading.
    pub draws: Draws,
    /// How it is kept from burning when power comes on again; empty where the sheet shows no way.
    pub kept_by: Vec<String>,
}

/// What must be done at once, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Danger {
    /// What to do now.
    pub head: String,
    /// Why.
    pub because: String,
    /// What comes after.
    pub then: String,
}

/// What is known of the drive of every horizontal output tube. `readings` are those of the set as it is now, with
/// power on, in the order in which they were taken; `dark` the tubes whose heaters were seen dark since.
pub fn drives(model: &SetModel<'_>, readings: &[BenchReading], dark: &[usize]) -> Vec<OutputDrive> {
    let settled = BenchConditions::default();
    let present = readings.last().map_or(&settled, |last| &last.conditions);
    let tubes = model.sheet.tubes.iter().enumerate();
    tubes
        .filter(|(_, own)| is_horizontal_output(own))
        .map(|(tube, own)| OutputDrive {
            tube,
            name: own.reference.clone(),
            drive: drive(model, tube, readings),
            draws: draws(model, tube, readings, dark, present),
            kept_by: kept_by(model, tube),
        })
        .collect()
}

/// Whether a tube that draws current is under no drive, or too little, as the set stands.
#[must_use]
pub fn danger(drives: &[OutputDrive]) -> Option<Danger> {
    drives.iter().find_map(OutputDrive::danger)
}

impl OutputDrive {
    /// Whether nothing at its grid says that it is driven.
    #[must_use]
    pub fn is_not_seen(&self) -> bool {
        self.drive != Drive::Seen
    }

    /// What must be done at once: `None` where drive was seen, where the grid was not read, and where the tube draws
    /// nothing.
    #[must_use]
    pub fn danger(&self) -> Option<Danger> {
        if self.draws != Draws::Current {
            return None;
        }
        let name = &self.name;
        let (what, read, does) = match &self.drive {
            Drive::Nothing(read) => (
                "no drive",
                read,
                "Without drive it draws far more than it may and burns within a minute or two, and the flyback with it (common practice).",
            ),
            Drive::Weak(read) => (
                "too little drive",
                read,
                "With too little drive it draws more than it may: its plate glows red, and it and the flyback burn within minutes (common practice).",
            ),
            Drive::NotRead | Drive::Seen => return None,
        };
        Some(Danger {
            head: format!("{name} has {what}: switch off and pull the plug now."),
            because: format!("{}. {does}", read.in_words()),
            then: self.before_power(),
        })
    }

    /// What comes before power is on again, in one sentence.
    fn before_power(&self) -> String {
        let kept = self.kept_by.join(", or ");
        match kept.as_str() {
            "" => "No power again before the drive is found: look with the plug out at what makes it, the horizontal oscillator and all that stands between it and the grid.".to_owned(),
            kept => format!(
                "No power again before the drive is found, or {kept}. Look with the plug out at what makes it: the horizontal oscillator and all that stands between it and the grid."
            ),
        }
    }

    /// What comes before every measurement that is offered; `None` where drive was seen and where the tube is cold.
    #[must_use]
    pub fn comes_first(&self) -> Option<String> {
        let name = &self.name;
        match (&self.draws, &self.drive) {
            (_, Drive::Seen) | (Draws::Cold(_), _) => None,
            (Draws::Current, Drive::NotRead) => Some(format!(
                "The drive of {name} comes first: nothing under power is offered while no reading shows it, because without drive that tube and the flyback burn within a minute or two. Plug out, open its feed, then read its grid: {DRIVE_AT_THE_GRID}."
            )),
            (Draws::Current, Drive::Weak(read) | Drive::Nothing(read)) => Some(format!(
                "{}, so nothing is offered while it is fed: only what is done with the plug out, or with its feed open.",
                read.in_words()
            )),
            (Draws::NotFed(why), drive) => Some(format!(
                "{}{name} draws nothing as the set stands: {why}. Nothing feeds it before its drive was seen: read its grid with the tube in and warm and its feed open; {DRIVE_AT_THE_GRID}.",
                match drive {
                    Drive::Weak(read) | Drive::Nothing(read) => format!("{}. ", read.in_words()),
                    Drive::NotRead | Drive::Seen => String::new(),
                }
            )),
        }
    }

    /// What is worth knowing of a cold tube whose drive was not seen.
    #[must_use]
    pub fn when_warm(&self) -> Option<(String, String)> {
        let (Draws::Cold(why), true) = (&self.draws, self.is_not_seen()) else {
            return None;
        };
        let name = &self.name;
        Some((
            format!("{name} is cold ({why}), so its grid tells nothing of its drive"),
            format!(
                "once its heater runs again, open its feed before power and read its grid: {DRIVE_AT_THE_GRID}"
            ),
        ))
    }
}

impl GridVolts {
    fn in_words(&self) -> String {
        format!("{} reads {} V (entry {})", self.at, self.volts, self.entry)
    }
}

/// What the volts at its grid say of the drive. Its own grid current makes them of the pulses: a tube that is out, or
/// whose heater string is parted, tells nothing.
fn drive(model: &SetModel<'_>, tube: usize, readings: &[BenchReading]) -> Drive {
    let grids = role_junctions(model, tube, &[Role::ControlGrid]);
    let with = darkened_with(model, tube);
    let newest = readings.iter().rev().find(|own| {
        let is_warm = own.conditions.seconds.is_none_or(|at| at >= WARM_SECONDS);
        let is_out = with
            .iter()
            .any(|tube| model.is_pulled(*tube, &own.conditions));
        is_warm && !is_out && at_any(model, own, &grids) && own.taken.value.is_finite()
    });
    let Some(newest) = newest else {
        return Drive::NotRead;
    };
    let volts = newest.taken.value;
    let read = || GridVolts {
        at: newest.taken.at.clone(),
        volts,
        entry: newest.entry,
    };
    let in_band = newest
        .band
        .is_some_and(|(_, high)| high < AT_REST_VOLTS && volts <= high);
    if volts <= DRIVEN_VOLTS || in_band {
        Drive::Seen
    } else if volts <= NO_DRIVE_VOLTS {
        Drive::Weak(read())
    } else {
        Drive::Nothing(read())
    }
}

/// Whether a reading is of d.c. volts to chassis at one of these junctions.
fn at_any(model: &SetModel<'_>, own: &BenchReading, junctions: &[usize]) -> bool {
    own.taken.what == What::DcVolts
        && own.taken.to.is_none()
        && junction(model, &own.taken.at).is_some_and(|at| junctions.contains(&at))
}

fn junction(model: &SetModel<'_>, at: &str) -> Option<usize> {
    model.junction(model.places.find(at).ok()?)
}

/// Whether the tube can draw current in these conditions, by them and by what was read in them.
fn draws(
    model: &SetModel<'_>,
    tube: usize,
    readings: &[BenchReading],
    dark: &[usize],
    present: &BenchConditions,
) -> Draws {
    if let Some(why) = not_fed(model, tube, present) {
        return Draws::NotFed(why);
    }
    let now: Vec<&BenchReading> = readings
        .iter()
        .filter(|own| own.conditions == *present)
        .collect();
    if let Some(why) = supply_read_dead(model, tube, &now) {
        return Draws::NotFed(why);
    }
    match cold(model, tube, &now, dark, present) {
        Some(why) => Draws::Cold(why),
        None => Draws::Current,
    }
}

/// Why nothing feeds a horizontal output tube in these conditions; `None` where it is fed or the sheet does not tell.
pub fn not_fed(model: &SetModel<'_>, tube: usize, conditions: &BenchConditions) -> Option<String> {
    let name = &model.sheet.tubes.get(tube)?.reference;
    if model.is_pulled(tube, conditions) {
        return Some(format!("{name} is out of its socket"));
    }
    if conditions.direct_source.is_some() {
        return Some("a d.c. source feeds the set, the plug out".to_owned());
    }
    let open: Vec<usize> = conditions
        .open
        .iter()
        .chain(&conditions.fitted_without)
        .filter_map(|own| model.part_index(own))
        .collect();
    if let Some(part) = sweep_feed(model)
        && sweep_stands_open(model, &open)
    {
        let part = &model.sheet.parts.get(part)?.reference;
        return Some(format!("{part} is open"));
    }
    let pulled: Vec<usize> = (0..model.sheet.tubes.len())
        .filter(|tube| model.is_pulled(*tube, conditions))
        .collect();
    let own = role_junctions(model, tube, &[Role::Plate, Role::Screen]);
    if own.is_empty() || model.rectifying().is_empty() {
        return None;
    }
    let fed = fed(model, &pulled, &open);
    (!own.iter().any(|junction| fed.contains(junction))).then(|| format!("no B+ reaches {name}"))
}

/// Whether every horizontal output tube is known to draw nothing in these conditions.
pub fn none_is_fed(model: &SetModel<'_>, conditions: &BenchConditions) -> bool {
    let tubes = model.sheet.tubes.iter().enumerate();
    let mut outputs = tubes
        .filter(|(_, own)| is_horizontal_output(own))
        .peekable();
    outputs.peek().is_some() && outputs.all(|(tube, _)| not_fed(model, tube, conditions).is_some())
}

/// A dead supply of the tube that was read: its screen, an end of its feed, or every rectifier that was read.
fn supply_read_dead(model: &SetModel<'_>, tube: usize, now: &[&BenchReading]) -> Option<String> {
    let newest = |junctions: &[usize]| {
        let mut own = now.iter().rev().filter(|own| at_any(model, own, junctions));
        own.next()
    };
    let is_dead = |own: &&&BenchReading| own.taken.value.abs() < DEAD_VOLTS;
    let mut single: Vec<usize> = role_junctions(model, tube, &[Role::Screen]);
    if let Some(part) = sweep_feed(model) {
        single.extend(model.part_junctions(part).into_iter().flatten());
    }
    let grids = role_junctions(model, tube, &[Role::ControlGrid]);
    single.retain(|own| Some(*own) != model.chassis_junction() && !grids.contains(own));
    let mut dead = single
        .iter()
        .filter_map(|own| newest(&[*own]))
        .filter(is_dead);
    let sources = supply_sources(model, &[]);
    let read: Vec<_> = sources.iter().filter_map(|own| newest(&[*own])).collect();
    let all_dead = !read.is_empty() && read.iter().all(is_dead);
    let found = dead
        .next()
        .or_else(|| read.first().copied().filter(|_| all_dead))?;
    Some(format!("{} reads {} V", found.taken.at, found.taken.value))
}

/// Why the tube's heater is cold; `None` where nothing tells that it is.
fn cold(
    model: &SetModel<'_>,
    tube: usize,
    now: &[&BenchReading],
    dark: &[usize],
    present: &BenchConditions,
) -> Option<String> {
    let with = darkened_with(model, tube);
    let name = |tube: usize| model.sheet.tubes.get(tube).map_or("", |own| &own.reference);
    if let Some(out) = with.iter().find(|own| model.is_pulled(**own, present)) {
        return Some(format!("{} of its heater string is out", name(*out)));
    }
    if let Some(own) = with.iter().find(|own| dark.contains(own)) {
        return Some(format!("the heater of {} is dark", name(*own)));
    }
    let rated = model.sheet.tubes.get(tube)?.kind.heater_volts;
    let place = model.heater_place(tube);
    let heater = now.iter().rev().find(|own| match own.taken.what {
        What::HeaterVoltsRms => own.taken.at.eq_ignore_ascii_case(name(tube)),
        What::AcVoltsRms => {
            own.taken.to.is_none()
                && place.is_some_and(|place| {
                    Some(place.to) == model.chassis_junction()
                        && junction(model, &own.taken.at) == Some(place.from)
                })
        }
        _ => false,
    });
    if let (Some(own), Some(rated)) = (heater, rated)
        && own.taken.value < DARK_SHARE * rated
    {
        let (at, volts) = (&own.taken.at, own.taken.value);
        return Some(format!("{at} reads {volts} V a.c."));
    }
    // Cathodes that share a resistor count once.
    let mut idle: Vec<(usize, &str)> = Vec::new();
    for own in with.iter().filter(|_| with.len() > 1) {
        for cathode in role_junctions(model, *own, &[Role::Cathode]) {
            let is_known = idle.iter().any(|(known, _)| *known == cathode);
            if is_known || Some(cathode) == model.chassis_junction() {
                continue;
            }
            let mut newest = now.iter().rev();
            let read = newest.find(|read| at_any(model, read, &[cathode]));
            let draws_nothing = read.is_some_and(|read| {
                let low = read.band.map_or(0.0, |(low, _)| low);
                low > TELLING_VOLTS && read.taken.value.abs() < NO_CURRENT_SHARE * low
            });
            if draws_nothing {
                idle.push((cathode, name(*own)));
            }
        }
    }
    let tubes: Vec<&str> = idle.iter().map(|own| own.1).collect();
    (tubes.len() >= CATHODES)
        .then(|| format!("{} of its heater string draw nothing", tubes.join(" and ")))
}

/// What keeps the tube from burning when power comes on: the tube out, its feed open; only what may be done.
fn kept_by(model: &SetModel<'_>, tube: usize) -> Vec<String> {
    let mut found = Vec::new();
    let Some(own) = model.sheet.tubes.get(tube) else {
        return found;
    };
    let name = &own.reference;
    let situation = Situation {
        plug_in: Some(false),
        ..situation_of(model)
    };
    let pull = Act::new(ActKind::Pull, ActPlace::Tube(name.clone()))
        .charge(StoredCharge::ProvenWithMeter)
        .absence(absence(model, tube, &BenchConditions::default()));
    let may = hazard::table().is_ok_and(|table| table.judge(&pull, &situation).is_allowed());
    if may {
        found.push(format!("{name} is out of its socket"));
    }
    match sweep_feed(model) {
        Some(part) => {
            let opening = opening_the_sweep(model, part);
            let feed = model.sheet.parts.get(part).map_or("", |own| &own.reference);
            let first = match opening.socket_off {
                true => ", the picture tube's socket off before",
                false => "",
            };
            if opening.is_harmless {
                found.push(format!("its feed {feed} is open{first}"));
            }
        }
        None => found.push("the wire that feeds its screen and its plate is lifted".to_owned()),
    }
    found
}
