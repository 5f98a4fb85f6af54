//! What the kind of motor brings with it: type, capacitor, protection, bearings, duty, efficiency.

use super::amps::{overload_limit, overload_setting, separate_overload};
use super::attribute as a;
use super::known::{Facts, get, num};
use super::question as q;
use super::say::short;
use super::sink::{Said, Sink};
use super::work::Work;
use crate::installation::Drive;
use crate::plate::{Bearing, Duty, MotorType, Position, Protection};
use crate::working::Verdict;

pub(super) fn motor_type(f: &Facts, sink: &mut impl Sink) {
    use MotorType::*;
    use Verdict::*;
    let Some(new) = f.new_type else {
        return sink.ask(&a::TYPE, &q::NEW_TYPE);
    };
    let Some(old) = f.old_type else {
        return sink.ask(&a::TYPE, &q::OLD_TYPE);
    };
    let say = |note: &'static str| move || Said::of(words(new), note).limit(words(old));
    // A drive nobody has looked at is already a question of its own; here it counts as loaded.
    let shaft_mounted = f.driven.drive == Some(Drive::Direct);
    if old == new {
        if old == ElectronicallyCommutated {
            sink.caution(|| {
                "Electronic motors: control signal and kind (constant torque or constant flow) \
                 must be the same too."
                    .into()
            });
        }
        return sink.judge(&a::TYPE, Same, say(""));
    }
    match (old, new) {
        (ThreePhaseInduction, _) | (_, ThreePhaseInduction) => sink.judge(
            &a::TYPE,
            DoNotFit,
            say("Single-phase and three-phase do not exchange."),
        ),
        (DirectCurrent, _) | (_, DirectCurrent) => sink.judge(
            &a::TYPE,
            DoNotFit,
            say("Direct and alternating current do not exchange."),
        ),
        (_, ShadedPole) => sink.judge(
            &a::TYPE,
            DoNotFit,
            say("A shaded-pole motor starts weaker, takes more current and runs hotter."),
        ),
        (ElectronicallyCommutated, _) => sink.judge(
            &a::TYPE,
            DoNotFit,
            say("The machine's controls speak to an electronic motor."),
        ),
        (_, ElectronicallyCommutated) => sink.work(
            &a::TYPE,
            &[Work::FitElectronicControl],
            say("Runs on its own electronics."),
        ),
        (_, PermanentSplitCapacitor) if shaft_mounted => sink.work(
            &a::TYPE,
            &[Work::WireCapacitor],
            say("Starts a wheel on its own shaft; lower amps are no fault."),
        ),
        (_, PermanentSplitCapacitor) => sink.judge(
            &a::TYPE,
            DoNotFit,
            say("Starts too weakly for a belt or a loaded start."),
        ),
        (CapacitorStart | CapacitorStartCapacitorRun, SplitPhase) if !shaft_mounted => sink.judge(
            &a::TYPE,
            DoNotFit,
            say("Starts weaker than the machine was built for."),
        ),
        (_, SplitPhase | CapacitorStart | CapacitorStartCapacitorRun) => sink.judge(
            &a::TYPE,
            Suits,
            say("Starts at least well enough; higher starting current, no speed controller."),
        ),
    }
}

pub(super) fn words(kind: MotorType) -> &'static str {
    match kind {
        MotorType::ShadedPole => "shaded pole",
        MotorType::SplitPhase => "split phase",
        MotorType::PermanentSplitCapacitor => "permanent split capacitor",
        MotorType::CapacitorStart => "capacitor start",
        MotorType::CapacitorStartCapacitorRun => "capacitor start, capacitor run",
        MotorType::ThreePhaseInduction => "three-phase",
        MotorType::ElectronicallyCommutated => "electronically commutated",
        MotorType::DirectCurrent => "direct current",
    }
}

