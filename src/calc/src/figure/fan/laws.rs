//! Topics: another speed, and the fan laws with wheel and density.

use super::answer;
use super::sheet::{FLOW, LENGTH, POWER, PRESSURE, Quantity, Sheet, VELOCITY, refused};
use crate::fan::speed::{Limits, SERVICE_FACTORS, judge_change, judge_now, ratio_for_power};
use crate::fan::{FanPoint, fan_laws, speed_change, tip_speed};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::shown::{Fill, line};
use crate::units::{Millimetres, Rpm, Watts};

const SOURCE: &str = "fan laws, AMCA 201";

pub(super) const FAN_SPEED: Topic = Topic {
    name: "fan_speed",
    title: "Fan at another speed",
    what: "What another speed does to flow, pressure, shaft power and tip speed, held against motor and wheel.",
    subject: Subject::FanAndDrive,
    wants: SPEED_WANTS,
    answers: SPEED_ANSWERS,
    run: fan_speed,
};

const SPEED_WANTS: &[Want] = &[
    want("speed_rpm", "Fan speed now", Takes::Number).unit("rpm"),
    want("new_speed_rpm", "New fan speed", Takes::Number)
        .unit("rpm")
        .note("blank where only the tip speed, or the speed that the motor allows, is asked"),
    want("flow_m3_s", "Flow now", Takes::Number).unit("m³/s"),
    want("flow_cfm", "Flow now, in cfm", Takes::Number)
        .unit("cfm")
        .note("instead of m³/s"),
    want("pressure_pa", "Pressure now", Takes::Number)
        .unit("Pa")
        .note("static or total; the answer is of the same kind"),
    want("pressure_inwg", "Pressure now, in inches", Takes::Number)
        .unit("inwg")
        .note("instead of Pa"),
    want("power_w", "Shaft power now", Takes::Number).unit("W"),
    want("power_hp", "Shaft power now, in hp", Takes::Number)
        .unit("hp")
        .note("instead of W"),
    want("diameter_mm", "Wheel diameter", Takes::Number).unit("mm"),
    want("diameter_in", "Wheel diameter, in inches", Takes::Number)
        .unit("in")
        .note("instead of mm"),
    want("motor_power_w", "Rated power of the motor", Takes::Number).unit("W"),
    want(
        "motor_power_hp",
        "Rated power of the motor, in hp",
        Takes::Number,
    )
    .unit("hp")
    .note("instead of W"),
    want(
        "service_factor",
        "Service factor of the motor",
        Takes::Number,
    )
    .note("from the plate, 1.0 to 1.5; blank counts on none"),
    want(
        "wheel_limit_rpm",
        "Highest speed of the wheel",
        Takes::Number,
    )
    .unit("rpm")
    .note("from the fan's plate or data sheet"),
];

const SPEED_ANSWERS: &[Answer] = &[
    answer("flow_ratio", "", "new flow over old"),
    answer("pressure_ratio", "", "new pressure over old"),
    answer("power_ratio", "", "new shaft power over old"),
    answer("flow_change_percent", "%", "change of flow"),
    answer("pressure_change_percent", "%", "change of pressure"),
    answer("power_change_percent", "%", "change of shaft power"),
    answer("new_flow_m3_s", "m³/s", "flow at the new speed"),
    answer("new_flow_cfm", "cfm", "the same"),
    answer("new_pressure_pa", "Pa", "pressure at the new speed"),
    answer("new_pressure_inwg", "inwg", "the same"),
    answer("new_power_w", "W", "shaft power at the new speed"),
    answer("new_power_hp", "hp", "the same"),
    answer("tip_speed_m_s", "m/s", "rim of the wheel now"),
    answer("tip_speed_fpm", "ft/min", "the same"),
    answer("new_tip_speed_m_s", "m/s", "rim at the new speed"),
    answer("new_tip_speed_fpm", "ft/min", "the same"),
    answer(
        "highest_speed_rpm",
        "rpm",
        "speed at which the motor's rated power is used up",
    ),
    answer("highest_flow_m3_s", "m³/s", "flow at that speed"),
    answer("highest_flow_cfm", "cfm", "the same"),
    answer("highest_ratio", "", "that speed over the speed now"),
];

fn fan_speed(given: &Given) -> Result<Figure, Trouble> {
    let from = Rpm(given.need_positive("speed_rpm")?);
    let to = given.positive("new_speed_rpm")?.map(Rpm);
    let power = POWER.positive(given, "power")?.map(Watts);
    let limits = Limits {
        motor: POWER.positive(given, "motor_power")?.map(Watts),
        service_factor: service_factor(given)?,
        wheel: given.positive("wheel_limit_rpm")?.map(Rpm),
    };
    let diameter = LENGTH.positive(given, "diameter")?;
    if to.is_none() && diameter.is_none() && power.zip(limits.motor).is_none() {
        given.need("new_speed_rpm", to)?;
    }
    let mut sheet = Sheet::new("Fan at another speed");
    if let Some(to) = to {
        changes(&mut sheet, given, from, to)?;
    }
    tips(&mut sheet, given, from, to)?;
    if let (Some(power), Some(motor)) = (power, limits.motor) {
        highest(
            &mut sheet,
            given,
            from,
            ratio_for_power(power, motor).map_err(refused)?,
        )?;
    }
    if let Some(to) = to {
        let new_power = match power {
            Some(power) => {
                let ratio = speed_change(from, to).map_err(refused)?.power;
                Some(Watts(power.0 * ratio))
            }
            None => None,
        };
        judge_change(sheet.working(), (from, power), (to, new_power), &limits);
    } else {
        judge_now(sheet.working(), power, &limits);
    }
    cautions(&mut sheet);
    sheet.done()
}

