//! Topics about several motors: one set of conductors, a feeder, a shared branch circuit.

use super::super::editions::{RULE_SET, per_edition};
use super::super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::motor::a;
use super::read::{self, num};
use crate::circuit::motor_load::{MotorLoad, full_load};
use crate::circuit::several::{Group, GroupAnswer, Member, OfMember, OneSystem, group, one_system};
use crate::circuit::sharing::{Shared, shared};
use crate::installation::DeviceKind;
use crate::shown::figure;
use rust_decimal::Decimal;
use serde_json::{Map, Value};

const MEMBER: &[Want] = &[
    read::HP,
    read::PHASES,
    read::VOLTS,
    read::NAMEPLATE,
    read::EXCEPTION,
    read::TYPE,
    read::SERVICE_FACTOR,
    read::RISE,
    read::DEVICE,
    read::OCPD_ALIAS,
    want("count", "How many alike", Takes::Whole).note("blank: one; at most 100"),
];
pub(super) const MOTORS: Want = want("motors", "Motors", Takes::Rows(MEMBER));
pub(super) const MOTOR_FLC: Want = want(
    "motor_flc_a",
    "Full-load currents of the motors",
    Takes::Numbers,
)
.unit("A")
.note("in place of the motors, or beside them");
const NONCONTINUOUS: Want = want(
    "other_noncontinuous_a",
    "Other load, less than three hours",
    Takes::Number,
)
.unit("A")
.note("blank: none was given");
const CONTINUOUS: Want = want(
    "other_continuous_a",
    "Other load, three hours or more",
    Takes::Number,
)
.unit("A")
.note("blank: none was given");

pub(super) fn member(given: &Given) -> Result<Vec<Member>, Trouble> {
    let mut motor = read::motor(given)?;
    motor.exception = read::exception(given)?;
    let device = read::device_by_either(given, "device", "ocpd")?;
    let count = match given.whole("count")? {
        None => 1,
        Some(count) if (1..=100).contains(&count) => count as usize,
        Some(_) => return Err(Trouble::of("count", "Give a whole number from 1 to 100")),
    };
    Ok(vec![one(&motor, device)?; count])
}

pub(super) fn one(motor: &MotorLoad, device: Option<DeviceKind>) -> Result<Member, Trouble> {
    let found = full_load(motor).map_err(|why| read::no_full_load(&why))?;
    Ok(Member {
        name: found
            .hp
            .map_or_else(String::new, |hp| format!("{} hp", figure(hp, 3))),
        amps: found.amps,
        device_amps: Some(found.device_amps),
        hp: found.hp,
        volts: motor.volts,
        row: motor.motor_row(),
        device,
        plate_amps: motor.plate_amps,
        service_factor: motor.service_factor,
        rise: motor.rise,
    })
}

/// The motors of both fields; one of them must be there.
fn members(given: &Given) -> Result<Vec<Member>, Trouble> {
    let mut all: Vec<Member> = given
        .rows("motors", member)?
        .unwrap_or_default()
        .into_iter()
        .flatten()
        .collect();
    all.extend(bare_currents(given)?);
    match all.len() {
        0 => Err(Trouble::of(
            "motors",
            "Not given: motors, or their full-load currents",
        )),
        1..=1000 if one_system(&all) == OneSystem::Apart => Err(Trouble::of(
            "motors",
            "These motors cannot run on one feeder: their voltages are of different systems, or direct \
             beside alternating current",
        )),
        1..=1000 => Ok(all),
        _ => Err(Trouble::of("motors", "Give at most 1000 motors")),
    }
}

/// Motors of which only the current is known.
pub(super) fn bare_currents(given: &Given) -> Result<Vec<Member>, Trouble> {
    let mut all = Vec::new();
    for (at, amps) in given
        .decimals("motor_flc_a")?
        .unwrap_or_default()
        .into_iter()
        .enumerate()
    {
        if amps.is_zero() || amps > Decimal::from(100_000) {
            let why = "Give amperes above zero, up to 100 000";
            return Err(Trouble::of(format!("motor_flc_a.{at}"), why));
        }
        all.push(Member {
            amps,
            ..Member::default()
        });
    }
    Ok(all)
}

fn group_of(given: &Given) -> Result<Group, Trouble> {
    Ok(Group {
        motors: members(given)?,
        noncontinuous: read::load_amps(given, "other_noncontinuous_a")?.unwrap_or_default(),
        continuous: read::load_amps(given, "other_continuous_a")?.unwrap_or_default(),
        feeder_device: read::device(given, "feeder_device")?,
        feeder_rating: read::amps(given, "feeder_a")?,
    })
}

