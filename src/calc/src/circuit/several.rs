//! Several motors and other loads on one feeder or branch circuit.

use super::device::{self, DeviceLimit, MotorRow};
use super::load;
use super::one_motor::{Chosen, HIGH_VOLTAGE, high_voltage, kind_words};
use super::overload::{overload_max, overload_percent};
use super::{CAUTION, RuleSet, wire};
use crate::installation::{DeviceKind, Metal};
use crate::shown::{Fill, exact, line, plausible, plausible_load};
use crate::units::{Celsius, Volts};
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
    /// Its voltage, where known.
    pub volts: Option<Volts>,
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

impl Group {
    fn high_voltage(&self) -> bool {
        let volts = self.motors.iter().filter_map(|motor| motor.volts);
        volts.into_iter().any(high_voltage)
    }

    /// Some branch device is an instantaneous-trip breaker.
    fn instantaneous(&self) -> bool {
        let mut devices = self.motors.iter().map(|motor| motor.device);
        devices.any(|kind| kind == Some(DeviceKind::InstantaneousTripBreaker))
    }
}

/// Whether motors can run on one feeder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OneSystem {
    /// All alike.
    Alike,
    /// Voltages of one system, such as 120 and 240 V or 277 and 480 V: each conductor by itself.
    InPart,
    /// Voltages that no one system has, or alternating with direct current.
    Apart,
}

