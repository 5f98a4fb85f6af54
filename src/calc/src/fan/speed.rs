//! What another speed asks of the motor and of the wheel, and how fast a motor's power lets a fan run.

use crate::motor::{MotorError, positive};
use crate::shown::{Fill, ask, figure, line};
use crate::units::{Rpm, Watts};
use crate::working::{Verdict, Working};

/// Share by which flow and speed may rise until a power limit is met: `(W2/W1)^(1/3)`.
///
/// The cube law turned round; same fan, same fixed system, equal density. Source: fan laws, AMCA 201.
/// # Errors
/// [`MotorError::NotPositive`] for a power.
pub fn ratio_for_power(now: Watts, limit: Watts) -> Result<f64, MotorError> {
    Ok((positive("power limit", limit.0)? / positive("power now", now.0)?).cbrt())
}

/// What is known of motor and wheel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// Rated power of the motor.
    pub motor: Option<Watts>,
    /// Its service factor, from the plate.
    pub service_factor: Option<f64>,
    /// Highest speed of the wheel.
    pub wheel: Option<Rpm>,
}

/// Service factors that plates carry. Source: NEMA MG 1; common practice.
pub const SERVICE_FACTORS: std::ops::RangeInclusive<f64> = 1.0..=1.5;

/// Adds the verdicts on motor and wheel at a new speed.
///
/// The shaft power is held against the motor's rated power; up to its service factor there is a note,
/// for the reserve is then used up. Source: NEMA MG 1 (service factor); common practice.
pub fn judge(working: &mut Working, power: Option<Watts>, speed: Rpm, limits: &Limits) {
    judge_motor(working, power, limits);
    judge_wheel(working, speed, limits.wheel);
}

/// As [`judge`], from the speed and power now: a motor that is overloaded already is said, and the
/// wheel's limit is not asked for where the wheel turns no faster than it did.
/// Source: common practice.
pub fn judge_change(
    working: &mut Working,
    (now, power_now): (Rpm, Option<Watts>),
    (speed, power): (Rpm, Option<Watts>),
    limits: &Limits,
) {
    judge_now(working, power_now, limits);
    judge_motor(working, power, limits);
    if limits.wheel.is_some() || speed.0 > now.0 {
        judge_wheel(working, speed, limits.wheel);
    }
}

/// The power now above the rated one, and above the service factor where it is known.
pub fn judge_now(working: &mut Working, power: Option<Watts>, limits: &Limits) {
    let (Some(power), Some(rated)) = (power, limits.motor) else {
        return;
    };
    let share = power.0 / rated.0;
    let (verdict, _) = motor_verdict(share, limits.service_factor);
    if verdict == Verdict::Within {
        return;
    }
    let note = match verdict {
        Verdict::Beyond => {
            "Overloaded already: keep no such load on it, and find out why it is there."
        }
        _ => "Inside the service factor already: no reserve is left.",
    };
    working.lines.push(
        line("motor_power_now", "Shaft power now against the motor")
            .value(figure(power.0, 1), "W")
            .limit(format!("{} W rated", figure(rated.0, 1)))
            .margin(format!("{} % of rated", figure(100.0 * share, 1)))
            .rule(
                "shaft power at most the rated power",
                "common practice; service factor NEMA MG 1",
            )
            .judge(verdict, note),
    );
}

fn judge_motor(working: &mut Working, power: Option<Watts>, limits: &Limits) {
    let shown = line("motor_power", "Shaft power against the motor").rule(
        "shaft power at the new speed at most the rated power",
        "common practice; service factor NEMA MG 1",
    );
    let Some(power) = power else {
        return ask(
            working,
            shown,
            "shaft power now",
            "it grows with the cube of the speed, and the motor must carry it",
            "work it out from volts, amps, power factor and efficiency, or measure the amps against the plate",
        );
    };
    let Some(rated) = limits
        .motor
        .filter(|rated| rated.0.is_finite() && rated.0 > 0.0)
    else {
        return ask(
            working,
            shown,
            "rated power of the motor",
            "the shaft power at the new speed is held against it",
            "read it on the motor's plate",
        );
    };
    let share = power.0 / rated.0;
    let shown = shown
        .value(figure(power.0, 1), "W")
        .limit(format!("{} W rated", figure(rated.0, 1)))
        .margin(format!("{} % of rated", figure(100.0 * share, 1)));
    let (verdict, note) = motor_verdict(share, limits.service_factor);
    working.lines.push(shown.judge(verdict, note));
}

/// Verdict on a share of the rated power, with the plate's service factor where it is known.
fn motor_verdict(share: f64, service: Option<f64>) -> (Verdict, &'static str) {
    let service = service.filter(|sf| sf.is_finite() && *sf > 1.0);
    if share <= 1.0 + 1e-9 {
        (
            Verdict::Within,
            "The motor carries it; measure the amps after the change.",
        )
    } else if service.is_some_and(|sf| share <= sf + 1e-9) {
        (
            Verdict::WithinNote,
            "Only inside the service factor: no reserve is left for low volts or warm air, and the motor lives shorter.",
        )
    } else {
        (
            Verdict::Beyond,
            "The motor would be overloaded: keep the speed down or fit a stronger motor, and check conductors and overload.",
        )
    }
}

