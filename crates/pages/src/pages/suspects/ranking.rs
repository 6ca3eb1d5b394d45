//! The ranking as a part of a page: the verdict, the weights as picture and as rows, what readings cannot find.
//!
//! Weights of a hundred, readings as at the bench. Nothing here fails.

use benchwork::figures::figure;
use benchwork::hunt_words::{of_hundred, place_of, value_of};
use benchwork::view::{HuntedReadingView, NoticedView, SuspectView, SuspectsView};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::pages::plain::{cautions, folded, rows};
use crate::pieces::{danger, notices, on_the_chassis, picture};

/// Suspects below this weight are folded away.
const LISTED: f64 = 0.01;
const MOST_LISTED: usize = 10;
const MOST_ON_THE_MAP: usize = 5;

/// The ranking.
pub fn ranking(bench: &Bench, view: &SuspectsView) -> Markup {
    let is_told = view.verdict != "nothing_read";
    let (listed, rest): (Vec<_>, Vec<_>) = view
        .suspects
        .iter()
        .enumerate()
        .partition(|(place, own)| *place < MOST_LISTED && own.weight >= LISTED);
    let links =
        |own: &[(usize, &SuspectView)]| -> Vec<_> { own.iter().map(|(_, own)| row(own)).collect() };
    html! {
        @if let Some(own) = &view.danger { (danger(own)) }
        h2 { (head(view)) }
        p { (words(view)) }
        (notices(&view.notices))
        @if is_told {
            @if let Ok(svg) = pictures::suspects::svg(view) {
                (picture(&svg, "How likely each part is the bad one, of a hundred"))
            }
            (on_the_chassis(bench, &sought(&listed)))
            (rows(&links(&listed)))
            p { "Nothing is wrong: " b { (of_hundred(view.healthy)) } " of 100. A fault of a kind not listed here: "
                b { (of_hundred(view.not_listed)) } "." }
            @if !rest.is_empty() {
                details { summary { "All other parts (" (rest.len()) ")" } (rows(&links(&rest))) }
            }
            (folded("Two faults at once", &pairs(view)))
        }
        (folded("Readings that lie outside", &readings(view, |own| own.state == "weighed" && own.verdict != "inside")))
        (folded("Readings that lie inside", &readings(view, |own| own.state == "weighed" && own.verdict == "inside")))
        (folded("Readings that do not count", &readings(view, |own| own.state != "weighed")))
        (folded("Noticed", &view.noticed.iter().map(noticed).collect::<Vec<_>>()))
        @if is_told { (folded("What such readings cannot find", &silent(view))) }
        (folded("Found of parts by themselves", &found(view)))
        (folded("The set as it is now", &view.bent_by))
        (folded("Could not be used", &view.not_used))
        h3 { "Before you touch anything" }
        (cautions(&view.cautions))
    }
}

/// The foremost suspects with their pages, for the map.
fn sought(listed: &[(usize, &SuspectView)]) -> Vec<(String, Option<String>)> {
    let first = listed.iter().take(MOST_ON_THE_MAP);
    first
        .map(|(_, own)| (own.part.clone(), Some(address(&own.part))))
        .collect()
}

fn address(part: &str) -> String {
    format!("/suspects/{}", crate::words::in_address(part))
}

fn head(view: &SuspectsView) -> String {
    match (view.verdict, view.suspects.first()) {
        ("nothing_read", _) => "Nothing was read yet".to_owned(),
        ("healthy", _) => "Nothing seems to be wrong".to_owned(),
        ("nothing_explains", _) => "Nothing that is followed here explains the readings".to_owned(),
        ("undecided", _) | (_, None) => "No part stands out".to_owned(),
        (_, Some(first)) => format!("{} first: {} of 100", first.part, of_hundred(first.weight)),
    }
}

