//! Topics. Energy and money, efficiency and ratings.

use super::sheet::tidied;
use super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, want};
use crate::efficiency::{self, Kind, Marked, Part, Question};
use crate::energy::{self, EnergyError, Input, Metered, Payback, Swap, YearInput};
use crate::units::{Amps, Rpm, Volts, Watts};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

mod estimates;

pub(super) static TOPICS: &[Topic] = &[
    ENERGY,
    PAYBACK,
    EFFICIENCY,
    estimates::PART_LOAD,
    estimates::POWER_RATING,
];

pub(super) const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

/// The field beside what the calculation calls it.
fn trouble(error: EnergyError) -> Trouble {
    let field = match error {
        EnergyError::Phases(_) => "phase",
        EnergyError::Range { what, .. } => match what {
            "volts" => "volts_V",
            "amperes" => "amps_A",
            "power factor" => "power_factor",
            "hours a year" => "hours_per_year",
            "price of a kWh" => "price_per_kWh",
            "input power" => "measured_kW",
            "rated power" => "power_hp",
            "efficiency" => "full_load_efficiency_percent",
            "old efficiency" => "old_efficiency_percent",
            "new efficiency" => "new_efficiency_percent",
            "old speed" => "old_speed_rpm",
            "extra cost" => "extra_cost",
            "load" => "load_fraction",
            _ => "new_speed_rpm",
        },
    };
    Trouble::of(field, format!("{error}"))
}

const ENERGY: Topic = Topic {
    name: "energy",
    title: "Power, energy and cost of a year",
    what: "Input power from volts, amperes and power factor, the energy and money of a year, and the load.",
    subject: Subject::StockAndEnergy,
    wants: &[
        want("phase", "Phases", Takes::Whole).note("1 or 3"),
        want("volts_V", "Volts at the motor", Takes::Number)
            .unit("V")
            .note("line to line on three phases"),
        want("amps_A", "Amperes in the line", Takes::Number)
            .unit("A")
            .note("mean of the legs on three phases"),
        want("power_factor", "Power factor", Takes::Number)
            .note("above 0 to 1; blank: only the most it can be is answered"),
        want("measured_kW", "Input power by a power meter", Takes::Number)
            .unit("kW")
            .note("takes the place of volts, amperes and power factor"),
        want("hours_per_year", "Hours a year", Takes::Number)
            .unit("h")
            .note("0 to 8784"),
        want("price_per_kWh", "Price of a kWh", Takes::Number).note("in your own money"),
        want("power_hp", "Rated output", Takes::Number)
            .unit("hp")
            .note("for the load"),
        want(
            "full_load_efficiency_percent",
            "Efficiency at full load",
            Takes::Number,
        )
        .unit("%")
        .note("for the load"),
    ],
    answers: &[
        answer("apparent_power_kVA", "kVA", "volts times amperes"),
        answer("input_power_kW", "kW", "input power"),
        answer(
            "input_power_at_most_kW",
            "kW",
            "bound, where the power factor is not known",
        ),
        answer("energy_kWh_per_year", "kWh", "energy of a year"),
        answer("energy_at_most_kWh_per_year", "kWh", "its bound"),
        answer("cost_per_year", "", "money of a year"),
        answer("cost_at_most_per_year", "", "its bound"),
        answer(
            "load_fraction",
            "",
            "share of the rated output, fair from half load up",
        ),
    ],
    run: |given| Ok(tidied(run_energy(given)?)),
};

fn run_energy(given: &Given) -> Result<Figure, Trouble> {
    let measured = given.positive("measured_kW")?;
    let read = if measured.is_some() && !given.has("volts_V") {
        None
    } else {
        Some(Metered {
            phases: u8::try_from(given.need_whole("phase")?).unwrap_or(u8::MAX),
            volts: Volts(given.need_positive("volts_V")?),
            amps: Amps(given.need_positive("amps_A")?),
            power_factor: given.positive("power_factor")?,
        })
    };
    let found = energy::year(&YearInput {
        read,
        measured: measured.map(|kw| Watts(kw * 1000.0)),
        hours: given.not_negative("hours_per_year")?,
        price: given.not_negative("price_per_kWh")?,
        rated: given.positive("power_hp")?.map(Watts::from_hp),
        full_load_percent: given.positive("full_load_efficiency_percent")?,
    })
    .map_err(trouble)?;
    let names = match found.input {
        Some(Input::AtMost(_)) => [
            "input_power_at_most_kW",
            "energy_at_most_kWh_per_year",
            "cost_at_most_per_year",
        ],
        _ => ["input_power_kW", "energy_kWh_per_year", "cost_per_year"],
    };
    Ok(Figure::new(found.working)
        .with_some(
            "apparent_power_kVA",
            found.apparent_va.map(|va| va / 1000.0),
        )
        .with_some(names[0], found.input.map(|input| input.watts().0 / 1000.0))
        .with_some(names[1], found.kwh)
        .with_some(names[2], found.cost)
        .with_some("load_fraction", found.load))
}

