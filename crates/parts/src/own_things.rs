//! A restorer's own things to look at, beside those of `data/things_to_see.csv`.
//!
//! A table of his ([`crate::own_table`]) with the columns of the built-in one; `name`, `area`, `thing`
//! and `findings` are needed. All rows stand as stated by the restorer. A name or thing of the
//! built-in list, or one that comes twice, is a fault, since notes go by it. All faults come at once,
//! each with its line and column.

use crate::fault::{ColumnFault, DataFault};
use crate::own_table::{OwnTable, read_own_table};
use crate::standing::Standing;
use crate::table::Fields;
use crate::thing_to_see::ThingToSee;

const COLUMNS: [&str; 8] = [
    "name", "area", "thing", "look", "findings", "caution", "source", "standing",
];

/// Reads a table of own things. `file` is its name for messages and the source of rows that name
/// none; `built_in` is the list beside which they stand.
///
/// # Errors
/// All faults at once.
pub fn read_own_things(
    file: &str,
    text: &str,
    built_in: &[ThingToSee],
) -> Result<Vec<ThingToSee>, Vec<DataFault>> {
    let mut faults = Vec::new();
    let mut own: Vec<ThingToSee> = Vec::new();
    let asked = OwnTable {
        file,
        key: "name",
        headings: "name,area,thing,look,findings,caution",
        row: "write a row for each thing",
    };
    read_own_table(&asked, text, &mut faults, |_, cells| {
        let thing = read_row(file, cells)?;
        for (column, of) in [
            ("name", (|one| &one.name) as fn(&ThingToSee) -> &String),
            ("thing", |one| &one.thing),
        ] {
            let is_same = |one: &&ThingToSee| of(one).eq_ignore_ascii_case(of(&thing));
            let where_else = match (built_in.iter().find(is_same), own.iter().find(is_same)) {
                (Some(_), _) => "in the built-in list",
                (_, Some(_)) => "in a line above",
                _ => continue,
            };
            return Err(vec![ColumnFault::new(
                column,
                format!("`{}` stands {where_else} already", of(&thing)),
                "give it another name",
            )]);
        }
        own.push(thing);
        Ok(())
    });
    if faults.is_empty() {
        Ok(own)
    } else {
        Err(faults)
    }
}

fn read_row(file: &str, cells: &[(&str, &str)]) -> Result<ThingToSee, Vec<ColumnFault>> {
    let mut fields = Fields::new(cells.to_vec());
    for (heading, cell) in cells {
        if !COLUMNS.contains(heading) && !cell.is_empty() {
            fields.fault(
                heading,
                "no such column",
                format!("the columns are {}", COLUMNS.join(", ")),
            );
        }
    }
    let thing = ThingToSee {
        name: fields.required("name"),
        area: fields.required("area"),
        thing: fields.required("thing"),
        look: fields.owned("look"),
        findings: fields.list("findings"),
        caution: fields.owned("caution"),
        source: fields.text("source").unwrap_or(file).to_owned(),
        standing: Standing::Stated,
    };
    if thing.findings.is_empty() {
        fields.fault(
            "findings",
            "empty, but needed",
            "what is usually found, the sound state first, parted by semicolons",
        );
    }
    if fields.faults.is_empty() {
        Ok(thing)
    } else {
        Err(fields.faults)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thing_to_see::things_to_see;

    fn places(text: &str) -> Vec<(u64, String)> {
        let built_in = things_to_see().expect("sound");
        let faults = read_own_things("mine.csv", text, built_in).expect_err("faults");
        let place = |fault: &DataFault| (fault.line, fault.column.clone());
        faults.iter().map(place).collect()
    }

    #[test]
    fn rows_stand_as_stated_with_the_columns_given() {
        let text = "name,thing,area,findings\n\
                    remote,remote control jack,front and back,dry; corroded ;gone\n";
        let built_in = things_to_see().expect("sound");
        let own = read_own_things("mine.csv", text, built_in).expect("sound");
        assert_eq!(own[0].findings, ["dry", "corroded", "gone"]);
        assert_eq!(own[0].source, "mine.csv");
        assert_eq!(own[0].standing, Standing::Stated);
        assert!(own[0].look.is_empty() && own[0].caution.is_empty());
    }

    #[test]
    fn faults_come_at_once_and_no_name_stands_twice() {
        let column = |text: &str| text.to_owned();
        assert_eq!(
            places(
                "name,area,thing,findings,colour\n\
                 jack,back,jack,dry,red\n,back,plug,,\nCORD,back,my cord,dry,\n\
                 plug,back,plug,dry,\nplug,back,other,dry,\n"
            ),
            [
                (2, column("colour")),
                (3, column("name")),
                (3, column("findings")),
                (4, column("name")),
                (6, column("name")),
            ]
        );
        assert_eq!(places("area,thing\na,b\n"), [(1, column("name"))]);
    }
}
