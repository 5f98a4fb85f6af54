//! Topic `compressor`.

use super::super::editions::{RULE_SET, per_edition};
use super::super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::json;
use crate::circuit::RuleSet;
use crate::circuit::compressor::{self, CompressorOverload, Fitted};
use crate::installation::{Compressor, DeviceKind};

const WANTS: &[Want] = &[
    RULE_SET,
    want(
        "rated_load_a",
        "Rated-load current of the compressor",
        Takes::Number,
    )
    .unit("A"),
    want(
        "selection_a",
        "Branch-circuit selection current",
        Takes::Number,
    )
    .unit("A")
    .note("where it is marked"),
    want(
        "selection_marked",
        "A selection current is marked",
        Takes::Flag,
    )
    .note("false where the plate was read and shows none"),
    want(
        "min_circuit_a",
        "Marked minimum circuit ampacity",
        Takes::Number,
    )
    .unit("A"),
    want(
        "max_device_a",
        "Marked maximum branch device",
        Takes::Number,
    )
    .unit("A"),
    want(
        "others_a",
        "Other motors and loads on the circuit",
        Takes::Numbers,
    )
    .unit("A")
    .note("an empty list where there are none; blank: not known"),
    want("conductor_a", "What the conductor carries", Takes::Number).unit("A"),
    want("device_a", "Rating of the branch device", Takes::Number).unit("A"),
    want(
        "device_kind",
        "Kind of the branch device",
        Takes::Choice(&[
            ("inverse_time_breaker", "Inverse-time breaker"),
            ("dual_element_fuse", "Dual-element fuse"),
            ("non_time_delay_fuse", "Fuse without delay"),
        ]),
    )
    .note("for the standard ratings"),
    want("will_not_start", "It does not start on 175 %", Takes::Flag),
    want("disconnect_a", "Rating of the disconnect", Takes::Number).unit("A"),
    want(
        "overload_kind",
        "Overload protection",
        Takes::Choice(&[("relay", "Separate relay"), ("device", "Fuse or breaker")]),
    ),
    want("overload_a", "Current at which it acts", Takes::Number).unit("A"),
];

const fn answer(name: &'static str, what: &'static str) -> Answer {
    Answer {
        name,
        unit: "A",
        what,
    }
}

const ANSWERS: &[Answer] = &[
    answer(
        "design_a",
        "rated-load or selection current, whichever is greater",
    ),
    answer("min_conductor_a", "smallest conductor ampacity"),
    answer(
        "device_max_a",
        "largest branch device, 175 % and the others",
    ),
    answer("device_standard_a", "standard rating at or below it"),
    answer(
        "device_ceiling_a",
        "largest branch device where it will not start, 225 %",
    ),
    answer(
        "device_ceiling_standard_a",
        "standard rating at or below it",
    ),
    answer("disconnect_min_a", "smallest disconnect, 115 %"),
    answer(
        "overload_relay_max_a",
        "highest relay trip, 140 % of the rated-load current",
    ),
    answer(
        "overload_device_max_a",
        "highest fuse or breaker, 125 % of the rated-load current",
    ),
];

pub(super) const COMPRESSOR: Topic = Topic {
    name: "compressor",
    title: "Hermetic compressor",
    what: "Sizes conductors, device, disconnect and overload of a hermetic compressor; from memory.",
    subject: Subject::Circuit,
    wants: WANTS,
    answers: ANSWERS,
    run,
};

fn run(given: &Given) -> Result<Figure, Trouble> {
    let plate = Compressor {
        rated_load: given.decimal("rated_load_a")?,
        selection: given.decimal("selection_a")?,
        selection_marked: given.flag("selection_marked")?,
        locked_rotor: None,
        min_circuit: given.decimal("min_circuit_a")?,
        max_device: given.decimal("max_device_a")?,
    };
    let rated = given.need_decimal("rated_load_a")?;
    if rated.is_zero() {
        return Err(Trouble::of("rated_load_a", "Give a number above zero"));
    }
    let kind = given.choice("overload_kind")?.map(|word| match word {
        "relay" => CompressorOverload::Relay,
        _ => CompressorOverload::Device,
    });
    let trip = given.decimal("overload_a")?;
    let fitted = Fitted {
        others: given.decimals("others_a")?,
        conductor: given.decimal("conductor_a")?,
        device: given.decimal("device_a")?,
        will_not_start: given.flag("will_not_start")? == Some(true),
        disconnect: given.decimal("disconnect_a")?,
        overload: kind.map(|kind| (kind, trip)),
    };
    let device = match given.choice("device_kind")? {
        Some("inverse_time_breaker") => Some(DeviceKind::InverseTimeBreaker),
        Some("dual_element_fuse") => Some(DeviceKind::DualElementFuse),
        Some(_) => Some(DeviceKind::NonTimeDelayFuse),
        None => None,
    };
    per_edition(given, |edition| Ok(one(edition, &plate, &fitted, device)))
}

fn one(
    edition: RuleSet,
    plate: &Compressor,
    fitted: &Fitted,
    device: Option<DeviceKind>,
) -> Figure {
    let design = compressor::design_current(plate).ok();
    let others = fitted.others.as_deref();
    let computed = || compressor::conductor_min_of_several(design?, others?);
    let conductor = plate.min_circuit.or_else(computed);
    let most = design
        .zip(others)
        .and_then(|(amps, others)| compressor::device_max(amps, others));
    let standard = |amps| compressor::standard_device(edition, device?, amps);
    let overload = |kind| {
        plate
            .rated_load
            .map(|amps| compressor::overload_trip_max(amps, kind))
    };
    // Where the equipment is marked, no percentage stands beside the mark.
    let first = plate.max_device.or(most.map(|most| most.first));
    let ceiling = plate.max_device.or(most.map(|most| most.ceiling));
    let answers = [
        ("design_a", design),
        ("min_conductor_a", conductor),
        ("device_max_a", first),
        ("device_standard_a", first.and_then(standard)),
        ("device_ceiling_a", ceiling),
        ("device_ceiling_standard_a", ceiling.and_then(standard)),
        ("disconnect_min_a", design.map(compressor::disconnect_least)),
        ("overload_relay_max_a", overload(CompressorOverload::Relay)),
        (
            "overload_device_max_a",
            overload(CompressorOverload::Device),
        ),
    ];
    let mut figure = Figure::new(compressor::check(plate, fitted));
    for (name, value) in answers {
        figure = figure.with_some(name, value.map(json));
    }
    figure
}
