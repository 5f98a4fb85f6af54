//! The real program under test, run as its own process on a demo of its own.

use crate::child::Running;
use crate::scratch::Scratch;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// `brasstag demo` in a fresh folder, and on a fresh PostgreSQL database where
/// `TEST_DATABASE_URL` names a server. Gone, with all its data, when dropped.
pub struct Server {
    // Dropped in this order: the program first, then what it has open.
    running: Option<Running>,
    database: Option<Database>,
    folder: Scratch,
    program: PathBuf,
    url: String,
}

impl Server {
    pub fn start() -> Self {
        Self::start_program(Path::new(env!("CARGO_BIN_EXE_brasstag")))
    }

    /// As `start`, with another program that keeps the same promise on its command line.
    pub fn start_program(program: &Path) -> Self {
        let mut server = Self {
            running: None,
            database: std::env::var("TEST_DATABASE_URL")
                .ok()
                .map(|at| Database::create(&at)),
            folder: Scratch::new("demo"),
            program: program.to_owned(),
            url: String::new(),
        };
        server.launch("127.0.0.1:0");
        server
    }

    /// Where it answers, such as `http://127.0.0.1:43121`, without a closing slash.
    pub fn url(&self) -> &str {
        &self.url
    }

    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    pub fn database_url(&self) -> Option<&str> {
        self.database.as_ref().map(|database| database.url.as_str())
    }

    pub fn id(&self) -> Option<u32> {
        self.running.as_ref().map(Running::id)
    }

    /// Kills the program without asking, as a power cut would. Its data stays.
    pub fn kill9(&mut self) {
        self.running = None;
    }

    /// Starts it again on the same data and at the same address, so an open page can go on.
    pub fn restart(&mut self) {
        self.kill9();
        let address = self.url.trim_start_matches("http://").to_owned();
        self.launch(&address);
    }

    /// What it has written to its standard error so far.
    pub fn log(&self) -> String {
        std::fs::read_to_string(self.log_path()).unwrap_or_default()
    }

    fn log_path(&self) -> PathBuf {
        self.folder.path().join("stderr.log")
    }

    fn launch(&mut self, listen: &str) {
        let log = std::fs::File::options()
            .create(true)
            .append(true)
            .open(self.log_path());
        let mut command = Command::new(&self.program);
        // Settings of the person who runs the tests must not reach the program under test.
        for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("BRASSTAG_")) {
            command.env_remove(name);
        }
        command
            .arg("demo")
            .arg("--folder")
            .arg(self.folder.path().join("data"))
            .args(["--listen", listen])
            .env("BRASSTAG_PASSWORD_COST", "test")
            .stderr(Stdio::from(log.expect("the log of the program under test")));
        if let Some(url) = self.database_url() {
            command.env("BRASSTAG_DATABASE_URL", url);
        }
        let started = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
            Running::start(&mut command, |line| {
                let (_, address) = line.split_once("Listening on ")?;
                Some(address.trim().trim_end_matches('/').to_owned())
            })
        }));
        let Ok((running, url)) = started else {
            panic!(
                "the program under test did not come up; it wrote:\n{}",
                self.log()
            );
        };
        self.running = Some(running);
        self.url = url;
    }
}

/// A PostgreSQL database of one test's own.
struct Database {
    server: String,
    name: String,
    url: String,
}

impl Database {
    fn create(server: &str) -> Self {
        let name = format!("brasstag_{}", uuid::Uuid::now_v7().simple());
        psql(
            server,
            &format!("CREATE DATABASE {name} TEMPLATE template0"),
        )
        .expect("a database");
        let (address, options) = match server.split_once('?') {
            Some((address, options)) => (address, format!("?{options}")),
            None => (server, String::new()),
        };
        let (host, _) = address
            .rsplit_once('/')
            .expect("TEST_DATABASE_URL ends in /database");
        let url = format!("{host}/{name}{options}");
        Self {
            server: server.to_owned(),
            name,
            url,
        }
    }
}

impl Drop for Database {
    fn drop(&mut self) {
        let dropped = psql(
            &self.server,
            &format!("DROP DATABASE {} WITH (FORCE)", self.name),
        );
        if let Err(why) = dropped {
            eprintln!("{} stays behind: {why}", self.name);
        }
    }
}

pub fn psql(url: &str, sql: &str) -> Result<String, String> {
    let out = Command::new("psql")
        .args(["--no-psqlrc", "--quiet", "--tuples-only", "--no-align"])
        .args(["--set", "ON_ERROR_STOP=1", "--command", sql, url])
        .stdin(Stdio::null())
        .output()
        .map_err(|e| format!("psql does not start: {e}"))?;
    if out.status.success() {
        Ok(String::from_utf8_lossy(&out.stdout).trim().to_owned())
    } else {
        Err(String::from_utf8_lossy(&out.stderr).into_owned())
    }
}
