//! How long the library takes for the predictions of the invented transformer set.
//!
//! `cargo bench -p receiver`. The figures aimed at (two ordinary cores): the demo supply
//! settled in at most 1 ms; 120 s of warm-up in at most 0.1 s; the whole plan in at most 2 s.

use std::path::Path;

use divan::Bencher;
use receiver::conditions::BenchConditions;
use receiver::curves::warm_up_curves;
use receiver::expect::Predictor;
use receiver::ohms::cold_ohms_of;
use receiver::plan::wake::wake;
use receiver::probes::all_probes;
use receiver::sheet::{Sheet, read_sheet};
use receiver::wiring::{SetModel, Variation};

fn main() {
    divan::main();
}

fn sheet() -> Sheet {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/larkfield_12t.toml");
    let text = std::fs::read_to_string(path).expect("the example is there");
    read_sheet(&text, parts::catalogue().expect("sound"))
        .sheet
        .expect("no fault")
}

fn at_117(bands: bool, seconds: Option<f64>) -> BenchConditions {
    BenchConditions {
        line_volts: Some(117.0),
        bands,
        seconds,
        ..BenchConditions::default()
    }
}

fn with_predictor(bencher: Bencher<'_, '_>, ask: impl Fn(&Predictor<'_, '_>)) {
    let sheet = sheet();
    let model = SetModel::new(&sheet, parts::catalogue().expect("sound"));
    let predictor = Predictor::new(&model);
    bencher.bench_local(|| ask(&predictor));
}

/// The sheet made ready: figures, rectifiers, heaters, places.
#[divan::bench]
fn model(bencher: Bencher<'_, '_>) {
    let sheet = sheet();
    let catalogue = parts::catalogue().expect("sound");
    bencher.bench_local(|| SetModel::new(&sheet, catalogue));
}

/// One settled state with every reading: at most 1 ms.
#[divan::bench]
fn settled_nominal(bencher: Bencher<'_, '_>) {
    let sheet = sheet();
    let model = SetModel::new(&sheet, parts::catalogue().expect("sound"));
    let predictor = Predictor::new(&model);
    let probes = all_probes(&model, None);
    let conditions = at_117(false, None);
    bencher.bench_local(|| predictor.solve(&conditions, &Variation::none(), &probes, None));
}

/// The same with bands: twice as many sets as there are causes.
#[divan::bench(sample_count = 10)]
fn settled_with_bands(bencher: Bencher<'_, '_>) {
    with_predictor(bencher, |predictor| {
        divan::black_box(predictor.expect(&at_117(true, None)).is_ok());
    });
}

/// A moment of the warm-up with bands: 128 sets from switch-on.
#[divan::bench(sample_count = 3)]
fn twenty_seconds_with_bands(bencher: Bencher<'_, '_>) {
    with_predictor(bencher, |predictor| {
        divan::black_box(predictor.expect(&at_117(true, Some(20.0))).is_ok());
    });
}

/// 120 s from switch-on without bands: at most 0.1 s.
#[divan::bench(sample_count = 10)]
fn warm_up_of_120_seconds(bencher: Bencher<'_, '_>) {
    with_predictor(bencher, |predictor| {
        divan::black_box(predictor.expect(&at_117(false, Some(120.0))).is_ok());
    });
}

/// The same as curves of every B+ line, with some hundred moments.
#[divan::bench(sample_count = 10)]
fn warm_up_curves_of_120_seconds(bencher: Bencher<'_, '_>) {
    with_predictor(bencher, |predictor| {
        divan::black_box(warm_up_curves(predictor, &at_117(false, None)).is_ok());
    });
}

/// Cold resistances of all places with bands: at most 0.2 s.
#[divan::bench(sample_count = 10)]
fn cold_resistances_with_bands(bencher: Bencher<'_, '_>) {
    with_predictor(bencher, |predictor| {
        let conditions = BenchConditions {
            bands: true,
            ..BenchConditions::default()
        };
        divan::black_box(cold_ohms_of(predictor.model, &conditions).is_ok());
    });
}

/// The whole first power-up with all fault runs and bands: at most 2 s.
#[divan::bench(sample_count = 3, sample_size = 1)]
fn wake_with_all_fault_runs(bencher: Bencher<'_, '_>) {
    let sheet = sheet();
    let catalogue = parts::catalogue().expect("sound");
    bencher.bench_local(|| divan::black_box(wake(&sheet, catalogue, &mut |_| {}).is_ok()));
}
