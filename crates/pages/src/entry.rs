//! A form as it was sent: the fields as they were typed, the id of this sending, what the page had seen.
//!
//! Every form bears a hidden `once`, an id of its own sending, so that one that comes twice enters once; and
//! `seen`, the number of the last entry that its page showed. What is wrong with a field is told by the
//! function that the field is for. Fails for a body that is no form, which no page of ours sends.

use std::sync::Arc;

use axum::body::{Body, Bytes};
use axum::extract::{Form, FromRequest, Request};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use benchwork::view::RecordedView;
use benchwork::{Entering, Trouble};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::pieces::{problem, status_of, with_point};

/// The fields of a form, as typed.
#[derive(Debug, Clone, Default)]
pub struct Sent {
    fields: Vec<(String, String)>,
}

impl Sent {
    /// Fields that did not come from a form, such as those of an address.
    pub fn of(fields: Vec<(String, String)>) -> Sent {
        Sent { fields }
    }

    /// The same with these fields before those that were sent.
    pub fn with(&self, more: &[(&str, &str)]) -> Sent {
        let own = |(name, text): &(&str, &str)| ((*name).to_owned(), (*text).to_owned());
        let mut fields: Vec<(String, String)> = more.iter().map(own).collect();
        fields.extend(self.fields.iter().cloned());
        Sent { fields }
    }

    /// What was typed into a field, without blanks around it; empty where there is none.
    pub fn text(&self, name: &str) -> &str {
        let field = self.fields.iter().find(|(own, _)| own == name);
        field.map_or("", |(_, text)| text.trim())
    }

    /// The same as a text of its own.
    pub fn owned(&self, name: &str) -> String {
        self.text(name).to_owned()
    }

    /// What was typed, if anything.
    pub fn some(&self, name: &str) -> Option<String> {
        let text = self.text(name);
        (!text.is_empty()).then(|| text.to_owned())
    }

    /// A whole text with its line ends as a file has them.
    pub fn whole_text(&self, name: &str) -> String {
        let field = self.fields.iter().find(|(own, _)| own == name);
        field.map_or_else(String::new, |(_, text)| text.replace("\r\n", "\n"))
    }

    /// Every value of a field that may come several times, those of one text parted by commas or blanks.
    pub fn list(&self, name: &str) -> Vec<String> {
        let fields = self.fields.iter().filter(|(own, _)| own == name);
        fields
            .flat_map(|(_, text)| text.split([',', ' ', '+']))
            .map(str::trim)
            .filter(|text| !text.is_empty())
            .map(str::to_owned)
            .collect()
    }

    /// Every value of a field that may come several times, in order, as typed; empty ones too.
    pub fn all(&self, name: &str) -> Vec<&str> {
        let fields = self.fields.iter().filter(|(own, _)| own == name);
        fields.map(|(_, text)| text.as_str()).collect()
    }

    /// Whether a box was ticked.
    pub fn ticked(&self, name: &str) -> bool {
        !self.text(name).is_empty()
    }

    /// A number, where one was typed; what is none is told with the field's name.
    pub fn number(&self, name: &str, called: &str) -> Result<Option<f64>, Trouble> {
        let text = self.text(name);
        if text.is_empty() {
            return Ok(None);
        }
        let value: Option<f64> = with_point(text).parse().ok();
        match value.filter(|value| value.is_finite()) {
            Some(value) => Ok(Some(value)),
            None => Err(Trouble::input(
                format!("{called}: `{text}` read, a number expected"),
                "type digits and a point, such as 117 or 6.3",
            )),
        }
    }

    /// A number of an entry.
    pub fn entry(&self, name: &str) -> Option<u64> {
        self.text(name).parse().ok()
    }

    /// The fields `field-NAME` that say something else than `was-NAME`, each as `NAME = TEXT`.
    pub fn changes(&self) -> Vec<String> {
        let fields = self.fields.iter();
        fields
            .filter_map(|(name, text)| Some((name.strip_prefix("field-")?, text.trim())))
            .filter(|(name, text)| self.text(&format!("was-{name}")) != *text)
            .map(|(name, text)| format!("{name} = {text}"))
            .collect()
    }

