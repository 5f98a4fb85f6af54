//! Topics. Plates as people type them.

use super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::motor::at_shaft_end;
use crate::plate::{Field, Plate, Rotation, ip_meaning, plausible, read, write};
use serde::Serialize;
use serde_json::{Map, Value};

pub(super) static TOPICS: &[Topic] = &[Topic {
    name: "plate",
    title: "Motor plate from text",
    what: "Reads a motor plate as it is typed or dictated, and says whether its values can be true together.",
    subject: Subject::Motor,
    wants: WANTS,
    answers: ANSWERS,
    run,
}];

static WANTS: &[Want] = &[
    want("text", "Plate text", Takes::Text)
        .note("any order: 1/6 HP 1075 RPM 208-230 V 1.2 A CWSE; blank where the plate is given"),
    want("plate", "Plate", Takes::Json).note("a stored plate instead of the text"),
];

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

static ANSWERS: &[Answer] = &[
    answer("power_w", "W", "output power"),
    answer("power_hp", "hp", "output power"),
    answer("power_words", "", "output power as it is stamped"),
    answer(
        "tap_powers_w",
        "W",
        "output power of each tap, highest first",
    ),
    answer("input_power_w", "W", "power taken at full load"),
    answer("volts_v", "V", "voltages of the plate"),
    answer("amps_a", "A", "full-load current at each voltage"),
    answer("tap_amps_a", "A", "current of each tap, highest first"),
    answer(
        "service_factor_amps_a",
        "A",
        "current at the service factor",
    ),
    answer("locked_rotor_amps_a", "A", "locked-rotor current"),
    answer("connection", "", "connections in the order of the voltages"),
    answer("phases", "", "1 or 3"),
    answer("frequency_hz", "Hz", "frequencies of the plate"),
    answer(
        "speeds_rpm",
        "rpm",
        "full-load speed of each tap, highest first",
    ),
    answer(
        "speeds_by_frequency_rpm",
        "rpm",
        "full-load speed at each frequency",
    ),
    answer("speed_count", "", "number of speeds as marked"),
    answer("poles", "", "number of poles as marked"),
    answer("motor_type", "", "how it starts and runs"),
    answer("rotation", "", "clockwise or counter_clockwise, as marked"),
    answer("seen_from", "", "shaft_end, lead_end or not_stated"),
    answer(
        "rotation_at_shaft_end",
        "",
        "the direction seen from the shaft end",
    ),
    answer("reversible", "", "can be reversed"),
    answer("frame", "", "frame as marked"),
    answer("mount", "", "how it is held"),
    answer("mounting_code", "", "IEC 60034-7 mounting"),
    answer("position", "", "positions it may run in"),
    answer("bolt_circle_mm", "mm", "bolt circle"),
    answer("stud_length_mm", "mm", "length of the studs"),
    answer("stud_count", "", "number of studs"),
    answer("stud_thread", "", "thread of the studs"),
    answer("stud_end", "", "end on which the studs stand"),
    answer("shaft_diameter_mm", "mm", "diameter of the shaft"),
    answer("shaft_length_mm", "mm", "length of the shaft"),
    answer("shaft_form", "", "round, flat or keyed"),
    answer("double_shaft", "", "a second shaft end"),
    answer("body_diameter_mm", "mm", "diameter of the body"),
    answer("body_length_mm", "mm", "length of the body"),
    answer("enclosure", "", "how open the body is"),
    answer(
        "enclosure_mark",
        "",
        "enclosure as marked, where there is no other word",
    ),
    answer("ip_code", "", "IEC 60529 code"),
    answer(
        "ip_solids",
        "",
        "what the first figure of the IP code keeps out",
    ),
    answer("ip_water", "", "what its second figure keeps out"),
    answer("cooling_code", "", "IEC 60034-6 code"),
    answer("efficiency_class", "", "IEC 60034-30-1 class"),
    answer("ambient_c", "°C", "hottest air it is made for"),
    answer("insulation_class", "", "thermal class"),
    answer("rise_k", "K", "temperature rise"),
    answer("duty", "", "continuous or intermittent"),
    answer("duty_code", "", "IEC 60034-1 duty type"),
    answer("duty_minutes", "min", "how long it may run at a time"),
    answer("service_factor", "", "service factor"),
    answer("protection", "", "what protects it from inside"),
    answer("bearing", "", "ball or sleeve"),
    answer("speed_control", "", "speed control is allowed"),
    answer("capacitor_uf", "µF", "capacitance"),
    answer("capacitor_v", "V", "voltage of the capacitor"),
    answer("capacitor_included", "", "the capacitor comes with it"),
    answer("code_letter", "", "locked-rotor kVA code, NEC 430.7(B)"),
    answer("design_letter", "", "NEMA design letter"),
    answer("efficiency_percent", "%", "full-load efficiency"),
    answer("power_factor", "", "full-load power factor"),
    answer("hazardous_listing", "", "hazardous location as marked"),
    answer(
        "how",
        "",
        "by answer, how it is known: read, measured, from old record, assumed, unreadable",
    ),
    answer("plate", "", "the plate as it is stored"),
    answer(
        "plate_text",
        "",
        "the plate in one line, in the order in which plates are copied",
    ),
    answer(
        "understood",
        "",
        "each understood part of the text, its place in bytes and what it means",
    ),
    answer(
        "not_understood",
        "",
        "each part that was not understood, its place and why",
    ),
    answer(
        "doubts",
        "",
        "what was read and could mean something else, or was given twice",
    ),
    answer(
        "plausible",
        "",
        "whether the values can be true together: within, within note, not known yet or beyond",
    ),
];

