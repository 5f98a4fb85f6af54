//! A PostgreSQL server of the test's own that can be killed outright, as the kernel does when memory
//! runs out, and started again on the same files.

use crate::scratch::Scratch;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

pub struct Postgres {
    folder: Scratch,
    port: u16,
    /// PostgreSQL refuses to run as root; then it runs as this account.
    account: Option<&'static str>,
}

impl Postgres {
    /// # Panics
    /// Where PostgreSQL's programs are not installed.
    pub fn start() -> Postgres {
        let folder = Scratch::new("killed_postgres");
        let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
        let port = listener.local_addr().expect("an address").port();
        drop(listener);
        let mut server = Postgres {
            folder,
            port,
            account: None,
        };
        server.account = server.account_for_root();
        let data = server.data().display().to_string();
        let made = server.tool(
            "initdb",
            &["-D", &data, "-U", "brasstag", "-A", "trust", "-E", "UTF8"],
        );
        assert!(made, "initdb");
        server.start_again();
        server
    }

    pub fn url(&self) -> String {
        format!("postgres://brasstag@127.0.0.1:{}/postgres", self.port)
    }

    fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    fn account_for_root(&self) -> Option<&'static str> {
        let id = |words: &[&str]| {
            let out = Command::new("id").args(words).output().ok()?;
            let text = String::from_utf8_lossy(&out.stdout).trim().to_owned();
            out.status.success().then_some(text)
        };
        if id(&["-u"]).as_deref() != Some("0") {
            return None;
        }
        let account = id(&["-u", "postgres"]).map_or("nobody", |_| "postgres");
        let own = Command::new("chown")
            .arg(account)
            .arg(self.folder.path())
            .status();
        assert!(own.is_ok_and(|status| status.success()), "chown");
        Some(account)
    }

    fn program(name: &str) -> PathBuf {
        let mut found: Vec<PathBuf> = std::fs::read_dir("/usr/lib/postgresql")
            .into_iter()
            .flatten()
            .flatten()
            .map(|version| version.path().join("bin").join(name))
            .filter(|path| path.exists())
            .collect();
        found.sort();
        found.pop().unwrap_or_else(|| PathBuf::from(name))
    }

    fn command(&self, name: &str, words: &[&str]) -> Command {
        let program = Self::program(name);
        let mut command = match self.account {
            None => Command::new(&program),
            Some(account) => {
                let mut command = Command::new("setpriv");
                command
                    .args(["--reuid", account, "--clear-groups", "--regid"])
                    .arg(if account == "nobody" {
                        "nogroup"
                    } else {
                        account
                    })
                    .arg(&program);
                command
            }
        };
        command
            .args(words)
            .current_dir(self.folder.path())
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command
    }

    fn tool(&self, name: &str, words: &[&str]) -> bool {
        let done = self.command(name, words).status();
        done.unwrap_or_else(|e| panic!("{name} is not here: {e}"))
            .success()
    }

    /// On the files as they are; what a kill left half done is put right by PostgreSQL itself.
    pub fn start_again(&mut self) {
        let data = self.data().display().to_string();
        let settings = format!(
            "-c port={} -c listen_addresses=127.0.0.1 -c unix_socket_directories=",
            self.port
        );
        let log = self.folder.path().join("data").join("log");
        let started = self.tool(
            "pg_ctl",
            &[
                "-D",
                &data,
                "-o",
                &settings,
                "-l",
                &log.display().to_string(),
                "-w",
                "-t",
                "60",
                "start",
            ],
        );
        assert!(
            started,
            "{}",
            std::fs::read_to_string(&log).unwrap_or_default()
        );
    }

    /// Every process of it, at once, without asking.
    pub fn kill9(&mut self) {
        let file = self.data().join("postmaster.pid");
        let text = std::fs::read_to_string(&file).expect("it runs");
        let first: u32 = text
            .lines()
            .next()
            .and_then(|line| line.parse().ok())
            .expect("a process id");
        let all: Vec<u32> = std::iter::once(first).chain(children(first)).collect();
        let words: Vec<String> = all.iter().map(ToString::to_string).collect();
        let killed = Command::new("kill")
            .arg("-9")
            .args(&words)
            .stderr(Stdio::null())
            .status();
        assert!(killed.is_ok(), "kill");
        let until = Instant::now() + Duration::from_secs(20);
        while all.iter().any(|id| runs(*id)) {
            assert!(Instant::now() < until, "PostgreSQL survived kill -9");
            std::thread::sleep(Duration::from_millis(5));
        }
        // One that its parent has not buried yet is dead, and looks alive to PostgreSQL.
        if status(first).is_some() {
            let _removed = std::fs::remove_file(&file);
        }
    }
}

impl Drop for Postgres {
    fn drop(&mut self) {
        let data = self.data().display().to_string();
        self.tool("pg_ctl", &["-D", &data, "-m", "immediate", "stop"]);
    }
}

/// The state and the parent of a process, where it is there.
fn status(id: u32) -> Option<(char, u32)> {
    let text =
        std::fs::read_to_string(Path::new("/proc").join(id.to_string()).join("stat")).ok()?;
    let (_, rest) = text.rsplit_once(") ")?;
    let mut words = rest.split(' ');
    Some((words.next()?.chars().next()?, words.next()?.parse().ok()?))
}

fn runs(id: u32) -> bool {
    status(id).is_some_and(|(state, _)| state != 'Z')
}

fn children(of: u32) -> Vec<u32> {
    let all = std::fs::read_dir("/proc").into_iter().flatten().flatten();
    let ids = all.filter_map(|entry| entry.file_name().to_str()?.parse().ok());
    ids.filter(|id| status(*id).is_some_and(|(_, parent)| parent == of))
        .collect()
}
