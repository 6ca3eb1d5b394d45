//! The readings, the fit with its band, and the forecast as curves for a picture.
//!
//! Minutes across; the unit of the readings upward, at rated heater. The full line is the
//! expected level, the two beside it hold nine of ten; levels mark the end of the scale and the ends of
//! the band it is heading for. Readings are joined in the order of time. Cannot fail.

use super::outlook::{EmissionOutlook, Heading};
use super::record::EmissionRecord;
use crate::curves::{Axis, Curve, Level, Panel};

/// One panel: readings, fit, band, forecast.
pub fn emission_panel(record: &EmissionRecord, outlook: &EmissionOutlook) -> Panel {
    let line = |name: &str, pick: &dyn Fn(&super::CurvePoint) -> f64| Curve {
        name: name.to_owned(),
        points: outlook
            .curve
            .iter()
            .map(|point| (point.minutes, pick(point)))
            .collect(),
    };
    let mut readings: Vec<(f64, f64)> = record
        .readings
        .iter()
        .map(|reading| (reading.minutes, reading.reading))
        .collect();
    readings.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut levels = vec![Level {
        name: "end of the scale".to_owned(),
        value: record.scale_end,
    }];
    if let Heading::Told(band) = &outlook.heading {
        for (name, value) in [
            ("heading for, low", band.low),
            ("heading for, high", band.high),
        ] {
            levels.push(Level {
                name: name.to_owned(),
                value,
            });
        }
    }
    Panel {
        upright: Axis {
            name: "emission".to_owned(),
            unit: outlook.unit.clone(),
        },
        curves: vec![
            line("expected", &|point| point.middle),
            Curve {
                name: "read".to_owned(),
                points: readings,
            },
            line("low", &|point| point.low),
            line("high", &|point| point.high),
        ],
        levels,
    }
}
