//! `firstraster wake SHEET`: the staged first power-up.
//!
//! For people each step is shown as soon as it stands; JSON comes whole.

use benchwork::{plan_first_power_up, read_set_file};

use crate::cli::{PictureOf, WakeArguments};
use crate::commands::DONE;
use crate::commands::keep::keeping;
use crate::draw;
use crate::output::plan_page::PlanPage;
use crate::output::readings_page::Extent;
use crate::output::{Screen, Stop};

/// Runs the command.
pub fn run(arguments: &WakeArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let file = read_set_file(&arguments.sheet)?;
    let keeping = keeping(&arguments.keep, &arguments.sheet, &file)?;
    let mut shown = Ok(());
    let mut whole = String::new();
    let mut page = PlanPage::new(Extent::Whole);
    let mut count = 0;
    let is_json = screen.json;
    let plan = plan_first_power_up(&file, &mut |step| {
        let mut text = match count {
            0 => page.opening(),
            _ => String::new(),
        };
        count += 1;
        text.push_str(&page.step(&step));
        if !is_json && shown.is_ok() {
            shown = screen.say(&text).and_then(|()| screen.show_now());
        }
        whole.push_str(&text);
    })?;
    shown?;
    if let Some(path) = &arguments.picture {
        let picture_of = arguments.picture_of.unwrap_or(PictureOf::Seconds);
        let conditions = plan.conditions_of(arguments.picture_step)?;
        draw::draw(&file, conditions, picture_of, path)?;
    }
    let closing = page.closing(&plan.view);
    if screen.json {
        screen.answer(&plan.view)?;
    } else {
        screen.say(&closing)?;
    }
    whole.push_str(&closing);
    keeping.keep(&whole, screen)?;
    Ok(DONE)
}
