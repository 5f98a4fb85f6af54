//! Box fill: the room that conductors, clamps, fittings and devices take in an outlet or device box.

mod check;
mod more;
mod size;

use crate::circuit::RuleSet;
use crate::circuit::wire::find_size;
use crate::tables::equipment::CONDUCTOR_VOLUMES;
use rust_decimal::Decimal;

pub use check::{Room, check, rule};
pub use more::{at_most, fill_at_most, more};
pub use size::{BoxRoom, find_box, smallest_box};

/// More pieces than this in one box is a typing error.
pub const MOST: u32 = 10_000;

/// What holds beside every box.
pub const CAUTION: &str = "Room in a box is one rule of many: the adopted local code and a licensed \
    electrician decide. Prove the box dead before opening it. Not for the terminal housings of \
    motors (NEC 430.12), nor for conductors of 4 AWG and larger (NEC 314.28).";

/// Why a box cannot be counted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BoxError {
    /// A size that the table of volumes does not list.
    #[error("{0} is not a conductor size of 18, 16, 14, 12, 10, 8 or 6 AWG")]
    Size(String),
    /// A conductor that box fill does not cover.
    #[error("{0} AWG is 4 AWG or larger: its box is sized by NEC 314.28, not by box fill")]
    TooLarge(String),
    /// A count beyond reason.
    #[error("a count above {MOST} is a typing error")]
    Count,
}

/// Conductors of one size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wires {
    /// Size in AWG as text, such as `12`.
    pub size: String,
    /// How many.
    pub count: u32,
}

/// Devices of one kind on their yokes or straps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Yokes {
    /// How many yokes.
    pub count: u32,
    /// Gangs that one of them takes; 1 up to 2 in (50 mm) of width.
    pub gangs: u32,
    /// Largest conductor on one of them; `None` where nobody has looked.
    pub largest: Option<String>,
}

/// What is in a box. An empty list is nothing of the kind.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Contents {
    /// Come in from outside and end or are spliced in the box.
    pub conductors: Vec<Wires>,
    /// Pass through without splice or loop.
    pub through: Vec<Wires>,
    /// Unbroken loops of at least twice the free length of 300.14.
    pub loops: Vec<Wires>,
    /// No part of them leaves the box.
    pub pigtails: Vec<Wires>,
    /// Equipment grounding conductors that come in.
    pub egc: Vec<Wires>,
    /// The isolated set of grounding conductors beside them, 250.146(D).
    pub isolated_egc: Vec<Wires>,
    /// Equipment bonding jumpers that come in.
    pub bonding_jumpers: Vec<Wires>,
    /// Fixture wires from a domed canopy that end in the box.
    pub canopy_wires: Vec<Wires>,
    /// Grounding conductors from that canopy.
    pub canopy_egc: Vec<Wires>,
    /// At least one clamp inside the box.
    pub clamps: bool,
    /// Types of fitting inside: fixture stud, hickey; each type counts once.
    pub fitting_types: u32,
    /// Devices.
    pub yokes: Vec<Yokes>,
    /// Largest conductor on each terminal block.
    pub terminal_blocks: Vec<String>,
}

/// One line of the count.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Stable name.
    pub key: &'static str,
    /// What takes the room.
    pub what: &'static str,
    /// Volume allowances.
    pub allowances: Decimal,
    /// Size whose allowance counts.
    pub size: String,
    /// Cubic inches together.
    pub volume: Decimal,
    /// Paragraph of 314.16(B).
    pub section: &'static str,
}

/// The fill of a box.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fill {
    /// Line by line.
    pub parts: Vec<Part>,
    /// Cubic inches of all lines.
    pub total: Decimal,
    /// A device whose largest conductor nobody has named, in a box of several sizes: not counted.
    pub device_open: bool,
}

/// Volume of one conductor in cubic inches. Valid for 18 to 6 AWG. Source: NEC 314.16(B)(1).
/// # Errors
/// [`BoxError::Size`], [`BoxError::TooLarge`].
pub fn conductor_volume(size: &str) -> Result<Decimal, BoxError> {
    place(size).map(|at| CONDUCTOR_VOLUMES[at].1)
}

/// Place of a size in the table, smallest first.
fn place(size: &str) -> Result<usize, BoxError> {
    let text = size.to_ascii_lowercase();
    let name = text.trim().trim_start_matches('#').trim_end_matches("awg");
    let name = name.trim();
    let found = CONDUCTOR_VOLUMES.iter().position(|(row, _)| row == name);
    found.ok_or_else(|| match find_size(name) {
        Some(_) => BoxError::TooLarge(name.to_owned()),
        None => BoxError::Size(size.to_owned()),
    })
}

