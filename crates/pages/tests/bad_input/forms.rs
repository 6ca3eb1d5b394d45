//! Forms that are wrong, broken off, sent twice, or no forms.

use axum::body::Body;

use super::asked::{Asked, is_in_order, with_a_thousand_faults};
use super::{IN_PARTS, PLAIN, cut, form, is_whole, says};

fn bench() -> Asked {
    Asked::of("larkfield_12t.toml")
}

#[tokio::test]
async fn a_reading_that_is_no_reading_is_told_and_stays_typed() {
    let bench = bench();
    for (value, words) in [
        ("lots", "`lots"),
        ("12.5.3 V", "12.5.3"),
        ("", "value"),
        (
            "135 volts of something else",
            "`135 volts of something else",
        ),
    ] {
        let fields = [
            ("place", "V9.5"),
            ("what", "dc_volts"),
            ("value", value),
            ("note", "kept words"),
        ];
        let refused = bench.post("/readings", &fields).await;
        says(&refused, 422, &["role=\"alert\"", words, "kept words"]);
        is_in_order(&refused.text);
    }
    // A field whose name is none says nothing, so the value is missing; what is not asked for is left alone.
    let misspelt = [("place", "V9.5"), ("valeu", "135 V")];
    says(&bench.post("/readings", &misspelt).await, 422, &["value"]);
    is_whole(&bench, 1).await;
    let more = [
        ("place", "V9.5"),
        ("value", "135 V"),
        ("no-such-field", "x"),
    ];
    assert_eq!(bench.post("/readings", &more).await.status, 303);
    is_whole(&bench, 2).await;
}

#[tokio::test]
async fn a_form_that_breaks_off_enters_nothing() {
    let bench = bench();
    let plain = cut(b"place=V9.5&value=135");
    let parts = "--edge\r\nContent-Disposition: form-data; name=\"shows\"\r\n\r\nbelow the cha";
    for (request, words) in [
        (form("/readings", PLAIN, plain), "broke off"),
        (
            form("/photographs", IN_PARTS, cut(parts.as_bytes())),
            "broke off",
        ),
        // The end is missing and nothing says so but the form itself.
        (
            form("/photographs", IN_PARTS, Body::from(parts)),
            "broke off",
        ),
    ] {
        let answer = bench.ask(request).await;
        says(&answer, 400, &[words, "Nothing was entered"]);
    }
    is_whole(&bench, 1).await;
}

#[tokio::test]
async fn what_is_no_form_enters_nothing() {
    let bench = bench();
    let reading = "{\"place\": \"V9.5\", \"value\": \"135 V\"}";
    for (at, kind, status) in [
        ("/readings", "application/json", 415),
        ("/readings", IN_PARTS, 415),
        ("/photographs", PLAIN, 400),
        ("/photographs", "multipart/form-data", 400),
    ] {
        let answer = bench.ask(form(at, kind, Body::from(reading))).await;
        says(
            &answer,
            status,
            &["not understood as a form", "Nothing was entered"],
        );
    }
    is_whole(&bench, 1).await;
}

#[tokio::test]
async fn bytes_that_are_no_letters_are_told_and_never_replaced() {
    // RFC 3629: 0xFF stands in no text of UTF-8, and 0xC3 not without one that follows it.
    let bench = bench();
    let parts =
        b"--edge\r\nContent-Disposition: form-data; name=\"note\"\r\n\r\na \xff b\r\n--edge--\r\n";
    for request in [
        form(
            "/readings",
            PLAIN,
            Body::from("place=V9.5&value=135+V&note=a%FF"),
        ),
        form(
            "/readings",
            PLAIN,
            Body::from("place=V9.5&value=135+V&note=%C3"),
        ),
        form(
            "/readings",
            PLAIN,
            Body::from(&b"place=V9.5&value=135+V&note=\xff"[..]),
        ),
        form("/photographs", IN_PARTS, Body::from(&parts[..])),
    ] {
        let answer = bench.ask(request).await;
        says(
            &answer,
            400,
            &[
                "The field \"note\"".replace('"', "&quot;").as_str(),
                "no letters",
            ],
        );
    }
    is_whole(&bench, 1).await;
    let whole = form(
        "/readings",
        PLAIN,
        Body::from("place=V9.5&value=135+V&note=%C3%BC"),
    );
    assert_eq!(bench.ask(whole).await.status, 303);
    is_whole(&bench, 2).await;
}

#[tokio::test]
async fn a_form_that_comes_twice_at_once_enters_once() {
    let bench = bench();
    let fields = [
        ("place", "V9.5"),
        ("value", "135 V"),
        ("once", "one-and-the-same-sending"),
    ];
    let (first, second) = tokio::join!(
        bench.post("/readings", &fields),
        bench.post("/readings", &fields)
    );
    assert_eq!((first.status.as_u16(), second.status.as_u16()), (303, 303));
    is_whole(&bench, 2).await;
    // An id of another form is told; nothing is entered under it.
    let odd = [("place", "V9.5"), ("value", "135 V"), ("once", "x y")];
    says(
        &bench.post("/readings", &odd).await,
        422,
        &["role=\"alert\""],
    );
    is_whole(&bench, 2).await;
}

#[tokio::test]
async fn a_sheet_with_a_thousand_faults_is_not_taken_in_and_stays_typed() {
    let bench = bench();
    let now = benchwork::present_sheet(&bench.file()).expect("a sheet");
    let text = with_a_thousand_faults(&now.text);
    let fields = [
        ("text", text.as_str()),
        ("sheet", now.mark.as_str()),
        ("do", "take"),
    ];
    let refused = bench.post("/sheet", &fields).await;
    says(&refused, 422, &["V1099", "950 more"]);
    let nonsense = [
        ("text", "\u{0}\u{1}[[["),
        ("sheet", now.mark.as_str()),
        ("do", "take"),
    ];
    says(
        &bench.post("/sheet", &nonsense).await,
        422,
        &["role=\"alert\""],
    );
    assert_eq!(
        benchwork::present_sheet(&bench.file()).expect("a sheet"),
        now
    );
    is_whole(&bench, 1).await;
}
