//! How the set stands while it is read: taken over from the last reading until it is changed on a page.
//!
//! Texts as typed: volts, watts, names. Fails with what cannot be read of them, and what to write.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use benchwork::{Conditions, Trouble, bench_words};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, entered};
use crate::pages::plain;
use crate::pieces;

/// How the set stands while it is read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Stand {
    line: String,
    lamp: String,
    /// Tubes out of their sockets.
    pub pulled: Vec<String>,
    /// Whether the plug is out.
    pub plug_out: bool,
    /// The meter; empty if not said.
    pub meter: String,
}

impl Stand {
    /// As it was said on the page, or as it stood at the last reading.
    pub fn of(bench: &Bench) -> Result<Stand, Trouble> {
        if let Some(said) = bench.stand() {
            return Ok(said);
        }
        let story = bench.story()?;
        let last = story
            .entries
            .iter()
            .rev()
            .find(|entry| entry.kind == "measured");
        let Some(last) = last else {
            return Ok(Stand::default());
        };
        let text = |key: &str| {
            last.says
                .get(key)
                .map_or_else(String::new, |value| match value {
                    serde_json::Value::String(text) => text.clone(),
                    serde_json::Value::Array(list) => list
                        .iter()
                        .map(ToString::to_string)
                        .collect::<Vec<_>>()
                        .join("+"),
                    serde_json::Value::Null => String::new(),
                    other => other.to_string(),
                })
        };
        let list = |key: &str| match last.says.get(key) {
            Some(serde_json::Value::Array(list)) => list
                .iter()
                .filter_map(|own| own.as_str().map(str::to_owned))
                .collect(),
            Some(serde_json::Value::String(text)) => vec![text.clone()],
            _ => Vec::new(),
        };
        Ok(Stand {
            line: text("line_volts"),
            lamp: text("lamp_watts"),
            pulled: list("pulled"),
            plug_out: last
                .says
                .get("plug_out")
                .is_some_and(|own| own == true || own == "yes"),
            meter: text("meter"),
        })
    }

    /// Checked, as an entry takes it.
    pub fn conditions(&self) -> Result<Conditions, Trouble> {
        let hint = "change it under \"How the set stands\"";
        let line = match self.line.as_str() {
            "" => None,
            text => {
                Some(bench_words::line_volts(text).map_err(|error| Trouble::input(error, hint))?)
            }
        };
        let lamps = match self.lamp.as_str() {
            "" => Vec::new(),
            text => bench_words::lamp_watts(text).map_err(|error| Trouble::input(error, hint))?,
        };
        Ok(Conditions {
            plug_out: self.plug_out,
            line_volts: line.filter(|_| !self.plug_out),
            lamp_watts: if self.plug_out { Vec::new() } else { lamps },
            pulled: self.pulled.clone(),
            ..Conditions::default()
        })
    }

    /// The same with the plug out, as ohms are read.
    pub fn unplugged(self) -> Stand {
        Stand {
            plug_out: true,
            ..self
        }
    }

    /// In words, which tell two stands apart.
    pub fn in_words(&self) -> String {
        let mut words = Vec::new();
        if self.plug_out {
            words.push("plug out".to_owned());
        } else {
            words.push(match self.line.as_str() {
                "" => "line not said".to_owned(),
                line => format!("line {line} V"),
            });
            words.push(match self.lamp.as_str() {
                "" => "no lamp".to_owned(),
                lamp => format!("lamp {lamp} W"),
            });
        }
        if !self.pulled.is_empty() {
            words.push(format!("without {}", self.pulled.join(", ")));
        }
        words.push(match self.meter.as_str() {
            "" => "meter not said".to_owned(),
            meter => format!("meter {meter}"),
        });
        words.join(", ")
    }
}

/// The form that changes it; afterwards the page `back` is shown.
pub fn as_before(bench: &Bench, back: &str) -> Markup {
    let stand = match Stand::of(bench) {
        Ok(stand) => stand,
        Err(own) => return pieces::trouble(&own),
    };
    html! {
        details .stand {
            summary { "How the set stands: " (stand.in_words()) }
            form .quiet method="post" action="/readings/conditions" {
                input type="hidden" name="back" value=(back);
                (pieces::choice("plug_out", "The plug is out", stand.plug_out))
                (pieces::text("line", "Line volts, as read", &stand.line, ""))
                (pieces::text("lamp", "Lamp in series, watts", &stand.lamp, ""))
                (pieces::text("pulled", "Tubes out of their sockets", &stand.pulled.join(", "), ""))
                (pieces::text("meter", "Meter, such as 10M or 20k/V 500 V", &stand.meter, ""))
                (pieces::send("So it stands"))
            }
        }
    }
}

/// From now on the set stands as the form says.
pub async fn conditions(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let stand = Stand {
        line: sent.owned("line"),
        lamp: sent.owned("lamp"),
        pulled: sent.list("pulled"),
        plug_out: sent.ticked("plug_out"),
        meter: sent.owned("meter"),
    };
    let to = match sent.text("back") {
        back if back.starts_with("/readings") => back.to_owned(),
        _ => "/readings".to_owned(),
    };
    entered(
        bench,
        to,
        move |bench| {
            stand.conditions()?;
            if !stand.meter.is_empty() {
                let wrong = |error| Trouble::input(error, "such as 10M, or 20k/V 500 V");
                bench_words::meter(&stand.meter).map_err(wrong)?;
            }
            bench.stands(stand);
            Ok(())
        },
        move |bench, refused| {
            let main = html! { (pieces::trouble(&refused)) (as_before(bench, "/readings")) };
            plain::page(bench, "Readings", "/readings", main)
        },
    )
    .await
}
