//! Figures with units as people type them on the bench: a unit that is written always counts, a
//! bare number is in the unit that stands beside the field.

use crate::measure::number;
use crate::shop::Units;
use calc::figure::Want;

/// Units of one quantity: how each is written, and its size in the first.
type Quantity = &'static [(&'static [&'static str], f64)];

const LENGTH: Quantity = &[
    (&["mm"], 1.0),
    (&["in", "inch", "inches", "\""], 25.4),
    (&["ft", "feet", "foot", "'"], 304.8),
    (&["cm"], 10.0),
    (&["m", "metres"], 1000.0),
];
const POWER: Quantity = &[
    (&["w", "watts"], 1.0),
    (&["kw"], 1000.0),
    (&["hp"], calc::units::WATTS_PER_HP),
];
const MASS: Quantity = &[
    (&["g"], 1.0),
    (&["kg"], 1000.0),
    (&["oz"], 28.349_523_125),
    (&["lb", "lbs"], 453.592_37),
];
const PRESSURE: Quantity = &[
    (&["pa"], 1.0),
    (&["kpa"], 1000.0),
    (&["inwg", "in wg", "in.wg", "inh2o"], 249.088_9),
];
const FLOW: Quantity = &[
    (&["m3/s", "m³/s"], 1.0),
    (&["m3/h", "m³/h"], 1.0 / 3600.0),
    (&["l/s"], 0.001),
    (&["cfm"], 0.000_471_947_443_2),
];
const SPEED: Quantity = &[
    (&["m/s"], 1.0),
    (&["ft/min", "fpm"], 0.00508),
    (&["mm/s"], 0.001),
    (&["in/s"], 0.0254),
];
const TORQUE: Quantity = &[
    (&["n m", "nm", "n·m"], 1.0),
    (
        &["lb-ft", "lb ft", "ft-lb", "ft lb"],
        1.355_817_948_331_400_4,
    ),
    (&["in-lb", "in lb", "lb-in"], 0.112_984_829_027_616_7),
    (&["oz-in", "oz in"], 0.007_061_551_814_226_05),
];
const FORCE: Quantity = &[(&["n"], 1.0), (&["lbf", "lb"], 4.448_221_615_260_5)];
const DENSITY: Quantity = &[
    (&["kg/m3", "kg/m³"], 1.0),
    (&["lb/ft3", "lb/ft³"], 16.018_463_37),
];
const TIME: Quantity = &[
    (&["h", "hours"], 1.0),
    (&["d", "days"], 24.0),
    (&["min"], 1.0 / 60.0),
    (&["s"], 1.0 / 3600.0),
];
const CURRENT: Quantity = &[(&["a", "amps"], 1.0), (&["ma"], 0.001)];
const VOLTAGE: Quantity = &[(&["v", "volts"], 1.0), (&["kv"], 1000.0), (&["mv"], 0.001)];
const QUANTITIES: &[Quantity] = &[
    LENGTH, POWER, MASS, PRESSURE, FLOW, SPEED, TORQUE, FORCE, DENSITY, TIME, CURRENT, VOLTAGE,
];

fn size(quantity: Quantity, unit: &str) -> Option<f64> {
    let unit = unit.to_lowercase();
    let unit = unit.trim().trim_end_matches('.');
    quantity
        .iter()
        .find(|(names, _)| names.contains(&unit))
        .map(|(_, size)| *size)
}

/// A temperature's unit, `C` or `F`.
fn degrees(unit: &str) -> Option<char> {
    match unit.trim().trim_start_matches('°').trim() {
        "C" | "c" => Some('C'),
        "F" | "f" => Some('F'),
        _ => None,
    }
}

/// How the names of a figure end in the two systems, and the unit of a US shop.
const TWINS: &[(&str, &str)] = &[
    ("_mm", "_in"),
    ("_m", "_ft"),
    ("_n", "_lb"),
    ("_n", "_lbf"),
    ("_m3_s", "_cfm"),
    ("_pa", "_inwg"),
    ("_c", "_f"),
    ("_m_s", "_fpm"),
    ("_mm_s", "_in_s"),
    ("_w", "_hp"),
    ("_kw", "_hp"),
    ("_kg", "_lb"),
    ("_g", "_oz"),
    ("_g_mm", "_oz_in"),
    ("_kg_m3", "_lb_ft3"),
    ("_n_m", "_lb_ft"),
    ("_n_m", "_in_lb"),
];

/// Whether two names are one figure in SI and in US units: `span_mm` and `span_in`.
pub fn are_twins(si: &str, us: &str) -> bool {
    TWINS.iter().any(|(si_end, us_end)| {
        let stem = si.strip_suffix(si_end);
        stem.is_some() && stem == us.strip_suffix(us_end)
    })
}

/// The unit in which a bare number is read: the field's own; for a US shop that of its twin, and
/// inches and feet where it has none.
pub fn shown_unit(want: &Want, wants: &[Want], units: Units) -> &'static str {
    let twin = wants.iter().find(|other| are_twins(want.name, other.name));
    match (want.unit, units, twin) {
        (_, Units::Us, Some(twin)) => twin.unit,
        ("mm", Units::Us, _) => "in",
        ("in", Units::Si, _) => "mm",
        ("m", Units::Us, _) => "ft",
        ("ft", Units::Si, _) => "m",
        // Plates and code tables say degrees Celsius everywhere: they stay, but for a twin.
        (unit, ..) => unit,
    }
}

