//! Topics. Motors on their own: speed, torque, rotation, frames and shaft ends.

mod frames;

use super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::motor::{
    FullLoad, Load, MotorError, VALID_LOAD, at_shaft_end, opposite, plate_speed_tolerance,
    poles_from_plate_speed, rotation_mark, running_speed, shaft_torque, slip, synchronous_speed,
};
use crate::plate::{Direction, MotorType, SeenFrom};
use crate::shown::{Fill, figure, line};
use crate::units::{Hertz, Rpm, Watts};
use crate::working::{Line, Missing, Working};

const LB_FT: f64 = 1.355_817_948;

const TYPES: Takes = Takes::Choice(&[
    ("shaded_pole", "shaded pole"),
    ("split_phase", "split phase"),
    ("psc", "permanent split capacitor"),
    ("capacitor_start", "capacitor start"),
    (
        "capacitor_start_capacitor_run",
        "capacitor start, capacitor run",
    ),
    ("three_phase", "three-phase"),
    ("ecm", "electronically commutated"),
    ("dc", "direct current"),
]);

fn motor_type(given: &Given) -> Result<Option<MotorType>, Trouble> {
    Ok(given.choice("motor_type")?.map(|word| match word {
        "shaded_pole" => MotorType::ShadedPole,
        "split_phase" => MotorType::SplitPhase,
        "psc" => MotorType::PermanentSplitCapacitor,
        "capacitor_start" => MotorType::CapacitorStart,
        "capacitor_start_capacitor_run" => MotorType::CapacitorStartCapacitorRun,
        "three_phase" => MotorType::ThreePhaseInduction,
        "ecm" => MotorType::ElectronicallyCommutated,
        _ => MotorType::DirectCurrent,
    }))
}

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

pub(super) static TOPICS: &[Topic] = &[
    Topic {
        name: "motor_speed",
        title: "Poles and slip",
        what: "Poles, synchronous speed, slip and plate tolerance from a plate speed and frequency.",
        subject: Subject::Motor,
        wants: &[
            want("frequency_hz", "Frequency", Takes::Number).unit("Hz"),
            want("speed_rpm", "Plate speed of the highest tap", Takes::Number).unit("rpm"),
            want("motor_type", "Type", TYPES).note("needed to tell poles from a speed"),
            want("poles", "Poles", Takes::Whole).note("2 to 48, where they are known"),
        ],
        answers: &[
            answer("poles", "", "pole count"),
            answer("synchronous_speed_rpm", "rpm", "speed of the field"),
            answer("slip_rpm", "rpm", "synchronous less plate speed"),
            answer("slip_percent", "%", "slip over synchronous speed"),
            answer(
                "tolerance_rpm",
                "rpm",
                "20 % of slip: plate speeds this near are one",
            ),
        ],
        run: motor_speed,
    },
    Topic {
        name: "running_speed",
        title: "Running speed",
        what: "Where a motor and a fan or pump of known shaft power settle, by torque balance.",
        subject: Subject::Motor,
        wants: RUNNING,
        answers: &[
            answer("running_speed_rpm", "rpm", "speed at which they settle"),
            answer("flow_ratio", "", "flow over that at the known load"),
            answer("pressure_ratio", "", "pressure over that at the known load"),
            answer("power_ratio", "", "shaft power over the known load"),
            answer("shaft_power_w", "W", "shaft power there"),
            answer("shaft_power_hp", "hp", "shaft power there"),
            answer("load_fraction", "", "shaft power over plate power"),
            answer(
                "valid",
                "",
                "false above 1.3 of the plate: the true speed is lower",
            ),
        ],
        run: running,
    },
    Topic {
        name: "shaft_torque",
        title: "Shaft torque",
        what: "Torque at a shaft from its power and speed.",
        subject: Subject::Motor,
        wants: &[
            want("power_w", "Power", Takes::Number)
                .unit("W")
                .note("or power_hp"),
            want("power_hp", "Power", Takes::Number)
                .unit("hp")
                .note("1/4, 7 1/2"),
            want("speed_rpm", "Speed", Takes::Number).unit("rpm"),
        ],
        answers: &[
            answer("torque_n_m", "N m", "torque"),
            answer("torque_lb_ft", "lb ft", "torque"),
            answer("torque_oz_in", "oz in", "torque"),
        ],
        run: torque,
    },
    Topic {
        name: "rotation",
        title: "Rotation mark",
        what: "A plate's rotation mark, seen from the shaft end.",
        subject: Subject::Motor,
        wants: &[want("marking", "Mark on the plate", Takes::Text)
            .note("CWSE, CCW LE, CW OLE, CWSE REV, CW/CCW")],
        answers: &[
            answer(
                "at_shaft_end",
                "",
                "clockwise or counter-clockwise; not answered where no end is stated",
            ),
            answer("at_lead_end", "", "the same, seen from the other end"),
            answer("reversible", "", "can be reversed by reconnection"),
        ],
        run: rotation,
    },
    frames::FRAME,
    frames::SHAFT_SEAT,
];

