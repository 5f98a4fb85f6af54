//! Topic: density of the air.

use super::answer;
use super::sheet::{HEIGHT, Sheet, temperature};
use crate::fan::air::{
    density_factor, dry_density, humidity_ratio, moist_density, standard_air, standard_pressure,
};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::shown::{Fill, ask, line};
use crate::units::{Celsius, KG_M3_PER_LB_FT3};

const ASHRAE: &str = "ASHRAE Fundamentals, psychrometrics";

pub(super) const AIR_DENSITY: Topic = Topic {
    name: "air_density",
    title: "Air density",
    what: "Density of dry and of moist air from temperature, altitude or barometer, and humidity.",
    subject: Subject::FanAndDrive,
    wants: WANTS,
    answers: ANSWERS,
    run,
};

const WANTS: &[Want] = &[
    want("temperature_c", "Air temperature, dry bulb", Takes::Number)
        .unit("°C")
        .note("-100 to 1000; with humidity to 200"),
    want("temperature_f", "Air temperature, in °F", Takes::Number)
        .unit("°F")
        .note("instead of °C"),
    want("altitude_m", "Altitude", Takes::Number)
        .unit("m")
        .note("-5000 to 11 000, or the barometer instead"),
    want("altitude_ft", "Altitude, in feet", Takes::Number)
        .unit("ft")
        .note("instead of m"),
    want("pressure_pa", "Absolute pressure of the air", Takes::Number)
        .unit("Pa")
        .note("station pressure, not reduced to sea level; goes before the altitude"),
    want(
        "relative_humidity_percent",
        "Relative humidity",
        Takes::Number,
    )
    .unit("%")
    .note("0 to 100; blank answers for dry air only"),
];

const ANSWERS: &[Answer] = &[
    answer("pressure_pa", "Pa", "absolute pressure used"),
    answer("dry_density_kg_m3", "kg/m³", "density of dry air"),
    answer(
        "dry_density_lb_ft3",
        "lb/ft³",
        "the same in pounds a cubic foot",
    ),
    answer(
        "density_factor",
        "",
        "dry density over that at 70 °F at sea level",
    ),
    answer("humidity_ratio", "kg/kg", "water a kg of dry air"),
    answer("moist_density_kg_m3", "kg/m³", "density of the moist air"),
    answer(
        "moist_density_lb_ft3",
        "lb/ft³",
        "the same in pounds a cubic foot",
    ),
    answer(
        "moist_density_factor",
        "",
        "moist density over dry air at 70 °F at sea level",
    ),
    answer(
        "standard_atmosphere_pressure_pa",
        "Pa",
        "pressure of the 1976 standard atmosphere at this altitude",
    ),
    answer(
        "standard_atmosphere_density_kg_m3",
        "kg/m³",
        "density of the 1976 standard atmosphere at the altitude's own cold; not for rooms",
    ),
];

fn altitude(given: &Given) -> Result<Option<f64>, Trouble> {
    // An altitude may be below the sea, so that it is not read as other lengths are.
    let metres = given.number("altitude_m")?;
    match (metres, given.number("altitude_ft")?) {
        (Some(_), Some(_)) => HEIGHT.read(given, "altitude"),
        (Some(metres), None) => Ok(Some(metres)),
        (None, feet) => Ok(feet.map(|feet| feet * crate::units::M_PER_FOOT)),
    }
}

fn humidity(given: &Given) -> Result<Option<f64>, Trouble> {
    let humidity = given.not_negative("relative_humidity_percent")?;
    if humidity.is_some_and(|percent| percent > 100.0) {
        return Err(Trouble::of(
            "relative_humidity_percent",
            "Give a humidity from 0 to 100 %",
        ));
    }
    Ok(humidity)
}

