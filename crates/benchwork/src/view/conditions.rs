//! Bench conditions as they stand beside every answer.
//!
//! Units: volts rms, watts, ohms, seconds. What was not asked for is null, not a
//! number: without the plug in the wall there are no line volts.

use quantity::{Unit, bench};
use receiver::conditions::{BenchConditions, Meter};
use serde::Serialize;

use crate::view::six_figures;

/// How the set stands on the bench.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ConditionsView {
    /// Line volts rms at the wall side of the lamp; null with the plug out.
    pub line_volts: Option<f64>,
    /// By how much the line is taken to wander, percent up or down.
    pub line_give_or_take_percent: f64,
    /// Rated watts of the lamp, the sum of those in parallel; null without a lamp.
    pub lamp_watts: Option<f64>,
    /// Each lamp by itself.
    pub lamps_watts: Vec<f64>,
    /// Ohms of an isolation or variable transformer ahead of the set.
    pub source_ohms: f64,
    /// Tubes out of their sockets.
    pub pulled: Vec<String>,
    /// Switches and plugs that are open.
    pub open: Vec<String>,
    /// Parts cut loose.
    pub fitted_without: Vec<String>,
    /// Seconds after switch-on from cold; null is settled.
    pub seconds: Option<f64>,
    /// The meter, as its owner names it; null is an ideal one.
    pub meter: Option<String>,
    /// The d.c. source that feeds the set with the plug out.
    pub dc: Option<String>,
    /// Where the meter's other lead is; null is the chassis.
    pub to: Option<String>,
    /// Whether bands were worked out.
    pub bands: bool,
}

impl ConditionsView {
    /// The view of conditions for a sheet with this line; `plugged_in` is false where
    /// the plug is out by the nature of the task.
    pub fn of(conditions: &BenchConditions, sheet_line_volts: f64, plugged_in: bool) -> Self {
        let plugged_in = plugged_in && conditions.direct_source.is_none();
        let lamps: Vec<f64> = conditions.lamps.iter().copied().map(six_figures).collect();
        ConditionsView {
            line_volts: plugged_in
                .then(|| six_figures(conditions.line_volts.unwrap_or(sheet_line_volts))),
            line_give_or_take_percent: if plugged_in && conditions.line_volts.is_none() {
                5.0
            } else {
                0.0
            },
            lamp_watts: (!lamps.is_empty()).then(|| lamps.iter().sum()),
            lamps_watts: lamps,
            source_ohms: six_figures(conditions.source_ohms),
            pulled: conditions.pulled.clone(),
            open: conditions.open.clone(),
            fitted_without: conditions.fitted_without.clone(),
            seconds: conditions.seconds.map(six_figures),
            meter: conditions.meter.as_ref().map(meter_in_words),
            dc: conditions.direct_source.as_ref().map(|source| {
                let ohms = thousands(source.series_ohms);
                format!("{} {} V {ohms}", source.place, six_figures(source.volts))
            }),
            to: conditions.to.clone(),
            bands: conditions.bands,
        }
    }

    /// The same behind what was done under them: `at 117 V line, settled`, `with the plug out`.
    pub fn behind(&self) -> String {
        let words = self.in_words();
        match words.strip_prefix("plug out") {
            Some(rest) => format!("with the plug out{rest}"),
            None => format!("at {words}"),
        }
    }

    /// The conditions as one line for people, such as `117 V line, 100 W lamp, V14 pulled`.
    pub fn in_words(&self) -> String {
        let mut words = Vec::new();
        match (self.line_volts, &self.dc) {
            (_, Some(source)) => words.push(format!("plug out, d.c. source at {source}")),
            (None, None) => words.push("plug out".to_owned()),
            (Some(volts), None) if self.line_give_or_take_percent > 0.0 => {
                words.push(format!(
                    "{volts} V line give or take {} %",
                    self.line_give_or_take_percent
                ));
            }
            (Some(volts), None) => words.push(format!("{volts} V line")),
        }
        if !self.lamps_watts.is_empty() {
            words.push(lamps_in_words(&self.lamps_watts));
        }
        if self.source_ohms > 0.0 {
            words.push(format!("{} ahead", bench(self.source_ohms, Unit::Ohms)));
        }
        for (list, what) in [
            (&self.pulled, "pulled"),
            (&self.open, "open"),
            (&self.fitted_without, "cut loose"),
        ] {
            if !list.is_empty() {
                words.push(format!("{} {what}", list.join(", ")));
            }
        }
        match self.seconds {
            Some(seconds) => words.push(format!("{seconds} s after switch-on")),
            None if self.line_volts.is_some() => words.push("settled".to_owned()),
            None => {}
        }
        if let Some(meter) = &self.meter {
            words.push(format!("meter {meter}"));
        }
        if let Some(to) = &self.to {
            words.push(format!("other lead on {to}"));
        }
        words.join(", ")
    }
}

