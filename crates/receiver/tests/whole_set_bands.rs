//! Bands by slopes held against bands by drawn sets, on both whole sets.
//!
//! Volts. Two methods: 1,024 drawn sets solved in full, and the standard deviations of all
//! causes carried through the slopes at the expected point.

mod whole_sets;

use receiver::causes::{causes, stage_causes};
use receiver::conditions::BenchConditions;
use receiver::probes::{Spot, all_probes};
use receiver::reading::What;
use receiver::whole_set::{Wanted, linear_bands, whole_readings};
use receiver::wiring::SetModel;
use whole_sets::{LARKFIELD, MERROW, nominal, sheet};

#[test]
fn slopes_and_draws_give_the_same_widths() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    for text in [LARKFIELD, MERROW] {
        let sheet = sheet(text);
        let model = SetModel::new(&sheet, catalogue);
        let conditions = BenchConditions {
            bands: true,
            ..nominal()
        };
        let probes = all_probes(&model, None);
        let mut all = causes(&model, &conditions);
        all.extend(stage_causes(&model));
        let drawn =
            whole_readings(&model, &conditions, &probes, &all, Wanted::Bands).expect("a set");
        assert_eq!(drawn.lost, 0);
        let straight = linear_bands(&model, &conditions, &drawn.set, &probes, &all);
        let mut ratios: Vec<(f64, String)> = probes
            .iter()
            .zip(&drawn.bands(&[]))
            .zip(&straight)
            .filter_map(|((probe, band), half)| {
                let volts = probe.what == What::DcVolts && matches!(probe.spot, Spot::ToChassis(_));
                let (band, half) = ((volts).then_some(band.as_ref()?)?, (*half)?);
                let wide = 0.5 * (band.high - band.low);
                // Below a meter's last digit widths say nothing.
                (wide > 0.02).then(|| (half / wide, probe.at.clone()))
            })
            .collect();
        ratios.sort_by(|one, other| one.0.total_cmp(&other.0));
        let at = |share: f64| ratios[(share * (ratios.len() - 1) as f64) as usize].0;
        println!(
            "{}: {} places; straight over drawn width: {:.2} {:.2} {:.2} {:.2} {:.2}",
            sheet.name,
            ratios.len(),
            at(0.0),
            at(0.05),
            at(0.5),
            at(0.95),
            at(1.0)
        );
        // Causes are small beside the bends of the laws nearly everywhere: the middle place
        // agrees within a tenth, nine of ten within a quarter. Where a stage is about to cut
        // off or a grid stands near nothing, the drawn bands are the wider ones.
        assert!((0.9..1.1).contains(&at(0.5)), "{}", at(0.5));
        assert!(at(0.05) > 0.75 && at(0.95) < 1.25, "{ratios:?}");
        assert!(at(1.0) < 1.3, "{ratios:?}");
        assert!(ratios.len() > 90);
    }
}
