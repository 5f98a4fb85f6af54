//! Adding a person, changing one, a new password, closing a sign-in.

use super::queries::{NewPerson, PersonChange};
use super::{CurrentUser, Person, PersonId, Role, password, queries};
use crate::audit::audit;
use crate::clock::date_value;
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::page::{Layout, Page};
use crate::shop::overview::{EDITORS, READERS};
use crate::state::AppState;
use crate::{db, jobs};
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::{Value, json};

pub const ROLES: &[(&str, &str)] = &[
    ("reporter", "reporter: reports what is wrong"),
    ("technician", "technician: does the work"),
    ("storekeeper", "storekeeper: keeps the shelf"),
    ("supervisor", "supervisor: hands out and signs off"),
    ("auditor", "auditor: reads everything, changes nothing"),
    ("keeper", "keeper: runs the installation"),
];

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct PersonInput {
    pub name: String,
    pub sign_in_name: String,
    pub role: String,
    pub authorised_on: String,
    pub qualified_on: String,
    pub hours_a_day: String,
    pub password: String,
    pub version: i64,
}

impl PersonInput {
    fn from_person(person: &Person, version: i64) -> Self {
        PersonInput {
            name: person.name.clone(),
            sign_in_name: person.sign_in_name.clone(),
            role: person.role.word().to_owned(),
            authorised_on: person.authorised_on.map(date_value).unwrap_or_default(),
            qualified_on: person.qualified_on.map(date_value).unwrap_or_default(),
            hours_a_day: person
                .hours_a_day
                .map_or_else(String::new, |h| h.to_string()),
            password: String::new(),
            version,
        }
    }

    fn parse(&self) -> Result<PersonChange, FieldErrors> {
        let mut errors = FieldErrors::default();
        let name = errors.take(
            "name",
            form::required(&self.name, "Enter the person's name"),
        );
        let sign_in = sign_in_name(&self.sign_in_name);
        let sign_in_name = errors.take("sign_in_name", sign_in);
        let role = Role::named(&self.role);
        if role.is_none() {
            errors.add("role", "Choose what this person may do");
        }
        let authorised_on = errors.take("authorised_on", form::optional_date(&self.authorised_on));
        let qualified_on = errors.take("qualified_on", form::optional_date(&self.qualified_on));
        let hours = form::optional_number(&self.hours_a_day).and_then(|hours| match hours {
            Some(hours) if !(0.0..=24.0).contains(&hours) => Err(
                "Enter the hours of a working day, as 8; blank where it is not known".to_owned(),
            ),
            hours => Ok(hours),
        });
        let hours_a_day = errors.take("hours_a_day", hours);
        let Some(role) = role else { return Err(errors) };
        errors.or(PersonChange {
            sign_in_name,
            name,
            role,
            authorised_on,
            qualified_on,
            hours_a_day,
        })
    }
}

/// Names are compared in small ASCII letters, in both databases.
pub fn sign_in_name(text: &str) -> Result<String, String> {
    let name = form::required(text, "Choose a name to sign in with")?;
    let plain = |c: char| c.is_ascii_alphanumeric() || "._-@".contains(c);
    if name.chars().all(plain) && name.len() <= 64 {
        Ok(name)
    } else {
        Err("Use letters a to z, digits, dot, dash, _ and @".to_owned())
    }
}

#[derive(Template)]
#[template(path = "people/edit.html")]
struct EditPage {
    layout: Layout,
    person: Option<Person>,
    input: PersonInput,
    errors: FieldErrors,
    may_edit: bool,
    own: bool,
}

impl EditPage {
    fn new(
        app: &AppState,
        user: &CurrentUser,
        person: Option<Person>,
        input: PersonInput,
        errors: FieldErrors,
    ) -> Page<EditPage> {
        Page(EditPage {
            layout: Layout::new(app, &user.visitor, "Shop"),
            may_edit: EDITORS.contains(&user.person.role),
            own: person.as_ref().is_some_and(|person| person.id == user.id()),
            person,
            // A password is never shown again.
            input: PersonInput {
                password: String::new(),
                ..input
            },
            errors,
        })
    }

