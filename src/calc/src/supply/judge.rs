//! The workings of a supply: running volts, unbalance and frequency against the motor's plate.

use super::{
    PlateAt, SupplyInput, combined, derating, deviation_percent, limits, plate_at, unbalance,
    within,
};
use crate::plate::Plate;
use crate::shown::{Fill, ask, figure, line, positive};
use crate::units::Volts;
use crate::working::{Line, Verdict, Working};

const STOP: &str = "Do not run the motor on this supply; fit one whose plate matches it.";

/// A measured supply against the motor's plate.
///
/// Source: NEMA MG 1 12.44 and its unbalance clause; see the functions of this module.
pub fn check(motor: &Plate, supply: &SupplyInput) -> Working {
    let mut working = Working::new("Supply at the motor");
    let volts = supply.volts.as_deref().unwrap_or_default();
    judge_volts(&mut working, motor, volts, supply.phases);
    let mean = volts.iter().map(|v| v.0).sum::<f64>() / volts.len().max(1) as f64;
    let off_volts =
        plate_at(motor, Volts(mean)).and_then(|plate| deviation_percent(plate.volts.0, mean));
    judge_frequency(&mut working, motor, supply, off_volts);
    working
}

fn frequency_line() -> Line {
    line("frequency", "Supply frequency").rule(
        "within 5 % of the plate, and voltage and frequency together within 10 %",
        "NEMA MG 1 12.44",
    )
}

fn nearest_hertz(motor: &Plate, measured: f64) -> Option<f64> {
    let plate = motor.frequency.value()?.iter().map(|hertz| hertz.0);
    plate.min_by(|a, b| (a - measured).abs().total_cmp(&(b - measured).abs()))
}

fn judge_frequency(
    working: &mut Working,
    motor: &Plate,
    supply: &SupplyInput,
    off_volts: Option<f64>,
) {
    let measured = supply.frequency;
    let plate = measured.and_then(|measured| nearest_hertz(motor, measured.0));
    let (Some(plate), Some(measured)) = (plate, measured) else {
        return ask(
            working,
            frequency_line(),
            "supply frequency and plate frequency",
            "a 50 Hz motor on 60 Hz turns a fifth faster and loads its fan by nearly three quarters more",
            "read the plate and the meter",
        );
    };
    let (Some(off), Some(off_volts)) = (deviation_percent(plate, measured.0), off_volts) else {
        return ask(
            working,
            frequency_line(),
            "voltage and frequency as figures above zero",
            "the two limits are judged together",
            "measure at the terminals with the motor running",
        );
    };
    let allowed = combined(off_volts, off).is_some_and(|(_, allowed)| allowed);
    let shown = frequency_line()
        .value(figure(measured.0, 2), "Hz")
        .limit(format!("{} Hz on the plate", figure(plate, 2)))
        .margin(format!(
            "{} % with voltage",
            figure(off.abs() + off_volts.abs(), 2)
        ));
    working.lines.push(if allowed {
        shown.judge(
            Verdict::Within,
            "Voltage and frequency together are inside the plate's limits.",
        )
    } else {
        shown.judge(Verdict::Beyond, STOP)
    });
}

/// Running voltage against the plate, and on three phases the unbalance; used by the run test too.
pub(crate) fn judge_volts(
    working: &mut Working,
    motor: &Plate,
    volts: &[Volts],
    phases: Option<u8>,
) {
    let shown =
        line("volts", "Volts at the motor").rule("within 10 % of the plate", "NEMA MG 1 12.44");
    let readings: Vec<f64> = volts.iter().filter_map(|v| positive(v.0)).collect();
    if readings.is_empty() || readings.len() != volts.len() {
        ask(
            working,
            shown,
            "volts at the motor while it runs",
            "the plate's figures hold only within 10 % of its voltage",
            "measure line to line (or line to neutral on a 120 V or 230 V motor) with the motor running",
        );
    } else if let Some(plate) = readings.first().and_then(|v| plate_at(motor, Volts(*v))) {
        working.lines.push(against_plate(shown, plate, &readings));
    } else {
        ask(
            working,
            shown,
            "plate voltage",
            "running volts are held against it",
            "read it on the motor's plate",
        );
    }
    judge_unbalance(working, phases, &readings);
}

