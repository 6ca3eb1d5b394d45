//! Sheets of odd supplies, invented. Units as written in each row.

/// Silicon doubler on the line, a dropping resistor ahead of the heater string.
pub const DOUBLER_WITH_DROPPER: &str = r#"
sheet = 1
name = "Doubler with a dropper"
made = 1956
line_volts = 117
line_hertz = 60
tubes = [
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
"#;

/// A choke first, and nothing but a tapped bleeder behind it.
pub const CHOKE_INPUT_BLEEDER: &str = r#"
sheet = 1
name = "Choke input, bleeder only"
made = 1947
line_volts = 117
line_hertz = 60
tubes = [
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
"#;

/// A 5U4-G and a negative line from a winding of its own.
pub const NEGATIVE_LINE: &str = r#"
sheet = 1
name = "Negative line of its own"
made = 1952
line_volts = 117
line_hertz = 60
tubes = [
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
"#;
