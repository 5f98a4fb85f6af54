//! A plate as people type it: plainly named fields with their units in the name.

use super::super::{Given, Takes, Trouble, Want, want};
use super::words::{self, Word};
use crate::motor::rotation_mark;
use crate::plate::read;
use crate::plate::{Field, How, Plate};
use crate::units::{
    Amps, Celsius, Hertz, MM_PER_INCH, Microfarads, Millimetres, Rpm, Volts, Watts,
};
use serde_json::{Map, Value};

/// The fields of a plate, after the ones given first.
macro_rules! plate_wants {
    ($($first:expr),*) => { &[
        $($first,)*
        want("power_hp", "Output power", Takes::Number).unit("hp").note("1/4, 7 1/2; or power_w"),
        want("power_w", "Output power", Takes::Number).unit("W"),
        want("volts_v", "Voltages", Takes::Numbers).unit("V").note("[208, 230], 230 or 115/230"),
        want("amps_a", "Full-load amps", Takes::Numbers).unit("A").note("in the order of volts_v"),
        want("phases", "Phases", Takes::Whole).note("1 or 3"),
        want("frequency_hz", "Frequencies", Takes::Numbers).unit("Hz").note("60 or [50, 60]"),
        want("speed_rpm", "Full-load speeds", Takes::Numbers).unit("rpm").note("one a tap, at the supply's frequency"),
        want("motor_type", "Type", Takes::Text).note(words::TYPE_NOTE),
        want("rotation", "Rotation as marked", Takes::Text).note("CWSE, CCWLE, CWSE REV, CW/CCW"),
        want("reversible", "Can be reversed", Takes::Flag).note("beside rotation"),
        want("frame", "Frame", Takes::Text).note("48Y, 56, 143T, 90S"),
        want("mount", "Mount", Takes::Text).note(words::MOUNT_NOTE),
        want("bolt_circle_in", "Bolt circle", Takes::Number).unit("in").note("or bolt_circle_mm"),
        want("bolt_circle_mm", "Bolt circle", Takes::Number).unit("mm"),
        want("stud_length_in", "Stud length", Takes::Number).unit("in").note("or stud_length_mm"),
        want("stud_length_mm", "Stud length", Takes::Number).unit("mm"),
        want("stud_count", "Studs", Takes::Whole),
        want("stud_thread", "Stud thread", Takes::Text).note("8-32, M4"),
        want("stud_end", "Studs at", Takes::Text).note("shaft_end, lead_end or both"),
        want("shaft_diameter_in", "Shaft diameter", Takes::Number).unit("in").note("1/2; or shaft_diameter_mm"),
        want("shaft_diameter_mm", "Shaft diameter", Takes::Number).unit("mm"),
        want("shaft_length_in", "Shaft length", Takes::Number).unit("in").note("or shaft_length_mm"),
        want("shaft_length_mm", "Shaft length", Takes::Number).unit("mm"),
        want("shaft_form", "Shaft form", Takes::Text).note("round, flat or keyed"),
        want("double_shaft", "Second shaft end", Takes::Flag),
        want("body_diameter_in", "Body diameter", Takes::Number).unit("in").note("or body_diameter_mm"),
        want("body_diameter_mm", "Body diameter", Takes::Number).unit("mm"),
        want("body_length_in", "Body length", Takes::Number).unit("in").note("or body_length_mm"),
        want("body_length_mm", "Body length", Takes::Number).unit("mm"),
        want("enclosure", "Enclosure", Takes::Text).note(words::ENCLOSURE_NOTE),
        want("ambient_c", "Ambient on the plate", Takes::Number).unit("°C"),
        want("insulation", "Insulation class", Takes::Text).note("A, E, B, F or H"),
        want("duty", "Duty", Takes::Text).note("continuous (CONT, S1) or intermittent"),
        want("service_factor", "Service factor", Takes::Number),
        want("rise_k", "Temperature rise", Takes::Number).unit("K"),
        want("protection", "Thermal protection", Takes::Text).note(words::PROTECTION_NOTE),
        want("bearing", "Bearings", Takes::Text).note("ball or sleeve"),
        want("position", "Positions allowed", Takes::Text).note(words::POSITION_NOTE),
        want("speed_control", "May be speed-controlled", Takes::Flag),
        want("capacitor_uf", "Capacitor", Takes::Number).unit("µF"),
        want("capacitor_v", "Capacitor voltage", Takes::Number).unit("V"),
        want("capacitor_included", "Capacitor comes with it", Takes::Flag),
        want("code_letter", "Code letter", Takes::Text).note("NEC 430.7(B)"),
        want("efficiency_percent", "Efficiency", Takes::Number).unit("%"),
        want("power_factor", "Power factor", Takes::Number).note("above 0 up to 1"),
        want("hazardous_listing", "Listing", Takes::Text).note("none, or Class I Division 1 Group D T3"),
    ] };
}

