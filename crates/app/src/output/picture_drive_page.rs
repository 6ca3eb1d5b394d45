//! Cut-off, drive, brightness and the bench method of a picture tube, as parts of its page.
//!
//! Volts, microamperes, as printed. Nothing here fails.

use benchwork::view::{BandView, BenchMethodView, DriveView};
use quantity::{Unit, bench};

use super::lists::{dashes, paragraph, sentence, table};
use super::picture_page::{acts, head};

pub fn cut_off_lines(drive: &DriveView) -> String {
    if drive.readings.is_empty() {
        return String::new();
    }
    let volts = |own: Option<f64>| own.map_or(String::new(), |own| bench(own, Unit::Volts));
    let rows = drive
        .readings
        .iter()
        .map(|own| {
            let reached = match own.reached {
                Some(true) => "yes",
                Some(false) => "no",
                None => "",
            };
            let word = own.verdict.replace('_', " ");
            vec![
                volts(own.grid_volts),
                volts(own.second_grid_volts),
                reached.to_owned(),
                format!("{word}: {}", own.text),
            ]
        })
        .collect();
    head("Cut-off")
        + &table(
            &["grid below", "second grid", "reached", "says"],
            &[0, 1],
            rows,
        )
}

/// Microamperes of a band, as on a meter.
fn micro(band: &BandView) -> String {
    if band.high < 0.5 {
        return "no current".to_owned();
    }
    format!("{:.0} to {:.0} uA", band.low, band.high)
}

pub fn drive_part(drive: &DriveView) -> String {
    let mut part = cut_off_lines(drive);
    part.push_str(&head("Cut-off and drive of the type"));
    if let Some(unknown) = &drive.unknown {
        part.push_str(&paragraph(&(sentence(unknown) + ".")));
        part.push_str(&range_lines(drive));
        return part;
    }
    if let (Some(volts), Some(grid), Some(cathode), Some(zero)) = (
        drive.second_grid_volts,
        drive.cut_off_by_grid,
        drive.cut_off_by_cathode,
        &drive.zero_bias_microamperes,
    ) {
        part.push_str(&paragraph(&format!(
            "Second grid at {} ({}): the grid {:.0} to {:.0} V below the cathode cuts the beam off, or the cathode raised by {:.0} to {:.0} V. At zero bias {} flow.",
            bench(volts, Unit::Volts),
            drive.second_grid_from,
            grid[0], grid[1], cathode[0], cathode[1],
            micro(zero)
        )));
    }
    let rows = drive
        .brightness
        .iter()
        .map(|own| {
            vec![
                bench(own.drive_volts, Unit::Volts),
                micro(&own.by_grid),
                micro(&own.by_cathode),
                own.text.clone(),
            ]
        })
        .collect();
    part.push_str(&table(
        &[
            "picture",
            "driven at the grid",
            "at the cathode",
            "the middle tube gives",
        ],
        &[0],
        rows,
    ));
    part.push_str(&paragraph(
        "Brightest cathode current for so many volts from black to white. The published laws disagree; all of them are in the bands.",
    ));
    part.push_str(&range_lines(drive));
    if let (Some(standing), Some(source)) = (&drive.standing, &drive.source) {
        part.push_str(&paragraph(&format!("Cut-off: {standing}; {source}.")));
    }
    part
}

/// What the set itself does between both ends of its brightness control.
fn range_lines(drive: &DriveView) -> String {
    if let Some(because) = &drive.set_range_unknown {
        return paragraph(&format!("What this set does to it is not told: {because}."));
    }
    let Some(range) = &drive.set_range else {
        return String::new();
    };
    let mut part = paragraph(&format!(
        "In this set, {} turned from one end to the other, no picture on:",
        range.control
    ));
    for (name, end) in [("dark", &range.dark), ("bright", &range.bright)] {
        let current = end.microamperes.as_ref();
        let current = current.map_or(String::new(), |band| format!(", {}", micro(band)));
        let words = format!(
            "{name} end: grid {:.0} V below the cathode{current}; {}",
            end.bias_volts, end.text
        );
        part.push_str(&dashes([words.as_str()]));
    }
    part
}

pub fn bench_readings(method: &BenchMethodView) -> String {
    let mut part = String::new();
    if method.readings.is_empty() {
        return part;
    }
    part.push_str(&head("Read on the bench"));
    let rows = method
        .readings
        .iter()
        .map(|own| {
            let band = own.band.as_ref().map_or("not known".to_owned(), micro);
            vec![
                bench(own.second_grid_volts, Unit::Volts),
                format!("{:.0} uA", own.microamperes),
                format!("{:.0} uA", own.microamperes_later),
                band,
                own.verdict.replace('_', " "),
            ]
        })
        .collect();
    let heads = ["second grid", "at once", "10 s later", "the type", "says"];
    part.push_str(&table(&heads, &[0, 1, 2], rows));
    if let Some(cathode) = &method.cathode {
        part.push_str(&paragraph(&(sentence(&cathode.text) + ".")));
    }
    part
}

pub fn bench_part(method: &BenchMethodView) -> String {
    let mut part = bench_readings(method);
    part.push_str(&head("Without a tester"));
    if let Some(unknown) = &method.unknown {
        part.push_str(&paragraph(&(sentence(unknown) + ".")));
        return part;
    }
    if let (Some(ohms), Some(most)) = (method.resistor_ohms, method.most_microamperes) {
        part.push_str(&paragraph(&format!(
            "D.c. source {}, protective resistor {}: no more than {:.2} mA can flow, whatever happens.",
            bench(method.source_volts, Unit::Volts),
            bench(ohms, Unit::Ohms),
            most / 1000.0
        )));
    }
    part.push_str(&dashes(
        method
            .wires
            .iter()
            .map(|wire| match wire.through.as_str() {
                "" => format!("{} to {}", wire.from, wire.to),
                through => format!("{} to {}, through {through}", wire.from, wire.to),
            })
            .collect::<Vec<_>>()
            .iter()
            .map(String::as_str),
    ));
    part.push_str(&acts(&method.acts, "  "));
    match (&method.expected_microamperes, &method.at_half_microamperes) {
        (Some(whole), Some(half)) => part.push_str(&paragraph(&format!(
            "A sound tube shows {}, and {} at half the source's volts, steady within ten seconds. A tired cathode hardly follows the volts and sags.",
            micro(whole),
            micro(half)
        ))),
        _ => {
            if let Some(unknown) = &method.current_unknown {
                part.push_str(&paragraph(&(sentence(unknown) + ".")));
            }
        }
    }
    part
}
