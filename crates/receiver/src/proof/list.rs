//! The items of the proof for one set, from its sheet and what was solved of it.
//!
//! Units and limits as each item says, with source and standing; where no limit is known an item says so and
//! asks all the same. Nothing here fails.

use parts::Standing;

use super::figures::ProofFigures;
use super::items::{Asks, Expected, LEAKAGE, ProofItem, ReopenedBy, SOAK_MINUTES, Slot};
use super::under_power;
use crate::hazard::ActPlace;
use crate::plan::situation::{is_as_found, line_capacitors, picture_tube};
use crate::sheet::ChassisStanding;
use crate::wiring::SetModel;

/// Highest leakage to ground, milliamperes rms (TL001).
const MOST_MILLIAMPERES: f64 = 0.5;
/// Highest direct leakage, milliamperes (TL005).
const MOST_DIRECT_MILLIAMPERES: f64 = 2.0;
/// Least ohms of the cold check (TL006).
const LEAST_COLD_OHMS: f64 = 1e6;
/// Least insulation of a winding to the core, ohms (trade number "insulation winding to core", from memory).
const LEAST_INSULATION_OHMS: f64 = 10e6;
/// Highest warmth of a cabinet's outside, degrees Celsius (from memory of the limits for touched surfaces; no standard read).
const MOST_CABINET_CELSIUS: f64 = 60.0;
/// Highest rise of a power transformer over the room, kelvin (trade number "power transformer rise", from memory).
const MOST_TRANSFORMER_KELVIN: f64 = 65.0;
/// Column of the table of picture tubes with the highest anode volts.
const ANODE_COLUMN: &str = "anode_max_v";
/// A place may take so many times its solved time to empty: its electrolytics may be double their mark (trade number).
const BLEED_TIMES: f64 = 2.0;

fn four_ways() -> Vec<Slot> {
    [false, true]
        .into_iter()
        .flat_map(|other| {
            [true, false].map(|on| Slot {
                plug_other: Some(other),
                switched_on: Some(on),
                ..Slot::default()
            })
        })
        .collect()
}

/// The list for this set.
#[must_use]
pub fn proof_items(model: &SetModel<'_>, figures: &ProofFigures) -> Vec<ProofItem> {
    let is_live = !matches!(
        model.sheet.chassis_standing(),
        ChassisStanding::Isolated { .. }
    );
    let mut items = looked_at(model, is_live);
    items.push(fuse(figures));
    items.extend(leaks(model, figures, is_live));
    items.extend(high_voltage(model));
    items.extend(bleeds(model, figures));
    items.extend(soak(model, figures));
    let mut rules = ProofItem::new(
        "local-rules",
        "Whoever takes the set was told that local codes and licensed practice decide, and what to watch",
        Asks::YesNo,
    );
    rules.reopened_by = ReopenedBy::Nothing;
    items.push(rules);
    items
}

fn looked_at(model: &SetModel<'_>, is_live: bool) -> Vec<ProofItem> {
    let mut items = vec![
        ProofItem::new("cord", "New line cord: supple, not spliced, its insulation whole to the chassis", Asks::YesNo)
            .doing("Bend the cord along its length; look at both ends.")
            .line_work(),
        ProofItem::new("strain-relief", "Strain relief holds the cord; a pull does not reach the joints", Asks::YesNo)
            .doing("Pull and turn the cord at the cabinet; the joints inside must not move.")
            .line_work(),
        ProofItem::new(
            "plug",
            if is_live {
                "Polarised two-wire plug: the chassis side on the neutral prong, switch and fuse in the other; no third wire"
            } else {
                "Plug whole; of a three-wire cord the third wire on the chassis by its own screw"
            },
            Asks::YesNo,
        )
        .doing(if is_live {
            "Read ohms from the wide prong to the chassis and from the other to the switch, plug out."
        } else {
            "Read ohms from the third prong to the chassis where there is one, plug out."
        })
        .line_work(),
        ProofItem::new("back", "Back and interlock as the maker had them, vents free, no screw or shield missing", Asks::YesNo),
    ];
    if is_live {
        items.push(
            ProofItem::new(
                "covered",
                "Nothing of the chassis can be touched: insulating knobs on every shaft, set screws deep or sealed, back screws insulated, antenna terminals behind their parts",
                Asks::YesNo,
            )
            .doing("Go over the closed cabinet with a pencil's end: nothing of metal that leads to the chassis may be reached."),
        );
    }
    let line_parts = line_capacitors(model);
    if is_live || !line_parts.is_empty() {
        let mut item = ProofItem::new(
            "line-parts",
            "Capacitors from the line to metal and at the antenna are of class Y, across the line of class X; the antenna's bleed resistor is as drawn",
            Asks::YesNo,
        )
        .line_work();
        for part in line_parts {
            let reference = &model.sheet.parts[part].reference;
            item = item.doing(if is_as_found(model, part) {
                format!("{reference} is at the line and as found by the sheet: put a part of its class there first.")
            } else {
                format!("{reference} is at the line: read its class on it.")
            });
        }
        items.push(item);
    }
    items
}

