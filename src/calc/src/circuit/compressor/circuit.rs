//! A compressor on its circuit: what its plate asks for against what is fitted.

use super::{
    CAUTION, CompressorOverload, DeviceMax, conductor_min_of_several, design_current, device_max,
    disconnect_least, overload_trip_max,
};
use crate::circuit::contact::{self, MotorLoad};
use crate::circuit::current::as_f64;
use crate::circuit::{Feed, RuleSet, wire};
use crate::installation::{Circuit, Compressor, Control, Installation, OverloadKind};
use crate::shown::{Fill, ask, exact, line, plausible};
use crate::working::{Line, Verdict, Working};
use rust_decimal::Decimal;

/// What is fitted on the circuit of a compressor. Blank is not known; `others` blank is unknown.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fitted {
    /// Full-load currents of other motors and loads on the circuit, amperes.
    pub others: Option<Vec<Decimal>>,
    /// What the conductor carries where it lies, amperes.
    pub conductor: Option<Decimal>,
    /// Rating of the branch device, amperes.
    pub device: Option<Decimal>,
    /// The compressor was tried on 175 % and does not start.
    pub will_not_start: bool,
    /// Rating of the disconnect, amperes.
    pub disconnect: Option<Decimal>,
    /// Overload protection and the current at which it acts, amperes.
    pub overload: Option<(CompressorOverload, Option<Decimal>)>,
}

/// A compressor's plate against its circuit.
///
/// Every rule is from memory, so nothing comes out better than `within, note`. Marked circuit
/// data of the equipment (smallest circuit ampacity, largest device) goes before the percentages.
/// Source: NEC 440.4(B), 440.12, 440.22, 440.32, 440.33, 440.52; from memory.
pub fn check(compressor: &Compressor, fitted: &Fitted) -> Working {
    let mut working = Working::new("Hermetic compressor on its circuit");
    lines(&mut working, compressor, fitted);
    working
}

fn lines(working: &mut Working, compressor: &Compressor, fitted: &Fitted) {
    working.cautions.push(CAUTION.into());
    let shown = line("design", "Current that counts").rule(
        "rated-load or branch-circuit selection current, whichever is greater",
        "NEC 440.4(C); from memory",
    );
    let design = match design_current(compressor) {
        Ok(amps) => {
            working.lines.push(shown.value(exact(amps), "A"));
            Some(amps)
        }
        Err(missing) => {
            ask(
                working,
                shown,
                missing.to_string(),
                "conductors, device and disconnect are sized by the greater of the two",
                "read the plate of the compressor and of the equipment",
            );
            None
        }
    };
    conductor(working, compressor, fitted, design);
    device(working, compressor, fitted, design);
    disconnect(working, fitted, design);
    overload(working, compressor, fitted);
}

/// What must be at least `need`; better than a note is never given from memory.
fn at_least(shown: Line, have: Decimal, need: Decimal, else_do: &'static str) -> Line {
    let shown = shown
        .value(exact(have), "A")
        .limit(format!("at least {} A", exact(need)))
        .margin(format!("{} A", exact(have - need)));
    if have >= need {
        shown.judge(Verdict::WithinNote, NOTE)
    } else {
        shown.judge(Verdict::Beyond, else_do)
    }
}

const NOTE: &str = "Enough by a rule from memory: have it confirmed.";

fn conductor(
    working: &mut Working,
    compressor: &Compressor,
    fitted: &Fitted,
    design: Option<Decimal>,
) {
    let shown = line("conductor", "Conductor").rule(
        "125 % of the current and 100 % of the others, or the marked smallest circuit ampacity",
        "NEC 440.32, 440.33, 440.4(B); from memory",
    );
    let others = fitted.others.as_deref();
    let computed = || conductor_min_of_several(design?, others?);
    let Some(need) = compressor.min_circuit.and_then(plausible).or_else(computed) else {
        return ask_load(working, shown, design);
    };
    match fitted.conductor.and_then(plausible) {
        Some(have) => working.lines.push(at_least(
            shown,
            have,
            need,
            "Pull larger conductors, or take load off the circuit.",
        )),
        None => ask(
            working,
            shown.limit(format!("at least {} A", exact(need))),
            "what the conductor carries where it lies",
            "a thin conductor overheats",
            "read its size, metal and insulation and look along the run",
        ),
    }
}