pub(super) fn capacitor(f: &Facts, sink: &mut impl Sink) {
    use MotorType::*;
    let on_motor = match f.new_type {
        Some(PermanentSplitCapacitor) => false,
        Some(CapacitorStart | CapacitorStartCapacitorRun) => true,
        // The missing type is asked for on its own line.
        _ => {
            let none = || Said::of("none needed", "");
            return sink.judge(&a::CAPACITOR, Verdict::Same, none);
        }
    };
    let supplied = get(&f.new.capacitor_included) == Some(true);
    if on_motor && supplied {
        let note = || Said::of("on the motor", "Comes fitted with the motor.");
        return sink.judge(&a::CAPACITOR, Verdict::Same, note);
    }
    let value = num(&f.new.capacitor).zip(num(&f.new.capacitor_volts));
    let Some((microfarads, volts)) = value else {
        return match supplied {
            true => sink.work(&a::CAPACITOR, &[Work::FitSuppliedCapacitor], || {
                Said::of("supplied", "")
            }),
            false => sink.ask(&a::CAPACITOR, &q::NEW_CAPACITOR),
        };
    };
    let say = |note: &'static str| {
        move || Said::of(short(microfarads, 1), note).limit(format!("{} V", short(volts, 0)))
    };
    let alike = f.old_type == f.new_type;
    match (num(&f.old.capacitor), num(&f.old.capacitor_volts)) {
        (Some(old), Some(rated))
            if alike && (old / microfarads - 1.0).abs() <= 0.01 && rated >= volts =>
        {
            let best = if rated > volts {
                Verdict::Suits
            } else {
                Verdict::Same
            };
            let note = "The old capacitor has this value; keep it only if it measures within its \
                        marked tolerance.";
            sink.judge(&a::CAPACITOR, best, say(note));
        }
        _ => sink.work(
            &a::CAPACITOR,
            &[Work::FitCapacitor { microfarads, volts }],
            say("The value belongs to the new winding, not to the machine."),
        ),
    }
}

pub(super) fn protection(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = get(&f.new.protection) else {
        return sink.ask(&a::PROTECTION, &q::NEW_PROTECTION);
    };
    let same = get(&f.old.protection) == Some(new);
    let best = if same { Verdict::Same } else { Verdict::Suits };
    let say = |value: &'static str, note: &'static str| move || Said::of(value, note);
    match new {
        Protection::Automatic => match f.site.restart_can_hurt {
            Some(true) => sink.judge(
                &a::PROTECTION,
                Verdict::DoNotFit,
                say(
                    "automatic reset",
                    "It restarts by itself where that can hurt somebody.",
                ),
            ),
            Some(false) => sink.judge(&a::PROTECTION, best, say("automatic reset", "")),
            None => sink.ask(&a::PROTECTION, &q::RESTART),
        },
        Protection::Manual => {
            let note = "Somebody must be able to reach the reset.";
            sink.judge(&a::PROTECTION, best, say("manual reset", note));
        }
        Protection::Impedance => sink.judge(&a::PROTECTION, best, say("impedance", "")),
        Protection::Thermostat if same => {
            sink.judge(&a::PROTECTION, Verdict::Same, say("thermostat", ""))
        }
        Protection::Thermostat => {
            let note = "It opens a control circuit only, and needs a contactor.";
            sink.work(
                &a::PROTECTION,
                &[Work::WireThermostat],
                say("thermostat", note),
            );
        }
        Protection::NoProtector => no_protector(f, best, sink),
    }
}

/// Nothing in the motor: the separate overload must be set for it, or one must be fitted.
fn no_protector(f: &Facts, best: Verdict, sink: &mut impl Sink) {
    let say = |note: &'static str| move || Said::of("none", note);
    let limit = f.amps(f.new).map(|amps| overload_limit(f, amps));
    if !separate_overload(f) {
        let note = "No protector in the motor and no separate overload seen.";
        return sink.work(&a::PROTECTION, &[Work::FitOverload { limit }], say(note));
    }
    match (limit, overload_setting(f)) {
        (Some((amps, percent)), Some(setting)) if setting > amps + 1e-9 => {
            let note = "The separate overload is set higher than this motor allows.";
            let work = Work::SetOverload { amps, percent };
            sink.work(&a::PROTECTION, &[work], say(note));
        }
        _ => {
            let note = "The separate overload protects it, once set for this motor.";
            sink.judge(&a::PROTECTION, best, say(note));
        }
    }
}

