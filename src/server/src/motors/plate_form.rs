//! A motor plate as people type it: a value and how it is known, field by field.
//!
//! Blank is not known; blank with `unreadable` was looked at and cannot be read. A form may hold
//! several plates, kept apart by a prefix: `fitted_power` and `fitted_power_how`.

use super::plate_said::said;
use super::plate_words::{GROUPS, HOWS};
use crate::form::{FieldErrors, Fields};
use crate::measure;
use crate::rows::{Row, Typed, chosen, small_count, yes_no};
use crate::shop::Units;
use calc::plate::{Direction, Field, How, Plate, Rotation, SeenFrom};
use calc::units::{Amps, Celsius, Hertz, Microfarads, Millimetres, Rpm, Volts};
use serde::de::DeserializeOwned;

/// What was typed into the fields of one plate, all strings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlateInput {
    prefix: String,
    typed: Typed,
}

/// Fields of one heading, as macros/plate.html shows them.
#[derive(Clone, Debug)]
pub struct PlateGroup {
    pub title: &'static str,
    /// The first group, and any that holds a mistake.
    pub open: bool,
    pub rows: Vec<Row>,
}

impl PlateInput {
    /// The plate fields of a posted form.
    pub fn from_fields(fields: &Fields, prefix: &str) -> Self {
        Self::from_typed(&Typed::from_fields(fields), prefix)
    }

    pub fn from_typed(typed: &Typed, prefix: &str) -> Self {
        PlateInput {
            prefix: prefix.to_owned(),
            typed: typed.clone(),
        }
    }

    /// The fields of a plate as a form shows them.
    pub fn from_plate(plate: &Plate, units: Units, prefix: &str) -> Self {
        let mut typed = Typed::default();
        for said in said(plate, units, false) {
            typed.put(format!("{prefix}{}", said.name), said.text);
            typed.put(format!("{prefix}{}_how", said.name), said.how);
        }
        PlateInput {
            prefix: prefix.to_owned(),
            typed,
        }
    }

    /// The fields by name, to go into the form around them.
    pub fn into_typed(self) -> Typed {
        self.typed
    }

    /// # Errors
    /// A message beside each field that cannot be read.
    pub fn parse(&self, units: Units) -> Result<Plate, FieldErrors> {
        let mut r = PlateReader {
            input: self,
            errors: FieldErrors::default(),
        };
        let plate = Plate {
            power: r.field("power", |t| measure::power(t, units)),
            volts: r.list(
                "volts",
                &["v", "vac"],
                "Enter volts, as 230 or 115/230",
                Volts,
            ),
            amps: r.list("amps", &["a"], "Enter amps, as 1.8 or 3.6/1.8", Amps),
            phases: r.field("phases", small_count),
            frequency: r.list("frequency", &["hz"], "Enter hertz, as 60", Hertz),
            speeds: r.speeds(),
            motor_type: r.choice("motor_type"),
            rotation: r.field("rotation", rotation),
            frame: r.text("frame"),
            mount: r.choice("mount"),
            bolt_circle: r.length("bolt_circle", units),
            stud_length: r.length("stud_length", units),
            stud_count: r.field("stud_count", small_count),
            stud_thread: r.text("stud_thread"),
            stud_end: r.choice("stud_end"),
            shaft_diameter: r.length("shaft_diameter", units),
            shaft_length: r.length("shaft_length", units),
            shaft_form: r.choice("shaft_form"),
            double_shaft: r.field("double_shaft", yes_no),
            body_diameter: r.length("body_diameter", units),
            body_length: r.length("body_length", units),
            enclosure: r.choice("enclosure"),
            ambient: r.field("ambient", measure::celsius),
            insulation: r.choice("insulation"),
            duty: r.choice("duty"),
            service_factor: r.field("service_factor", |t| {
                measure::amount(t, &[], "Enter the service factor, as 1.15")
            }),
            rise: r.field("rise", |t| {
                measure::amount(t, &["c", "°c", "k"], "Enter the rise, as 40").map(Celsius)
            }),
            protection: r.choice("protection"),
            bearing: r.choice("bearing"),
            position: r.choice("position"),
            speed_control: r.field("speed_control", yes_no),
            capacitor: r.field("capacitor", |t| {
                let units = ["µf", "uf", "mfd", "μf"];
                measure::amount(t, &units, "Enter microfarads, as 5").map(Microfarads)
            }),
            capacitor_volts: r.field("capacitor_volts", |t| {
                measure::amount(t, &["v", "vac"], "Enter volts, as 370").map(Volts)
            }),
            capacitor_included: r.field("capacitor_included", yes_no),
            code_letter: r.field("code_letter", code_letter),
            efficiency: r.field("efficiency", efficiency),
            power_factor: r.field("power_factor", power_factor),
            hazardous_listing: r.text("hazardous_listing"),
            more: super::plate_more::read(&mut r),
        };
        r.errors.or(plate)
    }

