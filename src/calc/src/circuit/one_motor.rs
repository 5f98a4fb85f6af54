//! One motor on a branch circuit of its own: conductor, device, overload, disconnect, grounding.

mod ground;

use ground::{grounding, grounding_line, grounding_row};

use super::device::{self, DeviceLimit, KINDS};
use super::motor_load::{FullLoad, MotorLoad, NoFullLoad, full_load};
use super::overload::{self, OverloadPercent};
use super::wire::{self, Size};
use super::{CAUTION, RuleSet, current, disconnect_min, load};
use crate::installation::{DeviceKind, Metal};
use crate::shown::{Fill, exact, line, plausible};
use crate::units::{Celsius, Volts};
use crate::working::{Line, Missing, Verdict, Working};
use rust_decimal::Decimal;

/// Starters whose leads to the motor carry part of its current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Starter {
    /// Star start, delta run: six leads.
    StarDelta,
    /// Part-winding start.
    PartWinding,
}

/// One motor and what is known of its circuit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OneMotor {
    /// The motor.
    pub motor: MotorLoad,
    /// Lowest terminal temperature rating.
    pub terminals: Option<Celsius>,
    /// Kind of branch device.
    pub device: Option<DeviceKind>,
    /// Its rating, to be judged.
    pub device_rating: Option<Decimal>,
    /// How it is started, where not at full voltage.
    pub starter: Option<Starter>,
}