fn against_plate(shown: Line, plate: PlateAt, readings: &[f64]) -> Line {
    let plate = plate.volts;
    let worst = readings.iter().copied().fold(plate.0, |worst, v| {
        if (v - plate.0).abs() > (worst - plate.0).abs() {
            v
        } else {
            worst
        }
    });
    let all = readings
        .iter()
        .all(|v| within(plate, Volts(*v)) == Some(true));
    let (low, high) = limits(plate).unwrap_or((plate, plate));
    let off = deviation_percent(plate.0, worst).unwrap_or_default();
    let shown = shown
        .value(figure(worst, 1), "V")
        .limit(format!("{} to {} V", figure(low.0, 1), figure(high.0, 1)))
        .margin(format!("{} % off {} V", figure(off, 2), figure(plate.0, 0)));
    if all {
        shown.judge(Verdict::Within, "Inside the limits of the plate.")
    } else {
        shown.judge(
            Verdict::Beyond,
            "Stop the motor; correct the supply or fit a motor whose plate matches it.",
        )
    }
}

/// Unbalance of three line-to-line readings; nothing on one phase.
pub(crate) fn judge_unbalance(working: &mut Working, phases: Option<u8>, readings: &[f64]) {
    let shown = line("unbalance", "Voltage unbalance").rule(
        "100 x largest distance from the mean / mean; derate above 1 %, do not run above 5 %",
        "NEMA MG 1",
    );
    match (phases, readings) {
        (Some(3), [a, b, c]) => {
            if let Some((mean, percent)) = unbalance([Volts(*a), Volts(*b), Volts(*c)]) {
                working.lines.push(unbalanced(shown, mean, percent));
            }
        }
        (Some(1), _) => {}
        (Some(3), _) => ask(
            working,
            shown,
            "all three line-to-line voltages",
            "one bad phase heats a three-phase motor long before it trips",
            "measure L1-L2, L2-L3 and L3-L1 with the motor running",
        ),
        _ => ask(
            working,
            shown,
            "number of phases",
            "three-phase motors are also judged by unbalance",
            "read it on the plate or at the disconnect",
        ),
    }
}

fn unbalanced(shown: Line, mean: Volts, percent: f64) -> Line {
    let (verdict, note) = match derating(percent) {
        None => (
            Verdict::Beyond,
            "Stop the motor and find the cause: a loose joint, a blown fuse or one loaded phase."
                .to_owned(),
        ),
        Some(f) if f < 1.0 => (
            Verdict::WithinNote,
            format!(
                "Use no more than {} of the rated power and look for the cause.",
                figure((f * 100.0 + 1e-9).floor() / 100.0, 2)
            ),
        ),
        Some(_) => (Verdict::Within, "No derating is needed.".to_owned()),
    };
    shown
        .value(figure(percent, 2), "%")
        .limit("1 %, at most 5 %")
        .margin(format!("mean {} V", figure(mean.0, 1)))
        .judge(verdict, note)
}

/// The limits of a plate voltage, and deviations of voltage and frequency in percent against them.
///
/// Source: NEMA MG 1 12.44.
pub fn check_tolerance(
    plate: Option<Volts>,
    off_volts: Option<f64>,
    off_hertz: Option<f64>,
) -> Working {
    let mut working = Working::new("Voltage and frequency tolerance");
    if let Some((low, high)) = plate.and_then(limits) {
        working.lines.push(
            line("limits", "Voltage limits of the plate")
                .value(
                    format!("{} to {}", figure(low.0, 1), figure(high.0, 1)),
                    "V",
                )
                .rule("0.9 U to 1.1 U", "NEMA MG 1 12.44"),
        );
    }
    if let Some(off) = off_volts {
        working
            .lines
            .push(deviation("voltage", "Deviation of the voltage", off, 10.0));
    }
    if let Some(off) = off_hertz {
        working
            .lines
            .push(deviation("hertz", "Deviation of the frequency", off, 5.0));
    }
    judge_sum(&mut working, off_volts, off_hertz);
    working
}

