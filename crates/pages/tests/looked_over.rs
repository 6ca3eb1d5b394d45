//! The look-over, the photographs and the short entries: what is found is entered, what is wrong is told and kept.

mod asked;

use asked::one_point::ONE_POINT;
use asked::{Asked, is_in_order};
use axum::http::StatusCode;

/// The same form with a head of 60000 by 60000 points, more than are ever decoded.
const HUGE: &[u8] = &[
    0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0x00, 0x00, 0x00, 0x0d, 0x49, 0x48, 0x44, 0x52,
    0x00, 0x00, 0xea, 0x60, 0x00, 0x00, 0xea, 0x60, 0x08, 0x02, 0x00, 0x00, 0x00, 0x0f, 0xb0, 0xe2,
    0x15, 0x00, 0x00, 0x00, 0x0c, 0x49, 0x44, 0x41, 0x54, 0x78, 0x9c, 0x63, 0x60, 0xa0, 0x0c, 0x00,
    0x00, 0x00, 0x40, 0x00, 0x01, 0xb7, 0x34, 0x7c, 0xef, 0x00, 0x00, 0x00, 0x00, 0x49, 0x45, 0x4e,
    0x44, 0xae, 0x42, 0x60, 0x82,
];

/// A page, the fields sent to it, words of what comes of it.
type Case = (
    &'static str,
    &'static [(&'static str, &'static str)],
    &'static str,
);

fn bench() -> Asked {
    Asked::of("larkfield_12t.toml")
}

#[tokio::test]
async fn a_finding_is_noted_and_the_next_thing_comes() {
    let bench = bench();
    let list = bench.get("/look").await;
    assert_eq!(list.status, StatusCode::OK);
    is_in_order(&list.text);
    assert!(list.text.contains("○ not looked at"));
    let thing = bench.get("/look?thing=wax").await;
    is_in_order(&thing.text);
    assert!(thing.text.contains("value=\"wax run out\""));
    let fields = [
        ("thing", "wax"),
        ("found", "wax run out"),
        ("part", "c31"),
        ("after", "moulded"),
        ("then", "next"),
    ];
    let made = bench.post("/look", &fields).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER);
    assert!(
        made.to.starts_with("/look?thing=moulded&made="),
        "{}",
        made.to
    );
    assert!(bench.last().contains("wax run out"), "{}", bench.last());
    let next = bench.get(&made.to).await;
    assert!(next.text.contains("Entered."), "what was said comes along");
    assert!(
        next.text.contains("replaced before power"),
        "the caution comes along"
    );
    let list = bench.get("/look").await;
    assert!(list.text.contains("✓ "), "it is marked as noted");
}

#[tokio::test]
async fn what_was_looked_at_may_be_in_own_words() {
    let bench = bench();
    let form = bench.get("/look?thing=own").await;
    is_in_order(&form.text);
    let fields = [
        ("thing", "own"),
        ("what", "smell of the cabinet"),
        ("words", "mould"),
    ];
    let made = bench.post("/look", &fields).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER);
    let list = bench.get(&made.to).await;
    assert!(list.text.contains("smell of the cabinet"));
}

#[tokio::test]
async fn a_finding_without_words_enters_nothing_and_keeps_the_rest() {
    let bench = bench();
    let before = bench.entries();
    let fields = [
        ("thing", "wax"),
        ("part", "C31"),
        ("note", "third from the left"),
    ];
    let refused = bench.post("/look", &fields).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("role=\"alert\""));
    assert!(refused.text.contains("third from the left"));
    assert_eq!(bench.entries(), before);
}

#[tokio::test]
async fn a_form_that_comes_twice_enters_once() {
    let bench = bench();
    let fields = [
        ("what", "no cord with a cut earth"),
        ("once", "abcdefgh12345678"),
    ];
    let first = bench.post("/decide", &fields).await;
    let count = bench.entries();
    let second = bench.post("/decide", &fields).await;
    assert_eq!(first.status, StatusCode::SEE_OTHER);
    assert_eq!(second.status, StatusCode::SEE_OTHER);
    assert_eq!(bench.entries(), count);
}

#[tokio::test]
async fn a_part_on_the_line_without_its_class_is_told_after_entering() {
    let bench = bench();
    let form = bench.get("/fit?part=C1A").await;
    is_in_order(&form.text);
    assert!(
        form.text.contains("mfd"),
        "what the sheet has stands in the field"
    );
    let made = bench
        .post("/fit", &[("part", "no such part"), ("new", "0.047 mfd")])
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER);
    let next = bench.get(&made.to).await;
    assert!(
        next.text.contains("the sheet has no `no such part`"),
        "its notice is shown"
    );
}

