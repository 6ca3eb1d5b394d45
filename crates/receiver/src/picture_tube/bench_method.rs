//! Emission without a tester: a heater supply, a meter, a d.c. source behind a resistor.
//!
//! Volts, amperes, ohms. The tube stands alone, its socket off, the anode contact discharged.
//! Grid and cathode are joined, so that the grid is at zero bias; the second grid takes the whole current.
//! The resistor is chosen so that even a short circuit stays within the peak a picture tube gives in use
//! (`data/trade_numbers.csv`, "beam current peak", from memory). What should flow follows from the drive
//! laws over the type's cut-off spread, with the drop in the resistor taken into account. Where
//! emission, no longer the law, limits the current, it stops following the second-grid volts and
//! sags within seconds; by how much counts as tired or spent is judgement. A type without a
//! cut-off is judged by change over time alone.

use parts::{Catalogue, TubeType};
use quantity::{Amperes, Band, Ohms, Series, Volts};

use super::advised::{Advised, Answer, ask};
use super::drive::{Drive, DriveUnknown, current_band};
use crate::hazard::{
    Absence, Act, ActKind, ActPlace, Connected, Instrument, Measured, Situation, StoredCharge,
    TableFault,
};

/// A wire of the connection.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wire {
    /// One end.
    pub from: String,
    /// The other end.
    pub to: String,
    /// What it leads through; empty for a plain wire.
    pub through: String,
}

/// How to connect the tube, and what it should show.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchMethod {
    /// Volts of the d.c. source.
    pub source: Volts,
    /// The protective resistor.
    pub resistor: Ohms,
    /// The most that can flow, second grid shorted to the cathode.
    pub most: Amperes,
    /// The wires.
    pub wires: Vec<Wire>,
    /// What is done, in its order, each act let pass by the rules.
    pub acts: Vec<Advised>,
    /// Current to expect of a sound tube, amperes; the reason where nobody can say.
    pub expected: Result<Band, DriveUnknown>,
    /// The same at half the source volts: the law, not emission, sets their ratio.
    pub at_half: Result<Band, DriveUnknown>,
}

/// Why no method can be given.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoMethod {
    /// The source cannot be used.
    #[error("a source of {read} V: {expected}")]
    Source {
        /// Volts of the source.
        read: f64,
        /// What can be used.
        expected: String,
    },
    /// The pins are not known.
    #[error("the pins of {0} are not known: read them from its data sheet first")]
    Pins(String),
    /// An act of it must not be advised.
    #[error("the bench method is not advised: {}", .0.join("; "))]
    Refused(Vec<String>),
    /// The table of hazards built into the program cannot be used.
    #[error("{0}")]
    Table(#[from] TableFault),
    /// A figure of the trade is missing from the tables.
    #[error("the table of trade numbers lacks \"{0}\"")]
    Trade(&'static str),
}

/// Volts of the source that are used, least and most.
const SOURCE_VOLTS: (f64, f64) = (50.0, 250.0);

/// The connection of a type to a source of so many volts.
///
/// # Errors
/// [`NoMethod`] where source or type do not allow it.
pub fn bench_method(
    tube: &TubeType,
    source: Volts,
    catalogue: &Catalogue,
) -> Result<BenchMethod, NoMethod> {
    let rated = tube
        .picture
        .as_ref()
        .and_then(|picture| picture.grid2_max_volts);
    let most_volts = rated.unwrap_or(SOURCE_VOLTS.1).min(SOURCE_VOLTS.1);
    if !(SOURCE_VOLTS.0..=most_volts).contains(&source.0) {
        return Err(NoMethod::Source {
            read: source.0,
            expected: format!("{} to {most_volts} V are used", SOURCE_VOLTS.0),
        });
    }
    let peak = catalogue
        .trade_number("beam current peak")
        .ok_or(NoMethod::Trade("beam current peak"))?;
    let least_ohms = source.0 / (peak.high * 1e-3);
    let ohms = Series::E12.at_least(least_ohms).unwrap_or(least_ohms);
    Ok(BenchMethod {
        source,
        resistor: Ohms(ohms),
        most: Amperes(source.0 / ohms),
        wires: wires(tube)?,
        acts: acts(source, ohms)?,
        expected: behind_resistor(tube, source, ohms),
        at_half: behind_resistor(tube, source * 0.5, ohms),
    })
}

fn acts(source: Volts, ohms: f64) -> Result<Vec<Advised>, NoMethod> {
    let bench = Situation {
        plug_in: Some(false),
        picture_tube: Some(true),
        ..Situation::default()
    };
    let second_grid = || ActPlace::junction("the second grid's pin");
    let connect = ActKind::Connect(Connected::DcSource {
        volts: source.0,
        series_ohms: ohms,
    });
    let meter = Instrument::FixedMeter {
        rated_volts: Some(600.0),
    };
    let wanted = [
        Act::new(ActKind::Pull, ActPlace::PictureTubeSocket)
            .charge(StoredCharge::DischargedRepeatedlyClipLeft)
            .absence(Absence::HARMLESS),
        Act::new(connect, second_grid()).charge(StoredCharge::NoneHere),
        Act::measure(
            Measured::Current,
            second_grid(),
            ActPlace::junction("the resistor"),
        )
        .with(meter)
        .energised_by_source(Some(source.0)),
    ];
    let mut advised = Vec::new();
    for act in wanted {
        match ask(act, &bench)? {
            Answer::Advised(one) => advised.push(one),
            Answer::Refused(rules) => return Err(NoMethod::Refused(rules)),
        }
    }
    Ok(advised)
}

fn wires(tube: &TubeType) -> Result<Vec<Wire>, NoMethod> {
    let pin = |element: &str| {
        tube.pins_carrying(element)
            .first()
            .map(|name| format!("pin {name} ({element})"))
            .ok_or_else(|| NoMethod::Pins(tube.name.clone()))
    };
    let wire = |from: &str, to: String, through: &str| Wire {
        from: from.to_owned(),
        to,
        through: through.to_owned(),
    };
    let heaters = tube.heater_pins();
    let [one, other] = heaters.as_slice() else {
        return Err(NoMethod::Pins(tube.name.clone()));
    };
    Ok(vec![
        wire(
            "heater supply",
            format!("pin {one} (heater)"),
            "a voltmeter across both pins",
        ),
        wire("heater supply", format!("pin {other} (heater)"), ""),
        wire("source minus", pin("cathode")?, ""),
        wire("source minus", pin("grid1")?, ""),
        wire(
            "source plus",
            pin("grid2")?,
            "the resistor, then the milliammeter",
        ),
    ])
}

/// Zero-bias current with the drop in the resistor taken off the second grid, for each end of the band.
fn behind_resistor(tube: &TubeType, source: Volts, ohms: f64) -> Result<Band, DriveUnknown> {
    let whole = current_band(tube, Drive::Grid, source, Volts(0.0))?;
    // Current goes as the second grid's volts to the power 3/2 at zero bias, for every law.
    let settled = |free: f64| {
        let (mut low, mut high) = (0.0, source.0);
        for _ in 0..60 {
            let grid = 0.5 * (low + high);
            if grid + ohms * free * (grid / source.0).powf(1.5) < source.0 {
                low = grid;
            } else {
                high = grid;
            }
        }
        free * (low / source.0).powf(1.5)
    };
    Band::new(
        settled(whole.low),
        settled(whole.expected),
        settled(whole.high),
        whole
            .made_of
            .iter()
            .map(|share| (share.cause.clone(), share.share)),
    )
    .map_err(|_| DriveUnknown::NoCutoff(tube.name.clone()))
}

/// What was read on the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BenchReading {
    /// Volts at the second grid itself.
    pub second_grid: Volts,
    /// Current at once.
    pub at_once: Amperes,
    /// Current ten seconds later.
    pub later: Amperes,
}

