//! `/shop/telling`: what the shop lets out, and the addresses that are in use.

use super::calendar::{Feed, Shown, queries, serve};
use super::outbox_page::{self, Outbox};
use crate::audit::audit;
use crate::clock::Zone;
use crate::error::AppError;
use crate::form::Fields;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::shop::overview::EDITORS;
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use serde_json::json;

#[derive(Template)]
#[template(path = "telling/shop.html")]
struct ShopTellingPage {
    layout: Layout,
    zone: Zone,
    shown: Shown,
    feeds: Vec<(Feed, String)>,
    outbox: Outbox,
}

impl ShopTellingPage {
    fn at(&self, at: &i64) -> String {
        self.zone.minute_words(*at)
    }
}

/// `tag and place`, as part of a sentence.
pub fn shows_words(shown: &Shown) -> String {
    let parts: Vec<&str> = [
        (shown.shows_tag, "the machine's tag"),
        (shown.shows_work, "the kind of work"),
        (shown.shows_place, "the place"),
    ]
    .into_iter()
    .filter_map(|(shows, word)| shows.then_some(word))
    .collect();
    match parts.split_last() {
        None => "the number only".to_owned(),
        Some((last, [])) => format!("the number and {last}"),
        Some((last, rest)) => format!("the number, {} and {last}", rest.join(", ")),
    }
}

pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let outbox = outbox_page::part(&app).await?;
    Ok(page(&app, &user, outbox).await?.into_response())
}

pub(super) async fn page(
    app: &AppState,
    user: &CurrentUser,
    outbox: Outbox,
) -> Result<Page<impl Template>, AppError> {
    Ok(Page(ShopTellingPage {
        layout: Layout::new(app, &user.visitor, "Shop"),
        zone: app.zone(),
        shown: serve::shown(app).await?,
        feeds: queries::all(&app.db).await?,
        outbox,
    }))
}

/// What calendars show from now on.
pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let was = serve::shown(&app).await?;
    let shown = Shown {
        uid: was.uid.clone(),
        shows_tag: fields.ticked("shows_tag"),
        shows_work: fields.ticked("shows_work"),
        shows_place: fields.ticked("shows_place"),
        version: fields.get("version").parse().unwrap_or(0),
    };
    let mut tx = app.db.begin_write().await?;
    if !queries::set_shown(&mut tx, &shown).await? {
        return Err(AppError::Stale);
    }
    let detail = json!({ "was": shows_words(&was), "is": shows_words(&shown) });
    let (at, by) = (app.clock.now(), Some(user.id()));
    audit(&mut tx, at, by, ("calendar_rules", 1), "change", &detail).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop/telling")).into_response())
}

/// Takes somebody's calendar address away, such as one that got into wrong hands.
pub async fn end(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let feed = fields.get("feed").parse().map_err(|_| AppError::NotFound)?;
    let mut tx = app.db.begin_write().await?;
    if let Some(whose) = queries::end(&mut tx, feed).await? {
        let (at, by) = (app.clock.now(), Some(user.id()));
        audit(
            &mut tx,
            at,
            by,
            ("feeds", feed),
            "ended",
            &json!({ "of": whose }),
        )
        .await?;
    }
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop/telling")).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shown_reads_as_a_sentence() {
        let mut shown = Shown::default();
        assert_eq!(shows_words(&shown), "the number only");
        shown.shows_tag = true;
        assert_eq!(shows_words(&shown), "the number and the machine's tag");
        shown.shows_place = true;
        let words = "the number, the machine's tag and the place";
        assert_eq!(shows_words(&shown), words);
    }
}
