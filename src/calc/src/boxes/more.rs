//! What still fits a box, and the most that open devices may take.

use super::{BoxError, Contents, MOST, Wires, conductor_volume, fill, largest};
use crate::circuit::RuleSet;
use crate::tables::equipment::CONDUCTOR_VOLUMES;
use rust_decimal::Decimal;

/// How many more conductors of a size that end in the box still fit, everything that grows with
/// the largest conductor included: the largest `n` with `fill(contents + n) <= room`.
///
/// Cubic inches; `None` where a device's largest conductor is open. Source: NEC 314.16(B).
/// # Errors
/// As [`fill`].
pub fn more(
    edition: RuleSet,
    contents: &Contents,
    size: &str,
    room: Decimal,
) -> Result<Option<u32>, BoxError> {
    let each = conductor_volume(size)?;
    // A new size in the box leaves devices what they are wired with now.
    let mut with = named_devices(contents)?;
    with.conductors.push(Wires {
        size: size.to_owned(),
        count: 1,
    });
    let one = fill(edition, &with)?;
    if one.device_open {
        return Ok(None);
    }
    if one.total > room {
        return Ok(Some(0));
    }
    let further = ((room - one.total) / each).floor();
    Ok(u32::try_from(further.min(Decimal::from(MOST)))
        .ok()
        .map(|further| further + 1))
}

/// The contents with the one possible size written beside each device that has none.
pub(super) fn named_devices(contents: &Contents) -> Result<Contents, BoxError> {
    let mut named = contents.clone();
    if let Some(at) = contents.only_size()? {
        for yokes in &mut named.yokes {
            yokes
                .largest
                .get_or_insert_with(|| CONDUCTOR_VOLUMES[at].0.clone());
        }
    }
    Ok(named)
}

/// The same contents with every open device wired with the largest conductor in the box: no fill
/// of theirs is larger than this. Source: NEC 314.16(B)(4).
/// # Errors
/// As [`fill`].
pub fn at_most(contents: &Contents) -> Result<Contents, BoxError> {
    let mut most = named_devices(contents)?;
    if let Some(at) = largest(contents.all())? {
        for yokes in &mut most.yokes {
            yokes
                .largest
                .get_or_insert_with(|| CONDUCTOR_VOLUMES[at].0.clone());
        }
    }
    Ok(most)
}

/// The fill with every open device at its largest, cubic inches; `None` where nothing in the box
/// tells what a device may be wired with. Source: NEC 314.16(B)(4).
/// # Errors
/// As [`fill`].
pub fn fill_at_most(edition: RuleSet, contents: &Contents) -> Result<Option<Decimal>, BoxError> {
    let most = fill(edition, &at_most(contents)?)?;
    Ok((!most.device_open).then_some(most.total))
}