fn judge_sum(working: &mut Working, off_volts: Option<f64>, off_hertz: Option<f64>) {
    let shown = line("sum", "Both together").rule(
        "the two deviations added without sign are at most 10 %",
        "NEMA MG 1 12.44",
    );
    let what = match (off_volts, off_hertz) {
        (Some(v), Some(f)) => {
            let sum = v.abs() + f.abs();
            let shown = shown.value(figure(sum, 2), "%").limit("10 %");
            working.lines.push(match combined(v, f) {
                Some((_, true)) => shown.judge(Verdict::Within, "Inside the limits together."),
                _ => shown.judge(Verdict::Beyond, STOP),
            });
            return;
        }
        (None, None) => return,
        (Some(_), None) => "frequency at the motor, with that of the plate",
        (None, Some(_)) => "voltage at the motor, with that of the plate",
    };
    let why = "the two deviations are judged together";
    ask(working, shown, what, why, "read the plate and the meter");
}

fn deviation(key: &'static str, label: &'static str, off: f64, most: f64) -> Line {
    let shown = line(key, label)
        .value(figure(off, 3), "%")
        .limit(format!("{most} %"))
        .margin(format!("{} %", figure(most - off.abs(), 3)))
        .rule("measured against the plate", "NEMA MG 1 12.44");
    match positive(off.abs()) {
        Some(off) if off > most + 1e-6 => shown.judge(Verdict::Beyond, STOP),
        None if off != 0.0 => shown.judge(Verdict::Beyond, STOP),
        _ => shown.judge(Verdict::Within, "Inside its own limit."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plate::Field;
    use crate::units::Hertz;
    use proptest::prelude::*;

    fn severity(volts: [f64; 3], hertz: f64) -> u8 {
        let motor = Plate {
            volts: Field::read(vec![Volts(230.0), Volts(460.0)]),
            frequency: Field::read(vec![Hertz(60.0)]),
            ..Plate::default()
        };
        let input = SupplyInput {
            phases: Some(3),
            volts: Some(volts.map(Volts).to_vec()),
            frequency: Some(Hertz(hertz)),
        };
        let verdict = check(&motor, &input).verdict();
        verdict.map_or(0, Verdict::severity)
    }

    proptest! {
        #[test]
        fn farther_from_the_plate_is_never_better(off in 0.0f64..0.2, more in 0.0f64..0.1,
            low: bool, hertz in 57.0f64..63.0) {
            let at = |share: f64| {
                let volts = 460.0 * if low { 1.0 - share } else { 1.0 + share };
                severity([volts; 3], hertz)
            };
            prop_assert!(at(off + more) >= at(off));
        }

        #[test]
        fn more_unbalance_is_never_better(off in 0.0f64..0.06, more in 0.0f64..0.04) {
            let at = |share: f64| severity([460.0 * (1.0 - share), 460.0, 460.0 * (1.0 + share)], 60.0);
            prop_assert!(at(off + more) >= at(off));
        }

        #[test]
        fn deviations_beyond_a_limit_are_never_acceptable(v in -20.0f64..20.0, f in -10.0f64..10.0) {
            let working = check_tolerance(None, Some(v), Some(f));
            let beyond = v.abs() > 10.001 || f.abs() > 5.001 || v.abs() + f.abs() > 10.001;
            prop_assert!(!beyond || working.verdict() == Some(Verdict::Beyond));
        }

        #[test]
        fn no_figure_panics(a: f64, b: f64, c: f64, d: f64) {
            let _ = severity([a, b, c], d);
            let _ = check_tolerance(Some(Volts(a)), Some(b), Some(c));
        }
    }
}
