//! The table of hazards: every row usable, every row used, its page in the manual up to date.
//!
//! `HAZARDS_PAGE=write cargo test -p receiver --test hazard_table` writes the page anew.

use std::collections::BTreeSet;

use receiver::hazard::{
    self, Act, ActKind, ActPlace, HandledBy, HazardTable, Instrument, Measured, Sign, Situation,
    Standing, TriggerWord, Watch,
};

const TEXT: &str = include_str!("../../../data/hazards.csv");
const PAGE: &str = include_str!("../../../docs/manual/hazards.md");

fn table() -> &'static HazardTable {
    hazard::table().expect("the table reads")
}

#[test]
fn ids_are_unique_and_every_cell_but_the_figure_is_filled() {
    let rows = table().hazards();
    let ids: BTreeSet<_> = rows.iter().map(|row| &row.id).collect();
    assert_eq!(ids.len(), rows.len());
    for row in rows {
        for text in [
            &row.hazard,
            &row.place,
            &row.present_when,
            &row.caution,
            &row.never_advise,
            &row.safe_way,
            &row.source,
        ] {
            assert!(!text.is_empty(), "{}", row.id);
        }
        assert!(row.caution.ends_with('.'), "{}", row.id);
    }
}

#[test]
fn every_row_has_rules_or_is_a_caution_alone() {
    let ruled: BTreeSet<_> = hazard::rules().map(|rule| rule.hazard).collect();
    let cautions: Vec<_> = table()
        .hazards()
        .iter()
        .filter(|row| row.handled_by == HandledBy::Caution)
        .map(|row| row.id.as_str())
        .collect();
    for row in table().hazards() {
        assert_eq!(
            ruled.contains(row.id.as_str()),
            row.handled_by == HandledBy::Rule,
            "{}",
            row.id
        );
    }
    assert_eq!(cautions, ["jewellery", "lead-and-flux"]);
    for rule in hazard::rules() {
        let named = rule.id.split_once('/').map(|(hazard, _)| hazard);
        assert_eq!(named, Some(rule.hazard));
    }
}

/// Situations and acts among which each row's trigger must both hold and fail.
fn moments() -> Vec<(Vec<Act>, Situation)> {
    use receiver::hazard::*;
    let set = |kind| Act::new(kind, ActPlace::WholeSet);
    let known = Situation {
        chassis: ChassisRelation::IsolatedByTransformer,
        cord: Cord::New,
        capacitors_above_60_volts: Some(false),
        heater_string: Some(false),
        selenium: Some(false),
        top_caps: Some(false),
        horizontal_output: Some(false),
        power_transformer: Some(false),
        line_capacitors: Some(false),
        resistance_cord: Some(false),
        waxed_parts: Some(false),
        picture_tube: Some(false),
        line_frequency_high_voltage: Some(false),
        ..Situation::default()
    };
    let all = Situation {
        isolation: Isolation::IsolationTransformer,
        limiter_lamp: true,
        variable_transformer: true,
        load_missing: true,
        picture_tube_bared: true,
        electrolytic_replaced: true,
        seen: vec![
            Seen::OilFilledPart,
            Seen::FibrousSheet,
            Seen::PeriodCleaner,
            Seen::BrokenTube,
            Seen::RadioactiveMark,
            Seen::Mercury,
        ],
        ..Situation::default()
    };
    let acts = vec![
        set(ActKind::SwitchOn),
        set(ActKind::HandOver),
        set(ActKind::Wait {
            seconds: 60.0,
            watch: Watch::Restorer,
        })
        .energised(None),
        Act::measure(
            Measured::DcVolts,
            ActPlace::junction("B+ main"),
            ActPlace::Chassis,
        )
        .with(Instrument::Oscilloscope { rated_volts: None })
        .energised(None),
        Act::new(ActKind::Solder, ActPlace::part("C1A")),
        Act::new(ActKind::Pull, ActPlace::tube("V5")),
        Act::new(
            ActKind::Connect(Connected::Antenna),
            ActPlace::AntennaTerminals,
        ),
        Act::new(ActKind::Connect(Connected::Earth), ActPlace::Chassis),
        Act::new(
            ActKind::Connect(Connected::FuseBridge),
            ActPlace::Fuse("F1".to_owned()),
        ),
        set(ActKind::Carry(Carrying {
            people: 2,
            grip: Grip::ByTheFrame,
            protected: true,
            others_near: false,
        })),
        Act::new(
            ActKind::Shock(ShockCase {
                gentler_tried: true,
                still_gives_a_picture: false,
                done_before: false,
                owner_decided: true,
            }),
            ActPlace::PictureTube,
        ),
    ];
    vec![(Vec::new(), known), (acts, all)]
}