/// Judges the voltages of motors on one feeder, from one to the next: alike within 10 %; in part where
/// about 120 V stands beside 208 or 240 V, or about 277 V beside 480 V; else apart, as is direct current
/// beside alternating. Unknown voltages are passed over. Source: common practice.
pub fn one_system(motors: &[Member]) -> OneSystem {
    let direct = |motor: &&Member| motor.row == Some(MotorRow::DirectCurrent);
    let known = motors.iter().filter(|motor| motor.row.is_some());
    let (dc, all) = (known.clone().filter(direct).count(), known.count());
    if dc > 0 && dc < all {
        return OneSystem::Apart;
    }
    let volts = || motors.iter().filter_map(|motor| motor.volts).map(|v| v.0);
    let low = volts().fold(f64::INFINITY, f64::min);
    let mut found = OneSystem::Alike;
    for volts in volts() {
        let ratio = volts / low;
        let root = (1.6..=1.87).contains(&ratio);
        let twice = (1.8..=2.2).contains(&ratio);
        let neutral = (100.0..=130.0).contains(&low);
        if ratio <= 1.1 {
            continue;
        }
        if !(neutral && (root || twice) || (260.0..=290.0).contains(&low) && root) {
            return OneSystem::Apart;
        }
        found = OneSystem::InPart;
    }
    found
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
/// loads at their rating; rounded down. An instantaneous-trip breaker counts at the percentage of the
/// feeder's own kind of device (430.62(A) exception, from memory). Above 1000 V currents only. Of equal motors one counts as the largest. On a feeder with single-phase motors
/// only those on the same conductor are added (`common practice`): give one conductor's motors.
/// `None` without a motor, or for an impossible current. Source: NEC 430.24, 430.62(A), 430.63.
pub fn group(rule_set: RuleSet, group: &Group) -> Option<(GroupAnswer, Working)> {
    if group.motors.is_empty() {
        return None;
    }
    let amps: Vec<Decimal> = group.motors.iter().map(|motor| motor.amps).collect();
    let min_ampacity = load::several_motors_min(&amps, group.noncontinuous, group.continuous)?;
    let high = group.high_voltage();
    let size = |metal, celsius| {
        wire::smallest_size(metal, Celsius(celsius), min_ampacity).filter(|_| !high)
    };
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
    let high = motor.volts.is_some_and(high_voltage);
    let kind = motor.device.or(feeder).filter(|_| !high);
    let device = kind.and_then(|kind| {
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

/// What a motor's branch device counts for at the feeder: an instantaneous-trip breaker at the
/// percentage of the feeder's own kind. Source: NEC 430.62(A) and its exception, from memory.
fn for_feeder(rule_set: RuleSet, group: &Group, motor: &Member, of: &OfMember) -> Option<Decimal> {
    if motor.device != Some(DeviceKind::InstantaneousTripBreaker) {
        return of.device.as_ref().map(|device| device.highest);
    }
    let kind = group
        .feeder_device
        .filter(|kind| *kind != DeviceKind::InstantaneousTripBreaker)?;
    let amps = motor.device_amps.unwrap_or(motor.amps);
    device::device_limit(rule_set, motor.row?, kind, amps).map(|limit| limit.calculated)
}

/// The motor with the largest device allowed stands for it, all others with their current.
fn feeder(rule_set: RuleSet, group: &Group, members: &[OfMember]) -> Option<Feeder> {
    let largest = members
        .iter()
        .zip(&group.motors)
        .map(|(member, motor)| for_feeder(rule_set, group, motor, member))
        .collect::<Option<Vec<_>>>()?
        .into_iter()
        .enumerate()
        .reduce(|best, next| if next.1 > best.1 { next } else { best })?;
    let kind = group
        .feeder_device
        .or(group.motors.get(largest.0)?.device)
        .filter(|kind| *kind != DeviceKind::InstantaneousTripBreaker)?;
    let mut others: Vec<Decimal> = group
        .motors
        .iter()
        .enumerate()
        .filter(|(at, _)| *at != largest.0)
        .map(|(_, motor)| motor.amps)
        .collect();
    others.push(plausible_load(group.noncontinuous)?);
    others.push(plausible_load(group.continuous)?);
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
    system_lines(&mut working, group);
    for (motor, of) in group.motors.iter().zip(&answer.members).take(40) {
        member_line(&mut working, motor, of);
    }
    let largest = group.motors.iter().map(|motor| motor.amps).max();
    let other = other_words(group);
    working.lines.push(
        line("min_ampacity", "Common conductors, at least")
            .value(exact(answer.min_ampacity), "A")
            .limit(format!(
                "125 % of {} A, the other motors; {other}",
                exact(largest.unwrap_or_default()),
            ))
            .rule("the largest motor once at 125 %", "NEC 430.24"),
    );
    if group.high_voltage() {
        working.cautions.push(HIGH_VOLTAGE.into());
        return working;
    }
    conductor_lines(&mut working, rule_set, answer);
    match answer.feeder {
        Some(feeder) => feeder_line(&mut working, group, feeder),
        None if group.instantaneous() => working.missing.push(Missing {
            what: "kind of the feeder's device: breaker or fuse".into(),
            why: "an instantaneous-trip breaker counts at the percentage of the feeder's own kind \
                  (NEC 430.62(A) exception, from memory)"
                .into(),
            how: "read the panel that feeds the motors".into(),
        }),
        None => working.missing.push(Missing {
            what: "kind of branch device, power and phases of every motor".into(),
            why: "the feeder's device follows from the largest branch device".into(),
            how: "read the panel and the plates".into(),
        }),
    }
    working
}

/// The other loads of the sum; none are named where none were given.
fn other_words(group: &Group) -> String {
    let mut parts = Vec::new();
    if !group.noncontinuous.is_zero() {
        parts.push(format!("{} A noncontinuous", exact(group.noncontinuous)));
    }
    if !group.continuous.is_zero() {
        parts.push(format!("125 % of {} A continuous", exact(group.continuous)));
    }
    if parts.is_empty() {
        "no other load was given".into()
    } else {
        parts.join(", ")
    }
}

/// Motors that share no more than a part of the feeder's conductors.
fn system_lines(working: &mut Working, group: &Group) {
    let one_phase = |motor: &&Member| motor.row == Some(MotorRow::SinglePhase);
    let single = group.motors.iter().filter(one_phase).count();
    if single > 0 && single < group.motors.len() {
        working.cautions.push(
            "All motors were added up. On a three-phase feeder a single-phase motor loads two of its \
             conductors only: add up each conductor by itself (common practice)."
                .into(),
        );
    }
    if one_system(&group.motors) == OneSystem::InPart {
        crate::shown::ask(
            working,
            line("system", "Motors of two voltages").rule(
                "only motors on the same conductor are added",
                "common practice",
            ),
            "which conductors of the feeder each motor loads",
            "all were added up; motors of two voltages do not load the same conductors alike",
            "trace each motor to its poles in the panel and give one conductor's motors",
        );
    }
}

fn conductor_lines(working: &mut Working, rule_set: RuleSet, answer: &GroupAnswer) {
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
            if group.instantaneous() {
                "largest branch device (instantaneous-trip breakers at the percentage of the feeder's own \
                 kind), plus the other motors' currents and other loads at their rating; rounded down"
            } else {
                "largest branch device, plus the other motors' currents and other loads at their rating; \
                 continuous load takes 125 % for the conductors only; rounded down"
            },
            if group.instantaneous() {
                "NEC 430.62(A) with its exception (from memory), 430.63, 240.6(A)"
            } else {
                "NEC 430.62(A), 430.63, 240.6(A)"
            },
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
