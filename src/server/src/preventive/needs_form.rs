//! The part of the plan form that says what the work needs.

use super::form::PlanInput;
use super::needs::{Needs, PartNeeded};
use super::{NewPlan, queries};
use crate::error::AppError;
use crate::form::{self, FieldErrors};
use crate::state::AppState;
use crate::stores;
use crate::stores::amount::{self, Amount};

pub const LOCKS: &[(&str, &str)] = &[
    ("no", "No: it looks and reads only, and opens nothing"),
    (
        "yes",
        "Yes: it becomes a job, and is never ticked on a round",
    ),
];

impl PlanInput {
    pub(super) fn put_needs(&mut self, needs: &Needs) {
        let number = |n: Option<i64>| n.map(|n| n.to_string()).unwrap_or_default();
        self.lock = match needs.lock {
            Some(true) => "yes".to_owned(),
            Some(false) => "no".to_owned(),
            None => String::new(),
        };
        self.procedure = number(needs.procedure);
        self.hard_days = number(needs.hard_days);
        self.crew = number(needs.crew);
        self.skills = needs.skills.join(", ");
        self.access = needs.access.clone();
        let line = |part: &PartNeeded| format!("{} {}", part.amount.words(), part.name);
        let lines: Vec<String> = needs.parts.iter().map(line).collect();
        self.parts = lines.join("\n");
    }

    pub(super) fn needs(&self, window: i64, errors: &mut FieldErrors) -> Needs {
        let hard_days = errors.take("hard_days", form::optional_count(&self.hard_days));
        if hard_days.is_some_and(|days| days < window) {
            errors.add(
                "hard_days",
                "The hard limit lies no nearer than the window reaches",
            );
        }
        let crew = errors.take("crew", form::optional_count(&self.crew));
        if crew.is_some_and(|crew| !(1..=20).contains(&crew)) {
            errors.add("crew", "Enter the people it takes at once, as 2");
        }
        let lines = self.parts.lines().filter(|line| !line.trim().is_empty());
        Needs {
            lock: match self.lock.as_str() {
                "yes" => Some(true),
                "no" => Some(false),
                _ => None,
            },
            procedure: self.procedure.parse().ok(),
            hard_days,
            crew,
            skills: words(&self.skills),
            parts: lines.filter_map(|line| part(line, errors)).collect(),
            access: self.access.trim().to_owned(),
        }
    }
}

/// Words with commas between, each once.
fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text
        .split(',')
        .map(str::trim)
        .filter(|word| !word.is_empty())
    {
        if words.iter().all(|known| !known.eq_ignore_ascii_case(word)) {
            words.push(word.to_owned());
        }
    }
    words
}

/// `2 Belt A42`; the part itself is looked up afterwards.
fn part(line: &str, errors: &mut FieldErrors) -> Option<PartNeeded> {
    let ask = || format!("“{line}”: write how many, then the part's name, as 2 Belt A42");
    let (count, name) = match line.trim().split_once(char::is_whitespace) {
        Some(parts) => parts,
        None => {
            errors.add("parts", ask());
            return None;
        }
    };
    match amount::moved(count, "") {
        Ok(amount) => Some(PartNeeded {
            part: 0,
            name: name.trim().to_owned(),
            amount,
        }),
        Err(_) => {
            errors.add("parts", ask());
            None
        }
    }
}

/// Finds the parts and the procedure, and refuses a plan that says one thing and needs another.
///
/// # Errors
/// The database's own.
pub async fn check(
    app: &AppState,
    new: &mut NewPlan,
    errors: &mut FieldErrors,
) -> Result<(), AppError> {
    for needed in &mut new.needs.parts {
        match stores::queries::part_named(&app.db, &needed.name).await? {
            Some(id) => {
                needed.part = id.0;
                let part = stores::queries::part(&app.db, id).await?;
                needed.name = part.map_or_else(|| needed.name.clone(), |part| part.name);
            }
            None => errors.add("parts", format!("No part is called “{}”", needed.name)),
        }
    }
    let Needs { procedure, .. } = new.needs;
    if let Some(id) = procedure
        && crate::procedures::queries::find(&app.db, id)
            .await?
            .is_none()
    {
        errors.add("procedure", "Choose one of the procedures");
    }
    let locking = queries::locking_procedures(&app.db).await?;
    if new.needs.lock == Some(false) && new.needs.isolation(&new.steps, &locking).needed() {
        errors.add(
            "lock",
            "Its steps or its procedure need the machine isolated. Say yes, or change the steps",
        );
    }
    Ok(())
}

/// The procedures to choose from: number and name.
///
/// # Errors
/// The database's own.
pub async fn procedures(app: &AppState) -> Result<Vec<(String, String)>, AppError> {
    let all = crate::procedures::queries::list(&app.db).await?;
    let words = |p: crate::procedures::Procedure| {
        let words = format!(
            "{} ({})",
            p.name,
            crate::procedures::kind_words(&p.for_kind)
        );
        (p.id.to_string(), words)
    };
    Ok(all.into_iter().map(words).collect())
}

/// What lies on the shelf of a part beside what a plan needs of it: `2 × Belt A42 (1 free)`.
///
/// # Errors
/// The database's own.
pub async fn parts_beside_shelf(app: &AppState, needs: &Needs) -> Result<Vec<String>, AppError> {
    let mut lines = Vec::new();
    for needed in &needs.parts {
        let id = crate::stores::PartId(needed.part);
        let free = stores::queries::part(&app.db, id).await?.map_or_else(
            || "not on the shelf's list any more".to_owned(),
            |part| format!("{} free", Amount(part.on_hand.0 - part.reserved.0).words()),
        );
        lines.push(format!(
            "{} × {} ({free})",
            needed.amount.words(),
            needed.name
        ));
    }
    Ok(lines)
}