/// A size with its table ampacity at the terminals.
pub type Chosen = Option<(&'static Size, Decimal)>;

/// What one motor asks of its branch circuit.
#[derive(Clone, Debug)]
pub struct Branch {
    /// The current that counts.
    pub full_load: FullLoad,
    /// Smallest conductor ampacity, amperes.
    pub conductor_min: Decimal,
    /// Smallest conductors at 60 °C and 75 °C terminals: copper, then aluminium.
    pub sizes: [[Chosen; 2]; 2],
    /// Largest device by kind, in the order of 430.52.
    pub devices: Vec<(DeviceKind, DeviceLimit)>,
    /// Percentages for a separate overload device.
    pub overload: OverloadPercent,
    /// Highest setting and highest stepped-up setting, where the plate current is known.
    pub overload_amps: Option<(Decimal, Decimal)>,
    /// Largest final trip of a protector inside the motor, percent and amperes; over 1 hp only.
    pub protector: Option<(u32, Decimal)>,
    /// Smallest disconnect, amperes.
    pub disconnect_min: Decimal,
    /// Locked-rotor current by table; `None`: the table does not list the motor.
    pub locked_rotor: Option<Decimal>,
    /// Smallest ampacity of the leads between starter and motor.
    pub leads_min: Option<Decimal>,
    /// Equipment grounding conductor in copper and aluminium, where the device is known; not above
    /// the circuit's own conductors.
    pub grounding: Option<(&'static str, &'static str)>,
    /// The row of 250.122 it comes from: rating, copper, aluminium.
    pub grounding_row: Option<(Decimal, &'static str, &'static str)>,
    /// Above 1000 V: only the currents hold.
    pub high_voltage: bool,
}

impl Branch {
    /// What is allowed of this kind.
    pub fn device(&self, kind: DeviceKind) -> Option<&DeviceLimit> {
        let found = self.devices.iter().find(|(other, _)| *other == kind);
        found.map(|(_, limit)| limit)
    }

    /// Locked-rotor current: by table, else six times full load. Source: NEC 430.251, 430.110(C)(3).
    pub fn stalled(&self) -> Decimal {
        self.locked_rotor
            .unwrap_or(self.full_load.amps * Decimal::from(6))
    }

    /// Column of the terminals: 0 for 60 °C, 1 for 75 °C and up.
    pub fn sizes_at(&self, terminals: Celsius) -> [Chosen; 2] {
        let column = usize::from(terminals.0 >= 75.0);
        [self.sizes[0][column], self.sizes[1][column]]
    }
}

/// Everything the code asks of the circuit of one continuous-duty motor.
///
/// Conductor `1.25 flc`; device by percentage, next standard rating, ceiling; overload by the plate;
/// disconnect `1.15 flc`; leads of a star-delta starter `0.72 flc`, of a part-winding starter
/// `0.625 flc`; grounding by the device. 30 °C and up to three conductors in the raceway.
/// Source: NEC 430.6, 430.22, 430.32, 430.52, 430.110, 250.122, 310.16.
/// # Errors
/// [`NoFullLoad`] where no current can be stated.
pub fn one_motor(rule_set: RuleSet, ask: &OneMotor) -> Result<(Branch, Working), NoFullLoad> {
    let full_load = full_load(&ask.motor)?;
    let conductor_min = load::branch_conductor_min(full_load.amps);
    let high = ask.motor.volts.is_some_and(high_voltage);
    let size = |metal, celsius| {
        wire::smallest_size(metal, Celsius(celsius), conductor_min).filter(|_| !high)
    };
    let sizes =
        [Metal::Copper, Metal::Aluminium].map(|metal| [size(metal, 60.0), size(metal, 75.0)]);
    let row = ask.motor.motor_row().filter(|_| !high);
    let devices = row.map_or_else(Vec::new, |row| {
        KINDS
            .into_iter()
            .filter_map(|kind| {
                let limit = device::device_limit(rule_set, row, kind, full_load.device_amps)?;
                Some((kind, limit))
            })
            .collect()
    });
    let overload = overload::overload_percent(ask.motor.service_factor, ask.motor.rise);
    let mut branch = Branch {
        conductor_min,
        sizes,
        devices,
        overload,
        overload_amps: ask.motor.plate_amps.and_then(plausible).map(|plate| {
            (
                overload::overload_max(plate, overload.highest),
                overload::overload_max(plate, overload.stepped_up),
            )
        }),
        protector: protector(&full_load),
        disconnect_min: disconnect_min(full_load.amps),
        locked_rotor: locked_rotor(&ask.motor, &full_load),
        leads_min: ask
            .starter
            .map(|starter| leads_min(starter, full_load.amps)),
        grounding: None,
        grounding_row: None,
        high_voltage: high,
        full_load,
    };
    branch.grounding_row = grounding_row(ask, &branch);
    branch.grounding = grounding(ask, &branch);
    let working = working(rule_set, ask, &branch);
    Ok((branch, working))
}

/// Smallest ampacity of the leads between a starter and its motor. Source: NEC 430.22(C), (D).
pub fn leads_min(starter: Starter, flc: Decimal) -> Decimal {
    let share = match starter {
        Starter::StarDelta => Decimal::new(72, 2),
        Starter::PartWinding => Decimal::new(625, 3),
    };
    flc.checked_mul(share).unwrap_or(Decimal::MAX)
}

fn protector(full_load: &FullLoad) -> Option<(u32, Decimal)> {
    full_load.row?;
    full_load.hp.filter(|hp| *hp > 1.011)?;
    Some((
        overload::protector_percent(full_load.amps),
        overload::protector_max(full_load.amps),
    ))
}

fn locked_rotor(motor: &MotorLoad, full_load: &FullLoad) -> Option<Decimal> {
    let row = current::locked_rotor_row(motor.supply?, full_load.hp?, motor.volts?).ok()?;
    Some(row.amps)
}

/// The name people read.
pub(crate) fn kind_words(kind: DeviceKind) -> &'static str {
    match kind {
        DeviceKind::InverseTimeBreaker => "Inverse-time breaker",
        DeviceKind::DualElementFuse => "Dual-element (time-delay) fuse",
        DeviceKind::NonTimeDelayFuse => "Fuse without time delay",
        DeviceKind::InstantaneousTripBreaker => "Instantaneous-trip breaker",
        DeviceKind::MiniatureBreakerB => "Miniature breaker, curve B",
        DeviceKind::MiniatureBreakerC => "Miniature breaker, curve C",
        DeviceKind::MiniatureBreakerD => "Miniature breaker, curve D",
        DeviceKind::GgFuse => "Fuse gG",
    }
}

/// Above this the code's ordinary tables of conductors and devices end.
pub(crate) fn high_voltage(volts: Volts) -> bool {
    volts.0 > 1000.0
}

