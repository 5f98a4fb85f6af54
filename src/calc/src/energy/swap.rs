//! A better motor in place of the old one: power, energy and money saved, and when it pays back.

use super::{
    EnergyError, KW_PER_HP, Payback, above_zero, hours, judge_load, payback, percent, shown, within,
};
use crate::shown::{Fill, ask, figure, line};
use crate::units::Rpm;
use crate::working::{Line, Verdict, Working};

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

/// What a swap saves; `None` for what waits for an input, which the working names.
#[derive(Clone, Debug, PartialEq)]
pub struct Saving {
    /// The calculation laid open.
    pub working: Working,
    /// Input power saved, kW.
    pub kw: f64,
    /// Energy saved in a year, kWh.
    pub kwh: Option<f64>,
    /// Money saved in a year, in the money of the price.
    pub money: Option<f64>,
    /// When the extra cost comes back.
    pub payback: Option<Payback>,
    /// Load of the new motor, share of its rating.
    pub load: f64,
}

/// A swap worked out: power saved, energy and money of a year, payback.
///
/// Each later step waits for hours, price and cost; what is not given is named. Where no power is
/// saved, nothing pays back whatever the hours, the price and the cost.
/// Source: see [`saved_kw`] and [`payback`].
/// # Errors
/// [`EnergyError::Range`].
pub fn swap(
    asked: &Swap,
    hours_a_year: Option<f64>,
    price: Option<f64>,
    extra_cost: Option<f64>,
) -> Result<Saving, EnergyError> {
    let grown = cube(asked)?;
    let kw = saved_kw(asked)?;
    let kwh = hours_a_year.map(|h| hours(h).map(|h| kw * h)).transpose()?;
    let price = price
        .map(|price| {
            let holds = (0.0..=1e6).contains(&price);
            within("price of a kWh", "zero or above", price, holds)
        })
        .transpose()?;
    let money = kwh.zip(price).map(|(kwh, price)| kwh * price);
    let payback = match (money, extra_cost) {
        (Some(money), Some(cost)) => Some(payback(cost, money)?),
        _ if kw <= 0.0 => Some(Payback::Never),
        _ => None,
    };
    let mut saving = Saving {
        working: Working::new("Payback of a motor"),
        kw,
        kwh,
        money,
        payback,
        load: asked.load * grown,
    };
    lay_open(&mut saving, asked.speeds.map(|_| grown));
    let highest = saving.load.max(asked.load);
    if highest > 1.0 + 1e-9 {
        let shown = shown("load", "Load, share of the rated output", highest, "")
            .rule("load x (n2 / n1)^3, the higher of old and new", "fan laws");
        saving.working.lines.push(judge_load(shown, highest));
    }
    let given = [hours_a_year, price, extra_cost].map(|given| given.is_some());
    end(&mut saving, grown, lacks(given));
    Ok(saving)
}

/// What the payback waits for, in words.
fn lacks(given: [bool; 3]) -> String {
    let words = [
        "hours a year",
        "price of a kWh",
        "extra cost of the new motor",
    ];
    let lacks: Vec<&str> = words
        .into_iter()
        .zip(given)
        .filter_map(|(words, given)| (!given).then_some(words))
        .collect();
    lacks.join(", ")
}

fn lay_open(saving: &mut Saving, grown: Option<f64>) {
    let lines = &mut saving.working.lines;
    match grown {
        Some(grown) => {
            lines.push(
                shown("cube", "Shaft power, new over old", grown, "")
                    .rule("(n2 / n1)^3", "fan laws"),
            );
            lines.push(loaded(saving.load));
        }
        None => saving.working.cautions.push(
            "The machine is taken to turn as fast as before. A better motor slips less and turns it \
             faster: give both speeds to count the extra power."
                .into(),
        ),
    }
    lines.push(shown("saved", "Input power saved", saving.kw, "kW").rule(
        "hp x load x 0.746 (100/e1 - (n2/n1)^3 100/e2)",
        "definition of efficiency",
    ));
    if let Some(kwh) = saving.kwh {
        lines.push(
            shown("kwh", "Energy saved in a year", kwh, "kWh").rule("kW x hours", "definition"),
        );
    }
    if let Some(money) = saving.money {
        lines.push(shown("money", "Saved in a year", money, "").rule("kWh x price", "definition"));
    }
}

fn end(saving: &mut Saving, grown: f64, lacks: String) {
    let result = line("payback", "Simple payback").rule("extra cost / yearly saving", "definition");
    let working = &mut saving.working;
    match saving.payback {
        Some(Payback::Years(years)) => working.lines.push(result.value(figure(years, 3), "years")),
        Some(Payback::Never) if grown > 1.0 => working.lines.push(
            result
                .value("does not pay back", "")
                .note("The new motor turns the machine faster, and that takes what it saves."),
        ),
        Some(Payback::Never) => working.lines.push(result.value("does not pay back", "")),
        None => ask(
            working,
            result,
            lacks,
            "the payback cannot be worked out without it",
            "hours from the schedule or the hour meter; price and cost from the bills",
        ),
    }
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
