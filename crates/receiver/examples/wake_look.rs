//! Prints the plan of a sheet; a look for developers.
fn main() {
    let path = std::env::args().nth(1).expect("a sheet");
    let bytes = std::fs::read(path).expect("readable");
    let catalogue = parts::catalogue().expect("data");
    let sheet = receiver::sheet::read_sheet_bytes(&bytes, catalogue)
        .sheet
        .expect("a sheet without fault");
    let began = std::time::Instant::now();
    let plan = receiver::plan::wake::wake(&sheet, catalogue, &mut |step| {
        println!(
            "\n== {}. {} [{:?}]\n{}",
            step.number,
            step.title,
            began.elapsed(),
            step.because
        );
        for a in &step.acts {
            println!("  - {a}");
        }
        for l in &step.live {
            println!("  live {l}");
        }
        for c in &step.charged {
            println!("  charged {c:?}");
        }
        for s in &step.stop_signs {
            println!("  sign {s}");
        }
        for s in &step.cautions {
            println!("  caution {s}");
        }
        println!("  {} readings {} stops", step.expect.len(), step.stop.len());
    });
    match plan {
        Ok(p) => {
            println!("{:?}", p.work);
            for u in p.unguarded {
                println!("unguarded {u:?}");
            }
            for n in p.notices {
                println!("! {} ({})", n.text, n.hint);
            }
        }
        Err(e) => println!("ERROR {e}"),
    }
}
