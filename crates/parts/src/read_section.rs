//! Reads the section columns of a tube: kind, ratings, drop, operating point.
//!
//! Also joins further rows of a type to its first. Volts, milliamperes, watts,
//! ohms, micromhos as the headings name. Fails by noting faults of columns.

use crate::fault::ColumnFault;
use crate::standing::Provenance;
use crate::table::Fields;
use crate::tube::{DropPoint, OperatingPoint, RectifierRating, Section, SectionKind, TubeType};

/// Reads the section of one row.
pub(crate) fn read_section(
    fields: &mut Fields<'_>,
    kind: SectionKind,
    provenance: &Provenance,
) -> Section {
    let name = fields.text("section").unwrap_or(kind.word()).to_string();
    let max_dc = fields.number("max_dc_ma", 0.1, 5000.0);
    let max_peak = fields.number("max_peak_ma", 1.0, 20_000.0);
    let max_inverse = fields.number("max_piv_v", 10.0, 60_000.0);
    let drop_volts = fields.number("drop_v_at", 1.0, 500.0);
    let drop_milliamperes = fields.number("drop_ma_at", 0.1, 5000.0);
    if drop_volts.is_some() != drop_milliamperes.is_some() {
        fields.fault(
            "drop_v_at",
            "a drop needs both drop_v_at and drop_ma_at",
            "give the volts and the milliamperes at which they were found",
        );
    }
    if !kind.is_diode() && (drop_volts.is_some() || max_inverse.is_some()) {
        fields.fault(
            "kind",
            format!("a {} has no rectifier drop or inverse volts", kind.word()),
            "check the kind, or leave these columns empty",
        );
    }
    let is_each = name.starts_with("each-");
    let drop_points = match (drop_volts, drop_milliamperes) {
        (Some(volts), Some(milliamperes)) => vec![DropPoint {
            volts,
            milliamperes,
            source: provenance.source.clone(),
            standing: provenance.standing_of("drop_v_at"),
            doubtful: provenance.is_doubtful("drop_v_at") || provenance.is_doubtful("drop_ma_at"),
        }],
        _ => Vec::new(),
    };
    let rectifier = kind.is_diode().then(|| RectifierRating {
        drop_points,
        max_inverse_volts: max_inverse,
        max_dc_milliamperes: max_dc,
        dc_is_per_plate: !name.starts_with("full-wave"),
        max_peak_milliamperes: max_peak,
    });
    let cathode = |value: Option<f64>| if kind.is_diode() { None } else { value };
    let point = read_operating_point(fields, provenance);
    Section {
        units: if is_each || name.starts_with("full-wave") {
            2
        } else {
            1
        },
        name,
        kind,
        max_plate_volts: fields.number("max_plate_v", 10.0, 10_000.0),
        max_plate_watts: fields.number("max_plate_diss_w", 0.05, 100.0),
        max_screen_watts: fields.number("max_screen_diss_w", 0.02, 20.0),
        max_cathode_milliamperes: cathode(max_dc),
        max_peak_cathode_milliamperes: cathode(max_peak),
        operating_points: point.into_iter().collect(),
        rectifier,
        provenance: provenance.clone(),
    }
}

/// Reads the operating point; `None` when the row gives none of its figures.
fn read_operating_point(
    fields: &mut Fields<'_>,
    provenance: &Provenance,
) -> Option<OperatingPoint> {
    let point = OperatingPoint {
        plate_volts: fields.number("typ_plate_v", 1.0, 5000.0),
        screen_volts: fields.number("typ_screen_v", 1.0, 1000.0),
        grid_volts: fields.number("typ_grid_v", -200.0, 20.0),
        cathode_ohms: fields.number("typ_cathode_ohm", 1.0, 100_000.0),
        plate_milliamperes: fields.number("typ_plate_ma", 0.01, 1000.0),
        screen_milliamperes: fields.number("typ_screen_ma", 0.01, 200.0),
        transconductance_micromhos: fields.number("typ_gm_umho", 50.0, 50_000.0),
        plate_resistance_ohms: fields.number("typ_rp_ohm", 100.0, 10_000_000.0),
        amplification_factor: fields.number("typ_mu", 1.0, 300.0),
        cutoff_volts: fields.number("cutoff_v_at", -200.0, 0.0),
        cutoff_milliamperes: fields.number("cutoff_ma", 0.001, 50.0),
        provenance: provenance.clone(),
    };
    let has_figure = [
        point.plate_volts,
        point.screen_volts,
        point.grid_volts,
        point.cathode_ohms,
        point.plate_milliamperes,
        point.screen_milliamperes,
        point.transconductance_micromhos,
        point.plate_resistance_ohms,
        point.amplification_factor,
        point.cutoff_volts,
        point.cutoff_milliamperes,
    ]
    .iter()
    .any(Option::is_some);
    has_figure.then_some(point)
}

