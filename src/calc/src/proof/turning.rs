//! Speed at the run test: of the driven shaft, and of the motor's own.

use super::{ProofInput, Quantity, accepted};
use crate::motor::{poles_from_plate_speed, synchronous_speed};
use crate::shown::{Fill, ask, figure, line, positive};
use crate::units::Rpm;
use crate::working::{Line, Verdict, Working};

/// Within 5 % of the wanted speed; judged only where a speed was measured.
pub(super) fn driven(working: &mut Working, input: &ProofInput) {
    let Some(reading) = &input.speed else { return };
    let shown = line("speed", "Speed").rule("within 5 % of the wanted speed", "common practice");
    let speed = accepted(
        working,
        input,
        Some(std::slice::from_ref(reading)),
        Quantity::Speed,
    );
    let wanted = input.speed_wanted.and_then(|wanted| positive(wanted.0));
    match (speed.and_then(|speed| speed.first().copied()), wanted) {
        (Some(speed), Some(wanted)) => {
            let off = 100.0 * (speed - wanted) / wanted;
            let shown = shown
                .value(figure(speed, 0), "rpm")
                .limit(format!("{} rpm", figure(wanted, 0)))
                .margin(format!("{} % off", figure(off, 1)));
            working.lines.push(if off.abs() <= 5.0 + 1e-9 {
                shown.judge(Verdict::Within, "The machine turns at its speed.")
            } else {
                shown.judge(
                    Verdict::Beyond,
                    "Check sheaves, belt and the motor's plate speed; work out flow and power anew.",
                )
            });
        }
        _ => ask(
            working,
            shown,
            "measured and wanted speed",
            "power rises with the cube of a fan's speed",
            "measure at the driven shaft; take the wanted speed from the machine's record",
        ),
    }
}

/// Full-load and synchronous speed of an induction motor's highest tap, where the plate tells them.
fn plate_speeds(input: &ProofInput) -> Option<(Rpm, Rpm)> {
    let plate = &input.motor;
    let full = *plate.speeds.value()?.first()?;
    let kind = *plate.motor_type.value()?;
    let frequency = match plate.frequency.value()?.as_slice() {
        [one] => *one,
        _ => return None,
    };
    let poles = poles_from_plate_speed(kind, full, frequency).ok()?;
    Some((full, synchronous_speed(frequency, poles).ok()?))
}

/// Readings and line frequency wander a little: half a percent over the field is not impossible yet.
const FREQUENCY_ROOM: f64 = 1.005;

/// The motor's own shaft, where it was measured: between plate and synchronous speed for an induction
/// motor, 20 % of the slip below the plate speed allowed (NEMA MG 1 12.46); within 5 % of the plate for
/// any other. A speed that is turned down is shown and not judged.
pub(super) fn motor(working: &mut Working, input: &ProofInput) {
    let Some(reading) = &input.motor_speed else {
        return;
    };
    let shown = line("motor_speed", "Speed of the motor");
    let reading = Some(std::slice::from_ref(reading));
    let read = accepted(working, input, reading, Quantity::Speed);
    let Some(speed) = read.and_then(|read| read.first().copied()) else {
        let shown = shown.rule("against the plate speed", "NEMA MG 1 12.46");
        let why = "a motor that turns too slow is overloaded or short of volts";
        let how = "measure at the motor's shaft with a tachometer";
        return ask(working, shown, "measured speed of the motor", why, how);
    };
    let shown = shown.value(figure(speed, 0), "rpm");
    if input.speed_controlled == Some(true) {
        working.lines.push(
            shown
                .rule("speed is set by a controller", "common practice")
                .note("Turned down: the plate speed is no limit."),
        );
        return;
    }
    let plate = input.motor.speeds.value().and_then(|speeds| speeds.first());
    match (
        plate_speeds(input),
        plate.and_then(|plate| positive(plate.0)),
    ) {
        (Some((full, field)), _) => induction(working, shown, speed, full.0, field.0),
        (None, Some(plate)) => working.lines.push(by_five_percent(shown, speed, plate)),
        (None, None) => ask(
            working,
            shown,
            "plate speed of the motor",
            "the measured speed is held against it",
            "read it on the motor's plate",
        ),
    }
}

fn induction(working: &mut Working, shown: Line, speed: f64, full: f64, field: f64) {
    let lowest = full - 0.2 * (field - full);
    let shown = shown
        .limit(format!("{} to {} rpm", figure(lowest, 0), figure(field, 0)))
        .margin(format!("{} rpm off the plate", figure(speed - full, 0)))
        .rule(
            "plate speed less 20 % of the slip, to synchronous",
            "NEMA MG 1 12.46, value from memory",
        );
    if speed > field * FREQUENCY_ROOM {
        return ask(
            working,
            shown,
            "a speed below the synchronous one",
            "an induction motor does not turn faster than its field; the reading is of something else",
            "one reflecting mark, and the tachometer square to it",
        );
    }
    working.lines.push(if speed >= lowest - 1e-9 {
        shown.judge(Verdict::Within, "Between full load and no load.")
    } else {
        shown.judge(
            Verdict::Beyond,
            "Slower than at full load: too much load, low volts, a wrong connection or a tight bearing.",
        )
    });
}

fn by_five_percent(shown: Line, speed: f64, plate: f64) -> Line {
    let off = 100.0 * (speed - plate) / plate;
    let shown = shown
        .limit(format!("{} rpm on the plate", figure(plate, 0)))
        .margin(format!("{} % off", figure(off, 1)))
        .rule("within 5 % of the plate", "common practice");
    if off.abs() <= 5.0 + 1e-9 {
        shown.judge(Verdict::Within, "The motor turns at its speed.")
    } else {
        shown.judge(
            Verdict::Beyond,
            "Look for the cause: load, volts, connection, control signal.",
        )
    }
}
