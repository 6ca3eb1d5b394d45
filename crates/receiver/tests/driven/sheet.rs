//! The whole transformer set with another horizontal oscillator: a cathode-coupled
//! multivibrator behind a phase discriminator, as `data/stages/horizontal-oscillator.toml` asks
//! for it.
//!
//! Values are those of that pattern's examples. Fails by panic where the set has no such row.

/// Rows of the blocking oscillator and its control stage that go.
const GO: [&str; 23] = [
    "C165", "T2C", "R180", "C166", "C167", "R181", "R182", "C168", "R183", "C169", "R184", "R81",
    "C170", "R185", "C171", "T7A", "T7B", "R186", "C172", "R187", "C173", "W30", "C52",
];

/// Rows that come.
const COME: &str = r#"
  ["T2C",  "coil",     "1 mH 4 ohm",       "flyback pulse", "chassis"],
  ["C165", "mica",     "82 mmf 500 V",     "V10.2",         "V23.7"],
  ["R180", "resistor", "100k 1/2 W 10%",   "flyback pulse", "sample"],
  ["C166", "ceramic",  "1000 mmf 500 V",   "sample",        "V23.1"],
  ["R181", "resistor", "10k 1/2 W 10%",    "V23.1",         "chassis"],
  ["W40",  "wire",     "",                 "V23.1",         "V23.2"],
  ["R182", "resistor", "100k 1/2 W 5%",    "V23.7",         "control"],
  ["R183", "resistor", "100k 1/2 W 5%",    "V23.5",         "control"],
  ["C167", "paper",    "0.005 mfd 400 V",  "control",       "chassis"],
  ["R184", "resistor", "8.2k 1/2 W 10%",   "control",       "anti-hunt"],
  ["C168", "paper",    "0.1 mfd 400 V",    "anti-hunt",     "chassis"],
  ["R185", "resistor", "1 meg 1/2 W 10%",  "control",       "V16.1"],
  ["W42",  "wire",     "",                 "V16.3",         "V16.6"],
  ["R186", "resistor", "1k 1/2 W 10%",     "V16.6",         "chassis"],
  ["R187", "resistor", "15k 1/2 W 10%",    "V16.2",         "stabilizer"],
  ["L40",  "coil",     "30 mH 60 ohm",     "stabilizer",    "B+ 275"],
  ["C169", "mica",     "3900 mmf 500 V",   "stabilizer",    "B+ 275"],
  ["C170", "mica",     "180 mmf 500 V",    "V16.2",         "V16.4"],
  ["R189", "resistor", "150k 1/2 W 10%",   "V16.4",         "hold"],
  ["R81",  "control",  "50k at 0.5",       "hold",          "chassis",  "chassis"],
  ["R190", "resistor", "100k 1/2 W 10%",   "V16.5",         "B+ 275"],
  ["C171", "mica",     "470 mmf 500 V",    "V16.5",         "drive peaking"],
  ["R191", "resistor", "5.6k 1/2 W 10%",   "drive peaking", "chassis"],
  ["C52",  "mica",     "390 mmf 500 V",    "V16.5",         "V17.5"],
"#;

/// The set with the multivibrator, without its chart.
pub fn multivibrator(text: &str) -> String {
    let mut kept: Vec<&str> = Vec::new();
    for line in text.lines() {
        let gone = |row: &str| line.trim_start().starts_with(&format!("[\"{row}\","));
        if !GO.iter().any(|row| gone(row)) {
            kept.push(line);
        }
    }
    let before = text.lines().count();
    assert_eq!(kept.len() + GO.len(), before, "a row is not there");
    let mut text = kept.join("\n");
    for (from, to) in [
        (
            "  # Horizontal output and damper. R73",
            format!("{COME}\n  # Horizontal output and damper. R73"),
        ),
        (
            "\"horizontal control and oscillator\"",
            "\"horizontal oscillator\"".to_string(),
        ),
        (
            "  [\"V22\", \"6AU6\",    \"sound limiter\"],",
            "  [\"V22\", \"6AU6\",    \"sound limiter\"],\n  [\"V23\", \"6AL5\", \"phase discriminator\"],".to_string(),
        ),
        ("\"V21\", \"V22\",\n", "\"V21\", \"V22\", \"V23\",\n".to_string()),
    ] {
        assert_eq!(text.matches(from).count(), 1, "{from}");
        text = text.replace(from, &to);
    }
    let start = text.find("[chart]").expect("a chart");
    let end = text.find("[bench]").expect("a bench");
    format!("{}{}", &text[..start], &text[end..])
}

/// The same without the stabilizing coil and its capacitor.
pub fn without_coil(text: &str) -> String {
    text.lines()
        .filter(|line| {
            !["[\"L40\",", "[\"C169\","]
                .iter()
                .any(|row| line.trim_start().starts_with(row))
        })
        .map(|line| match line.trim_start().starts_with("[\"R187\",") {
            true => line.replace("\"stabilizer\"", "\"B+ 275\""),
            false => line.to_string(),
        })
        .collect::<Vec<_>>()
        .join("\n")
}
