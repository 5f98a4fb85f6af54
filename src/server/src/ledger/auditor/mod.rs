//! `/ledger/auditor`: one query for whoever looks over the work: days, a place, a rule; what was done,
//! what is blank, and what was changed.

pub mod queries;

use super::book::csv_file::{file, line};
use super::book::pages::{Asking, READERS};
use super::book::span::Filter;
use crate::clock::{Zone, date_value};
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::preventive::pages::day;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use queries::Found;

/// What is looked over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    Isolation,
    Inspections,
    Proofs,
    Permits,
    Temporary,
    Due,
    SignOffs,
    Changes,
}

impl Rule {
    pub const ALL: [Rule; 8] = [
        Rule::Isolation,
        Rule::Inspections,
        Rule::Proofs,
        Rule::Permits,
        Rule::Temporary,
        Rule::Due,
        Rule::SignOffs,
        Rule::Changes,
    ];

    pub fn word(self) -> &'static str {
        match self {
            Rule::Isolation => "isolation",
            Rule::Inspections => "inspections",
            Rule::Proofs => "proofs",
            Rule::Permits => "permits",
            Rule::Temporary => "temporary",
            Rule::Due => "due",
            Rule::SignOffs => "sign-offs",
            Rule::Changes => "changes",
        }
    }

    pub fn title(self) -> &'static str {
        match self {
            Rule::Isolation => "Isolation: locks",
            Rule::Inspections => "Yearly inspection of isolation sheets",
            Rule::Proofs => "Proofs before return to service",
            Rule::Permits => "Permits",
            Rule::Temporary => "Temporary fixes",
            Rule::Due => "Due work",
            Rule::SignOffs => "Sign-offs",
            Rule::Changes => "Changes",
        }
    }

    /// What is listed, and what counts as blank.
    pub fn listed(self) -> &'static str {
        match self {
            Rule::Isolation => {
                "Locks put on in these days. Blank: a lock that is still on, a job with locks and no dead test that was taken."
            }
            Rule::Inspections => {
                "Every machine in use, with its newest isolation sheet. Blank: no sheet, or no inspection in these days (29 CFR 1910.147(c)(6): at least yearly)."
            }
            Rule::Proofs => {
                "Jobs whose machine went back into service in these days, and reports of these days that owe a test. Blank: no run test where one is needed, or one that did not show the machine within limits."
            }
            Rule::Permits => "Permits valid from a day of these. Blank: not closed.",
            Rule::Temporary => {
                "Temporary fixes made up to the last of these days that were made in them or still stand. Blank: still there."
            }
            Rule::Due => "Due items dated in these days. Blank: open, or missed without a reason.",
            Rule::SignOffs => {
                "Jobs whose machine went back into service in these days. Blank: not signed off."
            }
            Rule::Changes => {
                "Changes of the registers, of plans, and corrections and late entries of jobs in these days. With a place: those of machines in it and of their jobs and plans. Blank: a plan changed without a reason, an entry set aside."
            }
        }
    }

    pub fn named(word: &str) -> Option<Rule> {
        Rule::ALL.into_iter().find(|rule| rule.word() == word)
    }
}

/// Rows on the page and in the file.
const MOST: i64 = 500;
const MOST_IN_FILE: i64 = 20_000;

#[derive(Template)]
#[template(path = "ledger/auditor.html")]
struct AuditorPage {
    layout: Layout,
    asking: Asking,
    rule: Rule,
    rows: Vec<Found>,
    count: i64,
    blanks: i64,
    /// Changes in the same days and place, where another rule is asked for.
    changes: Vec<Found>,
    change_count: i64,
    zone: Zone,
    printed: String,
}

impl AuditorPage {
    fn when(&self, row: &Found) -> String {
        when(row, &self.zone)
    }

    /// There are more lines than the page has.
    fn cut(&self) -> bool {
        (self.rows.len() as i64) < self.count
    }

    /// Changes stand beneath, where they are not what is asked for.
    fn others(&self) -> bool {
        self.rule != Rule::Changes
    }

    fn all_changes(&self) -> String {
        let query = self.asking.filter.with(&[("key", Rule::Changes.word())]);
        self.layout.url(&format!("/ledger/auditor?{query}"))
    }

    fn csv(&self) -> String {
        let query = self.asking.filter.with(&[("key", self.rule.word())]);
        self.layout.url(&format!("/ledger/auditor.csv?{query}"))
    }
}

fn when(row: &Found, zone: &Zone) -> String {
    match (row.at, row.on_day) {
        (_, Some(on)) => day(&on)[4..].to_owned(),
        (Some(at), None) => zone.minute_words(at),
        (None, None) => String::new(),
    }
}

async fn read(app: &AppState, filter: Filter) -> Result<(Asking, Rule), AppError> {
    let rule = match filter.key.as_str() {
        "" => Rule::Isolation,
        word => Rule::named(word).ok_or(AppError::NotFound)?,
    };
    let mut asking = Asking::read(app, filter, app.url("/ledger/auditor")).await?;
    rule.word().clone_into(&mut asking.filter.key);
    Ok((asking, rule))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let (asking, rule) = read(&app, filter).await?;
    let rows = queries::rows(&app.db, rule, &asking.span, MOST).await?;
    let (count, blanks) = queries::count(&app.db, rule, &asking.span).await?;
    let (mut changes, mut change_count) = (Vec::new(), 0);
    if rule != Rule::Changes {
        changes = queries::rows(&app.db, Rule::Changes, &asking.span, 50).await?;
        (change_count, _) = queries::count(&app.db, Rule::Changes, &asking.span).await?;
    }
    let page = AuditorPage {
        layout: Layout::new(&app, &user.visitor, "Ledger"),
        asking,
        rule,
        rows,
        count,
        blanks,
        changes,
        change_count,
        zone: app.zone(),
        printed: app.zone().minute_words(app.clock.now()),
    };
    Ok(Page(page).into_response())
}

pub async fn csv(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let (asking, rule) = read(&app, filter).await?;
    let rows = queries::rows(&app.db, rule, &asking.span, MOST_IN_FILE).await?;
    let zone = app.zone();
    let mut lines = vec![
        line(&[rule.title(), &asking.words(), rule.listed()]),
        line(&["when", "machine", "job", "what", "who", "blank"]),
    ];
    for row in &rows {
        lines.push(line(&[
            &when(row, &zone),
            row.tag.as_deref().unwrap_or(""),
            &row.job_id.map_or_else(String::new, |job| job.0.to_string()),
            &row.what,
            row.who.as_deref().unwrap_or(""),
            &row.blank,
        ]));
    }
    if rows.len() as i64 == MOST_IN_FILE {
        let cut = format!("The first {MOST_IN_FILE} only: ask for fewer days.");
        lines.push(line(&["", "", "", &cut]));
    }
    file(
        &format!("{}-{}", rule.word(), date_value(asking.today)),
        lines,
    )
}
