//! Topics about conductors: what they carry, the smallest that serves, their grounding conductor.

use super::super::editions::{RULE_SET, per_edition};
use super::super::{Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::motor::a;
use super::read::{self, num};
use crate::circuit::carry::{Place, Roof, carries, smallest, smallest_working};
use crate::circuit::grounding::{Enlarged, Ground, ground};
use crate::circuit::wire::{Size, WireError, find_size};
use crate::installation::Metal;
use crate::units::Celsius;

const SIZE: Want = want("size", "Conductor size", Takes::Text).note("AWG or kcmil: 14, 1/0, 250");
const INSULATION: Want = want("insulation_c", "Insulation rating", Takes::Number)
    .unit("°C")
    .note("60, 75 or 90");
const AMBIENT_C: Want = want("ambient_c", "Hottest air around it", Takes::Number)
    .unit("°C")
    .note("blank: the table's 30 °C, and asked for");
pub(super) const AMBIENT_F: Want = want("ambient_f", "Hottest air around it", Takes::Number)
    .unit("°F")
    .note("in place of °C");
const CCC: Want = want("ccc", "Current-carrying conductors together", Takes::Whole)
    .note("blank: up to three, and asked for; grounding conductors do not count");
const OVER_24: Want = want(
    "raceway_over_24_in",
    "Raceway is longer than 24 in",
    Takes::Flag,
)
.note("no: the number of conductors does not count");
const ROOF: Want = want("on_sunlit_roof", "On a roof in the sun", Takes::Flag);
const CLEARANCE: Want = want("roof_clearance_in", "Height over the roof", Takes::Number)
    .unit("in")
    .note("blank: counts as low");
const XHHW: Want = want("xhhw_2", "Type XHHW-2", Takes::Flag);

pub(super) fn size(given: &Given, name: &str) -> Result<Option<&'static Size>, Trouble> {
    match given.text(name)? {
        None => Ok(None),
        Some(text) => find_size(&text).map(Some).ok_or_else(|| {
            Trouble::of(
                name,
                "Give a size from 14 AWG to 1000 kcmil, such as 12, 1/0 or 250",
            )
        }),
    }
}

fn need_size(given: &Given, name: &str) -> Result<&'static Size, Trouble> {
    given.need(name, size(given, name)?)
}

/// Hottest air, in either scale.
pub(super) fn ambient(given: &Given) -> Result<Option<Celsius>, Trouble> {
    match (
        read::celsius(given, "ambient_c")?,
        given.number("ambient_f")?,
    ) {
        (Some(_), Some(_)) => Err(Trouble::of("ambient_f", "Give °C or °F, not both")),
        (Some(c), None) => Ok(Some(c)),
        (None, Some(f)) if (-76.0..=572.0).contains(&f) => Ok(Some(fahrenheit(f))),
        (None, Some(_)) => Err(Trouble::of(
            "ambient_f",
            "Give a temperature from -76 to 572 °F",
        )),
        (None, None) => Ok(None),
    }
}

fn place(given: &Given) -> Result<Place, Trouble> {
    let ambient = ambient(given)?;
    let count = match given.whole("ccc")? {
        None => None,
        Some(count) if (1..=10_000).contains(&count) => u32::try_from(count).ok(),
        Some(_) => return Err(Trouble::of("ccc", "Give a whole number from 1 to 10 000")),
    };
    let roof = Roof {
        clearance_in: given.not_negative("roof_clearance_in")?,
        xhhw_2: given.flag("xhhw_2")? == Some(true),
    };
    Ok(Place {
        ambient,
        count,
        short_raceway: given.flag("raceway_over_24_in")? == Some(false),
        roof: (given.flag("on_sunlit_roof")? == Some(true)).then_some(roof),
        terminals: read::rating_c(given, "terminal_c")?,
    })
}

fn fahrenheit(f: f64) -> Celsius {
    Celsius((f - 32.0) * 5.0 / 9.0)
}

