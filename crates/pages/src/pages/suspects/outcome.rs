//! What came of a part: forms that clear it, condemn it or tell of a trial, and the entries that they make.
//!
//! Volts at a loose end as the meter shows them. Fails as the recording does; nothing is entered then.

use benchwork::view::RecordedView;
use benchwork::{
    CheckedBy, NewLooseEnd, NewOutcome, NewTrial, TriedHow, Trouble, record_loose_end,
    record_outcome, record_trial,
};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, hidden, hidden_in_answer};
use crate::pieces::{Unit, number_of, one_of, send, text_of};

/// How a part was checked: the words of the forms.
const CHECKS: [(&str, &str, CheckedBy); 5] = [
    ("ohms", "ohmmeter, one end free", CheckedBy::Ohms),
    (
        "leakage",
        "leakage at its working volts, one end free",
        CheckedBy::Leakage,
    ),
    (
        "capacitance",
        "capacitance meter, one end free",
        CheckedBy::Capacitance,
    ),
    (
        "exchange",
        "another one in its place, and nothing changed",
        CheckedBy::Exchange,
    ),
    ("tester", "tube tester", CheckedBy::Tester),
];

/// Forms for one part, each folded away until it is wanted; that of a refused entry stands open.
pub fn forms(bench: &Bench, to: &str, part: &str, typed: &Sent, is_refused: bool) -> Markup {
    let came = typed.text("came");
    let open = |own: &str| is_refused && came == own;
    let own = |name: &str, of: &str| match open(of) {
        true => typed.owned(name),
        false => String::new(),
    };
    html! {
        details open[open("cleared")] {
            summary { (part) " is good" }
            form method="post" action=(to) data-keep="" {
                (hidden(bench)) input type="hidden" name="came" value="cleared";
                (checks(&own("by", "cleared")))
                (send("Enter: it is good"))
            }
        }
        details open[open("condemned")] {
            summary { (part) " is bad" }
            form method="post" action=(to) data-keep="" {
                (hidden(bench)) input type="hidden" name="came" value="condemned";
                (text_of("condemned", "found", "What was found, such as leaky, 200k at 300 volts", &own("found", "condemned"), ""))
                (checks(&own("by", "condemned")))
                (send("Enter: it is bad"))
            }
        }
        details open[open("exchanged") || open("bridged")] {
            summary { "A good one was tried" }
            form method="post" action=(to) data-keep="" {
                (hidden(bench))
                (one_of("came", "Where was the good one?", if came == "bridged" { "bridged" } else { "exchanged" },
                    &[("exchanged", "in its place"), ("bridged", "across an old capacitor")]))
                (one_of("then", "What became of the fault?", typed.text("then"), &[("gone", "gone"), ("the same", "the same")]))
                (send("Enter the trial"))
            }
        }
        details open[open("loose_end")] {
            summary { "Volts at its loose end" }
            (loose_end(bench, to, "loose", typed, open("loose_end")))
        }
    }
}

/// The form for volts at a loose end; `name` tells it from the other forms of the page.
pub fn loose_end(bench: &Bench, to: &str, name: &str, typed: &Sent, is_refused: bool) -> Markup {
    let own = |field: &str| match is_refused {
        true => typed.owned(field),
        false => String::new(),
    };
    let volts = &[Unit::VOLTS];
    html! {
        form method="post" action=(to) data-keep="" {
            (hidden_in_answer(bench)) input type="hidden" name="came" value="loose_end";
            (number_of(name, "volts", "From the loose end to chassis", &own("volts"), volts))
            (number_of(name, "other_end", "From the end in the set to chassis", &own("other_end"), volts))
            (text_of(name, "meter", "The meter, if not that of the last reading, such as 10M", &own("meter"), ""))
            (send("Enter the volts"))
        }
    }
}

fn checks(chosen: &str) -> Markup {
    let own = CHECKS.map(|(word, words, _)| (word, words));
    one_of("by", "How was it checked?", chosen, &own)
}

/// The way of checking that a word of the forms means.
pub fn checked_by(word: &str) -> Option<CheckedBy> {
    let own = CHECKS.iter().find(|own| own.0 == word);
    own.map(|own| own.2)
}

/// Records what came of a part.
pub fn record(bench: &Bench, part: &str, sent: &Sent) -> Result<RecordedView, Trouble> {
    let entering = sent.entering(bench)?;
    let part = part.to_owned();
    let note = sent.owned("note");
    let trial = |part, how| {
        let then = sent.owned("then");
        let note = note.clone();
        record_trial(
            &entering,
            NewTrial {
                part,
                how,
                then,
                note,
            },
        )
    };
    match sent.text("came") {
        "cleared" | "condemned" => record_outcome(
            &entering,
            NewOutcome {
                part,
                found: (sent.text("came") == "condemned").then(|| sent.owned("found")),
                by: checked_by(sent.text("by")),
                note,
            },
        ),
        "exchanged" => trial(part, TriedHow::Exchanged),
        "bridged" => trial(part, TriedHow::Bridged),
        "loose_end" => record_loose_end(
            &entering,
            NewLooseEnd {
                part,
                volts: sent.owned("volts"),
                other_end: sent.owned("other_end"),
                meter: sent.owned("meter"),
                note,
            },
        ),
        other => Err(Trouble::input(
            format!("`{other}` is nothing that comes of a part"),
            "choose one of the forms of the page",
        )),
    }
}
