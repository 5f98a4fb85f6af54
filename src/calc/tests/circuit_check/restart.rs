//! Whether the motor starts again by itself after its protector has tripped.

use super::*;

/// A motor whose own protector is all there is, and what a restart does to people.
fn in_motor(protection: Field<Protection>, hurts: bool) -> calc::working::Working {
    judged(|s| {
        s.0.protection = protection;
        let overload = s.1.overload.as_mut().unwrap();
        overload.kind = OverloadKind::InMotor;
        overload.setting = None;
        overload.manual_reset = None;
        s.1.site.restart_can_hurt = Some(hurts);
    })
}

const STAYS_OFF: &str = "It stays off after a trip";

#[test]
fn an_automatic_protector_restarts_by_itself() {
    for (hurts, verdict) in [(true, Verdict::Beyond), (false, Verdict::Within)] {
        let working = in_motor(Field::read(Protection::Automatic), hurts);
        let line = working.line("restart").expect("a line");
        assert_eq!(line.verdict, Some(verdict));
        assert!(!line.note.contains(STAYS_OFF) && !line.note.contains("impedance"));
    }
}

#[test]
fn an_impedance_protected_motor_never_trips_and_turns_by_itself() {
    for (hurts, verdict) in [(true, Verdict::Beyond), (false, Verdict::Within)] {
        let working = in_motor(Field::read(Protection::Impedance), hurts);
        let line = working.line("restart").expect("a line");
        assert_eq!(line.verdict, Some(verdict));
        assert!(line.note.contains("never trips"), "{}", line.note);
        assert!(!line.note.contains(STAYS_OFF));
    }
}

#[test]
fn a_manual_protector_stays_off() {
    let working = in_motor(Field::read(Protection::Manual), true);
    let line = working.line("restart").expect("a line");
    assert_eq!(line.verdict, Some(Verdict::Within));
    assert!(line.note.contains(STAYS_OFF));
}

#[test]
fn without_a_protector_nothing_is_said_about_a_restart() {
    for none in [Protection::NoProtector, Protection::Thermostat] {
        let working = in_motor(Field::read(none), true);
        assert!(working.line("restart").is_none(), "{working:#?}");
        let line = working.line("overload").expect("a line");
        assert_eq!(line.verdict, Some(Verdict::Beyond));
    }
}

/// A separate device with manual reset does not hold a motor whose own protector resets by itself.
#[test]
fn a_protector_in_the_motor_restarts_it_beside_a_separate_device() {
    let restart = |protection: Field<Protection>, hurts: bool| {
        let working = judged(|s| {
            s.0.protection = protection;
            s.1.site.restart_can_hurt = Some(hurts);
        });
        working.line("restart").and_then(|line| line.verdict)
    };
    let automatic = || Field::read(Protection::Automatic);
    assert_eq!(restart(automatic(), true), Some(Verdict::Beyond));
    assert_eq!(restart(automatic(), false), Some(Verdict::Within));
    assert_eq!(
        restart(Field::read(Protection::NoProtector), true),
        Some(Verdict::Within)
    );
    assert_eq!(restart(Field::Unknown, true), Some(Verdict::NotKnownYet));
    assert_eq!(restart(Field::Unknown, false), Some(Verdict::Within));
}

#[test]
fn an_unknown_protector_is_asked_for() {
    for unknown in [Field::Unknown, Field::Unreadable] {
        let working = in_motor(unknown, true);
        let line = working.line("restart").expect("a line");
        assert_eq!(line.verdict, Some(Verdict::NotKnownYet));
        assert!(!line.note.contains(STAYS_OFF));
        let asked = |m: &&calc::working::Missing| m.what == "protector inside the motor";
        assert_eq!(working.missing.iter().filter(asked).count(), 1);
    }
}