    /// The entry of this form, at the time of now: made once under its own id, and held against what its page
    /// showed.
    pub fn entering<'a>(&'a self, bench: &'a Bench) -> Result<Entering<'a>, Trouble> {
        Ok(Entering {
            once: self.once(),
            seen: self.entry("seen"),
            ..bench.entering()?
        })
    }

    /// A form of this restoration; one of a page that was left open while another one was served is refused.
    #[allow(
        clippy::result_large_err,
        reason = "an answer is what a refused form gets"
    )]
    pub fn of_this_book(self, bench: &Bench) -> Result<Sent, Response> {
        let book = self.text("book");
        if book.is_empty() || book == bench.book() {
            return Ok(self);
        }
        Err(problem(
            StatusCode::CONFLICT,
            "This page is of another restoration",
            &format!(
                "The laptop has {} open now. Nothing was entered into it.",
                bench.name()
            ),
            "Open the pages of the other restoration, and enter it there.",
        ))
    }

    /// The id of this sending.
    pub fn once(&self) -> Option<&str> {
        Some(self.text("once")).filter(|id| !id.is_empty())
    }
}

impl FromRequest<Arc<Bench>> for Sent {
    type Rejection = Response;

    async fn from_request(request: Request, bench: &Arc<Bench>) -> Result<Self, Self::Rejection> {
        let (head, body) = request.into_parts();
        let whole = Request::from_parts(head.clone(), body);
        let bytes = match Bytes::from_request(whole, bench).await {
            Ok(bytes) => bytes,
            Err(refused) if refused.status() == StatusCode::PAYLOAD_TOO_LARGE => {
                return Err(crate::router::too_large());
            }
            Err(_) => {
                return Err(not_whole(
                    "What was sent broke off before its end. Nothing was entered.",
                ));
            }
        };
        let form = Request::from_parts(head, Body::from(bytes.clone()));
        match Form::<Vec<(String, String)>>::from_request(form, bench).await {
            Ok(Form(fields)) => match broken_letters(&bytes, &fields) {
                None => Sent { fields }.of_this_book(bench),
                Some(name) => Err(not_letters(name)),
            },
            Err(refused) => Err(problem(
                refused.status(),
                "This was not understood as a form",
                "What came is no form of these pages. Nothing was entered.",
                "Open the page again and send its own form.",
            )),
        }
    }
}

/// The page for what broke off.
pub fn not_whole(why: &str) -> Response {
    problem(
        StatusCode::BAD_REQUEST,
        "It did not arrive whole",
        why,
        "Go back and send it again; stand closer to the network's transmitter if it breaks off again.",
    )
}

/// The page for a field whose bytes are no letters.
pub fn not_letters(name: &str) -> Response {
    problem(
        StatusCode::BAD_REQUEST,
        "Some letters were not understood",
        &format!(
            "The field \"{name}\" holds bytes that are no letters (UTF-8 is expected). Nothing was entered."
        ),
        "Type it again; where it was copied from elsewhere, type it by hand.",
    )
}

/// The letter that stands for what is none, and its bytes as a form sends them.
const NO_LETTER: char = '\u{fffd}';
const NO_LETTER_SENT: &[u8] = b"%EF%BF%BD";

/// The name of the first field in which something was no letter of UTF-8. A form is read with the letter for what is
/// none in such places (URL standard, section 5.1); a form that was sent with that letter itself is sound.
fn broken_letters<'f>(sent: &[u8], fields: &'f [(String, String)]) -> Option<&'f str> {
    let count = |text: &String| text.matches(NO_LETTER).count();
    let read: usize = fields
        .iter()
        .map(|(name, text)| count(name) + count(text))
        .sum();
    let as_typed = sent.windows(NO_LETTER_SENT.len());
    let typed = as_typed.filter(|part| part.eq_ignore_ascii_case(NO_LETTER_SENT));
    if read <= typed.count() {
        return None;
    }
    let broken = fields
        .iter()
        .find(|(name, text)| count(name) + count(text) > 0);
    broken.map(|(name, _)| name.as_str())
}

/// What the work behind a form gives: nothing, or the entry that the next page tells of.
pub trait Made {
    /// The number of the entry, after every page was told of it and what was said with it is kept.
    fn told(self, bench: &Bench) -> Option<u64>;
}

