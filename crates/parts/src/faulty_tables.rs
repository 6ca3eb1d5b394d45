//! Spoilt tables: each fault is found at its file, line and column.

use crate::catalogue::{Catalogue, Tables};

/// Spoils one table by putting `to` for the first `from`, and checks that the
/// faults named are among those reported.
fn check(file: &str, from: &str, to: &str, expected: &[&str]) {
    let built_in = Tables::built_in();
    let mut tables = built_in;
    let slot = match file {
        "bases.csv" => &mut tables.bases,
        "tubes.csv" => &mut tables.tubes,
        "picture_tubes.csv" => &mut tables.picture_tubes,
        "aliases.csv" => &mut tables.aliases,
        "metal_rectifiers_selenium.csv" => &mut tables.selenium,
        "metal_rectifiers_silicon.csv" => &mut tables.silicon,
        "small_diodes.csv" => &mut tables.small_diodes,
        "neon_lamps.csv" => &mut tables.neon_lamps,
        "lamps.csv" => &mut tables.lamps,
        "thermistors.csv" => &mut tables.thermistors,
        "tungsten.csv" => &mut tables.tungsten,
        "part_faults.csv" => &mut tables.part_faults,
        "trade_numbers.csv" => &mut tables.trade_numbers,
        "parts_trade.csv" => &mut tables.parts_trade,
        _ => &mut tables.replacement_rules,
    };
    assert!(slot.contains(from), "{file} contains {from}");
    let line = slot
        .split(from)
        .next()
        .map_or(0, |before| before.matches('\n').count() + 1);
    let spoilt = slot.replacen(from, to, 1);
    *slot = &spoilt;
    let faults = Catalogue::read(&tables).expect_err("a fault");
    let places: Vec<String> = faults
        .iter()
        .filter(|fault| fault.file == file && fault.line == line as u64)
        .map(|fault| fault.column.clone())
        .collect();
    for column in expected {
        assert!(
            places.iter().any(|found| found == column),
            "{file} {to}: {column} among {faults:?}"
        );
    }
    assert!(
        faults
            .iter()
            .all(|fault| !fault.text.is_empty() && !fault.hint.is_empty())
    );
}

