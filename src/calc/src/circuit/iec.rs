//! The IEC 60364 lines of the circuit check.

use super::current::{as_f64, plate_amps};
use super::iec_wire::{
    COS_PHI, IecRun, REACTANCE, area, curve, curve_letter, iec_capacity, iec_lost, second_current,
};
use super::{Feed, judge_motor_volts, switches};
use crate::installation::{Circuit, DeviceKind, Installation, Metal, Overload, OverloadKind};
use crate::plate::{Plate, Protection};
use crate::shown::{Fill, ask, exact, figure, line, plausible, plausible_load};
use crate::units::Volts;
use crate::working::{Line, Verdict, Working};
use rust_decimal::Decimal;

pub(super) fn check(
    working: &mut Working,
    motor: &Plate,
    installation: &Installation,
    circuit: &Circuit,
    feed: Feed,
) {
    let Some((phases, volts)) = feed.both() else {
        return;
    };
    let shown = line("current", "Design current").rule(
        "plate current and all other loads; there is no table of motors",
        "IEC 60364-4-43",
    );
    let plate = plate_amps(motor, volts);
    let (Some(plate), Some(others)) = (plate, others(circuit)) else {
        return ask(
            working,
            shown,
            "plate current at the circuit's voltage, and the other loads of the circuit",
            "device and conductors serve the sum; zero is an answer, a blank is not",
            "read the plate; switch the circuit off and see what stops",
        );
    };
    let design = plate + others;
    working.lines.push(
        shown
            .value(exact(design), "A")
            .note("the plate counts under this rule set"),
    );
    judge_device(working, circuit, plate, design);
    judge_capacity(working, circuit, phases, design);
    judge_overload(working, motor, installation, plate);
    switches::judge_isolator(working, installation, design);
    let Some(lost) = judge_drop(working, circuit, phases, volts, design) else {
        return;
    };
    judge_motor_volts(working, motor, volts, lost);
}

/// Other loads of the circuit, amperes; a blank is not zero.
fn others(circuit: &Circuit) -> Option<Decimal> {
    let mut sum =
        plausible_load(circuit.other_continuous?)? + plausible_load(circuit.other_noncontinuous?)?;
    for amps in circuit.other_motors.as_ref()? {
        sum = sum.checked_add(plausible_load(*amps)?)?;
    }
    Some(sum)
}

fn judge_drop(
    working: &mut Working,
    circuit: &Circuit,
    phases: u8,
    volts: Volts,
    design: Decimal,
) -> Option<Volts> {
    let shown = line("drop", "Voltage drop").rule(
        "5 % on a public network, 8 % on a private one; advice",
        "IEC 60364-5-52 G.52.1",
    );
    let lost = (|| {
        let area = as_f64(area(circuit.size.as_deref()?)?)?;
        let metal = circuit.metal?;
        iec_lost(&IecRun {
            phases,
            amps: as_f64(design)?,
            area_mm2: area,
            one_way: circuit.one_way?,
            metal,
            cos_phi: COS_PHI,
            reactance: REACTANCE,
        })
    })();
    let Some(lost) = lost else {
        ask(
            working,
            shown,
            "one-way length, mm² and metal of the run",
            "a long thin run leaves the motor short of volts",
            "measure the run from the board to the machine",
        );
        return None;
    };
    let percent = 100.0 * lost.0 / volts.0;
    let shown = shown
        .value(figure(percent, 2), "%")
        .limit("5 %")
        .margin(format!("{} V lost", figure(lost.0, 2)));
    working.lines.push(if percent <= 5.0 + 1e-9 {
        shown.judge(Verdict::Within, "Inside the advice for a public network.")
    } else {
        shown.judge(
            Verdict::WithinNote,
            "Consider larger conductors: more than 5 % is lost.",
        )
    });
    Some(lost)
}

fn judge_device(working: &mut Working, circuit: &Circuit, plate: Decimal, design: Decimal) {
    let shown = line("device", "Protective device").rule(
        "design current not above the rating",
        "IEC 60364-4-43 clause 433.1",
    );
    let rating = circuit.device_rating.and_then(plausible);
    let letter = circuit.device.and_then(curve_letter);
    let fuse = circuit.device == Some(DeviceKind::GgFuse);
    let Some(rating) = rating.filter(|_| letter.is_some() || fuse) else {
        return ask(
            working,
            shown,
            "kind and rating of the protective device, as an IEC type",
            "the rating stands between design current and capacity",
            "read the device at the board: curve letter or gG, and amperes",
        );
    };
    let shown = shown
        .value(exact(rating), "A")
        .limit(format!("at least {} A", exact(design)))
        .margin(format!("{} A", exact(rating - design)));
    working.lines.push(if rating < design {
        shown.judge(
            Verdict::Beyond,
            "Take load off the circuit, or have a larger device chosen with its conductors.",
        )
    } else {
        shown.judge(
            Verdict::Within,
            "The rating is not below the design current.",
        )
    });
    let hold = letter.and_then(curve).map(|curve| curve.holds * rating);
    judge_start(working, plate * Decimal::from(6), hold);
}

