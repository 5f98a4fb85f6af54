//! Overload protection: how high a separate device or the motor's own protector may act.

use crate::shown::{Fill, exact, line, plausible};
use crate::units::Celsius;
use crate::working::{Line, Missing, Verdict, Working};
use rust_decimal::Decimal;

/// Percentages of the plate current for a separate overload device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OverloadPercent {
    /// Highest setting, percent of the plate current.
    pub highest: u32,
    /// Only where the first figure will not start or carry the load.
    pub stepped_up: u32,
}

/// 125 % (140 %) with a marked service factor of 1.15 or more or a marked rise of 40 °C or less,
/// 115 % (130 %) for all other motors. Of the plate current; a maximum, never rounded up.
/// Source: NEC 430.32(A)(1), 430.32(C).
pub fn overload_percent(service_factor: Option<f64>, rise: Option<Celsius>) -> OverloadPercent {
    let strong = service_factor.is_some_and(|sf| sf.is_finite() && sf >= 1.15 - 1e-9)
        || rise.is_some_and(|rise| rise.0 > 0.0 && rise.0 <= 40.0);
    if strong {
        OverloadPercent {
            highest: 125,
            stepped_up: 140,
        }
    } else {
        OverloadPercent {
            highest: 115,
            stepped_up: 130,
        }
    }
}

/// Highest setting in amperes: `percent plate / 100`. Source: NEC 430.32(A)(1), 430.32(C).
pub fn overload_max(plate_amps: Decimal, percent: u32) -> Decimal {
    plate_amps
        .checked_mul(Decimal::from(percent))
        .unwrap_or(Decimal::MAX)
        / Decimal::ONE_HUNDRED
}

/// Percentage of the table current at which a protector inside a motor over 1 hp must have acted.
///
/// 170 % to 9 A, 156 % to 20 A, 140 % above. Source: NEC 430.32(A)(2).
pub fn protector_percent(table_flc: Decimal) -> u32 {
    if table_flc <= Decimal::from(9) {
        170
    } else if table_flc <= Decimal::from(20) {
        156
    } else {
        140
    }
}

/// Highest current at which a protector inside a motor over 1 hp may finally act, in amperes.
///
/// By [`protector_percent`]. Source: NEC 430.32(A)(2).
pub fn protector_max(table_flc: Decimal) -> Decimal {
    overload_max(table_flc, protector_percent(table_flc))
}

/// Asks for the two markings that allow the higher percentage.
pub(crate) fn missing_marks() -> Missing {
    Missing {
        what: "marked service factor and marked temperature rise".into(),
        why: "with service factor 1.15 or a rise of 40 °C the overload device may be set to 125 %"
            .into(),
        how: "read the plate; `not marked` is an answer too".into(),
    }
}

/// What is asked of an overload protection.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OverloadAsk {
    /// Current on the plate.
    pub plate_amps: Option<Decimal>,
    /// Marked service factor.
    pub service_factor: Option<f64>,
    /// Marked rise.
    pub rise: Option<Celsius>,
    /// The plate was read for both markings; a blank is then `not marked`.
    pub marks_read: bool,
    /// The protector sits in the motor; `None`: either.
    pub in_motor: Option<bool>,
    /// Power in horsepower.
    pub hp: Option<f64>,
    /// Full-load current of the table.
    pub table_amps: Option<Decimal>,
    /// Present setting of a separate device.
    pub setting: Option<Decimal>,
}

/// What is allowed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverloadAnswer {
    /// Percentages of a separate device.
    pub percent: OverloadPercent,
    /// Highest and stepped-up setting.
    pub amps: Option<(Decimal, Decimal)>,
    /// Percentage and final trip of a protector in a motor over 1 hp.
    pub protector: Option<(u32, Decimal)>,
}

