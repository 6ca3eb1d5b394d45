//! `firstraster tube` as a restorer or a script runs it.
//!
//! Pins and ratings are held against the figures of tube manuals named beside each
//! case; names of fields and statuses against the manual.

use serde_json::Value;

use crate::program::{Outcome, check, json, keeps_to_eighty_columns, page, put, run};

#[test]
fn a_type_is_printed_with_its_base_and_figures() -> Outcome {
    // Maker's base 7BK and ratings of the 6AU6, from memory of the tube manuals.
    let page = page(&["tube", "6au6"])?;
    for wanted in [
        "6AU6: pentode",
        "7BK",
        "EF94",
        "grid1 (1)",
        "(7) cathode",
        "6.3 V, 0.3 A",
        "300 V",
        "5200",
        "standing: memory",
    ] {
        assert!(page.contains(wanted), "{wanted}\n{page}");
    }
    keeps_to_eighty_columns(&page);
    Ok(())
}

#[test]
fn two_sources_that_disagree_stand_side_by_side() -> Outcome {
    // Drops of the 5U4-G: two editions, both in the catalogue.
    let page = page(&["tube", "5U4G"])?;
    assert!(page.contains("44 V at 225 mA") && page.contains("58 V at 225 mA"));
    Ok(())
}

#[test]
fn a_picture_tube_is_told_with_its_gun_and_limits() -> Outcome {
    let page = page(&["tube", "12LP4A"])?;
    for wanted in [
        "ion trap",
        "deflection angle",
        "anode, most",
        "(11) cathode",
        "outer coating",
    ] {
        assert!(page.contains(wanted), "{wanted}\n{page}");
    }
    Ok(())
}

#[test]
fn near_types_tell_what_changes() -> Outcome {
    for arguments in [["tube", "--like", "6BG6"], ["tube", "6BG6", "--like"]] {
        let (status, answer) = json(&arguments)?;
        assert_eq!(status, 0);
        let near = answer["near"].as_array().ok_or("no near types")?;
        // 19BG6-G: the same tube with an 18.9 volt heater.
        let sister = near
            .iter()
            .find(|tube| tube["type"] == "19BG6-G")
            .ok_or("19BG6-G is near")?;
        let changes = sister["changes"].as_array().ok_or("no changes")?;
        assert!(changes.iter().any(|change| change["matter"] == "heater"));
        assert_eq!(sister["plain_substitute"], false);
        assert!(
            answer["cautions"]
                .as_array()
                .is_some_and(|list| list.len() >= 3)
        );
    }
    let (_, without) = json(&["tube", "6BG6"])?;
    assert!(without["near"].is_null());
    Ok(())
}

#[test]
fn the_base_is_drawn_into_a_file() -> Outcome {
    let folder = tempfile::tempdir()?;
    for number in [
        "6SN7GT", "12AU7", "6AU6", "12LP4-A", "7JP4", "6BG6-G", "7A4", "6BE3",
    ] {
        let path = folder.path().join("base.svg").display().to_string();
        page(&["tube", number, "--svg", &path])?;
        let picture = std::fs::read_to_string(&path)?;
        assert!(picture.contains("seen from below"), "{number}");
        assert!(picture.contains("<desc>"), "{number}");
    }
    let nowhere = folder.path().join("none/base.svg").display().to_string();
    check(&["tube", "6AU6", "--svg", &nowhere], 1, "")
}

#[test]
fn an_unknown_type_gets_its_neighbours() -> Outcome {
    for number in ["6SM7GT", "", "-", "6AU6; x", "\u{1F4FA}", &"9".repeat(3000)] {
        let output = run(&["tube", "--json", "--", number])?;
        assert_eq!(output.status.code(), Some(1), "{number}");
        let answer: Value = serde_json::from_slice(&output.stdout)?;
        let hint = answer["faults"][0]["hint"].as_str().ok_or("no hint")?;
        assert!(hint.contains("--own"), "{hint}");
        if number == "6SM7GT" {
            assert!(hint.contains("6SN7-GT"), "{hint}");
        }
    }
    Ok(())
}

#[test]
fn own_types_lie_beside_the_built_in_ones() -> Outcome {
    let folder = tempfile::tempdir()?;
    let name = put(
        folder.path(),
        "own.csv",
        "type,section,kind,base,pins,heater_v,heater_a\n\
         6ZZ6,triode,triode,miniature,1:plate 3:heater 4:heater 6:grid1 7:cathode,6.3,0.3\n\
         6AU6,pentode,pentode,octal,,6.3,2\n",
    )?;
    let (status, own) = json(&["tube", "6zz6", "--own", &name, "--like"])?;
    assert_eq!(
        (status, &own["types"][0]["origin"]),
        (0, &Value::from("own"))
    );
    assert!(own["near"].as_array().is_some_and(|near| !near.is_empty()));
    let (_, both) = json(&["tube", "6AU6", "--own", &name])?;
    let types = both["types"].as_array().ok_or("no types")?;
    assert_eq!(types.len(), 2);
    assert_eq!(types[0]["origin"], "built_in");
    assert_eq!(types[0]["heater"]["amperes"], 0.3);
    assert_eq!(types[1]["heater"]["amperes"], 2.0);
    // Without the table the number is not known.
    assert_eq!(json(&["tube", "6ZZ6"])?.0, 1);
    // All faults at once, each with its line.
    std::fs::write(&name, "type,heater_v,base\n6XX6,six,octl\n,6.3,\n")?;
    let (status, faulty) = json(&["tube", "6XX6", "--own", &name])?;
    let lines: Vec<Option<u64>> = faulty["faults"]
        .as_array()
        .ok_or("no faults")?
        .iter()
        .map(|fault| fault["line"].as_u64())
        .collect();
    assert_eq!((status, lines), (1, vec![Some(2), Some(2), Some(3)]));
    Ok(())
}
