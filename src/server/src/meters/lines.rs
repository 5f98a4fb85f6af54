//! The lines of a form that takes readings: each is kept on its own, refused ones keep what was typed.

use super::record::{self, Outcome};
use super::{Meter, queries};
use crate::clock::date_value;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::people::CurrentUser;
use crate::state::AppState;
use calc::due::MeterReading;
use time::Date;

pub struct Line {
    pub meter: Meter,
    pub typed: String,
    /// What was asked about: said again, it is taken.
    pub again: String,
    pub error: Option<String>,
    /// What may be another meter's.
    pub lower: bool,
    pub kept: bool,
}

impl Line {
    pub fn blank(meter: Meter) -> Line {
        Line {
            meter,
            typed: String::new(),
            again: String::new(),
            error: None,
            lower: false,
            kept: false,
        }
    }

    pub fn field(&self) -> String {
        format!("value-{}", self.meter.id)
    }

    pub fn type_in(&mut self, fields: &Fields) {
        self.typed = fields.get(&self.field()).to_owned();
        self.again = fields.get(&format!("again-{}", self.meter.id)).to_owned();
    }

    /// Keeps what was typed, or says why not; a blank is nothing.
    ///
    /// # Errors
    /// The database's own.
    pub async fn take(
        &mut self,
        app: &AppState,
        user: &CurrentUser,
        on: Date,
    ) -> Result<(), AppError> {
        let value = match form::optional_number(&self.typed) {
            Ok(Some(value)) => value,
            Ok(None) => return Ok(()),
            Err(_) => {
                self.error = Some("Enter what the meter shows, as 5201".to_owned());
                return Ok(());
            }
        };
        let again = self.again == self.typed;
        let reading = MeterReading { on, value };
        self.put(record::take(app, user, &self.meter, reading, again).await?);
        if self.kept
            && let Some(meter) = queries::find(&app.db, self.meter.id).await?
        {
            self.meter = meter;
        }
        Ok(())
    }
}

/// The form as it stands: its day and its lines.
pub struct Lines {
    pub on: String,
    pub on_error: Option<String>,
    pub list: Vec<Line>,
}

impl Lines {
    pub fn blank(app: &AppState, meters: Vec<Meter>) -> Lines {
        Lines {
            on: date_value(app.today()),
            on_error: None,
            list: meters.into_iter().map(Line::blank).collect(),
        }
    }

    pub fn refused(&self) -> bool {
        self.on_error.is_some() || self.list.iter().any(|line| line.error.is_some())
    }

    pub fn kept(&self) -> usize {
        self.list.iter().filter(|line| line.kept).count()
    }

    /// For the summary at the top.
    pub fn errors(&self) -> FieldErrors {
        let mut errors = FieldErrors::default();
        if let Some(message) = &self.on_error {
            errors.add("read_on", message.clone());
        }
        for line in &self.list {
            if let Some(message) = &line.error {
                errors.add(&line.field(), format!("{}: {message}", line.meter.tag));
            }
        }
        errors
    }

    /// Takes what was typed, line by line.
    ///
    /// # Errors
    /// The database's own.
    pub async fn take(
        app: &AppState,
        user: &CurrentUser,
        fields: &Fields,
        meters: Vec<Meter>,
    ) -> Result<Lines, AppError> {
        let mut lines = Lines::blank(app, meters);
        lines.on = fields.get("read_on").to_owned();
        for line in &mut lines.list {
            line.type_in(fields);
        }
        let on = match form::date(&lines.on, "Enter the day of the reading") {
            Ok(on) => on,
            Err(message) => {
                lines.on_error = Some(message);
                return Ok(lines);
            }
        };
        if let Some(why) = record::not_yet(on, app.today()) {
            lines.on_error = Some(why);
            return Ok(lines);
        }
        for line in &mut lines.list {
            line.take(app, user, on).await?;
        }
        Ok(lines)
    }
}

impl Line {
    fn put(&mut self, outcome: Outcome) {
        self.again.clear();
        match outcome {
            Outcome::Kept => {
                self.kept = true;
                self.typed.clear();
            }
            Outcome::Asked(why) => {
                self.again.clone_from(&self.typed);
                self.error = Some(why);
            }
            Outcome::Refused(why) => self.error = Some(why),
            Outcome::Lower(why) => {
                self.lower = true;
                self.error = Some(why);
            }
        }
    }
}
