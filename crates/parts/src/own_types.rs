//! A restorer's own tube types: rows of a table of his, with the columns of
//! `data/tubes.csv` and `data/picture_tubes.csv`.
//!
//! The table is CSV with a heading line ([`crate::own_table`]); only `type` is needed, any other
//! column of the catalogue may follow in any order. Rows of one
//! type follow each other, a further point is `/op2`, as in the catalogue.
//! All rows stand as stated by the restorer. The checks are those of a type
//! described in a sheet, so that there is one concept for both. All faults
//! come at once, each with its line and column.

use crate::fault::{ColumnFault, DataFault};
use crate::own_table::{OwnTable, read_own_table};
use crate::read_section::join_row;
use crate::read_tube::tube_key;
use crate::tube::TubeType;

/// A type of the restorer's own, and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnType {
    /// The type with all its rows.
    pub tube: TubeType,
    /// The line of its first row, counted from 1.
    pub line: u64,
}

/// Reads a table of own types. `file` is its name for messages and the source
/// of rows that name none.
///
/// # Errors
/// All faults at once.
pub fn read_own_types(file: &str, text: &str) -> Result<Vec<OwnType>, Vec<DataFault>> {
    let mut faults = Vec::new();
    let mut own: Vec<OwnType> = Vec::new();
    let asked = OwnTable {
        file,
        key: "type",
        headings: "type,base,pins,heater_v,heater_a,...",
        row: "write a row for each type",
    };
    read_own_table(&asked, text, &mut faults, |line, cells| {
        match read_row(file, cells) {
            Ok(tube) => take(&mut own, tube, line).map_err(|fault| vec![fault]),
            Err(found) => Err(found),
        }
    });
    if faults.is_empty() {
        Ok(own)
    } else {
        Err(faults)
    }
}

/// Empty cells mean unknown; what the catalogue does not ask of a sheet (how
/// far a row is to be trusted) is the restorer's own affair and is let pass.
fn read_row(file: &str, cells: &[(&str, &str)]) -> Result<TubeType, Vec<ColumnFault>> {
    let name = cells
        .iter()
        .find(|(heading, _)| *heading == "type")
        .map_or("", |(_, cell)| *cell);
    let mut given: Vec<(&str, &str)> = cells
        .iter()
        .copied()
        .filter(|(heading, _)| !heading.is_empty())
        .collect();
    if !given
        .iter()
        .any(|(heading, cell)| *heading == "source" && !cell.is_empty())
    {
        given.retain(|(heading, _)| *heading != "source");
        given.push(("source", file));
    }
    TubeType::from_columns(name, &given)
}

fn take(own: &mut Vec<OwnType>, tube: TubeType, line: u64) -> Result<(), ColumnFault> {
    let key = tube_key(&tube.name);
    let known = own.iter().position(|row| tube_key(&row.tube.name) == key);
    match known {
        None => {
            if let Some(section) = tube.sections.first()
                && section.name.contains("/op")
            {
                return Err(ColumnFault::new(
                    "section",
                    format!("{} follows no section", section.name),
                    "put it after its section",
                ));
            }
            own.push(OwnType { tube, line });
            Ok(())
        }
        Some(at) if at + 1 != own.len() => Err(ColumnFault::new(
            "type",
            format!("{} comes again after other types", tube.name),
            "keep the rows of a type together",
        )),
        Some(at) => match own.get_mut(at) {
            Some(row) if row.tube.is_picture_tube || tube.sections.is_empty() => {
                Err(ColumnFault::new(
                    "type",
                    format!("{} comes twice", row.tube.name),
                    "keep one row, or give the second a section of its own",
                ))
            }
            Some(row) => join_row(&mut row.tube, tube),
            None => Ok(()),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, expected: &str) {
        let shown = match read_own_types("own.csv", text) {
            Ok(own) => own
                .iter()
                .map(|row| format!("{}:{}", row.line, row.tube.name))
                .collect::<Vec<_>>()
                .join(" "),
            Err(faults) => faults
                .iter()
                .map(|fault| {
                    assert!(!fault.text.is_empty() && !fault.hint.is_empty(), "{fault}");
                    format!("!{}:{}", fault.line, fault.column)
                })
                .collect::<Vec<_>>()
                .join(" "),
        };
        assert_eq!(shown, expected, "{text}");
    }

    #[test]
    fn rows_are_read_with_the_columns_given() {
        check(
            "type,heater_v,heater_a\n6XX6,6.3,0.3\n6YY7,,\n",
            "2:6XX6 3:6YY7",
        );
        check("heater_v;type;heater_a\n6.3;6XX6;0.3\n", "2:6XX6");
        check("\u{feff}type\n6XX6\n,\n", "!3:");
        check("type,notes\n6XX6,\"a, b\"\n,\n", "2:6XX6");
    }

    #[test]
    fn every_fault_comes_with_its_line_and_column() {
        check("", "!1:type");
        check("type\n", "!2:");
        check(
            "type,heater_v,base\n6XX6,six,octl\n,6.3,\n",
            "!2:base !2:heater_v !3:type",
        );
        check("type,heater_volts\n6XX6,6.3\n", "!2:heater_volts");
        check("type,heater_v\n6XX6,6.3\n6XX6,6.3\n", "!3:type");
        check(
            "type,section,kind\nA1,triode,triode\nB1,triode,triode\nA1,diode,diode\n",
            "!4:type",
        );
    }

    #[test]
    fn a_further_point_joins_its_section() {
        let text = "type,section,kind,typ_plate_v,typ_plate_ma\n\
                    6XX6,triode,triode,250,9\n6XX6,triode/op2,triode,100,4\n";
        let own = read_own_types("own.csv", text).expect("sound");
        assert_eq!(own.len(), 1);
        assert_eq!(own[0].tube.sections[0].operating_points.len(), 2);
        assert_eq!(own[0].tube.provenance.source, "own.csv");
        check("type,section,kind\n6XX6,triode/op2,triode\n", "!2:section");
    }
}
