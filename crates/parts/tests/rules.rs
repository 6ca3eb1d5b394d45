//! The rules of `data/README.md`, one test each, read from the tables as text
//! so that the reader in the crate is checked as well.

use std::collections::HashSet;

type Row = Vec<(String, String)>;

const TABLES: [(&str, &str); 23] = [
    ("aliases.csv", include_str!("../../../data/aliases.csv")),
    ("bases.csv", include_str!("../../../data/bases.csv")),
    ("checks.csv", include_str!("../../../data/checks.csv")),
    ("efforts.csv", include_str!("../../../data/efforts.csv")),
    (
        "worth_figures.csv",
        include_str!("../../../data/worth_figures.csv"),
    ),
    (
        "worth_tests.csv",
        include_str!("../../../data/worth_tests.csv"),
    ),
    (
        "todays_parts.csv",
        include_str!("../../../data/todays_parts.csv"),
    ),
    (
        "resistor_volts.csv",
        include_str!("../../../data/resistor_volts.csv"),
    ),
    (
        "ripple_ratings.csv",
        include_str!("../../../data/ripple_ratings.csv"),
    ),
    ("lamps.csv", include_str!("../../../data/lamps.csv")),
    (
        "metal_rectifiers_selenium.csv",
        include_str!("../../../data/metal_rectifiers_selenium.csv"),
    ),
    (
        "metal_rectifiers_silicon.csv",
        include_str!("../../../data/metal_rectifiers_silicon.csv"),
    ),
    (
        "neon_lamps.csv",
        include_str!("../../../data/neon_lamps.csv"),
    ),
    (
        "small_diodes.csv",
        include_str!("../../../data/small_diodes.csv"),
    ),
    (
        "part_faults.csv",
        include_str!("../../../data/part_faults.csv"),
    ),
    (
        "parts_trade.csv",
        include_str!("../../../data/parts_trade.csv"),
    ),
    (
        "picture_tubes.csv",
        include_str!("../../../data/picture_tubes.csv"),
    ),
    (
        "replacement_rules.csv",
        include_str!("../../../data/replacement_rules.csv"),
    ),
    (
        "thermistors.csv",
        include_str!("../../../data/thermistors.csv"),
    ),
    (
        "things_to_see.csv",
        include_str!("../../../data/things_to_see.csv"),
    ),
    (
        "trade_numbers.csv",
        include_str!("../../../data/trade_numbers.csv"),
    ),
    ("tubes.csv", include_str!("../../../data/tubes.csv")),
    ("tungsten.csv", include_str!("../../../data/tungsten.csv")),
];

const SOURCES: &str = include_str!("../../../data/sources.csv");
const README: &str = include_str!("../../../data/README.md");

fn rows_of(text: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headings = reader.headers().expect("headings").clone();
    reader
        .records()
        .map(|record| {
            let record = record.expect("a sound row");
            headings
                .iter()
                .zip(record.iter())
                .map(|(h, c)| (h.to_string(), c.trim().to_string()))
                .collect()
        })
        .collect()
}

fn table(name: &str) -> Vec<Row> {
    let text = TABLES
        .iter()
        .find(|(file, _)| *file == name)
        .expect("a table")
        .1;
    rows_of(text)
}

fn cell<'a>(row: &'a Row, column: &str) -> &'a str {
    row.iter()
        .find(|(heading, _)| heading == column)
        .map_or("", |(_, cell)| cell)
}

fn number(row: &Row, column: &str) -> Option<f64> {
    cell(row, column).parse().ok()
}