/// Lamps in parallel as a restorer says it: `100 W lamp`, `100 W + 60 W lamps`.
pub fn lamps_in_words(watts: &[f64]) -> String {
    match watts {
        [] => "no lamp".to_owned(),
        [one] => format!("{one} W lamp"),
        several => {
            let several: Vec<String> = several.iter().map(|watts| format!("{watts} W")).collect();
            format!("{} lamps in parallel", several.join(" + "))
        }
    }
}

fn meter_in_words(meter: &Meter) -> String {
    match meter {
        Meter::InputOhms(ohms) => thousands(*ohms),
        Meter::OhmsPerVolt {
            ohms_per_volt,
            range_volts,
        } => {
            let sensitivity = thousands(*ohms_per_volt);
            match range_volts {
                Some(range) => format!("{sensitivity}/V {} V", six_figures(*range)),
                None => format!("{sensitivity}/V"),
            }
        }
    }
}

/// Ohms as the command line takes them: `10M`, `20k`, `470`.
fn thousands(ohms: f64) -> String {
    if ohms >= 1.0e6 {
        format!("{}M", six_figures(ohms / 1.0e6))
    } else if ohms >= 1.0e3 {
        format!("{}k", six_figures(ohms / 1.0e3))
    } else {
        format!("{}", six_figures(ohms))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_asked_for_is_the_sheets_own_line_without_anything() {
        let view = ConditionsView::of(
            &BenchConditions {
                bands: true,
                ..Default::default()
            },
            117.0,
            true,
        );
        assert_eq!(view.line_volts, Some(117.0));
        assert_eq!(view.line_give_or_take_percent, 5.0);
        assert_eq!(
            (view.lamp_watts, view.seconds, view.meter.as_deref()),
            (None, None, None)
        );
        assert_eq!(view.in_words(), "117 V line give or take 5 %, settled");
    }

    #[test]
    fn a_source_at_a_place_means_that_the_plug_is_out() {
        let conditions = BenchConditions {
            direct_source: Some(receiver::conditions::DirectSource {
                place: "B+ main".to_owned(),
                volts: 300.0,
                series_ohms: 47_000.0,
            }),
            ..Default::default()
        };
        let view = ConditionsView::of(&conditions, 117.0, true);
        assert_eq!(view.line_volts, None);
        assert_eq!(view.dc.as_deref(), Some("B+ main 300 V 47k"));
    }

    #[test]
    fn lamps_in_parallel_add_up() {
        let conditions = BenchConditions {
            line_volts: Some(100.0),
            lamps: vec![100.0, 60.0],
            ..Default::default()
        };
        let view = ConditionsView::of(&conditions, 117.0, true);
        assert_eq!(view.lamp_watts, Some(160.0));
        assert_eq!(
            view.in_words(),
            "100 V line, 100 W + 60 W lamps in parallel, settled"
        );
    }

    #[test]
    fn meters_are_named_as_they_are_typed() {
        for (meter, words) in [
            (Meter::InputOhms(10.0e6), "10M"),
            (
                Meter::OhmsPerVolt {
                    ohms_per_volt: 20_000.0,
                    range_volts: Some(500.0),
                },
                "20k/V 500 V",
            ),
            (
                Meter::OhmsPerVolt {
                    ohms_per_volt: 1000.0,
                    range_volts: None,
                },
                "1k/V",
            ),
        ] {
            assert_eq!(meter_in_words(&meter), words);
        }
    }
}