pub(super) fn bearing(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = get(&f.new.bearing) else {
        return sink.ask(&a::BEARING, &q::NEW_BEARING);
    };
    let old = get(&f.old.bearing);
    let need = f.site.position.or(get(&f.old.position));
    let mark = get(&f.new.position);
    let allowed = mark == Some(Position::Any) || (mark.is_some() && mark == need);
    let best = if old == Some(new) && allowed {
        Verdict::Same
    } else {
        Verdict::Suits
    };
    let say = |value: &'static str, note: &'static str| move || Said::of(value, note);
    if new == Bearing::Ball {
        if !allowed {
            sink.caution(|| {
                "Ball bearings run in any position: check thrust, slinger and drain holes for this \
                 one."
                    .into()
            });
        }
        return sink.judge(&a::BEARING, best, say("ball", ""));
    }
    sink.caution(|| "Sleeve bearings: oil holes upward, never towards a belt's pull.".into());
    if f.driven.drive == Some(Drive::Belt) {
        match old {
            Some(Bearing::Sleeve) => {}
            Some(Bearing::Ball) => {
                let note = "A belt's pull breaks the oil film of sleeve bearings.";
                return sink.judge(&a::BEARING, Verdict::DoNotFit, say("sleeve", note));
            }
            None => return sink.ask(&a::BEARING, &q::OLD_BEARING),
        }
    }
    match (need, mark) {
        (_, Some(Position::Any)) => sink.judge(&a::BEARING, best, say("sleeve", "All-position.")),
        (None, _) => sink.ask(&a::BEARING, &q::POSITION),
        // Lying flat is what a sleeve bearing is made for, whatever else the plate allows.
        (Some(Position::Horizontal), _) => sink.judge(&a::BEARING, best, say("sleeve", "")),
        (Some(_), None) => sink.ask(&a::BEARING, &q::NEW_POSITION),
        (Some(need), Some(mark)) if need == mark => sink.judge(
            &a::BEARING,
            best,
            say("sleeve", "The plate allows this position."),
        ),
        _ => {
            let note = "Oil leaves the bearing: the plate does not allow this position.";
            sink.judge(&a::BEARING, Verdict::DoNotFit, say("sleeve", note));
        }
    }
}

pub(super) fn duty(f: &Facts, sink: &mut impl Sink) {
    let old = get(&f.old.duty);
    let continuous = f
        .site
        .continuous
        .or(old.map(|duty| duty == Duty::Continuous));
    let new = get(&f.new.duty);
    let best = if new == old {
        Verdict::Same
    } else {
        Verdict::Suits
    };
    let say = |value: &'static str, note: &'static str| move || Said::of(value, note);
    match (new, continuous) {
        (Some(Duty::Continuous), _) => sink.judge(&a::DUTY, best, say("continuous", "")),
        (Some(Duty::Intermittent), Some(true)) => sink.judge(
            &a::DUTY,
            Verdict::DoNotFit,
            say("intermittent", "The machine runs continuously."),
        ),
        (Some(Duty::Intermittent), Some(false)) => {
            let note = "Check the marked minutes against the machine's.";
            sink.judge(&a::DUTY, best, say("intermittent", note));
        }
        (None, Some(false)) => sink.judge(
            &a::DUTY,
            Verdict::Suits,
            say("not known", "The machine does not run continuously."),
        ),
        (Some(Duty::Intermittent), None) => sink.ask(&a::DUTY, &q::DUTY),
        (None, _) => sink.ask(&a::DUTY, &q::NEW_DUTY),
    }
}

/// The law binds who makes and sells a new motor, not who fits one from stock, and the plate does
/// not tell when it was made. So this line warns and never blocks: the one rule of the reference
/// that is softened here.
pub(super) fn efficiency(f: &Facts, sink: &mut impl Sink) {
    let Some(floor) = super::floors::floor(f) else {
        return sink.judge(&a::EFFICIENCY, Verdict::Same, || {
            Said::of("", "No floor found for this kind and size.")
        });
    };
    // Plates print percent; a share below 1 is the same thing.
    let percent = num(&f.new.efficiency).map(|e| if e <= 1.0 { 100.0 * e } else { e });
    let say = |note: &'static str| {
        move || {
            Said::of(percent.map_or("not known".into(), |p| short(p, 1)), note)
                .limit(format!("at least {}", short(floor, 1)))
                .margin(
                    percent
                        .map(|p| format!("{:+.1}", p - floor))
                        .unwrap_or_default(),
                )
        }
    };
    match percent {
        Some(p) if p >= floor - 1e-9 => sink.judge(&a::EFFICIENCY, Verdict::Same, say("")),
        _ => {
            sink.caution(|| {
                "A newly made general-purpose motor below the efficiency floor may not be sold in \
                 the United States; check before buying one new."
                    .into()
            });
            sink.judge(
                &a::EFFICIENCY,
                Verdict::Suits,
                say("Below the floor, or not marked."),
            );
        }
    }
}
