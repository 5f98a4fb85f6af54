//! The NEC lines of the branch device and of loads that share it.

use super::RuleSet;
use super::current::Counted;
use super::device::{self, DeviceLimit, MotorRow};
use super::load::{self, FIVE_QUARTERS};
use super::nec::Others;
use super::wire;
use crate::installation::{Circuit, DeviceKind, Metal};
use crate::plate::Plate;
use crate::shown::{Fill, ask, exact, line, plausible, plausible_load, positive};
use crate::units::Volts;
use crate::working::{Line, Text, Verdict, Working};
use rust_decimal::Decimal;

/// One motor with the circuit it is on, as the lines of the branch device need it.
pub(super) struct OnCircuit<'a> {
    pub(super) rule_set: RuleSet,
    pub(super) motor: &'a Plate,
    pub(super) counted: &'a Counted,
    pub(super) others: &'a Others,
    pub(super) circuit: &'a Circuit,
    pub(super) phases: u8,
    pub(super) volts: Volts,
}

/// What is asked where a judgement is open: what, why, how.
type Open = (&'static str, &'static str, &'static str);

pub(super) fn judge_device(working: &mut Working, on: &OnCircuit) {
    let table = device::table_name(on.rule_set);
    let shown = line("device", "Branch device").rule(
        "percentage of the current, next standard rating, unless the equipment is marked with less; \
         shared circuits by 430.53",
        format!("NEC {table}, 430.53, 240.6(A), 210.20(A)"),
    );
    let rating = on.circuit.device_rating.and_then(plausible);
    let (Some(kind), Some(rating)) = (on.circuit.device, rating) else {
        return ask(
            working,
            shown,
            "kind and rating of the branch device",
            "too large does not protect against a short circuit, too small opens at the start",
            "read the handle or the fuse with the panel's label",
        );
    };
    let Some(allowed) = Allowed::of(on, kind, rating) else {
        return ask(
            working,
            shown,
            "a device kind and current that this rule set lists",
            "the percentages are given for four kinds of device only",
            "read the device again; for another kind ask a licensed electrician",
        );
    };
    let shown = shown.value(exact(rating), "A");
    let carries = on.others.carried() + on.counted.amps;
    if rating < carries {
        let shown = shown
            .limit(format!("at least {} A for the loads", exact(carries)))
            .margin(format!("{} A", exact(rating - carries)));
        working.lines.push(shown.judge(
            Verdict::Beyond,
            "Take load off the circuit or have a larger device chosen with its conductors.",
        ));
        return;
    }
    let shown = allowed.show(shown);
    match allowed.verdict() {
        Ok((verdict, note)) => working.lines.push(shown.judge(verdict, note)),
        Err((what, why, how)) => ask(working, shown, what, why, how),
    }
}

/// The device with what the motors behind it allow.
struct Allowed<'a> {
    on: &'a OnCircuit<'a>,
    kind: DeviceKind,
    rating: Decimal,
    alone: DeviceLimit,
    highest: Decimal,
}

impl<'a> Allowed<'a> {
    fn of(on: &'a OnCircuit<'a>, kind: DeviceKind, rating: Decimal) -> Option<Self> {
        let row = motor_row(on.phases);
        let limit = |flc| device::device_limit(on.rule_set, row, kind, flc);
        let alone = limit(on.counted.device_amps)?;
        let mut highest = alone.highest;
        if on.others.any() {
            // 430.53(B): what the smallest motor of the group may have behind it.
            let motors = on.others.motors.iter().copied();
            let smallest = motors.filter_map(plausible).min();
            let smallest = smallest.map_or(on.counted.device_amps, |amps| {
                amps.min(on.counted.device_amps)
            });
            highest = limit(smallest).map_or(highest, |limit| limit.highest.min(highest));
        }
        Some(Allowed {
            on,
            kind,
            rating,
            alone,
            highest,
        })
    }

    fn show(&self, shown: Line) -> Line {
        let by = if self.on.others.any() {
            "smallest motor"
        } else {
            "this motor"
        };
        shown
            .limit(format!(
                "{} A ({} % of {} A = {} A, {by})",
                exact(self.highest),
                exact(self.alone.percent),
                exact(self.on.counted.device_amps),
                exact(self.alone.calculated)
            ))
            .margin(format!("{} A", exact(self.highest - self.rating)))
    }

