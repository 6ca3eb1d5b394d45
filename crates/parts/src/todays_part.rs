//! Parts that are made today: what there is, in which values and ratings, and what it is for.
//!
//! Values in ohms and farads, ratings in the unit of each row (d.c. or a.c. volts, watts), ripple in amperes
//! rms at the frequency of the row. Sources: `data/todays_parts.csv`, `data/resistor_volts.csv` and
//! `data/ripple_ratings.csv`; most of it is from memory of makers' catalogues, as each row says: a shelf differs, and
//! the marking on the part itself counts. Fails only when a table is read, with every fault at once.

use std::sync::OnceLock;

use crate::fault::DataFault;
use crate::standing::Standing;
use crate::table::{Fields, read_table, unique};

/// A series of preferred values, by its name in the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MadeIn {
    /// Six values a decade.
    E6,
    /// Twelve values a decade.
    E12,
    /// 24 values a decade.
    E24,
}

/// What a rating counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RatingUnit {
    /// Direct volts.
    VoltsDc,
    /// Alternating volts, rms.
    VoltsAc,
    /// Watts.
    Watts,
}

/// One kind of part that is made today.
#[derive(Clone, Debug, PartialEq)]
pub struct TodaysPart {
    /// Its short name, such as `polyester-film`.
    pub kind: String,
    /// In words.
    pub what: String,
    /// Lowest value that is usual, SI.
    pub low: f64,
    /// Highest value that is usual, SI.
    pub high: f64,
    /// The series of its values.
    pub series: MadeIn,
    /// Ratings, rising.
    pub ratings: Vec<f64>,
    /// What they count.
    pub rating_unit: RatingUnit,
    /// Usual tolerance, a fraction.
    pub tolerance: f64,
    /// What it is for.
    pub used_for: String,
    /// What it is never used for; may be empty.
    pub must_not: String,
    /// The source in words.
    pub source: String,
    /// How far to trust the row.
    pub standing: Standing,
    /// What else there is to say; may be empty.
    pub notes: String,
}

/// What one resistor of these watts stands from end to end.
#[derive(Clone, Debug, PartialEq)]
pub struct ResistorVolts {
    /// Its watts.
    pub watts: f64,
    /// Volts.
    pub volts: f64,
    /// The source in words.
    pub source: String,
    /// How far to trust the row.
    pub standing: Standing,
}

/// Ripple that an electrolytic of today is marked for.
#[derive(Clone, Debug, PartialEq)]
pub struct RippleRating {
    /// Farads.
    pub farads: f64,
    /// Rated volts.
    pub volts: f64,
    /// Rated ripple of a small one, amperes rms.
    pub low_amperes: f64,
    /// Rated ripple of a usual one.
    pub typical_amperes: f64,
    /// Frequency of the rating.
    pub hertz: f64,
    /// The source in words.
    pub source: String,
    /// How far to trust the row.
    pub standing: Standing,
}

/// Every kind that has a row.
pub const KINDS_OF_TODAY: [&str; 12] = [
    "polyester-film",
    "polypropylene-film",
    "silvered-mica",
    "ceramic-disc",
    "high-voltage-ceramic",
    "class-x2",
    "class-y2",
    "electrolytic-105",
    "metal-film",
    "metal-oxide",
    "wire-wound",
    "fusible",
];

const PART_HEADINGS: [&str; 14] = [
    "kind",
    "what",
    "value_low",
    "value_high",
    "unit",
    "series",
    "ratings",
    "rating_unit",
    "tolerance_percent",
    "for",
    "must_not",
    "source",
    "standing",
    "notes",
];

const VOLTS_HEADINGS: [&str; 4] = ["watts", "volts", "source", "standing"];

const RIPPLE_HEADINGS: [&str; 7] = [
    "mfd",
    "volts",
    "low_ma",
    "typical_ma",
    "hertz",
    "source",
    "standing",
];

/// The three tables.
#[derive(Clone, Debug, PartialEq)]
pub struct TodaysParts {
    /// The kinds.
    pub kinds: Vec<TodaysPart>,
    /// Volts of resistors, rising with the watts.
    pub resistor_volts: Vec<ResistorVolts>,
    /// Ripple ratings.
    pub ripple: Vec<RippleRating>,
}

