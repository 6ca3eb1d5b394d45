//! The set in short, how its chassis stands to the line, what can hurt whoever opens the back, and
//! what is not written down.
//!
//! Volts, hertz. Dangers are those of `data/hazards.csv` that belong to the set and to somebody who
//! plays it, carries it or opens its back, in an order of our own: what kills first. Fails only for
//! a fault of the program's own figures.

use receiver::hazard::{self, Act, ActKind, ActPlace, Carrying, Connected, Grip};
use receiver::plan::situation::situation_of;
use receiver::sheet::{ChassisStanding, PartKind, SheetPart};
use receiver::wiring::SetModel;

use super::{HandOnAsk, Handed};
use crate::check_sheet::catalogue;
use crate::trouble::Trouble;
use crate::view::{
    CautionView, CoverView, HandingOnView, SetStandingView, StoryLineView, six_figures,
};

/// Dangers of a set that is played, carried or opened, the deadliest first (judgement).
const DANGERS: &[&str] = &[
    "charged-electrolytics",
    "picture-tube-charge",
    "high-voltage-filter-charge",
    "line-frequency-high-voltage",
    "live-chassis",
    "touched-metal",
    "antenna-isolation",
    "line-capacitors",
    "chassis-bonding",
    "metal-cone",
    "interlock-defeated",
    "body-current",
    "horizontal-output-plate",
    "tube-cap",
    "high-voltage",
    "x-rays",
    "implosion",
    "safety-glass",
    "bonded-window",
    "ungrounded-coating",
    "neck-breakage",
    "hot-can",
    "selenium",
    "old-line-cord",
    "resistance-cord",
    "wrong-fuse",
    "line-higher-than-marked",
    "fire",
    "wax-fire",
    "unattended-set",
    "power-transformer-hot",
    "hot-parts",
    "sharp-and-heavy",
    "local-rules",
];

/// The set and the work in short.
pub(super) fn cover(
    ask: &HandOnAsk<'_>,
    handed: &Handed<'_>,
    entries: usize,
    story: &[StoryLineView],
) -> CoverView {
    let sheet = &handed.so_far.sheet;
    let days = || handed.facts.iter().map(|one| one.at.day());
    let said = |text: &Option<String>| {
        let text = text.as_deref().map(str::trim);
        text.filter(|text| !text.is_empty()).map(str::to_owned)
    };
    CoverView {
        set: said(&Some(sheet.name.clone())),
        made: sheet.made,
        line_volts: Some(six_figures(sheet.line_volts)),
        line_hertz: Some(six_figures(sheet.line_hertz)),
        restored_by: said(&ask.restored_by),
        first_day: days().min().map(str::to_owned),
        last_day: days().max().map(str::to_owned),
        entries,
        photographs: story
            .iter()
            .filter(|line| line.photograph.is_some())
            .count(),
        tubes: sheet.tubes.len(),
        parts: sheet.parts.len(),
    }
}

/// How the chassis stands to the line.
pub(super) fn standing(handed: &Handed<'_>) -> SetStandingView {
    let sheet = &handed.so_far.sheet;
    let mut capacitors = Vec::new();
    let (chassis, text) = match sheet.chassis_standing() {
        ChassisStanding::OnTheLine { blade, through } => {
            let way = match through.is_empty() {
                true => String::new(),
                false => format!(" through {}", through.join(", ")),
            };
            (
                "on_the_line",
                format!(
                    "The chassis is on the line: by the sheet it is reached from {blade}{way}. Every metal part that is joined to it can be live, whichever way the plug goes in."
                ),
            )
        }
        ChassisStanding::Isolated { line_capacitors } => {
            capacitors = line_capacitors;
            let leak = match capacitors.is_empty() {
                true => String::new(),
                false => format!(
                    " {} between line and chassis pass a little current, and more when they leak.",
                    capacitors.join(", ")
                ),
            };
            (
                "isolated",
                format!(
                    "By the sheet a transformer parts the chassis from the line.{leak} That is no proof: measure before you touch."
                ),
            )
        }
        ChassisStanding::NotTold => (
            "not_told",
            "The sheet does not tell whether the chassis is on the line. Take it as live."
                .to_owned(),
        ),
    };
    let lines = |kind: PartKind| -> Vec<String> {
        let of_kind = sheet.parts.iter().filter(|part| part.value.kind() == kind);
        of_kind.map(|part| line_of(handed, part)).collect()
    };
    SetStandingView {
        chassis,
        text,
        line_capacitors: capacitors,
        fuses: lines(PartKind::Fuse),
        plugs: lines(PartKind::Plug),
    }
}

