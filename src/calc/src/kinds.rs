//! What each kind of motor can do: starting torque, speed control, service factor, its protector.

use crate::shown::{Fill, ask, figure, line, positive};
use crate::tables::equipment::{KINDS, SERVICE_FACTORS};
use crate::working::{Line, Verdict, Working};

pub use crate::tables::equipment::KindRow;

/// Ways of changing a motor's speed, in the order of [`KindRow::control`].
pub const CONTROLS: [(&str, &str); 4] = [
    ("taps", "Several taps"),
    ("voltage_control", "Solid-state or voltage control"),
    ("series_capacitor", "Series capacitor"),
    ("frequency_drive", "Frequency drive"),
];

/// The kind of this word, such as `shaded_pole`. Source: common practice.
pub fn kind(name: &str) -> Option<&'static KindRow> {
    KINDS.iter().find(|row| row.kind == name)
}

/// What a motor of this kind can do, line by line. Source: common practice; torques from memory.
pub fn check(row: &KindRow) -> Working {
    let mut working = Working::new("Kind of motor");
    let source = "common practice";
    if let Some((least, most)) = row.torque {
        working.lines.push(
            line("torque", "Torque at start")
                .value(format!("{} to {}", figure(least, 0), figure(most, 0)), "%")
                .rule("locked rotor, of full-load torque", "from memory")
                .note(row.load.clone()),
        );
        working.lines.push(
            line("current", "Current at start")
                .value(row.current.clone(), "")
                .rule("beside full-load current", source),
        );
    }
    for ((key, label), said) in CONTROLS.into_iter().zip(&row.control) {
        let shown = line(key, label)
            .value(said.clone(), "")
            .rule("by how the motor starts and slips", source);
        working.lines.push(match said.as_str() {
            "yes" => shown.judge(Verdict::Within, row.reason.clone()),
            "no" => shown.judge(Verdict::Beyond, row.reason.clone()),
            _ => shown.judge(Verdict::WithinNote, row.reason.clone()),
        });
    }
    working
}

/// Standard service factor of an open general-purpose motor.
///
/// `hp` in horsepower, `synchronous` in rpm at 60 Hz. A power between two rows takes the next larger
/// one, whose factor is not higher. Totally enclosed motors have 1.0. `None` below 1/20 hp, above
/// 200 hp (125 hp at 3600 rpm) and at other speeds. Half a horsepower at 900 rpm: 1.15; a public copy
/// prints 1.25. Source: NEMA MG 1 12.51; 1/20 to 1/8 hp from memory.
pub fn service_factor(hp: f64, synchronous: f64, enclosed: bool) -> Option<f64> {
    let hp = positive(hp)?;
    if enclosed {
        return Some(1.0);
    }
    let speeds = [3600.0, 1800.0, 1200.0, 900.0];
    let column = speeds
        .iter()
        .position(|speed| (speed - synchronous).abs() <= 0.5)?;
    let top = if column == 0 { 125.0 } else { 200.0 };
    let (least, _) = SERVICE_FACTORS.first()?;
    if hp < least * 0.989 || hp > top * 1.011 {
        return None;
    }
    let row = SERVICE_FACTORS
        .iter()
        .find(|(row, _)| hp <= row * 1.011)
        .or_else(|| SERVICE_FACTORS.last())?;
    row.1.get(column).copied().flatten()
}

/// What protects a motor from inside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Protector {
    /// Nothing.
    Nothing,
    /// Closes again by itself.
    Automatic,
    /// Stays open until a button is pressed.
    Manual,
    /// The winding's own impedance.
    Impedance,
    /// A pilot thermostat in the control circuit.
    Thermostat,
    /// A thermistor.
    Thermistor,
    /// A thermal cut-off that opens once.
    CutOff,
}

/// What a protector does and does not do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Protects {
    /// The motor can start again by itself after a trip.
    pub restarts_by_itself: bool,
    /// It opens a control circuit only and needs a contactor or relay.
    pub needs_contactor: bool,
    /// The controller must carry an overload device.
    pub needs_overload_device: bool,
    /// Once open the motor, or its cut-off, is replaced.
    pub opens_once: bool,
}

