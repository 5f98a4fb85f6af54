//! What a conductor carries, step by step, and the smallest that carries a load.

use super::device::{next_rating, rating_below};
use super::wire::{self, Ampacity, Size, WireError};
use super::{CAUTION, RuleSet};
use crate::installation::{DeviceKind, Metal};
use crate::shown::{Fill, exact, figure, line};
use crate::units::Celsius;
use crate::working::{Missing, Verdict, Working};
use rust_decimal::Decimal;

/// Degrees added to the air over a sunlit roof. Source: NEC 310.15(B)(2), 2017: 310.15(B)(3)(c).
pub const ROOF_ADDER: f64 = 33.0;
/// The base of the ampacity table. Source: NEC 310.16.
pub const TABLE_AIR: Celsius = Celsius(30.0);

/// A raceway or cable in the sun on a roof.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Roof {
    /// Height of its underside over the roof in inches.
    pub clearance_in: Option<f64>,
    /// The conductors are of type XHHW-2, which is exempt.
    pub xhhw_2: bool,
}

impl Roof {
    /// Degrees added in this edition: below 7/8 in to 2020, below 3/4 in from 2023 (2017 from memory).
    /// An unknown height counts as low.
    pub fn adder(self, rule_set: RuleSet) -> f64 {
        let least = if rule_set == RuleSet::Nec2023 {
            0.75
        } else {
            0.875
        };
        let low = self.clearance_in.is_none_or(|height| height < least);
        if low && !self.xhhw_2 { ROOF_ADDER } else { 0.0 }
    }
}

/// Where conductors run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Hottest air; `None`: not given, the table's own 30 °C is used and asked for.
    pub ambient: Option<Celsius>,
    /// Current-carrying conductors together; `None`: not given, up to three are used and asked for.
    pub count: Option<u32>,
    /// The raceway is 24 in or shorter: no adjustment for the count.
    pub short_raceway: bool,
    /// On a sunlit roof.
    pub roof: Option<Roof>,
    /// Lowest terminal rating.
    pub terminals: Option<Celsius>,
}

impl Place {
    fn air(&self, rule_set: RuleSet) -> Celsius {
        let adder = self.roof.map_or(0.0, |roof| roof.adder(rule_set));
        Celsius(self.ambient.unwrap_or(TABLE_AIR).0 + adder)
    }

    fn counted(&self) -> u32 {
        match self.count {
            Some(count) if !self.short_raceway => count,
            Some(0) => 0,
            _ => 3,
        }
    }

    fn ask(&self, working: &mut Working) {
        if self.ambient.is_none() {
            working.missing.push(Missing {
                what: "hottest air around the conductors".into(),
                why: "the table's own 30 °C was used; hotter air lowers what they carry".into(),
                how: "measure or look along the run, over ceilings and roofs".into(),
            });
        }
        if self.count.is_none() && !self.short_raceway {
            working.missing.push(Missing {
                what: "number of current-carrying conductors together".into(),
                why: "up to three were taken; more lower what each carries".into(),
                how: "count them in the raceway; grounding conductors do not count".into(),
            });
        }
        if self
            .roof
            .is_some_and(|roof| roof.clearance_in.is_none() && !roof.xhhw_2)
        {
            working.missing.push(Missing {
                what: "height of the raceway over the roof".into(),
                why: "it counts as low, which adds 33 °C".into(),
                how: "measure from the roof to its underside".into(),
            });
        }
    }
}

/// A conductor's ampacity with its steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carries {
    /// Both factors.
    pub both: Ampacity,
    /// Ambient factor alone, amperes.
    pub temperature_only: Decimal,
    /// Number of conductors alone, amperes.
    pub count_only: Decimal,
    /// After the terminals' limit: at 60 °C, at 75 °C.
    pub usable: [Option<Decimal>; 2],
    /// After the limit of the terminals given, or of the code's own column.
    pub at_terminals: Option<Decimal>,
    /// Largest device of an ordinary circuit, amperes.
    pub device_max: Option<Decimal>,
}

