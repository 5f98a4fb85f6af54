//! On a roof: how far from the edge, how far down, how long, and what keeps people from falling. Pure.
//!
//! Low-slope roofs, 29 CFR 1910.28(b)(13): under 6 ft from the edge a guardrail, net, travel restraint
//! or fall arrest; from 6 ft to 15 ft the same, or a designated area for work that is both temporary
//! and infrequent; from 15 ft the same or a designated area, or for such work a rule that nobody goes
//! within 15 ft. Temporary is up to about two hours, infrequent is monthly, yearly or on breakdown
//! (preamble of the rule, 2016). A drop under 4 ft: 1910.28(b)(1)(i).

use super::body::Body;
use super::queries::Entry;
use crate::form::{FieldErrors, Fields};
use crate::measure::{distance, distance_typed, distance_words};
use crate::shop::Units;
use calc::units::{M_PER_FOOT, Metres};
use serde::{Deserialize, Serialize};

const NEAR_FEET: f64 = 6.0;
const FAR_FEET: f64 = 15.0;
const LOW_FEET: f64 = 4.0;
/// Work up to this is temporary.
const TEMPORARY: i64 = 120;

/// What the person at the machine says of the roof there; blank is not known.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Stay {
    /// To the nearest edge without guardrail.
    pub edge: Option<Metres>,
    /// From there to the level below.
    pub drop: Option<Metres>,
    pub minutes: Option<i64>,
    /// One of [`PROTECTIONS`].
    pub protection: String,
}

/// Values and words of what keeps people from falling.
pub const PROTECTIONS: &[(&str, &str)] = &[
    ("guardrail", "guardrail, or a parapet as high as one"),
    ("net", "safety net"),
    (
        "restraint",
        "travel restraint: the rope ends before the edge",
    ),
    ("arrest", "fall arrest on a rated anchor"),
    (
        "area_infrequent",
        "designated area; work done monthly, yearly or on breakdown",
    ),
    ("area", "designated area; work done daily or weekly"),
];

pub const SKYLIGHTS: &str =
    "Skylights and openings: cover or guardrail; nobody steps on them or leans over.";
const HOIST: &str = "Where parts are hoisted over the edge, fall protection there too, also while \
    its rail is open (29 CFR 1910.28(b)(2)).";

/// What the rule makes of a stay.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// What is still to be named or measured, and the field it belongs beside.
    pub lacks: Option<(&'static str, String)>,
    pub says: Vec<String>,
}

/// A limit in the shop's units; rounded up in metres, never closer to the edge than the rule.
fn limit(feet: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{feet:.0} ft"),
        Units::Si => format!("{:.2} m", (feet * M_PER_FOOT * 100.0).ceil() / 100.0),
    }
}

fn closer(value: Option<Metres>, feet: f64) -> bool {
    value.is_some_and(|value| value.0 < feet * M_PER_FOOT)
}

impl Stay {
    fn holds(&self) -> bool {
        matches!(
            self.protection.as_str(),
            "guardrail" | "net" | "restraint" | "arrest"
        )
    }

    fn protection_words(&self) -> &'static str {
        let known = PROTECTIONS
            .iter()
            .find(|(word, _)| *word == self.protection);
        known.map_or("", |(_, words)| words)
    }

    fn temporary(&self) -> bool {
        self.minutes.is_some_and(|minutes| minutes <= TEMPORARY)
    }

    /// What was said, in one line, in both units: the timeline is read by everybody.
    pub fn words(&self) -> String {
        let both = |value: Metres| {
            let feet = distance_words(value, Units::Us);
            format!("{} ({feet})", distance_words(value, Units::Si))
        };
        let far = |value: Option<Metres>| value.map_or("not known".to_owned(), both);
        let minutes = self
            .minutes
            .map_or("not known".to_owned(), |minutes| format!("{minutes} min"));
        let held = match self.protection_words() {
            "" => "none named",
            words => words,
        };
        format!(
            "Roof: edge {}, drop {}, {minutes} there; protection: {held}",
            far(self.edge),
            far(self.drop)
        )
    }

    /// The answers of a form whose fields start with `roof_`.
    pub fn of(fields: &Fields, units: Units, errors: &mut FieldErrors) -> Stay {
        let mut length = |name: &'static str| {
            let typed = fields.get(name).trim();
            let read = (!typed.is_empty()).then(|| distance(typed, units));
            errors.take(name, read.transpose())
        };
        let (edge, drop) = (length("roof_edge"), length("roof_drop"));
        let minutes = fields.get("roof_minutes").trim();
        let read = match minutes.parse::<i64>() {
            _ if minutes.is_empty() => Ok(None),
            Ok(minutes) if (1..=1440).contains(&minutes) => Ok(Some(minutes)),
            _ => Err("Enter whole minutes, as 45".to_owned()),
        };
        let minutes = errors.take("roof_minutes", read);
        let protection = fields.get("roof_protection");
        let known = PROTECTIONS.iter().any(|(word, _)| *word == protection);
        if !known && !protection.is_empty() {
            errors.add("roof_protection", "Choose one of these");
        }
        Stay {
            edge,
            drop,
            minutes,
            protection: protection.to_owned(),
        }
    }
}

