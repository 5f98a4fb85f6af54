//! Motors that share a branch circuit: small ones, any size behind the smallest's device, listed groups.

use super::device::{self};
use super::several::Member;
use super::{CAUTION, RuleSet};
use crate::installation::DeviceKind;
use crate::shown::{Fill, exact, line, plausible};
use crate::units::Volts;
use crate::working::{Missing, Verdict, Working};
use rust_decimal::Decimal;

/// The circuit that motors share.
#[derive(Clone, Debug, PartialEq)]
pub struct Shared {
    /// The motors.
    pub motors: Vec<Member>,
    /// Voltage of the circuit.
    pub volts: Volts,
    /// Single phase, where known.
    pub single_phase: Option<bool>,
    /// Rating of the branch device.
    pub device_rating: Decimal,
    /// Kind of the branch device.
    pub device: Option<DeviceKind>,
    /// Each motor has its own overload protection.
    pub overload: Option<bool>,
    /// Other loads on the circuit, amperes.
    pub other: Decimal,
}

/// Which of the three ways is open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SharedAnswer {
    /// Largest device for small motors, amperes.
    pub small_limit: Decimal,
    /// 430.53(A): 1 hp and 6 A each. `None`: some power is not known.
    pub small: Option<bool>,
    /// 430.53(B): what the smallest motor may have behind it.
    pub smallest_limit: Option<Decimal>,
    /// 430.53(C): listed group assembly, the largest device plus all other currents.
    pub listed_limit: Option<Decimal>,
}

/// A motor of 6 A or less is of 1 hp or less on 120 V, and on one phase to 240 V: the tables list more
/// for a horsepower there.
pub fn small_by_amps(amps: Decimal, volts: Volts, single_phase: Option<bool>) -> bool {
    amps <= Decimal::from(6)
        && (volts.0 <= 130.0 || (single_phase == Some(true) && volts.0 <= 254.0))
}

/// The three ways by which motors may share one branch device.
///
/// (A) each of 1 hp and 6 A at most, each with overload protection, 20 A at most on 120 V, 15 A
/// otherwise; (B) any motors, the device not above what the smallest may have; (C) listed assemblies,
/// the largest device allowed plus the other currents. `None` without a motor or with an impossible
/// rating. Source: NEC 430.53(A), (B), (C).
pub fn shared(rule_set: RuleSet, ask: &Shared) -> Option<(SharedAnswer, Working)> {
    let rating = plausible(ask.device_rating)?;
    let first = ask.motors.first()?;
    let small_limit = Decimal::from(if ask.volts.0 <= 130.0 { 20 } else { 15 });
    let one = |motor: &Member| match motor.hp {
        _ if motor.amps > Decimal::from(6) => Some(false),
        Some(hp) => Some(hp <= 1.011),
        None => small_by_amps(motor.amps, ask.volts, ask.single_phase).then_some(true),
    };
    let each: Vec<Option<bool>> = ask.motors.iter().map(one).collect();
    let closed = rating > small_limit || ask.overload == Some(false) || each.contains(&Some(false));
    let small = if closed {
        Some(false)
    } else {
        (!each.contains(&None)).then_some(true)
    };
    let limit = |motor: &Member| {
        let amps = motor.device_amps.unwrap_or(motor.amps);
        Some(device::device_limit(rule_set, motor.row?, ask.device?, amps)?.highest)
    };
    let limits: Option<Vec<Decimal>> = ask.motors.iter().map(limit).collect();
    let smallest_limit = limits
        .as_ref()
        .and_then(|limits| limits.iter().copied().min());
    let listed_limit = limits.as_ref().and_then(|limits| listed(ask, limits));
    let answer = SharedAnswer {
        small_limit,
        small,
        smallest_limit,
        listed_limit,
    };
    let mut working = Working::new("Motors that share a branch circuit");
    working.cautions.push(CAUTION.into());
    small_line(&mut working, ask, &answer, first);
    other_lines(&mut working, ask, &answer);
    ways_line(&mut working, rating, &answer);
    Some((answer, working))
}

