//! The page of `tube`: base, pins, heater, ratings, points, sources, near types.
//!
//! Units as the heads of the columns say. `?` behind a figure: its row names it as
//! doubtful. What is unknown is said to be unknown, never shown as zero.

use benchwork::view::{
    BaseView, HeaterView, NearTubeView, PictureTubeView, PointView, SectionView, SourceView,
    TubeAnswerView, TubeTypeView,
};

use super::base_drawing::drawing;
use super::lists::{dashes, heading, indented, paragraph, sentence, table, title};

/// The whole page.
pub fn page(answer: &TubeAnswerView) -> String {
    let mut page = String::new();
    if let Some(note) = &answer.note {
        page.push_str(&paragraph(&format!("{}.", sentence(note))));
        page.push('\n');
    }
    for tube in &answer.types {
        page.push_str(&type_page(tube));
        page.push('\n');
    }
    if let Some(near) = &answer.near {
        let name = answer.types.first().map_or("", |tube| tube.name.as_str());
        page.push_str(&near_page(name, near, &answer.cautions));
    }
    page
}

fn type_page(tube: &TubeTypeView) -> String {
    let own = if tube.origin == "own" {
        " (your own row)"
    } else {
        ""
    };
    let mut page = title(&format!("{}: {}{own}", tube.name, tube.what));
    if !tube.other_numbers.is_empty() {
        page.push_str(&paragraph(&format!(
            "Other numbers: {}.",
            tube.other_numbers.join(", ")
        )));
    }
    if let Some(from) = &tube.derived_from {
        page.push_str(&paragraph(&format!(
            "The figures are taken from the row of {from}."
        )));
    }
    page.push('\n');
    page.push_str(&base_part(tube));
    page.push('\n');
    page.push_str(&heading("Heater"));
    page.push_str(&dashes([heater(&tube.heater).as_str()]));
    if let Some(picture) = &tube.picture_tube {
        page.push('\n');
        page.push_str(&picture_tube(picture, &tube.source));
    }
    let mut sources = Sources::default();
    if tube.sections.is_empty() {
        sources.number(&tube.source);
    }
    if !tube.sections.is_empty() {
        page.push('\n');
        page.push_str(&ratings(&tube.sections, &mut sources));
        page.push_str(&points(&tube.sections, &mut sources));
        page.push_str(&drops(&tube.sections));
    }
    page.push('\n');
    page.push_str(&sources.page());
    page
}

fn base_part(tube: &TubeTypeView) -> String {
    let Some(base) = &tube.base else {
        return paragraph("The base is not known.");
    };
    let code = tube
        .basing_code
        .as_ref()
        .map(|code| format!(", basing {code}"))
        .unwrap_or_default();
    let mut page = heading(&format!("Base {}{code}, seen from below", base.name));
    page.push_str(&drawing(base));
    page.push_str(&paragraph(&about_base(base)));
    page
}

fn about_base(base: &BaseView) -> String {
    let mut said = vec![format!("{}.", sentence(&base.meaning))];
    if !base.pins_are_recorded {
        said.push("What the pins carry is not recorded: read it from a data sheet.".to_string());
    } else if base.contacts.iter().any(|own| own.elements.is_empty()) {
        said.push("`-`: nothing recorded; the pin may be missing or joined inside.".to_string());
    }
    if base.pins_are_doubtful {
        said.push("The record of the pins is doubtful: prove it with the ohmmeter.".to_string());
    }
    if base.steps_are_doubtful {
        said.push("The order of the pins is sure, the steps between them are not.".to_string());
    }
    said.join(" ")
}

fn heater(heater: &HeaterView) -> String {
    let volts = heater.volts.map(|volts| format!("{volts} V"));
    let amperes = heater.amperes.map(|amperes| format!("{amperes} A"));
    let mut said = match (volts, amperes) {
        (Some(volts), Some(amperes)) => format!("{volts}, {amperes}"),
        (Some(volts), None) => format!("{volts}; its amperes are not known"),
        _ => "not known".to_string(),
    };
    if heater.doubtful {
        said.push_str(" (doubtful)");
    }
    match heater.heating {
        Some("direct") => said.push_str(", a filament that is itself the cathode"),
        Some(_) => said.push_str(", indirectly heated"),
        None => {}
    }
    if let Some(seconds) = heater.warm_up_seconds {
        said.push_str(&format!(", controlled warm-up {seconds} s"));
    }
    if let (true, Some(volts), Some(amperes)) = (heater.has_tap, heater.volts, heater.amperes) {
        said.push_str(&format!(
            "; has a tap: halves in parallel take {} V, {} A",
            volts / 2.0,
            amperes * 2.0
        ));
    }
    if let Some(standing) = &heater.standing {
        said.push_str(&format!("; standing: {standing}"));
    }
    said
}

