//! The NEC lines of the circuit check.

use super::current::{self, Counted, NoCurrent, as_f64};
use super::load::{self, FIVE_QUARTERS};
use super::{Feed, RuleSet, branch, drop, judge_motor_volts, switches, trip, wire};
use crate::installation::{Circuit, Installation, Metal};
use crate::plate::{MotorType, Plate};
use crate::shown::{Fill, ask, exact, figure, line, plausible, plausible_load, positive};
use crate::units::{Celsius, Volts};
use crate::working::{Line, Verdict, Working};
use rust_decimal::Decimal;

/// The loads of the circuit beside the motor.
pub(super) struct Others {
    pub(super) motors: Vec<Decimal>,
    pub(super) noncontinuous: Decimal,
    pub(super) continuous: Decimal,
}

impl Others {
    fn read(circuit: &Circuit) -> Option<Self> {
        let motors = circuit.other_motors.as_ref()?;
        Some(Others {
            motors: motors
                .iter()
                .map(|amps| plausible_load(*amps))
                .collect::<Option<_>>()?,
            noncontinuous: plausible_load(circuit.other_noncontinuous?)?,
            continuous: plausible_load(circuit.other_continuous?)?,
        })
    }
    pub(super) fn any(&self) -> bool {
        self.sum() > Decimal::ZERO
    }
    /// What a device must carry of them: 125 % of continuous load.
    pub(super) fn carried(&self) -> Decimal {
        self.sum() + self.continuous * (FIVE_QUARTERS - Decimal::ONE)
    }
    pub(super) fn sum(&self) -> Decimal {
        self.motors.iter().copied().sum::<Decimal>() + self.noncontinuous + self.continuous
    }
}

pub(super) fn check(
    working: &mut Working,
    rule_set: RuleSet,
    motor: &Plate,
    installation: &Installation,
    circuit: &Circuit,
    feed: Feed,
) {
    let Some((phases, volts)) = feed.both() else {
        return;
    };
    let Some(counted) = judge_current(working, motor, installation, phases, volts) else {
        return;
    };
    let others = Others::read(circuit);
    if others.is_none() {
        ask(
            working,
            line("other_loads", "Other loads on the circuit").rule(
                "all loads of the circuit count together",
                "NEC 430.24, 210.20",
            ),
            "other loads on the circuit: motors, continuous and noncontinuous amperes",
            "conductors and device serve the sum; zero is an answer, a blank is not",
            "switch the circuit off and see what stops; read those plates",
        );
    }
    if let Some(others) = &others {
        judge_conductor(working, rule_set, &counted, others, circuit);
        let on = branch::OnCircuit {
            rule_set,
            motor,
            counted: &counted,
            others,
            circuit,
            phases,
            volts,
        };
        branch::judge_device(working, &on);
        judge_drop(working, motor, &counted, others, circuit, phases, volts);
    }
    branch::show_grounding(working, rule_set, &counted, circuit, phases);
    show_locked_rotor(working, motor, phases, volts);
    branch::judge_shared(working, rule_set, &counted, circuit);
    trip::judge_overload(working, motor, installation, &counted, volts);
    switches::judge_disconnect(working, motor, installation, circuit, &counted, volts);
}

fn judge_current(
    working: &mut Working,
    motor: &Plate,
    installation: &Installation,
    phases: u8,
    volts: Volts,
) -> Option<Counted> {
    let shown = line("current", "Current that counts");
    match current::counted(motor, installation.driven.air_mover, phases, volts) {
        Ok(counted) => {
            let source = if counted.section.starts_with("common") {
                counted.section.to_owned()
            } else {
                format!("NEC {}", counted.section)
            };
            working.lines.push(
                shown
                    .value(exact(counted.amps), "A")
                    .rule(
                        "table current by horsepower; plate current for the exceptions",
                        source,
                    )
                    .note(counted.why),
            );
            Some(counted)
        }
        Err(error) => {
            let shown = shown.rule("table or plate, by the kind of motor", "NEC 430.6(A)");
            let how = match error {
                NoCurrent::NotInTable => {
                    "have a licensed electrician take the current from the code"
                }
                NoCurrent::AirMover => "look at what it drives and record the machine's kind",
                _ => "read the motor's plate",
            };
            ask(
                working,
                shown,
                error.to_string(),
                "which current counts for conductors and device depends on it",
                how,
            );
            None
        }
    }
}