/// What the newest confirmation said of the roof, of entries in their order.
pub fn last(entries: &[Entry]) -> Option<&Stay> {
    let counting = entries.iter().rev().filter(|e| e.set_aside.is_none());
    counting
        .filter_map(|entry| match &entry.body {
            Body::UnitConfirmed { roof, .. } => Some(roof.as_ref()),
            _ => None,
        })
        .next()?
}

/// The distance known from the machine's record, as the field takes it.
pub fn prefilled(edge: Option<Metres>, units: Units) -> String {
    edge.map_or_else(String::new, |edge| distance_typed(edge, units))
}

/// Whether the questions at the machine begin with protection: the edge is known to be near, or
/// nobody knows.
pub fn near(edge: Option<Metres>) -> bool {
    edge.is_none() || closer(edge, FAR_FEET)
}

pub fn judge(stay: &Stay, units: Units) -> Judged {
    let mut says = Vec::new();
    let named = stay.protection_words();
    if !named.is_empty() {
        says.push(format!("Named against falling here: {named}."));
    }
    let lacks = if closer(stay.drop, LOW_FEET) {
        says.push(format!(
            "The drop is under {}, where 29 CFR 1910.28(b)(1)(i) asks for nothing; your own rules \
             may.",
            limit(LOW_FEET, units)
        ));
        None
    } else if stay.holds() {
        None
    } else if stay.edge.is_none() || closer(stay.edge, NEAR_FEET) {
        Some(("roof_protection", near_words(stay, units)))
    } else if closer(stay.edge, FAR_FEET) {
        between(stay, units)
    } else {
        beyond(stay, units, &mut says)
    };
    says.push(SKYLIGHTS.to_owned());
    says.push(HOIST.to_owned());
    Judged { lacks, says }
}

fn near_words(stay: &Stay, units: Units) -> String {
    let near = limit(NEAR_FEET, units);
    let ask = "Name the guardrail, net, travel restraint or fall arrest before work (29 CFR \
               1910.28(b)(13)(i))";
    match stay.edge {
        None => format!(
            "The distance to the edge is not known, and unknown counts as under {near}: nobody has \
             measured that there is room. {ask}, or measure it"
        ),
        Some(edge) => format!(
            "{} is under {near} from the edge, where a designated area is not enough. {ask}",
            distance_words(edge, units)
        ),
    }
}

fn between(stay: &Stay, units: Units) -> Option<(&'static str, String)> {
    let band = format!("{} to {}", limit(NEAR_FEET, units), limit(FAR_FEET, units));
    match stay.protection.as_str() {
        "area_infrequent" if stay.temporary() => None,
        "area_infrequent" => Some((
            "roof_minutes",
            format!(
                "From {band} a designated area counts for work up to two hours only. Say how many \
                 minutes, or name a guardrail, net, restraint or arrest"
            ),
        )),
        "area" => Some((
            "roof_protection",
            format!(
                "From {band} a designated area counts for infrequent work only. Name a guardrail, \
                 net, restraint or arrest"
            ),
        )),
        _ => Some((
            "roof_protection",
            format!(
                "From {band} from the edge: name the protection, or a designated area for short \
                 and infrequent work (29 CFR 1910.28(b)(13)(ii))"
            ),
        )),
    }
}

fn beyond(stay: &Stay, units: Units, says: &mut Vec<String>) -> Option<(&'static str, String)> {
    let far = limit(FAR_FEET, units);
    if !stay.protection.is_empty() {
        return None;
    }
    if stay.temporary() {
        says.push(format!(
            "Rule: nobody goes within {far} of the edge without protection. Work that is done daily \
             or weekly needs a designated area all the same (29 CFR 1910.28(b)(13)(iii))."
        ));
        return None;
    }
    Some((
        "roof_protection",
        format!(
            "{far} or more from the edge, but longer than two hours or for how long is not known: \
             name a designated area or a protection, or say the minutes"
        ),
    ))
}

