//! The topic of voltage drop.

use super::super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::motor::a;
use super::read::{self, num};
use super::wire::size;
use crate::circuit::current::Supply;
use crate::circuit::drop::Conduit;
use crate::circuit::load::branch_conductor_min;
use crate::circuit::motor_load::{MotorLoad, full_load};
use crate::circuit::run::{Lost, Method, Run, lost, plain_drop};
use crate::circuit::wire::{Size, find_size};
use crate::installation::Metal;
use crate::units::Volts;
use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive, ToPrimitive};

pub(super) const DROP: Topic = Topic {
    name: "voltage_drop",
    title: "Voltage drop",
    what: "Volts lost on a run by resistance, impedance and the constant of the metal, the longest run \
           within a limit and the smallest size for it.",
    subject: Subject::Circuit,
    wants: WANTS,
    answers: ANSWERS,
    run,
};

const WANTS: &[Want] = &[
    want(
        "method",
        "Method",
        Takes::Choice(&[
            ("K", "constant of the metal"),
            ("R", "resistance"),
            ("Z", "effective impedance"),
            ("K_size", "size for a limit, by the constant"),
        ]),
    )
    .note("blank: the larger of resistance and impedance"),
    read::PHASES,
    want("amps", "Load current", Takes::Number)
        .unit("A")
        .note("blank: the table current of the horsepower"),
    Want {
        note: "a motor's: its conductor is answered too",
        ..read::HP
    },
    want("volts", "Voltage at the beginning", Takes::Number).unit("V"),
    want("source_v", "Voltage at the beginning", Takes::Number)
        .unit("V")
        .note("the same, by another name"),
    want("size", "Conductor size", Takes::Text).note("such as 10, 1/0 or 14 solid"),
    read::METAL,
    read::MATERIAL,
    want(
        "conduit",
        "Runs in",
        Takes::Choice(&[
            ("pvc", "plastic conduit"),
            ("aluminium", "aluminium conduit"),
            ("steel", "steel conduit"),
        ]),
    )
    .note("blank: the largest impedance of the three"),
    want("power_factor", "Power factor of the load", Takes::Number)
        .note("0 to 1; blank: the table's 0.85"),
    want("k", "Constant of the metal", Takes::Number)
        .unit("ohm cmil/ft")
        .note("blank: 12.9 copper, 21.2 aluminium"),
    want("ohm_per_kft", "Resistance or impedance", Takes::Number)
        .unit("ohm/1000 ft")
        .note("blank: by the tables"),
    read::ONE_WAY_FT,
    read::ONE_WAY_M,
    want("limit_v", "Volts that may be lost", Takes::Number).unit("V"),
    want("limit_pct", "Percent that may be lost", Takes::Number).unit("%"),
    want("drop_v", "Volts lost, where they are known", Takes::Number)
        .unit("V")
        .note("measured or worked out; for the percent"),
];

const ANSWERS: &[Answer] = &[
    a("drop_v", "V", "volts lost, by the method that is judged"),
    a("drop_pct", "%", "of the voltage at the beginning"),
    a("volts_left", "V", "at the end"),
    a("drop_k_v", "V", "by the constant of the metal"),
    a("drop_r_v", "V", "by resistance"),
    a("drop_z_v", "V", "by impedance"),
    a("max_one_way_ft", "ft", "longest run within the limit"),
    a("max_one_way_m", "m", "the same"),
    a(
        "min_cmil",
        "cmil",
        "smallest area within the limit, by the constant",
    ),
    a(
        "size_for_drop",
        "",
        "smallest size of that area; its ampacity is judged apart",
    ),
    a(
        "min_conductor_ampacity_a",
        "A",
        "125 % of a motor's current",
    ),
    a("max_drop_v", "V", "volts of the limit"),
    a(
        "drop_v_aluminium",
        "V",
        "volts lost in aluminium, where the metal is not given",
    ),
];

fn run(given: &Given) -> Result<Figure, Trouble> {
    if let Some(figure) = plain(given)? {
        return Ok(figure);
    }
    let ask = question(given)?;
    let hp = given.positive("hp")?;
    let (found, working) = lost(&ask);
    let aluminium = ask.metal_taken.then(|| {
        lost(&Run {
            metal: Some(Metal::Aluminium),
            ..ask.clone()
        })
    });
    let aluminium = aluminium.and_then(|(found, _)| found.volts);
    let amps = Decimal::from_f64(ask.amps);
    Ok(answers(Figure::new(working), &found)
        .with_some("max_drop_v", ask.limit.map(|limit| limit.0))
        .with_some("drop_v_aluminium", aluminium.map(|v| v.0))
        .with_some(
            "min_conductor_ampacity_a",
            hp.and(amps).map(|amps| num(branch_conductor_min(amps))),
        ))
}

/// Volts against percent alone: a loss that is known, or the limit in volts. Needs no phases.
fn plain(given: &Given) -> Result<Option<Figure>, Trouble> {
    let run = ["phases", "amps", "hp", "size", "one_way_ft", "one_way_m"];
    let drop = read::between(given, "drop_v", 0.001, 50_000.0)?.map(Volts);
    if run.iter().any(|name| given.has(name)) {
        if drop.is_some() {
            let why = "Give the volts lost or the run to work them out of, not both";
            return Err(Trouble::of("drop_v", why));
        }
        return Ok(None);
    }
    let source = source(given)?;
    let limit = limit(given, source)?;
    if drop.is_none() && (limit.is_none() || source.is_none()) {
        return Ok(None);
    }
    let (found, working) = plain_drop(drop, source, limit);
    Ok(Some(
        answers(Figure::new(working), &found).with_some("max_drop_v", limit.map(|limit| limit.0)),
    ))
}