/// What is said where only currents are given.
pub(crate) const HIGH_VOLTAGE: &str = "Above 1000 V only the table current and its 125 % are given: \
    conductors, devices and disconnects follow part XI of NEC article 430 (from memory) and a qualified \
    engineer.";

/// What wins over the percentages.
const MARKED_DEVICE: &str = "Where the controller's overload table or the equipment is marked with a \
    smaller largest device, that one rules, NEC 430.52(C)(2).";

fn working(rule_set: RuleSet, ask: &OneMotor, branch: &Branch) -> Working {
    let mut working = Working::new("Branch circuit of one motor");
    working.cautions.push(CAUTION.into());
    working.cautions.push(MARKED_DEVICE.into());
    working.lines.push(branch.full_load.line());
    if branch.high_voltage {
        working.cautions.push(HIGH_VOLTAGE.into());
        working.lines.push(conductor_min_line(branch));
        return working;
    }
    conductor_lines(&mut working, rule_set, ask, branch);
    device_lines(&mut working, rule_set, ask, branch);
    overload_lines(&mut working, ask, branch);
    let amps = exact(branch.full_load.amps);
    working.lines.push(
        line("disconnect", "Disconnect, at least")
            .value(exact(branch.disconnect_min), "A")
            .limit(format!("115 % of {amps} A"))
            .rule(
                "115 % of the full-load current; a listed unfused switch rated in horsepower may be less",
                "NEC 430.110(A)",
            ),
    );
    let shown = line("locked_rotor", "Locked-rotor current").value(exact(branch.stalled()), "A");
    working.lines.push(match branch.locked_rotor {
        Some(_) => shown.rule(
            "by horsepower and volts; not for design A; a code letter tells more",
            "NEC 430.251",
        ),
        None => shown.rule(
            "six times full load for a motor that the tables do not list",
            "NEC 430.110(C)(3)",
        ),
    });
    grounding_line(&mut working, branch);
    working
}

fn conductor_min_line(branch: &Branch) -> Line {
    line("conductor_min", "Conductor ampacity, at least")
        .value(exact(branch.conductor_min), "A")
        .limit(format!("125 % of {} A", exact(branch.full_load.amps)))
        .rule("one motor in continuous duty", "NEC 430.22")
}

fn conductor_lines(working: &mut Working, rule_set: RuleSet, ask: &OneMotor, branch: &Branch) {
    working.lines.push(conductor_min_line(branch));
    let columns = match ask.terminals {
        Some(terminals) if terminals.0 >= 75.0 => vec![(1, 75)],
        Some(_) => vec![(0, 60)],
        None => {
            working.missing.push(Missing {
                what: "temperature rating of the terminals".into(),
                why: "it decides between the 60 °C and the 75 °C column; both are shown. Terminals of \
                      design B, C and D motors may take 75 °C"
                    .into(),
                how: "read the marking in the starter and at the breaker".into(),
            });
            vec![(0, 60), (1, 75)]
        }
    };
    for (column, celsius) in columns {
        let words = |metal: usize, name: &str| match branch.sizes[metal][column] {
            Some((size, amps)) => format!("{name} {} ({} A)", size.name, exact(amps)),
            None => format!("{name}: none of the table"),
        };
        working.lines.push(
            line("conductor", "Smallest conductor")
                .value(format!("{}; {}", words(0, "copper"), words(1, "aluminium")), "")
                .limit(format!("{celsius} °C terminals"))
                .rule(
                    "30 °C, up to three conductors; not below 14 AWG; 240.4(D) does not limit a motor circuit",
                    format!("{}, 430.22(G), 240.4(G)", wire::sections(rule_set)),
                ),
        );
    }
    leads_line(working, ask, branch);
}

fn leads_line(working: &mut Working, ask: &OneMotor, branch: &Branch) {
    if let (Some(starter), Some(least)) = (ask.starter, branch.leads_min) {
        let (share, section) = match starter {
            Starter::StarDelta => ("72", "NEC 430.22(C)"),
            Starter::PartWinding => ("62.5", "NEC 430.22(D)"),
        };
        working.lines.push(
            line("leads", "Leads between starter and motor, at least")
                .value(exact(least), "A")
                .limit(format!("{share} % of {} A", exact(branch.full_load.amps)))
                .rule("part of the current in each lead", section),
        );
    }
}

