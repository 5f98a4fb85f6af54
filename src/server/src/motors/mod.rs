//! Motors: on machines, on the shelf and on suppliers' lists.

pub mod plate_form;
pub mod plate_more;
pub mod plate_read;
pub mod plate_said;
pub mod plate_show;
pub mod plate_words;
pub mod queries;
pub mod search;
pub mod units;

use calc::plate::Plate;
use serde::{Deserialize, Serialize};

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, sqlx::Type)]
#[sqlx(transparent)]
#[serde(transparent)]
pub struct MotorId(pub i64);

#[derive(Clone, Debug, PartialEq)]
pub struct Motor {
    pub id: MotorId,
    /// The shop's own name for it.
    pub name: String,
    pub plate: Plate,
    /// The plate as it reads.
    pub plate_text: String,
    /// `made`, `ended` or `unknown`.
    pub made: String,
    pub note: String,
    pub version: i64,
}
