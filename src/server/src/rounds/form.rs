//! What is typed of a round: each line is kept on its own, what is refused stays typed.

use super::{Item, queries};
use crate::clock::date_value;
use crate::db::Tx;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::jobs::record;
use crate::meters::{self, lines::Line as Reading};
use crate::people::{CurrentUser, Role};
use crate::preventive::needs::Lock;
use crate::preventive::{self, Needs, ahead_queries, make_ahead_of, to_job};
use crate::state::AppState;
use time::Date;

pub struct Line {
    pub item: Item,
    pub place: String,
    pub access: String,
    /// What is done with it, because it covers it.
    pub includes: Vec<String>,
    /// Needs the machine isolated, itself or what is done with it: not for a round.
    pub isolation: Lock,
    pub needs: Needs,
    /// The machine's meters, at its first line.
    pub meters: Vec<Reading>,
    /// `done`, `could_not`, `job` or empty: left open.
    pub said: String,
    pub note: String,
    pub error: Option<String>,
    /// Kept just now.
    pub kept: bool,
}

impl Line {
    pub fn takes(&self) -> bool {
        self.item.state == "open" && self.item.job_id.is_none()
    }

    pub fn is(&self, said: &str) -> bool {
        self.said == said
    }

    pub fn steps(&self) -> Vec<&str> {
        self.item.steps.lines().filter(|l| !l.is_empty()).collect()
    }
}

pub struct RoundForm {
    pub on: String,
    pub on_error: Option<String>,
    pub lines: Vec<Line>,
}

impl RoundForm {
    /// The round as it stands, nothing typed.
    ///
    /// # Errors
    /// The database's own.
    pub async fn load(app: &AppState, round: i64) -> Result<RoundForm, AppError> {
        let places = crate::machines::queries::places(&app.db).await?;
        let covered = queries::covered(&app.db, round).await?;
        let locking = preventive::queries::locking_procedures(&app.db).await?;
        let mut lines: Vec<Line> = Vec::new();
        for item in queries::lines(&app.db, round).await? {
            let first = lines
                .iter()
                .all(|line| line.item.machine_id != item.machine_id);
            let meters = match first {
                true => meters::queries::of_machine(&app.db, item.machine_id).await?,
                false => Vec::new(),
            };
            let place = places.iter().find(|place| place.id == item.place_id);
            let with: Vec<_> = covered.iter().filter(|c| c.cover == item.id).collect();
            let needs = Needs::read(&item.needs)?;
            let mut isolation = needs.isolation(&item.steps, &locking);
            for other in &with {
                let asks = Needs::read(&other.needs)?.isolation(&other.steps, &locking);
                isolation = if asks.needed() { asks } else { isolation };
            }
            lines.push(Line {
                includes: with.iter().map(|c| c.action.clone()).collect(),
                isolation,
                needs,
                place: place.map(|place| place.path.clone()).unwrap_or_default(),
                access: place.map(|p| p.access_note.clone()).unwrap_or_default(),
                meters: meters.into_iter().map(Reading::blank).collect(),
                item,
                said: String::new(),
                note: String::new(),
                error: None,
                kept: false,
            });
        }
        Ok(RoundForm {
            on: date_value(app.today()),
            on_error: None,
            lines,
        })
    }

    pub fn errors(&self) -> FieldErrors {
        let mut errors = FieldErrors::default();
        if let Some(message) = &self.on_error {
            errors.add("done_on", message.clone());
        }
        for line in &self.lines {
            let tag = &line.item.tag;
            if let Some(message) = &line.error {
                errors.add(
                    &format!("note-{}", line.item.id),
                    format!("{tag}: {message}"),
                );
            }
            for reading in &line.meters {
                if let Some(message) = &reading.error {
                    errors.add(&reading.field(), format!("{tag}: {message}"));
                }
            }
        }
        errors
    }

    pub fn kept(&self) -> usize {
        self.lines.iter().filter(|line| line.kept).count()
    }

    /// Takes what was typed.
    ///
    /// # Errors
    /// The database's own.
    pub async fn take(
        &mut self,
        app: &AppState,
        user: &CurrentUser,
        fields: &Fields,
    ) -> Result<(), AppError> {
        self.on = fields.get("done_on").to_owned();
        for line in &mut self.lines {
            let id = line.item.id;
            line.said = fields.get(&format!("said-{id}")).to_owned();
            line.note = fields.get(&format!("note-{id}")).to_owned();
            for reading in &mut line.meters {
                reading.type_in(fields);
            }
        }
        let on = match form::date(&self.on, "Enter the day of the round") {
            Ok(on) if on > app.today() => Err("This day has not come yet".to_owned()),
            other => other,
        };
        let on = match on {
            Ok(on) => on,
            Err(message) => {
                self.on_error = Some(message);
                return Ok(());
            }
        };
        for line in &mut self.lines {
            for reading in &mut line.meters {
                reading.take(app, user, on).await?;
            }
        }
        for at in 0..self.lines.len() {
            let read = self.read(at, on);
            self.lines[at].close(app, user, on, read).await?;
        }
        Ok(())
    }

