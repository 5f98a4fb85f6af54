//! A person at a browser: Chromium without a window, driven through a chromedriver of its own.
//!
//! Every method panics with what it looked for when the page does not have it.

use crate::child::{Running, processes_naming};
use crate::scratch::Scratch;
use fantoccini::elements::Element;
use fantoccini::wd::{PrintConfiguration, PrintSize};
use fantoccini::{Client, ClientBuilder, Locator};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

/// A small phone held upright, and a desk screen.
pub const PHONE: (u32, u32) = (360, 800);
pub const DESK: (u32, u32) = (1280, 800);

/// The smallest height at which a gloved thumb finds a control.
const TARGET_PX: f64 = 44.0;

/// How long a page may take to come, on a busy two-core machine.
const PATIENCE: Duration = Duration::from_secs(10);

const CHROMIUM_FLAGS: &[&str] = &[
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-dev-shm-usage",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    // Speaks over a pipe, so the browser ends when its driver does, however that ends.
    "--remote-debugging-pipe",
];

pub struct Browser {
    client: Client,
    driver: Running,
    port: u16,
    session: String,
    viewport: (u32, u32),
    script: bool,
    base: String,
    // Last, so that the profile is removed after the browser has ended.
    profile: Scratch,
}

impl Browser {
    /// A page area of exactly `viewport`; below 768 wide it behaves as a phone does. Without
    /// `script` the pages run no JavaScript, while the methods here go on working.
    pub async fn start(viewport: (u32, u32), script: bool) -> Self {
        let profile = Scratch::new("browser");
        let mut command = Command::new("chromedriver");
        command
            .arg("--port=0")
            .env("HOME", profile.path())
            .stderr(std::process::Stdio::null());
        let (driver, port) = Running::start(&mut command, |line| {
            let (_, port) = line.split_once("started successfully on port ")?;
            Some(port.trim_end_matches('.').to_owned())
        });
        let port = port.parse().expect("chromedriver's port");
        let (client, session) = open(port, capabilities(viewport, script, profile.path())).await;
        let base = String::new();
        Self {
            client,
            driver,
            port,
            session,
            viewport,
            script,
            base,
            profile,
        }
    }

