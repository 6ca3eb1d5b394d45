//! The report of a restoration with sixty photographs of a phone, from the command to the files.
//!
//! The figure to reach: at most 5 s in release, each file below 25 MiB. Measured is the program as a
//! restorer runs it: PDF, page of HTML and folder by themselves. The photographs are drawn here, 12
//! megapixels each, no two alike. Read beside it: the same with six.

use std::path::{Path, PathBuf};
use std::process::Command;

use benchwork::{
    EXAMPLE_SHEET, Entering, Fitted, NewReading, SheetFile, Stamp, add_photograph, record_fitted,
    record_reading, start_restoration,
};
use divan::Bencher;
use paper::Jpeg;

const MIB: u64 = 1 << 20;

fn main() {
    divan::main();
}

/// A photograph with edges, shades and grain, as a phone would make of a chassis.
fn photograph(seed: u32) -> Vec<u8> {
    let (width, height) = (4032_u32, 3024_u32);
    let mut grain = seed.wrapping_mul(747_796_405).wrapping_add(2_891_336_453);
    let mut pixels = Vec::with_capacity(3 * width as usize * height as usize);
    for y in 0..height {
        for x in 0..width {
            grain = grain.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let noise = (grain >> 28) as i32 - 8;
            let shade = 60 + ((x / 23 + y / 17 + seed * 5) % 130) as i32;
            let part = if (x / 211 + y / 173 + seed).is_multiple_of(3) {
                40
            } else {
                0
            };
            for tint in [0, 12, 30] {
                pixels.push((shade + part + noise - tint).clamp(0, 255) as u8);
            }
        }
    }
    let made = Jpeg::from_rgb(pixels, width, height, 88);
    made.expect("a picture").bytes
}

/// A restoration of the example set with so many photographs.
fn filled(photographs: u32) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.restoration");
    let entering = Entering::new(
        &file,
        Stamp::read("2026-11-29T08:49:51+01:00").expect("a time"),
    );
    let sheet = SheetFile::in_memory("larkfield.toml", EXAMPLE_SHEET);
    start_restoration(&entering, &sheet, None).expect("started");
    for (part, new) in [
        ("C12", "0.047 mfd"),
        ("C14", "0.1 mfd"),
        ("C20", "0.01 mfd"),
    ] {
        let fitted = Fitted {
            part: part.to_owned(),
            new: new.to_owned(),
            rating: "630 V".to_owned(),
            ..Fitted::default()
        };
        record_fitted(&entering, fitted).expect("recorded");
    }
    for (place, value) in [("B+ main", "318 V"), ("B+ 275", "270 V"), ("V9.6", "61 V")] {
        let reading = NewReading {
            place: place.to_owned(),
            value: value.to_owned(),
            ..NewReading::default()
        };
        record_reading(&entering, reading).expect("recorded");
    }
    let picture = folder.path().join("photograph.jpg");
    for number in 0..photographs {
        std::fs::write(&picture, photograph(number)).expect("written");
        let shows = format!("the chassis from below, part {number}");
        add_photograph(&entering, &picture, &shows, "").expect("added");
    }
    (folder, file)
}

fn run(file: &Path, option: &str, name: &Path) {
    let ended = Command::new(env!("CARGO_BIN_EXE_firstraster"))
        .arg("hand-on")
        .arg(file)
        .arg(option)
        .arg(name)
        .output()
        .expect("it runs");
    assert!(ended.status.success(), "{ended:?}");
}

#[divan::bench(args = [6, 60], sample_count = 5, sample_size = 1)]
fn report_as_pdf(bencher: Bencher<'_, '_>, photographs: u32) {
    measured(bencher, photographs, "--pdf", "report.pdf");
}

#[divan::bench(args = [6, 60], sample_count = 5, sample_size = 1)]
fn report_as_html(bencher: Bencher<'_, '_>, photographs: u32) {
    measured(bencher, photographs, "--html", "report.html");
}

fn measured(bencher: Bencher<'_, '_>, photographs: u32, option: &str, name: &str) {
    let (folder, file) = filled(photographs);
    let report = folder.path().join(name);
    bencher.bench_local(|| run(&file, option, &report));
    let size = std::fs::metadata(&report).expect("written").len();
    assert!(size < 25 * MIB, "{size} bytes");
    println!(
        "{photographs} photographs, {name}: {:.1} MiB",
        size as f64 / MIB as f64
    );
}
