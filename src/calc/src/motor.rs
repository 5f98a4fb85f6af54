//! What a motor's plate says about its speed and torque, and where it settles on a fan's load.

use crate::plate::{Direction, MotorType, Rotation, SeenFrom};
use crate::units::{Hertz, NewtonMetres, Rpm, Watts};

/// Above this share of full load the straight-line torque curve no longer describes the motor.
pub const VALID_LOAD: f64 = 1.3;

/// Why a motor calculation has no answer.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum MotorError {
    /// Not a pole count.
    #[error("{0} is not a pole count: it must be even and from 2 to 48")]
    Poles(u32),
    /// An input that is not above zero.
    #[error("{what} must be a number above zero, not {value}")]
    NotPositive {
        /// Name of the input.
        what: &'static str,
        /// The figure given.
        value: f64,
    },
    /// Not the plate speed of an induction motor at this frequency.
    #[error("{0} rpm is no plate speed of an induction motor at this frequency")]
    PlateSpeed(f64),
    /// The full-load speed is not below the synchronous speed.
    #[error("the full-load speed {speed} rpm is not below the synchronous {synchronous} rpm")]
    NoSlip {
        /// Full-load speed, rpm.
        speed: f64,
        /// Synchronous speed, rpm.
        synchronous: f64,
    },
    /// A rotation mark that is not understood.
    #[error("give the rotation as CWSE, CCWSE, CWLE, CCWLE, CW/CCW or REV")]
    Mark,
    /// The speed of this motor type does not tell its poles.
    #[error("the speed of this motor type does not tell its poles")]
    NoPoles,
}

pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, MotorError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(MotorError::NotPositive { what, value })
    }
}

/// Speed at which the field of an a.c. motor turns.
///
/// `ns = 120 f / p`, with `ns` in rpm, `f` the supply frequency in hertz, `p` the poles.
/// Valid for: sinusoidal supply; the shaft of an induction motor turns slower by the slip.
/// Source: one turn of the field per pole pair and cycle.
/// # Errors
/// [`MotorError::Poles`] unless `p` is even and from 2 to 48; [`MotorError::NotPositive`] for `f`.
/// # Examples
/// ```
/// use calc::{motor::synchronous_speed, units::{Hertz, Rpm}};
/// assert_eq!(synchronous_speed(Hertz(60.0), 6), Ok(Rpm(1200.0)));
/// ```
pub fn synchronous_speed(frequency: Hertz, poles: u32) -> Result<Rpm, MotorError> {
    if !(2..=48).contains(&poles) || !poles.is_multiple_of(2) {
        return Err(MotorError::Poles(poles));
    }
    let f = positive("frequency", frequency.0)?;
    Ok(Rpm(120.0 * f / f64::from(poles)))
}

/// Poles read from the plate speed of the *highest* tap: the largest even `p` with `120 f/p > n`.
///
/// `n` in rpm, `f` in hertz. Valid for induction motors on their highest tap; a low tap or an
/// electronically commutated motor would give a wrong count, so the latter is refused.
/// Source: common practice, from `ns = 120 f / p` and slip above zero.
/// # Errors
/// [`MotorError::NoPoles`] for a type without slip, [`MotorError::PlateSpeed`] where no count from
/// 2 to 48 agrees, [`MotorError::NotPositive`] for the inputs.
pub fn poles_from_plate_speed(
    kind: MotorType,
    highest_tap: Rpm,
    frequency: Hertz,
) -> Result<u32, MotorError> {
    if matches!(
        kind,
        MotorType::ElectronicallyCommutated | MotorType::DirectCurrent
    ) {
        return Err(MotorError::NoPoles);
    }
    let n = positive("speed", highest_tap.0)?;
    let f = positive("frequency", frequency.0)?;
    let fits = |p: &u32| 120.0 * f / f64::from(*p) > n;
    match (2..=50).step_by(2).take_while(fits).last() {
        Some(p) if p <= 48 => Ok(p),
        _ => Err(MotorError::PlateSpeed(n)),
    }
}

