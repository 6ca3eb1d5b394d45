//! A phone of the home network: HTTP/1.1 (RFC 9112) over TLS, trusting the laptop's authority alone.
//!
//! The client's side of TLS is that of another library. Fails as a test does.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, mpsc};

use benchwork::{Entering, read_sheet_file, start_restoration, tell_story};
use pages::{Answering, AnsweringHome, AtHome, Bench, Opening, OwnTables, Serving, serve};
use rustls::pki_types::{CertificateDer, ServerName};
use rustls::{ClientConfig, RootCertStore};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio_rustls::TlsConnector;
use tokio_rustls::client::TlsStream;

use crate::asked::{example, now};

/// A laptop whose pages answer on its loopback as if that were the home network.
pub struct Laptop {
    folder: tempfile::TempDir,
    pub here: SocketAddr,
    pub home: AnsweringHome,
    pub told: Arc<Mutex<Vec<String>>>,
}

impl Laptop {
    /// With a restoration of an example.
    pub fn with(sheet: &str) -> Laptop {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("set.restoration");
        let sheet = read_sheet_file(&example(sheet)).expect("a sheet");
        start_restoration(&Entering::new(&file, now()), &sheet, None).expect("a restoration");
        let bench = Bench::open(Opening {
            file,
            clock: Arc::new(|| Ok(now())),
            sound: Arc::new(|| {}),
            tables: OwnTables::default(),
        });
        let told = Arc::new(Mutex::new(Vec::new()));
        let tell = Arc::clone(&told);
        let home = AtHome {
            port: 0,
            addresses: vec![[127, 0, 0, 1].into()],
            folder: folder.path().join("devices"),
            tell: Arc::new(move |text| tell.lock().expect("a list").push(text.to_owned())),
        };
        let serving = Serving {
            port: 0,
            home: Some(home),
        };
        let (ready, answers) = mpsc::channel::<Answering>();
        let bench = bench.expect("a bench");
        std::thread::spawn(move || {
            serve(bench, serving, |answering| {
                ready.send(answering).expect("the test waits")
            })
        });
        let answering = answers.recv().expect("it answers");
        Laptop {
            folder,
            here: answering.here,
            home: answering.home.expect("the home network was asked for"),
            told,
        }
    }

    /// The folder of the devices.
    pub fn devices_folder(&self) -> PathBuf {
        self.folder.path().join("devices")
    }

    /// How many entries the file has.
    pub fn entries(&self) -> usize {
        let file = self.folder.path().join("set.restoration");
        tell_story(&file, true).expect("a story").entered
    }

    /// The home network's address.
    pub fn at_home(&self) -> SocketAddr {
        let page = self.home.pages[0].as_str();
        let name = page.trim_start_matches("https://").trim_end_matches('/');
        name.parse().expect("an address")
    }
}

/// An answer.
pub struct Told {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Told {
    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// The value of a field of the head.
    pub fn header(&self, name: &str) -> Option<&str> {
        let mut lines = self.head.lines().filter_map(|line| line.split_once(": "));
        lines
            .find(|(own, _)| own.eq_ignore_ascii_case(name))
            .map(|(_, value)| value)
    }
}

/// What a request says besides its page.
#[derive(Default)]
pub struct Says<'a> {
    pub host: Option<&'a str>,
    pub origin: Option<&'a str>,
    pub form: Option<&'a [(&'a str, &'a str)]>,
}

/// A device.
pub struct Phone {
    laptop: SocketAddr,
    trusts: Vec<u8>,
    pub token: Option<String>,
}

impl Phone {
    /// One that took this authority in.
    pub fn trusting(laptop: &Laptop, trusts: Vec<u8>) -> Phone {
        Phone {
            laptop: laptop.at_home(),
            trusts,
            token: None,
        }
    }

