//! All that was found of a picture tube, judged together; the life test with its seconds.
//!
//! Expected reserves are those from which the falls were made, by the law of the heater model and
//! the space-charge shoulder, with slownesses and work functions that the judgement does not
//! know. What is advised and what is not follows from the rules of GOALS.md and trade practice.

use circuit::thermal::space_charge_share;
use parts::{Catalogue, TubeType};
use quantity::{Amperes, Ohms, Volts};
use receiver::picture_tube::bench_method::BenchReading;
use receiver::picture_tube::drive::CutoffFinding;
use receiver::picture_tube::emission::{
    Comparison, Direction, EmissionReading, EmissionRecord, level_text,
};
use receiver::picture_tube::heater::HeaterFacts;
use receiver::picture_tube::judge_tube::{
    CutOffReading, Running, Sitting, TubeFacts, TubeJudgement, judge_tube,
};
use receiver::picture_tube::leakage::{Element, Leak, LeakReading};
use receiver::picture_tube::life_fall::{Fall, LifeFall, judge_fall};
use receiver::picture_tube::life_test::Reserve;
use receiver::picture_tube::set_range::{SetRange, set_range};
use receiver::picture_tube::verdict::Standing;
use receiver::sheet::read_sheet;

fn catalogue() -> &'static Catalogue {
    parts::catalogue().expect("sound tables")
}

fn tube() -> &'static TubeType {
    catalogue().tube("12LP4").expect("listed")
}

fn judged(facts: &TubeFacts) -> TubeJudgement {
    judge_tube(tube(), facts, catalogue()).expect("a sound table of hazards")
}

const SECONDS: [f64; 5] = [3.0, 5.0, 7.0, 9.0, 12.0];

/// A fall made by the law: this reserve, this slowness, this work function.
fn made(reserve: f64, slower: f64, work: f64, heater_share: f64, seconds: &[f64]) -> LifeFall {
    let shown = |at: f64| {
        let emission = laws::emission_after_reduction(heater_share, at, slower).powf(work);
        80.0 * space_charge_share(emission, reserve)
    };
    LifeFall {
        before: 80.0,
        readings: seconds.iter().map(|at| (*at, shown(*at))).collect(),
        heater_share,
        needle_error: 2.0,
    }
}

fn told(fall: &Fall) -> (f64, f64) {
    match &fall.reserve {
        Reserve::Told(band) => (band.low, band.high),
        Reserve::AtLeast(least) => (*least, f64::INFINITY),
        Reserve::CannotTell(_) => (0.0, f64::INFINITY),
    }
}

#[test]
fn a_cut_heater_tells_the_reserve_from_which_the_fall_was_made() {
    let (mut held, mut narrow, mut all) = (0, 0, 0);
    for reserve in [0.5, 1.0, 2.0, 4.0, 8.0, 15.0] {
        for slower in [0.75, 1.0, 1.3] {
            for work in [0.93, 1.0, 1.07] {
                let fall = judge_fall(&made(reserve, slower, work, 0.0, &SECONDS));
                let (low, high) = told(&fall);
                all += 1;
                held += usize::from((low..=high).contains(&reserve));
                narrow += usize::from(high <= 10.0 * low);
            }
        }
    }
    assert!(10 * held >= 9 * all, "{held} of {all} held");
    assert!(2 * narrow >= all, "{narrow} of {all} say something");
}

#[test]
fn a_worn_cathode_is_told_from_a_good_one() {
    for heater_share in [0.0, 0.75] {
        let seconds = if heater_share > 0.0 {
            [20.0, 40.0, 80.0, 160.0, 300.0]
        } else {
            SECONDS
        };
        let worn = told(&judge_fall(&made(0.6, 1.0, 1.0, heater_share, &seconds)));
        let good = told(&judge_fall(&made(9.0, 1.0, 1.0, heater_share, &seconds)));
        assert!(worn.1 < good.0, "{heater_share}: {worn:?} {good:?}");
        assert!(worn.1 < 2.0, "{heater_share}: {worn:?}");
    }
}

#[test]
fn what_a_good_cathode_leaves_is_told_beside_it() {
    let fall = judge_fall(&made(8.0, 1.0, 1.0, 0.0, &SECONDS));
    let (left, good) = (fall.left.expect("read"), fall.good_leaves.expect("told"));
    assert_eq!(fall.at_seconds, Some(12.0));
    assert!(good.0 < left && left < good.1, "{left} {good:?}");
}

