//! Photographs that are none, broken, or far larger once decoded than they look.
//!
//! The bytes of PNG as its specification has them (ISO/IEC 15948), those of JPEG as ITU-T T.81 has them.

use super::asked::Asked;
use super::asked::one_point::ONE_POINT;
use super::{IN_PARTS, form, is_whole, says};
use axum::body::Body;

/// The check of a chunk (ISO/IEC 15948, annex D).
fn crc(bytes: &[u8]) -> u32 {
    let step = |crc: u32, byte: &u8| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            (crc >> 1) ^ (0xedb8_8320 & (crc & 1).wrapping_neg())
        })
    };
    !bytes.iter().fold(u32::MAX, step)
}

/// The picture of one point under a head of another one.
fn under_a_head_of(width: u32, height: u32, bits: u8) -> Vec<u8> {
    let mut bytes = ONE_POINT.to_vec();
    bytes[16..20].copy_from_slice(&width.to_be_bytes());
    bytes[20..24].copy_from_slice(&height.to_be_bytes());
    bytes[24] = bits;
    let check = crc(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&check.to_be_bytes());
    bytes
}

#[tokio::test]
async fn what_cannot_be_decoded_is_told_with_what_to_do() {
    assert_eq!(under_a_head_of(1, 1, 8), ONE_POINT);
    let bench = Asked::of("small/two_rectifiers.toml");
    let broken_jpeg = [&[0xff, 0xd8, 0xff, 0xe0][..], &[0x55; 4000]].concat();
    let (cut, deep, promised) = (
        &ONE_POINT[..45],
        under_a_head_of(14_000, 14_000, 16),
        under_a_head_of(4000, 3000, 8),
    );
    let cases: &[(&str, &[u8], &str)] = &[
        ("cut.png", cut, "cannot be read"),
        ("broken.jpg", &broken_jpeg, "cannot be read"),
        ("deep.png", &deep, "8 bits for each colour"),
        ("promised.png", &promised, "cannot be read"),
        ("page.jpg", b"%PDF-1.7 and more", "the file is a PDF"),
        ("film.jpg", b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
    ];
    for (called, bytes, words) in cases {
        let fields = [("shows", "kept words")];
        let refused = bench
            .post_file("/photographs", &fields, ("photograph", called, bytes))
            .await;
        says(&refused, 422, &[words, called, "kept words"]);
    }
    is_whole(&bench, 1).await;
}

#[tokio::test]
async fn a_text_that_is_far_too_long_beside_a_photograph_is_told() {
    let bench = Asked::of("small/two_rectifiers.toml");
    let long = "x".repeat(100 << 10);
    let file = ("photograph", "a.png", ONE_POINT);
    let refused = bench
        .post_file("/photographs", &[("note", &long)], file)
        .await;
    says(&refused, 413, &["64 kilobytes", "Nothing was entered"]);
    // A part without a name and without a file is no field of the form; the photograph is taken.
    let body = b"--edge\r\nContent-Disposition: form-data\r\n\r\nwhat is this\r\n--edge\r\nContent-Disposition: form-data; name=\"photograph\"; filename=\"a.png\"\r\n\r\n";
    let body = [&body[..], ONE_POINT, b"\r\n--edge--\r\n"].concat();
    let answer = bench
        .ask(form("/photographs", IN_PARTS, Body::from(body)))
        .await;
    assert_eq!(answer.status, 303, "{}", answer.text);
    is_whole(&bench, 2).await;
}

#[tokio::test]
async fn two_photographs_at_once_are_both_kept() {
    let bench = Asked::of("small/two_rectifiers.toml");
    // What stands behind the end of a picture is kept with it.
    let (one, other) = ([ONE_POINT, b"one"].concat(), [ONE_POINT, b"other"].concat());
    let (first, second) = tokio::join!(
        bench.post_file("/photographs", &[], ("photograph", "one.png", &one)),
        bench.post_file("/photographs", &[], ("photograph", "other.png", &other))
    );
    assert_eq!((first.status.as_u16(), second.status.as_u16()), (303, 303));
    is_whole(&bench, 3).await;
}