/// The answers with how each is known.
struct Said {
    answers: Map<String, Value>,
    how: Map<String, Value>,
}

impl Said {
    fn put<T, U: Serialize>(&mut self, name: &str, field: &Field<T>, value: impl FnOnce(&T) -> U) {
        if *field.how_words() != *"not known" {
            self.how.insert(name.to_owned(), field.how_words().into());
        }
        if let Some(known) = field.value() {
            let value = serde_json::to_value(value(known)).unwrap_or_default();
            self.answers.insert(name.to_owned(), value);
        }
    }

    /// A word or figure that is written as it is.
    fn same<T: Serialize + Clone>(&mut self, name: &str, field: &Field<T>) {
        self.put(name, field, T::clone);
    }
}

fn run(given: &Given) -> Result<Figure, Trouble> {
    let text = given.text("text")?.filter(|text| !text.is_empty());
    let reading = match (text, given.raw("plate")) {
        (Some(_), Some(_)) => {
            return Err(Trouble::of("text", "Give the text or the plate, not both"));
        }
        (Some(text), None) => read(&text),
        (None, Some(plate)) => stored(plate)?,
        (None, None) => return Err(Trouble::of("text", "Not given: Plate text")),
    };
    let plate = &reading.plate;
    let mut said = Said {
        answers: Map::new(),
        how: Map::new(),
    };
    ratings(&mut said, plate);
    speeds(&mut said, plate);
    words(&mut said, plate);
    shape(&mut said, plate);
    let working = plausible(plate);
    let verdict = working.verdict().map(|verdict| verdict.words());
    let json = |value: Result<Value, serde_json::Error>| value.unwrap_or_default();
    let mut figure = Figure::new(working);
    figure.answers = said.answers;
    Ok(figure
        .with("how", Value::Object(said.how))
        .with("plate", json(serde_json::to_value(plate)))
        .with("plate_text", write(plate))
        .with(
            "understood",
            json(serde_json::to_value(&reading.understood)),
        )
        .with(
            "not_understood",
            json(serde_json::to_value(&reading.not_understood)),
        )
        .with("doubts", json(serde_json::to_value(&reading.doubts)))
        .with_some("plausible", verdict))
}

fn stored(plate: &Value) -> Result<crate::plate::Reading, Trouble> {
    // On a form the plate comes as text.
    let parsed = match plate {
        Value::String(text) => serde_json::from_str(text),
        value => serde_json::from_value(value.clone()),
    };
    let plate: Plate =
        parsed.map_err(|e| Trouble::of("plate", format!("This is no stored plate: {e}")))?;
    Ok(crate::plate::Reading {
        plate,
        ..Default::default()
    })
}

