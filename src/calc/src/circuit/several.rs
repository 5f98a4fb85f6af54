//! Several motors and other loads on one feeder or branch circuit.

use super::device::{self, DeviceLimit, MotorRow};
use super::load::{self, FIVE_QUARTERS};
use super::one_motor::{Chosen, kind_words};
use super::overload::{overload_max, overload_percent};
use super::{CAUTION, RuleSet, wire};
use crate::installation::{DeviceKind, Metal};
use crate::shown::{Fill, exact, line, plausible, plausible_load};
use crate::units::Celsius;
use crate::working::{Missing, Verdict, Working};
use rust_decimal::Decimal;

/// One motor of a group.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Member {
    /// What people call it, such as `25 hp`.
    pub name: String,
    /// Full-load current that counts, amperes.
    pub amps: Decimal,
    /// For its largest branch device, where that is another.
    pub device_amps: Option<Decimal>,
    /// Power in horsepower.
    pub hp: Option<f64>,
    /// Row of 430.52.
    pub row: Option<MotorRow>,
    /// Kind of its branch device.
    pub device: Option<DeviceKind>,
    /// Current on its plate.
    pub plate_amps: Option<Decimal>,
    /// Marked service factor.
    pub service_factor: Option<f64>,
    /// Marked rise.
    pub rise: Option<Celsius>,
}

/// The group with its other loads.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Group {
    /// All motors that can run together.
    pub motors: Vec<Member>,
    /// Other load that runs less than three hours, amperes.
    pub noncontinuous: Decimal,
    /// Other load that runs three hours or more, amperes.
    pub continuous: Decimal,
    /// Kind of the feeder's device; `None`: as the device of the motor with the largest.
    pub feeder_device: Option<DeviceKind>,
    /// Rating of the feeder's device, to be judged.
    pub feeder_rating: Option<Decimal>,
}

/// What one motor of the group asks for itself.
#[derive(Clone, Debug, PartialEq)]
pub struct OfMember {
    /// Smallest ampacity of its branch conductors.
    pub conductor_min: Decimal,
    /// Its device, where the kind is known.
    pub device: Option<DeviceLimit>,
    /// Highest setting of its overload device, where its plate current is known.
    pub overload_max: Option<Decimal>,
}

/// Feeder device: by the sum, and the standard rating at or below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feeder {
    /// Kind of device.
    pub kind: DeviceKind,
    /// Largest branch device plus the others, amperes.
    pub calculated: Decimal,
    /// Standard rating, rounded down.
    pub rating: Option<Decimal>,
}

/// What the group asks for.
#[derive(Clone, Debug)]
pub struct GroupAnswer {
    /// Smallest ampacity of the common conductors.
    pub min_ampacity: Decimal,
    /// Smallest copper and aluminium conductor at 60 °C and 75 °C terminals.
    pub sizes: [[Chosen; 2]; 2],
    /// Motor by motor.
    pub members: Vec<OfMember>,
    /// The common device, where every motor's device is known.
    pub feeder: Option<Feeder>,
}

/// Conductors and device of a feeder for several motors.
///
/// Ampacity: `1.25` largest `+` other motors `+` noncontinuous `+ 1.25` continuous. Device: the
/// largest branch device allowed to any one motor, plus the currents of all other motors, plus other
/// loads; rounded down. Of equal motors one counts as the largest. On a feeder with single-phase motors
/// only those on the same conductor are added (`common practice`): give one conductor's motors.
/// `None` without a motor, or for an impossible current. Source: NEC 430.24, 430.62(A), 430.63.
pub fn group(rule_set: RuleSet, group: &Group) -> Option<(GroupAnswer, Working)> {
    if group.motors.is_empty() {
        return None;
    }
    let amps: Vec<Decimal> = group.motors.iter().map(|motor| motor.amps).collect();
    let min_ampacity = load::several_motors_min(&amps, group.noncontinuous, group.continuous)?;
    let size = |metal, celsius| wire::smallest_size(metal, Celsius(celsius), min_ampacity);
    let members: Vec<OfMember> = group
        .motors
        .iter()
        .map(|motor| of_member(rule_set, motor, group.feeder_device))
        .collect();
    let answer = GroupAnswer {
        min_ampacity,
        sizes: [Metal::Copper, Metal::Aluminium]
            .map(|metal| [size(metal, 60.0), size(metal, 75.0)]),
        feeder: feeder(rule_set, group, &members),
        members,
    };
    let working = working(rule_set, group, &answer);
    Some((answer, working))
}

fn of_member(rule_set: RuleSet, motor: &Member, feeder: Option<DeviceKind>) -> OfMember {
    let device = motor.device.or(feeder).and_then(|kind| {
        let amps = motor.device_amps.unwrap_or(motor.amps);
        device::device_limit(rule_set, motor.row?, kind, amps)
    });
    let percent = overload_percent(motor.service_factor, motor.rise);
    OfMember {
        conductor_min: load::branch_conductor_min(motor.amps),
        device,
        overload_max: motor
            .plate_amps
            .and_then(plausible)
            .map(|plate| overload_max(plate, percent.highest)),
    }
}