fn service_factor(given: &Given) -> Result<Option<f64>, Trouble> {
    match given.positive("service_factor")? {
        Some(factor) if !SERVICE_FACTORS.contains(&factor) => Err(Trouble::of(
            "service_factor",
            "Give the service factor of the plate, 1.0 to 1.5",
        )),
        read => Ok(read),
    }
}

fn cautions(sheet: &mut Sheet) {
    sheet.caution("The same fan at the same point of its curve on the same fixed system. A system that holds a pressure does not follow these laws.");
    sheet.caution("Never run a wheel above the speed it is made for, and measure the motor's amps after every change.");
    sheet.caution(
        "Lock out and wait until the wheel stands before sheaves, motor or wheel are touched.",
    );
}

fn changes(sheet: &mut Sheet, given: &Given, from: Rpm, to: Rpm) -> Result<(), Trouble> {
    let ratio = speed_change(from, to).map_err(refused)?;
    let laws: [Law; 3] = [
        ("flow", "Flow", "r = n2/n1", ratio.flow, FLOW),
        ("pressure", "Pressure", "r^2", ratio.pressure, PRESSURE),
        ("power", "Shaft power", "r^3", ratio.power, POWER),
    ];
    for law in laws {
        tell_law(sheet, given, law)?;
    }
    Ok(())
}

