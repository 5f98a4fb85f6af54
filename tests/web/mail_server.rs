//! A mail server of the test's own on this host, which behaves as the test wants.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex};
use tokio::io::{AsyncBufReadExt, AsyncWriteExt, BufReader};
use tokio::net::{TcpListener, TcpStream};

/// A mail as it arrived.
#[derive(Clone, Debug)]
pub struct Letter {
    pub to: String,
    /// Headers and body, as they came.
    pub text: String,
}

impl Letter {
    /// The value of a header, with its folded lines joined.
    pub fn header(&self, name: &str) -> String {
        let (head, _) = self.text.split_once("\r\n\r\n").expect("a body");
        let head = head.replace("\r\n ", " ");
        let start = format!("{name}: ");
        let found = head
            .split("\r\n")
            .find_map(|line| line.strip_prefix(&start));
        found.unwrap_or_default().to_owned()
    }

    /// The words, with soft line ends of quoted-printable joined.
    pub fn words(&self) -> String {
        let (_, body) = self.text.split_once("\r\n\r\n").expect("a body");
        body.replace("=\r\n", "").replace("=3D", "=")
    }
}

#[derive(Debug, Default)]
struct How {
    /// Answers to the next recipients, in order; then all are taken.
    answers: VecDeque<&'static str>,
    /// Says nothing at all.
    silent: bool,
    /// Takes the mail and never says so.
    takes_and_is_silent: bool,
    received: Vec<Letter>,
    connections: usize,
}

#[derive(Clone, Debug)]
pub struct MailServer {
    pub port: u16,
    how: Arc<Mutex<How>>,
}

impl MailServer {
    pub async fn start() -> MailServer {
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let port = listener.local_addr().expect("an address").port();
        let how = Arc::<Mutex<How>>::default();
        let server = MailServer {
            port,
            how: how.clone(),
        };
        tokio::spawn(async move {
            while let Ok((stream, _)) = listener.accept().await {
                tokio::spawn(speak(stream, how.clone()));
            }
        });
        server
    }

    fn with<T>(&self, act: impl FnOnce(&mut How) -> T) -> T {
        act(&mut self.how.lock().expect("no panic holds it"))
    }

    pub fn answer_next(&self, answers: &[&'static str]) {
        self.with(|how| how.answers.extend(answers));
    }

    pub fn be_silent(&self, silent: bool) {
        self.with(|how| how.silent = silent);
    }

    pub fn take_and_be_silent(&self, silent: bool) {
        self.with(|how| how.takes_and_is_silent = silent);
    }

    /// What has come so far, and forgets it.
    pub fn letters(&self) -> Vec<Letter> {
        self.with(|how| std::mem::take(&mut how.received))
    }

    pub fn has_letters(&self) -> bool {
        self.with(|how| !how.received.is_empty())
    }

    pub fn connections(&self) -> usize {
        self.with(|how| how.connections)
    }
}

/// One conversation, by RFC 5321.
async fn speak(stream: TcpStream, how: Arc<Mutex<How>>) -> Option<()> {
    let silent = {
        let mut how = how.lock().expect("no panic holds it");
        how.connections += 1;
        how.silent
    };
    let (read, mut write) = stream.into_split();
    let mut lines = BufReader::new(read).lines();
    if silent {
        std::future::pending::<()>().await;
    }
    write.write_all(b"220 mail.test\r\n").await.ok()?;
    let mut to = String::new();
    while let Some(line) = lines.next_line().await.ok()? {
        let word = line.split([' ', ':']).next().unwrap_or("").to_uppercase();
        let answer = match word.as_str() {
            "EHLO" => "250-mail.test\r\n250 8BITMIME".to_owned(),
            "RCPT" => {
                let address = line.split(['<', '>']).nth(1).unwrap_or_default();
                to = address.to_owned();
                let next = how.lock().expect("no panic holds it").answers.pop_front();
                next.unwrap_or("250 taken").to_owned()
            }
            "DATA" => {
                write.write_all(b"354 go on\r\n").await.ok()?;
                let mut text = String::new();
                loop {
                    let line = lines.next_line().await.ok()??;
                    if line == "." {
                        break;
                    }
                    text.push_str(line.strip_prefix('.').unwrap_or(&line));
                    text.push_str("\r\n");
                }
                let quiet = {
                    let mut how = how.lock().expect("no panic holds it");
                    let to = to.clone();
                    how.received.push(Letter { to, text });
                    how.takes_and_is_silent
                };
                if quiet {
                    std::future::pending::<()>().await;
                }
                "250 queued".to_owned()
            }
            "QUIT" => "221 bye".to_owned(),
            _ => "250 ok".to_owned(),
        };
        write
            .write_all(format!("{answer}\r\n").as_bytes())
            .await
            .ok()?;
    }
    Some(())
}
