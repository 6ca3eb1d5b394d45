//! A reading that was just kept, set against what the sheet predicts.
//!
//! Units of the reading's kind. The sheet is the one that holds now, with the parts that were
//! fitted since counted as new and the tubes as testers found them; the readings taken before in the same conditions narrow the
//! band. Where nothing can be told the verdict says so with the reason. A set that does not
//! settle under these conditions is told as nothing said, with the evidence: the reading is
//! kept already. Fails only for a fault of the program's own figures.

use logbook::{Conditions, Fact, Measured, StandingFact, What};
use receiver::conditions::BenchConditions;
use receiver::expect::Predictor;
use receiver::judge_reading::{TakenReading, judge_reading};
use receiver::reading;
use receiver::sheet::Sheet;
use receiver::untold::with_untold_tubes;
use receiver::wiring::SetModel;

use crate::bench_words;
use crate::check_sheet::catalogue;
use crate::tested_tubes::tested_tubes;
use crate::trouble::Trouble;
use crate::view::JudgedView;

/// Judges the reading with this number among the facts that stand.
pub(crate) fn judge_entry(
    sheet: Option<&Sheet>,
    facts: &[StandingFact<'_>],
    number: u64,
) -> Result<Option<JudgedView>, Trouble> {
    let Some(at) = facts.iter().position(|one| one.number == number) else {
        return Ok(None);
    };
    let Some(StandingFact {
        fact: Fact::Measured(measured),
        ..
    }) = facts.get(at)
    else {
        return Ok(None);
    };
    let nothing = |because: &str| Ok(Some(JudgedView::nothing(because)));
    let Some(sheet) = sheet else {
        return nothing("no sheet without faults was taken in");
    };
    let Some(taken) = taken(measured) else {
        return nothing("nothing is predicted for this kind of reading");
    };
    let is_ohms = taken.what == reading::What::Ohms;
    if measured.conditions.plug_out && !is_ohms && measured.conditions.dc.is_empty() {
        return nothing("with the plug out and no d.c. source only ohms are predicted");
    }
    let conditions = match bench_conditions(&measured.conditions, &measured.meter) {
        Ok(conditions) => conditions,
        Err(because) => return nothing(&because),
    };
    let sheet = with_what_was_fitted(sheet, facts.get(..at).unwrap_or(&[]));
    let catalogue = catalogue()?;
    let whole = with_untold_tubes(&sheet, catalogue).map(|(whole, _)| whole);
    let model = SetModel::new(whole.as_ref().unwrap_or(&sheet), catalogue);
    let before: Vec<TakenReading> = facts
        .get(..at)
        .unwrap_or(&[])
        .iter()
        .filter_map(|one| match one.fact {
            Fact::Measured(own) if own.conditions == measured.conditions => self::taken(own),
            _ => None,
        })
        .collect();
    match judge_reading(&Predictor::new(&model), &conditions, &taken, &before) {
        Ok(judgement) => Ok(Some(JudgedView::of(&judgement, &taken))),
        Err(error) => nothing(&error.to_string()),
    }
}

pub(crate) fn taken(measured: &Measured) -> Option<TakenReading> {
    Some(TakenReading {
        at: measured.place.clone(),
        to: (!measured.to.is_empty() && measured.to != "chassis").then(|| measured.to.clone()),
        what: kind(measured.what)?,
        value: measured.value,
    })
}

fn kind(what: What) -> Option<reading::What> {
    reading::What::from_name(what.name())
}

pub(crate) fn bench_conditions(said: &Conditions, meter: &str) -> Result<BenchConditions, String> {
    Ok(BenchConditions {
        line_volts: said.line_volts.or(said.dial_volts),
        lamps: said.lamp_watts.clone(),
        pulled: said.pulled.clone(),
        open: said.open.clone(),
        fitted_without: said.fitted_without.clone(),
        seconds: said.seconds,
        meter: match meter {
            "" => None,
            meter => Some(bench_words::meter(meter)?),
        },
        direct_source: match said.dc.as_str() {
            "" => None,
            dc => Some(bench_words::direct_source(dc)?),
        },
        bands: true,
        ..BenchConditions::default()
    })
}

/// The sheet with the parts that were fitted since it was taken in counted as new, and with what
/// testers said of the tubes that are still in.
pub(crate) fn with_what_was_fitted(sheet: &Sheet, facts: &[StandingFact<'_>]) -> Sheet {
    let mut sheet = sheet.clone();
    sheet.state.tested = tested_tubes(&sheet, facts);
    let since = facts
        .iter()
        .rposition(|one| matches!(one.fact, Fact::SheetTaken(_)))
        .unwrap_or(0);
    for one in facts.get(since..).unwrap_or(&[]) {
        let Fact::Fitted(fitted) = one.fact else {
            continue;
        };
        let known = |list: &[String]| {
            list.iter()
                .any(|own| own.eq_ignore_ascii_case(&fitted.part))
        };
        let on_sheet = sheet.part(&fitted.part).is_some() || sheet.tube(&fitted.part).is_some();
        if on_sheet && !known(&sheet.state.replaced) {
            sheet.state.replaced.push(fitted.part.clone());
        }
    }
    sheet
}
