//! A child process that says on its standard output when it is ready, and ends with its owner.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::time::Duration;

/// Long enough for a debug build to seed its demo on a busy two-core machine.
const PATIENCE: Duration = Duration::from_secs(90);

pub struct Running(Child);

impl Running {
    /// Starts `command` and returns what `ready` finds in the first line in which it finds
    /// anything. Everything printed after that is read and dropped, so the pipe never fills.
    pub fn start(command: &mut Command, ready: fn(&str) -> Option<String>) -> (Self, String) {
        let what = format!("{:?}", command.get_program());
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap_or_else(|e| panic!("{what} does not start: {e}"));
        let lines = BufReader::new(child.stdout.take().expect("its standard output")).lines();
        let running = Self(child);
        let (tell, told) = mpsc::channel();
        std::thread::spawn(move || {
            for line in lines.map_while(Result::ok) {
                if let Some(found) = ready(&line) {
                    let _ = tell.send(found);
                }
            }
        });
        match told.recv_timeout(PATIENCE) {
            Ok(found) => (running, found),
            Err(e) => panic!("{what} ended or stayed silent before it was ready ({e})"),
        }
    }

    pub fn id(&self) -> u32 {
        self.0.id()
    }

    /// Kills without asking, as a power cut would, and waits until it is gone.
    pub fn kill9(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.kill9();
    }
}

/// The processes with this path on their command line; none where there is no `/proc`.
pub fn processes_naming(path: &Path) -> Vec<u32> {
    let path = path.display().to_string();
    let all = std::fs::read_dir("/proc").into_iter().flatten().flatten();
    let ids = all.filter_map(|entry| entry.file_name().to_str()?.parse().ok());
    ids.filter(|id| {
        let line = std::fs::read(format!("/proc/{id}/cmdline")).unwrap_or_default();
        String::from_utf8_lossy(&line).contains(&path)
    })
    .collect()
}
