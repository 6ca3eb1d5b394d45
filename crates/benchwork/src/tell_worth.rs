//! Whether a set is worth the work, told as a view.
//!
//! Units of the view. What was measured of windings and judged of the picture tube counts as tests that were made. Fails as
//! reading the set does, for a set that finds no settled state, and for tables of figures or prices with faults, all of
//! them at once.

use std::path::{Path, PathBuf};

use parts::{Irreplaceable, WorthFigure, own_worth_figures, worth_figures, worth_tests};
use receiver::renew::verdict::Verdict;
use receiver::sheet::PartValue;
use receiver::suspects::hypotheses::Suspect;
use receiver::worth::chance::{TestSaid, called, outlooks, pulsed_coils};
use receiver::worth::next_test::{TestWeighed, next_tests};
use receiver::worth::weigh::{Advice, Figures, PlanNeeds, Sum, weigh};

use crate::check_sheet::catalogue;
use crate::long_work::LongWork;
use crate::picture_tube::{PictureAsk, judge_picture_tube};
use crate::read_own_file::{or_kept, read_own_file, together};
use crate::renew::{Bought, OrderAsk, Prices, SetAsked, bought, order_lines, planned, with_set};
use crate::trouble::Trouble;
use crate::view::{
    IrreplaceableView, NextTestView, SpreadView, WorthFigureView, WorthView, six_figures,
};
use crate::{FORMAT, PROGRAM_VERSION};

/// How far the ohms of a good winding may be from the sheet, a share (judgement).
const WINDING_OFF: f64 = 0.2;
/// What a picture tube's verdict says of it: chance if it is good, chance if it is bad (judgement).
const VERDICTS: [(&str, f64, f64, bool); 4] = [
    ("good", 0.6, 0.02, true),
    ("usable", 0.3, 0.08, true),
    ("tired", 0.09, 0.4, false),
    ("spent", 0.01, 0.5, false),
];
/// What a good or a bad find says of a transformer (judgement).
const FOUND_GOOD: (f64, f64) = (0.9, 0.15);
const FOUND_BAD: (f64, f64) = (0.03, 0.85);

/// What is asked.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WorthAsk {
    /// A table of own figures.
    pub figures: Option<PathBuf>,
    /// A table of own prices.
    pub prices: Option<PathBuf>,
}

