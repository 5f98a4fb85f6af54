//! What people narrow a list of candidates by. All of it stands in the address.

use crate::fit::search::Brief;
use crate::form::FieldErrors;
use crate::measure;
use crate::motors::plate_words::{ENCLOSURES, MOUNTS};
use crate::rows::{Options, Reader, Typed};
use calc::fit::{Column, Cut, Misfit, Traits};
use calc::plate::{Enclosure, Field, Mount, Plate};
use calc::working::Verdict;

pub const VERDICTS: Options = &[
    ("same", "same"),
    ("suits", "suits"),
    ("suits_after_work", "suits after work"),
    ("not_known_yet", "not known yet"),
    ("do_not_fit", "do not fit"),
];

pub const PLACES: Options = &[("shelf", "on the shelf"), ("list", "on a supplier's list")];

/// Names of its fields in the address.
pub const NAMES: &[&str] = &[
    "f_verdict",
    "f_where",
    "f_days",
    "f_price",
    "f_enclosure",
    "f_mount",
    "f_frame",
];

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Filter {
    pub verdict: Option<Verdict>,
    pub shelf: Option<bool>,
    pub most_days: Option<i64>,
    /// In hundredths.
    pub most_price: Option<i64>,
    pub enclosure: Option<Enclosure>,
    pub mount: Option<Mount>,
    pub frame: String,
}

impl Filter {
    /// # Errors
    /// A message beside each field that cannot be read.
    pub fn parse(typed: &Typed) -> Result<Filter, FieldErrors> {
        let mut r = Reader::new(typed);
        let filter = Filter {
            verdict: r.choice("f_verdict"),
            shelf: r.known("f_where", |word| match word {
                "shelf" => Ok(true),
                "list" => Ok(false),
                _ => Err("Choose the shelf or a list".to_owned()),
            }),
            most_days: r.known("f_days", |text| {
                let days = text.trim_end_matches("days").trim().parse();
                days.ok()
                    .filter(|days| (0..=3650).contains(days))
                    .ok_or_else(|| "Enter whole days, as 7".to_owned())
            }),
            most_price: r.known("f_price", |text| {
                let price = measure::amount(text, &[], "Enter a price, as 250")?;
                Ok((price * 100.0).round() as i64)
            }),
            enclosure: r.choice("f_enclosure"),
            mount: r.choice("f_mount"),
            frame: r.text("f_frame"),
        };
        r.errors.or(filter)
    }

    pub fn is_empty(&self) -> bool {
        *self == Filter::default()
    }

    /// What the search columns already leave out. Where they are blank the plate is asked.
    pub fn misfits(&self) -> Vec<Misfit> {
        let wanted = Traits::of(&Plate {
            enclosure: self.enclosure.map_or(Field::Unknown, Field::read),
            mount: self.mount.map_or(Field::Unknown, Field::read),
            ..Plate::default()
        });
        [Column::Enclosure, Column::Mount]
            .into_iter()
            .filter_map(|column| Some(vec![Cut::Other(column, wanted.get(column)?)]))
            .collect()
    }

    /// A price or a lead time nobody knows is no answer to a limit.
    pub fn keeps(&self, offer: &Brief, plate: &Plate) -> bool {
        let place = match self.shelf {
            None => true,
            Some(true) => offer.held.is_some(),
            Some(false) => offer.listed,
        };
        let within = |most: Option<i64>, value: Option<i64>| {
            most.is_none_or(|most| value.is_some_and(|value| value <= most))
        };
        let days = if offer.held.is_some() {
            Some(0)
        } else {
            offer.soonest
        };
        let enclosure =
            self.enclosure.is_none() || plate.enclosure.value() == self.enclosure.as_ref();
        let mount = self.mount.is_none() || plate.mount.value() == self.mount.as_ref();
        let frame = plate.frame.value().map_or("", String::as_str);
        place
            && within(self.most_days, days)
            && within(self.most_price, offer.cheapest)
            && enclosure
            && mount
            && (self.frame.is_empty() || plain(frame) == plain(&self.frame))
    }

    pub fn enclosures() -> Options {
        ENCLOSURES
    }

    pub fn mounts() -> Options {
        MOUNTS
    }
}

/// `143 T` and `143-t` are one frame.
fn plain(frame: &str) -> String {
    frame
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .map(|c| c.to_ascii_uppercase())
        .collect()
}
