//! The NEC overload lines: setting, protector inside the motor, restart after a trip.

use super::current::{self, Basis, Counted};
use super::overload::{OverloadPercent, overload_max, overload_percent, protector_max};
use crate::installation::{Installation, Overload, OverloadKind};
use crate::plate::{Plate, Protection};
use crate::shown::{Fill, ask, exact, line, plausible};
use crate::units::Volts;
use crate::working::{Line, Verdict, Working};
use rust_decimal::Decimal;

pub(super) fn judge_overload(
    working: &mut Working,
    motor: &Plate,
    installation: &Installation,
    counted: &Counted,
    volts: Volts,
) {
    let shown = line("overload", "Overload protection").rule(
        "of the plate current; or the protector inside the motor",
        "NEC 430.32, 430.43",
    );
    let Some(overload) = &installation.overload else {
        return ask(
            working,
            shown,
            "overload device of the machine",
            "a motor without one burns out when its wheel jams",
            "look in the starter and on the motor's plate (`thermally protected`)",
        );
    };
    let protector = motor.protection.value().copied();
    let in_motor = match protector {
        Some(Protection::Automatic | Protection::Manual | Protection::Impedance) => true,
        Some(Protection::NoProtector | Protection::Thermostat) => false,
        None if overload.kind == OverloadKind::Separate => false,
        None => {
            ask_protector(working, shown);
            return judge_restart(working, installation, overload, protector);
        }
    };
    match overload.kind {
        OverloadKind::Separate => judge_setting(working, motor, overload.setting, volts),
        _ if in_motor => {
            let most = (counted.basis == Basis::Table).then(|| protector_max(counted.amps));
            let limit = match most {
                Some(most) if motor.power.value().is_some_and(|p| p.hp() > 1.01) => {
                    format!("acts at {} A at most", exact(most))
                }
                _ => "approved for the motor".into(),
            };
            working
                .lines
                .push(shown.value("inside the motor", "").limit(limit).judge(
                    Verdict::Within,
                    "The plate names a protector inside the motor.",
                ));
        }
        _ => {
            let setting = current::plate_amps(motor, volts)
                .map_or("the plate's rule".into(), |a| {
                    format!("{} A at most", exact(overload_max(a, 115)))
                });
            working.lines.push(shown.value("none", "").judge(
                Verdict::Beyond,
                format!("Fit a separate overload device set to {setting}, or a protected motor."),
            ));
        }
    }
    judge_restart(working, installation, overload, protector);
}

/// Whether the motor starts by itself after a trip: by the separate device or by its own protector,
/// whichever resets by itself. Where nothing protects, nothing trips and there is
/// no such line. Source: NEC 430.43; impedance protection: NEC 430.32(B)(4), from memory.
fn judge_restart(
    working: &mut Working,
    installation: &Installation,
    overload: &Overload,
    protector: Option<Protection>,
) {
    let shown = line("restart", "Restart after a trip")
        .rule("no automatic restart where it can hurt", "NEC 430.43");
    let mut impedance = false;
    let mut own_protector = false;
    let itself = match overload.kind {
        OverloadKind::Separate => {
            let hurts = installation.site.restart_can_hurt;
            match (overload.manual_reset.map(|manual| !manual), protector) {
                (_, Some(Protection::Automatic)) => {
                    own_protector = true;
                    Some(true)
                }
                (Some(false), None) if hurts == Some(true) => {
                    return ask(
                        working,
                        shown,
                        "protector inside the motor",
                        "one that resets by itself restarts the motor, whatever the separate device does",
                        "read the plate: thermally protected, automatic or manual, or nothing",
                    );
                }
                (separate, _) => separate,
            }
        }
        OverloadKind::InMotor | OverloadKind::NoDevice => match protector {
            Some(Protection::Automatic) => Some(true),
            Some(Protection::Impedance) => {
                impedance = true;
                Some(true)
            }
            Some(Protection::Manual) => Some(false),
            Some(Protection::NoProtector | Protection::Thermostat) => return,
            None => return ask_protector(working, shown),
        },
    };
    let (verdict, note) = match (itself, installation.site.restart_can_hurt) {
        (Some(false), Some(_)) => (
            Verdict::Within,
            "It stays off after a trip until somebody resets it.",
        ),
        (Some(true), Some(false)) if impedance => (
            Verdict::Within,
            "Protected by impedance, it never trips: it stays live while it is stalled and turns by \
             itself when it is freed; recorded as not hurting anybody.",
        ),
        (Some(true), Some(true)) if impedance => (
            Verdict::Beyond,
            "Protected by impedance, it never trips: it stays live while it is stalled and turns by \
             itself when it is freed, which can hurt somebody here. Choose a motor with manual reset.",
        ),
        (Some(true), Some(true)) if own_protector => (
            Verdict::Beyond,
            "The protector inside the motor resets by itself and restarts it, which can hurt somebody \
             here. Choose a motor with manual reset or without a protector.",
        ),
        (Some(true), Some(false)) => (
            Verdict::Within,
            "It restarts by itself; recorded as not hurting anybody.",
        ),
        (Some(true), Some(true)) => (
            Verdict::Beyond,
            "Choose a motor or overload device with manual reset: a restart here can hurt somebody.",
        ),
        _ => {
            return ask(
                working,
                shown,
                "whether an unexpected restart can hurt, and how the device resets",
                "a protector that resets by itself starts the fan without warning",
                "look at guard and access; read manual or automatic on the device",
            );
        }
    };
    working.lines.push(shown.judge(verdict, note));
}