fn judge_conductor(
    working: &mut Working,
    rule_set: RuleSet,
    counted: &Counted,
    others: &Others,
    circuit: &Circuit,
) {
    let mut all = others.motors.clone();
    all.push(counted.amps);
    let shown = line("conductor", "Conductor").rule(
        "125 % of the largest motor, 100 % of the others, 125 % of continuous loads",
        format!("NEC 430.22, 430.24; {}", wire::sections(rule_set)),
    );
    let need = load::several_motors_min(&all, others.noncontinuous, others.continuous);
    let size = circuit.size.as_deref().and_then(wire::find_size);
    let (Some(need), Some(size), Some(metal), Some(insulation), Some(ambient), Some(count)) = (
        need,
        size,
        circuit.metal,
        circuit.insulation,
        circuit.ambient,
        circuit.conductors_in_raceway,
    ) else {
        return ask(
            working,
            shown,
            missing_of_conductor(circuit, size.is_some()),
            "what the conductor carries depends on it",
            "read the print on the jacket and look along the run",
        );
    };
    let rating = circuit.device_rating.and_then(plausible).unwrap_or(need);
    Conductor {
        size,
        metal,
        insulation,
        ambient,
        count,
        terminals: circuit.terminals,
        circuit_amps: rating.max(need),
        need,
    }
    .judge(working, shown);
}

fn missing_of_conductor(circuit: &Circuit, size: bool) -> &'static str {
    if !size {
        "conductor size as AWG or kcmil"
    } else if circuit.metal.is_none() {
        "copper or aluminium"
    } else if circuit.insulation.is_none() {
        "temperature rating of the insulation"
    } else if circuit.ambient.is_none() {
        "hottest air around the conductors"
    } else {
        "number of current-carrying conductors in the raceway"
    }
}

/// A conductor with all that decides what it carries.
struct Conductor {
    size: &'static wire::Size,
    metal: Metal,
    insulation: Celsius,
    ambient: Celsius,
    count: u32,
    terminals: Option<Celsius>,
    circuit_amps: Decimal,
    need: Decimal,
}

impl Conductor {
    fn judge(&self, working: &mut Working, shown: Line) {
        use wire::WireError::{Ambient, Count, Insulation};
        let (size, metal) = (self.size, self.metal);
        let ampacity = wire::ampacity(size, metal, self.insulation, self.ambient, self.count);
        let cap = wire::terminal_cap(size, metal, self.terminals, self.circuit_amps);
        working.lines.push(match (ampacity, cap) {
            (Ok(ampacity), Some(cap)) => self.compare(shown, &ampacity, cap),
            (Err(Ambient | Count | Insulation), _) => {
                return ask(
                    working,
                    shown,
                    "ambient, insulation and number of conductors as possible figures",
                    "what the conductor carries depends on them",
                    "look along the run and read the print on the jacket",
                );
            }
            (Err(error), _) => shown.judge(Verdict::Beyond, format!("{} ({error})", self.advice())),
            (_, None) => shown.judge(Verdict::Beyond, self.advice()),
        });
    }

    fn compare(
        &self,
        shown: Line,
        ampacity: &wire::Ampacity,
        (cap, column): (Decimal, u8),
    ) -> Line {
        let carries = ampacity.corrected.min(cap);
        let shown = shown
            .value(exact(carries), "A")
            .limit(format!("at least {} A", exact(self.need)))
            .margin(format!("{} A", exact(carries - self.need)));
        let steps = format!(
            "{} A x {} x {} %, terminals {column} °C: {} A",
            exact(ampacity.table),
            exact(ampacity.ambient),
            exact(ampacity.percent),
            exact(cap)
        );
        // A rating that is not marked is the code's own 60 or 75 °C, which is worth looking up.
        let marked = self
            .terminals
            .is_some_and(|t| t.0.is_finite() && t.0 >= 60.0);
        if carries < self.need {
            shown.judge(Verdict::Beyond, format!("{} ({steps})", self.advice()))
        } else if marked {
            shown.judge(Verdict::Within, steps)
        } else {
            let note = format!("{steps}; the terminals' marking was not read.");
            shown.judge(Verdict::WithinNote, note)
        }
    }

