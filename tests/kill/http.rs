//! A client so plain that nothing is sent or taken twice behind its back: HTTP/1.0, one connection a
//! request, an answer counts only when its head came whole.

use std::io::{Error, ErrorKind, Read, Result, Write};
use std::net::TcpStream;
use std::time::Duration;

pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Answer {
    /// The cookies that it sets, as they are sent back.
    fn cookies(&self) -> Vec<String> {
        let lines = self.head.lines().filter_map(|line| line.split_once(':'));
        let set = lines.filter(|(name, _)| name.eq_ignore_ascii_case("set-cookie"));
        set.filter_map(|(_, value)| Some(value.split(';').next()?.trim().to_owned()))
            .collect()
    }
}

/// One signed-in person; the session outlives the server.
#[derive(Clone)]
pub struct Person {
    port: u16,
    cookies: Vec<String>,
    pub csrf: String,
}

impl Person {
    pub fn sign_in(port: u16, name: &str) -> Result<Person> {
        let mut person = Person {
            port,
            cookies: Vec::new(),
            csrf: String::new(),
        };
        let page = person.get("/sign-in")?;
        person.keep(&page);
        let fields = [
            ("csrf", hidden(&page.body, "csrf")),
            ("name", name.to_owned()),
            ("password", "clay and copper".to_owned()),
        ];
        let answer = person.post("/sign-in", &form(&fields), FORM)?;
        if answer.status != 303 {
            let words = format!("{name} does not sign in: {} {}", answer.status, answer.body);
            return Err(Error::other(words));
        }
        person.keep(&answer);
        person.csrf = hidden(&person.get("/report")?.body, "csrf");
        Ok(person)
    }

    fn keep(&mut self, answer: &Answer) {
        for cookie in answer.cookies() {
            let name = cookie.split('=').next().unwrap_or_default().to_owned();
            self.cookies
                .retain(|old| !old.starts_with(&format!("{name}=")));
            self.cookies.push(cookie);
        }
    }

    pub fn get(&self, path: &str) -> Result<Answer> {
        self.ask("GET", path, &[], FORM)
    }

    pub fn post(&self, path: &str, body: &[u8], kind: &str) -> Result<Answer> {
        self.ask("POST", path, body, kind)
    }

    fn ask(&self, method: &str, path: &str, body: &[u8], kind: &str) -> Result<Answer> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port))?;
        stream.set_read_timeout(Some(Duration::from_secs(30)))?;
        let head = format!(
            "{method} {path} HTTP/1.0\r\nHost: 127.0.0.1:{0}\r\nOrigin: http://127.0.0.1:{0}\r\n\
             Cookie: {1}\r\nContent-Type: {kind}\r\nContent-Length: {2}\r\n\r\n",
            self.port,
            self.cookies.join("; "),
            body.len()
        );
        stream.write_all(head.as_bytes())?;
        stream.write_all(body)?;
        let mut bytes = Vec::new();
        // What came before the connection broke still counts.
        let broken = stream.read_to_end(&mut bytes).err();
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let Some((head, body)) = text.split_once("\r\n\r\n") else {
            return Err(broken.unwrap_or_else(|| ErrorKind::UnexpectedEof.into()));
        };
        let status = head.split_whitespace().nth(1).and_then(|s| s.parse().ok());
        Ok(Answer {
            status: status.ok_or(ErrorKind::InvalidData)?,
            head: head.to_owned(),
            body: body.to_owned(),
        })
    }
}

pub const FORM: &str = "application/x-www-form-urlencoded";
const BOUNDARY: &str = "kill-kill-kill";

pub fn form(fields: &[(&str, String)]) -> Vec<u8> {
    let coded = |text: &str| {
        let each = text.bytes().map(|byte| match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => char::from(byte).to_string(),
            other => format!("%{other:02X}"),
        });
        each.collect::<String>()
    };
    let pairs = fields
        .iter()
        .map(|(name, value)| format!("{name}={}", coded(value)));
    pairs.collect::<Vec<_>>().join("&").into_bytes()
}

/// A form with one file at its end, and its kind.
pub fn multipart(fields: &[(&str, String)], file: (&str, &[u8])) -> (Vec<u8>, String) {
    let mut body = Vec::new();
    for (name, value) in fields {
        let part = format!(
            "--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
        );
        body.extend(part.as_bytes());
    }
    let (name, bytes) = file;
    let part = format!(
        "--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"; filename=\"a.png\"\r\n\
         Content-Type: image/png\r\n\r\n"
    );
    body.extend(part.as_bytes());
    body.extend(bytes);
    body.extend(b"\r\n");
    body.extend(format!("--{BOUNDARY}--\r\n").as_bytes());
    (body, format!("multipart/form-data; boundary={BOUNDARY}"))
}

/// The value of a form's hidden field; empty where the page has none.
pub fn hidden(page: &str, name: &str) -> String {
    let from = format!("name=\"{name}\" value=\"");
    let rest = page.split_once(&from).map(|(_, rest)| rest);
    rest.and_then(|rest| rest.split('"').next())
        .unwrap_or_default()
        .to_owned()
}