#[test]
fn a_life_test_that_says_nothing_is_told_so() {
    let sound = made(4.0, 1.0, 1.0, 0.0, &SECONDS);
    let with = |change: &dyn Fn(&mut LifeFall)| {
        let mut fall = sound.clone();
        change(&mut fall);
        judge_fall(&fall).reserve
    };
    let cases: [(&str, Reserve); 6] = [
        ("nothing later", with(&|fall| fall.readings.clear())),
        ("too soon", with(&|fall| fall.readings = vec![(1.0, 79.0)])),
        ("hardly reduced", with(&|fall| fall.heater_share = 0.95)),
        ("lost in the needle", with(&|fall| fall.before = 5.0)),
        ("no figure", with(&|fall| fall.before = f64::NAN)),
        ("it rose", with(&|fall| fall.readings = vec![(5.0, 100.0)])),
    ];
    for (name, reserve) in cases {
        assert!(
            matches!(reserve, Reserve::CannotTell(_)),
            "{name}: {reserve:?}"
        );
    }
    // Half a minute after the cut every cathode is cold.
    let late = with(&|fall| fall.readings = vec![(40.0, 0.0), (60.0, 0.0)]);
    assert!(matches!(late, Reserve::CannotTell(_)), "{late:?}");
}

/// A sitting that settles from `first` to `last` with this time, minutes.
fn sitting(name: &str, first: f64, last: f64, time: f64, minutes: &[f64]) -> Sitting {
    Sitting {
        name: name.to_owned(),
        record: EmissionRecord {
            unit: "percent".to_owned(),
            scale_end: 100.0,
            needle_error_share: Some(0.01),
            rated_heater_volts: Volts(6.3),
            readings: minutes
                .iter()
                .map(|at| EmissionReading {
                    minutes: *at,
                    reading: last + (first - last) * (-at / time).exp(),
                    heater_volts: Some(Volts(6.3)),
                })
                .collect(),
        },
    }
}

fn hours() -> Vec<f64> {
    (0..20).map(|step| 1.0 + 5.0 * f64::from(step)).collect()
}

#[test]
fn steps_above_rated_come_only_when_all_gentler_ways_gained_nothing() {
    let weak = TubeFacts {
        sittings: vec![sitting("", 8.0, 20.0, 10.0, &hours())],
        good_from: Some(60.0),
        ..TubeFacts::default()
    };
    let above = |facts: &TubeFacts| {
        let judged = judged(facts);
        let steps = judged.recovery.steps.iter();
        (
            steps.filter(|step| step.heater_volts > 6.31).count(),
            judged,
        )
    };
    let tried = |names: &[&str]| TubeFacts {
        tried: names.iter().map(|name| (*name).to_owned()).collect(),
        ..weak.clone()
    };
    let (count, spent) = above(&tried(&["pins", "solder"]));
    assert_eq!(count, 3, "{:?}", spent.recovery.not_advised);
    assert_eq!(spent.recovery.highest_volts, Some(8.0));
    for (name, facts) in [
        ("pins as found", tried(&["solder"])),
        ("joints as found", tried(&["pins"])),
        (
            "nothing read",
            TubeFacts {
                sittings: Vec::new(),
                ..tried(&["pins", "solder"])
            },
        ),
        (
            "a short record",
            TubeFacts {
                sittings: vec![sitting("", 8.0, 20.0, 4.0, &hours()[..10])],
                ..tried(&["pins", "solder"])
            },
        ),
        (
            "a picture",
            TubeFacts {
                running: Running {
                    gives_a_picture: Some(true),
                    cathode: None,
                },
                ..tried(&["pins", "solder"])
            },
        ),
        (
            "good emission",
            TubeFacts {
                good_from: Some(15.0),
                ..tried(&["pins", "solder"])
            },
        ),
        (
            "an open heater",
            TubeFacts {
                heater: HeaterFacts {
                    cold_ohms: Some(Ohms(f64::INFINITY)),
                    ..HeaterFacts::default()
                },
                ..tried(&["pins", "solder"])
            },
        ),
        (
            "a leaking heater",
            TubeFacts {
                leaks: vec![leak(Element::Heater, Element::Cathode, 50e3)],
                ..tried(&["pins", "solder"])
            },
        ),
    ] {
        let (count, judged) = above(&facts);
        assert_eq!(count, 0, "{name}");
        assert!(!judged.recovery.not_advised.is_empty(), "{name}");
    }
}

fn leak(plus: Element, minus: Element, ohms: f64) -> LeakReading {
    LeakReading {
        plus,
        minus,
        ohms: Ohms(ohms),
        hot: false,
    }
}

#[test]
fn the_last_reading_of_a_pair_counts() {
    let facts = TubeFacts {
        leaks: vec![
            leak(Element::Heater, Element::Cathode, 50e3),
            leak(Element::Grid, Element::Cathode, f64::INFINITY),
            leak(Element::Heater, Element::Cathode, 80e6),
        ],
        ..TubeFacts::default()
    };
    let judged = judged(&facts);
    assert_eq!(judged.leaks.len(), 2);
    assert!(judged.leaks.iter().all(|(_, leak)| *leak == Leak::Sound));
    assert_eq!(judged.verdict.standing, Standing::CannotTell);
}