#[test]
fn every_caution_can_show_and_all_but_the_local_rules_can_stay_away() {
    let moments = moments();
    for row in table().hazards() {
        let shown: Vec<_> = moments
            .iter()
            .map(|(acts, situation)| row.trigger.holds(acts, situation))
            .collect();
        assert_eq!(shown, [row.id == "local-rules", true], "{}", row.id);
    }
}

#[test]
fn every_trigger_word_is_used() {
    let (_, rest) = TEXT.split_once('\n').expect("a heading");
    let unused: Vec<_> = TriggerWord::ALL
        .iter()
        .filter(|(word, written, _)| {
            let in_table = rest.contains(written);
            let in_signs = hazard::STOP_SIGNS
                .iter()
                .any(|sign| sign.trigger.contains(word));
            !in_table && !in_signs
        })
        .map(|(_, written, _)| *written)
        .collect();
    assert!(unused.is_empty(), "{unused:?}");
}

#[test]
fn faults_of_a_table_are_told_together_with_line_and_column() {
    let damaged = TEXT
        .replacen(",capacitors,rule,", ",capacitor,rule,", 1)
        .replacen(",mixed\n", ",rumour\n", 1)
        .replacen("\njewellery,", "\nmercury,", 1);
    let faults = HazardTable::read(&damaged).expect_err("three faults were planted");
    let columns: BTreeSet<_> = faults.iter().map(|fault| fault.column).collect();
    for column in ["trigger", "standing", "id"] {
        assert!(columns.contains(column), "{column}: {faults:?}");
    }
    assert!(
        faults
            .iter()
            .any(|fault| fault.line == 2 && fault.read == "capacitor")
    );
    assert!(HazardTable::read("").is_err());
    assert!(HazardTable::read("id,hazard\nx,y\n").is_err());
}

#[test]
fn standings_are_kept() {
    let standing = |id: &str| table().hazard(id).map(|row| row.standing);
    assert_eq!(standing("metal-cone"), Some(Standing::Memory));
    assert_eq!(standing("selenium"), Some(Standing::Read));
    assert_eq!(standing("x-rays"), Some(Standing::Mixed));
    assert_eq!(standing("live-chassis"), Some(Standing::CommonPractice));
    assert_eq!(standing("no such hazard"), None);
}

fn signs(acts: &[Act], situation: &Situation) -> Vec<Sign> {
    hazard::stop_signs(acts, situation)
        .into_iter()
        .map(|sign| sign.sign)
        .collect()
}

#[test]
fn stop_signs_fit_what_is_there() {
    let on = [Act::new(ActKind::SwitchOn, ActPlace::WholeSet)];
    let bare = Situation {
        selenium: Some(false),
        heater_string: Some(false),
        ..Situation::default()
    };
    let with = Situation {
        selenium: Some(true),
        heater_string: Some(true),
        limiter_lamp: true,
        ..Situation::default()
    };
    for sign in [
        Sign::RedPlate,
        Sign::BlueGlow,
        Sign::Arcing,
        Sign::Smoke,
        Sign::BurntSmell,
        Sign::LoudHum,
        Sign::HotOrBulgingCan,
    ] {
        assert!(signs(&on, &bare).contains(&sign), "{sign:?}");
    }
    for sign in [
        Sign::SeleniumSmell,
        Sign::StringFlaresOrDark,
        Sign::LampStaysBright,
    ] {
        assert!(!signs(&on, &bare).contains(&sign), "{sign:?}");
        assert!(signs(&on, &with).contains(&sign), "{sign:?}");
    }
    let dead = [Act::new(ActKind::Look, ActPlace::WholeSet)];
    assert!(signs(&dead, &with).is_empty());
}

