//! Topics: the system curve, and the power in the air.

use super::answer;
use super::sheet::{FLOW, POWER, PRESSURE, Sheet, VELOCITY};
use crate::fan::system::{
    SystemCurve, air_power, efficiency, judge_efficiency, shaft_power, velocity_pressure,
    velocity_pressure_standard_inwg,
};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::shown::{Fill, ask, line};
use crate::units::{M_S_PER_FPM, MetresPerSecond, Watts};

pub(super) const SYSTEM_CURVE: Topic = Topic {
    name: "system_curve",
    title: "System curve",
    what: "Pressure that a duct system takes at another flow, or flow at another pressure.",
    subject: Subject::FanAndDrive,
    wants: CURVE_WANTS,
    answers: CURVE_ANSWERS,
    run: system_curve,
};

const CURVE_WANTS: &[Want] = &[
    want("flow_m3_s", "Known flow", Takes::Number).unit("m³/s"),
    want("flow_cfm", "Known flow, in cfm", Takes::Number).unit("cfm"),
    want("pressure_pa", "Pressure at the known flow", Takes::Number).unit("Pa"),
    want(
        "pressure_inwg",
        "Pressure at the known flow, in inches",
        Takes::Number,
    )
    .unit("inwg"),
    want(
        "fixed_pressure_pa",
        "Part that stays whatever the flow",
        Takes::Number,
    )
    .unit("Pa")
    .note("a static pressure held by dampers, a stack; blank or 0 for a plain duct"),
    want(
        "fixed_pressure_inwg",
        "Part that stays, in inches",
        Takes::Number,
    )
    .unit("inwg"),
    want("new_flow_m3_s", "New flow", Takes::Number)
        .unit("m³/s")
        .note("new flow or new pressure"),
    want("new_flow_cfm", "New flow, in cfm", Takes::Number).unit("cfm"),
    want("new_pressure_pa", "New pressure", Takes::Number).unit("Pa"),
    want(
        "new_pressure_inwg",
        "New pressure, in inches",
        Takes::Number,
    )
    .unit("inwg"),
];

const CURVE_ANSWERS: &[Answer] = &[
    answer("pressure_at_new_flow_pa", "Pa", "pressure at the new flow"),
    answer("pressure_at_new_flow_inwg", "inwg", "the same"),
    answer(
        "flow_at_new_pressure_m3_s",
        "m³/s",
        "flow at the new pressure",
    ),
    answer("flow_at_new_pressure_cfm", "cfm", "the same"),
];

fn system_curve(given: &Given) -> Result<Figure, Trouble> {
    let flow = FLOW.need(given, "flow")?;
    let pressure = PRESSURE.need(given, "pressure")?;
    let fixed = PRESSURE.read(given, "fixed_pressure")?;
    let new_flow = FLOW.read(given, "new_flow")?;
    let new_pressure = PRESSURE.read(given, "new_pressure")?;
    if new_flow.is_none() && new_pressure.is_none() {
        given.need("new_flow_m3_s", new_flow)?;
    }
    // A plain duct has no fixed part; a caution says so where none was given.
    let curve = SystemCurve::through(flow, pressure, fixed.unwrap_or(0.0)).ok_or_else(|| {
        Trouble::of(
            "fixed_pressure_pa",
            "The fixed part cannot be above the pressure at the known flow",
        )
    })?;
    let mut sheet = Sheet::new("System curve");
    tell_curve(&mut sheet, &curve, new_flow, new_pressure)?;
    if fixed.is_none() {
        sheet.caution("No fixed part was given, so all pressure is taken to go with the square of the flow. Where dampers hold a static pressure, or a stack draws, give that part: the answer changes.");
    }
    sheet.caution(
        "The system must stay as it is: dampers, filters and doors as at the known point.",
    );
    sheet.done()
}

fn tell_curve(
    sheet: &mut Sheet,
    curve: &SystemCurve,
    new_flow: Option<f64>,
    new_pressure: Option<f64>,
) -> Result<(), Trouble> {
    let source = "system curve, AMCA 201";
    if let Some(at) = new_flow {
        let shown = line("pressure_at_new_flow", "Pressure at the new flow")
            .rule("P = Pf + (P1 - Pf)(Q/Q1)^2", source);
        let pressure = curve
            .pressure(at)
            .ok_or_else(|| Trouble::of("new_flow_m3_s", "Give a flow of zero or above"))?;
        sheet.quantity(shown, PRESSURE, pressure);
    }
    if let Some(at) = new_pressure {
        let shown = line("flow_at_new_pressure", "Flow at the new pressure")
            .rule("Q = Q1 sqrt((P - Pf)/(P1 - Pf))", source);
        let flow = curve.flow(at).ok_or_else(|| {
            Trouble::of("new_pressure_pa", "Nothing flows: the pressure must be above the fixed part, and part of it must move with the flow")
        })?;
        sheet.quantity(shown, FLOW, flow);
    }
    Ok(())
}

pub(super) const AIR_POWER: Topic = Topic {
    name: "air_power",
    title: "Air power and fan efficiency",
    what: "Power in the moved air, efficiency or shaft power of the fan, and velocity pressure.",
    subject: Subject::FanAndDrive,
    wants: POWER_WANTS,
    answers: POWER_ANSWERS,
    run: run_air_power,
};

