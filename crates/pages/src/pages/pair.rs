//! Letting a device in: on the device the words and its name; on the laptop the code, and the devices with their leave
//! taken back.
//!
//! The list and the code are shown on the laptop alone. A device may give its own leave back. Fails with the page again
//! and what was wrong: wrong words with the tries left, a code that no longer holds, a list that cannot be written.

use std::sync::Arc;
use std::time::Instant;

use axum::extract::{Query, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Extension, Router};
use benchwork::Trouble;
use maud::{Markup, html};

use super::plain;
use crate::bench::Bench;
use crate::door::{COOKIE, LetIn};
use crate::entry::{Sent, shown};
use crate::frame::bare;
use crate::home_network::{Home, Tried, as_svg};
use crate::pieces::{picture, problem, send, text};

/// Seconds that a browser keeps a token: 400 days, the most that it does (RFC 6265bis).
const KEPT_SECONDS: u32 = 400 * 86_400;

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/pair", get(pair).post(paired))
        .route("/certificate", get(certificate))
        .route("/devices", get(devices))
        .route("/devices/code", post(new_code))
        .route("/devices/back", post(taken_back))
        .route("/devices/leave", post(left))
}

/// What a device sees that is not let in.
pub fn not_let_in(had_a_token: bool, holds_a_code: bool) -> Response {
    let main = html! {
        @if had_a_token {
            div .trouble role="alert" {
                h2 { "The laptop no longer lets this device in" }
                p { "Its leave was taken back there. What is kept on this device stays, and is sent when it is let in again." }
            }
        }
        (pair_form("", "", holds_a_code))
    };
    let page = bare("Let this device in", main);
    (StatusCode::UNAUTHORIZED, [asks_for_words()], page).into_response()
}

/// RFC 9110, section 11.6.1: an answer 401 says by what one gets in. No browser knows this way, so none opens a
/// window of its own.
fn asks_for_words() -> (header::HeaderName, HeaderValue) {
    (
        header::WWW_AUTHENTICATE,
        HeaderValue::from_static("pairing-words"),
    )
}

fn pair_form(words: &str, name: &str, holds_a_code: bool) -> Markup {
    html! {
        @if !holds_a_code {
            p { b { "No words hold now." } " Open \"Devices\" on the laptop's own pages and ask for new ones." }
        }
        form .question method="post" action="/pair" {
            (text("words", "The four words that the laptop shows", words, ""))
            (text("name", "What this device is called", if name.is_empty() { "Phone" } else { name }, ""))
            (send("Let this device in"))
        }
        details {
            summary { "Why did the browser warn?" }
            p { "The pages come from your own laptop, and nobody but the laptop vouches for its certificate. The laptop "
                "shows the certificate's print; take the certificate in only if the two agree. With it in, the browser no longer warns." }
            p { a .button href="/certificate" { "Take the laptop's certificate in" } }
        }
    }
}

async fn pair(
    State(bench): State<Arc<Bench>>,
    device: Option<Extension<LetIn>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    if let Some(Extension(LetIn(own))) = device {
        let main = html! {
            p { "This device is let in, as \"" (own.name) "\"." }
            p { a .button href="/" { "Where it stands" } }
        };
        return bare("Let in", main).into_response();
    }
    let Some(home) = bench.home() else {
        return Redirect::to("/devices").into_response();
    };
    let holds = home.code(Instant::now()).is_some();
    let words = asked.text("words").replace('-', " ");
    bare("Let this device in", pair_form(&words, "", holds)).into_response()
}

