//! The days on which the shop is closed. Planned work that falls due on one is planned for the open day
//! before it; its due date, by which it is judged, stays.

use super::closed_queries as queries;
use crate::audit::audit;
use crate::clock::date_words;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use calc::due::{self, Closed, Shift};
use time::Date;

/// `closed that day: planned for Fri 27 Nov 2026`; empty where the shop is open.
pub fn planned_words(due: Date, closed: &Closed) -> String {
    match due::shift(due, Shift::Previous, closed) {
        Some(day) if day == due => String::new(),
        Some(day) => format!(
            "the shop is closed that day: planned for {}",
            date_words(day)
        ),
        None => "the shop is closed that day".to_owned(),
    }
}

#[derive(Template)]
#[template(path = "shop/closed.html")]
struct ClosedPage {
    layout: Layout,
    /// Number, name, and whether the shop is closed on it.
    weekdays: Vec<(i64, String, bool)>,
    days: Vec<(String, Date, String)>,
    day: String,
    name: String,
    errors: FieldErrors,
}

impl ClosedPage {
    fn changes(&self) -> bool {
        self.layout.supervises() || self.layout.is(Role::Keeper)
    }
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    day: String,
    name: String,
    errors: FieldErrors,
) -> Result<Page<ClosedPage>, AppError> {
    let closed = queries::closed(&app.db).await?;
    let weekdays = (1..=7).filter_map(|number| {
        let weekday = queries::numbered(number)?;
        Some((
            number,
            weekday.to_string(),
            closed.weekend.contains(&weekday),
        ))
    });
    let days = queries::days(&app.db).await?;
    Ok(Page(ClosedPage {
        layout: Layout::new(app, &user.visitor, "Shop"),
        weekdays: weekdays.collect(),
        days: days
            .into_iter()
            .map(|(day, name)| (date_words(day), day, name))
            .collect(),
        day,
        name,
        errors,
    }))
}

pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor, Role::Keeper, Role::Auditor])?;
    let errors = FieldErrors::default();
    let page = page(&app, &user, String::new(), String::new(), errors).await?;
    Ok(page.into_response())
}

/// `what` says which of the page's forms it is.
pub async fn save(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor, Role::Keeper])?;
    let (what, name) = (fields.get("what"), fields.get("name").to_owned());
    let weekdays: Vec<i64> = (1..=7)
        .filter(|number| fields.ticked(&format!("weekday-{number}")))
        .collect();
    let day = match what {
        "weekdays" if weekdays.len() == 7 => Err("A shop that is never open has no plans"),
        "weekdays" => Ok(None),
        _ => match form::optional_date(fields.get("day")) {
            Ok(Some(day)) => Ok(Some(day)),
            _ => Err("Enter the day, as 2026-12-25"),
        },
    };
    let day = match day {
        Ok(day) => day,
        Err(message) => {
            let field = if what == "weekdays" {
                "weekday-7"
            } else {
                "day"
            };
            let errors = FieldErrors::of(field, message);
            let page = page(&app, &user, fields.get("day").to_owned(), name, errors).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    let act = match (day, what) {
        (None, _) => {
            queries::set_weekdays(&mut tx, &weekdays).await?;
            "closed weekdays"
        }
        (Some(day), "remove") => {
            queries::remove(&mut tx, day).await?;
            "open again"
        }
        (Some(day), _) => {
            queries::add(&mut tx, day, &name).await?;
            "closed day"
        }
    };
    let detail = (day.map(crate::clock::date_value), weekdays, name);
    let (at, by) = (app.clock.now(), Some(user.id()));
    audit(&mut tx, at, by, ("shop", 1), act, &detail).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop/closed")).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::Weekday;
    use time::macros::date;

    #[test]
    fn work_on_a_closed_day_is_planned_for_the_open_day_before() {
        let closed = Closed {
            weekend: vec![Weekday::Saturday, Weekday::Sunday],
            holidays: vec![date!(2026 - 11 - 27)],
        };
        let words = planned_words(date!(2026 - 11 - 28), &closed);
        assert_eq!(
            words,
            "the shop is closed that day: planned for Thu 26 Nov 2026"
        );
        assert_eq!(planned_words(date!(2026 - 11 - 26), &closed), "");
        assert_eq!(queries::numbered(1), Some(Weekday::Monday));
        assert_eq!(queries::numbered(7), Some(Weekday::Sunday));
        assert_eq!((queries::numbered(0), queries::numbered(8)), (None, None));
    }
}