fn ask_load(working: &mut Working, shown: Line, design: Option<Decimal>) {
    let what = if design.is_none() {
        "current of the compressor"
    } else {
        "other motors and loads on the circuit, or that there are none"
    };
    let how = "read the plates, and switch the circuit off and see what stops";
    ask(working, shown, what, "the circuit is sized by them", how);
}

/// The marked largest device, or that of the percentages.
fn most_device(
    compressor: &Compressor,
    fitted: &Fitted,
    design: Option<Decimal>,
) -> Option<DeviceMax> {
    match compressor.max_device.and_then(plausible) {
        Some(most) => Some(DeviceMax {
            first: most,
            ceiling: most,
        }),
        None => device_max(design?, fitted.others.as_deref()?),
    }
}

fn device(
    working: &mut Working,
    compressor: &Compressor,
    fitted: &Fitted,
    design: Option<Decimal>,
) {
    let shown = line("device", "Branch device").rule(
        "175 % of the current, up to 225 % where it will not start, or the marked largest device",
        "NEC 440.22, 440.4(B); from memory",
    );
    let Some(most) = most_device(compressor, fitted, design) else {
        return ask_load(working, shown, design);
    };
    let shown = shown.limit(format!("{} A", exact(most.first)));
    let Some(have) = fitted.device.and_then(plausible) else {
        return ask(
            working,
            shown,
            "rating of the branch device",
            "too large does not protect against a short circuit",
            "read the handle or the fuse with the panel's label",
        );
    };
    let shown = shown
        .value(exact(have), "A")
        .margin(format!("{} A", exact(most.first - have)));
    if have > most.first && have <= most.ceiling && !fitted.will_not_start {
        return ask(
            working,
            shown,
            "whether the compressor starts on a device of 175 %",
            "up to 225 % is for compressors that will not start on less",
            "have a licensed electrician try the smaller device",
        );
    }
    working.lines.push(if have <= most.first {
        shown.judge(Verdict::WithinNote, NOTE)
    } else if have <= most.ceiling {
        let note = "Allowed only because it does not start on 175 %; have it confirmed.";
        shown.judge(Verdict::WithinNote, note)
    } else {
        let note = "Have the device changed to the limit or less.";
        shown.judge(Verdict::Beyond, note)
    });
}

fn disconnect(working: &mut Working, fitted: &Fitted, design: Option<Decimal>) {
    let shown = line("disconnect", "Disconnecting means").rule(
        "115 % of the current, and able to open the locked-rotor current",
        "NEC 440.12; from memory",
    );
    match (
        design.map(disconnect_least),
        fitted.disconnect.and_then(plausible),
    ) {
        (Some(need), Some(have)) => working.lines.push(at_least(
            shown,
            have,
            need,
            "Fit a disconnect of a larger rating.",
        )),
        (None, _) => ask_load(working, shown, None),
        (Some(need), None) => ask(
            working,
            shown.limit(format!("at least {} A", exact(need))),
            "rating of the disconnect in amperes",
            "it must open the compressor's current, stalled too",
            "read its marking at the circuit's voltage",
        ),
    }
}

fn overload(working: &mut Working, compressor: &Compressor, fitted: &Fitted) {
    let shown = line("overload", "Overload protection").rule(
        "relay at most 140 %, fuse or breaker at most 125 % of the rated-load current",
        "NEC 440.52(A); from memory",
    );
    let rated = compressor.rated_load.and_then(plausible);
    let (Some(rated), Some((kind, trip))) = (rated, fitted.overload) else {
        let what = match rated {
            None => "rated-load current of the compressor",
            Some(_) => "kind of overload protection of the compressor",
        };
        return ask(
            working,
            shown,
            what,
            "most compressors have their own protector, which only the maker can judge",
            "read the plate: thermally protected, or a separate relay",
        );
    };
    let most = overload_trip_max(rated, kind);
    let shown = shown.limit(format!("{} A", exact(most)));
    match trip.and_then(plausible) {
        Some(trip) => {
            let left = format!("{} A", exact(most - trip));
            let shown = shown.value(exact(trip), "A").margin(left);
            working.lines.push(if trip <= most {
                shown.judge(Verdict::WithinNote, NOTE)
            } else {
                shown.judge(
                    Verdict::Beyond,
                    "Set it lower, or fit one that acts at the limit.",
                )
            });
        }
        None => ask(
            working,
            shown,
            "current at which the overload protection acts",
            "set too high it lets the winding burn",
            "read its setting",
        ),
    }
}

