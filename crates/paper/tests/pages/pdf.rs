//! The PDF, read by another program's reader.

use lopdf::{Dictionary, Document as Read, Object};
use paper::{Block, Document, PaperError, Sheet, Text, to_pdf};

use crate::{keep, made_at, sample};

fn read(bytes: &[u8]) -> Read {
    Read::load_mem(bytes).expect("a PDF")
}

fn all_text(pdf: &Read) -> String {
    let pages: Vec<u32> = pdf.get_pages().keys().copied().collect();
    pdf.extract_text(&pages).expect("text")
}

fn catalogue(pdf: &Read) -> &Dictionary {
    pdf.catalog().expect("a catalogue")
}

fn images(pdf: &Read) -> usize {
    let is_image = |object: &Object| {
        object.as_stream().is_ok_and(|stream| {
            stream
                .dict
                .get(b"Subtype")
                .and_then(Object::as_name)
                .is_ok_and(|name| name == b"Image")
        })
    };
    pdf.objects
        .values()
        .filter(|object| is_image(object))
        .count()
}

#[test]
fn words_pictures_and_pages_come_back() {
    for (sheet, name, width) in [
        (Sheet::A4, "a4.pdf", 595.28),
        (Sheet::Letter, "letter.pdf", 612.0),
    ] {
        let paged = to_pdf(&sample(sheet)).expect("a PDF");
        keep(name, &paged.bytes);
        let pdf = read(&paged.bytes);
        assert_eq!(pdf.get_pages().len(), paged.pages);
        assert!((4..=6).contains(&paged.pages), "{}", paged.pages);
        assert_eq!(images(&pdf), 2);
        let text = all_text(&pdf).replace('\n', " ");
        for number in [1, 35, 70] {
            assert!(text.contains(&format!("C{number} ")), "C{number}: {text}");
        }
        for words in ["Before you open the back", "Ω and µ, ± 5 %", "“marked”"] {
            assert!(text.contains(words), "{words}: {text}");
        }
        assert!(text.contains(&format!("page 1 of {}", paged.pages)));
        assert_eq!(paged.missing, ['日']);
        let first = pdf.get_pages()[&1];
        let page = pdf.get_dictionary(first).expect("a page");
        let edges = page
            .get(b"MediaBox")
            .and_then(Object::as_array)
            .expect("a size");
        let right = edges[2].as_float().expect("a number");
        assert!((right - width).abs() < 0.1, "{right}");
    }
}

#[test]
fn the_file_says_what_it_is_and_leads_to_its_sections() {
    let paged = to_pdf(&sample(Sheet::A4)).expect("a PDF");
    let pdf = read(&paged.bytes);
    let catalogue = catalogue(&pdf);
    let language = catalogue.get(b"Lang").and_then(Object::as_str);
    assert_eq!(language.expect("a language"), b"en");
    assert!(catalogue.has(b"StructTreeRoot") && catalogue.has(b"Outlines"));
    let marks = catalogue
        .get(b"Metadata")
        .and_then(Object::as_reference)
        .expect("marks");
    let marks = pdf
        .get_object(marks)
        .and_then(Object::as_stream)
        .expect("marks");
    let marks = String::from_utf8_lossy(&marks.content).into_owned();
    for mark in [
        "<pdfaid:part>2</pdfaid:part>",
        "<pdfaid:conformance>A</pdfaid:conformance>",
        "<pdfuaid:part>1</pdfuaid:part>",
        "Larkfield 12T &amp; its story",
        "2026-11-29T08:49:51+01:00",
    ] {
        assert!(marks.contains(mark), "{mark}: {marks}");
    }
    let toc = pdf.get_toc().expect("a list of contents");
    let titles: Vec<&str> = toc.toc.iter().map(|one| one.title.as_str()).collect();
    assert_eq!(
        titles,
        ["Larkfield 12T", "Parts replaced", "Emission", "Photographs"]
    );
}

/// Names of all elements of the tree by which the file is spoken.
fn roles(pdf: &Read) -> Vec<String> {
    let is_element = |object: &Object| {
        let dict = object.as_dict().ok()?;
        dict.get(b"P").ok()?;
        let role = dict.get(b"S").and_then(Object::as_name).ok()?;
        Some((String::from_utf8_lossy(role).into_owned(), dict.clone()))
    };
    pdf.objects
        .values()
        .filter_map(is_element)
        .inspect(|(role, dict)| {
            if role == "Figure" {
                let alt = dict
                    .get(b"Alt")
                    .and_then(Object::as_str)
                    .expect("words for a picture");
                assert!(!alt.is_empty());
            }
        })
        .map(|(role, _)| role)
        .collect()
}

#[test]
fn the_file_can_be_spoken() {
    let paged = to_pdf(&sample(Sheet::A4)).expect("a PDF");
    let roles = roles(&read(&paged.bytes));
    let count = |role: &str| roles.iter().filter(|own| *own == role).count();
    assert_eq!((count("H1"), count("H2"), count("H3")), (1, 2, 1));
    assert_eq!((count("Table"), count("TR")), (1, 71));
    // The head, and a head to each of seventy rows; empty cells are there too.
    assert_eq!((count("TH"), count("TD")), (5 + 70, 4 * 70));
    assert_eq!(count("Figure"), 3);
    assert_eq!(count("LI"), 2 + 2 + 2);
}

#[test]
fn the_same_document_gives_the_same_bytes() {
    let make = || to_pdf(&sample(Sheet::A4)).expect("a PDF").bytes;
    assert_eq!(make(), make());
}

#[test]
fn awkward_documents_have_pages_too() {
    let long = "a word ".repeat(9000);
    let hash = "f".repeat(4000);
    for blocks in [
        Vec::new(),
        vec![Block::Paragraph(Text::default())],
        vec![Block::NewPage, Block::NewPage],
        vec![
            Block::List(Vec::new()),
            Block::Facts(Vec::new()),
            Block::Photographs(Vec::new()),
        ],
        vec![
            Block::Paragraph(long.clone().into()),
            Block::Paragraph(hash.clone().into()),
        ],
        vec![Block::Table(paper::Table {
            about: "long".to_owned(),
            columns: vec![
                paper::Column::words("a", 1.0),
                paper::Column::words("b", 1.0),
            ],
            rows: vec![vec![long.into(), hash.into()]],
        })],
        vec![Block::Heading {
            level: 2,
            text: "a heading at the very end".to_owned(),
        }],
    ] {
        let document = Document {
            blocks,
            ..Document::new("awkward", "en", made_at())
        };
        let paged = to_pdf(&document).expect("a PDF");
        assert_eq!(read(&paged.bytes).get_pages().len(), paged.pages);
    }
}

#[test]
fn a_drawing_that_is_none_is_told_by_what_it_shows() {
    let document = Document {
        blocks: vec![Block::Drawing(paper::Drawing {
            svg: "<svg".to_owned(),
            about: "emission".to_owned(),
            caption: String::new(),
        })],
        ..Document::new("a", "en", made_at())
    };
    assert!(matches!(
        to_pdf(&document),
        Err(PaperError::Drawing { about, .. }) if about == "emission"
    ));
}