fn ratings(said: &mut Said, plate: &Plate) {
    let more = &plate.more;
    said.put("power_w", &plate.power, |v| v.0);
    said.put("power_hp", &plate.power, |v| v.hp());
    said.put("power_words", &plate.power, |v| v.hp_words());
    said.same("tap_powers_w", &more.tap_powers);
    said.same("input_power_w", &more.input_power);
    said.same("volts_v", &plate.volts);
    said.same("amps_a", &plate.amps);
    said.same("tap_amps_a", &more.tap_amps);
    said.same("service_factor_amps_a", &more.service_factor_amps);
    said.same("locked_rotor_amps_a", &more.locked_rotor_amps);
    said.same("connection", &more.connection);
    said.same("phases", &plate.phases);
    said.same("frequency_hz", &plate.frequency);
    said.same("service_factor", &plate.service_factor);
    said.same("capacitor_uf", &plate.capacitor);
    said.same("capacitor_v", &plate.capacitor_volts);
    said.same("capacitor_included", &plate.capacitor_included);
    said.same("code_letter", &plate.code_letter);
    said.same("design_letter", &more.design_letter);
    said.same("efficiency_percent", &plate.efficiency);
    said.same("power_factor", &plate.power_factor);
}

fn speeds(said: &mut Said, plate: &Plate) {
    let more = &plate.more;
    said.same("speeds_rpm", &plate.speeds);
    said.same("speeds_by_frequency_rpm", &more.speeds_by_frequency);
    said.same("speed_count", &more.speed_count);
    said.same("poles", &more.poles);
    said.same("motor_type", &plate.motor_type);
    said.put("rotation", &plate.rotation, |v: &Rotation| v.direction);
    said.put("seen_from", &plate.rotation, |v| v.seen_from);
    if let Some(direction) = plate.rotation.value().and_then(|v| at_shaft_end(*v)) {
        let value = serde_json::to_value(direction).unwrap_or_default();
        said.answers.insert("rotation_at_shaft_end".into(), value);
    }
    match plate.rotation.value() {
        Some(_) => said.put("reversible", &plate.rotation, |v| v.reversible),
        None => said.same("reversible", &more.reversible),
    }
    said.same("speed_control", &plate.speed_control);
}

fn words(said: &mut Said, plate: &Plate) {
    let more = &plate.more;
    said.same("enclosure", &plate.enclosure);
    said.same("enclosure_mark", &more.enclosure_mark);
    said.same("ip_code", &more.ip_code);
    if let Some(meaning) = more.ip_code.value().and_then(|code| ip_meaning(code)) {
        said.answers
            .insert("ip_solids".into(), meaning.solids.into());
        said.answers.insert("ip_water".into(), meaning.water.into());
    }
    said.same("cooling_code", &more.cooling_code);
    said.same("efficiency_class", &more.efficiency_class);
    said.same("ambient_c", &plate.ambient);
    said.put("insulation_class", &plate.insulation, |v| format!("{v:?}"));
    said.same("rise_k", &plate.rise);
    said.same("duty", &plate.duty);
    said.same("duty_code", &more.duty_code);
    said.same("duty_minutes", &more.duty_minutes);
    said.same("protection", &plate.protection);
    said.same("bearing", &plate.bearing);
    said.same("hazardous_listing", &plate.hazardous_listing);
}

fn shape(said: &mut Said, plate: &Plate) {
    said.same("frame", &plate.frame);
    said.same("mount", &plate.mount);
    said.same("mounting_code", &plate.more.mounting_code);
    said.same("position", &plate.position);
    said.same("bolt_circle_mm", &plate.bolt_circle);
    said.same("stud_length_mm", &plate.stud_length);
    said.same("stud_count", &plate.stud_count);
    said.same("stud_thread", &plate.stud_thread);
    said.same("stud_end", &plate.stud_end);
    said.same("shaft_diameter_mm", &plate.shaft_diameter);
    said.same("shaft_length_mm", &plate.shaft_length);
    said.same("shaft_form", &plate.shaft_form);
    said.same("double_shaft", &plate.double_shaft);
    said.same("body_diameter_mm", &plate.body_diameter);
    said.same("body_length_mm", &plate.body_length);
}
