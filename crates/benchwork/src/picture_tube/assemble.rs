//! The judgements of one picture tube, put together as they are shown.
//!
//! Units as the views name them. Everything is asked of the receiver; only words and order are
//! made here. Fails only for faults of the program's own tables.

use parts::TubeType;
use receiver::picture_tube::advised::Advised;
use receiver::picture_tube::drive::CutoffFinding;
use receiver::picture_tube::heater::{HeaterFinding, cold_ohms_of};
use receiver::picture_tube::ion_trap::{
    HOW_IT_IS_SET, TrapNeed, WHAT_A_WRONG_SETTING_DOES, trap_need, what_a_substitute_changes,
};
use receiver::picture_tube::judge_tube::{TubeJudgement, judge_tube};
use receiver::picture_tube::leakage::Leak;
use receiver::picture_tube::life_fall::Fall;
use receiver::picture_tube::life_test::Reserve;
use receiver::picture_tube::recovery::Recovery;
use receiver::picture_tube::verdict::Standing;

use super::bench::bench_view;
use super::drive::{MICRO, drive_view};
use super::emission::{emission_view, since_before};
use super::gather::{Gathered, notice};
use crate::check_sheet::catalogue;
use crate::trouble::Trouble;
use crate::view::{
    ActView, BandView, CureView, FindingView, HeaterJudgedView, IonTrapView, LeakView,
    LifeTestView, PictureView, RecoveryStepView, RecoveryView, RunningSetView, StandInView,
    TubeTypeView, VerdictView, six_figures,
};
use crate::{FORMAT, PROGRAM_VERSION};

/// Volts of picture for which brightness is told where none are said; the spread of trade
/// practice (`data/trade_numbers.csv`, "video drive", from memory).
const DRIVES: &str = "video drive";

/// What holds for every work at a picture tube (common practice).
const CAUTIONS: [&str; 4] = [
    "Plug out. The anode contact is discharged to the coating or chassis through a resistor, several times: it charges itself up again.",
    "The tube can implode: goggles and gloves whenever it is bare, never lifted by the neck, laid face down on something soft.",
    "In the running set brightness stays down, and no standing spot or line is left on the screen: it burns in within seconds.",
    "On the bench no wire is touched while the source is on; one hand, clips put on beforehand.",
];

/// A question with its figures read.
pub(super) struct Question {
    /// Volts of the second grid, and where they come from.
    pub second_grid: Option<(f64, String)>,
    /// Volts of the bench source.
    pub source: f64,
    /// Volts of picture.
    pub drive: Option<f64>,
    /// Reading that counts as good.
    pub good_from: Option<f64>,
    /// A type that is to stand in.
    pub stand_in: Option<&'static TubeType>,
}

/// Everything of one tube; without a record for a type alone.
pub(super) fn assemble(
    tube: &TubeType,
    record: Option<&Gathered>,
    question: &Question,
) -> Result<PictureView, Trouble> {
    let catalogue = catalogue()?;
    let judged = match record {
        Some(record) => Some(
            judge_tube(tube, &record.facts, catalogue)
                .map_err(|fault| Trouble::ours(fault.to_string()))?,
        ),
        None => None,
    };
    let drives = match (question.drive, catalogue.trade_number(DRIVES)) {
        (Some(drive), _) => vec![drive],
        (None, Some(usual)) => vec![usual.low, usual.typical, usual.high],
        (None, None) => Vec::new(),
    };
    let facts = record.map(|record| &record.facts);
    let cut_offs = facts.map_or(&[][..], |facts| &facts.cut_offs);
    // Without other word the second grid is taken as it was at the last cut-off.
    let at_cut_off = cut_offs.iter().rev().find_map(|one| {
        let volts = one.second_grid?.0;
        Some((volts, "as at the last cut-off".to_owned()))
    });
    let second_grid = question.second_grid.clone().or(at_cut_off);
    let mut notices = record
        .map(|record| record.notices.clone())
        .unwrap_or_default();
    let mut emission = Vec::new();
    if let (Some(facts), Some(judged)) = (facts, &judged) {
        for (sitting, (_, outlook)) in facts.sittings.iter().zip(&judged.sittings) {
            match outlook {
                Ok(outlook) => emission.push(emission_view(sitting, outlook)),
                Err(faults) => notices.extend(
                    faults
                        .0
                        .iter()
                        .map(|fault| notice(&fault.to_string(), "correct or undo the entry")),
                ),
            }
        }
    }
    let mut heater: Vec<FindingView> = Vec::new();
    for finding in judged.iter().flat_map(|judged| &judged.heater) {
        let finding = heater_finding(finding);
        // Cold ohms and hot amperes may both say the same.
        if !heater.contains(&finding) {
            heater.push(finding);
        }
    }
    let rating = tube.heater.as_ref();
    let cold = cold_ohms_of(tube, catalogue).ok();
    Ok(PictureView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: None,
        restoration: None,
        tube: None,
        type_name: tube.name.clone(),
        entries: record.map_or(0, |record| record.entries),
        verdict: judged.as_ref().map(verdict_view),
        cures: cures(judged.as_ref(), record),
        heater: HeaterJudgedView {
            rated_volts: tube.heater_volts,
            rated_amperes: rating.map(|rating| rating.amperes),
            cold_ohms_low: cold.as_ref().map(|(least, _)| six_figures(least.0)),
            cold_ohms_high: cold.as_ref().map(|(_, most)| six_figures(most.0)),
            findings: heater,
        },
        leaks: judged.iter().flat_map(leaks).collect(),
        drive: drive_view(
            tube,
            second_grid,
            &drives,
            (cut_offs, judged.as_ref()),
            catalogue,
        ),
        comparisons: since_before(&emission, judged.as_ref()),
        emission,
        bench: bench_view(tube, question.source, judged.as_ref(), catalogue)?,
        life_test: judged
            .as_ref()
            .and_then(|judged| judged.fall.as_ref())
            .map(life_view),
        running_set: judged
            .as_ref()
            .and_then(|judged| judged.running.as_ref())
            .map(|(found, band)| RunningSetView {
                verdict: against_word(*found),
                usual_microamperes: BandView::new(band, MICRO),
            }),
        ion_trap: trap_view(tube),
        stand_ins: stand_ins(tube, question.stand_in, catalogue),
        recovery: judged
            .as_ref()
            .map(|judged| recovery_view(&judged.recovery)),
        base: TubeTypeView::new(tube, catalogue, false).base,
        cautions: CAUTIONS.iter().map(|text| (*text).to_owned()).collect(),
        notices,
    })
}

