//! `/shop/repeats`: how many days back a repeated failure is looked for.

use super::overview::EDITORS;
use super::queries;
use crate::audit::audit;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors, optional_count};
use crate::jobs::detail::repeats::Windows;
use crate::jobs::queries::windows;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::json;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct WindowsInput {
    pub small_days: String,
    pub large_days: String,
    pub version: i64,
}

#[derive(Template)]
#[template(path = "shop/repeats.html")]
struct RepeatsPage {
    layout: Layout,
    input: WindowsInput,
    errors: FieldErrors,
}

impl WindowsInput {
    fn parse(&self) -> Result<Windows, FieldErrors> {
        let mut errors = FieldErrors::default();
        let mut days = |name: &str, typed: &str| {
            let read = errors.take(name, optional_count(typed));
            if !read.is_some_and(|days| (1..=730).contains(&days)) && errors.get(name).is_none() {
                errors.add(name, "Enter the days, from 1 to 730");
            }
            read.unwrap_or_default()
        };
        let windows = Windows {
            small_days: days("small_days", &self.small_days),
            large_days: days("large_days", &self.large_days),
        };
        if errors.is_empty() && windows.small_days > windows.large_days {
            errors.add(
                "large_days",
                "Large and critical machines are watched at least as long as small ones",
            );
        }
        errors.or(windows)
    }
}

pub async fn edit(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let windows = windows(&app.db).await?;
    let page = RepeatsPage {
        layout: Layout::new(&app, &user.visitor, "Shop"),
        input: WindowsInput {
            small_days: windows.small_days.to_string(),
            large_days: windows.large_days.to_string(),
            version: queries::version(&app.db).await?,
        },
        errors: FieldErrors::default(),
    };
    Ok(Page(page).into_response())
}

pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<WindowsInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let new = match input.parse() {
        Ok(new) => new,
        Err(errors) => {
            let layout = Layout::new(&app, &user.visitor, "Shop");
            let page = RepeatsPage {
                layout,
                input,
                errors,
            };
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(page)).into_response());
        }
    };
    let was = windows(&app.db).await?;
    let mut tx = app.db.begin_write().await?;
    if !queries::set_windows(&mut tx, new, input.version).await? {
        return Err(AppError::Stale);
    }
    let detail = json!({
        "was_days": [was.small_days, was.large_days],
        "is_days": [new.small_days, new.large_days],
    });
    let (at, whose) = (app.clock.now(), Some(user.id()));
    audit(&mut tx, at, whose, ("shop", 1), "repeat windows", &detail).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop")).into_response())
}
