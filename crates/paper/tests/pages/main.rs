//! Pages read back by readers that did not write them: a PDF reader, and a plain look at the HTML.
//!
//! Source of what is asked: ISO 19005-2 and ISO 14289-1 as the marks of the file state them, and the
//! document that went in. The finished files stay in the folder for passing files of the build, to
//! be looked at.

mod html;
mod labels;
mod pdf;

use std::sync::Arc;

use paper::{Block, Column, Document, Drawing, Jpeg, Moment, Photograph, Sheet, Table, Text};

/// A photograph of nothing, the same every time.
pub fn photograph(width: u32, height: u32, seed: u32) -> Arc<Jpeg> {
    let pixels: Vec<u8> = (0..height)
        .flat_map(|y| {
            (0..width).flat_map(move |x| {
                let value = ((x * (3 + seed)) ^ (y * 5)) as u8;
                [value, value / 2 + 60, 255 - value / 3]
            })
        })
        .collect();
    Arc::new(Jpeg::from_rgb(pixels, width, height, 70).expect("a picture"))
}

/// When the samples were made.
pub fn made_at() -> Moment {
    Moment {
        year: 2026,
        month: 11,
        day: 29,
        hour: 8,
        minute: 49,
        second: 51,
        offset_minutes: 60,
    }
}

/// A document with everything in it.
pub fn sample(sheet: Sheet) -> Document {
    let rows = (1..=70)
        .map(|number| {
            vec![
                Text::plain(format!("C{number}")),
                Text::plain("0.05 mfd 600 V"),
                Text::plain(if number % 7 == 0 {
                    "0.047 mfd film, mounted upright because the old one was tied to the tag strip and would not come away"
                } else {
                    "0.047 mfd"
                }),
                Text::plain(format!("{}.5", number * 3)),
                Text::default(),
            ]
        })
        .collect();
    let picture = |number: u32, what: &str| Photograph {
        picture: Some(photograph(400, 300 - 20 * number, number)),
        lacks: String::new(),
        about: format!("{what} <{number}>"),
        caption: Text::strong(format!("{what}. "))
            .and("Taken 2026-11-29, before anything was touched."),
        whole: format!("photographs/{number:04}.jpg"),
    };
    Document {
        about: "The restoration of one television set".to_owned(),
        author: "A. Restorer".to_owned(),
        made_by: "firstraster".to_owned(),
        foot: "Larkfield 12T: keep this with the set".to_owned(),
        sheet,
        blocks: vec![
            Block::Title {
                text: "Larkfield 12T".to_owned(),
                below: vec!["A television set of 1950, 117 V 60 Hz".into()],
            },
            Block::Facts(vec![
                ("restored by".to_owned(), "not written down".into()),
                ("first entry".to_owned(), Text::plain("2026-11-21").and_quiet(", of 61")),
            ]),
            Block::Caution {
                heading: "Before you open the back".to_owned(),
                words: "What is behind it can kill, also with the plug out.".into(),
                points: vec![
                    Text::strong("Charged electrolytics. ").and("Capacitors keep a dangerous charge after the plug is out, for hours when the bleeder has gone open."),
                    Text::strong("Live chassis. ").and("The chassis can stand at full line voltage whichever way the plug goes in."),
                ],
            },
            Block::Heading { level: 2, text: "Parts replaced".to_owned() },
            Block::Paragraph("Seventy parts, Ω and µ, ± 5 %, “marked” – and a sign without letters: 日.".into()),
            Block::Table(Table {
                about: "Parts replaced with their values".to_owned(),
                columns: vec![
                    Column::words("part", 1.0),
                    Column::words("was", 2.0),
                    Column::words("is now", 3.0),
                    Column::figures("volts", 1.0),
                    Column::words("remark", 1.0),
                ],
                rows,
            }),
            Block::Heading { level: 3, text: "Emission".to_owned() },
            Block::Drawing(Drawing {
                svg: "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 390 200\" width=\"390\" height=\"200\" role=\"img\" font-family=\"sans-serif\"><title>Emission</title><rect width=\"390\" height=\"200\" fill=\"white\"/><path d=\"M 10 190 L 380 20\" stroke=\"black\" fill=\"none\" stroke-dasharray=\"8 5\"/><text x=\"20\" y=\"40\" font-size=\"14\">rising Ω</text></svg>".to_owned(),
                about: "Emission rises from 10 to 60 in twenty minutes".to_owned(),
                caption: "Full line: so far. Dashed: forecast.".to_owned(),
            }),
            Block::NewPage,
            Block::Heading { level: 2, text: "Photographs".to_owned() },
            Block::Photographs(vec![
                picture(1, "The chassis from below"),
                picture(2, "The can"),
                Photograph {
                    picture: None,
                    lacks: "This photograph cannot be shown: the picture cannot be read.".to_owned(),
                    about: "The flyback".to_owned(),
                    caption: "The flyback, from entry 12.".into(),
                    whole: String::new(),
                },
            ]),
            Block::List(vec!["one".into(), "two\nand its second line".into()]),
        ],
        ..Document::new("Larkfield 12T & its story", "en", made_at())
    }
}

/// Keeps a file where it can be looked at.
pub fn keep(name: &str, bytes: &[u8]) {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR"));
    std::fs::write(folder.join(name), bytes).expect("a folder for passing files");
}
