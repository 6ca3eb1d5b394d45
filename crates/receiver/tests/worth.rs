//! Whether a set is worth the work: Bayes' rule, sums of triangles and the value of a test against closed forms.
//!
//! Sources: Bayes' rule; mean and variance of the triangular distribution, (a + b + c) / 3 and
//! (a2 + b2 + c2 - ab - ac - bc) / 18 (closed forms); a decision with two outcomes worked out by hand; rows of
//! `data/part_faults.csv` multiplied by hand. The chances themselves are judgement.

use parts::{Irreplaceable, WorthFigure, worth_figures, worth_tests};
use receiver::sheet::read_sheet;
use receiver::wiring::SetModel;
use receiver::worth::chance::{PartOutlook, TestSaid, after, outlooks};
use receiver::worth::next_test::next_tests;
use receiver::worth::weigh::{Advice, AskedFigure, Figures, PlanNeeds, Sum, weigh};

fn three(good: [f64; 3]) -> [PartOutlook; 3] {
    let which = receiver::worth::chance::ALL;
    [0, 1, 2].map(|at| PartOutlook {
        which: which[at],
        names: vec!["X".to_owned()],
        good: good[at],
        low: good[at],
        high: good[at],
        because: Vec::new(),
    })
}

fn figures(rows: &[(&str, f64)]) -> Vec<WorthFigure> {
    let mut all = worth_figures().expect("sound").to_vec();
    for row in &mut all {
        let own = rows.iter().find(|own| own.0 == row.name);
        let value = own.map_or(0.0, |own| own.1);
        (row.low, row.typical, row.high) = (value, value, value);
    }
    all
}

/// A figure without a row would count as nothing, and a row that nothing asks for would be a figure that changes nothing.
#[test]
fn every_figure_that_is_asked_for_is_a_row_of_the_table_and_the_other_way_round() {
    let rows = worth_figures().expect("sound");
    for asked in AskedFigure::ALL {
        assert!(
            rows.iter().any(|row| row.name == asked.name()),
            "no row for {}",
            asked.name()
        );
    }
    for row in rows {
        assert!(
            AskedFigure::ALL.iter().any(|own| own.name() == row.name),
            "nothing asks for {}",
            row.name
        );
    }
}

#[test]
fn a_test_moves_the_chance_by_bayes_rule() {
    // 0.6 good; a pass of 0.95 against 0.07: 0.57 / (0.57 + 0.028).
    assert!((after(0.6, 0.95, 0.07) - 0.57 / 0.598).abs() < 1e-12);
    assert!((after(0.6, 0.05, 0.93) - 0.03 / 0.402).abs() < 1e-12);
    assert_eq!(after(0.6, 0.0, 0.0), 0.6);
    // What is expected after a test is what held before it.
    let passes = 0.6 * 0.95 + 0.4 * 0.07;
    let mean = passes * after(0.6, 0.95, 0.07) + (1.0 - passes) * after(0.6, 0.05, 0.93);
    assert!((mean - 0.6).abs() < 1e-12);
}

/// Closed forms, and an integral of the density as a second way.
#[test]
fn sums_of_triangles() {
    let own = Sum::triangle(1.0, 2.0, 6.0);
    assert!((own.mean - 3.0).abs() < 1e-12);
    assert!((own.variance - (1.0 + 36.0 + 4.0 - 6.0 - 2.0 - 12.0) / 18.0).abs() < 1e-12);
    // Integrated numerically, as a second way.
    let density = |x: f64| {
        if x < 2.0 {
            2.0 * (x - 1.0) / 5.0
        } else {
            2.0 * (6.0 - x) / 20.0
        }
    };
    let steps = 100_000;
    let (mut mean, mut square) = (0.0, 0.0);
    for step in 0..steps {
        let x = 1.0 + 5.0 * (f64::from(step) + 0.5) / f64::from(steps);
        mean += x * density(x) * 5.0 / f64::from(steps);
        square += x * x * density(x) * 5.0 / f64::from(steps);
    }
    assert!((mean - own.mean).abs() < 1e-6 && (square - mean * mean - own.variance).abs() < 1e-6);
    let some = own.with_chance(0.25);
    assert!((some.mean - 0.75).abs() < 1e-12);
    assert!((some.variance - (0.25 * square - 0.75 * 0.75)).abs() < 1e-5);
    let (low, high) = Sum::triangle(0.0, 0.0, 0.0).range();
    assert_eq!((low, high), (0.0, 0.0));
}

