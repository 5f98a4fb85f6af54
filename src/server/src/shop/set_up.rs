//! The first run of an empty shop: guarded by the one-time code printed on the terminal.

use super::{Shop, Units, queries};
use crate::clock::Zone;
use crate::db;
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::limits::Client;
use crate::page::{Layout, Page};
use crate::people::kind::Kind;
use crate::people::queries::NewPerson;
use crate::people::session::{self, Visitor};
use crate::people::{Role, password};
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use calc::circuit::RuleSet;
use serde::Deserialize;
use std::str::FromStr;
use subtle::ConstantTimeEq;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct SetUpInput {
    pub code: String,
    pub shop: String,
    pub time_zone: String,
    pub rule_set: String,
    pub rule_note: String,
    pub units: String,
    pub currency: String,
    pub name: String,
    pub sign_in_name: String,
    pub password: String,
}

struct Answers {
    shop: Shop,
    name: String,
    sign_in_name: String,
    password: String,
}

impl SetUpInput {
    fn parse(&self, code: &str) -> Result<Answers, FieldErrors> {
        let mut errors = FieldErrors::default();
        if !bool::from(self.code.trim().as_bytes().ct_eq(code.as_bytes())) {
            errors.add(
                "code",
                "Enter the code printed on the terminal where the program runs",
            );
        }
        let name = form::required(&self.shop, "Enter the shop's name");
        let shop_name = errors.take("shop", name);
        let time_zone = self.time_zone.trim().to_owned();
        if Zone::named(&time_zone).is_none() {
            errors.add(
                "time_zone",
                "Enter a zone name such as America/Chicago or Europe/Lisbon",
            );
        }
        let rule_set = RuleSet::from_str(&self.rule_set).ok();
        if rule_set.is_none() {
            errors.add(
                "rule_set",
                "Choose the edition adopted where the building stands",
            );
        }
        let units = Units::named(&self.units);
        if units.is_none() {
            errors.add("units", "Choose the units people here read");
        }
        let person = form::required(&self.name, "Enter your name");
        let name = errors.take("name", person);
        let sign_in = crate::people::edit::sign_in_name(&self.sign_in_name);
        let sign_in_name = errors.take("sign_in_name", sign_in);
        let names = [&*self.shop, &*self.name, &*self.sign_in_name];
        let around = password::Around {
            names: &names,
            second_factor: false,
        };
        if let Err(message) = password::check_new(&self.password, around) {
            errors.add("password", message);
        }
        let (Some(rule_set), Some(units)) = (rule_set, units) else {
            return Err(errors);
        };
        errors.or(Answers {
            shop: Shop {
                name: shop_name,
                time_zone,
                rule_set,
                rule_note: self.rule_note.trim().to_owned(),
                units,
                currency: self.currency.trim().to_owned(),
            },
            name,
            sign_in_name,
            password: self.password.clone(),
        })
    }
}

#[derive(Template)]
#[template(path = "shop/set_up.html")]
struct SetUpPage {
    layout: Layout,
    input: SetUpInput,
    errors: FieldErrors,
}

pub async fn show(visitor: Visitor, State(app): State<AppState>) -> Result<Response, AppError> {
    if app.shop().is_some() {
        return Err(AppError::NotFound);
    }
    let layout = Layout::new(&app, &visitor, "");
    let page = SetUpPage {
        layout,
        input: SetUpInput::default(),
        errors: FieldErrors::default(),
    };
    Ok(Page(page).into_response())
}

pub async fn create(
    visitor: Visitor,
    client: Client,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<SetUpInput>,
) -> Result<Response, AppError> {
    if app.shop().is_some() {
        return Err(AppError::NotFound);
    }
    let answers = match input.parse(&app.set_up_code) {
        Ok(answers) => answers,
        Err(errors) => {
            let layout = Layout::new(&app, &visitor, "");
            let input = SetUpInput {
                password: String::new(),
                ..input
            };
            let page = Page(SetUpPage {
                layout,
                input,
                errors,
            });
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let hash = password::hash(&answers.password, app.config.cheap_passwords)
        .await
        .map_err(AppError::Broken)?;
    let keeper = NewPerson {
        sign_in_name: answers.sign_in_name,
        name: answers.name,
        // The first person must be able to do everything a one-person shop needs.
        role: Role::Supervisor,
        password_hash: hash,
        authorised_on: None,
        qualified_on: None,
        hours_a_day: None,
    };
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    // Set up twice at once, or a person added on the command line first: the other one stands.
    let stale = |e: sqlx::Error| {
        if db::is_duplicate(&e) {
            AppError::Stale
        } else {
            AppError::Database(e)
        }
    };
    queries::insert(&mut tx, &answers.shop, now)
        .await
        .map_err(stale)?;
    let id = crate::people::queries::insert(&mut tx, &keeper, now)
        .await
        .map_err(stale)?;
    crate::procedures::starter::install(&mut tx, now).await?;
    let from = session::From::of(&headers, client);
    let begun = (id, Kind::Full, None);
    let cookie = session::begin(&app, &mut tx, &visitor, &from, begun).await?;
    tx.commit().await?;
    app.set_shop(answers.shop);
    Ok((
        [(header::SET_COOKIE, cookie)],
        Redirect::to(&app.url("/shop")),
    )
        .into_response())
}