/// The tables of `data/`.
///
/// # Errors
/// Every fault of every table.
pub fn todays_parts() -> Result<&'static TodaysParts, &'static [DataFault]> {
    static READ: OnceLock<Result<TodaysParts, Vec<DataFault>>> = OnceLock::new();
    READ.get_or_init(|| {
        read(
            include_str!("../../../data/todays_parts.csv"),
            include_str!("../../../data/resistor_volts.csv"),
            include_str!("../../../data/ripple_ratings.csv"),
        )
    })
    .as_ref()
    .map_err(Vec::as_slice)
}

impl TodaysParts {
    /// The kind of this name.
    #[must_use]
    pub fn kind(&self, name: &str) -> Option<&TodaysPart> {
        self.kinds.iter().find(|own| own.kind == name)
    }

    /// Volts that one resistor of these watts stands: those of the next smaller row.
    #[must_use]
    pub fn volts_of_resistor(&self, watts: f64) -> Option<f64> {
        let mut own = self.resistor_volts.iter().rev();
        own.find(|own| own.watts <= watts * (1.0 + 1e-9))
            .map(|own| own.volts)
    }

    /// The ripple rating nearest to such a part, of at least half and at most twice its farads and volts;
    /// `None` where no row is near.
    #[must_use]
    pub fn ripple_of(&self, farads: f64, volts: f64) -> Option<&RippleRating> {
        let away = |own: &RippleRating| {
            let farads = (own.farads / farads).ln().abs();
            let volts = (own.volts / volts).ln().abs();
            (farads <= 0.7 && volts <= 0.7).then_some(farads + volts)
        };
        let near = self.ripple.iter().filter_map(|own| Some((own, away(own)?)));
        near.min_by(|one, other| one.1.total_cmp(&other.1))
            .map(|(own, _)| own)
    }
}

fn read(parts: &str, volts: &str, ripple: &str) -> Result<TodaysParts, Vec<DataFault>> {
    let mut faults = Vec::new();
    let kinds = read_kinds("todays_parts.csv", parts, &mut faults);
    let file = "resistor_volts.csv";
    let resistor_volts = read_table(file, volts, &VOLTS_HEADINGS, &mut faults, |fields| {
        let provenance = fields.provenance();
        Some(ResistorVolts {
            watts: fields.required_number("watts", 0.05, 500.0),
            volts: fields.required_number("volts", 10.0, 20_000.0),
            source: provenance.source,
            standing: provenance.standing,
        })
    });
    let resistor_volts = unique(
        file,
        resistor_volts,
        "watts",
        |row| row.watts.to_string(),
        &mut faults,
    );
    let file = "ripple_ratings.csv";
    let ripple = read_table(file, ripple, &RIPPLE_HEADINGS, &mut faults, |fields| {
        let low = fields.required_number("low_ma", 1.0, 20_000.0);
        let typical = fields.required_number("typical_ma", 1.0, 20_000.0);
        if typical < low {
            fields.fault("typical_ma", "below the low end", "let the two rise");
        }
        let provenance = fields.provenance();
        Some(RippleRating {
            farads: 1e-6 * fields.required_number("mfd", 0.1, 10_000.0),
            volts: fields.required_number("volts", 3.0, 1000.0),
            low_amperes: low / 1e3,
            typical_amperes: typical / 1e3,
            hertz: fields.required_number("hertz", 50.0, 120.0),
            source: provenance.source,
            standing: provenance.standing,
        })
    });
    let key = |row: &RippleRating| format!("{} mfd {} V", 1e6 * row.farads, row.volts);
    let ripple = unique(file, ripple, "mfd", key, &mut faults);
    for name in KINDS_OF_TODAY {
        if faults.is_empty() && kinds.iter().all(|own| own.kind != name) {
            faults.push(DataFault {
                file: "todays_parts.csv".to_owned(),
                line: 1,
                column: "kind".to_owned(),
                text: format!("no row for {name}"),
                hint: "add one".to_owned(),
            });
        }
    }
    if faults.is_empty() {
        Ok(TodaysParts {
            kinds,
            resistor_volts,
            ripple,
        })
    } else {
        Err(faults)
    }
}

