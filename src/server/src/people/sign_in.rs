//! Signing in and out.

use super::session::{self, Visitor};
use super::{password, queries};
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors};
use crate::page::{Layout, Page};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct SignInInput {
    pub name: String,
    pub password: String,
    pub next: String,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct NextQuery {
    next: String,
}

#[derive(Template)]
#[template(path = "people/sign_in.html")]
struct SignInPage {
    layout: Layout,
    input: SignInInput,
    errors: FieldErrors,
    demo: &'static [crate::demo::SignIn],
}

impl SignInPage {
    fn new(
        app: &AppState,
        visitor: &Visitor,
        input: SignInInput,
        errors: FieldErrors,
    ) -> Page<Self> {
        let demo = if app.config.demo {
            crate::demo::SIGN_INS
        } else {
            &[]
        };
        Page(SignInPage {
            layout: Layout::new(app, visitor, "Sign in"),
            input,
            errors,
            demo,
        })
    }
}

pub async fn show(
    visitor: Visitor,
    State(app): State<AppState>,
    Query(query): Query<NextQuery>,
) -> Response {
    if app.shop().is_none() {
        return Redirect::to(&app.url("/set-up")).into_response();
    }
    let input = SignInInput {
        next: query.next,
        ..SignInInput::default()
    };
    SignInPage::new(&app, &visitor, input, FieldErrors::default()).into_response()
}

pub async fn enter(
    visitor: Visitor,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<SignInInput>,
) -> Result<Response, AppError> {
    let found = queries::credentials(&app.db, &input.name).await?;
    let (id, hash) = found.map_or((None, None), |(id, hash)| (Some(id), Some(hash)));
    let right = password::verify(&input.password, hash, app.config.cheap_passwords).await;
    let Some(id) = id.filter(|_| right) else {
        // One sentence for both, so that names cannot be tried out.
        let errors = FieldErrors::of("name", "This name and password do not belong together");
        let input = SignInInput {
            password: String::new(),
            ..input
        };
        let page = SignInPage::new(&app, &visitor, input, errors);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    let device = headers
        .get(header::USER_AGENT)
        .and_then(|v| v.to_str().ok())
        .unwrap_or("");
    let mut tx = app.db.begin_write().await?;
    let cookie = session::begin(&app, &mut tx, id, device).await?;
    tx.commit().await?;
    let home = queries::find(&app.db, id)
        .await?
        .map_or("/report", |person| person.role.home());
    let to = if is_own_path(&input.next) {
        input.next.as_str()
    } else {
        home
    };
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to(&app.url(to))).into_response())
}

/// Only a path of this site: no scheme, no other host, no trick with slashes.
fn is_own_path(path: &str) -> bool {
    path.starts_with('/')
        && !path.starts_with("//")
        && !path.contains(['\\', ':'])
        && !path.chars().any(char::is_control)
        && path != "/"
}

#[derive(Debug, Deserialize)]
pub struct SignOutInput {}

pub async fn leave(
    visitor: Visitor,
    State(app): State<AppState>,
    CheckedForm(_input): CheckedForm<SignOutInput>,
) -> Result<Response, AppError> {
    let cookie = session::end(&app, &visitor).await?;
    Ok((
        [(header::SET_COOKIE, cookie)],
        Redirect::to(&app.url("/sign-in")),
    )
        .into_response())
}

/// `/` sends each person to the page they start on.
pub async fn home(visitor: Visitor, State(app): State<AppState>) -> Redirect {
    let to = match (&visitor.person, app.shop()) {
        (_, None) => "/set-up",
        (Some(person), _) => person.role.home(),
        (None, _) => "/report",
    };
    Redirect::to(&app.url(to))
}

#[cfg(test)]
mod tests {
    use super::is_own_path;

    #[test]
    fn only_paths_of_this_site_are_followed() {
        assert!(is_own_path("/jobs/12"));
        for bad in [
            "",
            "/",
            "//evil.example",
            "https://evil.example",
            "/\\evil.example",
            "/\t/evil.example",
            "jobs",
        ] {
            assert!(!is_own_path(bad), "{bad}");
        }
    }
}