/// The sizes of the table, smallest conductor first.
pub fn sizes() -> impl Iterator<Item = &'static str> {
    CONDUCTOR_VOLUMES.iter().map(|(name, _)| name.as_str())
}

fn largest<'a>(wires: impl Iterator<Item = &'a Wires>) -> Result<Option<usize>, BoxError> {
    let mut most = None;
    for wire in wires.filter(|wire| wire.count > 0) {
        most = most.max(Some(place(&wire.size)?));
    }
    Ok(most)
}

fn count(wires: &[Wires]) -> Result<u32, BoxError> {
    wires.iter().try_fold(0, |sum: u32, wire| {
        place(&wire.size)?;
        let sum = sum.saturating_add(wire.count);
        if sum > MOST {
            return Err(BoxError::Count);
        }
        Ok(sum)
    })
}

impl Contents {
    /// Nothing was listed.
    pub fn is_empty(&self) -> bool {
        let things = self.fitting_types > 0 || self.yokes.iter().any(|yokes| yokes.count > 0);
        let wires = self.all().any(|wire| wire.count > 0);
        !(wires || things || self.clamps || !self.terminal_blocks.is_empty())
    }

    fn wires(&self) -> impl Iterator<Item = &Wires> {
        let phase = self.conductors.iter().chain(&self.through);
        phase.chain(&self.loops).chain(&self.pigtails)
    }

    fn grounds(&self) -> impl Iterator<Item = &Wires> {
        self.egc
            .iter()
            .chain(&self.isolated_egc)
            .chain(&self.bonding_jumpers)
    }

    fn all(&self) -> impl Iterator<Item = &Wires> {
        let canopy = self.canopy_wires.iter().chain(&self.canopy_egc);
        self.wires().chain(self.grounds()).chain(canopy)
    }

    /// The one size that a device can be wired with: all conductors are of it, and no grounding
    /// conductor is larger. `None` where that leaves a choice.
    fn only_size(&self) -> Result<Option<usize>, BoxError> {
        let present = || self.wires().filter(|wire| wire.count > 0);
        let most = largest(present())?;
        for wire in present() {
            if Some(place(&wire.size)?) != most {
                return Ok(None);
            }
        }
        Ok(if largest(self.grounds())? <= most {
            most
        } else {
            None
        })
    }
}

/// What the contents of a box take, line by line.
///
/// In allowances of one conductor volume `v(size)`, cubic inches: each conductor that ends or
/// passes 1, each loop 2, a pigtail 0, all at their own size; all inside clamps together 1 and each
/// type of fitting 1, at the largest conductor in the box; each yoke 2 a gang, at the largest
/// conductor on it. Grounding conductors, at the largest of them: 2017 1 for all and 1 for an
/// isolated set; from 2020 1 up to four and a quarter for each further one. Terminal blocks 1 each
/// from 2023. Up to four fixture wires under 14 AWG and a grounding conductor from a domed canopy
/// are left out; of more than four the smallest are. Bonding jumpers count as grounding conductors,
/// also in 2023, which does not name them (the careful side).
///
/// Valid for 18 to 6 AWG and the NEC editions; an IEC rule set counts as the newest edition.
/// Source: NEC 314.16(B)(1) to (6); 2017 grounding from memory.
/// # Errors
/// [`BoxError`] for a size or count that cannot be read.
pub fn fill(edition: RuleSet, contents: &Contents) -> Result<Fill, BoxError> {
    let mut fill = Fill::default();
    own_size(&mut fill, contents)?;
    canopy(&mut fill, contents)?;
    let most = largest(contents.all())?;
    if let (true, Some(at)) = (contents.clamps, most) {
        fill.add("clamps", "Clamps inside", Decimal::ONE, at, "314.16(B)(2)");
    }
    if contents.fitting_types > MOST {
        return Err(BoxError::Count);
    }
    if let (1.., Some(at)) = (contents.fitting_types, most) {
        let types = contents.fitting_types.into();
        fill.add("fittings", "Studs and hickeys", types, at, "314.16(B)(3)");
    }
    devices(&mut fill, contents)?;
    grounding(&mut fill, edition, contents)?;
    if contents.terminal_blocks.len() > MOST as usize {
        return Err(BoxError::Count);
    }
    for block in &contents.terminal_blocks {
        let at = place(block)?;
        if !matches!(edition, RuleSet::Nec2017 | RuleSet::Nec2020) {
            fill.add("blocks", "Terminal block", Decimal::ONE, at, "314.16(B)(6)");
        }
    }
    Ok(fill)
}

