//! What the supply and its switchgear ask of a motor: volts, phases, hertz, control, amps.

use super::attribute as a;
use super::known::{Facts, Figure, get, list, opt};
use super::question as q;
use super::say::{joined, short};
use super::sink::{Said, Sink};
use super::work::Work;
use crate::installation::Control;
use crate::plate::MotorType;
use crate::units::Volts;
use crate::working::Verdict;

/// Two plate voltages this far apart are two connections (115/230), not one range (208-230).
const TWO_CONNECTIONS: f64 = 1.3;
/// MG 1 12.44 is inclusive; the last digits of a quotient must not decide.
pub(super) const HAIR: f64 = 1e-9;

fn connections(volts: &[Volts]) -> bool {
    let low = volts.iter().fold(f64::MAX, |low, v| v.0.min(low));
    volts.iter().any(|v| v.0 > TWO_CONNECTIONS * low)
}

fn has<T: Figure>(values: &[T], wanted: f64) -> bool {
    values.iter().any(|v| (v.figure() - wanted).abs() < 0.5)
}

fn same_set<T: Figure>(left: &[T], right: &[T]) -> bool {
    left.iter().all(|v| has(right, v.figure())) && right.iter().all(|v| has(left, v.figure()))
}

pub(super) fn voltage(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = list(&f.new.volts) else {
        return sink.ask(&a::VOLTAGE, &q::NEW_VOLTS);
    };
    let old = list(&f.old.volts);
    let two = connections(new);
    let same_list = old.is_some_and(|old| same_set(old, new));
    let plate = || joined(new.iter().map(|v| v.0));
    let Some((supply, measured)) = f.supply() else {
        // Without a supply the old plate stands in, and only whole: whichever of its voltages the
        // site has, the candidate has it too.
        let Some(old) = old.filter(|old| old.iter().all(|v| has(new, v.0))) else {
            return sink.ask(&a::VOLTAGE, &q::SUPPLY);
        };
        let say = || Said::of(plate(), "The old plate's voltages are on the new plate.");
        return match two && !same_list {
            true => sink.work(&a::VOLTAGE, &[connect(f, new, old[0].0)], say),
            false => sink.judge(&a::VOLTAGE, Verdict::Same, say),
        };
    };
    let off = |plate: f64| (supply - plate).abs() / plate;
    let best = new
        .iter()
        .map(|v| v.0)
        .min_by(|x, y| off(*x).total_cmp(&off(*y)));
    let best = best.unwrap_or(supply);
    let hertz_off = match (f.hertz, list(&f.new.frequency)) {
        (Some(hz), Some(plate)) => plate
            .iter()
            .map(|p| (hz - p.0).abs() / p.0)
            .fold(f64::MAX, f64::min),
        _ => 0.0,
    };
    let limit = 0.10 - if hertz_off <= 0.05 { hertz_off } else { 0.0 };
    let said = |note: &'static str| {
        move || {
            Said::of(short(supply, 1), note)
                .limit(format!(
                    "{} to {} on {} V",
                    short(best * (1.0 - limit), 1),
                    short(best * (1.0 + limit), 1),
                    short(best, 0)
                ))
                .margin(format!(
                    "{:+.1} % of {:.0} %",
                    100.0 * (supply / best - 1.0),
                    100.0 * limit
                ))
        }
    };
    if off(best) > limit + HAIR {
        let note = "The supply is outside what the motor may be run on.";
        return sink.judge(&a::VOLTAGE, Verdict::DoNotFit, said(note));
    }
    // A nominal supply moves by 5 % either way (ANSI C84.1 range A): the whole of it must lie
    // within one plate voltage, or somebody has to measure.
    let covered = |v: &Volts| {
        supply * 1.05 <= v.0 * (1.0 + limit) + HAIR && supply * 0.95 >= v.0 * (1.0 - limit) - HAIR
    };
    if !measured && !new.iter().any(covered) {
        return sink.ask(&a::VOLTAGE, &q::SUPPLY);
    }
    if supply < 0.95 * best {
        let torque = (supply / best).powi(2);
        sink.caution(|| {
            format!(
                "Torque at {} V on a {} V plate is {} of full: watch starting and heating.",
                short(supply, 0),
                short(best, 0),
                short(torque, 2)
            )
            .into()
        });
    }
    if two && !same_list {
        let note = "Two plate voltages: the connection must be made for this supply.";
        return sink.work(&a::VOLTAGE, &[connect(f, new, best)], said(note));
    }
    if two {
        sink.caution(|| connect(f, new, best).to_string().into());
    }
    let nearest = old.and_then(|old| {
        old.iter()
            .map(|v| v.0)
            .min_by(|x, y| off(*x).total_cmp(&off(*y)))
    });
    match nearest {
        Some(v) if has(new, v) => sink.judge(
            &a::VOLTAGE,
            Verdict::Same,
            said("The old plate's voltage is on the new one."),
        ),
        _ => sink.judge(
            &a::VOLTAGE,
            Verdict::Suits,
            said("The supply is within the plate's range."),
        ),
    }
}

/// The connection for one of two plate voltages. Twice the voltage is windings in series for
/// parallel; the root of three is star for delta.
fn connect(f: &Facts, plate: &[Volts], volts: f64) -> Work {
    let low = plate.iter().fold(f64::MAX, |low, v| v.0.min(low));
    let high = plate.iter().fold(0.0_f64, |high, v| v.0.max(high));
    let upper = volts > TWO_CONNECTIONS * low;
    let three = f.new_type == Some(MotorType::ThreePhaseInduction);
    let way = match (high / low, upper) {
        (ratio, true) if (1.9..=2.3).contains(&ratio) => "windings in series",
        (ratio, false) if (1.9..=2.3).contains(&ratio) => "windings in parallel",
        (ratio, true) if three && (1.6..=1.85).contains(&ratio) => "star",
        (ratio, false) if three && (1.6..=1.85).contains(&ratio) => "delta",
        _ => "",
    };
    Work::Connect { volts, way }
}

