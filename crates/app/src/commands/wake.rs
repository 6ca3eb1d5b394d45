//! `firstraster wake SHEET`: the staged first power-up.
//!
//! For people each step is shown as soon as it stands; JSON comes whole.

use benchwork::{plan_first_power_up, read_sheet_file};

use crate::cli::{PictureOf, WakeArguments};
use crate::commands::DONE;
use crate::output::plan_page::PlanPage;
use crate::output::readings_page::Extent;
use crate::output::{Screen, Stop};
use crate::pictures;

/// Runs the command.
pub fn run(arguments: &WakeArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let file = read_sheet_file(&arguments.sheet)?;
    let mut shown = Ok(());
    let mut page = PlanPage::new(Extent::Whole);
    let mut count = 0;
    let is_json = screen.json;
    let plan = plan_first_power_up(&file, &mut |step| {
        if is_json || shown.is_err() {
            return;
        }
        if count == 0 {
            shown = screen.say(&page.opening());
        }
        count += 1;
        if shown.is_ok() {
            shown = screen
                .say(&page.step(&step))
                .and_then(|()| screen.show_now());
        }
    })?;
    shown?;
    if let Some(path) = &arguments.picture {
        let picture_of = arguments.picture_of.unwrap_or(PictureOf::Seconds);
        let conditions = plan.conditions_of(arguments.picture_step)?;
        pictures::draw(&file, conditions, picture_of, path)?;
    }
    if screen.json {
        screen.answer(&plan.view)?;
    } else {
        screen.say(&page.closing(&plan.view))?;
    }
    Ok(DONE)
}
