//! `/shop/response`: how long each level may wait for the first attendance.

use super::overview::EDITORS;
use crate::audit::audit;
use crate::clock::MINUTE;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors, optional_number};
use crate::jobs::priority::Level;
use crate::jobs::queries::{self, Targets};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::json;

/// Hours, as typed; `was` holds the targets that the page showed.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct TargetsInput {
    pub danger: String,
    pub damage: String,
    pub service_lost: String,
    pub when_it_suits: String,
    pub was: String,
}

#[derive(Template)]
#[template(path = "shop/response.html")]
struct ResponsePage {
    layout: Layout,
    input: TargetsInput,
    errors: FieldErrors,
}

/// A year: longer is not a target.
const LONGEST_HOURS: f64 = 8766.0;

impl TargetsInput {
    fn of(targets: &Targets) -> TargetsInput {
        let hours = |level| format!("{}", minutes(targets, level) as f64 / 60.0);
        TargetsInput {
            danger: hours(Level::Danger),
            damage: hours(Level::Damage),
            service_lost: hours(Level::ServiceLost),
            when_it_suits: hours(Level::WhenItSuits),
            was: seen(targets),
        }
    }

    fn typed(&self, level: Level) -> &str {
        match level {
            Level::Danger => &self.danger,
            Level::Damage => &self.damage,
            Level::ServiceLost => &self.service_lost,
            Level::WhenItSuits => &self.when_it_suits,
        }
    }

    fn parse(&self) -> Result<Vec<(Level, i64)>, FieldErrors> {
        let mut errors = FieldErrors::default();
        let mut targets: Vec<(Level, i64)> = Vec::new();
        for level in Level::ALL {
            let hours = errors.take(level.word(), optional_number(self.typed(level)));
            match hours.map(|hours| (hours * 60.0).round()) {
                Some(minutes) if (1.0..=LONGEST_HOURS * 60.0).contains(&minutes) => {
                    let minutes = minutes as i64;
                    if targets.last().is_some_and(|(_, sooner)| *sooner > minutes) {
                        errors.add(
                            level.word(),
                            "A less urgent level cannot be due sooner than the one above it",
                        );
                    }
                    targets.push((level, minutes));
                }
                _ => errors.add(level.word(), "Enter the hours, as 24"),
            }
        }
        errors.or(targets)
    }
}

fn minutes(targets: &Targets, level: Level) -> i64 {
    targets.of(level) / MINUTE
}

fn seen(targets: &Targets) -> String {
    let all = Level::ALL.map(|level| minutes(targets, level).to_string());
    all.join(" ")
}

pub async fn edit(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let page = ResponsePage {
        layout: Layout::new(&app, &user.visitor, "Shop"),
        input: TargetsInput::of(&queries::targets(&app.db).await?),
        errors: FieldErrors::default(),
    };
    Ok(Page(page).into_response())
}

pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<TargetsInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let new = match input.parse() {
        Ok(new) => new,
        Err(errors) => {
            let layout = Layout::new(&app, &user.visitor, "Shop");
            let page = Page(ResponsePage {
                layout,
                input,
                errors,
            });
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    let was = queries::lock_targets(&mut tx).await?;
    if seen(&was) != input.was.trim() {
        return Err(AppError::Stale);
    }
    for (level, minutes) in &new {
        queries::set_target(&mut tx, *level, *minutes).await?;
    }
    let is: Vec<_> = new.iter().map(|(l, m)| (l.word(), m)).collect();
    let detail = json!({ "was_minutes": seen(&was), "is_minutes": is });
    let at = app.clock.now();
    let whose = Some(user.id());
    audit(&mut tx, at, whose, ("shop", 1), "response targets", &detail).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop")).into_response())
}
