//! `firstraster demo`: the whole main job on the invented example set.

use benchwork::{EXAMPLE_NAME, SheetFile, tell_demo};

use crate::commands::DONE;
use crate::output::plan_page::PlanPage;
use crate::output::readings_page::Extent;
use crate::output::{Screen, Stop, chart_page, check_page, demo_page, readings_page};

/// Runs the command.
pub fn run(screen: &mut Screen) -> Result<u8, Stop> {
    let demo = tell_demo()?;
    if screen.json {
        screen.answer(&demo)?;
        return Ok(DONE);
    }
    screen.say(&demo_page::opening(&demo))?;
    screen.say(&demo_page::heading(
        1,
        &demo_page::on_the_sheet("firstraster check"),
        "what the sheet says and lacks",
    ))?;
    let file = SheetFile::in_memory(EXAMPLE_NAME, demo.sheet.clone().into_bytes());
    screen.say(&check_page::page(&demo.check, &file))?;
    screen.say(&demo_page::heading(
        2,
        &demo_page::on_the_sheet("firstraster chart"),
        "the maker's chart beside the sheet",
    ))?;
    screen.say(&chart_page::page(&demo.chart, false))?;
    screen.say(&demo_page::heading(
        3,
        &demo_page::on_the_sheet("firstraster ohms"),
        "cold resistances, before any power",
    ))?;
    screen.say(&readings_page::page(
        "Cold resistances, plug out, every capacitor proved empty",
        &demo.ohms,
        Extent::Short,
    ))?;
    screen.say(&demo_page::heading(
        4,
        &demo_page::on_the_sheet("firstraster expect"),
        "what a meter should show",
    ))?;
    screen.say(&readings_page::page(
        "What a meter should show",
        &demo.expect,
        Extent::Short,
    ))?;
    screen.say(&demo_page::heading(
        5,
        "firstraster reading larkfield.restoration",
        "readings as they are entered, each judged at once",
    ))?;
    screen.say(&demo_page::readings(&demo.readings))?;
    screen.say(&demo_page::heading(
        6,
        &demo_page::on_the_sheet("firstraster wake"),
        "the first power-up, step by step",
    ))?;
    let mut page = PlanPage::new(Extent::Short);
    screen.say(&page.opening())?;
    for step in &demo.wake.steps {
        screen.say(&page.step(step))?;
    }
    screen.say(&page.closing(&demo.wake))?;
    screen.say(&demo_page::closing(&demo))?;
    Ok(DONE)
}
