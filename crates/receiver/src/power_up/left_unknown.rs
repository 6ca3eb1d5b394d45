//! What stays unknown when a step is ended early or passed over.
//!
//! Words only, one line each. Nothing here fails.

use super::asked::Asked;
use super::judge::Judged;
use crate::plan::Step;

/// What stays unknown when a step ends with what was read so far.
pub fn left_unknown(step: &Step, judged: &Judged<'_>) -> Vec<String> {
    let mut left: Vec<String> = judged.unread().map(unread).collect();
    left.extend(judged.outside().map(|own| {
        format!(
            "{} ({}) stays outside its band and unexplained",
            place(own),
            in_words(own)
        )
    }));
    for own in &judged.asked {
        if !own.is_guard() && own.read.is_none() {
            left.push(unread(own));
        }
    }
    if !step.parts.is_empty() {
        left.push(format!(
            "nothing tells that these are seen to: {}",
            step.parts.join(", ")
        ));
    }
    left
}

/// What stays unknown when a step is passed over as a whole.
pub fn skipping_leaves_unknown(step: &Step) -> Vec<String> {
    let judged = super::judge(step, &[], 0.0);
    let mut left = vec![format!("passed over: {}", step.because)];
    left.extend(left_unknown(step, &judged));
    left
}

fn unread(own: &Asked<'_>) -> String {
    let mut tells: Vec<&str> = Vec::new();
    for fault in own.rules.iter().flat_map(|rule| &rule.tells) {
        if !tells.contains(&fault.as_str()) {
            tells.push(fault);
        }
    }
    let place = format!("{} ({}) not read", place(own), in_words(own));
    if tells.is_empty() {
        place
    } else {
        format!("{place}, so not told here: {}", tells.join("; "))
    }
}

fn place(own: &Asked<'_>) -> String {
    match own.to {
        Some(to) if to != "chassis" => format!("{} to {to}", own.at),
        _ => own.at.to_owned(),
    }
}

fn in_words(own: &Asked<'_>) -> String {
    own.what.name().replace('_', " ")
}
