//! What the shelf shows.

use super::form::{self, CountInput, Goes, ListInput};
use super::queries::{self, Held, Listed, OnMachine, SupplierList};
use crate::clock::date_words;
use crate::error::AppError;
use crate::fit::candidates::{lead_words, price_words};
use crate::form::{FieldErrors, Fields};
use crate::motors::plate_form::{PlateGroup, PlateInput};
use crate::motors::plate_read::Shown;
use crate::motors::plate_show::{PlateLine, plate_lines, plate_words};
use crate::motors::{self, Motor, MotorId};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::photos::shown::Thumb;
use crate::photos::things::{self, Thing};
use crate::rows::Typed;
use crate::state::AppState;
use askama::Template;
use axum::response::{IntoResponse, Response};
use calc::plate::Plate;
use serde_json::Value;

/// Rows found on lists that one page shows.
pub const FOUND: usize = 100;

/// A motor in a table, with its words.
pub struct Row {
    pub id: i64,
    pub name: String,
    pub plate: String,
    pub ended: bool,
    /// Bin, or the list.
    pub place: String,
    pub list_id: i64,
    pub held: i64,
    pub price: String,
    pub lead: String,
}

/// The plate in one line for tables and fit pages.
pub fn words(app: &AppState, plate: &Plate) -> String {
    let words = plate_words(plate, app.units());
    if words.is_empty() {
        "plate not known".to_owned()
    } else {
        words
    }
}

fn held_row(app: &AppState, held: Held, currency: &str) -> Row {
    Row {
        id: held.id.0,
        plate: words(app, &held.plate.0),
        name: held.name,
        ended: held.made == "ended",
        place: held.bin,
        list_id: 0,
        held: held.held,
        price: price_words(held.price_minor, currency),
        lead: String::new(),
    }
}

fn listed_row(app: &AppState, listed: Listed, currency: &str) -> Row {
    Row {
        id: listed.id.0,
        plate: words(app, &listed.plate.0),
        name: listed.name,
        ended: listed.made == "ended",
        place: listed.list_name,
        list_id: listed.list_id,
        held: 0,
        price: price_words(listed.price_minor, currency),
        lead: lead_words(listed.lead_days),
    }
}

/// Every word looked for stands somewhere in the row.
fn found(row: &Row, plate_text: &str, wanted: &[String]) -> bool {
    let text = format!("{} {} {} {}", row.name, row.plate, plate_text, row.place).to_lowercase();
    wanted.iter().all(|word| text.contains(word))
}

fn currency(app: &AppState) -> String {
    app.shop().map_or_else(String::new, |shop| shop.currency)
}

fn keeps(user: &CurrentUser) -> bool {
    matches!(user.person.role, Role::Storekeeper | Role::Supervisor)
}

#[derive(Template)]
#[template(path = "shelf/list.html")]
pub struct ShelfPage {
    layout: Layout,
    keeps: bool,
    q: String,
    held: Vec<Row>,
    listed: Vec<Row>,
    found: usize,
    lists: Vec<SupplierList>,
}

impl ShelfPage {
    pub fn new(
        app: &AppState,
        user: &CurrentUser,
        q: String,
        held: Vec<Held>,
        listed: Vec<Listed>,
        lists: Vec<SupplierList>,
    ) -> Page<Self> {
        let wanted: Vec<String> = q.split_whitespace().map(str::to_lowercase).collect();
        let currency = currency(app);
        let rows = held.into_iter().filter_map(|motor| {
            let text = motor.plate_text.clone();
            Some(held_row(app, motor, &currency)).filter(|row| found(row, &text, &wanted))
        });
        let held = rows.collect();
        let rows = listed.into_iter();
        let mut listed: Vec<Row> = rows
            .map(|motor| listed_row(app, motor, &currency))
            .collect();
        let found = listed.len();
        listed.truncate(FOUND);
        let layout = Layout::new(app, &user.visitor, "Shelf");
        Page(ShelfPage {
            layout,
            keeps: keeps(user),
            q,
            held,
            listed,
            found,
            lists,
        })
    }
}

/// A correction of the count.
pub struct Correction {
    pub at: String,
    pub person: String,
    pub words: String,
}

#[derive(Template)]
#[template(path = "shelf/motor.html")]
pub struct MotorPage {
    layout: Layout,
    keeps: bool,
    motor: Motor,
    lines: Vec<PlateLine>,
    held: Option<Row>,
    listed: Vec<(Row, String)>,
    machines: Vec<OnMachine>,
    units: Vec<motors::units::Unit>,
    corrections: Vec<Correction>,
    own_photos: Vec<Thumb>,
    input: CountInput,
    errors: FieldErrors,
}

