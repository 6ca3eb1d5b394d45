//! What is handed on: the report read back by other readers, and labels.
//!
//! Expected are the facts that went in, and nothing that was undone.

use std::fs;
use std::path::Path;

use lopdf::Document;
use paper::Jpeg;
use serde_json::Value;

use crate::program::{AT, LARKFIELD, Outcome, check, json, page};

/// A restoration with a bit of everything in a folder of its own.
pub struct Bench {
    pub folder: tempfile::TempDir,
    pub file: String,
}

impl Bench {
    pub fn new() -> Result<Bench, Box<dyn std::error::Error>> {
        let folder = tempfile::tempdir()?;
        let file = path(folder.path(), "a.restoration");
        let bench = Bench { folder, file };
        bench.entered("start", &[LARKFIELD])?;
        Ok(bench)
    }

    pub fn entered(&self, command: &str, arguments: &[&str]) -> Outcome {
        page(&[&[command, self.file.as_str()], arguments, &AT].concat())?;
        Ok(())
    }

    /// Everything that a report may tell.
    pub fn filled(&self) -> Outcome {
        self.entered("see", &["cord", "cracked, replaced"])?;
        self.entered("reading", &["V9.6", "61 V", "--line", "117"])?;
        self.entered(
            "fit",
            &[
                "C12",
                "0.047 mfd",
                "--old",
                ".05 mfd 600 V, waxed",
                "--rating",
                "630 V",
            ],
        )?;
        self.entered("fit", &["C12", "0.1 mfd", "--note", "the wrong one"])?;
        self.entered("undo", &["5"])?;
        self.entered("fit", &["R31", "100"])?;
        self.entered("reading", &["V9.6", "118 V", "--line", "117"])?;
        self.entered("reading", &["B+ main", "190 V"])?;
        self.entered("reading", &["B+ 275", "270 V", "--lamp", "100"])?;
        self.entered("correct", &["9", "value = 195 V"])?;
        self.entered(
            "decide",
            &["leave the mica alone", "--because", "none was bad"],
        )?;
        self.entered("change", &["C40", "--is", "put back"])?;
        self.entered(
            "test",
            &["V9", "--percent", "45", "--tester", "emission tester"],
        )?;
        self.entered("picture", &["heater", "--cold", "1.5 ohm"])?;
        for number in 0..3 {
            self.photograph(number, 300, 200, "below the chassis <left> & more")?;
        }
        Ok(())
    }

    pub fn photograph(&self, seed: u32, width: u32, height: u32, shows: &str) -> Outcome {
        let picture = self.folder.path().join(format!("p{seed}.jpg"));
        fs::write(&picture, photograph(seed, width, height)?)?;
        let picture = picture.display().to_string();
        self.entered("photo", &[&picture, "--shows", shows])
    }

    pub fn path(&self, name: &str) -> String {
        path(self.folder.path(), name)
    }

    pub fn hand_on(&self, arguments: &[&str]) -> Result<String, Box<dyn std::error::Error>> {
        page(&[&["hand-on", self.file.as_str()], arguments, &AT].concat())
    }
}

fn path(folder: &Path, name: &str) -> String {
    folder.join(name).display().to_string()
}

/// A photograph of nothing, the same every time.
pub fn photograph(
    seed: u32,
    width: u32,
    height: u32,
) -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let mut state = seed + 1;
    let pixels = (0..3 * width * height)
        .map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 24) as u8
        })
        .collect();
    Ok(Jpeg::from_rgb(pixels, width, height, 85)?.bytes)
}

fn images(pdf: &Document) -> usize {
    let is_image = |object: &lopdf::Object| {
        let stream = object.as_stream().ok()?;
        let kind = stream
            .dict
            .get(b"Subtype")
            .and_then(lopdf::Object::as_name)
            .ok()?;
        (kind == b"Image").then_some(())
    };
    pdf.objects.values().filter_map(is_image).count()
}

