//! Power from the meter, energy and money of a year, and whether a better motor pays back.

mod swap;
mod year;

pub use swap::{Saving, Swap, cube, saved_kw, swap};
pub use year::{Year, YearInput, year};

use crate::shown::{Fill, ask, figure, line};
use crate::units::{Amps, Volts, Watts};
use crate::working::{Line, Verdict, Working};

/// Kilowatts in a horsepower as NEMA and the payback sums of the trade round it.
pub const KW_PER_HP: f64 = 0.746;
/// Hours in a leap year; more cannot be run.
pub const HOURS_IN_YEAR: f64 = 8784.0;

/// Why there is no figure.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum EnergyError {
    /// An input outside its range.
    #[error("{what} must be {range}, not {value}")]
    Range {
        /// Name of the input.
        what: &'static str,
        /// What it may be.
        range: &'static str,
        /// The figure given.
        value: f64,
    },
    /// Neither one nor three phases.
    #[error("the supply has 1 or 3 phases, not {0}")]
    Phases(u8),
}

fn above_zero(what: &'static str, value: f64) -> Result<f64, EnergyError> {
    within(
        what,
        "a number above zero and possible",
        value,
        value > 0.0 && value <= 1e9,
    )
}

fn within(
    what: &'static str,
    range: &'static str,
    value: f64,
    holds: bool,
) -> Result<f64, EnergyError> {
    if value.is_finite() && holds {
        Ok(value)
    } else {
        Err(EnergyError::Range { what, range, value })
    }
}

fn percent(what: &'static str, value: f64) -> Result<f64, EnergyError> {
    within(
        what,
        "in percent, such as 86.5: from 5 to below 100",
        value,
        (5.0..100.0).contains(&value),
    )
}

fn hours(value: f64) -> Result<f64, EnergyError> {
    let holds = (0.0..=HOURS_IN_YEAR).contains(&value);
    within("hours a year", "from 0 to 8784", value, holds)
}

/// Apparent power: `S = V A`, on three phases `S = sqrt(3) V A`, in volt-amperes.
///
/// `V` line to line on three phases, the voltage at the motor on one; `A` in the line. The power is never
/// above it. Source: definition.
/// # Errors
/// [`EnergyError::Range`] for volts or amperes, [`EnergyError::Phases`].
pub fn apparent(volts: Volts, amps: Amps, phases: u8) -> Result<f64, EnergyError> {
    let product = above_zero("volts", volts.0)? * above_zero("amperes", amps.0)?;
    match phases {
        1 => Ok(product),
        3 => Ok(product * 3f64.sqrt()),
        other => Err(EnergyError::Phases(other)),
    }
}

/// Input power: `P = S PF`, in watts; `PF` the power factor, above 0 to 1. Source: definition.
/// # Errors
/// As [`apparent`], and [`EnergyError::Range`] for a power factor above 1, which cannot be.
pub fn input_power(
    volts: Volts,
    amps: Amps,
    power_factor: f64,
    phases: u8,
) -> Result<Watts, EnergyError> {
    let holds = power_factor > 0.0 && power_factor <= 1.0;
    let pf = within("power factor", "above 0 and at most 1", power_factor, holds)?;
    Ok(Watts(apparent(volts, amps, phases)? * pf))
}

/// Current that an input power draws: `A = P / (V PF)`, on three phases `P / (sqrt(3) V PF)`.
/// `P` is the electrical input, not the shaft power. Source: definition.
/// # Errors
/// As [`input_power`].
pub fn current(
    input: Watts,
    volts: Volts,
    power_factor: f64,
    phases: u8,
) -> Result<Amps, EnergyError> {
    let power = above_zero("input power", input.0)?;
    let at_one = input_power(volts, Amps(1.0), power_factor, phases)?;
    Ok(Amps(power / at_one.0))
}

/// Energy of a year in kWh: `kW x hours`. Source: definition.
/// # Errors
/// [`EnergyError::Range`]: hours above 8784 cannot be.
pub fn yearly_kwh(input: Watts, hours_a_year: f64) -> Result<f64, EnergyError> {
    Ok(above_zero("input power", input.0)? / 1000.0 * hours(hours_a_year)?)
}

