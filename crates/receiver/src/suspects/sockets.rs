//! What may be wrong with tube sockets, and with the joints at parts.
//!
//! Chances are plain, from the fault table (`tube-socket`, `wire`), each with its standing. A contact that does not make
//! counts where its tube then gives no current (cathode, plate of a triode, second grid) and where its heater goes dark, each with
//! its share of the pins in use; of a poor one only resistances from ten kilohms on, which act as open, and of
//! all bad contacts the share that stays bad while one measures. An open plate of a
//! pentode and a floating grid are not followed. A carbon track is followed between a first grid and a plate or second grid whose
//! pins lie side by side: elsewhere it does little. A joint that is open acts as an open part does and has its share of that
//! chance. Nothing here fails.

use parts::{Catalogue, PartFault, PinName, SectionKind};

use crate::wiring::{FaultKind, Rectifying, SetModel};

use super::rules::Act;

/// Ohms from which a poor contact is as good as open (judgement).
const LIKE_OPEN: f64 = 1e4;
/// Share of bad contacts, joints and wipers that stay bad while one measures; the others come and go (judgement: one of ten).
pub(super) const STAYS: f64 = 0.1;

/// Share of a row's severities that act as open: of a resistance in series those from [`LIKE_OPEN`] on; all where the row has none.
pub(super) fn share_open(row: &PartFault) -> f64 {
    let Some(own) = &row.severity else { return 1.0 };
    let (low, high) = (own.low.max(f64::MIN_POSITIVE), own.high);
    if high <= LIKE_OPEN || high <= low {
        return 0.0;
    }
    ((high / LIKE_OPEN.max(low)).ln() / (high / low).ln()).clamp(0.0, 1.0)
}

/// What a row does at one place of a socket.
pub(super) struct AtPins {
    /// What it does to the circuit.
    pub kind: FaultKind,
    /// Share of the row's chance.
    pub share: f64,
    /// Where, in words.
    pub place: &'static str,
}

/// What a row does to a tube's socket.
pub(super) fn kinds_of_socket(
    model: &SetModel<'_>,
    tube: usize,
    row: &PartFault,
    act: Act,
) -> Vec<AtPins> {
    match act {
        Act::SocketOpen => open_pins(model, tube, STAYS * share_open(row)),
        Act::SocketLeak => leaky_pairs(model, tube),
        _ => Vec::new(),
    }
}

fn open_pins(model: &SetModel<'_>, tube: usize, share: f64) -> Vec<AtPins> {
    let stages = || {
        let own = model.stages.complete.iter();
        own.filter(move |stage| stage.tube == tube)
    };
    let rectifies = model.rectifying().iter().any(
        |own| matches!(own, Rectifying::Tube { tube: own, damper: false, .. } if *own == tube),
    );
    let mut silencing = 0;
    let mut in_use = 0;
    for stage in stages() {
        let pins = stage.pins.iter().flatten().count() + 1;
        in_use += pins;
        // Cathode, and the electrode that draws the current on.
        silencing +=
            1 + usize::from(stage.electrodes[2].is_some() || stage.electrodes[0].is_some());
    }
    let heated = model.is_heated(tube);
    let heater = if heated { 2 } else { 0 };
    let all = (in_use + heater) as f64;
    if all < 1.0 {
        return Vec::new();
    }
    let mut found = Vec::new();
    if silencing > 0 {
        found.push(AtPins {
            kind: FaultKind::Emission { tube, rectifies },
            share: share * silencing as f64 / all,
            place: "at a pin that carries the current",
        });
    }
    if heated {
        found.push(AtPins {
            kind: FaultKind::HeaterOpen(tube),
            share: share * heater as f64 / all,
            place: "at a heater pin",
        });
    }
    found
}

