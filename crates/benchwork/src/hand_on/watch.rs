//! What the next owner should watch: what was found and left, and what is still open.
//!
//! Words. From facts and the sheet alone: parts found bad or weak and still in, parts left loose,
//! cans formed anew, old waxed paper, electrolytics, selenium and line capacitors that nobody
//! touched, readings outside their band, a power-up that did not end, a picture tube that is not good.
//! That such old parts are to be watched is common practice. Fails only for a fault of the program's own figures.

use receiver::sheet::{CapacitorStyle, ChassisStanding, PartValue};
use receiver::stages::TesterSaid;
use receiver::suspects::outcome::Found;
use receiver::wiring::SetModel;

use super::Handed;
use crate::check_sheet::catalogue;
use crate::hunt::outcomes;
use crate::trouble::Trouble;
use crate::view::{AsLeftView, PictureHandedView, PowerHandedView, SafetyView, WatchView};

/// A tester's percent below which a tube is told as weak (common practice: most testers call half of their good one poor).
const WEAK_PERCENT: f64 = 60.0;

/// Everything to watch, the most pressing first.
pub(super) fn points(
    handed: &Handed<'_>,
    (chart, safety): (&AsLeftView, &SafetyView),
    picture_tube: &PictureHandedView,
    power_up: &PowerHandedView,
) -> Result<Vec<WatchView>, Trouble> {
    let mut points = Vec::new();
    let mut point = |kind, about: &str, text: String, entry| {
        points.push(WatchView {
            kind,
            about: about.to_owned(),
            text,
            entry,
        });
    };
    let items = || safety.proof.iter().flat_map(|proof| &proof.items);
    for item in items().filter(|item| item.state == "failed") {
        let because = item.because.join("; ");
        let text = format!("beyond its figure in the check list at the end: {because}");
        point("proof", &item.title, text, None);
    }
    let open = items().filter(|item| item.state == "open").count();
    if open > 0 {
        let text = format!("items of the check list at the end that are open: {open}");
        point("proof", "check list", text, None);
    }
    if ["under_way", "stopped", "left"].contains(&power_up.state) {
        point("power_up", "power-up", power_up.text.clone(), None);
    }
    for (step, unknown) in power_up
        .steps
        .iter()
        .flat_map(|step| step.leaves_unknown.iter().map(move |own| (step, own)))
    {
        let text = format!("left unknown by the step \"{}\": {unknown}", step.title);
        point("power_up", "power-up", text, None);
    }
    let sheet = &handed.so_far.sheet;
    let model = SetModel::new(sheet, catalogue()?);
    for found in outcomes(&model, handed.facts) {
        if let Found::Bad(words) = &found.outcome.found {
            let text = format!("found bad and still in the set: {words}");
            point("condemned", &found.part, text, Some(found.entry));
        }
    }
    for row in &chart.rows {
        let word = match row.verdict {
            "low" => "below",
            "high" => "above",
            _ => continue,
        };
        let to = match row.to.as_str() {
            "chassis" => String::new(),
            to => format!(" to {to}"),
        };
        let text = format!(
            "read {}{to}, {word} what such a set shows; the cause is not written down",
            row.typed
        );
        point("outside", &row.at, text, row.entry);
    }
    if let Some(picture) = &picture_tube.picture
        && let Some(verdict) = &picture.verdict
        && !["good", "cannot_tell"].contains(&verdict.standing)
    {
        let about = picture.tube.as_deref().unwrap_or("picture tube");
        point("picture_tube", about, verdict.text.clone(), None);
    }
    let state = &sheet.state;
    for part in &state.cut_loose {
        let text = "left cut loose: what it did is missing until a part is back in its place";
        point("cut_loose", part, text.to_owned(), None);
    }
    for tube in &state.tested {
        let said = match tube.said {
            TesterSaid::Weak => "weak".to_owned(),
            TesterSaid::Percent(percent) if percent < WEAK_PERCENT => {
                format!("{percent} percent of a good one")
            }
            _ => continue,
        };
        point(
            "weak",
            &tube.reference,
            format!("a tester found it {said}"),
            None,
        );
    }
    for part in &state.re_formed {
        let text = "formed anew and kept: an old electrolytic. Feel it after an hour, with the plug out and its charge taken away, and measure its leakage again after a long rest";
        point("re_formed", part, text.to_owned(), None);
    }
    old_parts(handed, &mut point);
    Ok(points)
}

/// Old parts of kinds that fail, which nobody replaced.
fn old_parts(handed: &Handed<'_>, point: &mut impl FnMut(&'static str, &str, String, Option<u64>)) {
    let sheet = &handed.so_far.sheet;
    let state = &sheet.state;
    let is_seen_to = |part: &String| {
        [&state.replaced, &state.re_formed, &state.cut_loose]
            .iter()
            .any(|list| list.contains(part))
    };
    let line_capacitors = match sheet.chassis_standing() {
        ChassisStanding::Isolated { line_capacitors } => line_capacitors,
        _ => Vec::new(),
    };
    let mut kinds: [(Vec<&str>, &str); 4] = [
        (
            Vec::new(),
            "not replaced in this restoration: capacitors at the line, which put the chassis or the antenna on the line when they short",
        ),
        (
            Vec::new(),
            "not replaced in this restoration: waxed paper, which leaks with age",
        ),
        (
            Vec::new(),
            "neither replaced nor formed anew in this restoration: electrolytics, which leak and can burst after a long rest",
        ),
        (
            Vec::new(),
            "not replaced in this restoration: selenium, which ages into resistance and gives off poisonous fumes when it fails",
        ),
    ];
    for part in sheet
        .parts
        .iter()
        .filter(|part| !is_seen_to(&part.reference))
    {
        let at = match &part.value {
            _ if line_capacitors.contains(&part.reference) => 0,
            PartValue::Capacitor {
                style: CapacitorStyle::Paper,
                ..
            } => 1,
            PartValue::Capacitor {
                style: CapacitorStyle::Electrolytic,
                ..
            } => 2,
            PartValue::Selenium { .. } => 3,
            _ => continue,
        };
        if let Some((names, _)) = kinds.get_mut(at) {
            names.push(&part.reference);
        }
    }
    for (names, text) in kinds {
        if !names.is_empty() {
            point("as_found", &names.join(", "), text.to_owned(), None);
        }
    }
}
