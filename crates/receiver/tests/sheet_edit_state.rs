//! Entries of `[state]` and whole rows put in and taken out: everything else stays.
//!
//! Expected texts are written by hand after the form of the sheet in the manual.

use proptest::prelude::*;
use receiver::sheet_edit::{
    EditError, SheetList, StateChange, StateList, StateOutline, change_state, remove_rows,
};

const LARKFIELD: &str = include_str!("../../../examples/larkfield_12t.toml");

fn listed(list: StateList, reference: &str, is_there: bool) -> StateChange {
    StateChange::Listed {
        list,
        reference: reference.to_string(),
        is_there,
    }
}

fn measured(reference: &str, value: &str) -> StateChange {
    StateChange::Measured {
        reference: reference.to_string(),
        value: value.to_string(),
    }
}

fn check(text: &str, change: &StateChange, wanted: &str) {
    assert_eq!(
        change_state(text, change).as_deref(),
        Ok(wanted),
        "{text:?} {change:?}"
    );
}

#[test]
fn a_reference_goes_into_its_list_however_the_state_is_written() {
    let add = listed(StateList::Replaced, "C5", true);
    check("", &add, "\n[state]\nreplaced = [\"C5\"]\n");
    check(
        "sheet = 1\r\n",
        &add,
        "sheet = 1\r\n\r\n[state]\r\nreplaced = [\"C5\"]\r\n",
    );
    check(
        "[state]\n# mine\noriginal = [\"R1\"] # sure\n\n[bench]\nlamps = [60]\n",
        &add,
        "[state]\n# mine\noriginal = [\"R1\"] # sure\nreplaced = [\"C5\"]\n\n[bench]\nlamps = [60]\n",
    );
    check("[state]\n", &add, "[state]\nreplaced = [\"C5\"]\n");
    check(
        "\u{feff}[state] # none yet",
        &add,
        "\u{feff}[state] # none yet\nreplaced = [\"C5\"]\n",
    );
    check(
        "[state]\nreplaced = []\n",
        &add,
        "[state]\nreplaced = [\"C5\"]\n",
    );
    check(
        "[state]\nreplaced = [\n  \"C1A\",  # the can\n]\n",
        &add,
        "[state]\nreplaced = [\n  \"C1A\", \"C5\",  # the can\n]\n",
    );
    check(
        "state = { original = [\"R1\"] }\n",
        &add,
        "state = { original = [\"R1\"], replaced = [\"C5\"] }\n",
    );
    check("state = {}\n", &add, "state = { replaced = [\"C5\"] }\n");
    check(
        "state.original = [\"R1\"]\nname = \"x\"\n",
        &add,
        "state.original = [\"R1\"]\nstate.replaced = [\"C5\"]\nname = \"x\"\n",
    );
    let there = "[state]\nreplaced = [\"c5\"]\n";
    check(there, &add, there);
}

#[test]
fn a_reference_goes_out_of_its_list() {
    let out = listed(StateList::Replaced, "c5", false);
    for (text, wanted) in [
        ("[\"C5\"]", "[]"),
        ("[\"C5\", \"C6\"]", "[\"C6\"]"),
        ("[\"C1\", \"C5\"]", "[\"C1\"]"),
        ("[\"C1\", \"C5\", \"C6\"]", "[\"C1\", \"C6\"]"),
        (
            "[\n  \"C1\",\n  \"C5\", # the can\n]",
            "[\n  \"C1\",\n  # the can\n]",
        ),
        ("[\n  \"C1\",\n  \"C5\"\n]", "[\n  \"C1\",\n]"),
    ] {
        check(
            &format!("[state]\nreplaced = {text} # mine\n"),
            &out,
            &format!("[state]\nreplaced = {wanted} # mine\n"),
        );
    }
}

