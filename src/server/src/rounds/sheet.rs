//! A round on paper: machines in walking order, blanks in the order in which they are typed.

use super::form::RoundForm;
use super::{Round, queries};
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::qr;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use time::Date;

#[derive(Template)]
#[template(path = "rounds/sheet.html")]
struct SheetPage {
    layout: Layout,
    today: Date,
    round: Round,
    form: RoundForm,
    /// Inline SVG, made here from the address alone.
    code: String,
    printed: String,
}

impl SheetPage {
    fn minutes(&self) -> i64 {
        let minutes = self.form.lines.iter().filter_map(|line| line.item.minutes);
        minutes.sum()
    }

    /// The first line of its place.
    fn opens(&self, at: &usize) -> bool {
        let lines = &self.form.lines;
        *at == 0 || lines[*at].item.place_id != lines[*at - 1].item.place_id
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    super::pages::reads(&user)?;
    let round = queries::find(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let mut form = RoundForm::load(&app, id).await?;
    form.lines.retain(|line| line.takes());
    Ok(Page(SheetPage {
        layout: Layout::new(&app, &user.visitor, "Preventive"),
        today: app.today(),
        code: qr::svg(&app.public_url(&format!("/rounds/{id}"))),
        round,
        form,
        printed: app.zone().minute_words(app.clock.now()),
    })
    .into_response())
}