/// Ampacity from the insulation's column, corrected and adjusted, then capped by the terminals.
///
/// `I = I30 f n / 100`; then not above the terminals' column. Largest ordinary device: the next
/// standard rating up to 800 A (not for several receptacles), above that the one below, and for small
/// conductors 240.4(D); a motor circuit follows 430.52 instead.
/// Source: NEC 310.16, 310.15(B), (C), 110.14(C), 240.4(B), (C), (D).
/// # Errors
/// [`WireError`] where the tables list nothing.
pub fn carries(
    rule_set: RuleSet,
    size: &'static Size,
    metal: Metal,
    insulation: Celsius,
    place: &Place,
) -> Result<(Carries, Working), WireError> {
    let (air, count) = (place.air(rule_set), place.counted());
    let both = wire::ampacity(size, metal, insulation, air, count)?;
    let usable = [60.0, 75.0].map(|celsius| {
        let (cap, _) = wire::terminal_cap(size, metal, Some(Celsius(celsius)), Decimal::ZERO)?;
        Some(both.corrected.min(cap))
    });
    let cap = wire::terminal_cap(size, metal, place.terminals, both.corrected);
    let at_terminals = cap.map(|(cap, _)| both.corrected.min(cap));
    let carries = Carries {
        both,
        temperature_only: wire::ampacity(size, metal, insulation, air, 3)?.corrected,
        count_only: wire::ampacity(size, metal, insulation, TABLE_AIR, count)?.corrected,
        usable,
        at_terminals,
        device_max: at_terminals.and_then(|amps| ordinary_device(rule_set, size, metal, amps)),
    };
    let mut working = Working::new(format!("Ampacity of {}", size.name));
    working.cautions.push(CAUTION.into());
    place.ask(&mut working);
    let shown = AmpacityLines {
        rule_set,
        size,
        metal,
        insulation,
        air,
        count,
    };
    shown.write(&mut working, &carries, cap);
    Ok((carries, working))
}

/// Largest device of a circuit without motors. Source: NEC 240.4(B), (C), (D).
pub fn ordinary_device(
    rule_set: RuleSet,
    size: &Size,
    metal: Metal,
    amps: Decimal,
) -> Option<Decimal> {
    let kind = DeviceKind::InverseTimeBreaker;
    let up = next_rating(rule_set, kind, amps).filter(|up| *up <= Decimal::from(800));
    let most = up.or_else(|| rating_below(rule_set, kind, amps))?;
    Some(wire::small_conductor_device(size, metal).map_or(most, |small| small.min(most)))
}

struct AmpacityLines {
    rule_set: RuleSet,
    size: &'static Size,
    metal: Metal,
    insulation: Celsius,
    air: Celsius,
    count: u32,
}

impl AmpacityLines {
    /// Sections of the table, of the air factors and of the count.
    fn sections(&self) -> [&'static str; 3] {
        if self.rule_set == RuleSet::Nec2017 {
            [
                "NEC 310.15(B)(16)",
                "NEC 310.15(B)(2)(a)",
                "NEC 310.15(B)(3)(a)",
            ]
        } else {
            ["NEC 310.16", "NEC 310.15(B)(1)", "NEC 310.15(C)(1)"]
        }
    }

    fn write(&self, working: &mut Working, carries: &Carries, cap: Option<(Decimal, u8)>) {
        self.steps(working, &carries.both);
        if let (Some((cap, column)), Some(usable)) = (cap, carries.at_terminals) {
            working.lines.push(
                line("terminals", "Usable at the terminals")
                    .value(exact(usable), "A")
                    .limit(format!("{} A in the {column} °C column", exact(cap)))
                    .rule(
                        "not above the column of the lowest terminal; unmarked 60 °C to 100 A, 75 °C above",
                        "NEC 110.14(C)(1)",
                    ),
            );
        }
        if let Some(most) = carries.device_max {
            working.lines.push(
                line("device", "Largest ordinary device")
                    .value(exact(most), "A")
                    .rule(
                        "next standard rating up to 800 A, small conductors by 240.4(D); a motor circuit \
                         follows 430.52",
                        "NEC 240.4(B), (C), (D), (G)",
                    ),
            );
        }
    }

