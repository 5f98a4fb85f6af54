//! The NEC lines of the branch device and of loads that share it.

use super::RuleSet;
use super::current::Counted;
use super::device::{self, MotorRow};
use super::load::{self, FIVE_QUARTERS};
use super::nec::Others;
use super::wire;
use crate::installation::{Circuit, DeviceKind, Metal};
use crate::plate::Plate;
use crate::shown::{Fill, ask, exact, line, plausible, plausible_load, positive};
use crate::units::Volts;
use crate::working::{Verdict, Working};
use rust_decimal::Decimal;

#[expect(
    clippy::too_many_arguments,
    reason = "one line of the check needs the whole circuit"
)]
pub(super) fn judge_device(
    working: &mut Working,
    rule_set: RuleSet,
    motor: &Plate,
    counted: &Counted,
    others: &Others,
    circuit: &Circuit,
    phases: u8,
    volts: Volts,
) {
    let table = device::table_name(rule_set);
    let shown = line("device", "Branch device").rule(
        "percentage of the current, next standard rating; shared circuits by 430.53",
        format!("NEC {table}, 430.53, 240.6(A), 210.20(A)"),
    );
    let (Some(kind), Some(rating)) = (circuit.device, circuit.device_rating.and_then(plausible))
    else {
        return ask(
            working,
            shown,
            "kind and rating of the branch device",
            "too large does not protect against a short circuit, too small opens at the start",
            "read the handle or the fuse with the panel's label",
        );
    };
    let row = motor_row(phases);
    let limit = |flc| device::device_limit(rule_set, row, kind, flc);
    let Some(alone) = limit(counted.device_amps) else {
        return ask(
            working,
            shown,
            "a device kind and current that this rule set lists",
            "the percentages are given for four kinds of device only",
            "read the device again; for another kind ask a licensed electrician",
        );
    };
    let shown = shown.value(exact(rating), "A");
    let carries = counted.amps
        + others.motors.iter().copied().sum::<Decimal>()
        + others.noncontinuous
        + others.continuous * FIVE_QUARTERS;
    if rating < carries {
        working.lines.push(
            shown
                .limit(format!("at least {} A for the loads", exact(carries)))
                .margin(format!("{} A", exact(rating - carries)))
                .judge(
                    Verdict::Beyond,
                    "Take load off the circuit or have a larger device chosen with its conductors.",
                ),
        );
        return;
    }
    let hp = motor.power.value().and_then(|p| positive(p.hp()));
    let mut group = others.motors.clone();
    group.push(counted.device_amps);
    // 430.53(A) is for motors that share a circuit; a motor alone has no use of it.
    let shares = circuit.shares_outlets;
    let few = load::small_motor_group(&group, hp, rating, volts.0);
    let small = few && (others.any() || shares == Some(true));
    let (highest, by) = if others.any() {
        // 430.53(B): what the smallest motor of the group may have behind it.
        let smallest = group
            .iter()
            .copied()
            .filter_map(plausible)
            .min()
            .unwrap_or(counted.device_amps);
        (
            limit(smallest).map_or(alone.highest, |l| l.highest.min(alone.highest)),
            "smallest motor",
        )
    } else {
        (alone.highest, "this motor")
    };
    let shown = shown
        .limit(format!(
            "{} A ({} % of {} A = {} A, {by})",
            exact(highest),
            exact(alone.percent),
            exact(counted.device_amps),
            exact(alone.calculated)
        ))
        .margin(format!("{} A", exact(highest - rating)));
    let listed = alone.highest + others.sum();
    let line = if rating <= highest {
        if rating < counted.amps * FIVE_QUARTERS {
            shown.judge(
                Verdict::WithinNote,
                "It may open while the motor starts; watch the first starts.",
            )
        } else {
            shown.judge(
                Verdict::Within,
                "The device is not larger than the percentage allows.",
            )
        }
    } else if small && hp.is_none() {
        return ask(
            working,
            shown,
            "plate power",
            "motors of 1 hp or less may share a small circuit",
            "read the motor's plate",
        );
    } else if small {
        shown.judge(
            Verdict::WithinNote,
            "Larger than the percentage gives for this motor alone; motors of 1 hp and 6 A with \
             their own overload protection may share such a circuit by 430.53(A). The others' power \
             and overload protection are not checked here: look at them.",
        )
    } else if !others.any() && rating <= alone.ceiling_calculated {
        let ceiling = exact(alone.ceiling_calculated);
        shown.judge(
            Verdict::WithinNote,
            format!(
                "Allowed up to {ceiling} A only where the motor will not start on {} A.",
                exact(highest)
            ),
        )
    } else if others.any() && rating <= listed {
        shown.judge(
            Verdict::WithinNote,
            "Allowed for a listed group installation only, 430.53(C); have the listing checked.",
        )
    } else if few && shares.is_none() {
        return ask(
            working,
            shown,
            "whether lighting or outlets share the circuit",
            "a small motor that shares its circuit may have a larger device, 430.53(A)",
            "switch the circuit off and see what stops",
        );
    } else if before_ten(rule_set, kind, highest, rating) {
        return ask(
            working,
            shown,
            "whether the 10 A breaker listed from 2023 is what 430.52(C)(1) means",
            "2017 and 2020 give 15 A for so small a motor",
            "ask the authority having jurisdiction, or keep to 10 A",
        );
    } else {
        shown.judge(
            Verdict::Beyond,
            format!(
                "Have the device changed to {} A or less of this kind.",
                exact(highest)
            ),
        )
    };
    working.lines.push(line);
}

