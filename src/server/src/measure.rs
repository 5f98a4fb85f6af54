//! Quantities as people type and read them: the only place where trade units meet SI.
//!
//! A unit that is written always counts; a bare number is in the shop's units. What `…_typed`
//! writes, the parser of the same name reads back as the same value.

use crate::shop::Units;
use calc::units::{Celsius, MM_PER_INCH, Metres, Millimetres, Watts};

/// Millimetres in a foot, exact.
const MM_PER_FOOT: f64 = 12.0 * MM_PER_INCH;

/// A decimal or a fraction as stamped: `0.5`, `0,5`, `1/2`, `1 1/2`, `1-1/2`.
pub fn number(text: &str) -> Option<f64> {
    let text = text.trim().replace(',', ".");
    if let Some((front, below)) = text.split_once('/') {
        let (whole, above) = match front.trim().rsplit_once([' ', '-']) {
            Some((whole, above)) => (whole.trim().parse::<u32>().ok()?, above),
            None => (0, front),
        };
        let (above, below) = (
            above.trim().parse::<u32>().ok()?,
            below.trim().parse::<u32>().ok()?,
        );
        return (below != 0).then(|| f64::from(whole) + f64::from(above) / f64::from(below));
    }
    text.parse::<f64>().ok().filter(|n| n.is_finite())
}

/// The number in front and the unit behind it, in small letters.
fn split(text: &str) -> (&str, String) {
    let text = text.trim();
    let at = text
        .find(|c: char| c.is_alphabetic() || "°\"'%µ".contains(c))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(at);
    (
        number.trim(),
        unit.trim().trim_end_matches('.').to_lowercase(),
    )
}

