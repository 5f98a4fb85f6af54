//! The isolation sheet of a machine: shown, printed, revised and inspected.

mod around;
pub mod form;
pub mod queries;

use super::cautions::{self, Known};
use super::show::{feed, find_machine, find_place, motor};
use super::{IsolationSheet, Machine, MachineId, Source};
use crate::audit::audit;
use crate::clock::{Zone, date_value, date_words};
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors, Fields};
use crate::jobs::gate::Lock;
use crate::page::{Layout, Page};
use crate::panels::choice::Offered;
use crate::people::{CurrentUser, Role};
use crate::rows::words_of;
use crate::state::AppState;
use crate::{jobs, machines};
use around::{Around, around};
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use form::{DEAD_TESTS, NEW, NewSheet, SOURCE_KINDS, SheetInput};
use serde::Deserialize;
use serde_json::json;
use time::Date;

/// When a sheet was inspected, and whether the year is over.
pub fn inspection_words(sheet: &IsolationSheet, today: Date) -> String {
    match sheet.inspected_on {
        None => "not inspected".to_owned(),
        Some(on) => {
            let late = cautions::inspection_overdue(sheet.inspected_on, today);
            let late = if late {
                "; the yearly inspection is overdue"
            } else {
                ""
            };
            format!(
                "inspected {} by {}{late}",
                date_words(on),
                sheet.inspected_by
            )
        }
    }
}

#[derive(Template)]
#[template(path = "machines/isolation.html")]
struct SheetPage {
    layout: Layout,
    machine: Machine,
    place: machines::queries::Place,
    sheet: Option<IsolationSheet>,
    revisions: Vec<queries::Revision>,
    cautions: Vec<String>,
    locks: Vec<Lock>,
    input: InspectionInput,
    errors: FieldErrors,
    today: Date,
    zone: Zone,
    printed: String,
    may_edit: bool,
}

impl SheetPage {
    fn kind(&self, source: &Source) -> String {
        words_of(SOURCE_KINDS, &source.kind)
    }

    fn dead_test(&self, source: &Source) -> String {
        words_of(DEAD_TESTS, &source.dead_test)
    }

    fn inspection(&self, sheet: &IsolationSheet) -> String {
        inspection_words(sheet, self.today)
    }

    fn day(&self, date: &Date) -> String {
        date_words(*date)
    }
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct InspectionInput {
    pub revision: i64,
    pub inspected_on: String,
    pub inspected_by: String,
}

async fn sheet_page(
    app: &AppState,
    user: &CurrentUser,
    machine: Machine,
    input: InspectionInput,
    errors: FieldErrors,
) -> Result<Page<SheetPage>, AppError> {
    let sheet = machines::queries::isolation_sheet(&app.db, machine.id).await?;
    let (_, labels_wrong) = feed(app, &machine).await?;
    let fitted = motor(app, machine.fitted_motor_id).await?;
    let plates: Vec<_> = fitted.iter().map(|m| &m.plate).collect();
    let today = app.today();
    let place = find_place(app, machine.place_id).await?;
    let cautions = cautions::cautions(&Known {
        machine: &machine,
        plates: &plates,
        sheet: sheet.as_ref(),
        labels_wrong,
        on_roof: place.kind == "roof",
        units: app.units(),
        today,
    });
    Ok(Page(SheetPage {
        layout: Layout::new(app, &user.visitor, "Machines"),
        place,
        revisions: queries::revisions(&app.db, machine.id).await?,
        cautions,
        locks: jobs::queries::locks_shown(&app.db, machine.id).await?,
        printed: app.zone().minute_words(app.clock.now()),
        zone: app.zone(),
        may_edit: user.person.role == Role::Supervisor,
        machine,
        sheet,
        input,
        errors,
        today,
    }))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let machine = find_machine(&app, id).await?;
    let input = InspectionInput {
        inspected_on: date_value(app.today()),
        ..InspectionInput::default()
    };
    let page = sheet_page(&app, &user, machine, input, FieldErrors::default()).await?;
    Ok(page.into_response())
}

/// A yearly inspection was made of the newest sheet.
pub async fn inspect(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<InspectionInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let machine = find_machine(&app, id).await?;
    let mut errors = FieldErrors::default();
    let on = crate::form::date(&input.inspected_on, "Enter the day of the inspection");
    let on = on.and_then(|on| match on > app.today() {
        true => Err("This day has not come yet".to_owned()),
        false => Ok(Some(on)),
    });
    let on = errors.take("inspected_on", on);
    let by = crate::form::required(&input.inspected_by, "Enter who inspected the sheet");
    let by = errors.take("inspected_by", by);
    let Some(on) = on.filter(|_| errors.is_empty()) else {
        let page = sheet_page(&app, &user, machine, input, errors).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    let sheet = machines::queries::isolation_sheet(&app.db, machine.id).await?;
    let sheet = sheet.ok_or(AppError::NotFound)?;
    let mut tx = app.db.begin_write().await?;
    queries::hold(&mut tx, machine.id).await?;
    if queries::newest(&mut tx, machine.id).await? != input.revision {
        return Err(AppError::Stale);
    }
    queries::inspect(&mut tx, sheet.id, on, &by).await?;
    let detail = json!({ "revision": sheet.revision, "on": date_value(on), "by": by,
        "was": sheet.inspected_on.map(date_value) });
    let thing = ("isolation_sheets", sheet.id);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "inspect",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/machines/{id}/isolation"))).into_response())
}

/// Fields of one source that the form can add.
struct NewRow {
    prefix: &'static str,
    number: usize,
    open: bool,
}

impl NewRow {
    fn name(&self, field: &str) -> String {
        format!("{}{field}", self.prefix)
    }
}

#[derive(Template)]
#[template(path = "machines/isolation_edit.html")]
struct EditPage {
    layout: Layout,
    machine: Machine,
    input: SheetInput,
    errors: FieldErrors,
    /// On the sheet now.
    ours: Vec<Source>,
    others: Vec<Source>,
    /// Others are more than a list holds: those near by, or of the machine that was asked for.
    near: bool,
    with: String,
    circuits: Offered,
    rows: Vec<NewRow>,
}

impl EditPage {
    fn ticked(&self, source: &Source) -> bool {
        self.input.sources.contains(&source.id)
    }
}

fn edit_page(
    app: &AppState,
    user: &CurrentUser,
    machine: &Machine,
    around: &Around,
    input: SheetInput,
    errors: FieldErrors,
) -> Page<EditPage> {
    let ours = around
        .sheet
        .as_ref()
        .map(|sheet| sheet.sources.clone())
        .unwrap_or_default();
    let is_ours = |source: &Source| ours.iter().any(|o| o.id == source.id);
    let row = |(at, prefix): (usize, &&'static str)| {
        let open = input.is_used(prefix) || (at == 0 && around.sheet.is_none());
        NewRow {
            prefix,
            number: at + 1,
            open,
        }
    };
    Page(EditPage {
        layout: Layout::new(app, &user.visitor, "Machines"),
        machine: machine.clone(),
        others: around
            .sources
            .iter()
            .filter(|s| !is_ours(s))
            .cloned()
            .collect(),
        circuits: around.circuits.clone(),
        near: around.near,
        with: around.with.clone(),
        rows: NEW.iter().enumerate().map(row).collect(),
        ours,
        input,
        errors,
    })
}

/// The tag of a machine whose sources are asked for.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct With {
    with: String,
}

pub async fn edit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    Query(asked): Query<With>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let machine = find_machine(&app, id).await?;
    let mut input = SheetInput::default();
    let around = around(&app, &machine, (asked.with.trim(), &input)).await?;
    let revision = around.sheet.as_ref().map_or(0, |sheet| sheet.revision);
    input.typed.put("revision", revision.to_string());
    if let Some(sheet) = &around.sheet {
        input.typed.put("steps", &sheet.steps);
        input.typed.put("tell_first", &sheet.before.tell_first);
        input.typed.put("keys_needed", &sheet.before.keys_needed);
        input.typed.put("interlocks", &sheet.before.interlocks);
        input.sources = sheet.sources.iter().map(|source| source.id).collect();
    }
    Ok(edit_page(
        &app,
        &user,
        &machine,
        &around,
        input,
        FieldErrors::default(),
    )
    .into_response())
}