#[test]
fn measured_values_are_put_in_changed_and_taken_out() {
    let put = measured("R31", "5.3k");
    check(
        "[state]\n",
        &put,
        "[state]\nmeasured = { R31 = \"5.3k\" }\n",
    );
    check(
        "[state]\nmeasured = { \"T1 primary\" = \"4.3 ohm\" } # cold\n",
        &put,
        "[state]\nmeasured = { \"T1 primary\" = \"4.3 ohm\", R31 = \"5.3k\" } # cold\n",
    );
    check(
        "[state.measured]\nR1 = 47 # hm\n",
        &put,
        "[state.measured]\nR1 = 47 # hm\nR31 = \"5.3k\"\n",
    );
    check(
        "[state]\nmeasured.R1 = \"1k\"\n",
        &put,
        "[state]\nmeasured.R1 = \"1k\"\nmeasured.R31 = \"5.3k\"\n",
    );
    check(
        "[state]\nmeasured = { r31 = 47 }\n",
        &put,
        "[state]\nmeasured = { r31 = \"5.3k\" }\n",
    );
    let out = measured("R31", "");
    check(
        "[state]\nmeasured = { R31 = \"5.3k\", R1 = \"1k\" }\n",
        &out,
        "[state]\nmeasured = { R1 = \"1k\" }\n",
    );
    check(
        "[state]\nmeasured = { R1 = \"1k\", R31 = \"5.3k\" }\n",
        &out,
        "[state]\nmeasured = { R1 = \"1k\" }\n",
    );
    check(
        "[state.measured]\nR31 = \"5.3k\" # hm\nR1 = \"1k\"\n",
        &out,
        "[state.measured]\n# hm\nR1 = \"1k\"\n",
    );
    check(
        "[state]\n",
        &measured("R 1", "1k"),
        "[state]\nmeasured = { \"R 1\" = \"1k\" }\n",
    );
}

#[test]
fn a_state_of_another_shape_is_refused() {
    for text in [
        "state = 3\n",
        "[state]\nreplaced = \"C5\"\n",
        "[[state]]\nreplaced = []\n",
    ] {
        let refused = change_state(text, &listed(StateList::Replaced, "C5", true));
        assert_eq!(refused, Err(EditError::StateShape), "{text}");
    }
    assert!(matches!(
        change_state("state = [", &measured("R1", "1k")),
        Err(EditError::Sheet(_))
    ));
}

#[test]
fn rows_go_with_their_line_and_comments_stay() {
    let list = |rows: &str| format!("parts = [\n  # above\n{rows}]\nname = \"x\"\n");
    let a = "  [\"A\"], # first\n";
    let b = "  [\"B\"],\n";
    let c = "  [\"C\"]\n";
    let text = list(&format!("{a}{b}{c}"));
    let without = |rows: &[usize]| remove_rows(&text, SheetList::Parts, rows);
    assert_eq!(without(&[1]), Ok(list(&format!("{a}{c}"))));
    assert_eq!(without(&[0]), Ok(list(&format!("  # first\n{b}{c}"))));
    assert_eq!(without(&[2]), Ok(list(&format!("{a}{b}"))));
    assert_eq!(without(&[2, 1, 0]), Ok(list("  # first\n")));
    assert_eq!(without(&[]), Ok(text.clone()));
    assert!(matches!(without(&[3]), Err(EditError::NoSuchCell { .. })));
    let one_line = "parts = [[\"A\"], [\"B\"], [\"C\"]] # mine\n";
    assert_eq!(
        remove_rows(one_line, SheetList::Parts, &[1]).as_deref(),
        Ok("parts = [[\"A\"], [\"C\"]] # mine\n")
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Entries put in and taken out again leave the example as it was, and say what they should between.
    #[test]
    fn a_change_of_state_taken_back_leaves_no_trace(
        references in prop::collection::hash_set("Q[0-9]{1,3}", 1..4),
        list in 0usize..4,
        value in "[a-z0-9 \"#,]{1,8}",
    ) {
        let list = StateList::ALL[list];
        let start = change_state(LARKFIELD, &listed(list, "Z9000", true)).expect("put in");
        let start = change_state(&start, &measured("Z9000", "1k")).expect("put in");
        let mut text = start.clone();
        for reference in &references {
            text = change_state(&text, &listed(list, reference, true)).expect("put in");
            text = change_state(&text, &measured(reference, &value)).expect("put in");
        }
        let state = StateOutline::of(&text).expect("sound");
        for reference in &references {
            prop_assert!(state.is_listed(list, reference));
            prop_assert_eq!(state.measured(reference), &value);
        }
        for reference in &references {
            text = change_state(&text, &listed(list, reference, false)).expect("taken out");
            text = change_state(&text, &measured(reference, "")).expect("taken out");
        }
        prop_assert!(text == start, "{:?} is not taken out", references);
    }
}
