//! Density of air from temperature, altitude or barometer, and humidity.

use crate::units::Celsius;

/// Gas constant of dry air, J/(kg K). Source: ASHRAE Handbook, Fundamentals, psychrometrics.
pub const GAS_CONSTANT: f64 = 287.042;
/// Kelvin at 0 °C.
const ZERO: f64 = 273.15;
/// Mass of water a mass of dry air at equal pressures: ratio of the molar masses (ASHRAE).
const WATER_TO_AIR: f64 = 0.621_945;
/// 70 °F, the temperature of the published density factors.
pub const FACTOR_TEMPERATURE: Celsius = Celsius(190.0 / 9.0);
/// Pressure at sea level in the standard atmosphere, Pa.
pub const SEA_LEVEL_PA: f64 = 101_325.0;

fn kelvin(temperature: Celsius, low: f64, high: f64) -> Option<f64> {
    (temperature.0 >= low && temperature.0 <= high).then_some(temperature.0 + ZERO)
}

/// Pressure of the standard atmosphere: `p = 101 325 (1 - 2.25577e-5 z)^5.2559`.
///
/// `p` in Pa, `z` altitude in m, -5000 to 11 000; `None` outside.
/// Source: ICAO standard atmosphere, as ASHRAE Fundamentals prints it.
pub fn standard_pressure(altitude_m: f64) -> Option<f64> {
    (-5_000.0..=11_000.0)
        .contains(&altitude_m)
        .then(|| SEA_LEVEL_PA * (1.0 - 2.255_77e-5 * altitude_m).powf(5.255_9))
}

/// The air of the standard atmosphere at an altitude, at the altitude's own temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandardAir {
    /// Temperature that the standard gives to this altitude.
    pub temperature: Celsius,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// Density at that temperature, kg/m³.
    pub density_kg_m3: f64,
}

/// Standard atmosphere with its own temperature: `T = 288.15 - 0.0065 H`,
/// `p = 101 325 (T/288.15)^5.25588`, `rho = p/(287.053 T)`, `H = r z/(r + z)`, `r = 6 356 766 m`.
///
/// `z` altitude in m, -5000 to 11 000; `None` outside. Its density is that of cold high air and must
/// not be mixed with a density at room temperature. Source: U.S. Standard Atmosphere 1976.
pub fn standard_air(altitude_m: f64) -> Option<StandardAir> {
    if !(-5_000.0..=11_000.0).contains(&altitude_m) {
        return None;
    }
    const RADIUS: f64 = 6_356_766.0;
    // Molar mass of air over the universal gas constant, both as the 1976 standard has them.
    const MOLAR: f64 = 28.964_4 / 8_314.32;
    let height = RADIUS * altitude_m / (RADIUS + altitude_m);
    let temperature = 288.15 - 0.0065 * height;
    let pressure = SEA_LEVEL_PA * (temperature / 288.15).powf(9.806_65 * MOLAR / 0.0065);
    Some(StandardAir {
        temperature: Celsius(temperature - ZERO),
        pressure_pa: pressure,
        density_kg_m3: pressure * MOLAR / temperature,
    })
}

/// Density of dry air: `rho = p/(287.042 (t + 273.15))`.
///
/// `p` absolute pressure in Pa, `t` in °C from -100 to 1000; `None` outside.
/// Source: ASHRAE Fundamentals, psychrometrics.
pub fn dry_density(temperature: Celsius, pressure_pa: f64) -> Option<f64> {
    let kelvin = kelvin(temperature, -100.0, 1_000.0)?;
    Some(pressure(pressure_pa)? / (GAS_CONSTANT * kelvin))
}

fn pressure(pa: f64) -> Option<f64> {
    (pa > 0.0 && pa <= 1e6).then_some(pa)
}

/// Pressure of saturated water vapour in Pa, over ice below 0.01 °C and over water above.
///
/// `t` in °C, -100 to 200; `None` outside. Source: ASHRAE Fundamentals (Hyland and Wexler).
pub fn saturation_pressure(temperature: Celsius) -> Option<f64> {
    let t = kelvin(temperature, -100.0, 200.0)?;
    let ln = if temperature.0 <= 0.01 {
        -5.674_535_9e3 / t + 6.392_524_7 - 9.677_843e-3 * t
            + 6.221_570_1e-7 * t.powi(2)
            + 2.074_782_5e-9 * t.powi(3)
            - 9.484_024e-13 * t.powi(4)
            + 4.163_501_9 * t.ln()
    } else {
        -5.800_220_6e3 / t + 1.391_499_3 - 4.864_023_9e-2 * t + 4.176_476_8e-5 * t.powi(2)
            - 1.445_209_3e-8 * t.powi(3)
            + 6.545_967_3 * t.ln()
    };
    Some(ln.exp())
}