#[test]
fn a_decision_worked_out_by_hand() {
    // Worth 100 playing, 10 as it stands; parts 30; nothing is found where a part is bad.
    let rows = figures(&[
        ("finished set", 100.0),
        ("set as it stands", 10.0),
        ("electrolytic", 30.0),
    ]);
    let needs = PlanNeeds {
        electrolytics: 1,
        ..PlanNeeds::default()
    };
    let all = three([0.6, 0.9, 1.0]);
    let own = weigh(Figures(&rows), &all, &needs);
    assert!((own.plays - 0.54).abs() < 1e-12);
    assert!((own.going_on - (0.54 * 100.0 + 0.46 * 10.0 - 30.0)).abs() < 1e-9);
    assert_eq!(own.advice(), Advice::GoOn);
    // No loss from W on: 0.54 W + 4.6 - 30 = 10.
    assert!((own.break_even - (10.0 + 30.0 - 4.6) / 0.54).abs() < 1e-9);
    // A picture tube that fails: 0.03 of 0.402 are good all the same, so 0.9 x 0.0746 play, and one stops.
    let tests = worth_tests().expect("sound");
    let next = next_tests(Figures(&rows), &all, &needs, tests, &[]);
    let first = &next[0];
    assert_eq!(first.test.of, Irreplaceable::PictureTube);
    assert!(first.changes(), "{first:?}");
    let emission = next
        .iter()
        .find(|own| own.test.test.starts_with("emission"))
        .expect("there");
    let plays = 0.9 * emission.good_if_passed;
    let passed = plays * 100.0 + (1.0 - plays) * 10.0 - 30.0;
    let saves = emission.passes * passed + (1.0 - emission.passes) * 10.0 - own.going_on;
    assert!((emission.saves - saves).abs() < 1e-9);
    assert!(saves > 0.0);
    // What is sure is not tested.
    assert!(next.iter().all(|own| own.test.of != Irreplaceable::Flyback));
}

/// Rows of `data/part_faults.csv` by hand, Bayes' rule.
#[test]
fn the_three_of_a_set_and_what_tests_make_of_them() {
    let catalogue = parts::catalogue().expect("sound figures");
    let text = std::fs::read_to_string("../../examples/whole/larkfield_12t.toml").expect("there");
    let sheet = read_sheet(&text, catalogue).sheet.expect("sound");
    let model = SetModel::new(&sheet, catalogue);
    let before = outlooks(&model, catalogue, &[]);
    for own in &before {
        assert!(own.is_there(), "{own:?}");
        assert!(
            own.low < own.good && own.good < own.high && own.high < 1.0,
            "{own:?}"
        );
    }
    assert!(before[1].good > before[0].good && before[1].good > before[2].good);
    // The power transformer by hand: middle of each row's chance, times the share of such faults that end it (judgement).
    let by_hand = [
        (0.04, 0.9),
        (0.02, 0.7),
        (0.01, 0.5),
        (0.04, 0.3),
        (0.025, 0.4),
    ];
    let good: f64 = by_hand
        .iter()
        .map(|(chance, share)| 1.0 - chance * share)
        .product();
    assert!((good - 0.925_06).abs() < 1e-5);
    assert!((before[1].good - good).abs() < 1e-12, "{:?}", before[1]);
    let said = TestSaid {
        of: Irreplaceable::PictureTube,
        passed: true,
        if_good: 0.6,
        if_bad: 0.02,
        words: "it gives a picture".to_owned(),
    };
    let told = outlooks(&model, catalogue, std::slice::from_ref(&said));
    let moved = after(before[0].good, 0.6, 0.02);
    assert!((told[0].good - moved).abs() < 1e-12 && moved > 0.95);
    assert_eq!((told[0].because.len(), &told[1]), (2, &before[1]));
    // A set without a power transformer has none to lose.
    let text = std::fs::read_to_string("../../examples/whole/merrow_17s.toml").expect("there");
    let sheet = read_sheet(&text, catalogue).sheet.expect("sound");
    let model = SetModel::new(&sheet, catalogue);
    let own = outlooks(&model, catalogue, &[]);
    assert!(!own[1].is_there() && own[1].good == 1.0);
    let tests = worth_tests().expect("sound");
    let figures = worth_figures().expect("sound");
    let next = next_tests(Figures(figures), &own, &PlanNeeds::default(), tests, &[]);
    assert!(
        next.iter()
            .all(|own| own.test.of != Irreplaceable::PowerTransformer)
    );
}