pub(super) static PLATE: &[Want] = plate_wants!();
pub(super) static CANDIDATE: &[Want] = plate_wants!(
    want("id", "Name of the candidate", Takes::Text).note("blank: its place in the list")
);

/// A plate from JSON: a text as on the plate, the flat form of [`PLATE`], or the program's own form
/// with `{"known": {"value": ..., "how": "read"}}` in each field.
pub(super) fn plate_of(value: &Value) -> Result<Plate, Trouble> {
    let fields = match value {
        Value::String(text) => return plate_of_text(text),
        Value::Object(fields) => fields,
        _ => {
            return Err(Trouble::new(
                "Give the plate as a text, or as an object of its fields",
            ));
        }
    };
    if fields.values().any(|value| value.get("known").is_some()) {
        return own_form(fields);
    }
    if let Some(name) = fields.keys().find(|name| !listed(name)) {
        let names: Vec<&str> = PLATE.iter().map(|want| want.name).collect();
        return Err(Trouble::of(
            name.clone(),
            format!("Not one of {}", names.join(", ")),
        ));
    }
    flat(&Marked(fields))
}

/// A text is taken only where all of it was understood: a fit must not rest on half a plate.
fn plate_of_text(text: &str) -> Result<Plate, Trouble> {
    let reading = read(text);
    match reading.not_understood.first() {
        None => Ok(reading.plate),
        Some(part) => Err(Trouble::new(format!(
            "Not understood on the plate: {}. Leave it out, or give the plate as an object",
            part.text
        ))),
    }
}

fn listed(name: &str) -> bool {
    CANDIDATE.iter().any(|want| want.name == name)
}

fn own_form(fields: &Map<String, Value>) -> Result<Plate, Trouble> {
    let known = serde_json::to_value(Plate::default()).unwrap_or_default();
    let unknown = |name: &&String| known.get(name.as_str()).is_none() && *name != "id";
    if let Some(name) = fields.keys().find(unknown) {
        return Err(Trouble::of(name.clone(), "Not a field of a plate"));
    }
    let mut fields = fields.clone();
    fields.remove("id");
    for (name, value) in &fields {
        let one = Map::from_iter([(name.clone(), value.clone())]);
        serde_json::from_value::<Plate>(one.into())
            .map_err(|cause| Trouble::of(name.clone(), format!("Cannot be read: {cause}")))?;
    }
    serde_json::from_value(fields.into())
        .map_err(|cause| Trouble::new(format!("Cannot be read: {cause}")))
}

/// Fields in which `unreadable` and `unknown` are words of their own.
struct Marked<'a>(&'a Map<String, Value>);

impl Marked<'_> {
    fn field<T>(
        &self,
        name: &str,
        read: impl Fn(&Given) -> Result<Option<T>, Trouble>,
    ) -> Result<Field<T>, Trouble> {
        match self.0.get(name).and_then(Value::as_str).map(str::trim) {
            Some(word) if word.eq_ignore_ascii_case("unreadable") => Ok(Field::Unreadable),
            Some(word) if word.is_empty() || word.eq_ignore_ascii_case("unknown") => {
                Ok(Field::Unknown)
            }
            _ => Ok(match read(&Given::new(self.0, CANDIDATE))? {
                Some(value) => Field::Known {
                    value,
                    how: How::Read,
                },
                None => Field::Unknown,
            }),
        }
    }

    fn number<T>(&self, name: &str, unit: fn(f64) -> T) -> Result<Field<T>, Trouble> {
        self.field(name, |given| Ok(given.positive(name)?.map(unit)))
    }

    fn list<T>(&self, name: &str, unit: fn(f64) -> T) -> Result<Field<Vec<T>>, Trouble> {
        self.field(name, |given| {
            let list = given.raw(name).map(|value| words::figures(name, value));
            let list = list.transpose()?;
            Ok(list.map(|list| list.into_iter().map(unit).collect()))
        })
    }

    /// `name_mm` or `name_in`; both at once is one too many.
    fn length(&self, mm: &str, inches: &str) -> Result<Field<Millimetres>, Trouble> {
        let in_mm = self.number(mm, Millimetres)?;
        let in_inches = self.number(inches, |inches| Millimetres(inches * MM_PER_INCH))?;
        one_of(inches, in_mm, in_inches)
    }

    fn flag(&self, name: &str) -> Result<Field<bool>, Trouble> {
        self.field(name, |given| given.flag(name))
    }

    fn text(&self, name: &str) -> Result<Field<String>, Trouble> {
        self.field(name, |given| given.text(name))
    }

    fn whole(&self, name: &str) -> Result<Field<u8>, Trouble> {
        self.field(name, |given| words::small(given, name))
    }

    fn word<T: Copy>(&self, name: &str, list: &[Word<T>]) -> Result<Field<T>, Trouble> {
        self.field(name, |given| words::word(given, name, list))
    }
}