fn fuse(figures: &ProofFigures) -> ProofItem {
    let mut item = ProofItem::new(
        "fuse",
        "Line fuse, slow, in the hot side ahead of the switch: its rating",
        Asks::Figure("A"),
    );
    item.reopened_by = ReopenedBy::LineWork;
    match &figures.fuse {
        Some(fuse) => {
            item = item.limited(
                Some(fuse.least),
                Some(fuse.most),
                "1.25 to 2 times the running current solved at the highest line of today, not above the maker's mark (ratio from memory)",
                Standing::Computed,
            );
            if let Some(rating) = fuse.rating {
                item = item.doing(format!(
                    "{rating} A slow is the smallest usual rating that holds. At {:.0} V the set draws {:.2} A ({:.2} to {:.2}).",
                    fuse.line_volts, fuse.running[1], fuse.running[0], fuse.running[2]
                ));
            }
            if let Some(passed) = fuse.inrush_ampere_squared_seconds {
                item = item.doing(format!(
                    "In its first ten seconds the set passes {passed:.0} A squared s by the solved current; hold that against the fuse's own sheet."
                ));
            }
            if let Some((peak, share)) = fuse.half_wave {
                item = item.doing(format!(
                    "The first half-wave of a transformer may reach {peak:.0} A, the most that its copper lets through, and {share:.0} A squared s: a slow fuse must bear it, and the iron is not in this calculation."
                ));
            }
            if let Some(marked) = fuse.marked.filter(|marked| *marked < fuse.least) {
                item.unknown.push(format!(
                    "the sheet's fuse of {marked} A lies below what the set is calculated to draw: look which is wrong"
                ));
            }
        }
        None => item.unknown.push(
            "the running current could not be solved; fit what the maker marked, never more"
                .to_owned(),
        ),
    }
    item
}

fn leaks(model: &SetModel<'_>, figures: &ProofFigures, is_live: bool) -> Vec<ProofItem> {
    let names: &[&str] = if is_live {
        &[
            "knob shafts and set screws",
            "cabinet and back screws",
            "antenna terminals",
            "back",
            "trim and mask",
        ]
    } else {
        &[
            "chassis and its screws",
            "knob shafts and set screws",
            "antenna terminals",
            "trim and mask",
        ]
    };
    let points: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
    let cold = ProofItem::new(
        "cold-check",
        "Cold check: ohms from every exposed metal part to the plug's prongs, joined, the set switched on",
        Asks::Figure("ohm"),
    )
    .at_points(&points, &[Slot::default()])
    .limited(
        Some(LEAST_COLD_OHMS),
        None,
        "one maker's service manual (checks TL006): 1 meg or more where there is a path to the chassis; 1 to 5.2 meg, others 4 to 20 meg",
        Standing::Published,
    )
    .acted(under_power::plug_out(model))
    .doing("Join both prongs of the plug with a clip lead, switch the set on, and read ohms from the prongs to every metal part that a hand can reach, on the highest range.");
    let insulation = ProofItem::new(
        "insulation",
        "Insulation from the joined prongs to the chassis, the set switched on, by an insulation tester at 500 V or the ohmmeter's highest range",
        Asks::Figure("ohm"),
    )
    .limited(
        Some(LEAST_INSULATION_OHMS),
        None,
        "trade number \"insulation winding to core\", from memory: below 10 meg dry it out or doubt it",
        Standing::Memory,
    )
    .acted(under_power::plug_out(model))
    .doing("Both prongs joined, switch on; the other lead on bare metal of the chassis. A tester of 500 V charges what lies between: discharge it through the resistor afterwards.");
    let mut leakage = ProofItem::new(
        LEAKAGE,
        "Leakage to ground through 1500 ohm with 0.15 mfd across it, off the isolation transformer, both ways of the plug, switch on and off",
        Asks::Figure("mA"),
    )
    .at_points(&points, &four_ways())
    .limited(
        None,
        Some(MOST_MILLIAMPERES),
        "service manuals' safety check: 0.5 mA rms, 0.75 V across the network (checks TL001, TL003); no edition of a standard was read",
        Standing::Published,
    )
    .acted(under_power::leakage(model))
    .after(&["cord", "cold-check"])
    .doing("A point counts only after its cold check. Volts across the network may be entered as they are read.");
    leakage.expected = expected_leakage(figures, &points, is_live);
    leakage.unknown.extend(too_much_by_itself(figures, is_live));
    if is_live {
        leakage.unknown.push(
            "the chassis is on the line or nobody knows: it must not be reached at all; what passes an insulating knob is not on a sheet"
                .to_owned(),
        );
    }
    let direct = ProofItem::new(
        "leakage-dc",
        "Direct current from exposed metal to ground through 2000 ohm, switched on, both ways of the plug",
        Asks::Figure("mA"),
    )
    .at_points(
        &points[..1],
        &[false, true].map(|other| Slot {
            plug_other: Some(other),
            switched_on: Some(true),
            ..Slot::default()
        }),
    )
    .limited(
        None,
        Some(MOST_DIRECT_MILLIAMPERES),
        "one maker's service manual (checks TL005): 2 mA",
        Standing::Published,
    )
    .acted(under_power::leakage(model))
    .after(&["cord", "cold-check"]);
    if is_live {
        // A chassis that is a side of the line has no insulation to measure.
        vec![cold, leakage, direct]
    } else {
        vec![cold, insulation, leakage, direct]
    }
}

