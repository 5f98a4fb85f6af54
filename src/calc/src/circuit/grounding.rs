//! Equipment grounding conductor, and how it grows with the circuit's conductors.

use super::device::{enlarged_grounding, grounding_conductor, not_above};
use super::wire::{Size, find_size};
use super::{CAUTION, RuleSet};
use crate::shown::{Fill, exact, line};
use crate::working::Working;
use rust_decimal::Decimal;

/// Why the circuit's conductors are larger than they need be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Enlarged {
    /// Against voltage drop, or for another reason of choice.
    VoltageDrop,
    /// Because of hot air or many conductors together.
    Derating,
}

/// The circuit.
#[derive(Clone, Copy, Debug)]
pub struct Ground {
    /// Rating of the device ahead.
    pub device: Decimal,
    /// Size of the circuit conductors before and after they were enlarged.
    pub enlarged: Option<(&'static Size, &'static Size, Enlarged)>,
    /// Size of the circuit conductors, where they were not enlarged.
    pub circuit: Option<&'static Size>,
}

/// One metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundSize {
    /// By the device alone.
    pub base: &'static str,
    /// Circular mils asked for after enlarging.
    pub required_cmil: Option<u64>,
    /// The size asked for; `None` above the table.
    pub size: Option<&'static str>,
}

/// Copper and aluminium by the device; enlarged in proportion of circular mils; never above the
/// circuit's own conductors. Enlarging for air and number of conductors alone does not count (2017:
/// from memory, where the comparison is with the smallest size of enough ampacity).
/// `None` above 6000 A. Source: NEC 250.122(A), (B).
pub fn ground(rule_set: RuleSet, ask: &Ground) -> Option<([GroundSize; 2], Working)> {
    let (copper, aluminium) = grounding_conductor(ask.device)?;
    let sizes = [copper, aluminium].map(|base| one(ask, base));
    let mut working = Working::new("Equipment grounding conductor");
    working.cautions.push(CAUTION.into());
    working.lines.push(
        line("base", "By the device")
            .value(format!("{copper} copper, {aluminium} aluminium"), "")
            .limit(format!("{} A device", exact(ask.device)))
            .rule("row whose rating is not exceeded", "NEC 250.122(A)"),
    );
    if ask.device > Decimal::from(4000) {
        working.cautions.push(
            "Above 4000 A the aluminium size differs between editions; check the printed table."
                .into(),
        );
    }
    if let Some((original, increased, why)) = ask.enlarged {
        let shown = line("enlarged", "Circuit conductors enlarged")
            .limit(format!("{} to {}", original.name, increased.name))
            .rule(
                "in proportion of circular mils; not for hot air or many conductors alone",
                if rule_set == RuleSet::Nec2017 {
                    "NEC 250.122(B), 2017 text from memory"
                } else {
                    "NEC 250.122(B)"
                },
            );
        working.lines.push(match (why, sizes[0].required_cmil) {
            (Enlarged::VoltageDrop, Some(area)) => shown.value(area.to_string(), "cmil copper"),
            _ => shown.value("unchanged", ""),
        });
    }
    let words = |size: &GroundSize| size.size.unwrap_or("above the table");
    working.lines.push(
        line("grounding", "Equipment grounding conductor, at least")
            .value(
                format!(
                    "{} copper, {} aluminium",
                    words(&sizes[0]),
                    words(&sizes[1])
                ),
                "",
            )
            .rule(
                "never needs to be larger than the circuit's conductors",
                "NEC 250.122(A)",
            ),
    );
    Some((sizes, working))
}

fn one(ask: &Ground, base: &'static str) -> GroundSize {
    let plain = GroundSize {
        base,
        required_cmil: None,
        size: Some(not_above(base, ask.circuit)),
    };
    let Some((original, increased, why)) = ask.enlarged else {
        return plain;
    };
    if why == Enlarged::Derating || increased.cmil <= original.cmil {
        return GroundSize {
            size: Some(not_above(base, Some(increased))),
            ..plain
        };
    }
    let found = find_size(base).and_then(|size| enlarged_grounding(size, original, increased));
    GroundSize {
        base,
        required_cmil: found.map(|(area, _)| area),
        size: found.map(|(_, size)| not_above(size.name.as_str(), Some(increased))),
    }
}
