//! The feeder of a panel: its conductors one by one, each with the motors and loads on it.

use super::{Judged, OnCircuit};
use crate::panels::PanelCircuit;
use crate::panels::faces::{conductors, legs, numbers};
use crate::panels::queries::Panel;
use calc::circuit::carry::{Place, carries};
use calc::circuit::current::{counted, plate_amps};
use calc::circuit::device::MotorRow;
use calc::circuit::several::{Group, Member, group};
use calc::circuit::{RuleSet, wire};
use calc::working::{Line, Missing, Verdict, Working};
use rust_decimal::Decimal;

/// One working a conductor of the supply; none under IEC 60364, which has no such rule for motors.
pub fn judge(
    rule_set: RuleSet,
    panel: &Panel,
    fed_from: Option<&PanelCircuit>,
    circuits: &[OnCircuit],
) -> Vec<Working> {
    let of = conductors(&panel.supply);
    if rule_set == RuleSet::Iec60364 || circuits.iter().all(|one| one.machines.is_empty()) {
        return Vec::new();
    }
    (0..of)
        .map(|leg| conductor(rule_set, fed_from, circuits, leg, of))
        .collect()
}

fn conductor(
    rule_set: RuleSet,
    fed_from: Option<&PanelCircuit>,
    circuits: &[OnCircuit],
    leg: usize,
    of: usize,
) -> Working {
    let mut missing = Vec::new();
    let mut sum = Group {
        feeder_device: fed_from.and_then(|circuit| circuit.facts.device),
        feeder_rating: fed_from.and_then(|circuit| circuit.facts.device_rating),
        ..Group::default()
    };
    for one in circuits {
        let places = numbers(&one.circuit.number, one.circuit.facts.poles);
        if legs(&places, of).contains(&leg) {
            add(one, &mut sum, &mut missing);
        }
    }
    let name = ["A", "B", "C"].get(leg).copied().unwrap_or("A");
    let title = match of {
        1 => "Feeder".to_owned(),
        _ => format!("Feeder, conductor {name}"),
    };
    let (least, mut working) = match group(rule_set, &sum) {
        Some((answer, working)) => (Some(answer.min_ampacity), working),
        None => (None, Working::new("")),
    };
    working.title = title.into();
    if of > 1 {
        working.cautions.push(
            "Which circuit is on which conductor is counted from the top of the panel's face \
             (common practice): look at the panel."
                .into(),
        );
    }
    working.missing.extend(missing);
    if let Some(least) = least {
        wires(rule_set, fed_from, least, &mut working);
    }
    working
}

fn add(one: &OnCircuit, sum: &mut Group, missing: &mut Vec<Missing>) {
    let facts = &one.circuit.facts;
    for (amps, what) in [
        (facts.other_continuous, "other continuous loads"),
        (facts.other_noncontinuous, "other loads, not continuous"),
    ] {
        let Some(amps) = amps else {
            missing.push(unknown(format!("{} of {}", what, one.name())));
            continue;
        };
        match what {
            "other continuous loads" => sum.continuous += amps,
            _ => sum.noncontinuous += amps,
        }
    }
    match &facts.other_motors {
        Some(all) => sum.motors.extend(all.iter().map(|amps| Member {
            name: format!("not in the register, {}", one.name()),
            amps: *amps,
            ..Member::default()
        })),
        None => missing.push(unknown(format!("other motors on {}", one.name()))),
    }
    for judged in &one.machines {
        match member(one, judged) {
            Ok(member) => sum.motors.push(member),
            Err(what) => missing.push(unknown(format!("{what} of {}", judged.machine.tag))),
        }
    }
}

fn unknown(what: String) -> Missing {
    Missing {
        what: what.into(),
        why: "the sum of the feeder leaves it out".into(),
        how: "look at the panel and the plates; write 0 where there is none".into(),
    }
}

fn member(one: &OnCircuit, judged: &Judged) -> Result<Member, String> {
    let facts = &one.circuit.facts;
    let motor = judged.motor.as_ref().ok_or("the motor")?;
    let volts = facts.volts.ok_or("the circuit's volts")?;
    let phases = facts.phases.ok_or("the circuit's phases")?;
    let plate = &motor.plate;
    let air_mover = judged.machine.circuit_facts().driven.air_mover;
    let found = counted(plate, air_mover, phases, volts).map_err(|why| why.to_string())?;
    Ok(Member {
        name: judged.machine.tag.clone(),
        amps: found.amps,
        device_amps: Some(found.device_amps),
        hp: plate.power.value().map(|power| power.hp()),
        volts: Some(volts),
        row: Some(match phases {
            3 => MotorRow::Polyphase,
            _ => MotorRow::SinglePhase,
        }),
        device: facts.device,
        plate_amps: plate_amps(plate, volts),
        service_factor: plate.service_factor.value().copied(),
        rise: plate.rise.value().copied(),
    })
}

/// What the feeder's conductors carry against the least they must.
fn wires(
    rule_set: RuleSet,
    fed_from: Option<&PanelCircuit>,
    least: Decimal,
    working: &mut Working,
) {
    let Some(circuit) = fed_from else {
        working.missing.push(Missing {
            what: "the circuit that feeds this panel".into(),
            why: "its conductors and device are judged by the sum".into(),
            how: "trace the feeder and choose its circuit on the panel's form".into(),
        });
        return;
    };
    let facts = &circuit.facts;
    let size = facts.size.as_deref().and_then(wire::find_size);
    let (Some(size), Some(metal), Some(insulation)) = (size, facts.metal, facts.insulation) else {
        working.missing.push(Missing {
            what: "size, metal and insulation of the feeder's conductors".into(),
            why: "what they carry is held against the sum".into(),
            how: "read the conductor's jacket at the panel".into(),
        });
        return;
    };
    let place = Place {
        ambient: facts.ambient,
        count: facts.conductors_in_raceway,
        short_raceway: false,
        roof: None,
        terminals: facts.terminals,
    };
    let carried = carries(rule_set, size, metal, insulation, &place);
    let Ok((Some(amps), of_wire)) = carried.map(|(found, w)| (found.at_terminals, w)) else {
        working.missing.push(Missing {
            what: "an ampacity for the feeder's conductors".into(),
            why: "the tables list none for what is recorded".into(),
            how: "look at the record of the feeding circuit".into(),
        });
        return;
    };
    let asked = of_wire.missing.is_empty();
    let verdict = match (amps >= least, asked) {
        (false, _) => Verdict::Beyond,
        (true, true) => Verdict::Within,
        (true, false) => Verdict::NotKnownYet,
    };
    working.lines.push(Line {
        key: "feeder_wire".into(),
        label: "The feeder's conductors carry".into(),
        value: amps.normalize().to_string().into(),
        unit: "A".into(),
        limit: format!("at least {} A", least.normalize()).into(),
        margin: format!("{} A", (amps - least).normalize()).into(),
        rule: "ampacity corrected, adjusted and held to the terminals".into(),
        source: "NEC 310.16, 430.24".into(),
        verdict: Some(verdict),
        note: format!("{} of {}", size.name, circuit.words()).into(),
        work: Vec::new(),
    });
    working.missing.extend(of_wire.missing);
}
