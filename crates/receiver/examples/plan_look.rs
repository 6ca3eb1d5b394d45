//! Prints the energised steps of a sheet; a look for developers.
fn main() {
    let path = std::env::args().nth(1).expect("a sheet");
    let bytes = std::fs::read(path).expect("readable");
    let catalogue = parts::catalogue().expect("data");
    let sheet = receiver::sheet::read_sheet_bytes(&bytes, catalogue)
        .sheet
        .expect("a sheet without fault");
    let began = std::time::Instant::now();
    let model = receiver::wiring::SetModel::new(&sheet, catalogue);
    let predictor = receiver::expect::Predictor::new(&model);
    let bench = receiver::plan::bench_facts::bench_facts(&model);
    let faults = receiver::plan::faults::likely_faults(&model);
    println!(
        "{} faults, supplies {:?}",
        faults.len(),
        model
            .supply_places()
            .iter()
            .map(|&j| model.junction_name(j))
            .collect::<Vec<_>>()
    );
    let mut work = Default::default();
    let all = receiver::plan::powered::powered_steps(
        &predictor,
        &bench,
        &faults,
        &mut work,
        &mut |step| {
            println!(
                "== {:?} {:?} at {:?} pulled {:?} open {:?}: {:?}",
                step.stage,
                step.conditions.lamps,
                step.conditions.line_volts,
                step.conditions.pulled.len(),
                step.conditions.open,
                began.elapsed()
            );
        },
    );
    match all {
        Err(e) => println!("{e}"),
        Ok(all) => {
            println!("{:?} work {work:?}", began.elapsed());
            println!(
                "sweep {:?} highest {} dc {} va {} {:?}",
                all.sweep_opening,
                all.highest_line,
                all.direct_line_amperes,
                all.volt_amperes,
                all.notices
            );
            for s in &all.steps {
                println!(
                    "\n== {:?} lamp {:?} line {:?} wait {}\n{}",
                    s.stage, s.conditions.lamps, s.conditions.line_volts, s.wait_seconds, s.because
                );
                for r in &s.expect {
                    println!(
                        "  {:>12} {:<26} {:>8.2} {:>8.2} {:>8.2}",
                        r.at,
                        r.what.name(),
                        r.band.low,
                        r.band.expected,
                        r.band.high
                    );
                }
                for r in &s.limits.rules {
                    println!(
                        "  STOP {} {} {:?} after {} s tells {:?} cannot {}",
                        r.at,
                        r.what.name(),
                        r.limit,
                        r.after_seconds,
                        r.tells,
                        r.cannot_tell.len()
                    );
                }
                for (f, w) in &s.limits.untold {
                    println!("  untold {}: {w}", faults[*f].name);
                }
                println!("  idle {}", s.limits.idle.len());
                for st in s.strains.iter().take(4) {
                    println!("  strain {:.2} {}", st.share, st.words());
                }
            }
        }
    }
}
