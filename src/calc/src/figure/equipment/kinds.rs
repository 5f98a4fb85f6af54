//! Topics `motor_kind`, `service_factor` and `thermal_protector`.

use super::super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, want};
use super::json;
use crate::circuit::overload::{overload_max, overload_percent, protector_max};
use crate::kinds::{self, Protector};
use crate::shown::{Fill, exact, figure as shown, line};
use crate::units::Celsius;
use crate::working::Working;
use rust_decimal::Decimal;

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

const KINDS: Takes = Takes::Choice(&[
    ("shaded_pole", "Shaded pole"),
    ("permanent_split_capacitor", "Permanent split capacitor"),
    ("split_phase", "Split phase"),
    ("capacitor_start", "Capacitor start"),
    (
        "capacitor_start_capacitor_run",
        "Capacitor start, capacitor run",
    ),
    ("three_phase_design_b", "Three phase, Design B"),
    ("three_phase_design_c", "Three phase, Design C"),
    ("three_phase_design_d", "Three phase, Design D"),
    ("electronically_commutated", "Electronically commutated"),
    ("universal", "Universal, with brushes"),
]);

pub(super) const MOTOR_KIND: Topic = Topic {
    name: "motor_kind",
    title: "Kind of motor: start and speed control",
    what: "Tells the starting torque of a kind of motor and which speed control it stands.",
    subject: Subject::Motor,
    wants: &[want("motor_type", "Kind of motor", KINDS)],
    answers: &[
        answer(
            "torque_min_percent",
            "%",
            "lowest locked-rotor torque, of full load",
        ),
        answer(
            "torque_max_percent",
            "%",
            "highest locked-rotor torque, of full load",
        ),
        answer("starting_current", "", "in words"),
        answer("usual_load", "", "what it usually drives"),
        answer("taps", "", "several taps: yes, no or a condition"),
        answer("voltage_control", "", "solid-state or voltage control"),
        answer("series_capacitor", "", "series capacitor"),
        answer("frequency_drive", "", "frequency drive"),
        answer("why", "", "why, in words"),
    ],
    run: motor_kind,
};

fn motor_kind(given: &Given) -> Result<Figure, Trouble> {
    let name = given.need_choice("motor_type")?;
    let row = kinds::kind(name)
        .ok_or_else(|| Trouble::of("motor_type", "Nothing is known of this kind"))?;
    let known = |text: &String| (!text.is_empty()).then(|| text.clone());
    let mut figure = Figure::new(kinds::check(row))
        .with_some("torque_min_percent", row.torque.map(|(least, _)| least))
        .with_some("torque_max_percent", row.torque.map(|(_, most)| most))
        .with_some("starting_current", known(&row.current))
        .with_some("usual_load", known(&row.load))
        .with("why", row.reason.clone());
    for ((key, _), said) in kinds::CONTROLS.into_iter().zip(&row.control) {
        figure = figure.with(key, said.clone());
    }
    Ok(figure)
}

pub(super) const SERVICE_FACTOR: Topic = Topic {
    name: "service_factor",
    title: "Standard service factor",
    what: "Tells the standard service factor of a general-purpose motor by power and speed.",
    subject: Subject::Motor,
    wants: &[
        want("power_hp", "Power", Takes::Number)
            .unit("hp")
            .note("1/20 to 200, such as 1/3"),
        want(
            "synchronous_rpm",
            "Synchronous speed at 60 Hz",
            Takes::Number,
        )
        .unit("rpm")
        .note("3600, 1800, 1200 or 900; not needed where enclosed"),
        want("totally_enclosed", "Totally enclosed", Takes::Flag),
    ],
    answers: &[
        answer(
            "service_factor",
            "",
            "share of the plate power, from the table",
        ),
        answer("service_power_hp", "hp", "power times service factor"),
    ],
    run: service_factor,
};

fn service_factor(given: &Given) -> Result<Figure, Trouble> {
    let hp = given.need_positive("power_hp")?;
    let enclosed = given.need("totally_enclosed", given.flag("totally_enclosed")?)?;
    let speed = match enclosed {
        true => 0.0,
        false => given.need_positive("synchronous_rpm")?,
    };
    let factor = kinds::service_factor(hp, speed, enclosed).ok_or_else(|| {
        Trouble::new("The table holds 1/20 to 200 hp at 3600 (to 125 hp), 1800, 1200 and 900 rpm")
    })?;
    let mut working = Working::new("Standard service factor");
    working.cautions.push(
        "The plate of the motor decides. Running on its service factor shortens its life.".into(),
    );
    working.lines.push(
        line("service_factor", "Service factor")
            .value(shown(factor, 2), "")
            .rule(
                "by power and speed; totally enclosed 1.0",
                "NEMA MG 1 12.51",
            ),
    );
    Ok(Figure::new(working)
        .with("service_factor", factor)
        .with("service_power_hp", hp * factor))
}