/// The start against the magnetic band of the breaker; a fuse has none.
fn judge_start(working: &mut Working, start: Decimal, hold: Option<Decimal>) {
    let shown = line("start", "Start against the breaker").rule(
        "six times the plate current against the magnetic band",
        "IEC 60898-1; common practice",
    );
    let Some(hold) = hold else {
        working.lines.push(shown.judge(
            Verdict::WithinNote,
            "A gG fuse has no magnetic band; watch the first starts.",
        ));
        return;
    };
    let shown = shown
        .value(exact(start), "A")
        .limit(format!("holds to {} A", exact(hold)))
        .margin(format!("{} A", exact(hold - start)));
    working.lines.push(if start <= hold {
        shown.judge(Verdict::Within, "The breaker holds while the motor starts.")
    } else {
        shown.judge(
            Verdict::WithinNote,
            "The breaker may trip at the start; a slower curve holds, if the fault loop allows it.",
        )
    });
}

fn judge_capacity(working: &mut Working, circuit: &Circuit, phases: u8, design: Decimal) {
    let shown = line("conductor", "Conductor").rule(
        "rating, and for a gG fuse its opening current / 1.45, not above the capacity",
        "IEC 60364-5-52 annex B; 60364-4-43 clause 433.1",
    );
    if circuit.metal == Some(Metal::Aluminium) {
        return ask(
            working,
            shown,
            "capacity of the aluminium conductors",
            "the tables held here are for copper only",
            "have a licensed electrician state the capacity",
        );
    }
    let loaded = if phases == 3 { 3 } else { 2 };
    let found = (|| {
        circuit.metal?;
        iec_capacity(
            area(circuit.size.as_deref()?)?,
            circuit.method.as_deref()?,
            loaded,
            circuit.insulation?,
            circuit.ambient?,
            circuit.conductors_in_raceway?.div_ceil(u32::from(loaded)),
        )
    })();
    let rating = circuit.device_rating.and_then(plausible);
    let (Some(found), Some(rating)) = (found, rating) else {
        return ask(
            working,
            shown,
            "mm² (1.5 to 16), copper, method, insulation, air temperature, conductors together, rating",
            "the capacity follows from all of them; the tables held here list no others",
            "read the print on the cable and look along the run",
        );
    };
    // A gG fuse opens late: 1.45 Iz must reach the current that surely opens it.
    let late = circuit
        .device
        .and_then(|device| second_current(device, rating))
        .and_then(|times| (times * rating).checked_div(Decimal::new(145, 2)));
    let need = rating.max(design).max(late.unwrap_or_default());
    let shown = shown
        .value(exact(found.corrected), "A")
        .limit(format!("at least {} A", exact(need.round_dp(3))))
        .margin(format!("{} A", exact((found.corrected - need).round_dp(3))));
    let steps = format!(
        "{} A x {} x {} ({})",
        exact(found.table),
        exact(found.ambient),
        exact(found.grouping),
        found.source
    );
    working.lines.push(if found.corrected >= need {
        shown.judge(Verdict::Within, steps)
    } else {
        shown.judge(
            Verdict::Beyond,
            format!("Pull a larger cable or have a smaller device chosen: {steps}."),
        )
    });
}

fn judge_overload(
    working: &mut Working,
    motor: &Plate,
    installation: &Installation,
    plate: Decimal,
) {
    let shown = line("overload", "Overload protection").rule(
        "set to the plate current, or the protector inside the motor",
        "IEC 60204-1 clause 7.3",
    );
    let protected = match motor.protection.value() {
        Some(Protection::Automatic | Protection::Manual | Protection::Impedance) => Some(true),
        Some(_) => Some(false),
        None => None,
    };
    let Some(overload) = &installation.overload else {
        return ask(
            working,
            shown,
            "overload device of the machine",
            "a motor without one burns out when its wheel jams",
            "look in the starter and on the motor's plate",
        );
    };
    judge_setting(working, shown, overload, plate, protected);
    super::trip::judge_restart(
        working,
        installation,
        overload,
        motor.protection.value().copied(),
        "IEC 60204-1 clause 7.3, from memory",
    );
}

fn judge_setting(
    working: &mut Working,
    shown: Line,
    overload: &Overload,
    plate: Decimal,
    protected: Option<bool>,
) {
    let setting = overload.setting.and_then(plausible);
    let line = match (overload.kind, setting, protected) {
        (OverloadKind::Separate, Some(setting), _) => setting_line(shown, setting, plate),
        (OverloadKind::InMotor | OverloadKind::NoDevice, _, Some(true)) => shown.judge(
            Verdict::Within,
            "The plate names a protector inside the motor.",
        ),
        (OverloadKind::InMotor | OverloadKind::NoDevice, _, Some(false)) => shown.judge(
            Verdict::Beyond,
            format!(
                "Fit an overload device set to {} A, or a protected motor.",
                exact(plate)
            ),
        ),
        _ => {
            return ask(
                working,
                shown,
                "overload setting, or the protector inside the motor",
                "one of the two must save the winding",
                "read the dial, or the motor's plate",
            );
        }
    };
    working.lines.push(line);
}

fn setting_line(shown: Line, setting: Decimal, plate: Decimal) -> Line {
    let shown = shown
        .value(exact(setting), "A")
        .limit(format!("{} A", exact(plate)))
        .margin(format!("{} A", exact(plate - setting)));
    if setting > plate {
        let note = format!("Set the overload device to {} A.", exact(plate));
        shown.judge(Verdict::Beyond, note)
    } else {
        shown.judge(
            Verdict::Within,
            "The setting is not above the plate current.",
        )
    }
}
