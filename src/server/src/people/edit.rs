//! Adding a person, changing one, a new password, closing a sign-in.

use super::me::queries::Session;
use super::password::Around;
use super::queries::{NewPerson, PersonChange};
use super::{CurrentUser, Person, PersonId, Role, factor, links, me, password, queries};
use crate::audit::audit;
use crate::clock::{Millis, Zone, date_value};
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::jobs::Job;
use crate::page::{Layout, Page};
use crate::shop::overview::{EDITORS, READERS};
use crate::state::AppState;
use crate::{db, jobs, machines};
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
    about: About,
    input: PersonInput,
    errors: FieldErrors,
    may_edit: bool,
    own: bool,
    sessions_at: String,
    zone: Zone,
}

/// What stands about a person beside their row.
#[derive(Default)]
struct About {
    sessions: Vec<Session>,
    /// A code is asked for at sign-in.
    second_factor: bool,
    /// A link is out, until then.
    link_until: Option<Millis>,
    /// Open work, to be handed over before or after the sign-in closes.
    jobs: Vec<(Job, String)>,
}

impl About {
    async fn of(app: &AppState, person: &Person) -> Result<About, AppError> {
        let now = app.clock.now();
        let mut open = Vec::new();
        for job in jobs::queries::of_person(&app.db, person.id).await? {
            let tag = match job.machine_id {
                Some(machine) => machines::queries::find(&app.db, machine).await?,
                None => None,
            };
            open.push((job, tag.map_or_else(String::new, |machine| machine.tag)));
        }
        Ok(About {
            sessions: me::queries::sessions(&app.db, person.id, now).await?,
            second_factor: factor::queries::in_use(&app.db, person.id).await?,
            link_until: links::queries::open_until(&app.db, person.id, now).await?,
            jobs: open,
        })
    }
}

impl EditPage {
    /// No session of somebody else is this one.
    fn nowhere(&self) -> &'static str {
        ""
    }

    async fn new(
        app: &AppState,
        user: &CurrentUser,
        person: Option<Person>,
        input: PersonInput,
        errors: FieldErrors,
    ) -> Result<Page<EditPage>, AppError> {
        let about = match &person {
            Some(person) => About::of(app, person).await?,
            None => About::default(),
        };
        Ok(Page(EditPage {
            layout: Layout::new(app, &user.visitor, "Shop"),
            may_edit: EDITORS.contains(&user.person.role),
            own: person.as_ref().is_some_and(|person| person.id == user.id()),
            sessions_at: person.as_ref().map_or_else(String::new, |person| {
                format!("/shop/people/{}/sessions", person.id.0)
            }),
            person,
            about,
            // A password is never shown again.
            input: PersonInput {
                password: String::new(),
                ..input
            },
            errors,
            zone: app.zone(),
        }))
    }

    async fn refused(
        app: &AppState,
        user: &CurrentUser,
        person: Option<Person>,
        input: PersonInput,
        errors: FieldErrors,
    ) -> Result<Response, AppError> {
        let page = EditPage::new(app, user, person, input, errors).await?;
        Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
    }
}

/// The person's page again, with what was refused of an act on it.
pub(super) async fn refused(
    app: &AppState,
    user: &CurrentUser,
    person: Person,
    errors: FieldErrors,
) -> Result<Response, AppError> {
    let version = queries::version(&app.db, person.id).await?;
    let shown = PersonInput::from_person(&person, version);
    EditPage::refused(app, user, Some(person), shown, errors).await
}

const DUPLICATE: &str = "Another person has this sign-in name";

pub async fn new(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let input = PersonInput::default();
    let page = EditPage::new(&app, &user, None, input, FieldErrors::default()).await?;
    Ok(page.into_response())
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
    let page = EditPage::new(&app, &user, Some(person), input, FieldErrors::default()).await?;
    Ok(page.into_response())
}

pub(super) async fn find_person(app: &AppState, id: i64) -> Result<Person, AppError> {
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
    let shop = app.shop_name();
    let names = [&*shop, &*input.name, &*input.sign_in_name];
    let around = Around {
        names: &names,
        second_factor: false,
    };
    let invited = input.password.is_empty();
    if !invited && let Err(message) = password::check_new(&input.password, around) {
        errors.add("password", message);
    }
    let Some(change) = change.filter(|_| errors.is_empty()) else {
        return EditPage::refused(&app, &user, None, input, errors).await;
    };
    // Whoever is invited has no password yet: a blank hash opens to none.
    let hash = match invited {
        true => String::new(),
        false => hash(&app, &input.password).await?,
    };
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
            return EditPage::refused(&app, &user, None, input, errors).await;
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
    factor::queries::demand(&mut tx).await?;
    if invited {
        let link = links::make(&mut tx, id, Some(user.id()), now).await?;
        tx.commit().await?;
        let person = find_person(&app, id.0).await?;
        return Ok(links::pages::shown(&app, &user, person, &link));
    }
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
            return EditPage::refused(&app, &user, Some(person), input, errors).await;
        }
        Ok(change) => change,
        Err(errors) => {
            return EditPage::refused(&app, &user, Some(person), input, errors).await;
        }
    };
    let mut tx = app.db.begin_write().await?;
    match queries::update(&mut tx, person.id, input.version, &change).await {
        Err(e) if db::is_duplicate(&e) => {
            let errors = FieldErrors::of("sign_in_name", DUPLICATE);
            return EditPage::refused(&app, &user, Some(person), input, errors).await;
        }
        updated => {
            if !updated? {
                return Err(AppError::Stale);
            }
        }
    }
    factor::queries::demand(&mut tx).await?;
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

pub(super) async fn hash(app: &AppState, new: &str) -> Result<String, AppError> {
    password::hash(new, app.config.cheap_passwords)
        .await
        .map_err(AppError::Broken)
}