    fn steps(&self, working: &mut Working, both: &Ampacity) {
        let [table, air, count] = self.sections();
        let (size, metal) = (&self.size.name, metal_words(self.metal));
        let degrees = figure(self.insulation.0, 0);
        let (amps, factor, percent) = (exact(both.table), exact(both.ambient), exact(both.percent));
        working.lines.extend([
            line("table", "Table at 30 °C")
                .value(amps.clone(), "A")
                .limit(format!("{size} {metal}, {degrees} °C insulation"))
                .rule("column of the insulation", table),
            line("ambient", "Air around it")
                .value(factor.clone(), "")
                .limit(format!("{} °C", figure(self.air.0, 1)))
                .rule("factor by band; between two bands the hotter one", air),
            line("count", "Conductors together")
                .value(percent.clone(), "%")
                .limit(self.count.to_string())
                .rule("more than three lower each; none in 24 in or less", count),
            line("ampacity", "Ampacity")
                .value(exact(both.corrected), "A")
                .limit(format!("{amps} A x {factor} x {percent} %"))
                .rule("corrected and adjusted from the insulation's column", table),
        ]);
    }
}

pub(crate) fn metal_words(metal: Metal) -> &'static str {
    match metal {
        Metal::Copper => "copper",
        Metal::Aluminium => "aluminium",
    }
}

/// Smallest conductor for a needed ampacity, amperes, under its conditions.
///
/// Not smaller than 14 AWG. `None` where no size of the table carries it.
/// Source: NEC 310.16, 310.15(B), (C), 110.14(C).
pub fn smallest(
    rule_set: RuleSet,
    metal: Metal,
    insulation: Celsius,
    place: &Place,
    need: Decimal,
) -> Option<(&'static Size, Carries)> {
    let size = wire::smallest_under(
        metal,
        insulation,
        place.air(rule_set),
        place.counted(),
        place.terminals,
        need,
        need,
    )?;
    let (carries, _) = carries(rule_set, size, metal, insulation, place).ok()?;
    Some((size, carries))
}

/// The line of [`smallest`] for one metal, judged where nothing of the table carries the load.
pub fn smallest_working(
    rule_set: RuleSet,
    insulation: Celsius,
    place: &Place,
    need: Decimal,
    found: &[(Metal, Option<(&'static Size, Carries)>)],
) -> Working {
    let mut working = Working::new("Smallest conductor");
    working.cautions.push(CAUTION.into());
    place.ask(&mut working);
    for (metal, found) in found {
        let shown = line("conductor", "Smallest conductor")
            .limit(format!("at least {} A", exact(need)))
            .rule(
                "table, air, conductors together, terminals; not below 14 AWG",
                wire::sections(rule_set),
            );
        working.lines.push(match found {
            Some((size, carries)) => {
                let both = carries.both;
                let terminals = wire::terminal_cap(size, *metal, place.terminals, need);
                let usable = terminals.map_or(both.corrected, |(cap, _)| both.corrected.min(cap));
                let column = terminals.map_or(0, |(_, column)| column);
                shown
                    .value(format!("{} {}", size.name, metal_words(*metal)), "")
                    .margin(format!("{} A", exact(usable - need)))
                    .note(format!(
                        "{} A x {} x {} % with {} °C insulation; {column} °C terminals: {} A.",
                        exact(both.table),
                        exact(both.ambient),
                        exact(both.percent),
                        figure(insulation.0, 0),
                        exact(usable)
                    ))
            }
            None => shown.value(metal_words(*metal), "").judge(
                Verdict::Beyond,
                "No size of the table carries it: run conductors in parallel or take load off.",
            ),
        });
    }
    working
}