/// What the set's own capacitors give, by place and switch: which way of the plug is which is not known, so
/// the larger of both counts.
fn expected_leakage(figures: &ProofFigures, points: &[String], is_live: bool) -> Vec<Expected> {
    let mut found: Vec<Expected> = Vec::new();
    for (place, state, values) in &figures.leakage {
        let at = if place == "chassis" {
            points.first().filter(|_| !is_live)
        } else {
            points.iter().find(|point| point.contains("antenna"))
        };
        let slot = Slot {
            point: at.unwrap_or(place).clone(),
            switched_on: Some(state.switched_on),
            ..Slot::default()
        };
        // Below a microampere nothing is told by the digits.
        let values = values.map(|value| (1e3 * value).round() / 1e3);
        match found.iter_mut().find(|own| own.slot == slot) {
            Some(own) => {
                for (mine, other) in own.values.iter_mut().zip(values) {
                    *mine = mine.max(other);
                }
            }
            None => found.push(Expected {
                slot,
                values,
                made_of: format!(
                    "{place} through the network, the larger of both ways of the plug: the set's own circuit solved with its line capacitors at their marks and tolerances, nothing of what passes between windings or across insulators"
                ),
            }),
        }
    }
    found
}

/// A set whose own line capacitors give more than the limit, as they are drawn.
fn too_much_by_itself(figures: &ProofFigures, is_live: bool) -> Option<String> {
    let worst = figures
        .leakage
        .iter()
        .filter(|(place, ..)| !(is_live && place == "chassis"))
        .max_by(|one, other| one.2[1].total_cmp(&other.2[1]))
        .filter(|(_, _, values)| values[1] > MOST_MILLIAMPERES)?;
    let (place, state, values) = worst;
    Some(format!(
        "by its own capacitors at their marks {place} gives {:.2} mA, switched {}, line {} on ground: above {MOST_MILLIAMPERES} mA. Parts of class Y of {:.0} percent of the value in all, or less, would keep within it",
        values[1],
        if state.switched_on { "on" } else { "off" },
        if state.line_b_is_ground { "b" } else { "a" },
        (100.0 * MOST_MILLIAMPERES / values[1]).floor()
    ))
}

fn high_voltage(model: &SetModel<'_>) -> Vec<ProofItem> {
    let Some(tube) = picture_tube(model) else {
        return Vec::new();
    };
    let glass = ProofItem::new(
        "glass",
        "Safety glass or bonded window of the picture tube fitted and whole",
        Asks::YesNo,
    );
    let shields = ProofItem::new(
        "shields",
        "Cage and shields of the high voltage fitted, with every screw",
        Asks::YesNo,
    )
    .acted(under_power::shields());
    let mut anode = ProofItem::new(
        "anode",
        "High voltage at the anode, the picture dark, at the highest line of the place",
        Asks::Figure("kV"),
    )
    .after(&["shields"]);
    match tube
        .kind
        .picture
        .as_ref()
        .and_then(|data| data.anode_max_volts)
    {
        Some(most) => {
            let row = &tube.kind.provenance;
            let doubt = if row.is_doubtful(ANODE_COLUMN) {
                ", marked there as doubtful"
            } else {
                ""
            };
            let standing = row.standing_of(ANODE_COLUMN);
            let told_by = match standing {
                Standing::Stated => "the sheet",
                _ => "its row in the table of picture tubes",
            };
            anode = anode
                .limited(
                    None,
                    Some(1e-3 * most),
                    &format!(
                        "highest anode volts of {} by {told_by}{doubt}",
                        tube.kind.name
                    ),
                    standing,
                )
                .acted(under_power::anode(model, most));
        }
        None => {
            anode.unknown.push(format!(
                "the highest anode volts of {} are not in the catalogue; look them up before this item can be met",
                tube.kind.name
            ));
            anode
                .not_yet
                .push("the tube's highest anode volts are not known".to_owned());
        }
    }
    vec![glass, shields, anode]
}

