//! The register of parts: list, one part, add and change.

use super::form;
use super::queries::{self, Alternate, Moved, WhereUsed};
use super::reorder::{self, WINDOW};
use super::{HANDS, Item, KEEPERS, KINDS, Part, PartId, STANDINGS};
use crate::audit::audit;
use crate::clock::{DAY, Zone, date_words};
use crate::db;
use crate::error::AppError;
use crate::fit::candidates::{lead_words, price_words};
use crate::form::{FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::photos::shown::Thumb;
use crate::photos::things::{self, Thing};
use crate::rows::words_of;
use crate::shelf::form::price_typed;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// Parts that one page shows.
const SHOWN: i64 = 200;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct PartsQuery {
    q: String,
    kind: String,
}

#[derive(Template)]
#[template(path = "stores/parts.html")]
struct PartsPage {
    layout: Layout,
    keeps: bool,
    query: PartsQuery,
    errors: FieldErrors,
    parts: Vec<Part>,
    more: bool,
    currency: String,
}

impl PartsPage {
    fn price(&self, part: &Part) -> String {
        price_words(part.price_minor, &self.currency)
    }
}

pub(crate) fn currency(app: &AppState) -> String {
    app.shop().map_or_else(String::new, |shop| shop.currency)
}

/// `/shelf/parts`
pub async fn list(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(query): Query<PartsQuery>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    // A typed % or _ finds more than it says; it harms nothing.
    let words = format!("%{}%", query.q.trim().to_lowercase());
    let mut parts = queries::parts(&app.db, &words, &query.kind, SHOWN + 1).await?;
    let most = usize::try_from(SHOWN).unwrap_or(0);
    let more = parts.len() > most;
    parts.truncate(most);
    let page = PartsPage {
        layout: Layout::new(&app, &user.visitor, "Shelf"),
        keeps: KEEPERS.contains(&user.person.role),
        errors: FieldErrors::default(),
        currency: currency(&app),
        query,
        parts,
        more,
    };
    Ok(Page(page).into_response())
}

#[derive(Template)]
#[template(path = "stores/part.html")]
pub struct PartPage {
    layout: Layout,
    keeps: bool,
    hands: bool,
    part: Part,
    used: Vec<WhereUsed>,
    moves: Vec<Moved>,
    own_photos: Vec<Thumb>,
    alternates: Vec<Alternate>,
    judged: reorder::Judged,
    fields: Fields,
    errors: FieldErrors,
    currency: String,
    zone: Zone,
}

impl PartPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        id: PartId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<PartPage, AppError> {
        let part = queries::part(&app.db, id)
            .await?
            .ok_or(AppError::NotFound)?;
        let now = app.clock.now();
        let uses = queries::uses(&app.db, now - WINDOW * DAY, id.0).await?;
        let used = uses.get(&id).cloned().unwrap_or_default();
        Ok(PartPage {
            layout: Layout::new(app, &user.visitor, "Shelf"),
            keeps: KEEPERS.contains(&user.person.role),
            hands: HANDS.contains(&user.person.role),
            used: queries::where_used(&app.db, id, SHOWN).await?,
            judged: reorder::judge(&part, &used, now),
            alternates: queries::alternates(&app.db, Item::Part(id)).await?,
            own_photos: things::thumbs(app, Thing::Part(id.0)).await?,
            moves: queries::moves_of(&app.db, Item::Part(id), 50).await?,
            currency: currency(app),
            zone: app.zone(),
            part,
            fields,
            errors,
        })
    }

    /// The page again, with what was typed and what is wrong with it.
    pub async fn refused(
        app: &AppState,
        user: &CurrentUser,
        id: PartId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Response, AppError> {
        let page = PartPage::load(app, user, id, fields, errors).await?;
        Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(page)).into_response())
    }

    fn typed(&self, name: &str) -> String {
        self.fields.get(name).to_owned()
    }

    fn kind(&self) -> String {
        words_of(KINDS, &self.part.kind)
    }

    fn standing(&self) -> String {
        words_of(STANDINGS, &self.part.standing)
    }

    fn price(&self) -> String {
        price_words(self.part.price_minor, &self.currency)
    }

    fn lead(&self) -> String {
        lead_words(self.part.lead_days)
    }

    fn moved(&self, one: &Moved) -> String {
        moved_words(one, &self.part.unit, &self.currency)
    }

    fn when(&self, one: &Moved) -> String {
        self.zone.minute_words(one.moved_at)
    }
}