    /// A connection; the certificate must pass.
    pub async fn connected(&self) -> TlsStream<TcpStream> {
        let mut roots = RootCertStore::empty();
        roots
            .add(CertificateDer::from(self.trusts.clone()))
            .expect("an authority");
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let config = ClientConfig::builder_with_provider(provider)
            .with_safe_default_protocol_versions()
            .expect("versions")
            .with_root_certificates(roots)
            .with_no_client_auth();
        let stream = TcpStream::connect(self.laptop).await.expect("a connection");
        let name = ServerName::IpAddress(self.laptop.ip().into());
        let connector = TlsConnector::from(Arc::new(config));
        connector
            .connect(name, stream)
            .await
            .expect("the certificate passes")
    }

    /// The lines of a request.
    pub fn request(&self, at: &str, says: &Says<'_>, last: bool) -> Vec<u8> {
        let own = self.laptop.to_string();
        let origin = format!("https://{own}");
        let form = says.form.map(|fields| {
            let fields: Vec<String> = fields
                .iter()
                .map(|(name, value)| format!("{name}={}", value.replace(' ', "+")))
                .collect();
            fields.join("&")
        });
        let mut out = match &form {
            Some(_) => format!("POST {at} HTTP/1.1\r\n"),
            None => format!("GET {at} HTTP/1.1\r\n"),
        };
        out.push_str(&format!("Host: {}\r\n", says.host.unwrap_or(&own)));
        if let Some(token) = &self.token {
            out.push_str(&format!("Cookie: other=1; __Host-bench={token}\r\n"));
        }
        if last {
            out.push_str("Connection: close\r\n");
        }
        if let Some(form) = &form {
            out.push_str(&format!(
                "Origin: {}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n",
                says.origin.unwrap_or(&origin),
                form.len()
            ));
        }
        out.push_str("\r\n");
        out.push_str(form.as_deref().unwrap_or_default());
        out.into_bytes()
    }

    /// Asks, and hears the whole answer.
    pub async fn asks(&self, at: &str, says: Says<'_>) -> Told {
        let mut stream = self.connected().await;
        let request = self.request(at, &says, true);
        stream.write_all(&request).await.expect("it is sent");
        let mut heard = Vec::new();
        // A server that closes after its answer may leave out the last word of TLS.
        let _ = stream.read_to_end(&mut heard).await;
        told(&heard)
    }

    /// A page.
    pub async fn opens(&self, at: &str) -> Told {
        self.asks(at, Says::default()).await
    }

    /// A form.
    pub async fn sends(&self, at: &str, form: &[(&str, &str)]) -> Told {
        let says = Says {
            form: Some(form),
            ..Says::default()
        };
        self.asks(at, says).await
    }

    /// Gets in by these words.
    pub async fn pairs(&mut self, words: &str, name: &str) -> Told {
        let told = self
            .sends("/pair", &[("words", words), ("name", name)])
            .await;
        if let Some(cookie) = told.header("set-cookie") {
            let token = cookie.trim_start_matches("__Host-bench=");
            self.token = token.split(';').next().map(str::to_owned);
        }
        told
    }
}

/// An answer as it was heard.
pub fn told(heard: &[u8]) -> Told {
    let edge = heard.windows(4).position(|four| four == b"\r\n\r\n");
    let edge = edge.unwrap_or_else(|| panic!("no answer: {}", String::from_utf8_lossy(heard)));
    let head = String::from_utf8_lossy(&heard[..edge]).into_owned();
    let status = head.split(' ').nth(1).and_then(|word| word.parse().ok());
    Told {
        status: status.expect("a status"),
        body: heard[edge + 4..].to_vec(),
        head,
    }
}

/// A page asked of the laptop itself, without TLS.
pub async fn here(laptop: &Laptop, at: &str, form: Option<&[(&str, &str)]>) -> Told {
    let phone = Phone {
        laptop: laptop.here,
        trusts: Vec::new(),
        token: None,
    };
    let origin = format!("http://{}", laptop.here);
    let says = Says {
        form,
        origin: Some(&origin),
        host: None,
    };
    let mut stream = TcpStream::connect(laptop.here).await.expect("a connection");
    let request = phone.request(at, &says, true);
    stream.write_all(&request).await.expect("it is sent");
    let mut heard = Vec::new();
    stream.read_to_end(&mut heard).await.expect("it is heard");
    told(&heard)
}
