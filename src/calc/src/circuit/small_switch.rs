//! A switch, breaker or plug as the disconnect or controller of one motor.

use super::motor_load::FullLoad;
use super::{CAUTION, disconnect_min, general_switch_min, snap_switch_limit};
use crate::shown::{Fill, exact, figure, line, plausible};
use crate::units::Volts;
use crate::working::{Line, Missing, Verdict, Working};
use rust_decimal::Decimal;

/// Kinds of switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SwitchKind {
    /// General-use snap switch for alternating current only.
    AcSnap,
    /// General-use snap switch for alternating and direct current.
    AcDcSnap,
    /// General-use switch.
    GeneralUse,
    /// Switch rated in horsepower.
    MotorCircuit,
    /// Circuit breaker of the branch.
    Breaker,
    /// Attachment plug and receptacle.
    Plug,
}

/// The switch and its motor.
#[derive(Clone, Debug, PartialEq)]
pub struct SwitchAsk {
    /// The motor's current.
    pub full_load: FullLoad,
    /// Voltage of the circuit.
    pub volts: Volts,
    /// Kind of switch.
    pub kind: SwitchKind,
    /// Rating, amperes.
    pub rating: Option<Decimal>,
    /// Rating, horsepower at this voltage.
    pub rated_hp: Option<f64>,
    /// The motor is portable; `None`: not known.
    pub portable: Option<bool>,
    /// The motor runs on direct current.
    pub direct: bool,
}

/// What the switch allows.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SwitchAnswer {
    /// Largest motor current for this switch.
    pub limit: Option<Decimal>,
    /// Smallest rating for this motor.
    pub required: Option<Decimal>,
    /// The switch serves the motor; `None`: not known.
    pub ok: Option<bool>,
}

/// Whether a switch serves a motor.
///
/// Stationary motors to 2 hp and 300 V: AC-only snap switch, current not above 80 % of its rating and
/// never on direct current; general-use or AC/DC snap switch, rating not below twice the current. Any
/// motor: horsepower rating, or a breaker of 115 % of the current; a switch rated in horsepower below
/// the motor's does not serve whatever its amperes. To 1/8 hp the branch device serves a stationary motor; to 1/3 hp plug and receptacle
/// control a portable one. Source: NEC 430.81, 430.83, 430.109, 430.110, 404.14.
pub fn switch(ask: &SwitchAsk) -> (SwitchAnswer, Working) {
    let mut working = Working::new("Switch of a motor");
    working.cautions.push(CAUTION.into());
    working.lines.push(ask.full_load.line());
    let (answer, line) = judge(ask);
    let line = match answer.ok {
        Some(true) if unrated(ask) => {
            working.missing.push(Missing {
                what: "horsepower rating of the switch at this voltage".into(),
                why: "it must open the stalled motor's current; 115 % in amperes is not all".into(),
                how: "read its marking".into(),
            });
            line.judge(
                Verdict::WithinNote,
                "Its amperes are enough; its horsepower rating at this voltage is not known.",
            )
        }
        Some(_) => line,
        None if for_stationary(ask) && ask.portable == Some(true) => line.judge(
            Verdict::NotKnownYet,
            "Not known yet: this rule is for stationary motors. A portable one takes a plug, or a \
             switch rated in horsepower.",
        ),
        None => {
            working.missing.push(Missing {
                what: "rating of the switch in amperes or horsepower, and power of the motor"
                    .into(),
                why: "the switch must carry and break the motor's current".into(),
                how: "read its marking at this voltage, and the plate".into(),
            });
            line.judge(Verdict::NotKnownYet, "Not known yet: rating and power.")
        }
    };
    working.lines.push(line);
    (answer, working)
}

/// A motor-circuit switch whose horsepower, or whose motor's, is not known.
fn unrated(ask: &SwitchAsk) -> bool {
    ask.kind == SwitchKind::MotorCircuit && (ask.rated_hp.is_none() || ask.full_load.hp.is_none())
}

fn for_stationary(ask: &SwitchAsk) -> bool {
    matches!(
        ask.kind,
        SwitchKind::AcSnap | SwitchKind::AcDcSnap | SwitchKind::GeneralUse
    )
}

/// The branch device as the disconnect of a motor of 1/8 hp or less: a stationary one needs no other,
/// whatever its current. Source: NEC 430.109(B).
pub fn eighth(hp: f64, portable: Option<bool>) -> Option<(SwitchAnswer, Working)> {
    if !(hp > 0.0 && hp <= EIGHTH) || portable == Some(true) {
        return None;
    }
    let mut working = Working::new("Switch of a motor");
    working.cautions.push(CAUTION.into());
    let shown = line("switch", "Branch device")
        .value(figure(hp, 3), "hp")
        .limit("1/8 hp, stationary")
        .rule(
            "no disconnect of its own is asked for beside the branch device",
            "NEC 430.109(B)",
        );
    if portable == Some(false) {
        working
            .lines
            .push(shown.judge(Verdict::Within, "Not above the limit."));
    } else {
        crate::shown::ask(
            &mut working,
            shown,
            "whether the motor is stationary or portable",
            "the branch device alone serves a stationary one only",
            "see whether it is fastened in place",
        );
    }
    let answer = SwitchAnswer {
        ok: portable.map(|portable| !portable),
        ..SwitchAnswer::default()
    };
    Some((answer, working))
}

/// An eighth of a horsepower, with 1.1 % for what plates round.
const EIGHTH: f64 = 0.1264;