fn picture_tube(picture: &PictureTubeView, source: &SourceView) -> String {
    let figure = |value: Option<f64>, unit: &str, column: &str| {
        let doubt = if source.doubts(column) { "?" } else { "" };
        value.map_or("not known".to_string(), |value| {
            format!("{value}{doubt} {unit}")
        })
    };
    let word = |word: Option<&str>| word.unwrap_or("not known").to_string();
    let yes = |value: Option<bool>| match value {
        Some(true) => "yes".to_string(),
        Some(false) => "no".to_string(),
        None => "not known".to_string(),
    };
    let ion_trap = match picture.ion_trap {
        Some("none") => "none: no magnet on the neck".to_string(),
        Some("single") => "one magnet; never run without it".to_string(),
        Some("double") => "two magnets; never run without them".to_string(),
        _ => "not known: look for a bent gun before any high voltage".to_string(),
    };
    let envelope = match picture.envelope {
        Some("metal") => "metal: the cone itself is at anode volts".to_string(),
        other => word(other),
    };
    let rows = [
        ("face", word(picture.face)),
        ("bulb", envelope),
        (
            "size",
            figure(
                picture.diagonal_or_diameter_inches,
                "in",
                "diagonal_or_diameter_in",
            ),
        ),
        ("deflection", word(picture.deflection)),
        (
            "deflection angle",
            figure(
                picture.deflection_degrees,
                "degrees",
                "deflection_angle_deg",
            ),
        ),
        ("focus", word(picture.focus)),
        ("ion trap", ion_trap),
        ("aluminized screen", yes(picture.aluminized)),
        (
            "anode, most",
            figure(picture.anode_max_volts, "V", "anode_max_v"),
        ),
        (
            "anode, least for a picture",
            figure(picture.anode_min_volts, "V", "anode_min_v"),
        ),
        (
            "grid 2, typical",
            figure(picture.grid2_typical_volts, "V", "grid2_typical_v"),
        ),
        (
            "grid 2, most",
            figure(picture.grid2_max_volts, "V", "grid2_max_v"),
        ),
        (
            "grid cut-off, from",
            figure(picture.cutoff_nearest_volts, "V", "cutoff_low_v"),
        ),
        (
            "grid cut-off, to",
            figure(picture.cutoff_farthest_volts, "V", "cutoff_high_v"),
        ),
        ("outer coating", yes(picture.has_coating)),
        (
            "coating, least",
            figure(
                picture.coating_min_picofarads,
                "mmf",
                "outer_coating_pf_min",
            ),
        ),
        (
            "coating, most",
            figure(
                picture.coating_max_picofarads,
                "mmf",
                "outer_coating_pf_max",
            ),
        ),
        ("neck", figure(picture.neck_millimetres, "mm", "neck_mm")),
        ("length", figure(picture.length_inches, "in", "length_in")),
    ];
    let rows = rows
        .into_iter()
        .map(|(what, value)| vec![what.to_string(), value])
        .collect();
    let mut page = heading("As a picture tube");
    page.push_str(&table(&["what", "figure"], &[], rows));
    if !picture.close_replacements.is_empty() {
        page.push('\n');
        page.push_str(&heading("Close by the catalogue's own word"));
        let close: Vec<String> = picture
            .close_replacements
            .iter()
            .map(|close| format!("{}: {}", close.name, close.changes))
            .collect();
        page.push_str(&dashes(close.iter().map(String::as_str)));
    }
    page
}

fn ratings(sections: &[SectionView], sources: &mut Sources) -> String {
    let mut rows = Vec::new();
    for section in sections {
        let number = sources.number(&section.source);
        let mut add = |what: &str, value: Option<f64>, unit: &str, column: &str| {
            if let Some(value) = value {
                let doubt = if section.source.doubts(column) {
                    "?"
                } else {
                    ""
                };
                rows.push(vec![
                    section.section.clone(),
                    what.to_string(),
                    format!("{value}{doubt} {unit}"),
                    number.clone(),
                ]);
            }
        };
        add("plate", section.max_plate_volts, "V", "max_plate_v");
        add(
            "plate dissipation",
            section.max_plate_watts,
            "W",
            "max_plate_diss_w",
        );
        add(
            "screen dissipation",
            section.max_screen_watts,
            "W",
            "max_screen_diss_w",
        );
        add(
            "cathode current, average",
            section.max_cathode_milliamperes,
            "mA",
            "max_dc_ma",
        );
        add(
            "cathode current, peak",
            section.max_peak_cathode_milliamperes,
            "mA",
            "max_peak_ma",
        );
        if let Some(diode) = &section.rectifier {
            let output = if diode.dc_is_per_plate {
                "d.c. of one plate"
            } else {
                "d.c. of both plates together"
            };
            add("inverse, peak", diode.max_inverse_volts, "V", "max_piv_v");
            add(output, diode.max_dc_milliamperes, "mA", "max_dc_ma");
            add(
                "peak current of one plate",
                diode.max_peak_milliamperes,
                "mA",
                "max_peak_ma",
            );
        }
    }
    let mut page = heading("Limits");
    if rows.is_empty() {
        page.push_str(&paragraph("No rating is known."));
    } else {
        page.push_str(&table(
            &["section", "at most", "figure", "source"],
            &[2],
            rows,
        ));
    }
    page
}

/// A column of points: its heads, and how a figure is found and printed.
type PointColumn = (&'static str, &'static str, fn(&PointView) -> Option<f64>);

