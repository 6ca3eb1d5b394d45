//! The figures of each part and winding as the circuit takes them.
//!
//! Inside: ohms, farads, henries, volts, amperes, siemens. A measured value goes
//! before the sheet's. What neither tells is taken from what is usual and listed
//! as assumed; nothing is assumed in silence.

use parts::Catalogue;

use crate::sheet::{CapacitorStyle, CoilKind, PartValue, Sheet};

use super::variation::Figure;

/// A figure taken from what is usual.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumed {
    /// The figure.
    pub figure: Figure,
    /// In words.
    pub what: String,
    /// Where the usual figure comes from.
    pub from: String,
}

/// Something that the circuit does without.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// The tube, part or winding.
    pub reference: String,
    /// Why.
    pub because: String,
}

/// Figures of one part; zero where the kind has none.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct PartFigures {
    pub ohms: f64,
    pub farads: f64,
    pub series_ohms: f64,
    pub leak_siemens: f64,
    pub henries: f64,
    /// Forward volts of a metal rectifier at `drop_amperes`.
    pub drop_volts: f64,
    pub drop_amperes: f64,
    pub plates: f64,
}

/// Figures of one winding.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct WindingFigures {
    pub volts: Option<f64>,
    pub ohms: f64,
}

/// Figures of one transformer, by the position of its first winding.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TransformerFigures {
    pub name: String,
    pub windings: Vec<usize>,
    /// The winding on the line, if one is.
    pub primary: Option<usize>,
    pub idle_watts: f64,
    /// `None` where the idle current is not told.
    pub idle_amperes: Option<f64>,
}

/// All figures of a sheet.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Resolved {
    pub parts: Vec<PartFigures>,
    pub windings: Vec<WindingFigures>,
    pub transformers: Vec<TransformerFigures>,
}

/// Insulation of a sound paper, film, mica or ceramic capacitor, ohms (common
/// practice: coupling capacitors are replaced below 100 to 1000 megohms).
const SOUND_INSULATION_OHMS: f64 = 2e9;

/// Share of the acceptance limit that a sound electrolytic leaks (judgement: new,
/// good parts leak far less than the limit).
const SOUND_LEAK_SHARE: f64 = 0.1;

/// Ohms of a closed fuse from its rating: about 0.1 V at rated current (from memory).
const FUSE_VOLTS: f64 = 0.1;

/// Leakage that an electrolytic may show after some minutes at rated volts, amperes.
///
/// `I = k C + 0.3 mA`, C in microfarads, k by volts: JAN-C-62 as quoted on a mailing
/// list (check rows EL001 to EL006); the standard itself was not read.
pub fn leakage_limit_amperes(farads: f64, volts: f64) -> f64 {
    let slope = match volts {
        volts if volts <= 100.0 => 0.01,
        volts if volts <= 250.0 => 0.02,
        volts if volts <= 350.0 => 0.025,
        _ => 0.04,
    };
    (slope * farads * 1e6 + 0.3) * 1e-3
}

/// Series resistance of an electrolytic with this dissipation factor at 120 Hz.
fn series_ohms(farads: f64, dissipation: f64) -> f64 {
    dissipation / (std::f64::consts::TAU * 120.0 * farads)
}

pub(crate) fn resolve(
    sheet: &Sheet,
    catalogue: &Catalogue,
    assumed: &mut Vec<Assumed>,
    left_out: &mut Vec<LeftOut>,
) -> Resolved {
    let parts = sheet
        .parts
        .iter()
        .enumerate()
        .map(|(index, part)| {
            let measured_ohms = sheet.state.measured_ohms(&part.reference);
            let measured_farads = sheet.state.measured_farads(&part.reference);
            let mut figures = PartFigures::default();
            match &part.value {
                PartValue::Resistor { ohms, .. } | PartValue::Control { ohms, .. } => {
                    figures.ohms = measured_ohms.unwrap_or(*ohms);
                }
                PartValue::Ballast { volts, amperes } => {
                    figures.ohms = measured_ohms.unwrap_or(volts / amperes);
                }
                PartValue::Fuse { amperes, ohms, .. } => {
                    figures.ohms = measured_ohms.or(*ohms).unwrap_or_else(|| {
                        amperes.map_or(0.05, |amperes| (FUSE_VOLTS / amperes).max(1e-3))
                    });
                }
                PartValue::Capacitor {
                    style,
                    farads,
                    volts,
                    ..
                } => {
                    figures.farads = measured_farads.unwrap_or(*farads);
                    if *style == CapacitorStyle::Electrolytic {
                        let dissipation = catalogue
                            .trade_number("dissipation factor acceptance")
                            .map_or(0.15, |number| number.typical);
                        figures.series_ohms = series_ohms(*farads, dissipation);
                        let rated = volts.unwrap_or(450.0);
                        figures.leak_siemens =
                            SOUND_LEAK_SHARE * leakage_limit_amperes(*farads, rated) / rated;
                    } else {
                        figures.leak_siemens = 1.0 / SOUND_INSULATION_OHMS;
                    }
                    if let Some(ohms) = measured_ohms {
                        figures.leak_siemens = 1.0 / ohms;
                    }
                }
                PartValue::Coil {
                    kind,
                    henries,
                    ohms,
                    ..
                } => {
                    figures.henries = henries.unwrap_or(0.0);
                    figures.ohms = measured_ohms.or(*ohms).unwrap_or_else(|| {
                        let name = match kind {
                            CoilKind::Choke => "filter choke copper",
                            CoilKind::FocusCoil => "focus coil copper",
                            CoilKind::Yoke | CoilKind::Coil => "peaking coil copper",
                        };
                        let (ohms, from) = usual(catalogue, name, 60.0);
                        assumed.push(Assumed {
                            figure: Figure::Ohms(index),
                            what: format!("{} has about {ohms} ohm of copper", part.reference),
                            from,
                        });
                        ohms
                    });
                }
                PartValue::Selenium {
                    plates,
                    milliamperes,
                } => {
                    let row = catalogue.selenium(*plates, *milliamperes);
                    let per_plate = catalogue
                        .trade_number("selenium drop new")
                        .map_or(1.0, |number| number.typical);
                    figures.plates = f64::from(*plates);
                    figures.drop_volts = row
                        .as_ref()
                        .and_then(|row| row.drop_volts)
                        .unwrap_or(per_plate * f64::from(*plates));
                    figures.drop_amperes = milliamperes
                        .or(row.and_then(|row| row.rated_milliamperes))
                        .unwrap_or_else(|| {
                            assumed.push(Assumed {
                                figure: Figure::Drop(index),
                                what: format!("{} is rated about 300 mA", part.reference),
                                from: "usual for the size; the sheet does not say".to_string(),
                            });
                            300.0
                        })
                        / 1000.0;
                }
                PartValue::Silicon { kind, amperes, .. } => {
                    let row = kind.as_deref().and_then(|kind| catalogue.silicon(kind));
                    figures.plates = 1.0;
                    figures.drop_volts = row.and_then(|row| row.drop_volts).unwrap_or(1.0);
                    figures.drop_amperes = row
                        .and_then(|row| row.drop_milliamperes)
                        .map(|ma| ma / 1000.0)
                        .or(*amperes)
                        .unwrap_or(1.0);
                }
                PartValue::Load { amperes, volts, .. } => {
                    figures.ohms = volts / amperes;
                }
                PartValue::Crystal { .. }
                | PartValue::Neon { .. }
                | PartValue::Vdr { .. }
                | PartValue::Thermistor { .. }
                | PartValue::Lamp(_)
                | PartValue::Switch { .. }
                | PartValue::Plug { .. }
                | PartValue::Wire => {}
            }
            figures
        })
        .collect();
    let (windings, transformers) = resolve_windings(sheet, catalogue, assumed, left_out);
    Resolved {
        parts,
        windings,
        transformers,
    }
}