/// Water in the air, kg for each kg of dry air: `w = 0.621945 pw/(p - pw)`, `pw = phi ps(t)`.
///
/// `phi` relative humidity from 0 to 1, `p` absolute pressure in Pa. `None` outside the ranges of
/// [`saturation_pressure`], or where the vapour alone would reach the pressure.
/// Source: ASHRAE Fundamentals, psychrometrics.
pub fn humidity_ratio(temperature: Celsius, humidity: f64, pressure_pa: f64) -> Option<f64> {
    if !(0.0..=1.0).contains(&humidity) {
        return None;
    }
    let vapour = humidity * saturation_pressure(temperature)?;
    let dry = pressure(pressure_pa)? - vapour;
    (dry > 0.0).then(|| WATER_TO_AIR * vapour / dry)
}

/// Density of moist air, kg of air and water a m³: `rho = p (1 + w)/(287.042 T (1 + 1.607858 w))`.
///
/// Inputs and range as [`humidity_ratio`]. Source: ASHRAE Fundamentals, psychrometrics.
pub fn moist_density(temperature: Celsius, humidity: f64, pressure_pa: f64) -> Option<f64> {
    let w = humidity_ratio(temperature, humidity, pressure_pa)?;
    let dry = dry_density(temperature, pressure_pa)?;
    Some(dry * (1.0 + w) / (1.0 + 1.607_858 * w))
}

/// Density over that of dry air at 70 °F at sea level, as fan catalogues print density factors.
///
/// `None` where the density is not above zero. Source: common practice.
pub fn density_factor(density_kg_m3: f64) -> Option<f64> {
    let standard = dry_density(FACTOR_TEMPERATURE, SEA_LEVEL_PA)?;
    (density_kg_m3.is_finite() && density_kg_m3 > 0.0).then(|| density_kg_m3 / standard)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn water_boils_near_100_celsius_at_sea_level() {
        let boiling = saturation_pressure(Celsius(100.0)).expect("in range");
        assert!((boiling - 101_418.0).abs() < 50.0, "{boiling}");
        assert_eq!(moist_density(Celsius(101.0), 1.0, SEA_LEVEL_PA), None);
    }

    #[test]
    fn ice_and_water_meet_at_the_triple_point() {
        let ice = saturation_pressure(Celsius(0.01)).expect("in range");
        let water = saturation_pressure(Celsius(0.010_001)).expect("in range");
        assert!((ice - 611.657).abs() < 0.5 && (water - ice).abs() < 0.5);
    }

    #[test]
    fn standard_air_weighs_a_trifle_less_than_0_075_pounds() {
        let standard = dry_density(FACTOR_TEMPERATURE, SEA_LEVEL_PA).expect("in range");
        let pounds = standard / crate::units::KG_M3_PER_LB_FT3;
        assert!((pounds - 0.074_89).abs() < 0.000_01, "{pounds}");
    }

    proptest! {
        #[test]
        fn higher_warmer_and_damper_air_is_lighter(
            t in -40.0..50.0f64, z in -400.0..6000.0f64, phi in 0.0..0.95f64,
        ) {
            let p = standard_pressure(z).expect("in range");
            let here = moist_density(Celsius(t), phi, p).expect("in range");
            let higher = standard_pressure(z + 100.0).expect("in range");
            prop_assert!(moist_density(Celsius(t), phi, higher) < Some(here));
            prop_assert!(moist_density(Celsius(t + 1.0), phi, p) < Some(here));
            prop_assert!(moist_density(Celsius(t), phi + 0.05, p) < Some(here));
            prop_assert!(dry_density(Celsius(t), p) >= Some(here));
        }

        #[test]
        fn no_figure_breaks_it(t in any::<f64>(), z in any::<f64>(), phi in any::<f64>()) {
            let _ = standard_air(z);
            let p = standard_pressure(z).unwrap_or(z);
            for rho in [dry_density(Celsius(t), p), moist_density(Celsius(t), phi, p)] {
                prop_assert!(rho.is_none_or(|rho| rho.is_finite() && rho >= 0.0));
                let _ = rho.and_then(density_factor);
            }
        }
    }
}