fn leaky_pairs(model: &SetModel<'_>, tube: usize) -> Vec<AtPins> {
    let number = |pin: Option<PinName>| match pin {
        Some(PinName::Number(own)) => Some(own),
        _ => None,
    };
    let mut found: Vec<(FaultKind, &str)> = Vec::new();
    let mut stages = 0;
    for stage in model.stages.complete.iter().filter(|own| own.tube == tube) {
        if stage.kind == SectionKind::Diode {
            continue;
        }
        stages += 1;
        let (Some(grid), Some(at)) = (stage.electrodes[1], number(stage.pins[1])) else {
            continue;
        };
        for (electrode, place) in [(0, "from grid to plate"), (2, "from grid to second grid")] {
            let (Some(other), Some(pin)) =
                (stage.electrodes[electrode], number(stage.pins[electrode]))
            else {
                continue;
            };
            let kind = FaultKind::Between { a: grid, b: other };
            let is_new = found.iter().all(|own| own.0 != kind);
            if pin.abs_diff(at) == 1 && grid != other && is_new {
                found.push((kind, place));
            }
        }
    }
    // Of the pairs of neighbouring pins about one in three joins such electrodes (judgement); each has its part of that.
    let share = if stages > 0 {
        1.0 / (3 * stages) as f64
    } else {
        0.0
    };
    let at = |(kind, place)| AtPins { kind, share, place };
    found.into_iter().map(at).collect()
}

/// Chance that one of the two joints of a part is as good as open, of a set with so many parts and stages; the row is per stage.
pub(super) fn joint_chance(
    catalogue: &Catalogue,
    chance: impl Fn(&PartFault) -> f64,
    stages: usize,
    parts: usize,
) -> f64 {
    let rows = catalogue.part_faults("wire");
    let row = rows
        .into_iter()
        .find(|row| row.fault == "solder joint open or never made");
    let per_part = stages as f64 / parts.max(1) as f64;
    row.map_or(0.0, |row| {
        (chance(row) * STAYS * share_open(row) * per_part).min(0.05)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::read_sheet;
    use crate::suspects::hypotheses::{Hypotheses, Suspect};
    use crate::suspects::outcome::suspect_named;

    const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");

    /// By hand: a joint in series from 1 ohm to 10 megohms, even in ratios, is above 10 k in three decades of seven.
    #[test]
    fn joints_and_contacts_count_where_they_act_as_open() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let rows = catalogue.part_faults("wire");
        let row = rows
            .into_iter()
            .find(|row| row.fault.starts_with("solder joint"));
        let row = row.expect("a row");
        assert!((share_open(row) - 3.0 / 7.0).abs() < 1e-9);
        let each = joint_chance(catalogue, |_| 0.1, 20, 250);
        assert!((each - 0.1 * 0.1 * 3.0 / 7.0 * 0.08).abs() < 1e-9);
    }

    #[test]
    fn every_tube_has_a_socket_of_its_own() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let all = Hypotheses::of(&model, catalogue);
        let v8 = model.tube_index("V8").expect("a tube");
        let socket = suspect_named(&model, "v8's socket").expect("a socket");
        assert_eq!(socket, Suspect::Socket(v8));
        assert_eq!(socket.reference(&model), "V8's socket");
        let own: Vec<_> = all.of_suspect(socket).collect();
        assert!(own.iter().any(|own| own.kind == FaultKind::HeaterOpen(v8)));
        assert!(
            own.iter()
                .any(|own| matches!(own.kind, FaultKind::Emission { tube, .. } if tube == v8))
        );
        // Each way has words of its own.
        let mut words: Vec<&str> = own.iter().map(|own| own.fault.as_str()).collect();
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), own.len());
        // All its ways together are no likelier than the rows say.
        let sum: f64 = own.iter().map(|own| own.chance).sum();
        assert!(sum > 0.0 && sum < 0.4, "{sum}");
        // A leak between pins has the ohms of its row.
        let leaks = all
            .list
            .iter()
            .filter(|own| own.row == "carbon track or leak");
        assert!(leaks.count() > 3);
    }
}
