//! Emission against time: what is told, what is not, awkward values, the work it takes.
//!
//! Percent of a scale, minutes. Expected values are closed forms (the level of the curve from
//! which the readings were made) and Richardson's law; limits of work are counts.

use quantity::Volts;
use receiver::picture_tube::emission::{
    Comparison, Direction, EmissionOutlook, EmissionReading, EmissionRecord, Heading, KnownWhen,
    Waiting, compare, emission_panel, judge_emission, judge_level,
};

/// A record of the curve `shown`, at these minutes.
fn record(minutes: &[f64], shown: impl Fn(f64) -> f64) -> EmissionRecord {
    EmissionRecord {
        unit: "percent".to_owned(),
        scale_end: 100.0,
        needle_error_share: Some(0.01),
        rated_heater_volts: Volts(6.3),
        readings: minutes
            .iter()
            .map(|minutes| EmissionReading {
                minutes: *minutes,
                reading: shown(*minutes),
                heater_volts: None,
            })
            .collect(),
    }
}

fn every(step: f64, count: u32) -> Vec<f64> {
    (1..=count).map(|index| step * f64::from(index)).collect()
}

fn outlook(record: &EmissionRecord) -> EmissionOutlook {
    judge_emission(record).unwrap_or_else(|faults| panic!("{faults}"))
}

fn told(outlook: &EmissionOutlook) -> &quantity::Band {
    match &outlook.heading {
        Heading::Told(band) => band,
        Heading::CannotTell { because, .. } => panic!("not told: {because}"),
    }
}

#[test]
fn a_rising_cathode_is_told_before_it_is_there() {
    let record = record(&every(2.0, 12), |t| 70.0 - 40.0 * (-t / 9.0_f64).exp());
    let outlook = outlook(&record);
    assert!(told(&outlook).contains(70.0), "{:?}", outlook.heading);
    assert_eq!(outlook.direction, Direction::Rising);
    assert!(
        matches!(outlook.waiting, Waiting::Worth(_)),
        "{:?}",
        outlook.waiting
    );
    assert!(
        matches!(outlook.known, KnownWhen::AfterMinutes(_)),
        "{:?}",
        outlook.known
    );
    assert!(
        outlook
            .curve
            .windows(2)
            .all(|two| two[0].minutes < two[1].minutes)
    );
    let panel = emission_panel(&record, &outlook);
    assert_eq!(panel.curves.len(), 4);
    assert_eq!(panel.curves[1].points.len(), record.readings.len());
    assert_eq!(panel.levels.len(), 3, "scale and both ends of the band");
    let sum: f64 = told(&outlook).made_of.iter().map(|share| share.share).sum();
    assert!((sum - 1.0).abs() < 1e-9);
}

#[test]
fn a_falling_cathode_is_told_from_a_rising_one() {
    let falling = outlook(&record(&every(2.0, 15), |t| {
        40.0 + 40.0 * (-t / 20.0_f64).exp()
    }));
    assert_eq!(falling.direction, Direction::Falling);
    assert!(matches!(falling.waiting, Waiting::NotWorth(_)));
    let steady = outlook(&record(&every(3.0, 20), |_| 55.0));
    assert_eq!(steady.direction, Direction::Steady);
    assert_eq!(steady.known, KnownWhen::Now);
    assert!(told(&steady).contains(55.0));
}

#[test]
fn three_readings_tell_nothing() {
    let outlook = outlook(&record(&every(2.0, 3), |t| 20.0 + t));
    let Heading::CannotTell { because, .. } = &outlook.heading else {
        panic!("{:?}", outlook.heading)
    };
    assert!(because.contains("3 readings"));
    assert!(matches!(outlook.known, KnownWhen::CannotTell(_)));
}

#[test]
fn a_needle_at_the_end_of_the_scale_means_that_much_or_more() {
    let record = record(&every(2.0, 12), |t| {
        (130.0 - 80.0 * (-t / 8.0_f64).exp()).min(100.0)
    });
    let outlook = outlook(&record);
    assert!(outlook.heading.band().high > 100.0);
    assert!(!outlook.at_scale_end.is_empty());
    assert!(
        outlook
            .notices
            .iter()
            .any(|notice| notice.contains("end of the scale"))
    );
}

#[test]
fn a_misread_needle_counts_little_and_is_named() {
    let mut record = record(&every(2.0, 20), |t| 60.0 - 30.0 * (-t / 8.0_f64).exp());
    record.readings[14].reading -= 20.0;
    let outlook = outlook(&record);
    assert_eq!(outlook.misread, [15]);
    assert!(told(&outlook).contains(60.0), "{:?}", outlook.heading);
}

