//! Sheets of labels, read by another program's reader.

use lopdf::Document as Read;
use paper::{Label, Sheet, labels_on, labels_to_pdf};

use crate::{keep, sample};

#[test]
fn a_sheet_takes_as_many_labels_as_it_says_and_the_rest_goes_over() {
    for (sheet, name) in [
        (Sheet::A4, "labels.pdf"),
        (Sheet::Letter, "labels_letter.pdf"),
    ] {
        let (across, down) = labels_on(sheet);
        let count = across * down + 2;
        let labels: Vec<Label> = (1..=count)
            .map(|number| Label {
                name: format!("C{number}"),
                beside: "Larkfield 12T".to_owned(),
                lines: vec![
                    ("place".to_owned(), "V9.5 to chassis".to_owned()),
                    (
                        "old".to_owned(),
                        "0.05 mfd 600 V waxed paper, from the tag strip below the sync amplifier"
                            .to_owned(),
                    ),
                    ("new".to_owned(), "0.047 mfd 630 V".to_owned()),
                    ("fitted".to_owned(), "2026-11-29".to_owned()),
                ],
            })
            .collect();
        let paged = labels_to_pdf(&sample(sheet), &labels).expect("labels");
        keep(name, &paged.bytes);
        assert_eq!(paged.pages, 2);
        let pdf = Read::load_mem(&paged.bytes).expect("a PDF");
        let first = pdf.extract_text(&[1]).expect("text");
        let second = pdf.extract_text(&[2]).expect("text");
        assert_eq!(first.matches("fitted").count(), across * down);
        assert_eq!(second.matches("fitted").count(), 2);
        assert!(second.contains(&format!("C{count}")) && first.contains("0.047 mfd 630 V"));
        assert!(first.contains('…'), "a long name is cut short");
    }
}

#[test]
fn no_labels_are_no_error() {
    let paged = labels_to_pdf(&sample(Sheet::A4), &[]).expect("labels");
    assert!(Read::load_mem(&paged.bytes).is_ok());
}