fn text_of(pdf: &Document) -> Result<String, lopdf::Error> {
    let pages: Vec<u32> = pdf.get_pages().keys().copied().collect();
    Ok(pdf.extract_text(&pages)?.replace('\n', " "))
}

#[test]
fn the_report_tells_everything_that_stands_and_nothing_that_was_undone() -> Outcome {
    let bench = Bench::new()?;
    bench.filled()?;
    let (pdf_path, html_path) = (bench.path("r.pdf"), bench.path("r.html"));
    let said = bench.hand_on(&[
        "--pdf",
        &pdf_path,
        "--html",
        &html_path,
        "--by",
        "A. Restorer",
    ])?;
    assert!(
        said.contains("r.pdf:") && said.contains("one page"),
        "{said}"
    );
    let pdf = Document::load(&pdf_path)?;
    let text = text_of(&pdf)?;
    let html = fs::read_to_string(&html_path)?;
    assert_eq!(images(&pdf), 3);
    assert_eq!(html.matches("data:image/jpeg").count(), 3);
    for wanted in [
        "Larkfield 12T",
        "A. Restorer",
        "this set can kill",
        "Nothing of a safety proof is written down",
        "0.047 mfd, 630 V",
        "195 V",
        "leave the mica alone",
        "not touched in this restoration",
    ] {
        let both = [text.to_lowercase(), html.to_lowercase()];
        let wanted = wanted.to_lowercase();
        assert!(
            both.iter().all(|own| own.contains(&wanted)),
            "{wanted}: {text}"
        );
    }
    // The undone entry and the value before the correction are told nowhere.
    for gone in ["the wrong one", "190 V"] {
        assert!(!text.contains(gone) && !html.contains(gone), "{gone}");
    }
    assert!(html.contains("below the chassis &lt;left&gt; &amp; more"));
    Ok(())
}

#[test]
fn the_answer_for_scripts_parts_what_is_known_from_what_is_not() -> Outcome {
    let bench = Bench::new()?;
    bench.filled()?;
    let (status, answer) = json(&["hand-on", &bench.file, AT[0], AT[1]])?;
    assert_eq!(status, 0);
    assert_eq!(answer["cover"]["restored_by"], Value::Null);
    assert_eq!(answer["safety"]["written_down"], false);
    let list = |key: &str| answer[key].as_array().cloned().unwrap_or_default();
    let lacks = list("not_written_down");
    assert!(
        lacks.iter().any(|own| own == "who restored it"),
        "{lacks:?}"
    );
    // One row a part that stands; what only the sheet says has no day.
    let replaced = list("replaced");
    let part = |name: &str| replaced.iter().find(|own| own["part"] == name);
    assert_eq!(part("C12").ok_or("C12")?["old"], ".05 mfd 600 V, waxed");
    assert_eq!(part("C1A").ok_or("C1A")?["at"], Value::Null);
    assert_eq!(
        replaced.iter().filter(|own| own["part"] == "C12").count(),
        1
    );
    // Fitted, so no longer original; untouched parts are not called original.
    let names = |list: &Value| -> Vec<String> {
        let list = list.as_array().cloned().unwrap_or_default();
        list.iter()
            .filter_map(|own| own["part"].as_str().map(str::to_owned))
            .collect()
    };
    let original = names(&answer["original"]["known"]);
    assert!(
        original.contains(&"R30".to_owned()) && !original.contains(&"R31".to_owned()),
        "{original:?}"
    );
    let untouched = names(&answer["original"]["not_touched"]);
    for seen_to in ["R30", "R31", "C12", "C40", "C1A"] {
        assert!(!untouched.contains(&seen_to.to_owned()), "{seen_to}");
    }
    assert!(untouched.contains(&"V5".to_owned()));
    // Read again after the change: as left, with the reading before beside it.
    let rows = answer["chart"]["rows"]
        .as_array()
        .cloned()
        .unwrap_or_default();
    let row = |at: &str| {
        rows.iter()
            .find(|own| own["at"] == at && own["what"] == "dc_volts")
    };
    let left = row("V9.6").ok_or("V9.6")?;
    assert_eq!(
        (left["typed"].as_str(), left["read"].as_f64()),
        (Some("118 V"), Some(118.0))
    );
    assert_eq!(row("B+ main").ok_or("B+ main")?["verdict"], "low");
    // Behind a lamp nothing counts as left.
    assert!(row("B+ 275").is_none_or(|own| own["read"].is_null()));
    let both = list("before_and_after");
    assert_eq!(both[0]["before"], "61 V");
    assert_eq!(both[0]["after"], "118 V");
    assert!(
        both[0]["between"]
            .as_str()
            .is_some_and(|own| own.contains("R31") || own.contains("C12"))
    );
    let watch = list("watch");
    let kinds: Vec<&str> = watch
        .iter()
        .filter_map(|own| own["kind"].as_str())
        .collect();
    for kind in ["outside", "weak", "as_found"] {
        assert!(kinds.contains(&kind), "{kind}: {kinds:?}");
    }
    let cautions = list("cautions");
    assert_eq!(cautions[0]["id"], "charged-electrolytics");
    assert_eq!(answer["left_out"], 3);
    Ok(())
}

