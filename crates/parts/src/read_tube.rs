//! Reads tube types from `data/tubes.csv`, `data/picture_tubes.csv`, or from
//! the columns of a tube described in a sheet.
//!
//! Both ways use the same column names and the same checks. Rows of one type
//! follow each other; a section name that ends in `/op2`, `/op3` is a further
//! point of the section before it. All faults are reported at once.

use crate::base::{Base, find_base};
use crate::fault::{ColumnFault, DataFault};
use crate::picture_tube::{PICTURE_COLUMNS, read_picture_data};
use crate::pin::{Pin, PinName, read_pins};
use crate::read_section::{join_row, note_figures_without_kind, read_section};
use crate::standing::{Provenance, Standing};
use crate::table::{Fields, nearest_hint, read_table, unique};
use crate::tube::{HeaterRating, Heating, SectionKind, TubeType};

/// The headings of `data/tubes.csv`.
pub const TUBE_COLUMNS: [&str; 34] = [
    "type",
    "section",
    "kind",
    "base",
    "basing_code",
    "pins",
    "heater_v",
    "heater_a",
    "heating",
    "warmup_s",
    "max_plate_v",
    "max_plate_diss_w",
    "max_screen_diss_w",
    "typ_plate_v",
    "typ_screen_v",
    "typ_grid_v",
    "typ_cathode_ohm",
    "typ_plate_ma",
    "typ_screen_ma",
    "typ_gm_umho",
    "typ_rp_ohm",
    "typ_mu",
    "drop_v_at",
    "drop_ma_at",
    "max_piv_v",
    "max_dc_ma",
    "max_peak_ma",
    "cutoff_v_at",
    "cutoff_ma",
    "source",
    "standing",
    "read_fields",
    "doubt_fields",
    "notes",
];

/// The headings of `data/picture_tubes.csv`.
pub(crate) const PICTURE_TUBE_HEADINGS: [&str; 29] = [
    "type",
    "face",
    "envelope",
    "diagonal_or_diameter_in",
    "deflection",
    "deflection_angle_deg",
    "focus",
    "heater_v",
    "heater_a",
    "base",
    "pins",
    "ion_trap",
    "aluminized",
    "grid2_typical_v",
    "cutoff_low_v",
    "cutoff_high_v",
    "anode_max_v",
    "anode_min_v",
    "grid2_max_v",
    "outer_coating_pf_min",
    "outer_coating_pf_max",
    "neck_mm",
    "length_in",
    "close_replacements",
    "source",
    "standing",
    "read_fields",
    "doubt_fields",
    "notes",
];

/// Reads the table of receiving tubes.
pub(crate) fn read_tubes(
    file: &str,
    text: &str,
    bases: &[Base],
    faults: &mut Vec<DataFault>,
) -> Vec<TubeType> {
    let rows = read_table(file, text, &TUBE_COLUMNS, faults, |fields| {
        let name = fields.required("type");
        fields.required("section");
        fields.required("kind");
        let provenance = fields.provenance();
        Some(read_row(fields, &name, provenance, bases))
    });
    let mut tubes: Vec<TubeType> = Vec::new();
    for (line, row) in rows {
        let known = tubes.iter().position(|tube| tube.name == row.name);
        let is_last = known.is_some_and(|index| index + 1 == tubes.len());
        let fault = match known {
            None => {
                tubes.push(row);
                continue;
            }
            Some(_) if !is_last => Some(ColumnFault::new(
                "type",
                format!("{} comes again after other types", row.name),
                "keep the rows of a type together",
            )),
            Some(index) => match tubes.get_mut(index) {
                Some(tube) => join_row(tube, row).err(),
                None => None,
            },
        };
        faults.extend(fault.map(|fault| DataFault::at(file, line, fault)));
    }
    tubes
}