/// The motor with the largest device allowed stands for it, all others with their current.
fn feeder(rule_set: RuleSet, group: &Group, members: &[OfMember]) -> Option<Feeder> {
    let largest = members
        .iter()
        .map(|member| member.device.as_ref().map(|device| device.highest))
        .collect::<Option<Vec<_>>>()?
        .into_iter()
        .enumerate()
        .reduce(|best, next| if next.1 > best.1 { next } else { best })?;
    let kind = group
        .feeder_device
        .or(group.motors.get(largest.0)?.device)?;
    let mut others: Vec<Decimal> = group
        .motors
        .iter()
        .enumerate()
        .filter(|(at, _)| *at != largest.0)
        .map(|(_, motor)| motor.amps)
        .collect();
    others.push(plausible_load(group.noncontinuous)?);
    others.push(plausible_load(group.continuous)? * FIVE_QUARTERS);
    let mut calculated = largest.1;
    for amps in &others {
        calculated = calculated.checked_add(*amps)?;
    }
    Some(Feeder {
        kind,
        calculated,
        rating: device::rating_below(rule_set, kind, calculated),
    })
}

fn working(rule_set: RuleSet, group: &Group, answer: &GroupAnswer) -> Working {
    let mut working = Working::new("Several motors on one circuit");
    working.cautions.push(CAUTION.into());
    let one_phase = |motor: &&Member| motor.row == Some(MotorRow::SinglePhase);
    let single = group.motors.iter().filter(one_phase).count();
    if single > 0 && single < group.motors.len() {
        working.cautions.push(
            "All motors were added up. On a three-phase feeder a single-phase motor loads two of its \
             conductors only: add up each conductor by itself (common practice)."
                .into(),
        );
    }
    for (motor, of) in group.motors.iter().zip(&answer.members).take(40) {
        member_line(&mut working, motor, of);
    }
    let largest = group.motors.iter().map(|motor| motor.amps).max();
    working.lines.push(
        line("min_ampacity", "Common conductors, at least")
            .value(exact(answer.min_ampacity), "A")
            .limit(format!(
                "125 % of {} A, the other motors, {} A noncontinuous, 125 % of {} A continuous",
                exact(largest.unwrap_or_default()),
                exact(group.noncontinuous),
                exact(group.continuous)
            ))
            .rule("the largest motor once at 125 %", "NEC 430.24"),
    );
    for (column, celsius) in [(0, 60), (1, 75)] {
        let words = |metal: usize| match answer.sizes[metal][column] {
            Some((size, amps)) => format!("{} ({} A)", size.name, exact(amps)),
            None => "none of the table".into(),
        };
        working.lines.push(
            line("conductor", "Smallest conductor")
                .value(format!("copper {}; aluminium {}", words(0), words(1)), "")
                .limit(format!("{celsius} °C terminals"))
                .rule("30 °C, up to three conductors", wire::sections(rule_set)),
        );
    }
    match answer.feeder {
        Some(feeder) => feeder_line(&mut working, group, feeder),
        None => working.missing.push(Missing {
            what: "kind of branch device, power and phases of every motor".into(),
            why: "the feeder's device follows from the largest branch device".into(),
            how: "read the panel and the plates".into(),
        }),
    }
    working
}

fn member_line(working: &mut Working, motor: &Member, of: &OfMember) {
    let mut parts = vec![format!("branch conductor {} A", exact(of.conductor_min))];
    if let Some(device) = &of.device {
        parts.push(format!(
            "device {} A ({} % = {} A)",
            exact(device.highest),
            exact(device.percent),
            exact(device.calculated)
        ));
    }
    if let Some(most) = of.overload_max {
        parts.push(format!("overload {} A at most", exact(most)));
    }
    working.lines.push(
        line("motor", "Motor")
            .value(exact(motor.amps), "A")
            .limit(motor.name.clone())
            .rule(
                "each on its own branch circuit",
                "NEC 430.6, 430.22, 430.52, 430.32",
            )
            .note(parts.join("; ")),
    );
}

fn feeder_line(working: &mut Working, group: &Group, feeder: Feeder) {
    let shown = line("feeder", "Feeder device, at most")
        .value(feeder.rating.map_or("none of the list".into(), exact), "A")
        .limit(format!(
            "{} A, {}",
            exact(feeder.calculated),
            kind_words(feeder.kind)
        ))
        .rule(
            "largest branch device, plus the other motors' currents and other loads; rounded down",
            "NEC 430.62(A), 430.63, 240.6(A)",
        );
    let rating = group.feeder_rating.and_then(plausible);
    working.lines.push(match (rating, feeder.rating) {
        (Some(rating), Some(most)) if rating > most => shown.judge(
            Verdict::Beyond,
            format!(
                "Have it changed to {} A or less, unless the feeder has spare ampacity for it \
                 (430.62(B)).",
                exact(most)
            ),
        ),
        (Some(_), Some(_)) => shown.judge(Verdict::Within, "Not larger than the sum allows."),
        _ => shown
            .note("A feeder with spare ampacity may be protected at its own ampacity (430.62(B))."),
    });
}