fn own_size(fill: &mut Fill, contents: &Contents) -> Result<(), BoxError> {
    let own = "314.16(B)(1)";
    for (key, what, wires, each) in [
        (
            "conductors",
            "Conductors that end here",
            &contents.conductors,
            1,
        ),
        (
            "through",
            "Conductors that pass through",
            &contents.through,
            1,
        ),
        ("loops", "Unbroken loops", &contents.loops, 2),
        ("pigtails", "Pigtails", &contents.pigtails, 0),
    ] {
        count(wires)?;
        for wire in wires.iter().filter(|wire| wire.count > 0 && each > 0) {
            let allowances = Decimal::from(wire.count) * Decimal::from(each);
            fill.add(key, what, allowances, place(&wire.size)?, own);
        }
    }
    Ok(())
}

impl Fill {
    fn add(
        &mut self,
        key: &'static str,
        what: &'static str,
        allowances: Decimal,
        at: usize,
        section: &'static str,
    ) {
        let (size, each) = &CONDUCTOR_VOLUMES[at];
        let volume = allowances * each;
        self.total += volume;
        self.parts.push(Part {
            key,
            what,
            allowances,
            size: size.clone(),
            volume,
            section,
        });
    }

    /// Cubic inches of the lines of this name.
    pub fn of(&self, key: &str) -> Decimal {
        let parts = self.parts.iter().filter(|part| part.key == key);
        parts.map(|part| part.volume).sum()
    }
}

fn canopy(fill: &mut Fill, contents: &Contents) -> Result<(), BoxError> {
    count(&contents.canopy_wires)?;
    count(&contents.canopy_egc)?;
    let fourteen = place("14")?;
    let mut thin: Vec<usize> = Vec::new();
    for wire in &contents.canopy_wires {
        let at = place(&wire.size)?;
        let many = std::iter::repeat_n(at, wire.count as usize);
        if at < fourteen {
            thin.extend(many);
        } else {
            many.for_each(|at| fill.add("canopy", "Canopy wire", Decimal::ONE, at, "314.16(B)(1)"));
        }
    }
    thin.sort_unstable();
    for at in thin.into_iter().skip(4) {
        fill.add(
            "canopy",
            "Fifth or further canopy wire",
            Decimal::ONE,
            at,
            "314.16(B)(1) Ex.",
        );
    }
    Ok(())
}

fn devices(fill: &mut Fill, contents: &Contents) -> Result<(), BoxError> {
    let only = contents.only_size()?;
    for yokes in contents.yokes.iter().filter(|yokes| yokes.count > 0) {
        if yokes.count > MOST || yokes.gangs > MOST {
            return Err(BoxError::Count);
        }
        let at = match &yokes.largest {
            Some(size) => Some(place(size)?),
            None => only,
        };
        match at {
            Some(at) => {
                let gangs = Decimal::from(yokes.gangs.max(1));
                let allowances = Decimal::TWO * gangs * Decimal::from(yokes.count);
                fill.add("yokes", "Devices on yokes", allowances, at, "314.16(B)(4)");
            }
            None => fill.device_open = true,
        }
    }
    Ok(())
}

fn grounding(fill: &mut Fill, edition: RuleSet, contents: &Contents) -> Result<(), BoxError> {
    let section = "314.16(B)(5)";
    let isolated = count(&contents.isolated_egc)?;
    let plain = count(&contents.egc)? + count(&contents.bonding_jumpers)?;
    let what = "Grounding conductors";
    if edition == RuleSet::Nec2017 {
        let of_plain = largest(contents.egc.iter().chain(&contents.bonding_jumpers))?;
        if let Some(at) = of_plain {
            fill.add("egc", what, Decimal::ONE, at, section);
        }
        if let Some(at) = largest(contents.isolated_egc.iter())? {
            fill.add("egc", "Isolated grounding set", Decimal::ONE, at, section);
        }
        return Ok(());
    }
    if let Some(at) = largest(contents.grounds())? {
        let further = (plain + isolated).saturating_sub(4);
        let allowances = Decimal::ONE + Decimal::from(further) * Decimal::new(25, 2);
        fill.add("egc", what, allowances, at, section);
    }
    Ok(())
}

#[cfg(test)]
mod tests;