/// A figure with at most `places` decimals and no trailing zeros.
pub fn figure(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if !text.contains('.') {
        return text;
    }
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// Conversions leave no dust: 12.7 mm stays 12.7 mm.
fn clean(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

/// Power: `1/6`, `1/6 hp`, `0.12 kW`, `124 W`.
pub fn power(text: &str, units: Units) -> Result<Watts, String> {
    const ASK: &str = "Enter a power with its unit, as 1/6 hp, 0.12 kW or 124 W";
    let (front, unit) = split(text);
    let value = number(front).filter(|n| *n > 0.0 && *n < 1e7).ok_or(ASK)?;
    match unit.as_str() {
        "hp" => Ok(Watts::from_hp(value)),
        "kw" => Ok(Watts(clean(value * 1000.0))),
        "w" | "watt" | "watts" => Ok(Watts(value)),
        // A fraction is horsepower wherever it is stamped.
        "" if front.contains('/') => Ok(Watts::from_hp(value)),
        "" if units == Units::Us && value <= 50.0 => Ok(Watts::from_hp(value)),
        "" if units == Units::Si && value >= 5.0 => Ok(Watts(value)),
        _ => Err(ASK.to_owned()),
    }
}

pub fn power_typed(value: Watts, units: Units) -> String {
    if units == Units::Us {
        let trade = value.hp_words();
        if power(&trade, units).is_ok_and(|read| same(read.0, value.0)) {
            return trade;
        }
    }
    format!("{} W", value.0)
}

pub fn power_words(value: Watts, units: Units) -> String {
    match units {
        Units::Us => value.hp_words(),
        Units::Si if value.0 >= 1000.0 => format!("{} kW", figure(value.0 / 1000.0, 2)),
        Units::Si => format!("{} W", figure(value.0, 0)),
    }
}

/// A short length: `1/2`, `0.5`, `12.7 mm`, `1/2 in`.
pub fn length(text: &str, units: Units) -> Result<Millimetres, String> {
    const ASK: &str = "Enter a length, as 1/2 in, 0.5 in or 12.7 mm";
    let (front, unit) = split(text);
    let value = number(front).filter(|n| *n >= 0.0 && *n < 1e6).ok_or(ASK)?;
    let mm = match (unit.as_str(), units) {
        ("in" | "inch" | "inches" | "\"", _) | ("", Units::Us) => value * MM_PER_INCH,
        ("mm", _) | ("", Units::Si) => value,
        ("cm", _) => value * 10.0,
        ("m", _) => value * 1000.0,
        ("ft" | "foot" | "feet" | "'", _) => value * MM_PER_FOOT,
        _ => return Err(ASK.to_owned()),
    };
    Ok(Millimetres(clean(mm)))
}

/// Sixteenths as the trade says them, `None` where it is none.
fn sixteenths(inches: f64) -> Option<String> {
    let n = (inches * 16.0).round();
    if !same(n, inches * 16.0) || !(0.0..1e5).contains(&n) {
        return None;
    }
    let n = n as u32;
    let (whole, mut above, mut below) = (n / 16, n % 16, 16);
    while above != 0 && above.is_multiple_of(2) {
        above /= 2;
        below /= 2;
    }
    Some(match (whole, above) {
        (whole, 0) => whole.to_string(),
        (0, above) => format!("{above}/{below}"),
        (whole, above) => format!("{whole} {above}/{below}"),
    })
}

pub fn length_typed(value: Millimetres, units: Units) -> String {
    let inches = clean(value.inches());
    let trade = sixteenths(inches).unwrap_or_else(|| figure(inches, 4));
    if units == Units::Us
        && same(
            clean(number(&trade).unwrap_or(f64::NAN) * MM_PER_INCH),
            value.0,
        )
    {
        return trade;
    }
    if units == Units::Us {
        format!("{} mm", value.0)
    } else {
        value.0.to_string()
    }
}

pub fn length_words(value: Millimetres, units: Units) -> String {
    match units {
        Units::Us => {
            let inches = clean(value.inches());
            format!(
                "{} in",
                sixteenths(inches).unwrap_or_else(|| figure(inches, 3))
            )
        }
        Units::Si => format!("{} mm", figure(value.0, 2)),
    }
}

/// A distance: feet or metres.
pub fn distance(text: &str, units: Units) -> Result<Metres, String> {
    const ASK: &str = "Enter a distance, as 12 ft or 3.6 m";
    let (front, unit) = split(text);
    let value = number(front).filter(|n| *n >= 0.0 && *n < 1e6).ok_or(ASK)?;
    let m = match (unit.as_str(), units) {
        ("ft" | "foot" | "feet" | "'", _) | ("", Units::Us) => value * MM_PER_FOOT / 1000.0,
        ("m", _) | ("", Units::Si) => value,
        ("in" | "inch" | "inches" | "\"", _) => value * MM_PER_INCH / 1000.0,
        ("mm", _) => value / 1000.0,
        ("cm", _) => value / 100.0,
        _ => return Err(ASK.to_owned()),
    };
    Ok(Metres(clean(m)))
}

pub fn distance_typed(value: Metres, units: Units) -> String {
    if units == Units::Si {
        return value.0.to_string();
    }
    let feet = figure(value.0 * 1000.0 / MM_PER_FOOT, 4);
    if distance(&feet, units).is_ok_and(|read| same(read.0, value.0)) {
        feet
    } else {
        format!("{} m", value.0)
    }
}

pub fn distance_words(value: Metres, units: Units) -> String {
    match units {
        Units::Us => format!("{} ft", figure(value.0 * 1000.0 / MM_PER_FOOT, 1)),
        Units::Si => format!("{} m", figure(value.0, 2)),
    }
}

/// A temperature: plates and tables say degrees Celsius everywhere, so a bare number is that.
pub fn celsius(text: &str) -> Result<Celsius, String> {
    const ASK: &str = "Enter a temperature, as 40 C or 104 F";
    let (front, unit) = split(text);
    let value = number(front).ok_or(ASK)?;
    let celsius = match unit.trim_start_matches('°').trim() {
        "" | "c" => value,
        "f" => clean((value - 32.0) / 1.8),
        _ => return Err(ASK.to_owned()),
    };
    if (-60.0..=300.0).contains(&celsius) {
        Ok(Celsius(celsius))
    } else {
        Err(ASK.to_owned())
    }
}

pub fn celsius_words(value: Celsius) -> String {
    format!("{} °C", figure(value.0, 1))
}

/// A number above zero whose unit, if written, must be one of `units`.
pub fn amount(text: &str, units: &[&str], ask: &str) -> Result<f64, String> {
    let (front, unit) = split(text);
    match number(front) {
        Some(n) if n > 0.0 && n < 1e7 && (unit.is_empty() || units.contains(&unit.as_str())) => {
            Ok(n)
        }
        _ => Err(ask.to_owned()),
    }
}

/// Several amounts as a plate strings them together: `208-230`, `115/230`, `1075/900`.
pub fn amounts(text: &str, units: &[&str], ask: &str) -> Result<Vec<f64>, String> {
    let (front, unit) = split(text);
    if !unit.is_empty() && !units.contains(&unit.as_str()) {
        return Err(ask.to_owned());
    }
    let parts = front
        .split(['/', '-', '–', ';', ' '])
        .map(str::trim)
        .filter(|p| !p.is_empty());
    let values: Vec<f64> = parts
        .map(|part| amount(part, &[], ask))
        .collect::<Result<_, String>>()?;
    if values.is_empty() || values.len() > 12 {
        Err(ask.to_owned())
    } else {
        Ok(values)
    }
}

/// Joined as a plate would: close together is a range, far apart is a choice.
pub fn joined(values: impl IntoIterator<Item = f64>) -> String {
    let mut text = String::new();
    let mut last = None::<f64>;
    for value in values {
        if let Some(last) = last {
            text.push(if value > last && value < 1.25 * last {
                '-'
            } else {
                '/'
            });
        }
        text.push_str(&value.to_string());
        last = Some(value);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn power_is_read_as_stamped() {
        let sixth = Watts::from_hp(1.0 / 6.0);
        assert_eq!(power("1/6", Units::Us), Ok(sixth));
        assert_eq!(power("1/6 hp", Units::Si), Ok(sixth));
        assert_eq!(power("1 1/2", Units::Us), Ok(Watts::from_hp(1.5)));
        assert_eq!(power("0.12 kW", Units::Us), Ok(Watts(120.0)));
        assert_eq!(power("0,12 kW", Units::Si), Ok(Watts(120.0)));
        assert_eq!(power("124 W", Units::Us), Ok(Watts(124.0)));
        for doubtful in ["124", "0", "-1", "1/0", "six", "3 apples"] {
            assert!(power(doubtful, Units::Us).is_err(), "{doubtful}");
        }
        assert!(power("0.12", Units::Si).is_err(), "watts or kilowatts?");
    }

    #[test]
    fn what_is_shown_in_a_form_reads_back_as_the_same_value() {
        for units in [Units::Us, Units::Si] {
            for watts in [124.3, 186.424_968, 50.0, 1100.0, 37.0] {
                assert!(same(
                    power(&power_typed(Watts(watts), units), units)
                        .expect("power")
                        .0,
                    watts
                ));
            }
            for mm in [12.7, 15.875, 120.65, 19.0, 0.0, 33.3] {
                let typed = length_typed(Millimetres(mm), units);
                assert_eq!(length(&typed, units), Ok(Millimetres(mm)), "{typed}");
            }
            for m in [3.048, 10.0, 4.572, 0.0] {
                let typed = distance_typed(Metres(m), units);
                assert_eq!(distance(&typed, units), Ok(Metres(m)), "{typed}");
            }
        }
    }

    #[test]
    fn lengths_and_lists() {
        assert_eq!(length("1/2", Units::Us), Ok(Millimetres(12.7)));
        assert_eq!(length("0.5", Units::Us), Ok(Millimetres(12.7)));
        assert_eq!(length("12.7 mm", Units::Us), Ok(Millimetres(12.7)));
        assert_eq!(length("1/2 in", Units::Si), Ok(Millimetres(12.7)));
        assert_eq!(length_words(Millimetres(15.875), Units::Us), "5/8 in");
        assert_eq!(length_words(Millimetres(120.65), Units::Us), "4 3/4 in");
        assert_eq!(amounts("208-230", &["v"], "?"), Ok(vec![208.0, 230.0]));
        assert_eq!(amounts("115/230 V", &["v"], "?"), Ok(vec![115.0, 230.0]));
        assert!(amounts("115/", &["v"], "?").is_ok_and(|v| v.len() == 1));
        assert!(amounts("high", &["v"], "?").is_err());
        assert_eq!(joined([208.0, 230.0]), "208-230");
        assert_eq!(joined([115.0, 230.0]), "115/230");
        assert_eq!(joined([1075.0, 900.0]), "1075/900");
        assert_eq!(celsius("104 F"), Ok(Celsius(40.0)));
    }
}
