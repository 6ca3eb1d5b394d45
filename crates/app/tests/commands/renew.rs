//! `renew`, `silicon` and `order`: the plan of sheet and restoration, parts ticked off, lists, faults, the picture.
//!
//! Source of what is held: the manual's pages; IEC 60063 by row CC007 of `data/checks.csv`; the trade table.

use serde_json::Value;

use crate::program::{AT, Outcome, check, json, keeps_to_eighty_columns, page, put, texts};

const LARKFIELD: &str = "examples/whole/larkfield_12t.toml";
const MERROW: &str = "examples/whole/merrow_17s.toml";

fn part<'a>(answer: &'a Value, name: &str) -> &'a Value {
    let mut list = answer["renewals"].as_array().into_iter().flatten();
    list.find(|own| own["part"] == name).unwrap_or(&Value::Null)
}

#[test]
fn the_plan_of_a_sheet() -> Outcome {
    let (status, answer) = json(&["renew", LARKFIELD])?;
    assert_eq!(status, 0, "{answer:#}");
    let line = part(&answer, "C2");
    assert_eq!(line["verdict"], "now");
    assert_eq!(line["can_kill"], true);
    assert_eq!(line["right"]["rating_unit"], "volts_ac");
    let waxed = part(&answer, "C61");
    assert_eq!(waxed["protects"], "picture_tube");
    assert!((waxed["right"]["value"].as_f64().unwrap_or(0.0) - 47e-9).abs() < 1e-15);
    assert_eq!(part(&answer, "C1A")["verdict"], "done");
    assert_eq!(texts(&answer, "set_needs", "what"), ["line cord"]);
    let told = page(&["renew", LARKFIELD])?;
    keeps_to_eighty_columns(&told);
    assert!(
        told.find("C2 0.01 mfd") < told.find("C60 0.1 mfd"),
        "{told}"
    );
    Ok(())
}

#[test]
fn one_part_whole_and_parts_that_are_not_there() -> Outcome {
    let told = page(&["renew", LARKFIELD, "part", "c53", "L1"])?;
    keeps_to_eighty_columns(&told);
    for words in [
        "C53",
        "polypropylene",
        "the hold control",
        "outer foil",
        "L1",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    check(
        &["renew", LARKFIELD, "part", "C999", "R31", "Q7"],
        1,
        "C999 is no part",
    )?;
    check(
        &["renew", LARKFIELD, "part", "C999", "Q7"],
        1,
        "Q7 is no part",
    )?;
    check(&["renew", "examples/none.toml"], 1, "none.toml")
}

#[test]
fn a_part_ticked_off_is_a_fact_and_drops_off_the_list() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    json(&[&["start", &file, LARKFIELD][..], &AT].concat())?;
    let needed = |answer: &Value| {
        let lines = answer["lines"].as_array().into_iter().flatten();
        let lines = lines.flat_map(|own| own["parts"].as_array().into_iter().flatten());
        lines
            .filter_map(Value::as_str)
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    let (_, before) = json(&["order", &file])?;
    assert!(needed(&before).contains(&"C61".to_owned()));
    let (status, made) = json(&[&["renew", &file, "fitted", "C61"][..], &AT].concat())?;
    assert_eq!(status, 0, "{made:#}");
    let (_, after) = json(&["order", &file])?;
    assert!(!needed(&after).contains(&"C61".to_owned()));
    let (_, plan) = json(&["renew", &file, "part", "C61"])?;
    assert_eq!(part(&plan, "C61")["verdict"], "done");
    let story = page(&["story", &file])?;
    for words in ["0.05 mfd", "0.047 mfd", "630 V"] {
        assert!(story.contains(words), "{words}: {story}");
    }
    // Nothing is written for what the plan has no part for.
    let count = |story: &Value| story["entered"].as_u64();
    let (_, before) = json(&["story", &file])?;
    check(
        &[&["renew", &file, "fitted", "C888"][..], &AT].concat(),
        1,
        "C888",
    )?;
    check(
        &[&["renew", &file, "fitted", "L1"][..], &AT].concat(),
        1,
        "--new",
    )?;
    let (_, now) = json(&["story", &file])?;
    assert_eq!(count(&before), count(&now));
    check(
        &[&["renew", LARKFIELD, "fitted", "C61"][..], &AT].concat(),
        1,
        "restoration",
    )
}

#[test]
fn a_sheet_changed_after_the_plan_is_told() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    json(&[&["start", &file, LARKFIELD][..], &AT].concat())?;
    let (status, _) = json(&[&["renew", &file, "--keep"][..], &AT].concat())?;
    assert_eq!(status, 0);
    let text = std::fs::read_to_string(crate::program::workspace().join(LARKFIELD))?;
    let row = text
        .lines()
        .find(|line| line.contains("\"C61\""))
        .ok_or("no C61")?;
    let gone = text
        .lines()
        .find(|line| line.contains("\"C126\""))
        .ok_or("no C126")?;
    let other = text
        .replacen(row, &row.replace("0.05 mfd", "0.02 mfd"), 1)
        .replacen(gone, "", 1);
    let sheet = put(folder.path(), "other.toml", &other)?;
    json(&[&["take", &file, &sheet][..], &AT].concat())?;
    let (status, plan) = json(&["renew", &file])?;
    assert_eq!(status, 0, "{plan:#}");
    let told = texts(&plan, "notices", "text").join("; ");
    assert!(told.contains("C61 was 0.05 mfd"), "{told}");
    assert!(told.contains("C126 was in the plan"), "{told}");
    let (status, made) = json(&[&["renew", &file, "fitted", "C61"][..], &AT].concat())?;
    assert_eq!(status, 0, "{made:#}");
    let told = texts(&made, "notices", "text").join("; ");
    assert!(told.contains("C61 was 0.05 mfd"), "{told}");
    let refused = [&["renew", LARKFIELD, "--keep"][..], &AT].concat();
    check(&refused, 1, "restoration")?;
    // The plan that cannot be kept is not told as if it had been.
    let output = crate::program::run(&refused)?;
    assert!(output.stdout.is_empty(), "{output:?}");
    Ok(())
}

