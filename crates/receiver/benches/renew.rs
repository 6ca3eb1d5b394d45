//! The replacement plan of a whole set with its worst cases, beside one prediction of the same set with its bands.
//!
//! `cargo bench -p receiver --bench renew`. Before the times, the cases solved, which do not depend on the machine. The
//! aim: a plan of 220 parts in three seconds on two cores.

use divan::Bencher;
use receiver::conditions::BenchConditions;
use receiver::expect::Predictor;
use receiver::renew::burden::burdens;
use receiver::renew::plan::renewal_plan;
use receiver::renew::silicon::silicon_plans;
use receiver::renew::verdict::Evidence;
use receiver::sheet::{Sheet, read_sheet};
use receiver::suspects::hypotheses::Hypotheses;
use receiver::wiring::SetModel;

const LARKFIELD: &str = include_str!("../../../examples/whole/larkfield_12t.toml");
const MERROW: &str = include_str!("../../../examples/whole/merrow_17s.toml");

fn main() {
    for (name, text) in [("Larkfield", LARKFIELD), ("Merrow", MERROW)] {
        let sheet = sheet(text);
        let catalogue = parts::catalogue().expect("sound figures");
        let model = SetModel::new(&sheet, catalogue);
        let own = burdens(&Predictor::new(&model), 126.0).expect("solved");
        println!("{name}: {} parts, {} cases", sheet.parts.len(), own.cases);
    }
    divan::main();
}

fn sheet(text: &str) -> Sheet {
    let catalogue = parts::catalogue().expect("sound figures");
    read_sheet(text, catalogue).sheet.expect("sound")
}

/// From the sheet to the plan, nothing learned before.
#[divan::bench(args = [LARKFIELD, MERROW], sample_count = 10)]
fn whole_plan(bencher: Bencher<'_, '_>, text: &str) {
    let catalogue = parts::catalogue().expect("sound figures");
    let today = parts::todays_parts().expect("sound figures");
    let sheet = sheet(text);
    bencher.bench_local(|| {
        let model = SetModel::new(divan::black_box(&sheet), catalogue);
        let hypotheses = Hypotheses::of(&model, catalogue);
        let evidence = Evidence {
            hypotheses: &hypotheses,
            weights: &[],
            formed: &[],
            found: &[],
        };
        renewal_plan(&Predictor::new(&model), today, evidence, &[])
    });
}

/// The reference: one prediction of the same set with its bands, nothing learned before.
#[divan::bench(args = [LARKFIELD, MERROW], sample_count = 10)]
fn one_prediction(bencher: Bencher<'_, '_>, text: &str) {
    let catalogue = parts::catalogue().expect("sound figures");
    let sheet = sheet(text);
    let conditions = BenchConditions {
        bands: true,
        ..BenchConditions::default()
    };
    bencher.bench_local(|| {
        let model = SetModel::new(divan::black_box(&sheet), catalogue);
        Predictor::new(&model)
            .expect(&conditions)
            .map(|own| own.solved_states)
    });
}

/// Silicon for selenium with every remedy.
#[divan::bench(sample_count = 10)]
fn silicon(bencher: Bencher<'_, '_>) {
    let catalogue = parts::catalogue().expect("sound figures");
    let sheet = sheet(MERROW);
    bencher.bench_local(|| {
        let model = SetModel::new(divan::black_box(&sheet), catalogue);
        silicon_plans(&Predictor::new(&model), catalogue, 124.0).map(|own| own.len())
    });
}
