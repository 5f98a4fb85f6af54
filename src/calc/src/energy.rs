//! Power from the meter, energy and money of a year, and whether a better motor pays back.

use crate::shown::{Fill, ask, figure, line};
use crate::units::{Amps, Rpm, Volts, Watts};
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
        "above 0 and below 100 percent",
        value,
        value > 0.0 && value < 100.0,
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

/// What a motor swap is worked out from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swap {
    /// Rated power, hp.
    pub hp: f64,
    /// Share of it that the shaft takes with the old motor.
    pub load: f64,
    /// Efficiency of the old motor at that load, percent.
    pub old_percent: f64,
    /// Efficiency of the new motor at that load, percent.
    pub new_percent: f64,
    /// Speed of the machine with the old and with the new motor, where they differ.
    pub speeds: Option<(Rpm, Rpm)>,
}

/// How the shaft power grows with the speed: `(n2/n1)^3`; 1 without speeds.
/// Valid for fans and pumps on a system without a constant pressure. Source: fan laws.
/// # Errors
/// [`EnergyError::Range`].
pub fn cube(swap: &Swap) -> Result<f64, EnergyError> {
    match swap.speeds {
        None => Ok(1.0),
        Some((old, new)) => {
            let ratio = above_zero("new speed", new.0)? / above_zero("old speed", old.0)?;
            within(
                "ratio of the speeds",
                "from 0.1 to 10",
                ratio,
                (0.1..=10.0).contains(&ratio),
            )
            .map(|ratio| ratio.powi(3))
        }
    }
}

/// Saved input power in kW: `hp load 0.746 (100/e1 - r^3 100/e2)`, `r` the ratio of the speeds.
///
/// Below zero where the new motor takes more than the old one. The efficiencies are those at the load,
/// from the makers' figures; without speeds the machine is taken to turn as before.
/// Source: definition of efficiency, fan laws; 0.746 kW to the horsepower as the trade rounds it.
/// # Errors
/// [`EnergyError::Range`].
pub fn saved_kw(swap: &Swap) -> Result<f64, EnergyError> {
    let hp = above_zero("rated power", swap.hp)?;
    let holds = swap.load > 0.0 && swap.load <= 1.5;
    let load = within("load", "above 0 and at most 1.5", swap.load, holds)?;
    let old = percent("old efficiency", swap.old_percent)?;
    let new = percent("new efficiency", swap.new_percent)?;
    Ok(hp * load * KW_PER_HP * (100.0 / old - cube(swap)? * 100.0 / new))
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

fn shown(key: &'static str, label: &'static str, value: f64, unit: &'static str) -> Line {
    line(key, label).value(figure(value, 4), unit)
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

/// A swap laid open: power saved, energy and money of a year, payback.
///
/// Each later step waits for hours, price and cost; what is not given is named.
/// Source: see [`saved_kw`] and [`payback`].
/// # Errors
/// [`EnergyError::Range`].
pub fn swap_working(
    swap: &Swap,
    hours_a_year: Option<f64>,
    price: Option<f64>,
    extra_cost: Option<f64>,
) -> Result<Working, EnergyError> {
    let mut working = Working::new("Payback of a motor");
    let grown = cube(swap)?;
    if swap.speeds.is_some() {
        working.lines.push(
            shown("cube", "Shaft power, new over old", grown, "").rule("(n2 / n1)^3", "fan laws"),
        );
        let load = swap.load * grown;
        working.lines.push(loaded(load));
    }
    let saved = saved_kw(swap)?;
    working
        .lines
        .push(shown("saved", "Input power saved", saved, "kW").rule(
            "hp x load x 0.746 (100/e1 - (n2/n1)^3 100/e2)",
            "definition of efficiency",
        ));
    let kwh = hours_a_year
        .map(|h| hours(h).map(|h| saved * h))
        .transpose()?;
    let money = match (kwh, price) {
        (Some(kwh), Some(price)) => {
            let holds = (0.0..=1e6).contains(&price);
            Some(kwh * within("price of a kWh", "zero or above", price, holds)?)
        }
        _ => None,
    };
    if let Some(kwh) = kwh {
        working.lines.push(
            shown("kwh", "Energy saved in a year", kwh, "kWh").rule("kW x hours", "definition"),
        );
    }
    if let Some(money) = money {
        working
            .lines
            .push(shown("money", "Saved in a year", money, "").rule("kWh x price", "definition"));
    }
    let result = line("payback", "Simple payback").rule("extra cost / yearly saving", "definition");
    let what = match (hours_a_year, price, extra_cost) {
        // Without a saving in power no hours, price or cost can make it pay.
        _ if saved <= 0.0 => "",
        (None, ..) => "hours a year",
        (_, None, _) => "price of a kWh",
        (.., None) => "extra cost of the new motor",
        _ => "",
    };
    if !what.is_empty() {
        ask(
            &mut working,
            result,
            what,
            "the payback cannot be worked out without it",
            "hours from the schedule or the hour meter; price and cost from the bills",
        );
        return Ok(working);
    }
    working.lines.push(
        match payback(extra_cost.unwrap_or_default(), money.unwrap_or_default())? {
            Payback::Years(years) => result.value(figure(years, 3), "years"),
            Payback::Never if grown > 1.0 => result
                .value("does not pay back", "")
                .note("The new motor turns the machine faster, and that takes what it saves."),
            Payback::Never => result.value("does not pay back", ""),
        },
    );
    Ok(working)
}

/// The load the new motor would carry: above its rating it is no candidate.
fn loaded(load: f64) -> Line {
    let shown = shown("load", "Load of the new motor", load, "")
        .limit("1 of its rating")
        .rule("old load x (n2 / n1)^3", "fan laws");
    if load > 1.0 + 1e-9 {
        shown.judge(
            Verdict::Beyond,
            "The faster motor is overloaded: change the sheave or take a motor of the old speed.",
        )
    } else {
        shown.judge(Verdict::Within, "Inside the rating.")
    }
}

#[cfg(test)]
mod tests;
