//! Topics under IEC 60364: capacity, circuit, drop.

use super::super::{Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::motor::a;
use super::read::{self, num};
use super::wire::{AMBIENT_F, ambient};
use crate::circuit::iec_circuit::{IecCircuit, Laid, capacities_working, drop_line, iec_circuit};
use crate::circuit::iec_wire::{
    COS_PHI, IecRun, REACTANCE, area, drop_advice, factor_b, iec_lost, resistivity,
};
use crate::installation::{DeviceKind, Metal};
use crate::shown::exact;
use crate::units::{Celsius, Metres};
use crate::working::Working;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

const INSULATION: Want = want(
    "insulation",
    "Insulation",
    Takes::Choice(&[
        ("pvc_70c", "PVC, 70 °C"),
        ("pvc", "PVC (the same)"),
        ("xlpe_90c", "XLPE or EPR, 90 °C"),
    ]),
);
const METHOD: Want = want(
    "method",
    "Installation method",
    Takes::Choice(&[
        ("A1", "A1, in conduit in an insulated wall"),
        ("A2", "A2, cable in conduit in an insulated wall"),
        ("B1", "B1, in conduit on a wall"),
        ("B2", "B2, cable in conduit on a wall"),
        ("C", "C, cable on a wall"),
        ("E", "E, cable in free air"),
    ]),
);
const LOADED: Want = want("loaded", "Loaded conductors", Takes::Whole).note("2 or 3");
const AMBIENT: Want = want("ambient_c", "Hottest air around the cable", Takes::Number)
    .unit("°C")
    .note("10 to 60; blank: the tables' 30 °C, and asked for");
const CIRCUITS: Want = want("circuits", "Circuits bunched together", Takes::Whole)
    .note("to 20; blank: one, and asked for");
const GROUPED: Want = Want {
    name: "grouped",
    note: "the same, by another name",
    ..CIRCUITS
};
const SIZE: Want = want("size", "Area of a conductor", Takes::Text)
    .unit("mm²")
    .note("1.5 to 16 copper");

fn laid(given: &Given) -> Result<Laid, Trouble> {
    let loaded = match given.need_whole("loaded")? {
        2 => 2,
        3 => 3,
        _ => return Err(Trouble::of("loaded", "Give 2 or 3")),
    };
    let grouped = match (given.whole("circuits")?, given.whole("grouped")?) {
        (Some(one), Some(other)) if one != other => {
            return Err(Trouble::of("grouped", "Two different numbers of circuits"));
        }
        (one, other) => one.or(other),
    };
    let circuits = match grouped {
        None => None,
        Some(n) if (1..=20).contains(&n) => u32::try_from(n).ok(),
        Some(_) => return Err(Trouble::of("circuits", "The table lists 1 to 20 circuits")),
    };
    let ambient = ambient(given)?;
    if ambient.is_some_and(|c| c.0 > 60.0) {
        return Err(Trouble::of("ambient_c", "The table ends at 60 °C"));
    }
    Ok(Laid {
        method: given.need_choice("method")?.to_owned(),
        loaded,
        insulation: match given.need_choice("insulation")? {
            "pvc_70c" | "pvc" => Celsius(70.0),
            _ => Celsius(90.0),
        },
        ambient,
        circuits,
    })
}

fn mm2(given: &Given) -> Result<Option<Decimal>, Trouble> {
    match given.text("size")? {
        None => Ok(None),
        Some(text) => area(&text)
            .map(Some)
            .ok_or_else(|| Trouble::of("size", "Give an area in mm², such as 2.5")),
    }
}

pub(super) const AMPACITY: Topic = Topic {
    name: "iec_ampacity",
    title: "Capacity of a cable, IEC",
    what: "Current-carrying capacity of copper conductors from 1.5 to 16 mm² by method, insulation, air \
           and bunching.",
    subject: Subject::Circuit,
    wants: &[
        INSULATION,
        METHOD,
        LOADED,
        AMBIENT,
        AMBIENT_F,
        CIRCUITS,
        GROUPED,
        Want {
            note: "the tables held here are of copper",
            ..read::METAL
        },
        read::MATERIAL,
    ],
    answers: &[
        a("1.5", "A", "capacity of 1.5 mm²"),
        a("2.5", "A", "capacity of 2.5 mm²"),
        a("4", "A", "capacity of 4 mm²"),
        a("6", "A", "capacity of 6 mm²"),
        a("10", "A", "capacity of 10 mm²"),
        a("16", "A", "capacity of 16 mm²"),
        a("ambient_factor", "", "factor for the air"),
        a(
            "grouping_factor",
            "",
            "factor for circuits bunched together",
        ),
    ],
    run: |given| {
        let laid = laid(given)?;
        if read::metal(given)? == Some(Metal::Aluminium) {
            let field = if given.has("metal") {
                "metal"
            } else {
                "material"
            };
            let why = "The tables held here are of copper; none is listed for aluminium";
            return Err(Trouble::of(field, why));
        }
        let all = laid.capacities();
        let Some((_, first)) = all.first() else {
            let why = "The tables held here list nothing for this method, insulation and number";
            return Err(Trouble::of("method", why));
        };
        let mut figure = Figure::new(capacities_working(&laid))
            .with("ambient_factor", num(first.ambient))
            .with("grouping_factor", num(first.grouping));
        for (area, capacity) in &all {
            figure = figure.with(&exact(*area), num(capacity.corrected));
        }
        Ok(figure)
    },
};

const DEVICE: Want = want(
    "device",
    "Protective device",
    Takes::Choice(&[
        ("B", "miniature breaker, curve B"),
        ("C", "miniature breaker, curve C"),
        ("D", "miniature breaker, curve D"),
        ("gG", "fuse gG"),
    ]),
);

pub(super) const CIRCUIT: Topic = Topic {
    name: "iec_circuit",
    title: "Device and cable, IEC",
    what: "Design current, device and cable: Ib not above In, In not above Iz, and the current that \
           surely opens the device not above 1.45 Iz.",
    subject: Subject::Circuit,
    wants: &[
        want("design_a", "Design current Ib", Takes::Number)
            .unit("A")
            .note("a motor's from its plate, with all other loads"),
        want("start_a", "Starting current", Takes::Number).unit("A"),
        DEVICE,
        want("device_a", "Rating In", Takes::Number).unit("A"),
        SIZE,
        INSULATION,
        METHOD,
        LOADED,
        AMBIENT,
        AMBIENT_F,
        CIRCUITS,
        GROUPED,
    ],
    answers: &[
        a("iz_a", "A", "capacity of the cable"),
        a(
            "next_rating_a",
            "A",
            "usual breaker rating at or above the design current",
        ),
        a("i2_a", "A", "current that surely opens the device"),
        a("ib_in_ok", "", "Ib is not above In"),
        a("in_iz_ok", "", "In is not above Iz"),
        a("i2_ok", "", "I2 is not above 1.45 Iz"),
        a("start_ok", "", "the breaker holds while the motor starts"),
        a(
            "magnetic_holds_a",
            "A",
            "the magnetic release does not act up to this",
        ),
        a("magnetic_acts_a", "A", "it has acted at this"),
        a(
            "no_trip_a",
            "A",
            "the thermal release does not act within the conventional time",
        ),
        a("trip_a", "A", "it has acted within that time"),
        a("smallest_mm2", "mm²", "smallest cable for this device"),
    ],
    run: run_circuit,
};

fn run_circuit(given: &Given) -> Result<Figure, Trouble> {
    let any = ["insulation", "method", "loaded", "ambient_c", "circuits"]
        .into_iter()
        .any(|name| given.has(name));
    let rating = read::amps(given, "device_a")?;
    let ask = IecCircuit {
        design: given.need("design_a", read::amps(given, "design_a")?)?,
        start: read::amps(given, "start_a")?,
        device: given.choice("device")?.map(|word| match word {
            "B" => DeviceKind::MiniatureBreakerB,
            "C" => DeviceKind::MiniatureBreakerC,
            "D" => DeviceKind::MiniatureBreakerD,
            _ => DeviceKind::GgFuse,
        }),
        rating,
        laid: if any { Some(laid(given)?) } else { None },
        area: mm2(given)?,
    };
    let (answer, working) = iec_circuit(&ask)
        .ok_or_else(|| Trouble::of("design_a", "Give amperes above zero, up to 100 000"))?;
    let times = |of: fn(&crate::circuit::iec_wire::Curve) -> Decimal| {
        answer
            .curve
            .zip(rating)
            .map(|(curve, rating)| num(of(curve) * rating))
    };
    Ok(Figure::new(working)
        .with_some("iz_a", answer.capacity.as_ref().map(|c| num(c.corrected)))
        .with_some("next_rating_a", answer.next_rating.map(num))
        .with_some("i2_a", answer.second.map(num))
        .with_some("ib_in_ok", answer.design_ok)
        .with_some("in_iz_ok", answer.rating_ok)
        .with_some("i2_ok", answer.second_ok)
        .with_some("start_ok", answer.start_ok)
        .with_some("magnetic_holds_a", times(|curve| curve.holds))
        .with_some("magnetic_acts_a", times(|curve| curve.acts))
        .with_some("no_trip_a", times(|curve| curve.no_trip))
        .with_some("trip_a", times(|curve| curve.trip))
        .with_some("smallest_mm2", answer.smallest.map(num)))
}

pub(super) const DROP: Topic = Topic {
    name: "iec_drop",
    title: "Voltage drop, IEC",
    what: "Volts lost on a run by annex G, against the advice for public and private supplies.",
    subject: Subject::Circuit,
    wants: &[
        read::PHASES_AC,
        want("amps", "Design current", Takes::Number).unit("A"),
        Want {
            note: "0.5 mm² and up",
            ..SIZE
        },
        Want {
            note: "blank: copper, and asked for",
            ..read::METAL
        },
        read::MATERIAL,
        want("one_way_m", "Length of the run, one way", Takes::Number).unit("m"),
        want("volts", "Nominal voltage", Takes::Number)
            .unit("V")
            .note("between lines on three phases"),
        want("cos_phi", "Power factor of the load", Takes::Number).note("blank: 0.8"),
        want("lambda_ohm_per_m", "Reactance", Takes::Number)
            .unit("ohm/m")
            .note("blank: 0.00008"),
        want(
            "supply",
            "Supply",
            Takes::Choice(&[("public", "public network"), ("private", "private supply")]),
        )
        .note("blank: public, the stricter"),
        want(
            "use",
            "Use",
            Takes::Choice(&[("lighting", "lighting"), ("other", "other uses")]),
        )
        .note("blank: other uses, such as motors"),
    ],
    answers: &[
        a("drop_v", "V", "volts lost, between lines on three phases"),
        a("drop_pct", "%", "of the nominal voltage"),
        a("limit_pct", "%", "advice"),
        a("rho", "ohm mm²/m", "resistivity in service"),
        a("b", "", "2 on one phase, 1 on three"),
        a("cos_phi", "", "as used"),
        a("lambda_ohm_per_m", "ohm/m", "as used"),
    ],
    run: |given| {
        let amps = given.need("amps", read::amps(given, "amps")?)?;
        let metal = read::metal(given)?;
        let size = given.need("size", mm2(given)?)?;
        let run = IecRun {
            phases: read::need_phases(given)?,
            amps: amps.to_f64().unwrap_or_default(),
            area_mm2: size.to_f64().unwrap_or_default(),
            one_way: Metres(given.need_positive("one_way_m")?),
            metal: metal.unwrap_or(Metal::Copper),
            cos_phi: given.positive("cos_phi")?.unwrap_or(COS_PHI),
            reactance: given.not_negative("lambda_ohm_per_m")?.unwrap_or(REACTANCE),
        };
        if run.cos_phi > 1.0 {
            return Err(Trouble::of("cos_phi", "Give a figure above 0, up to 1"));
        }
        let lost = iec_lost(&run)
            .ok_or_else(|| Trouble::of("one_way_m", "Give figures that a run can have"))?;
        let private = given.choice("supply")? == Some("private");
        let limit = drop_advice(private, given.choice("use")? == Some("lighting"));
        let mut working = Working::new("Voltage drop by IEC 60364");
        working.cautions.push(crate::circuit::CAUTION.into());
        if metal.is_none() {
            working.missing.push(read::missing_metal());
        }
        let percent = read::volts(given, "volts")?.map(|volts| 100.0 * lost.0 / volts.0);
        working
            .lines
            .push(crate::circuit::iec_circuit::lost_line(&run, lost.0));
        if let Some(percent) = percent {
            working.lines.push(drop_line(percent, lost.0, limit));
        }
        Ok(Figure::new(working)
            .with("drop_v", lost.0)
            .with_some("drop_pct", percent)
            .with("limit_pct", limit)
            .with("rho", resistivity(run.metal))
            .with_some("b", factor_b(run.phases))
            .with("cos_phi", run.cos_phi)
            .with("lambda_ohm_per_m", run.reactance))
    },
};
