//! Chromium by its driver: started once, a session for each test with a fresh profile.

use std::io::Read;
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::process::{Command, Stdio};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use fantoccini::wd::WebDriverCompatibleCommand;
use fantoccini::{Client, ClientBuilder};
use http::Method;
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use url::{ParseError, Url};

/// Where the driver listens; `None` where there is none.
fn driver() -> Option<SocketAddr> {
    static DRIVER: OnceLock<Option<SocketAddr>> = OnceLock::new();
    *DRIVER.get_or_init(|| {
        if std::env::var("BROWSER_TESTS").is_ok_and(|own| own == "apart") {
            println!("the pages are tried in a browser by a run of its own");
            return None;
        }
        let free = TcpListener::bind("127.0.0.1:0").and_then(|socket| socket.local_addr());
        let address = free.expect("a free port");
        let is_there = Command::new("chromedriver").arg("--version").output();
        if is_there.is_err() {
            let needed = std::env::var("BROWSER_TESTS").is_ok_and(|own| own == "required");
            assert!(
                !needed,
                "chromedriver was not found, and BROWSER_TESTS=required"
            );
            println!("chromedriver was not found: the pages are not tried in a browser");
            return None;
        }
        // It ends with the tests, however they end: their end of the pipe is closed then.
        let mut shell = Command::new("sh")
            .args([
                "-c",
                "chromedriver --port=\"$0\" >/dev/null & own=$!; cat; kill \"$own\"",
            ])
            .arg(address.port().to_string())
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("a shell");
        let held = shell.stdin.take();
        let begun = Instant::now();
        while TcpStream::connect(address).is_err() {
            assert!(
                begun.elapsed() < Duration::from_secs(60),
                "chromedriver does not answer"
            );
            std::thread::sleep(Duration::from_millis(50));
        }
        std::thread::spawn(move || {
            let _held = held;
            shell.wait()
        });
        Some(address)
    })
}

/// Does something in a Chromium of this width; says nothing where there is none.
pub fn with_browser<F>(width: u32, work: impl FnOnce(Browser) -> F)
where
    F: Future<Output = ()>,
{
    let Some(driver) = driver() else { return };
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime");
    runtime.block_on(async {
        let browser = Browser::open(driver, width).await;
        let client = browser.client.clone();
        work(browser).await;
        let _ = client.close().await;
    });
}

/// One Chromium with a profile of its own.
pub struct Browser {
    pub client: Client,
    pub width: u32,
    driver: SocketAddr,
    _profile: tempfile::TempDir,
}

impl Browser {
    async fn open(driver: SocketAddr, width: u32) -> Browser {
        let profile = tempfile::tempdir().expect("a folder");
        let wanted = json!({
            "browserName": "chrome",
            "acceptInsecureCerts": true,
            "goog:loggingPrefs": { "browser": "ALL" },
            "goog:chromeOptions": { "args": [
                "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
                "--hide-scrollbars", format!("--user-data-dir={}", profile.path().display()),
                format!("--window-size={width},900"),
            ] },
        });
        let Value::Object(wanted) = wanted else {
            unreachable!("an object was written")
        };
        let client = ClientBuilder::new(HttpConnector::new())
            .capabilities(wanted)
            .connect(&format!("http://{driver}"))
            .await
            .expect("a browser");
        let browser = Browser {
            client,
            width,
            driver,
            _profile: profile,
        };
        // A window is never narrower than its frame allows: the page is given its width by the browser itself.
        browser
            .cdp("Emulation.setDeviceMetricsOverride", json!({ "width": width, "height": 900, "deviceScaleFactor": 1, "mobile": width < 700 }))
            .await;
        if width < 700 {
            browser
                .cdp(
                    "Emulation.setTouchEmulationEnabled",
                    json!({ "enabled": true }),
                )
                .await;
        }
        browser
    }

    /// A second Chromium beside this one.
    pub async fn another(&self, width: u32) -> Browser {
        Browser::open(self.driver, width).await
    }

    /// Something that WebDriver has no word for.
    pub async fn cdp(&self, command: &str, parameters: Value) {
        let body = json!({ "cmd": command, "params": parameters });
        let asked = Own {
            end: "goog/cdp/execute",
            body,
        };
        self.client
            .issue_cmd(asked)
            .await
            .expect("the browser does it");
    }

    /// What the console has said since it was asked last: errors and warnings.
    pub async fn complaints(&self) -> Vec<String> {
        let asked = Own {
            end: "se/log",
            body: json!({ "type": "browser" }),
        };
        let said = self.client.issue_cmd(asked).await.expect("a log");
        let said = said.as_array().cloned().unwrap_or_default();
        let is_bad = |one: &&Value| one["level"] == "SEVERE" || one["level"] == "WARNING";
        said.iter()
            .filter(is_bad)
            .map(|one| one["message"].to_string())
            .collect()
    }

    /// What a script gives back.
    pub async fn script(&self, script: &str) -> Value {
        self.client
            .execute(script, Vec::new())
            .await
            .expect("the script runs")
    }

    /// Waits until a script says true.
    pub async fn until(&self, what: &str, script: &str) {
        let begun = Instant::now();
        while self.script(script).await != Value::Bool(true) {
            if begun.elapsed() > Duration::from_secs(90) {
                let text = self.script("return document.body.innerText").await;
                panic!("waited in vain: {what}; the page says {text}");
            }
            tokio::time::sleep(Duration::from_millis(60)).await;
        }
    }

    /// Waits until nothing is kept on the phone any more, and the laptop answers.
    pub async fn all_is_sent(&self) {
        self.until(
            "all is sent",
            "return document.getElementById('link').innerText === ''",
        )
        .await;
    }

    /// Opens a page and waits until everything on it is worked out.
    pub async fn open_page(&self, address: &str) {
        self.client.goto(address).await.expect("the page opens");
        self.until(
            "all is worked out",
            "return !document.querySelector('[aria-busy=true]')",
        )
        .await;
    }
}

#[derive(Debug)]
struct Own {
    end: &'static str,
    body: Value,
}

impl WebDriverCompatibleCommand for Own {
    fn endpoint(&self, base: &Url, session: Option<&str>) -> Result<Url, ParseError> {
        base.join(&format!(
            "session/{}/{}",
            session.unwrap_or_default(),
            self.end
        ))
    }

    fn method_and_body(&self, _: &Url) -> (Method, Option<String>) {
        (Method::POST, Some(self.body.to_string()))
    }
}

/// Reads all that a stream gives, for the proxy of the network test; holds it back while it is still.
pub fn copy(mut from: TcpStream, mut to: TcpStream, is_still: &AtomicBool) {
    let mut bytes = [0u8; 16 * 1024];
    while let Ok(count) = from.read(&mut bytes) {
        while is_still.load(Ordering::SeqCst) {
            std::thread::sleep(std::time::Duration::from_millis(20));
        }
        if count == 0 || std::io::Write::write_all(&mut to, &bytes[..count]).is_err() {
            break;
        }
    }
    let _ = to.shutdown(std::net::Shutdown::Both);
}