fn device_lines(working: &mut Working, rule_set: RuleSet, ask: &OneMotor, branch: &Branch) {
    let table = device::table_name(rule_set);
    for (kind, limit) in &branch.devices {
        let adjustable = *kind == DeviceKind::InstantaneousTripBreaker;
        let shown = line("device", kind_words(*kind))
            .value(exact(limit.highest), "A")
            .limit(format!(
                "{} % of {} A = {} A; where the motor will not start {} % = {} A: {}",
                exact(limit.percent),
                exact(branch.full_load.device_amps),
                exact(limit.calculated),
                exact(limit.ceiling_percent),
                exact(limit.ceiling_calculated),
                limit.ceiling.map_or_else(
                    || "no larger one".to_owned(),
                    |ceiling| format!("{} A", exact(ceiling))
                )
            ))
            .rule(
                if adjustable {
                    "percentage, set and not rounded up; only in a listed combination controller"
                } else {
                    "percentage, then the next standard rating up; a ceiling is never rounded up"
                },
                if adjustable {
                    format!("NEC {table}; 430.52(C)(3), from memory")
                } else {
                    format!("NEC {table}, 240.6(A)")
                },
            );
        let ten = device::ten_ampere_note(rule_set, *kind, limit);
        let rating = ask.device_rating.and_then(plausible);
        working
            .lines
            .push(match rating.filter(|_| ask.device == Some(*kind)) {
                Some(rating) => judge_device(shown, limit, rating, ten),
                None => match ten {
                    Some(note) => shown.note(note),
                    None => shown,
                },
            });
    }
}

fn judge_device(
    shown: Line,
    limit: &DeviceLimit,
    rating: Decimal,
    ten: Option<&'static str>,
) -> Line {
    let shown = shown.margin(format!("{} A", exact(limit.highest - rating)));
    let most = exact(limit.highest);
    match ten {
        _ if rating <= limit.highest => {
            shown.judge(Verdict::Within, "Not larger than the percentage allows.")
        }
        _ if limit.ceiling.is_some_and(|ceiling| rating <= ceiling) => shown.judge(
            Verdict::WithinNote,
            format!("Only where the motor will not start on {most} A."),
        ),
        Some(note) if rating <= Decimal::from(15) => shown.judge(Verdict::NotKnownYet, note),
        _ => shown.judge(
            Verdict::Beyond,
            format!("Have it changed to {most} A or less of this kind."),
        ),
    }
}

fn overload_lines(working: &mut Working, ask: &OneMotor, branch: &Branch) {
    if let (Some((most, stepped)), Some(plate)) = (branch.overload_amps, ask.motor.plate_amps) {
        let unknown = ask.motor.service_factor.is_none() && ask.motor.rise.is_none();
        let mut shown = line("overload", "Separate overload device, at most")
            .value(exact(most), "A")
            .limit(format!(
                "{} % of {} A; where it will not start or carry the load {} % = {} A",
                branch.overload.highest,
                exact(plate),
                branch.overload.stepped_up,
                exact(stepped)
            ))
            .rule(
                "125 % with service factor 1.15 or rise of 40 °C, else 115 %; of the plate current",
                "NEC 430.32(A)(1), 430.32(C)",
            );
        if unknown {
            shown = shown
                .note("Neither service factor nor rise was given, so the lower figure stands.");
            working.missing.push(overload::missing_marks());
        }
        working.lines.push(shown);
    } else if branch.full_load.basis == current::Basis::Table {
        working.missing.push(Missing {
            what: "current on the plate".into(),
            why: "a separate overload device is set by the plate, not by the table".into(),
            how: "read the motor's plate at the circuit's voltage".into(),
        });
    }
    if let Some((percent, amps)) = branch.protector {
        working.lines.push(
            line("protector", "Protector inside the motor acts by")
                .value(exact(amps), "A")
                .limit(format!("{percent} % of {} A", exact(branch.full_load.amps)))
                .rule("of the table current; over 1 hp", "NEC 430.32(A)(2)"),
        );
    }
}
