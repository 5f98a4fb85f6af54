//! A folder of one test's own, removed when the test ends.

use std::path::{Path, PathBuf};
use std::time::Duration;

pub struct Scratch(PathBuf);

impl Scratch {
    pub fn new(what: &str) -> Self {
        let name = format!("brasstag-{what}-{}", uuid::Uuid::now_v7().simple());
        let path = std::env::temp_dir().join(name);
        std::fs::create_dir_all(&path).expect("a temporary folder");
        Self(path)
    }

    pub fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // A browser that is just ending may still write a last file, so ask again for a while.
        for _ in 0..30 {
            match std::fs::remove_dir_all(&self.0) {
                Ok(()) => return,
                Err(e) if e.kind() == std::io::ErrorKind::NotFound => return,
                Err(_) => std::thread::sleep(Duration::from_millis(100)),
            }
        }
    }
}