#[test]
fn the_list_is_counted_and_priced_and_written_once() -> Outcome {
    let folder = tempfile::tempdir()?;
    let csv = folder.path().join("order.csv").display().to_string();
    let prices = "for,price,notes\npolyester-film,0.5,\nC60,2,\n";
    let prices = put(folder.path(), "prices.csv", prices)?;
    let (status, answer) = json(&[
        "order", MERROW, "--csv", &csv, "--prices", &prices, "--spares", "0",
    ])?;
    assert_eq!(status, 0, "{answer:#}");
    let lines = answer["lines"].as_array().ok_or("no lines")?;
    let mut total = 0.0;
    for line in lines {
        let parts = line["parts"].as_array().map_or(0, Vec::len) as f64;
        assert!(line["count"].as_f64() >= Some(parts), "{line}");
        let price = line["price"].as_f64().unwrap_or(0.0);
        total += price * line["count"].as_f64().unwrap_or(0.0);
    }
    assert!((answer["total"].as_f64().unwrap_or(0.0) - total).abs() < 1e-6);
    let boost = lines
        .iter()
        .find(|own| own["parts"][0] == "C60")
        .ok_or("no C60")?;
    assert_eq!(boost["price"], 2.0);
    let written = std::fs::read_to_string(&csv)?;
    assert_eq!(written.lines().count(), lines.len() + 1);
    check(&["order", MERROW, "--csv", &csv], 1, "there already")?;
    check(&["order", MERROW, "--spares", "-5"], 1, "spares")?;
    check(&["order", MERROW, "--spares", "some"], 2, "no percentage")?;
    check(&["order", MERROW, "--spares", "nan"], 2, "no percentage")?;
    let wrong = put(
        folder.path(),
        "wrong.csv",
        "for,price,notes\nC999,1,\nfilm,2,\n",
    )?;
    check(&["order", MERROW, "--prices", &wrong], 1, "C999")?;
    check(&["order", MERROW, "--prices", &wrong], 1, "\"film\" read")?;
    let nonsense = put(
        folder.path(),
        "nonsense.csv",
        "for,price,notes\nC60,cheap,\n",
    )?;
    check(&["order", MERROW, "--prices", &nonsense], 1, "column price")?;
    keeps_to_eighty_columns(&page(&["order", MERROW])?);
    Ok(())
}