pub(super) fn phases(f: &Facts, sink: &mut impl Sink) {
    let one_or_three = |p: &u8| *p > 0;
    let Some(new) = get(&f.new.phases).filter(one_or_three) else {
        return sink.ask(&a::PHASES, &q::NEW_PHASES);
    };
    let need = f
        .site
        .phases
        .filter(one_or_three)
        .or(get(&f.old.phases).filter(one_or_three));
    let Some(need) = need else {
        return sink.ask(&a::PHASES, &q::PHASES);
    };
    let verdict = if need == new {
        Verdict::Same
    } else {
        Verdict::DoNotFit
    };
    sink.judge(&a::PHASES, verdict, || {
        let note = match verdict {
            Verdict::Same => "",
            _ => "A phase converter or drive is an engineering change, not a repair.",
        };
        Said::of(new.to_string(), note).limit(need.to_string())
    });
}

pub(super) fn frequency(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = list(&f.new.frequency) else {
        return sink.ask(&a::FREQUENCY, &q::NEW_FREQUENCY);
    };
    let old = list(&f.old.frequency);
    let same = old.is_some_and(|old| same_set(old, new));
    let best = if same { Verdict::Same } else { Verdict::Suits };
    let plate = || joined(new.iter().map(|v| v.0));
    let Some(site) = opt(f.site.frequency) else {
        return match old {
            Some(old) if old.iter().all(|v| has(new, v.0)) => {
                sink.judge(&a::FREQUENCY, best, || {
                    Said::of(plate(), "As on the old plate.")
                })
            }
            _ => sink.ask(&a::FREQUENCY, &q::FREQUENCY),
        };
    };
    let near = new.iter().any(|p| (site - p.0).abs() <= 0.05 * p.0 + HAIR);
    let say = |note| move || Said::of(plate(), note).limit(short(site, 1));
    match near {
        true => sink.judge(&a::FREQUENCY, best, say("")),
        false => sink.judge(
            &a::FREQUENCY,
            Verdict::DoNotFit,
            say(
                "The plate does not list the supply's frequency; speed and heating would be wrong.",
            ),
        ),
    }
}

/// The regulators that chop or lower the supply.
fn regulator(control: Control) -> bool {
    use Control::*;
    matches!(
        control,
        SolidStateSpeedController | VoltageController | FrequencyDrive
    )
}

pub(super) fn control(f: &Facts, sink: &mut impl Sink) {
    use MotorType::*;
    let may = get(&f.new.speed_control);
    let Some(control) = f.site.control else {
        // The old motor lived with whatever is there. The same type does too, except where the
        // plate's own word on speed control decides.
        let alike = f.new_type.is_some() && f.new_type == f.old_type;
        let plain = !matches!(f.new_type, Some(PermanentSplitCapacitor | DirectCurrent));
        return match alike && (plain || may == Some(true)) {
            true => sink.judge(&a::CONTROL, Verdict::Suits, || {
                Said::of(
                    "not looked at",
                    "The same type as before stands the same control.",
                )
            }),
            false => sink.ask(&a::CONTROL, &q::CONTROL),
        };
    };
    let say = |value: &'static str, note: &'static str| move || Said::of(value, note);
    if !regulator(control) {
        return sink.judge(&a::CONTROL, Verdict::Same, say("no speed controller", ""));
    }
    let Some(new) = f.new_type else {
        return sink.ask(&a::CONTROL, &q::NEW_TYPE);
    };
    let drive = control == Control::FrequencyDrive;
    let value = if drive {
        "frequency drive"
    } else {
        "speed controller"
    };
    match (drive, new) {
        (_, SplitPhase | CapacitorStart | CapacitorStartCapacitorRun) => {
            let note = "Its start switch closes again at low speed and the start winding burns.";
            sink.judge(&a::CONTROL, Verdict::DoNotFit, say(value, note));
        }
        (_, ElectronicallyCommutated) => {
            let note = "Its electronics must have the full supply, never a chopped one.";
            sink.judge(&a::CONTROL, Verdict::DoNotFit, say(value, note));
        }
        (false, ThreePhaseInduction) | (true, ShadedPole) | (_, DirectCurrent) => {
            let note = "This type is not to be run on this control.";
            sink.judge(&a::CONTROL, Verdict::DoNotFit, say(value, note));
        }
        (true, ThreePhaseInduction) => {
            let best = if may == Some(true) {
                Verdict::Same
            } else {
                Verdict::Suits
            };
            sink.caution(|| "On a drive: check bearing currents and cooling at low speed.".into());
            sink.judge(
                &a::CONTROL,
                best,
                say(value, "An inverter-duty winding is preferred."),
            );
        }
        (false, ShadedPole) => sink.judge(&a::CONTROL, Verdict::Same, say(value, "")),
        (drive, PermanentSplitCapacitor) => match may {
            Some(true) => sink.judge(
                &a::CONTROL,
                Verdict::Same,
                say(value, "The plate allows it."),
            ),
            Some(false) if drive => {
                let note = "A drive only with a motor made for it.";
                sink.judge(&a::CONTROL, Verdict::DoNotFit, say(value, note));
            }
            Some(false) => sink.work(
                &a::CONTROL,
                &[Work::RemoveController],
                say(value, "The motor is not made for speed control."),
            ),
            None => sink.ask(&a::CONTROL, &q::CONTROLLABLE),
        },
    }
}
