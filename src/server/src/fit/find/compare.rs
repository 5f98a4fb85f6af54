//! Up to four motors beside the old plate and its machine, attribute by attribute, on one sheet.

use super::super::candidates::{Candidate, Explained};
use super::super::queries;
use super::PICKED;
use super::subject::{self, Subject};
use crate::error::AppError;
use crate::form::Fields;
use crate::motors::MotorId;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::rows::Typed;
use crate::shelf::pages::words;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use calc::fit;
use calc::working::{Line, Verdict, Working};

/// One motor's head.
struct Column {
    motor: Candidate,
    places: Vec<String>,
    explained: Explained,
    work: Vec<String>,
}

/// One attribute of one motor.
#[derive(Debug, PartialEq)]
pub struct Cell {
    pub value: String,
    /// How it stands to the old motor, in words.
    pub mark: &'static str,
    pub reason: String,
    /// Needs a look: anything but as before or suiting.
    pub heavy: bool,
}

/// One attribute across all of them.
struct Across {
    label: String,
    /// Of the old plate.
    old: String,
    /// What the machine asks for, where it says more than the old plate.
    asks: String,
    cells: Vec<Cell>,
}

#[derive(Template)]
#[template(path = "fit/compare.html")]
struct ComparePage {
    layout: Layout,
    subject: Subject,
    old_plate: String,
    columns: Vec<Column>,
    rows: Vec<Across>,
    back: String,
    /// More were ticked than one sheet holds.
    left_out: usize,
    at: String,
}

/// `/find/compare`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let mut picked: Vec<MotorId> = Vec::new();
    for (_, id) in asked.iter().filter(|(name, _)| name == "pick") {
        let id = MotorId(id.parse().map_err(|_| AppError::NotFound)?);
        if !picked.contains(&id) {
            picked.push(id);
        }
    }
    if picked.is_empty() {
        let sentence = "Tick one to four motors on the list first.";
        return Err(AppError::BadRequest(sentence.to_owned()));
    }
    let left_out = picked.len().saturating_sub(PICKED);
    picked.truncate(PICKED);
    let typed = Typed::from_fields(&Fields(asked));
    let subject = Subject::load(&app, &typed).await?;
    let subject = subject.ok().flatten().ok_or_else(|| {
        let sentence = "Say first which machine or plate the motors are for.";
        AppError::BadRequest(sentence.to_owned())
    })?;
    let candidates = queries::candidates(&app.db, &picked).await?;
    if candidates.len() < picked.len() {
        return Err(AppError::NotFound);
    }
    Ok(page(&app, &user, subject, &typed, candidates, left_out).into_response())
}

fn page(
    app: &AppState,
    user: &CurrentUser,
    subject: Subject,
    typed: &Typed,
    candidates: Vec<Candidate>,
    left_out: usize,
) -> Page<ComparePage> {
    let currency = app.shop().map_or_else(String::new, |shop| shop.currency);
    let layout = Layout::new(app, &user.visitor, "Shelf");
    let query = serde_html_form::to_string(subject::fields(typed)).unwrap_or_default();
    let columns: Vec<Column> = candidates
        .into_iter()
        .map(|motor| {
            let explained = Explained::of(&subject.need(), &motor.plate);
            let work = explained
                .work()
                .into_iter()
                .map(|w| layout.words(w).into_owned());
            Column {
                places: motor
                    .offers
                    .iter()
                    .map(|offer| offer.words(&currency))
                    .collect(),
                work: work.collect(),
                motor,
                explained,
            }
        })
        .collect();
    let before = fit::explain(&subject.need(), &subject.old.plate);
    let workings: Vec<&Working> = columns.iter().map(|c| &c.explained.working).collect();
    Page(ComparePage {
        rows: across(&layout, &before, &workings),
        old_plate: words(app, &subject.old.plate),
        back: layout.url(&format!("/find?{query}")),
        at: app.zone().minute_words(app.clock.now()),
        layout,
        subject,
        columns,
        left_out,
    })
}

/// The 29 attributes in the order people read them.
fn across(layout: &Layout, before: &Working, candidates: &[&Working]) -> Vec<Across> {
    let raw = candidates.to_vec();
    let before = layout.shown(before);
    let shown: Vec<_> = candidates
        .iter()
        .map(|working| layout.shown(working))
        .collect();
    let rows = before.lines.iter().map(|old| {
        let of = |working: &Working| working.line(&old.key).map(|line| cell(old, line));
        let limits = raw.iter().filter_map(|working| working.line(&old.key));
        let limit = limits.map(limit).find(|limit| !limit.is_empty());
        let limit = limit.map(|limit| layout.words(&limit).into_owned());
        let was = value(old);
        let asks = limit
            .filter(|limit| !was.starts_with(limit.as_str()))
            .unwrap_or_default();
        Across {
            label: old.label.to_string(),
            asks,
            cells: shown.iter().filter_map(|working| of(working)).collect(),
            old: was,
        }
    });
    rows.collect()
}

/// A limit with the unit of its line, which tables leave to their column.
fn limit(line: &Line) -> String {
    let bare = line.limit.contains(|c: char| c.is_ascii_digit()) && !line.unit.is_empty();
    let unit = format!(" {}", line.unit);
    match line.limit.split_once(" (") {
        _ if !bare || line.limit.contains(&unit) => line.limit.to_string(),
        Some((figure, rest)) => format!("{figure}{unit} ({rest}"),
        None => format!("{}{unit}", line.limit),
    }
}

fn value(line: &Line) -> String {
    let value = format!("{} {}", line.value, line.unit);
    match value.trim() {
        "" => "not stated".to_owned(),
        value => value.to_owned(),
    }
}

/// What an attribute of a candidate is beside the old motor's: difference in words, then why.
pub fn cell(old: &Line, new: &Line) -> Cell {
    let alike = value(old) == value(new);
    let mark = match (new.verdict, alike) {
        (Some(Verdict::DoNotFit | Verdict::Beyond), _) => "Does not fit",
        (Some(Verdict::NotKnownYet), _) => "Not known yet",
        (Some(Verdict::SuitsAfterWork), true) => "As before, with work",
        (Some(Verdict::SuitsAfterWork), false) => "Differs, with work",
        (_, true) => "As before",
        (Some(Verdict::Same), false) => "Counts as the same",
        (_, false) => "Differs, suits",
    };
    let mut reason = new.note.to_string();
    if !new.margin.is_empty() && !alike {
        reason = format!("{}. {reason}", new.margin);
    }
    // What is alike needs no explanation on a crowded sheet.
    if mark == "As before" {
        reason.clear();
    }
    Cell {
        value: value(new),
        heavy: !matches!(mark, "As before" | "Counts as the same" | "Differs, suits"),
        mark,
        reason: reason.trim().trim_start_matches(". ").to_owned(),
    }
}

impl ComparePage {
    fn bad(&self, column: &Column) -> bool {
        column.explained.verdict.severity() == 4
    }

    /// The page on which the job's motor is chosen.
    fn choose(&self, column: &Column) -> Option<String> {
        let id = column.motor.id.0;
        let job = self.subject.job?;
        Some(self.layout.url(&format!("/jobs/{job}/fit/{id}")))
    }
}
