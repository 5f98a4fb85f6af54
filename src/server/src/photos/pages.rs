//! `/jobs/{id}/photos`: take one at the machine, look at them, withdraw one.

use super::shown::Shown;
use super::shrink::Problem;
use super::upload::{Sent, message};
use super::{ABOUT, MOST_AT_ONCE, queries, taking};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::jobs::record::Outcome;
use crate::jobs::step_page::{WORKERS, refused, typed, works};
use crate::jobs::steps::{self, JobView, Keys};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};

const LONGEST_CAPTION: usize = 200;

#[derive(Template)]
#[template(path = "photos/job.html")]
struct PhotosPage {
    layout: Layout,
    view: JobView,
    keys: Keys,
    keys_again: Keys,
    fields: Fields,
    errors: FieldErrors,
    photos: Vec<Shown>,
    works: bool,
    /// A photo was chosen on the page that was refused; no browser keeps that.
    choose_again: bool,
}

impl PhotosPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        let zone = app.zone();
        let rows = queries::of_job(&app.db, job).await?;
        let photos = rows.iter().rev();
        Ok(PhotosPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            keys: Keys::fresh(app, &view.job),
            keys_again: Keys::fresh(app, &view.job),
            photos: photos
                .map(|row| Shown::of(row, &zone, &user.person))
                .collect(),
            works: works(&user.person),
            choose_again: false,
            view,
            fields,
            errors,
        })
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    fn about(&self) -> &'static [(&'static str, &'static str)] {
        ABOUT
    }

    fn may_withdraw_any(&self) -> bool {
        self.photos.iter().any(|photo| photo.may_withdraw)
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = PhotosPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

/// What a form of this page says beside its photos.
fn said(fields: &Fields, errors: &mut FieldErrors) -> (String, String) {
    let about = fields.get("about").to_owned();
    if !ABOUT.iter().any(|(word, _)| *word == about) {
        errors.add("about", "Choose what it shows");
    }
    let caption = fields.get("caption").to_owned();
    if caption.chars().count() > LONGEST_CAPTION {
        errors.add("caption", "Keep it under 200 characters");
    }
    (about, caption)
}

pub async fn add(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    sent: Sent<MOST_AT_ONCE>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let job = JobId(id);
    let mut errors = sent.problems();
    if sent.photos.is_empty() {
        errors.add("photo", "Take a photo, or choose one");
    }
    let chosen = !sent.photos.is_empty();
    let fields = sent.fields.clone();
    let (about, caption) = said(&fields, &mut errors);
    if errors.is_empty() {
        let keys = Keys::of(&fields);
        let first = |body| keys.entry(body);
        let said = (about.as_str(), caption.as_str());
        let added = taking::add(&app, job, &user.person, first, sent.taken(), said).await?;
        match answered(added) {
            Ok(()) => return Ok(steps::go(&app, job, "/photos")),
            Err(refused) => errors = refused,
        }
    }
    let mut page = PhotosPage::load(&app, &user, job, fields, errors).await?;
    page.choose_again = chosen;
    Ok(refused(page))
}

fn answered(added: Result<Outcome, Problem>) -> Result<(), FieldErrors> {
    match added {
        Ok(Outcome::Added(_) | Outcome::Already(_)) => Ok(()),
        Ok(Outcome::Refused(refusal) | Outcome::SetAside(_, refusal)) => {
            Err(FieldErrors::of(refusal.field, refusal.message))
        }
        Err(problem) => Err(FieldErrors::of("photo", message("", problem))),
    }
}

pub async fn withdraw(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let job = JobId(id);
    let of = fields.get("of").to_owned();
    let body = Body::PhotoWithdrawn {
        of: of.clone(),
        reason: fields.get("reason").to_owned(),
    };
    match steps::add(&app, &user, job, &Keys::of(&fields), body).await? {
        Ok(()) => {
            if let Some((sha, thumb)) = queries::files_of(&app.db, &of).await? {
                taking::tidy(&app, &[sha, thumb]).await?;
            }
            Ok(steps::go(&app, job, "/photos"))
        }
        Err(errors) => {
            let page = PhotosPage::load(&app, &user, job, fields, errors).await?;
            Ok(refused(page))
        }
    }
}
