//! Holds bench conditions against the sheet: every name must be in it.
//!
//! Names are taken in any case and come out as the sheet spells them. All that
//! does not fit is reported at once, each with the nearest right spelling; there
//! is no line or column to name.

use receiver::conditions::BenchConditions;
use receiver::sheet::{PartKind, Sheet};

use crate::trouble::Trouble;
use crate::view::FaultView;

/// The conditions in the sheet's own spelling, or all that does not fit.
pub fn fitting(conditions: &BenchConditions, sheet: &Sheet) -> Result<BenchConditions, Trouble> {
    let mut faults = Vec::new();
    let mut fitting = conditions.clone();
    for name in &mut fitting.pulled {
        match sheet.tube(name) {
            Some(tube) => name.clone_from(&tube.reference),
            None => faults.push(no_tube(name, sheet)),
        }
    }
    for name in &mut fitting.open {
        match sheet.part(name) {
            Some(part) if matches!(part.value.kind(), PartKind::Switch | PartKind::Plug) => {
                name.clone_from(&part.reference);
            }
            Some(part) => faults.push(FaultView::of_input(
                format!(
                    "`{name}` cannot be open: it is {}",
                    part.value.kind().with_article()
                ),
                "only switches and plugs open; a part is cut loose with --fitted-without",
            )),
            None => faults.push(no_part(name, "switch or plug", sheet)),
        }
    }
    for name in &mut fitting.fitted_without {
        match sheet.part(name) {
            Some(part) => name.clone_from(&part.reference),
            None if sheet.tube(name).is_some() => faults.push(FaultView::of_input(
                format!("`{name}` is a tube: tubes are pulled, not cut loose"),
                "take it out with --pulled",
            )),
            None => faults.push(no_part(name, "part", sheet)),
        }
    }
    let places = sheet.places();
    let source = fitting
        .direct_source
        .as_mut()
        .map(|source| &mut source.place);
    for name in fitting.to.iter_mut().chain(source) {
        match places.find(name) {
            Ok(place) => *name = place.to_string(),
            Err(unknown) => faults.push(FaultView::of_input(
                format!("`{name}` is no place of this sheet"),
                meant(
                    unknown.nearest.as_deref(),
                    "a place is a pin, such as V5.6, a name, or the chassis",
                ),
            )),
        }
    }
    if faults.is_empty() {
        Ok(fitting)
    } else {
        Err(Trouble::Input { faults })
    }
}

fn no_tube(name: &str, sheet: &Sheet) -> FaultView {
    match sheet.part(name) {
        Some(part) => FaultView::of_input(
            format!(
                "`{name}` cannot be pulled: it is {}",
                part.value.kind().with_article()
            ),
            "only tubes are pulled; a part is cut loose with --fitted-without",
        ),
        None => no_part(name, "tube", sheet),
    }
}

fn no_part(name: &str, wanted: &str, sheet: &Sheet) -> FaultView {
    let hint = meant(
        sheet.nearest_reference(name),
        "references are in the sheet's own rows",
    );
    FaultView::of_input(format!("`{name}` is no {wanted} of this sheet"), &hint)
}

fn meant(nearest: Option<&str>, otherwise: &str) -> String {
    match nearest {
        Some(nearest) => format!("did you mean `{nearest}`?"),
        None => otherwise.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{EXAMPLE_NAME, EXAMPLE_SHEET, SheetFile, sound_sheet};
    use receiver::conditions::DirectSource;

    fn check(conditions: &BenchConditions, wanted: &[&str]) {
        let file = SheetFile::in_memory(EXAMPLE_NAME, EXAMPLE_SHEET);
        let sheet = sound_sheet(&file)
            .map(|(sheet, _)| sheet)
            .unwrap_or_else(|trouble| panic!("{trouble}"));
        let texts: Vec<String> = match fitting(conditions, &sheet) {
            Ok(_) => Vec::new(),
            Err(Trouble::Input { faults }) => faults
                .into_iter()
                .map(|fault| fault.text + " " + &fault.hint)
                .collect(),
            Err(other) => panic!("{other}"),
        };
        assert_eq!(texts.len(), wanted.len(), "{texts:?}");
        for (text, wanted) in texts.iter().zip(wanted) {
            assert!(text.contains(wanted), "`{wanted}` is not in `{text}`");
        }
    }

    fn names(names: &[&str]) -> Vec<String> {
        names.iter().map(|name| (*name).to_owned()).collect()
    }

    #[test]
    fn names_of_the_sheet_fit_in_any_case() {
        let conditions = BenchConditions {
            pulled: names(&["v14", "V20"]),
            to: Some("b+ main".to_owned()),
            ..Default::default()
        };
        check(&conditions, &[]);
    }

    #[test]
    fn everything_that_does_not_fit_is_told_at_once() {
        let conditions = BenchConditions {
            pulled: names(&["V99", "R31"]),
            open: names(&["R31"]),
            fitted_without: names(&["V14", "Q1000"]),
            to: Some("B+ man".to_owned()),
            direct_source: Some(DirectSource {
                place: "nowhere at all".to_owned(),
                volts: 300.0,
                series_ohms: 47e3,
            }),
            ..Default::default()
        };
        let wanted = [
            "`V99` is no tube",
            "`R31` cannot be pulled",
            "`R31` cannot be open",
            "`V14` is a tube",
            "`Q1000` is no part",
            "did you mean `B+ main`?",
            "`nowhere at all` is no place",
        ];
        check(&conditions, &wanted);
    }
}