const POINT_COLUMNS: [PointColumn; 10] = [
    ("plate V", "typ_plate_v", |point| point.plate_volts),
    ("screen V", "typ_screen_v", |point| point.screen_volts),
    ("grid V", "typ_grid_v", |point| point.grid_volts),
    ("cath. ohm", "typ_cathode_ohm", |point| point.cathode_ohms),
    ("plate mA", "typ_plate_ma", |point| point.plate_milliamperes),
    ("screen mA", "typ_screen_ma", |point| {
        point.screen_milliamperes
    }),
    ("gm umho", "typ_gm_umho", |point| {
        point.transconductance_micromhos
    }),
    ("rp k", "typ_rp_ohm", |point| {
        point.plate_resistance_ohms.map(|ohms| ohms / 1000.0)
    }),
    ("mu", "typ_mu", |point| point.amplification_factor),
    ("off V", "cutoff_v_at", |point| point.cutoff_volts),
];

fn points(sections: &[SectionView], sources: &mut Sources) -> String {
    let mut page = String::new();
    for section in sections {
        let points = &section.operating_points;
        if points.is_empty() {
            continue;
        }
        // Columns of which nothing is known are left away.
        let columns: Vec<&PointColumn> = POINT_COLUMNS
            .iter()
            .filter(|(_, _, figure)| points.iter().any(|point| figure(point).is_some()))
            .collect();
        let mut rows = Vec::new();
        for point in points {
            let mut row: Vec<String> = columns
                .iter()
                .map(|(_, column, figure)| {
                    let doubt = if point.source.doubts(column) { "?" } else { "" };
                    figure(point).map_or(String::new(), |value| format!("{value}{doubt}"))
                })
                .collect();
            row.push(sources.number(&point.source));
            rows.push(row);
        }
        let mut heads: Vec<&str> = columns.iter().map(|(head, _, _)| *head).collect();
        heads.push("src");
        let figures: Vec<usize> = (0..columns.len()).collect();
        let each = if section.units > 1 {
            ", each of the two"
        } else {
            ""
        };
        page.push_str(&format!(
            "\n{}",
            heading(&format!("Points of operation: {}{each}", section.section))
        ));
        page.push_str(&table(&heads, &figures, rows));
    }
    page
}

fn drops(sections: &[SectionView]) -> String {
    let mut lines = Vec::new();
    for section in sections {
        for drop in section.rectifier.iter().flat_map(|diode| &diode.drops) {
            let doubt = if drop.doubtful { " (doubtful)" } else { "" };
            lines.push(format!(
                "{}: {} V at {} mA{doubt}; {}: {}",
                section.section, drop.volts, drop.milliamperes, drop.standing, drop.source
            ));
        }
    }
    if lines.is_empty() {
        return String::new();
    }
    let mut page = format!("\n{}", heading("Drop, plate to cathode, steady current"));
    page.push_str(&dashes(lines.iter().map(String::as_str)));
    if lines.len() > 1 {
        page.push_str(&paragraph(
            "Where sources disagree both stand; neither is taken for the right one.",
        ));
    }
    page
}

/// The sources of a type, numbered in the order in which they are met.
#[derive(Default)]
struct Sources(Vec<SourceView>);

impl Sources {
    fn number(&mut self, source: &SourceView) -> String {
        let at = match self.0.iter().position(|own| own == source) {
            Some(at) => at,
            None => {
                self.0.push(source.clone());
                self.0.len() - 1
            }
        };
        format!("[{}]", at + 1)
    }

    fn page(&self) -> String {
        let mut page = heading("Sources, standing and doubt");
        for (at, source) in self.0.iter().enumerate() {
            let mut said = format!("{}; standing: {}", source.source, source.standing);
            if !source.read.is_empty() {
                said.push_str(&format!("; read: {}", source.read.join(", ")));
            }
            if !source.doubtful.is_empty() {
                said.push_str(&format!("; doubtful: {}", source.doubtful.join(", ")));
            }
            if !source.notes.is_empty() {
                said.push_str(&format!("; note: {}", source.notes));
            }
            page.push_str(&indented(&said, &format!("  [{}] ", at + 1), "      "));
        }
        page.push_str(&paragraph(
            "`?` marks a doubtful figure. What is not shown is not known.",
        ));
        page
    }
}

fn near_page(name: &str, near: &[NearTubeView], cautions: &[String]) -> String {
    let mut page = title(&format!("Types near {name}, and what changes"));
    if near.is_empty() {
        page.push_str(&paragraph(
            "The catalogue has no type that does the same work and comes near.",
        ));
    }
    for tube in near {
        page.push('\n');
        page.push_str(&heading(&tube.name));
        page.push_str(&paragraph(&format!("{}.", sentence(&tube.verdict))));
        page.push_str(&dashes(tube.changes.iter().map(|own| own.text.as_str())));
        if tube.changes.is_empty() {
            page.push_str(&paragraph("Nothing that is known of both differs."));
        }
    }
    page.push('\n');
    page.push_str(&heading("To mind"));
    page.push_str(&dashes(cautions.iter().map(String::as_str)));
    page
}