#[test]
fn the_last_sitting_makes_the_verdict_and_is_compared_with_the_one_before() {
    let facts = TubeFacts {
        sittings: vec![
            sitting("", 5.0, 25.0, 8.0, &hours()),
            sitting("after cleaning", 30.0, 75.0, 8.0, &hours()),
        ],
        good_from: Some(60.0),
        ..TubeFacts::default()
    };
    let one = judged(&facts);
    assert_eq!(one.verdict.standing, Standing::Good, "{:?}", one.verdict);
    assert!(matches!(one.since_before, Some(Comparison::First { .. })));
    assert!(one.verdict.cures.is_empty());
    // The same record read backwards in time falls, and is told as falling.
    let falling = TubeFacts {
        sittings: vec![sitting("", 75.0, 15.0, 25.0, &hours()[..8])],
        ..TubeFacts::default()
    };
    let (_, outlook) = &judged(&falling).sittings[0];
    let outlook = outlook.as_ref().expect("judged");
    assert_eq!(outlook.direction, Direction::Falling);
}

#[test]
fn bench_currents_and_cut_off_are_held_against_the_type() {
    // 12LP4 at 250 V: 27 to 63 V by its row.
    let reading = |volts: f64, amperes: f64| BenchReading {
        second_grid: Volts(volts),
        at_once: Amperes(amperes),
        later: Amperes(amperes),
    };
    let cut_off = |grid, second_grid| CutOffReading {
        grid,
        reached: Some(true),
        second_grid,
    };
    let facts = TubeFacts {
        bench: vec![reading(75.0, 2e-6), reading(150.0, 5.6e-6)],
        cut_offs: vec![
            cut_off(Some(Volts(45.0)), Some(Volts(250.0))),
            cut_off(Some(Volts(12.0)), Some(Volts(250.0))),
            cut_off(None, Some(Volts(250.0))),
            cut_off(Some(Volts(45.0)), None),
        ],
        ..TubeFacts::default()
    };
    let judged = judged(&facts);
    let found: Vec<CutoffFinding> = judged
        .cut_offs
        .iter()
        .filter_map(|(_, found)| found.as_ref().ok().copied())
        .collect();
    assert_eq!(found, [CutoffFinding::Inside, CutoffFinding::Low]);
    // It follows the law, yet gives hardly anything: usable at best, and said why.
    assert_eq!(judged.verdict.standing, Standing::Usable);
    let reasons = judged.verdict.reasons.join("; ");
    assert!(
        reasons.contains("less current than a sound tube"),
        "{reasons}"
    );
}

#[test]
fn the_running_set_counts_too() {
    let with = |microamperes: f64, picture| {
        judged(&TubeFacts {
            running: Running {
                gives_a_picture: Some(picture),
                cathode: Some(Amperes(microamperes * 1e-6)),
            },
            ..TubeFacts::default()
        })
    };
    assert_eq!(with(120.0, true).verdict.standing, Standing::Good);
    assert_eq!(with(10.0, false).verdict.standing, Standing::Usable);
    let (found, usual) = with(10.0, false).running.expect("judged");
    assert_eq!(found, CutoffFinding::Low);
    assert!(usual.contains(100e-6));
}

#[test]
fn levels_are_written_as_a_needle_is_read() {
    for (level, wanted) in [
        (69.679, "69.7"),
        (0.0, "0.000"),
        (350.4, "350"),
        (9.996, "10.0"),
        (0.0503, "0.050"),
        (5.128, "5.13"),
        (99.96, "100"),
    ] {
        assert_eq!(level_text(level), wanted);
    }
}

fn range(name: &str, reference: &str) -> Result<SetRange, String> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(name);
    let text = std::fs::read_to_string(path).expect("an example");
    let sheet = read_sheet(&text, catalogue()).sheet.expect("a sound sheet");
    set_range(&sheet, reference, catalogue())
}

#[test]
fn both_ends_of_the_brightness_control_are_worked_out() {
    // By hand: 272 V on the line, 180k on top of the control of 100k, so the cathode goes from
    // 0 to 272 x 100/280 = 97 V while the grid stays at the chassis; less by the beam's current.
    let found = range("whole/larkfield_12t.toml", "V20").expect("told");
    assert_eq!(found.control, "R60");
    assert!((85.0..=105.0).contains(&found.dark.bias.0), "{found:?}");
    assert!(found.bright.bias.0.abs() < 5.0, "{found:?}");
    // Cathode driven, the brightness at the grid: by hand 263 V x 100/200 at most.
    let found = range("whole/merrow_17s.toml", "V17").expect("told");
    assert!(found.dark.bias.0 > found.bright.bias.0 + 60.0, "{found:?}");
    assert!(range("small/two_rectifiers.toml", "V20").is_err());
    assert!(range("whole/larkfield_12t.toml", "V9").is_err());
}