const PAYBACK: Topic = Topic {
    name: "payback",
    title: "Payback of a better motor",
    what: "Power, energy and money that a more efficient motor saves, and when its extra cost comes back.",
    subject: Subject::StockAndEnergy,
    wants: &[
        want("power_hp", "Rated output", Takes::Number).unit("hp"),
        want("load_fraction", "Load", Takes::Number)
            .note("share of the rated output with the old motor, above 0 to 1.5"),
        want(
            "old_efficiency_percent",
            "Efficiency of the old motor",
            Takes::Number,
        )
        .unit("%")
        .note("at this load"),
        want(
            "new_efficiency_percent",
            "Efficiency of the new motor",
            Takes::Number,
        )
        .unit("%")
        .note("at this load"),
        want("old_speed_rpm", "Speed with the old motor", Takes::Number)
            .unit("rpm")
            .note("blank: the speed is taken not to change"),
        want("new_speed_rpm", "Speed with the new motor", Takes::Number).unit("rpm"),
        want("hours_per_year", "Hours a year", Takes::Number)
            .unit("h")
            .note("0 to 8784"),
        want("price_per_kWh", "Price of a kWh", Takes::Number).note("in your own money"),
        want("extra_cost", "Extra cost of the new motor", Takes::Number)
            .note("in the money of the price"),
    ],
    answers: &[
        answer(
            "saved_kW",
            "kW",
            "input power saved; below zero when the new motor takes more",
        ),
        answer("saved_kWh_per_year", "kWh", "energy saved in a year"),
        answer("saved_money_per_year", "", "money saved in a year"),
        answer("pays_back", "", "whether the extra cost comes back at all"),
        answer(
            "simple_payback_years",
            "years",
            "left out where it does not pay back",
        ),
        answer(
            "new_load_fraction",
            "",
            "load of the new motor with the changed speed",
        ),
    ],
    run: |given| Ok(tidied(run_payback(given)?)),
};

/// Both speeds or none.
fn speeds(given: &Given) -> Result<Option<(Rpm, Rpm)>, Trouble> {
    let old = given.positive("old_speed_rpm")?;
    let new = given.positive("new_speed_rpm")?;
    if old.is_none() && new.is_none() {
        return Ok(None);
    }
    let old = given.need("old_speed_rpm", old)?;
    Ok(Some((Rpm(old), Rpm(given.need("new_speed_rpm", new)?))))
}

fn run_payback(given: &Given) -> Result<Figure, Trouble> {
    let speeds = speeds(given)?;
    let asked = Swap {
        hp: given.need_positive("power_hp")?,
        load: given.need_positive("load_fraction")?,
        old_percent: given.need_positive("old_efficiency_percent")?,
        new_percent: given.need_positive("new_efficiency_percent")?,
        speeds,
    };
    let found = energy::swap(
        &asked,
        given.not_negative("hours_per_year")?,
        given.not_negative("price_per_kWh")?,
        given.not_negative("extra_cost")?,
    )
    .map_err(trouble)?;
    let years = match found.payback {
        Some(Payback::Years(years)) => Some(years),
        _ => None,
    };
    Ok(Figure::new(found.working)
        .with("saved_kW", found.kw)
        .with_some("saved_kWh_per_year", found.kwh)
        .with_some("saved_money_per_year", found.money)
        .with_some(
            "pays_back",
            found.payback.map(|found| found != Payback::Never),
        )
        .with_some("simple_payback_years", years)
        .with("new_load_fraction", found.load))
}

