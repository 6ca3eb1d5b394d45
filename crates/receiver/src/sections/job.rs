//! The section that a tube's job on the sheet names.
//!
//! Words as restorers write them: "second picture i.f.", "vertical oscillator and output". Source: names
//! of the trade (common practice). Words that name no section give none; nothing here fails.

use parts::SetSection;

/// The sections that a job names, in its order; empty where it names none.
pub fn of_job(job: &str) -> Vec<SetSection> {
    let job = job.to_lowercase();
    let mut found = Vec::new();
    let pieces = job.replace(" and ", ",").replace(['/', '&', '+', ';'], ",");
    for piece in pieces.split(',') {
        let own = of_piece(piece).or_else(|| of_piece(&with_context(piece, &job)));
        if let Some(own) = own
            && !found.contains(&own)
        {
            found.push(own);
        }
    }
    found
}

/// "oscillator and output" behind "vertical" are both of the vertical sweep.
fn with_context(piece: &str, job: &str) -> String {
    let words = [
        "vertical",
        "horizontal",
        "mixer",
        "sound",
        "audio",
        "video",
        "sync",
    ];
    let own = words.iter().find(|word| job.contains(**word));
    format!("{} {piece}", own.unwrap_or(&""))
}

fn of_piece(piece: &str) -> Option<SetSection> {
    use SetSection as Section;
    let has = |words: &[&str]| words.iter().any(|word| piece.contains(word));
    let vertical = has(&["vertical", "field", "frame"]);
    let horizontal = has(&["horizontal", "line o", "line sweep"]);
    let sound = has(&[
        "sound",
        "audio",
        "discriminator",
        "ratio detector",
        "limiter",
    ]);
    Some(if has(&["picture tube", "cathode-ray", "cathode ray"]) {
        Section::PictureTube
    } else if has(&["high-voltage", "high voltage", "h.v."]) {
        Section::HighVoltage
    } else if has(&["damper", "boost", "efficiency"]) {
        Section::Damper
    } else if has(&["rectifier", "regulator"]) {
        Section::Supply
    } else if has(&["a.g.c", "agc", "keyer", "gain control"]) {
        Section::Agc
    } else if has(&["sync", "separator", "clipper", "noise"]) {
        Section::Sync
    } else if vertical && has(&["output", "amplifier"]) {
        Section::VerticalOutput
    } else if vertical {
        Section::VerticalOscillator
    } else if horizontal && has(&["output", "amplifier", "drive"]) {
        Section::HorizontalOutput
    } else if horizontal || has(&["a.f.c", "phase"]) {
        Section::HorizontalOscillator
    } else if sound {
        Section::Sound
    } else if has(&[
        "r.f.",
        "rf ",
        "tuner",
        "mixer",
        "converter",
        "cascode",
        "local",
    ]) {
        Section::Tuner
    } else if has(&["i.f", "if amp", "intermediate"]) {
        Section::Intermediate
    } else if has(&["video", "picture"]) {
        if has(&["detector"]) {
            Section::VideoDetector
        } else {
            Section::VideoAmplifier
        }
    } else if has(&["d.c. restorer", "dc restorer"]) {
        Section::VideoAmplifier
    } else {
        return None;
    })
}

#[cfg(test)]
mod tests {
    use super::of_job;
    use parts::SetSection as Section;

    #[test]
    fn jobs_in_the_words_of_the_trade() {
        for (job, wanted) in [
            ("r.f. amplifier", &[Section::Tuner][..]),
            ("oscillator and mixer", &[Section::Tuner]),
            ("second picture i.f.", &[Section::Intermediate]),
            ("sound i.f.", &[Section::Sound]),
            ("sound output", &[Section::Sound]),
            (
                "picture detector and a.g.c.",
                &[Section::VideoDetector, Section::Agc],
            ),
            ("first video amplifier", &[Section::VideoAmplifier]),
            (
                "sync separator and vertical oscillator",
                &[Section::Sync, Section::VerticalOscillator],
            ),
            (
                "vertical oscillator and output",
                &[Section::VerticalOscillator, Section::VerticalOutput],
            ),
            (
                "horizontal control and oscillator",
                &[Section::HorizontalOscillator],
            ),
            ("Horizontal output", &[Section::HorizontalOutput]),
            ("damper", &[Section::Damper]),
            ("high-voltage rectifier", &[Section::HighVoltage]),
            ("B+ rectifier", &[Section::Supply]),
            ("picture tube", &[Section::PictureTube]),
            (
                "keyed a.g.c. and sync amplifier",
                &[Section::Agc, Section::Sync],
            ),
            ("", &[]),
            ("dial lamp of the clock", &[]),
        ] {
            assert_eq!(of_job(job), wanted, "{job}");
        }
    }
}
