//! The words of plates and machines, and the several ways in which the trade writes them.

use super::super::{Given, Trouble};
use crate::installation::{Control, Drive, Surroundings};
use crate::plate::*;
use serde_json::Value;

/// A meaning and the words for it, without blanks, dashes and capitals.
pub(super) type Word<T> = (T, &'static [&'static str]);

pub(super) const TYPE_NOTE: &str =
    "PSC, shaded pole, split phase, CSIR, CSCR, three-phase, ECM or DC";
pub(super) const MOUNT_NOTE: &str = "studs, feet, c_face, belly_band, yoke or flange";
pub(super) const ENCLOSURE_NOTE: &str = "ODP, OAO, TEFC, TENV, TEAO or XP";
pub(super) const PROTECTION_NOTE: &str = "none, automatic, manual, impedance or thermostat";
pub(super) const POSITION_NOTE: &str = "any, horizontal, shaft_up or shaft_down";

pub(super) static TYPES: &[Word<MotorType>] = &[
    (
        MotorType::PermanentSplitCapacitor,
        &["psc", "permanentsplitcapacitor"],
    ),
    (MotorType::ShadedPole, &["shadedpole", "sp"]),
    (MotorType::SplitPhase, &["splitphase"]),
    (
        MotorType::CapacitorStart,
        &["csir", "capacitorstart", "capstart", "cs"],
    ),
    (
        MotorType::CapacitorStartCapacitorRun,
        &["cscr", "capacitorstartcapacitorrun"],
    ),
    (
        MotorType::ThreePhaseInduction,
        &["threephase", "threephaseinduction", "3phase", "polyphase"],
    ),
    (
        MotorType::ElectronicallyCommutated,
        &["ecm", "ec", "electronicallycommutated"],
    ),
    (MotorType::DirectCurrent, &["dc", "directcurrent"]),
];
pub(super) static MOUNTS: &[Word<Mount>] = &[
    (Mount::Studs, &["studs", "throughbolts"]),
    (Mount::Feet, &["feet", "rigid", "rigidbase", "foot"]),
    (Mount::CFace, &["cface"]),
    (Mount::BellyBand, &["bellyband", "band"]),
    (Mount::Yoke, &["yoke", "cradle", "resilient"]),
    (Mount::Flange, &["flange", "dflange"]),
];
pub(super) static STUD_ENDS: &[Word<StudEnd>] = &[
    (StudEnd::ShaftEnd, &["shaftend", "shaft"]),
    (StudEnd::LeadEnd, &["leadend", "lead"]),
    (StudEnd::Both, &["both"]),
];
pub(super) static SHAFTS: &[Word<ShaftForm>] = &[
    (ShaftForm::Round, &["round"]),
    (ShaftForm::Flat, &["flat"]),
    (ShaftForm::Keyed, &["keyed", "key"]),
];
pub(super) static ENCLOSURES: &[Word<Enclosure>] = &[
    (
        Enclosure::OpenDripProof,
        &["odp", "dp", "open", "opendripproof"],
    ),
    (Enclosure::OpenAirOver, &["oao", "opao", "openairover"]),
    (
        Enclosure::TotallyEnclosedFanCooled,
        &["tefc", "totallyenclosedfancooled"],
    ),
    (
        Enclosure::TotallyEnclosedNonVentilated,
        &["tenv", "totallyenclosednonventilated"],
    ),
    (
        Enclosure::TotallyEnclosedAirOver,
        &["teao", "totallyenclosedairover"],
    ),
    (Enclosure::ExplosionProof, &["xp", "explosionproof"]),
];
pub(super) static CLASSES: &[Word<InsulationClass>] = &[
    (InsulationClass::A, &["a"]),
    (InsulationClass::E, &["e"]),
    (InsulationClass::B, &["b"]),
    (InsulationClass::F, &["f"]),
    (InsulationClass::H, &["h"]),
];
pub(super) static DUTIES: &[Word<Duty>] = &[
    (Duty::Continuous, &["continuous", "cont", "s1"]),
    (Duty::Intermittent, &["intermittent", "int", "s2", "s3"]),
];
pub(super) static PROTECTIONS: &[Word<Protection>] = &[
    (Protection::NoProtector, &["none", "noprotector"]),
    (Protection::Automatic, &["automatic", "auto"]),
    (Protection::Manual, &["manual"]),
    (Protection::Impedance, &["impedance"]),
    (Protection::Thermostat, &["thermostat"]),
];
pub(super) static BEARINGS: &[Word<Bearing>] =
    &[(Bearing::Ball, &["ball"]), (Bearing::Sleeve, &["sleeve"])];
