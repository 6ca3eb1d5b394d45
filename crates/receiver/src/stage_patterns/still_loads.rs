//! Loads of a sheet that still stand for tubes of which a stage has been written.
//!
//! Milliamperes stand in the load's own row. Source: the meaning of `for` in the sheet's
//! manual: a tube that a load stands for is not calculated. Nothing here fails.

use crate::sheet::{Notice, PartValue, Sheet};

/// What to notice of the loads that stand for any of these tubes.
pub fn still_loads(sheet: &Sheet, tubes: &[String]) -> Vec<Notice> {
    let mut notices = Vec::new();
    for part in &sheet.parts {
        let PartValue::Load { stands_for, .. } = &part.value else {
            continue;
        };
        let both: Vec<&str> = stands_for
            .iter()
            .filter(|own| tubes.iter().any(|tube| tube.eq_ignore_ascii_case(own)))
            .map(String::as_str)
            .collect();
        if both.is_empty() {
            continue;
        }
        let both = both.join(" and ");
        notices.push(Notice {
            text: format!(
                "the load {} still stands for {both}, so that stage is not calculated",
                part.reference
            ),
            hint: format!(
                "when the stage is whole, take {both} out of its `for`, and its milliamperes out of the load"
            ),
            line: Some(part.line),
        });
    }
    notices
}
