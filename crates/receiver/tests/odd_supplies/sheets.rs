//! Sheets of odd supplies, invented. Units as written in each row.

/// A sheet beside its heading.
pub struct Odd {
    name: &'static str,
    made: u32,
    rows: &'static str,
}

impl Odd {
    /// The sheet as it is read; all are for 117 volts and 60 cycles.
    pub fn text(&self) -> String {
        let Odd { name, made, rows } = self;
        format!(
            "sheet = 1\nname = \"{name}\"\nmade = {made}\nline_volts = 117\nline_hertz = 60\n{rows}"
        )
    }
}

/// Silicon doubler on the line, a dropping resistor ahead of the heater string.
pub const DOUBLER_WITH_DROPPER: Odd = Odd {
    name: "Doubler with a dropper",
    made: 1956,
    rows: r#"tubes = [
  ["V1", "12DQ6-A", "horizontal output"],
  ["V2", "12AX4-GTA", "damper"],
  ["V3", "6CG7", "oscillator"],
  ["V4", "6CM7", "vertical output"],
  ["V5", "17LP4-A", "picture tube"],
]
parts = [
  ["W1",  "wire",         "",                "line b",       "chassis"],
  ["SW1", "switch",       "",                "line a",       "hot"],
  ["R1",  "resistor",     "121.5 ohm 60 W 5%", "hot",        "string top"],
  ["R2",  "resistor",     "5 ohm 5 W 10%",   "hot",          "surge"],
  ["C1",  "electrolytic", "100 mfd 200 V",   "middle",       "surge"],
  ["D1",  "silicon",      "1 A 600 V",       "chassis",      "middle"],
  ["D2",  "silicon",      "1 A 600 V",       "middle",       "B+"],
  ["C2",  "electrolytic", "100 mfd 400 V",   "B+",           "chassis"],
  ["R20", "resistor",     "16k 10 W 5%",     "B+",           "chassis"],
]
heaters = [
  { from = "string top", to = "chassis", series = ["V2", "V1", "V3", "V4", "V5"] },
]
[bench]
lamps = [40, 60, 100]
isolation_va = 250
variable_transformer = true
meters = ["10M"]
[state]
replaced = ["C1", "C2"]
"#,
};

/// A choke first, and nothing but a tapped bleeder behind it.
pub const CHOKE_INPUT_BLEEDER: Odd = Odd {
    name: "Choke input, bleeder only",
    made: 1947,
    rows: r#"tubes = [
  ["V1", "5V4-G", "rectifier"],
  ["V2", "6SN7-GT", "oscillator"],
  ["V3", "10BP4", "picture tube"],
]
windings = [
  ["T1", "primary",  "117 V 2 ohm, idle 0.2 A 8 W", "switched", "line b"],
  ["T1", "plates 1", "250 V 30 ohm", "V1.4",    "chassis"],
  ["T1", "plates 2", "250 V 30 ohm", "chassis", "V1.6"],
  ["T1", "rectifier", "5.1 V 0.05 ohm", "V1.2", "V1.8"],
  ["T1", "heaters",  "6.4 V 0.03 ohm", "heater", "chassis"],
]
parts = [
  ["SW1", "switch",       "",             "line a", "switched"],
  ["L1",  "choke",        "10 H 200 ohm", "V1.8",   "B+"],
  ["C1",  "electrolytic", "40 mfd 450 V", "B+",     "chassis"],
  ["R1",  "resistor",     "2k 10 W 5%",   "B+",     "tap"],
  ["R2",  "resistor",     "3k 10 W 5%",   "tap",    "chassis"],
]
heaters = [ { from = "heater", to = "chassis", parallel = ["V2", "V3"] } ]
[bench]
lamps = [40, 60, 100]
variable_transformer = true
meters = ["20k/V"]
"#,
};

/// A 5U4-G and a negative line from a winding of its own.
pub const NEGATIVE_LINE: Odd = Odd {
    name: "Negative line of its own",
    made: 1952,
    rows: r#"tubes = [
  ["V1", "5U4-G", "rectifier"],
  ["V2", "6BG6-G", "horizontal output"],
  ["V3", "6W4-GT", "damper"],
  ["V4", "16GP4", "picture tube"],
]
windings = [
  ["T1", "primary",  "117 V 2 ohm, idle 0.25 A 10 W", "switched", "line b"],
  ["T1", "plates 1", "300 V 35 ohm", "V1.4",    "chassis"],
  ["T1", "plates 2", "300 V 35 ohm", "chassis", "V1.6"],
  ["T1", "bias",     "50 V 20 ohm",  "bias ac", "chassis"],
  ["T1", "rectifier", "5.2 V 0.03 ohm", "V1.2", "V1.8"],
  ["T1", "heaters",  "6.5 V 0.02 ohm", "heater", "chassis"],
]
parts = [
  ["SW1", "switch",       "",              "line a",  "switched"],
  ["D1",  "silicon",      "0.5 A 400 V",   "bias",    "bias ac"],
  ["C3",  "electrolytic", "50 mfd 150 V",  "chassis", "bias"],
  ["R3",  "resistor",     "10k 2 W 5%",    "bias",    "chassis"],
  ["C1",  "electrolytic", "40 mfd 500 V",  "V1.8",    "chassis"],
  ["L1",  "choke",        "4 H 100 ohm",   "V1.8",    "B+"],
  ["C2",  "electrolytic", "40 mfd 500 V",  "B+",      "chassis"],
  ["R4",  "resistor",     "33k 10 W",      "B+",      "chassis"],
  ["J1",  "plug",         "",              "B+",      "sweep feed"],
  ["X1",  "load",         "90 mA at 330 V", "sweep feed", "chassis"],
]
heaters = [ { from = "heater", to = "chassis", parallel = ["V2", "V3", "V4"] } ]
[bench]
lamps = [40, 60, 100, 150]
variable_transformer = true
meters = ["20k/V"]
[state]
replaced = ["C1", "C2", "C3"]
"#,
};