/// Separate device by the plate, protector in the motor by the table.
/// Source: NEC 430.32(A) to (C).
pub fn overload(ask: &OverloadAsk) -> (OverloadAnswer, Working) {
    let percent = overload_percent(ask.service_factor, ask.rise);
    let plate = ask.plate_amps.and_then(plausible);
    let answer = OverloadAnswer {
        percent,
        amps: plate.map(|plate| {
            (
                overload_max(plate, percent.highest),
                overload_max(plate, percent.stepped_up),
            )
        }),
        protector: ask
            .table_amps
            .and_then(plausible)
            .filter(|_| ask.hp.is_none_or(|hp| hp > 1.011))
            .map(|amps| (protector_percent(amps), protector_max(amps))),
    };
    let mut working = Working::new("Overload protection");
    working.cautions.push(super::CAUTION.into());
    if ask.in_motor != Some(true) {
        separate_lines(&mut working, ask, &answer);
    }
    if ask.in_motor != Some(false) {
        protector_line(&mut working, ask, &answer);
    }
    (answer, working)
}

fn separate_lines(working: &mut Working, ask: &OverloadAsk, answer: &OverloadAnswer) {
    let percent = answer.percent;
    working.lines.push(
        line("percent", "Separate device, of the plate current")
            .value(percent.highest.to_string(), "%")
            .limit(format!(
                "{} % where it will not start or carry the load",
                percent.stepped_up
            ))
            .rule(
                "service factor 1.15 or rise of 40 °C: 125 and 140 %; else 115 and 130 %",
                "NEC 430.32(A)(1), 430.32(C)",
            ),
    );
    if percent.highest == 115
        && !ask.marks_read
        && (ask.service_factor.is_none() || ask.rise.is_none())
    {
        working.missing.push(missing_marks());
    }
    match answer.amps {
        Some((most, stepped)) => working.lines.push(setting_line(ask, most, stepped)),
        None if ask.in_motor == Some(false) || ask.setting.is_some() => {
            working.missing.push(Missing {
                what: "current on the plate".into(),
                why: "the setting follows the plate".into(),
                how: "read the plate at the circuit's voltage".into(),
            });
        }
        None => {}
    }
}

fn setting_line(ask: &OverloadAsk, most: Decimal, stepped: Decimal) -> Line {
    let words = exact(most);
    let shown = line("setting", "Separate device, at most")
        .value(words.clone(), "A")
        .limit(format!("{} A where it will not start", exact(stepped)))
        .rule("a maximum, never rounded up", "NEC 430.32(A)(1), 430.32(C)");
    let Some(setting) = ask.setting.and_then(plausible) else {
        return shown;
    };
    let shown = shown.margin(format!("{} A left", exact(most - setting)));
    if setting <= most {
        shown.judge(
            Verdict::Within,
            "The setting is not above the plate's limit.",
        )
    } else if setting <= stepped {
        let note = format!("Only where the motor will not start or carry its load on {words} A.");
        shown.judge(Verdict::WithinNote, note)
    } else {
        shown.judge(Verdict::Beyond, format!("Set it to {words} A or less."))
    }
}

fn protector_line(working: &mut Working, ask: &OverloadAsk, answer: &OverloadAnswer) {
    let shown = line("protector", "Protector inside the motor");
    let small = ask.hp.is_some_and(|hp| hp <= 1.011);
    working
        .lines
        .push(match (answer.protector, ask.table_amps) {
            (Some((percent, most)), Some(table)) => shown
                .value(exact(most), "A")
                .limit(format!("{percent} % of {} A", exact(table)))
                .rule(
                    "over 1 hp: 170 % of the table current to 9 A, 156 % to 20 A, 140 % above",
                    "NEC 430.32(A)(2)",
                ),
            _ if small => shown.value("no percentage", "").rule(
                "1 hp or less: a protector approved for the motor, or impedance protection",
                "NEC 430.32(B)(2) to (4)",
            ),
            _ => {
                if ask.in_motor == Some(true) {
                    working.missing.push(Missing {
                        what: "horsepower, phases and voltage".into(),
                        why: "the protector is judged by the table current".into(),
                        how: "read the plate".into(),
                    });
                }
                return;
            }
        });
}