async fn paired(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let Some(home) = bench.home().cloned() else {
        return no_home();
    };
    let (words, name) = (sent.text("words").to_owned(), sent.text("name").to_owned());
    let own = Arc::clone(&bench);
    let at_laptop = Arc::clone(&home);
    let work = move || {
        let at = own.now()?;
        at_laptop.let_in(&words, &name, Instant::now(), &at)
    };
    let why = match tokio::task::spawn_blocking(work).await {
        Ok(Ok(Ok(token))) => {
            let cookie = format!(
                "{COOKIE}={token}; Path=/; Secure; HttpOnly; SameSite=Strict; Max-Age={KEPT_SECONDS}"
            );
            return ([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response();
        }
        Ok(Ok(Err(tried))) => said(tried),
        Ok(Err(trouble)) => trouble,
        Err(_) => return crate::entry::ended_badly(),
    };
    let holds = home.code(Instant::now()).is_some();
    let main = html! {
        (plain::refused(Some(&why)))
        (pair_form(sent.text("words"), sent.text("name"), holds))
    };
    let page = bare("Let this device in", main);
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
}

fn said(tried: Tried) -> Trouble {
    match tried {
        Tried::Wrong(1) => Trouble::input(
            "these are not the words",
            "look again; one more try, then the laptop must show new ones",
        ),
        Tried::Wrong(left) => Trouble::input(
            "these are not the words",
            format!("type the four words as the laptop shows them; {left} more tries"),
        ),
        Tried::UsedUp | Tried::NoCode | Tried::Right => Trouble::input(
            "no words hold now",
            "ask for new ones on the laptop: they hold ten minutes, for one device and five tries",
        ),
    }
}

async fn certificate(State(bench): State<Arc<Bench>>) -> Response {
    let Some(home) = bench.home() else {
        return no_home();
    };
    // RFC 5280 and the registered type for a certificate in DER.
    let kind = (header::CONTENT_TYPE, "application/x-x509-ca-cert");
    let name = (
        header::CONTENT_DISPOSITION,
        "attachment; filename=\"firstraster-bench.crt\"",
    );
    ([kind, name], home.vouched().der.clone()).into_response()
}

fn no_home() -> Response {
    problem(
        StatusCode::NOT_FOUND,
        "The home network is not asked for",
        "The pages answer on this computer alone.",
        "Begin them with --home to let a phone in.",
    )
}

async fn devices(State(bench): State<Arc<Bench>>, device: Option<Extension<LetIn>>) -> Response {
    match device {
        Some(Extension(LetIn(own))) => own_page(&bench, &own.name).into_response(),
        None => shown(bench, |bench| page(bench, None)).await,
    }
}

/// What a device of the home network sees of itself.
fn own_page(bench: &Bench, name: &str) -> Markup {
    let main = html! {
        p { "This device is let in, as \"" (name) "\"." }
        p { "Others are let in, and their leave is taken back, on the laptop itself." }
        form method="post" action="/devices/leave" {
            (send("This device goes"))
        }
    };
    plain::page(bench, "Devices", "/devices", main)
}

fn page(bench: &Bench, refused: Option<&Trouble>) -> Markup {
    let main = html! {
        (plain::refused(refused))
        @match bench.home() {
            None => {
                p { "The pages answer on this computer alone." }
                p { "To use a phone beside the chassis, end the program and begin it with " code { "--home" } "." }
            }
            Some(home) => {
                (code(home))
                h2 { "Let in" }
                (let_in(home))
                h2 { "The certificate" }
                p { "Nobody but this laptop vouches for its pages, so a browser warns the first time. Whoever wants no warning takes the "
                    "laptop's certificate in on the phone; it vouches for addresses of a home network only. The phone then shows this print (SHA-256):" }
                p .print { code { (home.vouched().print) } }
            }
        }
    };
    plain::page(bench, "Devices", "/devices", main)
}

fn code(home: &Home) -> Markup {
    html! {
        h2 { "Let a phone in" }
        @match home.code(Instant::now()) {
            Some(code) => {
                @if let Some(drawn) = as_svg(&home.pairing_page(&code)) {
                    (picture(&drawn, "The address with the words, for the phone's camera"))
                }
                p { "Or open this address on the phone and type the words:" }
                @for own in home.pages() { p .print { code { (own) } } }
                p .words { b { (code.words) } }
                p { "They hold " (code.minutes) @if code.minutes == 1 { " more minute" } @else { " more minutes" } ", for one device." }
            }
            None => p { "No words hold now. They hold ten minutes, for one device and five tries." }
        }
        form method="post" action="/devices/code" { (send("Show new words")) }
    }
}

fn let_in(home: &Home) -> Markup {
    html! {
        @match home.devices().all() {
            Err(own) => (plain::refused(Some(&own))),
            Ok(devices) => {
                @if devices.is_empty() { p { "No device yet." } }
                @for device in &devices {
                    div .device {
                        p { b { (device.name) } " since " (crate::words::when(&device.since)) }
                        form method="post" action="/devices/back" {
                            input type="hidden" name="name" value=(device.name);
                            button .button type="submit" { "Take back the leave of " (device.name) }
                        }
                    }
                }
            }
        }
    }
}

/// For the laptop alone.
fn at_the_laptop(device: Option<&Extension<LetIn>>) -> Result<(), Box<Response>> {
    match device {
        None => Ok(()),
        Some(_) => Err(Box::new(problem(
            StatusCode::FORBIDDEN,
            "Only at the laptop",
            "Who is let in is said on the laptop itself.",
            "Open \"Devices\" on the laptop's own pages.",
        ))),
    }
}

async fn new_code(State(bench): State<Arc<Bench>>, device: Option<Extension<LetIn>>) -> Response {
    if let Err(answer) = at_the_laptop(device.as_ref()) {
        return *answer;
    }
    match bench.home() {
        Some(home) => {
            home.new_code(Instant::now());
            Redirect::to("/devices").into_response()
        }
        None => no_home(),
    }
}

async fn taken_back(
    State(bench): State<Arc<Bench>>,
    device: Option<Extension<LetIn>>,
    sent: Sent,
) -> Response {
    if let Err(answer) = at_the_laptop(device.as_ref()) {
        return *answer;
    }
    take_back(bench, sent.text("name").to_owned(), "/devices").await
}

async fn left(State(bench): State<Arc<Bench>>, device: Option<Extension<LetIn>>) -> Response {
    match device {
        Some(Extension(LetIn(own))) => take_back(bench, own.name, "/pair").await,
        None => no_home(),
    }
}

async fn take_back(bench: Arc<Bench>, name: String, to: &str) -> Response {
    let Some(home) = bench.home().cloned() else {
        return no_home();
    };
    let work = move || home.devices().take_back(&name);
    match tokio::task::spawn_blocking(work).await {
        Ok(Ok(_)) => Redirect::to(to).into_response(),
        Ok(Err(trouble)) => {
            let page = shown(bench, move |bench| page(bench, Some(&trouble))).await;
            (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
        }
        Err(_) => crate::entry::ended_badly(),
    }
}