pub(super) static POSITIONS: &[Word<Position>] = &[
    (Position::Any, &["any", "allposition", "all"]),
    (Position::Horizontal, &["horizontal"]),
    (Position::ShaftUp, &["shaftup", "up"]),
    (Position::ShaftDown, &["shaftdown", "down"]),
];
pub(super) static DIRECTIONS: &[Word<Direction>] = &[
    (Direction::Clockwise, &["cw", "cwse", "clockwise"]),
    (
        Direction::CounterClockwise,
        &["ccw", "ccwse", "counterclockwise"],
    ),
];
pub(super) static DRIVES: &[Word<Drive>] = &[
    (Drive::Direct, &["direct"]),
    (Drive::Belt, &["belt"]),
    (Drive::Coupled, &["coupled", "coupling"]),
];
pub(super) static CONTROLS: &[Word<Control>] = &[
    (Control::None, &["none"]),
    (Control::Switch, &["switch"]),
    (Control::Thermostat, &["thermostat"]),
    (Control::Contactor, &["contactor", "starter"]),
    (
        Control::SolidStateSpeedController,
        &["solidstatespeedcontroller", "solidstate"],
    ),
    (Control::VoltageController, &["voltagecontroller"]),
    (Control::FrequencyDrive, &["frequencydrive", "vfd"]),
];
pub(super) static SURROUNDINGS: &[Word<Surroundings>] = &[
    (Surroundings::CleanDry, &["cleandry", "clean", "dry"]),
    (Surroundings::Dusty, &["dusty"]),
    (Surroundings::Wet, &["wet"]),
    (Surroundings::GreaseLaden, &["greaseladen", "grease"]),
    (Surroundings::Corrosive, &["corrosive"]),
];

/// The meaning of a word, however it is written.
pub(super) fn word<T: Copy>(
    given: &Given,
    name: &str,
    list: &[Word<T>],
) -> Result<Option<T>, Trouble> {
    let Some(text) = given.text(name)? else {
        return Ok(None);
    };
    let plain: String = text
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .map(|c| c.to_ascii_lowercase())
        .collect();
    let found = list
        .iter()
        .find(|(_, words)| words.contains(&plain.as_str()));
    found.map(|(meaning, _)| Some(*meaning)).ok_or_else(|| {
        let words: Vec<&str> = list
            .iter()
            .filter_map(|(_, words)| words.first().copied())
            .collect();
        Trouble::of(name, format!("Give one of {}", words.join(", ")))
    })
}

/// A small whole number: phases, studs, taps.
pub(super) fn small(given: &Given, name: &str) -> Result<Option<u8>, Trouble> {
    given
        .whole(name)?
        .map(u8::try_from)
        .transpose()
        .map_err(|_| Trouble::of(name, "Give a whole number up to 255"))
}

/// One figure, a list of them, or a text such as `208-230` or `115/230`. All above zero.
pub(super) fn figures(name: &str, value: &Value) -> Result<Vec<f64>, Trouble> {
    let list: Option<Vec<f64>> = match value {
        Value::Array(items) => items.iter().map(one).collect(),
        Value::String(text) => text
            .split(['/', '-', ','])
            .map(|part| part.trim().parse().ok())
            .collect(),
        other => one(other).map(|figure| vec![figure]),
    };
    list.filter(|list| !list.is_empty() && list.iter().all(|v| v.is_finite() && *v > 0.0))
        .ok_or_else(|| {
            Trouble::of(
                name,
                "Give figures above zero, such as [208, 230] or 115/230",
            )
        })
}

fn one(value: &Value) -> Option<f64> {
    match value {
        Value::Number(number) => number.as_f64(),
        Value::String(text) => super::super::given::fraction(text),
        _ => None,
    }
}