    /// Verdict with its note, or what is still open.
    fn verdict(&self) -> Result<(Verdict, Text), Open> {
        if self.rating > self.highest {
            return self.above();
        }
        if self.rating < self.on.counted.amps * FIVE_QUARTERS {
            let note = "It may open while the motor starts; watch the first starts.";
            return Ok((Verdict::WithinNote, note.into()));
        }
        let note = "The device is not larger than the percentage allows.";
        Ok((Verdict::Within, note.into()))
    }

    /// Above the percentage: shared circuits, hard starts and listed groups may still allow it.
    fn above(&self) -> Result<(Verdict, Text), Open> {
        let hp = self.on.motor.power.value().and_then(|p| positive(p.hp()));
        let others = self.on.others;
        let shares = self.on.circuit.shares_outlets;
        let mut group = others.motors.clone();
        group.push(self.on.counted.device_amps);
        // 430.53(A) is for motors that share a circuit; a motor alone has no use of it.
        let few = load::small_motor_group(&group, hp, self.rating, self.on.volts.0);
        let small = few && (others.any() || shares == Some(true));
        let highest = exact(self.highest);
        if small && hp.is_none() {
            return Err((
                "plate power",
                "motors of 1 hp or less may share a small circuit",
                "read the motor's plate",
            ));
        }
        let note = |note: Text| Ok((Verdict::WithinNote, note));
        if small {
            return note(SMALL_GROUP.into());
        }
        if !others.any() && self.rating <= self.alone.ceiling_calculated {
            return note(
                format!(
                    "Allowed up to {} A only where the motor will not start on {highest} A.",
                    exact(self.alone.ceiling_calculated)
                )
                .into(),
            );
        }
        if others.any() && self.rating <= self.alone.highest + others.sum() {
            return note(
                "Allowed for a listed group installation only, 430.53(C); have the listing checked."
                    .into(),
            );
        }
        if few && shares.is_none() {
            return Err((
                "whether lighting or outlets share the circuit",
                "a small motor that shares its circuit may have a larger device, 430.53(A)",
                "switch the circuit off and see what stops",
            ));
        }
        if before_ten(self.on.rule_set, self.kind, self.highest, self.rating) {
            return Err((
                "whether the 10 A breaker listed from 2023 is what 430.52(C)(1) means",
                "2017 and 2020 give 15 A for so small a motor",
                "ask the authority having jurisdiction, or keep to 10 A",
            ));
        }
        let note = format!("Have the device changed to {highest} A or less of this kind.");
        Ok((Verdict::Beyond, note.into()))
    }
}

const SMALL_GROUP: &str = "Larger than the percentage gives for this motor alone; motors of 1 hp and \
    6 A with their own overload protection may share such a circuit by 430.53(A). The others' power \
    and overload protection are not checked here: look at them.";

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
    let Some(rating) = grounding_rating(rule_set, counted, circuit, phases) else {
        return;
    };
    let Some((copper, aluminium)) = device::grounding_conductor(rating) else {
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

/// The device's rating; an instantaneous-trip breaker counts as the largest dual-element fuse.
fn grounding_rating(
    rule_set: RuleSet,
    counted: &Counted,
    circuit: &Circuit,
    phases: u8,
) -> Option<Decimal> {
    let rating = circuit.device_rating.and_then(plausible)?;
    if circuit.device? != DeviceKind::InstantaneousTripBreaker {
        return Some(rating);
    }
    let fuse = DeviceKind::DualElementFuse;
    device::device_limit(rule_set, motor_row(phases), fuse, counted.device_amps)
        .map(|limit| limit.highest)
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
    let motors = circuit.other_motors.iter().flatten();
    let motors: Decimal = motors
        .filter_map(|amps| plausible_load(*amps))
        .take(1000)
        .sum();
    working
        .lines
        .push(fixed_line(shown, rating, counted.amps + motors));
}

/// Equipment fastened in place against half of the circuit.
fn fixed_line(shown: Line, rating: Decimal, fixed: Decimal) -> Line {
    let Some(limit) = load::fixed_equipment_limit(rating) else {
        return shown.judge(
            Verdict::WithinNote,
            "The half-rating rule is for 15 and 20 A circuits; ask a licensed electrician about this one.",
        );
    };
    let shown = shown
        .value(exact(fixed), "A")
        .limit(format!("{} A", exact(limit)))
        .margin(format!("{} A", exact(limit - fixed)));
    if fixed <= limit {
        shown.judge(
            Verdict::Within,
            "Half of the circuit is left for the outlets.",
        )
    } else {
        shown.judge(
            Verdict::Beyond,
            "Give the motor a circuit of its own, or take the outlets off this one.",
        )
    }
}
