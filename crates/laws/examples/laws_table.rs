//! Shows the law of each type of the catalogue, or of those named: `cargo run -p laws
//! --example laws_table -- 12AX7`. One line for each section: kind, points, constants, the
//! left-over of each figure in percent.
fn main() {
    let Ok(catalogue) = parts::catalogue() else {
        eprintln!("the tables are at fault; run the tests of parts");
        return;
    };
    let wanted: Vec<String> = std::env::args().skip(1).collect();
    for tube in catalogue.tubes() {
        if !wanted.is_empty() && !wanted.contains(&tube.name) {
            continue;
        }
        for section in laws::fit_tube(tube).iter().filter(|law| law.unit == 0) {
            print!("{} {} ", tube.name, section.section);
            match (&section.law, section.because()) {
                (Some(law), _) => println!("{:?}", law),
                (None, because) => println!("no law: {}", because.unwrap_or_default()),
            }
            print!(
                "    {} points, doubt {:.2}:",
                section.fit.points, section.model_error
            );
            for left in &section.fit.left_over {
                print!(
                    " {}{:?} {:+.0}%",
                    left.point,
                    left.figure,
                    100.0 * left.error()
                );
            }
            println!();
        }
    }
}
