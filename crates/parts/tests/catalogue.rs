//! The catalogue is sound.

#[test]
fn the_tables_have_no_fault() {
    match parts::catalogue() {
        Ok(_) => {}
        Err(faults) => panic!(
            "{}",
            faults
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join("\n")
        ),
    }
}
