//! An instrument and a calibration, as typed.

use super::{FOUND, KINDS};
use crate::form::{self, FieldErrors, Fields};
use serde::Serialize;
use time::Date;

#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct NewInstrument {
    pub number: String,
    pub kind: String,
    pub measures: String,
    pub due_on: Option<Date>,
    pub calibrated_on: Option<Date>,
    pub withdrawn_on: Option<Date>,
    pub note: String,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NewCalibration {
    pub done_on: Date,
    pub found: String,
    pub by_whom: String,
    pub certificate: String,
    pub due_on: Option<Date>,
    pub note: String,
}

fn one_of(list: &[(&str, &str)], value: &str) -> bool {
    list.iter().any(|(known, _)| *known == value)
}

/// # Errors
/// A message for each field that is blank or no date.
pub fn instrument(fields: &Fields, today: Date) -> Result<NewInstrument, FieldErrors> {
    let mut errors = FieldErrors::default();
    let number = form::required(fields.get("number"), "Type the number on its label");
    let number = errors.take("number", number);
    let kind = fields.get("kind").to_owned();
    if !one_of(KINDS, &kind) {
        errors.add("kind", "Choose what it is");
    }
    let mut date = |name: &str| errors.take(name, form::optional_date(fields.get(name)));
    let (calibrated_on, due_on) = (date("calibrated_on"), date("due_on"));
    let withdrawn_on = date("withdrawn_on");
    if calibrated_on.is_some_and(|day| day > today) {
        errors.add("calibrated_on", "This day is still to come");
    }
    if matches!((calibrated_on, due_on), (Some(done), Some(due)) if due < done) {
        errors.add("due_on", "It ends after the day on which it was done");
    }
    errors.or(NewInstrument {
        number,
        kind,
        measures: fields.get("measures").trim().to_owned(),
        due_on,
        calibrated_on,
        withdrawn_on,
        note: fields.get("note").trim().to_owned(),
    })
}

/// # Errors
/// A message for each field that is blank or no date.
pub fn calibration(fields: &Fields, today: Date) -> Result<NewCalibration, FieldErrors> {
    let mut errors = FieldErrors::default();
    let done_on = form::date(fields.get("done_on"), "Say on which day it was done");
    let done_on = match done_on {
        Ok(day) if day > today => {
            errors.add("done_on", "This day is still to come");
            day
        }
        Ok(day) => day,
        Err(message) => {
            errors.add("done_on", message);
            today
        }
    };
    let found = fields.get("found").to_owned();
    if !one_of(FOUND, &found) {
        errors.add("found", "Say how it was found");
    }
    let due_on = errors.take("next_due", form::optional_date(fields.get("next_due")));
    if due_on.is_some_and(|due| due <= done_on) {
        errors.add("next_due", "It ends after the day on which it was done");
    }
    let by_whom = form::required(fields.get("by_whom"), "Say who calibrated it");
    let by_whom = errors.take("by_whom", by_whom);
    errors.or(NewCalibration {
        done_on,
        by_whom,
        certificate: fields.get("certificate").trim().to_owned(),
        // An instrument that is wrong is calibrated until no day.
        due_on: due_on.filter(|_| found != "off"),
        note: fields.get("why").trim().to_owned(),
        found,
    })
}