/// How a cathode stands by the bench method.
#[derive(Clone, Debug, PartialEq)]
pub enum Cathode {
    /// The current follows the second grid and does not sag.
    FollowsTheLaw,
    /// Emission begins to limit.
    Tired(String),
    /// Emission alone limits.
    Spent(String),
    /// Not told, with the reason.
    CannotTell(String),
}

/// Power of second-grid volts below which a cathode counts as tired, and as spent. The law says 3/2.
const POWERS: (f64, f64) = (1.15, 0.6);
/// Sag within ten seconds from which on it counts as tired, and as spent.
const SAGS: (f64, f64) = (0.1, 0.3);

/// Judges two readings at different second-grid volts, by the law alone: no cut-off is needed.
pub fn judge_cathode(low: &BenchReading, high: &BenchReading) -> Cathode {
    let sound = |one: &BenchReading| {
        [one.second_grid.0, one.at_once.0, one.later.0]
            .iter()
            .all(|value| value.is_finite() && *value >= 0.0)
    };
    if !(sound(low) && sound(high)) {
        return Cathode::CannotTell("volts and currents are figures from zero on".to_owned());
    }
    let (low, high) = if low.second_grid.0 <= high.second_grid.0 {
        (low, high)
    } else {
        (high, low)
    };
    if low.second_grid.0 <= 0.0 || high.second_grid.0 < 1.3 * low.second_grid.0 {
        return Cathode::CannotTell(
            "the second reading wants at least a third more volts".to_owned(),
        );
    }
    if high.at_once.0 < 1e-6 {
        return Cathode::Spent("no current to speak of: heater, pins and joints first".to_owned());
    }
    if low.at_once.0 <= 0.0 {
        return Cathode::CannotTell("nothing flowed at the lower volts: read again".to_owned());
    }
    let power =
        (high.at_once.0 / low.at_once.0).ln() / (high.second_grid.0 / low.second_grid.0).ln();
    let sag = 1.0 - high.later.0 / high.at_once.0;
    let words = format!(
        "current goes as second-grid volts to the power {power:.2}, 1.5 by the law, and sags by \
         {:.0} percent in ten seconds",
        100.0 * sag.max(0.0)
    );
    if power < POWERS.1 || sag > SAGS.1 {
        Cathode::Spent(words)
    } else if power < POWERS.0 || sag > SAGS.0 {
        Cathode::Tired(words)
    } else {
        Cathode::FollowsTheLaw
    }
}
