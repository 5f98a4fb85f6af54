//! Topics about a motor's currents: full load, locked rotor, overload, duty.

use super::super::{Figure, Subject, Takes, Topic, Trouble, Want, want};
use super::motor::{a, basis};
use super::read::{self, num};
use crate::circuit::current::Basis;
use crate::circuit::duty::{Service, TimeRating, duty_cycle};
use crate::circuit::locked_rotor::{KW_PER_HP, LockedAsk, NoLocked, Use, locked};
use crate::circuit::motor_load::full_load;
use crate::circuit::overload::{OverloadAsk, overload};
use crate::working::Working;

pub(super) const CURRENT: Topic = Topic {
    name: "motor_current",
    title: "Full-load current of a motor",
    what: "The current a motor counts with for conductors and devices: the table by horsepower, \
           phases and volts, or the plate for the exceptions.",
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
    ],
    answers: &[
        a("flc_a", "A", "current that counts"),
        a("flc_basis", "", "table or nameplate"),
        a(
            "device_flc_a",
            "A",
            "for the largest branch device, where that is less",
        ),
        a("row_hp", "hp", "row of the table"),
        a("column_v", "V", "column of the table"),
        a(
            "hp",
            "hp",
            "power; of a motor marked in amperes, by the table",
        ),
    ],
    run: |given| {
        let mut motor = read::motor(given)?;
        motor.exception = read::exception(given)?;
        let found = full_load(&motor).map_err(|why| read::no_full_load(&why))?;
        let mut working = Working::new("Full-load current of a motor");
        working.cautions.push(crate::circuit::CAUTION.into());
        working.lines.push(found.line());
        Ok(Figure::new(working)
            .with("flc_a", num(found.amps))
            .with("flc_basis", basis(found.basis))
            .with("device_flc_a", num(found.device_amps))
            .with_some("row_hp", found.row.map(|row| num(row.hp)))
            .with_some("column_v", found.row.map(|row| row.volts))
            .with_some("hp", found.hp))
    },
};

pub(super) const OVERLOAD: Topic = Topic {
    name: "overload",
    title: "Overload protection of a motor",
    what: "How high a separate overload device may be set, and when a protector inside the motor must \
           have acted.",
    subject: Subject::Circuit,
    wants: &[
        read::HP,
        read::PHASES,
        read::VOLTS,
        read::NAMEPLATE,
        read::TYPE,
        read::SERVICE_FACTOR,
        read::RISE,
        want("flc_a", "Full-load current of the table", Takes::Number)
            .unit("A")
            .note("in place of horsepower, phases and voltage"),
        want("temp_rise_marked", "A rise is marked", Takes::Flag)
            .note("no: the plate was read and bears none"),
        want(
            "protection",
            "Protection",
            Takes::Choice(&[
                ("separate", "separate device"),
                ("integral_thermal", "protector inside the motor"),
            ]),
        )
        .note("blank: both are answered"),
        want("setting_a", "Present setting", Takes::Number)
            .unit("A")
            .note("to be judged"),
    ],
    answers: &[
        a("overload_pct", "%", "highest setting, of the plate current"),
        a(
            "overload_step_up_pct",
            "%",
            "where it will not start or carry the load",
        ),
        a("overload_max_a", "A", "highest setting"),
        a("overload_step_up_max_a", "A", "highest stepped-up setting"),
        a("flc_a", "A", "table current"),
        a(
            "ultimate_trip_pct",
            "%",
            "of the table current, protector inside a motor over 1 hp",
        ),
        a(
            "ultimate_trip_max_a",
            "A",
            "highest final trip of that protector",
        ),
    ],
    run: |given| {
        let motor = read::motor(given)?;
        let table = full_load(&motor)
            .ok()
            .filter(|found| found.basis == Basis::Table);
        let table = table.map(|found| found.amps);
        let table_amps = match (read::amps(given, "flc_a")?, table) {
            (Some(given), Some(table)) if given != table => {
                let why = "Another current than the table has for this power; give one of them";
                return Err(Trouble::of("flc_a", why));
            }
            (given, table) => given.or(table),
        };
        let protection = given.choice("protection")?;
        let marked = given.flag("temp_rise_marked")?;
        if marked == Some(false) && motor.rise.is_some() {
            let why = "A rise is given and yet said not to be marked";
            return Err(Trouble::of("temp_rise_marked", why));
        }
        let (answer, working) = overload(&OverloadAsk {
            plate_amps: motor.plate_amps,
            service_factor: motor.service_factor,
            rise: motor.rise,
            marks_read: marked == Some(false) && motor.service_factor.is_some(),
            in_motor: protection.map(|word| word != "separate"),
            hp: motor.hp,
            table_amps,
            setting: read::amps(given, "setting_a")?,
        });
        let mut figure = Figure::new(working).with_some("flc_a", table_amps.map(num));
        if protection != Some("integral_thermal") {
            figure = figure
                .with("overload_pct", answer.percent.highest)
                .with("overload_step_up_pct", answer.percent.stepped_up)
                .with_some("overload_max_a", answer.amps.map(|(most, _)| num(most)))
                .with_some(
                    "overload_step_up_max_a",
                    answer.amps.map(|(_, most)| num(most)),
                );
        }
        if protection == Some("separate") {
            return Ok(figure);
        }
        Ok(figure
            .with_some(
                "ultimate_trip_pct",
                answer.protector.map(|(percent, _)| percent),
            )
            .with_some(
                "ultimate_trip_max_a",
                answer.protector.map(|(_, most)| num(most)),
            ))
    },
};

