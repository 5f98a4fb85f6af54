//! Topics. Frames by name, and what holds a hub on a shaft.

use super::super::{Figure, Given, Subject, Takes, Topic, Trouble, want};
use super::answer;
use crate::fit::dimensions::{
    self, Dimensions, Match, bushing_length, matches, named, shaft_tolerance,
};
use crate::shown::{Fill, figure, line};
use crate::units::{MM_PER_INCH, Millimetres};
use crate::working::Working;
use serde_json::{Map, Value, json};

pub(super) const FRAME: Topic = Topic {
    name: "frame",
    title: "Frame dimensions",
    what: "Shaft height, feet, shaft end and face of a NEMA or IEC frame, and the frames near it.",
    subject: Subject::Motor,
    wants: &[
        want("frame", "Frame", Takes::Text).note("56, 143T, 56C, 90S"),
        want(
            "standard",
            "Standard",
            Takes::Choice(&[("nema", "NEMA"), ("iec", "IEC")]),
        )
        .note("56 is a frame of both; blank: NEMA first, and both are told"),
    ],
    answers: &[
        answer("standard", "", "NEMA, NEMA C-face or IEC"),
        answer(
            "shaft_height_in",
            "in",
            "D, IEC H; every length also with _mm",
        ),
        answer("feet_across_in", "in", "2E, IEC A"),
        answer("feet_along_in", "in", "2F, IEC B; a list, a 56H has two"),
        answer("shoulder_to_foot_in", "in", "BA, IEC C"),
        answer("foot_hole_in", "in", "H, IEC K"),
        answer("shaft_diameter_in", "in", "U, IEC D"),
        answer("shaft_length_in", "in", "N-W, IEC E"),
        answer("usable_length_in", "in", "V, the least"),
        answer("key_width_in", "in", "square key; IEC width"),
        answer("key_height_in", "in", "key"),
        answer("key_length_in", "in", "key"),
        answer("flat_depth_in", "in", "flat of a shaft without key"),
        answer("rabbet_in", "in", "AK, face"),
        answer("bolt_circle_in", "in", "AJ, face"),
        answer(
            "near",
            "",
            "frames that go where it stood, with what differs",
        ),
        answer(
            "also",
            "",
            "the frame of the same name in the other standard",
        ),
    ],
    run: frame,
};

pub(super) const SHAFT_SEAT: Topic = Topic {
    name: "shaft_seat",
    title: "Key, flat and bushing",
    what: "Key or flat of a NEMA shaft end, its tolerance, and the bushing for a larger bore.",
    subject: Subject::Motor,
    wants: &[
        want("shaft_diameter_in", "Shaft diameter", Takes::Number)
            .unit("in")
            .note("5/8; or shaft_diameter_mm"),
        want("shaft_diameter_mm", "Shaft diameter", Takes::Number).unit("mm"),
    ],
    answers: &[
        answer("feature", "", "key or flat"),
        answer("key_square_in", "in", "square key"),
        answer("key_length_in", "in", "length of the key"),
        answer(
            "across_in",
            "in",
            "bottom of keyseat, or flat, to the far side",
        ),
        answer(
            "tolerance_in",
            "in",
            "the shaft may be thinner by this, never thicker",
        ),
        answer(
            "bushing_length_in",
            "in",
            "least length of a reducing bushing",
        ),
    ],
    run: shaft_seat,
};

type Length = (&'static str, &'static str, Option<Millimetres>);

fn lengths(frame: &Dimensions) -> [Length; 13] {
    [
        ("shaft_height", "Shaft height", frame.height),
        ("feet_across", "Feet across", frame.feet_across),
        (
            "shoulder_to_foot",
            "Shoulder to foot",
            frame.shoulder_to_foot,
        ),
        ("foot_hole", "Foot hole", frame.hole),
        ("shaft_diameter", "Shaft diameter", frame.shaft_diameter),
        ("shaft_length", "Shaft length", frame.shaft_length),
        ("usable_length", "Least usable length", frame.usable_length),
        ("key_width", "Key width", frame.key_width),
        ("key_height", "Key height", frame.key_height),
        ("key_length", "Key length", frame.key_length),
        ("flat_depth", "Flat depth", frame.flat_depth),
        ("rabbet", "Rabbet", frame.rabbet),
        ("bolt_circle", "Bolt circle", frame.bolt_circle),
    ]
}

