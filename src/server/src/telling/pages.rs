//! `/telling`: what a person is told, and how.

use super::calendar::{Feed, Kind, hash, new_secret, queries, serve};
use super::mail_page::{self, MailPart};
use crate::audit::audit;
use crate::clock::Zone;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};

/// A calendar that this person may have.
struct Offered {
    kind: Kind,
    feed: Option<Feed>,
}

#[derive(Template)]
#[template(path = "telling/own.html")]
struct TellingPage {
    layout: Layout,
    zone: Zone,
    calendars: Vec<Offered>,
    /// A calendar's address that was just made, and whose: shown this once.
    made: Option<(Kind, String)>,
    shows: String,
    mail: Option<MailPart>,
}

impl TellingPage {
    fn at(&self, at: &i64) -> String {
        self.zone.minute_words(*at)
    }

    fn settles(&self) -> bool {
        self.layout.supervises() || self.layout.is(crate::people::Role::Keeper)
    }
}

/// `typed` is what came back from the part about mail: its messages, and the address as typed.
pub(super) async fn page(
    app: &AppState,
    user: &CurrentUser,
    made: Option<(Kind, String)>,
    typed: Option<(FieldErrors, String)>,
) -> Result<Page<impl Template>, AppError> {
    let mut mail = mail_page::part(app, user).await?;
    if let (Some(part), Some((errors, address))) = (&mut mail, typed) {
        part.errors = errors;
        part.typed_address = address;
    }
    let mut feeds = queries::of_person(&app.db, user.id()).await?;
    let calendars = Kind::ALL
        .into_iter()
        .filter(|kind| kind.open_to(user.person.role))
        .map(|kind| Offered {
            kind,
            feed: feeds
                .iter()
                .position(|feed| feed.kind == kind)
                .map(|at| feeds.remove(at)),
        })
        .collect();
    let shown = serve::shown(app).await?;
    Ok(Page(TellingPage {
        layout: Layout::new(app, &user.visitor, ""),
        zone: app.zone(),
        calendars,
        made,
        shows: super::shop_page::shows_words(&shown),
        mail,
    }))
}

pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    Ok(page(&app, &user, None, None).await?.into_response())
}

/// Makes a new address, or takes the address away. The new one is in the answer and nowhere else.
pub async fn calendar(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    let kind = Kind::named(fields.get("kind")).ok_or(AppError::NotFound)?;
    if !kind.open_to(user.person.role) {
        return Err(AppError::Forbidden(
            "Your role does not allow this. Ask a supervisor.",
        ));
    }
    let (now, by) = (app.clock.now(), Some(user.id()));
    if fields.get("what") == "end" {
        let feeds = queries::of_person(&app.db, user.id()).await?;
        if let Some(feed) = feeds.iter().find(|feed| feed.kind == kind) {
            let mut tx = app.db.begin_write().await?;
            queries::end(&mut tx, feed.id).await?;
            audit(&mut tx, now, by, ("feeds", feed.id), "ended", &kind.word()).await?;
            tx.commit().await?;
        }
        return Ok(Redirect::to(&app.url("/telling")).into_response());
    }
    let secret = new_secret();
    let mut tx = app.db.begin_write().await?;
    let feed = queries::set_address(&mut tx, user.id(), kind, &hash(&secret), now).await?;
    audit(
        &mut tx,
        now,
        by,
        ("feeds", feed),
        "new address",
        &kind.word(),
    )
    .await?;
    tx.commit().await?;
    let address = app.public_url(&format!("/calendar/{secret}.ics"));
    Ok(page(&app, &user, Some((kind, address)), None)
        .await?
        .into_response())
}
