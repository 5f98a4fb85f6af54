//! `/ledger/figures`: all figures, and one of them with its parts, months and definition.

use super::Figure;
use super::about::About;
use super::queries::{self, Counted, With};
use super::span::{self, Filter, Piece, Span};
use super::tally::{self, Month, Tally};
use crate::clock::{Millis, date_value};
use crate::error::AppError;
use crate::jobs::queries::{Targets, targets};
use crate::machines::KINDS;
use crate::machines::queries::{Place, places};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use time::{Date, Duration};

/// Who reads figures: who answers for the work, and who looks over it.
pub const READERS: &[Role] = &[Role::Supervisor, Role::Auditor, Role::Keeper];

/// The form above every figure.
pub struct Asking {
    pub filter: Filter,
    pub span: Span,
    /// What of the address could not be read.
    pub note: String,
    pub places: Vec<Place>,
    pub today: Date,
    /// The page that the form asks again.
    pub path: String,
}

impl Asking {
    pub async fn read(app: &AppState, mut filter: Filter, path: String) -> Result<Self, AppError> {
        let (span, note) = span::read(app, &mut filter).await?;
        Ok(Asking {
            filter,
            span,
            note,
            places: places(&app.db).await?,
            today: app.today(),
            path,
        })
    }

    pub fn kinds(&self) -> &'static [(&'static str, &'static str)] {
        KINDS
    }

    /// Spans that are asked for often: words and the address's part.
    pub fn often(&self) -> Vec<(&'static str, String)> {
        let today = self.today;
        let first_of = |year: i32| Date::from_ordinal_date(year, 1).unwrap_or(today);
        let this = first_of(today.year());
        let spans = [
            (
                "last 12 months",
                today.saturating_sub(Duration::days(364)),
                today,
            ),
            ("this year", this, today),
            (
                "last year",
                first_of(today.year() - 1),
                this.saturating_sub(Duration::days(1)),
            ),
            (
                "last 30 days",
                today.saturating_sub(Duration::days(29)),
                today,
            ),
        ];
        let address = |first: Date, last: Date| {
            let (first, last) = (date_value(first), date_value(last));
            self.filter
                .with(&[("from", &first), ("to", &last), ("key", ""), ("sub", "")])
        };
        spans
            .into_iter()
            .map(|(words, a, b)| (words, address(a, b)))
            .collect()
    }

    /// What the figures are about, in words: `26 Nov 2025 to 25 Nov 2026, fans, Kiln hall`.
    pub fn words(&self) -> String {
        self.words_after(self.span.words())
    }

    /// The same for what is not of days: as it stands today.
    pub fn words_now(&self) -> String {
        self.words_after(format!(
            "today, {}",
            crate::preventive::pages::day(&self.today)
        ))
    }

    fn words_after(&self, first: String) -> String {
        let mut words = vec![first];
        if !self.filter.kind.is_empty() {
            let kind = KINDS.iter().find(|(kind, _)| *kind == self.filter.kind);
            words.push(format!(
                "kind: {}",
                kind.map_or(self.filter.kind.as_str(), |(_, w)| w)
            ));
        }
        if self.span.place != 0 {
            let place = self.places.iter().find(|place| place.id == self.span.place);
            words.push(place.map_or("a place that is not there".to_owned(), |p| p.path.clone()));
        }
        if self.span.machine != 0 {
            words.push(format!("machine {}", self.filter.machine.trim()));
        }
        words.join("; ")
    }
}

/// What every count needs beside the span.
pub struct Base {
    pub now: Millis,
    pub today: Date,
    pub targets: Targets,
}

impl Base {
    pub async fn read(app: &AppState) -> Result<Base, AppError> {
        Ok(Base {
            now: app.clock.now(),
            today: app.today(),
            targets: targets(&app.db).await?,
        })
    }

    pub fn with<'a>(&'a self, span: &'a Span, key: &'a str, sub: &'a str) -> With<'a> {
        With {
            span,
            today: self.today,
            key,
            sub,
            now: self.now,
            targets: &self.targets,
        }
    }
}

#[derive(Template)]
#[template(path = "ledger/figures.html")]
struct FiguresPage {
    layout: Layout,
    asking: Asking,
    figures: Vec<(Figure, &'static About, Tally)>,
}

#[derive(Template)]
#[template(path = "ledger/figure.html")]
struct FigurePage {
    layout: Layout,
    asking: Asking,
    figure: Figure,
    about: &'static About,
    tally: Tally,
    months: Vec<Month>,
    chart: String,
    printed: String,
}

/// The address of the jobs behind parts of a figure.
fn jobs(layout: &Layout, figure: Figure, filter: &Filter, parts: (&str, &str)) -> String {
    let query = filter.with(&[("key", parts.0), ("sub", parts.1)]);
    layout.url(&format!("/ledger/figures/{}/jobs?{query}", figure.word()))
}

/// The parts above the line, as an address names them.
fn keys_above(figure: Figure, tally: &Tally) -> String {
    if figure != Figure::Modes {
        return figure.about().above.join("|");
    }
    let parts = tally.parts.iter().map(|part| part.key.as_str());
    match parts.filter(|key| figure.above(key)).collect::<Vec<_>>() {
        // An empty list would stand for all.
        none if none.is_empty() => "-".to_owned(),
        coded => coded.join("|"),
    }
}

impl FiguresPage {
    fn address(&self, figure: &Figure) -> String {
        let query = self.asking.filter.with(&[]);
        self.layout
            .url(&format!("/ledger/figures/{}?{query}", figure.word()))
    }

    fn above(&self, figure: &Figure, tally: &Tally) -> String {
        let keys = keys_above(*figure, tally);
        jobs(&self.layout, *figure, &self.asking.filter, (&keys, ""))
    }

