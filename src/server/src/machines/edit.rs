//! Adding a machine, changing its record, and proving its feed.

use super::form::{Lists, MachineInput, NewMachine, NewMotor};
use super::queries::Motors;
use super::show::{find_machine, motor};
use super::{Machine, MachineId, facts, papers, queries};
use crate::audit::audit;
use crate::clock::{Millis, date_value};
use crate::db::{self, Tx};
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors, Fields};
use crate::motors::plate_form::{PlateGroup, PlateInput};
use crate::motors::{self, Motor, MotorId, plate_read};
use crate::page::{Layout, Page};
use crate::panels::CircuitId;
use crate::panels::choice::{self, Offered};
use crate::people::{CurrentUser, PersonId, Role};
use crate::photos;
use crate::photos::plates::{self, Beside};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::json;

#[derive(Template)]
#[template(path = "machines/edit.html")]
struct EditPage {
    layout: Layout,
    /// `None` for a new one.
    machine: Option<Machine>,
    input: MachineInput,
    errors: FieldErrors,
    places: Vec<(String, String)>,
    circuits: Offered,
    facts: Vec<facts::FormGroup>,
    fitted: Vec<PlateGroup>,
    design: Vec<PlateGroup>,
    fitted_read: plate_read::Shown,
    design_read: plate_read::Shown,
    photos: Vec<Beside>,
}

impl EditPage {
    fn new(
        app: &AppState,
        user: &CurrentUser,
        machine: Option<Machine>,
        input: MachineInput,
        errors: FieldErrors,
        lists: &Lists,
    ) -> Page<EditPage> {
        let units = app.units();
        let plate = |prefix| PlateInput::from_typed(&input.0, prefix).groups(units, &errors);
        Page(EditPage {
            layout: Layout::new(app, &user.visitor, "Machines"),
            places: lists
                .places
                .iter()
                .map(|p| (p.id.to_string(), p.path.clone()))
                .collect(),
            circuits: Offered::new(lists.circuits.clone(), lists.many),
            facts: facts::groups(&input.0, units, &errors),
            fitted: plate("fitted_"),
            design: plate("design_"),
            fitted_read: plate_read::Shown::of(&input.0, "fitted_", units, &errors),
            design_read: plate_read::Shown::of(&input.0, "design_", units, &errors),
            photos: lists.photos.clone(),
            machine,
            input,
            errors,
        })
    }
}

pub(crate) async fn lists(
    app: &AppState,
    machine: Option<MachineId>,
    input: &MachineInput,
) -> Result<Lists, AppError> {
    let offered = choice::offered(&app.db, &[input.get("circuit_id")]).await?;
    Ok(Lists {
        places: queries::places(&app.db).await?,
        circuits: offered.circuits,
        many: offered.many,
        photos: match machine {
            Some(machine) => plates::of_machine(app, machine).await?,
            None => Vec::new(),
        },
    })
}

pub async fn new(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let mut input = MachineInput::default();
    input.0.put("criticality", "ordinary");
    let errors = FieldErrors::default();
    let lists = lists(&app, None, &input).await?;
    Ok(EditPage::new(&app, &user, None, input, errors, &lists).into_response())
}

pub async fn edit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let machine = find_machine(&app, id).await?;
    let fitted = motor(&app, machine.fitted_motor_id).await?;
    let design = motor(&app, machine.design_motor_id).await?;
    let input = MachineInput::from_machine(&machine, fitted.as_ref(), design.as_ref(), app.units());
    let errors = FieldErrors::default();
    let mut input = input;
    if let Some(fitted) = &fitted {
        let source = photos::queries::plate_source(&app.db, fitted.id).await?;
        input.0.put("fitted_photo", source.unwrap_or_default());
    }
    let lists = lists(&app, Some(machine.id), &input).await?;
    Ok(EditPage::new(&app, &user, Some(machine), input, errors, &lists).into_response())
}

pub(crate) const DUPLICATE: &str = "Another machine has this tag";

pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let input = MachineInput::from_fields(&fields);
    let lists = lists(&app, None, &input).await?;
    if let Some(read) = plate_read::pressed(&input.0, app.units()) {
        let (input, errors) = (MachineInput(read), FieldErrors::default());
        return Ok(EditPage::new(&app, &user, None, input, errors, &lists).into_response());
    }
    let refused = |errors| {
        let page = EditPage::new(&app, &user, None, input.clone(), errors, &lists);
        Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
    };
    let parsed = input.parse(app.units(), &lists, app.today());
    let new = match parsed.and_then(|new| asked(&input, new, [None, None])) {
        Ok(new) => new,
        Err(errors) => return refused(errors),
    };
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let motors = Motors {
        design: keep_or_add(&mut tx, new.design.as_ref(), None).await?,
        fitted: keep_or_add(&mut tx, new.fitted.as_ref(), None).await?,
    };
    let id = match keep_new(&mut tx, &new, motors, user.id(), now).await {
        Err(e) if db::is_duplicate(&e) => return refused(FieldErrors::of("tag", DUPLICATE)),
        kept => kept?,
    };
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/machines/{}", id.0))).into_response())
}

pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let machine = find_machine(&app, id).await?;
    let input = MachineInput::from_fields(&fields);
    let lists = lists(&app, Some(machine.id), &input).await?;
    if let Some(read) = plate_read::pressed(&input.0, app.units()) {
        let (input, errors) = (MachineInput(read), FieldErrors::default());
        let page = EditPage::new(&app, &user, Some(machine), input, errors, &lists);
        return Ok(page.into_response());
    }
    let refused = |errors| {
        let page = EditPage::new(
            &app,
            &user,
            Some(machine.clone()),
            input.clone(),
            errors,
            &lists,
        );
        Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
    };
    let recorded = [
        motor(&app, machine.fitted_motor_id).await?,
        motor(&app, machine.design_motor_id).await?,
    ];
    let parsed = input.parse(app.units(), &lists, app.today());
    let kept = machine.before_you_go.clone(); // it has its own page
    let parsed = parsed.map(|new| NewMachine {
        before_you_go: kept,
        ..new
    });
    let new = match parsed.and_then(|new| asked(&input, new, recorded)) {
        Ok(new) if proof_is_of_another_circuit(&machine, &new) => {
            let message = "The circuit was changed: prove the feed again, or clear date and name";
            return refused(FieldErrors::of("feed_proved_on", message));
        }
        Ok(new) => new,
        Err(errors) => return refused(errors),
    };
    let mut tx = app.db.begin_write().await?;
    let version = input.get("version").parse().unwrap_or(-1);
    if !queries::claim(&mut tx, machine.id, version).await? {
        return Err(AppError::Stale);
    }
    let motors = motors_after(&app, &mut tx, &machine, &new).await?;
    let (by, now) = (user.id(), app.clock.now());
    let photo = input.get("fitted_photo");
    if let (Some(motor), Some(photo)) = (
        motors.fitted,
        lists.photos.iter().find(|one| one.sha == photo),
    ) {
        photos::queries::set_plate_source(&mut tx, motor, &photo.sha, by, now).await?;
    }
    match keep_change(&mut tx, &machine, &new, motors, by, now).await {
        Err(e) if db::is_duplicate(&e) => return refused(FieldErrors::of("tag", DUPLICATE)),
        kept => kept?,
    }
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/machines/{id}"))).into_response())
}

/// Writes a new machine, its note and its line in the audit list.
pub(crate) async fn keep_new(
    tx: &mut Tx,
    new: &NewMachine,
    motors: Motors,
    by: PersonId,
    now: Millis,
) -> sqlx::Result<MachineId> {
    let id = queries::insert(tx, new, motors, now).await?;
    motors::units::put_right(tx, id, motors.fitted, now).await?;
    if !new.before_you_go.is_empty() {
        let text = &new.before_you_go;
        papers::queries::insert_note(tx, id, text, Some(by), Some(now)).await?;
    }
    let is = json!({ "tag": new.tag, "name": new.name });
    audit(tx, now, Some(by), ("machines", id.0), "add", &is).await?;
    Ok(id)
}

/// Writes a claimed machine and its line in the audit list.
pub(crate) async fn keep_change(
    tx: &mut Tx,
    was: &Machine,
    new: &NewMachine,
    motors: Motors,
    by: PersonId,
    now: Millis,
) -> sqlx::Result<()> {
    if motors.fitted != was.fitted_motor_id {
        motors::units::put_right(tx, was.id, motors.fitted, now).await?;
    }
    queries::update(tx, was.id, new, motors).await?;
    let detail = changes(was, new, motors);
    audit(tx, now, Some(by), ("machines", was.id.0), "change", &detail).await
}

