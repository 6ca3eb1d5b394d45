//! The things to look at, area by area, with what has been noted of them.
//!
//! Nothing here fails.

use benchwork::view::{SeenOfView, ThingToSeeView, ThingsToSeeView};

use super::lists::{heading, indented, paragraph, title};

/// The whole page.
pub fn page(list: &ThingsToSeeView) -> String {
    let mut page = title("Things to look at, plug out and every capacitor proved empty");
    let mut areas: Vec<&str> = Vec::new();
    for thing in &list.things {
        if !areas.contains(&thing.area.as_str()) {
            areas.push(&thing.area);
        }
    }
    for area in areas {
        page.push('\n');
        page.push_str(&heading(area));
        for thing in list.things.iter().filter(|thing| thing.area == area) {
            page.push_str(&one(thing));
        }
    }
    if !list.own.is_empty() {
        page.push('\n');
        page.push_str(&heading("in your own words"));
        for seen in &list.own {
            page.push_str(&noted(&format!("{}: ", seen.thing), seen));
        }
    }
    page.push('\n');
    page.push_str(&paragraph(&match &list.file {
        None => "Note one with: firstraster see FILE NAME FINDING; anything else in your own words. The list is common practice.".to_owned(),
        Some(file) => {
            let looked = list.things.iter().filter(|thing| !thing.seen.is_empty()).count();
            format!("{looked} of {} looked at in {file}.", list.things.len())
        }
    }));
    page
}

fn one(thing: &ThingToSeeView) -> String {
    let look = if thing.look.is_empty() {
        String::new()
    } else {
        format!(": {}", thing.look)
    };
    let mut text = indented(
        &format!("{:<18} {}{look}", thing.name, thing.thing),
        "  ",
        "                     ",
    );
    if thing.seen.is_empty() {
        text.push_str(&indented(
            &thing.findings.join(" / "),
            "                     ",
            "                     ",
        ));
        if !thing.caution.is_empty() {
            text.push_str(&indented(
                &format!("! {}", thing.caution),
                "                     ",
                "                       ",
            ));
        }
    }
    for seen in &thing.seen {
        text.push_str(&noted("", seen));
    }
    text
}

fn noted(what: &str, seen: &SeenOfView) -> String {
    let part = if seen.part.is_empty() {
        String::new()
    } else {
        format!("{}: ", seen.part)
    };
    indented(
        &format!("-> {what}{part}{} (entry {})", seen.found, seen.number),
        "                     ",
        "                        ",
    )
}
