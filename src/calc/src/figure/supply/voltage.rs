//! Topics `voltage_unbalance`, `voltage_tolerance`, `supply` and `nominal_voltage`.

use super::super::{Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::{answer, three, volts};
use crate::plate::{Field, Plate};
use crate::supply::nominal::{self, Point, Range};
use crate::supply::{self, SupplyInput};
use crate::units::{Hertz, Volts};
use crate::working::Working;

pub(super) const UNBALANCE: Topic = Topic {
    name: "voltage_unbalance",
    title: "Voltage unbalance",
    what: "Tells how far three line voltages are out of balance and how much power is left.",
    subject: Subject::Supply,
    wants: &[
        want("v", "Three line-to-line voltages", Takes::Numbers)
            .unit("V")
            .note("L1-L2, L2-L3, L3-L1, with the motor running"),
        want("power_hp", "Plate power", Takes::Number)
            .unit("hp")
            .note("for the power that may be used"),
        want("power_w", "Plate power", Takes::Number)
            .unit("W")
            .note("for the power that may be used"),
    ],
    answers: &[
        answer("average_v", "V", "mean of the three"),
        answer("max_deviation_v", "V", "largest distance from the mean"),
        answer("unbalance_pct", "%", "that distance over the mean"),
        answer(
            "derating_factor",
            "",
            "share of the plate power; none above 5 %",
        ),
        answer("may_run", "", "false above 5 %"),
        answer("usable_hp", "hp", "power that may be used"),
        answer("usable_w", "W", "power that may be used"),
    ],
    run: unbalance,
};

fn unbalance(given: &Given) -> Result<Figure, Trouble> {
    let three = three(given, "v")?;
    let (mean, percent) = supply::unbalance(three.map(Volts))
        .ok_or_else(|| Trouble::of("v", "Give three voltages below 1 000 000 000 V"))?;
    let factor = supply::derating(percent);
    let power = |name| Ok::<_, Trouble>(given.positive(name)?.zip(factor).map(|(p, f)| p * f));
    let mut working = Working::new("Voltage unbalance");
    working.cautions.push(supply::CAUTION.into());
    supply::judge_unbalance(&mut working, Some(3), &three);
    Ok(Figure::new(working)
        .with("average_v", mean.0)
        .with("max_deviation_v", percent * mean.0 / 100.0)
        .with("unbalance_pct", percent)
        .with_some("derating_factor", factor)
        .with("may_run", factor.is_some())
        .with_some("usable_hp", power("power_hp")?)
        .with_some("usable_w", power("power_w")?))
}

pub(super) const TOLERANCE: Topic = Topic {
    name: "voltage_tolerance",
    title: "Voltage and frequency tolerance",
    what: "Tells the voltage limits of a plate and whether a deviation of volts and hertz is allowed.",
    subject: Subject::Supply,
    wants: &[
        want("nameplate_v", "Plate voltage", Takes::Number).unit("V"),
        want("measured_v", "Measured voltage", Takes::Number).unit("V"),
        want("nameplate_hz", "Plate frequency", Takes::Number).unit("Hz"),
        want("measured_hz", "Measured frequency", Takes::Number).unit("Hz"),
        want("voltage_dev_pct", "Deviation of the voltage", Takes::Number)
            .unit("%")
            .note("of the plate; instead of the two voltages"),
        want(
            "frequency_dev_pct",
            "Deviation of the frequency",
            Takes::Number,
        )
        .unit("%")
        .note("of the plate; instead of the two frequencies"),
        want("source_v", "Voltage at the source", Takes::Number).unit("V"),
        want("total_drop_pct", "Voltage drop in all", Takes::Number)
            .unit("%")
            .note("of the source, 0 to 100"),
    ],
    answers: &[
        answer("min_v", "V", "lowest voltage of the plate"),
        answer("max_v", "V", "highest voltage of the plate"),
        answer("voltage_dev_pct", "%", "measured against plate"),
        answer("frequency_dev_pct", "%", "measured against plate"),
        answer("inside", "", "voltage alone within 10 %"),
        answer("sum_abs_pct", "%", "both deviations added without sign"),
        answer(
            "acceptable",
            "",
            "voltage, frequency and their sum within the limits",
        ),
        answer("iec_zone", "", "A, B or outside, IEC 60034-1; from memory"),
        answer("max_drop_v", "V", "volts lost at that drop"),
        answer("min_load_v", "V", "volts left at the load"),
    ],
    run: tolerance,
};

fn off(given: &Given, percent: &str, plate: &str, measured: &str) -> Result<Option<f64>, Trouble> {
    let given_percent = given.number(percent)?;
    let pair = given.positive(plate)?.zip(given.positive(measured)?);
    let computed = pair.and_then(|(plate, measured)| supply::deviation_percent(plate, measured));
    if given_percent.is_some() && computed.is_some() {
        return Err(Trouble::of(
            percent,
            "Give the deviation or the two figures, not both",
        ));
    }
    Ok(given_percent.or(computed))
}

/// Volts and hertz that a plate or a supply can have.
const BOUNDS: [(&str, f64, f64, &str); 5] = [
    ("nameplate_v", 1.0, 50_000.0, "Give volts from 1 to 50 000"),
    ("measured_v", 0.1, 50_000.0, "Give volts from 0.1 to 50 000"),
    ("source_v", 1.0, 50_000.0, "Give volts from 1 to 50 000"),
    ("nameplate_hz", 1.0, 1000.0, "Give hertz from 1 to 1000"),
    ("measured_hz", 0.1, 1000.0, "Give hertz from 0.1 to 1000"),
];

fn tolerance(given: &Given) -> Result<Figure, Trouble> {
    for (name, low, high, words) in BOUNDS {
        let value = given.positive(name)?;
        if value.is_some_and(|value| !(low..=high).contains(&value)) {
            return Err(Trouble::of(name, words));
        }
    }
    let plate = given.positive("nameplate_v")?;
    let by_volts = off(given, "voltage_dev_pct", "nameplate_v", "measured_v")?;
    let by_hertz = off(given, "frequency_dev_pct", "nameplate_hz", "measured_hz")?;
    let source = given.positive("source_v")?;
    let drop = given.not_negative("total_drop_pct")?;
    let asked = [plate, by_volts, by_hertz, source];
    if asked.iter().all(Option::is_none) {
        return Err(Trouble::of("nameplate_v", "Not given: Plate voltage"));
    }
    if drop.is_some_and(|drop| drop > 100.0) {
        return Err(Trouble::of("total_drop_pct", "Give 0 to 100"));
    }
    let mut working = supply::check_tolerance(plate.map(Volts), by_volts, by_hertz);
    working.cautions.push(supply::CAUTION.into());
    let both = by_volts.zip(by_hertz);
    let run = source.zip(drop);
    let zone_line = both.and_then(|(v, f)| nominal::zone_line(v, f));
    let drop_line = run.and_then(|(v, p)| nominal::drop_line(Volts(v), p));
    working.lines.extend(zone_line.into_iter().chain(drop_line));
    let limits = plate.and_then(|plate| supply::limits(Volts(plate)));
    let lost = run.and_then(|(v, p)| nominal::dropped(Volts(v), p));
    let measured = |name: &str, value: Option<f64>| value.filter(|_| !given.has(name));
    let figure = Figure::new(working)
        .with_some("min_v", limits.map(|(low, _)| low.0))
        .with_some("max_v", limits.map(|(_, high)| high.0))
        .with_some("voltage_dev_pct", measured("voltage_dev_pct", by_volts))
        .with_some("frequency_dev_pct", measured("frequency_dev_pct", by_hertz))
        .with_some("max_drop_v", lost.map(|(lost, _)| lost.0))
        .with_some("min_load_v", lost.map(|(_, left)| left.0));
    Ok(judged(figure, by_volts, by_hertz))
}

/// The judgements of the two deviations, as far as they are known.
fn judged(figure: Figure, by_volts: Option<f64>, by_hertz: Option<f64>) -> Figure {
    let both = by_volts.zip(by_hertz);
    let sum = both.and_then(|(v, f)| supply::combined(v, f));
    let inside = by_volts.map(|off| off.abs() <= 10.0 + 1e-6);
    // A deviation beyond its own limit is refused whatever the other is.
    let acceptable = match sum {
        Some((_, allowed)) => Some(allowed),
        None if inside == Some(false) => Some(false),
        None => by_hertz.filter(|off| off.abs() > 5.0 + 1e-6).map(|_| false),
    };
    let zone = both.and_then(|(v, f)| nominal::zone(v, f));
    let zone = zone.filter(|(_, sure)| *sure).map(|(zone, _)| zone.words());
    figure
        .with_some("inside", inside)
        .with_some("sum_abs_pct", sum.map(|(sum, _)| sum))
        .with_some("acceptable", acceptable)
        .with_some("iec_zone", zone)
}

pub(super) const SUPPLY: Topic = Topic {
    name: "supply",
    title: "Supply at the motor",
    what: "Judges measured volts and frequency against a motor's plate.",
    subject: Subject::Supply,
    wants: &[
        want("plate_v", "Plate voltages", Takes::Numbers)
            .unit("V")
            .note("such as 115 and 230"),
        want("plate_hz", "Plate frequencies", Takes::Numbers).unit("Hz"),
        want("phases", "Phases", Takes::Whole).note("1 or 3"),
        want("v", "Measured voltages", Takes::Numbers)
            .unit("V")
            .note("one on single phase, three line to line on three phases"),
        want("hz", "Measured frequency", Takes::Number).unit("Hz"),
    ],
    answers: &[
        answer("verdict", "", "the worst of the judgements"),
        answer("plate_v", "V", "plate voltage that belongs to this supply"),
        answer("min_v", "V", "lowest voltage of that plate"),
        answer("max_v", "V", "highest voltage of that plate"),
        answer("unbalance_pct", "%", "on three phases"),
    ],
    run: supply_at,
};

fn supply_at(given: &Given) -> Result<Figure, Trouble> {
    let phases = match given.whole("phases")? {
        None => None,
        Some(1) => Some(1),
        Some(3) => Some(3),
        Some(_) => return Err(Trouble::of("phases", "Give 1 or 3")),
    };
    let mut plate = Plate::default();
    if let Some(values) = given.numbers("plate_v")? {
        plate.volts = Field::read(volts(&values));
    }
    if let Some(values) = given.numbers("plate_hz")? {
        plate.frequency = Field::read(values.into_iter().map(Hertz).collect());
    }
    let measured = given.numbers("v")?;
    let input = SupplyInput {
        phases,
        volts: measured.as_deref().map(volts),
        frequency: given.positive("hz")?.map(Hertz),
    };
    let working = supply::check(&plate, &input);
    let first = measured.as_ref().and_then(|values| values.first().copied());
    let at = first.and_then(|v| supply::plate_at(&plate, Volts(v)));
    let limits = at.and_then(|at| supply::limits(at.volts));
    let three = measured.and_then(|values| <[f64; 3]>::try_from(values).ok());
    let unbalance = three
        .filter(|_| phases == Some(3))
        .and_then(|three| supply::unbalance(three.map(Volts)));
    let verdict = working.verdict().map(|verdict| verdict.words());
    Ok(Figure::new(working)
        .with_some("verdict", verdict)
        .with_some("plate_v", at.map(|at| at.volts.0))
        .with_some("min_v", limits.map(|(low, _)| low.0))
        .with_some("max_v", limits.map(|(_, high)| high.0))
        .with_some("unbalance_pct", unbalance.map(|(_, percent)| percent)))
}

const POINT: Want = want(
    "measured_at",
    "Where it was measured",
    Takes::Choice(&[
        ("service", "At the service"),
        ("load_with_lighting", "At the load, lighting on the circuit"),
        ("load", "At the load, no lighting"),
    ]),
);

pub(super) const NOMINAL: Topic = Topic {
    name: "nominal_voltage",
    title: "Nominal voltage",
    what: "Tells the plate voltage that belongs to a nominal voltage, and the limits about it.",
    subject: Subject::Supply,
    wants: &[
        want("nominal_v", "Nominal voltage of the system", Takes::Number)
            .unit("V")
            .note("120, 208, 240, 480, 600, 2400, 4160; 230 and 400 by IEC"),
        want("phases", "Phases", Takes::Whole).note("1 or 3; for the plate voltage"),
        want("measured_v", "Measured voltage", Takes::Number).unit("V"),
        POINT,
    ],
    answers: &[
        answer("nameplate_v", "V", "plate voltage for it"),
        answer("ratio_nameplate_to_nominal", "", "plate over nominal"),
        answer("range_a_service_min_v", "V", "normal range, at the service"),
        answer("range_a_service_max_v", "V", "normal range, at the service"),
        answer(
            "range_a_utilization_min_lighting_v",
            "V",
            "normal range, load with lighting",
        ),
        answer(
            "range_a_utilization_min_no_lighting_v",
            "V",
            "normal range, load without lighting",
        ),
        answer(
            "range_a_utilization_max_v",
            "V",
            "normal range, at the load",
        ),
        answer(
            "range_b_service_min_v",
            "V",
            "for a short time, at the service",
        ),
        answer(
            "range_b_service_max_v",
            "V",
            "for a short time, at the service",
        ),
        answer(
            "range_b_utilization_min_lighting_v",
            "V",
            "for a short time, with lighting",
        ),
        answer(
            "range_b_utilization_min_no_lighting_v",
            "V",
            "for a short time, without lighting",
        ),
        answer(
            "range_b_utilization_max_v",
            "V",
            "for a short time, at the load",
        ),
        answer("iec_min_v", "V", "lowest supply, IEC 60038"),
        answer("iec_max_v", "V", "highest supply, IEC 60038"),
        answer("iec_tolerance_pct", "%", "IEC 60038"),
        answer("verdict", "", "of the measured voltage"),
    ],
    run: nominal_voltage,
};

fn nominal_voltage(given: &Given) -> Result<Figure, Trouble> {
    let nominal = Volts(given.need_positive("nominal_v")?);
    let phases = given
        .whole("phases")?
        .and_then(|phases| u8::try_from(phases).ok());
    let measured = given.positive("measured_v")?.map(Volts);
    let point = given.choice("measured_at")?.map(|word| match word {
        "service" => Point::Service,
        "load" => Point::Load,
        _ => Point::LoadWithLighting,
    });
    let plate = phases.and_then(|phases| supply::nameplate_for(phases, nominal));
    let ranges = nominal::ranges(nominal);
    let (to_neutral, between) = nominal::IEC_NOMINAL;
    let iec = [to_neutral, between].contains(&nominal);
    if plate.is_none() && ranges.is_none() && !iec {
        let trouble = "Not a nominal voltage of the tables; give the phases for 2400 and 4160 V";
        return Err(Trouble::of("nominal_v", trouble));
    }
    let working = nominal::check(nominal, plate, point, measured);
    let verdict = working.verdict().map(|verdict| verdict.words());
    let ratio = plate.map(|plate| plate.0 / nominal.0);
    let mut figure = Figure::new(working)
        .with_some("nameplate_v", plate.map(|plate| plate.0))
        .with_some("ratio_nameplate_to_nominal", ratio)
        .with_some("verdict", verdict);
    if let Some((a, b)) = ranges {
        figure = range_answers(range_answers(figure, "range_a", &a), "range_b", &b);
    }
    if iec {
        figure = figure
            .with("iec_min_v", nominal.0 * 90.0 / 100.0)
            .with("iec_max_v", nominal.0 * 110.0 / 100.0)
            .with("iec_tolerance_pct", 100.0 * nominal::IEC_TOLERANCE);
    }
    Ok(figure)
}

fn range_answers(mut figure: Figure, name: &str, range: &Range) -> Figure {
    for (limit, volts) in [
        ("service_min", range.service_min),
        ("service_max", range.service_max),
        ("utilization_min_lighting", range.load_min_lighting),
        ("utilization_min_no_lighting", range.load_min),
        ("utilization_max", range.load_max),
    ] {
        figure = figure.with(&format!("{name}_{limit}_v"), volts);
    }
    figure
}
