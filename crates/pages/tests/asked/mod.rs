//! A restoration of its own for a test, asked through the router without a network.
//!
//! The clock stands. Fails as a test does.

#![allow(dead_code, reason = "each test asks for what it needs")]

pub mod one_point;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use benchwork::{Entering, Stamp, read_sheet_file, start_restoration, tell_story};
use pages::{Bench, Opening, OwnTables, router};
use tower::ServiceExt;

/// A sheet with a thousand tubes more, of a type that is none.
pub fn with_a_thousand_faults(sheet: &str) -> String {
    let rows: String = (0..1000)
        .map(|row| format!("  [\"V{}\", \"6QQ7\", \"\"],\n", 100 + row))
        .collect();
    sheet.replacen("tubes = [\n", &format!("tubes = [\n{rows}"), 1)
}

/// A restoration with its pages.
pub struct Asked {
    folder: Folder,
    bench: Arc<Bench>,
}

/// Where it stands: for this test alone, or in a folder that stays.
enum Folder {
    Own(tempfile::TempDir),
    Kept(PathBuf),
}

/// An answer.
pub struct Answer {
    pub status: StatusCode,
    pub to: String,
    pub kind: String,
    pub policy: String,
    pub bytes: Vec<u8>,
    pub text: String,
}

/// The time at which everything is entered.
pub fn now() -> Stamp {
    Stamp::read("2026-11-30T10:00:00+01:00").expect("a time")
}

/// A sheet of the examples.
pub fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(name)
}

impl Asked {
    /// A restoration of an example.
    pub fn of(sheet: &str) -> Asked {
        let sheet = read_sheet_file(&example(sheet)).expect("a sheet");
        Asked::at(|entering| {
            start_restoration(entering, &sheet, None).expect("a restoration");
        })
    }