    fn advice(&self) -> String {
        let better = wire::smallest_under(
            self.metal,
            self.insulation,
            self.ambient,
            self.count,
            self.terminals,
            self.circuit_amps,
            self.need,
        );
        match better {
            Some(size) => format!(
                "Pull {} or larger, or take load off the circuit.",
                size.name
            ),
            None => {
                "Have a licensed electrician choose other conductors; none of the table carries it."
                    .to_owned()
            }
        }
    }
}

fn judge_drop(
    working: &mut Working,
    motor: &Plate,
    counted: &Counted,
    others: &Others,
    circuit: &Circuit,
    phases: u8,
    volts: Volts,
) {
    let shown = line("drop", "Voltage drop").rule(
        "resistance and effective impedance, the larger; 3 % is advice, not a requirement",
        "NEC chapter 9 tables 8 and 9; 210.19 informational note",
    );
    let size = circuit.size.as_deref().and_then(wire::find_size);
    let amps = as_f64(counted.amps + others.sum());
    let found = match (size, circuit.metal, circuit.one_way, amps) {
        (Some(size), Some(metal), Some(one_way), Some(amps)) => {
            drop::drop_of(&size.name, metal, phases, amps, one_way)
        }
        _ => None,
    };
    let Some(found) = found else {
        return ask(
            working,
            shown,
            "one-way length, size and metal of the run",
            "a long thin run leaves the motor short of volts",
            "pace or measure the run from the panel to the machine",
        );
    };
    let lost = found.larger();
    working.lines.push(drop_line(shown, found, volts));
    judge_motor_volts(working, motor, volts, lost);
}

fn drop_line(shown: Line, found: drop::Drop, volts: Volts) -> Line {
    let lost = found.larger();
    let percent = 100.0 * lost.0 / volts.0;
    let shown = shown
        .value(figure(percent, 2), "%")
        .limit("3 %")
        .margin(format!("{} V lost", figure(lost.0, 2)));
    let methods = format!(
        "by resistance {} V, by impedance {}",
        figure(found.by_resistance.0, 2),
        found
            .by_impedance
            .map_or("not listed".into(), |v| format!("{} V", figure(v.0, 2)))
    );
    if percent <= 3.0 + 1e-9 {
        shown.judge(Verdict::Within, methods)
    } else if percent > 10.0 + 1e-9 {
        let note = format!("Fit larger conductors: more than 10 % is lost ({methods}).");
        shown.judge(Verdict::Beyond, note)
    } else {
        let note = format!("Consider larger conductors: more than 3 % is lost ({methods}).");
        shown.judge(Verdict::WithinNote, note)
    }
}

/// The stalled motor's current, where its plate bears a code letter; it informs and judges nothing.
fn show_locked_rotor(working: &mut Working, motor: &Plate, phases: u8, volts: Volts) {
    let found = (|| {
        let letter = *motor.code_letter.value()?;
        let hp = motor.power.value().and_then(|p| positive(p.hp()))?;
        let rated = crate::supply::plate_at(motor, volts)?.volts;
        Some((letter, current::locked_rotor(letter, hp, rated, phases)?))
    })();
    if let Some((letter, amps)) = found {
        working.lines.push(
            line("locked_rotor", "Locked-rotor current, at most")
                .value(figure(amps, 1), "A")
                .limit(format!("code letter {letter}"))
                .rule(
                    "top of the letter's range, kVA per horsepower",
                    "NEC 430.7(B), Eq. 430.110(C)(1)a",
                ),
        );
    }
}

/// Shaded-pole, split-capacitor and small motors carry no code letter; larger ones must.
pub(super) fn starting_amps(motor: &Plate, running: f64, volts: Volts, phases: u8) -> Option<f64> {
    let hp = motor.power.value().and_then(|p| positive(p.hp()))?;
    let kind = motor.motor_type.value()?;
    if hp < 0.495
        || matches!(
            kind,
            MotorType::ShadedPole | MotorType::PermanentSplitCapacitor
        )
    {
        return Some(6.0 * running);
    }
    let rated = crate::supply::plate_at(motor, volts)?.volts;
    current::locked_rotor(*motor.code_letter.value()?, hp, rated, phases)
}