fn judge_wheel(working: &mut Working, speed: Rpm, limit: Option<Rpm>) {
    let shown = line("wheel_speed", "Speed against the wheel's limit").rule(
        "never above the highest speed that the wheel is made for",
        "common practice",
    );
    let Some(limit) = limit.filter(|limit| limit.0.is_finite() && limit.0 > 0.0) else {
        return ask(
            working,
            shown,
            "highest speed of the wheel",
            "a wheel that turns too fast can burst",
            "read the fan's plate or data sheet; without it do not raise the speed",
        );
    };
    let shown = shown
        .value(figure(speed.0, 1), "rpm")
        .limit(format!("{} rpm", figure(limit.0, 1)))
        .margin(format!("{} rpm", figure(limit.0 - speed.0, 1)));
    working.lines.push(if speed.0 <= limit.0 * (1.0 + 1e-9) {
        shown.judge(Verdict::Within, "Not above the wheel's limit.")
    } else {
        shown.judge(Verdict::Beyond, "Do not run it: the wheel can burst.")
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fan::{FanPoint, fan_laws, speed_change};
    use crate::units::Millimetres;
    use proptest::prelude::*;

    fn verdict(power: f64, speed: f64, limits: Limits) -> Option<Verdict> {
        let mut working = Working::default();
        judge(&mut working, Some(Watts(power)), Rpm(speed), &limits);
        working.verdict()
    }

    #[test]
    fn rated_power_and_wheel_limit_belong_to_the_good_side() {
        let limits = Limits {
            motor: Some(Watts(1000.0)),
            service_factor: Some(1.15),
            wheel: Some(Rpm(1800.0)),
        };
        assert_eq!(verdict(1000.0, 1800.0, limits), Some(Verdict::Within));
        assert_eq!(verdict(1150.0, 1800.0, limits), Some(Verdict::WithinNote));
        assert_eq!(verdict(1151.0, 1800.0, limits), Some(Verdict::Beyond));
        assert_eq!(verdict(900.0, 1801.0, limits), Some(Verdict::Beyond));
        assert_eq!(
            verdict(900.0, 1000.0, Limits::default()),
            Some(Verdict::NotKnownYet)
        );
    }

    #[test]
    fn a_motor_overloaded_now_is_said_and_slowing_down_asks_for_no_wheel_limit() {
        let limits = Limits {
            motor: Some(Watts(1000.0)),
            ..Limits::default()
        };
        let mut working = Working::default();
        let now = (Rpm(1000.0), Some(Watts(1300.0)));
        judge_change(&mut working, now, (Rpm(800.0), Some(Watts(665.6))), &limits);
        let said = working
            .line("motor_power_now")
            .and_then(|line| line.verdict);
        assert_eq!(said, Some(Verdict::Beyond));
        assert!(working.line("wheel_speed").is_none() && working.missing.is_empty());
        judge_change(&mut working, now, (Rpm(1100.0), None), &limits);
        assert!(working.line("wheel_speed").is_some());
    }

    proptest! {
        #[test]
        fn there_and_back_gives_the_point_again(
            n1 in 100.0..4000.0f64, n2 in 100.0..4000.0f64,
            d1 in 100.0..2000.0f64, d2 in 100.0..2000.0f64,
            rho1 in 0.5..1.5f64, rho2 in 0.5..1.5f64,
        ) {
            let from = FanPoint {
                flow_m3_s: 1.3,
                pressure_pa: 210.0,
                power: Watts(450.0),
                speed: Rpm(n1),
                diameter: Millimetres(d1),
                density_kg_m3: rho1,
            };
            let to = fan_laws(&from, Rpm(n2), Millimetres(d2), rho2).expect("a point");
            let back = fan_laws(&to, Rpm(n1), Millimetres(d1), rho1).expect("a point");
            for (got, want) in [
                (back.flow_m3_s, from.flow_m3_s),
                (back.pressure_pa, from.pressure_pa),
                (back.power.0, from.power.0),
            ] {
                prop_assert!((got / want - 1.0).abs() < 1e-9);
            }
        }

        #[test]
        fn the_ratio_for_a_power_spends_just_that_power(now in 10.0..1e5f64, limit in 10.0..1e5f64) {
            let ratio = ratio_for_power(Watts(now), Watts(limit)).expect("a ratio");
            let power = speed_change(Rpm(1000.0), Rpm(1000.0 * ratio)).expect("ratios").power;
            prop_assert!((power * now / limit - 1.0).abs() < 1e-9);
        }

        #[test]
        fn more_speed_is_never_judged_better(
            power in 1.0..5000.0f64, rated in 1.0..5000.0f64, n in 100.0..4000.0f64,
            wheel in 100.0..4000.0f64, sf in 1.0..1.4f64, more in 1.0..2.0f64,
        ) {
            let limits = Limits {
                motor: Some(Watts(rated)),
                service_factor: Some(sf),
                wheel: Some(Rpm(wheel)),
            };
            let now = verdict(power, n, limits).map(Verdict::severity);
            let faster = verdict(power * more.powi(3), n * more, limits).map(Verdict::severity);
            prop_assert!(faster >= now);
        }

        #[test]
        fn no_figure_breaks_it(a in any::<f64>(), b in any::<f64>(), c in any::<f64>()) {
            let _ = ratio_for_power(Watts(a), Watts(b));
            let limits = Limits {
                motor: Some(Watts(b)),
                service_factor: Some(c),
                wheel: Some(Rpm(a)),
            };
            prop_assert!(verdict(a, c, limits).is_some());
        }
    }
}
