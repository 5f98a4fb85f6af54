//! `/shop/integrations`: programs that have a token, what it opens, and ending it.

pub mod contract_page;

use super::caller::{BEGINS, hash};
use super::queries::{self, Integration, NewIntegration};
use super::scopes::Scope;
use crate::audit::audit;
use crate::clock::{DAY, Zone, date_value};
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::session::new_token;
use crate::people::{CurrentUser, Role};
use crate::rows::Options;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde_json::json;
use time::Date;

const READERS: &[Role] = &[Role::Supervisor, Role::Auditor, Role::Keeper];
/// A token runs the installation for nobody: there is no keeper among the roles.
const ROLES: Options = &[
    ("auditor", "auditor: reads everything, changes nothing"),
    ("reporter", "reporter: reports, and reads nothing"),
    ("technician", "technician: adds to jobs, reads meters"),
    ("storekeeper", "storekeeper: reads"),
    ("supervisor", "supervisor: plans, hands out, keeps machines"),
];
/// Days that a token is in force at most.
const LONGEST_DAYS: i64 = 730;
const USUAL_DAYS: i64 = 365;
const MOST_A_MINUTE: i64 = 60_000;

#[derive(Clone, Debug, Default)]
struct Input {
    name: String,
    role: String,
    scopes: Vec<Scope>,
    expires_on: String,
    a_minute: String,
}

struct Wanted {
    name: String,
    role: Role,
    scopes: Vec<Scope>,
    expires_on: Date,
    a_minute: i64,
}

impl Input {
    fn fresh(app: &AppState) -> Input {
        let in_a_year = app.zone().date(app.clock.now() + USUAL_DAYS * DAY);
        Input {
            expires_on: date_value(in_a_year),
            a_minute: "600".to_owned(),
            ..Input::default()
        }
    }

    fn of(fields: &Fields) -> Input {
        let ticked = |scope: &Scope| fields.ticked(&field(*scope));
        Input {
            name: fields.get("name").to_owned(),
            role: fields.get("role").to_owned(),
            scopes: Scope::ALL.into_iter().filter(ticked).collect(),
            expires_on: fields.get("expires_on").to_owned(),
            a_minute: fields.get("a_minute").to_owned(),
        }
    }

    fn parse(&self, today: Date) -> Result<Wanted, FieldErrors> {
        let mut errors = FieldErrors::default();
        let name = form::required(&self.name, "Name the program, as people will read it");
        let name = errors.take("name", name);
        if name.chars().count() > 60 {
            errors.add("name", "Keep the name to 60 characters");
        }
        let role = Role::named(&self.role)
            .filter(|role| ROLES.iter().any(|(word, _)| *word == role.word()));
        if role.is_none() {
            errors.add("role", "Choose the role that it acts as");
        }
        if self.scopes.is_empty() {
            errors.add("scopes", "Tick what the token opens");
        }
        let on = form::date(&self.expires_on, "Choose its last day").and_then(|on| {
            let days = (on - today).whole_days();
            match days {
                ..0 => Err("This day is over".to_owned()),
                0..=LONGEST_DAYS => Ok(on),
                _ => Err("A token is in force for two years at most".to_owned()),
            }
        });
        let expires_on = match on {
            Ok(on) => Some(on),
            Err(message) => {
                errors.add("expires_on", message);
                None
            }
        };
        let a_minute = form::optional_count(&self.a_minute).ok().flatten();
        let a_minute = a_minute.filter(|n| (1..=MOST_A_MINUTE).contains(n));
        if a_minute.is_none() {
            errors.add(
                "a_minute",
                "Enter how often it may ask in a minute, from 1 to 60000",
            );
        }
        let (Some(role), Some(expires_on), Some(a_minute)) = (role, expires_on, a_minute) else {
            return Err(errors);
        };
        errors.or(Wanted {
            name,
            role,
            scopes: self.scopes.clone(),
            expires_on,
            a_minute,
        })
    }
}

/// The field that ticks a scope.
fn field(scope: Scope) -> String {
    format!("scope-{}", scope.word().replace(':', "-"))
}

/// What was just made: shown this once.
struct Made {
    name: String,
    token: String,
}

