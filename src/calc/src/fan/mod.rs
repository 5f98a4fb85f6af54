//! Fan laws, tip speed, and the speed a belt drive gives; beside it air, systems, screens, guards.

pub mod air;
pub mod guard;
pub mod screen;
pub mod speed;
pub mod system;

use crate::motor::{MotorError, positive};
use crate::units::{MetresPerSecond, Millimetres, Rpm, Watts};

/// Highest rim speed of a cast-iron sheave, 6500 ft/min. Source: from memory.
pub const CAST_IRON_RIM: MetresPerSecond = MetresPerSecond(33.02);

/// Ratios of new over old.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratios {
    /// New flow over old.
    pub flow: f64,
    /// New pressure over old.
    pub pressure: f64,
    /// New shaft power over old.
    pub power: f64,
}

/// One working point of a fan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FanPoint {
    /// Flow, m³/s.
    pub flow_m3_s: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// Shaft power.
    pub power: Watts,
    /// Speed of the wheel.
    pub speed: Rpm,
    /// Diameter of the wheel.
    pub diameter: Millimetres,
    /// Density of the air, kg/m³.
    pub density_kg_m3: f64,
}

/// Changes on a direct drive when only the speed changes: `r`, `r^2`, `r^3` with `r = n2/n1`.
///
/// Valid for the same fan on the same fixed system at equal density. A system that holds a
/// constant pressure (controlled dampers, stack effect) does not follow it.
/// Source: fan laws, AMCA 201.
/// # Errors
/// [`MotorError::NotPositive`] for a speed.
pub fn speed_change(from: Rpm, to: Rpm) -> Result<Ratios, MotorError> {
    laws(from, to, 1.0, 1.0)
}

/// Fan laws: flow `~ n D^3`, pressure `~ n^2 D^2 rho`, power `~ n^3 D^5 rho`.
///
/// `n` in rpm, `D` wheel diameter in mm, `rho` air density in kg/m3. Valid for the same point on
/// the curve; the diameter law only between geometrically similar fans, never for cut or changed
/// blades. Source: fan laws, AMCA 201.
/// # Errors
/// [`MotorError::NotPositive`] for a speed, diameter or density.
pub fn fan_laws(
    from: &FanPoint,
    speed: Rpm,
    diameter: Millimetres,
    density_kg_m3: f64,
) -> Result<FanPoint, MotorError> {
    let d = positive("diameter", diameter.0)? / positive("diameter", from.diameter.0)?;
    let rho = positive("density", density_kg_m3)? / positive("density", from.density_kg_m3)?;
    let r = laws(from.speed, speed, d, rho)?;
    Ok(FanPoint {
        flow_m3_s: from.flow_m3_s * r.flow,
        pressure_pa: from.pressure_pa * r.pressure,
        power: Watts(from.power.0 * r.power),
        speed,
        diameter,
        density_kg_m3,
    })
}

fn laws(from: Rpm, to: Rpm, d: f64, rho: f64) -> Result<Ratios, MotorError> {
    let n = positive("new speed", to.0)? / positive("old speed", from.0)?;
    Ok(Ratios {
        flow: n * d.powi(3),
        pressure: (n * d).powi(2) * rho,
        power: n.powi(3) * d.powi(5) * rho,
    })
}

/// Speed of a wheel's rim, or of a belt on its sheave: `v = pi D n / 60 000`.
///
/// `v` in m/s, `D` in mm, `n` in rpm. Source: geometry.
/// # Errors
/// [`MotorError::NotPositive`] for diameter or speed.
pub fn tip_speed(diameter: Millimetres, speed: Rpm) -> Result<MetresPerSecond, MotorError> {
    let d = positive("diameter", diameter.0)?;
    let n = positive("speed", speed.0)?;
    Ok(MetresPerSecond(std::f64::consts::PI * d * n / 60_000.0))
}

/// Speed of a belt-driven shaft: `n2 = n1 d / D`.
///
/// `n1` motor speed in rpm, `d` motor sheave, `D` driven sheave, both *pitch* diameters in mm.
/// Slip of the belt (about 1 % when well tensioned) is left out. Source: geometry.
/// # Errors
/// [`MotorError::NotPositive`] for any input.
pub fn driven_speed(
    motor: Rpm,
    motor_sheave: Millimetres,
    driven_sheave: Millimetres,
) -> Result<Rpm, MotorError> {
    let n = positive("motor speed", motor.0)?;
    let d = positive("motor sheave", motor_sheave.0)?;
    Ok(Rpm(n * d / positive("driven sheave", driven_sheave.0)?))
}
