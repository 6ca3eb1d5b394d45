//! A picture tube judged, as a page: verdict first, then what it rests on, then what to do.
//!
//! Units as printed. Nothing here fails.

use benchwork::view::{
    ActView, EmissionView, FoundView, HeaterJudgedView, IonTrapView, LifeTestView, PictureView,
    RecoveryView, RunningSetView, StandInView, VerdictView,
};
use quantity::{Unit, bench};
use receiver::picture_tube::emission::level_text;

use super::lists::{dashes, heading, indented, numbered, paragraph, sentence, table, title};
use super::notices;
use super::picture_drive_page::{bench_part, bench_readings, cut_off_lines, drive_part};

/// The page of a tube.
pub fn page(view: &PictureView) -> String {
    let mut page = title(&match &view.tube {
        Some(tube) => format!("{tube}: {}", view.type_name),
        None => view.type_name.clone(),
    });
    if let Some(name) = &view.restoration {
        page.push_str(&paragraph(&format!(
            "{name}; {} about the picture tube.",
            counted(view.entries, "entry", "entries")
        )));
    }
    if let Some(verdict) = &view.verdict {
        page.push_str(&verdict_part(verdict));
    }
    if !view.cures.is_empty() {
        page.push_str(&head("Cheap cures first"));
        for cure in &view.cures {
            let gained = cure.gained.as_ref();
            let gained = gained.map(|gained| format!(" Tried: {gained}."));
            let text = format!(
                "{} ({}).{}",
                cure.text,
                cure.because,
                gained.unwrap_or_default()
            );
            page.push_str(&indented(&text, "  - ", "    "));
            page.push_str(&acts(&cure.acts, "      "));
        }
    }
    page.push_str(&heater_part(&view.heater));
    if !view.leaks.is_empty() {
        page.push_str(&head("Shorts and leaks"));
        page.push_str(&leak_lines(view));
    }
    for one in &view.emission {
        page.push_str(&emission_part(one));
    }
    for one in &view.comparisons {
        page.push_str(&head(&format!("{} against {}", one.first, one.second)));
        page.push_str(&paragraph(&(sentence(&one.text) + ".")));
    }
    if let Some(life) = &view.life_test {
        page.push_str(&life_part(life));
    }
    if let Some(running) = &view.running_set {
        page.push_str(&head("In the running set"));
        page.push_str(&running_line(running));
    }
    page.push_str(&drive_part(&view.drive));
    page.push_str(&bench_part(&view.bench));
    page.push_str(&trap_part(&view.ion_trap));
    page.push_str(&stand_in_part(&view.stand_ins));
    if let Some(recovery) = &view.recovery {
        page.push_str(&recovery_part(recovery));
    }
    page.push_str(&head("Mind"));
    page.push_str(&dashes(view.cautions.iter().map(String::as_str)));
    let more = cautions_of_acts(view);
    if !more.is_empty() {
        page.push_str(&paragraph("And at the set, with what is said above:"));
        page.push_str(&dashes(more));
    }
    page.push_str(&notices(&view.notices));
    page
}

/// The page after an entry: what was entered, what it says, the verdict as it stands now.
pub fn found(found: &FoundView) -> String {
    let mut page = String::new();
    for entry in &found.entries {
        page.push_str(&indented(
            &format!("Entry {}: {}", entry.number, entry.text),
            "",
            "  ",
        ));
    }
    if let Some(view) = &found.picture {
        let about = found
            .entries
            .last()
            .and_then(|entry| entry.says.get("about"))
            .and_then(|about| about.as_str())
            .unwrap_or_default();
        page.push_str(&match about {
            "heater" => heater_part(&view.heater),
            "leak" => head("Shorts and leaks") + &leak_lines(view),
            "cut-off" => cut_off_lines(&view.drive),
            "emission" => view.emission.last().map(emission_part).unwrap_or_default(),
            "life test" => view.life_test.as_ref().map(life_part).unwrap_or_default(),
            "bench current" => bench_readings(&view.bench),
            "running set" => view
                .running_set
                .as_ref()
                .map(running_line)
                .unwrap_or_default(),
            _ => String::new(),
        });
        if let Some(verdict) = &view.verdict {
            page.push_str(&verdict_part(verdict));
        }
        page.push_str(&notices(&view.notices));
    }
    page.push_str(&notices(&found.notices));
    page
}

