//! One list of causes for all bench conditions, so that the same drawn set is read under each.
//!
//! Plain ratios to the sheet's figure. A figure has its place in the list whether or not the
//! conditions at hand let it vary: there it stands still. Which conditions are asked, and in what
//! order, moves no draw. Source: [`causes`] and [`stage_causes`]. Nothing here can fail.

use crate::conditions::BenchConditions;
use crate::wiring::SetModel;

use super::spread::{Cause, Spread};
use super::{causes, stage_causes};

/// Every cause that any conditions let vary, each once.
pub fn shared_causes(model: &SetModel<'_>) -> Vec<Cause> {
    let settled = BenchConditions {
        lamps: vec![100.0],
        meter: Some(crate::conditions::Meter::InputOhms(1e7)),
        ..BenchConditions::default()
    };
    let warming = BenchConditions {
        seconds: Some(10.0),
        ..settled.clone()
    };
    let mut shared: Vec<Cause> = Vec::new();
    let both = [causes(model, &settled), causes(model, &warming)];
    for cause in both.into_iter().flatten().chain(stage_causes(model)) {
        if shared.iter().all(|own| own.figure != cause.figure) {
            shared.push(cause);
        }
    }
    shared
}

/// The shared causes as they vary under these conditions.
pub fn under(shared: &[Cause], model: &SetModel<'_>, conditions: &BenchConditions) -> Vec<Cause> {
    let mut own = causes(model, conditions);
    own.extend(stage_causes(model));
    shared
        .iter()
        .map(|cause| {
            let found = own.iter().find(|own| own.figure == cause.figure);
            found.cloned().unwrap_or_else(|| Cause {
                spread: Spread::STILL,
                ..cause.clone()
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{shared_causes, under};
    use crate::causes::causes;
    use crate::conditions::{BenchConditions, Meter};
    use crate::sheet::read_sheet;
    use crate::wiring::{Figure, SetModel};

    #[test]
    fn every_condition_finds_its_causes_in_the_list_at_one_place() {
        let text = include_str!("../../../../examples/whole/larkfield_12t.toml");
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = read_sheet(text, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let shared = shared_causes(&model);
        let usual = BenchConditions::default();
        for conditions in [
            usual.clone(),
            BenchConditions {
                line_volts: Some(60.0),
                ..usual.clone()
            },
            BenchConditions {
                lamps: vec![60.0, 100.0],
                seconds: Some(30.0),
                ..usual.clone()
            },
            BenchConditions {
                meter: Some(Meter::InputOhms(1e6)),
                pulled: vec!["V5".to_string()],
                ..usual
            },
        ] {
            let own = under(&shared, &model, &conditions);
            assert_eq!(own.len(), shared.len());
            for (own, shared) in own.iter().zip(&shared) {
                assert_eq!(own.figure, shared.figure);
            }
            for cause in causes(&model, &conditions) {
                let found = own.iter().find(|own| own.figure == cause.figure);
                assert_eq!(found.map(|own| own.spread), Some(cause.spread), "{cause:?}");
            }
            let line = own.iter().find(|own| own.figure == Figure::Line);
            let still = line.is_some_and(|own| own.spread.is_still());
            assert_eq!(still, conditions.line_volts.is_some());
        }
    }
}