/// A 15 A breaker that only the 10 A entry of the 2023 list makes too large.
fn before_ten(rule_set: RuleSet, kind: DeviceKind, highest: Decimal, rating: Decimal) -> bool {
    rule_set == RuleSet::Nec2023
        && kind == DeviceKind::InverseTimeBreaker
        && highest == Decimal::TEN
        && rating <= Decimal::from(15)
}

/// The grounding conductor that belongs to the device; its own size is not recorded, so nothing is
/// judged.
pub(super) fn show_grounding(
    working: &mut Working,
    rule_set: RuleSet,
    counted: &Counted,
    circuit: &Circuit,
    phases: u8,
) {
    let Some((kind, rating)) = circuit
        .device
        .zip(circuit.device_rating.and_then(plausible))
    else {
        return;
    };
    let rating = if kind == DeviceKind::InstantaneousTripBreaker {
        let fuse = DeviceKind::DualElementFuse;
        device::device_limit(rule_set, motor_row(phases), fuse, counted.device_amps)
            .map(|limit| limit.highest)
    } else {
        Some(rating)
    };
    let Some((rating, (copper, aluminium))) =
        rating.and_then(|rating| Some((rating, device::grounding_conductor(rating)?)))
    else {
        return;
    };
    // Another metal than the circuit's keeps the size of the table.
    let run = |metal: Metal| {
        let size = circuit.size.as_deref().and_then(wire::find_size);
        size.filter(|_| circuit.metal == Some(metal))
    };
    working.lines.push(
        line("grounding", "Equipment grounding conductor, at least")
            .value(
                format!(
                    "{} copper, {} aluminium",
                    device::not_above(copper, run(Metal::Copper)),
                    device::not_above(aluminium, run(Metal::Aluminium))
                ),
                "",
            )
            .limit(format!("{} A device", exact(rating)))
            .rule(
                "by the device, not by the overload; never larger than the circuit's conductors",
                "NEC 250.122(A), (D)",
            )
            .note(
                "Enlarge it with conductors that were enlarged against voltage drop; a metal raceway \
                 may serve in its place (250.118).",
            ),
    );
}

fn motor_row(phases: u8) -> MotorRow {
    if phases == 3 {
        MotorRow::Polyphase
    } else {
        MotorRow::SinglePhase
    }
}

/// Motor on a circuit that also feeds lighting or outlets.
pub(super) fn judge_shared(
    working: &mut Working,
    rule_set: RuleSet,
    counted: &Counted,
    circuit: &Circuit,
) {
    let section = if rule_set == RuleSet::Nec2023 {
        "NEC 210.23(B)(2)"
    } else {
        "NEC 210.23(A)(2)"
    };
    let shown = line("shared", "Lighting or outlets on the circuit").rule(
        "fixed equipment takes half of a 15 or 20 A circuit at most",
        section,
    );
    let Some(shares) = circuit.shares_outlets else {
        return ask(
            working,
            shown,
            "whether lighting or outlets share the circuit",
            "fixed equipment may then take half of a 15 or 20 A circuit only",
            "switch the circuit off and see what stops",
        );
    };
    if !shares {
        working
            .lines
            .push(shown.judge(Verdict::Within, "Nothing else is fed through outlets."));
        return;
    }
    // Without a rating the device line already asks for it.
    let Some(rating) = circuit.device_rating.and_then(plausible) else {
        return;
    };
    let motors: Decimal = circuit
        .other_motors
        .iter()
        .flatten()
        .filter_map(|amps| plausible_load(*amps))
        .take(1000)
        .sum();
    let fixed = counted.amps + motors;
    working.lines.push(match load::fixed_equipment_limit(rating) {
        Some(limit) => {
            let shown = shown
                .value(exact(fixed), "A")
                .limit(format!("{} A", exact(limit)))
                .margin(format!("{} A", exact(limit - fixed)));
            if fixed <= limit {
                shown.judge(Verdict::Within, "Half of the circuit is left for the outlets.")
            } else {
                shown.judge(
                    Verdict::Beyond,
                    "Give the motor a circuit of its own, or take the outlets off this one.",
                )
            }
        }
        None => shown.judge(
            Verdict::WithinNote,
            "The half-rating rule is for 15 and 20 A circuits; ask a licensed electrician about this one.",
        ),
    });
}
