//! `/photos/{sha}`: a picture to the shop's own people, and never anything but a picture.

use super::queries;
use super::store::is_hash;
use crate::error::AppError;
use crate::people::CurrentUser;
use crate::state::AppState;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, HeaderName, StatusCode, header};
use axum::response::{IntoResponse, Response};

/// A browser that shows one by itself runs nothing in it and loads nothing for it.
const POLICY: &str = "default-src 'none'; sandbox";

pub async fn large(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(sha): Path<String>,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    user.require_staff()?;
    shown(&app, &sha).await?;
    file(&app, &sha, &headers).await
}

pub async fn small(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(sha): Path<String>,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let thumb = shown(&app, &sha).await?;
    file(&app, &thumb, &headers).await
}

/// The small file of a photo that is shown; a withdrawn one is no longer there for anybody.
async fn shown(app: &AppState, sha: &str) -> Result<String, AppError> {
    if !is_hash(sha) {
        return Err(AppError::NotFound);
    }
    let thumb = queries::thumb_of(&app.db, sha).await?;
    thumb.ok_or(AppError::NotFound)
}

async fn file(app: &AppState, sha: &str, asked: &HeaderMap) -> Result<Response, AppError> {
    // Asked about each time, so that a withdrawn photo is gone from the next page that shows it.
    let tag = format!("\"{sha}\"");
    let fixed = [
        (header::CONTENT_TYPE, "image/jpeg".to_owned()),
        (header::CACHE_CONTROL, "private, no-cache".to_owned()),
        (header::ETAG, tag.clone()),
        (header::CONTENT_SECURITY_POLICY, POLICY.to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("inline; filename=\"{sha}.jpg\""),
        ),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin".to_owned(),
        ),
    ];
    let known = asked.get(header::IF_NONE_MATCH).is_some_and(|value| {
        let value = value.to_str().unwrap_or_default();
        value.split(',').any(|one| one.trim() == tag)
    });
    if known {
        return Ok((StatusCode::NOT_MODIFIED, fixed).into_response());
    }
    match app.photos.get(sha).await {
        Ok(Some(bytes)) => Ok((fixed, bytes).into_response()),
        Ok(None) => {
            tracing::error!(sha, "the file of a photo is missing");
            Err(AppError::NotFound)
        }
        Err(e) => Err(AppError::Broken(format!("photo {sha}: {e}"))),
    }
}