const FEEDER_DEVICE: Want = Want {
    name: "feeder_device",
    label: "Feeder device",
    note: "blank: as the branch device of the motor with the largest",
    ..read::DEVICE
};
const FEEDER_RATING: Want = want("feeder_a", "Rating of the feeder device", Takes::Number)
    .unit("A")
    .note("to be judged");

/// The first belongs to motors that share a branch circuit only.
const ANSWERS: &[Answer] = &[
    a("group_430_53_a_ok", "", "small motors may share the device"),
    a("min_ampacity_a", "A", "common conductors"),
    a("feeder_min_ampacity_a", "A", "the same"),
    a("feeder_min_a", "A", "the same"),
    a(
        "cu_size",
        "",
        "smallest copper conductor at the terminals given",
    ),
    a("cu_ampacity_a", "A", "what it carries there"),
    a(
        "cu_size_60c",
        "",
        "smallest copper conductor, 60 °C terminals",
    ),
    a(
        "cu_size_75c",
        "",
        "smallest copper conductor, 75 °C terminals",
    ),
    a(
        "al_size",
        "",
        "smallest aluminium conductor at the terminals given",
    ),
    a("al_ampacity_a", "A", "what it carries there"),
    a(
        "al_size_60c",
        "",
        "smallest aluminium conductor, 60 °C terminals",
    ),
    a(
        "al_size_75c",
        "",
        "smallest aluminium conductor, 75 °C terminals",
    ),
    a("feeder_device_calc_a", "A", "sum for the feeder's device"),
    a("feeder_device_a", "A", "standard rating at or below"),
    a("feeder_fuse_calc_a", "A", "the sum, where it is a fuse"),
    a("feeder_fuse_a", "A", "the rating, where it is a fuse"),
    a(
        "feeder_breaker_calc_a",
        "A",
        "the sum, where it is a breaker",
    ),
    a("feeder_breaker_a", "A", "the rating, where it is a breaker"),
    a(
        "of_motors",
        "",
        "motor by motor: hp, flc_a, branch_min_a, device_calc_a, device_a, overload_max_a",
    ),
    a(
        "branch_25hp_min_a",
        "A",
        "branch conductor of each power, as here of 25 hp",
    ),
    a(
        "fuse_25hp_a",
        "A",
        "largest device of each power; breaker_25hp_a where it is a breaker",
    ),
    a("fuse_25hp_calc_a", "A", "its percentage of the current"),
    a(
        "fuse_25hp_ceiling_a",
        "A",
        "largest where that motor will not start",
    ),
    a("fuse_25hp_ceiling_calc_a", "A", "the ceiling"),
    a(
        "overload_25hp_a",
        "A",
        "highest overload setting of each power",
    ),
];

pub(super) const SEVERAL: Topic = Topic {
    name: "several_motors",
    title: "Several motors on one set of conductors",
    what: "Common conductors and feeder device for several motors and other loads, with what each \
           motor asks of its own branch circuit.",
    subject: Subject::Circuit,
    wants: &[
        MOTORS,
        MOTOR_FLC,
        NONCONTINUOUS,
        CONTINUOUS,
        read::TERMINAL,
        want("ocpd_a", "Branch device that they share", Takes::Number)
            .unit("A")
            .note("for 430.53(A); needs the voltage"),
        want("volts", "Voltage of the shared circuit", Takes::Number).unit("V"),
        FEEDER_DEVICE,
        FEEDER_RATING,
        RULE_SET,
    ],
    answers: ANSWERS,
    run: |given| run(given, true),
};

pub(super) const FEEDER: Topic = Topic {
    name: "feeder",
    title: "Feeder of motors and other loads",
    what: "Smallest conductor ampacity and largest device of a feeder: the largest branch device plus \
           all other currents, rounded down.",
    subject: Subject::Circuit,
    wants: &[
        MOTORS,
        MOTOR_FLC,
        NONCONTINUOUS,
        CONTINUOUS,
        read::TERMINAL,
        FEEDER_DEVICE,
        FEEDER_RATING,
        RULE_SET,
    ],
    answers: ANSWERS.split_at(1).1,
    run: |given| run(given, false),
};