#[test]
fn silicon_for_selenium_with_its_picture() -> Outcome {
    let folder = tempfile::tempdir()?;
    let svg = folder.path().join("silicon.svg").display().to_string();
    let (status, answer) = json(&["silicon", MERROW, "--line", "124", "--picture", &svg])?;
    assert_eq!(status, 0, "{answer:#}");
    let group = &answer["groups"][0];
    assert_eq!(group["circuit"], "doubler");
    let wanted = group["wanted_volts"].as_f64().unwrap_or(0.0);
    let runs = group["runs"].as_array().ok_or("no runs")?;
    let fitted = runs
        .iter()
        .find(|own| own["name"] == "silicon with its resistor");
    let fitted = fitted
        .and_then(|own| own["b_plus_volts"].as_f64())
        .unwrap_or(0.0);
    assert!((fitted / wanted - 1.0).abs() < 0.01, "{fitted} of {wanted}");
    let picture = std::fs::read_to_string(&svg)?;
    for words in ["<title>", "<desc>", "bucking transformer", "heaters"] {
        assert!(picture.contains(words), "{words}");
    }
    keeps_to_eighty_columns(&page(&["silicon", MERROW, "--line", "124"])?);
    // A tube rectifier is set against silicon, and there is nothing to draw.
    let told = page(&["silicon", LARKFIELD])?;
    assert!(told.contains("not recommended"), "{told}");
    check(&["silicon", LARKFIELD, "--picture", &svg], 1, "no selenium")?;
    check(&["silicon", MERROW, "--line", "12"], 1, "12 V")?;
    check(&["silicon", MERROW, "--line", "-120"], 2, "`-120`")
}

#[test]
fn whether_it_is_worth_the_work() -> Outcome {
    let folder = tempfile::tempdir()?;
    let (status, answer) = json(&["worth", LARKFIELD])?;
    assert_eq!(status, 0, "{answer:#}");
    assert_eq!(
        texts(&answer, "three", "which"),
        ["picture_tube", "power_transformer", "flyback"]
    );
    let number = |answer: &Value, key: &str| answer[key].as_f64().unwrap_or(f64::NAN);
    assert!(number(&answer, "plays") > number(&answer, "all_three_good"));
    assert!(answer["evenings"]["low"].as_f64() < answer["evenings"]["high"].as_f64());
    let first = answer["next_tests"][0]["of"].as_str().unwrap_or_default();
    assert!(["picture_tube", "flyback"].contains(&first), "{answer:#}");
    let head = "name,low,typical,high,unit,meaning,source,standing\n";
    let dear = put(
        folder.path(),
        "dear.csv",
        &format!("{head}finished set,900,1000,1100,money,to me,my own,estimated\n"),
    )?;
    let (_, own) = json(&["worth", LARKFIELD, "--figures", &dear])?;
    assert_eq!(own["advice"], "go_on");
    let cheap = put(
        folder.path(),
        "cheap.csv",
        &format!("{head}finished set,1,2,3,money,to me,my own,estimated\n"),
    )?;
    let (_, own) = json(&["worth", LARKFIELD, "--figures", &cheap])?;
    assert_eq!(own["advice"], "stop");
    let wrong = put(
        folder.path(),
        "wrong.csv",
        &format!(
            "{head}finished sett,1,2,3,money,x,mine,measured\nevening,9,2,x,money,x,mine,measured\n"
        ),
    )?;
    check(
        &["worth", LARKFIELD, "--figures", &wrong],
        1,
        "finished sett",
    )?;
    check(
        &["worth", LARKFIELD, "--figures", &wrong],
        1,
        "line 3, column high",
    )?;
    let told = page(&["worth", LARKFIELD, "--all"])?;
    keeps_to_eighty_columns(&told);
    assert!(told.contains("before any other work"), "{told}");
    Ok(())
}

#[test]
fn windings_that_were_measured_count() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    json(&[&["start", &file, LARKFIELD][..], &AT].concat())?;
    let good = |answer: &Value| answer["three"][1]["good"].as_f64().unwrap_or(f64::NAN);
    let (_, before) = json(&["worth", &file])?;
    json(
        &[
            &["suspects", &file, "condemned", "T1", "shorted turns"][..],
            &AT,
        ]
        .concat(),
    )?;
    let (_, after) = json(&["worth", &file])?;
    assert!(good(&after) < 0.5 * good(&before), "{after:#}");
    Ok(())
}