const KINDS: &[(&str, &str)] = &[
    ("three_phase", "Three-phase induction"),
    (
        "capacitor_start",
        "Capacitor-start, with or without run capacitor",
    ),
    ("permanent_split_capacitor", "Permanent split capacitor"),
    ("shaded_pole", "Shaded pole"),
    ("split_phase", "Split phase"),
    ("electronically_commutated", "Electronically commutated"),
    ("direct_current", "Direct current"),
];
const OPEN: &[(&str, &str)] = &[("open", "Open"), ("enclosed", "Enclosed")];

const EFFICIENCY: Topic = Topic {
    name: "efficiency",
    title: "Least efficiency of a new motor",
    what: "The efficiency that United States law asks of a newly made 60 Hz motor, with the midpoint rule.",
    subject: Subject::StockAndEnergy,
    wants: &[
        want("kind", "Kind of motor", Takes::Choice(KINDS)),
        want("power_hp", "Power in horsepower", Takes::Number)
            .unit("hp")
            .note("give this or kilowatts"),
        want("power_kW", "Power in kilowatts", Takes::Number).unit("kW"),
        want("poles", "Poles", Takes::Whole).note("2, 4, 6 or 8"),
        want("enclosure", "Enclosure", Takes::Choice(OPEN)),
        want(
            "frame_digits",
            "Digits of the NEMA frame number",
            Takes::Whole,
        )
        .note("2 (such as 56) or 3 (such as 143T); decides for open motors of 1 to 3 hp"),
        want(
            "marked_efficiency_percent",
            "Marked efficiency",
            Takes::Number,
        )
        .unit("%")
        .note("blank: nothing is judged"),
    ],
    answers: &[
        answer("covered", "", "whether a floor was found"),
        answer("floor_percent", "%", "the floor, where only one holds"),
        answer(
            "floor_431_25_percent",
            "%",
            "floor of 10 CFR 431.25 Table 5",
        ),
        answer("floor_431_446_percent", "%", "floor of 10 CFR 431.446(a)"),
        answer(
            "deemed_listed_rating_hp",
            "hp",
            "listed rating the power is taken as",
        ),
    ],
    run: run_efficiency,
};

fn marked(given: &Given) -> Result<Marked, Trouble> {
    match (given.decimal("power_hp")?, given.decimal("power_kW")?) {
        (Some(_), Some(_)) => {
            let message = "Give horsepower or kilowatts, not both";
            Err(Trouble::of("power_kW", message))
        }
        (None, Some(kw)) => Ok(Marked::Kw(kw)),
        (hp, None) => Ok(Marked::Hp(given.need("power_hp", hp)?)),
    }
}

/// The marked efficiency, in percent and not as a share.
fn marked_percent(given: &Given) -> Result<Option<Decimal>, Trouble> {
    match given.decimal("marked_efficiency_percent")? {
        Some(percent) if percent < Decimal::from(5) || percent >= Decimal::from(100) => {
            let words = "Give the efficiency in percent, such as 86.5: from 5 to below 100";
            Err(Trouble::of("marked_efficiency_percent", words))
        }
        read => Ok(read),
    }
}

fn run_efficiency(given: &Given) -> Result<Figure, Trouble> {
    let kind = match given.need_choice("kind")? {
        "three_phase" => Kind::Polyphase,
        "capacitor_start" => Kind::CapacitorStart,
        _ => return Ok(Figure::new(efficiency::not_covered()).with("covered", false)),
    };
    let asked = Question {
        kind,
        power: marked(given)?,
        poles: u32::try_from(given.need_whole("poles")?).unwrap_or(u32::MAX),
        open: given.need_choice("enclosure")? == "open",
        frame_digits: given
            .whole("frame_digits")?
            .and_then(|digits| u32::try_from(digits).ok()),
        marked: marked_percent(given)?,
    };
    let found = efficiency::floors(&asked);
    let of = |wanted: fn(Part) -> bool| {
        found
            .iter()
            .find(|floor| wanted(floor.part))
            .and_then(|floor| floor.percent.to_f64())
    };
    Ok(Figure::new(efficiency::working(&asked))
        .with("covered", !found.is_empty())
        .with_some(
            "floor_percent",
            efficiency::single(&found).and_then(|percent| percent.to_f64()),
        )
        .with_some("floor_431_25_percent", of(|part| part == Part::Integral))
        .with_some("floor_431_446_percent", of(|part| part != Part::Integral))
        .with_some(
            "deemed_listed_rating_hp",
            efficiency::rating(&asked).and_then(|hp| hp.to_f64()),
        ))
}