pub fn head(text: &str) -> String {
    format!("\n{}", heading(text))
}

fn counted(count: usize, one: &str, several: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}

fn verdict_part(verdict: &VerdictView) -> String {
    let mut part = head("Verdict");
    part.push_str(&paragraph(&verdict.text));
    part.push_str(&dashes(verdict.reasons.iter().map(String::as_str)));
    if !verdict.would_change.is_empty() {
        part.push_str(&paragraph("What would change it, or make it firmer:"));
        part.push_str(&dashes(verdict.would_change.iter().map(String::as_str)));
    }
    part
}

pub fn acts(acts: &[ActView], first: &str) -> String {
    let further = format!("{first}  ");
    let lines = acts.iter();
    lines
        .map(|act| indented(&act.text, first, &further))
        .collect()
}

/// The cautions of all acts of the page, each once.
fn cautions_of_acts(view: &PictureView) -> Vec<&str> {
    let recovery = view.recovery.iter().flat_map(|own| &own.steps);
    let acts = view
        .cures
        .iter()
        .flat_map(|cure| &cure.acts)
        .chain(&view.bench.acts)
        .chain(recovery.map(|step| &step.act));
    let mut seen: Vec<&str> = Vec::new();
    for caution in acts.flat_map(|act| &act.cautions) {
        if !seen.contains(&caution.as_str()) {
            seen.push(caution);
        }
    }
    seen
}

fn heater_part(heater: &HeaterJudgedView) -> String {
    let mut part = head("Heater");
    let known =
        |figure: Option<f64>, unit| figure.map_or("not known".to_owned(), |own| bench(own, unit));
    let mut text = format!(
        "Rated {} and {}.",
        known(heater.rated_volts, Unit::Volts),
        known(heater.rated_amperes, Unit::Amperes)
    );
    if let (Some(low), Some(high)) = (heater.cold_ohms_low, heater.cold_ohms_high) {
        text.push_str(&format!(
            " Cold it should measure {low:.2} to {high:.2} ohm."
        ));
    }
    part.push_str(&paragraph(&text));
    part.push_str(&dashes(heater.findings.iter().map(|own| own.text.as_str())));
    part
}

fn leak_lines(view: &PictureView) -> String {
    let rows = view
        .leaks
        .iter()
        .map(|leak| {
            let ohms = leak
                .ohms
                .map_or("open".to_owned(), |ohms| bench(ohms, Unit::Ohms));
            let hot = if leak.hot { "hot" } else { "cold" };
            let pair = format!("{} + to {}", leak.plus, leak.minus);
            let word = leak.verdict.replace('_', " ");
            let text = if leak.text == word {
                word
            } else {
                format!("{word}: {}", leak.text)
            };
            vec![pair, hot.to_owned(), ohms, text]
        })
        .collect();
    table(&["between", "heater", "ohms", "says"], &[2], rows)
}

fn emission_part(one: &EmissionView) -> String {
    let mut part = head(&match one.sitting.as_str() {
        "" => "Emission".to_owned(),
        sitting => format!("Emission, sitting {sitting}"),
    });
    let unit = &one.unit;
    part.push_str(&paragraph(&format!(
        "{} on a scale to {} {unit}. Now {} to {} {unit}.",
        counted(one.readings.len(), "reading", "readings"),
        one.scale_end,
        level_text(one.now.low),
        level_text(one.now.high)
    )));
    part.push_str(&paragraph(&if one.heading_is_told {
        format!(
            "Heading for {} to {} {unit}, most likely {}.",
            level_text(one.heading.low),
            level_text(one.heading.high),
            level_text(one.heading.expected)
        )
    } else {
        format!("Where it is heading cannot be told: {}.", one.because)
    }));
    part.push_str(&paragraph(&match one.direction {
        "rising" => "It is rising.".to_owned(),
        "falling" => "It is falling.".to_owned(),
        "steady" => "It stays where it is.".to_owned(),
        _ => not_told_direction(one.chance_of_rising, one.chance_of_falling),
    }));
    let worth = match one.waiting {
        "worth" => "Waiting is worth it",
        "not_worth" => "Waiting is not worth it",
        _ => "Whether waiting is worth it cannot be told",
    };
    part.push_str(&paragraph(&format!("{worth}: {}.", one.waiting_text)));
    part.push_str(&dashes(one.notices.iter().map(String::as_str)));
    part
}

