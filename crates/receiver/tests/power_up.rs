//! The first power-up as it goes on: begun, read, judged, left and taken up again.
//!
//! Steps and readings are made up for the rules that are tried; what is checked are these rules:
//! a limit passed is a stop whatever comes after, nothing is passed in silence, and after the bench
//! was left no step with power comes before the cold resistances. Silences are well beyond or well
//! within those of judgement: an hour under power, six hours else.

use quantity::Band;
use receiver::conditions::BenchConditions;
use receiver::judge_reading::TakenReading;
use receiver::plan::step_kind::StepKind;
use receiver::plan::{Limit, Step, StopRule};
use receiver::power_up::{
    AskedVerdict, AtHand, BegunAgain, Happened, Happening, PassedHow, StepReading, StepVerdict,
    judge, left_unknown, skipping_leaves_unknown, standing,
};
use receiver::reading::{Reading, What};

fn step(kind: StepKind, key: &str) -> Step {
    Step {
        number: 0,
        kind,
        key: key.to_owned(),
        title: key.to_owned(),
        parts: Vec::new(),
        acts: Vec::new(),
        conditions: BenchConditions::default(),
        energised: kind.has_line_power(),
        wait_seconds: if kind.has_line_power() { 30.0 } else { 0.0 },
        because: format!("why {key}"),
        expect: Vec::new(),
        unknown: Vec::new(),
        stop: Vec::new(),
        stop_signs: Vec::new(),
        live: Vec::new(),
        charged: Vec::new(),
        cautions: Vec::new(),
        lamp: None,
    }
}

fn rule(at: &str, limit: Limit, after_seconds: f64, tells: &str) -> StopRule {
    StopRule {
        at: at.to_owned(),
        to: None,
        what: What::DcVolts,
        limit,
        after_seconds,
        tells: vec![tells.to_owned()],
        cannot_tell: Vec::new(),
    }
}

fn expected(at: &str, low: f64, high: f64) -> Reading {
    Reading {
        at: at.to_owned(),
        to: None,
        what: What::DcVolts,
        lead: None,
        band: Band::new::<String>(low, 0.5 * (low + high), high, []).expect("a band"),
    }
}

/// Discharge, cold resistances, forming, ready, heaters, B+.
fn steps() -> Vec<Step> {
    let mut supply = step(StepKind::Supply, "supply 1");
    supply.expect = vec![expected("B+", 300.0, 340.0), expected("bias", -20.0, -16.0)];
    supply.stop = vec![
        rule("B+", Limit::Above(380.0), 2.0, "bleeder open"),
        rule("B+", Limit::Below(250.0), 20.0, "C1 leaking"),
    ];
    vec![
        step(StepKind::Discharge, "discharge"),
        step(StepKind::ColdResistances, "cold_resistances"),
        step(StepKind::ReForming, "re_forming C1"),
        step(StepKind::Ready, "ready"),
        step(StepKind::HeatersAlone, "heaters_alone 1"),
        supply,
    ]
}

#[derive(Clone)]
struct Bench {
    happenings: Vec<Happening>,
    second: i64,
}

impl Bench {
    fn new() -> Bench {
        Bench {
            happenings: Vec::new(),
            second: 1_000_000,
        }
    }

    fn after(&mut self, seconds: i64, what: Happened) -> &mut Bench {
        self.second += seconds;
        self.happenings.push(Happening {
            entry: self.happenings.len() as u64 + 1,
            second: self.second,
            what,
        });
        self
    }

    fn does(&mut self, keys: &[&str]) -> &mut Bench {
        for key in keys {
            self.after(60, Happened::Begun((*key).to_owned()));
            self.after(60, Happened::Done((*key).to_owned(), Vec::new()));
        }
        self
    }

    fn reads(&mut self, seconds: i64, at: &str, value: f64) -> &mut Bench {
        let taken = taken(at, value);
        self.after(seconds, Happened::Read(taken, None))
    }
}

fn taken(at: &str, value: f64) -> TakenReading {
    TakenReading {
        at: at.to_owned(),
        to: None,
        what: What::DcVolts,
        value,
    }
}

/// The key at hand, with a mark where it is under way.
fn at_hand(bench: &Bench, later: i64) -> String {
    let steps = steps();
    match standing(&steps, &bench.happenings, bench.second + later).at_hand {
        AtHand::ToBegin(at) => steps[at].key.clone(),
        AtHand::UnderWay { step, .. } => format!("in {}", steps[step].key),
        AtHand::Finished => "finished".to_owned(),
    }
}