    /// Closes the browser and opens it again: what it keeps on its disk is still there.
    pub async fn reopen(&mut self) {
        self.ask_driver("DELETE", "", "")
            .expect("the browser closes");
        while !processes_naming(self.profile.path()).is_empty() {
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        let again = capabilities(self.viewport, self.script, self.profile.path());
        (self.client, self.session) = open(self.port, again).await;
    }

    /// Takes paths from here on as paths below `base`.
    pub fn on(mut self, base: &str) -> Self {
        self.base = base.trim_end_matches('/').to_owned();
        self
    }

    pub fn profile(&self) -> &Path {
        self.profile.path()
    }

    pub async fn goto(&self, path: &str) {
        let url = if path.starts_with('/') {
            format!("{}{path}", self.base)
        } else {
            path.into()
        };
        self.client
            .goto(&url)
            .await
            .unwrap_or_else(|e| panic!("go to {url}: {e}"));
    }

    pub async fn url(&self) -> String {
        self.client
            .current_url()
            .await
            .expect("the page's address")
            .to_string()
    }

    pub async fn title(&self) -> String {
        self.client.title().await.expect("the page's title")
    }

    pub async fn exists(&self, css: &str) -> bool {
        !self
            .client
            .find_all(Locator::Css(css))
            .await
            .expect("a selector")
            .is_empty()
    }

    /// The visible text of the first match, as a person reads it.
    pub async fn text(&self, css: &str) -> String {
        let element = self.find(Locator::Css(css), css).await;
        element.text().await.expect("its text").trim().to_owned()
    }

    pub async fn texts(&self, css: &str) -> Vec<String> {
        let mut texts = Vec::new();
        for element in self
            .client
            .find_all(Locator::Css(css))
            .await
            .expect("a selector")
        {
            texts.push(element.text().await.expect("its text").trim().to_owned());
        }
        texts
    }

    pub async fn page_text(&self) -> String {
        self.text("body").await
    }

    /// What stands in a field now.
    pub async fn value(&self, label_or_name: &str) -> String {
        let field = self.field(label_or_name).await;
        field
            .prop("value")
            .await
            .expect("its value")
            .unwrap_or_default()
    }

    /// Types `value` into the field with this name, or with this label.
    pub async fn fill(&self, label_or_name: &str, value: &str) {
        let field = self.field(label_or_name).await;
        let kind = field
            .prop("type")
            .await
            .expect("its type")
            .unwrap_or_default();
        if matches!(
            kind.as_str(),
            "date" | "time" | "datetime-local" | "month" | "week" | "hidden"
        ) {
            // Keys would be read in the browser's own locale here, so the value is set.
            let set = "arguments[0].value = arguments[1];
                for (const name of ['input', 'change'])
                    arguments[0].dispatchEvent(new Event(name, { bubbles: true }));";
            self.run(set, vec![on(&field), json!(value)]).await;
            return;
        }
        if kind != "file" {
            field
                .clear()
                .await
                .unwrap_or_else(|e| panic!("clear {label_or_name}: {e}"));
        }
        field
            .send_keys(value)
            .await
            .unwrap_or_else(|e| panic!("fill {label_or_name}: {e}"));
    }

    /// Picks one option of a list, or one of several radio buttons, by what it says or its value.
    pub async fn choose(&self, name: &str, option: &str) {
        let (name_, option_) = (xpath(name), xpath(option));
        let label = format!("normalize-space(.) = {option_}");
        let any = format!(
            "//select[@name = {name_}]//option[@value = {option_} or {label}] | \
             //input[@type = 'radio' and @name = {name_} and (@value = {option_} \
                or @id = //label[{label}]/@for or ancestor::label[{label}])]"
        );
        let what = format!("the choice {option} of {name}");
        let element = self.find(Locator::XPath(&any), &what).await;
        self.tick(&element, &what).await;
    }

    /// Ticks the box with this name and value, unless it is ticked already.
    pub async fn check(&self, name: &str, value: &str) {
        let box_ = format!(
            "//input[@type = 'checkbox' and @name = {} and (@value = {value} \
                or not(@value) and {value} = 'on')]",
            xpath(name),
            value = xpath(value)
        );
        let what = format!("the box {name} = {value}");
        let element = self.find(Locator::XPath(&box_), &what).await;
        if !element.is_selected().await.expect("ticked or not") {
            self.tick(&element, &what).await;
        }
    }

    /// Presses the first button on show with this text, and waits for the page it leads to.
    pub async fn press(&self, text: &str) {
        let button = self
            .shown(&button(text), &format!("a button that says {text}"))
            .await;
        self.click_through(&button, text).await;
    }

    /// Follows the first link on show with this text, and waits for its page.
    pub async fn follow(&self, text: &str) {
        let says = xpath(text);
        let links = format!("//a[@href and (normalize-space(.) = {says} or @aria-label = {says})]");
        let link = self
            .shown(&links, &format!("a link that says {text}"))
            .await;
        self.click_through(&link, text).await;
    }

    /// Presses a button that leads to no other page: script answers it, it opens a `details`, or
    /// the browser itself refuses the form.
    pub async fn tap(&self, text: &str) {
        let button = self
            .shown(&button(text), &format!("a button that says {text}"))
            .await;
        button
            .click()
            .await
            .unwrap_or_else(|e| panic!("tap {text}: {e}"));
    }

    /// Waits up to ten seconds until script has put such an element on the page.
    pub async fn wait_for(&self, css: &str) {
        let wait = self.client.wait().at_most(PATIENCE);
        let found = wait.for_element(Locator::Css(css)).await;
        found.unwrap_or_else(|e| panic!("{css} never came: {e}"));
    }

    /// Runs one function body in the page (also where the page's own script is off) and gives
    /// what it returns.
    pub async fn run(&self, script: &str, args: Vec<Value>) -> Value {
        let done = self.client.execute(script, args).await;
        done.unwrap_or_else(|e| panic!("run {script}: {e}"))
    }

    pub async fn screenshot(&self, path: impl AsRef<Path>) {
        let png = self.client.screenshot().await.expect("a screenshot");
        std::fs::write(path.as_ref(), png).expect("the screenshot as a file");
    }

    /// The page as it prints on A4.
    pub async fn pdf(&self) -> Vec<u8> {
        self.pdf_on(PrintSize::A4).await
    }

    /// The page as it prints on paper of this size.
    pub async fn pdf_on(&self, paper: PrintSize) -> Vec<u8> {
        let how = PrintConfiguration::builder()
            .size(paper)
            .build()
            .expect("a paper size");
        self.client.print(how).await.expect("the page as a PDF")
    }

    /// Does anything stick out to the right? Measured against the width the browser was started
    /// with, because a phone zooms out and then reports a wider window.
    pub async fn horizontal_overflow(&self) -> bool {
        let width = self
            .run("return document.scrollingElement.scrollWidth", vec![])
            .await;
        width.as_f64().expect("a width") > f64::from(self.viewport.0)
    }

    /// Every control on show in `main` that is lower than 44 px, with its height. A ticked box
    /// counts with its label; a link in the middle of a sentence does not count.
    pub async fn small_targets(&self) -> Vec<String> {
        let script = r#"
            const low = [];
            const controls = 'button, a[href], summary, select, textarea, input:not([type=hidden])';
            for (const control of document.querySelectorAll('main :is(' + controls + ')')) {
                const words = [...control.parentNode.childNodes].filter(
                    (n) => n.nodeType === Node.TEXT_NODE && n.textContent.trim());
                const inline = getComputedStyle(control).display === 'inline';
                if (control.tagName === 'A' && inline && words.length > 0) continue;
                const ticked = control.type === 'checkbox' || control.type === 'radio';
                const label = ticked && control.labels && control.labels[0];
                const boxes = [control, label].filter(Boolean)
                    .map((e) => e.checkVisibility({ visibilityProperty: true })
                        ? e.getBoundingClientRect() : { width: 0, height: 0 });
                if (!boxes.some((box) => box.width > 0 && box.height > 0)) continue;
                const height = Math.max(...boxes.map((box) => box.height));
                if (height < arguments[0] - 0.01) {
                    const name = control.innerText || control.value || control.name || '';
                    low.push(control.tagName.toLowerCase() + ' "' + name.trim().slice(0, 40)
                        + '": ' + height.toFixed(1) + ' px');
                }
            }
            return low;"#;
        let low = self.run(script, vec![json!(TARGET_PX)]).await;
        serde_json::from_value(low).expect("a list of words")
    }

    /// What the console reported as an error since the last time this was asked.
    pub fn console_errors(&self) -> Vec<String> {
        let answer = self.ask_driver("POST", "/se/log", r#"{"type":"browser"}"#);
        let answer = answer.expect("chromedriver's log");
        let log: Value = serde_json::from_slice(&answer).expect("a log in JSON");
        let entries = log["value"].as_array().expect("a list of entries").iter();
        let errors = entries.filter(|entry| entry["level"] == "SEVERE");
        errors
            .map(|entry| entry["message"].as_str().unwrap_or_default().to_owned())
            .collect()
    }

    /// One command of the browser's own protocol.
    pub fn devtools(&self, command: &Value) {
        let done = self.ask_driver("POST", "/goog/cdp/execute", &command.to_string());
        done.expect("the browser's answer");
    }

    async fn find(&self, locator: Locator<'_>, what: &str) -> Element {
        match self.client.find(locator).await {
            Ok(element) => element,
            Err(e) if e.is_no_such_element() => {
                let page = self
                    .client
                    .find(Locator::Css("body"))
                    .await
                    .expect("a page");
                let text = page.text().await.unwrap_or_default();
                panic!("{what} is not on {}:\n{text}", self.url().await)
            }
            Err(e) => panic!("look for {what}: {e}"),
        }
    }

    async fn field(&self, label_or_name: &str) -> Element {
        let says = xpath(label_or_name);
        let label = format!("//label[normalize-space(.) = {says}]");
        let any = format!(
            "//*[self::input or self::textarea or self::select][@name = {says} \
                or @id = {label}/@for or ancestor::label[normalize-space(.) = {says}]]"
        );
        self.find(Locator::XPath(&any), &format!("the field {label_or_name}"))
            .await
    }

    /// Clicks a choice, or the label that stands for it where a page hides the choice itself.
    async fn tick(&self, element: &Element, what: &str) {
        if element.is_displayed().await.expect("on show or not") {
            return element
                .click()
                .await
                .unwrap_or_else(|e| panic!("click {what}: {e}"));
        }
        let label = "const labels = arguments[0].labels || [];
            if (labels.length === 0) return false;
            labels[0].click();
            return true;";
        let clicked = self.run(label, vec![on(element)]).await;
        assert_eq!(clicked, true, "{what} is hidden and has no label");
    }

    async fn shown(&self, any: &str, what: &str) -> Element {
        for element in self
            .client
            .find_all(Locator::XPath(any))
            .await
            .expect("a path")
        {
            if element.is_displayed().await.expect("on show or not") {
                return element;
            }
        }
        panic!(
            "{what} is not on show on {}:\n{}",
            self.url().await,
            self.page_text().await
        );
    }

    /// Clicks, and goes on when another document has taken this one's place. The driver alone
    /// does not wait: it answers a click before the browser has begun to leave the page.
    async fn click_through(&self, element: &Element, what: &str) {
        let old = self.find(Locator::Css("html"), "the page").await;
        element
            .click()
            .await
            .unwrap_or_else(|e| panic!("click {what}: {e}"));
        let gone = async {
            while old.tag_name().await.is_ok() {
                tokio::time::sleep(Duration::from_millis(10)).await;
            }
        };
        if tokio::time::timeout(PATIENCE, gone).await.is_err() {
            let (url, text) = (self.url().await, self.page_text().await);
            panic!("{what} led to no other page (then use tap); still on {url}:\n{text}");
        }
    }

    /// One request to this session that fantoccini has no method for.
    fn ask_driver(&self, method: &str, path: &str, body: &str) -> std::io::Result<Vec<u8>> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port))?;
        stream.set_read_timeout(Some(PATIENCE))?;
        write!(
            stream,
            "{method} /session/{}{path} HTTP/1.1\r\nHost: 127.0.0.1\r\n\
             Content-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            self.session,
            body.len()
        )?;
        // The driver keeps the line open, so the length says where the answer ends.
        let mut reader = BufReader::new(stream);
        let (mut line, mut length) = (String::new(), 0);
        while reader.read_line(&mut line)? > 2 {
            if let Some((name, value)) = line.split_once(':')
                && name.eq_ignore_ascii_case("content-length")
            {
                length = value.trim().parse().unwrap_or(0);
            }
            line.clear();
        }
        let mut answer = vec![0; length];
        reader.read_exact(&mut answer)?;
        Ok(answer)
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // The browser ends first, with all its helpers, so that its profile can be removed.
        let _ = self.ask_driver("DELETE", "", "");
        self.driver.kill9();
        for _ in 0..100 {
            if processes_naming(self.profile.path()).is_empty() {
                return;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
    }
}

async fn open(port: u16, capabilities: serde_json::Map<String, Value>) -> (Client, String) {
    let client = ClientBuilder::new(HttpConnector::new())
        .capabilities(capabilities)
        .connect(&format!("http://127.0.0.1:{port}"))
        .await
        .expect("a browser session");
    let session = client.session_id().await.expect("a session");
    (client, session.expect("a session's name"))
}

fn capabilities(
    viewport: (u32, u32),
    script: bool,
    profile: &Path,
) -> serde_json::Map<String, Value> {
    let (width, height) = viewport;
    let phone = width < 768;
    let mut flags: Vec<String> = CHROMIUM_FLAGS.iter().map(|flag| flag.to_string()).collect();
    flags.push(format!("--user-data-dir={}", profile.display()));
    let capabilities = json!({
        "goog:loggingPrefs": { "browser": "ALL" },
        "goog:chromeOptions": {
            "args": flags,
            "prefs": {
                // 1 lets pages run script, 2 does not.
                "profile.managed_default_content_settings.javascript": if script { 1 } else { 2 },
            },
            "mobileEmulation": {
                "deviceMetrics": {
                    "width": width,
                    "height": height,
                    "pixelRatio": if phone { 2 } else { 1 },
                    "mobile": phone,
                    // With touch on, chromedriver waits after each click for a timer that never
                    // fires where script is off.
                    "touch": phone && script,
                },
            },
        },
    });
    let Value::Object(capabilities) = capabilities else {
        unreachable!("written as an object")
    };
    capabilities
}

fn on(element: &Element) -> Value {
    serde_json::to_value(element).expect("an element's name")
}

fn button(text: &str) -> String {
    let says = xpath(text);
    format!(
        "//button[normalize-space(.) = {says} or @aria-label = {says}] | \
         //input[(@type = 'submit' or @type = 'button') and @value = {says}] | \
         //summary[normalize-space(.) = {says}]"
    )
}

/// Words as an XPath string, whichever quotes they contain.
fn xpath(words: &str) -> String {
    if !words.contains('"') {
        return format!("\"{words}\"");
    }
    let parts: Vec<String> = words.split('"').map(|part| format!("\"{part}\"")).collect();
    format!("concat({})", parts.join(", '\"', "))
}
