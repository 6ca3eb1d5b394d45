//! What hangs on a stage of which nothing is known is not told; what does not, is.
//!
//! Volts, milliamperes. Both whole sets without their charts, so that their horizontal sweep
//! and their tuner are unknown: the places around these stages have no reading that a
//! resting or a usual value could stand for. Fails by panic, as a test does.

mod whole_sets;

use receiver::expect::Expectation;
use receiver::reading::What;
use whole_sets::{LARKFIELD, MERROW, nominal, told, without_chart};

fn is_told(told: &Expectation, at: &str, what: What) -> bool {
    let read = told
        .readings
        .iter()
        .any(|reading| reading.at == at && reading.what == what);
    let unknown = told
        .unknown
        .iter()
        .any(|unknown| unknown.at == at && unknown.what == what);
    assert!(
        read != unknown,
        "{at} {what:?}: told {read}, unknown {unknown}"
    );
    read
}

#[test]
fn what_hangs_on_an_unknown_stage_is_not_told() {
    // Places on the oscillator's and control stage's own parts, on the boosted line, and parts
    // that carry what those stages draw or the bias that a drive makes.
    let larkfield = told(&without_chart(LARKFIELD), &nominal());
    for at in ["osc. tap", "control filter", "height", "V20.10", "V17.3"] {
        assert!(!is_told(&larkfield, at, What::DcVolts), "{at}");
    }
    for at in ["R73", "R74", "R75", "R186", "R185", "R107", "R67"] {
        assert!(!is_told(&larkfield, at, What::PartMilliamps), "{at}");
    }
    let merrow = told(&without_chart(MERROW), &nominal());
    for at in ["osc. tap", "control filter", "height", "V17.10"] {
        assert!(!is_told(&merrow, at, What::DcVolts), "{at}");
    }
    for at in ["R70", "R71", "R185", "R64"] {
        assert!(!is_told(&merrow, at, What::PartMilliamps), "{at}");
    }
}

#[test]
fn what_the_supply_holds_is_told() {
    let larkfield = told(&without_chart(LARKFIELD), &nominal());
    // The damper is fed from the sweep feed and does not lift it; V21 hangs on it by the
    // 450 ohms of T4.
    for at in [
        "B+ main",
        "sweep feed",
        "V18.5",
        "V21.3",
        "V10.1",
        "V10.2",
        "V9.5",
    ] {
        assert!(is_told(&larkfield, at, What::DcVolts), "{at}");
    }
    let merrow = told(&without_chart(MERROW), &nominal());
    for at in ["B+ 265", "sweep feed", "V11.1", "V10.6"] {
        assert!(is_told(&merrow, at, What::DcVolts), "{at}");
    }
}

/// With the charts everything around those stages is told.
#[test]
fn with_its_chart_nothing_is_lost() {
    for (text, places) in [
        (
            LARKFIELD,
            ["osc. tap", "control filter", "height", "V20.10"],
        ),
        (MERROW, ["osc. tap", "control filter", "height", "V17.10"]),
    ] {
        let told = told(text, &nominal());
        for at in places {
            assert!(is_told(&told, at, What::DcVolts), "{at}");
        }
    }
}