fn one_of<T>(name: &str, first: Field<T>, second: Field<T>) -> Result<Field<T>, Trouble> {
    match (first, second) {
        (Field::Unknown, second) => Ok(second),
        (first, Field::Unknown) => Ok(first),
        _ => Err(Trouble::of(name, "Given in two units: leave one out")),
    }
}

fn flat(fields: &Marked) -> Result<Plate, Trouble> {
    let mut plate = Plate {
        power: one_of(
            "power_hp",
            fields.number("power_w", Watts)?,
            fields.number("power_hp", Watts::from_hp)?,
        )?,
        volts: fields.list("volts_v", Volts)?,
        amps: fields.list("amps_a", Amps)?,
        phases: fields.whole("phases")?,
        frequency: fields.list("frequency_hz", Hertz)?,
        speeds: fields.list("speed_rpm", Rpm)?,
        motor_type: fields.word("motor_type", words::TYPES)?,
        frame: fields.text("frame")?,
        mount: fields.word("mount", words::MOUNTS)?,
        bolt_circle: fields.length("bolt_circle_mm", "bolt_circle_in")?,
        stud_length: fields.length("stud_length_mm", "stud_length_in")?,
        stud_count: fields.whole("stud_count")?,
        stud_thread: fields.text("stud_thread")?,
        stud_end: fields.word("stud_end", words::STUD_ENDS)?,
        shaft_diameter: fields.length("shaft_diameter_mm", "shaft_diameter_in")?,
        shaft_length: fields.length("shaft_length_mm", "shaft_length_in")?,
        shaft_form: fields.word("shaft_form", words::SHAFTS)?,
        double_shaft: fields.flag("double_shaft")?,
        body_diameter: fields.length("body_diameter_mm", "body_diameter_in")?,
        body_length: fields.length("body_length_mm", "body_length_in")?,
        ..Plate::default()
    };
    rest(fields, &mut plate)?;
    if let Field::Known { value: speeds, .. } = &mut plate.speeds {
        speeds.sort_by(|a, b| b.0.total_cmp(&a.0));
    }
    Ok(plate)
}

fn rest(fields: &Marked, plate: &mut Plate) -> Result<(), Trouble> {
    plate.enclosure = fields.word("enclosure", words::ENCLOSURES)?;
    plate.ambient = fields.field("ambient_c", |given| {
        Ok(given.number("ambient_c")?.map(Celsius))
    })?;
    plate.insulation = fields.word("insulation", words::CLASSES)?;
    plate.duty = fields.word("duty", words::DUTIES)?;
    plate.service_factor = fields.number("service_factor", |sf| sf)?;
    plate.rise = fields.number("rise_k", Celsius)?;
    plate.protection = fields.word("protection", words::PROTECTIONS)?;
    plate.bearing = fields.word("bearing", words::BEARINGS)?;
    plate.position = fields.word("position", words::POSITIONS)?;
    plate.speed_control = fields.flag("speed_control")?;
    plate.capacitor = fields.number("capacitor_uf", Microfarads)?;
    plate.capacitor_volts = fields.number("capacitor_v", Volts)?;
    plate.capacitor_included = fields.flag("capacitor_included")?;
    plate.code_letter = fields.field("code_letter", |given| {
        Ok(given
            .text("code_letter")?
            .and_then(|text| text.chars().next()))
    })?;
    plate.efficiency = fields.number("efficiency_percent", |percent| percent)?;
    plate.power_factor = fields.number("power_factor", |factor| factor)?;
    plate.hazardous_listing = fields.text("hazardous_listing")?;
    plate.rotation = fields.field("rotation", |given| {
        let Some(mark) = given.text("rotation")? else {
            return Ok(None);
        };
        let mut rotation =
            rotation_mark(&mark).map_err(|cause| Trouble::of("rotation", cause.to_string()))?;
        if let Some(reversible) = given.flag("reversible")? {
            rotation.reversible = reversible;
        }
        Ok(Some(rotation))
    })?;
    Ok(())
}
