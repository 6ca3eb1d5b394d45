//! Texts that once were, or might be, trouble: each file of `sheets/corpus` is read whole, and reading ends without a panic.
//!
//! What the fuzz targets find is added there. No answer is expected of these texts but that there is one.

use std::path::Path;

use receiver::sheet::{read_anything, read_sheet_bytes};

#[test]
fn every_text_of_the_corpus_is_read() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/sheets/corpus");
    let mut read = 0;
    for entry in std::fs::read_dir(folder).expect("there").flatten() {
        let bytes = std::fs::read(entry.path()).expect("readable");
        read_anything(&bytes);
        let reading = read_sheet_bytes(&bytes, parts::catalogue().expect("the tables are sound"));
        assert!(
            reading.sheet.is_some() || !reading.faults.is_empty(),
            "{}",
            entry.path().display()
        );
        read += 1;
    }
    assert!(read >= 10, "{read} texts found");
}