/// Tells whether the set in a sheet or a restoration is worth the work.
pub fn tell_worth(file: &Path, ask: &WorthAsk, work: LongWork<'_>) -> Result<WorthView, Trouble> {
    let table = |faults: &[parts::DataFault]| {
        let all: Vec<String> = faults.iter().map(ToString::to_string).collect();
        Trouble::ours(all.join("; "))
    };
    let tests = worth_tests().map_err(table)?;
    let order = OrderAsk {
        prices: ask.prices.clone(),
        ..OrderAsk::default()
    };
    let mut troubles = Vec::new();
    let figures = match &ask.figures {
        Some(path) => read_own_file(path, own_worth_figures),
        None => Ok(worth_figures().map_err(table)?.to_vec()),
    };
    let figures: Vec<WorthFigure> = or_kept(figures, &mut troubles);
    let prices = or_kept(Prices::read(ask.prices.as_deref()), &mut troubles);
    let told = with_set(file, work, |set| {
        let mut troubles = std::mem::take(&mut troubles);
        let faults = prices.faults(set.model.sheet);
        if !faults.is_empty() {
            troubles.push(Trouble::Input { faults });
        }
        let mut troubles = troubles.into_iter();
        if let Some(trouble) = troubles.next() {
            return Err(together(trouble, troubles));
        }
        let picture = match set.entries {
            Some(_) => judge_picture_tube(file, &PictureAsk::default()).ok(),
            None => None,
        };
        let standing = picture.and_then(|own| own.verdict).map(|own| own.standing);
        let plan = planned(set, &[], work)?;
        work.comes_to("Weighing the set against the work")?;
        let mut said = Vec::new();
        let mut made = Vec::new();
        picture_said(standing, &mut said, &mut made);
        windings_said(set, &mut said, &mut made);
        found_said(set, &mut said);
        let three = outlooks(set.model, catalogue()?, &said);
        let mut needs = PlanNeeds::default();
        for line in &order_lines(set, &plan, &order, &prices)? {
            let pieces = line.count + line.spares;
            match (line.price, bought(&line.kind)) {
                (Some(price), _) => needs.priced += price * f64::from(pieces),
                (None, Bought::Electrolytic) => needs.electrolytics += pieces,
                (None, Bought::ClassMarked) => needs.class_marked += pieces,
                (None, Bought::SetNeed) => needs.set_needs += pieces,
                (None, Bought::Small) => needs.small += pieces,
            }
        }
        let mut perhaps = 0.0;
        for own in &plan.renewals {
            match own.judged.verdict {
                Verdict::Now | Verdict::BeforeLongUse => needs.to_fit += 1,
                Verdict::TestFirst => perhaps += own.judged.chance_bad.unwrap_or(0.3),
                Verdict::Leave | Verdict::Done => {}
            }
        }
        needs.to_fit += perhaps.round() as u32;
        needs.small += perhaps.round() as u32;
        let tested = &set.model.sheet.state.tested;
        let bad = |tube: usize| {
            let mut all = set.found_good.iter();
            all.any(|(own, good)| *own == Suspect::Tube(tube) && !good)
        };
        for (tube, own) in set.model.sheet.tubes.iter().enumerate() {
            if own.kind.is_picture_tube {
                continue;
            }
            if bad(tube) {
                needs.bad_tubes += 1;
            } else if !tested.iter().any(|test| test.reference == own.reference) {
                needs.untested_tubes += 1;
            }
        }
        let figures_of = Figures(&figures);
        let outcome = weigh(figures_of, &three, &needs);
        let next = next_tests(figures_of, &three, &needs, tests, &made);
        let mut missing = set.missing();
        let cut = &set.model.sheet.state.cut_loose;
        missing.extend(cut.iter().map(|own| format!("{own}, cut loose")));
        Ok(WorthView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            file: file.display().to_string(),
            set: set.model.sheet.name.clone(),
            advice: advice_name(outcome.advice()),
            three: three
                .iter()
                .map(|own| {
                    let there = own.is_there();
                    let chance = |value: f64| there.then(|| six_figures(value));
                    IrreplaceableView {
                        which: name_of(own.which),
                        called: called(own.which),
                        parts: own.names.clone(),
                        good: chance(own.good),
                        low: chance(own.low),
                        high: chance(own.high),
                        because: own.because.clone(),
                    }
                })
                .collect(),
            missing,
            plays: six_figures(outcome.plays),
            all_three_good: six_figures(outcome.all_good),
            parts_money: spread(outcome.parts),
            irreplaceable_money: spread(outcome.irreplaceable),
            evenings: spread(outcome.evenings),
            going_on_money: six_figures(outcome.going_on),
            stopping_money: six_figures(outcome.stopping),
            break_even_money: outcome
                .break_even
                .is_finite()
                .then(|| six_figures(outcome.break_even)),
            because: reasons(&outcome, &next, ask),
            next_tests: next.iter().map(test_view).collect(),
            figures: figures
                .iter()
                .map(|own| WorthFigureView {
                    name: own.name.clone(),
                    low: own.low,
                    typical: own.typical,
                    high: own.high,
                    unit: own.unit.clone(),
                    meaning: own.meaning.clone(),
                    standing: own.standing.to_string(),
                })
                .collect(),
            notices: set.notices.clone(),
        })
    });
    told.map_err(|trouble| together(trouble, troubles))
}

/// What the record of the picture tube says.
fn picture_said(standing: Option<&str>, said: &mut Vec<TestSaid>, made: &mut Vec<String>) {
    let mut rows = VERDICTS.iter();
    let Some((word, if_good, if_bad, passed)) = rows.find(|own| Some(own.0) == standing) else {
        return;
    };
    said.push(TestSaid {
        of: Irreplaceable::PictureTube,
        passed: *passed,
        if_good: *if_good,
        if_bad: *if_bad,
        words: format!("judged by what was found of it: {word}"),
    });
    made.push("heater of the picture tube".to_owned());
    made.push("emission of the picture tube".to_owned());
}

/// What the measured windings say: each of them within a fifth of the sheet, or one that is not.
fn windings_said(set: &SetAsked<'_, '_>, said: &mut Vec<TestSaid>, made: &mut Vec<String>) {
    let sheet = set.model.sheet;
    let mut tell = |of, test: &str, all: Vec<(String, f64, Option<f64>)>| {
        let known = all.iter().filter(|own| own.2.is_some()).count();
        if known == 0 {
            return;
        }
        let off: Vec<&str> = all
            .iter()
            .filter(|own| {
                own.2
                    .is_some_and(|ohms| (ohms / own.1 - 1.0).abs() > WINDING_OFF)
            })
            .map(|own| &own.0[..])
            .collect();
        // Of windings that were not all measured the missing ones miss their share.
        let share = known as f64 / all.len() as f64;
        let misses = 1.0 - share * (1.0 - 0.6);
        if off.is_empty() {
            said.push(TestSaid {
                of,
                passed: true,
                if_good: 0.97,
                if_bad: misses,
                words: format!(
                    "{known} of {} windings measured, as the sheet has them",
                    all.len()
                ),
            });
            if known == all.len() {
                made.push(test.to_owned());
            }
        } else {
            said.push(TestSaid {
                of,
                passed: false,
                if_good: 0.03,
                if_bad: 1.0 - misses,
                words: format!("off the sheet by more than a fifth: {}", off.join(", ")),
            });
        }
    };
    let mut windings = Vec::new();
    for own in &sheet.windings {
        if let Some(ohms) = own.ohms {
            let measured = sheet
                .state
                .measured_winding_ohms(&own.transformer, &own.name);
            windings.push((format!("{} {}", own.transformer, own.name), ohms, measured));
        }
    }
    tell(
        Irreplaceable::PowerTransformer,
        "windings of the power transformer",
        windings,
    );
    let mut coils = Vec::new();
    for own in pulsed_coils(set.model) {
        if let PartValue::Coil {
            ohms: Some(ohms), ..
        } = own.value
        {
            let measured = sheet.state.measured_ohms(&own.reference);
            coils.push((own.reference.clone(), ohms, measured));
        }
    }
    tell(Irreplaceable::Flyback, "windings of the flyback", coils);
}