#[test]
fn going_on_with_a_stop_sign_is_refused_under_the_hazard_it_names() {
    for sign in hazard::STOP_SIGNS {
        let situation = Situation {
            signs: vec![sign.sign],
            ..Situation::default()
        };
        let act = Act::new(
            ActKind::Wait {
                seconds: 1.0,
                watch: Watch::Restorer,
            },
            ActPlace::WholeSet,
        )
        .energised(None);
        let hazard::Verdict::Refused { rules } = table().judge(&act, &situation) else {
            panic!("{:?} lets the set run on", sign.sign);
        };
        assert!(
            rules.iter().any(|refusal| refusal.hazard.id == sign.hazard),
            "{:?}",
            sign.sign
        );
    }
}

#[test]
fn sentences_are_short_and_plain() {
    let reading = Act::measure(
        Measured::DcVolts,
        ActPlace::junction("B+ main"),
        ActPlace::Chassis,
    )
    .energised(Some(390.0));
    assert_eq!(
        reading.sentence(),
        "Measure d.c. volts from B+ main to chassis. Clip the meter on with the plug out."
    );
    assert_eq!(
        Act::measure(
            Measured::Megohms,
            ActPlace::LineBlade("line a".to_owned()),
            ActPlace::Chassis
        )
        .to_string(),
        "Measure megohms from line a to chassis. Plug out."
    );
    assert_eq!(
        Act::new(ActKind::Discharge, ActPlace::part("C1A"))
            .with(Instrument::DischargeResistor)
            .to_string(),
        "Discharge C1A to chassis through the resistor, then prove it with the meter."
    );
    assert_eq!(
        Act::new(ActKind::PlugOut, ActPlace::WholeSet).to_string(),
        "Pull the plug and see it lie there."
    );
}

#[test]
fn meters_are_named_by_what_must_be_on_them() {
    // 300, 600 and 1000 V: common ratings, common practice.
    let rating = |peak| Instrument::meter_for(peak).and_then(|meter| meter.rated_volts().flatten());
    assert_eq!(rating(170.0), Some(300.0));
    assert_eq!(rating(-390.0), Some(600.0));
    assert_eq!(rating(1000.0), Some(1000.0));
    assert_eq!(rating(1001.0), None);
    assert_eq!(rating(f64::NAN), None);
}

#[test]
fn the_manual_page_is_made_from_the_table() {
    let page = table().manual_page();
    if std::env::var_os("HAZARDS_PAGE").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/manual/hazards.md");
        std::fs::write(path, &page).expect("the page can be written");
        return;
    }
    for row in table().hazards() {
        assert!(PAGE.contains(&row.id), "{}", row.id);
    }
    assert!(
        page == PAGE,
        "docs/manual/hazards.md is stale: HAZARDS_PAGE=write cargo test -p receiver --test hazard_table"
    );
}

#[test]
fn from_one_end_of_a_part_to_its_other_is_across_it() {
    let part = || ActPlace::junction("C45");
    let of = |what| Act::measure(what, part(), part()).sentence();
    assert_eq!(of(Measured::Ohms), "Measure ohms across C45. Plug out.");
    assert!(of(Measured::Current).starts_with("Measure current, the meter in series with C45"));
    let between = Act::measure(Measured::Ohms, part(), ActPlace::junction("V5.1"));
    assert!(
        between
            .sentence()
            .starts_with("Measure ohms from C45 to V5.1")
    );
}
