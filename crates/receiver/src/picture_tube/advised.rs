//! Acts about the picture tube, advised only after the rules of [`crate::hazard`] let them pass.
//!
//! An act that is refused is not shown; the refusal is, with its rule. Nothing else fails but a
//! damaged table of hazards, which is a fault of the program.

use crate::hazard::{self, Act, Situation, TableFault, Verdict};

/// One act that may be advised, in words, with its cautions.
#[derive(Clone, Debug, PartialEq)]
pub struct Advised {
    /// The act.
    pub act: Act,
    /// It in words.
    pub sentence: String,
    /// Cautions that belong to it.
    pub cautions: Vec<String>,
}

/// What became of an act.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// It may be advised.
    Advised(Advised),
    /// It may not, because of these rules.
    Refused(Vec<String>),
}

/// Asks the rules about an act.
///
/// # Errors
/// The first fault of the table built into the program.
pub fn ask(act: Act, situation: &Situation) -> Result<Answer, TableFault> {
    let table = hazard::table().map_err(|faults| faults[0].clone())?;
    Ok(match table.judge(&act, situation) {
        Verdict::Allowed { cautions } => Answer::Advised(Advised {
            sentence: act.sentence(),
            cautions: cautions
                .iter()
                .map(|hazard| hazard.caution.clone())
                .collect(),
            act,
        }),
        Verdict::Refused { rules } => Answer::Refused(
            rules
                .iter()
                .map(|refusal| format!("{}: {}", refusal.rule, refusal.because))
                .collect(),
        ),
    })
}
