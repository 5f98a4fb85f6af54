//! Loads without motors' own rules: continuous loads, and what a circuit with outlets may carry.

use super::device::next_rating;
use super::load::{FIVE_QUARTERS, continuous_device_min, fixed_equipment_limit};
use super::{CAUTION, RuleSet};
use crate::installation::DeviceKind;
use crate::shown::{Fill, exact, line, plausible};
use crate::working::{Line, Missing, Verdict, Working};
use rust_decimal::Decimal;

/// Device and conductor for noncontinuous and continuous load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadAnswer {
    /// Smallest rating, amperes; the conductor's smallest ampacity too.
    pub least: Decimal,
    /// The standard rating at or next above it.
    pub standard: Option<Decimal>,
}

/// `noncontinuous + 1.25 continuous`, and the standard rating at or above it.
///
/// Continuous is three hours or more. Not for motor branch circuits, whose 125 % is in 430.22 already.
/// `None` for impossible currents. Source: NEC 210.19(A), 210.20(A), 240.6(A).
pub fn continuous_load(
    rule_set: RuleSet,
    kind: DeviceKind,
    noncontinuous: Decimal,
    continuous: Decimal,
) -> Option<(LoadAnswer, Working)> {
    let least = continuous_device_min(noncontinuous, continuous)?;
    let answer = LoadAnswer {
        least,
        standard: next_rating(rule_set, kind, least),
    };
    let mut working = Working::new("Continuous load");
    working.cautions.push(CAUTION.into());
    working.lines.push(
        line("least", "Device and conductor, at least")
            .value(exact(least), "A")
            .limit(format!(
                "{} A + 125 % of {} A",
                exact(noncontinuous),
                exact(continuous)
            ))
            .rule(
                "125 % of what runs three hours or more; not for motors, 430.22 has it already",
                "NEC 210.19(A), 210.20(A)",
            ),
    );
    working.lines.push(
        line("standard", "Standard rating")
            .value(answer.standard.map_or("above the list".into(), exact), "A")
            .rule("at or next above", "NEC 240.6(A)"),
    );
    Some((answer, working))
}

/// Largest load of three hours or more behind a rating that also carries `noncontinuous`:
/// `(rating - noncontinuous) / 1.25`, 80 % of a rating that carries nothing else.
///
/// `None` where the other load is above the rating already. Source: NEC 210.20(A), turned round.
pub fn largest_continuous(rating: Decimal, noncontinuous: Decimal) -> Option<(Decimal, Line)> {
    let left = plausible(rating)?.checked_sub(noncontinuous)?;
    if left < Decimal::ZERO {
        return None;
    }
    let most = left * Decimal::new(8, 1);
    let shown = line("most", "Continuous load, at most")
        .value(exact(most), "A")
        .limit(if noncontinuous.is_zero() {
            format!("80 % of {} A", exact(rating))
        } else {
            format!("80 % of ({} A - {} A)", exact(rating), exact(noncontinuous))
        })
        .rule(
            "125 % of what runs three hours or more, turned round",
            "NEC 210.20(A)",
        );
    Some((most, shown))
}

/// A circuit with outlets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlets {
    /// Rating of the circuit.
    pub circuit: Decimal,
    /// Equipment fastened in place, luminaires left out, amperes.
    pub fixed: Option<Decimal>,
    /// Lighting or cord loads share the circuit.
    pub shared: Option<bool>,
    /// One cord-and-plug load, amperes.
    pub cord: Option<Decimal>,
    /// Rating of its receptacle.
    pub receptacle: Option<Decimal>,
}

/// What the circuit may carry.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OutletsAnswer {
    /// Largest load fastened in place.
    pub fixed_limit: Option<Decimal>,
    /// It is not above.
    pub fixed_ok: Option<bool>,
    /// Largest single cord-and-plug load.
    pub cord_limit: Option<Decimal>,
    /// It is not above.
    pub cord_ok: Option<bool>,
}

/// Fixed equipment takes half of a 15 or 20 A circuit that it shares with lighting or cord loads, and
/// one cord load 80 % of a 15, 20 or 30 A circuit; 12 A on a 15 A receptacle, 16 A on a 20 A one.
/// Alone on the circuit, equipment may take all of it. Source: NEC 210.23, table 210.21(B)(2).
pub fn outlets(rule_set: RuleSet, ask: &Outlets) -> Option<(OutletsAnswer, Working)> {
    let circuit = plausible(ask.circuit)?;
    let fixed_limit = match ask.shared {
        Some(true) | None => fixed_equipment_limit(circuit),
        Some(false) => Some(circuit),
    };
    let cord_limit = cord_limit(circuit, ask.receptacle);
    let within = |load: Option<Decimal>, limit: Option<Decimal>| {
        load.zip(limit).map(|(load, limit)| load <= limit)
    };
    // Not known whether it is shared: the load holds both ways or neither, or it is open.
    let fixed_ok = match ask.shared {
        Some(_) => within(ask.fixed, fixed_limit),
        None => match (
            within(ask.fixed, fixed_limit),
            within(ask.fixed, Some(circuit)),
        ) {
            (Some(true), _) => Some(true),
            (_, Some(false)) => Some(false),
            _ => None,
        },
    };
    let answer = OutletsAnswer {
        fixed_limit,
        fixed_ok,
        cord_limit,
        cord_ok: within(ask.cord, cord_limit),
    };
    let mut working = Working::new("Loads of a circuit with outlets");
    working.cautions.push(CAUTION.into());
    fixed_line(&mut working, rule_set, ask, &answer);
    cord_line(&mut working, rule_set, ask, &answer);
    if ask.fixed.is_none() && ask.cord.is_none() {
        working.missing.push(Missing {
            what: "load in amperes".into(),
            why: "only the limits can be given without it".into(),
            how: "read the plates of what the circuit feeds".into(),
        });
    }
    Some((answer, working))
}