/// Cautions for ways up that the record's own words name (29 CFR 1910.28(b)(9), (b)(3);
/// 1910.23(b)(9)).
pub fn access_cautions(notes: &[&str], on_roof: bool) -> Vec<String> {
    let notes = notes.join(" ").to_lowercase();
    let mut said = Vec::new();
    if notes.contains("ladder") {
        said.push(
            "Ladder: look it over before first use in the shift, hands free for it. A fixed one \
             over 24 ft (7.3 m) needs a ladder safety system or fall arrest; a cage is not enough \
             on newer ones."
                .to_owned(),
        );
    }
    if notes.contains("hatch") {
        said.push("Hatch: guard or gate it while it stands open.".to_owned());
    }
    if on_roof && notes.contains("skylight") {
        said.push(SKYLIGHTS.to_owned());
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stay(edge: Option<f64>, minutes: Option<i64>, protection: &str) -> Stay {
        Stay {
            edge: edge.map(|feet| Metres(feet * M_PER_FOOT)),
            drop: None,
            minutes,
            protection: protection.to_owned(),
        }
    }

    fn lacks(edge: Option<f64>, minutes: Option<i64>, protection: &str) -> &'static str {
        let judged = judge(&stay(edge, minutes, protection), Units::Us);
        judged.lacks.map_or("", |(field, _)| field)
    }

    #[test]
    fn under_six_feet_and_unknown_wait_for_real_protection() {
        for edge in [None, Some(0.0), Some(5.99)] {
            for weak in ["", "area", "area_infrequent"] {
                assert_eq!(
                    lacks(edge, Some(30), weak),
                    "roof_protection",
                    "{edge:?} {weak}"
                );
            }
            for (held, _) in &PROTECTIONS[..4] {
                assert_eq!(lacks(edge, None, held), "", "{edge:?} {held}");
            }
        }
        let (_, why) = judge(&Stay::default(), Units::Us).lacks.expect("waits");
        assert!(why.contains("unknown counts as under 6 ft"), "{why}");
        let (_, why) = judge(&Stay::default(), Units::Si).lacks.expect("waits");
        assert!(why.contains("under 1.83 m"), "{why}");
    }

    #[test]
    fn a_designated_area_between_is_for_short_and_infrequent_work() {
        for edge in [Some(6.0), Some(14.9)] {
            assert_eq!(lacks(edge, Some(120), "area_infrequent"), "");
            assert_eq!(lacks(edge, Some(121), "area_infrequent"), "roof_minutes");
            assert_eq!(lacks(edge, None, "area_infrequent"), "roof_minutes");
            assert_eq!(lacks(edge, Some(30), "area"), "roof_protection");
            assert_eq!(lacks(edge, Some(30), ""), "roof_protection");
            assert_eq!(lacks(edge, None, "restraint"), "");
        }
    }

    #[test]
    fn beyond_fifteen_feet_a_rule_is_enough_for_short_work() {
        assert_eq!(lacks(Some(15.0), Some(120), ""), "");
        let judged = judge(&stay(Some(25.0), Some(45), ""), Units::Us);
        assert!(judged.says[0].contains("nobody goes within 15 ft"));
        assert_eq!(lacks(Some(15.0), Some(180), ""), "roof_protection");
        assert_eq!(lacks(Some(15.0), None, ""), "roof_protection");
        assert_eq!(lacks(Some(15.0), None, "area"), "");
    }

    #[test]
    fn a_known_low_drop_waits_for_nothing_and_an_unknown_one_is_no_low_drop() {
        let mut low = stay(Some(1.0), None, "");
        low.drop = Some(Metres(3.9 * M_PER_FOOT));
        assert!(judge(&low, Units::Us).lacks.is_none());
        low.drop = Some(Metres(4.0 * M_PER_FOOT));
        assert!(judge(&low, Units::Us).lacks.is_some());
    }

    #[test]
    fn ways_up_are_warned_of_where_the_record_names_them() {
        let said = access_cautions(&["Fixed ladder from the yard", "Hatch key 5"], true);
        assert_eq!(said.len(), 2);
        assert!(access_cautions(&["By the stair"], true).is_empty());
        assert_eq!(access_cautions(&["Two skylights"], true).len(), 1);
    }
}
