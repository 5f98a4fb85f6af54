//! The chosen motor against the circuit that feeds the machine.

mod branch;
pub mod carry;
pub mod compressor;
pub mod contact;
pub mod current;
pub mod device;
pub mod drop;
pub mod duty;
pub mod grounding;
mod iec;
pub mod iec_circuit;
pub mod iec_wire;
pub mod load;
pub mod locked_rotor;
pub mod motor_load;
mod nec;
pub mod one_motor;
pub mod outlets;
pub mod overload;
pub mod run;
pub mod several;
pub mod sharing;
pub mod small_switch;
mod switches;
mod table;
mod trip;
pub mod wire;

use crate::installation::{Circuit, Control, Installation};
use crate::plate::{MotorType, Plate};
use crate::shown::{Fill, ask, figure, line, positive};
use crate::supply;
use crate::units::Volts;
use crate::working::{Verdict, Working};
use serde::{Deserialize, Serialize};
use std::str::FromStr;

pub use iec_wire::{IecCapacity, iec_capacity, iec_drop};
pub use switches::{disconnect_min, general_switch_min, snap_switch_limit};

/// The rule set a shop has chosen at set-up; there is no default.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum RuleSet {
    /// NEC, edition 2017.
    #[serde(rename = "NEC 2017")]
    Nec2017,
    /// NEC, edition 2020.
    #[serde(rename = "NEC 2020")]
    Nec2020,
    /// NEC, edition 2023.
    #[serde(rename = "NEC 2023")]
    Nec2023,
    /// IEC 60364, low-voltage installations.
    #[serde(rename = "IEC 60364")]
    Iec60364,
}

impl RuleSet {
    /// All rule sets, in the order in which they are offered.
    pub const ALL: [RuleSet; 4] = [
        RuleSet::Nec2023,
        RuleSet::Nec2020,
        RuleSet::Nec2017,
        RuleSet::Iec60364,
    ];

    /// The name as people write it.
    pub fn words(self) -> &'static str {
        match self {
            RuleSet::Nec2017 => "NEC 2017",
            RuleSet::Nec2020 => "NEC 2020",
            RuleSet::Nec2023 => "NEC 2023",
            RuleSet::Iec60364 => "IEC 60364",
        }
    }
}

/// The text names none of the rule sets.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("rule set `{0}` is not one of NEC 2023, NEC 2020, NEC 2017, IEC 60364")]
pub struct UnknownRuleSet(pub String);

impl FromStr for RuleSet {
    type Err = UnknownRuleSet;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        RuleSet::ALL
            .into_iter()
            .find(|set| set.words().eq_ignore_ascii_case(&words))
            .ok_or_else(|| UnknownRuleSet(text.to_owned()))
    }
}

/// The caution of every circuit working.
pub const CAUTION: &str = "A check of figures, never a permission: the adopted local code, the \
    authority having jurisdiction and a licensed electrician decide.";

/// What is said wherever electronics stand between the terminals and the winding.
pub const NO_TEST_THROUGH_ELECTRONICS: &str = "Never make an insulation test through a drive or a \
    motor's electronics: it destroys them and says nothing of the winding. Disconnect the motor from \
    them first; the winding of an electronically commutated motor is tested only where its maker says how.";

/// The chosen motor against the circuit: conductor, device, overload, disconnect, loads, voltage,
/// contact. Every missing figure is named; nothing is assumed.
///
/// Sources: the lines name them, by the sections of the chosen edition.
pub fn check(
    rule_set: RuleSet,
    motor: &Plate,
    installation: &Installation,
    circuit: &Circuit,
) -> Working {
    let mut working = Working::new(format!("Circuit check, {}", rule_set.words()));
    working.cautions.push(CAUTION.into());
    let feed = judge_supply(&mut working, motor, circuit);
    if electronic(&mut working, motor, installation) {
        return working;
    }
    if compressor::judge(&mut working, rule_set, installation, circuit, feed) {
        return working;
    }
    match rule_set {
        RuleSet::Iec60364 => iec::check(&mut working, motor, installation, circuit, feed),
        _ => nec::check(&mut working, rule_set, motor, installation, circuit, feed),
    }
    contact::judge_contact(&mut working, motor, installation, feed, rule_set);
    working
}

/// Phases and volts of the circuit, both usable as figures.
#[derive(Clone, Copy, Debug)]
struct Feed {
    phases: Option<u8>,
    volts: Option<Volts>,
}

impl Feed {
    fn both(self) -> Option<(u8, Volts)> {
        Some((self.phases?, self.volts?))
    }
}