/// Plates that cannot be true as they stand are asked about before they are kept.
fn asked(
    input: &MachineInput,
    new: NewMachine,
    [fitted, design]: [Option<Motor>; 2],
) -> Result<NewMachine, FieldErrors> {
    let mut errors = FieldErrors::default();
    for (prefix, typed, recorded) in [
        ("fitted_", &new.fitted, fitted),
        ("design_", &new.design, design),
    ] {
        if let Some(typed) = typed {
            let recorded = recorded.as_ref().map(|motor| &motor.plate);
            plate_read::ask(&mut errors, &input.0, prefix, &typed.plate, recorded);
        }
    }
    errors.or(new)
}

/// The date and name that stand were proved on the circuit that was there before.
fn proof_is_of_another_circuit(machine: &Machine, new: &NewMachine) -> bool {
    machine.circuit_id != new.circuit_id
        && new.feed_proved_on.is_some()
        && machine.feed_proved_on == new.feed_proved_on
}

/// A motor whose plate was changed here becomes a motor of its own: the shelf, suppliers' lists and
/// past jobs may hold the row that was there.
async fn keep_or_add(
    tx: &mut Tx,
    typed: Option<&NewMotor>,
    recorded: Option<Motor>,
) -> sqlx::Result<Option<MotorId>> {
    match (typed, recorded) {
        (None, _) => Ok(None),
        (Some(typed), Some(recorded)) if typed.is(&recorded) => Ok(Some(recorded.id)),
        (Some(typed), _) => queries::insert_motor(tx, typed).await.map(Some),
    }
}

async fn motors_after(
    app: &AppState,
    tx: &mut Tx,
    machine: &Machine,
    new: &NewMachine,
) -> Result<Motors, AppError> {
    let fitted = motor(app, machine.fitted_motor_id).await?;
    let design = motor(app, machine.design_motor_id).await?;
    Ok(Motors {
        design: keep_or_add(tx, new.design.as_ref(), design).await?,
        fitted: keep_or_add(tx, new.fitted.as_ref(), fitted).await?,
    })
}

fn changes(was: &Machine, new: &NewMachine, motors: Motors) -> serde_json::Value {
    json!({
        "was": {
            "tag": was.tag, "name": was.name, "kind": was.kind, "serves": was.serves,
            "place": was.place_id, "how much it matters": was.criticality,
            "circuit": was.circuit_id, "feed_proved_on": was.feed_proved_on.map(date_value),
            "feed_proved_by": was.feed_proved_by, "installed_on": was.installed_on.map(date_value),
            "retired_on": was.retired_on.map(date_value), "before_you_go": was.before_you_go,
            "facts": was.facts, "fitted": was.fitted_motor_id, "design": was.design_motor_id,
        },
        "is": {
            "tag": new.tag, "name": new.name, "kind": new.kind, "serves": new.serves,
            "place": new.place_id, "how much it matters": new.criticality,
            "circuit": new.circuit_id, "feed_proved_on": new.feed_proved_on.map(date_value),
            "feed_proved_by": new.feed_proved_by, "installed_on": new.installed_on.map(date_value),
            "retired_on": new.retired_on.map(date_value), "before_you_go": new.before_you_go,
            "facts": new.facts, "fitted": motors.fitted, "design": motors.design,
        },
    })
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct FeedInput {
    /// The circuit the person was looking at.
    pub circuit_id: i64,
}

/// A technician or supervisor proved today that the recorded circuit feeds the machine.
pub async fn prove_feed(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<FeedInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let machine = find_machine(&app, id).await?;
    let circuit = CircuitId(input.circuit_id);
    let (on, by) = (app.today(), &user.person.name);
    let mut tx = app.db.begin_write().await?;
    if !queries::prove_feed(&mut tx, MachineId(id), circuit, on, by).await? {
        return Err(AppError::Stale);
    }
    let detail = json!({
        "was": machine.feed_proved_on.map(date_value), "is": date_value(on), "circuit": circuit,
    });
    let thing = ("machines", machine.id.0);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "prove feed",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/machines/{id}"))).into_response())
}