static RUNNING: &[Want] = &[
    want("motor_power_w", "Motor's plate power", Takes::Number)
        .unit("W")
        .note("or motor_power_hp"),
    want("motor_power_hp", "Motor's plate power", Takes::Number).unit("hp"),
    want("motor_speed_rpm", "Motor's plate speed", Takes::Number).unit("rpm"),
    want("synchronous_speed_rpm", "Synchronous speed", Takes::Number)
        .unit("rpm")
        .note("or frequency_hz and motor_type"),
    want("frequency_hz", "Frequency", Takes::Number).unit("Hz"),
    want("motor_type", "Type", TYPES),
    want("load_power_w", "Shaft power taken", Takes::Number)
        .unit("W")
        .note("or load_power_hp"),
    want("load_power_hp", "Shaft power taken", Takes::Number).unit("hp"),
    want(
        "load_speed_rpm",
        "Motor speed at which it is taken",
        Takes::Number,
    )
    .unit("rpm"),
];

fn refused(field: &str) -> impl Fn(MotorError) -> Trouble {
    move |cause| Trouble::of(field, format!("Cannot be used: {cause}"))
}

/// Power in watts from the field in watts or the one in horsepower.
fn power(given: &Given, watts: &str, hp: &str) -> Result<Watts, Trouble> {
    match (given.positive(watts)?, given.positive(hp)?) {
        (Some(_), Some(_)) => Err(Trouble::of(hp, "Given in two units: leave one out")),
        (w, h) => given.need(watts, w.map(Watts).or(h.map(Watts::from_hp))),
    }
}

fn shown(
    key: &'static str,
    label: &'static str,
    value: f64,
    places: usize,
    unit: &'static str,
) -> Line {
    line(key, label).value(figure(value, places), unit)
}

fn motor_speed(given: &Given) -> Result<Figure, Trouble> {
    let hertz = Hertz(given.need_positive("frequency_hz")?);
    let speed = given.positive("speed_rpm")?.map(Rpm);
    let kind = motor_type(given)?;
    let mut out = Figure::new(Working::new("Poles and slip"));
    let stated = given.whole("poles")?;
    let poles = match (stated, speed, kind) {
        (Some(poles), ..) => u32::try_from(poles).unwrap_or(u32::MAX),
        (None, Some(speed), Some(kind)) => {
            poles_from_plate_speed(kind, speed, hertz).map_err(refused("speed_rpm"))?
        }
        (None, Some(_), None) => {
            out.working.missing.push(Missing {
                what: "Type of the motor".into(),
                why: "Only an induction motor's speed tells its poles.".into(),
                how: "Look for capacitor, start switch, shading rings or electronics.".into(),
            });
            return Ok(out);
        }
        (None, None, _) => return given.need("speed_rpm", None),
    };
    let synchronous = synchronous_speed(hertz, poles).map_err(refused("poles"))?;
    let rule = "largest even p with 120 f / p above the plate speed";
    let rows = &mut out.working.lines;
    rows.push(
        line("poles", "Poles")
            .value(poles.to_string(), "")
            .rule(rule, "common practice"),
    );
    rows.push(
        shown(
            "synchronous_speed_rpm",
            "Synchronous speed",
            synchronous.0,
            2,
            "rpm",
        )
        .rule("120 f / p", "one turn a pole pair and cycle"),
    );
    out = out
        .with("poles", poles)
        .with("synchronous_speed_rpm", synchronous.0);
    let Some(speed) = speed else {
        return Ok(out);
    };
    let share = slip(synchronous, speed).map_err(refused("speed_rpm"))?;
    let tolerance = plate_speed_tolerance(synchronous, speed).map_err(refused("speed_rpm"))?;
    let rows = &mut out.working.lines;
    rows.push(
        shown("slip_percent", "Slip", 100.0 * share, 2, "%").rule("(ns - n) / ns", "definition"),
    );
    rows.push(
        shown(
            "tolerance_rpm",
            "Tolerance of a plate speed",
            tolerance.0,
            1,
            "rpm",
        )
        .rule("20 % of slip", "NEMA MG 1 12.46 (value from memory)"),
    );
    Ok(out
        .with("slip_rpm", synchronous.0 - speed.0)
        .with("slip_percent", 100.0 * share)
        .with("tolerance_rpm", tolerance.0))
}