/// Reads the table of picture tubes.
pub(crate) fn read_picture_tubes(
    file: &str,
    text: &str,
    bases: &[Base],
    faults: &mut Vec<DataFault>,
) -> Vec<TubeType> {
    let rows = read_table(file, text, &PICTURE_TUBE_HEADINGS, faults, |fields| {
        let name = fields.required("type");
        let provenance = fields.provenance();
        Some(read_picture_row(fields, &name, provenance, bases))
    });
    for (line, tube) in &rows {
        let replacements = tube.picture.iter().flat_map(|p| &p.close_replacements);
        for replacement in replacements {
            let known = rows.iter().any(|(_, other)| other.name == replacement.name);
            if !known || replacement.name == tube.name {
                let fault = ColumnFault::new(
                    "close_replacements",
                    format!("{} is no other type of this table", replacement.name),
                    "correct the number or add its row",
                );
                faults.push(DataFault::at(file, *line, fault));
            }
        }
    }
    unique(file, rows, "type", |tube| tube.name.clone(), faults)
}

impl TubeType {
    /// A tube type described in a sheet by the columns of the catalogue
    /// (`pins`, `heater_v`, `drop_v_at`, ...). `kind = "picture-tube"`, or any
    /// column that only picture tubes have, makes it a picture tube. What is
    /// not given stays unknown.
    ///
    /// # Errors
    /// All faults at once: unknown columns with the nearest right one, figures
    /// that cannot be read or lie outside any tube's range, unknown bases,
    /// pins that the base has not.
    pub fn from_columns(
        name: &str,
        columns: &[(&str, &str)],
    ) -> Result<TubeType, Vec<ColumnFault>> {
        let bases = crate::catalogue::bases();
        let mut fields = Fields::new(columns.to_vec());
        if name.trim().is_empty() {
            fields.fault(
                "type",
                "the tube has no type number",
                "name it, as [tube.\"6XX6\"]",
            );
        }
        for (column, _) in columns {
            let known = TUBE_COLUMNS.contains(column)
                || PICTURE_COLUMNS.contains(column)
                || *column == "confidence";
            if !known {
                let all: Vec<&str> = TUBE_COLUMNS
                    .iter()
                    .chain(&PICTURE_COLUMNS)
                    .copied()
                    .collect();
                let hint = nearest_hint(column, &all);
                fields.fault(column, "no such column in the catalogue", hint);
            }
        }
        if let Some(own) = fields.text("type")
            && tube_key(own) != tube_key(name)
        {
            let text = format!("\"{own}\" read, but the table is named \"{name}\"");
            fields.fault("type", text, "leave the column out");
        }
        let provenance = Provenance {
            source: fields.text("source").unwrap_or("the sheet").to_string(),
            standing: Standing::Stated,
            read_fields: Vec::new(),
            doubt_fields: Vec::new(),
            notes: fields.owned("notes"),
        };
        let is_picture_tube = fields
            .text("kind")
            .is_some_and(|kind| kind.eq_ignore_ascii_case("picture-tube"))
            || PICTURE_COLUMNS
                .iter()
                .any(|column| fields.text(column).is_some());
        let tube = if is_picture_tube {
            read_picture_row(&mut fields, name.trim(), provenance, bases)
        } else {
            read_row(&mut fields, name.trim(), provenance, bases)
        };
        if fields.faults.is_empty() {
            Ok(tube)
        } else {
            Err(fields.faults)
        }
    }
}

/// A type number reduced to what tells types apart: capitals and digits.
pub(crate) fn tube_key(name: &str) -> String {
    name.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_uppercase)
        .collect()
}

/// Reads one row of a receiving tube into a tube with at most one section.
fn read_row(
    fields: &mut Fields<'_>,
    name: &str,
    provenance: Provenance,
    bases: &[Base],
) -> TubeType {
    let (base, pin_count, pins) = read_base_and_pins(fields, bases, false);
    let (heater_volts, heater) = read_heater(fields, &provenance, &pins);
    let kind = fields.choice("kind", &SectionKind::WORDS);
    let section = match kind {
        Some(kind) => Some(read_section(fields, kind, &provenance)),
        None => {
            note_figures_without_kind(fields);
            None
        }
    };
    TubeType {
        name: name.to_string(),
        aliases: Vec::new(),
        derived_from: None,
        base,
        basing_code: fields.owned("basing_code"),
        pin_count,
        pins,
        heater_volts,
        heater,
        sections: section.into_iter().collect(),
        is_picture_tube: false,
        picture: None,
        provenance,
    }
}