fn run(given: &Given, sharing: bool) -> Result<Figure, Trouble> {
    let ask = group_of(given)?;
    let terminals = read::rating_c(given, "terminal_c")?;
    let group_ok = if sharing {
        small_group(given, &ask)?
    } else {
        None
    };
    per_edition(given, |set| {
        let (answer, working) = group(set, &ask)
            .ok_or_else(|| Trouble::of("motors", "These currents are too large to add up"))?;
        let mut figure = Figure::new(working).with_some("group_430_53_a_ok", group_ok);
        for name in ["min_ampacity_a", "feeder_min_ampacity_a", "feeder_min_a"] {
            figure = figure.with(name, num(answer.min_ampacity));
        }
        for (at, metal) in ["cu", "al"].into_iter().enumerate() {
            for (column, celsius) in [(0, 60), (1, 75)] {
                let size = answer.sizes[at][column].map(|(size, _)| size.name.as_str());
                figure = figure.with_some(&format!("{metal}_size_{celsius}c"), size);
            }
            let column = terminals.map(|c| usize::from(c.0 >= 75.0));
            if let Some((size, amps)) = column.and_then(|column| answer.sizes[at][column]) {
                figure = figure
                    .with(&format!("{metal}_size"), size.name.as_str())
                    .with(&format!("{metal}_ampacity_a"), num(amps));
            }
        }
        Ok(by_motor(feeder_answers(figure, &answer), &ask, &answer))
    })
}

/// 430.53(A), where the shared device was given.
fn small_group(given: &Given, ask: &Group) -> Result<Option<bool>, Trouble> {
    let (Some(rating), Some(volts)) = (read::amps(given, "ocpd_a")?, read::volts(given, "volts")?)
    else {
        return Ok(None);
    };
    let question = Shared {
        motors: ask.motors.clone(),
        volts,
        single_phase: None,
        device_rating: rating,
        device: None,
        overload: None,
        other: Decimal::ZERO,
    };
    let found = shared(crate::circuit::RuleSet::Nec2023, &question);
    Ok(found.and_then(|(answer, _)| answer.small))
}

fn feeder_answers(figure: Figure, answer: &GroupAnswer) -> Figure {
    let Some(feeder) = answer.feeder else {
        return figure;
    };
    let kind = word(feeder.kind);
    let rating = feeder.rating.map(num);
    figure
        .with("feeder_device_calc_a", num(feeder.calculated))
        .with_some("feeder_device_a", rating)
        .with(&format!("feeder_{kind}_calc_a"), num(feeder.calculated))
        .with_some(&format!("feeder_{kind}_a"), rating)
}

fn word(kind: DeviceKind) -> &'static str {
    match kind {
        DeviceKind::NonTimeDelayFuse | DeviceKind::DualElementFuse | DeviceKind::GgFuse => "fuse",
        _ => "breaker",
    }
}

/// Each motor in a list, and by its power where all motors of that power agree.
fn by_motor(mut figure: Figure, ask: &Group, answer: &GroupAnswer) -> Figure {
    let mut list = Vec::new();
    let mut named: Vec<(String, Option<Value>)> = Vec::new();
    for (motor, of) in ask.motors.iter().zip(&answer.members) {
        list.push(Value::Object(of_motor(motor, of)));
        for (name, value) in by_power(motor, of) {
            match named.iter_mut().find(|(other, _)| *other == name) {
                Some((_, kept)) if kept.as_ref() == Some(&value) => {}
                Some((_, kept)) => *kept = None,
                None => named.push((name, Some(value))),
            }
        }
    }
    for (name, value) in named {
        figure = figure.with_some(&name, value);
    }
    figure.with("of_motors", list)
}

fn of_motor(motor: &Member, of: &OfMember) -> Map<String, Value> {
    let mut out = Map::new();
    let mut put = |name: &str, value: Option<f64>| {
        if let Some(value) = value {
            out.insert(name.into(), value.into());
        }
    };
    put("hp", motor.hp);
    put("flc_a", Some(num(motor.amps)));
    put("branch_min_a", Some(num(of.conductor_min)));
    put("device_calc_a", of.device.map(|d| num(d.calculated)));
    put("device_a", of.device.map(|d| num(d.highest)));
    put("overload_max_a", of.overload_max.map(num));
    out
}

fn by_power(motor: &Member, of: &OfMember) -> Vec<(String, Value)> {
    let Some(hp) = motor.hp.map(|hp| figure(hp, 3)) else {
        return Vec::new();
    };
    let mut out = vec![(format!("branch_{hp}hp_min_a"), num(of.conductor_min).into())];
    if let (Some(device), Some(kind)) = (of.device, motor.device) {
        let kind = word(kind);
        out.push((
            format!("{kind}_{hp}hp_calc_a"),
            num(device.calculated).into(),
        ));
        out.push((format!("{kind}_{hp}hp_a"), num(device.highest).into()));
        out.push((
            format!("{kind}_{hp}hp_ceiling_calc_a"),
            num(device.ceiling_calculated).into(),
        ));
        if let Some(ceiling) = device.ceiling {
            out.push((format!("{kind}_{hp}hp_ceiling_a"), num(ceiling).into()));
        }
    }
    if let Some(most) = of.overload_max {
        out.push((format!("overload_{hp}hp_a"), num(most).into()));
    }
    out
}