/// The field that the tables cannot serve.
fn wire_trouble(error: WireError) -> Trouble {
    let field = match error {
        WireError::Size | WireError::NotListed => "size",
        WireError::Insulation => "insulation_c",
        WireError::Ambient | WireError::TooHot => "ambient_c",
        WireError::Count => "ccc",
    };
    Trouble::of(field, read::sentence(&error.to_string()))
}

const METAL_OR_COPPER: Want = Want {
    note: "blank: copper, and asked for",
    ..read::METAL
};

pub(super) const AMPACITY: Topic = Topic {
    name: "ampacity",
    title: "Ampacity of a conductor",
    what: "What a conductor carries: table, air, number of conductors together, terminals, and the \
           largest ordinary device.",
    subject: Subject::Circuit,
    wants: &[
        SIZE,
        METAL_OR_COPPER,
        read::MATERIAL,
        INSULATION,
        AMBIENT_C,
        AMBIENT_F,
        CCC,
        OVER_24,
        ROOF,
        CLEARANCE,
        XHHW,
        read::TERMINAL,
        RULE_SET,
    ],
    answers: &[
        a("ampacity_a", "A", "after air and number of conductors"),
        a("table_a", "A", "table at 30 °C, column of the insulation"),
        a("ambient_factor", "", "factor for the air"),
        a("ccc_percent", "%", "for the number of conductors"),
        a(
            "temperature_only_a",
            "A",
            "with the factor for the air alone",
        ),
        a("ccc_only_a", "A", "with the number of conductors alone"),
        a("usable_60c_a", "A", "at 60 °C terminals"),
        a("usable_75c_a", "A", "at 75 °C terminals"),
        a(
            "usable_a",
            "A",
            "at the terminals given, else the code's own column",
        ),
        a(
            "ocpd_max_a",
            "A",
            "largest device of an ordinary circuit, not of a motor's",
        ),
    ],
    run: |given| {
        let size = need_size(given, "size")?;
        let metal = read::metal(given)?;
        let insulation = given.need("insulation_c", read::rating_c(given, "insulation_c")?)?;
        let place = place(given)?;
        per_edition(given, |set| {
            let of = metal.unwrap_or(Metal::Copper);
            let (found, mut working) =
                carries(set, size, of, insulation, &place).map_err(wire_trouble)?;
            if metal.is_none() {
                working.missing.push(read::missing_metal());
            }
            Ok(Figure::new(working)
                .with("ampacity_a", num(found.both.corrected))
                .with("table_a", num(found.both.table))
                .with("ambient_factor", num(found.both.ambient))
                .with("ccc_percent", num(found.both.percent))
                .with("temperature_only_a", num(found.temperature_only))
                .with("ccc_only_a", num(found.count_only))
                .with_some("usable_60c_a", found.usable[0].map(num))
                .with_some("usable_75c_a", found.usable[1].map(num))
                .with_some("usable_a", found.at_terminals.map(num))
                .with_some("ocpd_max_a", found.device_max.map(num)))
        })
    },
};

