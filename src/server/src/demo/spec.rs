//! Motors as the demo writes them: one row of short cells, read into a plate.
//!
//! A cell is the value as the trade says it: `1/4` hp, `115/230` volts, `cw r`. An empty cell was
//! never looked at, `?` is unreadable; ` old`, ` measured` and ` assumed` behind a value say how it
//! is known, otherwise it was read.

use calc::plate::{Direction, Field, How, Plate, Rotation, SeenFrom};
use calc::units::{Amps, Celsius, Hertz, Microfarads, Millimetres, Rpm, Volts, Watts};
use serde::Deserialize;
use serde::de::DeserializeOwned;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Spec {
    /// The machine or shelf row that names it; empty on a list.
    pub key: String,
    pub bin: String,
    pub held: String,
    pub price: String,
    pub name: String,
    pub made: String,
    pub hp: String,
    pub volts: String,
    pub amps: String,
    pub phases: String,
    pub hz: String,
    pub rpm: String,
    pub kind: String,
    /// `cw` or `ccw`, then `r` where it can be reversed, `lead` where it is seen from the lead end.
    pub turns: String,
    pub frame: String,
    pub mount: String,
    pub circle_in: String,
    pub stud_in: String,
    pub studs: String,
    pub thread: String,
    pub stud_end: String,
    pub shaft_in: String,
    pub shaft_length_in: String,
    pub shaft_form: String,
    pub double_shaft: String,
    pub body_in: String,
    pub body_length_in: String,
    pub enclosure: String,
    pub ambient_c: String,
    pub class: String,
    pub duty: String,
    pub sf: String,
    pub protection: String,
    pub bearing: String,
    pub position: String,
    pub speed_control: String,
    pub uf: String,
    pub cap_volts: String,
    pub cap_with: String,
    pub code: String,
    pub percent: String,
    pub note: String,
}

/// A number as the trade writes it: `1075`, `1/4`, `1 1/2`.
pub fn number(text: &str) -> Option<f64> {
    text.split_whitespace().try_fold(0.0, |sum, part| {
        let value: f64 = match part.split_once('/') {
            Some((over, under)) => over.parse::<f64>().ok()? / under.parse::<f64>().ok()?,
            None => part.parse().ok()?,
        };
        Some(sum + value)
    })
}

fn field<T>(cell: &str, read: impl Fn(&str) -> Option<T>) -> Result<Field<T>, String> {
    let cell = cell.trim();
    match cell {
        "" => return Ok(Field::Unknown),
        "?" => return Ok(Field::Unreadable),
        _ => {}
    }
    let marks = [
        (" old", How::OldRecord),
        (" measured", How::Measured),
        (" assumed", How::Assumed),
    ];
    let (text, how) = marks
        .into_iter()
        .find_map(|(mark, how)| Some((cell.strip_suffix(mark)?, how)))
        .unwrap_or((cell, How::Read));
    let value = read(text).ok_or_else(|| format!("the cell {cell:?} does not read"))?;
    Ok(Field::Known { value, how })
}

fn word<T: DeserializeOwned>(cell: &str) -> Result<Field<T>, String> {
    field(cell, |text| {
        serde_json::from_value(serde_json::Value::String(text.to_ascii_lowercase())).ok()
    })
}

fn list<T>(cell: &str, unit: fn(f64) -> T) -> Result<Field<Vec<T>>, String> {
    field(cell, |text| {
        text.split('/')
            .map(|part| Some(unit(part.parse().ok()?)))
            .collect()
    })
}

fn figure<T>(cell: &str, unit: fn(f64) -> T) -> Result<Field<T>, String> {
    field(cell, |text| number(text).map(unit))
}

fn yes(cell: &str) -> Result<Field<bool>, String> {
    field(cell, |text| match text {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    })
}