fn ask_protector(working: &mut Working, shown: Line) {
    ask(
        working,
        shown,
        "protector inside the motor",
        "without a separate device it is the only overload protection",
        "read the plate: thermally protected, impedance protected or nothing",
    );
}

fn judge_setting(working: &mut Working, motor: &Plate, setting: Option<Decimal>, volts: Volts) {
    let shown = line("overload", "Overload setting").rule(
        "125 % with service factor 1.15 or rise of 40 °C, else 115 %; stepped up 140 or 130 %",
        "NEC 430.32(A)(1), 430.32(C)",
    );
    let (Some(plate), Some(setting)) = (
        current::plate_amps(motor, volts),
        setting.and_then(plausible),
    ) else {
        return ask(
            working,
            shown,
            "overload setting and plate current",
            "the setting follows the plate of the motor that is fitted",
            "read the dial or heater table and the plate",
        );
    };
    let factor = motor.service_factor.value().copied();
    let rise = motor.rise.value().copied();
    let sure = overload_percent(factor, rise);
    let best = overload_percent(Some(1.15), None);
    let worst = overload_percent(None, None);
    let judge = |p: OverloadPercent| {
        if setting <= overload_max(plate, p.highest) {
            Verdict::Within
        } else if setting <= overload_max(plate, p.stepped_up) {
            Verdict::WithinNote
        } else {
            Verdict::Beyond
        }
    };
    let strong = sure == best;
    let unknown = !strong && (factor.is_none() || rise.is_none());
    if unknown && judge(best) != judge(worst) {
        return ask(
            working,
            shown.value(exact(setting), "A"),
            "marked service factor and marked temperature rise",
            "they decide between 125 % and 115 % of the plate current",
            "read the plate; record `not marked` as service factor 1.0 and the rise as it stands",
        );
    }
    let most = overload_max(plate, sure.highest);
    let shown = shown
        .value(exact(setting), "A")
        .limit(format!(
            "{} A ({} % of {} A)",
            exact(most),
            sure.highest,
            exact(plate)
        ))
        .margin(format!("{} A", exact(most - setting)));
    working.lines.push(match judge(sure) {
        Verdict::Within if setting < plate => shown.judge(
            Verdict::WithinNote,
            format!(
                "It will trip at full load; set it between {} and {} A.",
                exact(plate),
                exact(most)
            ),
        ),
        Verdict::Within => shown.judge(Verdict::Within, "The setting follows the plate."),
        Verdict::WithinNote => shown.judge(
            Verdict::WithinNote,
            format!(
                "Only where the motor will not start or carry its load on {} A.",
                exact(most)
            ),
        ),
        _ => shown.judge(
            Verdict::Beyond,
            format!("Set the overload device to {} A or less.", exact(most)),
        ),
    });
}
