//! Figures of single parts against closed forms, on a set of which nothing else is known.

use super::*;
use crate::sheet::read_sheet;
use crate::suspects::hypotheses::Hypotheses;
use crate::suspects::outcome::suspect_named;
use crate::wiring::SetModel;

const LARKFIELD: &str = include_str!("../../../../../examples/whole/larkfield_12t.toml");

/// The logarithm for C50 with one of its faults, at a severity.
struct Weighed<'a> {
    hypotheses: &'a Hypotheses,
    figured: Figured,
}

impl Weighed<'_> {
    fn at(&self, fault: &str, severity: f64) -> f64 {
        let mut list = self.hypotheses.list.iter();
        let own = list.position(|own| self.figured.is_of(own.suspect) && own.fault == fault);
        self.figured.log(own.expect("a fault of it"), severity)
    }
}

fn with(part: &str, check: Check, value: f64, look: impl FnOnce(Weighed<'_>)) {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
    let model = SetModel::new(&sheet, catalogue);
    let hypotheses = Hypotheses::of(&model, catalogue);
    let figure = ByItself {
        suspect: suspect_named(&model, part).expect("on the sheet"),
        check,
        value,
    };
    let figured = Figured::of(&model, &hypotheses, &[], &figure).expect("such a check");
    look(Weighed {
        hypotheses: &hypotheses,
        figured,
    });
}

const TEN_MEG: Check = Check::LooseEnd {
    meter_ohms: 10_000_000,
};

/// Ohm's law: meter and leak are one divider.
#[test]
fn a_loose_end_and_its_meter_are_one_divider() {
    assert_eq!(share_at_loose_end(1e7, 1e7), 0.5);
    assert_eq!(share_at_loose_end(0.0, 1e7), 1.0);
    assert_eq!(share_at_loose_end(f64::INFINITY, 1e7), 0.0);
    assert!((share_at_loose_end(9e7, 1e7) - 0.1).abs() < 1e-12);
}

/// The volts of a divider turned about: the leak is the meter's resistance times volts lost over volts read. The
/// likeliest leak is that one, as near as the meter lets.
#[test]
fn the_volts_at_a_loose_end_tell_the_leak() {
    for (meter, share) in [(1e7f64, 0.5), (1e7, 0.1), (1e6, 0.5), (1e6, 0.8)] {
        let check = Check::LooseEnd {
            meter_ohms: meter as u64,
        };
        let leak = meter * (1.0 / share - 1.0);
        with("C50", check, share, |weighed| {
            let at = |ohms| weighed.at("leaky", ohms);
            assert!(at(leak) > 0.0);
            let all: Vec<f64> = (-60..=60)
                .map(|step| leak * (0.05 * f64::from(step)).exp())
                .collect();
            let best = all.iter().max_by(|a, b| at(**a).total_cmp(&at(**b)));
            let best = best.expect("some");
            assert!((best / leak).ln().abs() < 0.15, "{best} {leak}");
            assert!(at(leak) > at(2.0 * leak) + 2.0 && at(leak) > at(0.4 * leak) + 2.0);
        });
    }
}

/// Nothing comes through an open one, and all of it through a short; nought clears of any leak that matters.
#[test]
fn an_open_capacitor_brings_nothing_and_a_short_all() {
    with("C50", TEN_MEG, 0.0, |weighed| {
        assert!(weighed.at("open lead", 1.0) > 0.0);
        assert!(weighed.at("leaky", 1e6) < -3.0);
        assert!(weighed.at("shorted", 10.0) < -3.0);
    });
    with("C50", TEN_MEG, 1.0, |weighed| {
        assert!(weighed.at("shorted", 10.0) > 1.0);
        assert!(weighed.at("shorted", 10.0) > weighed.at("leaky", 5e6) + 3.0);
        assert!(weighed.at("open lead", 1.0) < -1.0);
    });
}

/// Bayes by hand: a bridge cures an open one in 98 of 100 and a sound one by chance in 2 (judgement both): ln(0.9804 / 0.02) =
/// 3.892, and ln 0.02 where it does not. Of a leak it tells nothing at all: the old one is still there.
#[test]
fn a_bridge_tells_what_is_missing_and_never_a_leak() {
    for (cured, open) in [(1.0, (0.9804f64 / 0.02).ln()), (0.0, 0.02f64.ln())] {
        with("C50", Check::Bridge, cured, |weighed| {
            assert!((weighed.at("open lead", 1.0) - open).abs() < 1e-9);
            assert_eq!(weighed.at("leaky", 1e5), 0.0);
            assert_eq!(weighed.at("shorted", 10.0), 0.0);
        });
    }
}

/// Common practice: an open capacitor shows next to nothing on a bridge, some picofarads of its leads or none at all.
#[test]
fn next_to_no_capacitance_is_an_open_one() {
    for farads in [0.0, 2e-12, 1e-11] {
        with("C50", Check::Capacitance, farads, |own| {
            assert!(own.at("open lead", 1.0) > 3.0, "{farads}");
            assert_eq!(own.at("leaky", 5e5), 0.0);
        });
    }
}

/// The same by hand of an exchange, which cures a leak as well.
#[test]
fn an_exchange_tells_of_every_fault() {
    let cured = (0.9804f64 / 0.02).ln();
    with("C50", Check::Exchange, 1.0, |weighed| {
        assert!((weighed.at("leaky", 1e5) - cured).abs() < 1e-9);
        assert!((weighed.at("open lead", 1.0) - cured).abs() < 1e-9);
    });
    with("V9", Check::Exchange, 0.0, |weighed| {
        assert!((weighed.at("heater open", 1.0) - 0.02f64.ln()).abs() < 1e-9);
    });
}
