//! Facts of the trade: rules of thumb, what fails and how, what replaces it.
//!
//! Units as each row names. Most are common practice or memory, and a chance
//! is judgement: nobody has counted. Fails only when a table is read.

use crate::fault::DataFault;
use crate::standing::{Provenance, Standing};
use crate::table::{Fields, read_table, unique};

/// A rule of thumb with its range.
#[derive(Clone, Debug, PartialEq)]
pub struct TradeNumber {
    /// Its name.
    pub name: String,
    /// The low end of what is usual.
    pub low: f64,
    /// The usual figure.
    pub typical: f64,
    /// The high end of what is usual.
    pub high: f64,
    /// The unit of the three.
    pub unit: String,
    /// What it applies to.
    pub applies_to: String,
    /// What it means.
    pub meaning: String,
    /// Where it comes from.
    pub source: String,
    /// How it is known.
    pub standing: Standing,
}

/// The law by which a severity is spread over its range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SeverityLaw {
    /// Equal chance for equal steps.
    Uniform,
    /// Equal chance for equal ratios.
    LogUniform,
}

/// How bad a fault is.
#[derive(Clone, Debug, PartialEq)]
pub struct Severity {
    /// The unit, such as `ohm`, `ratio`, `percent of turns`.
    pub unit: String,
    /// The low end of the range.
    pub low: f64,
    /// The high end of the range.
    pub high: f64,
    /// How it is spread between them.
    pub law: SeverityLaw,
}

/// A part that cannot be had again, harmed by a fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Irreplaceable {
    /// The power transformer.
    PowerTransformer,
    /// The flyback transformer.
    Flyback,
    /// The picture tube.
    PictureTube,
}

/// One way in which a kind of part fails.
#[derive(Clone, Debug, PartialEq)]
pub struct PartFault {
    /// The kind of part, as in a sheet, or `tube`, `picture-tube`, `wire`,
    /// `cord`, `power-transformer` and the like.
    pub part_kind: String,
    /// The fault.
    pub fault: String,
    /// What it is in the circuit.
    pub electrical_model: String,
    /// How bad it may be; `None` where it is there or not, as an open part.
    pub severity: Option<Severity>,
    /// Low end of the chance that a part as found has it, 0 to 1.
    pub chance_low: f64,
    /// High end of that chance.
    pub chance_high: f64,
    /// Chance in a part just replaced.
    pub chance_after_replacement: f64,
    /// What shows it.
    pub seen_by: String,
    /// What follows from it.
    pub consequence: String,
    /// The irreplaceable part that it endangers.
    pub endangers: Option<Irreplaceable>,
    /// Where it comes from.
    pub source: String,
    /// How it is known.
    pub standing: Standing,
    /// Remarks; a remark that begins with `only` limits the row to some parts
    /// of the kind.
    pub notes: String,
}

impl PartFault {
    /// Whether the row holds only for some parts of its kind, as its notes say.
    pub fn is_limited(&self) -> bool {
        self.notes.starts_with("only ")
    }
}

/// What to do about an old part of some kind.
#[derive(Clone, Debug, PartialEq)]
pub struct PartTrade {
    /// The part.
    pub part: String,
    /// Where it is found.
    pub place: String,
    /// How it usually fails.
    pub usual_failures: String,
    /// Low end of the chance that it is bad, 0 to 1.
    pub chance_bad_low: f64,
    /// High end of that chance.
    pub chance_bad_high: f64,
    /// How to test it.
    pub test: String,
    /// Whether it is replaced without test.
    pub replace_routinely: String,
    /// What replaces it today.
    pub modern_replacement: String,
    /// The volts the replacement must bear.
    pub voltage_rule: String,
    /// The value the replacement must have.
    pub value_rule: String,
    /// The safety class needed.
    pub safety_class: String,
    /// What must not be done.
    pub must_not: String,
    /// Where it comes from.
    pub provenance: Provenance,
}

/// A rule about a kind of part that has no figures of its own in a table.
#[derive(Clone, Debug, PartialEq)]
pub struct ReplacementRule {
    /// What it is about.
    pub name: String,
    /// The kind of part.
    pub kind: String,
    /// The low end of its value where it has one.
    pub low: Option<f64>,
    /// The high end of its value where it has one.
    pub high: Option<f64>,
    /// The unit of the value.
    pub unit: String,
    /// The rule.
    pub rule: String,
    /// How such a part usually fails.
    pub usual_failures: String,
    /// Where it comes from.
    pub provenance: Provenance,
}

const TRADE_HEADINGS: [&str; 9] = [
    "name",
    "value_low",
    "value_typical",
    "value_high",
    "unit",
    "applies_to",
    "meaning",
    "source",
    "standing",
];

const FAULT_HEADINGS: [&str; 16] = [
    "part_kind",
    "fault",
    "electrical_model",
    "severity_unit",
    "severity_low",
    "severity_high",
    "severity_law",
    "chance_low",
    "chance_high",
    "chance_after_replacement",
    "seen_by",
    "consequence",
    "danger_to_irreplaceable",
    "source",
    "standing",
    "notes",
];

const PART_HEADINGS: [&str; 16] = [
    "part",
    "where",
    "usual_failures",
    "prior_bad_low",
    "prior_bad_high",
    "test",
    "replace_routinely",
    "modern_replacement",
    "voltage_rule",
    "value_rule",
    "safety_class",
    "must_not",
    "source",
    "standing",
    "read_fields",
    "notes",
];

const RULE_HEADINGS: [&str; 10] = [
    "part",
    "kind",
    "value_low",
    "value_high",
    "unit",
    "rule",
    "usual_failures",
    "source",
    "standing",
    "notes",
];