pub(super) const THERMAL_PROTECTOR: Topic = Topic {
    name: "thermal_protector",
    title: "Motor protector and overload limits",
    what: "Tells what a motor's protector does, and how high overload protection may act.",
    subject: Subject::Motor,
    wants: &[
        want(
            "protector",
            "Protector in the motor",
            Takes::Choice(&[
                ("none", "None"),
                ("automatic", "Resets by itself"),
                ("manual", "Reset by hand"),
                ("impedance", "Impedance protected"),
                ("thermostat", "Pilot thermostat"),
                ("thermistor", "Thermistor"),
                ("cut_off", "Cut-off, opens once"),
            ]),
        ),
        want(
            "restart_can_hurt",
            "A restart can hurt somebody",
            Takes::Flag,
        ),
        want("table_a", "Table current of the motor", Takes::Number)
            .unit("A")
            .note("NEC 430.248 or 430.250; for the protector's limit"),
        want("plate_a", "Plate current", Takes::Number)
            .unit("A")
            .note("for a separate device"),
        want("service_factor", "Marked service factor", Takes::Number)
            .note("blank: taken as not marked, the lower limit"),
        want("rise_c", "Marked temperature rise", Takes::Number)
            .unit("°C")
            .note("blank: taken as not marked, the lower limit"),
    ],
    answers: &[
        answer("restarts_by_itself", "", "the motor can start after a trip"),
        answer("needs_contactor", "", "it opens a control circuit only"),
        answer("needs_overload_device", "", "the controller must carry one"),
        answer("opens_once", "", "it is used up by one trip"),
        answer(
            "protector_max_a",
            "A",
            "highest ultimate trip of a protector, over 1 hp",
        ),
        answer("protector_max_percent", "%", "of the table current"),
        answer(
            "overload_percent",
            "%",
            "of the plate current, for a separate device",
        ),
        answer(
            "overload_stepped_up_percent",
            "%",
            "only where it will not start on the first",
        ),
        answer(
            "overload_max_a",
            "A",
            "highest setting of a separate device",
        ),
        answer(
            "overload_stepped_up_max_a",
            "A",
            "only where it will not start on the first",
        ),
    ],
    run: thermal_protector,
};

fn thermal_protector(given: &Given) -> Result<Figure, Trouble> {
    let protector = match given.need_choice("protector")? {
        "none" => Protector::Nothing,
        "automatic" => Protector::Automatic,
        "manual" => Protector::Manual,
        "impedance" => Protector::Impedance,
        "thermostat" => Protector::Thermostat,
        "thermistor" => Protector::Thermistor,
        _ => Protector::CutOff,
    };
    let says = kinds::protects(protector);
    let mut working = kinds::check_protector(protector, given.flag("restart_can_hurt")?);
    working.cautions.push(crate::circuit::CAUTION.into());
    let figure = Figure::new(working)
        .with("restarts_by_itself", says.restarts_by_itself)
        .with("needs_contactor", says.needs_contactor)
        .with("needs_overload_device", says.needs_overload_device)
        .with("opens_once", says.opens_once);
    separate_device(given, ultimate_trip(given, figure)?)
}

/// How high the protector inside may finally act.
fn ultimate_trip(given: &Given, mut figure: Figure) -> Result<Figure, Trouble> {
    let Some(table) = given.decimal("table_a")?.filter(|amps| !amps.is_zero()) else {
        return Ok(figure);
    };
    let limit = protector_max(table);
    figure.working.lines.push(
        line("protector", "Protector, at most")
            .value(exact(limit), "A")
            .rule("170, 156 or 140 % of the table current", "NEC 430.32(A)(2)"),
    );
    let share = limit.checked_div(table).unwrap_or_default() * Decimal::ONE_HUNDRED;
    Ok(figure
        .with("protector_max_a", json(limit))
        .with("protector_max_percent", json(share.round_dp(6))))
}

/// How high a separate device may be set.
fn separate_device(given: &Given, mut figure: Figure) -> Result<Figure, Trouble> {
    let rise = given.positive("rise_c")?.map(Celsius);
    let percent = overload_percent(given.positive("service_factor")?, rise);
    let plate = given.decimal("plate_a")?.filter(|amps| !amps.is_zero());
    let set = plate.map(|amps| overload_max(amps, percent.highest));
    let stepped = plate.map(|amps| overload_max(amps, percent.stepped_up));
    if let (Some(set), Some(stepped)) = (set, stepped) {
        let more = format!(
            "{} A only where it will not start, 430.32(C)",
            exact(stepped)
        );
        figure.working.lines.push(
            line("setting", "Separate device, at most")
                .value(exact(set), "A")
                .rule("125 or 115 % of the plate current", "NEC 430.32(A)(1)")
                .note(more),
        );
    }
    Ok(figure
        .with("overload_percent", percent.highest)
        .with("overload_stepped_up_percent", percent.stepped_up)
        .with_some("overload_max_a", set.map(json))
        .with_some("overload_stepped_up_max_a", stepped.map(json)))
}