/// Slip as a share of the synchronous speed: `s = (ns - n)/ns`, both in rpm.
///
/// Valid for `n` from standstill to synchronous speed. Source: definition.
/// # Errors
/// [`MotorError::NoSlip`] where `n` is above `ns`; [`MotorError::NotPositive`].
pub fn slip(synchronous: Rpm, speed: Rpm) -> Result<f64, MotorError> {
    let ns = positive("synchronous speed", synchronous.0)?;
    let n = positive("speed", speed.0)?;
    if n > ns {
        return Err(MotorError::NoSlip {
            speed: n,
            synchronous: ns,
        });
    }
    Ok((ns - n) / ns)
}

/// How far two plate speeds may differ and still be one: `0.2 (ns - n)`, in rpm.
///
/// Source: NEMA MG 1 12.46 (20 % of slip, value from memory).
/// # Errors
/// [`MotorError::NoSlip`] where `n` is above `ns`; [`MotorError::NotPositive`].
pub fn plate_speed_tolerance(synchronous: Rpm, speed: Rpm) -> Result<Rpm, MotorError> {
    Ok(Rpm(0.2 * slip(synchronous, speed)? * synchronous.0))
}

/// Torque at the shaft: `T = 60 P / (2 pi n)`, `T` in N m, `P` in watts, `n` in rpm.
///
/// Valid for any steady speed. Source: definition of power (5252 hp/rpm gives lb ft).
/// # Errors
/// [`MotorError::NotPositive`] for power or speed.
pub fn shaft_torque(power: Watts, speed: Rpm) -> Result<NewtonMetres, MotorError> {
    let p = positive("power", power.0)?;
    let n = positive("speed", speed.0)?;
    Ok(NewtonMetres(60.0 * p / (std::f64::consts::TAU * n)))
}

/// A motor at its plate point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FullLoad {
    /// Plate power.
    pub power: Watts,
    /// Plate speed.
    pub speed: Rpm,
    /// Synchronous speed.
    pub synchronous: Rpm,
}

/// A fan or pump load: the shaft power it takes and the motor speed at which it takes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Shaft power it takes.
    pub power: Watts,
    /// Motor speed at which it takes it.
    pub at: Rpm,
}

/// Where motor and load settle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Running {
    /// Speed at which they settle.
    pub speed: Rpm,
    /// Shaft power there.
    pub power: Watts,
    /// Speed over the speed of the known load; flow changes by the same ratio.
    pub speed_ratio: f64,
    /// Shaft power over plate power.
    pub load_fraction: f64,
    /// False above [`VALID_LOAD`]: the true speed lies lower than the one shown.
    pub valid: bool,
}

/// Speed at which a motor carries a load whose torque goes with the square of the speed.
///
/// Solves `T_FL (ns - n)/(ns - n_FL) = T0 (n/n0)^2` for `n`. `T_FL` is the plate torque at `n_FL`,
/// `T0` the load torque at `n0`, speeds in rpm. The balance is a quadratic in `n`; its one root
/// between standstill and `ns` is taken in the form that does not cancel, so no search is needed.
/// Valid near full load, up to a load fraction of 1.3. Fair for three-phase and split-phase
/// motors, rough for permanent-split-capacitor, poor for shaded pole.
/// Source: common practice, straight-line torque near synchronous speed and the fan law.
/// # Errors
/// [`MotorError::NoSlip`] where plate speed is not below synchronous; [`MotorError::NotPositive`].
pub fn running_speed(motor: FullLoad, load: Load) -> Result<Running, MotorError> {
    let ns = positive("synchronous speed", motor.synchronous.0)?;
    let nfl = positive("full-load speed", motor.speed.0)?;
    if nfl >= ns {
        return Err(MotorError::NoSlip {
            speed: nfl,
            synchronous: ns,
        });
    }
    let n0 = positive("load speed", load.at.0)?;
    // Both torques in units of power over speed: the factor 60/2pi falls out.
    let full = positive("plate power", motor.power.0)? / nfl;
    let taken = positive("load power", load.power.0)? / n0;
    // k (n/ns)^2 + (n/ns) - 1 = 0, with k the load torque at ns over the motor's slope.
    let k = taken / full * (ns / n0).powi(2) * (ns - nfl) / ns;
    let n = ns * 2.0 / (1.0 + (1.0 + 4.0 * k).sqrt());
    let ratio = n / n0;
    let power = load.power.0 * ratio.powi(3);
    let load_fraction = power / motor.power.0;
    positive("running speed", n)?;
    positive("load fraction", load_fraction)?;
    Ok(Running {
        speed: Rpm(n),
        power: Watts(power),
        speed_ratio: ratio,
        load_fraction,
        valid: load_fraction <= VALID_LOAD,
    })
}

