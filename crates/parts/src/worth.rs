//! Figures for judging whether a set is worth the work: assumed worths, prices, evenings, and what tests cost and miss.
//!
//! Money in whatever the restorer counts in, evenings, chances from 0 to 1, minutes. All of it is assumption or judgement
//! and said so; a table of the same form with the restorer's own rows takes the place of those of the same name. Sources:
//! `data/worth_figures.csv`, `data/worth_tests.csv`. Every fault of a table comes at once.

use std::sync::OnceLock;

use crate::fault::DataFault;
use crate::standing::Standing;
use crate::table::{read_table, unique};
use crate::trade::Irreplaceable;

/// One figure with its range.
#[derive(Clone, Debug, PartialEq)]
pub struct WorthFigure {
    /// Its name.
    pub name: String,
    /// Low end.
    pub low: f64,
    /// Usual.
    pub typical: f64,
    /// High end.
    pub high: f64,
    /// `money`, `evenings`, `chance`, `share` or `count`.
    pub unit: String,
    /// What it means.
    pub meaning: String,
    /// The source in words.
    pub source: String,
    /// How far to trust it.
    pub standing: Standing,
}

/// One test of a part that cannot be bought again.
#[derive(Clone, Debug, PartialEq)]
pub struct WorthTest {
    /// Its name.
    pub test: String,
    /// What it tests.
    pub of: Irreplaceable,
    /// Minutes it takes.
    pub minutes: f64,
    /// Money it costs.
    pub money: f64,
    /// Chance that a bad part passes.
    pub misses: f64,
    /// Chance that a good one fails.
    pub false_alarm: f64,
    /// How it is done.
    pub how: String,
    /// The source in words.
    pub source: String,
    /// How far to trust it.
    pub standing: Standing,
}

const FIGURE_HEADINGS: [&str; 8] = [
    "name", "low", "typical", "high", "unit", "meaning", "source", "standing",
];

const TEST_HEADINGS: [&str; 9] = [
    "test",
    "of",
    "minutes",
    "money",
    "misses",
    "false_alarm",
    "how",
    "source",
    "standing",
];

const UNITS: [(&str, &str); 5] = [
    ("money", "money"),
    ("evenings", "evenings"),
    ("chance", "chance"),
    ("share", "share"),
    ("count", "count"),
];

const OF: [(&str, Irreplaceable); 3] = [
    ("picture-tube", Irreplaceable::PictureTube),
    ("power-transformer", Irreplaceable::PowerTransformer),
    ("flyback", Irreplaceable::Flyback),
];

/// The figures of `data/worth_figures.csv`.
///
/// # Errors
/// Every fault of the table.
pub fn worth_figures() -> Result<&'static [WorthFigure], &'static [DataFault]> {
    static READ: OnceLock<Result<Vec<WorthFigure>, Vec<DataFault>>> = OnceLock::new();
    let text = include_str!("../../../data/worth_figures.csv");
    READ.get_or_init(|| read_figures("worth_figures.csv", text, None))
        .as_ref()
        .map(Vec::as_slice)
        .map_err(Vec::as_slice)
}

/// The built-in figures with the restorer's own in their places.
///
/// # Errors
/// Every fault of the own table: a name that is none of the built-in ones among them.
pub fn own_worth_figures(file: &str, text: &str) -> Result<Vec<WorthFigure>, Vec<DataFault>> {
    let built_in = worth_figures().map_err(<[DataFault]>::to_vec)?;
    let own = read_figures(file, text, Some(built_in))?;
    let mut all = built_in.to_vec();
    for row in &mut all {
        if let Some(own) = own.iter().find(|own| own.name == row.name) {
            row.clone_from(own);
        }
    }
    Ok(all)
}

