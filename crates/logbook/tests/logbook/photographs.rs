//! Photographs: kept as they came, judged by their bytes, turned upright.
//!
//! The camera's marks are built here by hand after the Exif standard (TIFF header, tags
//! 0x0112 orientation, 0x8769 pointer, 0x9003 time, 0x9011 offset).

use image::GenericImageView;
use logbook::{LARGEST_BYTES, LONGEST_SIDE, Logbook, MOST_PIXELS, Photograph, PhotographError};

use crate::tried::{jpeg, photographed, stamp, whole_book};

/// Marks with an orientation and a time.
fn marks(orientation: u16, time: &str, offset: &str) -> Vec<u8> {
    let ascii = |text: &str| -> Vec<u8> { text.bytes().chain([0]).collect() };
    let (time, offset) = (ascii(time), ascii(offset));
    let mut bytes = b"II*\0\x08\0\0\0".to_vec();
    let entry = |bytes: &mut Vec<u8>, tag: u16, kind: u16, count: usize, value: u32| {
        bytes.extend(tag.to_le_bytes());
        bytes.extend(kind.to_le_bytes());
        bytes.extend(u32::try_from(count).expect("short").to_le_bytes());
        bytes.extend(value.to_le_bytes());
    };
    bytes.extend(2_u16.to_le_bytes());
    entry(&mut bytes, 0x0112, 3, 1, u32::from(orientation));
    entry(&mut bytes, 0x8769, 4, 1, 38);
    bytes.extend([0; 4]);
    let time_at = 38 + 2 + 24 + 4;
    let offset_at = time_at + u32::try_from(time.len()).expect("short");
    bytes.extend(2_u16.to_le_bytes());
    entry(&mut bytes, 0x9003, 2, time.len(), time_at);
    entry(&mut bytes, 0x9011, 2, offset.len(), offset_at);
    bytes.extend([0; 4]);
    bytes.extend(&time);
    bytes.extend(&offset);
    bytes
}

/// Which quarter of the upright picture is light, and its size.
fn upright(bytes: Vec<u8>) -> ((u32, u32), &'static str) {
    let photograph = Photograph::read(bytes).expect("read");
    let picture = image::load_from_memory(&photograph.upright).expect("a picture");
    let (width, height) = picture.dimensions();
    let light = |x: u32, y: u32| picture.get_pixel(x, y).0[0] > 128;
    let (left, right) = (width / 4, width * 3 / 4);
    let (top, bottom) = (height / 4, height * 3 / 4);
    let corner = match (
        light(left, top),
        light(right, top),
        light(right, bottom),
        light(left, bottom),
    ) {
        (true, false, false, false) => "upper left",
        (false, true, false, false) => "upper right",
        (false, false, true, false) => "lower right",
        (false, false, false, true) => "lower left",
        _ => "none",
    };
    ((width, height), corner)
}

#[test]
fn a_photograph_is_turned_upright_by_its_mark() {
    // Where the first row and column lie, by the Exif standard's table of orientations.
    for (orientation, size, corner) in [
        (1, (64, 48), "upper left"),
        (2, (64, 48), "upper right"),
        (3, (64, 48), "lower right"),
        (4, (64, 48), "lower left"),
        (5, (48, 64), "upper left"),
        (6, (48, 64), "upper right"),
        (7, (48, 64), "lower right"),
        (8, (48, 64), "lower left"),
        (0, (64, 48), "upper left"),
        (99, (64, 48), "upper left"),
    ] {
        let marks = marks(orientation, "2026:11:28 15:04:05", "+01:00");
        assert_eq!(
            upright(jpeg(64, 48, Some(&marks))),
            (size, corner),
            "{orientation}"
        );
    }
    assert_eq!(upright(jpeg(64, 48, None)), ((64, 48), "upper left"));
}

#[test]
fn the_time_of_the_camera_is_read_or_left_unknown() {
    for (time, offset, wanted) in [
        (
            "2026:11:28 15:04:05",
            "+01:00",
            Some("2026-11-28T15:04:05+01:00"),
        ),
        ("2026:11:28 15:04:05", "", Some("2026-11-28T15:04:05")),
        ("0000:00:00 00:00:00", "", None),
        ("    :  :     :  :  ", "", None),
        ("yesterday", "", None),
    ] {
        let read = Photograph::read(jpeg(16, 16, Some(&marks(1, time, offset)))).expect("read");
        assert_eq!(read.taken.as_deref(), wanted, "{time}");
    }
    assert_eq!(
        Photograph::read(jpeg(16, 16, None)).expect("read").taken,
        None
    );
    // Marks that are cut short do no harm.
    let broken = marks(6, "2026:11:28 15:04:05", "+01:00");
    let read = Photograph::read(jpeg(16, 16, Some(&broken[..40]))).expect("read");
    assert_eq!(read.taken, None);
}

