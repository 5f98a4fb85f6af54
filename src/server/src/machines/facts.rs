//! What a machine's record says about drive, site, control and switches: asked, read and shown from
//! one table. Blank is not known.

pub use super::facts_words::GROUPS;
use super::facts_words::Group;
use crate::form::{self, FieldErrors};
use crate::measure;
use crate::rows::{Ask, Reader, Row, Takes, Typed, small_count, word, words_of, yes_no_word};
use crate::shop::Units;
use calc::installation::{Disconnect, Driven, Installation, Overload, Site};
use calc::units::{Amps, Hertz, Rpm, Volts};
use rust_decimal::Decimal;

fn above_zero(text: &str) -> Result<f64, String> {
    measure::amount(
        text,
        &["rpm", "v", "a", "hz", "kg", "hp"],
        "Enter a number above zero, as 12.5",
    )
}

fn decimal(text: &str) -> Result<Decimal, String> {
    form::optional_decimal(text)?
        .filter(|n| *n > Decimal::ZERO)
        .ok_or_else(|| "Enter a number above zero, as 12.5".to_owned())
}

/// A belt is written as it is marked, so that section and length are known.
fn belt(text: &str) -> Result<String, String> {
    match calc::belt::section::read_name(text) {
        Some(_) => Ok(text.to_uppercase()),
        None => Err("Write the belt as it is marked, as A42, BX55, 4L420 or 3V500".to_owned()),
    }
}

/// # Errors
/// A message beside each field that cannot be read.
pub fn parse(typed: &Typed, units: Units) -> Result<Installation, FieldErrors> {
    let mut r = Reader::new(typed);
    let driven = driven(&mut r, units);
    let site = site(&mut r, units);
    let disconnect = disconnect(&mut r);
    let overload = overload(&mut r);
    r.errors.or(Installation {
        driven,
        site,
        disconnect,
        overload,
    })
}

fn driven(r: &mut Reader<'_>, units: Units) -> Driven {
    let length = |t: &str| measure::length(t, units);
    Driven {
        air_mover: None, // from the machine's kind, never typed
        drive: r.choice("drive"),
        wheel_diameter: r.known("wheel_diameter", length),
        wheel_mass_kg: r.known("wheel_mass", above_zero),
        wheel_limit: r.known("wheel_limit", above_zero).map(Rpm),
        hub_bore: r.known("hub_bore", length),
        hub_length: r.known("hub_length", length),
        hub_keyway: r.yes_no("hub_keyway"),
        stud_needed: r.known("stud_needed", length),
        rotation: r.choice("turns"),
        shaft_power: r.known("shaft_power", |t| measure::power(t, units)),
        shaft_power_at: r.known("shaft_power_at", above_zero).map(Rpm),
        flow_m3_s: r.known("flow", above_zero),
        driven_speed: r.known("driven_speed", above_zero).map(Rpm),
        motor_sheave: r.known("motor_sheave", length),
        driven_sheave: r.known("driven_sheave", length),
        belts: r.known("belts", small_count),
        belt: r.known("belt", belt),
        belt_length: r.known("belt_length", length),
        centres: r.known("centres", length),
        second_shaft_used: r.yes_no("second_shaft_used"),
        reverses: r.yes_no("reverses"),
        compressor: None, // the shop's forms do not ask for compressors
    }
}

fn site(r: &mut Reader<'_>, units: Units) -> Site {
    let length = |t: &str| measure::length(t, units);
    let distance = |t: &str| measure::distance(t, units);
    Site {
        nominal_volts: r.known("nominal_volts", above_zero).map(Volts),
        measured_volts: r.known("measured_volts", above_zero).map(Volts),
        phases: r.known("phases", small_count),
        frequency: r.known("frequency", above_zero).map(Hertz),
        ambient: r.known("ambient", measure::celsius),
        altitude: r.known("altitude", distance),
        surroundings: r.choice("surroundings"),
        in_air_stream: r.yes_no("in_air_stream"),
        position: r.choice("position"),
        free_length: r.known("free_length", length),
        free_diameter: r.known("free_diameter", length),
        shaft_clearance: r.known("shaft_clearance", length),
        control: r.choice("control"),
        control_amps: r.known("control_amps", above_zero).map(Amps),
        control_locked_rotor: r.known("control_locked_rotor", above_zero).map(Amps),
        taps_used: r.known("taps_used", small_count),
        restart_can_hurt: r.yes_no("restart_can_hurt"),
        hazardous: r.known("hazardous", |t| Ok(t.to_owned())),
        continuous: r.yes_no("continuous"),
        roof_edge: r.known("roof_edge", distance),
        starts_by_itself: r.yes_no("starts_by_itself"),
        draught_turns_wheel: r.yes_no("draught_turns_wheel"),
        guard_opening: r.known("guard_opening", length),
        blade_height: r.known("blade_height", distance),
    }
}