fn read_kinds(file: &str, text: &str, faults: &mut Vec<DataFault>) -> Vec<TodaysPart> {
    let rows = read_table(file, text, &PART_HEADINGS, faults, |fields| {
        let kinds = KINDS_OF_TODAY.map(|own| (own, own));
        fields.required("kind");
        let kind = fields.choice("kind", &kinds);
        let units = [("ohm", 1.0), ("mfd", 1e-6), ("mmf", 1e-12)];
        let unit = fields.choice("unit", &units).unwrap_or(1.0);
        let series = [
            ("E6", MadeIn::E6),
            ("E12", MadeIn::E12),
            ("E24", MadeIn::E24),
        ];
        let ratings = [
            ("V d.c.", RatingUnit::VoltsDc),
            ("V a.c.", RatingUnit::VoltsAc),
            ("W", RatingUnit::Watts),
        ];
        let low = fields.required_number("value_low", 1e-4, 1e8);
        let high = fields.required_number("value_high", 1e-4, 1e8);
        if high < low {
            fields.fault("value_high", "below the low end", "let the two rise");
        }
        let provenance = fields.provenance();
        Some(TodaysPart {
            kind: kind.unwrap_or_default().to_owned(),
            what: fields.required("what"),
            low: low * unit,
            high: high * unit,
            series: fields.choice("series", &series).unwrap_or(MadeIn::E6),
            ratings: rising(fields),
            rating_unit: fields
                .choice("rating_unit", &ratings)
                .unwrap_or(RatingUnit::VoltsDc),
            tolerance: fields.required_number("tolerance_percent", 0.1, 50.0) / 100.0,
            used_for: fields.required("for"),
            must_not: fields.owned("must_not"),
            source: provenance.source,
            standing: provenance.standing,
            notes: fields.owned("notes"),
        })
    });
    unique(file, rows, "kind", |row| row.kind.clone(), faults)
}

/// Numbers parted by spaces that rise.
fn rising(fields: &mut Fields<'_>) -> Vec<f64> {
    let text = fields.required("ratings");
    let mut found: Vec<f64> = Vec::new();
    for word in text.split_whitespace() {
        match word.parse::<f64>() {
            Ok(value) if value > 0.0 && found.last().is_none_or(|last| *last < value) => {
                found.push(value);
            }
            _ => fields.fault(
                "ratings",
                format!("\"{word}\" read, numbers that rise expected"),
                "write them with spaces between, the lowest first",
            ),
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_its_ratings() {
        let own = todays_parts().expect("sound");
        assert_eq!(own.kinds.len(), KINDS_OF_TODAY.len());
        assert!(own.kinds.iter().all(|own| !own.ratings.is_empty()));
        assert_eq!(own.volts_of_resistor(0.5), Some(250.0));
        assert_eq!(own.volts_of_resistor(0.1), None);
    }

    #[test]
    fn ripple_ratings_grow_with_farads_and_are_told_near_by_only() {
        let own = todays_parts().expect("sound");
        for one in &own.ripple {
            for other in &own.ripple {
                if one.volts == other.volts && one.farads < other.farads {
                    assert!(one.typical_amperes < other.typical_amperes);
                }
            }
        }
        let near = own.ripple_of(47e-6, 400.0).expect("near 47 mfd 450 V");
        assert_eq!((1e6 * near.farads).round(), 47.0);
        assert!(own.ripple_of(4700e-6, 450.0).is_none());
    }

    #[test]
    fn a_table_at_fault_tells_every_fault() {
        let parts = "kind,what,value_low,value_high,unit,series,ratings,rating_unit,tolerance_percent,for,must_not,source,standing,notes\n\
            polyester-film,film,1,0.5,mfd,E7,100 90,V d.c.,x,bypass,,from memory,memory,\n";
        let faults = read(
            parts,
            "watts,volts,source,standing\n",
            "mfd,volts,low_ma,typical_ma,hertz,source,standing\n",
        )
        .expect_err("at fault");
        for column in ["value_high", "series", "ratings", "tolerance_percent"] {
            assert!(
                faults
                    .iter()
                    .any(|own| own.column == column && own.line == 2),
                "{column}: {faults:?}"
            );
        }
    }
}
