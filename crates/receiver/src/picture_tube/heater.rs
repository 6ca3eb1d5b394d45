//! The heater: current against type, resistance cold and hot; open, shorted turns, wrong tube.
//!
//! Volts r.m.s., amperes, ohms. Healthy heaters draw within a tenth of their rating (common
//! practice; `data/trade_numbers.csv`, "picture tube heater current"). Cold resistance follows
//! from the rating by tungsten's resistivity (Forsythe and Worthing 1925): the wire runs at 1350
//! to 1600 K, so hot over cold is about 6 to 8, and 8 is the most (`data/checks.csv`, HE007).
//! Figures that are not above zero say nothing. What cannot be told is told so.

use parts::{Catalogue, TubeType};
use quantity::{Amperes, Ohms, Volts};

/// What was measured and seen; all of it may be missing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HeaterFacts {
    /// Cold resistance between the heater pins, the socket off; infinite for an open one.
    pub cold_ohms: Option<Ohms>,
    /// Volts at the heater while hot.
    pub hot_volts: Option<Volts>,
    /// Amperes through it at those volts.
    pub hot_amperes: Option<Amperes>,
    /// Whether a glow is seen in the neck.
    pub glows: Option<bool>,
}

/// One thing that the heater tells.
#[derive(Clone, Debug, PartialEq)]
pub enum HeaterFinding {
    /// As the type should be.
    AsItShould,
    /// No way through: a pin that is not soldered, or the wire.
    Open,
    /// More current or less resistance than the rating: turns that touch.
    ShortedTurns,
    /// Less current than the rating: a bad joint in a base pin, if it is the right type.
    BadJoint,
    /// The current is that of another rating.
    AnotherType {
        /// Rated amperes of types that draw this.
        rated_amperes: f64,
        /// Some picture tubes of that rating.
        such_as: Vec<String>,
    },
    /// Two figures contradict each other.
    Slip(String),
    /// Not told, with the reason.
    CannotTell(String),
}

/// Hot over cold resistance of a heater wire between 1350 and 1600 K, from room temperature.
///
/// # Errors
/// The reason, when the table of tungsten does not reach so far.
pub fn hot_over_cold(catalogue: &Catalogue) -> Result<(f64, f64), String> {
    let ratio = |kelvin| {
        let tungsten = catalogue.tungsten();
        tungsten
            .resistance_ratio(kelvin)
            .map_err(|range| range.to_string())
    };
    Ok((ratio(1350.0)?, ratio(1600.0)?))
}

/// What a type's heater should measure cold, ohms, least and most.
///
/// # Errors
/// The reason it is not known.
pub fn cold_ohms_of(tube: &TubeType, catalogue: &Catalogue) -> Result<(Ohms, Ohms), String> {
    let rating = tube
        .heater
        .as_ref()
        .ok_or_else(|| format!("the heater rating of {} is not known", tube.name))?;
    let (least, most) = hot_over_cold(catalogue)?;
    // A heater within a tenth of its rated current, either way.
    let hot = rating.hot_ohms();
    Ok((Ohms(hot / 1.1 / most), Ohms(hot / 0.9 / least)))
}

/// Ohms from which on a heater is open.
const OPEN_OHMS: f64 = 10_000.0;
/// What meter leads and pins may add, ohms.
const LEADS_OHMS: f64 = 0.3;

/// Judges a heater; at least one finding comes back.
pub fn judge_heater(
    tube: &TubeType,
    facts: &HeaterFacts,
    catalogue: &Catalogue,
) -> Vec<HeaterFinding> {
    let mut findings = Vec::new();
    if facts.cold_ohms.is_some_and(|ohms| ohms.0 >= OPEN_OHMS) {
        if facts.glows == Some(true) || facts.hot_amperes.is_some_and(|amperes| amperes.0 > 0.05) {
            findings.push(HeaterFinding::Slip(
                "the heater reads open cold and yet works: measure again, on clean pins".to_owned(),
            ));
        } else {
            findings.push(HeaterFinding::Open);
        }
        return findings;
    }
    judge_cold(tube, facts, catalogue, &mut findings);
    judge_hot(tube, facts, catalogue, &mut findings);
    if findings.is_empty() {
        findings.push(HeaterFinding::CannotTell(
            "neither cold ohms nor volts and amperes were measured".to_owned(),
        ));
    }
    findings
}

