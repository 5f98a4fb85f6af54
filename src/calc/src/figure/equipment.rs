//! Topics. Boxes, contacts and compressors on the circuit, and what kinds of motor stand.

mod boxes;
mod compressor;
mod contact;
mod kinds;

use super::Topic;
use crate::circuit::current::as_f64;
use rust_decimal::Decimal;
use serde_json::Value;

pub(super) static TOPICS: &[Topic] = &[
    boxes::BOX_FILL,
    contact::CONTACT,
    compressor::COMPRESSOR,
    kinds::MOTOR_KIND,
    kinds::SERVICE_FACTOR,
    kinds::THERMAL_PROTECTOR,
];

/// An exact figure as JSON.
fn json(value: Decimal) -> Value {
    as_f64(value).map_or(Value::Null, Value::from)
}