    /// How the meters of a line's machine came out.
    fn read(&self, at: usize, on: Date) -> Read {
        let machine = self.lines[at].item.machine_id;
        let mut meters = self
            .lines
            .iter()
            .filter(|line| line.item.machine_id == machine)
            .flat_map(|line| &line.meters)
            .peekable();
        let first = meters.peek().is_some_and(|m| m.meter.last_on < Some(on));
        match meters.any(|meter| meter.error.is_some()) {
            true => Read::Refused,
            false if first => Read::NotYet,
            false => Read::Fine,
        }
    }
}

const NOT_HERE: &str =
    "This needs the machine isolated, so it is not ticked on a round. It becomes a job";

/// Asked again inside the write.
async fn needs_isolation(tx: &mut Tx, item: i64) -> Result<bool, AppError> {
    let locking = preventive::queries::locking_procedures_in(tx).await?;
    for (steps, needs) in queries::asks(tx, item).await? {
        if Needs::read(&needs)?.isolation(&steps, &locking).needed() {
            return Ok(true);
        }
    }
    Ok(false)
}

enum Read {
    Fine,
    /// The meter was not read on that day.
    NotYet,
    /// A reading of this machine was refused or asked about.
    Refused,
}

impl Line {
    async fn close(
        &mut self,
        app: &AppState,
        user: &CurrentUser,
        on: Date,
        read: Read,
    ) -> Result<(), AppError> {
        if !self.takes() {
            return Ok(());
        }
        let note = self.note.trim().to_owned();
        let refused = match (self.said.as_str(), read) {
            ("", _) if note.is_empty() => return Ok(()),
            ("", _) => Some("Say whether it was done or could not be done"),
            ("done", Read::Refused) => Some("Put the reading right first"),
            ("done", Read::NotYet) if self.item.by_meter() && note.is_empty() => {
                Some("Enter what the meter shows, or why it could not be read")
            }
            ("done", _) if self.isolation.needed() => Some(NOT_HERE),
            ("job", _) if user.person.role == Role::Supervisor => {
                return self.make_job(app, user).await;
            }
            ("could_not", _) if note.is_empty() => Some("Say why it could not be done"),
            ("done", _) if note.is_empty() && self.item.beyond_limit(on) => {
                Some("Beyond its hard limit: say why it was done so late")
            }
            ("done" | "could_not", _) => None,
            _ => Some("Choose done, could not, or leave it open"),
        };
        if let Some(message) = refused {
            self.error = Some(message.to_owned());
            return Ok(());
        }
        let mut tx = app.db.begin_write().await?;
        ahead_queries::alone(&mut tx).await?;
        let (item, by) = (self.item.id, user.id());
        let closed = match self.said.as_str() {
            // The plan may have been changed since this page was read.
            "done" if needs_isolation(&mut tx, item).await? => {
                self.error = Some(NOT_HERE.to_owned());
                return Ok(());
            }
            "done" => queries::done(&mut tx, item, on, by, &note).await?,
            _ => preventive::queries::could_not(&mut tx, item, on, by, &note).await?,
        };
        if closed {
            make_ahead_of(&mut tx, self.item.plan_id, app.today()).await?;
            tx.commit().await?;
            self.kept = true;
        }
        // Closed by somebody else meanwhile, it shows as what became of it.
        if let Some(item) = queries::item(&app.db, item).await? {
            self.item = item;
        }
        Ok(())
    }

    /// The line's due item becomes its job; made by somebody else meanwhile, it shows that one.
    async fn make_job(&mut self, app: &AppState, user: &CurrentUser) -> Result<(), AppError> {
        let Some(item) = preventive::queries::item(&app.db, self.item.id).await? else {
            return Ok(());
        };
        if item.state == "open" && item.job_id.is_none() {
            let mut tx = app.db.begin_write().await?;
            let id = record::new_id(app.clock.now());
            match to_job::make(app, &mut tx, &user.person, &item, id).await {
                Ok(_) => tx.commit().await?,
                Err(AppError::Stale) => {}
                Err(other) => return Err(other),
            }
        }
        if let Some(item) = queries::item(&app.db, self.item.id).await? {
            self.item = item;
        }
        self.kept = true;
        Ok(())
    }
}
