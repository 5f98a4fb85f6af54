//! The contact of a thermostat, switch or relay: what it may switch, a motor or only a coil.

use super::current::{as_f64, plate_amps};
use super::nec::starting_amps;
use super::{Feed, RuleSet};
use crate::installation::{Control, Installation, Site};
use crate::plate::Plate;
use crate::shown::{Fill, ask, exact, figure, line, positive};
use crate::tables::equipment::CONTACT_CODES;
use crate::working::{Line, Verdict, Working};
use rust_decimal::Decimal;

pub use crate::tables::equipment::ContactCode;

/// The work that lets a small contact stay.
pub const ADD_CONTACTOR: &str =
    "Add a contactor rated for the motor and let the control switch its coil.";

const RULE: &str =
    "running and locked-rotor current at the voltage used; a resistive rating is not enough";

/// What a contact is marked with at the voltage of its circuit. Blank is not known.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rating {
    /// Full-load current of a motor, amperes.
    pub running: Option<f64>,
    /// Locked-rotor current of a motor, amperes.
    pub locked_rotor: Option<f64>,
    /// Horsepower.
    pub horsepower: Option<f64>,
    /// Pilot duty, by code or in words: for coils only.
    pub pilot_duty: bool,
}

/// What a motor asks of the contact. Blank is not known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MotorLoad {
    /// Plate current at the circuit's voltage, amperes.
    pub running: Option<f64>,
    /// Current while it stands still, amperes.
    pub locked_rotor: Option<f64>,
    /// Power, horsepower.
    pub horsepower: Option<f64>,
}

/// Whether a contact may switch a motor directly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fits {
    /// By both currents, or by horsepower.
    Yes,
    /// A known figure of the motor is above the contact's.
    No,
    /// A figure of the contact is missing.
    AskContact,
    /// A figure of the motor is missing.
    AskMotor,
}

fn over(load: Option<f64>, rated: Option<f64>) -> Option<bool> {
    Some(positive(load?)? > positive(rated?)? * (1.0 + 1e-9))
}

/// Whether a contact may switch this motor itself.
///
/// It must cover the running and the locked-rotor current at the voltage used, or carry the
/// motor's horsepower. A known excess in either current decides. A contact that is marked for pilot
/// duty and nothing else switches coils only. Horsepower within 1.1 % counts as equal, as plates
/// round. Source: NEC 430.83(A)(1); both currents `common practice`.
pub fn fits(load: &MotorLoad, rated: &Rating) -> Fits {
    let running = over(load.running, rated.running);
    let start = over(load.locked_rotor, rated.locked_rotor);
    let by_power = rated
        .horsepower
        .and_then(positive)
        .zip(load.horsepower.and_then(positive));
    let too_weak = by_power.is_some_and(|(rated, hp)| rated < hp * 0.989);
    let marked = [rated.running, rated.locked_rotor, rated.horsepower];
    if rated.pilot_duty && marked.iter().all(Option::is_none) {
        return Fits::No;
    }
    if running == Some(true) || start == Some(true) {
        return Fits::No;
    }
    match (running, start) {
        (Some(false), Some(false)) => Fits::Yes,
        _ if too_weak => Fits::No,
        _ if by_power.is_some() => Fits::Yes,
        _ => {
            let usable = |value: Option<f64>| value.and_then(positive).is_some();
            let contact = usable(rated.running) && usable(rated.locked_rotor);
            if contact || (usable(rated.horsepower) && rated.running.is_none()) {
                Fits::AskMotor
            } else {
                Fits::AskContact
            }
        }
    }
}

/// Locked-rotor current of a motor below 1/2 hp, which carries no code letter, in amperes: six times
/// the running current. `None` from 1/2 hp on. Source: NEC 430.110(C)(3); `common practice` where the
/// tables list the motor.
pub fn small_motor_locked_rotor(running: f64, horsepower: f64) -> Option<f64> {
    let small = positive(horsepower)? < 0.495;
    small.then_some(6.0 * positive(running)?)
}

/// The pilot-duty code of this name, such as `B300`; any case. Source: NEMA ICS 5.
pub fn contact_code(name: &str) -> Option<&'static ContactCode> {
    let name = name.trim();
    CONTACT_CODES
        .iter()
        .find(|code| code.name.eq_ignore_ascii_case(name))
}

/// Highest current in amperes that a pilot-duty contact makes and breaks at this voltage.
///
/// `I = VA / U` from 120 V up to the code's highest voltage; below 120 V the current at 120 V holds.
/// `None` above the code's voltage or at zero. Alternating current only. Source: NEMA ICS 5; the
/// rule below 120 V from memory.
pub fn pilot_amps(code: &ContactCode, volts: Decimal) -> Option<(Decimal, Decimal)> {
    if volts <= Decimal::ZERO || volts > code.volts {
        return None;
    }
    let base = volts.max(Decimal::from(120));
    Some((code.make.checked_div(base)?, code.breaks.checked_div(base)?))
}

/// Whether a pilot-duty contact may switch a coil of these volt-amperes at this voltage: the inrush
/// at most the making, the holding at most the breaking current and the current carried all day.
/// `None` where a figure cannot be judged. Source: NEMA ICS 5.
pub fn coil_fits(
    code: &ContactCode,
    volts: Decimal,
    inrush: Decimal,
    holding: Decimal,
) -> Option<bool> {
    if volts > code.volts {
        return Some(false);
    }
    let (make, breaks) = pilot_amps(code, volts)?;
    let inrush = inrush.checked_div(volts)?;
    let holding = holding.checked_div(volts)?;
    Some(inrush <= make && holding <= breaks && holding <= code.thermal)
}

