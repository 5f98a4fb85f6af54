//! `/machines/{id}/parts`: the parts list of a machine, each part with where it sits.

use super::queries::{self, ListLine};
use super::{KEEPERS, PartId, form};
use crate::audit::audit;
use crate::db;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::machines::show::find_machine;
use crate::machines::{Machine, MachineId};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde_json::json;

/// Who writes parts lists: whoever finds out at the machine what is in it.
const WRITERS: &[Role] = &[Role::Technician, Role::Storekeeper, Role::Supervisor];

/// Parts that a list to choose from holds.
const LISTED: i64 = 200;

#[derive(Template)]
#[template(path = "stores/machine_parts.html")]
struct MachinePartsPage {
    layout: Layout,
    machine: Machine,
    list: Vec<ListLine>,
    parts: Vec<(String, String)>,
    /// There are more parts than a list holds: one is named.
    many: bool,
    writes: bool,
    keeps: bool,
    fields: Fields,
    errors: FieldErrors,
}

impl MachinePartsPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        machine: Machine,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let mut names = queries::part_names(&app.db, LISTED + 1).await?;
        let many = names.len() as i64 > LISTED;
        if many {
            names.truncate(1);
        }
        let words = |(id, name, kind): (PartId, String, String)| {
            (id.0.to_string(), format!("{name} ({kind})"))
        };
        Ok(MachinePartsPage {
            layout: Layout::new(app, &user.visitor, "Machines"),
            list: queries::machine_list(&app.db, machine.id).await?,
            parts: names.into_iter().map(words).collect(),
            many,
            writes: WRITERS.contains(&user.person.role),
            keeps: KEEPERS.contains(&user.person.role),
            machine,
            fields,
            errors,
        })
    }

    fn typed(&self, name: &str) -> String {
        self.fields.get(name).to_owned()
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let machine = find_machine(&app, id).await?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = MachinePartsPage::load(&app, &user, machine, fields, errors).await?;
    Ok(Page(page).into_response())
}

async fn write(
    app: &AppState,
    user: &CurrentUser,
    machine: MachineId,
    fields: &Fields,
) -> Result<(), Result<FieldErrors, AppError>> {
    let broken = |e: sqlx::Error| Err(AppError::Database(e));
    let mut fields = fields.clone();
    let named = queries::part_named(&app.db, fields.get("part_name")).await;
    if let Some(part) = named.map_err(broken)? {
        fields.0.push(("part".to_owned(), part.0.to_string()));
    }
    let new = form::line(&fields).map_err(|errors| match fields.get("part_name") {
        "" => Ok(errors),
        _ => Ok(errors.renamed("part", "part_name")),
    })?;
    let mut tx = app.db.begin_write().await.map_err(broken)?;
    let found = queries::part_in(&mut tx, new.part).await.map_err(broken)?;
    if found.is_none() {
        return Err(Ok(FieldErrors::of("part", "Choose the part")));
    }
    let made = queries::insert_line(
        &mut tx, machine, &new.place, new.part, new.amount, &new.note,
    )
    .await;
    if made.as_ref().is_err_and(db::is_duplicate) {
        let message = "This part is on the list at this place already";
        return Err(Ok(FieldErrors::of("place", message)));
    }
    made.map_err(broken)?;
    let detail = json!({ "place": new.place, "part": new.part, "amount": new.amount });
    let thing = ("machines", machine.0);
    let by = Some(user.id());
    let act = "part put on its list";
    audit(&mut tx, app.clock.now(), by, thing, act, &detail)
        .await
        .map_err(broken)?;
    tx.commit().await.map_err(broken)
}

pub async fn add(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WRITERS)?;
    let machine = find_machine(&app, id).await?;
    match write(&app, &user, machine.id, &fields).await {
        Ok(()) => Ok(Redirect::to(&app.url(&format!("/machines/{id}/parts"))).into_response()),
        Err(Err(error)) => Err(error),
        Err(Ok(errors)) => {
            let page = MachinePartsPage::load(&app, &user, machine, fields, errors).await?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(page)).into_response())
        }
    }
}

/// Takes a line off the list; the audit list keeps it.
pub async fn remove(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((id, line)): Path<(i64, i64)>,
    fields: Fields,
) -> Result<Response, AppError> {
    let _ = fields;
    user.require(WRITERS)?;
    let mut tx = app.db.begin_write().await?;
    let (place, part) = queries::delete_line(&mut tx, MachineId(id), line)
        .await?
        .ok_or(AppError::NotFound)?;
    let detail = json!({ "place": place, "part": part });
    let thing = ("machines", id);
    let act = "part taken off its list";
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        act,
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/machines/{id}/parts"))).into_response())
}