#[tokio::test]
async fn each_short_entry_is_made_and_each_lack_is_told() {
    let bench = bench();
    let cases: &[Case] = &[
        (
            "/change",
            &[("what", "height control"), ("is", "in the middle")],
            "height control",
        ),
        (
            "/decide",
            &[("what", "leave the mask"), ("because", "rusted on")],
            "rusted on",
        ),
        (
            "/test",
            &[("part", "V9"), ("kind", "percent"), ("figure", "65")],
            "65 percent",
        ),
        (
            "/test",
            &[("part", "V9"), ("kind", "words"), ("verdict", "weak")],
            "weak",
        ),
    ];
    for (at, fields, words) in cases {
        is_in_order(&bench.get(at).await.text);
        let made = bench.post(at, fields).await;
        assert_eq!(made.status, StatusCode::SEE_OTHER, "{at}: {}", made.text);
        assert!(bench.last().contains(words), "{}", bench.last());
        assert!(bench.get(&made.to).await.text.contains(words));
    }
    let before = bench.entries();
    let lacks: &[Case] = &[
        ("/change", &[("is", "kept words")], "kept words"),
        ("/decide", &[("because", "kept words")], "kept words"),
        (
            "/fit",
            &[("part", "C1A"), ("old", "kept words")],
            "kept words",
        ),
        (
            "/test",
            &[("part", "V9"), ("note", "kept words")],
            "no result of the tester",
        ),
        (
            "/test",
            &[("part", "V9"), ("kind", "percent"), ("figure", "12x")],
            "`12x` read",
        ),
        (
            "/test",
            &[("part", "V9"), ("figure", "65")],
            "not of which scale",
        ),
        (
            "/test",
            &[("part", "V9"), ("kind", "percent"), ("figure", "2000")],
            "0 to 200",
        ),
    ];
    for (at, fields, words) in lacks {
        let refused = bench.post(at, fields).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{at}");
        assert!(refused.text.contains(words), "{at}: {}", refused.text);
    }
    assert_eq!(bench.entries(), before);
}

#[tokio::test]
async fn a_photograph_is_kept_whole_and_shown_reduced() {
    let bench = bench();
    is_in_order(&bench.get("/photographs?shows=wax").await.text);
    let fields = [
        ("shows", "below the chassis"),
        ("note", "before anything was moved"),
    ];
    let file = ("photograph", "IMG_0001.png", ONE_POINT);
    let made = bench.post_file("/photographs", &fields, file).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
    assert!(bench.last().contains("IMG_0001.png"), "{}", bench.last());
    let list = bench.get(&made.to).await;
    assert!(list.text.contains("below the chassis"));
    let hash = list.text.split("src=\"/photographs/").nth(1);
    let hash = hash
        .and_then(|rest| rest.split('/').next())
        .expect("a hash");
    let original = bench.get(&format!("/photographs/{hash}/original")).await;
    assert_eq!(original.bytes, ONE_POINT);
    assert_eq!(original.kind, "image/png");
    let upright = bench.get(&format!("/photographs/{hash}/upright")).await;
    assert_eq!(upright.kind, "image/jpeg");
    let large = bench.get(&format!("/photographs/{hash}")).await;
    is_in_order(&large.text);
    let other = bench.get("/photographs/0123/upright").await;
    assert_eq!(other.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn what_is_no_photograph_is_told_and_the_bench_goes_on() {
    let bench = bench();
    let before = bench.entries();
    let large = vec![0u8; 50 << 20];
    let cases: &[(&str, &[u8], &str)] = &[
        ("notes.jpg", b"C31 is cracked", "a text and no picture"),
        ("empty.jpg", b"", "no photograph came"),
        ("huge.png", HUGE, "60000 by 60000"),
        ("large.jpg", &large, "larger than the 40 megabytes"),
    ];
    for (called, bytes, words) in cases {
        let fields = [("shows", "kept words"), ("note", "kept note")];
        let refused = bench
            .post_file("/photographs", &fields, ("photograph", called, bytes))
            .await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{called}");
        assert!(refused.text.contains(words), "{called}: {}", refused.text);
        assert!(refused.text.contains("kept words") && refused.text.contains("kept note"));
    }
    assert_eq!(bench.entries(), before);
    assert_eq!(bench.get("/photographs").await.status, StatusCode::OK);
}

#[tokio::test]
async fn tubes_are_placed_on_a_photograph_and_lead_to_their_readings() {
    let bench = bench();
    let none = bench.get("/chassis").await;
    assert!(none.text.contains("needs a photograph"));
    let file = ("photograph", "top.png", ONE_POINT);
    bench
        .post_file("/photographs", &[("shows", "from above")], file)
        .await;
    let list = bench.get("/chassis").await;
    is_in_order(&list.text);
    let photo = list
        .text
        .split("/chassis?photo=")
        .nth(1)
        .expect("a photograph");
    let photo = photo.split('"').next().unwrap_or_default().to_owned();
    let tubes = bench
        .get(&format!("/chassis?photo={photo}&place=yes"))
        .await;
    is_in_order(&tubes.text);
    assert!(tubes.text.contains("part=V9"));
    is_in_order(
        &bench
            .get(&format!("/chassis?photo={photo}&part=V9"))
            .await
            .text,
    );
    let at = |across: &'static str, down: &'static str| {
        let (photo, bench) = (photo.clone(), &bench);
        async move {
            let fields = [
                ("photo", photo.as_str()),
                ("part", "v9"),
                ("across", across),
                ("down", down),
            ];
            bench.post("/chassis", &fields).await
        }
    };
    let before = bench.entries();
    for (across, down) in [("", "20"), ("120", "20"), ("left", "20")] {
        let refused = at(across, down).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(refused.text.contains("Percent from the left"));
    }
    assert_eq!(bench.entries(), before);
    let made = at("12.5", "40").await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
    let map = bench.get("/chassis").await;
    is_in_order(&map.text);
    assert!(
        map.text.contains("href=\"/readings/V9\"")
            && map.text.contains("x=\"12.50%\" y=\"40.00%\"")
    );
    let off = bench
        .post("/chassis/off", &[("photo", photo.as_str()), ("part", "V9")])
        .await;
    assert_eq!(off.status, StatusCode::SEE_OTHER, "{}", off.text);
    let map = bench.get(&format!("/chassis?photo={photo}")).await;
    assert!(!map.text.contains("href=\"/readings/V9\""));
}
