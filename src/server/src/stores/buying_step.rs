//! One step of buying: what its form says, and its words in the job.

use super::queries::{Purchase, Step};
use crate::clock::date_words;
use crate::form::{self, FieldErrors, Fields};
use crate::shelf::form::price;
use time::Date;

/// The step of the form; its role was asked before.
pub fn step(fields: &Fields, state: &str) -> Result<Step, FieldErrors> {
    let mut errors = FieldErrors::default();
    let step = match (fields.get("to"), state) {
        ("approved", "needed") => Step::Approved,
        ("ordered", "approved") => {
            let number = form::required(fields.get("order_number"), "Enter the order's number");
            let supplier = form::required(fields.get("supplier"), "Say from whom");
            let day = form::date(
                fields.get("expected_on"),
                "Enter the day it was promised for",
            );
            let day = day.map_err(|message| errors.add("expected_on", message));
            let step = Step::Ordered {
                number: errors.take("order_number", number),
                supplier: errors.take("supplier", supplier),
                expected_on: day.unwrap_or(Date::MIN),
                cost_minor: errors.take("cost", price(fields.get("cost"))),
            };
            return errors.or(step);
        }
        ("arrived", "ordered") => Step::Arrived,
        ("cancelled", "needed" | "approved" | "ordered") => {
            let why = form::required(fields.get("cancelled_why"), "Say why it is not bought");
            let why = errors.take("cancelled_why", why);
            return errors.or(Step::Cancelled { why });
        }
        _ => {
            let message = format!("It is {state} now; this step does not belong here");
            return Err(FieldErrors::of("form", message));
        }
    };
    errors.or(step)
}

pub fn words(one: &Purchase, step: &Step) -> (&'static str, String) {
    let thing = format!("{} x {}", one.amount.words(), one.what);
    match step {
        Step::Approved => ("approved", thing),
        Step::Ordered {
            number,
            supplier,
            expected_on,
            ..
        } => {
            let day = date_words(*expected_on);
            (
                "ordered",
                format!("{thing}, number {number} at {supplier}, expected {day}"),
            )
        }
        Step::Arrived => ("arrived", thing),
        Step::Cancelled { why } => ("cancelled", format!("{thing}: {why}")),
    }
}
