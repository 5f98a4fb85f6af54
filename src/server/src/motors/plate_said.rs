//! A plate in words, field by field: as a form takes it, or for reading.

use super::plate_form::rotation_word;
use super::plate_more;
use crate::measure;
use crate::rows::{word, yes_no_word};
use crate::shop::Units;
use calc::plate::{Field, How, Plate};
use calc::units::{Millimetres, Watts};
use serde::Serialize;

/// One field in words: for a form as typed (`shown` false), for reading in trade words.
pub(super) struct Said {
    pub name: &'static str,
    pub text: String,
    pub how: &'static str,
}

fn how_word<T>(field: &Field<T>) -> &'static str {
    match field {
        Field::Unknown => "",
        Field::Unreadable => "unreadable",
        Field::Known { how, .. } => match how {
            How::Read => "read",
            How::Measured => "measured",
            How::OldRecord => "old_record",
            How::Assumed => "assumed",
        },
    }
}

pub(super) fn say<T>(name: &'static str, field: &Field<T>, words: impl Fn(&T) -> String) -> Said {
    Said {
        name,
        text: field.value().map(words).unwrap_or_default(),
        how: how_word(field),
    }
}

fn say_choice<T: Serialize + Copy>(name: &'static str, field: &Field<T>) -> Said {
    say(name, field, |value| word(*value))
}

pub(super) fn said(plate: &Plate, units: Units, shown: bool) -> Vec<Said> {
    let power = |w: &Watts| match shown {
        true => measure::power_words(*w, units),
        false => measure::power_typed(*w, units),
    };
    let length = |l: &Millimetres| match shown {
        true => measure::length_words(*l, units),
        false => measure::length_typed(*l, units),
    };
    let yes = |yes: &bool| yes_no_word(*yes);
    let mut all = vec![
        say("power", &plate.power, power),
        say("volts", &plate.volts, |v| {
            measure::joined(v.iter().map(|v| v.0))
        }),
        say("amps", &plate.amps, |v| {
            measure::joined(v.iter().map(|v| v.0))
        }),
        say("phases", &plate.phases, u8::to_string),
        say("frequency", &plate.frequency, |v| {
            measure::joined(v.iter().map(|v| v.0))
        }),
        say("speeds", &plate.speeds, |v| {
            measure::joined(v.iter().map(|v| v.0))
        }),
        say_choice("motor_type", &plate.motor_type),
        say("rotation", &plate.rotation, rotation_word),
        say("frame", &plate.frame, String::clone),
        say_choice("mount", &plate.mount),
        say("shaft_diameter", &plate.shaft_diameter, length),
        say("shaft_length", &plate.shaft_length, length),
        say_choice("shaft_form", &plate.shaft_form),
        say("double_shaft", &plate.double_shaft, yes),
        say("bolt_circle", &plate.bolt_circle, length),
        say("stud_count", &plate.stud_count, u8::to_string),
        say("stud_length", &plate.stud_length, length),
        say("stud_thread", &plate.stud_thread, String::clone),
        say_choice("stud_end", &plate.stud_end),
        say("body_diameter", &plate.body_diameter, length),
        say("body_length", &plate.body_length, length),
        say_choice("position", &plate.position),
        say_choice("enclosure", &plate.enclosure),
        say("ambient", &plate.ambient, |c| c.0.to_string()),
        say_choice("insulation", &plate.insulation),
        say("rise", &plate.rise, |c| c.0.to_string()),
        say_choice("duty", &plate.duty),
        say("service_factor", &plate.service_factor, f64::to_string),
        say_choice("protection", &plate.protection),
        say_choice("bearing", &plate.bearing),
        say("capacitor", &plate.capacitor, |c| c.0.to_string()),
        say("capacitor_volts", &plate.capacitor_volts, |v| {
            v.0.to_string()
        }),
        say("capacitor_included", &plate.capacitor_included, yes),
        say("speed_control", &plate.speed_control, yes),
        say("code_letter", &plate.code_letter, char::to_string),
        say("efficiency", &plate.efficiency, f64::to_string),
        say("power_factor", &plate.power_factor, f64::to_string),
        say("hazardous_listing", &plate.hazardous_listing, String::clone),
    ];
    all.extend(plate_more::said(&plate.more));
    all
}