/// The whole program: a disturbance that went away with a tube out is no tube that is not there; a tube and a magnet that
/// are not there are, until one is fitted.
#[test]
fn what_was_found_and_noticed_counts_for_what_it_is() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    json(&[&["start", &file, LARKFIELD][..], &AT].concat())?;
    let enter = |line: &[&str]| -> Outcome {
        let (status, answer) = json(&[line, &AT].concat())?;
        assert_eq!(status, 0, "{line:?}: {answer:#}");
        Ok(())
    };
    let missing = || -> Result<Vec<String>, Box<dyn std::error::Error>> {
        let (status, answer) = json(&["worth", &file])?;
        assert_eq!(status, 0, "{answer:#}");
        let list = answer["missing"].as_array().into_iter().flatten();
        Ok(list.filter_map(Value::as_str).map(str::to_owned).collect())
    };
    let before = missing()?;
    enter(&[
        "suspects",
        &file,
        "pulled",
        "V3",
        "gone",
        "--watched",
        "picture",
    ])?;
    enter(&["suspects", &file, "warms", "goes"])?;
    enter(&["suspects", &file, "exchanged", "C50", "gone"])?;
    enter(&["see", &file, "resistors", "colours gone", "--part", "R60"])?;
    assert_eq!(missing()?, before);
    // The plan goes by the same facts: it has a place for the tube, and says nothing of one that is gone.
    let (status, plan) = json(&["renew", &file, "part", "V3"])?;
    assert_eq!(
        (status, &part(&plan, "V3")["verdict"]),
        (0, &"leave".into())
    );
    enter(&["see", &file, "missing-tubes", "one gone", "--part", "V7"])?;
    enter(&["see", &file, "ion-trap", "gone"])?;
    let told = missing()?;
    let wanted = ["V7".to_owned(), "ion trap magnet".to_owned()];
    assert_eq!(told[..2], wanted, "{told:?}");
    assert_eq!(told[2..], before);
    enter(&["fit", &file, "V7", "6AL5"])?;
    assert_eq!(missing()?[0], "ion trap magnet");
    Ok(())
}

/// Faults of both tables and names that nothing has come in one answer, and so do files that are not there.
#[test]
fn faults_of_figures_and_prices_are_told_at_once() -> Outcome {
    let folder = tempfile::tempdir()?;
    let head = "name,low,typical,high,unit,meaning,source,standing";
    let figures = put(
        folder.path(),
        "figures.csv",
        &format!("{head}\n\nfinished sett,1,2,3,money,x,mine,measured\n"),
    )?;
    let prices = put(
        folder.path(),
        "prices.csv",
        "for,price,notes\nC60,cheap,\n\nC999,1,\n",
    )?;
    let (status, answer) = json(&[
        "worth",
        LARKFIELD,
        "--figures",
        &figures,
        "--prices",
        &prices,
    ])?;
    assert_eq!(status, 1, "{answer:#}");
    let told = texts(&answer, "faults", "text");
    assert_eq!(told.len(), 3, "{told:#?}");
    for (told, wanted) in told.iter().zip([
        "line 3, column name: \"finished sett\"",
        "line 2, column price: \"cheap\"",
        "line 4, column for: \"C999\"",
    ]) {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    let (status, answer) = json(&["order", LARKFIELD, "--prices", &prices])?;
    assert_eq!((status, texts(&answer, "faults", "text").len()), (1, 2));
    let (status, answer) = json(&[
        "worth",
        "none.toml",
        "--figures",
        "none.csv",
        "--prices",
        &prices,
    ])?;
    let told = texts(&answer, "faults", "text").join("; ");
    assert_eq!(status, 1, "{answer:#}");
    for wanted in ["none.toml", "none.csv"] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    Ok(())
}

/// A can formed outside the set to fewer volts than the set puts on it: told with both; to the full rating: not.
#[test]
fn a_can_formed_to_fewer_volts_than_the_set_puts_on_it_is_told() -> Outcome {
    let folder = tempfile::tempdir()?;
    let form = |to: &str, name: &str| -> Result<Value, Box<dyn std::error::Error>> {
        let file = folder.path().join(name).display().to_string();
        json(&[&["start", &file, LARKFIELD][..], &AT].concat())?;
        for line in [
            &[
                "leak",
                "90=0.2mA",
                "--source-volts",
                to,
                "--resistor",
                "54k",
            ][..],
            &["discharged", "--left", "0.2V", "--through", "4.7k"],
            &["end", "accepted"],
        ] {
            let line = [&["reform", &file, "C4A", "--to", to][..], line, &AT].concat();
            let (status, answer) = json(&line)?;
            assert_eq!(status, 0, "{line:?}: {answer:#}");
        }
        let (status, plan) = json(&["renew", &file])?;
        assert_eq!(status, 0, "{plan:#}");
        Ok(part(&plan, "C4A").clone())
    };
    let low = form("200", "low.restoration")?;
    assert_eq!(low["verdict"], "now", "{low:#}");
    let because = low["because"][0].as_str().unwrap_or_default();
    assert!(because.contains("formed anew to 200 V only"), "{because}");
    let full = form("450", "full.restoration")?;
    assert_eq!(full["verdict"], "leave", "{full:#}");
    assert!(!full["because"].to_string().contains("450 V only"));
    Ok(())
}