/// Share of the rated output that a motor gives, from its input power: `load = P_in eta / P_rated`.
///
/// `eta` the efficiency at full load, percent. It holds near full load; below about half load the real
/// share is lower, because the efficiency falls and what it falls to is not guessed here.
/// Source: definition of efficiency; the limit of half load is common practice.
/// # Errors
/// [`EnergyError::Range`].
pub fn load_share(input: Watts, rated: Watts, full_load_percent: f64) -> Result<f64, EnergyError> {
    let input = above_zero("input power", input.0)?;
    let rated = above_zero("rated power", rated.0)?;
    Ok(input * percent("efficiency", full_load_percent)? / 100.0 / rated)
}

/// Whether and when a cost comes back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Payback {
    /// After this many years.
    Years(f64),
    /// Nothing is saved: it does not pay back.
    Never,
}

/// Simple payback: `extra cost / yearly saving`, years. No interest, no rise of prices.
/// Source: definition.
/// # Errors
/// [`EnergyError::Range`] for a cost below zero.
pub fn payback(extra_cost: f64, saved_a_year: f64) -> Result<Payback, EnergyError> {
    let holds = (0.0..=1e12).contains(&extra_cost);
    let cost = within("extra cost", "zero or above", extra_cost, holds)?;
    let years = cost / saved_a_year;
    Ok(if saved_a_year > 0.0 && years.is_finite() && years < 1e6 {
        Payback::Years(years)
    } else {
        Payback::Never
    })
}

/// A load above the rated output: to 1.15 a note, above it beyond. Source: NEMA MG 1 (service factor);
/// common practice.
fn judge_load(line: Line, load: f64) -> Line {
    if load > 1.15 + 1e-9 {
        line.judge(
            Verdict::Beyond,
            "Overloaded: more than any usual service factor; check the figures, then the machine.",
        )
    } else if load > 1.0 + 1e-9 {
        line.judge(
            Verdict::WithinNote,
            "Above the rated output: the service factor is in use, where the motor has one.",
        )
    } else {
        line
    }
}

fn shown(key: &'static str, label: &'static str, value: f64, unit: &'static str) -> Line {
    let places = match unit {
        "kWh" => 1,
        "" if matches!(key, "cost" | "money") => 2,
        _ => 4,
    };
    line(key, label).value(figure(value, places), unit)
}

/// What was read at the motor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metered {
    /// Volts: line to line on three phases.
    pub volts: Volts,
    /// Amperes in the line; on three phases the mean of the legs.
    pub amps: Amps,
    /// Phases, 1 or 3.
    pub phases: u8,
    /// Power factor; `None` where it was not read.
    pub power_factor: Option<f64>,
}

/// Input power, or the most it can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Input {
    /// Read or worked out.
    Known(Watts),
    /// The power factor is not known: no more than this.
    AtMost(Watts),
}

impl Input {
    /// The figure, whichever it is.
    pub fn watts(self) -> Watts {
        match self {
            Input::Known(watts) | Input::AtMost(watts) => watts,
        }
    }
}

/// Input power from the meter's figures; without a power factor its upper bound, `V A`, and a word on
/// what is missing. Source: definition.
/// # Errors
/// As [`input_power`].
pub fn metered(working: &mut Working, read: &Metered) -> Result<Input, EnergyError> {
    let most = apparent(read.volts, read.amps, read.phases)?;
    let rule = if read.phases == 3 {
        "sqrt(3) V A"
    } else {
        "V A"
    };
    working
        .lines
        .push(shown("apparent", "Apparent power", most / 1000.0, "kVA").rule(rule, "definition"));
    if let Some(factor) = read.power_factor {
        let watts = input_power(read.volts, read.amps, factor, read.phases)?;
        working.lines.push(
            shown("input", "Input power", watts.0 / 1000.0, "kW")
                .rule("apparent power x power factor", "definition"),
        );
        return Ok(Input::Known(watts));
    }
    ask(
        working,
        line("input", "Input power")
            .limit(format!("at most {} kW", figure(most / 1000.0, 4)))
            .rule("apparent power x power factor", "definition"),
        "power factor",
        "a small motor takes a half to nine tenths of its volt-amperes as power",
        "read it with a power meter; the plate's figure holds at full load only",
    );
    Ok(Input::AtMost(Watts(most)))
}

#[cfg(test)]
mod tests;