pub(super) fn act(advised: &Advised) -> ActView {
    ActView {
        text: advised.sentence.clone(),
        cautions: advised.cautions.clone(),
    }
}

fn verdict_view(judged: &TubeJudgement) -> VerdictView {
    let (standing, text) = match judged.verdict.standing {
        Standing::Good => ("good", "Good: nothing has to be done."),
        Standing::Usable => (
            "usable",
            "Usable as it is, weaker than new or with a fault that can be lived with.",
        ),
        Standing::Tired => ("tired", "Too weak or at fault for now; it is not given up."),
        Standing::Spent => (
            "spent",
            "Nothing found that a restorer can mend, if the cheap cures change nothing.",
        ),
        Standing::CannotTell => ("cannot_tell", "What was read does not tell yet."),
    };
    VerdictView {
        standing,
        text: text.to_owned(),
        reasons: judged.verdict.reasons.clone(),
        would_change: judged.verdict.would_change.clone(),
    }
}

fn cures(judged: Option<&TubeJudgement>, record: Option<&Gathered>) -> Vec<CureView> {
    let tried = |name: &str| {
        let own = record?.tried.iter().rev().find(|(own, _)| own == name);
        own.map(|(_, gained)| match gained.as_str() {
            "" => "tried".to_owned(),
            gained => gained.to_owned(),
        })
    };
    judged
        .iter()
        .flat_map(|judged| &judged.verdict.cures)
        .map(|cure| CureView {
            name: cure.name,
            because: cure.because.to_owned(),
            acts: cure.acts.iter().map(act).collect(),
            text: cure.words.to_owned(),
            gained: tried(cure.name),
        })
        .collect()
}

fn heater_finding(finding: &HeaterFinding) -> FindingView {
    let (kind, text) = match finding {
        HeaterFinding::AsItShould => ("as_it_should", "as the type should be".to_owned()),
        HeaterFinding::Open => ("open", "no way through: base pin or wire".to_owned()),
        HeaterFinding::ShortedTurns => (
            "shorted_turns",
            "more current or less resistance than the rating: turns that touch".to_owned(),
        ),
        HeaterFinding::BadJoint => (
            "bad_joint",
            "less current or more resistance than the rating: a bad joint in a base pin, if it is the right type".to_owned(),
        ),
        HeaterFinding::AnotherType {
            rated_amperes,
            such_as,
        } => {
            let such = match such_as.as_slice() {
                [] => String::new(),
                names => format!(", such as {}", names.join(", ")),
            };
            let text = format!("it draws what types of {rated_amperes} A draw{such}: read the type again");
            ("another_type", text)
        }
        HeaterFinding::Slip(text) => ("slip", text.clone()),
        HeaterFinding::CannotTell(text) => ("cannot_tell", text.clone()),
    };
    FindingView { kind, text }
}

