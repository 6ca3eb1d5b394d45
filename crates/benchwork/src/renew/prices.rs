//! The restorer's own prices, held against a set: what each is for, and which one a line of the order has.
//!
//! Money as the restorer counts it. A price is for a part or tube of the set, a kind of today's parts, silicon, or a thing
//! that the set needs besides. Fails for a file that cannot be read; faults of the table and prices of what nothing names
//! are handed on together, so that all of them are told at once.

use std::path::Path;

use parts::{KINDS_OF_TODAY, Price, read_prices};
use receiver::renew::plan::SET_NEEDS;
use receiver::sheet::Sheet;

use crate::read_own_file::{fault_view, read_own_file};
use crate::trouble::Trouble;
use crate::view::{FaultView, OrderLineView};

/// The kind of a diode in place of selenium.
pub(super) const SILICON: &str = "silicon";

/// A table of own prices as it was read.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Prices {
    rows: Vec<Price>,
    faults: Vec<FaultView>,
    file: String,
}

impl Prices {
    /// Reads the table at a path; nothing where none is named.
    pub fn read(path: Option<&Path>) -> Result<Prices, Trouble> {
        let Some(path) = path else {
            return Ok(Prices::default());
        };
        let (rows, faults) = read_own_file(path, |file, text| Ok(read_prices(file, text)))?;
        Ok(Prices {
            rows,
            faults: faults.into_iter().map(fault_view).collect(),
            file: path.display().to_string(),
        })
    }

    /// Every fault: those of the table, and prices for what neither the set nor today's table has, by their lines.
    pub fn faults(&self, sheet: &Sheet) -> Vec<FaultView> {
        let known = |name: &str| {
            let name = name.trim();
            let mut kinds = KINDS_OF_TODAY.iter().chain(&SET_NEEDS).chain(&[SILICON]);
            sheet.part(name).is_some()
                || sheet.tube(name).is_some()
                || kinds.any(|own| own.eq_ignore_ascii_case(name))
        };
        let unknown = self.rows.iter().filter(|own| !known(&own.of));
        let mut all = self.faults.clone();
        all.extend(unknown.map(|own| {
            let kinds = format!(
                "kinds are {}, {SILICON}, {}",
                KINDS_OF_TODAY.join(", "),
                SET_NEEDS.join(", ")
            );
            FaultView {
                line: usize::try_from(own.line).ok(),
                column: None,
                text: format!(
                    "{} line {}, column for: \"{}\" read, a part of this set or a kind of today's parts expected",
                    self.file, own.line, own.of
                ),
                hint: match sheet.nearest_reference(&own.of) {
                    Some(near) => format!("did you mean {near}? {kinds}"),
                    None => kinds,
                },
            }
        }));
        all.sort_by_key(|own| own.line);
        all
    }

    /// The price of a line: that of one of its parts, else that of its kind.
    pub fn of(&self, line: &OrderLineView) -> Option<f64> {
        price_of(&self.rows, line)
    }
}

fn price_of(prices: &[Price], line: &OrderLineView) -> Option<f64> {
    let of = |name: &str| {
        let mut all = prices.iter();
        all.find(|own| own.of.trim().eq_ignore_ascii_case(name))
            .map(|own| own.price)
    };
    let by_part = line.parts.iter().find_map(|part| of(part));
    by_part.or_else(|| of(&line.kind))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(kind: &str, parts: &[&str]) -> OrderLineView {
        OrderLineView {
            count: 1,
            spares: 0,
            what: String::new(),
            kind: kind.to_owned(),
            marking: String::new(),
            parts: parts.iter().map(|own| (*own).to_owned()).collect(),
            verdict: "now",
            ripple_amps_rms: None,
            price: None,
        }
    }

    /// By the manual: a price of a part goes before that of its kind, and case does not count.
    #[test]
    fn a_price_of_a_part_goes_before_that_of_its_kind() {
        let price = |of: &str, price: f64| Price {
            of: of.to_owned(),
            price,
            notes: String::new(),
            line: 1,
        };
        let prices = [price("Polyester-Film", 0.5), price("c60 ", 2.0)];
        let own = |kind: &str, parts: &[&str]| price_of(&prices, &line(kind, parts));
        assert_eq!(own("polyester-film", &["C40", "C60"]), Some(2.0));
        assert_eq!(own("polyester-film", &["C40"]), Some(0.5));
        // What is bought is told by its kind, and by no word of its text.
        assert_eq!(own("class-x2", &["C10"]), None);
    }
}