/// Reads one row of a picture tube.
fn read_picture_row(
    fields: &mut Fields<'_>,
    name: &str,
    provenance: Provenance,
    bases: &[Base],
) -> TubeType {
    let (base, pin_count, pins) = read_base_and_pins(fields, bases, true);
    let (heater_volts, mut heater) = read_heater(fields, &provenance, &pins);
    if let Some(heater) = &mut heater {
        // All picture tubes of the table are indirectly heated.
        heater.heating = heater.heating.or(Some(Heating::Indirect));
    }
    let has_coating_pin = pins.iter().any(|pin| pin.number == PinName::Coating);
    let picture = read_picture_data(fields, has_coating_pin);
    TubeType {
        name: name.to_string(),
        aliases: Vec::new(),
        derived_from: None,
        base,
        basing_code: fields.owned("basing_code"),
        pin_count,
        pins,
        heater_volts,
        heater,
        sections: Vec::new(),
        is_picture_tube: true,
        picture: Some(picture),
        provenance,
    }
}

fn read_base_and_pins(
    fields: &mut Fields<'_>,
    bases: &[Base],
    is_picture_tube: bool,
) -> (String, Option<u8>, Vec<Pin>) {
    let base = match fields.text("base") {
        None => None,
        Some(text) => {
            let found = find_base(bases, text);
            if found.is_none() {
                let known: Vec<&str> = bases.iter().map(|base| base.name.as_str()).collect();
                let hint = nearest_hint(text, &known);
                fields.fault("base", format!("\"{text}\" is no known base"), hint);
            }
            found
        }
    };
    let pins = match read_pins(fields.text("pins").unwrap_or_default(), is_picture_tube) {
        Ok(pins) => pins,
        Err(faults) => {
            for (text, hint) in faults {
                fields.fault("pins", text, hint);
            }
            Vec::new()
        }
    };
    if let Some(base) = base {
        for pin in &pins {
            if let PinName::Number(number) = pin.number
                && number > base.pin_count
            {
                fields.fault(
                    "pins",
                    format!(
                        "pin {number} read, but {} has {} pins",
                        base.name, base.pin_count
                    ),
                    "check the pin number and the base",
                );
            }
        }
    }
    let name = base.map_or_else(String::new, |base| base.name.clone());
    (name, base.map(|base| base.pin_count), pins)
}

fn read_heater(
    fields: &mut Fields<'_>,
    provenance: &Provenance,
    pins: &[Pin],
) -> (Option<f64>, Option<HeaterRating>) {
    let volts = fields.number("heater_v", 0.3, 120.0);
    let amperes = fields.number("heater_a", 0.01, 10.0);
    let heating = fields.choice(
        "heating",
        &[("direct", Heating::Direct), ("indirect", Heating::Indirect)],
    );
    let warm_up_seconds = fields.number("warmup_s", 1.0, 60.0);
    let known_volts = volts;
    let (Some(volts), Some(amperes)) = (volts, amperes) else {
        return (known_volts, None);
    };
    let watts = volts * amperes;
    if !(0.1..=40.0).contains(&watts) {
        fields.fault(
            "heater_a",
            format!("{volts} V at {amperes} A is {watts:.2} W, 0.1 to 40 W expected"),
            "check volts and amperes; amperes, not milliamperes",
        );
    }
    let has_filament = pins.iter().any(|pin| pin.carries("filament"));
    let has_heater = pins.iter().any(|pin| pin.carries("heater"));
    if heating == Some(Heating::Indirect) && has_filament {
        fields.fault(
            "heating",
            "indirect read, but the pins name a filament",
            "correct one",
        );
    }
    if heating == Some(Heating::Direct) && has_heater {
        fields.fault(
            "heating",
            "direct read, but the pins name a heater",
            "write filament",
        );
    }
    let rating = HeaterRating {
        volts,
        amperes,
        heating: heating.or(match (has_filament, has_heater) {
            (true, false) => Some(Heating::Direct),
            (false, true) => Some(Heating::Indirect),
            _ => None,
        }),
        warm_up_seconds,
        controlled_warm_up: warm_up_seconds.is_some(),
        has_tap: pins.iter().any(|pin| pin.carries("heater-tap")),
        standing: provenance
            .standing_of("heater_v")
            .max(provenance.standing_of("heater_a")),
        doubtful: provenance.is_doubtful("heater_v") || provenance.is_doubtful("heater_a"),
    };
    (known_volts, Some(rating))
}
