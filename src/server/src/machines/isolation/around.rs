//! What the form of a sheet shows beside what was typed.

use super::form::{NEW, SheetInput};
use super::queries;
use crate::error::AppError;
use crate::machines::{self, IsolationSheet, Machine, Source};
use crate::panels::choice::{self, Offered};
use crate::state::AppState;
use std::collections::HashSet;

pub struct Around {
    pub sheet: Option<IsolationSheet>,
    pub sources: Vec<Source>,
    pub near: bool,
    pub with: String,
    pub circuits: Offered,
}

impl Around {
    /// What is typed as new and is known already can be ticked, wherever it belongs to.
    pub fn show_devices(&mut self, known: &[Source], input: &SheetInput) {
        let typed = NEW.map(|prefix| input.get(&format!("{prefix}device")).to_lowercase());
        let shown: HashSet<i64> = self.sources.iter().map(|source| source.id).collect();
        let twin = |source: &&Source| {
            typed.contains(&source.device.trim().to_lowercase()) && !shown.contains(&source.id)
        };
        let twins = known.iter().filter(twin).take(20);
        self.sources.extend(twins.cloned());
    }
}

/// Sources that one list shows.
const LISTED: i64 = 200;

/// The sources to choose from, and what else the form asks by. `with` is the tag of a machine whose
/// sources are looked for; what is ticked stays in sight.
pub async fn around(
    app: &AppState,
    machine: &Machine,
    (with, input): (&str, &SheetInput),
) -> Result<Around, AppError> {
    let mut sources = queries::first_sources(&app.db, LISTED + 1).await?;
    let near = sources.len() as i64 > LISTED;
    if near {
        sources = queries::sources_near(&app.db, machine.id, LISTED).await?;
        let other = match with {
            "" => None,
            tag => machines::queries::find_by_tag(&app.db, tag).await?,
        };
        if let Some(other) = other {
            let sheet = machines::queries::isolation_sheet(&app.db, other.id).await?;
            sources.extend(sheet.into_iter().flat_map(|sheet| sheet.sources));
        }
        for id in &input.sources {
            sources.extend(queries::source(&app.db, *id).await?);
        }
        let mut seen = HashSet::new();
        sources.retain(|source| seen.insert(source.id));
    }
    let typed = NEW.map(|prefix| input.get(&format!("{prefix}circuit_id")));
    Ok(Around {
        sheet: machines::queries::isolation_sheet(&app.db, machine.id).await?,
        sources,
        near,
        with: with.to_owned(),
        circuits: choice::offered(&app.db, &typed).await?,
    })
}