fn answers(frame: &Dimensions) -> Map<String, Value> {
    let mut out = Map::from_iter([("standard".to_owned(), frame.standard.into())]);
    for (name, _, length) in lengths(frame) {
        if let Some(length) = length {
            out.insert(format!("{name}_mm"), length.0.into());
            out.insert(format!("{name}_in"), length.inches().into());
        }
    }
    if !frame.feet_along.is_empty() {
        let along = &frame.feet_along;
        let mm: Vec<f64> = along.iter().map(|length| length.0).collect();
        let inches: Vec<f64> = along.iter().map(|length| length.inches()).collect();
        out.insert("feet_along_mm".into(), mm.into());
        out.insert("feet_along_in".into(), inches.into());
    }
    out
}

fn near(found: &Match) -> Value {
    json!({
        "frame": found.other.name,
        "standard": found.other.standard,
        "feet_off_mm": found.feet_off.0,
        "shaft_higher_mm": found.higher.0,
        "shaft_thicker_mm": found.thicker.0,
    })
}

fn frame(given: &Given) -> Result<Figure, Trouble> {
    let name = given.need_text("frame")?;
    let standard = given.choice("standard")?;
    let wanted = |frame: &&Dimensions| match standard {
        Some("iec") => frame.standard == "IEC",
        Some(_) => frame.standard != "IEC",
        None => true,
    };
    let all: Vec<&'static Dimensions> = named(&name).filter(wanted).collect();
    let Some((first, others)) = all.split_first() else {
        return Err(Trouble::of(
            "frame",
            "Not in the tables: measure it, or read the maker's drawing",
        ));
    };
    let mut working = Working::new("Frame dimensions");
    let source = match first.standard {
        "IEC" => "IEC 60072-1 (feet, shaft length and key from memory)",
        _ => "NEMA MG 1 Part 4",
    };
    for (key, label, length) in lengths(first) {
        if let Some(length) = length {
            let row = line(key, label)
                .value(figure(length.0, 2), "mm")
                .note(format!("{} in", figure(length.inches(), 4)))
                .rule("frame table", source);
            working.lines.push(row);
        }
    }
    let found = matches(first);
    for found in &found {
        let note = format!(
            "feet off by {} mm, shaft {} mm higher and {} mm thicker",
            figure(found.feet_off.0, 1),
            figure(found.higher.0, 1),
            figure(found.thicker.0, 1)
        );
        let row = line("near", "Frame near it")
            .value(found.other.name.clone(), "")
            .note(note);
        working
            .lines
            .push(row.rule("feet within 4 mm, height within 3 mm", "common practice"));
    }
    let mut out = Figure::new(working);
    out.answers = answers(first);
    let also: Vec<Value> = others.iter().map(|frame| answers(frame).into()).collect();
    let found: Vec<Value> = found.iter().map(near).collect();
    let also = (!also.is_empty()).then_some(also);
    Ok(out.with("near", found).with_some("also", also))
}

fn shaft_seat(given: &Given) -> Result<Figure, Trouble> {
    let diameter = match (
        given.positive("shaft_diameter_mm")?,
        given.positive("shaft_diameter_in")?,
    ) {
        (Some(_), Some(_)) => {
            return Err(Trouble::of(
                "shaft_diameter_in",
                "Given in two units: leave one out",
            ));
        }
        (mm, inches) => mm
            .or(inches.map(|value| value * MM_PER_INCH))
            .map(Millimetres),
    };
    let diameter = given.need("shaft_diameter_in", diameter)?;
    let inches = |length: Millimetres| length.inches();
    let mut working = Working::new("Key, flat and bushing");
    let bushing = bushing_length(diameter);
    working.lines.push(
        line("bushing_length", "Least length of a reducing bushing")
            .value(figure(bushing.0, 1), "mm")
            .rule("1.5 shafts; motors below 1 hp", "common practice"),
    );
    let tolerance = shaft_tolerance(diameter);
    let seat = dimensions::seat(diameter);
    if let Some(seat) = &seat {
        let word = if seat.key.is_some() { "key" } else { "flat" };
        working.lines.push(
            line("across", "Seat to the far side")
                .value(figure(seat.across.0, 2), "mm")
                .note(format!("{word}; set screws on it, never on the round"))
                .rule("shaft table", "NEMA MG 1 4.5.1 (from memory)"),
        );
    }
    let feature = seat
        .as_ref()
        .map(|seat| if seat.key.is_some() { "key" } else { "flat" });
    Ok(Figure::new(working)
        .with("bushing_length_in", bushing.inches())
        .with_some("tolerance_in", tolerance.map(inches))
        .with_some("feature", feature)
        .with_some(
            "key_square_in",
            seat.as_ref().and_then(|s| s.key).map(inches),
        )
        .with_some(
            "key_length_in",
            seat.as_ref().and_then(|s| s.key_length).map(inches),
        )
        .with_some("across_in", seat.as_ref().map(|s| s.across.inches())))
}
