//! Rows of places.

use super::cells::{self, Cells};
use super::plan::{Current, New, Rows};
use crate::form::{FieldErrors, required};
use crate::machines::form::one_of;
use crate::machines::queries::Place;
use crate::rows::Typed;
use crate::shop::places::KINDS;
use std::collections::{HashMap, HashSet};

/// The places that are there, by the way to them in small letters.
#[derive(Default)]
pub struct Places {
    by_path: HashMap<String, (Place, i64)>,
    /// Those that rows before this one add.
    added: HashSet<String>,
}

pub fn path(within: &str, name: &str) -> String {
    if within.is_empty() {
        name.to_lowercase()
    } else {
        format!("{}, {}", within.to_lowercase(), name.to_lowercase())
    }
}

impl Places {
    pub fn new(places: Vec<Place>, versions: &HashMap<i64, i64>) -> Places {
        let version = |place: &Place| versions.get(&place.id).copied().unwrap_or(0);
        let by_path = places
            .into_iter()
            .map(|place| (place.path.to_lowercase(), (version(&place), place)))
            .map(|(path, (version, place))| (path, (place, version)));
        Places {
            by_path: by_path.collect(),
            added: HashSet::new(),
        }
    }
}

impl Rows for Places {
    fn key(&self, cells: &Cells) -> Result<(String, String), FieldErrors> {
        let name = required(cells::text(cells, "name"), "Enter the place's name")
            .map_err(|message| FieldErrors::of("name", message))?;
        Ok((path(cells::text(cells, "within"), &name), name))
    }

    fn find(&self, key: &str) -> Result<Option<Current>, FieldErrors> {
        let found = self.by_path.get(key);
        Ok(found.map(|(place, version)| Current {
            id: place.id,
            version: *version,
            typed: typed(place),
        }))
    }

    fn read(&mut self, key: &str, merged: &Typed, _: &Cells) -> Result<(New, Typed), FieldErrors> {
        let mut errors = FieldErrors::default();
        let within = merged.get("within").to_owned();
        let above = within.to_lowercase();
        if !within.is_empty() && !self.by_path.contains_key(&above) && !self.added.contains(&above)
        {
            errors.add("within", NO_SUCH);
        }
        let kind = one_of(merged.get("kind"), KINDS, "Choose what kind of place it is");
        let kind = errors.take("kind", kind);
        let mut after = merged.clone();
        let mut name = merged.get("name").to_owned();
        if let Some((place, _)) = self.by_path.get(key) {
            // Known by its name whatever the case: the case stays as it is.
            name.clone_from(&place.name);
            after.put("name", &name);
            after.put("within", typed(place).get("within"));
        }
        let new = New::Place {
            within: above,
            kind,
            name,
            access_note: merged.get("access_note").to_owned(),
        };
        let read = errors.or((new, after))?;
        self.added.insert(key.to_owned());
        Ok(read)
    }
}

const NO_SUCH: &str = "There is no such place, nor a row above that adds it. Write the way to it, as Mill, North range";

pub fn typed(place: &Place) -> Typed {
    let mut typed = Typed::default();
    let above = place.path.len().saturating_sub(place.name.len() + 2);
    typed.put("within", place.path.get(..above).unwrap_or(""));
    typed.put("name", &place.name);
    typed.put("kind", &place.kind);
    typed.put("access_note", &place.access_note);
    typed
}
