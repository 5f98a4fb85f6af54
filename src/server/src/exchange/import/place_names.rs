//! Places as rows of other registers name them: by the way to them, or by a name that only one has.

use crate::machines::queries::Place;
use std::collections::HashMap;

pub struct PlaceNames {
    places: HashMap<i64, Place>,
    by_path: HashMap<String, i64>,
    /// `None` where several places have the name.
    by_name: HashMap<String, Option<i64>>,
}

impl PlaceNames {
    pub fn new(places: Vec<Place>) -> PlaceNames {
        let mut by_name = HashMap::new();
        for place in &places {
            by_name
                .entry(place.name.to_lowercase())
                .and_modify(|id| *id = None)
                .or_insert(Some(place.id));
        }
        let path = |place: &Place| (place.path.to_lowercase(), place.id);
        PlaceNames {
            by_path: places.iter().map(path).collect(),
            places: places.into_iter().map(|place| (place.id, place)).collect(),
            by_name,
        }
    }

    /// `Mill, North range, Roof`
    pub fn path(&self, id: i64) -> Option<String> {
        self.places.get(&id).map(|place| place.path.clone())
    }

    /// # Errors
    /// What to write instead.
    pub fn find(&self, text: &str) -> Result<&Place, String> {
        const NONE: &str = "There is no such place: add it first, or from a file of places";
        let lower = text.to_lowercase();
        let id = match (self.by_path.get(&lower), self.by_name.get(&lower)) {
            (Some(id), _) | (None, Some(Some(id))) => id,
            (None, Some(None)) => {
                let message = "Several places have this name: write the way to it from the site";
                return Err(message.to_owned());
            }
            (None, None) => return Err(NONE.to_owned()),
        };
        self.places.get(id).ok_or_else(|| NONE.to_owned())
    }
}