fn judge(ask: &SwitchAsk) -> (SwitchAnswer, Line) {
    let amps = ask.full_load.amps;
    let hp = ask.full_load.hp;
    let by_power = ask.rated_hp.zip(hp).map(|(rated, hp)| rated >= hp * 0.989);
    let rating = ask.rating.and_then(plausible);
    match ask.kind {
        SwitchKind::AcSnap => small(ask, by_power, rating, true),
        SwitchKind::AcDcSnap | SwitchKind::GeneralUse => small(ask, by_power, rating, false),
        SwitchKind::MotorCircuit | SwitchKind::Breaker => {
            let required = disconnect_min(amps);
            let eighth = ask.kind == SwitchKind::Breaker && hp.is_some_and(|hp| hp <= EIGHTH);
            let ok = match (by_power, rating) {
                _ if eighth && ask.portable == Some(false) => Some(true),
                (Some(true), _) => Some(true),
                (Some(false), _) if ask.kind == SwitchKind::MotorCircuit => Some(false),
                (_, Some(rating)) => Some(rating >= required),
                (power, None) => power,
            };
            let shown = line("switch", "Switch")
                .value(rating.map_or("not given".into(), exact), "A")
                .limit(format!(
                    "at least {} A (115 %), or the motor's horsepower",
                    exact(required)
                ))
                .rule(
                    "115 % of the current or a horsepower rating; to 1/8 hp the branch device",
                    "NEC 430.109, 430.110(A)",
                );
            let answer = SwitchAnswer {
                limit: None,
                required: Some(required),
                ok,
            };
            (answer, verdict(shown, ok))
        }
        SwitchKind::Plug => plug(ask, by_power),
    }
}

/// Switches for motors to 2 hp and 300 V.
fn small(
    ask: &SwitchAsk,
    by_power: Option<bool>,
    rating: Option<Decimal>,
    ac_only: bool,
) -> (SwitchAnswer, Line) {
    let amps = ask.full_load.amps;
    let hp = ask.full_load.hp;
    let (limit, required) = if ac_only {
        (rating.map(snap_switch_limit), amps * Decimal::new(125, 2))
    } else {
        let half = |rating: Decimal| rating * Decimal::new(5, 1);
        (rating.map(half), general_switch_min(amps))
    };
    let too_large = ask.volts.0 > 300.0 || hp.is_some_and(|hp| hp > 2.022);
    let no_dc = ac_only && ask.direct;
    let ok = match (by_power, hp) {
        _ if no_dc => Some(false),
        (Some(true), _) => Some(true),
        _ if too_large => Some(false),
        _ if ask.portable == Some(true) => limit.filter(|limit| amps > *limit).map(|_| false),
        (_, None) => limit.filter(|limit| amps > *limit).map(|_| false),
        (_, Some(_)) => limit.map(|limit| amps <= limit),
    };
    let answer = SwitchAnswer {
        limit,
        required: Some(required),
        ok,
    };
    let shown = small_line(amps, rating, &answer, ac_only);
    let shown = if no_dc {
        shown.judge(
            Verdict::Beyond,
            "Fit a switch marked for direct current: this one is for alternating current only.",
        )
    } else if too_large && ok == Some(false) {
        shown.judge(
            Verdict::Beyond,
            "Fit a switch rated in horsepower: this kind serves motors to 2 hp and 300 V only.",
        )
    } else {
        verdict(shown, ok)
    };
    (answer, shown)
}

fn small_line(
    amps: Decimal,
    rating: Option<Decimal>,
    answer: &SwitchAnswer,
    ac_only: bool,
) -> Line {
    let shown = line("switch", "Switch").value(exact(amps), "A");
    let shown = match (rating, answer.limit) {
        (Some(rating), Some(limit)) => shown
            .limit(format!(
                "{} A ({} % of {} A)",
                exact(limit),
                if ac_only { 80 } else { 50 },
                exact(rating)
            ))
            .margin(format!("{} A", exact(limit - amps))),
        _ => shown.limit(format!(
            "needs {} A",
            exact(answer.required.unwrap_or(amps))
        )),
    };
    if ac_only {
        shown.rule(
            "to 2 hp and 300 V: current not above 80 % of an AC-only snap switch",
            "NEC 430.109(C)(2), 430.83(C)(2), 404.14(A)",
        )
    } else {
        shown.rule(
            "to 2 hp and 300 V: switch of twice the current",
            "NEC 430.109(C)(1), 430.83(C)(1), 404.14(B)",
        )
    }
}

fn plug(ask: &SwitchAsk, by_power: Option<bool>) -> (SwitchAnswer, Line) {
    let hp = ask.full_load.hp;
    let third = hp.map(|hp| hp <= 0.337);
    let ok = match (by_power, third, ask.portable) {
        (_, _, Some(false)) => Some(false),
        (Some(true), ..) | (_, Some(true), Some(true)) => Some(true),
        (Some(false), Some(false), _) => Some(false),
        _ => None,
    };
    let shown = line("switch", "Plug and receptacle")
        .value(hp.map_or("not given".into(), |hp| figure(hp, 3)), "hp")
        .limit("1/3 hp portable, or rated in horsepower")
        .rule("cord-connected machines only", "NEC 430.81(B), 430.109(F)");
    let answer = SwitchAnswer {
        ok,
        ..SwitchAnswer::default()
    };
    (answer, verdict(shown, ok))
}

fn verdict(line: Line, ok: Option<bool>) -> Line {
    match ok {
        Some(true) => line.judge(Verdict::Within, "Not above the limit."),
        Some(false) => line.judge(
            Verdict::Beyond,
            "Fit a larger one, or a switch rated for the motor's horsepower.",
        ),
        None => line,
    }
}
