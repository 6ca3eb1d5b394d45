//! Facts to try: one of each kind, invented, and a small photograph made here.

use image::codecs::jpeg::JpegEncoder;
use image::{Rgb, RgbImage};
use logbook::{
    Advised, Changed, Conditions, Decided, Fact, Fitted, FormingEnd, FormingFinding, Logbook,
    Measured, Needle, OfPictureTube, OfProof, OfReForming, Photograph, Photographed, Placed,
    PlugWay, ProofFinding, Seen, Stamp, StepEvent, Stepped, TestResult, Tested, TubeFinding, What,
};

pub fn stamp() -> Stamp {
    Stamp::read("2026-11-29T08:49:51+01:00").expect("a time")
}

pub fn text(text: &str) -> String {
    text.to_owned()
}

pub fn reading(place: &str, value: f64) -> Fact {
    Fact::Measured(Measured {
        place: text(place),
        to: String::new(),
        what: What::DcVolts,
        typed: format!("{value} V"),
        value,
        meter: text("20k/V 500 V"),
        conditions: Conditions {
            line_volts: Some(80.5),
            dial_volts: Some(80.0),
            lamp_watts: vec![100.0, 60.0],
            pulled: vec![text("V14"), text("V12")],
            open: vec![text("J2")],
            fitted_without: vec![text("C40")],
            seconds: Some(45.0),
            ..Conditions::default()
        },
        note: text("needle restless\nas if something arced"),
    })
}

/// One fact of each kind that needs nothing beside it.
pub fn plain_facts() -> Vec<Fact> {
    let tested = |result| {
        Fact::Tested(Tested {
            part: text("V9"),
            section: text("1"),
            type_number: text("6AU6"),
            tester: text("emission tester, from memory"),
            result,
            note: String::new(),
        })
    };
    vec![
        Fact::Seen(Seen {
            area: text("cord"),
            thing: text("line cord"),
            found: text("rubber cracked at the strain relief"),
            ..Seen::default()
        }),
        reading("B+ main", 318.0),
        Fact::Measured(Measured {
            place: text("B+ main"),
            to: text("B minus"),
            what: What::Ohms,
            typed: text("open"),
            value: f64::INFINITY,
            meter: String::new(),
            conditions: Conditions {
                plug_out: true,
                ..Conditions::default()
            },
            note: String::new(),
        }),
        tested(TestResult::Percent(65.0)),
        tested(TestResult::Micromhos(4100.0)),
        tested(TestResult::Verdict(text("shorted, grid to cathode"))),
        Fact::Fitted(Fitted {
            part: text("C12"),
            old: text(".05 mfd 600 V"),
            new: text("0.047 mfd"),
            rating: text("630 V"),
            note: String::new(),
        }),
        Fact::Changed(Changed {
            what: text("height control"),
            was: text("at its end"),
            is: text("in the middle"),
            note: String::new(),
        }),
        Fact::Decided(Decided {
            what: text("leave the picture tube in its mask"),
            because: text("the band is rusted on"),
        }),
        Fact::Stepped(Stepped {
            step: text("Megohms from the line to the chassis"),
            key: text("line_to_chassis"),
            event: StepEvent::Done,
            because: String::new(),
            leaves_unknown: text("line to chassis with the switch on\ncore of T1"),
        }),
        Fact::Advised(Advised {
            asked: text("wake"),
            said: text("step 1: ..."),
            program: text("0.1.0"),
            data: text("2026.2"),
        }),
    ]
}

/// One fact of each kind that can be found of a picture tube.
pub fn picture_tube_facts() -> Vec<Fact> {
    let needle = |shown: f64, heater_volts| Needle {
        sitting: text("second evening"),
        shown,
        unit: text("percent"),
        scale_end: 100.0,
        needle_percent: Some(2.0),
        heater_volts,
    };
    let found = [
        TubeFinding::Heater {
            cold_ohms: Some(f64::INFINITY),
            volts: Some(6.3),
            amperes: Some(0.58),
            glows: Some(false),
        },
        TubeFinding::Leak {
            plus: text("heater"),
            minus: text("cathode"),
            ohms: f64::INFINITY,
            hot: true,
        },
        TubeFinding::CutOff {
            grid_volts: Some(44.5),
            reached: Some(true),
            second_grid_volts: Some(250.0),
        },
        TubeFinding::CutOff {
            grid_volts: None,
            reached: Some(false),
            second_grid_volts: None,
        },
        TubeFinding::Emission {
            minutes: 4.5,
            needle: needle(34.0, None),
        },
        TubeFinding::LifeTest {
            seconds: 0.0,
            needle: needle(60.0, Some(0.0)),
        },
        TubeFinding::BenchCurrent {
            second_grid_volts: 118.0,
            microamperes: 640.0,
            microamperes_later: None,
        },
        TubeFinding::RunningSet {
            picture: text("dim, silvery highlights"),
            cathode_microamperes: Some(35.0),
        },
    ];
    let of = |found| {
        Fact::OfPictureTube(OfPictureTube {
            part: text("V17"),
            type_number: text("12LP4"),
            instrument: text("emission tester, borrowed"),
            found,
            note: text("socket cleaned before"),
        })
    };
    found.map(of).to_vec()
}

