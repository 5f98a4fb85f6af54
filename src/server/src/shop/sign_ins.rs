//! What the shop asks of its people at sign-in.

use super::overview::{EDITORS, READERS};
use crate::audit::audit;
use crate::error::AppError;
use crate::form::CheckedForm;
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, Person, factor};
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::json;

#[derive(Template)]
#[template(path = "shop/sign_in.html")]
struct SignInsPage {
    layout: Layout,
    demanded: bool,
    /// Supervisors and keepers, each with whether a code is asked for.
    people: Vec<(Person, bool)>,
    may_edit: bool,
}

/// `/shop/sign-in`
pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(READERS)?;
    let users = factor::queries::users(&app.db).await?;
    let asked = |p: &Person| factor::ASKED.contains(&p.role) && !p.closed;
    let people = people::queries::list(&app.db).await?;
    let people = people.into_iter().filter(asked);
    let page = SignInsPage {
        layout: Layout::new(&app, &user.visitor, "Shop"),
        demanded: factor::queries::demanded(&app.db).await?,
        people: people
            .map(|p| (users.contains(&p.id), p))
            .map(|(has, p)| (p, has))
            .collect(),
        may_edit: EDITORS.contains(&user.person.role),
    };
    Ok(Page(page).into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct SignInsInput {
    pub second_factor: String,
}

/// `POST /shop/sign-in`
pub async fn save(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<SignInsInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let was = factor::queries::demanded(&app.db).await?;
    let is = !input.second_factor.is_empty();
    if was != is {
        let mut tx = app.db.begin_write().await?;
        factor::queries::set_demanded(&mut tx, is).await?;
        factor::queries::demand(&mut tx).await?;
        let detail = json!({ "was": { "second_factor": was }, "is": { "second_factor": is } });
        let (now, by) = (app.clock.now(), Some(user.id()));
        audit(&mut tx, now, by, ("shop", 1), "sign-in rules", &detail).await?;
        tx.commit().await?;
    }
    Ok(Redirect::to(&app.url("/shop/sign-in")).into_response())
}
