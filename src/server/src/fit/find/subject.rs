//! What a motor is looked for: a machine, a plate as it reads, or both. All of it stands in the
//! address, so that a search can be kept, sent and printed.

use super::super::case::Old;
use super::super::filter;
use super::super::search::Wanted;
use crate::bench::{Group, Part, fit as bench_fit, groups, plate as typed_plate, taken};
use crate::error::AppError;
use crate::form::FieldErrors;
use crate::machines::{self, Machine, MachineId, facts};
use crate::rows::Typed;
use crate::shop::Units;
use crate::state::AppState;
use calc::fit::Need;
use calc::installation::Installation;
use calc::plate::{Plate, Reading, read};
use std::sync::Arc;

/// Prefix of the plate's fields, typed one by one.
const OLD: &str = "old_";

#[derive(Debug)]
pub struct Subject {
    pub machine: Option<Machine>,
    /// The way to the machine, from the site down.
    pub place: String,
    pub old: Old,
    pub installation: Installation,
    /// How the pasted plate was understood.
    pub reading: Option<Reading>,
    /// The job it is looked for, where somebody came from one.
    pub job: Option<i64>,
}

impl Subject {
    /// `None` where nothing was asked yet.
    ///
    /// # Errors
    /// The outer: the database's. The inner: a message beside each field.
    pub async fn load(
        app: &AppState,
        typed: &Typed,
    ) -> Result<Result<Option<Subject>, FieldErrors>, AppError> {
        let mut errors = FieldErrors::default();
        let machine = machine(app, typed, &mut errors).await?;
        let given = plate_given(typed, app.units(), &mut errors);
        let installation = match &machine {
            Some(machine) => machine.facts.clone(),
            None => taken(facts::parse(typed, app.units()), "", &mut errors),
        };
        if !errors.is_empty() {
            return Ok(Err(errors));
        }
        let bare = installation == Installation::default();
        if machine.is_none() && given.is_none() && bare {
            return Ok(Ok(None));
        }
        let place = match &machine {
            Some(machine) => machines::queries::place(&app.db, machine.place_id).await?,
            None => None,
        };
        let (old, reading) = match given {
            Some((plate, reading)) => (given_old(plate, machine.as_ref(), bare), reading),
            None => match &machine {
                Some(machine) => (Old::of(app, machine).await?, None),
                None => (Old::choose(None, None), None),
            },
        };
        Ok(Ok(Some(Subject {
            machine,
            place: place.map_or_else(String::new, |place| place.path),
            old,
            installation,
            reading,
            job: typed.get("job").parse().ok(),
        })))
    }

    pub fn wanted(&self) -> Wanted {
        Wanted {
            old: Arc::new(self.old.plate.clone()),
            installation: Arc::new(self.installation.clone()),
        }
    }

    pub fn need(&self) -> Need<'_> {
        Need {
            old: &self.old.plate,
            installation: &self.installation,
        }
    }
}

async fn machine(
    app: &AppState,
    typed: &Typed,
    errors: &mut FieldErrors,
) -> Result<Option<Machine>, AppError> {
    if let Ok(id) = typed.get("machine").parse() {
        let found = machines::queries::find(&app.db, MachineId(id)).await?;
        return found.map(Some).ok_or(AppError::NotFound);
    }
    let tag = typed.get("tag");
    if tag.is_empty() {
        return Ok(None);
    }
    let found = machines::queries::find_by_tag(&app.db, tag).await?;
    if found.is_none() {
        errors.add("tag", format!("No machine has the tag {tag}"));
    }
    Ok(found)
}

/// The pasted text with the typed fields over it; `None` where neither tells anything.
fn plate_given(
    typed: &Typed,
    units: Units,
    errors: &mut FieldErrors,
) -> Option<(Plate, Option<Reading>)> {
    let text = typed.get("plate");
    let reading = (!text.is_empty()).then(|| read(text));
    let fields = typed_plate(typed, OLD, units, errors);
    if let Some(reading) = &reading
        && reading.plate == Plate::default()
        && fields == Plate::default()
    {
        let message = "Nothing of this reads as a plate, such as 1/4 HP 1075RPM 230V 1PH";
        errors.add("plate", message);
    }
    if reading.is_none() && fields == Plate::default() {
        return None;
    }
    let read = reading.as_ref().map(|reading| reading.plate.clone());
    Some((over(read.unwrap_or_default(), &fields), reading))
}

/// A plate with another's known fields in place of its own.
fn over(below: Plate, above: &Plate) -> Plate {
    let values = |plate: &Plate| match serde_json::to_value(plate) {
        Ok(serde_json::Value::Object(map)) => map,
        _ => serde_json::Map::new(),
    };
    let mut all = values(&below);
    let known = values(above);
    all.extend(known.into_iter().filter(|(_, value)| value != "unknown"));
    serde_json::from_value(serde_json::Value::Object(all)).unwrap_or(below)
}

fn given_old(plate: Plate, machine: Option<&Machine>, bare: bool) -> Old {
    let why = match (machine, bare) {
        (Some(machine), _) => format!(
            "Judged against the plate you gave, with the wheel and site recorded for {}.",
            machine.tag
        ),
        (None, true) => "Judged against the plate you gave. Nothing is known of the machine, so \
                         much stays not known: answer more about it to be told more."
            .to_owned(),
        (None, false) => "Judged against the plate and the machine you gave.".to_owned(),
    };
    Old {
        motor: None,
        plate,
        why,
    }
}

/// The form's parts: what stays shut until somebody needs it.
pub fn form(typed: &Typed, units: Units, errors: &FieldErrors) -> Vec<Group> {
    let mut plate = Part::plate("The old plate, field by field", OLD, bench_fit::OLD);
    plate.open = false;
    let asks = bench_fit::machine(bench_fit::MACHINE);
    let machine = Part::new("Machine and site, where no tag is given", "", false, &asks);
    groups(vec![plate, machine], typed, units, errors)
}

/// Everything of the address that says what is looked for, to go through links and forms.
pub fn fields(typed: &Typed) -> Vec<(String, String)> {
    let other = |name: &str| name == "page" || name == "pick" || filter::NAMES.contains(&name);
    let all = typed.0.iter();
    all.filter(|(name, value)| !other(name) && !value.is_empty())
        .map(|(name, value)| (name.clone(), value.clone()))
        .collect()
}
