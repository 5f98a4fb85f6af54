//! Machines, places and meters, for programs.

use super::asked::{Number, Wanted};
use super::caller::Caller;
use super::etag;
use super::paging;
use super::problem::Problem;
use super::queries;
use super::shapes::{MachineShown, MeterShown, Page, PlaceShown};
use crate::machines::queries::Narrow;
use crate::machines::{KINDS, Machine, MachineId};
use crate::meters;
use crate::state::AppState;
use axum::Json;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::Response;
use serde::Deserialize;
use serde_json::{Value, json};
use utoipa::IntoParams;

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct MachinesWanted {
    /// Rows on a page.
    #[param(minimum = 1, maximum = 200, default = 50)]
    limit: Option<i64>,
    /// `next_cursor` of the page before.
    #[param(max_length = 200)]
    cursor: Option<String>,
    /// Only the machine with this tag, whatever its case.
    #[param(max_length = 24)]
    tag: Option<String>,
    /// Only of this kind.
    kind: Option<String>,
    /// Only in this place and everything in it.
    place_id: Option<i64>,
}

/// Machines by tag.
///
/// A machine whose tag is changed between two pages may come twice or not at all.
#[utoipa::path(get, path = "/machines", tag = "machines", params(MachinesWanted),
    responses((status = 200, description = "A page of machines", body = Page<MachineShown>)))]
pub async fn list_machines(
    _caller: Caller,
    State(app): State<AppState>,
    Wanted(wanted): Wanted<MachinesWanted>,
) -> Result<Response, Problem> {
    let limit = paging::limit(wanted.limit)?;
    let after = paging::after("machines", wanted.cursor.as_deref())?;
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let (kind, tag) = (text(&wanted.kind), text(&wanted.tag));
    if !kind.is_empty() && KINDS.iter().all(|(word, _)| *word != kind) {
        return Err(Problem::bad("There is no such kind of machine."));
    }
    if tag.len() > 24 {
        return Err(Problem::bad("A tag has 24 letters at most."));
    }
    let narrow = Narrow {
        kind: kind.clone(),
        criticality: String::new(),
        place: wanted
            .place_id
            .map_or(0, |place| if place == 0 { -1 } else { place }),
        after: after.unwrap_or_default(),
    };
    let rows = if wanted.tag.is_some() {
        one(&app, &narrow, &tag).await?
    } else {
        crate::machines::queries::page(&app.db, &narrow, limit + 1).await?
    };
    let mut query = Vec::new();
    if !kind.is_empty() {
        query.push(("kind", kind));
    }
    if let Some(place) = wanted.place_id {
        query.push(("place_id", place.to_string()));
    }
    let at = |m: &Machine| paging::cursor("machines", &m.tag.to_ascii_lowercase());
    let list = ("/machines", query.as_slice());
    Ok(paging::page(&app, list, rows, limit, at, MachineShown::of))
}

/// The machine with a tag, where it is one of the others that are asked for.
async fn one(app: &AppState, narrow: &Narrow, tag: &str) -> Result<Vec<Machine>, Problem> {
    let found = crate::machines::queries::find_by_tag(&app.db, tag).await?;
    let within = match narrow.place {
        0 => None,
        place => Some(crate::machines::queries::places_within(&app.db, place).await?),
    };
    let wanted = |m: &Machine| {
        (narrow.kind.is_empty() || m.kind == narrow.kind)
            && within.as_ref().is_none_or(|ids| ids.contains(&m.place_id))
            && m.tag.to_ascii_lowercase() > narrow.after
    };
    Ok(found.into_iter().filter(wanted).collect())
}

pub async fn found(app: &AppState, id: i64) -> Result<Machine, Problem> {
    let machine = crate::machines::queries::find(&app.db, MachineId(id)).await?;
    machine.ok_or_else(Problem::not_found)
}

pub fn tag_of(machine: &Machine) -> String {
    etag::of("machine", machine.id.0, machine.version)
}

/// One machine.
#[utoipa::path(get, path = "/machines/{id}", tag = "machines",
    params(("id" = i64, Path, minimum = 1, description = "The machine's number")),
    responses((status = 200, description = "The machine", body = MachineShown)))]
pub async fn show_machine(
    _caller: Caller,
    State(app): State<AppState>,
    Number(id): Number,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let machine = found(&app, id).await?;
    let tag = tag_of(&machine);
    Ok(etag::answer(&headers, &tag, MachineShown::of(machine)))
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct PageWanted {
    /// Rows on a page.
    #[param(minimum = 1, maximum = 200, default = 50)]
    pub limit: Option<i64>,
    /// `next_cursor` of the page before.
    #[param(max_length = 200)]
    pub cursor: Option<String>,
}

/// Places, by number.
#[utoipa::path(get, path = "/places", tag = "machines", params(PageWanted),
    responses((status = 200, description = "A page of places", body = Page<PlaceShown>)))]
pub async fn list_places(
    _caller: Caller,
    State(app): State<AppState>,
    Wanted(wanted): Wanted<PageWanted>,
) -> Result<Response, Problem> {
    let limit = paging::limit(wanted.limit)?;
    let after = paging::after_number("places", wanted.cursor.as_deref())?;
    let rows = queries::places_after(&app.db, after, limit + 1).await?;
    let at = |row: &queries::PlaceRow| paging::cursor("places", &row.id.to_string());
    Ok(paging::page(
        &app,
        ("/places", &[]),
        rows,
        limit,
        at,
        PlaceShown::from,
    ))
}

/// The meters of one machine; the one that its plans count by comes first.
#[utoipa::path(get, path = "/machines/{id}/meters", tag = "meters",
    params(("id" = i64, Path, minimum = 1, description = "The machine's number")),
    responses((status = 200, description = "All its meters", body = Page<MeterShown>)))]
pub async fn list_meters(
    _caller: Caller,
    State(app): State<AppState>,
    Number(id): Number,
) -> Result<Json<Value>, Problem> {
    let machine = found(&app, id).await?;
    let meters = meters::queries::of_machine(&app.db, machine.id).await?;
    let items: Vec<MeterShown> = meters.into_iter().map(MeterShown::from).collect();
    Ok(Json(json!({ "items": items, "next_cursor": null })))
}