fn leaks(judged: &TubeJudgement) -> Vec<LeakView> {
    let view = |(reading, leak): &(_, Leak)| {
        let reading: &receiver::picture_tube::leakage::LeakReading = reading;
        let (verdict, text) = match leak {
            Leak::Sound => ("sound", "sound"),
            Leak::Watch => (
                "watch",
                "between sound and leaking: clean the base and read again",
            ),
            Leak::Leaks(does) => ("leaks", *does),
            Leak::Short(does) => ("short", *does),
            Leak::SaysNothing(because) => ("says_nothing", *because),
        };
        LeakView {
            plus: reading.plus.word(),
            minus: reading.minus.word(),
            ohms: Some(reading.ohms.0).filter(|ohms| ohms.is_finite()),
            hot: reading.hot,
            verdict,
            text: text.to_owned(),
        }
    };
    judged.leaks.iter().map(view).collect()
}

pub(super) fn against_word(found: CutoffFinding) -> &'static str {
    match found {
        CutoffFinding::Inside => "inside",
        CutoffFinding::Low => "low",
        CutoffFinding::High => "high",
    }
}

fn life_view(fall: &Fall) -> LifeTestView {
    let (reserve, at_least, text) = match &fall.reserve {
        Reserve::Told(band) => (
            Some(BandView::new(band, 1.0)),
            None,
            format!(
                "emission is {:.1} to {:.1} times what the reading asks for; a good cathode has 6 to 10",
                band.low, band.high
            ),
        ),
        Reserve::AtLeast(least) => (
            None,
            Some(six_figures(*least)),
            format!("emission is at least {least:.1} times what the reading asks for"),
        ),
        Reserve::CannotTell(because) => (None, None, because.clone()),
    };
    LifeTestView {
        reserve,
        reserve_at_least: at_least,
        at_seconds: fall.at_seconds,
        left: fall.left.map(six_figures),
        good_leaves: fall
            .good_leaves
            .map(|(least, most)| [least, most].map(six_figures)),
        text,
    }
}

fn trap_view(tube: &TubeType) -> IonTrapView {
    let need = trap_need(tube);
    let source = &tube.provenance.source;
    let (word, text) = match need {
        TrapNeed::None => (
            "none",
            format!("{} needs none: leave the magnet off", tube.name),
        ),
        TrapNeed::Single => (
            "single",
            format!("{} has a bent gun and needs one magnet", tube.name),
        ),
        TrapNeed::Double => (
            "double",
            format!("{} has a bent gun and needs a double magnet", tube.name),
        ),
        TrapNeed::NotKnown => (
            "not_known",
            format!(
                "whether {} needs one is not known: look whether the gun is bent, fit one and try, brightness low",
                tube.name
            ),
        ),
    };
    let is_set = need != TrapNeed::None;
    IonTrapView {
        need: word,
        text: format!("{text} (by the type's own row; {source})"),
        setting: HOW_IT_IS_SET
            .iter()
            .filter(|_| is_set)
            .map(|step| (*step).to_owned())
            .collect(),
        wrong: WHAT_A_WRONG_SETTING_DOES.to_owned(),
    }
}

fn stand_ins(
    tube: &TubeType,
    asked: Option<&TubeType>,
    catalogue: &parts::Catalogue,
) -> Vec<StandInView> {
    let mut views = Vec::new();
    if let Some(other) = asked {
        views.push(StandInView {
            name: other.name.clone(),
            asked: true,
            changes: what_a_substitute_changes(tube, other),
            listed_as: String::new(),
        });
        return views;
    }
    for close in tube
        .picture
        .iter()
        .flat_map(|picture| &picture.close_replacements)
    {
        let changes = match catalogue.tube(&close.name) {
            Some(other) => what_a_substitute_changes(tube, other),
            None => vec!["its row is not in the catalogue".to_owned()],
        };
        views.push(StandInView {
            name: close.name.clone(),
            asked: false,
            changes,
            listed_as: close.changes.clone(),
        });
    }
    views
}

fn recovery_view(recovery: &Recovery) -> RecoveryView {
    RecoveryView {
        steps: recovery
            .steps
            .iter()
            .map(|step| RecoveryStepView {
                act: act(&step.advised),
                heater_volts: six_figures(step.heater_volts),
                longest_minutes: six_figures(step.longest_seconds / 60.0),
                stop_rule: step.stop_rule.clone(),
            })
            .collect(),
        highest_volts: recovery.highest_volts.map(six_figures),
        total_minutes: six_figures(recovery.total_seconds / 60.0),
        not_advised: recovery.not_advised.clone(),
        cost: recovery.cost.to_owned(),
        harsher: recovery.harsher.to_owned(),
    }
}