const DEAD: [&str; 4] = ["discharge", "cold_resistances", "re_forming C1", "ready"];

#[test]
fn steps_come_in_their_order_to_the_end() {
    let mut bench = Bench::new();
    assert_eq!(at_hand(&bench, 0), "discharge");
    bench.after(1, Happened::Begun("discharge".to_owned()));
    assert_eq!(at_hand(&bench, 0), "in discharge");
    bench.after(1, Happened::Done("discharge".to_owned(), Vec::new()));
    bench.does(&DEAD[1..]).does(&["heaters_alone 1"]);
    assert_eq!(at_hand(&bench, 0), "supply 1");
    bench.does(&["supply 1"]);
    assert_eq!(at_hand(&bench, 0), "finished");
}

#[test]
fn after_the_bench_was_left_it_begins_with_the_charges_and_cold_resistances() {
    for left in [true, false] {
        let mut bench = Bench::new();
        bench.does(&DEAD).does(&["heaters_alone 1"]);
        let days = 3 * 86_400;
        if left {
            bench.after(60, Happened::Left);
        }
        assert_eq!(at_hand(&bench, days), "discharge");
        let found = standing(&steps(), &bench.happenings, bench.second + days);
        let cause = if left {
            BegunAgain::Left
        } else {
            BegunAgain::LongSilence
        };
        assert_eq!(found.begun_again, Some(cause));
        // The can that was formed stays formed.
        let passed: Vec<&str> = found.passed.iter().map(|one| one.key.as_str()).collect();
        assert_eq!(passed, ["re_forming C1"]);
        bench.second += days;
        bench.does(&["discharge", "cold_resistances"]);
        assert_eq!(at_hand(&bench, 0), "ready");
    }
}

#[test]
fn silence_under_power_ends_the_step() {
    let mut bench = Bench::new();
    bench
        .does(&DEAD)
        .after(60, Happened::Begun("heaters_alone 1".to_owned()));
    assert_eq!(at_hand(&bench, 600), "in heaters_alone 1");
    assert_eq!(at_hand(&bench, 2 * 3600), "discharge");
    let found = standing(&steps(), &bench.happenings, bench.second + 2 * 3600);
    assert_eq!(found.begun_again, Some(BegunAgain::SilenceUnderPower));
    // A forming step lasts hours and is not ended by that.
    let mut bench = Bench::new();
    bench
        .does(&DEAD[..2])
        .after(60, Happened::Begun("re_forming C1".to_owned()));
    assert_eq!(at_hand(&bench, 2 * 3600), "in re_forming C1");
}

#[test]
fn no_plan_and_no_pause_ever_leads_into_power_first() {
    // Whatever was done before, in any order, after a pause of a day the step at hand is dead.
    let keys = [
        "discharge",
        "cold_resistances",
        "re_forming C1",
        "ready",
        "heaters_alone 1",
        "supply 1",
    ];
    for chosen in 0..1u32 << keys.len() {
        let mut bench = Bench::new();
        for (place, key) in keys.iter().enumerate() {
            if chosen >> place & 1 == 1 {
                bench.does(&[key]);
            }
        }
        if chosen == 0 {
            continue;
        }
        for open in ["supply 1", "ready"] {
            let mut bench = Bench {
                happenings: bench.happenings.clone(),
                second: bench.second,
            };
            bench.after(5, Happened::Begun(open.to_owned()));
            assert_eq!(at_hand(&bench, 86_400), "discharge", "{chosen:b} {open}");
        }
    }
}