fn question(given: &Given) -> Result<Run, Trouble> {
    let supply = given.need("phases", read::supply(given)?)?;
    let source = source(given)?;
    let amps = match read::amps(given, "amps")? {
        Some(amps) => amps,
        None => table_amps(given, supply, source)?,
    };
    let (size, solid) = conductor(given)?;
    let k = read::between(given, "k", 0.001, 1000.0)?;
    let ohm_per_kft = read::between(given, "ohm_per_kft", 1e-6, 1e6)?;
    let method = given.choice("method")?.map(|word| match word {
        "R" => Method::Resistance,
        "Z" => Method::Impedance,
        _ => Method::K,
    });
    let by_k = k.is_some() && matches!(method, None | Some(Method::K));
    let by_ohms = ohm_per_kft.is_some() && method != Some(Method::K);
    let (metal, metal_taken) = metal(given, size.is_some(), by_k || by_ohms)?;
    Ok(Run {
        phases: if supply == Supply::ThreePhase { 3 } else { 1 },
        amps: amps.to_f64().unwrap_or_default(),
        source,
        method,
        size,
        solid,
        direct: supply == Supply::Direct,
        metal,
        metal_taken,
        conduit: given.choice("conduit")?.map(|word| match word {
            "pvc" => Conduit::Pvc,
            "aluminium" => Conduit::Aluminium,
            _ => Conduit::Steel,
        }),
        k,
        ohm_per_kft,
        power_factor: power_factor(given)?,
        one_way: read::one_way(given)?,
        limit: limit(given, source)?,
    })
}

/// The metal, and whether copper was taken because something hangs on it and it was not given.
fn metal(given: &Given, sized: bool, known: bool) -> Result<(Option<Metal>, bool), Trouble> {
    let limited = given.has("limit_v") || given.has("limit_pct");
    let long = given.has("one_way_ft") || given.has("one_way_m");
    let metal = read::metal(given)?;
    let taken = metal.is_none() && !known && (sized || (limited && long));
    Ok((metal.or(taken.then_some(Metal::Copper)), taken))
}

fn power_factor(given: &Given) -> Result<Option<f64>, Trouble> {
    match given.positive("power_factor")? {
        Some(cosine) if cosine > 1.0 => Err(Trouble::of(
            "power_factor",
            "Give a figure above 0, up to 1",
        )),
        cosine => Ok(cosine),
    }
}

fn answers(figure: Figure, lost: &Lost) -> Figure {
    let volts = |v: Option<Volts>| v.map(|v| v.0);
    figure
        .with_some("drop_v", volts(lost.volts))
        .with_some("drop_pct", lost.percent)
        .with_some("volts_left", volts(lost.left))
        .with_some("drop_k_v", volts(lost.by_k))
        .with_some("drop_r_v", volts(lost.by_resistance))
        .with_some("drop_z_v", volts(lost.by_impedance))
        .with_some("max_one_way_ft", lost.longest.map(|run| run.0 / 0.3048))
        .with_some("max_one_way_m", lost.longest.map(|run| run.0))
        .with_some("min_cmil", lost.min_cmil.map(f64::round))
        .with_some("size_for_drop", lost.smallest)
}

fn source(given: &Given) -> Result<Option<Volts>, Trouble> {
    match (
        read::volts(given, "volts")?,
        read::volts(given, "source_v")?,
    ) {
        (Some(one), Some(other)) if one != other => Err(Trouble::of(
            "source_v",
            "Two different voltages at the beginning",
        )),
        (one, other) => Ok(one.or(other)),
    }
}

fn limit(given: &Given, source: Option<Volts>) -> Result<Option<Volts>, Trouble> {
    let volts = read::between(given, "limit_v", 0.001, 50_000.0)?;
    let percent = read::between(given, "limit_pct", 0.001, 100.0)?;
    match (volts, percent, source) {
        (Some(_), Some(_), _) => Err(Trouble::of("limit_pct", "Give volts or percent, not both")),
        (Some(volts), None, _) => Ok(Some(Volts(volts))),
        (None, Some(_), None) => Err(Trouble::of("volts", "Not given: Voltage at the beginning")),
        (None, Some(percent), Some(source)) => Ok(Some(Volts(source.0 * percent / 100.0))),
        (None, None, _) => Ok(None),
    }
}

/// The size with its stranding; a size the tables do not list is passed over where ohms were given.
fn conductor(given: &Given) -> Result<(Option<&'static Size>, Option<bool>), Trouble> {
    let Some(text) = given.text("size")? else {
        return Ok((None, None));
    };
    let text = text.to_ascii_lowercase();
    let solid = match (text.contains("solid"), text.contains("stranded")) {
        (true, _) => Some(true),
        (_, true) => Some(false),
        _ => None,
    };
    match find_size(&text.replace("stranded", "").replace("solid", "")) {
        Some(size) => Ok((Some(size), solid)),
        None if given.has("ohm_per_kft") => Ok((None, solid)),
        None => Ok((size(given, "size")?, solid)),
    }
}

fn table_amps(given: &Given, supply: Supply, volts: Option<Volts>) -> Result<Decimal, Trouble> {
    let Some(hp) = given.positive("hp")? else {
        return Err(Trouble::of("amps", "Not given: Load current"));
    };
    let motor = MotorLoad {
        supply: Some(supply),
        hp: Some(hp),
        volts,
        ..MotorLoad::default()
    };
    full_load(&motor)
        .map(|found| found.amps)
        .map_err(|why| read::no_full_load(&why))
}