#[test]
fn a_report_with_sixty_photographs_stays_small() -> Outcome {
    let bench = Bench::new()?;
    for seed in 0..60 {
        bench.photograph(seed, 320, 240, "noise, the hardest to make small")?;
    }
    let (pdf, html) = (bench.path("r.pdf"), bench.path("r.html"));
    bench.hand_on(&["--pdf", &pdf, "--html", &html])?;
    assert_eq!(images(&Document::load(&pdf)?), 60);
    for file in [pdf, html] {
        let size = fs::metadata(file)?.len();
        assert!(size < 25 << 20, "{size}");
    }
    Ok(())
}

/// Overwrites the beginning of every JPEG in a file.
fn spoil_photographs(file: &str) -> std::io::Result<usize> {
    let mut bytes = fs::read(file)?;
    let begins: Vec<usize> = bytes
        .windows(4)
        .enumerate()
        .filter(|(_, four)| *four == [0xff, 0xd8, 0xff, 0xe0])
        .map(|(at, _)| at)
        .collect();
    for at in &begins {
        bytes[*at..at + 4].fill(0);
    }
    fs::write(file, bytes)?;
    Ok(begins.len())
}

#[test]
fn a_spoilt_photograph_leaves_its_words_and_stops_no_report() -> Outcome {
    let bench = Bench::new()?;
    bench.photograph(1, 200, 150, "the flyback")?;
    // The original and the picture for show.
    assert_eq!(spoil_photographs(&bench.file)?, 2);
    let (pdf, html) = (bench.path("r.pdf"), bench.path("r.html"));
    let said = bench.hand_on(&["--pdf", &pdf, "--html", &html])?;
    assert!(said.contains("cannot be shown: 1"), "{said}");
    let pdf = Document::load(&pdf)?;
    assert_eq!(images(&pdf), 0);
    for text in [text_of(&pdf)?, fs::read_to_string(&html)?] {
        assert!(
            text.contains("The flyback") && text.contains("cannot be shown"),
            "{text}"
        );
    }
    // The folder promises the original; it is not made without it.
    let folder = bench.path("keeps");
    check(&["hand-on", &bench.file, "--folder", &folder], 1, "damaged")?;
    assert!(!Path::new(&folder).exists());
    Ok(())
}