/// What a protector does. Source: NEC 430.32 (2008 text); thermostats and thermistors from memory,
/// cut-offs common practice.
pub fn protects(protector: Protector) -> Protects {
    use Protector::*;
    Protects {
        restarts_by_itself: matches!(protector, Automatic),
        needs_contactor: matches!(protector, Thermostat | Thermistor),
        needs_overload_device: matches!(protector, Nothing),
        opens_once: matches!(protector, CutOff),
    }
}

/// A protector where a restart can hurt somebody: `None` is not known.
/// Source: NEC 430.43, from memory.
pub fn check_protector(protector: Protector, restart_can_hurt: Option<bool>) -> Working {
    let mut working = Working::new("Motor protector");
    working.cautions.push(
        "Open and lock the disconnect before touching the machine: a motor that tripped can start."
            .into(),
    );
    let says = protects(protector);
    let shown = line("restart", "Restart after a trip").rule(
        "no automatic restart where it can hurt somebody",
        "NEC 430.43; from memory",
    );
    match (says.restarts_by_itself, restart_can_hurt) {
        (false, _) => working
            .lines
            .push(shown.judge(Verdict::Within, "It does not start again by its own reset.")),
        (true, Some(false)) => working
            .lines
            .push(shown.judge(Verdict::Within, "A restart hurts nobody here.")),
        (true, Some(true)) => working.lines.push(shown.judge(
            Verdict::Beyond,
            "Fit a motor that is reset by hand, or guard the moving parts.",
        )),
        (true, None) => ask(
            &mut working,
            shown,
            "whether an unexpected restart can hurt somebody",
            "it closes again by itself once it has cooled",
            "look for an open belt or blades within reach",
        ),
    }
    notes(&mut working, protector);
    working
}

fn notes(working: &mut Working, protector: Protector) {
    let says = protects(protector);
    let mut say = |holds: bool, shown: Line, source: &'static str, note: &'static str| {
        if holds {
            let shown = shown.rule("by kind of protector", source).note(note);
            working.lines.push(shown);
        }
    };
    say(
        says.needs_contactor,
        line("contactor", "Contactor"),
        "from memory",
        "It opens a control circuit only: a contactor or relay must open the motor.",
    );
    say(
        says.needs_overload_device,
        line("overload", "Overload device"),
        "NEC 430.32(A)(1)",
        "The controller must carry an overload device.",
    );
    say(
        protector == Protector::Impedance,
        line("impedance", "Impedance"),
        "NEC 430.32(B)(4), 430.32(D)",
        "It stands stalled without burning; a replacement without this needs other protection.",
    );
    say(
        says.opens_once,
        line("cut_off", "Cut-off"),
        "common practice",
        "It opens once and for all.",
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn service_factors_fall_with_size_and_stop_at_the_table() {
        assert_eq!(service_factor(1.0 / 3.0, 1800.0, false), Some(1.35));
        assert_eq!(service_factor(0.2, 1800.0, false), Some(1.35));
        assert_eq!(service_factor(1.0, 3600.0, false), Some(1.25));
        assert_eq!(service_factor(10.0, 1800.0, false), Some(1.15));
        assert_eq!(service_factor(150.0, 3600.0, false), None);
        assert_eq!(service_factor(150.0, 1800.0, false), Some(1.15));
        assert_eq!(service_factor(10.0, 1800.0, true), Some(1.0));
        assert_eq!(service_factor(10.0, 3000.0, false), None);
    }

    #[test]
    fn an_automatic_protector_asks_about_a_restart() {
        let of = |hurt| check_protector(Protector::Automatic, hurt).verdict();
        assert_eq!(of(None), Some(Verdict::NotKnownYet));
        assert_eq!(of(Some(true)), Some(Verdict::Beyond));
        assert_eq!(of(Some(false)), Some(Verdict::Within));
    }

    proptest! {
        #[test]
        fn a_larger_motor_never_has_a_higher_factor(hp: f64, more in 1.0f64..3.0, speed in prop::sample::select(vec![3600.0, 1800.0, 1200.0, 900.0])) {
            if let (Some(small), Some(large)) = (service_factor(hp, speed, false), service_factor(hp * more, speed, false)) {
                prop_assert!(large <= small);
            }
        }
    }
}
