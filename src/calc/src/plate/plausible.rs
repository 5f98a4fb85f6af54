//! x
use super::Plate;
use crate::working::Working;
/// x
pub fn plausible(_p: &Plate) -> Working {
    Working::default()
}
