//! A motor's year from one reading: power, energy, money, and how far it is loaded.

use super::{
    EnergyError, Input, Metered, above_zero, hours, judge_load, load_share, metered, shown, within,
    yearly_kwh,
};
use crate::shown::{Fill, ask, line};
use crate::units::Watts;
use crate::working::Working;

/// What is known of the year.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct YearInput {
    /// Volts, amperes, phases, power factor.
    pub read: Option<Metered>,
    /// Input power from a power meter; goes before `read`.
    pub measured: Option<Watts>,
    /// Hours it runs in a year.
    pub hours: Option<f64>,
    /// Price of a kWh.
    pub price: Option<f64>,
    /// Rated output.
    pub rated: Option<Watts>,
    /// Efficiency at full load, percent.
    pub full_load_percent: Option<f64>,
}

/// The figures of a year. With [`Input::AtMost`] energy and money are bounds too.
#[derive(Clone, Debug, PartialEq)]
pub struct Year {
    /// The calculation laid open.
    pub working: Working,
    /// Apparent power, VA, where volts and amperes were read.
    pub apparent_va: Option<f64>,
    /// Input power, or its bound; `None` where nothing was read.
    pub input: Option<Input>,
    /// Energy of a year, kWh.
    pub kwh: Option<f64>,
    /// Money of a year, in the money of the price.
    pub cost: Option<f64>,
    /// Share of the rated output; never from a bound.
    pub load: Option<f64>,
}

/// A year worked out. Source: see [`super::input_power`], [`yearly_kwh`] and [`load_share`].
/// # Errors
/// [`EnergyError`].
pub fn year(asked: &YearInput) -> Result<Year, EnergyError> {
    let mut working = Working::new("Energy of a year");
    let apparent_va = match &asked.read {
        Some(read) => Some(super::apparent(read.volts, read.amps, read.phases)?),
        None => None,
    };
    let input = input(&mut working, asked)?;
    let mut out = Year {
        working,
        apparent_va,
        input,
        kwh: None,
        cost: None,
        load: None,
    };
    match input {
        Some(input) => {
            energy(&mut out, asked, input)?;
            load(&mut out, asked, input)?;
        }
        None => ask(
            &mut out.working,
            line("input", "Input power").rule("V A PF", "definition"),
            "volts, amperes and phases, or the input power",
            "everything else follows from it",
            "read them at the motor while it runs under its usual load",
        ),
    }
    Ok(out)
}

/// From the power meter, else from volts, amperes and power factor.
fn input(working: &mut Working, asked: &YearInput) -> Result<Option<Input>, EnergyError> {
    match (asked.measured, &asked.read) {
        (Some(watts), _) => {
            let watts = above_zero("input power", watts.0)?;
            working.lines.push(
                shown("input", "Input power", watts / 1000.0, "kW")
                    .rule("as the power meter shows", "definition"),
            );
            Ok(Some(Input::Known(Watts(watts))))
        }
        (None, Some(read)) => metered(working, read).map(Some),
        (None, None) => Ok(None),
    }
}

/// A bound is said to be one on the line itself.
fn label(input: Input, known: &'static str, bound: &'static str) -> &'static str {
    match input {
        Input::Known(_) => known,
        Input::AtMost(_) => bound,
    }
}

fn energy(out: &mut Year, asked: &YearInput, input: Input) -> Result<(), EnergyError> {
    let Some(hours_a_year) = asked.hours else {
        ask(
            &mut out.working,
            line("kwh", "Energy of a year").rule("kW x hours", "definition"),
            "hours a year",
            "energy is power over time",
            "from the schedule or an hour meter",
        );
        return Ok(());
    };
    let kwh = yearly_kwh(input.watts(), hours(hours_a_year)?)?;
    out.kwh = Some(kwh);
    let words = label(input, "Energy of a year", "Energy of a year, at most");
    out.working
        .lines
        .push(shown("kwh", words, kwh, "kWh").rule("kW x hours", "definition"));
    if let Some(price) = asked.price {
        let holds = (0.0..=1e6).contains(&price);
        let cost = kwh * within("price of a kWh", "zero or above", price, holds)?;
        out.cost = Some(cost);
        let words = label(input, "Cost of a year", "Cost of a year, at most");
        out.working
            .lines
            .push(shown("cost", words, cost, "").rule("kWh x price", "definition"));
    }
    Ok(())
}

fn load(out: &mut Year, asked: &YearInput, input: Input) -> Result<(), EnergyError> {
    let shown_load = line("load", "Load, share of the rated output").rule(
        "input power x efficiency / rated output",
        "definition of efficiency",
    );
    let lacks =
        match (input, asked.rated, asked.full_load_percent) {
            (_, None, None) => return Ok(()),
            (Input::Known(watts), Some(rated), Some(percent)) => {
                let load = load_share(watts, rated, percent)?;
                out.load = Some(load);
                let shown = shown("load", "Load, share of the rated output", load, "")
                .rule("input power x efficiency / rated output", "definition of efficiency")
                .note(if load < 0.5 {
                    "Below half load the efficiency is lower than at full load, and so is the real \
                     load; how much is not guessed."
                } else {
                    "With the efficiency at full load; fair from about half load up."
                });
                out.working.lines.push(judge_load(shown, load));
                return Ok(());
            }
            (Input::AtMost(_), ..) => "power factor",
            (_, None, _) => "rated output of the motor",
            (.., None) => "efficiency at full load",
        };
    ask(
        &mut out.working,
        shown_load,
        lacks,
        "the load is the shaft's share of what the meter shows",
        "from the plate or the maker's sheet; the power factor from a power meter",
    );
    Ok(())
}