fn words(view: &SuspectsView) -> String {
    let counting = view.readings.iter().filter(|own| own.state == "weighed");
    let noticed = view.noticed.iter().filter(|own| own.state == "weighed");
    let from = match (counting.count(), noticed.count()) {
        (read, 0) => format!("Readings that count: {read}."),
        (read, noticed) => format!("Readings that count: {read}; things noticed: {noticed}."),
    };
    let then = match view.verdict {
        "nothing_read" => {
            "Enter readings, the line and the B+ lines first, or what you see and hear."
        }
        "healthy" => "A set in which nothing is wrong explains them best.",
        "undecided" => {
            "What is listed is hardly more than how often such parts fail. Read more places."
        }
        "nothing_explains" => {
            "Read again what is farthest out, hold the sheet against the set there, and look for what is no part of the sheet: a joint, a socket, a switch, a wire. What is listed is only the least bad."
        }
        _ => "Of a hundred sets that read so, this many have the fault there.",
    };
    format!("{from} {then}")
}

fn row(own: &SuspectView) -> (String, String, String) {
    let likeliest = own.ways.first().map_or("", |way| way.text.as_str());
    (
        address(&own.part),
        format!("{}: {} of 100", own.part, of_hundred(own.weight)),
        format!("{}, most likely {likeliest}", own.kind),
    )
}

fn pairs(view: &SuspectsView) -> Vec<String> {
    let pairs = view.pairs.iter().filter(|own| own.weight >= LISTED);
    pairs
        .map(|own| {
            let ([one, other], [first, second]) = (&own.parts, &own.texts);
            format!(
                "{one} ({first}) with {other} ({second}): {} of 100",
                of_hundred(own.weight)
            )
        })
        .collect()
}

fn readings(view: &SuspectsView, which: impl Fn(&HuntedReadingView) -> bool) -> Vec<String> {
    let own = view.readings.iter().filter(|own| which(own));
    own.map(|own| {
        let conditions = own.conditions.and_then(|at| view.conditions.get(at));
        let band = match (own.low, own.high) {
            (Some(low), Some(high)) => format!(
                ", healthy {} to {}",
                figure(own.what, low),
                figure(own.what, high)
            ),
            _ => String::new(),
        };
        let verdict = match own.verdict {
            "" | "inside" => String::new(),
            verdict => format!(": {verdict}"),
        };
        let because = match (own.because.as_str(), own.since) {
            ("", _) => String::new(),
            (because, Some(since)) => format!("; {because} since (entry {since})"),
            (because, None) => format!("; {because}"),
        };
        let under = match (view.conditions.len(), conditions) {
            (0 | 1, _) | (_, None) => String::new(),
            (_, Some(conditions)) => format!(", {}", conditions.behind()),
        };
        format!(
            "{} {}{band}{verdict}{under} (entry {}){because}",
            place_of(own),
            value_of(own),
            own.entry
        )
    })
    .collect()
}

fn noticed(own: &NoticedView) -> String {
    let rest = match (own.state, own.since) {
        ("former", Some(since)) => {
            format!(
                "; of the set as it was before: {} since (entry {since})",
                own.because
            )
        }
        ("not_weighed", _) => format!("; not weighed: {}", own.because),
        _ => String::new(),
    };
    format!("{} (entry {}){rest}", own.text, own.entry)
}

fn silent(view: &SuspectsView) -> Vec<String> {
    let own = view
        .silent
        .iter()
        .map(|own| format!("{}: {}", own.fault, own.parts.join(", ")));
    let mut lines: Vec<String> = own.collect();
    if view.unsolved > 0 {
        lines.push(format!(
            "{} faults could not be solved under these conditions",
            view.unsolved
        ));
    }
    if !view.not_followed.is_empty() {
        lines.push(format!(
            "{} faults of joints, sockets, switches, coils in signal paths and the like, which nothing follows yet",
            view.not_followed.len()
        ));
    }
    lines
}

fn found(view: &SuspectsView) -> Vec<String> {
    let own = view.found.iter();
    own.map(|own| {
        format!(
            "{} {}: {} (entry {})",
            own.part, own.verdict, own.words, own.entry
        )
    })
    .collect()
}