/// The figure in the field's own unit; a bare number is in the unit `shown` beside the field.
/// # Errors
/// A sentence when it is no number, or its unit is not one of the field's quantity.
pub fn read(text: &str, unit: &str, shown: &str) -> Result<f64, String> {
    let text = text.trim();
    let at = text
        .find(|c: char| c.is_alphabetic() || "°\"'%µΩ".contains(c))
        .filter(|_| text.parse::<f64>().is_err())
        .unwrap_or(text.len());
    let (front, typed) = text.split_at(at);
    let typed = typed.trim();
    let value = number(front).ok_or_else(|| ask(shown))?;
    let from = if typed.is_empty() { shown } else { typed };
    convert(value, from, unit).ok_or_else(|| ask(shown))
}

fn ask(unit: &str) -> String {
    if unit.is_empty() {
        "Enter a number, such as 12.5 or 1/2".to_owned()
    } else {
        format!("Enter a number in {unit}, or with its unit")
    }
}

fn convert(value: f64, from: &str, to: &str) -> Option<f64> {
    if from.eq_ignore_ascii_case(to) {
        return Some(value);
    }
    if let (Some(from), Some(to)) = (degrees(from), degrees(to)) {
        return Some(clean(match (from, to) {
            ('F', 'C') => (value - 32.0) / 1.8,
            ('C', 'F') => value * 1.8 + 32.0,
            _ => value,
        }));
    }
    QUANTITIES.iter().find_map(|quantity| {
        let ratio = size(quantity, from)? / size(quantity, to)?;
        Some(clean(value * ratio))
    })
}

/// Conversions leave no dust: 0.5 in is 12.7 mm. Twelve figures are kept.
fn clean(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_written_unit_counts_and_a_bare_number_is_in_the_unit_shown() {
        assert_eq!(read("12.7", "mm", "mm"), Ok(12.7));
        assert_eq!(read("1/2", "mm", "in"), Ok(12.7));
        assert_eq!(read("1/2 in", "mm", "mm"), Ok(12.7));
        assert_eq!(read("30 m", "ft", "ft"), Ok(98.425_196_850_4));
        assert_eq!(read("104", "°C", "°F"), Ok(40.0));
        assert_eq!(read("40 C", "°C", "°F"), Ok(40.0));
        assert_eq!(read("7 1/2", "hp", "hp"), Ok(7.5));
        assert_eq!(read("1 kW", "W", "W"), Ok(1000.0));
        assert_eq!(read("1e3", "", ""), Ok(1000.0));
        assert_eq!(read("6 %", "%", "%"), Ok(6.0));
        assert_eq!(read("1000", "m³/s", "cfm"), Ok(0.471_947_443_2));
    }

    #[test]
    fn another_quantity_is_refused() {
        assert!(read("3 kg", "mm", "mm").is_err());
        assert!(read("fast", "rpm", "rpm").is_err());
        assert!(read("3 rpm", "", "").is_err());
        assert_eq!(
            read("x", "rpm", "rpm"),
            Err("Enter a number in rpm, or with its unit".to_owned())
        );
    }

    #[test]
    fn one_figure_of_two_systems_is_asked_once() {
        assert!(are_twins("span_mm", "span_in"));
        assert!(are_twins("flow_m3_s", "flow_cfm"));
        assert!(!are_twins("span_mm", "rim_in"));
        assert!(!are_twins("span_in", "span_mm"));
    }
}
