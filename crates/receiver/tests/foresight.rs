//! What a set foresees, kept whole, tells the same as the prediction it was made from.
//!
//! Source of what is held: `expect` itself, with and without readings that are known; steps of a
//! 65,535th of a reading's range are the only difference.

#[path = "whole_sets/mod.rs"]
mod whole_sets;

use receiver::conditions::{BenchConditions, KnownReading};
use receiver::expect::Predictor;
use receiver::foresight::Foresight;
use receiver::reading::What;
use receiver::wiring::SetModel;
use whole_sets::{LARKFIELD, sheet};

#[test]
fn narrowed_or_not_it_tells_what_the_prediction_tells() {
    let catalogue = parts::catalogue().expect("data");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    let predictor = Predictor::new(&model);
    let conditions = BenchConditions {
        line_volts: Some(117.0),
        bands: true,
        ..BenchConditions::default()
    };
    let foresight = Foresight::under_power(&predictor, &conditions).expect("solved");
    let known = |place: &str, share: f64| {
        let own = foresight
            .readings
            .iter()
            .find(|own| own.at == place && own.what == What::DcVolts)
            .expect("a reading");
        KnownReading {
            place: place.to_string(),
            volts: own.band.low + share * (own.band.high - own.band.low),
        }
    };
    let sets = [
        Vec::new(),
        vec![known("B+ main", 0.7)],
        vec![known("B+ main", 0.2), known("V9.6", 0.9)],
    ];
    for known in sets {
        let told = predictor
            .expect(&BenchConditions {
                known: known.clone(),
                ..conditions.clone()
            })
            .expect("solved");
        let own = foresight.with(&known);
        assert_eq!(own.len(), told.readings.len());
        let kinds = [What::DcVolts, What::PlateMilliamps, What::CathodeMilliamps];
        let mut compared = 0;
        for (own, told) in own.iter().zip(&told.readings) {
            assert_eq!(
                (&own.at, &own.to, own.what),
                (&told.at, &told.to, told.what)
            );
            if !kinds.contains(&own.what) {
                continue;
            }
            compared += 1;
            let width = (told.band.high - told.band.low).max(1e-3);
            for (own_end, told_end) in [
                (own.band.low, told.band.low),
                (own.band.expected, told.band.expected),
                (own.band.high, told.band.high),
            ] {
                let off = (own_end - told_end).abs() / width;
                assert!(off < 2e-3, "{} {off}", own.at);
            }
        }
        assert!(compared > 150, "{compared}");
    }
    // A place that is not foreseen says nothing.
    let elsewhere = KnownReading {
        place: "nowhere".to_string(),
        volts: 1.0,
    };
    assert_eq!(foresight.with(&[elsewhere]), foresight.readings);
    assert!(foresight.safe.contains(&"V9.6".to_string()));
    assert!(!foresight.safe.iter().any(|place| place.ends_with(".cap")));
}
