//! A person at a page: presses what bears these words, types into what is labelled so, waits for what follows.
//!
//! What is hidden or folded away is never found. Fails as a test does, with what stood on the page.

use std::time::{Duration, Instant};

use fantoccini::Locator;
use serde_json::Value;

use crate::driver::Browser;

/// The longest that an answer may take on a slow machine.
const PATIENCE: Duration = Duration::from_secs(60);

/// Marks what is asked for; gives whether there is one.
const MARK: &str = r#"
const [kinds, words] = arguments;
const seen = (own) => own.checkVisibility({ visibilityProperty: true });
const said = (own) => (own.getAttribute("aria-label") ?? own.innerText ?? "").replace(/\s+/g, " ").trim();
for (const old of document.querySelectorAll("[data-of-the-test]")) old.removeAttribute("data-of-the-test");
const all = [...document.querySelectorAll(kinds)].filter(seen);
const own = all.find((one) => said(one) === words) ?? all.find((one) => said(one).startsWith(words));
if (!own) return false;
const field = own.matches("label:not(.choice)") ? document.getElementById(own.htmlFor) : own;
field.setAttribute("data-of-the-test", "");
return true;
"#;

const PRESSED: &str = "button, a[href], summary, label.choice";

impl Browser {
    /// What a script says; nothing while the page is just changing.
    async fn asked(&self, script: &str, arguments: Vec<Value>) -> Value {
        let said = self.client.execute(script, arguments).await;
        said.unwrap_or(Value::Null)
    }

    async fn marked(&self, kinds: &str, words: &str) {
        let begun = Instant::now();
        loop {
            let arguments = vec![kinds.into(), words.into()];
            if self.asked(MARK, arguments).await == Value::Bool(true) {
                return;
            }
            if begun.elapsed() > PATIENCE {
                panic!("nothing says \"{words}\" on {}", self.page_text().await);
            }
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    }

    async fn tap(&self) {
        let found = self.client.find(Locator::Css("[data-of-the-test]")).await;
        let found = found.expect("it was marked just now");
        found.click().await.expect("it can be pressed");
    }

    /// Presses the button, link, fold or choice that says this.
    pub async fn press(&self, words: &str) {
        self.marked(PRESSED, words).await;
        self.tap().await;
    }

    /// The same where it leads to another page or sends a form; waits until that is whole.
    pub async fn go(&self, words: &str) {
        self.marked(PRESSED, words).await;
        self.follow().await;
    }

    /// The same of what this finds in the page's text.
    pub async fn go_at(&self, css: &str) {
        let script = "const own = document.querySelector(arguments[0]); if (!own) return false; own.setAttribute('data-of-the-test', ''); return true";
        assert_eq!(
            self.asked(script, vec![css.into()]).await,
            Value::Bool(true),
            "{css} is not on {}",
            self.page_text().await
        );
        self.follow().await;
    }

    async fn follow(&self) {
        self.asked(
            "document.getElementById('main').dataset.before = 'yes'",
            Vec::new(),
        )
        .await;
        self.tap().await;
        self.sees(
            "the next page",
            "const main = document.getElementById('main'); return document.readyState === 'complete' && main !== null && !main.dataset.before && !document.querySelector('[aria-busy=true]')",
        )
        .await;
    }

    /// Types into the field of this label, in place of what stood there.
    pub async fn types(&self, label: &str, text: &str) {
        self.marked("label:not(.choice)", label).await;
        let found = self.client.find(Locator::Css("[data-of-the-test]")).await;
        let field = found.expect("it was marked just now");
        let is_file = field.attr("type").await.expect("an attribute");
        if is_file.as_deref() != Some("file") {
            field.clear().await.expect("it can be emptied");
        }
        field.send_keys(text).await.expect("it can be typed into");
    }

    /// Waits until a script says true.
    pub async fn sees(&self, what: &str, script: &str) {
        let begun = Instant::now();
        while self.asked(script, Vec::new()).await != Value::Bool(true) {
            if begun.elapsed() > PATIENCE {
                panic!(
                    "waited in vain for {what} on {}, {:?}",
                    self.page_text().await,
                    self.complaints().await
                );
            }
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    }

    /// Opens a page by its row in the list of all pages.
    pub async fn opens(&self, address: &str, title: &str) {
        self.go("All pages").await;
        self.go_at(&format!("main a.row[href='{address}']")).await;
        self.is_at(title).await;
    }

    /// Asserts the page's title.
    pub async fn is_at(&self, title: &str) {
        let own = self
            .asked("return document.querySelector('h1').innerText", Vec::new())
            .await;
        assert_eq!(
            own.as_str(),
            Some(title),
            "instead: {}",
            self.page_text().await
        );
    }

    /// Whether something that may be pressed says this now.
    pub async fn offers(&self, words: &str) -> bool {
        let arguments = vec![PRESSED.into(), words.into()];
        self.asked(MARK, arguments).await == Value::Bool(true)
    }

    /// What the page says.
    pub async fn page_text(&self) -> String {
        let text = self
            .asked(
                "return location.pathname + ': ' + document.body.innerText",
                Vec::new(),
            )
            .await;
        text.as_str().unwrap_or_default().to_owned()
    }

    /// What stands in the first place of this kind that can be seen; empty where there is none.
    pub async fn text_at(&self, css: &str) -> String {
        let script = "const own = [...document.querySelectorAll(arguments[0])].find((one) => one.checkVisibility()); return own ? own.innerText : ''";
        let text = self.asked(script, vec![css.into()]).await;
        text.as_str().unwrap_or_default().to_owned()
    }
}
