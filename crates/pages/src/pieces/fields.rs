//! Fields of a form: one question, a large keypad, units, choices, the button that sends.
//!
//! Values are texts as typed; whoever they are for checks them. Without the script a field is a plain input.
//! Nothing here fails.

use maud::{Markup, html};

/// A unit that a key appends to a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unit {
    /// What the key shows.
    pub key: &'static str,
    /// What is appended.
    pub text: &'static str,
    /// What it is called aloud.
    pub said: &'static str,
}

impl Unit {
    /// Volts.
    pub const VOLTS: Unit = Unit {
        key: "V",
        text: " V",
        said: "volts",
    };
    /// Thousands of volts.
    pub const KILOVOLTS: Unit = Unit {
        key: "kV",
        text: " kV",
        said: "thousand volts",
    };
    /// Volts of alternating current.
    pub const VOLTS_AC: Unit = Unit {
        key: "V a.c.",
        text: " V a.c.",
        said: "volts of alternating current",
    };
    /// Milliamperes.
    pub const MILLIAMPS: Unit = Unit {
        key: "mA",
        text: " mA",
        said: "milliamperes",
    };
    /// Amperes.
    pub const AMPERES: Unit = Unit {
        key: "A",
        text: " A",
        said: "amperes",
    };
    /// Watts.
    pub const WATTS: Unit = Unit {
        key: "W",
        text: " W",
        said: "watts",
    };
    /// Ohms.
    pub const OHMS: Unit = Unit {
        key: "Ω",
        text: " ohm",
        said: "ohms",
    };
    /// Thousands of ohms.
    pub const KILOHMS: Unit = Unit {
        key: "k",
        text: "k",
        said: "thousand ohms",
    };
    /// Millions of ohms.
    pub const MEGOHMS: Unit = Unit {
        key: "M",
        text: " meg",
        said: "million ohms",
    };
    /// No way through.
    pub const OPEN: Unit = Unit {
        key: "open",
        text: "open",
        said: "open",
    };

    /// The units of a kind of reading, by its name in the answers.
    pub fn of(what: &str) -> &'static [Unit] {
        match what {
            "ohms" => &[Unit::OHMS, Unit::KILOHMS, Unit::MEGOHMS, Unit::OPEN],
            "line_amps_rms" | "capacitor_ripple_amps_rms" => &[Unit::AMPERES, Unit::MILLIAMPS],
            "line_watts" | "part_watts" => &[Unit::WATTS],
            name if name.ends_with("_milliamps") => &[Unit::MILLIAMPS, Unit::AMPERES],
            "ac_volts_rms" | "heater_volts_rms" | "lamp_volts_rms" => &[Unit::VOLTS_AC],
            _ => &[Unit::VOLTS],
        }
    }

    /// What was typed, with the unit that is meant where a number stands alone.
    pub fn completed(typed: &str, units: &[Unit]) -> String {
        let typed = with_point(typed.trim()).replace('−', "-");
        match (typed.parse::<f64>(), units.first()) {
            (Ok(_), Some(unit)) => format!("{typed}{}", unit.text),
            _ => typed,
        }
    }
}

/// A number with a point where a comma was typed for it. Three digits behind a comma are thousands, as in the rest of
/// bench notation: `22,000` is 22000, and `6,3` is 6.3.
pub fn with_point(typed: &str) -> String {
    let number = typed.trim_start_matches(['+', '-', '−']);
    let end = number.find(|own: char| !own.is_ascii_digit() && own != ',');
    let mut groups = number[..end.unwrap_or(number.len())].split(',');
    let first = groups.next().unwrap_or_default();
    let is_first = (1..=3).contains(&first.len()) && !first.starts_with('0');
    if is_first && groups.all(|group| group.len() == 3) {
        typed.replace(',', "")
    } else {
        typed.replace(',', ".")
    }
}

/// A number with its keypad and units. The first unit is the one meant where none is typed.
pub fn number(name: &str, label: &str, typed: &str, units: &[Unit]) -> Markup {
    number_of("f", name, label, typed, units)
}