/// The direction of turning seen from the shaft end; `None` where the plate does not say the end.
///
/// Counter-clockwise at the lead end is clockwise at the shaft end.
/// Source: geometry; plate marks as NEMA MG 1 writes them (IEC 60034-8 always means the shaft end).
pub fn at_shaft_end(rotation: Rotation) -> Option<Direction> {
    match rotation.seen_from {
        SeenFrom::ShaftEnd => Some(rotation.direction),
        SeenFrom::LeadEnd => Some(opposite(rotation.direction)),
        SeenFrom::NotStated => None,
    }
}

/// Rotation as a plate marks it: `CWSE`, `CCW LE`, `CW OLE`, `CWSE REV`, `ECW`, `CW/CCW`.
///
/// `SE`, `OE`, `DE`, `PE` and `OLE` are the shaft end, `LE` and `OSE` the lead end; a bare `CW` or
/// `CCW` does not state its end and stays so. A leading `E` (either way), `CW/CCW`, `REV` and
/// `reversible` mark a motor that can be reversed; without a direction of its own its end is not
/// stated. Source: common practice of plates, NEMA MG 1.
/// # Errors
/// [`MotorError::Mark`] for anything else.
pub fn rotation_mark(text: &str) -> Result<Rotation, MotorError> {
    let plain: String = text
        .chars()
        .filter(|c| c.is_ascii_alphanumeric() || *c == '/')
        .map(|c| c.to_ascii_uppercase())
        .collect();
    let either = Rotation {
        direction: Direction::Clockwise,
        seen_from: SeenFrom::NotStated,
        reversible: true,
    };
    let (rest, suffix) = ["REVERSIBLE", "REV"]
        .iter()
        .find_map(|word| plain.strip_suffix(word))
        .map_or((plain.as_str(), false), |rest| (rest, true));
    let rest = rest.trim_end_matches('/');
    if matches!(rest, "CW/CCW" | "CCW/CW") || (suffix && rest.is_empty()) {
        return Ok(either);
    }
    let (rest, prefix) = match rest.strip_prefix('E') {
        Some(rest) => (rest, true),
        None => (rest, false),
    };
    let (direction, end) = match (rest.strip_prefix("CCW"), rest.strip_prefix("CW")) {
        (Some(end), _) => (Direction::CounterClockwise, end),
        (None, Some(end)) => (Direction::Clockwise, end),
        (None, None) => return Err(MotorError::Mark),
    };
    let seen_from = match end {
        "" => SeenFrom::NotStated,
        "SE" | "OE" | "DE" | "PE" | "OLE" => SeenFrom::ShaftEnd,
        "LE" | "OSE" => SeenFrom::LeadEnd,
        _ => return Err(MotorError::Mark),
    };
    Ok(Rotation {
        direction,
        seen_from,
        reversible: suffix || prefix,
    })
}

