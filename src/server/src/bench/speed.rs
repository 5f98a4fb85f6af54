//! What a plate says about poles and slip, and where motor and fan settle.

use super::{Calculation, Part, line, missing, plate};
use crate::form::FieldErrors;
use crate::measure::{self, figure, power_words};
use crate::rows::{Ask, Reader, Takes, Typed, hinted};
use crate::shop::{Shop, Units};
use calc::motor::{
    FullLoad, Load, poles_from_plate_speed, running_speed, shaft_torque, slip, synchronous_speed,
};
use calc::plate::Plate;
use calc::units::{NewtonMetres, Rpm, Watts};
use calc::working::{Verdict, Working};

pub static CALC: Calculation = Calculation {
    name: "speed",
    title: "Running speed",
    what: "Poles, slip and torque from a plate, and the speed at which motor and fan or pump settle.",
    parts,
    work,
};

const PLATE: &[&str] = &["power", "frequency", "speeds", "motor_type"];
const LOAD: &[Ask] = &[
    hinted(
        "load_power",
        "Shaft power taken",
        Takes::Power,
        "Measured on the fan or pump",
    ),
    hinted(
        "load_at",
        "At motor speed",
        Takes::Number("rpm"),
        "When it was measured",
    ),
];

fn parts() -> Vec<Part> {
    vec![
        Part::plate("Motor, from its plate", "", PLATE),
        Part::new("Fan or pump it drives", "", true, LOAD),
    ]
}

fn work(typed: &Typed, shop: &Shop) -> Result<Vec<Working>, FieldErrors> {
    let mut errors = FieldErrors::default();
    let motor = plate(typed, "", shop.units, &mut errors);
    let mut reader = Reader { typed, errors };
    let power = reader.known("load_power", |text| measure::power(text, shop.units));
    let at = reader.known("load_at", |text| {
        measure::amount(text, &["rpm"], "Enter a speed, as 1075").map(Rpm)
    });
    reader.errors.or(())?;
    Ok(vec![working(&motor, power, at, shop.units)])
}

fn working(motor: &Plate, load: Option<Watts>, at: Option<Rpm>, units: Units) -> Working {
    let mut out = Working::new("Running speed");
    let speed = motor
        .speeds
        .value()
        .and_then(|speeds| speeds.first().copied());
    let hertz = motor
        .frequency
        .value()
        .and_then(|f| if f.len() == 1 { f.first() } else { None });
    let (Some(kind), Some(speed), Some(hertz)) = (motor.motor_type.value(), speed, hertz) else {
        out.missing.push(missing(
            "Type, one frequency and full-load speed of the motor",
            "Poles and slip follow from them.",
            "Read the plate; with two frequencies on it, type the one of the supply.",
        ));
        return out;
    };
    let synchronous = poles_from_plate_speed(*kind, speed, *hertz)
        .and_then(|poles| Ok((poles, synchronous_speed(*hertz, poles)?)));
    let (poles, synchronous) = match synchronous {
        Ok(found) => found,
        Err(cause) => {
            out.missing.push(calc::working::Missing {
                what: "Poles of the motor".into(),
                why: format!("They cannot be told from this plate: {cause}.").into(),
                how: "Read plate and frequency again.".into(),
            });
            return out;
        }
    };
    let rule = "largest even p with 120 f / p above the plate speed";
    out.lines.push(line(
        "Poles",
        poles.to_string(),
        "",
        rule,
        "common practice",
    ));
    let field = figure(synchronous.0, 0);
    out.lines.push(line(
        "Synchronous speed",
        field,
        "rpm",
        "120 f / p",
        "derivation",
    ));
    if let Ok(slip) = slip(synchronous, speed) {
        let value = figure(100.0 * slip, 2);
        out.lines.push(line(
            "Slip at full load",
            value,
            "%",
            "(ns - n) / ns",
            "definition",
        ));
    }
    let Some(power) = motor.power.value().copied() else {
        let how = "Read the plate; amps do not tell it.";
        out.missing.push(missing(
            "Plate power",
            "Torque and load follow from it.",
            how,
        ));
        return out;
    };
    if let Ok(torque) = shaft_torque(power, speed) {
        let value = torque_words(torque, units);
        out.lines.push(line(
            "Full-load torque",
            value,
            "",
            "60 P / (2 pi n)",
            "definition",
        ));
    }
    let (Some(load), Some(at)) = (load, at) else {
        out.missing.push(missing(
            "Shaft power taken, and the speed at which it was measured",
            "Without a load there is no running speed.",
            "Measure input watts and speed, and take off the motor's losses.",
        ));
        return out;
    };
    settle(
        &mut out,
        FullLoad {
            power,
            speed,
            synchronous,
        },
        Load { power: load, at },
        units,
    );
    out
}

fn torque_words(torque: NewtonMetres, units: Units) -> String {
    match units {
        Units::Us => format!("{} lb ft", figure(torque.0 / 1.355_818, 2)),
        Units::Si => format!("{} N m", figure(torque.0, 2)),
    }
}

fn settle(out: &mut Working, motor: FullLoad, load: Load, units: Units) {
    let Ok(run) = running_speed(motor, load) else {
        out.missing.push(missing(
            "A plate speed below the synchronous one",
            "Motor and load cannot be balanced.",
            "Read the plate again.",
        ));
        return;
    };
    let rule = "torque balance T_FL (ns - n)/(ns - n_FL) = T0 (n/n0)^2";
    let source = "common practice";
    let mut speed = line("Running speed", figure(run.speed.0, 0), "rpm", rule, source);
    speed.margin = format!("{:+.1} % on the measured", 100.0 * (run.speed_ratio - 1.0)).into();
    out.lines.push(speed);
    let taken = power_words(run.power, units);
    out.lines.push(line(
        "Shaft power there",
        taken,
        "",
        "r^3",
        "fan laws, AMCA 201",
    ));
    let share = figure(100.0 * run.load_fraction, 1);
    let mut loaded = line(
        "Load of the motor",
        share,
        "%",
        "shaft power over plate power",
        source,
    );
    loaded.limit = "100".into();
    loaded.margin = format!("{:+.1} %", 100.0 * (1.0 - run.load_fraction)).into();
    // Plates round; half a percent is no overload.
    let over = run.load_fraction > 1.005;
    loaded.verdict = Some(if over {
        Verdict::Beyond
    } else {
        Verdict::Within
    });
    if over {
        loaded.note =
            "Loaded beyond its plate power: take a larger motor or slow the wheel.".into();
    }
    out.lines.push(loaded);
    if !run.valid {
        let caution = "Load above 1.3 of the plate: the true speed is lower than shown.";
        out.cautions.push(caution.into());
    }
    out.cautions.push(
        "Fair for three-phase and split-phase motors, rough for permanent split capacitor, poor \
         for shaded pole: measure with a tachometer."
            .into(),
    );
}
