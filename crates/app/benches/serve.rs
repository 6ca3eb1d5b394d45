//! The built program as the bench pages' server: from its start to the first page, each page over the wire, its memory.
//!
//! The figures to reach, with 5,000 facts and 300 photographs in the file: the first byte of the first page 150 ms after the
//! program is started; every page within 50 ms in 95 of 100; a reading judged within 200 ms where the set was
//! solved under its conditions before; at most 150 MB of memory (VmHWM of Linux) when every page was asked, with all that it works out
//! later, and two photographs of 12 million pixels came at once. The memory is told in a line of its own.

#[path = "../../pages/tests/asked/filled.rs"]
mod filled;
#[path = "../../pages/tests/asked/one_point.rs"]
mod one_point;
mod program;

use std::sync::OnceLock;

use benchwork::Stamp;
use divan::{Bencher, black_box};
use program::Program;

fn main() {
    if std::env::args().any(|argument| argument == "--bench") {
        tell_pages_and_memory();
    }
    divan::main();
}

/// The restoration, filled once.
fn file() -> &'static std::path::Path {
    static FOLDER: OnceLock<tempfile::TempDir> = OnceLock::new();
    static FILE: OnceLock<std::path::PathBuf> = OnceLock::new();
    FILE.get_or_init(|| {
        let folder = FOLDER.get_or_init(|| tempfile::tempdir().expect("a folder"));
        let file = folder.path().join("set.restoration");
        let at = Stamp::read("2026-11-30T10:00:00+01:00").expect("a time");
        filled::filled(&file, &at);
        file
    })
}

#[divan::bench(sample_count = 40, sample_size = 1)]
fn start_to_the_first_byte(bencher: Bencher<'_, '_>) {
    let file = file();
    // Ending the program is not in the figure.
    bencher.bench_local(|| {
        let program = Program::started(file);
        black_box(program.first_byte("/"));
        program
    });
}

/// Each page twenty times, then two large photographs at once; what took longest, and the memory.
fn tell_pages_and_memory() {
    let program = Program::started(file());
    let mut pages = filled::listed(&program.page("/all").text);
    pages.push("/all".to_owned());
    pages.extend(filled::SINGLE_PAGES.map(str::to_owned));
    let mut times = Vec::new();
    for at in &pages {
        for _ in 0..20 {
            times.push((program.page(at).seconds, at));
        }
    }
    times.sort_by(|one, other| one.0.total_cmp(&other.0));
    let (within, _) = times[times.len() * 95 / 100];
    let (longest, at) = times[times.len() - 1];
    println!(
        "{} pages, 20 times each: 95 of 100 within {:.1} ms, the longest {:.1} ms ({at})",
        pages.len(),
        within * 1e3,
        longest * 1e3
    );
    println!(
        "memory at most {} MB when every page was asked",
        program.most_memory()
    );
    program.send_at_once(&[program::photograph(1), program::photograph(2)]);
    println!(
        "memory at most {} MB with two photographs at once",
        program.most_memory()
    );
    program.sent("/readings/conditions", "line=117&back=/readings");
    let reading = "place=V9.5&what=dc_volts&value=135";
    let first = program.sent("/readings", reading);
    let mut times: Vec<f64> = (0..20)
        .map(|_| program.sent("/readings", reading))
        .collect();
    times.sort_by(f64::total_cmp);
    println!(
        "a reading judged: the first, for which the set is solved, {first:.1} s; then 95 of 100 within {:.0} ms",
        times[18] * 1e3
    );
    for at in &pages {
        let page = program.page(at).text;
        let later = page.split("data-later=\"").skip(1);
        for question in later.filter_map(|rest| rest.split('"').next()) {
            drop(program.page(&question.replace("&amp;", "&")));
        }
    }
    println!(
        "memory at most {} MB with all that pages work out later",
        program.most_memory()
    );
}
