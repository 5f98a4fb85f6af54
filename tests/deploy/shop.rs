//! The program as a process of its own, on a PostgreSQL database that the test may share among
//! several of them.

use crate::child::Running;
use crate::scratch::Scratch;
use std::path::Path;
use std::process::{Command, Stdio};

/// A database with the demo shop in it, gone afterwards.
pub struct Database {
    server: String,
    name: String,
    pub url: String,
}

impl Database {
    /// # Panics
    /// Where `TEST_DATABASE_URL` names no PostgreSQL: these tests are of a shop that uses one.
    pub fn with_demo(folder: &Path) -> Self {
        let server = std::env::var("TEST_DATABASE_URL")
            .expect("TEST_DATABASE_URL names a PostgreSQL server for these tests");
        let name = format!("brasstag_{}", uuid::Uuid::now_v7().simple());
        sql(
            &server,
            &format!("CREATE DATABASE {name} TEMPLATE template0"),
        );
        let (host, _) = server.rsplit_once('/').expect("an address with a database");
        let url = format!("{host}/{name}");
        let database = Self { server, name, url };
        let filled = Shop::start(folder, "demo", &[("BRASSTAG_DATABASE_URL", &database.url)]);
        drop(filled);
        database
    }
}

impl Drop for Database {
    fn drop(&mut self) {
        sql(
            &self.server,
            &format!("DROP DATABASE {} WITH (FORCE)", self.name),
        );
    }
}

/// What a statement answers, as psql prints it.
pub fn sql(url: &str, text: &str) -> String {
    let out = Command::new("psql")
        .args(["--no-psqlrc", "--quiet", "--tuples-only", "--no-align"])
        .args(["--set", "ON_ERROR_STOP=1", "--command", text, url])
        .stdin(Stdio::null())
        .output()
        .expect("psql starts");
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    String::from_utf8_lossy(&out.stdout).trim().to_owned()
}

pub struct Shop {
    // Dropped in this order.
    pub running: Running,
    /// As it said itself, without a closing slash: `http://127.0.0.1:43121/shop`.
    pub url: String,
    log: std::path::PathBuf,
    _folder: Scratch,
}

impl Shop {
    /// Starts the program on a free port with these settings beside the usual ones.
    pub fn start(folder: &Path, command: &str, settings: &[(&str, &str)]) -> Self {
        let own = Scratch::new("server");
        let log = folder.join(format!("log-{}", uuid::Uuid::now_v7().simple()));
        let written = std::fs::File::create(&log).expect("a log");
        let mut program = Command::new(env!("CARGO_BIN_EXE_brasstag"));
        for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("BRASSTAG_")) {
            program.env_remove(name);
        }
        program
            .arg(command)
            .env("BRASSTAG_FOLDER", own.path())
            .env("BRASSTAG_LISTEN", "127.0.0.1:0")
            .env("BRASSTAG_PASSWORD_COST", "test")
            .envs(settings.iter().copied())
            .stderr(written);
        let (running, url) = Running::start(&mut program, |line| {
            let (_, address) = line.split_once("Listening on ")?;
            Some(address.trim().trim_end_matches('/').to_owned())
        });
        Self {
            running,
            url,
            log,
            _folder: own,
        }
    }

    pub fn port(&self) -> u16 {
        let after = self.url.rsplit(':').next().unwrap_or_default();
        let digits = after.split('/').next().unwrap_or_default();
        digits.parse().expect("a port")
    }

    pub fn log(&self) -> String {
        std::fs::read_to_string(&self.log).unwrap_or_default()
    }

    pub fn tell(&self, signal: &str) {
        let id = self.running.id().to_string();
        let told = Command::new("kill").args([signal, &id]).status();
        assert!(told.is_ok_and(|status| status.success()), "kill {signal}");
    }
}

/// A port that was free a moment ago.
pub fn free_port() -> u16 {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
    listener.local_addr().expect("an address").port()
}

/// A certificate for `shop.example` that nobody but the test trusts.
pub fn certificate(folder: &Path, name: &str) -> (String, String) {
    let file = |end: &str| folder.join(format!("{name}.{end}")).display().to_string();
    let (cert, key) = (file("pem"), file("key"));
    let made = Command::new("openssl")
        .args([
            "req",
            "-x509",
            "-newkey",
            "ec",
            "-pkeyopt",
            "ec_paramgen_curve:P-256",
        ])
        .args(["-nodes", "-days", "2", "-subj", &format!("/CN={name}")])
        .args(["-addext", "subjectAltName=DNS:shop.example,IP:127.0.0.1"])
        .args(["-keyout", &key, "-out", &cert])
        .stdin(Stdio::null())
        .output()
        .expect("openssl starts");
    assert!(
        made.status.success(),
        "{}",
        String::from_utf8_lossy(&made.stderr)
    );
    (cert, key)
}

/// Tries until it holds, for ten seconds.
pub fn soon(what: &str, mut holds: impl FnMut() -> bool) {
    for _ in 0..200 {
        if holds() {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    panic!("not within ten seconds: {what}");
}