    /// The rows by heading, for macros/plate.html.
    pub fn groups(&self, units: Units, errors: &FieldErrors) -> Vec<PlateGroup> {
        let group = |(at, (title, asks)): (usize, &super::plate_words::Group)| {
            let rows: Vec<Row> = asks
                .iter()
                .map(|ask| {
                    let name = format!("{}{}", self.prefix, ask.name);
                    let how = self.typed.get(&format!("{name}_how")).to_owned();
                    Row {
                        how: Some(how),
                        ..self.typed.row(ask, name, units, errors)
                    }
                })
                .collect();
            PlateGroup {
                title,
                open: at == 0 || rows.iter().any(|r| r.error.is_some()),
                rows,
            }
        };
        GROUPS.iter().enumerate().map(group).collect()
    }
}

pub(super) struct PlateReader<'a> {
    input: &'a PlateInput,
    errors: FieldErrors,
}

impl PlateReader<'_> {
    pub(super) fn field<T>(
        &mut self,
        name: &str,
        read: impl FnOnce(&str) -> Result<T, String>,
    ) -> Field<T> {
        let name = format!("{}{name}", self.input.prefix);
        let text = self.input.typed.get(&name);
        let how = self.input.typed.get(&format!("{name}_how"));
        match (text, how) {
            ("", "unreadable") => return Field::Unreadable,
            ("", _) => return Field::Unknown,
            (_, "unreadable") => {
                self.errors.add(
                    &name,
                    "Leave it blank if it is unreadable, or say how it is known",
                );
                return Field::Unknown;
            }
            _ => {}
        }
        let how = match HOWS.iter().find(|(word, _)| *word == how) {
            Some((word, _)) => chosen::<How>(word).unwrap_or_default(),
            None => How::Read,
        };
        match read(text) {
            Ok(value) => Field::Known { value, how },
            Err(message) => {
                self.errors.add(&name, message);
                Field::Unknown
            }
        }
    }

    fn choice<T: DeserializeOwned>(&mut self, name: &str) -> Field<T> {
        self.field(name, chosen)
    }

    pub(super) fn text(&mut self, name: &str) -> Field<String> {
        self.field(name, |text| Ok(text.to_owned()))
    }

    fn length(&mut self, name: &str, units: Units) -> Field<Millimetres> {
        self.field(name, |text| measure::length(text, units))
    }

    pub(super) fn list<T>(
        &mut self,
        name: &str,
        units: &[&str],
        message: &str,
        unit: fn(f64) -> T,
    ) -> Field<Vec<T>> {
        self.field(name, |text| {
            Ok(measure::amounts(text, units, message)?
                .into_iter()
                .map(unit)
                .collect())
        })
    }

    /// Highest first, as the taps are counted.
    fn speeds(&mut self) -> Field<Vec<Rpm>> {
        self.field("speeds", |text| {
            let message = "Enter a speed, as 1075 or 1075/900";
            let mut speeds = measure::amounts(text, &["rpm", "r/min"], message)?;
            if speeds.iter().any(|speed| *speed < 10.0) {
                return Err(message.to_owned()); // 1,075 is one speed, not 1.075
            }
            speeds.sort_by(|a, b| b.total_cmp(a));
            Ok(speeds.into_iter().map(Rpm).collect())
        })
    }
}

fn rotation(word: &str) -> Result<Rotation, String> {
    let ask = || "Choose one of the list".to_owned();
    let parts: Vec<&str> = word.split('_').collect();
    let [direction, from, form] = parts[..] else {
        return Err(ask());
    };
    Ok(Rotation {
        direction: match direction {
            "cw" => Direction::Clockwise,
            "ccw" => Direction::CounterClockwise,
            _ => return Err(ask()),
        },
        seen_from: match from {
            "shaft" => SeenFrom::ShaftEnd,
            "lead" => SeenFrom::LeadEnd,
            "unstated" => SeenFrom::NotStated,
            _ => return Err(ask()),
        },
        reversible: match form {
            "fixed" => false,
            "reversible" => true,
            _ => return Err(ask()),
        },
    })
}

pub(super) fn rotation_word(rotation: &Rotation) -> String {
    let direction = match rotation.direction {
        Direction::Clockwise => "cw",
        Direction::CounterClockwise => "ccw",
    };
    let from = match rotation.seen_from {
        SeenFrom::ShaftEnd => "shaft",
        SeenFrom::LeadEnd => "lead",
        SeenFrom::NotStated => "unstated",
    };
    format!(
        "{direction}_{from}_{}",
        if rotation.reversible {
            "reversible"
        } else {
            "fixed"
        }
    )
}

fn code_letter(text: &str) -> Result<char, String> {
    let mut letters = text.chars();
    match (letters.next(), letters.next()) {
        (Some(letter), None) if letter.is_ascii_alphabetic() => Ok(letter.to_ascii_uppercase()),
        _ => Err("Enter one letter, as K".to_owned()),
    }
}

/// In per cent.
fn efficiency(text: &str) -> Result<f64, String> {
    let message = "Enter the efficiency in per cent, as 82.5";
    match measure::amount(text, &["%"], message)? {
        n if n <= 1.0 => Ok(n * 100.0),
        n if n <= 100.0 => Ok(n),
        _ => Err(message.to_owned()),
    }
}

/// From 0 to 1.
fn power_factor(text: &str) -> Result<f64, String> {
    let message = "Enter the power factor, as 0.62 or 62 %";
    match measure::amount(text, &["%"], message)? {
        n if n <= 1.0 => Ok(n),
        n if n <= 100.0 => Ok(n / 100.0),
        _ => Err(message.to_owned()),
    }
}
