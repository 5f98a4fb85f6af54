//! What is typed about parts, counts and parts lists.

use super::amount::{self, Amount};
use super::{COUNT_WHYS, KINDS, PartId, STANDINGS};
use crate::form::{self, FieldErrors, Fields};
use crate::shelf::form::price;
use time::Date;

/// A part as it is to be written.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PartChange {
    pub name: String,
    pub kind: String,
    pub description: String,
    pub maker_number: String,
    pub unit: String,
    pub bins: String,
    pub standing: String,
    pub last_buy: String,
    pub lead_days: Option<i64>,
    pub price_minor: Option<i64>,
    pub order_at: Option<Amount>,
    pub critical: bool,
}

/// The word, if it is one of the list.
pub fn one_of(list: &[(&str, &str)], word: &str, ask: &str) -> Result<String, String> {
    if list.iter().any(|(known, _)| *known == word) {
        Ok(word.to_owned())
    } else {
        Err(ask.to_owned())
    }
}

/// # Errors
/// A message beside each field that cannot be read.
pub fn part(fields: &Fields) -> Result<PartChange, FieldErrors> {
    let mut errors = FieldErrors::default();
    let text = |name: &str| fields.get(name).to_owned();
    let name = form::required(fields.get("name"), "Enter the shop's own name for the part");
    let kind = one_of(KINDS, fields.get("kind"), "Choose what kind of part it is");
    let standing = one_of(
        STANDINGS,
        fields.get("standing"),
        "Choose whether the shop holds it",
    );
    let order_at = match fields.get("order_at") {
        "" => Ok(None),
        typed => amount::counted(typed, "").map(Some),
    };
    let unit = match fields.get("unit") {
        "" => "piece".to_owned(),
        unit => unit.to_owned(),
    };
    let change = PartChange {
        name: errors.take("name", name),
        kind: errors.take("kind", kind),
        description: text("description"),
        maker_number: text("maker_number"),
        unit,
        bins: text("bins"),
        standing: errors.take("standing", standing),
        last_buy: text("last_buy"),
        lead_days: errors.take("lead_days", form::optional_count(fields.get("lead_days"))),
        price_minor: errors.take("price", price(fields.get("price"))),
        order_at: errors.take("order_at", order_at),
        critical: fields.ticked("critical"),
    };
    if change.standing == "held" && change.bins.is_empty() {
        errors.add("bins", "Enter the bin it lies in");
    }
    if change.lead_days.is_some_and(|days| days > 3650) {
        errors.add("lead_days", "Enter days, at most ten years of them");
    }
    errors.or(change)
}

/// What moved, as the page of a part asks it.
#[derive(Clone, Debug, PartialEq)]
pub enum Moving {
    Received {
        amount: Amount,
        cost_minor: Option<i64>,
        expires_on: Option<Date>,
    },
    Counted {
        counted: Amount,
        why: String,
        note: String,
    },
    Scrapped {
        amount: Amount,
        why: String,
    },
}

/// # Errors
/// A message beside each field that cannot be read.
pub fn received(fields: &Fields) -> Result<Moving, FieldErrors> {
    let mut errors = FieldErrors::default();
    let amount = amount::moved(fields.get("received"), "Enter how many came");
    let moving = Moving::Received {
        amount: errors.take("received", amount),
        cost_minor: errors.take("cost", price(fields.get("cost"))),
        expires_on: errors.take("expires_on", form::optional_date(fields.get("expires_on"))),
    };
    errors.or(moving)
}

/// Only a count that differs asks why; that is known once the balance is locked.
///
/// # Errors
/// A message beside each field that cannot be read.
pub fn counted(fields: &Fields) -> Result<Moving, FieldErrors> {
    let mut errors = FieldErrors::default();
    let counted = amount::counted(
        fields.get("counted"),
        "Enter how many are there; 0 is an answer",
    );
    let counted = errors.take("counted", counted);
    let why = match fields.get("count_why") {
        "" => Ok(String::new()),
        word => one_of(COUNT_WHYS, word, "Choose one of the list"),
    };
    let why = errors.take("count_why", why);
    errors.or(Moving::Counted {
        counted,
        why,
        note: fields.get("count_note").to_owned(),
    })
}

/// # Errors
/// A message beside each field that cannot be read.
pub fn scrapped(fields: &Fields) -> Result<Moving, FieldErrors> {
    let mut errors = FieldErrors::default();
    let amount = amount::moved(fields.get("scrapped"), "Enter how many go");
    let why = form::required(fields.get("scrap_why"), "Say why: past its date, damaged");
    let moving = Moving::Scrapped {
        amount: errors.take("scrapped", amount),
        why: errors.take("scrap_why", why),
    };
    errors.or(moving)
}

/// A line of a machine's parts list.
#[derive(Clone, Debug, PartialEq)]
pub struct NewLine {
    pub place: String,
    pub part: PartId,
    pub amount: Amount,
    pub note: String,
}

/// # Errors
/// A message beside each field that cannot be read.
pub fn line(fields: &Fields) -> Result<NewLine, FieldErrors> {
    let mut errors = FieldErrors::default();
    let place = form::required(
        fields.get("place"),
        "Say where it sits: drive-end bearing, belt 1",
    );
    let part = fields.get("part").parse().map(PartId);
    if part.is_err() {
        errors.add("part", "Choose the part");
    }
    let amount = amount::moved(fields.get("amount"), "Enter how many sit there");
    let line = NewLine {
        place: errors.take("place", place),
        part: part.unwrap_or(PartId(0)),
        amount: errors.take("amount", amount),
        note: fields.get("note").to_owned(),
    };
    errors.or(line)
}