/// The tests of `data/worth_tests.csv`.
///
/// # Errors
/// Every fault of the table.
pub fn worth_tests() -> Result<&'static [WorthTest], &'static [DataFault]> {
    static READ: OnceLock<Result<Vec<WorthTest>, Vec<DataFault>>> = OnceLock::new();
    READ.get_or_init(|| {
        let mut faults = Vec::new();
        let file = "worth_tests.csv";
        let text = include_str!("../../../data/worth_tests.csv");
        let rows = read_table(file, text, &TEST_HEADINGS, &mut faults, |fields| {
            fields.required("of");
            let provenance = fields.provenance();
            Some(WorthTest {
                test: fields.required("test"),
                of: fields.choice("of", &OF)?,
                minutes: fields.required_number("minutes", 0.1, 6000.0),
                money: fields.required_number("money", 0.0, 1e6),
                misses: fields.required_number("misses", 0.0, 1.0),
                false_alarm: fields.required_number("false_alarm", 0.0, 1.0),
                how: fields.required("how"),
                source: provenance.source,
                standing: provenance.standing,
            })
        });
        let rows = unique(file, rows, "test", |row| row.test.clone(), &mut faults);
        if faults.is_empty() {
            Ok(rows)
        } else {
            Err(faults)
        }
    })
    .as_ref()
    .map(Vec::as_slice)
    .map_err(Vec::as_slice)
}

fn read_figures(
    file: &str,
    text: &str,
    known: Option<&[WorthFigure]>,
) -> Result<Vec<WorthFigure>, Vec<DataFault>> {
    let mut faults = Vec::new();
    let rows = read_table(file, text, &FIGURE_HEADINGS, &mut faults, |fields| {
        let name = fields.required("name");
        let like = known.and_then(|known| known.iter().find(|own| own.name == name));
        if let (Some(known), None) = (known, like)
            && !name.is_empty()
        {
            let names: Vec<&str> = known.iter().map(|own| &own.name[..]).collect();
            let hint = format!("names are: {}", names.join(", "));
            fields.fault(
                "name",
                format!("\"{name}\" read, a name of the built-in table expected"),
                hint,
            );
        }
        fields.required("unit");
        let unit = fields.choice("unit", &UNITS).unwrap_or("money");
        if let Some(like) = like
            && like.unit != unit
        {
            fields.fault(
                "unit",
                format!("\"{unit}\" read, {} expected", like.unit),
                "keep the unit of the row",
            );
        }
        let most = if matches!(unit, "chance" | "share") {
            1.0
        } else {
            1e6
        };
        let low = fields.required_number("low", 0.0, most);
        let typical = fields.required_number("typical", 0.0, most);
        let high = fields.required_number("high", 0.0, most);
        if !(low <= typical && typical <= high) {
            fields.fault(
                "typical",
                format!("{low}, {typical}, {high} do not rise"),
                "let them rise from low to high",
            );
        }
        let meaning = fields.required("meaning");
        let provenance = fields.provenance();
        Some(WorthFigure {
            name,
            low,
            typical,
            high,
            unit: unit.to_owned(),
            meaning,
            source: provenance.source,
            standing: provenance.standing,
        })
    });
    let rows = unique(file, rows, "name", |row| row.name.clone(), &mut faults);
    if faults.is_empty() {
        Ok(rows)
    } else {
        Err(faults)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "name,low,typical,high,unit,meaning,source,standing\n";

    #[test]
    fn own_rows_take_the_place_of_assumed_ones() {
        let text = format!("{HEAD}finished set,300,400,500,money,to me,my own,measured\n");
        let own = own_worth_figures("own.csv", &text).expect("sound");
        let row = own
            .iter()
            .find(|own| own.name == "finished set")
            .expect("there");
        assert_eq!((row.low, row.high), (300.0, 500.0));
        assert_eq!(own.len(), worth_figures().expect("sound").len());
        assert_eq!(worth_tests().expect("sound").len(), 6);
    }

    #[test]
    fn nonsense_is_told_all_at_once() {
        let text = format!(
            "{HEAD}finished sett,1,2,3,money,x,mine,measured\nevening,9,2,3,money,x,mine,measured\n\
             flyback is found,0.1,0.5,7,chance,x,mine,measured\nsmall part,a,1,2,evenings,x,mine,measured\n"
        );
        let faults = own_worth_figures("own.csv", &text).expect_err("nonsense");
        for (line, column) in [
            (2, "name"),
            (3, "typical"),
            (4, "high"),
            (5, "low"),
            (5, "unit"),
        ] {
            assert!(
                faults
                    .iter()
                    .any(|own| own.line == line && own.column == column),
                "{line} {column}: {faults:?}"
            );
        }
    }
}