pub(super) const CONDUCTOR: Topic = Topic {
    name: "conductor",
    title: "Smallest conductor",
    what: "The smallest conductor that carries a needed ampacity with its insulation, terminals, air \
           and number of conductors.",
    subject: Subject::Circuit,
    wants: &[
        want("amps", "Needed ampacity", Takes::Number)
            .unit("A")
            .note("125 % of motor or continuous load included"),
        Want {
            note: "blank: both",
            ..read::METAL
        },
        read::MATERIAL,
        INSULATION,
        AMBIENT_C,
        AMBIENT_F,
        CCC,
        OVER_24,
        ROOF,
        CLEARANCE,
        XHHW,
        Want {
            note: "60, 75 or 90; blank: the code's own column, 60 °C to 100 A",
            ..read::TERMINAL
        },
        RULE_SET,
    ],
    answers: &[
        a("cu_size", "", "smallest copper size"),
        a("cu_ampacity_a", "A", "after air and number of conductors"),
        a("al_size", "", "smallest aluminium size"),
        a("al_ampacity_a", "A", "after air and number of conductors"),
    ],
    run: |given| {
        let need = given.need("amps", read::amps(given, "amps")?)?;
        let insulation = given.need("insulation_c", read::rating_c(given, "insulation_c")?)?;
        let place = place(given)?;
        let metals = read::metal(given)?.map_or(vec![Metal::Copper, Metal::Aluminium], |m| vec![m]);
        per_edition(given, |set| {
            let found: Vec<_> = metals
                .iter()
                .map(|metal| (*metal, smallest(set, *metal, insulation, &place, need)))
                .collect();
            let working = smallest_working(set, insulation, &place, need, &found);
            let mut figure = Figure::new(working);
            for (metal, found) in &found {
                let short = if *metal == Metal::Copper { "cu" } else { "al" };
                if let Some((size, carries)) = found {
                    figure = figure
                        .with(&format!("{short}_size"), size.name.as_str())
                        .with(&format!("{short}_ampacity_a"), num(carries.both.corrected));
                }
            }
            Ok(figure)
        })
    },
};

pub(super) const EGC: Topic = Topic {
    name: "egc",
    title: "Equipment grounding conductor",
    what: "The grounding conductor by the device ahead, enlarged with the circuit's conductors.",
    subject: Subject::Circuit,
    wants: &[
        want("ocpd_a", "Rating of the device ahead", Takes::Number)
            .unit("A")
            .note("an instantaneous-trip breaker counts as the largest dual-element fuse allowed"),
        want("original", "Size the circuit needs", Takes::Text).note("before it was enlarged"),
        want("increased", "Size that is run", Takes::Text),
        want(
            "reason",
            "Enlarged because of",
            Takes::Choice(&[
                ("voltage_drop", "voltage drop, or by choice"),
                ("derating", "hot air or many conductors"),
            ]),
        )
        .note("blank: voltage drop, which asks for more"),
        want(
            "circuit_size",
            "Size of the circuit's conductors",
            Takes::Text,
        )
        .note("it never needs to be larger than they are"),
        RULE_SET,
    ],
    answers: &[
        a(
            "cu",
            "",
            "copper size by the device, not above the circuit's own",
        ),
        a("al", "", "aluminium size"),
        a("base_egc", "", "copper by the device, before enlarging"),
        a("required_cmil", "cmil", "copper area after enlarging"),
        a("egc", "", "copper size after enlarging"),
        a("egc_al", "", "aluminium size after enlarging"),
    ],
    run: |given| {
        let device = given.need("ocpd_a", read::amps(given, "ocpd_a")?)?;
        let why = match given.choice("reason")? {
            Some("derating") => Enlarged::Derating,
            _ => Enlarged::VoltageDrop,
        };
        let enlarged = match (size(given, "original")?, size(given, "increased")?) {
            (Some(original), Some(increased)) => Some((original, increased, why)),
            (None, None) => None,
            (None, _) => return Err(Trouble::of("original", "Not given: Size the circuit needs")),
            (_, None) => return Err(Trouble::of("increased", "Not given: Size that is run")),
        };
        let ask = Ground {
            device,
            enlarged,
            circuit: size(given, "circuit_size")?,
        };
        per_edition(given, |set| {
            let ([copper, aluminium], working) = ground(set, &ask)
                .ok_or_else(|| Trouble::of("ocpd_a", "NEC 250.122 ends at 6000 A"))?;
            Ok(Figure::new(working)
                .with_some("cu", copper.size)
                .with_some("al", aluminium.size)
                .with("base_egc", copper.base)
                .with_some("required_cmil", copper.required_cmil)
                .with_some("egc", copper.size)
                .with_some("egc_al", aluminium.size))
        })
    },
};
