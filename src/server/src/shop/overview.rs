//! The Shop page and its settings.

use super::{Shop, Units, queries};
use crate::audit::audit;
use crate::clock::{Zone, date_words};
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, Person, Role};
use crate::rows::words_of;
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use calc::circuit::RuleSet;
use serde::Deserialize;
use serde_json::{Value, json};
use std::str::FromStr;
use time::Date;

/// Who may look at the shop, its people and places.
pub const READERS: &[Role] = &[Role::Supervisor, Role::Auditor, Role::Keeper];
/// Who may change them.
pub const EDITORS: &[Role] = &[Role::Supervisor, Role::Keeper];

#[derive(Template)]
#[template(path = "shop/overview.html")]
struct OverviewPage {
    layout: Layout,
    shop: Shop,
    people: Vec<Person>,
    may_edit: bool,
}

impl OverviewPage {
    fn units(&self) -> String {
        words_of(super::UNITS, self.shop.units.word())
    }

    fn day(&self, date: &Date) -> String {
        date_words(*date)
    }
}

fn the_shop(app: &AppState) -> Result<Shop, AppError> {
    app.shop().ok_or(AppError::NotFound)
}

pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(READERS)?;
    let page = OverviewPage {
        layout: Layout::new(&app, &user.visitor, "Shop"),
        shop: the_shop(&app)?,
        people: people::queries::list(&app.db)
            .await?
            .into_iter()
            .filter(|person| !person.is_integration())
            .collect(),
        may_edit: EDITORS.contains(&user.person.role),
    };
    Ok(Page(page).into_response())
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct SettingsInput {
    pub name: String,
    pub time_zone: String,
    pub rule_set: String,
    pub rule_note: String,
    pub units: String,
    pub currency: String,
    pub version: i64,
}

impl SettingsInput {
    fn parse(&self) -> Result<Shop, FieldErrors> {
        let mut errors = FieldErrors::default();
        let name = errors.take("name", form::required(&self.name, "Enter the shop's name"));
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
        let (Some(rule_set), Some(units)) = (rule_set, units) else {
            return Err(errors);
        };
        errors.or(Shop {
            name,
            time_zone,
            rule_set,
            rule_note: self.rule_note.trim().to_owned(),
            units,
            currency: self.currency.trim().to_owned(),
        })
    }
}

#[derive(Template)]
#[template(path = "shop/settings.html")]
struct SettingsPage {
    layout: Layout,
    input: SettingsInput,
    errors: FieldErrors,
}

pub async fn edit(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let shop = the_shop(&app)?;
    let input = SettingsInput {
        name: shop.name,
        time_zone: shop.time_zone,
        rule_set: shop.rule_set.words().to_owned(),
        rule_note: shop.rule_note,
        units: shop.units.word().to_owned(),
        currency: shop.currency,
        version: queries::version(&app.db).await?,
    };
    let layout = Layout::new(&app, &user.visitor, "Shop");
    Ok(Page(SettingsPage {
        layout,
        input,
        errors: FieldErrors::default(),
    })
    .into_response())
}

pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<SettingsInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let was = the_shop(&app)?;
    let shop = match input.parse() {
        Ok(shop) => shop,
        Err(errors) => {
            let layout = Layout::new(&app, &user.visitor, "Shop");
            let page = Page(SettingsPage {
                layout,
                input,
                errors,
            });
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    if !queries::claim(&mut tx, input.version).await? {
        return Err(AppError::Stale);
    }
    queries::update(&mut tx, &shop).await?;
    let detail = json!({ "was": facts(&was), "is": facts(&shop) });
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        ("shop", 1),
        "change",
        &detail,
    )
    .await?;
    tx.commit().await?;
    app.set_shop(shop);
    Ok(Redirect::to(&app.url("/shop")).into_response())
}

fn facts(shop: &Shop) -> Value {
    json!({ "name": shop.name, "time_zone": shop.time_zone, "rule_set": shop.rule_set.words(),
        "rule_note": shop.rule_note, "units": shop.units.word(), "currency": shop.currency })
}