fn synchronous(given: &Given, speed: Rpm) -> Result<Rpm, Trouble> {
    if let Some(stated) = given.positive("synchronous_speed_rpm")? {
        return Ok(Rpm(stated));
    }
    let hertz = given.positive("frequency_hz")?.map(Hertz);
    let (Some(hertz), Some(kind)) = (hertz, motor_type(given)?) else {
        return given.need("synchronous_speed_rpm", None);
    };
    poles_from_plate_speed(kind, speed, hertz)
        .and_then(|poles| synchronous_speed(hertz, poles))
        .map_err(refused("motor_speed_rpm"))
}

fn running(given: &Given) -> Result<Figure, Trouble> {
    let speed = Rpm(given.need_positive("motor_speed_rpm")?);
    let motor = FullLoad {
        power: power(given, "motor_power_w", "motor_power_hp")?,
        speed,
        synchronous: synchronous(given, speed)?,
    };
    let load = Load {
        power: power(given, "load_power_w", "load_power_hp")?,
        at: Rpm(given.need_positive("load_speed_rpm")?),
    };
    let run = running_speed(motor, load).map_err(refused("motor_speed_rpm"))?;
    let mut working = Working::new("Running speed");
    let rule = "torque balance T_FL (ns - n)/(ns - n_FL) = T0 (n/n0)^2";
    working.lines = vec![
        shown("running_speed_rpm", "Running speed", run.speed.0, 1, "rpm")
            .rule(rule, "common practice"),
        shown("flow_ratio", "Flow, times", run.speed_ratio, 4, "")
            .rule("n / n0", "fan laws, AMCA 201"),
        shown("shaft_power_w", "Shaft power there", run.power.0, 1, "W")
            .rule("P0 (n / n0)^3", "fan laws, AMCA 201"),
        shown(
            "load_fraction",
            "Load over plate power",
            run.load_fraction,
            3,
            "",
        )
        .limit(figure(VALID_LOAD, 1))
        .rule("straight-line slip holds to 1.3", "common practice"),
    ];
    working.cautions.push(
        "Fair for three-phase and split-phase, rough for permanent split capacitor, poor for \
         shaded pole: measure with a tachometer."
            .into(),
    );
    if run.load_fraction > 1.0 {
        working
            .cautions
            .push("The motor is loaded beyond its plate power.".into());
    }
    Ok(Figure::new(working)
        .with("running_speed_rpm", run.speed.0)
        .with("flow_ratio", run.speed_ratio)
        .with("pressure_ratio", run.speed_ratio.powi(2))
        .with("power_ratio", run.speed_ratio.powi(3))
        .with("shaft_power_w", run.power.0)
        .with("shaft_power_hp", run.power.hp())
        .with("load_fraction", run.load_fraction)
        .with("valid", run.valid))
}

fn torque(given: &Given) -> Result<Figure, Trouble> {
    let watts = power(given, "power_w", "power_hp")?;
    let speed = Rpm(given.need_positive("speed_rpm")?);
    let torque = shaft_torque(watts, speed).map_err(refused("speed_rpm"))?.0;
    let mut working = Working::new("Shaft torque");
    working.lines.push(
        shown("torque_n_m", "Torque", torque, 3, "N m")
            .rule("60 P / (2 pi n)", "definition of power"),
    );
    Ok(Figure::new(working)
        .with("torque_n_m", torque)
        .with("torque_lb_ft", torque / LB_FT)
        .with("torque_oz_in", torque / LB_FT * 192.0))
}

fn rotation(given: &Given) -> Result<Figure, Trouble> {
    let mark = given.need_text("marking")?;
    let rotation = rotation_mark(&mark).map_err(refused("marking"))?;
    let words = |direction| match direction {
        Direction::Clockwise => "clockwise",
        Direction::CounterClockwise => "counter-clockwise",
    };
    let mut working = Working::new("Rotation mark");
    let at = at_shaft_end(rotation);
    let row = line("at_shaft_end", "Seen from the shaft end")
        .value(at.map_or("not stated", words), "")
        .rule("lead end turned round", "geometry; NEMA MG 1 marks");
    working.lines.push(row);
    if rotation.seen_from == SeenFrom::NotStated {
        working.missing.push(Missing {
            what: "End from which the rotation is seen".into(),
            why: "A bare direction may mean either end.".into(),
            how: "Ask the supplier, or run it on the bench.".into(),
        });
    }
    Ok(Figure::new(working)
        .with_some("at_shaft_end", at.map(words))
        .with_some("at_lead_end", at.map(|at| words(opposite(at))))
        .with("reversible", rotation.reversible))
}