#[test]
fn every_kind_of_fault_is_found_at_its_place() {
    let heater = ",6.3,0.6,indirect,,,,,,,,,,,,,,22,70";
    check(
        "tubes.csv",
        heater,
        ",6.3,60,indirect,,,,,,,,,,,,,,22,70",
        &["heater_a"],
    );
    check(
        "tubes.csv",
        heater,
        ",6.3,x,indirect,,,,,,,,,,,,,,22,70",
        &["heater_a"],
    );
    check(
        "tubes.csv",
        heater,
        ",630,x,indirct,,,,,,,,,,,,,,22,70",
        &["heater_v", "heater_a", "heating"],
    );
    check(
        "tubes.csv",
        "miniature-7,5BS,1:plate2",
        "miniature-7,5BS,9:plate2",
        &["pins"],
    );
    check(
        "tubes.csv",
        "6X4,full-wave,rectifier,miniature-7",
        "6X4,full-wave,rectfier,minature-7",
        &["kind", "base"],
    );
    check(
        "tubes.csv",
        "5U4-G,full-wave/op2",
        "5U4-G,full-wave",
        &["section"],
    );
    check(
        "tubes.csv",
        "5U4-G,full-wave/op2",
        "5U4-G,half-wave/op2",
        &["section"],
    );
    check(
        "tubes.csv",
        "58,225,1550,225,800",
        "58,225,1500,225,800",
        &["section"],
    );
    check("tubes.csv", "58,225,1550,225,800", "58,225,1550,225", &[""]);
    check("tubes.csv", "5V4-G,full-wave", "5U4-G,full-wave", &["type"]);
    check(
        "tubes.csv",
        "mixed,pins;heater_v",
        "mixed,pns;heater_v",
        &["read_fields"],
    );
    check(
        "tubes.csv",
        "not read\",mixed,",
        "not read\",hearsay,",
        &["standing"],
    );
    check(
        "picture_tubes.csv",
        "10BP4-A (gray face)",
        "10ZP4-A (gray face)",
        &["close_replacements"],
    );
    check(
        "picture_tubes.csv",
        "10BP4-A,round",
        "10BP4,round",
        &["type"],
    );
    check("aliases.csv", "ECC82,12AU7", "ECC82,12AU77", &["type"]);
    check("aliases.csv", "ECC82,12AU7", "12AX7,12AU7", &["alias"]);
    check(
        "aliases.csv",
        "ECC82,12AU7,figures",
        "ECC82,12AU7,all",
        &["same"],
    );
    check("bases.csv", "noval-9,9", "noval-9,99", &["pin_count"]);
    check(
        "metal_rectifiers_selenium.csv",
        "selenium-5-plate-75mA,5",
        "selenium-5-plate-65mA,5",
        &["part"],
    );
    check(
        "metal_rectifiers_selenium.csv",
        "selenium-5-plate-75mA,5",
        "selenium-5-plate-75mA,5.5",
        &["plates"],
    );
    check(
        "metal_rectifiers_silicon.csv",
        "1N4007,1000",
        "1N4007,volts",
        &["piv_v"],
    );
    check(
        "small_diodes.csv",
        "1N34A,germanium,60,75",
        "1N34A,germanum,75,60",
        &["material", "piv_v"],
    );
    check(
        "small_diodes.csv",
        "1N34A,germanium,60,75,50,5,30,10",
        "1N34A,,60,75,50,500,,10",
        &["material", "forward_ma_at_1_v", "reverse_v_at"],
    );
    check(
        "neon_lamps.csv",
        "NE-2,70,90,58",
        "NE-2,90,70,98",
        &["strike_max_v", "burning_v"],
    );
    check("neon_lamps.csv", "NE-51H,", "NE-51,", &["part"]);
    check("lamps.csv", "60,120,240", "60,120,24", &["hot_ohm"]);
    check(
        "thermistors.csv",
        "CL-60,10,0.18",
        "CL-60,0.5,18",
        &["hot_ohm"],
    );
    check(
        "tungsten.csv",
        "2000,56.67,24.04",
        "2000,46.67,14.04",
        &["resistivity_microohm_cm", "total_radiation_w_per_cm2"],
    );
    check(
        "part_faults.csv",
        "percent up,10,100",
        "percent up,100,10",
        &["severity_high"],
    );
    check(
        "part_faults.csv",
        "0.25,0.45,0.003",
        "0.25,4.5,0.003",
        &["chance_high"],
    );
    check(
        "trade_numbers.csv",
        "chart tolerance,10,15,20",
        "chart tolerance,10,25,20",
        &["value_high"],
    );
    check(
        "parts_trade.csv",
        "0.85,0.99",
        "0.99,0.85",
        &["prior_bad_high"],
    );
    check(
        "replacement_rules.csv",
        "fusible-surge-resistor,resistor,5",
        "fusible-surge-resistor,,five",
        &["kind", "value_low"],
    );
}

#[test]
fn a_missing_heading_is_a_fault_of_the_first_line() {
    check("lamps.csv", "part,watts", "part,wats", &["watts", "wats"]);
    check(
        "tungsten.csv",
        "kelvin,",
        "celsius,",
        &["kelvin", "celsius"],
    );
}

#[test]
fn faults_of_several_tables_come_together() {
    let mut tables = Tables::built_in();
    tables.lamps = "part\n";
    tables.tungsten = "";
    tables.tubes = "\u{0}\u{1}";
    let faults = Catalogue::read(&tables).expect_err("faults");
    for file in ["lamps.csv", "tungsten.csv", "tubes.csv"] {
        assert!(faults.iter().any(|fault| fault.file == file), "{file}");
    }
}
