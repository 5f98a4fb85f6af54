//! Each register as CSV, in the columns in which it is read back; empty templates of the same
//! columns; and the page that documents them.

use super::archive::cells::guarded;
use super::columns::{Column, Register};
use super::heads;
use super::import::{self, rows};
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::rows::{Typed, words_of};
use crate::shop::Units;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

/// Tells spreadsheets that what follows is UTF-8.
const MARK: &[u8] = b"\xEF\xBB\xBF";

/// `/exchange/registers/{name}`: `machines.csv` and the like.
pub async fn register(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(name): Path<String>,
) -> Result<Response, AppError> {
    let register = named(&user, &name)?;
    let units = app.units();
    let all = rows::all(&app, register).await?;
    let day = app.today();
    let text = tokio::task::spawn_blocking(move || csv(register, units, &all))
        .await
        .map_err(|e| AppError::Broken(e.to_string()))??;
    Ok(file(&format!("{}-{day}.csv", register.word()), text))
}

/// `/exchange/templates/{name}`: the names of the columns and nothing beneath.
pub async fn template(user: CurrentUser, Path(name): Path<String>) -> Result<Response, AppError> {
    let register = named(&user, &name)?;
    Ok(file(&name, csv(register, Units::Us, &[])?))
}

fn named(user: &CurrentUser, name: &str) -> Result<Register, AppError> {
    let word = name.strip_suffix(".csv").ok_or(AppError::NotFound)?;
    let register = Register::named(word).ok_or(AppError::NotFound)?;
    user.require(import::roles(register))?;
    Ok(register)
}

fn file(name: &str, text: Vec<u8>) -> Response {
    let named = format!("attachment; filename=\"{name}\"");
    let head = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8".to_owned()),
        (header::CACHE_CONTROL, "no-store".to_owned()),
        (header::CONTENT_DISPOSITION, named),
    ];
    (head, text).into_response()
}

fn csv(register: Register, units: Units, rows: &[Typed]) -> Result<Vec<u8>, AppError> {
    let columns = register.columns();
    let mut out = csv::Writer::from_writer(MARK.to_vec());
    let broken = |e: csv::Error| AppError::Broken(e.to_string());
    out.write_record(columns.iter().map(|c| c.name.as_str()))
        .map_err(broken)?;
    for row in rows {
        let cells = columns.iter().map(|column| cell(column, row, units));
        out.write_record(cells).map_err(broken)?;
    }
    out.into_inner()
        .map_err(|e| AppError::Broken(e.to_string()))
}

/// A fraction goes with its unit: alone, a spreadsheet takes 1/2 for a day.
fn cell(column: &Column, row: &Typed, units: Units) -> String {
    let text = import::written(column, row);
    let text = words_of(column.options, &text);
    if column.measured && text.contains('/') {
        return guarded(&heads::with_unit(&text, column.unit(units)));
    }
    guarded(&text)
}

#[derive(Template)]
#[template(path = "exchange/columns.html")]
struct ColumnsPage {
    layout: Layout,
    registers: Vec<(Register, Vec<Column>)>,
}

impl ColumnsPage {
    fn takes(&self, column: &Column) -> String {
        column.takes(self.layout.units)
    }
}

/// `/exchange/columns`
pub async fn columns(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(import::roles(Register::Shelf))?;
    let mine = Register::ALL
        .iter()
        .filter(|r| import::roles(**r).contains(&user.person.role));
    let page = ColumnsPage {
        layout: Layout::new(&app, &user.visitor, "Shop"),
        registers: mine.map(|r| (*r, r.columns())).collect(),
    };
    Ok(Page(page).into_response())
}
