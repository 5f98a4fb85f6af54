//! Asking as a client that knows nothing of the program: curl.

use std::path::Path;
use std::process::{Command, Stdio};

#[derive(Debug)]
pub struct Answer {
    /// 0 where nothing answered.
    pub status: u16,
    pub headers: String,
    pub body: String,
}

impl Answer {
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.lines().find_map(|line| {
            let (found, value) = line.split_once(':')?;
            found.eq_ignore_ascii_case(name).then(|| value.trim())
        })
    }
}

/// Runs curl with these words; the last status and headers count where it followed a redirect.
pub fn curl(words: &[&str]) -> Answer {
    let out = Command::new("curl")
        .args(["--silent", "--insecure", "--include", "--max-time", "60"])
        .args(words)
        .stdin(Stdio::null())
        .output()
        .expect("curl starts");
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    let mut rest = text.as_str();
    let mut answer = Answer {
        status: 0,
        headers: String::new(),
        body: String::new(),
    };
    while rest.starts_with("HTTP/") {
        let (headers, body) = rest.split_once("\r\n\r\n").unwrap_or((rest, ""));
        let status = headers.split_whitespace().nth(1);
        answer.status = status.and_then(|s| s.parse().ok()).unwrap_or_default();
        answer.headers = headers.to_owned();
        rest = body;
    }
    answer.body = rest.to_owned();
    answer
}

/// A person with a cookie jar. It is written until they are signed in and only read afterwards, so
/// that one person can ask for several pages at once.
pub struct Visitor {
    jar: String,
    site: String,
    keeps: bool,
}

impl Visitor {
    pub fn new(folder: &Path, site: &str) -> Self {
        let jar = folder.join(format!("jar-{}", uuid::Uuid::now_v7().simple()));
        Self {
            jar: jar.display().to_string(),
            site: site.to_owned(),
            keeps: true,
        }
    }

    pub fn signed_in(folder: &Path, site: &str, name: &str) -> Self {
        let mut visitor = Self::new(folder, site);
        let page = visitor.get("/sign-in");
        let csrf = hidden(&page.body, "csrf");
        let fields = [
            format!("csrf={csrf}"),
            format!("name={name}"),
            "password=clay and copper".to_owned(),
        ];
        let answer = visitor.post("/sign-in", &fields);
        assert_eq!(answer.status, 303, "{name} signs in: {}", answer.body);
        visitor.keeps = false;
        visitor
    }

    fn ask(&self, path: &str, words: &[&str]) -> Answer {
        let address = format!("{}{path}", self.site);
        let mut all = vec!["--cookie", &self.jar];
        if self.keeps {
            all.extend(["--cookie-jar", &self.jar]);
        }
        all.extend(words);
        all.push(&address);
        curl(&all)
    }

    pub fn get(&self, path: &str) -> Answer {
        self.ask(path, &[])
    }

    pub fn post(&self, path: &str, fields: &[String]) -> Answer {
        let each = fields.iter().flat_map(|f| ["--data-urlencode", f]);
        self.ask(path, &each.collect::<Vec<_>>())
    }

    /// A form with files: each part as curl's `--form` takes it; and a line of the headers.
    pub fn send(&self, path: &str, parts: &[String], header: &str) -> Answer {
        let each = parts.iter().flat_map(|part| ["--form", part]);
        let words = ["--header", header].into_iter().chain(each);
        self.ask(path, &words.collect::<Vec<_>>())
    }
}

/// The value of a form's hidden field.
pub fn hidden(page: &str, name: &str) -> String {
    let from = format!("name=\"{name}\" value=\"");
    let (_, rest) = page
        .split_once(&from)
        .unwrap_or_else(|| panic!("no field {name} in {page}"));
    rest.split('"').next().unwrap_or_default().to_owned()
}
