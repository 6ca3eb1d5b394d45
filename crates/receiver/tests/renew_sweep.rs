//! The pulses of the horizontal output stage, against closed forms and by hand.
//!
//! Sources: Faraday (the mean volts across a coil in a settled cycle are none); the ringing of a coil with its own
//! capacitance (peak = current times root of L over C, half a period = pi times root of LC), which leads to the same
//! peak by another way; the divider of coils in series; turns go with the root of the inductance. The published
//! peak inverse plate volts of the 6W4-GT, 3850 V (from memory of the tube manuals).

use receiver::expect::Predictor;
use receiver::renew::burden::{Burden, Case, Unknown, burdens};
use receiver::renew::sweep_pulses::{RETRACE, SweepPulses, peak_over_lift};
use receiver::sheet::{Sheet, read_sheet};
use receiver::wiring::SetModel;

fn sheet_of(text: &str) -> Sheet {
    let read = read_sheet(text, parts::catalogue().expect("sound figures"));
    read.sheet.unwrap_or_else(|| panic!("{:?}", read.faults))
}

fn whole(name: &str) -> String {
    std::fs::read_to_string(format!("../../examples/whole/{name}.toml")).expect("there")
}

#[test]
fn the_peak_is_that_of_faraday_and_of_a_ringing_coil() {
    for retrace in [RETRACE[0], 0.13, RETRACE[1]] {
        let peak = peak_over_lift(retrace);
        // One line in small steps: the lift below, a half sine above; the sum is none.
        let steps = 200_000;
        let sum: f64 = (0..steps)
            .map(|step| (f64::from(step) + 0.5) / f64::from(steps))
            .map(|at| match at < retrace {
                true => peak * (std::f64::consts::PI * at / retrace).sin(),
                false => -1.0,
            })
            .sum();
        assert!((sum / f64::from(steps)).abs() < 1e-6, "{retrace}: {sum}");
        // Awkward values: 5 millihenries, a line of 63.5 microseconds, lift of 1 V.
        let (henries, line) = (5e-3, 63.5e-6);
        let trace = (1.0 - retrace) * line;
        let amperes = trace / (2.0 * henries);
        let farads = (retrace * line / std::f64::consts::PI).powi(2) / henries;
        let rings = amperes * (henries / farads).sqrt();
        assert!((rings / peak - 1.0).abs() < 1e-9, "{rings} and {peak}");
    }
}

#[test]
fn places_on_the_coils_get_their_share() {
    let sheet = sheet_of(&whole("larkfield_12t"));
    let catalogue = parts::catalogue().expect("sound figures");
    let model = SetModel::new(&sheet, catalogue);
    let line = 126.0;
    let own = SweepPulses::of(&model, line).expect("the sheet tells enough");
    // The chart has 505 V on the boosted line and 315 V on the feed at 117 V.
    let lift = (505.0 - 315.0) * line / 117.0;
    assert!((own.lift / lift - 1.0).abs() < 1e-9, "{}", own.lift);
    let at = |place: &str| {
        let place = sheet.places().find(place).expect("a place").clone();
        own.at(&model, model.junction(&place).expect("a junction"))
    };
    let peak = peak_over_lift(RETRACE[0]) * lift;
    // Turns go with the root of the inductance: 30 mH on 5 mH; the yoke is halved; the boosted line itself is still.
    for (place, share) in [
        ("V18.3", 1.0),
        ("horizontal yoke", 0.5),
        ("boost", 0.0),
        ("yoke return", 0.0),
        ("V17.cap", 6.0_f64.sqrt()),
        ("flyback pulse", 0.2_f64.sqrt()),
        ("chassis", 0.0),
        ("B+ main", 0.0),
    ] {
        let told = at(place).unwrap_or_else(|| panic!("{place} is told"));
        assert!(
            (told - share * peak).abs() < 1e-6 * peak,
            "{place}: {told} of {peak}"
        );
    }
    // A set of the time keeps its damper within what is published of it.
    let inverse = peak + lift;
    assert!(inverse < 3850.0, "{inverse}");
}

#[test]
fn parts_of_the_sweep_bear_their_mean_and_their_pulse() {
    let text = whole("larkfield_12t");
    let burden = |text: &str, part: &str| -> Burden {
        let sheet = sheet_of(text);
        let catalogue = parts::catalogue().expect("sound figures");
        let model = SetModel::new(&sheet, catalogue);
        let all = burdens(&Predictor::new(&model), 126.0).expect("solved");
        let place = sheet.parts.iter().position(|own| own.reference == part);
        all.parts[place.expect("there")].clone()
    };
    // Across half the yoke: no mean, half the pulse.
    let half = burden(&text, "C176");
    let lift = (505.0 - 315.0) * 126.0 / 117.0;
    let wanted = 0.5 * peak_over_lift(RETRACE[0]) * lift;
    let volts = half.volts.expect("told");
    assert!(
        (volts.value / wanted - 1.0).abs() < 1e-6,
        "{volts:?} of {wanted}"
    );
    assert_eq!(volts.case, Case::Retrace);
    assert!(half.is_pulsed && half.unknown.is_none());
    // The capacitor of the boosted line stands the lift while the set runs, within a few of a hundred of what the whole
    // set settles at; from cold, before the damper is warm, it stands the whole feed.
    let boost = burden(&text, "C60");
    let running = boost.running_volts.expect("told");
    assert!(
        running > 0.9 * lift && running < 1.4 * lift,
        "{running} of {lift}"
    );
    let worst = boost.volts.expect("told");
    assert!(matches!(worst.case, Case::SwitchOn { .. }), "{worst:?}");
    assert!(worst.value > 315.0 && !boost.is_pulsed, "{worst:?}");
    // Without the chart's figure nothing is made up.
    let silent = text.replacen("  [\"boost\", 505],\n", "", 1);
    assert_ne!(silent, text);
    let half = burden(&silent, "C176");
    assert_eq!(half.unknown, Some(Unknown::Pulses));
    assert!(half.is_pulsed);
}

/// A grid that a capacitor couples to the coils goes along with them: it shorts nothing (common practice: the pulse for the
/// comparison of phases is taken so).
#[test]
fn a_coupling_capacitor_shorts_no_pulse() {
    let text = whole("larkfield_12t");
    let row = r#"["C998", "paper", "0.05 mfd 600 V", "horizontal yoke", "V16.1"],"#;
    let coupled = text.replacen("parts = [", &format!("parts = [\n  {row}"), 1);
    assert_ne!(coupled, text);
    let sheet = sheet_of(&coupled);
    let model = SetModel::new(&sheet, parts::catalogue().expect("sound figures"));
    let own = SweepPulses::of(&model, 117.0).expect("the sheet tells enough");
    let place = sheet
        .places()
        .find("horizontal yoke")
        .expect("a place")
        .clone();
    let told = own.at(&model, model.junction(&place).expect("a junction"));
    let half = 0.5 * peak_over_lift(RETRACE[0]) * (505.0 - 315.0);
    let told = told.expect("told");
    assert!((told / half - 1.0).abs() < 1e-6, "{told} of {half}");
}

#[test]
fn a_set_without_a_damper_has_no_pulses() {
    let text = std::fs::read_to_string("../../examples/small/two_rectifiers.toml").expect("there");
    let sheet = sheet_of(&text);
    let model = SetModel::new(&sheet, parts::catalogue().expect("sound figures"));
    assert_eq!(SweepPulses::of(&model, 126.0), None);
}