fn judge_cold(
    tube: &TubeType,
    facts: &HeaterFacts,
    catalogue: &Catalogue,
    findings: &mut Vec<HeaterFinding>,
) {
    let Some(cold) = facts.cold_ohms.filter(|ohms| ohms.0 > 0.0) else {
        return;
    };
    match cold_ohms_of(tube, catalogue) {
        Err(because) => findings.push(HeaterFinding::CannotTell(because)),
        Ok((least, most)) => {
            if cold.0 < 0.8 * least.0 {
                findings.push(HeaterFinding::ShortedTurns);
            } else if cold.0 > 1.25 * most.0 + LEADS_OHMS {
                findings.push(HeaterFinding::BadJoint);
            } else {
                findings.push(HeaterFinding::AsItShould);
            }
        }
    }
}

fn judge_hot(
    tube: &TubeType,
    facts: &HeaterFacts,
    catalogue: &Catalogue,
    findings: &mut Vec<HeaterFinding>,
) {
    let (Some(volts), Some(amperes)) = (facts.hot_volts, facts.hot_amperes) else {
        return;
    };
    let Some(rating) = &tube.heater else {
        findings.push(HeaterFinding::CannotTell(format!(
            "the heater rating of {} is not known",
            tube.name
        )));
        return;
    };
    if !(volts.0 > 0.0 && amperes.0 >= 0.0) {
        findings.push(HeaterFinding::Slip(
            "heater volts and amperes are above zero".to_owned(),
        ));
        return;
    }
    if !(0.8..=1.2).contains(&(volts.0 / rating.volts)) {
        findings.push(HeaterFinding::CannotTell(format!(
            "the heater stood at {} where {} V are rated: set the rated volts first",
            volts, rating.volts
        )));
        return;
    }
    // A tungsten heater's current goes as its volts to about 0.6 near the rating.
    let at_rated = amperes.0 / (volts.0 / rating.volts).powf(0.6);
    let share = at_rated / rating.amperes;
    if (0.9..=1.1).contains(&share) {
        findings.push(HeaterFinding::AsItShould);
        return;
    }
    if let Some(other) = another_rating(at_rated, rating.volts, rating.amperes, catalogue) {
        findings.push(other);
    }
    findings.push(if share > 1.1 {
        HeaterFinding::ShortedTurns
    } else if at_rated < 0.02 {
        HeaterFinding::Open
    } else {
        HeaterFinding::BadJoint
    });
}

/// Picture tubes of other rated amperes that draw this at these volts.
fn another_rating(
    amperes: f64,
    volts: f64,
    own: f64,
    catalogue: &Catalogue,
) -> Option<HeaterFinding> {
    let fits = |tube: &&TubeType| {
        tube.is_picture_tube
            && tube.heater.as_ref().is_some_and(|rating| {
                (rating.volts / volts - 1.0).abs() < 0.05
                    && (rating.amperes / own - 1.0).abs() > 0.1
                    && (0.9..=1.1).contains(&(amperes / rating.amperes))
            })
    };
    let found: Vec<&TubeType> = catalogue.tubes().filter(fits).collect();
    let rated = match found.first().and_then(|tube| tube.heater.as_ref()) {
        Some(rating) => rating.amperes,
        // The strings of the late fifties (common practice; `data/trade_numbers.csv`).
        None => {
            let string = catalogue.trade_number("picture tube heater current, 450 mA kind")?;
            ((string.low..=string.high).contains(&amperes)
                && (own / string.typical - 1.0).abs() > 0.1)
                .then_some(string.typical)?
        }
    };
    Some(HeaterFinding::AnotherType {
        rated_amperes: rated,
        such_as: found.iter().take(4).map(|tube| tube.name.clone()).collect(),
    })
}
