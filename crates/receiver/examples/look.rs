//! Prints what is expected of a sheet; a look for developers.
use receiver::conditions::BenchConditions;
fn main() {
    let path = std::env::args().nth(1).expect("a sheet");
    let lamp: Vec<f64> = std::env::args()
        .nth(2)
        .and_then(|t| t.parse().ok())
        .filter(|w: &f64| *w > 0.0)
        .into_iter()
        .collect();
    let seconds = std::env::args()
        .nth(3)
        .and_then(|t| t.parse().ok())
        .filter(|s: &f64| *s > 0.0);
    let bands = std::env::args().nth(4).is_some();
    let bytes = std::fs::read(path).expect("readable");
    let catalogue = parts::catalogue().expect("data");
    let reading = receiver::sheet::read_sheet_bytes(&bytes, catalogue);
    let sheet = reading.sheet.expect("a sheet without fault");
    let t = std::time::Instant::now();
    let model = receiver::wiring::SetModel::new(&sheet, catalogue);
    println!("model {:?}", t.elapsed());
    let t = std::time::Instant::now();
    let predictor = receiver::expect::Predictor::new(&model);
    println!("predictor {:?}", t.elapsed());
    let conditions = BenchConditions {
        line_volts: Some(117.0),
        lamps: lamp,
        seconds,
        bands,
        ..Default::default()
    };
    for _ in 0..3 {
        let t = std::time::Instant::now();
        let found = predictor.expect(&conditions);
        println!("expect {:?}", t.elapsed());
        if let Err(e) = &found {
            println!("{e}");
        }
    }
    let found = predictor.expect(&conditions).expect("solved");
    for r in &found.readings {
        println!(
            "{:>16} {:<26} {:>9.3} {:>9.3} {:>9.3} {}",
            r.at,
            r.what.name(),
            r.band.low,
            r.band.expected,
            r.band.high,
            r.band
                .made_of
                .iter()
                .take(3)
                .map(|s| format!("{} {:.2}", s.cause, s.share))
                .collect::<Vec<_>>()
                .join(", ")
        );
    }
    for u in &found.unknown {
        println!("? {} {}: {}", u.at, u.what.name(), u.because);
    }
    for n in &found.notices {
        println!("! {} ({})", n.text, n.hint);
    }
    println!(
        "solved {} balance {:.2e}",
        found.solved_states, found.balance_amperes
    );
}
