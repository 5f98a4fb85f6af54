//! Places: a tree of sites, buildings, floors, rooms, roofs and shafts.

pub mod queries;

use super::overview::{EDITORS, READERS};
use crate::audit::audit;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors, required};
use crate::machines::form::one_of;
use crate::machines::queries::{Place, place as find, places as all_places};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::rows::words_of;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use queries::NewPlace;
use serde::Deserialize;
use serde_json::json;
use std::collections::HashMap;

pub const KINDS: &[(&str, &str)] = &[
    ("site", "site"),
    ("building", "building"),
    ("floor", "floor"),
    ("room", "room"),
    ("roof", "roof"),
    ("shaft", "shaft"),
    ("yard", "yard"),
];

#[derive(Template)]
#[template(path = "shop/places.html")]
struct ListPage {
    layout: Layout,
    places: Vec<(usize, Place)>,
    counts: HashMap<i64, i64>,
    may_edit: bool,
}

impl ListPage {
    fn kind(&self, place: &Place) -> String {
        words_of(KINDS, &place.kind)
    }

    /// Machines in it and in everything below it, in words.
    fn machines(&self, place: &Place) -> String {
        match self.counts.get(&place.id) {
            None | Some(0) => "no machine".to_owned(),
            Some(1) => "1 machine".to_owned(),
            Some(count) => format!("{count} machines"),
        }
    }
}

/// Adds the machines of every place to all places that it lies in.
fn with_below(places: &[Place], own: Vec<(i64, i64)>) -> HashMap<i64, i64> {
    let mut counts = HashMap::new();
    let parents: HashMap<i64, Option<i64>> = places.iter().map(|p| (p.id, p.parent_id)).collect();
    for (place, count) in own {
        let mut at = Some(place);
        while let Some(id) = at {
            *counts.entry(id).or_insert(0) += count;
            at = parents.get(&id).copied().flatten();
        }
    }
    counts
}

/// How deep each place lies, for the indent; deeper than four looks the same.
fn with_depth(places: Vec<Place>) -> Vec<(usize, Place)> {
    let depth = |place: &Place| {
        let mut depth = 0;
        let mut at = place.parent_id;
        while let Some(parent) = at.and_then(|id| places.iter().find(|p| p.id == id)) {
            depth += 1;
            at = parent.parent_id;
        }
        depth.min(4)
    };
    let depths: Vec<usize> = places.iter().map(depth).collect();
    depths.into_iter().zip(places).collect()
}

pub async fn list(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(READERS)?;
    let places = all_places(&app.db).await?;
    let page = ListPage {
        layout: Layout::new(&app, &user.visitor, "Shop"),
        counts: with_below(&places, queries::machines(&app.db).await?),
        places: with_depth(places),
        may_edit: EDITORS.contains(&user.person.role),
    };
    Ok(Page(page).into_response())
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct PlaceInput {
    pub parent_id: String,
    pub kind: String,
    pub name: String,
    pub access_note: String,
    pub version: i64,
}

impl PlaceInput {
    fn parse(&self, places: &[Place]) -> Result<NewPlace, FieldErrors> {
        let mut errors = FieldErrors::default();
        let name = errors.take("name", required(&self.name, "Enter the place's name"));
        let kind = one_of(&self.kind, KINDS, "Choose what kind of place it is");
        let kind = errors.take("kind", kind);
        let parent = places
            .iter()
            .find(|place| place.id.to_string() == self.parent_id);
        if parent.is_none() && !self.parent_id.is_empty() {
            errors.add("parent_id", "Choose one of the places");
        }
        let access_note = self.access_note.trim().to_owned();
        errors.or(NewPlace {
            parent_id: parent.map(|place| place.id),
            kind,
            name,
            access_note,
        })
    }
}

#[derive(Template)]
#[template(path = "shop/place_edit.html")]
struct EditPage {
    layout: Layout,
    place: Option<Place>,
    input: PlaceInput,
    errors: FieldErrors,
    parents: Vec<(String, String)>,
}

impl EditPage {
    fn new(
        app: &AppState,
        user: &CurrentUser,
        place: Option<Place>,
        input: PlaceInput,
        errors: FieldErrors,
        places: &[Place],
    ) -> Page<EditPage> {
        let others = places
            .iter()
            .filter(|p| place.as_ref().is_none_or(|own| own.id != p.id));
        Page(EditPage {
            layout: Layout::new(app, &user.visitor, "Shop"),
            parents: others.map(|p| (p.id.to_string(), p.path.clone())).collect(),
            place,
            input,
            errors,
        })
    }
}

pub async fn new(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let places = all_places(&app.db).await?;
    let (input, errors) = (PlaceInput::default(), FieldErrors::default());
    Ok(EditPage::new(&app, &user, None, input, errors, &places).into_response())
}

pub async fn edit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let place = find(&app.db, id).await?.ok_or(AppError::NotFound)?;
    let version = queries::version(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let places = all_places(&app.db).await?;
    let input = PlaceInput {
        parent_id: place.parent_id.map(|id| id.to_string()).unwrap_or_default(),
        kind: place.kind.clone(),
        name: place.name.clone(),
        access_note: place.access_note.clone(),
        version,
    };
    let errors = FieldErrors::default();
    Ok(EditPage::new(&app, &user, Some(place), input, errors, &places).into_response())
}

pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<PlaceInput>,
) -> Result<Response, AppError> {
    save(user, app, None, input).await
}

pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PlaceInput>,
) -> Result<Response, AppError> {
    let place = find(&app.db, id).await?.ok_or(AppError::NotFound)?;
    save(user, app, Some(place), input).await
}

async fn save(
    user: CurrentUser,
    app: AppState,
    place: Option<Place>,
    input: PlaceInput,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let places = all_places(&app.db).await?;
    let parsed = input.parse(&places);
    let version = input.version;
    let refused = |place, errors| {
        let page = EditPage::new(&app, &user, place, input, errors, &places);
        Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
    };
    let new = match parsed {
        Ok(new) => new,
        Err(errors) => return refused(place, errors),
    };
    let mut tx = app.db.begin_write().await?;
    queries::hold_tree(&mut tx).await?;
    let id = match &place {
        None => queries::insert(&mut tx, &new).await?,
        Some(own) => {
            let below = queries::below(&mut tx, own.id).await?;
            if new.parent_id.is_some_and(|parent| below.contains(&parent)) {
                let message = "A place cannot lie within itself";
                return refused(place, FieldErrors::of("parent_id", message));
            }
            if !queries::update(&mut tx, own.id, version, &new).await? {
                return Err(AppError::Stale);
            }
            own.id
        }
    };
    let act = if place.is_some() { "change" } else { "add" };
    let detail = json!({ "name": new.name, "parent": new.parent_id, "access_note": new.access_note,
        "was": place.map(|p| json!({ "name": p.name, "parent": p.parent_id,
            "access_note": p.access_note })) });
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        ("places", id),
        act,
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop/places")).into_response())
}