fn label(row: &Row) -> String {
    row.iter()
        .take(2)
        .map(|(_, cell)| cell.as_str())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Fails with all complaints at once; also if nothing was looked at.
fn none(looked_at: usize, complaints: Vec<String>) {
    assert!(looked_at > 0, "the rule looked at nothing");
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

/// The number before the first letter of a type.
fn leading_number(name: &str) -> Option<f64> {
    let end = name.find(|c: char| !c.is_ascii_digit())?;
    name[..end].parse().ok()
}

fn is_true_of_all(rows: &[Row], rule: impl Fn(&Row) -> Result<(), String>) {
    let complaints = rows
        .iter()
        .filter_map(|row| {
            rule(row)
                .err()
                .map(|text| format!("{}: {text}", label(row)))
        })
        .collect();
    none(rows.len(), complaints);
}

#[test]
fn rule_1_every_row_has_source_and_standing() {
    let words = [
        "published",
        "measured",
        "closed form",
        "computed",
        "common practice",
        "mixed",
        "memory",
        "estimated",
    ];
    for word in words {
        assert!(
            README.contains(&format!("| {word} |")),
            "README explains {word}"
        );
    }
    for (file, text) in TABLES {
        is_true_of_all(&rows_of(text), |row| {
            let sourced = !cell(row, "source").is_empty();
            let stands = words.contains(&cell(row, "standing"));
            if sourced && stands {
                Ok(())
            } else {
                Err(format!("{file} lacks source or standing"))
            }
        });
    }
}

#[test]
fn rule_2_every_source_is_known_and_none_is_idle() {
    let marks: Vec<String> = rows_of(SOURCES)
        .iter()
        .map(|row| cell(row, "mark").to_string())
        .collect();
    let mut used = HashSet::new();
    let mut complaints = Vec::new();
    for (file, text) in TABLES {
        for row in rows_of(text) {
            let found: Vec<&String> = marks
                .iter()
                .filter(|mark| cell(&row, "source").contains(*mark))
                .collect();
            let by_arithmetic = ["closed form", "computed"].contains(&cell(&row, "standing"));
            if found.is_empty() && !by_arithmetic {
                complaints.push(format!("{file} {}: {}", label(&row), cell(&row, "source")));
            }
            used.extend(found.into_iter().cloned());
        }
    }
    complaints.extend(
        marks
            .iter()
            .filter(|mark| !used.contains(*mark))
            .map(|mark| format!("idle: {mark}")),
    );
    none(marks.len(), complaints);
}

#[test]
fn rule_3_no_row_comes_twice() {
    let keys: [(&str, &[&str]); 22] = [
        ("aliases.csv", &["alias"]),
        ("bases.csv", &["base"]),
        ("checks.csv", &["id"]),
        ("efforts.csv", &["measurement"]),
        ("worth_figures.csv", &["name"]),
        ("worth_tests.csv", &["test"]),
        ("todays_parts.csv", &["kind"]),
        ("resistor_volts.csv", &["watts"]),
        ("ripple_ratings.csv", &["mfd", "volts"]),
        ("lamps.csv", &["part"]),
        ("metal_rectifiers_selenium.csv", &["part"]),
        ("metal_rectifiers_silicon.csv", &["part"]),
        ("neon_lamps.csv", &["part"]),
        ("small_diodes.csv", &["part"]),
        ("part_faults.csv", &["part_kind", "fault"]),
        ("parts_trade.csv", &["part"]),
        ("picture_tubes.csv", &["type"]),
        ("replacement_rules.csv", &["part"]),
        ("thermistors.csv", &["part"]),
        ("trade_numbers.csv", &["name"]),
        ("tubes.csv", &["type", "section"]),
        ("tungsten.csv", &["kelvin"]),
    ];
    for (file, columns) in keys {
        let mut seen = HashSet::new();
        is_true_of_all(&table(file), |row| {
            let key: Vec<&str> = columns.iter().map(|column| cell(row, column)).collect();
            if key.iter().any(|part| part.is_empty()) {
                return Err(format!("{file}: the key is empty"));
            }
            Ok(())
        });
        for row in table(file) {
            let key: Vec<String> = columns
                .iter()
                .map(|c| cell(&row, c).to_lowercase())
                .collect();
            assert!(seen.insert(key), "{file}: {} comes twice", label(&row));
        }
    }
}

#[test]
fn rule_4_every_figure_is_within_its_range() {
    // The reader holds the ranges; a fault of any kind shows here.
    if let Err(faults) = parts::catalogue() {
        let text: Vec<String> = faults.iter().map(ToString::to_string).collect();
        panic!("{}", text.join("\n"));
    }
    // The sections of all rows together, counted apart from the reader.
    let sections = table("tubes.csv")
        .iter()
        .filter(|row| !cell(row, "section").contains("/op"))
        .count();
    let read: usize = parts::catalogue()
        .map(|catalogue| {
            catalogue
                .tubes()
                .filter(|t| t.derived_from.is_none())
                .map(|t| t.sections.len())
                .sum()
        })
        .unwrap_or_default();
    assert_eq!(read, sections);
}

#[test]
fn rule_5_what_was_read_is_there() {
    for (file, text) in TABLES {
        let rows = rows_of(text);
        if rows.iter().all(|row| cell(row, "read_fields").is_empty()) {
            continue;
        }
        is_true_of_all(&rows, |row| {
            for column in ["read_fields", "doubt_fields"] {
                for field in cell(row, column)
                    .split(';')
                    .map(str::trim)
                    .filter(|f| !f.is_empty())
                {
                    if !row.iter().any(|(heading, _)| heading == field) {
                        return Err(format!("{file}: {field} is no column"));
                    }
                    if column == "read_fields" && cell(row, field).is_empty() {
                        return Err(format!("{file}: {field} was read but is empty"));
                    }
                }
            }
            Ok(())
        });
    }
}

#[test]
fn rule_6_every_receiving_tube_has_base_and_heater() {
    is_true_of_all(&table("tubes.csv"), |row| {
        for column in ["base", "heater_v", "heater_a", "heating"] {
            if cell(row, column).is_empty() {
                return Err(format!("{column} is empty"));
            }
        }
        let watts = number(row, "heater_v").unwrap_or(0.0) * number(row, "heater_a").unwrap_or(0.0);
        if (0.1..=40.0).contains(&watts) {
            Ok(())
        } else {
            Err(format!("{watts} W"))
        }
    });
}

#[test]
fn rule_7_the_type_number_tells_heater_volts_or_inches() {
    is_true_of_all(&table("tubes.csv"), |row| {
        let (Some(lead), Some(volts)) =
            (leading_number(cell(row, "type")), number(row, "heater_v"))
        else {
            return Err("no number to compare".into());
        };
        if (lead - volts).abs() <= 1.0 {
            Ok(())
        } else {
            Err(format!("{volts} V"))
        }
    });
    is_true_of_all(&table("picture_tubes.csv"), |row| {
        let Some(inches) = number(row, "diagonal_or_diameter_in") else {
            return Ok(());
        };
        let lead = leading_number(cell(row, "type")).ok_or("no number")?;
        if (lead - inches).abs() <= 0.6 {
            Ok(())
        } else {
            Err(format!("{inches} in"))
        }
    });
}

#[test]
fn rule_8_pins_are_on_the_base_and_the_heater_has_two_ends() {
    let bases = table("bases.csv");
    let rows: Vec<Row> = [table("tubes.csv"), table("picture_tubes.csv")].concat();
    is_true_of_all(&rows, |row| {
        if cell(row, "pins").is_empty() {
            return Ok(());
        }
        let base = bases
            .iter()
            .find(|base| cell(base, "base") == cell(row, "base"))
            .ok_or(format!(
                "pins without a known base \"{}\"",
                cell(row, "base")
            ))?;
        let count = number(base, "pin_count").ok_or("no pin count")?;
        let mut ends = 0;
        for entry in cell(row, "pins").split_whitespace() {
            let (pin, elements) = entry.split_once(':').ok_or("no colon")?;
            let number = pin.parse::<f64>().unwrap_or(1.0);
            if !(1.0..=count).contains(&number) {
                return Err(format!("pin {pin}"));
            }
            ends += usize::from(
                elements
                    .split('+')
                    .any(|e| e == "heater" || e == "filament"),
            );
        }
        let filament = cell(row, "pins").contains("filament");
        if ends != 2 {
            return Err(format!("{ends} heater ends"));
        }
        if filament && cell(row, "heating") != "direct" {
            return Err("a filament, but not direct".into());
        }
        Ok(())
    });
}

#[test]
fn rule_9_power_rectifiers_have_drop_and_ratings() {
    let rows: Vec<Row> = table("tubes.csv")
        .into_iter()
        .filter(|row| ["rectifier", "damper", "hv-rectifier"].contains(&cell(row, "kind")))
        .collect();
    is_true_of_all(&rows, |row| {
        let needed = [
            "drop_v_at",
            "drop_ma_at",
            "max_piv_v",
            "max_dc_ma",
            "max_peak_ma",
        ];
        if cell(row, "kind") == "rectifier" {
            match needed.iter().find(|column| cell(row, column).is_empty()) {
                Some(column) => Err(format!("{column} is empty")),
                None => Ok(()),
            }
        } else if cell(row, "drop_v_at").is_empty()
            && !cell(row, "doubt_fields").contains("drop_v_at")
        {
            Err("no drop and no word about it".into())
        } else {
            Ok(())
        }
    });
}

#[test]
fn rule_10_electrical_twins_agree() {
    let rows = table("tubes.csv");
    let mut twins = 0;
    let mut complaints = Vec::new();
    for row in &rows {
        let Some(rest) = cell(row, "notes").strip_prefix("electrically ") else {
            continue;
        };
        let other = rest.split([' ', ';']).next().unwrap_or_default();
        let Some(twin) = rows.iter().find(|twin| {
            cell(twin, "type") == other && cell(twin, "section") == cell(row, "section")
        }) else {
            complaints.push(format!("{}: no row of {other}", label(row)));
            continue;
        };
        twins += 1;
        let own = [
            "type",
            "heater_v",
            "heater_a",
            "warmup_s",
            "source",
            "standing",
            "read_fields",
            "doubt_fields",
            "notes",
        ];
        for (column, value) in row {
            if !own.contains(&column.as_str()) && value != cell(twin, column) {
                complaints.push(format!("{} {column}: {value}", label(row)));
            }
        }
        let watts = |row: &Row| {
            number(row, "heater_v").unwrap_or(0.0) * number(row, "heater_a").unwrap_or(0.0)
        };
        let ratio = watts(row) / watts(twin);
        if (ratio - 1.0).abs() > 0.06 && !rest.contains("but for the heater") {
            complaints.push(format!("{}: heater watts {ratio:.2} times", label(row)));
        }
    }
    none(twins, complaints);
}

#[test]
fn rule_11_mu_is_transconductance_times_plate_resistance() {
    let rows: Vec<Row> = table("tubes.csv")
        .into_iter()
        .filter(|row| {
            ["typ_mu", "typ_gm_umho", "typ_rp_ohm"]
                .iter()
                .all(|column| number(row, column).is_some())
        })
        .collect();
    is_true_of_all(&rows, |row| {
        let figure = |column| number(row, column).unwrap_or(f64::NAN);
        let product = figure("typ_gm_umho") * 1e-6 * figure("typ_rp_ohm");
        let off = product / figure("typ_mu") - 1.0;
        if off.abs() <= 0.08 {
            Ok(())
        } else {
            Err(format!("{product:.1} against mu {}", figure("typ_mu")))
        }
    });
}

#[test]
fn rule_12_contacts_of_picture_tubes_fit_their_make() {
    let rows: Vec<Row> = table("picture_tubes.csv")
        .into_iter()
        .filter(|row| !cell(row, "pins").is_empty())
        .collect();
    is_true_of_all(&rows, |row| {
        let pins = cell(row, "pins");
        if (cell(row, "envelope") == "metal") != pins.contains("lip:") {
            return Err("metal and lip do not go together".into());
        }
        if cell(row, "focus").starts_with("electrostatic") != pins.contains(":focus") {
            return Err("focus and its pin do not go together".into());
        }
        if pins.contains("coating:") && cell(row, "outer_coating_pf_max") == "0" {
            return Err("a coating where none is".into());
        }
        Ok(())
    });
}

#[test]
fn rule_13_nothing_points_into_the_void() {
    let tubes: HashSet<String> = [table("tubes.csv"), table("picture_tubes.csv")]
        .concat()
        .iter()
        .map(|row| cell(row, "type").to_string())
        .collect();
    is_true_of_all(&table("aliases.csv"), |row| {
        let (alias, of) = (cell(row, "alias"), cell(row, "type"));
        if tubes.contains(alias) {
            return Err("is a type of its own".into());
        }
        if tubes.contains(of) {
            Ok(())
        } else {
            Err(format!("{of} is no type"))
        }
    });
    is_true_of_all(&table("picture_tubes.csv"), |row| {
        for item in cell(row, "close_replacements")
            .split(';')
            .filter(|item| !item.is_empty())
        {
            let name = item.split_whitespace().next().unwrap_or_default();
            if !tubes.contains(name) {
                return Err(format!("{name} is no type"));
            }
        }
        Ok(())
    });
    is_true_of_all(&table("tubes.csv"), |row| {
        let Some((_, rest)) = cell(row, "source").split_once("copied from the ") else {
            return Ok(());
        };
        let name = rest.split_whitespace().next().unwrap_or_default();
        if tubes.contains(name) {
            Ok(())
        } else {
            Err(format!("{name} is no type"))
        }
    });
}

#[test]
fn rule_14_tungsten_rises() {
    let rows = table("tungsten.csv");
    let rises = |column: &str| {
        let figures: Vec<f64> = rows.iter().filter_map(|row| number(row, column)).collect();
        assert!(figures.len() > 10, "{column}");
        assert!(figures.windows(2).all(|pair| pair[0] < pair[1]), "{column}");
    };
    rises("kelvin");
    rises("resistivity_microohm_cm");
    rises("total_radiation_w_per_cm2");
}

#[test]
fn rule_15_lamps_follow_their_rating() {
    is_true_of_all(&table("lamps.csv"), |row| {
        let figure = |column| number(row, column).unwrap_or(f64::NAN);
        let by_rating = figure("rated_v").powi(2) / figure("watts");
        let hot = figure("hot_ohm");
        if (hot / by_rating - 1.0).abs() > 0.01 {
            return Err(format!("{hot} ohm hot, {by_rating} by the rating"));
        }
        let ratio = hot / figure("cold_ohm");
        if (12.0..=16.0).contains(&ratio) {
            Ok(())
        } else {
            Err(format!("hot over cold {ratio}"))
        }
    });
}

#[test]
fn rule_16_every_kind_of_part_has_its_faults() {
    let kinds = [
        "resistor",
        "control",
        "thermistor",
        "ballast",
        "fuse",
        "lamp",
        "electrolytic",
        "paper",
        "moulded-paper",
        "film",
        "mica",
        "ceramic",
        "trimmer",
        "choke",
        "coil",
        "focus-coil",
        "yoke",
        "selenium",
        "silicon",
        "crystal",
        "neon",
        "vdr",
        "switch",
        "plug",
        "wire",
    ];
    let rows = table("part_faults.csv");
    for kind in kinds {
        assert!(
            rows.iter().any(|row| cell(row, "part_kind") == kind),
            "{kind}"
        );
    }
    is_true_of_all(&rows, |row| {
        let ranged =
            number(row, "severity_low").is_some() || number(row, "severity_high").is_some();
        if ranged == (cell(row, "severity_law") == "none") {
            return Err("range and law do not go together".into());
        }
        Ok(())
    });
}

#[test]
fn rule_17_pins_run_from_mark_to_mark() {
    is_true_of_all(&table("bases.csv"), |row| {
        let figure = |column| number(row, column).unwrap_or(f64::NAN);
        let (first, pitch) = (figure("first_pin_deg"), figure("pitch_deg"));
        let last = first + pitch * (figure("pin_count") - 1.0);
        if (first + last - 360.0).abs() < 0.1 {
            Ok(())
        } else {
            Err(format!("pin 1 at {first}, the last at {last} degrees"))
        }
    });
}

#[test]
fn every_rule_of_the_readme_has_a_test_here() {
    let own = include_str!("rules.rs");
    let numbered = README
        .lines()
        .skip_while(|line| !line.starts_with("## Rules"))
        .filter_map(|line| line.split_once(". ")?.0.parse::<u32>().ok());
    let mut count = 0;
    for rule in numbered {
        count += 1;
        assert!(own.contains(&format!("fn rule_{rule}_")), "rule {rule}");
    }
    assert_eq!(count, 17);
    for (file, _) in TABLES {
        assert!(README.contains(file), "README names {file}");
    }
}

#[test]
fn every_check_has_an_expected_value() {
    is_true_of_all(&table("checks.csv"), |row| {
        if cell(row, "expected").is_empty() || cell(row, "inputs").is_empty() {
            return Err("no inputs or no expected value".into());
        }
        match number(row, "tolerance_percent") {
            Some(tolerance) if (0.0..=100.0).contains(&tolerance) => Ok(()),
            _ if cell(row, "subject").starts_with("colour code") => Ok(()),
            _ => Err("no tolerance".into()),
        }
    });
}