/// The lines of the circuit check where a compressor is driven; false where none is recorded.
pub(in crate::circuit) fn judge(
    working: &mut Working,
    rule_set: RuleSet,
    installation: &Installation,
    circuit: &Circuit,
    feed: Feed,
) -> bool {
    let Some(compressor) = &installation.driven.compressor else {
        return false;
    };
    if rule_set == RuleSet::Iec60364 {
        working.cautions.push(CAUTION.into());
        ask(
            working,
            line("compressor", "Hermetic compressor").rule("maker's data", "IEC: maker's data"),
            "the maker's circuit data of this compressor",
            "the rules known here are those of the NEC",
            "ask the maker and a licensed electrician",
        );
        return true;
    }
    let disconnect = installation.disconnect.as_ref();
    let fitted = fitted(installation, circuit, compressor);
    lines(working, compressor, &fitted);
    in_sight(
        working,
        disconnect.and_then(|disconnect| disconnect.in_sight),
    );
    control(working, compressor, installation, feed);
    true
}

/// What is recorded of the circuit.
fn fitted(installation: &Installation, circuit: &Circuit, compressor: &Compressor) -> Fitted {
    let disconnect = installation.disconnect.as_ref();
    Fitted {
        others: others(circuit),
        conductor: carries(circuit, compressor),
        device: circuit.device_rating,
        will_not_start: false,
        disconnect: disconnect.and_then(|disconnect| disconnect.rating),
        overload: installation
            .overload
            .as_ref()
            .and_then(|overload| match overload.kind {
                OverloadKind::Separate => Some((CompressorOverload::Relay, overload.setting)),
                OverloadKind::InMotor | OverloadKind::NoDevice => None,
            }),
    }
}

fn others(circuit: &Circuit) -> Option<Vec<Decimal>> {
    let mut others = circuit.other_motors.clone()?;
    others.push(circuit.other_noncontinuous?);
    // A continuous load counts with 125 % for the conductor; taken so for both.
    others.push(super::branch_conductor_min(circuit.other_continuous?));
    Some(others)
}

/// What the conductor carries: table, factors and terminals, as for any motor.
fn carries(circuit: &Circuit, compressor: &Compressor) -> Option<Decimal> {
    let size = wire::find_size(circuit.size.as_deref()?)?;
    let metal = circuit.metal?;
    let count = circuit.conductors_in_raceway?;
    let ampacity = wire::ampacity(size, metal, circuit.insulation?, circuit.ambient?, count);
    let amps = circuit.device_rating.or(compressor.rated_load)?;
    let (cap, _) = wire::terminal_cap(size, metal, circuit.terminals, amps)?;
    Some(ampacity.ok()?.corrected.min(cap))
}

fn in_sight(working: &mut Working, seen: Option<bool>) {
    let shown = line("in_sight", "Disconnect in sight").rule(
        "in sight of the equipment and easily reached",
        "NEC 440.14; from memory",
    );
    match seen {
        Some(true) => working
            .lines
            .push(shown.judge(Verdict::Within, "Seen from the equipment.")),
        Some(false) => working.lines.push(shown.judge(
            Verdict::Beyond,
            "Have a disconnect fitted in sight of the equipment.",
        )),
        None => ask(
            working,
            shown,
            "whether the disconnect is in sight of the equipment",
            "somebody else can close a switch that the worker does not see",
            "stand at the equipment and look",
        ),
    }
}

fn control(
    working: &mut Working,
    compressor: &Compressor,
    installation: &Installation,
    feed: Feed,
) {
    let site = &installation.site;
    if site.control == Some(Control::None) || feed.both().is_none() {
        return;
    }
    let load = MotorLoad {
        running: design_current(compressor).ok().and_then(as_f64),
        locked_rotor: compressor.locked_rotor.and_then(as_f64),
        horsepower: None,
    };
    let rated = contact::rating_of(site);
    contact::judge(working, &load, &rated, "NEC 440.41; from memory");
}
