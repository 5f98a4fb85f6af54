//! How often one token may ask. Counted in the memory of this process, as [`crate::limits`] says.

use crate::clock::{MINUTE, Millis};
use std::collections::HashMap;
use std::sync::Mutex;

/// A bucket of so many requests for each integration, which fills again over a minute.
#[derive(Debug, Default)]
pub struct Buckets(Mutex<HashMap<i64, Bucket>>);

#[derive(Debug)]
struct Bucket {
    /// In thousandths of a request times a minute, so that nothing is lost in rounding.
    left: i64,
    at: Millis,
}

impl Buckets {
    /// Takes one request.
    ///
    /// # Errors
    /// The milliseconds until there is one again.
    pub fn take(&self, who: i64, a_minute: i64, now: Millis) -> Result<(), Millis> {
        let a_minute = a_minute.max(1);
        let full = a_minute * MINUTE;
        let mut all = self.0.lock().unwrap_or_else(|broken| broken.into_inner());
        let bucket = all.entry(who).or_insert(Bucket {
            left: full,
            at: now,
        });
        let passed = (now - bucket.at).clamp(0, MINUTE);
        bucket.left = (bucket.left + passed * a_minute).min(full);
        bucket.at = now;
        if bucket.left < MINUTE {
            let lacks = MINUTE - bucket.left;
            return Err((lacks + a_minute - 1) / a_minute);
        }
        bucket.left -= MINUTE;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_bucket_is_emptied_at_once_and_fills_again_evenly() {
        let buckets = Buckets::default();
        for _ in 0..30 {
            assert_eq!(buckets.take(1, 30, 0), Ok(()));
        }
        assert_eq!(buckets.take(1, 30, 0), Err(2000));
        assert_eq!(buckets.take(2, 30, 0), Ok(()), "another one has its own");
        assert_eq!(buckets.take(1, 30, 1999), Err(1));
        assert_eq!(buckets.take(1, 30, 2000), Ok(()));
        assert_eq!(buckets.take(1, 30, 2000), Err(2000));
        let later = 2000 + 10 * MINUTE;
        for _ in 0..30 {
            assert_eq!(buckets.take(1, 30, later), Ok(()));
        }
        assert!(buckets.take(1, 30, later).is_err(), "never more than full");
    }

    #[test]
    fn a_clock_that_jumps_back_lends_nothing() {
        let buckets = Buckets::default();
        assert_eq!(buckets.take(1, 1, MINUTE), Ok(()));
        assert_eq!(buckets.take(1, 1, 0), Err(MINUTE));
    }
}
