//! Rows of panels. What feeds a panel stands with the circuit that does.

use super::cells::{self, Cells};
use super::place_names::PlaceNames;
use super::plan::{Current, New, Rows};
use crate::form::{FieldErrors, required};
use crate::panels::queries::{NewPanel, Panel};
use crate::rows::Typed;
use std::collections::HashMap;

pub struct Panels {
    by_name: HashMap<String, Panel>,
    places: PlaceNames,
}

impl Panels {
    pub fn new(panels: Vec<Panel>, places: PlaceNames) -> Panels {
        let lower = |panel: Panel| (panel.name.to_lowercase(), panel);
        Panels {
            by_name: panels.into_iter().map(lower).collect(),
            places,
        }
    }

    pub fn typed(&self, panel: &Panel) -> Typed {
        let mut t = Typed::default();
        t.put("name", &panel.name);
        t.put_known("place", self.places.path(panel.place_id), |path| path);
        t.put("supply", &panel.supply);
        t.put("note", &panel.note);
        t
    }
}

impl Rows for Panels {
    fn key(&self, cells: &Cells) -> Result<(String, String), FieldErrors> {
        let name = required(
            cells::text(cells, "name"),
            "Enter the panel's name as marked",
        )
        .map_err(|message| FieldErrors::of("name", message))?;
        Ok((name.to_lowercase(), name))
    }

    fn find(&self, key: &str) -> Result<Option<Current>, FieldErrors> {
        Ok(self.by_name.get(key).map(|panel| Current {
            id: panel.id,
            version: panel.version,
            typed: self.typed(panel),
        }))
    }

    fn read(&mut self, key: &str, merged: &Typed, _: &Cells) -> Result<(New, Typed), FieldErrors> {
        let mut errors = FieldErrors::default();
        let place = self
            .places
            .find(merged.get("place"))
            .map(|p| (p.id, p.path.clone()));
        let (place_id, path) = errors.take("place", place);
        let supply = required(
            merged.get("supply"),
            "Enter the supply as written, as 208Y/120 V three-phase",
        );
        let supply = errors.take("supply", supply);
        let was = self.by_name.get(key);
        let new = errors.or(NewPanel {
            name: was.map_or_else(|| merged.get("name").to_owned(), |was| was.name.clone()),
            place_id,
            supply,
            note: merged.get("note").to_owned(),
            fed_from_id: was.and_then(|was| was.fed_from_id),
        })?;
        let mut after = merged.clone();
        after.put("name", &new.name);
        after.put("place", path);
        Ok((New::Panel(Box::new(new)), after))
    }
}
