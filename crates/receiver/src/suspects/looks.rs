//! What was seen of single parts before any reading: how it bends their chances.
//!
//! Plain chances. A part that looks as the fault table says of a fault is `AS_TOLD` times likelier to have it, by odds; one that
//! looks bad in another way `BAD` times likelier to have any; one that was looked at and found sound a
//! little less (`SOUND`), and as before where the table says that nothing is to be seen. All figures are judgement: no counted
//! survey is known. A suspect that the set has not is left alone; nothing here fails.

use parts::Catalogue;

use super::hypotheses::{Hypotheses, Suspect};
use super::outcome::stems;
use crate::wiring::SetModel;

/// Odds of the fault that such a look is told of.
const AS_TOLD: f64 = 5.0;
/// Odds of any other fault of a part that looks bad.
const BAD: f64 = 2.0;
/// Odds of a fault that is to be seen, where the part looks sound.
const SOUND: f64 = 0.7;
/// Words of the table for a fault that shows in no look.
const NOTHING_TO_SEE: [&str; 3] = ["perfect", "nothing", "none"];

/// A part that was looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// The part.
    pub suspect: Suspect,
    /// What was found, in words.
    pub words: String,
    /// Whether that is the sound state.
    pub is_sound: bool,
}

impl Hypotheses {
    /// Takes in what was seen of single parts; of one part several looks add up.
    pub fn look_at(&mut self, model: &SetModel<'_>, catalogue: &Catalogue, looks: &[Look]) {
        for look in looks {
            let kind = look.suspect.kind(model);
            let rows = catalogue.part_faults(kind);
            let words = stems(&look.words);
            for own in &mut self.list {
                if own.suspect != look.suspect || own.is_of_sheet() {
                    continue;
                }
                let row = rows.iter().find(|row| row.fault == own.row);
                let told = row.map_or("", |row| row.seen_by.as_str());
                let shows =
                    !told.is_empty() && NOTHING_TO_SEE.iter().all(|word| !told.contains(word));
                let as_told = stems(told).iter().any(|stem| words.contains(stem))
                    || stems(&own.fault).iter().any(|stem| words.contains(stem));
                let times = match look.is_sound {
                    true if shows => SOUND,
                    true => 1.0,
                    false if as_told => AS_TOLD,
                    false => BAD,
                };
                let odds = times * own.chance / (1.0 - own.chance);
                own.chance = odds / (1.0 + odds);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::read_sheet;
    use crate::suspects::outcome::suspect_named;

    const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");

    /// By hand: odds of the fault, times what the look says.
    #[test]
    fn looks_bend_the_odds() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let before = Hypotheses::of(&model, catalogue);
        let after = |name: &str, words: &str, is_sound: bool| {
            let suspect = suspect_named(&model, name).expect("a part");
            let mut own = before.clone();
            own.look_at(
                &model,
                catalogue,
                &[Look {
                    suspect,
                    words: words.to_string(),
                    is_sound,
                }],
            );
            own
        };
        let odds = |own: &Hypotheses, name: &str, fault: &str| {
            let suspect = suspect_named(&model, name).expect("a part");
            let mut all = own.of_suspect(suspect);
            let chance = all.find(|own| own.fault == fault).expect("a fault").chance;
            chance / (1.0 - chance)
        };
        let times = |own: &Hypotheses, name: &str, fault: &str| {
            odds(own, name, fault) / odds(&before, name, fault)
        };
        let burnt = after("R71", "darkened, burnt", false);
        assert!((times(&burnt, "R71", "value high") - AS_TOLD).abs() < 1e-9);
        assert!((times(&burnt, "R70", "value high") - 1.0).abs() < 1e-9);
        let sweats = after("C50", "wax cracked and sweated", false);
        assert!((times(&sweats, "C50", "leaky") - AS_TOLD).abs() < 1e-9);
        assert!((times(&sweats, "C50", "slightly leaky") - BAD).abs() < 1e-9);
        let sound = after("C50", "sound", true);
        assert!((times(&sound, "C50", "leaky") - SOUND).abs() < 1e-9);
        assert!((times(&sound, "C50", "slightly leaky") - 1.0).abs() < 1e-9);
    }
}
