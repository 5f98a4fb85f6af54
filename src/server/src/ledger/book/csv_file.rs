//! Figures and the jobs behind them as files for a spreadsheet.

use super::Figure;
use super::pages::{self, Asking, Base, READERS};
use super::rows;
use super::span::Filter;
use super::tally::{self, Tally};
use crate::clock::date_value;
use crate::error::AppError;
use crate::exchange::archive::cells::guarded;
use crate::people::CurrentUser;
use crate::state::AppState;
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

/// Jobs in one file; who wants more asks for fewer days at a time.
pub const MOST: i64 = 20_000;
/// Tells a spreadsheet that the text is UTF-8.
const MARK: &[u8] = b"\xEF\xBB\xBF";

/// A file of these lines, every cell guarded.
pub fn file(name: &str, lines: Vec<Vec<String>>) -> Result<Response, AppError> {
    let broken = |e: &dyn std::fmt::Display| AppError::Broken(e.to_string());
    let mut out = csv::WriterBuilder::new()
        .flexible(true)
        .from_writer(MARK.to_vec());
    for line in lines {
        out.write_record(line.iter().map(|cell| guarded(cell)))
            .map_err(|e| broken(&e))?;
    }
    let text = out.into_inner().map_err(|e| broken(&e))?;
    let head = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8".to_owned()),
        (header::CACHE_CONTROL, "no-store".to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"{name}.csv\""),
        ),
    ];
    Ok((head, text).into_response())
}

pub fn line(cells: &[&str]) -> Vec<String> {
    cells.iter().map(|cell| (*cell).to_owned()).collect()
}

/// The parts of a figure: of the whole span, then of each month.
pub async fn figure(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(word): Path<String>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let figure = Figure::named(&word).ok_or(AppError::NotFound)?;
    let asking = Asking::read(&app, filter, String::new()).await?;
    let months = pages::months(&app, figure, &asking.span).await?;
    let about = figure.about();
    let mut lines = vec![
        line(&[about.title, &asking.words()]),
        line(&[about.definition]),
        line(&[
            "from",
            "to",
            "part",
            "second part",
            "jobs",
            "in the share",
            about.sum,
            "known for",
        ]),
    ];
    let of = |text: String| {
        if about.sum.is_empty() {
            String::new()
        } else {
            text
        }
    };
    let sum = |total: i64| of(format!("{:.2}", total as f64 / about.hour));
    let known = |known: i64| of(known.to_string());
    for (piece, counted) in &months {
        for part in counted {
            let share = match (figure.above(&part.bucket), figure.below(&part.bucket)) {
                (true, true) => "counted",
                (_, true) => "below the line",
                _ => "apart",
            };
            lines.push(line(&[
                &date_value(piece.first),
                &date_value(piece.last),
                &figure.part_words(&part.bucket),
                &figure.sub_words(&part.sub),
                &part.jobs.to_string(),
                share,
                &sum(part.total),
                &known(part.known),
            ]));
        }
    }
    let all = Tally::of(figure, &tally::together(months.into_iter().map(|(_, c)| c)));
    let (above, below) = (all.above.to_string(), all.below.to_string());
    lines.push(line(&["all", "", about.counts, about.of, &above, &below]));
    file(&format!("{word}-{}", date_value(asking.today)), lines)
}

/// The jobs behind a figure or some of its parts.
pub async fn jobs(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(word): Path<String>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let figure = Figure::named(&word).ok_or(AppError::NotFound)?;
    let asking = Asking::read(&app, filter, String::new()).await?;
    let base = Base::read(&app).await?;
    let filter = &asking.filter;
    let with = base.with(&asking.span, &filter.key, &filter.sub);
    let newest = (i64::MAX, i64::MAX);
    let rows = rows::behind(&app, figure, &with, newest, MOST).await?;
    let about = figure.about();
    let mut lines = vec![line(&[
        "job or plan",
        "machine",
        "machine's name",
        "day",
        "stands",
        about.part,
        about.sub,
        "words",
        about.sum,
    ])];
    for row in &rows {
        let amount = row
            .amount
            .map(|amount| format!("{:.2}", amount as f64 / about.hour));
        lines.push(line(&[
            row.path.trim_start_matches("/jobs/"),
            row.tag.as_deref().unwrap_or(""),
            row.machine.as_deref().unwrap_or(""),
            &row.day,
            &row.stands,
            &figure.part_words(&row.part),
            &figure.sub_words(&row.sub),
            &row.words,
            &amount.unwrap_or_default(),
        ]));
    }
    if rows.len() as i64 == MOST {
        let cut = format!("The newest {MOST} only: ask for fewer days.");
        lines.push(line(&["", "", "", "", "", "", "", &cut]));
    }
    file(&format!("{word}-jobs-{}", date_value(asking.today)), lines)
}