    fn refused(
        app: &AppState,
        user: &CurrentUser,
        person: Option<Person>,
        input: PersonInput,
        errors: FieldErrors,
    ) -> Response {
        let page = EditPage::new(app, user, person, input, errors);
        (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
    }
}

const DUPLICATE: &str = "Another person has this sign-in name";

pub async fn new(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let input = PersonInput::default();
    Ok(EditPage::new(&app, &user, None, input, FieldErrors::default()).into_response())
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let person = find_person(&app, id).await?;
    let version = queries::version(&app.db, person.id).await?;
    let input = PersonInput::from_person(&person, version);
    Ok(EditPage::new(&app, &user, Some(person), input, FieldErrors::default()).into_response())
}

async fn find_person(app: &AppState, id: i64) -> Result<Person, AppError> {
    queries::find(&app.db, PersonId(id))
        .await?
        .ok_or(AppError::NotFound)
}

pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<PersonInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let mut errors = FieldErrors::default();
    let change = errors.gather(input.parse());
    if let Err(message) = password::check_new(&input.password) {
        errors.add("password", message);
    }
    let Some(change) = change.filter(|_| errors.is_empty()) else {
        return Ok(EditPage::refused(&app, &user, None, input, errors));
    };
    let hash = hash(&app, &input.password).await?;
    let new = NewPerson {
        sign_in_name: change.sign_in_name.clone(),
        name: change.name.clone(),
        role: change.role,
        password_hash: hash,
        authorised_on: change.authorised_on,
        qualified_on: change.qualified_on,
        hours_a_day: change.hours_a_day,
    };
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let id = match queries::insert(&mut tx, &new, now).await {
        Err(e) if db::is_duplicate(&e) => {
            let errors = FieldErrors::of("sign_in_name", DUPLICATE);
            return Ok(EditPage::refused(&app, &user, None, input, errors));
        }
        inserted => inserted?,
    };
    audit(
        &mut tx,
        now,
        Some(user.id()),
        ("people", id.0),
        "add",
        &facts(&change),
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop")).into_response())
}

pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PersonInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let person = find_person(&app, id).await?;
    let change = match input.parse() {
        Ok(change) if person.id == user.id() && change.role != person.role => {
            // Otherwise a shop could lock itself out.
            let errors = FieldErrors::of("role", "Ask somebody else to change your own role");
            return Ok(EditPage::refused(&app, &user, Some(person), input, errors));
        }
        Ok(change) => change,
        Err(errors) => return Ok(EditPage::refused(&app, &user, Some(person), input, errors)),
    };
    let mut tx = app.db.begin_write().await?;
    match queries::update(&mut tx, person.id, input.version, &change).await {
        Err(e) if db::is_duplicate(&e) => {
            let errors = FieldErrors::of("sign_in_name", DUPLICATE);
            return Ok(EditPage::refused(&app, &user, Some(person), input, errors));
        }
        updated => {
            if !updated? {
                return Err(AppError::Stale);
            }
        }
    }
    let detail = json!({ "was": role_facts(&person), "is": facts(&change) });
    let thing = ("people", id);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "change",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop")).into_response())
}

fn facts(change: &PersonChange) -> Value {
    json!({ "name": change.name, "sign_in_name": change.sign_in_name, "role": change.role.word(),
        "authorised_on": change.authorised_on.map(date_value),
        "qualified_on": change.qualified_on.map(date_value) })
}

fn role_facts(person: &Person) -> Value {
    json!({ "name": person.name, "sign_in_name": person.sign_in_name, "role": person.role.word(),
        "authorised_on": person.authorised_on.map(date_value),
        "qualified_on": person.qualified_on.map(date_value) })
}

async fn hash(app: &AppState, new: &str) -> Result<String, AppError> {
    password::hash(new, app.config.cheap_passwords)
        .await
        .map_err(AppError::Broken)
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct PasswordInput {
    pub new_password: String,
}

pub async fn new_password(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PasswordInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let person = find_person(&app, id).await?;
    if let Err(message) = password::check_new(&input.new_password) {
        let version = queries::version(&app.db, person.id).await?;
        let shown = PersonInput::from_person(&person, version);
        let errors = FieldErrors::of("new_password", message);
        return Ok(EditPage::refused(&app, &user, Some(person), shown, errors));
    }
    let hash = hash(&app, &input.new_password).await?;
    let mut tx = app.db.begin_write().await?;
    queries::set_password(&mut tx, person.id, &hash).await?;
    let thing = ("people", id);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "new password",
        &json!({}),
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop")).into_response())
}

#[derive(Debug, Deserialize)]
pub struct CloseInput {}

pub async fn close(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(_input): CheckedForm<CloseInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let person = find_person(&app, id).await?;
    let locks = jobs::queries::all_locks(&app.db).await?;
    let refusal = if person.id == user.id() {
        Some("Your own sign-in cannot be closed by you. Ask somebody else.".to_owned())
    } else {
        let lock = locks.iter().find(|lock| lock.person_id == person.id);
        lock.map(|lock| format!("Lock {} of {} still stands.", lock.lock_number, lock.person))
    };
    if let Some(message) = refusal {
        let version = queries::version(&app.db, person.id).await?;
        let shown = PersonInput::from_person(&person, version);
        let errors = FieldErrors::of("close", message);
        return Ok(EditPage::refused(&app, &user, Some(person), shown, errors));
    }
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    queries::close(&mut tx, person.id, now).await?;
    // A lock may have gone on since the page was made; the person's row is held now.
    if jobs::queries::standing_of_person(&mut tx, person.id).await? > 0 {
        return Err(AppError::Stale);
    }
    audit(
        &mut tx,
        now,
        Some(user.id()),
        ("people", id),
        "close",
        &json!({}),
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop")).into_response())
}