fn run(given: &Given) -> Result<Figure, Trouble> {
    let celsius = temperature(given, "temperature")?.map(Celsius);
    let altitude = altitude(given)?;
    let barometer = given.positive("pressure_pa")?;
    let humidity = humidity(given)?;
    if altitude.is_none() && barometer.is_none() {
        given.need("altitude_m", altitude)?;
    }
    let mut sheet = Sheet::new("Air density");
    let mut pressure = barometer;
    if let Some(z) = altitude {
        let (Some(standard), Some(air)) = (standard_pressure(z), standard_air(z)) else {
            return Err(Trouble::of(
                "altitude_m",
                "Give an altitude from -5000 to 11 000 m",
            ));
        };
        sheet.number("standard_atmosphere_pressure_pa", air.pressure_pa);
        sheet.number("standard_atmosphere_density_kg_m3", air.density_kg_m3);
        pressure = barometer.or(Some(standard));
    }
    let pressure = given.need("altitude_m", pressure)?;
    let rule = if barometer.is_some() {
        ("as measured", "barometer")
    } else {
        (
            "101 325 (1 - 2.25577e-5 z)^5.2559",
            "ICAO standard atmosphere",
        )
    };
    let shown = line("pressure_pa", "Absolute pressure").rule(rule.0, rule.1);
    sheet.tell(shown, pressure, 1, "Pa");
    densities(&mut sheet, celsius, pressure, humidity)?;
    sheet.caution("Density factors are relative to dry air at 70 °F at sea level, 0.0749 lb/ft³; a fan's rating may use another standard air, such as 1.2 kg/m³ or 0.075 lb/ft³.");
    sheet.done()
}

fn densities(
    sheet: &mut Sheet,
    celsius: Option<Celsius>,
    pressure: f64,
    humidity: Option<f64>,
) -> Result<(), Trouble> {
    let shown = line("dry_density_kg_m3", "Density of dry air").rule("p/(287.042 T)", ASHRAE);
    let Some(celsius) = celsius else {
        ask(
            sheet.working(),
            shown,
            "air temperature",
            "warm air is lighter, by a third of a percent for each °C",
            "measure the dry bulb in the air that the fan moves",
        );
        return Ok(());
    };
    let dry = dry_density(celsius, pressure).ok_or_else(out_of_range)?;
    sheet.tell(shown, dry, 4, "kg/m³");
    sheet.number("dry_density_lb_ft3", dry / KG_M3_PER_LB_FT3);
    let factor = density_factor(dry).ok_or_else(out_of_range)?;
    let shown = line("density_factor", "Density factor, dry")
        .rule("density / density at 70 °F at sea level", "common practice");
    sheet.tell(shown, factor, 4, "");
    if let Some(percent) = humidity {
        moist(sheet, celsius, pressure, percent)?;
    }
    Ok(())
}

fn moist(sheet: &mut Sheet, celsius: Celsius, pressure: f64, percent: f64) -> Result<(), Trouble> {
    let share = percent / 100.0;
    let water = humidity_ratio(celsius, share, pressure).ok_or_else(out_of_range)?;
    let shown = line("humidity_ratio", "Water in the air").rule("0.621945 pw/(p - pw)", ASHRAE);
    sheet.tell(shown, water, 5, "kg/kg dry air");
    let moist = moist_density(celsius, share, pressure).ok_or_else(out_of_range)?;
    let shown = line("moist_density_kg_m3", "Density of the moist air")
        .rule("p (1 + w)/(287.042 T (1 + 1.607858 w))", ASHRAE);
    sheet.tell(shown, moist, 4, "kg/m³");
    sheet.number("moist_density_lb_ft3", moist / KG_M3_PER_LB_FT3);
    sheet.number(
        "moist_density_factor",
        density_factor(moist).ok_or_else(out_of_range)?,
    );
    Ok(())
}

fn out_of_range() -> Trouble {
    Trouble::of(
        "temperature_c",
        "Out of range: -100 to 1000 °C, with humidity to 200 °C and below boiling; pressure to 1 MPa",
    )
}