/// A slip in the name of what is written takes no restoration, sheet or photograph away.
#[test]
fn a_report_takes_the_place_of_an_earlier_one_only() -> Outcome {
    let bench = Bench::new()?;
    bench.filled()?;
    let sheet = bench.path("a.toml");
    fs::write(&sheet, "sheet = 1\n")?;
    let story = json(&["story", &bench.file])?;
    for kept in [&bench.file, &sheet] {
        for (command, into) in [
            ("hand-on", "--pdf"),
            ("hand-on", "--html"),
            ("labels", "--pdf"),
        ] {
            let line = [command, &bench.file, into, kept, AT[0], AT[1]];
            check(&line, 1, "of another kind")?;
            // A restoration keeps beside its entries what was worked out of them: its bytes may be others.
            assert_eq!(json(&["story", &bench.file])?, story, "{command} {into}");
            assert_eq!(fs::read_to_string(&sheet)?, "sheet = 1\n");
        }
    }
    let pdf = bench.path("r.pdf");
    bench.hand_on(&["--pdf", &pdf])?;
    let first = fs::read(&pdf)?;
    page(&["labels", &bench.file, "--pdf", &pdf, AT[0], AT[1]])?;
    assert_ne!(fs::read(&pdf)?, first);
    Ok(())
}

#[test]
fn labels_come_for_all_parts_or_for_those_that_are_named() -> Outcome {
    let bench = Bench::new()?;
    bench.filled()?;
    let pdf = bench.path("l.pdf");
    let said = page(&["labels", &bench.file, "--pdf", &pdf, AT[0], AT[1]])?;
    assert!(
        said.contains("24 to a sheet") && said.contains("full size"),
        "{said}"
    );
    let text = text_of(&Document::load(&pdf)?)?;
    for wanted in [
        "C12",
        "R31",
        "C1A",
        ".05 mfd 600 V, waxed",
        "0.047 mfd, 630 V",
        "2026-11-29",
        "not written down",
    ] {
        assert!(text.contains(wanted), "{wanted}: {text}");
    }
    let (_, answer) = json(&["labels", &bench.file, "c12"])?;
    assert_eq!(answer["labels"].as_array().map(Vec::len), Some(1));
    assert_eq!(answer["labels"][0]["set"], "Larkfield 12T");
    check(
        &["labels", &bench.file, "C13", "V99"],
        1,
        "`V99` was not replaced",
    )?;
    Ok(())
}

#[test]
fn the_check_list_stands_in_the_report_with_what_is_open_and_failed() -> Outcome {
    let bench = Bench::new()?;
    bench.entered("decide", &["begin"])?;
    let (_, before) = json(&["hand-on", &bench.file])?;
    assert_eq!(before["safety"]["proof"], Value::Null);
    let by = ["--by", "R. Miller"];
    bench.entered("prove", &[&["enter", "cord", "yes"][..], &by].concat())?;
    bench.entered(
        "prove",
        &[
            &["enter", "cold-check", "20k", "--point", "knob shafts"][..],
            &by,
        ]
        .concat(),
    )?;
    let (pdf, html) = (bench.path("r.pdf"), bench.path("r.html"));
    bench.hand_on(&["--pdf", &pdf, "--html", &html])?;
    let (_, answer) = json(&["hand-on", &bench.file])?;
    assert_eq!(answer["safety"]["written_down"], true);
    let items = answer["safety"]["proof"]["items"]
        .as_array()
        .cloned()
        .unwrap_or_default();
    let state = |key: &str| {
        items
            .iter()
            .find(|own| own["key"] == key)
            .map(|own| own["state"].clone())
    };
    assert_eq!(state("cord"), Some("met".into()));
    assert_eq!(state("cold-check"), Some("failed".into()));
    let watch = answer["watch"].as_array().cloned().unwrap_or_default();
    assert_eq!(watch[0]["kind"], "proof");
    for text in [text_of(&Document::load(&pdf)?)?, fs::read_to_string(&html)?] {
        for wanted in [
            "Not everything is proven",
            "Beyond its figure",
            "R. Miller",
            "20k",
            "not signed",
        ] {
            assert!(text.contains(wanted), "{wanted}: {text}");
        }
        assert!(
            !text.contains("is safe to"),
            "no report says that a set is safe"
        );
    }
    Ok(())
}