/// What was found of the transformers and the picture tube by themselves.
fn found_said(set: &SetAsked<'_, '_>, said: &mut Vec<TestSaid>) {
    let model = set.model;
    let flyback: Vec<&str> = pulsed_coils(model).map(|own| &own.reference[..]).collect();
    for ((suspect, good), (_, words)) in set.found_good.iter().zip(&set.found) {
        let name = suspect.reference(model);
        let of = match suspect {
            Suspect::Transformer(_) => Irreplaceable::PowerTransformer,
            Suspect::Part(_) if flyback.contains(&name) => Irreplaceable::Flyback,
            Suspect::Tube(tube) if model.sheet.tubes[*tube].kind.is_picture_tube => {
                Irreplaceable::PictureTube
            }
            _ => continue,
        };
        let (if_good, if_bad) = if *good { FOUND_GOOD } else { FOUND_BAD };
        said.push(TestSaid {
            of,
            passed: *good,
            if_good,
            if_bad,
            words: format!("{name}: {words}"),
        });
    }
}

fn reasons(
    outcome: &receiver::worth::weigh::Outcome,
    next: &[TestWeighed],
    ask: &WorthAsk,
) -> Vec<String> {
    let mut told = Vec::new();
    told.push(format!(
        "{:.0} of 100 such sets play in the end; in {:.0} all three parts are good as they are",
        100.0 * outcome.plays,
        100.0 * outcome.all_good
    ));
    told.push(match outcome.advice() {
        Advice::GoOn => format!(
            "going on is worth {:.0} on average over what it costs, stopping {:.0}",
            outcome.going_on, outcome.stopping
        ),
        Advice::Stop => format!(
            "going on is worth {:.0} on average over what it costs, less than the {:.0} of stopping",
            outcome.going_on, outcome.stopping
        ),
    });
    if outcome.break_even.is_finite() {
        told.push(format!(
            "it is no loss from {:.0} on that the playing set is worth to you",
            outcome.break_even
        ));
    }
    match next.first() {
        Some(first) if first.changes() => told.push(format!(
            "make this test before any other work: {}; {:.0} minutes decide between going on and stopping",
            first.test.test, first.test.minutes
        )),
        Some(first) => told.push(format!(
            "no single test changes that by itself; the one that tells most for its minutes is {}, so it comes before any other work",
            first.test.test
        )),
        None => told.push("the three parts are as good as sure: no test of them tells more".to_owned()),
    }
    if ask.figures.is_none() {
        told.push(
            "what sets and parts are worth is assumed: write your own figures (--figures) and ask again"
                .to_owned(),
        );
    }
    told
}

fn test_view(own: &TestWeighed) -> NextTestView {
    NextTestView {
        test: own.test.test.clone(),
        of: name_of(own.test.of),
        minutes: own.test.minutes,
        how: own.test.how.clone(),
        passes: six_figures(own.passes),
        good_if_passed: six_figures(own.good_if_passed),
        good_if_failed: six_figures(own.good_if_failed),
        if_passed: advice_name(own.if_passed),
        if_failed: advice_name(own.if_failed),
        changes: own.changes(),
        saves_money: six_figures(own.saves),
    }
}

fn spread(sum: Sum) -> SpreadView {
    let (low, high) = sum.range();
    SpreadView {
        low: six_figures(low),
        expected: six_figures(sum.mean),
        high: six_figures(high),
    }
}

fn advice_name(advice: Advice) -> &'static str {
    match advice {
        Advice::GoOn => "go_on",
        Advice::Stop => "stop",
    }
}

fn name_of(which: Irreplaceable) -> &'static str {
    match which {
        Irreplaceable::PowerTransformer => "power_transformer",
        Irreplaceable::Flyback => "flyback",
        Irreplaceable::PictureTube => "picture_tube",
    }
}