fn disconnect(r: &mut Reader<'_>) -> Option<Disconnect> {
    let kind = r.choice("disconnect_kind");
    let rating = r.known("disconnect_rating", decimal);
    let horsepower = r.known("disconnect_hp", decimal);
    let in_sight = r.yes_no("in_sight");
    if kind.is_none() && (rating.is_some() || horsepower.is_some() || in_sight.is_some()) {
        r.errors.add(
            "disconnect_kind",
            "Choose the kind of disconnect these values belong to",
        );
    }
    Some(Disconnect {
        kind: kind?,
        rating,
        horsepower,
        in_sight,
    })
}

fn overload(r: &mut Reader<'_>) -> Option<Overload> {
    let kind = r.choice("overload_kind");
    let setting = r.known("overload_setting", decimal);
    let low = r.known("overload_low", decimal);
    let high = r.known("overload_high", decimal);
    let manual_reset = r.yes_no("manual_reset");
    if low.is_some() != high.is_some() {
        r.errors
            .add("overload_low", "Enter both ends of the range, or neither");
    }
    if kind.is_none() && (setting.is_some() || low.is_some() || manual_reset.is_some()) {
        r.errors.add(
            "overload_kind",
            "Choose the kind of overload these values belong to",
        );
    }
    Some(Overload {
        kind: kind?,
        setting,
        range: low.zip(high),
        manual_reset,
    })
}

/// The fields as a form shows them.
pub fn typed(facts: &Installation, units: Units) -> Typed {
    let mut t = Typed::default();
    let length = |l: calc::units::Millimetres| measure::length_typed(l, units);
    let distance = |d: calc::units::Metres| measure::distance_typed(d, units);
    let d = &facts.driven;
    t.put_known("drive", d.drive, word);
    t.put_known("wheel_diameter", d.wheel_diameter, length);
    t.put_known("wheel_mass", d.wheel_mass_kg, |n| n.to_string());
    t.put_known("wheel_limit", d.wheel_limit, |n| n.0.to_string());
    t.put_known("hub_bore", d.hub_bore, length);
    t.put_known("hub_length", d.hub_length, length);
    t.put_known("hub_keyway", d.hub_keyway, yes_no_word);
    t.put_known("stud_needed", d.stud_needed, length);
    t.put_known("turns", d.rotation, word);
    t.put_known("shaft_power", d.shaft_power, |w| {
        measure::power_typed(w, units)
    });
    t.put_known("shaft_power_at", d.shaft_power_at, |n| n.0.to_string());
    t.put_known("flow", d.flow_m3_s, |n| n.to_string());
    t.put_known("driven_speed", d.driven_speed, |n| n.0.to_string());
    t.put_known("motor_sheave", d.motor_sheave, length);
    t.put_known("driven_sheave", d.driven_sheave, length);
    t.put_known("belts", d.belts, |n| n.to_string());
    t.put_known("belt", d.belt.clone(), |name| name);
    t.put_known("belt_length", d.belt_length, length);
    t.put_known("centres", d.centres, length);
    t.put_known("second_shaft_used", d.second_shaft_used, yes_no_word);
    t.put_known("reverses", d.reverses, yes_no_word);
    let s = &facts.site;
    t.put_known("nominal_volts", s.nominal_volts, |n| n.0.to_string());
    t.put_known("measured_volts", s.measured_volts, |n| n.0.to_string());
    t.put_known("phases", s.phases, |n| n.to_string());
    t.put_known("frequency", s.frequency, |n| n.0.to_string());
    t.put_known("ambient", s.ambient, |n| n.0.to_string());
    t.put_known("altitude", s.altitude, distance);
    t.put_known("surroundings", s.surroundings, word);
    t.put_known("in_air_stream", s.in_air_stream, yes_no_word);
    t.put_known("position", s.position, word);
    t.put_known("free_length", s.free_length, length);
    t.put_known("free_diameter", s.free_diameter, length);
    t.put_known("shaft_clearance", s.shaft_clearance, length);
    t.put_known("control", s.control, word);
    t.put_known("control_amps", s.control_amps, |n| n.0.to_string());
    t.put_known("control_locked_rotor", s.control_locked_rotor, |n| {
        n.0.to_string()
    });
    t.put_known("taps_used", s.taps_used, |n| n.to_string());
    t.put_known("restart_can_hurt", s.restart_can_hurt, yes_no_word);
    t.put_known("hazardous", s.hazardous.clone(), |text| text);
    t.put_known("continuous", s.continuous, yes_no_word);
    t.put_known("roof_edge", s.roof_edge, distance);
    t.put_known("starts_by_itself", s.starts_by_itself, yes_no_word);
    t.put_known("draught_turns_wheel", s.draught_turns_wheel, yes_no_word);
    t.put_known("guard_opening", s.guard_opening, length);
    t.put_known("blade_height", s.blade_height, distance);
    if let Some(d) = &facts.disconnect {
        t.put("disconnect_kind", word(d.kind));
        t.put_known("disconnect_rating", d.rating, |n| n.to_string());
        t.put_known("disconnect_hp", d.horsepower, |n| n.to_string());
        t.put_known("in_sight", d.in_sight, yes_no_word);
    }
    if let Some(o) = &facts.overload {
        t.put("overload_kind", word(o.kind));
        t.put_known("overload_setting", o.setting, |n| n.to_string());
        t.put_known("overload_low", o.range, |(low, _)| low.to_string());
        t.put_known("overload_high", o.range, |(_, high)| high.to_string());
        t.put_known("manual_reset", o.manual_reset, yes_no_word);
    }
    t
}