fn usual(catalogue: &Catalogue, name: &str, otherwise: f64) -> (f64, String) {
    match catalogue.trade_number(name) {
        Some(number) => (
            number.typical,
            format!("{name}: {} to {} {}", number.low, number.high, number.unit),
        ),
        None => (otherwise, format!("{name}: judgement")),
    }
}

fn resolve_windings(
    sheet: &Sheet,
    catalogue: &Catalogue,
    assumed: &mut Vec<Assumed>,
    left_out: &mut Vec<LeftOut>,
) -> (Vec<WindingFigures>, Vec<TransformerFigures>) {
    let primaries: Vec<usize> = sheet
        .primaries()
        .iter()
        .filter_map(|primary| {
            sheet
                .windings
                .iter()
                .position(|winding| std::ptr::eq(*primary, winding))
        })
        .collect();
    let mut transformers = Vec::new();
    for name in sheet.transformers() {
        let windings: Vec<usize> = sheet
            .windings
            .iter()
            .enumerate()
            .filter(|(_, winding)| winding.transformer == name)
            .map(|(index, _)| index)
            .collect();
        let primary = windings
            .iter()
            .copied()
            .find(|index| primaries.contains(index));
        let told = windings
            .iter()
            .find_map(|&index| sheet.windings[index].idle_watts);
        let amperes = windings
            .iter()
            .find_map(|&index| sheet.windings[index].idle_amperes);
        let first = windings.first().copied().unwrap_or(0);
        let idle_watts = told.unwrap_or_else(|| {
            if primary.is_none() {
                return 0.0;
            }
            let (watts, from) = usual(catalogue, "power transformer idle", 12.0);
            assumed.push(Assumed {
                figure: Figure::Idle(first),
                what: format!("{name} idles with about {watts} W"),
                from,
            });
            watts
        });
        transformers.push(TransformerFigures {
            name: name.to_string(),
            windings,
            primary,
            idle_watts,
            idle_amperes: amperes,
        });
    }
    let windings = sheet
        .windings
        .iter()
        .enumerate()
        .map(|(index, winding)| {
            let measured = sheet
                .state
                .measured_winding_ohms(&winding.transformer, &winding.name);
            if winding.volts.is_none() {
                left_out.push(LeftOut {
                    reference: format!("{} {}", winding.transformer, winding.name),
                    because: "its volts are not on the sheet".to_string(),
                });
            }
            let ohms = measured.or(winding.ohms).unwrap_or_else(|| {
                let volts = winding.volts.unwrap_or(6.3);
                let (ohms, from) = if primaries.contains(&index) {
                    usual(catalogue, "power transformer primary", 2.5)
                } else if volts > 60.0 {
                    usual(catalogue, "power transformer plates half", 30.0)
                } else {
                    (
                        0.03 * volts / 5.0,
                        "heater windings lose some 3 percent at 5 A: judgement".to_string(),
                    )
                };
                assumed.push(Assumed {
                    figure: Figure::WindingOhms(index),
                    what: format!(
                        "{} {} has about {ohms:.3} ohm of copper",
                        winding.transformer, winding.name
                    ),
                    from,
                });
                ohms
            });
            WindingFigures {
                volts: winding.volts,
                ohms: ohms.max(1e-4),
            }
        })
        .collect();
    (windings, transformers)
}