/// The same in one of several forms of a page, which bears this name.
pub fn number_of(form: &str, name: &str, label: &str, typed: &str, units: &[Unit]) -> Markup {
    let id = format!("{form}-{name}");
    html! {
        div .number data-number="" {
            label for=(id) { (label) }
            input #(id) name=(name) value=(typed) type="text" inputmode="decimal" autocomplete="off"
                autocapitalize="off" spellcheck="false" enterkeyhint="send";
            div .keypad hidden role="group" aria-label={ "Keypad for " (label) } {
                @for key in ["7", "8", "9", "4", "5", "6", "1", "2", "3", "−", "0", "."] {
                    button .key type="button" data-key=(if key == "−" { "-" } else { key })
                        aria-label=(match key { "−" => "minus", "." => "point", other => other }) { (key) }
                }
                @for unit in units {
                    button .key.unit type="button" data-unit=(unit.text) aria-label=(unit.said) { (unit.key) }
                }
                button .key.wide type="button" data-back="" aria-label="take the last sign away" { "⌫" }
            }
        }
    }
}

/// A line of text. `list` names suggestions on the same page; empty for none.
pub fn text(name: &str, label: &str, typed: &str, list: &str) -> Markup {
    text_of("f", name, label, typed, list)
}

/// The same in one of several forms of a page, which bears this name.
pub fn text_of(form: &str, name: &str, label: &str, typed: &str, list: &str) -> Markup {
    let id = format!("{form}-{name}");
    html! {
        div .field {
            label for=(id) { (label) }
            @if list.is_empty() {
                input #(id) name=(name) value=(typed) type="text" autocomplete="off";
            } @else {
                input #(id) name=(name) value=(typed) type="text" autocomplete="off" list=(list)
                    autocapitalize="off" spellcheck="false";
            }
        }
    }
}

/// Suggestions for fields of the page that name this list: each with a word on what it is.
pub fn suggestions(id: &str, own: &[(String, String)]) -> Markup {
    html! {
        datalist #(id) {
            @for (value, words) in own {
                option value=(value) { (words) }
            }
        }
    }
}

/// Anything else, folded away until it is wanted.
pub fn remark(typed: &str) -> Markup {
    html! {
        details .remark open[!typed.is_empty()] {
            summary { "Add a note" }
            label for="f-note" { "Note" }
            textarea #f-note name="note" rows="3" { (typed) }
        }
    }
}

/// One of several, each a large target: value and words.
pub fn one_of(name: &str, question: &str, chosen: &str, choices: &[(&str, &str)]) -> Markup {
    html! {
        fieldset .choices {
            legend { (question) }
            @for (value, words) in choices {
                label .choice {
                    input type="radio" name=(name) value=(value) checked[*value == chosen];
                    span { (words) }
                }
            }
        }
    }
}

/// A box to tick.
pub fn choice(name: &str, words: &str, ticked: bool) -> Markup {
    html! {
        label .choice {
            input type="checkbox" name=(name) value="yes" checked[ticked];
            span { (words) }
        }
    }
}

/// The button that sends a form.
pub fn send(words: &str) -> Markup {
    html! { button .send type="submit" { (words) } }
}

#[cfg(test)]
mod tests {
    use super::with_point;

    #[test]
    fn a_comma_is_a_point_or_parts_thousands() {
        // The way thousands are written in the drawings of the sets, 22,000 ohms: common practice.
        for (typed, wanted) in [
            ("6,3 V", "6.3 V"),
            ("1,500 V", "1500 V"),
            ("-1,500", "-1500"),
            ("22,000.5", "22000.5"),
            ("1,000,000 ohms", "1000000 ohms"),
            ("0,125", "0.125"),
            ("1500,250", "1500.250"),
            ("12,5,3", "12.5.3"),
            ("135 V", "135 V"),
            ("open", "open"),
            ("", ""),
        ] {
            assert_eq!(with_point(typed), wanted, "{typed}");
        }
    }
}