impl Made for () {
    fn told(self, _: &Bench) -> Option<u64> {
        None
    }
}

impl Made for RecordedView {
    fn told(self, bench: &Bench) -> Option<u64> {
        Some(bench.made(self))
    }
}

/// After an entry: the page to go to, or the page of the form again with what was wrong. Where the work gives a
/// [`RecordedView`], the address says `made=NUMBER`, and `pieces::made` shows what was said with it.
pub async fn entered<M: Made + Send + 'static>(
    bench: Arc<Bench>,
    to: String,
    work: impl FnOnce(&Bench) -> Result<M, Trouble> + Send + 'static,
    again: impl FnOnce(&Arc<Bench>, Trouble) -> Markup + Send + 'static,
) -> Response {
    let asked = Arc::clone(&bench);
    let done = tokio::task::spawn_blocking(move || match work(&asked) {
        Ok(made) => Ok(made.told(&asked)),
        Err(trouble) => Err((status_of(&trouble), again(&asked, trouble))),
    });
    match done.await {
        Ok(Ok(made)) => Redirect::to(&with_made(&to, made)).into_response(),
        Ok(Err(refused)) => refused.into_response(),
        Err(_) => ended_badly(),
    }
}

/// An address that names the entry made.
fn with_made(to: &str, made: Option<u64>) -> String {
    let Some(number) = made else {
        return to.to_owned();
    };
    let (page, place) = match to.split_once('#') {
        Some((page, place)) => (page, format!("#{place}")),
        None => (to, String::new()),
    };
    let sign = if page.contains('?') { '&' } else { '?' };
    format!("{page}{sign}made={number}{place}")
}

/// A page that is worked out on a thread of its own.
pub async fn shown(
    bench: Arc<Bench>,
    work: impl FnOnce(&Arc<Bench>) -> Markup + Send + 'static,
) -> Response {
    match tokio::task::spawn_blocking(move || work(&bench)).await {
        Ok(page) => page.into_response(),
        Err(_) => ended_badly(),
    }
}

/// The page for a fault of ours.
pub fn ended_badly() -> Response {
    problem(
        StatusCode::INTERNAL_SERVER_ERROR,
        "A fault of this program",
        "The page could not be made. What was entered before is kept.",
        "Please report it, with what you did last.",
    )
}

/// The hidden fields of a form in an answer that is kept and shown more than once: each sending gets its id from
/// the script, and has none without it.
pub fn hidden_in_answer(bench: &Bench) -> Markup {
    html! {
        input type="hidden" name="seen" value=(bench.live.last());
        input type="hidden" name="book" value=(bench.book());
    }
}

/// The hidden fields of every form that enters something.
pub fn hidden(bench: &Bench) -> Markup {
    html! {
        input type="hidden" name="once" value=(crate::words::new_id());
        input type="hidden" name="seen" value=(bench.live.last());
        input type="hidden" name="book" value=(bench.book());
    }
}

#[cfg(test)]
mod tests {
    use super::{broken_letters, with_made};

    #[test]
    fn what_is_no_letter_is_told_and_the_letter_for_it_is_one() {
        // RFC 3629: 0xFF stands in no text of UTF-8; U+FFFD is written EF BF BD.
        let fields = |text: &str| vec![("note".to_owned(), text.to_owned())];
        let broken = fields("a\u{fffd}");
        assert_eq!(broken_letters(b"note=a%FF", &broken), Some("note"));
        assert_eq!(broken_letters(b"note=a%ef%bf%bd", &broken), None);
        let both = fields("\u{fffd}\u{fffd}");
        assert_eq!(broken_letters(b"note=%EF%BF%BD%FE", &both), Some("note"));
        assert_eq!(broken_letters(b"note=a", &fields("a")), None);
    }

    #[test]
    fn the_next_page_is_told_of_the_entry() {
        // RFC 3986, section 3: the query stands between the path and the fragment.
        for (to, made, wanted) in [
            ("/look", None, "/look"),
            ("/look", Some(7), "/look?made=7"),
            ("/look?thing=wax", Some(7), "/look?thing=wax&made=7"),
            ("/look#noted", Some(7), "/look?made=7#noted"),
        ] {
            assert_eq!(with_made(to, made), wanted);
        }
    }
}