fn turns(text: &str) -> Option<Rotation> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let direction = match *words.first()? {
        "cw" => Direction::Clockwise,
        "ccw" => Direction::CounterClockwise,
        _ => return None,
    };
    let seen_from = match () {
        () if words.contains(&"lead") => SeenFrom::LeadEnd,
        () if words.contains(&"unsaid") => SeenFrom::NotStated,
        () => SeenFrom::ShaftEnd,
    };
    Some(Rotation {
        direction,
        seen_from,
        reversible: words.contains(&"r"),
    })
}

impl Spec {
    /// # Errors
    /// Names the motor and the cell that does not read; a test reads them all.
    pub fn plate(&self) -> Result<Plate, String> {
        self.read().map_err(|e| format!("{}: {e}", self.name))
    }

    fn read(&self) -> Result<Plate, String> {
        let inches = Millimetres::from_inches;
        Ok(Plate {
            power: figure(&self.hp, Watts::from_hp)?,
            volts: list(&self.volts, Volts)?,
            amps: list(&self.amps, Amps)?,
            phases: field(&self.phases, |text| text.parse().ok())?,
            frequency: list(&self.hz, Hertz)?,
            speeds: list(&self.rpm, Rpm)?,
            motor_type: word(&self.kind)?,
            rotation: field(&self.turns, turns)?,
            frame: field(&self.frame, |text| Some(text.to_owned()))?,
            mount: word(&self.mount)?,
            bolt_circle: figure(&self.circle_in, inches)?,
            stud_length: figure(&self.stud_in, inches)?,
            stud_count: field(&self.studs, |text| text.parse().ok())?,
            stud_thread: field(&self.thread, |text| Some(text.to_owned()))?,
            stud_end: word(&self.stud_end)?,
            shaft_diameter: figure(&self.shaft_in, inches)?,
            shaft_length: figure(&self.shaft_length_in, inches)?,
            shaft_form: word(&self.shaft_form)?,
            double_shaft: yes(&self.double_shaft)?,
            body_diameter: figure(&self.body_in, inches)?,
            body_length: figure(&self.body_length_in, inches)?,
            enclosure: word(&self.enclosure)?,
            ambient: figure(&self.ambient_c, Celsius)?,
            insulation: word(&self.class)?,
            duty: word(&self.duty)?,
            service_factor: figure(&self.sf, |v| v)?,
            rise: Field::Unknown,
            protection: word(&self.protection)?,
            bearing: word(&self.bearing)?,
            position: word(&self.position)?,
            speed_control: yes(&self.speed_control)?,
            capacitor: figure(&self.uf, Microfarads)?,
            capacitor_volts: figure(&self.cap_volts, Volts)?,
            capacitor_included: yes(&self.cap_with)?,
            code_letter: field(&self.code, |text| text.chars().next())?,
            efficiency: figure(&self.percent, |v| v)?,
            power_factor: Field::Unknown,
            hazardous_listing: Field::Unknown,
            ..Plate::default()
        })
    }

    /// The plate as it reads, in one line.
    pub fn plate_text(&self) -> String {
        let cells = [
            ("HP", &self.hp),
            ("V", &self.volts),
            ("A", &self.amps),
            ("PH", &self.phases),
            ("HZ", &self.hz),
            ("RPM", &self.rpm),
            ("FR", &self.frame),
            ("SF", &self.sf),
            ("INS", &self.class),
            ("AMB C", &self.ambient_c),
            ("CODE", &self.code),
            ("MFD", &self.uf),
        ];
        let on_plate =
            |cell: &str| !cell.is_empty() && !cell.ends_with("old") && !cell.ends_with("assumed");
        let shown: Vec<String> = cells
            .iter()
            .filter(|(_, cell)| on_plate(cell))
            .map(|(name, cell)| format!("{name} {}", cell.trim_end_matches(" measured")))
            .collect();
        shown.join(" · ")
    }

    /// `made`, unless the row says otherwise.
    pub fn made(&self) -> &str {
        if self.made.is_empty() {
            "made"
        } else {
            &self.made
        }
    }
}