/// What is known of the direction where neither is sure; chances 0 to 1.
fn not_told_direction(rising: f64, falling: f64) -> String {
    /// Chance below which a direction is as good as ruled out.
    const HARDLY: f64 = 0.05;
    let (rises, falls) = (100.0 * rising, 100.0 * falling);
    if falling < HARDLY && rising >= HARDLY {
        format!(
            "It does not fall; whether it still rises cannot be told yet ({rises:.0} of 100 that it does)."
        )
    } else if rising < HARDLY && falling >= HARDLY {
        format!(
            "It does not rise; whether it still falls cannot be told yet ({falls:.0} of 100 that it does)."
        )
    } else {
        format!(
            "Where it goes from here cannot be told yet: up {rises:.0} of 100, down {falls:.0} of 100."
        )
    }
}

fn life_part(life: &LifeTestView) -> String {
    let mut part = head("Life test");
    part.push_str(&paragraph(&(sentence(&life.text) + ".")));
    if let (Some(seconds), Some(left), Some([least, most])) =
        (life.at_seconds, life.left, life.good_leaves)
    {
        part.push_str(&paragraph(&format!(
            "After {seconds} s {:.0} percent were left; a good cathode leaves {:.0} to {:.0} percent.",
            100.0 * left,
            100.0 * least,
            100.0 * most
        )));
    }
    part
}

fn running_line(running: &RunningSetView) -> String {
    let usual = &running.usual_microamperes;
    paragraph(&format!(
        "Cathode current is {}; usual at normal brightness are {:.0} to {:.0} uA.",
        running.verdict, usual.low, usual.high
    ))
}

fn trap_part(trap: &IonTrapView) -> String {
    let mut part = head("Ion trap");
    part.push_str(&paragraph(&(trap.text.clone() + ".")));
    part.push_str(&numbered(trap.setting.iter().map(String::as_str)));
    part.push_str(&paragraph(&format!("Wrong: {}", trap.wrong)));
    part
}

fn stand_in_part(stand_ins: &[StandInView]) -> String {
    if stand_ins.is_empty() {
        return String::new();
    }
    let mut part = head("What a stand-in changes");
    for one in stand_ins {
        let text = match one.changes.as_slice() {
            [] => "nothing that is on record".to_owned(),
            changes => changes.join("; "),
        };
        let word = match one.listed_as.as_str() {
            "" => String::new(),
            word => format!(" The list of replacements says: {word}."),
        };
        part.push_str(&indented(
            &format!("{}: {text}.{word}", one.name),
            "  - ",
            "    ",
        ));
    }
    part
}

fn recovery_part(recovery: &RecoveryView) -> String {
    let mut part = head("Gentle recovery");
    for (place, step) in recovery.steps.iter().enumerate() {
        let text = format!("{} {}.", step.act.text, step.stop_rule);
        part.push_str(&indented(&text, &format!("{:>4}. ", place + 1), "      "));
    }
    if let Some(volts) = recovery.highest_volts {
        part.push_str(&paragraph(&format!(
            "Never above {volts:.2} V; {} in all at the longest.",
            minutes(recovery.total_minutes)
        )));
    }
    if !recovery.not_advised.is_empty() {
        part.push_str(&paragraph("No more than that is advised now:"));
        part.push_str(&dashes(recovery.not_advised.iter().map(String::as_str)));
    }
    part.push_str(&paragraph(&recovery.cost));
    part.push_str(&paragraph(&recovery.harsher));
    part
}

fn minutes(minutes: f64) -> String {
    if minutes >= 120.0 {
        format!("{:.1} hours", minutes / 60.0)
    } else {
        format!("{minutes:.0} minutes")
    }
}