#[test]
fn a_limit_passed_is_a_stop_also_when_a_later_reading_lies_inside() {
    let steps = steps();
    let supply = &steps[5];
    let read = |seconds: f64, value: f64| StepReading {
        entry: 7,
        taken: taken("B+", value),
        seconds,
    };
    let told = |readings: &[StepReading], elapsed: f64| judge(supply, readings, elapsed).verdict;
    // Too low counts from 20 s on only, too high at once.
    assert_eq!(
        told(&[read(10.0, 100.0)], 10.0),
        StepVerdict::Wait { seconds: 20.0 }
    );
    assert_eq!(told(&[read(3.0, 390.0)], 3.0), StepVerdict::Stop);
    assert_eq!(
        told(&[read(25.0, 240.0), read(31.0, 320.0)], 31.0),
        StepVerdict::Stop
    );
    let readings = [read(31.0, 400.0)];
    let judged = judge(supply, &readings, 31.0);
    assert_eq!(judged.evidence.len(), 1);
    assert_eq!(judged.evidence[0].tells, ["bleeder open"]);
    assert_eq!(judged.asked[0].verdict, AskedVerdict::Beyond);
    // Exactly at the limit is not beyond it.
    assert!(
        judge(supply, &[read(31.0, 380.0)], 31.0)
            .evidence
            .is_empty()
    );
}

#[test]
fn go_on_needs_the_time_the_guarded_readings_and_their_bands() {
    let steps = steps();
    let supply = &steps[5];
    let read = |value: f64| {
        vec![StepReading {
            entry: 7,
            taken: taken("B+", value),
            seconds: 40.0,
        }]
    };
    let wait = StepVerdict::Wait { seconds: 0.0 };
    assert_eq!(judge(supply, &[], 40.0).verdict, wait);
    assert_eq!(judge(supply, &read(295.0), 40.0).verdict, wait);
    assert_eq!(judge(supply, &read(320.0), 40.0).verdict, StepVerdict::GoOn);
    // Bias has no limit: it is asked for, and going on does not hang on it.
    let readings = read(320.0);
    let judged = judge(supply, &readings, 40.0);
    assert_eq!(judged.asked.len(), 2);
    assert_eq!(judged.asked[1].verdict, AskedVerdict::Unread);
    assert_eq!(left_unknown(supply, &judged), ["bias (dc volts) not read"]);
    let readings = read(295.0);
    let low = judge(supply, &readings, 40.0);
    assert!(left_unknown(supply, &low)[0].contains("stays outside its band"));
}

#[test]
fn what_is_passed_over_says_what_it_leaves_unknown() {
    let steps = steps();
    let left = skipping_leaves_unknown(&steps[5]);
    assert!(left[0].contains("why supply 1"));
    assert!(
        left.iter()
            .any(|line| line.contains("bleeder open; C1 leaking"))
    );
    let mut bench = Bench::new();
    bench.does(&DEAD).after(
        9,
        Happened::Skipped("heaters_alone 1".to_owned(), left.clone()),
    );
    let found = standing(&steps, &bench.happenings, bench.second);
    let last = found.passed.last().expect("passed");
    assert_eq!(
        (last.how, &last.leaves_unknown),
        (PassedHow::Skipped, &left)
    );
}

#[test]
fn a_stop_bars_power_until_something_was_changed() {
    let mut bench = Bench::new();
    bench
        .does(&DEAD)
        .after(60, Happened::Begun("heaters_alone 1".to_owned()))
        .reads(5, "B+", 12.0)
        .after(
            5,
            Happened::Stopped {
                key: "heaters_alone 1".to_owned(),
                because: "smoke".to_owned(),
            },
        );
    let steps = steps();
    let found = standing(&steps, &bench.happenings, bench.second);
    assert_eq!(found.begun_again, Some(BegunAgain::Stopped));
    assert_eq!(
        found.stop.as_ref().map(|stop| stop.because.as_str()),
        Some("smoke")
    );
    assert!(!found.is_barred(&steps));
    bench.does(&["discharge", "cold_resistances", "ready"]);
    let found = standing(&steps, &bench.happenings, bench.second);
    assert_eq!(found.at_hand, AtHand::ToBegin(4));
    assert!(found.is_barred(&steps));
    bench.after(9, Happened::WorkedOn);
    let found = standing(&steps, &bench.happenings, bench.second);
    assert!(found.stop.is_none() && !found.is_barred(&steps));
    // What answered it is shown until a step with power is done.
    let shown = |bench: &Bench| {
        let found = standing(&steps, &bench.happenings, bench.second);
        found.answered.map(|own| own.by.len())
    };
    assert_eq!(shown(&bench), Some(1));
    bench.after(9, Happened::WorkedOn);
    assert_eq!(shown(&bench), Some(2));
    let mut on = bench.clone();
    on.does(&["discharge", "cold_resistances", "ready"]);
    assert_eq!(shown(&on), Some(2));
    on.does(&["heaters_alone 1"]);
    assert_eq!(shown(&on), None);
    // Work on a set that had power since asks for the cold resistances again.
    bench
        .does(&["heaters_alone 1"])
        .after(9, Happened::WorkedOn);
    assert_eq!(at_hand(&bench, 0), "discharge");
}

