//! The grounding conductor of one motor's circuit: the row of its device, and what is enough.

use super::super::device;
use super::{Branch, OneMotor};
use crate::installation::DeviceKind;
use crate::shown::{Fill, exact, line, plausible};
use crate::working::Working;
use rust_decimal::Decimal;

/// By the device's rating, or by the largest allowed; an instantaneous-trip breaker counts as the
/// largest dual-element fuse. Source: NEC 250.122(D).
pub(super) fn grounding_row(
    ask: &OneMotor,
    branch: &Branch,
) -> Option<(Decimal, &'static str, &'static str)> {
    let rating = match ask.device? {
        DeviceKind::InstantaneousTripBreaker => branch.device(DeviceKind::DualElementFuse)?.highest,
        kind => match ask.device_rating.and_then(plausible) {
            Some(rating) => rating,
            None => branch.device(kind)?.highest,
        },
    };
    let (copper, aluminium) = device::grounding_conductor(rating)?;
    Some((rating, copper, aluminium)).filter(|_| !branch.high_voltage)
}

pub(super) fn grounding(ask: &OneMotor, branch: &Branch) -> Option<(&'static str, &'static str)> {
    let (_, copper, aluminium) = branch.grounding_row?;
    let circuit = ask
        .terminals
        .map_or([branch.sizes[0][0], branch.sizes[1][0]], |terminals| {
            branch.sizes_at(terminals)
        });
    Some((
        device::not_above(copper, circuit[0].map(|(size, _)| size)),
        device::not_above(aluminium, circuit[1].map(|(size, _)| size)),
    ))
}

/// The row of the device, and the smaller size that is enough where the circuit's own conductors are
/// the smallest that serve.
pub(super) fn grounding_line(working: &mut Working, branch: &Branch) {
    let (Some((rating, row_copper, row_aluminium)), Some((copper, aluminium))) =
        (branch.grounding_row, branch.grounding)
    else {
        return;
    };
    let shown = line("grounding", "Equipment grounding conductor")
        .value(format!("{row_copper} copper, {row_aluminium} aluminium"), "")
        .limit(format!("{} A device", exact(rating)))
        .rule(
            "by the branch device, not by the overload; never needs to be larger than the circuit's \
             conductors",
            "NEC 250.122(A), (D)",
        );
    working.lines.push(if (row_copper, row_aluminium) == (copper, aluminium) {
        shown
    } else {
        shown.note(format!(
            "With the smallest circuit conductors that serve, {copper} copper or {aluminium} aluminium \
             is enough: it never needs to exceed them."
        ))
    });
}
