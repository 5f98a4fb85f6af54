//! Topics. Losses at part load, and stamped ratings.

use super::{Figure, Given, Subject, Takes, Topic, Trouble, answer, want};
use crate::figure::sheet::tidied;
use crate::part_load::{self, Belt};
use crate::ratings;
use crate::units::Watts;

const BELTS: &[(&str, &str)] = &[
    ("v", "Wrapped V-belt"),
    ("notched", "Notched V-belt"),
    ("cogged", "Cogged V-belt"),
    ("synchronous", "Toothed belt"),
];

pub(super) const PART_LOAD: Topic = Topic {
    name: "part_load",
    title: "Losses at part load, estimated",
    what: "Generic estimates of what a motor, a frequency drive and a belt lose at a share of full load.",
    subject: Subject::StockAndEnergy,
    wants: &[
        want("power_hp", "Rated output", Takes::Number)
            .unit("hp")
            .note("motor: to 100 hp; drive: 3 to 400 hp"),
        want("load_fraction", "Load", Takes::Number)
            .note("share of the rated output; motor: 0.1 to 1, drive: 0.016 to 1"),
        want(
            "full_load_efficiency_percent",
            "Efficiency of the motor at full load",
            Takes::Number,
        )
        .unit("%"),
        want("belt", "Belt", Takes::Choice(BELTS)).note("blank: no belt"),
    ],
    answers: &[
        answer(
            "motor_share_estimate",
            "",
            "motor: share of its full-load efficiency",
        ),
        answer(
            "motor_efficiency_estimate_percent",
            "%",
            "that share of the efficiency given",
        ),
        answer(
            "drive_efficiency_estimate_percent",
            "%",
            "frequency drive of this rating",
        ),
        answer("belt_efficiency_estimate_percent", "%", "belt"),
    ],
    run: |given| Ok(tidied(run_part_load(given)?)),
};

fn run_part_load(given: &Given) -> Result<Figure, Trouble> {
    let belt = given.choice("belt")?.map(|word| match word {
        "v" => Belt::V,
        "notched" => Belt::Notched,
        "cogged" => Belt::Cogged,
        _ => Belt::Synchronous,
    });
    let (rating, load) = match belt {
        Some(_) => (
            given.positive("power_hp")?,
            given.positive("load_fraction")?,
        ),
        None => (
            Some(given.need_positive("power_hp")?),
            Some(given.need_positive("load_fraction")?),
        ),
    };
    let full = given.positive("full_load_efficiency_percent")?;
    if full.is_some_and(|percent| !(5.0..100.0).contains(&percent)) {
        let message = "Give the efficiency in percent, such as 86.5: from 5 to below 100";
        return Err(Trouble::of("full_load_efficiency_percent", message));
    }
    let found = part_load::estimate(rating.map(Watts::from_hp), load, full, belt);
    Ok(Figure::new(found.working)
        .with_some("motor_share_estimate", found.motor_share)
        .with_some("motor_efficiency_estimate_percent", found.motor_percent)
        .with_some("drive_efficiency_estimate_percent", found.drive_percent)
        .with_some("belt_efficiency_estimate_percent", found.belt_percent))
}

pub(super) const POWER_RATING: Topic = Topic {
    name: "power_rating",
    title: "Stamped power",
    what: "A power or a stamp beside the ratings that motors are made in: the nearest, and the next one up.",
    subject: Subject::StockAndEnergy,
    wants: &[
        want("stamped", "As stamped", Takes::Text).note("such as 1/3, 7 1/2 or 15 mhp"),
        want("power_hp", "Power in horsepower", Takes::Number).unit("hp"),
        want("power_W", "Power in watts", Takes::Number).unit("W"),
    ],
    answers: &[
        answer("stamped", "", "nearest rating, as stamped"),
        answer("power_hp", "hp", "its horsepower"),
        answer("power_W", "W", "its watts"),
        answer("series", "", "the list it stands in"),
        answer(
            "next_up_hp",
            "hp",
            "smallest standard rating that carries the power",
        ),
    ],
    run: |given| Ok(tidied(run_power_rating(given)?)),
};

fn run_power_rating(given: &Given) -> Result<Figure, Trouble> {
    let stamp = given.text("stamped")?;
    let named = match &stamp {
        Some(stamp) => Some(ratings::stamped(stamp).ok_or_else(|| {
            Trouble::of(
                "stamped",
                "No rating of this stamp is listed; give its power",
            )
        })?),
        None => None,
    };
    let power = match (
        named,
        given.positive("power_hp")?,
        given.positive("power_W")?,
    ) {
        (Some(rating), None, None) => rating.watts(),
        (None, Some(hp), None) => Watts::from_hp(hp),
        (None, None, Some(watts)) => Watts(watts),
        (None, None, None) => given.need("power_hp", None)?,
        _ => return Err(Trouble::new("Give one of stamp, horsepower and watts")),
    };
    let found = named.or_else(|| ratings::nearest(power));
    Ok(Figure::new(ratings::working(power, found))
        .with_some("stamped", found.map(|rating| rating.stamped.clone()))
        .with_some("power_hp", found.map(|rating| rating.hp))
        .with_some("power_W", found.map(|rating| rating.watts().0))
        .with_some("series", found.map(|rating| rating.series.source()))
        .with_some(
            "next_up_hp",
            ratings::next_up(power).map(|rating| rating.hp),
        ))
}