#[test]
fn a_clock_that_was_set_back_a_little_ends_nothing() {
    let mut bench = Bench::new();
    bench.does(&DEAD);
    bench.after(-40 * 60, Happened::Begun("heaters_alone 1".to_owned()));
    bench.reads(-5, "B+", 1.0);
    assert_eq!(at_hand(&bench, 10), "in heaters_alone 1");
}

#[test]
fn a_clock_that_jumped_back_far_tells_no_time_and_counts_as_left() {
    let mut bench = Bench::new();
    bench.does(&DEAD);
    assert_eq!(at_hand(&bench, -40 * 86_400), "discharge");
    bench.after(60, Happened::Begun("heaters_alone 1".to_owned()));
    assert_eq!(at_hand(&bench, -2 * 3600), "discharge");
}

#[test]
fn a_correction_answers_its_own_stop_only() {
    let mut bench = Bench::new();
    bench.after(
        60,
        Happened::Stopped {
            key: "supply 1".to_owned(),
            because: "smoke".to_owned(),
        },
    );
    let stops = |bench: &Bench| {
        standing(&steps(), &bench.happenings, bench.second)
            .stop
            .is_some()
    };
    bench.after(9, Happened::Corrected(7));
    assert!(stops(&bench));
    bench.after(9, Happened::Corrected(1));
    assert!(!stops(&bench));
}

#[test]
fn a_reading_beyond_its_limit_stays_a_stop_however_the_step_ends() {
    let ends: [(&str, i64, Option<Happened>); 3] = [
        ("left", 60, Some(Happened::Left)),
        (
            "skipped",
            60,
            Some(Happened::Skipped("supply 1".to_owned(), Vec::new())),
        ),
        ("silent", 3 * 3600, None),
    ];
    for (name, later, end) in ends {
        let mut bench = Bench::new();
        bench
            .does(&DEAD)
            .does(&["heaters_alone 1"])
            .after(60, Happened::Begun("supply 1".to_owned()))
            .reads(40, "B+", 400.0);
        if let Some(end) = end {
            bench.after(later, end);
        }
        bench.second += later;
        let steps = steps();
        let found = standing(&steps, &bench.happenings, bench.second);
        let stop = found.stop.as_ref().expect(name);
        assert!(stop.because.contains("B+"), "{name}: {}", stop.because);
        bench.does(&["discharge", "cold_resistances", "ready"]);
        let found = standing(&steps, &bench.happenings, bench.second);
        assert!(found.is_barred(&steps), "{name}");
    }
}

#[test]
fn hundredths_of_an_ohm_are_no_guard_and_leads_are_no_fault() {
    let mut cold = step(StepKind::ColdResistances, "cold_resistances");
    let ohms = |at: &str, low: f64, high: f64| Reading {
        what: What::Ohms,
        ..expected(at, low, high)
    };
    cold.expect = vec![ohms("heater", 0.012, 0.015), ohms("B+", 9e3, 1.1e4)];
    cold.stop = [("heater", 0.01), ("B+", 3e3)]
        .map(|(at, least)| StopRule {
            what: What::Ohms,
            ..rule(at, Limit::Below(least), 0.0, "shorted")
        })
        .to_vec();
    let read = |at: &str, value: f64| StepReading {
        entry: 7,
        taken: TakenReading {
            what: What::Ohms,
            ..taken(at, value)
        },
        seconds: 0.0,
    };
    // Only B+ has to be read; what the leads make is inside, more is not.
    let all = [read("B+", 1e4)];
    assert_eq!(judge(&cold, &all, 0.0).verdict, StepVerdict::GoOn);
    for (value, wanted) in [(0.4, AskedVerdict::Inside), (1.2, AskedVerdict::High)] {
        let readings = [read("heater", value)];
        assert_eq!(judge(&cold, &readings, 0.0).asked[0].verdict, wanted);
    }
    let left = left_unknown(&cold, &judge(&cold, &all, 0.0));
    assert!(left[0].starts_with("heater"), "{left:?}");
}