const POWER_WANTS: &[Want] = &[
    want("flow_m3_s", "Flow", Takes::Number).unit("m³/s"),
    want("flow_cfm", "Flow, in cfm", Takes::Number).unit("cfm"),
    want("pressure_pa", "Pressure of the fan", Takes::Number)
        .unit("Pa")
        .note("total gives total efficiency, static gives static efficiency; below 3 kPa"),
    want(
        "pressure_inwg",
        "Pressure of the fan, in inches",
        Takes::Number,
    )
    .unit("inwg")
    .note("conventional water, 249.089 Pa"),
    want("shaft_power_w", "Shaft power", Takes::Number)
        .unit("W")
        .note("for the efficiency"),
    want("shaft_power_hp", "Shaft power, in hp", Takes::Number).unit("hp"),
    want("efficiency_percent", "Efficiency of the fan", Takes::Number)
        .unit("%")
        .note("above 0 to 100; for the shaft power, where that is not given"),
    want("velocity_m_s", "Velocity of the air", Takes::Number)
        .unit("m/s")
        .note("for the velocity pressure"),
    want(
        "velocity_fpm",
        "Velocity of the air, in ft/min",
        Takes::Number,
    )
    .unit("ft/min"),
    want("density_kg_m3", "Air density", Takes::Number)
        .unit("kg/m³")
        .note("see air_density"),
];

const POWER_ANSWERS: &[Answer] = &[
    answer("air_power_w", "W", "power in the air"),
    answer("air_power_hp", "hp", "the same"),
    answer("fan_efficiency_percent", "%", "air power over shaft power"),
    answer(
        "needed_shaft_power_w",
        "W",
        "shaft power at the given efficiency",
    ),
    answer("needed_shaft_power_hp", "hp", "the same"),
    answer("velocity_pressure_pa", "Pa", "velocity pressure"),
    answer("velocity_pressure_inwg", "inwg", "the same"),
    answer(
        "velocity_pressure_standard_inwg",
        "inwg",
        "by the trade's (V/4005)^2, standard air",
    ),
];

fn run_air_power(given: &Given) -> Result<Figure, Trouble> {
    let flow = FLOW.positive(given, "flow")?;
    let pressure = PRESSURE.positive(given, "pressure")?;
    let velocity = VELOCITY.read(given, "velocity")?;
    if velocity.is_none() || flow.is_some() || pressure.is_some() {
        given.need("flow_m3_s", flow)?;
        given.need("pressure_pa", pressure)?;
    }
    let mut sheet = Sheet::new("Air power and fan efficiency");
    if let (Some(flow), Some(pressure)) = (flow, pressure) {
        powers(&mut sheet, given, flow, pressure)?;
    }
    if let Some(velocity) = velocity {
        velocities(&mut sheet, given, velocity)?;
    }
    sheet.done()
}

fn powers(sheet: &mut Sheet, given: &Given, flow: f64, pressure: f64) -> Result<(), Trouble> {
    let range = || Trouble::new("No power comes out of these numbers: check them");
    let air = air_power(flow, pressure).ok_or_else(range)?;
    let shown = line("air_power", "Power in the air")
        .rule("W = Q P", "definition, AMCA 201")
        .note("In cfm and inwg it is Q P/6343 hp, with water of 249.089 Pa an inch; 6350 and 6356 are in print too and give up to 0.2 % less.");
    sheet.quantity(shown, POWER, air.0);
    let shaft = POWER.positive(given, "shaft_power")?.map(Watts);
    let wanted = given.positive("efficiency_percent")?;
    if wanted.is_some_and(|percent| percent > 100.0) {
        return Err(Trouble::of(
            "efficiency_percent",
            "Give an efficiency above 0 and up to 100 %",
        ));
    }
    if let Some(shaft) = shaft {
        let share = efficiency(air, shaft).ok_or_else(range)?;
        sheet.number("fan_efficiency_percent", 100.0 * share);
        sheet.working().lines.push(judge_efficiency(share));
    } else if wanted.is_none() {
        ask(
            sheet.working(),
            line("fan_efficiency_percent", "Fan efficiency"),
            "shaft power, or the efficiency",
            "one follows from the other",
            "measure volts, amps and power factor of the motor, or read the fan's curve",
        );
    }
    if let Some(percent) = wanted {
        let needed = shaft_power(air, percent / 100.0).ok_or_else(range)?;
        let shown = line("needed_shaft_power", "Shaft power at this efficiency")
            .rule("air power / efficiency", "definition");
        sheet.quantity(shown, POWER, needed.0);
    }
    Ok(())
}

fn velocities(sheet: &mut Sheet, given: &Given, velocity: f64) -> Result<(), Trouble> {
    let shown = line("velocity_pressure", "Velocity pressure").rule("rho v^2/2", "definition");
    match given.positive("density_kg_m3")? {
        Some(density) => {
            let range = || Trouble::of("velocity_m_s", "Give a velocity of zero or above");
            let pressure =
                velocity_pressure(density, MetresPerSecond(velocity)).ok_or_else(range)?;
            sheet.quantity(shown, PRESSURE, pressure);
        }
        None => ask(
            sheet.working(),
            shown,
            "air density",
            "velocity pressure goes with it",
            "work it out from temperature and altitude under air density",
        ),
    }
    if let Some(standard) = velocity_pressure_standard_inwg(velocity / M_S_PER_FPM) {
        let shown = line(
            "velocity_pressure_standard_inwg",
            "Velocity pressure in standard air",
        )
        .rule(
            "(V/4005)^2, V in ft/min",
            "common practice, air of 0.075 lb/ft³",
        );
        sheet.tell(shown, standard, 5, "inwg");
    }
    Ok(())
}
