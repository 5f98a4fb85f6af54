//! Plates in memory, so that a plate is read from its text once and not at every fit.
//!
//! They are kept by the stamp of their text, not by motor: a changed plate has another stamp, so no
//! process can judge by an old one, and motors with the same plate share it.

use crate::motors::search::stamp;
use calc::plate::Plate;
use quick_cache::sync::Cache;
use std::sync::Arc;

/// Plates kept at most, some 1.5 kB each. More than one fit judges.
const KEPT: usize = 50_000;

#[derive(Debug)]
pub struct Plates(Cache<i64, Arc<Plate>>);

impl Default for Plates {
    fn default() -> Self {
        Plates(Cache::new(KEPT))
    }
}

impl Plates {
    pub fn get(&self, stamp: i64) -> Option<Arc<Plate>> {
        self.0.get(&stamp)
    }

    /// Reads a stored plate and keeps it under the stamp of this very text.
    ///
    /// # Errors
    /// The text is no plate.
    pub fn read(&self, text: &str) -> serde_json::Result<Arc<Plate>> {
        let plate: Arc<Plate> = Arc::new(serde_json::from_str(text)?);
        self.0.insert(stamp(text), plate.clone());
        Ok(plate)
    }
}
