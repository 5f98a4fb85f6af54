//! Dimensions of standard frames, faces and shaft ends, and which frames go where another stood.

use super::frames;
use crate::tables::{number, rows};
use crate::units::{MM_PER_INCH, Millimetres};
use std::sync::LazyLock;

/// One frame of NEMA MG 1 Part 4 (face included) or IEC 60072-1. What its table does not print is
/// `None`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Dimensions {
    /// Name, such as `143T`, `56C`, `90S`.
    pub name: String,
    /// `NEMA`, `NEMA C-face` or `IEC`.
    pub standard: &'static str,
    /// Shaft centre over the feet: D, IEC H.
    pub height: Option<Millimetres>,
    /// Foot holes across the shaft: 2E, IEC A.
    pub feet_across: Option<Millimetres>,
    /// Foot holes along the shaft: 2F, IEC B; a 56H has two.
    pub feet_along: Vec<Millimetres>,
    /// Shoulder of the shaft to the nearest foot holes: BA, IEC C.
    pub shoulder_to_foot: Option<Millimetres>,
    /// Foot hole: H, IEC K.
    pub hole: Option<Millimetres>,
    /// Shaft diameter: U, IEC D.
    pub shaft_diameter: Option<Millimetres>,
    /// Shaft beyond its shoulder: N-W, IEC E.
    pub shaft_length: Option<Millimetres>,
    /// Least usable length: V.
    pub usable_length: Option<Millimetres>,
    /// Width of the key.
    pub key_width: Option<Millimetres>,
    /// Height of the key; a NEMA key is square.
    pub key_height: Option<Millimetres>,
    /// Length of the key.
    pub key_length: Option<Millimetres>,
    /// Depth of the flat.
    pub flat_depth: Option<Millimetres>,
    /// Rabbet of the face: AK.
    pub rabbet: Option<Millimetres>,
    /// Bolt circle of the face: AJ.
    pub bolt_circle: Option<Millimetres>,
}

/// The seat of a hub on a NEMA shaft of this diameter.
#[derive(Clone, Debug, PartialEq)]
pub struct Seat {
    /// Shaft diameter.
    pub diameter: Millimetres,
    /// Square key; `None` on a shaft with a flat.
    pub key: Option<Millimetres>,
    /// Length of the key.
    pub key_length: Option<Millimetres>,
    /// Bottom of the keyseat, or the flat, to the far side of the shaft.
    pub across: Millimetres,
}

fn at(row: &[String], column: usize, unit: f64) -> Option<Millimetres> {
    row.get(column)
        .and_then(|cell| number(cell))
        .map(|value| Millimetres(value * unit))
}

fn several(row: &[String], column: usize, unit: f64) -> Vec<Millimetres> {
    let cells = row.get(column).map_or("", String::as_str);
    let values = cells.split(" and ").filter_map(number);
    values.map(|value| Millimetres(value * unit)).collect()
}

fn nema(row: &[String]) -> Dimensions {
    let inch = |column| at(row, column, MM_PER_INCH);
    Dimensions {
        name: row.first().cloned().unwrap_or_default(),
        standard: "NEMA",
        height: inch(1),
        feet_across: inch(2),
        feet_along: several(row, 4, MM_PER_INCH),
        shoulder_to_foot: inch(6),
        hole: inch(7),
        shaft_diameter: inch(8),
        shaft_length: inch(9),
        usable_length: inch(10),
        key_width: inch(11),
        key_height: inch(11),
        key_length: inch(12),
        flat_depth: inch(13),
        ..Dimensions::default()
    }
}

fn iec(row: &[String]) -> Dimensions {
    let mm = |column| at(row, column, 1.0);
    Dimensions {
        name: row.first().cloned().unwrap_or_default(),
        standard: "IEC",
        height: mm(1),
        feet_across: mm(2),
        feet_along: several(row, 3, 1.0),
        shoulder_to_foot: mm(4),
        hole: mm(5),
        shaft_diameter: mm(6),
        shaft_length: mm(7),
        key_width: mm(8),
        key_height: mm(9),
        ..Dimensions::default()
    }
}

fn face(row: &[String]) -> Dimensions {
    let inch = |column| at(row, column, MM_PER_INCH);
    Dimensions {
        name: row.first().cloned().unwrap_or_default(),
        standard: "NEMA C-face",
        shaft_diameter: inch(1),
        shaft_length: inch(2),
        rabbet: inch(3),
        bolt_circle: inch(4),
        shoulder_to_foot: inch(5),
        ..Dimensions::default()
    }
}

