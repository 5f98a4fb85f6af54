//! `/photos/of/{thing}`: photos of a machine, a motor or a part itself: how it looks on the shelf,
//! what it is told by. Photos of work belong to its job.

use super::shown::Thumb;
use super::shrink::Shrunk;
use super::thing_queries::{self as queries, Own};
use super::upload::{Sent, message};
use super::{shrink::Problem, taking};
use crate::audit::audit;
use crate::clock::Zone;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde_json::json;

/// Photos that one thing shows at most.
pub const MOST: i64 = 12;
const LONGEST_CAPTION: usize = 200;
const WRITERS: &[Role] = &[Role::Technician, Role::Storekeeper, Role::Supervisor];

/// What a photo is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Thing {
    Machine(i64),
    Motor(i64),
    Part(i64),
}

impl Thing {
    /// `machine-3`, as in addresses.
    pub fn word(self) -> String {
        match self {
            Thing::Machine(id) => format!("machine-{id}"),
            Thing::Motor(id) => format!("motor-{id}"),
            Thing::Part(id) => format!("part-{id}"),
        }
    }

    fn named(text: &str) -> Result<Thing, AppError> {
        let parted = text.split_once('-');
        let id = parted.and_then(|(_, id)| id.parse().ok());
        match (parted, id) {
            (Some(("machine", _)), Some(id)) => Ok(Thing::Machine(id)),
            (Some(("motor", _)), Some(id)) => Ok(Thing::Motor(id)),
            (Some(("part", _)), Some(id)) => Ok(Thing::Part(id)),
            _ => Err(AppError::NotFound),
        }
    }

    /// Its own page.
    fn page(self) -> String {
        match self {
            Thing::Machine(id) => format!("/machines/{id}"),
            Thing::Motor(id) => format!("/shelf/motors/{id}"),
            Thing::Part(id) => format!("/shelf/parts/{id}"),
        }
    }

    /// As the audit list names it.
    fn row(self) -> (&'static str, i64) {
        match self {
            Thing::Machine(id) => ("machines", id),
            Thing::Motor(id) => ("motors", id),
            Thing::Part(id) => ("parts", id),
        }
    }

    fn menu(self) -> &'static str {
        match self {
            Thing::Machine(_) => "Machines",
            Thing::Motor(_) | Thing::Part(_) => "Shelf",
        }
    }
}

/// The photos as pages of their things show them.
pub async fn thumbs(app: &AppState, thing: Thing) -> sqlx::Result<Vec<Thumb>> {
    let own = queries::of(&app.db, thing).await?;
    Ok(own.iter().map(Own::thumb).collect())
}

#[derive(Template)]
#[template(path = "photos/thing.html")]
struct ThingPage {
    layout: Layout,
    thing: Thing,
    name: String,
    photos: Vec<Own>,
    zone: Zone,
    writes: bool,
    caption: String,
    errors: FieldErrors,
    /// A photo was chosen on the page that was refused; no browser keeps that.
    choose_again: bool,
}

impl ThingPage {
    fn when(&self, photo: &Own) -> String {
        self.zone.minute_words(photo.taken_at)
    }
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    thing: Thing,
    (caption, errors): (&str, FieldErrors),
) -> Result<ThingPage, AppError> {
    let name = queries::name(&app.db, thing).await?;
    Ok(ThingPage {
        layout: Layout::new(app, &user.visitor, thing.menu()),
        name: name.ok_or(AppError::NotFound)?,
        photos: queries::of(&app.db, thing).await?,
        zone: app.zone(),
        writes: WRITERS.contains(&user.person.role),
        caption: caption.to_owned(),
        errors,
        choose_again: false,
        thing,
    })
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(thing): Path<String>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let errors = FieldErrors::default();
    let page = page(&app, &user, Thing::named(&thing)?, ("", errors)).await?;
    Ok(Page(page).into_response())
}

pub async fn add(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(thing): Path<String>,
    sent: Sent<1>,
) -> Result<Response, AppError> {
    user.require(WRITERS)?;
    let thing = Thing::named(&thing)?;
    let caption = sent.fields.get("caption").to_owned();
    let chosen = !sent.photos.is_empty();
    let mut shown = page(&app, &user, thing, (&caption, sent.problems())).await?;
    if !chosen {
        shown.errors.add("photo", "Take a photo, or choose one");
    }
    if caption.chars().count() > LONGEST_CAPTION {
        shown.errors.add("caption", "Keep it under 200 characters");
    }
    if shown.photos.len() as i64 >= MOST {
        let message = "It shows 12 photos, which is the most. Take one away first";
        shown.errors.add("photo", message);
    }
    let photo = sent.taken().pop();
    if let Some(photo) = photo.filter(|_| shown.errors.is_empty()) {
        match keep(&app, &user, thing, photo, &caption).await? {
            Ok(()) => return Ok(there(&app, thing)),
            Err(problem) => shown.errors.add("photo", message("", problem)),
        }
    }
    shown.choose_again = chosen;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(shown)).into_response())
}

fn there(app: &AppState, thing: Thing) -> Response {
    Redirect::to(&app.url(&format!("/photos/of/{}", thing.word()))).into_response()
}

/// The files first, then the row; the files go again where the row does not come.
async fn keep(
    app: &AppState,
    user: &CurrentUser,
    thing: Thing,
    photo: Shrunk,
    caption: &str,
) -> Result<Result<(), Problem>, AppError> {
    let held = app.photos.hold().await;
    let put = taking::put(app, vec![photo], "other", caption).await;
    let photo = match put.map(|mut put| put.pop()) {
        Ok(Some(photo)) => photo,
        Ok(None) => return Ok(Err(Problem::NotStored)),
        Err(problem) => return Ok(Err(problem)),
    };
    let now = app.clock.now();
    let written = async {
        let mut tx = app.db.begin_write().await?;
        queries::insert(&mut tx, thing, &photo, (user.id(), now)).await?;
        let detail = json!({ "photo": photo.sha, "caption": caption });
        audit(
            &mut tx,
            now,
            Some(user.id()),
            thing.row(),
            "photo added",
            &detail,
        )
        .await?;
        tx.commit().await
    };
    let written: sqlx::Result<()> = written.await;
    drop(held);
    if written.is_err() {
        taking::tidy(app, &[photo.sha, photo.thumb]).await?;
    }
    Ok(Ok(written?))
}

/// Takes a photo away.
pub async fn withdraw(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(thing): Path<String>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WRITERS)?;
    let thing = Thing::named(&thing)?;
    let id = fields.get("id").parse().unwrap_or(0);
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let gone = queries::withdraw(&mut tx, thing, id, now).await?;
    let (sha, thumb) = gone.ok_or(AppError::NotFound)?;
    let detail = json!({ "photo": sha });
    audit(
        &mut tx,
        now,
        Some(user.id()),
        thing.row(),
        "photo taken away",
        &detail,
    )
    .await?;
    tx.commit().await?;
    taking::tidy(&app, &[sha, thumb]).await?;
    Ok(there(&app, thing))
}