pub async fn revise(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let machine = find_machine(&app, id).await?;
    let input = SheetInput::from_fields(&fields);
    let mut around = around(&app, &machine, (fields.get("with"), &input)).await?;
    // A device that is typed once more is looked for among all sources, however many there are.
    let known = queries::all_sources(&app.db).await?;
    around.show_devices(&known, &input);
    let refused = |errors| {
        let page = edit_page(&app, &user, &machine, &around, input.clone(), errors);
        Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
    };
    let new = match input.parse(&known, &around.circuits.circuits) {
        Ok(new) => new,
        Err(errors) => return refused(errors),
    };
    let mut tx = app.db.begin_write().await?;
    // The machine and its sources: a lock going on in the meantime waits.
    jobs::queries::guard_machine(&mut tx, machine.id).await?;
    let newest = queries::newest(&mut tx, machine.id).await?;
    if newest != input.from_revision() {
        return Err(AppError::Stale);
    }
    let locks = jobs::queries::standing_locks(&mut tx, machine.id).await?;
    if let Some(lock) = locks
        .iter()
        .find(|lock| !new.known.contains(&lock.source_id))
    {
        let message = format!(
            "Lock {} of {} stands on {}: it cannot leave the sheet now",
            lock.lock_number, lock.person, lock.source
        );
        return refused(FieldErrors::of("source", message));
    }
    write(&app, &user, &mut tx, machine.id, newest + 1, &new).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/machines/{id}/isolation"))).into_response())
}

async fn write(
    app: &AppState,
    user: &CurrentUser,
    tx: &mut crate::db::Tx,
    machine: MachineId,
    revision: i64,
    new: &NewSheet,
) -> Result<(), AppError> {
    let now = app.clock.now();
    let mut sources = new.known.clone();
    for source in &new.added {
        sources.push(queries::insert_source(tx, source).await?);
    }
    let sheet = queries::insert_sheet(tx, machine, revision, new, now, user.id()).await?;
    for (position, source) in (1..).zip(&sources) {
        queries::add_source(tx, sheet, *source, position).await?;
    }
    let detail = json!({ "machine": machine, "revision": revision, "sources": sources });
    let thing = ("isolation_sheets", sheet);
    audit(tx, now, Some(user.id()), thing, "revise", &detail).await?;
    Ok(())
}