    fn below(&self, figure: &Figure, about: &About) -> String {
        jobs(
            &self.layout,
            *figure,
            &self.asking.filter,
            (&about.below.join("|"), ""),
        )
    }
}

impl FigurePage {
    fn jobs(&self, key: &str, sub: &str) -> String {
        jobs(&self.layout, self.figure, &self.asking.filter, (key, sub))
    }

    fn above(&self) -> String {
        self.jobs(&keys_above(self.figure, &self.tally), "")
    }

    fn below(&self) -> String {
        self.jobs(&self.about.below.join("|"), "")
    }

    fn apart(&self) -> String {
        let parts = self.tally.parts.iter().filter(|part| !part.below);
        let keys: Vec<&str> = parts.map(|part| part.key.as_str()).collect();
        self.jobs(&keys.join("|"), "")
    }

    fn csv(&self) -> String {
        let query = self.asking.filter.with(&[]);
        self.layout.url(&format!(
            "/ledger/figures/{}/figure.csv?{query}",
            self.figure.word()
        ))
    }

    fn month(&self, month: &Month) -> String {
        let (first, last) = (date_value(month.first), date_value(month.last));
        let query = self.asking.filter.with(&[("from", &first), ("to", &last)]);
        self.layout
            .url(&format!("/ledger/figures/{}?{query}", self.figure.word()))
    }

    /// Parts that have jobs, or that a reader looks for where there are none.
    fn shown(&self) -> Vec<&tally::Part> {
        let backlog = self.figure == Figure::Backlog;
        self.tally
            .parts
            .iter()
            .filter(|part| part.jobs > 0 || !backlog)
            .collect()
    }

    fn hours(&self, part: &tally::Part) -> String {
        sum_words(part, self.about.hour)
    }

    /// The share by what is added up, in words; empty where there is none.
    fn by_sum(&self) -> String {
        if self.about.sum.is_empty() || self.about.of.is_empty() {
            return String::new();
        }
        let (share, blank) = self.tally.share_of_sum(self.figure);
        let one = if blank == 1 { "job has" } else { "jobs have" };
        format!("By hours: {share}. {blank} {one} no hours written.")
    }

    /// The mean of what is added up over the jobs above the line; empty without one.
    fn mean(&self) -> String {
        let above = self
            .tally
            .parts
            .iter()
            .filter(|part| self.figure.above(&part.key));
        let (total, known) = above.fold((0, 0), |sum, p| (sum.0 + p.total, sum.1 + p.known));
        match (self.figure, known) {
            (Figure::Restored, 1..) => format!(
                "Mean time to restoration from the report: {:.1} h over {known} jobs.",
                total as f64 / known as f64 / self.about.hour
            ),
            _ => String::new(),
        }
    }
}

/// `12.5 h; not known for 3`
pub fn sum_words(part: &tally::Part, hour: f64) -> String {
    let hours = format!("{:.1} h", part.total as f64 / hour);
    match (part.known, part.jobs - part.known) {
        (0, 0) => String::new(),
        (0, _) => "not known".to_owned(),
        (_, 0) => hours,
        (_, blank) => format!("{hours}; not known for {blank}"),
    }
}

pub async fn list(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let asking = Asking::read(&app, filter, app.url("/ledger/figures")).await?;
    let base = Base::read(&app).await?;
    let mut figures = Vec::new();
    for figure in Figure::ALL {
        let with = base.with(&asking.span, "", "");
        let counted = queries::count(&app.db, figure, &with).await?;
        figures.push((figure, figure.about(), Tally::of(figure, &counted)));
    }
    let layout = Layout::new(&app, &user.visitor, "Ledger");
    let page = FiguresPage {
        layout,
        asking,
        figures,
    };
    Ok(Page(page).into_response())
}

/// The counts of each month of the span, with its words and days; one for what is not of days.
pub async fn months(
    app: &AppState,
    figure: Figure,
    span: &Span,
) -> Result<Vec<(Piece, Vec<Counted>)>, AppError> {
    let base = Base::read(app).await?;
    let mut months = Vec::new();
    let pieces = match figure {
        Figure::Backlog => Vec::new(),
        _ => span.pieces(),
    };
    for piece in pieces {
        let part = span.within(app, piece.first, piece.last);
        let counted = queries::count(&app.db, figure, &base.with(&part, "", "")).await?;
        months.push((piece, counted));
    }
    if months.is_empty() {
        let counted = queries::count(&app.db, figure, &base.with(span, "", "")).await?;
        let whole = Piece {
            label: span.words(),
            first: span.first,
            last: span.last,
        };
        months.push((whole, counted));
    }
    Ok(months)
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(word): Path<String>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let figure = Figure::named(&word).ok_or(AppError::NotFound)?;
    let path = app.url(&format!("/ledger/figures/{word}"));
    let asking = Asking::read(&app, filter, path).await?;
    let months = months(&app, figure, &asking.span).await?;
    let all = tally::together(months.iter().map(|(_, counted)| counted.clone()));
    let tally = Tally::of(figure, &all);
    let months = months.into_iter().map(|(piece, counted)| Month {
        label: piece.label,
        first: piece.first,
        last: piece.last,
        tally: Tally::of(figure, &counted),
    });
    let months: Vec<Month> = months.collect();
    let chart = match figure {
        Figure::Backlog => tally::by_part(figure, &tally.subs),
        Figure::Modes => tally::by_part(figure, &tally.parts),
        _ => tally::by_month(figure, &months),
    };
    let page = FigurePage {
        layout: Layout::new(&app, &user.visitor, "Ledger"),
        about: figure.about(),
        printed: app.zone().minute_words(app.clock.now()),
        asking,
        figure,
        tally,
        months,
        chart,
    };
    Ok(Page(page).into_response())
}
