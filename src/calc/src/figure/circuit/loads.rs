//! Topics about loads and switches: continuous loads, outlets, standard ratings, switches, drives.

use super::super::editions::{RULE_SET, per_edition};
use super::super::{Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::motor::a;
use super::read::{self, num};
use crate::circuit::CAUTION;
use crate::circuit::current::Supply;
use crate::circuit::device::{next_rating, rating_below};
use crate::circuit::motor_load::full_load;
use crate::circuit::outlets::{Outlets, continuous_load, drive_input, largest_continuous, outlets};
use crate::circuit::small_switch::{SwitchAsk, SwitchKind, eighth, switch};
use crate::installation::DeviceKind;
use crate::shown::{Fill, exact, line};
use crate::working::{Verdict, Working};
use rust_decimal::Decimal;

const KIND: Want = Want {
    name: "device",
    label: "Kind of device",
    note: "blank: inverse-time breaker",
    ..read::DEVICE
};

fn kind(given: &Given) -> Result<DeviceKind, Trouble> {
    Ok(read::device(given, "device")?.unwrap_or(DeviceKind::InverseTimeBreaker))
}

/// The rating, under any of its three names.
fn rating(given: &Given) -> Result<Option<Decimal>, Trouble> {
    let mut found: Option<Decimal> = None;
    for name in ["rating_a", "circuit_a", "ocpd_a"] {
        match (found, read::amps(given, name)?) {
            (Some(one), Some(other)) if one != other => {
                return Err(Trouble::of(name, "Two different ratings"));
            }
            (one, other) => found = one.or(other),
        }
    }
    Ok(found)
}

pub(super) const CONTINUOUS: Topic = Topic {
    name: "continuous_load",
    title: "Continuous load",
    what: "Smallest device and conductor for loads that run three hours or more, with the standard \
           rating.",
    subject: Subject::Circuit,
    wants: &[
        want("continuous_a", "Load of three hours or more", Takes::Number).unit("A"),
        want(
            "noncontinuous_a",
            "Load of less than three hours",
            Takes::Number,
        )
        .unit("A")
        .note("blank: none was given"),
        want("rating_a", "Rating of the device", Takes::Number)
            .unit("A")
            .note("for the largest load of three hours or more"),
        want("circuit_a", "Rating of the circuit", Takes::Number)
            .unit("A")
            .note("the same, by another name"),
        want("ocpd_a", "Rating of the device", Takes::Number)
            .unit("A")
            .note("the same, by another name"),
        KIND,
        RULE_SET,
    ],
    answers: &[
        a(
            "max_continuous_a",
            "A",
            "largest load of three hours or more behind the rating given",
        ),
        a("ok", "", "the loads given are not above that rating"),
        a("min_rating_a", "A", "smallest device rating"),
        a("required_a", "A", "the same"),
        a(
            "min_conductor_ampacity_a",
            "A",
            "smallest conductor, before air and number",
        ),
        a("standard_rating_a", "A", "standard rating at or above"),
    ],
    run: |given| {
        let continuous = read::load_amps(given, "continuous_a")?;
        let other = read::load_amps(given, "noncontinuous_a")?;
        let most = match rating(given)? {
            None => None,
            Some(rating) => {
                let found = largest_continuous(rating, other.unwrap_or_default());
                let why = "Above the rating of the circuit already";
                Some(found.ok_or_else(|| Trouble::of("noncontinuous_a", why))?)
            }
        };
        if continuous.is_none() && (other.is_none() || most.is_some()) {
            let (most, line) = given.need("continuous_a", most)?;
            let mut working = Working::new("Continuous load");
            working.cautions.push(CAUTION.into());
            working.lines.push(line);
            return Ok(Figure::new(working).with("max_continuous_a", num(most)));
        }
        let (other, kind) = (other.unwrap_or_default(), kind(given)?);
        let continuous = continuous.unwrap_or_default();
        per_edition(given, |set| {
            let (answer, mut working) = continuous_load(set, kind, other, continuous)
                .ok_or_else(|| Trouble::of("continuous_a", "Give amperes from 0 to 100 000"))?;
            let ok = most.as_ref().map(|(most, _)| continuous <= *most);
            working.lines.extend(most.clone().map(|(_, line)| match ok {
                Some(true) => line.judge(Verdict::Within, "Not above the limit."),
                _ => line.judge(Verdict::Beyond, "Take load off, or split it over circuits."),
            }));
            Ok(Figure::new(working)
                .with_some(
                    "max_continuous_a",
                    most.as_ref().map(|(most, _)| num(*most)),
                )
                .with_some("ok", ok)
                .with("min_rating_a", num(answer.least))
                .with("required_a", num(answer.least))
                .with("min_conductor_ampacity_a", num(answer.least))
                .with_some("standard_rating_a", answer.standard.map(num)))
        })
    },
};

pub(super) const PERMISSIBLE: Topic = Topic {
    name: "permissible_load",
    title: "Loads of a circuit with outlets",
    what: "How much fixed equipment and cord load a circuit may carry beside lighting and outlets.",
    subject: Subject::Circuit,
    wants: &[
        want("circuit_a", "Rating of the circuit", Takes::Number).unit("A"),
        want(
            "fixed_motor_a",
            "Equipment fastened in place",
            Takes::Number,
        )
        .unit("A")
        .note("all of it together, luminaires left out"),
        want(
            "shared_with_receptacles",
            "Lighting or cord loads share the circuit",
            Takes::Flag,
        ),
        want("cord_load_a", "One cord-and-plug load", Takes::Number).unit("A"),
        want("receptacle_a", "Rating of its receptacle", Takes::Number).unit("A"),
        RULE_SET,
    ],
    answers: &[
        a("limit_a", "A", "largest load fastened in place"),
        a("ok", "", "the fixed load is not above"),
        a("cord_limit_a", "A", "largest single cord-and-plug load"),
        a("cord_ok", "", "the cord load is not above"),
    ],
    run: |given| {
        let ask = Outlets {
            circuit: given.need("circuit_a", read::amps(given, "circuit_a")?)?,
            fixed: read::load_amps(given, "fixed_motor_a")?,
            shared: given.flag("shared_with_receptacles")?,
            cord: read::load_amps(given, "cord_load_a")?,
            receptacle: read::amps(given, "receptacle_a")?,
        };
        per_edition(given, |set| {
            let (answer, working) = outlets(set, &ask)
                .ok_or_else(|| Trouble::of("circuit_a", "Give amperes above zero"))?;
            Ok(Figure::new(working)
                .with_some("limit_a", answer.fixed_limit.map(num))
                .with_some("ok", answer.fixed_ok)
                .with_some("cord_limit_a", answer.cord_limit.map(num))
                .with_some("cord_ok", answer.cord_ok))
        })
    },
};

pub(super) const RATING: Topic = Topic {
    name: "standard_rating",
    title: "Standard device rating",
    what: "The standard ampere ratings at or next above and at or next below a current.",
    subject: Subject::Circuit,
    wants: &[
        want("amps", "Current", Takes::Number).unit("A"),
        KIND,
        RULE_SET,
    ],
    answers: &[
        a("up_a", "A", "at or next above"),
        a("down_a", "A", "at or next below"),
    ],
    run: |given| {
        let amps = given.need("amps", read::amps(given, "amps")?)?;
        let kind = kind(given)?;
        per_edition(given, |set| {
            let (up, down) = (next_rating(set, kind, amps), rating_below(set, kind, amps));
            let words = |rating: Option<Decimal>| rating.map_or("none".into(), exact);
            let mut working = Working::new("Standard device rating");
            working.cautions.push(CAUTION.into());
            working.lines.push(
                line("rating", "Standard ratings about it")
                    .value(exact(amps), "A")
                    .limit(format!("{} A below, {} A above", words(down), words(up)))
                    .rule(
                        "branch devices round up, feeder devices and ceilings down",
                        "NEC 240.6(A)",
                    ),
            );
            Ok(Figure::new(working)
                .with_some("up_a", up.map(num))
                .with_some("down_a", down.map(num)))
        })
    },
};

pub(super) const SWITCH: Topic = Topic {
    name: "switch",
    title: "Switch of a motor",
    what: "Whether a switch, breaker or plug serves as disconnect or controller of a motor.",
    subject: Subject::Circuit,
    wants: &[
        read::HP,
        read::PHASES,
        read::VOLTS,
        read::NAMEPLATE,
        read::EXCEPTION,
        read::TYPE,
        read::SERVICE_FACTOR,
        read::RISE,
        want(
            "switch",
            "Switch",
            Takes::Choice(&[
                ("ac_general_use_snap", "snap switch, AC only"),
                ("ac_dc_general_use_snap", "snap switch, AC and DC"),
                ("general_use", "general-use switch"),
                ("motor_circuit", "switch rated in horsepower"),
                ("breaker", "breaker of the branch circuit"),
                ("plug", "plug and receptacle"),
            ]),
        ),
        want("switch_a", "Its rating", Takes::Number).unit("A"),
        want("switch_hp", "Its rating at this voltage", Takes::Number).unit("hp"),
        want("portable", "The motor is portable", Takes::Flag),
    ],
    answers: &[
        a("flc_a", "A", "motor current that counts"),
        a("limit_a", "A", "largest motor current for this switch"),
        a("required_a", "A", "smallest rating for this motor"),
        a("ok", "", "the switch serves the motor"),
    ],
    run: |given| {
        let mut motor = read::motor(given)?;
        motor.exception = read::exception(given)?;
        let portable = given.flag("portable")?;
        let found = match full_load(&motor) {
            Ok(found) => found,
            Err(why) => {
                let breaker = given.choice("switch")? == Some("breaker");
                let small = motor.hp.filter(|_| breaker);
                let (answer, working) = small
                    .and_then(|hp| eighth(hp, portable))
                    .ok_or_else(|| read::no_full_load(&why))?;
                return Ok(Figure::new(working).with_some("ok", answer.ok));
            }
        };
        let ask = SwitchAsk {
            direct: motor.supply == Some(Supply::Direct),
            volts: given.need("volts", read::volts(given, "volts")?)?,
            kind: match given.need_choice("switch")? {
                "ac_general_use_snap" => SwitchKind::AcSnap,
                "ac_dc_general_use_snap" => SwitchKind::AcDcSnap,
                "general_use" => SwitchKind::GeneralUse,
                "motor_circuit" => SwitchKind::MotorCircuit,
                "breaker" => SwitchKind::Breaker,
                _ => SwitchKind::Plug,
            },
            rating: read::amps(given, "switch_a")?,
            rated_hp: given.positive("switch_hp")?,
            portable,
            full_load: found,
        };
        let (answer, working) = switch(&ask);
        Ok(Figure::new(working)
            .with("flc_a", num(ask.full_load.amps))
            .with_some("limit_a", answer.limit.map(num))
            .with_some("required_a", answer.required.map(num))
            .with_some("ok", answer.ok))
    },
};

pub(super) const DRIVE: Topic = Topic {
    name: "drive_circuit",
    title: "Circuit of a frequency drive",
    what: "Conductors and disconnect ahead of a frequency drive, from its rated input current.",
    subject: Subject::Circuit,
    wants: &[want("input_a", "Rated input current of the drive", Takes::Number).unit("A")],
    answers: &[
        a("min_conductor_ampacity_a", "A", "125 % of it"),
        a("disconnect_min_a", "A", "115 % of it"),
    ],
    run: |given| {
        let input = given.need("input_a", read::amps(given, "input_a")?)?;
        let (conductor, disconnect, working) = drive_input(input)
            .ok_or_else(|| Trouble::of("input_a", "Give amperes above zero, up to 100 000"))?;
        Ok(Figure::new(working)
            .with("min_conductor_ampacity_a", num(conductor))
            .with("disconnect_min_a", num(disconnect)))
    },
};