/// Half wave of silicon, a ballast ahead of the string, and the picture tube's grid not on the
/// sheet.
pub const STRING_WITH_BALLAST: Odd = Odd {
    name: "String set of 1955, half wave, ballast",
    made: 1955,
    rows: r#"tubes = [
  ["V1", "12DQ6-A", "horizontal output"],
  ["V2", "12AX4-GTA", "damper"],
  ["V3", "6CG7", "oscillator"],
  ["V4", "6CM7", "vertical output"],
  ["V5", "17LP4-A", "picture tube"],
  ["V6", "5AQ5", "sound output"],
  ["V7", "3CB6", "picture i.f."],
  ["V8", "3CB6", "picture i.f."],
  ["V9", "6AW8-A", "video output"],
]
parts = [
  ["W1",  "wire",         "",                "line b",       "chassis"],
  ["F1",  "fuse",         "3 A",             "line a",       "fused"],
  ["SW1", "switch",       "",                "fused",       "hot"],
  ["C9",  "paper",        "0.1 mfd 400 V",   "hot",         "chassis"],
  ["B1",  "ballast",      "55 V 0.6 A",      "hot",        "string top"],
  ["R2",  "resistor",     "7 ohm 10 W 10%",   "hot",          "surge"],
  ["D1",  "silicon",      "0.5 A 400 V",       "surge",       "B+ 140"],
  ["C1",  "electrolytic", "150 mfd 200 V",   "B+ 140",           "chassis"],
  ["L1",  "choke",        "1 H 40 ohm",      "B+ 140",           "B+ 130"],
  ["C2",  "electrolytic", "100 mfd 200 V",   "B+ 130",           "chassis"],
  ["R20", "resistor",     "22k 2 W",     "B+ 130",           "chassis"],
  ["J1",  "plug",         "",            "B+ 130", "sweep feed"],
  ["X1",  "load",   "90 mA at 130 V",     "sweep feed",           "chassis"],
  ["X2",  "load",   "80 mA at 130 V",     "B+ 130",           "chassis"],
]
heaters = [
  { from = "string top", to = "chassis", series = ["V2", "V1", "V3", "V4", "V6","V9","V7","V8", "V5"] },
]
[bench]
lamps = [40, 60, 100, 150]
isolation_va = 250
variable_transformer = true
meters = ["10M"]
"#,
};

/// Two rectifiers, the lower one indirectly heated on the common winding; a speaker field.
pub const TWO_RECTIFIERS_AND_FIELD: Odd = Odd {
    name: "Two rectifiers and a speaker field",
    made: 1949,
    rows: r#"tubes = [
  ["V1", "5U4-G", "rectifier"],
  ["V2", "6X4", "rectifier of the low line"],
  ["V3", "6BG6-G", "horizontal output"],
  ["V4", "6W4-GT", "damper"],
  ["V5", "6K6-GT", "sound output"],
  ["V6", "6SN7-GT", "oscillator"],
  ["V7", "12LP4-A", "picture tube"],
]
windings = [
  ["T1", "primary",  "117 V 2 ohm, idle 0.25 A 10 W", "switched", "line b"],
  ["T1", "plates 1", "350 V 35 ohm", "V1.4",    "chassis"],
  ["T1", "plates 2", "350 V 37 ohm", "chassis", "V1.6"],
  ["T1", "low 1",    "200 V 60 ohm", "V2.1",    "chassis"],
  ["T1", "low 2",    "200 V 60 ohm", "chassis", "V2.6"],
  ["T1", "rectifier", "5.2 V 0.03 ohm", "V1.2", "V1.8"],
  ["T1", "heaters",  "6.5 V 0.02 ohm", "heater", "chassis"],
]
parts = [
  ["SW1", "switch",       "",              "line a",  "switched"],
  ["C1",  "electrolytic", "30 mfd 500 V",  "V1.8",    "chassis"],
  ["P1",  "plug",         "",              "V1.8",    "field hot"],
  ["L1",  "coil",         "10 H 500 ohm",  "field hot", "field cold"],
  ["P2",  "plug",         "",              "field cold", "B+ 300"],
  ["C2",  "electrolytic", "30 mfd 450 V",  "B+ 300",      "chassis"],
  ["R4",  "resistor",     "33k 10 W",      "B+ 300",      "chassis"],
  ["C3",  "electrolytic", "40 mfd 350 V",  "V2.7",    "chassis"],
  ["R5",  "resistor",     "1k 5 W",        "V2.7",    "B+ 200"],
  ["C4",  "electrolytic", "40 mfd 300 V",  "B+ 200",  "chassis"],
  ["X3",  "load",         "40 mA at 200 V", "B+ 200", "chassis"],
  ["J1",  "plug",         "",              "B+ 300",      "sweep feed"],
  ["X1",  "load",         "90 mA at 300 V", "sweep feed", "chassis"],
  ["X2",  "load",         "35 mA at 300 V", "B+ 300", "chassis"],
]
heaters = [ { from = "heater", to = "chassis", parallel = ["V2", "V3", "V4", "V5", "V6", "V7"] } ]
[bench]
lamps = [40, 60, 100, 150]
variable_transformer = true
meters = ["20k/V"]
"#,
};