pub(super) const LOCKED_ROTOR: Topic = Topic {
    name: "locked_rotor",
    title: "Locked-rotor current",
    what: "Current of a stalled motor, from its code letter and from the table by horsepower.",
    subject: Subject::Circuit,
    wants: &[
        want("hp", "Power", Takes::Number).unit("hp"),
        want("kw", "Power", Takes::Number)
            .unit("kW")
            .note("in place of horsepower, at 0.746 kW"),
        want("letter", "Code letter", Takes::Text).note("A to V without I, O and Q"),
        want("volts", "Rated voltage, between lines", Takes::Number).unit("V"),
        read::PHASES,
        Want {
            note: "for motors that the tables do not list",
            ..read::NAMEPLATE
        },
        want(
            "use",
            "Figure of the letter's range",
            Takes::Choice(&[("max", "top"), ("mid", "middle"), ("min", "bottom")]),
        )
        .note("blank: the top, as in the code's equation"),
    ],
    answers: &[
        a(
            "lrc_a",
            "A",
            "current at the figure asked for; without a letter by table, else six times full load",
        ),
        a("kva", "kVA", "locked-rotor kVA at that figure"),
        a("lrc_max_a", "A", "at the top of the range; none for V"),
        a("lrc_mid_a", "A", "in the middle"),
        a("lrc_min_a", "A", "at the bottom"),
        a("kva_min", "kVA", "bottom of the range times power"),
        a("kva_max", "kVA", "top of the range times power"),
        a("kva_per_hp_min", "kVA/hp", "bottom of the range; 0 for A"),
        a("kva_per_hp_max", "kVA/hp", "top of the range"),
        a("table_lrc_a", "A", "by table 430.251, without a letter"),
        a(
            "six_times_flc_a",
            "A",
            "six times full load, where 430.251 does not list the motor",
        ),
        a("hp", "hp", "power"),
    ],
    run: |given| {
        let power = |name| read::between(given, name, 0.001, 100_000.0);
        let hp = match (power("hp")?, power("kw")?) {
            (Some(_), Some(_)) => {
                return Err(Trouble::of("kw", "Give horsepower or kilowatts, not both"));
            }
            (Some(hp), None) => Some(hp),
            (None, kw) => kw.map(|kw| kw / KW_PER_HP),
        };
        let letter = match given.text("letter")? {
            None => None,
            Some(text) => match text.chars().collect::<Vec<_>>().as_slice() {
                [letter] => Some(*letter),
                _ => return Err(Trouble::of("letter", "Give one letter, such as K")),
            },
        };
        let volts = read::volts(given, "volts")?;
        let supply = read::supply(given)?;
        if letter.is_none() {
            given.need("hp", hp)?;
            given.need("volts", volts)?;
            given.need("phases", supply)?;
        }
        let ask = LockedAsk {
            hp,
            volts,
            supply,
            plate_amps: read::amps(given, "nameplate_a")?,
            letter,
            using: match given.choice("use")? {
                Some("mid") => Use::Mid,
                Some("min") => Use::Min,
                _ => Use::Max,
            },
        };
        let (found, working) = locked(&ask).map_err(|why| {
            let field = match why {
                NoLocked::Letter => "letter",
                NoLocked::Figures => "hp",
            };
            Trouble::of(field, read::sentence(&why.to_string()))
        })?;
        let by = found.by_letter;
        let by_letter = by.and_then(|by| by.amps);
        // A letter that gives no current is not passed over for the table.
        let other = found
            .by_table
            .or(found.six_times)
            .filter(|_| by.is_none())
            .map(num);
        Ok(Figure::new(working)
            .with_some("hp", hp)
            .with_some("lrc_a", by_letter.or(other))
            .with_some("kva", by.and_then(|by| by.kva))
            .with_some("lrc_max_a", by.and_then(|by| by.max))
            .with_some("lrc_mid_a", by.and_then(|by| by.mid))
            .with_some("lrc_min_a", by.and_then(|by| by.min))
            .with_some("kva_per_hp_min", by.map(|by| by.range.0))
            .with_some("kva_per_hp_max", by.and_then(|by| by.range.1))
            .with_some("kva_min", by.and_then(|by| by.kva_range.0))
            .with_some("kva_max", by.and_then(|by| by.kva_range.1))
            .with_some("table_lrc_a", found.by_table.map(num))
            .with_some("six_times_flc_a", found.six_times.map(num)))
    },
};