fn line_of(handed: &Handed<'_>, part: &SheetPart) -> String {
    let value = handed.by_sheet(&part.reference);
    let value = match value.as_str() {
        "" => String::new(),
        value => format!(" {value},"),
    };
    let from_to = format!("{} to {}", part.from, part.to);
    let replaced = match handed.so_far.sheet.state.replaced.contains(&part.reference) {
        true => ", replaced: see parts replaced",
        false => "",
    };
    format!("{}:{value} {from_to}{replaced}", part.reference)
}

/// What can hurt.
pub(super) fn cautions(handed: &Handed<'_>) -> Result<Vec<CautionView>, Trouble> {
    let model = SetModel::new(&handed.so_far.sheet, catalogue()?);
    let situation = situation_of(&model);
    let carrying = Carrying {
        people: 2,
        grip: Grip::ByTheFrame,
        protected: false,
        others_near: false,
    };
    let acts = [
        Act::new(ActKind::HandOver, ActPlace::WholeSet),
        Act::new(ActKind::KeepRunning, ActPlace::OpenChassis).energised(None),
        Act::new(ActKind::Touch, ActPlace::PictureTube),
        Act::new(ActKind::Carry(carrying), ActPlace::WholeSet),
        Act::new(
            ActKind::Connect(Connected::Antenna),
            ActPlace::AntennaTerminals,
        ),
        Act::new(ActKind::Connect(Connected::Earth), ActPlace::Chassis),
        Act::new(ActKind::Look, ActPlace::Fuse(String::new())),
    ];
    let table = hazard::table().map_err(|faults| {
        let first = faults.first().map(ToString::to_string);
        Trouble::ours(first.unwrap_or_default())
    })?;
    let present = |id: &&str| {
        let row = table.hazards().iter().find(|row| row.id == **id)?;
        row.trigger.holds(&acts, &situation).then_some(row)
    };
    Ok(DANGERS
        .iter()
        .filter_map(present)
        .map(|row| CautionView {
            id: row.id.clone(),
            hazard: row.hazard.clone(),
            caution: row.caution.clone(),
            safe_way: row.safe_way.clone(),
        })
        .collect())
}

/// What is not written down, one sentence each.
pub(super) fn not_written_down(view: &HandingOnView) -> Vec<String> {
    let mut lacks = Vec::new();
    let mut lack = |is_lacking: bool, text: &str| {
        if is_lacking {
            lacks.push(text.to_owned());
        }
    };
    lack(view.cover.set.is_none(), "the name of the set");
    lack(view.cover.made.is_none(), "the year in which it was made");
    lack(view.cover.restored_by.is_none(), "who restored it");
    lack(!view.safety.written_down, "a safety proof at the end");
    lack(
        view.standing.fuses.is_empty(),
        "a fuse: the sheet has none, whether the set has one is not told",
    );
    lack(
        view.picture_tube.found.is_empty(),
        "how good the picture tube is",
    );
    lack(
        view.power_up.steps.is_empty(),
        "how the set was first brought up to full line volts",
    );
    lack(
        view.chart.line_volts.is_none(),
        "the maker's chart of voltages",
    );
    lack(
        view.chart.rows.iter().all(|row| row.typed.is_empty()),
        "readings at full line volts in the set as it is now",
    );
    lack(view.replaced.is_empty(), "any part that was replaced");
    let unsaid = view
        .replaced
        .iter()
        .filter(|part| part.at.is_none())
        .count();
    if unsaid > 0 {
        lacks.push(format!(
            "when and by what {unsaid} of the replaced parts were replaced: only the sheet says that they were"
        ));
    }
    let mut lack = |is_lacking: bool, text: &str| {
        if is_lacking {
            lacks.push(text.to_owned());
        }
    };
    lack(
        view.original.known.is_empty(),
        "which parts are the maker's own",
    );
    lack(view.cover.photographs == 0, "photographs");
    lacks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_danger_of_the_order_is_in_the_table_once() {
        let table = hazard::table().expect("a table");
        let mut seen = std::collections::HashSet::new();
        for id in DANGERS {
            assert!(table.hazards().iter().any(|row| row.id == *id), "{id}");
            assert!(seen.insert(id), "{id} twice");
        }
    }
}
