//! Topic. Vibration of a fan, a machine or a bare motor against its limits.

use super::answer;
use crate::figure::{Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::units::{Millimetres, MillimetresPerSecond, Rpm, Watts};
use crate::vibration::{
    self, Application, Category, JudgedAs, Measure, MotorBasis, Stage, Support, Velocity,
    VelocityUnit, VibrationInput,
};

type Words = &'static [(&'static str, &'static str)];

pub(super) const CATEGORIES: Words = &[
    ("BV-1", "BV-1"),
    ("BV-2", "BV-2"),
    ("BV-3", "BV-3"),
    ("BV-4", "BV-4"),
    ("BV-5", "BV-5"),
];
pub(super) const APPLICATIONS: Words = &[
    ("residential", "Dwelling: ceiling, attic, window units"),
    (
        "building",
        "Building ventilation and air conditioning, farm",
    ),
    ("industrial", "Industrial process, power generation"),
    ("transport", "Transport and marine"),
    ("tunnel", "Transit, tunnel, garage"),
    ("jet_fan", "Tunnel jet fan"),
    ("petrochemical", "Petrochemical"),
    ("clean_room", "Clean room, chip making"),
];
const UNITS: Words = &[("mm_s", "mm/s"), ("in_s", "in/s")];
const MEASURES: Words = &[("rms", "R.m.s."), ("peak", "Peak")];
const SUPPORTS: Words = &[
    ("rigid", "Rigid: on a stiff base"),
    ("flexible", "Flexible: on springs or rubbers"),
];
const STAGES: Words = &[
    ("works_test", "Test at the works"),
    ("start_up", "Start-up on site"),
    ("alarm", "Alarm"),
    ("shutdown", "Shutdown"),
];
const JUDGED_AS: Words = &[
    ("fan", "Fan, ISO 14694"),
    ("machine", "Machine by class, ISO 10816-1"),
    (
        "industrial_machine",
        "Industrial machine above 15 kW, ISO 10816-3",
    ),
    ("bare_motor", "Motor by itself, not coupled"),
];
const CLASSES: Words = &[
    ("class_1", "ISO 10816-1 class I"),
    ("class_2", "ISO 10816-1 class II"),
    ("class_3", "ISO 10816-1 class III"),
    ("class_4", "ISO 10816-1 class IV"),
    ("group_2_rigid", "ISO 10816-3 group 2, rigid"),
    ("group_2_flexible", "ISO 10816-3 group 2, flexible"),
    ("group_1_rigid", "ISO 10816-3 group 1, rigid"),
    ("group_1_flexible", "ISO 10816-3 group 1, flexible"),
];
const BASES: Words = &[
    ("iec_a_free", "IEC 60034-14 grade A, free"),
    ("iec_a_rigid", "IEC 60034-14 grade A, rigid"),
    ("iec_b_free", "IEC 60034-14 grade B, free"),
    ("iec_b_rigid", "IEC 60034-14 grade B, rigid"),
    ("nema_resilient", "NEMA MG 1 Part 7, resilient mount"),
    ("nema_rigid", "NEMA MG 1 Part 7, rigid mount"),
];

pub(super) const POWER_KW: Want = want("power_kW", "Power of the driver", Takes::Number).unit("kW");
pub(super) const POWER_HP: Want = want("power_hp", "Power of the driver", Takes::Number).unit("hp");

/// The fields of one vibration reading; the run test has them as a group.
pub(super) const WANTS: &[Want] = &[
    want("velocity", "Highest velocity measured", Takes::Number)
        .note("blank: the limits are answered"),
    want("unit", "Unit of the reading", Takes::Choice(UNITS)),
    want(
        "measure",
        "What the instrument shows",
        Takes::Choice(MEASURES),
    )
    .note("blank: not known, and nothing is judged"),
    want("position", "Where it was read", Takes::Text).note("such as drive end, horizontal"),
    want("judged_as", "Judged as", Takes::Choice(JUDGED_AS)).note("blank: a fan"),
    want("category", "Fan category", Takes::Choice(CATEGORIES)).note("blank: by use and power"),
    want("application", "Use of the fan", Takes::Choice(APPLICATIONS)),
    POWER_KW,
    POWER_HP,
    want("support", "Support", Takes::Choice(SUPPORTS)),
    want("stage", "Limit that counts", Takes::Choice(STAGES))
        .note("blank: a fan in service, judged by all limits"),
    want("own_shutdown_mm_s", "Own shutdown limit", Takes::Number)
        .unit("mm/s")
        .note("from the machine's history, in the measure of the reading"),
    want(
        "machine_class",
        "Class of the machine",
        Takes::Choice(CLASSES),
    )
    .note("blank: by power and support"),
    want("motor_basis", "Limit of a bare motor", Takes::Choice(BASES)),
    want(
        "shaft_height_mm",
        "Shaft height of a bare motor",
        Takes::Number,
    )
    .unit("mm")
    .note("for the IEC limits"),
    want("speed_rpm", "Speed of a bare motor", Takes::Number)
        .unit("rpm")
        .note("for the NEMA limits"),
];

pub(super) const VIBRATION: Topic = Topic {
    name: "vibration",
    title: "Vibration against its limits",
    what: "A velocity against the limits of a fan's category, a machine's zones or a bare motor's grade.",
    subject: Subject::Proof,
    wants: WANTS,
    answers: &[
        answer("verdict", "", "in words"),
        answer(
            "band",
            "",
            "of a fan: satisfactory, above start-up, above alarm, above shutdown",
        ),
        answer("category", "", "fan category used"),
        answer("balance_grade", "", "balance grade of such a fan's wheel"),
        answer("works_test_rms_mm_s", "mm/s", "limit at the works, r.m.s."),
        answer("works_test_peak_mm_s", "mm/s", "limit at the works, peak"),
        answer("start_up_rms_mm_s", "mm/s", "limit at start-up, r.m.s."),
        answer("start_up_peak_mm_s", "mm/s", "limit at start-up, peak"),
        answer("alarm_rms_mm_s", "mm/s", "alarm limit, r.m.s."),
        answer("alarm_peak_mm_s", "mm/s", "alarm limit, peak"),
        answer("shutdown_rms_mm_s", "mm/s", "shutdown limit, r.m.s."),
        answer("shutdown_peak_mm_s", "mm/s", "shutdown limit, peak"),
        answer(
            "shutdown_from_history",
            "",
            "the standard has no figure; set one from history",
        ),
        answer(
            "limit_rms_mm_s",
            "mm/s",
            "limit of the chosen stage, or of the bare motor, r.m.s.",
        ),
        answer("limit_peak_mm_s", "mm/s", "the same, peak"),
        answer("limit_peak_in_s", "in/s", "the same, peak, in inches"),
        answer("machine_class", "", "class or group used"),
        answer("zone", "", "A to D"),
        answer("zone_a_b_mm_s", "mm/s", "boundary of A and B, r.m.s."),
        answer("zone_b_c_mm_s", "mm/s", "boundary of B and C, r.m.s."),
        answer("zone_c_d_mm_s", "mm/s", "boundary of C and D, r.m.s."),
        answer("scope", "", "why no class or limit covers the machine"),
    ],
    run,
};

fn power(given: &Given) -> Result<Option<Watts>, Trouble> {
    match (given.positive("power_kW")?, given.positive("power_hp")?) {
        (Some(_), Some(_)) => Err(Trouble::of(
            "power_hp",
            "Give kilowatts or horsepower, not both",
        )),
        (Some(kw), None) => Ok(Some(Watts(kw * 1000.0))),
        (None, hp) => Ok(hp.map(Watts::from_hp)),
    }
}

/// Category as named, or by use and power; the use is never taken for granted.
pub(super) fn fan_category(given: &Given) -> Result<Option<Category>, Trouble> {
    let named = given.choice("category")?.and_then(Category::read);
    let by_use = given
        .choice("application")?
        .and_then(Application::read)
        .zip(Some(power(given)?))
        .and_then(|(application, power)| vibration::category(application, power));
    Ok(named.or(by_use))
}

fn support(word: &str) -> Support {
    match word {
        "flexible" => Support::Flexible,
        _ => Support::Rigid,
    }
}

fn stage(word: &str) -> Stage {
    match word {
        "works_test" => Stage::WorksTest,
        "start_up" => Stage::StartUp,
        "alarm" => Stage::Alarm,
        _ => Stage::Shutdown,
    }
}

fn reading(given: &Given) -> Result<Option<Velocity>, Trouble> {
    let Some(value) = given.not_negative("velocity")? else {
        return Ok(None);
    };
    Ok(Some(Velocity {
        value,
        unit: match given.need_choice("unit")? {
            "in_s" => VelocityUnit::InS,
            _ => VelocityUnit::MmS,
        },
        measure: given.choice("measure")?.map(|word| match word {
            "peak" => Measure::Peak,
            _ => Measure::Rms,
        }),
    }))
}

/// The fields of [`WANTS`].
pub(super) fn read(given: &Given) -> Result<VibrationInput, Trouble> {
    let judged_as = match given.choice("judged_as")? {
        Some("machine") => JudgedAs::Machine,
        Some("industrial_machine") => JudgedAs::IndustrialMachine,
        Some("bare_motor") => JudgedAs::BareMotor,
        _ => JudgedAs::Fan,
    };
    let fan = judged_as == JudgedAs::Fan;
    Ok(VibrationInput {
        reading: reading(given)?,
        category: if fan { fan_category(given)? } else { None },
        // A fan's power alone does not say what the fan is used for.
        power: if fan { None } else { power(given)? },
        support: given.choice("support")?.map(support),
        stage: given.choice("stage")?.map(stage),
        judged_as: Some(judged_as),
        own_shutdown: given
            .positive("own_shutdown_mm_s")?
            .map(MillimetresPerSecond),
        position: given.text("position")?,
        machine_class: given.choice("machine_class")?.map(str::to_owned),
        motor_basis: given.choice("motor_basis")?.and_then(MotorBasis::read),
        shaft_height: given.positive("shaft_height_mm")?.map(Millimetres),
        speed: given.positive("speed_rpm")?.map(Rpm),
        ..VibrationInput::default()
    })
}

fn run(given: &Given) -> Result<Figure, Trouble> {
    let input = read(given)?;
    let working = vibration::check(&input);
    let verdict = working.verdict().map(|verdict| verdict.words());
    let out = Figure::new(working).with_some("verdict", verdict);
    Ok(match input.judged_as.unwrap_or_default() {
        JudgedAs::Fan => of_fan(out, &input),
        JudgedAs::BareMotor => of_motor(out, &input),
        JudgedAs::Machine | JudgedAs::IndustrialMachine => of_machine(out, &input),
    })
}

fn of_fan(out: Figure, input: &VibrationInput) -> Figure {
    let category = input.fan_category();
    let mut out = out
        .with_some("band", vibration::band(input).map(|band| band.words()))
        .with_some("category", category.map(Category::words))
        .with_some("balance_grade", category.map(Category::balance_grade));
    let Some((category, support)) = category.zip(input.support) else {
        return out;
    };
    let names = [
        ["works_test_rms_mm_s", "works_test_peak_mm_s"],
        ["start_up_rms_mm_s", "start_up_peak_mm_s"],
        ["alarm_rms_mm_s", "alarm_peak_mm_s"],
        ["shutdown_rms_mm_s", "shutdown_peak_mm_s"],
    ];
    for (stage, [rms, peak]) in Stage::ALL.into_iter().zip(names) {
        let found = vibration::limit(stage, category, support);
        out = out
            .with_some(rms, found.as_ref().map(|found| found.rms.0))
            .with_some(peak, found.as_ref().map(|found| found.peak.0));
    }
    let chosen = input
        .stage
        .and_then(|stage| vibration::limit(stage, category, support));
    out.with("shutdown_from_history", !category.has_shutdown())
        .with_some("limit_rms_mm_s", chosen.as_ref().map(|found| found.rms.0))
        .with_some("limit_peak_mm_s", chosen.as_ref().map(|found| found.peak.0))
        .with_some(
            "limit_peak_in_s",
            chosen.map(|found| VelocityUnit::InS.of(found.peak)),
        )
}

fn of_machine(out: Figure, input: &VibrationInput) -> Figure {
    match input.machine_zones() {
        Err(outside) => out.with("scope", outside.to_string()),
        Ok(zones) => {
            let [ab, bc, cd] = zones.bounds.map(|bound| bound.0);
            out.with("machine_class", zones.name.clone())
                .with_some("zone", vibration::zone(input).map(|zone| zone.words()))
                .with("zone_a_b_mm_s", ab)
                .with("zone_b_c_mm_s", bc)
                .with("zone_c_d_mm_s", cd)
        }
    }
}

fn of_motor(out: Figure, input: &VibrationInput) -> Figure {
    let found = input
        .motor_basis
        .map(|basis| vibration::motor_limit(basis, input.shaft_height, input.speed));
    match found {
        None => out,
        Some(Err(lacks)) => out.with("scope", lacks.to_string()),
        Some(Ok(found)) => out
            .with_some("limit_rms_mm_s", found.rms.map(|rms| rms.0))
            .with_some("limit_peak_mm_s", found.peak.map(|peak| peak.0))
            .with_some(
                "limit_peak_in_s",
                found.peak.map(|peak| VelocityUnit::InS.of(peak)),
            ),
    }
}