/// Fields of one heading for the form.
#[derive(Clone, Debug)]
pub struct FormGroup {
    pub title: &'static str,
    pub open: bool,
    pub rows: Vec<Row>,
}

pub fn groups(typed: &Typed, units: Units, errors: &FieldErrors) -> Vec<FormGroup> {
    GROUPS
        .iter()
        .map(|(title, open, asks)| {
            let rows = typed.rows(asks, units, errors);
            let open = *open || rows.iter().any(|row| row.error.is_some());
            FormGroup { title, open, rows }
        })
        .collect()
}

/// Facts of one heading for reading: label and words, `not known` where blank.
#[derive(Clone, Debug)]
pub struct Lines {
    pub title: &'static str,
    pub lines: Vec<(&'static str, String)>,
}

pub fn lines(facts: &Installation, units: Units) -> Vec<Lines> {
    let typed = typed(facts, units);
    let words = |ask: &Ask| {
        let text = typed.get(ask.name);
        match ask.takes {
            _ if text.is_empty() => "not known".to_owned(),
            Takes::Choice(options) => words_of(options, text),
            takes => takes.with_unit(text, units),
        }
    };
    let group = |(title, _, asks): &Group| Lines {
        title,
        lines: asks.iter().map(|ask| (ask.label, words(ask))).collect(),
    };
    GROUPS.iter().map(group).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blank_is_not_known_and_what_is_shown_reads_back() {
        assert_eq!(
            parse(&Typed::default(), Units::Us),
            Ok(Installation::default())
        );
        let mut t = Typed::default();
        for (name, value) in [
            ("wheel_diameter", "14"),
            ("shaft_power", "1/6"),
            ("roof_edge", "12 ft"),
            ("turns", "clockwise"),
            ("taps_used", "2"),
            ("disconnect_kind", "ac_snap_switch"),
            ("disconnect_rating", "20"),
            ("overload_kind", "in_motor"),
            ("hazardous", "none"),
            ("motor_sheave", "3.4"),
            ("belt", "a42"),
            ("belts", "2"),
            ("centres", "15.5"),
        ] {
            t.put(name, value);
        }
        let facts = parse(&t, Units::Us).expect("readable");
        for units in [Units::Us, Units::Si] {
            assert_eq!(parse(&typed(&facts, units), units), Ok(facts.clone()));
        }
        let shown = lines(&facts, Units::Us);
        assert_eq!(shown[0].lines[1], ("Wheel diameter", "14 in".to_owned()));
        assert_eq!(
            shown[0].lines[2],
            ("Highest wheel speed", "not known".to_owned())
        );
    }

    #[test]
    fn values_of_a_disconnect_need_its_kind() {
        let mut t = Typed::default();
        t.put("disconnect_rating", "30");
        t.put("overload_low", "1");
        let errors = parse(&t, Units::Us).expect_err("no kind");
        assert!(errors.get("disconnect_kind").is_some() && errors.get("overload_low").is_some());
    }
}