impl MotorPage {
    pub async fn load(
        app: &AppState,
        user: &CurrentUser,
        id: MotorId,
        input: CountInput,
    ) -> Result<MotorPage, AppError> {
        let motor = motors::queries::find(&app.db, id)
            .await?
            .ok_or(AppError::NotFound)?;
        let currency = currency(app);
        let held = queries::held_one(&app.db, id).await?;
        let listed = queries::listed_where(&app.db, id)
            .await?
            .into_iter()
            .map(|listed| {
                let day = date_words(listed.read_on);
                (listed_row(app, listed, &currency), day)
            });
        let zone = app.zone();
        let counts = queries::counts(&app.db, id)
            .await?
            .into_iter()
            .map(|(at, person, detail)| {
                let detail: Value = serde_json::from_str(&detail).unwrap_or_default();
                let reason = detail["reason"].as_str().unwrap_or_default();
                Correction {
                    at: zone.minute_words(at),
                    person: person.unwrap_or_default(),
                    words: format!("from {} to {}: {reason}", detail["was"], detail["is"]),
                }
            });
        Ok(MotorPage {
            layout: Layout::new(app, &user.visitor, "Shelf"),
            keeps: keeps(user),
            lines: plate_lines(&motor.plate, app.units()),
            held: held.map(|held| held_row(app, held, &currency)),
            listed: listed.collect(),
            machines: queries::on_machines(&app.db, id).await?,
            units: motors::units::queries::of_motor(&app.db, id).await?,
            corrections: counts.collect(),
            own_photos: things::thumbs(app, Thing::Motor(id.0)).await?,
            motor,
            input,
            errors: FieldErrors::default(),
        })
    }

    pub fn with(mut self, errors: FieldErrors) -> Response {
        self.errors = errors;
        Page(self).into_response()
    }

    fn made(&self) -> &'static str {
        form::made_words(&self.motor.made)
    }

    fn part(&self, machine: &OnMachine) -> &'static str {
        let is = |id: Option<MotorId>| id == Some(self.motor.id);
        match (is(machine.design_motor_id), is(machine.fitted_motor_id)) {
            (true, true) => "built with it, and fitted now",
            (true, false) => "built with it; another is fitted now",
            (false, _) => "fitted now; not the one it was built with, or that is not known",
        }
    }
}

#[derive(Template)]
#[template(path = "shelf/edit.html")]
pub struct EditPage {
    layout: Layout,
    /// `None`: a new one.
    id: Option<MotorId>,
    goes: Goes,
    list: Option<SupplierList>,
    fields: Fields,
    groups: Vec<PlateGroup>,
    read: Shown,
    errors: FieldErrors,
}

impl EditPage {
    /// The form with the fields as they were typed.
    pub fn new(
        app: &AppState,
        user: &CurrentUser,
        id: Option<MotorId>,
        goes: Goes,
        fields: Fields,
        errors: FieldErrors,
    ) -> EditPage {
        let typed = Typed::from_fields(&fields);
        let groups = PlateInput::from_typed(&typed, "").groups(app.units(), &errors);
        let layout = Layout::new(app, &user.visitor, "Shelf");
        EditPage {
            read: Shown::of(&typed, "", app.units(), &errors),
            layout,
            id,
            goes,
            list: None,
            fields,
            groups,
            errors,
        }
    }

    /// The form as the motor stands.
    pub fn of_motor(
        app: &AppState,
        user: &CurrentUser,
        motor: &Motor,
        goes: Goes,
        fields: Fields,
    ) -> EditPage {
        let units = app.units();
        let errors = FieldErrors::default();
        let plate = PlateInput::from_plate(&motor.plate, units, "");
        let groups = plate.groups(units, &errors);
        let mut typed = plate.into_typed();
        typed.put("plate_text", &motor.plate_text);
        let layout = Layout::new(app, &user.visitor, "Shelf");
        EditPage {
            read: Shown::of(&typed, "", units, &errors),
            layout,
            id: Some(motor.id),
            goes,
            list: None,
            fields,
            groups,
            errors,
        }
    }

    pub fn of_list(mut self, list: SupplierList) -> EditPage {
        self.list = Some(list);
        self
    }

    fn value(&self, name: &str) -> &str {
        self.fields.get(name)
    }

    fn action(&self) -> String {
        match (&self.list, self.id) {
            (Some(list), _) => format!("/shelf/lists/{}/motors/new", list.id),
            (None, Some(id)) => format!("/shelf/motors/{}/edit", id.0),
            (None, None) => "/shelf/motors/new".to_owned(),
        }
    }

    fn asks_bin(&self) -> bool {
        self.goes != Goes::List
    }

    fn asks_count(&self) -> bool {
        matches!(self.goes, Goes::Shelf | Goes::Changed { on_shelf: false })
    }
}

impl IntoResponse for EditPage {
    fn into_response(self) -> Response {
        Page(self).into_response()
    }
}

#[derive(Template)]
#[template(path = "shelf/list_new.html")]
pub struct NewListPage {
    layout: Layout,
    input: ListInput,
    errors: FieldErrors,
}

impl NewListPage {
    pub fn new(
        app: &AppState,
        user: &CurrentUser,
        input: ListInput,
        errors: FieldErrors,
    ) -> Page<Self> {
        Page(NewListPage {
            layout: Layout::new(app, &user.visitor, "Shelf"),
            input,
            errors,
        })
    }
}

#[derive(Template)]
#[template(path = "shelf/supplier.html")]
pub struct ListPage {
    layout: Layout,
    keeps: bool,
    list: SupplierList,
    motors: Vec<Row>,
}

impl ListPage {
    pub fn new(
        app: &AppState,
        user: &CurrentUser,
        list: SupplierList,
        motors: Vec<Listed>,
    ) -> Page<Self> {
        let currency = currency(app);
        Page(ListPage {
            layout: Layout::new(app, &user.visitor, "Shelf"),
            keeps: keeps(user),
            motors: motors
                .into_iter()
                .map(|m| listed_row(app, m, &currency))
                .collect(),
            list,
        })
    }
}