/// `3 pieces came, 27.00 USD, to be used by Wed 1 Jan 2027`
pub fn moved_words(one: &Moved, unit: &str, currency: &str) -> String {
    let many = |amount: i64| super::amount::Amount(amount.abs()).with_unit(unit);
    let mut words = match (one.kind.as_str(), one.amount.0) {
        ("received", n) => format!("{} came", many(n)),
        ("issued", n) => format!("{} went out", many(n)),
        ("returned", n) => format!("{} came back", many(n)),
        ("scrapped", n) => format!("{} scrapped", many(n)),
        ("reserved", _) => format!("{} kept for it", many(one.held_back.0)),
        ("released", _) => format!("{} no longer kept for it", many(one.held_back.0)),
        (_, 0) => "counted, as the list said".to_owned(),
        (_, n) if n < 0 => format!("counted: {} missing", many(n)),
        (_, n) => format!("counted: {} more than the list said", many(n)),
    };
    if let Some(cost) = one.cost_minor {
        words.push_str(&format!(", {}", price_words(Some(cost), currency)));
    }
    if let Some(day) = one.expires_on {
        words.push_str(&format!(", to be used by {}", date_words(day)));
    }
    if !one.why.is_empty() {
        words.push_str(&format!(". {}", one.why));
    }
    words
}

/// `/shelf/parts/{id}`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = PartPage::load(&app, &user, PartId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

#[derive(Template)]
#[template(path = "stores/part_edit.html")]
struct EditPage {
    layout: Layout,
    id: Option<PartId>,
    fields: Fields,
    errors: FieldErrors,
}

impl EditPage {
    fn new(
        app: &AppState,
        user: &CurrentUser,
        id: Option<PartId>,
        fields: Fields,
        errors: FieldErrors,
    ) -> Page<Self> {
        let layout = Layout::new(app, &user.visitor, "Shelf");
        Page(EditPage {
            layout,
            id,
            fields,
            errors,
        })
    }

    fn typed(&self, name: &str) -> String {
        self.fields.get(name).to_owned()
    }

    fn action(&self) -> String {
        match self.id {
            Some(id) => format!("/shelf/parts/{}/edit", id.0),
            None => "/shelf/parts/new".to_owned(),
        }
    }
}

/// `/shelf/parts/new`
pub async fn new(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let page = EditPage::new(&app, &user, None, Fields::default(), FieldErrors::default());
    Ok(page.into_response())
}

fn same_name() -> FieldErrors {
    FieldErrors::of("name", "Another part has this name; give this one another")
}

pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let errors = match form::part(&fields) {
        Ok(new) => {
            let mut tx = app.db.begin_write().await?;
            let now = app.clock.now();
            match queries::insert_part(&mut tx, &new, now).await {
                Err(e) if db::is_duplicate(&e) => same_name(),
                made => {
                    let id = made?;
                    audit(
                        &mut tx,
                        now,
                        Some(user.id()),
                        ("parts", id.0),
                        "added",
                        &new,
                    )
                    .await?;
                    tx.commit().await?;
                    let page = app.url(&format!("/shelf/parts/{}", id.0));
                    return Ok(Redirect::to(&page).into_response());
                }
            }
        }
        Err(errors) => errors,
    };
    let page = EditPage::new(&app, &user, None, fields, errors);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

/// The form of a part that is there.
pub(crate) fn typed(part: &Part) -> Fields {
    let number = |n: Option<i64>| n.map_or_else(String::new, |n| n.to_string());
    let order_at = part.order_at.map_or_else(String::new, |n| n.words());
    let critical = if part.critical { "yes" } else { "" };
    let fields = [
        ("version", part.version.to_string()),
        ("name", part.name.clone()),
        ("kind", part.kind.clone()),
        ("description", part.description.clone()),
        ("maker_number", part.maker_number.clone()),
        ("unit", part.unit.clone()),
        ("bins", part.bins.clone()),
        ("standing", part.standing.clone()),
        ("last_buy", part.last_buy.clone()),
        ("lead_days", number(part.lead_days)),
        ("price", price_typed(part.price_minor)),
        ("order_at", order_at),
        ("critical", critical.to_owned()),
    ];
    Fields(fields.map(|(name, value)| (name.to_owned(), value)).into())
}

/// `/shelf/parts/{id}/edit`
pub async fn edit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let part = queries::part(&app.db, PartId(id))
        .await?
        .ok_or(AppError::NotFound)?;
    let errors = FieldErrors::default();
    Ok(EditPage::new(&app, &user, Some(part.id), typed(&part), errors).into_response())
}

pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let id = PartId(id);
    let errors = match form::part(&fields) {
        Ok(new) => {
            let version = fields.get("version").parse().unwrap_or(0);
            let mut tx = app.db.begin_write().await?;
            queries::part_in(&mut tx, id)
                .await?
                .ok_or(AppError::NotFound)?;
            match queries::update_part(&mut tx, id, version, &new).await {
                Err(e) if db::is_duplicate(&e) => same_name(),
                Ok(false) => return Err(AppError::Stale),
                done => {
                    done?;
                    let by = Some(user.id());
                    let thing = ("parts", id.0);
                    audit(&mut tx, app.clock.now(), by, thing, "changed", &new).await?;
                    tx.commit().await?;
                    let page = app.url(&format!("/shelf/parts/{}", id.0));
                    return Ok(Redirect::to(&page).into_response());
                }
            }
        }
        Err(errors) => errors,
    };
    let page = EditPage::new(&app, &user, Some(id), fields, errors);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}