/// Stem of the field, words, rule, ratio, and what it is measured in.
type Law = (&'static str, &'static str, &'static str, f64, Quantity);

fn tell_law(sheet: &mut Sheet, given: &Given, law: Law) -> Result<(), Trouble> {
    let (stem, label, rule, ratio, quantity) = law;
    let change = 100.0 * (ratio - 1.0);
    sheet.number(format!("{stem}_ratio"), ratio);
    sheet.number(format!("{stem}_change_percent"), change);
    let key = match stem {
        "flow" => "new_flow",
        "pressure" => "new_pressure",
        _ => "new_power",
    };
    let shown = line(key, label)
        .rule(rule, SOURCE)
        .margin(format!("{change:+.2} %"));
    match quantity.positive(given, stem)? {
        Some(now) => sheet.quantity(shown, quantity, now * ratio),
        None => {
            let times = format!("{} times", crate::shown::figure(ratio, 5));
            sheet.working().lines.push(shown.value(times, ""));
        }
    }
    Ok(())
}

fn tips(sheet: &mut Sheet, given: &Given, from: Rpm, to: Option<Rpm>) -> Result<(), Trouble> {
    let Some(diameter) = LENGTH.positive(given, "diameter")?.map(Millimetres) else {
        return Ok(());
    };
    let mut tell = |key, label, speed| -> Result<(), Trouble> {
        let rim = tip_speed(diameter, speed).map_err(refused)?;
        sheet.quantity(line(key, label).rule("pi D n", "geometry"), VELOCITY, rim.0);
        Ok(())
    };
    tell("tip_speed", "Tip speed now", from)?;
    match to {
        Some(to) => tell("new_tip_speed", "Tip speed at the new speed", to),
        None => Ok(()),
    }
}

fn highest(sheet: &mut Sheet, given: &Given, from: Rpm, ratio: f64) -> Result<(), Trouble> {
    let rule = "(motor power / shaft power)^(1/3)";
    sheet.number("highest_ratio", ratio);
    let shown = line("highest_speed_rpm", "Speed at the motor's rated power")
        .rule(rule, SOURCE)
        .note("The wheel's own limit may be lower.");
    sheet.tell(shown, from.0 * ratio, 1, "rpm");
    if let Some(flow) = FLOW.positive(given, "flow")? {
        let shown = line("highest_flow", "Flow at that speed").rule(rule, SOURCE);
        sheet.quantity(shown, FLOW, flow * ratio);
    }
    Ok(())
}

pub(super) const FAN_LAW: Topic = Topic {
    name: "fan_law",
    title: "Fan laws",
    what: "Flow, pressure and shaft power of a similar fan at another speed, wheel diameter or air density.",
    subject: Subject::FanAndDrive,
    wants: LAW_WANTS,
    answers: LAW_ANSWERS,
    run: fan_law,
};

const LAW_WANTS: &[Want] = &[
    want("speed_rpm", "Speed now", Takes::Number)
        .unit("rpm")
        .note("both speeds, or neither where it stays"),
    want("new_speed_rpm", "New speed", Takes::Number).unit("rpm"),
    want("diameter_mm", "Wheel diameter now", Takes::Number)
        .unit("mm")
        .note("both wheels, or neither where it stays; similar fans only"),
    want(
        "diameter_in",
        "Wheel diameter now, in inches",
        Takes::Number,
    )
    .unit("in"),
    want("new_diameter_mm", "New wheel diameter", Takes::Number).unit("mm"),
    want(
        "new_diameter_in",
        "New wheel diameter, in inches",
        Takes::Number,
    )
    .unit("in"),
    want("density_kg_m3", "Air density now", Takes::Number)
        .unit("kg/m³")
        .note("both densities, or neither where it stays; see air_density"),
    want("new_density_kg_m3", "New air density", Takes::Number).unit("kg/m³"),
    want("flow_m3_s", "Flow now", Takes::Number).unit("m³/s"),
    want("flow_cfm", "Flow now, in cfm", Takes::Number).unit("cfm"),
    want("pressure_pa", "Pressure now", Takes::Number).unit("Pa"),
    want("pressure_inwg", "Pressure now, in inches", Takes::Number).unit("inwg"),
    want("power_w", "Shaft power now", Takes::Number).unit("W"),
    want("power_hp", "Shaft power now, in hp", Takes::Number).unit("hp"),
];

const LAW_ANSWERS: &[Answer] = &[
    answer("flow_ratio", "", "new flow over old"),
    answer("pressure_ratio", "", "new pressure over old"),
    answer("power_ratio", "", "new shaft power over old"),
    answer("flow_change_percent", "%", "change of flow"),
    answer("pressure_change_percent", "%", "change of pressure"),
    answer("power_change_percent", "%", "change of shaft power"),
    answer("new_flow_m3_s", "m³/s", "new flow"),
    answer("new_flow_cfm", "cfm", "the same"),
    answer("new_pressure_pa", "Pa", "new pressure"),
    answer("new_pressure_inwg", "inwg", "the same"),
    answer("new_power_w", "W", "new shaft power"),
    answer("new_power_hp", "hp", "the same"),
];

fn fan_law(given: &Given) -> Result<Figure, Trouble> {
    let (ratio, wheel) = similar_fan(given)?;
    let mut sheet = Sheet::new("Fan laws");
    let laws: [Law; 3] = [
        ("flow", "Flow", "n D^3", ratio.flow_m3_s, FLOW),
        (
            "pressure",
            "Pressure",
            "n^2 D^2 rho",
            ratio.pressure_pa,
            PRESSURE,
        ),
        ("power", "Shaft power", "n^3 D^5 rho", ratio.power.0, POWER),
    ];
    for law in laws {
        tell_law(&mut sheet, given, law)?;
    }
    cautions(&mut sheet);
    if wheel {
        sheet.caution("The wheel's diameter counts only between fans alike in every proportion; it does not hold for cut or changed blades.");
    }
    sheet.done()
}

/// What a flow, a pressure and a power of one become, and whether the wheel changed.
fn similar_fan(given: &Given) -> Result<(FanPoint, bool), Trouble> {
    let read = |name: &str| given.positive(name);
    let speed = pair(
        given,
        "new_speed_rpm",
        read("speed_rpm")?,
        read("new_speed_rpm")?,
    )?;
    let (now, new) = (
        LENGTH.positive(given, "diameter")?,
        LENGTH.positive(given, "new_diameter")?,
    );
    let wheel = pair(given, "new_diameter_mm", now, new)?;
    let (now, new) = (read("density_kg_m3")?, read("new_density_kg_m3")?);
    let air = pair(given, "new_density_kg_m3", now, new)?;
    if speed.is_none() && wheel.is_none() && air.is_none() {
        return Err(Trouble::new(
            "Give both speeds, both wheel diameters or both densities; what is not given stays",
        ));
    }
    // What stays has the ratio one, whatever its figure.
    let stays = (1.0, 1.0);
    let (n1, n2) = speed.unwrap_or(stays);
    let (d1, d2) = wheel.unwrap_or(stays);
    let (rho1, rho2) = air.unwrap_or(stays);
    let one = FanPoint {
        flow_m3_s: 1.0,
        pressure_pa: 1.0,
        power: Watts(1.0),
        speed: Rpm(n1),
        diameter: Millimetres(d1),
        density_kg_m3: rho1,
    };
    let ratio = fan_laws(&one, Rpm(n2), Millimetres(d2), rho2).map_err(refused)?;
    Ok((ratio, wheel.is_some()))
}

/// Both, or neither.
fn pair(
    given: &Given,
    new_name: &str,
    now: Option<f64>,
    new: Option<f64>,
) -> Result<Option<(f64, f64)>, Trouble> {
    match (now, new) {
        (None, None) => Ok(None),
        (Some(now), new) => Ok(Some((now, given.need(new_name, new)?))),
        (None, Some(_)) => {
            let name = new_name.trim_start_matches("new_");
            given.need(name, None::<f64>)?;
            Ok(None)
        }
    }
}