#[derive(Template)]
#[template(path = "api/integrations.html")]
struct IntegrationsPage {
    layout: Layout,
    made: Option<Made>,
    all: Vec<Integration>,
    may_make: bool,
    input: Input,
    errors: FieldErrors,
    roles: Options,
    now: i64,
    zone: Zone,
    api: String,
}

impl IntegrationsPage {
    /// Field, word, what it opens, ticked.
    fn scopes(&self) -> Vec<(String, &'static str, &'static str, bool)> {
        let row = |scope: Scope| {
            let ticked = self.input.scopes.contains(&scope);
            (field(scope), scope.word(), scope.words(), ticked)
        };
        Scope::ALL.into_iter().map(row).collect()
    }

    fn when(&self, at: &i64) -> String {
        self.zone.minute_words(*at)
    }

    fn opens(&self, integration: &Integration) -> Vec<&'static str> {
        let scopes = integration.scopes();
        scopes.into_iter().map(Scope::words).collect()
    }

    fn over(&self, integration: &Integration) -> bool {
        integration.expires_at <= self.now
    }
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    made: Option<Made>,
    input: Input,
    errors: FieldErrors,
) -> Result<Page<IntegrationsPage>, AppError> {
    Ok(Page(IntegrationsPage {
        layout: Layout::new(app, &user.visitor, "Shop"),
        made,
        all: queries::list(&app.db).await?,
        may_make: user.person.role == Role::Keeper,
        input,
        errors,
        roles: ROLES,
        now: app.clock.now(),
        zone: app.zone(),
        api: app.public_url("/api/v1"),
    }))
}

pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(READERS)?;
    let (input, errors) = (Input::fresh(&app), FieldErrors::default());
    Ok(page(&app, &user, None, input, errors)
        .await?
        .into_response())
}

pub async fn make(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Keeper])?;
    let input = Input::of(&fields);
    let made = match input.parse(app.today()) {
        Ok(wanted) => keep(&app, &user, wanted).await?,
        Err(errors) => Err(errors),
    };
    match made {
        Ok(made) => {
            let (input, errors) = (Input::fresh(&app), FieldErrors::default());
            let shown = page(&app, &user, Some(made), input, errors).await?;
            Ok(shown.into_response())
        }
        Err(errors) => {
            let shown = page(&app, &user, None, input, errors).await?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, shown).into_response())
        }
    }
}

async fn keep(
    app: &AppState,
    user: &CurrentUser,
    wanted: Wanted,
) -> Result<Result<Made, FieldErrors>, AppError> {
    let token = format!("{BEGINS}{}", new_token());
    let day_after = wanted.expires_on.next_day().unwrap_or(wanted.expires_on);
    let expires_at = app.zone().instant(day_after, 0, 0);
    let expires_at = expires_at.ok_or_else(|| AppError::Broken("no such day".to_owned()))?;
    let token_hash = hash(&token);
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    if queries::name_taken(&mut tx, &wanted.name).await? {
        let message = "An integration has this name. End that one first, or choose another";
        return Ok(Err(FieldErrors::of("name", message)));
    }
    let new = NewIntegration {
        name: &wanted.name,
        role: wanted.role,
        scopes: &wanted.scopes,
        a_minute: wanted.a_minute,
        token_hash: &token_hash,
        token_end: &token[token.len() - 4..],
        expires_at,
    };
    let id = queries::insert(&mut tx, &new, user.id(), now).await?;
    let detail = json!({ "is": {
        "name": wanted.name, "role": wanted.role.word(), "scopes": Scope::written(&wanted.scopes),
        "expires_on": date_value(wanted.expires_on), "a_minute": wanted.a_minute,
    }});
    let thing = ("integrations", id);
    audit(&mut tx, now, Some(user.id()), thing, "add", &detail).await?;
    tx.commit().await?;
    Ok(Ok(Made {
        name: wanted.name,
        token,
    }))
}

pub async fn revoke(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    _fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Keeper])?;
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let name = queries::revoke(&mut tx, id, user.id(), now).await?;
    let name = name.ok_or(AppError::NotFound)?;
    let thing = ("integrations", id);
    let detail = json!({ "was": { "name": name } });
    audit(&mut tx, now, Some(user.id()), thing, "end", &detail).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop/integrations")).into_response())
}