/// Reads the rules of thumb.
pub(crate) fn read_trade_numbers(
    file: &str,
    text: &str,
    faults: &mut Vec<DataFault>,
) -> Vec<TradeNumber> {
    let rows = read_table(file, text, &TRADE_HEADINGS, faults, |fields| {
        let number = TradeNumber {
            name: fields.required("name"),
            low: fields.required_number("value_low", -1e6, 1e6),
            typical: fields.required_number("value_typical", -1e6, 1e6),
            high: fields.required_number("value_high", -1e6, 1e6),
            unit: fields.required("unit"),
            applies_to: fields.owned("applies_to"),
            meaning: fields.owned("meaning"),
            source: fields.required("source"),
            standing: fields.provenance().standing,
        };
        rising(fields, "value_typical", number.low, number.typical);
        rising(fields, "value_high", number.typical, number.high);
        Some(number)
    });
    unique(file, rows, "name", |row| row.name.clone(), faults)
}

/// Reads the ways in which parts fail.
pub(crate) fn read_part_faults(
    file: &str,
    text: &str,
    faults: &mut Vec<DataFault>,
) -> Vec<PartFault> {
    let rows = read_table(file, text, &FAULT_HEADINGS, faults, |fields| {
        let severity = read_severity(fields);
        let endangers = fields.choice(
            "danger_to_irreplaceable",
            &[
                ("none", None),
                ("power transformer", Some(Irreplaceable::PowerTransformer)),
                ("flyback", Some(Irreplaceable::Flyback)),
                ("picture tube", Some(Irreplaceable::PictureTube)),
            ],
        );
        let row = PartFault {
            part_kind: fields.required("part_kind"),
            fault: fields.required("fault"),
            electrical_model: fields.required("electrical_model"),
            severity,
            chance_low: fields.required_number("chance_low", 0.0, 1.0),
            chance_high: fields.required_number("chance_high", 0.0, 1.0),
            chance_after_replacement: fields.required_number("chance_after_replacement", 0.0, 1.0),
            seen_by: fields.owned("seen_by"),
            consequence: fields.owned("consequence"),
            endangers: endangers.flatten(),
            source: fields.required("source"),
            standing: fields.provenance().standing,
            notes: fields.owned("notes"),
        };
        rising(fields, "chance_high", row.chance_low, row.chance_high);
        Some(row)
    });
    unique(
        file,
        rows,
        "fault",
        |row| format!("{}: {}", row.part_kind, row.fault),
        faults,
    )
}

/// Reads what replaces what.
pub(crate) fn read_parts_trade(
    file: &str,
    text: &str,
    faults: &mut Vec<DataFault>,
) -> Vec<PartTrade> {
    let rows = read_table(file, text, &PART_HEADINGS, faults, |fields| {
        let row = PartTrade {
            part: fields.required("part"),
            place: fields.owned("where"),
            usual_failures: fields.required("usual_failures"),
            chance_bad_low: fields.required_number("prior_bad_low", 0.0, 1.0),
            chance_bad_high: fields.required_number("prior_bad_high", 0.0, 1.0),
            test: fields.required("test"),
            replace_routinely: fields.required("replace_routinely"),
            modern_replacement: fields.owned("modern_replacement"),
            voltage_rule: fields.owned("voltage_rule"),
            value_rule: fields.owned("value_rule"),
            safety_class: fields.owned("safety_class"),
            must_not: fields.owned("must_not"),
            provenance: fields.provenance(),
        };
        rising(
            fields,
            "prior_bad_high",
            row.chance_bad_low,
            row.chance_bad_high,
        );
        Some(row)
    });
    unique(file, rows, "part", |row| row.part.clone(), faults)
}

/// Reads the rules without figures of their own.
pub(crate) fn read_replacement_rules(
    file: &str,
    text: &str,
    faults: &mut Vec<DataFault>,
) -> Vec<ReplacementRule> {
    let rows = read_table(file, text, &RULE_HEADINGS, faults, |fields| {
        Some(ReplacementRule {
            name: fields.required("part"),
            kind: fields.required("kind"),
            low: fields.number("value_low", 0.0, 1e6),
            high: fields.number("value_high", 0.0, 1e6),
            unit: fields.owned("unit"),
            rule: fields.required("rule"),
            usual_failures: fields.owned("usual_failures"),
            provenance: fields.provenance(),
        })
    });
    unique(file, rows, "part", |row| row.name.clone(), faults)
}

fn read_severity(fields: &mut Fields<'_>) -> Option<Severity> {
    let law = fields.choice(
        "severity_law",
        &[
            ("none", None),
            ("uniform", Some(SeverityLaw::Uniform)),
            ("log-uniform", Some(SeverityLaw::LogUniform)),
        ],
    );
    let Some(law) = law.flatten() else {
        if fields.text("severity_low").is_some() || fields.text("severity_high").is_some() {
            fields.fault(
                "severity_law",
                "a range is given without a law",
                "name the law",
            );
        }
        return None;
    };
    let low = fields.required_number("severity_low", 0.0, 1e12);
    let high = fields.required_number("severity_high", 0.0, 1e12);
    rising(fields, "severity_high", low, high);
    if law == SeverityLaw::LogUniform && low <= 0.0 {
        fields.fault(
            "severity_low",
            "0 cannot be spread by ratios",
            "give a small figure",
        );
    }
    Some(Severity {
        unit: fields.required("severity_unit"),
        low,
        high,
        law,
    })
}

fn rising(fields: &mut Fields<'_>, column: &str, low: f64, high: f64) {
    if high < low {
        fields.fault(
            column,
            format!("{high} read, {low} or more expected"),
            "put the range in rising order",
        );
    }
}