/// Whether a contact of a pilot-duty rating in volt-amperes may switch a coil: the holding at most
/// the rating, the inrush at most ten times it. Source: common practice.
pub fn coil_fits_rating(rating: Decimal, inrush: Decimal, holding: Decimal) -> bool {
    let most = rating.checked_mul(Decimal::TEN).unwrap_or(Decimal::MAX);
    holding <= rating && inrush <= most
}

/// The line of a contact that switches a motor, judged; pushes onto the working.
pub fn judge(working: &mut Working, load: &MotorLoad, rated: &Rating, source: &'static str) {
    let shown = line("contact", "Control contact").rule(RULE, source);
    let how = "read the control's marking at this voltage and the motor's plate";
    let why = "a contact that is too small welds or burns";
    let what = match fits(load, rated) {
        Fits::AskContact => "full-load and locked-rotor rating of the contact",
        Fits::AskMotor if load.running.is_none() => "plate current at the circuit's voltage",
        Fits::AskMotor => "plate power, motor type and code letter",
        Fits::Yes => {
            let shown = figures(shown, load, rated);
            working
                .lines
                .push(shown.judge(Verdict::Within, "The contact is rated for this motor."));
            return;
        }
        Fits::No => {
            let mut shown = figures(shown, load, rated);
            shown.work.push(ADD_CONTACTOR.into());
            let note = if rated.pilot_duty && rated.running.is_none() {
                "A pilot-duty rating is for coils only. Add a contactor rated for the motor and let \
                 the control switch its coil."
            } else {
                ADD_CONTACTOR
            };
            working.lines.push(shown.judge(Verdict::Beyond, note));
            return;
        }
    };
    ask(working, shown, what, why, how);
}

fn figures(shown: Line, load: &MotorLoad, rated: &Rating) -> Line {
    let words = |running: Option<f64>, start: Option<f64>, hp: Option<f64>| {
        let parts = [
            running.map(|a| format!("{} A running", figure(a, 2))),
            start.map(|a| format!("{} A at start", figure(a, 1))),
            hp.map(|hp| format!("{} hp", figure(hp, 3))),
        ];
        parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
    };
    let less = |a: Option<f64>, b: Option<f64>| a.zip(b).map(|(a, b)| a - b);
    let left = [
        less(rated.running, load.running).map(|a| format!("{} A", figure(a, 2))),
        less(rated.locked_rotor, load.locked_rotor).map(|a| format!("{} A", figure(a, 1))),
    ];
    shown
        .value(words(load.running, load.locked_rotor, load.horsepower), "")
        .limit(words(rated.running, rated.locked_rotor, rated.horsepower))
        .margin(left.into_iter().flatten().collect::<Vec<_>>().join(", "))
}

/// The line of a pilot-duty contact that switches a coil, judged; pushes onto the working.
pub fn judge_coil(
    working: &mut Working,
    code: &ContactCode,
    volts: Decimal,
    coil: Option<(Decimal, Decimal)>,
) {
    let shown = line("coil", "Coil on the contact").rule(
        "inrush at most the making, holding at most the breaking current",
        "NEMA ICS 5",
    );
    let Some((inrush, holding)) = coil else {
        return ask(
            working,
            shown,
            "inrush and holding volt-amperes of the coil",
            "the contact is rated for a coil's two currents",
            "read the coil's data",
        );
    };
    let shown = shown
        .value(format!("{} VA, {} VA", exact(inrush), exact(holding)), "")
        .limit(coil_limit(code, volts));
    working
        .lines
        .push(match coil_fits(code, volts, inrush, holding) {
            Some(true) => shown.judge(Verdict::Within, "The contact is rated for this coil."),
            Some(false) => shown.judge(
                Verdict::Beyond,
                "Fit a relay or contact of a stronger code.",
            ),
            None => shown.judge(
                Verdict::NotKnownYet,
                "The voltage of the coil is not usable.",
            ),
        });
}

fn coil_limit(code: &ContactCode, volts: Decimal) -> String {
    pilot_amps(code, volts).map_or_else(
        || format!("not above {} V", exact(code.volts)),
        |(make, breaks)| {
            let (make, breaks) = (exact(make.round_dp(3)), exact(breaks.round_dp(3)));
            format!("{make} A make, {breaks} A break")
        },
    )
}

/// What is recorded of the control's contact.
pub(super) fn rating_of(site: &Site) -> Rating {
    Rating {
        running: site.control_amps.and_then(|a| positive(a.0)),
        locked_rotor: site.control_locked_rotor.and_then(|a| positive(a.0)),
        ..Rating::default()
    }
}

/// The contact of the machine's control, for the circuit check.
pub(super) fn judge_contact(
    working: &mut Working,
    motor: &Plate,
    installation: &Installation,
    feed: Feed,
    rule_set: RuleSet,
) {
    let source = if rule_set == RuleSet::Iec60364 {
        "common practice"
    } else {
        "NEC 430.83; common practice"
    };
    let shown = line("contact", "Control contact").rule(RULE, source);
    let site = &installation.site;
    let Some(control) = site.control else {
        return ask(
            working,
            shown,
            "how the machine is switched",
            "the contact must carry and break the new motor's current",
            "follow the wires from the motor to the thermostat, switch or contactor",
        );
    };
    if control == Control::None {
        working
            .lines
            .push(shown.judge(Verdict::Within, "Nothing but the disconnect switches it."));
        return;
    }
    let Some((phases, volts)) = feed.both() else {
        return;
    };
    let running = plate_amps(motor, volts).and_then(as_f64);
    let load = MotorLoad {
        running,
        locked_rotor: running.and_then(|amps| starting_amps(motor, amps, volts, phases)),
        horsepower: None,
    };
    judge(working, &load, &rating_of(site), source);
}

#[cfg(test)]
mod tests;
