//! Motors whose current is not that of their winding: electronic motors, drives, direct current.

use super::RuleSet;
use crate::installation::{Control, Installation};
use crate::plate::{MotorType, Plate};
use crate::shown::{Fill, ask, line};
use crate::working::Working;

/// What holds of every test beside electronics.
const NO_TEST: &str = "Never test insulation through electronics: part the drive or the electronic \
    motor from the leads first, and wait until its capacitors are proved discharged.";

/// What the code asks of a circuit that feeds a drive; each from memory, so none is judged.
const DRIVE_RULES: [(&str, &str, &str, &str); 4] = [
    (
        "drive_conductor",
        "Conductors to the drive",
        "at least 125 % of the drive's rated input current",
        "NEC 430.122(A); from memory",
    ),
    (
        "drive_device",
        "Device before the drive",
        "by the motor as without a drive, or the smaller rating marked on the drive",
        "NEC 430.130(A); from memory",
    ),
    (
        "drive_overload",
        "Overload behind the drive",
        "none beside the drive where the drive is marked to protect the motor; one for each motor \
         where it feeds several",
        "NEC 430.124, 430.125; from memory",
    ),
    (
        "drive_disconnect",
        "Disconnect before the drive",
        "at least 115 % of the drive's rated input current",
        "NEC 430.128; from memory",
    ),
];

/// True where nothing of the motor tables holds: the working then says what is asked for instead.
///
/// Sources: NEC 430.122 to 430.130, from memory; IEC: the maker's data.
pub(super) fn judge(
    working: &mut Working,
    rule_set: RuleSet,
    motor: &Plate,
    installation: &Installation,
) -> bool {
    let drive = installation.site.control == Some(Control::FrequencyDrive);
    let (what, why) = match motor.motor_type.value() {
        Some(MotorType::ElectronicallyCommutated) => (
            "the maker's largest input current and largest device for this electronic motor",
            "an electronically commutated motor takes its current through a rectifier; the motor \
             tables do not describe it",
        ),
        Some(MotorType::DirectCurrent) => (
            "the circuit data of this direct-current motor",
            "direct-current machines have tables of their own, which are not in this check",
        ),
        _ if drive => (
            "the rated input current of the drive",
            "behind a frequency drive the circuit carries the drive's input current, not the motor's",
        ),
        _ => return false,
    };
    let shown = line("electronic", "Electronic drive").rule(
        "the drive or equipment marking counts",
        "NEC 430.122, 430.130; IEC: maker's data",
    );
    let how = "read the marking of the drive or machine, or ask its maker, and have a licensed \
               electrician judge the circuit";
    ask(working, shown, what, why, how);
    if drive && rule_set != RuleSet::Iec60364 {
        for (key, label, rule, source) in DRIVE_RULES {
            working.lines.push(line(key, label).rule(rule, source));
        }
    }
    if drive || motor.motor_type.value() == Some(&MotorType::ElectronicallyCommutated) {
        working.cautions.push(NO_TEST.into());
    }
    true
}