/// Motors whose current is not that of their winding: nothing of the tables holds for them.
fn electronic(working: &mut Working, motor: &Plate, installation: &Installation) -> bool {
    let (what, why) = match (motor.motor_type.value(), installation.site.control) {
        (Some(MotorType::ElectronicallyCommutated), _) => (
            "the maker's largest input current and largest device for this electronic motor",
            "an electronically commutated motor takes its current through a rectifier; the motor \
             tables do not describe it",
        ),
        (Some(MotorType::DirectCurrent), _) => (
            "the circuit data of this direct-current motor",
            "direct-current machines have tables of their own, which are not in this check",
        ),
        (_, Some(Control::FrequencyDrive)) => (
            "the rated input current of the drive",
            "behind a frequency drive the circuit carries the drive's input current, not the motor's",
        ),
        _ => return false,
    };
    let direct = motor.motor_type.value() == Some(&MotorType::DirectCurrent);
    let shown = if direct {
        line("direct_current", "Direct-current motor").rule(
            "a table of its own, by armature voltage",
            "NEC 430.247; IEC: maker's data",
        )
    } else {
        working.cautions.push(NO_TEST_THROUGH_ELECTRONICS.into());
        line("electronic", "Electronic drive").rule(
            "125 % of the rated input current for conductors, 115 % for the disconnect, the device as \
             marked",
            "NEC 430.122, 430.128, 430.130, from memory; IEC: maker's data",
        )
    };
    let how = "read the marking of the drive or machine, or ask its maker, and have a licensed \
               electrician judge the circuit";
    ask(working, shown, what, why, how);
    true
}

/// Phases and volts of the circuit against the plate.
fn judge_supply(working: &mut Working, motor: &Plate, circuit: &Circuit) -> Feed {
    let phases = circuit.phases.filter(|phases| matches!(phases, 1 | 3));
    let volts = circuit.volts.and_then(|v| positive(v.0)).map(Volts);
    judge_phases(working, motor, phases);
    judge_nominal(working, motor, volts);
    Feed { phases, volts }
}

fn judge_phases(working: &mut Working, motor: &Plate, phases: Option<u8>) {
    let shown = line("phases", "Phases").rule("circuit and plate alike", "common practice");
    match (phases, motor.phases.value()) {
        (Some(circuit), Some(plate)) => {
            let shown = shown
                .value(circuit.to_string(), "")
                .limit(format!("{plate} on the plate"));
            working.lines.push(if circuit == *plate {
                shown.judge(Verdict::Within, "Circuit and plate agree.")
            } else {
                shown.judge(
                    Verdict::Beyond,
                    "Choose a motor for the phases of this circuit; do not connect this one.",
                )
            });
        }
        (None, _) => ask(
            working,
            shown,
            "phases of the circuit",
            "tables and formulas differ for one and three phases",
            "read the panel's label and prove it at the disconnect",
        ),
        (_, None) => ask(
            working,
            shown,
            "phases of the motor",
            "a motor runs only on the phases of its plate",
            "read the plate",
        ),
    }
}

fn judge_nominal(working: &mut Working, motor: &Plate, volts: Option<Volts>) {
    let shown = line("voltage", "Nominal voltage")
        .rule("circuit within 10 % of a plate voltage", "NEMA MG 1 12.44");
    let plate = volts.and_then(|v| supply::plate_at(motor, v));
    match (volts, plate) {
        (Some(v), Some(plate)) => {
            let off = supply::deviation_percent(plate.volts.0, v.0).unwrap_or(f64::INFINITY);
            let shown = shown
                .value(figure(v.0, 1), "V")
                .limit(format!("{} V on the plate", figure(plate.volts.0, 1)))
                .margin(format!("{} % off", figure(off, 1)));
            working
                .lines
                .push(if supply::within(plate.volts, v) != Some(true) {
                    shown.judge(
                        Verdict::Beyond,
                        "Choose a motor whose plate carries the voltage of this circuit.",
                    )
                } else if off.abs() > 7.5 {
                    shown.judge(
                    Verdict::WithinNote,
                    "Little is left for drop and swing of the supply; prefer a plate nearer to it.",
                )
                } else {
                    shown.judge(Verdict::Within, "The plate belongs to this supply.")
                });
        }
        (None, _) => ask(
            working,
            shown,
            "voltage of the circuit",
            "the counted current depends on it",
            "read the panel's label and measure at the disconnect",
        ),
        (_, None) => ask(
            working,
            shown,
            "plate voltage",
            "a motor runs only within 10 % of it",
            "read the plate",
        ),
    }
}

/// Voltage lost on the way, and what is left at the motor; one rule for both rule sets.
fn judge_motor_volts(working: &mut Working, motor: &Plate, volts: Volts, lost: Volts) {
    let shown = line("motor_volts", "Volts left at the motor").rule(
        "circuit less drop, within 10 % of the plate",
        "NEMA MG 1 12.44",
    );
    let left = Volts(volts.0 - lost.0);
    // The plate voltage is the one chosen for the circuit, not the one nearest to what is left.
    let Some(plate) = supply::plate_at(motor, volts) else {
        return ask(
            working,
            shown,
            "plate voltage",
            "the drop ends at it",
            "read the plate",
        );
    };
    let low = supply::limits(plate.volts).map_or(plate.volts, |(low, _)| low);
    let shown = shown
        .value(figure(left.0, 1), "V")
        .limit(format!("at least {} V", figure(low.0, 1)))
        .margin(format!("{} V", figure(left.0 - low.0, 1)));
    working.lines.push(if left.0 < low.0 - 1e-6 {
        shown.judge(
            Verdict::Beyond,
            "Pull larger conductors, or choose a motor whose plate voltage is lower.",
        )
    } else {
        shown.judge(
            Verdict::Within,
            "The motor keeps its plate voltage within the tolerance.",
        )
    });
}