fn fixed_line(working: &mut Working, rule_set: RuleSet, ask: &Outlets, answer: &OutletsAnswer) {
    let shown = line("fixed", "Equipment fastened in place").rule(
        "half of a 15 or 20 A circuit that lighting or cord loads share",
        if rule_set == RuleSet::Nec2023 {
            "NEC 210.23(B)(2)"
        } else {
            "NEC 210.23(A)(2)"
        },
    );
    if ask.shared == Some(false) {
        let shown = line("fixed", "Equipment fastened in place")
            .rule("alone on the circuit: up to its rating", "NEC 210.20(A)");
        let mut shown = judged(shown, ask.fixed, answer.fixed_limit);
        let words = "What runs three hours or more counts at 125 %.";
        shown.note = format!("{} {words}", shown.note).trim().to_owned().into();
        working.lines.push(shown);
    } else if ask.shared.is_some() {
        working
            .lines
            .push(judged(shown, ask.fixed, answer.fixed_limit));
    } else if let (Some(ok), Some(load)) = (answer.fixed_ok, ask.fixed) {
        let most = answer.fixed_limit.filter(|_| ok).unwrap_or(ask.circuit);
        let shown = shown
            .value(exact(load), "A")
            .limit(format!("{} A", exact(most)));
        working.lines.push(if ok {
            shown.judge(
                Verdict::Within,
                "Not above the limit, whether or not lighting or outlets share the circuit.",
            )
        } else {
            shown.judge(
                Verdict::Beyond,
                "Above the rating of the circuit: give it a circuit of its own, or take load off.",
            )
        });
    } else if ask.fixed.is_some() || ask.cord.is_none() {
        crate::shown::ask(
            working,
            shown,
            "whether lighting or outlets share the circuit",
            "fixed equipment may then take half of a 15 or 20 A circuit only",
            "switch the circuit off and see what stops",
        );
    }
}

fn cord_line(working: &mut Working, rule_set: RuleSet, ask: &Outlets, answer: &OutletsAnswer) {
    let thirty = ask.circuit == Decimal::from(30);
    let source = match (rule_set == RuleSet::Nec2023, thirty) {
        (true, true) => "NEC 210.23(C), table 210.21(B)(2)",
        (true, false) => "NEC 210.23(B)(1), table 210.21(B)(2)",
        (false, true) => "NEC 210.23(B), table 210.21(B)(2)",
        (false, false) => "NEC 210.23(A)(1), table 210.21(B)(2)",
    };
    let shown = line("cord", "One cord-and-plug load").rule(
        "80 % of the circuit, and what its receptacle allows",
        source,
    );
    working
        .lines
        .push(judged(shown, ask.cord, answer.cord_limit));
}

fn cord_limit(circuit: Decimal, receptacle: Option<Decimal>) -> Option<Decimal> {
    let listed = [15, 20, 30].map(Decimal::from).contains(&circuit);
    let of_circuit = listed.then(|| circuit * Decimal::new(8, 1))?;
    let of_receptacle = receptacle.and_then(|rating| {
        let known = rating == Decimal::from(15) || rating == Decimal::from(20);
        known.then(|| rating * Decimal::new(8, 1))
    });
    Some(of_receptacle.map_or(of_circuit, |most| most.min(of_circuit)))
}

fn judged(shown: Line, load: Option<Decimal>, limit: Option<Decimal>) -> Line {
    let shown = match limit {
        Some(limit) => shown.limit(format!("{} A", exact(limit))),
        None => {
            return shown.note("The rule does not reach a circuit of this rating.");
        }
    };
    match load.zip(limit) {
        Some((load, limit)) => {
            let shown = shown
                .value(exact(load), "A")
                .margin(format!("{} A", exact(limit - load)));
            if load <= limit {
                shown.judge(Verdict::Within, "Not above what the circuit may give it.")
            } else {
                shown.judge(
                    Verdict::Beyond,
                    "Give it a circuit of its own, or take load off.",
                )
            }
        }
        None => shown,
    }
}

/// Conductors and disconnect of a drive or other converter that feeds a motor.
///
/// Conductors `1.25`, disconnect `1.15` of the rated input current; the device as the drive is marked.
/// Source: NEC 430.122(A), 430.128, 430.130, from memory. Returns amperes of both with the working.
pub fn drive_input(input: Decimal) -> Option<(Decimal, Decimal, Working)> {
    let input = plausible(input)?;
    let conductor = input * FIVE_QUARTERS;
    let disconnect = input * Decimal::new(115, 2);
    let mut working = Working::new("Circuit of a frequency drive");
    working.cautions.push(CAUTION.into());
    working
        .cautions
        .push(super::NO_TEST_THROUGH_ELECTRONICS.into());
    working.lines.push(
        line("conductor_min", "Conductor ampacity, at least")
            .value(exact(conductor), "A")
            .limit(format!("125 % of {} A", exact(input)))
            .rule(
                "rated input current of the drive",
                "NEC 430.122(A), from memory",
            ),
    );
    working.lines.push(
        line("disconnect", "Disconnect, at least")
            .value(exact(disconnect), "A")
            .limit(format!("115 % of {} A", exact(input)))
            .rule(
                "rated input current of the drive",
                "NEC 430.128, from memory",
            ),
    );
    working.lines.push(
        line("device", "Branch device")
            .value("as the drive is marked", "")
            .rule("the marking of the drive rules", "NEC 430.130, from memory")
            .note("Read kind and largest rating on the drive or in its manual."),
    );
    Some((conductor, disconnect, working))
}