pub(super) const DUTY: Topic = Topic {
    name: "duty_cycle",
    title: "Motor not in continuous duty",
    what: "Conductor ampacity of a motor in short-time, intermittent, periodic or varying service.",
    subject: Subject::Circuit,
    wants: &[
        want(
            "service",
            "Service",
            Takes::Choice(&[
                ("short_time", "short time"),
                ("intermittent", "intermittent"),
                ("periodic", "periodic"),
                ("varying", "varying"),
            ]),
        ),
        want(
            "rated_for",
            "Motor is rated for",
            Takes::Choice(&[
                ("5_min", "5 minutes"),
                ("15_min", "15 minutes"),
                ("30_or_60_min", "30 or 60 minutes"),
                ("continuous", "continuous"),
            ]),
        ),
        read::NAMEPLATE,
    ],
    answers: &[
        a("pct", "%", "of the plate current"),
        a(
            "min_conductor_ampacity_a",
            "A",
            "smallest conductor ampacity",
        ),
    ],
    run: |given| {
        let service = match given.need_choice("service")? {
            "short_time" => Service::ShortTime,
            "intermittent" => Service::Intermittent,
            "periodic" => Service::Periodic,
            _ => Service::Varying,
        };
        let rating = match given.need_choice("rated_for")? {
            "5_min" => TimeRating::Minutes5,
            "15_min" => TimeRating::Minutes15,
            "30_or_60_min" => TimeRating::Minutes30Or60,
            _ => TimeRating::Continuous,
        };
        let plate = given.need("nameplate_a", read::amps(given, "nameplate_a")?)?;
        let (percent, least, working) = duty_cycle(service, rating, plate).ok_or_else(|| {
            Trouble::of(
                "rated_for",
                "NEC 430.22(E) lists nothing for this service and rating",
            )
        })?;
        Ok(Figure::new(working)
            .with("pct", num(percent))
            .with("min_conductor_ampacity_a", num(least)))
    },
};
