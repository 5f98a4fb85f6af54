//! What changes at the machine with this motor: speed, flow, pressure, power, load, amps.

use super::Need;
use super::known::{Facts, opt};
use super::say::{amps, change, hp, short};
use crate::fan::speed_change;
use crate::installation::Drive;
use crate::motor::Running;
use crate::plate::Plate;
use crate::units::Rpm;
use crate::working::{Line, Missing, Text, Verdict, Working};

const BALANCE: &str = "torque balance T_FL (ns - n)/(ns - n_FL) = T0 (n/n0)^2";
const LAWS: &str = "fan laws: r, r^2, r^3 with the speed ratio r";

fn line(
    key: &'static str,
    label: &'static str,
    value: String,
    unit: &'static str,
    rule: &'static str,
) -> Line {
    let source = if rule == LAWS {
        "AMCA 201"
    } else {
        "common practice"
    };
    Line {
        key: key.into(),
        label: label.into(),
        value: value.into(),
        unit: unit.into(),
        rule: rule.into(),
        source: source.into(),
        ..Line::default()
    }
}

/// A line that shows the change alone until an absolute figure is known.
fn changed(key: &'static str, label: &'static str, ratio: f64) -> Line {
    Line {
        margin: change(ratio).into(),
        ..line(key, label, change(ratio), "", LAWS)
    }
}

fn missing(what: &'static str, why: &'static str, how: &'static str) -> Missing {
    Missing {
        what: what.into(),
        why: why.into(),
        how: how.into(),
    }
}

/// What changes with this motor: running speed, flow, pressure, shaft power, load, amps.
///
/// By torque balance (see [`crate::motor::running_speed`]) where the shaft power and the speed of its measuring
/// are known, else by the ratio of the plate speeds. On a belt the sheaves are taken as they are.
/// Valid for fans and pumps on a fixed system, and for a load fraction up to 1.3. Lines judge
/// nothing, except that a motor loaded beyond its plate power is `DoNotFit`, as it is by
/// [`super::judge`]. No errors: what
/// cannot be worked out is listed as missing. Source: fan laws, AMCA 201; torque balance, common
/// practice.
pub fn changes(need: &Need, candidate: &Plate) -> Working {
    let f = Facts::new(need, candidate);
    let mut out = Working::new("What changes with this motor");
    let run = f.settled();
    let by = if run.is_some() {
        BALANCE
    } else {
        "ratio of the plate speeds"
    };
    // The old motor settled where its load was measured, else near its plate speed.
    let before = match run {
        Some(_) => opt(f.driven.shaft_power_at),
        None => f.old_speed,
    };
    let after = run.map(|run| run.speed.0).or(f.new_speed);
    let Some((before, after)) = before.zip(after) else {
        out.missing.push(missing(
            "Speeds of the old motor and the candidate",
            "Every change follows from the ratio of the speeds.",
            "Read both plates, or measure the old speed with a tachometer.",
        ));
        return out;
    };
    let Ok(ratios) = speed_change(Rpm(before), Rpm(after)) else {
        return out;
    };
    let mut speed = line("running_speed", "Running speed", short(after, 0), "rpm", by);
    speed.margin = change(ratios.flow).into();
    speed.note = format!("was {} rpm", short(before, 0)).into();
    if let (Some(limit), true) = (
        opt(f.driven.wheel_limit),
        f.driven.drive != Some(Drive::Belt),
    ) {
        speed.limit = format!("wheel {}", short(limit, 0)).into();
    }
    out.lines.push(speed);
    if f.driven.drive == Some(Drive::Belt)
        && let Some(driven) = opt(f.driven.driven_speed)
    {
        let value = short(driven * ratios.flow, 0);
        let mut fan = line(
            "driven_speed",
            "Driven speed",
            value,
            "rpm",
            "n2 = n1 d / D",
        );
        fan.note = "with the sheaves as they are".into();
        out.lines.push(fan);
    }
    let mut flow = changed("flow", "Flow", ratios.flow);
    if let Some(q) = opt(f.driven.flow_m3_s) {
        let new = q * ratios.flow;
        flow.value = short(new, 3).into();
        flow.unit = "m³/s".into();
        flow.note = format!("{} cfm", short(new * 2118.880, 0)).into();
    }
    out.lines.push(flow);
    out.lines
        .push(changed("pressure", "Pressure", ratios.pressure));
    power_lines(&f, ratios.power, run, &mut out);
    if let Some(new) = f.amps(f.new) {
        let mut line = line("amps", "Plate amps", amps(new), "A", "plate");
        line.source = "plate".into();
        line.note = "Amps are not power: no comparison across motor types.".into();
        if let (Some(old), true) = (f.amps(f.old), f.old_type == f.new_type) {
            line.margin = change(new / old).into();
            line.note = Text::default();
        }
        out.lines.push(line);
    }
    if run.is_some_and(|run| !run.valid) {
        out.cautions
            .push("Load above 1.3 of the plate: the true speed is lower than shown.".into());
    }
    out
}

/// Whether [`changes`] could find the motor loaded beyond its plate; makes no text. `false` is
/// certain, `true` is to be asked there.
pub fn may_overload(need: &Need, candidate: &Plate) -> bool {
    beyond_plate(&Facts::new(need, candidate))
}

fn beyond_plate(f: &Facts) -> bool {
    // Plates round; half a percent is no overload, nor is a speed within the plate's tolerance. On a
    // belt the sheaves shown here are the old ones, and the fit names the new.
    let follows = matches!(f.driven.drive, Some(Drive::Direct | Drive::Coupled));
    let need = f.taken().zip(f.new_power);
    follows && need.is_some_and(|(need, power)| need > power * 1.005)
}

fn power_lines(f: &Facts, ratio: f64, run: Option<Running>, out: &mut Working) {
    let mut power = changed("shaft_power", "Shaft power", ratio);
    let from_plates = || {
        let at = opt(f.driven.shaft_power_at)?;
        Some(f.load? * (f.new_speed? / at).powi(3))
    };
    let taken = run.map(|run| run.power.0).or_else(from_plates);
    if let Some(watts) = taken {
        power.value = short(watts, 0).into();
        power.unit = "W".into();
        power.note = hp(watts).into();
    } else {
        out.missing.push(missing(
            "Measured shaft power, and the speed at which it was measured",
            "Load and running speed of the new motor follow from it.",
            "Measure input watts and speed with the old motor, and take off the losses.",
        ));
    }
    out.lines.push(power);
    let Some((watts, plate)) = taken.zip(f.new_power) else {
        return;
    };
    let fraction = watts / plate;
    let mut load = line(
        "load",
        "Load of the new motor",
        short(100.0 * fraction, 1),
        "%",
        LAWS,
    );
    load.limit = "100".into();
    load.margin = format!("{:+.1} %", 100.0 * (1.0 - fraction)).into();
    if beyond_plate(f) {
        load.verdict = Some(Verdict::DoNotFit);
        load.note = "Loaded beyond its plate power.".into();
    }
    out.lines.push(load);
}
