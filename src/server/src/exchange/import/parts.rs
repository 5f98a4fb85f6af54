//! Rows of parts. What is on hand is a count: a difference becomes a movement.

use super::cells::{self, Cells};
use super::plan::{Current, New, Rows};
use crate::form::{FieldErrors, Fields, required};
use crate::rows::Typed;
use crate::stores::amount::{self, Amount};
use crate::stores::form::{self, PartChange};
use crate::stores::{Part, parts};
use std::collections::HashMap;

/// A part as it is to be.
#[derive(Clone, Debug)]
pub struct NewPart {
    pub change: PartChange,
    /// What was on hand and what was counted, where they differ.
    pub counted: Option<(Amount, Amount)>,
}

pub struct Parts {
    by_name: HashMap<String, Part>,
}

impl Parts {
    pub fn new(parts: Vec<Part>) -> Parts {
        let lower = |part: Part| (part.name.to_lowercase(), part);
        Parts {
            by_name: parts.into_iter().map(lower).collect(),
        }
    }
}

pub fn typed(part: &Part) -> Typed {
    let mut t = Typed::from_fields(&parts::typed(part));
    t.put("critical", if part.critical { "yes" } else { "no" });
    t.put("on_hand", part.on_hand.words());
    t
}

fn count(merged: &Typed, was: Option<&Part>) -> Result<Amount, String> {
    let counted = match merged.get("on_hand") {
        "" if was.is_none() => Ok(Amount(0)),
        text => amount::counted(text, "Enter how many are there; 0 is an answer"),
    }?;
    let reserved = was.map_or(Amount(0), |was| was.reserved);
    if counted < reserved {
        return Err(format!(
            "{} of it is kept for jobs. Release that on the job first",
            reserved.words()
        ));
    }
    Ok(counted)
}

impl Rows for Parts {
    fn key(&self, cells: &Cells) -> Result<(String, String), FieldErrors> {
        let name = required(
            cells::text(cells, "name"),
            "Enter the shop's own name for the part",
        )
        .map_err(|message| FieldErrors::of("name", message))?;
        Ok((name.to_lowercase(), name))
    }

    fn find(&self, key: &str) -> Result<Option<Current>, FieldErrors> {
        Ok(self.by_name.get(key).map(|part| Current {
            id: part.id.0,
            version: part.version,
            typed: typed(part),
        }))
    }

    fn read(&mut self, key: &str, merged: &Typed, _: &Cells) -> Result<(New, Typed), FieldErrors> {
        let was = self.by_name.get(key);
        let mut fields = merged.clone();
        if fields.get("critical") == "no" {
            fields.put("critical", "");
        }
        let mut errors = FieldErrors::default();
        let change = form::part(&Fields(fields.0.into_iter().collect()));
        let change = errors.gather(change);
        let counted = errors.take("on_hand", count(merged, was));
        let mut change = errors.or(change)?.ok_or_else(FieldErrors::default)?;
        if let Some(was) = was {
            change.name.clone_from(&was.name);
        }
        let on_hand = was.map_or(Amount(0), |was| was.on_hand);
        let after = typed(&as_part(&change, counted));
        let counted = (counted != on_hand).then_some((on_hand, counted));
        Ok((New::Part(Box::new(NewPart { change, counted })), after))
    }
}

/// The part as the register will hold it.
fn as_part(change: &PartChange, on_hand: Amount) -> Part {
    Part {
        id: crate::stores::PartId(0),
        name: change.name.clone(),
        kind: change.kind.clone(),
        description: change.description.clone(),
        maker_number: change.maker_number.clone(),
        unit: change.unit.clone(),
        bins: change.bins.clone(),
        standing: change.standing.clone(),
        last_buy: change.last_buy.clone(),
        lead_days: change.lead_days,
        price_minor: change.price_minor,
        order_at: change.order_at,
        critical: change.critical,
        on_hand,
        reserved: Amount(0),
        version: 0,
    }
}