/// Emission at other heater volts by Richardson's law with published constants: work function
/// 1.0 eV (Herrmann and Wagener, The Oxide-Coated Cathode, 1951, give 0.9 to 1.1 eV; from memory),
/// 1050 K at rated volts; a cathode that only radiates has its temperature as the square root of the square
/// root of its power, and the power of a hot tungsten heater as its volts to about 1.6.
fn richardson(share_of_volts: f64) -> f64 {
    let hotter = share_of_volts.powf(1.6 / 4.0);
    let phi = 1.0 / 8.617_333e-5 / 1050.0;
    hotter * hotter * (phi * (1.0 - 1.0 / hotter)).exp()
}

#[test]
fn noted_heater_volts_are_taken_out_by_richardsons_law() {
    let law = laws::emission_at_heater_share(0.95);
    assert!(
        (law / richardson(0.95) - 1.0).abs() < 0.05,
        "{law} against {}",
        richardson(0.95)
    );

    // The heater swings by 3 percent, emission with it; the true level stays.
    let swing = |t: f64| 1.0 + 0.03 * (t / 3.0).sin();
    let mut noted = record(&every(2.0, 25), |t| 60.0 * richardson(swing(t)));
    for reading in &mut noted.readings {
        reading.heater_volts = Some(Volts(6.3 * swing(reading.minutes)));
    }
    let with = outlook(&noted);
    for reading in &mut noted.readings {
        reading.heater_volts = None;
    }
    let without = outlook(&noted);
    assert!(told(&with).contains(60.0), "{:?}", with.heading);
    assert!(with.heading.band().width() < 0.7 * without.heading.band().width());
    assert!(
        without
            .notices
            .iter()
            .any(|notice| notice.contains("not noted"))
    );
}

#[test]
fn two_tubes_are_compared_with_their_doubts() {
    let weak = outlook(&record(&every(2.0, 20), |t| {
        40.0 - 20.0 * (-t / 8.0_f64).exp()
    }));
    let good = outlook(&record(&every(2.0, 20), |t| {
        80.0 - 20.0 * (-t / 8.0_f64).exp()
    }));
    let Comparison::Second { chance, ratio } = compare(&weak, &good) else {
        panic!("the second is better")
    };
    assert!(chance > 0.99 && ratio.contains(0.5), "{ratio:?}");
    assert!(matches!(
        compare(&weak, &weak),
        Comparison::CannotTell { .. }
    ));
    let mut other = good.clone();
    other.unit = "microamperes".to_owned();
    assert!(
        matches!(compare(&weak, &other), Comparison::CannotTell { because } if because.contains("one instrument"))
    );
}

#[test]
fn all_faults_come_at_once_each_with_its_reading() {
    let mut bad = record(&every(2.0, 6), |_| 50.0);
    bad.readings[1].minutes = f64::NAN;
    bad.readings[3].reading = 130.0;
    bad.readings[4].heater_volts = Some(Volts(63.0));
    bad.needle_error_share = Some(2.0);
    let faults = judge_emission(&bad).expect_err("four faults").0;
    assert_eq!(faults.len(), 4, "{faults:?}");
    let numbers: Vec<Option<usize>> = faults.iter().map(|fault| fault.reading).collect();
    assert_eq!(numbers, [None, Some(2), Some(4), Some(5)]);
    assert!(
        faults[3]
            .to_string()
            .starts_with("reading 5, heater volts: 63 read")
    );
}

#[test]
fn awkward_records_give_a_result_and_no_panic() {
    let one = |minutes: &[f64], reading: f64| outlook(&record(minutes, |_| reading));
    for reading in [0.0, 1e-9, 50.0, 100.0] {
        one(&[0.0], reading);
        one(&[5.0; 8], reading);
        one(&every(0.01, 30), reading);
        one(&every(500.0, 20), reading);
    }
    let mut tiny = record(&every(1.0, 12), |t| 1e-8 * t);
    tiny.scale_end = 1e-6;
    tiny.needle_error_share = None;
    outlook(&tiny);
    let mut backwards = record(&every(2.0, 12), |t| 70.0 - 40.0 * (-t / 9.0_f64).exp());
    let forwards = outlook(&backwards);
    backwards.readings.reverse();
    let again = outlook(&backwards);
    assert_eq!(
        forwards.heading, again.heading,
        "the order of entry does not matter"
    );
}

#[test]
fn the_work_grows_with_the_laws_and_not_with_the_readings() {
    let long = record(&every(1.0, 200), |t| 70.0 - 40.0 * (-t / 20.0_f64).exp());
    let (heading, weighed) = judge_level(&long).expect("sound");
    assert!(heading.band().contains(70.0));
    let (_, few) = judge_level(&record(&every(1.0, 20), |t| {
        70.0 - 40.0 * (-t / 20.0_f64).exp()
    }))
    .expect("sound");
    // Two rounds weigh every law under every noise, the other four only what is left of them.
    assert!(weighed < 6000 && few < 6000, "{weighed} and {few}");
}
