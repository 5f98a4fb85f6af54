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
            return judge_restart(working, installation, overload, protector, "NEC 430.43");
        }
    };
    match overload.kind {
        OverloadKind::Separate => judge_setting(working, motor, overload.setting, volts),
        _ if in_motor => {
            let limit = protector_limit(motor, counted);
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
    judge_restart(working, installation, overload, protector, "NEC 430.43");
}

/// Over 1 hp a share of the table current; below that the protector is approved with the motor.
fn protector_limit(motor: &Plate, counted: &Counted) -> String {
    let large = motor.power.value().is_some_and(|p| p.hp() > 1.01);
    if large && counted.basis == Basis::Table {
        format!("acts at {} A at most", exact(protector_max(counted.amps)))
    } else {
        "approved for the motor".into()
    }
}

/// What follows a trip.
#[derive(Clone, Copy, PartialEq, Eq)]
enum AfterTrip {
    /// It stays off until somebody resets it.
    StaysOff,
    /// The separate device resets by itself.
    Restarts,
    /// The protector inside the motor resets by itself.
    OwnProtector,
    /// Impedance protection: it never trips.
    Impedance,
    /// Nothing protects, so nothing trips.
    NoTrip,
    /// The protector inside the motor decides and is not known.
    AskProtector,
    /// How the separate device resets is not known.
    AskReset,
}

/// By the separate device or by the motor's own protector, whichever resets by itself; where a restart
/// can hurt, an unknown protector beside a separate device is asked for too.
fn after_trip(
    overload: &Overload,
    protector: Option<Protection>,
    hurts: Option<bool>,
) -> AfterTrip {
    if overload.kind == OverloadKind::Separate {
        return match (protector, overload.manual_reset) {
            (Some(Protection::Automatic), _) => AfterTrip::OwnProtector,
            (_, Some(false)) => AfterTrip::Restarts,
            (_, None) => AfterTrip::AskReset,
            (None, Some(true)) if hurts == Some(true) => AfterTrip::AskProtector,
            (_, Some(true)) => AfterTrip::StaysOff,
        };
    }
    match protector {
        Some(Protection::Automatic) => AfterTrip::OwnProtector,
        Some(Protection::Impedance) => AfterTrip::Impedance,
        Some(Protection::Manual) => AfterTrip::StaysOff,
        Some(Protection::NoProtector | Protection::Thermostat) => AfterTrip::NoTrip,
        None => AfterTrip::AskProtector,
    }
}

/// Whether the motor starts by itself after a trip. Where nothing protects, nothing trips and there is
/// no such line. Source: NEC 430.43; impedance protection: NEC 430.32(B)(4), from memory.
pub(super) fn judge_restart(
    working: &mut Working,
    installation: &Installation,
    overload: &Overload,
    protector: Option<Protection>,
    source: &'static str,
) {
    let shown = line("restart", "Restart after a trip")
        .rule("no automatic restart where it can hurt", source);
    let hurts = installation.site.restart_can_hurt;
    let after = after_trip(overload, protector, hurts);
    match (after, hurts) {
        (AfterTrip::NoTrip, _) => {}
        (AfterTrip::AskProtector, _) if overload.kind == OverloadKind::Separate => ask(
            working,
            shown,
            "protector inside the motor",
            "one that resets by itself restarts the motor, whatever the separate device does",
            "read the plate: thermally protected, automatic or manual, or nothing",
        ),
        (AfterTrip::AskProtector, _) => ask_protector(working, shown),
        (AfterTrip::AskReset, _) | (_, None) => ask(
            working,
            shown,
            "whether an unexpected restart can hurt, and how the device resets",
            "a protector that resets by itself starts the fan without warning",
            "look at guard and access; read manual or automatic on the device",
        ),
        (after, Some(hurts)) => {
            let (verdict, note) = restart_note(after, hurts);
            working.lines.push(shown.judge(verdict, note));
        }
    }
}

fn restart_note(after: AfterTrip, hurts: bool) -> (Verdict, &'static str) {
    match (after, hurts) {
        (AfterTrip::Impedance, false) => (
            Verdict::Within,
            "Protected by impedance, it never trips: it stays live while it is stalled and turns by \
             itself when it is freed; recorded as not hurting anybody.",
        ),
        (AfterTrip::Impedance, true) => (
            Verdict::Beyond,
            "Protected by impedance, it never trips: it stays live while it is stalled and turns by \
             itself when it is freed, which can hurt somebody here. Choose a motor with manual reset.",
        ),
        (AfterTrip::OwnProtector | AfterTrip::Restarts, false) => (
            Verdict::Within,
            "It restarts by itself; recorded as not hurting anybody.",
        ),
        (AfterTrip::OwnProtector, true) => (
            Verdict::Beyond,
            "The protector inside the motor resets by itself and restarts it, which can hurt somebody \
             here. Choose a motor with manual reset.",
        ),
        (AfterTrip::Restarts, true) => (
            Verdict::Beyond,
            "Choose a motor or overload device with manual reset: a restart here can hurt somebody.",
        ),
        _ => (
            Verdict::Within,
            "It stays off after a trip until somebody resets it.",
        ),
    }
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
    let unknown = sure != best && (factor.is_none() || rise.is_none());
    let of = |percent| setting_verdict(setting, plate, percent);
    if unknown && of(best) != of(worst) {
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
    let (verdict, note) = setting_note(of(sure), setting, plate, &exact(most));
    working.lines.push(shown.judge(verdict, note));
}

fn setting_note(
    verdict: Verdict,
    setting: Decimal,
    plate: Decimal,
    most: &str,
) -> (Verdict, String) {
    match verdict {
        Verdict::Within if setting < plate => (
            Verdict::WithinNote,
            format!(
                "It will trip at full load; set it between {} and {most} A.",
                exact(plate)
            ),
        ),
        Verdict::Within => (verdict, "The setting follows the plate.".into()),
        Verdict::WithinNote => (
            verdict,
            format!("Only where the motor will not start or carry its load on {most} A."),
        ),
        _ => (
            verdict,
            format!("Set the overload device to {most} A or less."),
        ),
    }
}

fn setting_verdict(setting: Decimal, plate: Decimal, percent: OverloadPercent) -> Verdict {
    if setting <= overload_max(plate, percent.highest) {
        Verdict::Within
    } else if setting <= overload_max(plate, percent.stepped_up) {
        Verdict::WithinNote
    } else {
        Verdict::Beyond
    }
}