static ALL: LazyLock<Vec<Dimensions>> = LazyLock::new(|| {
    let read = |text, row: fn(&[String]) -> Dimensions| {
        let all: Vec<Dimensions> = rows(text).iter().map(|cells| row(cells)).collect();
        all
    };
    [
        read(include_str!("tables/nema_frames.csv"), nema),
        read(include_str!("tables/c_faces.csv"), face),
        read(include_str!("tables/iec_frames.csv"), iec),
    ]
    .concat()
});

/// Frames of this name, blanks, dashes and capitals aside: `56` is a NEMA and an IEC frame.
/// Source: NEMA MG 1 Part 4; IEC 60072-1 (feet from memory).
pub fn named(name: &str) -> impl Iterator<Item = &'static Dimensions> {
    ALL.iter()
        .filter(move |frame| !name.trim().is_empty() && frames::same_name(&frame.name, name))
}

/// How a frame goes where another stood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Match {
    /// The other frame.
    pub other: &'static Dimensions,
    /// Its shaft stands higher by this much; below zero lower.
    pub higher: Millimetres,
    /// Most that a foot spacing differs by.
    pub feet_off: Millimetres,
    /// Its shaft is thicker by this much.
    pub thicker: Millimetres,
}

/// Frames on feet whose holes lie within 4 mm (slotted feet take that up) and whose shaft stands
/// within 3 mm of this one's, nearest feet first. Face frames are left out: their bolt circle and
/// rabbet decide. Source: NEMA MG 1 Part 4, IEC 60072-1; 4 mm and 3 mm: common practice.
pub fn matches(frame: &Dimensions) -> Vec<Match> {
    let mut found: Vec<Match> = ALL
        .iter()
        .filter(|other| (&other.name, other.standard) != (&frame.name, frame.standard))
        .filter_map(|other| against(frame, other))
        .filter(|m| m.feet_off.0 <= 4.0 && m.higher.0.abs() <= 3.0)
        .collect();
    found.sort_by(|a, b| a.feet_off.0.total_cmp(&b.feet_off.0));
    found
}

fn against(frame: &Dimensions, other: &'static Dimensions) -> Option<Match> {
    let across = (other.feet_across?.0 - frame.feet_across?.0).abs();
    let nearest = |along: &Millimetres| {
        let off = other.feet_along.iter().map(|o| (o.0 - along.0).abs());
        off.fold(f64::MAX, f64::min)
    };
    let along = frame.feet_along.iter().map(nearest).fold(0.0, f64::max);
    (!frame.feet_along.is_empty()).then_some(())?;
    Some(Match {
        other,
        higher: Millimetres(other.height?.0 - frame.height?.0),
        feet_off: Millimetres(across.max(along)),
        thicker: Millimetres(other.shaft_diameter?.0 - frame.shaft_diameter?.0),
    })
}

/// Key or flat of a NEMA shaft. Source: NEMA MG 1 4.5.1 (keyseat depth from memory).
pub fn seat(diameter: Millimetres) -> Option<Seat> {
    static SEATS: LazyLock<Vec<Seat>> = LazyLock::new(|| {
        let row = |row: &Vec<String>| {
            let inch = |column| at(row, column, MM_PER_INCH);
            Some(Seat {
                diameter: inch(0)?,
                key: inch(2),
                key_length: inch(3),
                across: inch(4)?,
            })
        };
        let table = rows(include_str!("tables/keyseats.csv"));
        table.iter().filter_map(row).collect()
    });
    SEATS
        .iter()
        .find(|seat| (seat.diameter.0 - diameter.0).abs() <= 0.06)
        .cloned()
}

/// Tolerance of a shaft end up to 1 1/2 in: it may be thinner by 0.0005 in and never thicker.
/// `None` above. Source: NEMA MG 1 4.9.1 (from memory).
pub fn shaft_tolerance(diameter: Millimetres) -> Option<Millimetres> {
    (diameter.0 > 0.0 && diameter.0 <= 1.5 * MM_PER_INCH + 1e-9)
        .then_some(Millimetres(0.0005 * MM_PER_INCH))
}

/// Least length of a reducing bushing: one and a half shafts. Source: common practice.
pub fn bushing_length(shaft: Millimetres) -> Millimetres {
    Millimetres(1.5 * shaft.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_frames_of_the_two_systems_are_named() {
        let frame = named("143T").next().unwrap();
        let near: Vec<&str> = matches(frame)
            .iter()
            .map(|m| m.other.name.as_str())
            .collect();
        assert_eq!(near, ["90S"]);
        assert_eq!(named("56").count(), 2);
        assert_eq!(named(" ").count(), 0);
        // One of the two patterns of a 56H is that of a 56, but a base for both is asked for.
        let plain = named("56").next().unwrap();
        assert!(matches(plain).iter().any(|m| m.other.name == "56H"));
    }
}