#[test]
fn large_ones_are_reduced_for_show_and_kept_as_they_came() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = Logbook::start(&folder.path().join("a.restoration"), "a").expect("starts");
    let bytes = jpeg(4000, 1000, Some(&marks(6, "2026:11:28 15:04:05", "")));
    let read = Photograph::read(bytes.clone()).expect("read");
    book.add_photograph(&stamp(), &read, photographed("a.jpg"))
        .expect("added");
    // The same picture again is a second fact and no second copy.
    book.add_photograph(&stamp(), &read, photographed("b.jpg"))
        .expect("added");
    let entries = book.entries().expect("read");
    let hash = entries[1].fact.photograph().expect("one");
    let kept = book.photograph(hash).expect("kept");
    assert_eq!(
        (kept.original == bytes, kept.ending.as_str()),
        (true, "jpg")
    );
    let shown = image::load_from_memory(&kept.upright).expect("a picture");
    assert_eq!(shown.dimensions(), (LONGEST_SIDE / 4, LONGEST_SIDE));
}

#[test]
fn what_is_no_photograph_is_refused() {
    let long = jpeg(64, 48, None);
    let check = |bytes: &[u8], wanted: &str| {
        let error = Photograph::read(bytes.to_vec()).expect_err(wanted);
        assert!(error.to_string().contains(wanted), "`{error}` / `{wanted}`");
        assert!(!error.hint().is_empty());
    };
    check(b"", "empty");
    check(b"sheet = 1\n", "a text and no picture");
    check("größer\n".repeat(99).as_bytes(), "a text and no picture");
    check(&[0, 1, 2, 3], "no picture that is known");
    check(b"%PDF-1.7 and so on", "PDF");
    check(b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC");
    check(b"GIF89a\x01\0\x01\0", "Gif");
    check(&long[..40], "cannot be read");
}

/// The beginning of a PNG of this size, sound as far as it goes.
fn png_head(width: u32, height: u32, bits: u8) -> Vec<u8> {
    let mut head = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
    head.extend(width.to_be_bytes());
    head.extend(height.to_be_bytes());
    head.extend([bits, 6, 0, 0, 0]);
    // CRC-32 of the chunk (PNG specification, annex D), so that the head itself is sound.
    let mut crc = u32::MAX;
    for byte in &head[12..] {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 {
                0xedb8_8320 ^ (crc >> 1)
            } else {
                crc >> 1
            };
        }
    }
    head.extend((!crc).to_be_bytes());
    head.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e");
    head
}

/// A JPEG that states another size than it has (ITU-T T.81, B.2.2: the frame header).
fn jpeg_stating(width: u16, height: u16) -> Vec<u8> {
    let mut bytes = jpeg(64, 48, None);
    let frame = bytes.windows(2).position(|two| two == [0xff, 0xc0]);
    let frame = frame.expect("a frame header");
    bytes[frame + 5..frame + 7].copy_from_slice(&height.to_be_bytes());
    bytes[frame + 7..frame + 9].copy_from_slice(&width.to_be_bytes());
    bytes
}

#[test]
fn a_picture_that_states_a_huge_size_is_refused_before_any_of_it_is_decoded() {
    let check = |bytes: Vec<u8>, wanted: PhotographError| {
        let told = Photograph::read(bytes).expect_err("refused");
        assert!(!told.hint().is_empty());
        assert_eq!(told, wanted, "{told}");
    };
    let too_many = |width, height| PhotographError::TooManyPixels { width, height };
    check(png_head(60_000, 60_000, 8), too_many(60_000, 60_000));
    check(png_head(22_001, 10_000, 8), too_many(22_001, 10_000));
    check(jpeg_stating(65_000, 65_000), too_many(65_000, 65_000));
    // As many pixels as are decoded, but eight bytes for each: too much room all the same.
    assert_eq!(22_000 * 10_000, MOST_PIXELS);
    let too_much = PhotographError::TooMuchDecoded;
    check(png_head(22_000, 10_000, 16), too_much.clone());
    // One row by itself, beyond what the decoder takes.
    check(png_head(220_000_001, 1, 8), too_much);
    // One that keeps to the limit is looked at, and found to end too early.
    let broken = Photograph::read(png_head(22_000, 10_000, 8)).expect_err("refused");
    assert!(matches!(broken, PhotographError::Broken { .. }), "{broken}");
}

#[test]
fn a_file_of_too_many_bytes_is_refused_by_its_length() {
    let mut long = jpeg(64, 48, None);
    long.resize(LARGEST_BYTES, 0);
    // What stands behind the end of a picture is kept with it.
    assert!(Photograph::read(long.clone()).is_ok());
    long.push(0);
    let bytes = LARGEST_BYTES + 1;
    assert_eq!(
        Photograph::read(long).err(),
        Some(PhotographError::TooLarge { bytes })
    );
}

#[test]
fn a_photograph_that_was_damaged_in_the_file_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let book = whole_book(&path);
    let entries = book.entries().expect("read");
    let hash = entries
        .iter()
        .find_map(|entry| entry.fact.photograph())
        .expect("one");
    assert!(book.photograph(hash).is_ok());
    let raw = rusqlite::Connection::open(&path).expect("opens");
    raw.execute_batch(
        "DROP TRIGGER photographs_stay_as_they_are; UPDATE photographs SET original = x'00ff';",
    )
    .expect("changed by force");
    let error = book.photograph(hash).expect_err("refused");
    assert!(error.to_string().contains("not what was kept"), "{error}");
}
