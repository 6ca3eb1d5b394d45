//! Words of the replacement plan, for pages and commands: verdicts, what is bought, what a part guards.
//!
//! Values as one buys them. Nothing here fails.

use crate::view::{OrderView, RenewalView, RightPartView};

/// The verdicts in their order, with their headings and what they mean.
pub const VERDICTS: [(&str, &str, &str); 5] = [
    (
        "now",
        "Replace now",
        "Before any power: unsafe, or it takes others along. In this order.",
    ),
    (
        "before_long_use",
        "Replace before long use",
        "The set may be tried with them in; not used for evenings.",
    ),
    (
        "test_first",
        "Test first",
        "Replaced only where the test says so.",
    ),
    ("leave", "Leave", "Nothing speaks against them."),
    ("done", "Done", ""),
];

/// Value, rating and kind as one buys it, with what stands on it.
pub fn bought(right: &RightPartView) -> String {
    match right.markings.is_empty() {
        true => right.words.clone(),
        false => format!("{} [{}]", right.words, right.markings.join(", ")),
    }
}

/// Which of the parts that cannot be bought again it guards, behind its name; empty for none.
pub fn guards(own: &RenewalView) -> &'static str {
    match own.protects {
        "power_transformer" => ", guards the power transformer",
        "flyback" => ", guards the flyback",
        "picture_tube" => ", guards the picture tube",
        _ => "",
    }
}

/// Parts of one reason together, in the order in which the reasons come.
pub fn of_one_reason<'v>(own: &[&'v RenewalView]) -> Vec<(String, Vec<&'v str>)> {
    let mut reasons: Vec<(String, Vec<&str>)> = Vec::new();
    for one in own {
        let why = one.because.first().cloned().unwrap_or_default();
        match reasons.iter_mut().find(|(reason, _)| *reason == why) {
            Some((_, parts)) => parts.push(&one.part),
            None => reasons.push((why, vec![&one.part])),
        }
    }
    reasons
}
/// What a list costs together, in the restorer's own money, as far as prices are known; nothing where none is.
pub fn together(view: &OrderView) -> Option<String> {
    let total = view.total?;
    let rest = match view.without_price {
        0 => String::new(),
        1 => "; one line has no price".to_owned(),
        count => format!("; {count} lines have no price"),
    };
    Some(format!("Together {total:.2}{rest}."))
}
