//! How one gets at a part for its ohms: cut loose at one end, read where it sits, or out of its holder.
//!
//! Common practice: a fuse, switch, plug or jumper has next to no ohms, so what lies beside it does not count and it is
//! read in place; a lamp or a ballast comes out of its holder. All else is cut loose at one end. Nothing here fails.

use crate::hazard::{Absence, Act, ActKind, Instrument, Measured};
use crate::plan::situation::act_part;
use crate::sheet::PartValue;
use crate::wiring::SetModel;

use super::acts::proven;

/// How a part is got at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GotAt {
    /// One end cut loose.
    CutLoose,
    /// Read where it sits.
    InPlace,
    /// Taken out of its holder.
    OutOfHolder,
}

impl GotAt {
    /// Of a part by its position on the sheet.
    pub fn of(model: &SetModel<'_>, part: usize) -> GotAt {
        match model.sheet.parts.get(part).map(|own| &own.value) {
            Some(
                PartValue::Fuse { .. }
                | PartValue::Switch { .. }
                | PartValue::Plug { .. }
                | PartValue::Wire,
            ) => GotAt::InPlace,
            Some(PartValue::Lamp(_) | PartValue::Ballast { .. }) => GotAt::OutOfHolder,
            _ => GotAt::CutLoose,
        }
    }

    /// The row of the efforts' table for its ohms.
    pub(super) fn row(self) -> &'static str {
        match self {
            GotAt::CutLoose => "part-ohms",
            GotAt::InPlace | GotAt::OutOfHolder => "part-in-place",
        }
    }
}

/// What is done for a part's ohms, the plug out.
pub(super) fn acts(model: &SetModel<'_>, part: usize) -> Vec<Act> {
    let at = || act_part(model, part);
    let read = proven(Act::measure(Measured::Ohms, at(), at())).with(Instrument::Ohmmeter);
    match GotAt::of(model, part) {
        GotAt::CutLoose => vec![proven(Act::new(ActKind::Lift, at())), read],
        GotAt::InPlace => vec![read],
        // It is back before the set runs again.
        GotAt::OutOfHolder => vec![
            proven(Act::new(ActKind::Pull, at())).absence(Absence::HARMLESS),
            read,
            proven(Act::new(ActKind::Fit, at())),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hazard::ActPlace;
    use crate::sheet::read_sheet;
    use crate::suspects::next::acts::{allowed, plug_out_first};
    use crate::suspects::next::while_hunting;

    /// Common practice: nobody cuts a fuse or a switch loose to see whether it is open.
    #[test]
    fn a_fuse_a_switch_and_a_plug_are_read_in_place() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let larkfield = include_str!("../../../../../examples/whole/larkfield_12t.toml");
        let merrow = include_str!("../../../../../examples/whole/merrow_17s.toml");
        let mut in_place = 0;
        for text in [larkfield, merrow] {
            let sheet = read_sheet(text, catalogue).sheet.expect("no fault");
            let model = SetModel::new(&sheet, catalogue);
            let situation = while_hunting(&model, &Default::default(), false);
            for part in 0..sheet.parts.len() {
                let acts = plug_out_first(acts(&model, part));
                let is_cut = acts.iter().any(|own| own.kind == ActKind::Lift);
                assert_eq!(is_cut, GotAt::of(&model, part) == GotAt::CutLoose);
                if is_cut {
                    continue;
                }
                in_place += 1;
                assert!(
                    allowed(&acts, &situation).expect("a table"),
                    "{:?}",
                    acts.last()
                );
                let read = acts.iter().find(|own| own.to.is_some()).expect("read");
                assert_eq!(read.charge, crate::hazard::StoredCharge::ProvenWithMeter);
                if let ActPlace::Fuse(_) = read.place {
                    assert_eq!(acts.len(), 2);
                }
            }
        }
        assert!(in_place > 4, "{in_place}");
    }
}