    /// A restoration that is begun so.
    pub fn at(begin: impl FnOnce(&Entering<'_>)) -> Asked {
        let own = tempfile::tempdir().expect("a folder");
        let file = own.path().join("set.restoration");
        let folder = Folder::Own(own);
        begin(&Entering::new(&file, now()));
        Asked::in_folder(folder, file, OwnTables::default())
    }

    /// A restoration of an example, with a table of prices.
    pub fn with_prices(sheet: &str, prices: &str) -> Asked {
        let own = tempfile::tempdir().expect("a folder");
        let file = own.path().join("set.restoration");
        let sheet = read_sheet_file(&example(sheet)).expect("a sheet");
        start_restoration(&Entering::new(&file, now()), &sheet, None).expect("a restoration");
        let table = own.path().join("prices.csv");
        std::fs::write(&table, prices).expect("written");
        let tables = OwnTables {
            prices: Some(table),
            ..OwnTables::default()
        };
        Asked::in_folder(Folder::Own(own), file, tables)
    }

    /// The restoration that another program began in this folder, and keeps.
    pub fn opened(folder: &Path) -> Asked {
        let file = folder.join("set.restoration");
        Asked::in_folder(
            Folder::Kept(folder.to_path_buf()),
            file,
            OwnTables::default(),
        )
    }

    /// A restoration that is still to be begun on the pages.
    pub fn to_begin() -> Asked {
        let own = tempfile::tempdir().expect("a folder");
        let file = own.path().join("set.restoration");
        Asked::in_folder(Folder::Own(own), file, OwnTables::default())
    }

    fn in_folder(folder: Folder, file: PathBuf, tables: OwnTables) -> Asked {
        let opening = Opening {
            file,
            clock: Arc::new(|| Ok(now())),
            sound: Arc::new(|| {}),
            tables,
        };
        let bench = Bench::open(opening).expect("a bench");
        Asked { folder, bench }
    }

    /// Its file.
    pub fn file(&self) -> PathBuf {
        let folder = match &self.folder {
            Folder::Own(own) => own.path(),
            Folder::Kept(kept) => kept.as_path(),
        };
        folder.join("set.restoration")
    }

    /// How many entries the file has.
    pub fn entries(&self) -> usize {
        tell_story(&self.file(), true).expect("a story").entered
    }

    /// The words of the last entry.
    pub fn last(&self) -> String {
        let story = tell_story(&self.file(), true).expect("a story");
        story
            .entries
            .last()
            .map_or_else(String::new, |entry| entry.text.clone())
    }

    /// A page.
    pub async fn get(&self, at: &str) -> Answer {
        let request = Request::get(at).header(header::HOST, "127.0.0.1");
        self.ask(request.body(Body::empty()).expect("a request"))
            .await
    }

    /// A form sent.
    pub async fn post(&self, at: &str, fields: &[(&str, &str)]) -> Answer {
        self.post_from("127.0.0.1", "http://127.0.0.1", at, fields)
            .await
    }

    /// A form sent to this name from a page of this site.
    pub async fn post_from(
        &self,
        host: &str,
        origin: &str,
        at: &str,
        fields: &[(&str, &str)],
    ) -> Answer {
        let fields: Vec<String> = fields
            .iter()
            .map(|(name, text)| format!("{name}={}", encoded(text)))
            .collect();
        let request = Request::post(at)
            .header(header::HOST, host)
            .header(header::ORIGIN, origin)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.ask(
            request
                .body(Body::from(fields.join("&")))
                .expect("a request"),
        )
        .await
    }

    /// A form with a file sent, as RFC 7578 has it.
    pub async fn post_file(
        &self,
        at: &str,
        fields: &[(&str, &str)],
        file: (&str, &str, &[u8]),
    ) -> Answer {
        let mut body = Vec::new();
        for (name, text) in fields {
            let head = format!("--edge\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n");
            body.extend(format!("{head}{text}\r\n").into_bytes());
        }
        let (name, called, bytes) = file;
        let head = format!(
            "--edge\r\nContent-Disposition: form-data; name=\"{name}\"; filename=\"{called}\"\r\n\r\n"
        );
        body.extend(head.into_bytes());
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n--edge--\r\n");
        let request = Request::post(at)
            .header(header::HOST, "127.0.0.1")
            .header(header::ORIGIN, "http://127.0.0.1")
            .header(header::CONTENT_TYPE, "multipart/form-data; boundary=edge");
        self.ask(request.body(Body::from(body)).expect("a request"))
            .await
    }

    /// A request as it is.
    pub async fn ask(&self, request: Request<Body>) -> Answer {
        let answer = router(Arc::clone(&self.bench)).oneshot(request).await;
        let answer = answer.expect("the router never fails");
        let header = |name| {
            let value = answer.headers().get(name);
            value
                .and_then(|value| value.to_str().ok())
                .unwrap_or_default()
                .to_owned()
        };
        let (to, kind) = (header(header::LOCATION), header(header::CONTENT_TYPE));
        let policy = header(header::CONTENT_SECURITY_POLICY);
        let status = answer.status();
        let bytes = to_bytes(answer.into_body(), 64 << 20)
            .await
            .expect("a body");
        Answer {
            status,
            to,
            kind,
            policy,
            text: String::from_utf8_lossy(&bytes).into_owned(),
            bytes: bytes.to_vec(),
        }
    }
}

/// Letters as a form sends them.
fn encoded(text: &str) -> String {
    let letter = |byte: u8| match byte {
        b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' => {
            char::from(byte).to_string()
        }
        _ => format!("%{byte:02X}"),
    };
    text.bytes().map(letter).collect()
}

/// Asserts what every page and every part of one keeps: no id twice, a label for each field that one types into,
/// no inline style and no inline handler.
pub fn is_in_order(text: &str) {
    let ids = values(text, " id=\"");
    let mut once = ids.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), ids.len(), "an id stands twice: {ids:?}");
    let named = values(text, "label for=\"");
    for begin in ["<input id=\"", "<textarea id=\"", "<select id=\""] {
        for id in values(text, begin) {
            assert!(named.contains(&id), "no label for {id}");
        }
    }
    assert!(!text.contains(" style=\""), "an inline style");
    assert!(!text.contains(" onclick="), "an inline handler");
}

fn values<'a>(text: &'a str, begin: &str) -> Vec<&'a str> {
    let parts = text.split(begin).skip(1);
    parts.filter_map(|rest| rest.split('"').next()).collect()
}