/// Which way is open, once all three are known.
fn ways_line(working: &mut Working, rating: Decimal, answer: &SharedAnswer) {
    let (Some(false), Some(smallest), Some(listed)) =
        (answer.small, answer.smallest_limit, answer.listed_limit)
    else {
        return;
    };
    let shown = line("ways", "Sharing")
        .value(exact(rating), "A")
        .limit(format!(
            "{} A; listed assembly {} A",
            exact(smallest),
            exact(listed)
        ))
        .rule("one of the ways must be open", "NEC 430.53");
    working.lines.push(if rating <= smallest {
        shown.judge(Verdict::Within, "The device serves the smallest motor too.")
    } else if rating <= listed {
        shown.judge(
            Verdict::WithinNote,
            "Only as a listed group assembly; have the listing checked.",
        )
    } else {
        shown.judge(
            Verdict::Beyond,
            "Give the motors circuits of their own, or have the device changed.",
        )
    });
}

fn listed(ask: &Shared, limits: &[Decimal]) -> Option<Decimal> {
    let (at, most) = limits
        .iter()
        .enumerate()
        .reduce(|best, next| if next.1 > best.1 { next } else { best })?;
    let mut sum = most.checked_add(ask.other)?;
    for (_, motor) in ask.motors.iter().enumerate().filter(|(i, _)| *i != at) {
        sum = sum.checked_add(motor.amps)?;
    }
    Some(sum)
}

fn small_line(working: &mut Working, ask: &Shared, answer: &SharedAnswer, first: &Member) {
    let largest = ask.motors.iter().map(|motor| motor.amps).max();
    let shown = line("small", "Small motors, 430.53(A)")
        .value(exact(largest.unwrap_or(first.amps)), "A")
        .limit(format!(
            "6 A and 1 hp each, device {} A at most",
            exact(answer.small_limit)
        ))
        .margin(format!(
            "device {} A",
            exact(answer.small_limit - ask.device_rating)
        ))
        .rule(
            "each motor with overload protection of its own",
            "NEC 430.53(A)",
        );
    match answer.small {
        Some(true) if ask.overload.is_none() => {
            working.missing.push(Missing {
                what: "whether each motor has its own overload protection".into(),
                why: "without it the motors may not share the circuit".into(),
                how: "read the plates and look in the starters".into(),
            });
            let note = "Not above the limit, where each motor has its own overload protection.";
            working.lines.push(shown.judge(Verdict::WithinNote, note));
        }
        Some(true) => working
            .lines
            .push(shown.judge(Verdict::Within, "Not above the limit.")),
        Some(false) => working.lines.push(shown.note(
            "This way is not open: a motor above 6 A or 1 hp, a larger device, or no overload \
             protection. See the others.",
        )),
        None => crate::shown::ask(
            working,
            shown,
            "power of every motor",
            "motors of 1 hp or less may share a small circuit",
            "read the plates",
        ),
    }
}

fn other_lines(working: &mut Working, ask: &Shared, answer: &SharedAnswer) {
    let rating = ask.device_rating;
    let (Some(smallest), Some(listed)) = (answer.smallest_limit, answer.listed_limit) else {
        working.missing.push(Missing {
            what: "kind of the branch device, and phases of every motor".into(),
            why: "430.53(B) and (C) follow from what 430.52 allows each motor".into(),
            how: "read the panel and the plates".into(),
        });
        return;
    };
    working.lines.push(
        line("smallest", "Behind the smallest motor's device, 430.53(B)")
            .value(exact(rating), "A")
            .limit(format!("{} A", exact(smallest)))
            .margin(format!("{} A", exact(smallest - rating)))
            .rule(
                "device not above what 430.52 allows the smallest motor",
                "NEC 430.53(B)",
            )
            .note(if rating <= smallest {
                "Not above the limit; the device must also hold through the hardest start."
            } else {
                "This way is not open."
            }),
    );
    working.lines.push(
        line("listed", "Listed group assembly, 430.53(C)")
            .value(exact(rating), "A")
            .limit(format!("{} A", exact(listed)))
            .margin(format!("{} A", exact(listed - rating)))
            .rule(
                "largest device allowed plus the other currents",
                "NEC 430.53(C)",
            )
            .note(if rating <= listed {
                "Not above the limit of listed group assemblies; have the listing checked."
            } else {
                "This way is not open."
            }),
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn six_amperes_are_small_only_where_a_horsepower_takes_more() {
        let six = Decimal::from(6);
        assert!(small_by_amps(six, Volts(120.0), None));
        assert!(small_by_amps(six, Volts(240.0), Some(true)));
        assert!(!small_by_amps(six, Volts(240.0), None));
        assert!(!small_by_amps(six, Volts(480.0), Some(false)));
    }
}