/// One fact of each kind that can be found while an electrolytic is formed outside the set.
pub fn re_forming_facts() -> Vec<Fact> {
    let found = [
        FormingFinding::Reading {
            minutes: 30.0,
            source_volts: 450.0,
            section_volts: Some(391.5),
            milliamperes: 1.15,
            series_ohms: Some(51_000.0),
            case_celsius: Some(27.5),
            looks: text("sound"),
            typed: text("58.5 V"),
        },
        FormingFinding::Discharged {
            through_ohms: Some(4700.0),
            seconds: Some(2.0),
            volts_left: 0.4,
        },
        FormingFinding::Ended {
            end: FormingEnd::Replace,
            because: text("bulges at the vent"),
        },
    ];
    let of = |found| {
        Fact::OfReForming(OfReForming {
            part: text("C1A"),
            marked: text("40 mfd 450 V"),
            found,
            instrument: text("20k/V 500 V"),
            note: text("on the bench, shield over it"),
        })
    };
    found.map(of).to_vec()
}

/// One fact of each kind that belongs to the proof at the end.
pub fn proof_facts() -> Vec<Fact> {
    let found = [
        ProofFinding::Figure {
            value: 0.21,
            unit: text("mA"),
            typed: text("0.31 V"),
        },
        ProofFinding::Figure {
            value: f64::INFINITY,
            unit: text("ohm"),
            typed: text("open"),
        },
        ProofFinding::Answer { yes: false },
        ProofFinding::NotOfThisSet {
            because: text("the set has no antenna terminals of its own"),
        },
        ProofFinding::Signed { up_to: 12 },
    ];
    let of = |found| {
        Fact::OfProof(OfProof {
            item: text("leakage"),
            at: text("volume shaft, set screw"),
            plug: Some(PlugWay::Other),
            switched_on: Some(false),
            found,
            minutes: Some(30.0),
            line_volts: Some(121.0),
            by: text("R. Miller"),
            instrument: text("1500 ohm and 0.15 mfd"),
            note: String::new(),
        })
    };
    found.map(of).to_vec()
}

/// A JPEG whose upper left quarter is light, with the camera's marks before it if given.
pub fn jpeg(width: u32, height: u32, marks: Option<&[u8]>) -> Vec<u8> {
    let picture = RgbImage::from_fn(width, height, |x, y| {
        let light = x < width / 2 && y < height / 2;
        Rgb(if light { [240, 230, 210] } else { [20, 25, 30] })
    });
    let mut plain = Vec::new();
    JpegEncoder::new_with_quality(&mut plain, 90)
        .encode_image(&picture)
        .expect("encodes");
    let Some(marks) = marks else {
        return plain;
    };
    // A segment APP1 directly behind the start of the image, as the Exif standard has it.
    let length = u16::try_from(marks.len() + 8).expect("short").to_be_bytes();
    let mut bytes = plain[..2].to_vec();
    bytes.extend([0xff, 0xe1, length[0], length[1]]);
    bytes.extend(b"Exif\0\0");
    bytes.extend(marks);
    bytes.extend(&plain[2..]);
    bytes
}

pub fn photographed(name: &str) -> Photographed {
    Photographed {
        name: text(name),
        shows: text("below the chassis"),
        ..Photographed::default()
    }
}

/// The id under which the last entry of [`whole_book`] was sent.
pub const SENT: &str = "sending-of-the-undo";

/// A restoration with a fact of every kind.
pub fn whole_book(path: &std::path::Path) -> Logbook {
    let mut book = Logbook::start(path, "Larkfield 12T").expect("starts");
    book.take_sheet(&stamp(), "my_set.toml", "sheet = 1\n")
        .expect("taken");
    for fact in plain_facts() {
        book.append(&stamp(), &fact).expect("appended");
    }
    let photograph = Photograph::read(jpeg(64, 48, None)).expect("read");
    book.add_photograph(&stamp(), &photograph, photographed("IMG 1.jpg"))
        .expect("added");
    book.take_sheet(&stamp(), "my_set.toml", "sheet = 1\n# more\n")
        .expect("taken");
    let corrected = logbook::Corrected {
        names: 3,
        instead: Box::new(reading("B+ main", 308.0)),
        because: text("misread by ten volts"),
    };
    book.append(&stamp(), &Fact::Corrected(corrected))
        .expect("corrected");
    let undone = logbook::Undone {
        names: 8,
        because: text("wrong part"),
    };
    book.once(SENT).expect("marked");
    book.append(&stamp(), &Fact::Undone(undone))
        .expect("undone");
    book
}

/// A tube marked on a photograph.
pub fn placed(part: &str, photograph: &str) -> Fact {
    Fact::Placed(Placed {
        part: text(part),
        photograph: text(photograph),
        across: 0.4125,
        down: 1.0,
    })
}
