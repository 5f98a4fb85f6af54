//! What people take out of the program.

use super::archive::{Secrets, tables, write};
use crate::clock::Millis;
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use http_body_util::channel::{Channel, Sender};
use std::io::Write;
use tokio::runtime::Handle;

/// Who may take everything along.
pub const KEEPERS: &[Role] = &[Role::Supervisor, Role::Keeper];

#[derive(Template)]
#[template(path = "exchange/overview.html")]
struct OverviewPage {
    layout: Layout,
    tables: Vec<(&'static str, &'static str)>,
}

pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let tables = tables::all_kept().map(|(t, _)| (t.name, t.what)).collect();
    let layout = Layout::new(&app, &user.visitor, "Shop");
    Ok(Page(OverviewPage { layout, tables }).into_response())
}

/// Everything as one zip, sent while it is made.
pub async fn everything(
    user: CurrentUser,
    State(app): State<AppState>,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let (sender, body) = Channel::<Bytes, std::io::Error>::new(4);
    let now = app.clock.now();
    let name = format!("shop-{}.zip", app.zone().date(now));
    tokio::spawn(send(app, now, sender));
    let head = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        // Packed already: it is not packed a second time on its way.
        (header::CONTENT_ENCODING, "identity".to_owned()),
        (header::CACHE_CONTROL, "no-store".to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"{name}\""),
        ),
    ];
    Ok((head, Body::new(body)).into_response())
}

async fn send(app: AppState, now: Millis, sender: Sender<Bytes, std::io::Error>) {
    let (out, failed) = Out::new(sender);
    let written = write::write(&app.db, Some(&app.photos), (now, Secrets::LeftOut), out).await;
    if let Err(cause) = written {
        tracing::warn!(
            error = &cause as &dyn std::error::Error,
            "export broken off"
        );
        // The browser must see a broken download, never a short one that looks whole.
        if let Some(sender) = failed.lock().unwrap_or_else(|e| e.into_inner()).take() {
            sender.abort(std::io::Error::other("broken off"));
        }
    }
}

type Shared = std::sync::Arc<std::sync::Mutex<Option<Sender<Bytes, std::io::Error>>>>;

/// The end of a response body as something to write to, from a thread that may wait.
struct Out {
    sender: Shared,
    block: Vec<u8>,
    handle: Handle,
}

const BLOCK: usize = 64 * 1024;

impl Out {
    fn new(sender: Sender<Bytes, std::io::Error>) -> (Self, Shared) {
        let sender: Shared = std::sync::Arc::new(std::sync::Mutex::new(Some(sender)));
        let out = Out {
            sender: sender.clone(),
            block: Vec::with_capacity(BLOCK),
            handle: Handle::current(),
        };
        (out, sender)
    }

    fn send(&mut self) -> std::io::Result<()> {
        let block = Bytes::from(std::mem::take(&mut self.block));
        let mut sender = self.sender.lock().unwrap_or_else(|e| e.into_inner());
        let Some(sender) = sender.as_mut() else {
            return Err(std::io::ErrorKind::BrokenPipe.into());
        };
        self.handle
            .block_on(sender.send_data(block))
            .map_err(|_| std::io::ErrorKind::BrokenPipe.into())
    }
}

impl Write for Out {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.block.extend_from_slice(bytes);
        if self.block.len() >= BLOCK {
            self.send()?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        if self.block.is_empty() {
            return Ok(());
        }
        self.send()
    }
}