/// The other direction of turning.
pub fn opposite(direction: Direction) -> Direction {
    match direction {
        Direction::Clockwise => Direction::CounterClockwise,
        Direction::CounterClockwise => Direction::Clockwise,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn counter_clockwise_at_the_lead_end_is_clockwise_at_the_shaft() {
        let mut mark = Rotation {
            direction: Direction::CounterClockwise,
            seen_from: SeenFrom::LeadEnd,
            reversible: false,
        };
        assert_eq!(at_shaft_end(mark), Some(Direction::Clockwise));
        mark.seen_from = SeenFrom::NotStated;
        assert_eq!(at_shaft_end(mark), None);
    }

    #[test]
    fn impossible_inputs_are_errors() {
        for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
            assert!(synchronous_speed(Hertz(bad), 4).is_err());
            assert!(shaft_torque(Watts(bad), Rpm(1750.0)).is_err());
        }
        for poles in [0, 3, 50] {
            assert!(synchronous_speed(Hertz(60.0), poles).is_err());
        }
    }

    #[test]
    fn marks_are_converted_to_the_shaft_end() {
        let at = |text: &str| rotation_mark(text).map(at_shaft_end);
        let (cw, ccw) = (Direction::Clockwise, Direction::CounterClockwise);
        for mark in [
            "CW SE", "cwse", "CWOE", "CWDE", "CWPE", "CCW LE", "CW-OLE", "CCWOSE",
        ] {
            assert_eq!(at(mark), Ok(Some(cw)), "{mark}");
        }
        for mark in ["CCWSE", "CWLE", "CWOSE", "CCW OLE", "ECCW SE", "CCWSE REV"] {
            assert_eq!(at(mark), Ok(Some(ccw)), "{mark}");
        }
        for mark in ["CW", "CCW", "CW/CCW", "REV", "reversible"] {
            assert_eq!(at(mark), Ok(None), "{mark}");
        }
        for mark in ["CW/CCW", "REV", "ECW SE", "CWSE/REV", "CWSE reversible"] {
            assert!(rotation_mark(mark).is_ok_and(|r| r.reversible), "{mark}");
        }
        for mark in ["", "left", "CWX", "CWSELE"] {
            assert_eq!(rotation_mark(mark), Err(MotorError::Mark), "{mark}");
        }
    }

    #[test]
    fn a_motor_without_slip_tells_no_poles() {
        let ecm = MotorType::ElectronicallyCommutated;
        assert_eq!(
            poles_from_plate_speed(ecm, Rpm(1075.0), Hertz(60.0)),
            Err(MotorError::NoPoles)
        );
        let psc = MotorType::PermanentSplitCapacitor;
        assert_eq!(poles_from_plate_speed(psc, Rpm(1075.0), Hertz(60.0)), Ok(6));
        assert!(poles_from_plate_speed(psc, Rpm(3600.0), Hertz(60.0)).is_err());
        assert!(poles_from_plate_speed(psc, Rpm(1.0), Hertz(60.0)).is_err());
    }

    proptest! {
        #[test]
        fn anything_at_all_is_answered_or_refused(
            text in ".{0,20}", a in any::<f64>(), b in any::<f64>(), c in any::<f64>(),
            d in any::<f64>(), e in any::<f64>(),
        ) {
            let _ = rotation_mark(&text);
            let motor = FullLoad { power: Watts(a), speed: Rpm(b), synchronous: Rpm(c) };
            let _ = running_speed(motor, Load { power: Watts(d), at: Rpm(e) });
            let _ = plate_speed_tolerance(Rpm(c), Rpm(b));
            let _ = poles_from_plate_speed(MotorType::SplitPhase, Rpm(a), Hertz(b));
        }

        #[test]
        fn a_stronger_motor_never_runs_slower(
            power in 50.0..5000.0_f64, more in 1.0..3.0_f64, slip in 0.01..0.15_f64,
            load in 0.1..1.3_f64,
        ) {
            let speed = Rpm(1800.0 * (1.0 - slip));
            let run = |times: f64| {
                let motor = FullLoad { power: Watts(power * times), speed, synchronous: Rpm(1800.0) };
                running_speed(motor, Load { power: Watts(power * load), at: speed }).unwrap()
            };
            prop_assert!(run(more).speed.0 >= run(1.0).speed.0 - 1e-9);
            prop_assert!(run(more).speed.0 < 1800.0);
        }
    }
}