fn bleeds(model: &SetModel<'_>, figures: &ProofFigures) -> Vec<ProofItem> {
    figures
        .charged
        .iter()
        .filter(|own| !own.at.ends_with(".anode"))
        .map(|own| match own.seconds_to_ten_volts {
            Some(seconds) => {
                let mut item = ProofItem::new(
                    &format!("bleed:{}", own.at),
                    format!("Seconds until {} is below 10 V after the plug is out", own.at),
                    Asks::Figure("s"),
                )
                .acted(under_power::bleed(model, &own.at, own.volts.abs()))
                .doing("Time it from the plug to below 10 V; should it stand, discharge it through the resistor.")
                .limited(
                    None,
                    Some((BLEED_TIMES * seconds).max(2.0)),
                    "twice the solved time: electrolytics may have double their mark; longer means an open bleeder",
                    Standing::Computed,
                );
                item.expected.push(Expected {
                    slot: Slot::default(),
                    values: [0.0, seconds, BLEED_TIMES * seconds],
                    made_of: "solved with all tubes cold and nothing leaking: hot tubes empty it sooner".to_owned(),
                });
                item
            }
            None => ProofItem::new(
                &format!("bleed:{}", own.at),
                format!(
                    "{} does not empty by itself ({:.0} V): a bleed resistor was fitted, or a caution written inside the back",
                    own.at, own.volts
                ),
                Asks::YesNo,
            ),
        })
        .collect()
}

fn soak(model: &SetModel<'_>, figures: &ProofFigures) -> Vec<ProofItem> {
    let hours = 60.0 * SOAK_MINUTES[SOAK_MINUTES.len() - 1];
    let first = &["leakage", "fuse"];
    let mut current = ProofItem::new(
        "soak-current",
        "Four-hour soak: line current at start, half hour and each hour",
        Asks::Figure("A"),
    )
    .soaked()
    .acted(under_power::soak(model, hours))
    .after(first);
    if let Some(values) = figures.line_amperes {
        let at_high_line = figures.fuse.as_ref().map_or(0.0, |fuse| fuse.running[2]);
        current = current.limited(
            None,
            Some(values[2].max(at_high_line)),
            "the high end of nine of ten healthy sets of this sheet, at its line and at the highest of today",
            Standing::Computed,
        );
        current.expected.push(Expected {
            slot: Slot::default(),
            values,
            made_of: "the set's own circuit".to_owned(),
        });
    } else {
        current.unknown.push(
            "the sheet does not tell what the set draws; readings are held against each other"
                .to_owned(),
        );
    }
    let mut items = vec![current];
    if let Some(supply) = figures.supplies.first() {
        let mut volts = ProofItem::new(
            "soak-volts",
            format!(
                "Four-hour soak: volts at {} (meter clipped on with the plug out)",
                supply.at
            ),
            Asks::Figure("V"),
        )
        .soaked()
        .acted(under_power::soak(model, hours))
        .after(first);
        volts.expected.push(Expected {
            slot: Slot::default(),
            values: supply.volts,
            made_of: format!("{} at the sheet's line, give or take 5 percent", supply.at),
        });
        items.push(volts);
    }
    items.push(
        ProofItem::new(
            "soak-heat",
            "Four-hour soak: warmest place on the cabinet's outside",
            Asks::Figure("C"),
        )
        .soaked()
        .acted(under_power::temperature(model, ActPlace::WholeSet))
        .limited(
            None,
            Some(MOST_CABINET_CELSIUS),
            "what a hand may touch, from memory; no standard read. Wood and wax want less",
            Standing::Memory,
        )
        .after(first),
    );
    if let Some(winding) = model.sheet.primaries().first() {
        let transformer = winding.transformer.clone();
        items.push(
            ProofItem::new(
                "transformer-rise",
                format!("Rise of {transformer}'s core over the room at the end of the soak"),
                Asks::Figure("K"),
            )
            .acted(under_power::temperature(model, ActPlace::Part(transformer)))
            .limited(
                None,
                Some(MOST_TRANSFORMER_KELVIN),
                "trade number \"power transformer rise\", from memory: above, overloaded or shorted turns",
                Standing::Memory,
            )
            .after(first),
        );
    }
    items.push(ProofItem::new(
        "watched",
        "Somebody stayed with the set through the whole soak; no smell, smoke, hiss or spot was noticed",
        Asks::YesNo,
    ));
    items
}