/// Figures of a section are no use without its kind: says so once.
pub(crate) fn note_figures_without_kind(fields: &mut Fields<'_>) {
    let needing_kind = [
        "section",
        "drop_v_at",
        "drop_ma_at",
        "max_piv_v",
        "max_dc_ma",
        "max_peak_ma",
        "max_plate_v",
        "max_plate_diss_w",
        "max_screen_diss_w",
        "typ_plate_v",
        "typ_plate_ma",
        "typ_gm_umho",
        "typ_mu",
    ];
    let given = needing_kind
        .iter()
        .find(|column| fields.text(column).is_some());
    if let (Some(column), None) = (given, fields.text("kind")) {
        let known: Vec<&str> = SectionKind::WORDS.iter().map(|(word, _)| *word).collect();
        fields.fault(
            "kind",
            format!("empty, but {column} is given"),
            format!("say what the section is: {}", known.join(", ")),
        );
    }
}

/// Joins a further row of the same type to it.
pub(crate) fn join_row(tube: &mut TubeType, row: TubeType) -> Result<(), ColumnFault> {
    let differs = |column: &str| {
        ColumnFault::new(
            column,
            format!("differs from the first row of {}", row.name),
            "the rows of a type share base, pins and heater",
        )
    };
    if tube.base != row.base || tube.basing_code != row.basing_code {
        return Err(differs("base"));
    }
    if tube.pins != row.pins {
        return Err(differs("pins"));
    }
    let ratings = |tube: &TubeType| {
        tube.heater
            .as_ref()
            .map(|h| (h.volts, h.amperes, h.heating, h.warm_up_seconds))
    };
    if ratings(tube) != ratings(&row) {
        return Err(differs("heater_v"));
    }
    for mut section in row.sections {
        let (name, is_further) = match section.name.split_once("/op") {
            Some((name, _)) => (name.to_string(), true),
            None => (section.name.clone(), false),
        };
        let known = tube.sections.iter_mut().find(|known| known.name == name);
        match (known, is_further) {
            (Some(_), false) => {
                return Err(ColumnFault::new(
                    "section",
                    format!("{name} comes twice"),
                    "write a further point as /op2",
                ));
            }
            (None, true) => {
                return Err(ColumnFault::new(
                    "section",
                    format!("{} follows no section {name}", section.name),
                    "put it after its section",
                ));
            }
            (None, false) => tube.sections.push(section),
            (Some(known), true) => {
                if !same_ratings(known, &section) {
                    return Err(ColumnFault::new(
                        "section",
                        format!(
                            "the ratings of {} differ from those of {name}",
                            section.name
                        ),
                        "a further point shares kind and ratings; only its point differs",
                    ));
                }
                known.operating_points.append(&mut section.operating_points);
                if let (Some(known), Some(further)) = (&mut known.rectifier, section.rectifier) {
                    known.drop_points.extend(further.drop_points);
                }
            }
        }
    }
    Ok(())
}

fn same_ratings(one: &Section, other: &Section) -> bool {
    let limits = |section: &Section| {
        (
            section.kind,
            section.max_plate_volts,
            section.max_plate_watts,
            section.max_screen_watts,
            section.max_cathode_milliamperes,
            section.max_peak_cathode_milliamperes,
            section.rectifier.as_ref().map(|rating| {
                (
                    rating.max_inverse_volts,
                    rating.max_dc_milliamperes,
                    rating.max_peak_milliamperes,
                )
            }),
        )
    };
    limits(one) == limits(other)
}
