//! Find a motor: for a machine or a plate, all motors judged, narrowed and set side by side.

pub mod compare;
mod subject;

use super::filter::{self, Filter};
use super::pages::{Row, rows};
use super::search::{self, Found};
use crate::bench::Group;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::rows::Typed;
use crate::shelf::pages::words;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use calc::working::Verdict;
use subject::Subject;

/// Rows of one page.
const ROWS: usize = 25;
/// Motors set side by side at most: what one printed page holds.
pub const PICKED: usize = 4;

/// What was found, for the template.
struct Listing {
    subject: Subject,
    old_plate: String,
    counted: String,
    available: usize,
    on_shelf: usize,
    matching: usize,
    cut: bool,
    filtered: bool,
    rows: Vec<Row>,
    page: usize,
    pages: usize,
}

#[derive(Template)]
#[template(path = "fit/find.html")]
struct FindPage {
    layout: Layout,
    typed: Typed,
    groups: Vec<Group>,
    errors: FieldErrors,
    result: Option<Listing>,
    /// What is looked for, to go along with filters and links.
    along: Vec<(String, String)>,
}

/// `/find`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(fields): Query<Vec<(String, String)>>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let typed = Typed::from_fields(&Fields(fields));
    let asked = Subject::load(&app, &typed).await?;
    let filter = Filter::parse(&typed);
    let (result, errors) = match (asked, filter) {
        (Ok(None), Ok(_)) => (None, FieldErrors::default()),
        (Ok(Some(subject)), Ok(filter)) => {
            let result = found(&app, &typed, subject, &filter).await?;
            (Some(result), FieldErrors::default())
        }
        (Err(errors), _) | (_, Err(errors)) => (None, errors),
    };
    let status = match errors.is_empty() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let page = FindPage {
        layout: Layout::new(&app, &user.visitor, "Shelf"),
        groups: subject::form(&typed, app.units(), &errors),
        along: subject::fields(&typed),
        typed,
        errors,
        result,
    };
    Ok((status, Page(page)).into_response())
}

async fn found(
    app: &AppState,
    typed: &Typed,
    subject: Subject,
    filter: &Filter,
) -> Result<Listing, AppError> {
    let found = search::search(app, &subject.wanted(), filter).await?;
    let asked_shut = filter.verdict == Some(Verdict::DoNotFit);
    // What does not fit is shown where it is asked for; elsewhere it is in the way.
    let matching = match asked_shut {
        true => found.hits.len(),
        false => found.open(),
    };
    let pages = matching.div_ceil(ROWS).max(1);
    let page = typed.get("page").parse().unwrap_or(1).clamp(1, pages);
    let shown = found.hits[..matching].iter();
    let shown = shown.skip((page - 1) * ROWS).take(ROWS);
    let rows = rows(app, &subject.need(), shown).await?;
    Ok(Listing {
        old_plate: words(app, &subject.old.plate),
        counted: counted(&found, filter),
        available: found.available,
        on_shelf: found.on_shelf,
        matching,
        cut: found.cut,
        filtered: !filter.is_empty(),
        rows,
        page,
        pages,
        subject,
    })
}

/// `1 same, 3 suits, 650 do not fit`; under a filter, what it keeps.
fn counted(found: &Found, filter: &Filter) -> String {
    let mut counts = found.counts();
    if filter.is_empty() && !found.cut {
        counts.retain(|(verdict, _)| *verdict != Verdict::DoNotFit);
        let shut = found.available.saturating_sub(found.open());
        counts.extend((shut > 0).then_some((Verdict::DoNotFit, shut)));
    }
    let part = |(verdict, n): &(Verdict, usize)| match (verdict, n) {
        (Verdict::DoNotFit, 1) => "1 does not fit".to_owned(),
        (verdict, n) => format!("{n} {}", verdict.words()),
    };
    counts.iter().map(part).collect::<Vec<_>>().join(", ")
}

impl FindPage {
    fn verdicts(&self) -> crate::rows::Options {
        filter::VERDICTS
    }

    fn places(&self) -> crate::rows::Options {
        filter::PLACES
    }

    fn address(&self, more: &[(String, String)]) -> String {
        let all: Vec<_> = self.along.iter().chain(more).collect();
        let query = serde_html_form::to_string(all).unwrap_or_default();
        self.layout.url(&format!("/find?{query}"))
    }

    /// Another page of the same list.
    fn at_page(&self, page: usize) -> String {
        let kept = filter::NAMES.iter().filter_map(|name| {
            let value = self.typed.get(name);
            (!value.is_empty()).then(|| ((*name).to_owned(), value.to_owned()))
        });
        let mut more: Vec<_> = kept.collect();
        more.push(("page".to_owned(), page.to_string()));
        self.address(&more)
    }

    /// The same without filters.
    fn plain(&self) -> String {
        self.address(&[])
    }

    fn misfits(&self) -> String {
        self.address(&[("f_verdict".to_owned(), "do_not_fit".to_owned())])
    }

    fn one(&self, id: &i64) -> String {
        let pick = ("pick".to_owned(), id.to_string());
        self.address(&[pick])
            .replacen("/find?", "/find/compare?", 1)
    }
}
