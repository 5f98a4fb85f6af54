//! What was understood, in words.

use super::fact::{Kind, Mark, Said};
use crate::plate::{Direction, SeenFrom};
use crate::shown::figure;
use crate::units::{Millimetres, Watts};
use serde::Serialize;

/// All facts of one part of the text: `capacitor 5 µF, capacitor voltage 370 V`.
pub(super) fn facts(facts: &[(Kind, Said)]) -> String {
    let words: Vec<String> = facts.iter().map(|(kind, said)| fact(*kind, said)).collect();
    words.join(", ")
}

fn fact(kind: Kind, said: &Said) -> String {
    let name = kind.name().replace('_', " ");
    match said {
        Said::Unreadable => format!("{name} unreadable"),
        Said::Text(text) => format!("{name} {text}"),
        Said::Mark(mark) => format!("{name} {}", self::mark(*mark)),
        Said::Figures(values, _) => {
            let one = |value: &f64| match kind {
                Kind::Power | Kind::InputPower | Kind::Watts => Watts(*value).hp_words(),
                _ => figure(*value, 3),
            };
            let list: Vec<String> = values.iter().map(one).collect();
            let list = list.join("/");
            match kind {
                Kind::Power | Kind::InputPower | Kind::Watts => {
                    let watts: Vec<String> = values.iter().map(|v| figure(*v, 1)).collect();
                    format!("{name} {list} ({} W)", watts.join("/"))
                }
                Kind::ShaftDiameter | Kind::ShaftLength | Kind::BodyDiameter | Kind::BodyLength => {
                    let inches = values.first().map_or(0.0, |v| Millimetres(*v).inches());
                    format!("{name} {list} mm ({} in)", figure(inches, 3))
                }
                _ => format!("{name} {list}{}", unit(kind)),
            }
        }
    }
}

fn unit(kind: Kind) -> &'static str {
    match kind {
        Kind::Volts | Kind::CapacitorVolts => " V",
        Kind::Amps | Kind::TapAmps | Kind::ServiceFactorAmps | Kind::LockedRotorAmps => " A",
        Kind::Speed => " rpm",
        Kind::Frequency => " Hz",
        Kind::Efficiency => " %",
        Kind::Ambient => " °C",
        Kind::Rise => " K",
        Kind::Capacitor => " µF",
        Kind::Minutes => " minutes",
        Kind::BoltCircle | Kind::StudLength => " mm",
        _ => "",
    }
}

fn plain(word: &impl Serialize) -> String {
    let word = serde_json::to_value(word).unwrap_or_default();
    word.as_str().unwrap_or("").replace('_', " ")
}

fn turns(direction: Direction) -> &'static str {
    match direction {
        Direction::Clockwise => "clockwise",
        Direction::CounterClockwise => "counter-clockwise",
    }
}

fn end(seen: SeenFrom) -> &'static str {
    match seen {
        SeenFrom::ShaftEnd => "seen from the shaft end",
        SeenFrom::LeadEnd => "seen from the lead end",
        SeenFrom::NotStated => "the end is not stated",
    }
}

fn mark(mark: Mark) -> String {
    let yes = |yes: bool| if yes { "yes" } else { "no" }.to_owned();
    match mark {
        Mark::Type(kind) => plain(&kind),
        Mark::Induction => "induction".into(),
        Mark::Enclosure(enclosure) => plain(&enclosure),
        Mark::EnclosedAs(mark) => mark.into(),
        Mark::Open => "open".into(),
        Mark::TotallyEnclosed => "totally enclosed".into(),
        Mark::AirOver => "in the air stream of its fan".into(),
        Mark::Turns(direction) => turns(direction).into(),
        Mark::TurnsSeen(direction, seen) => format!("{} {}", turns(direction), end(seen)),
        Mark::Shipped(direction) => format!("either way, shipped {}", turns(direction)),
        Mark::Seen(seen) => end(seen).into(),
        Mark::Reversible(flag) | Mark::DoubleShaft(flag) => yes(flag),
        Mark::SpeedControl(flag) | Mark::CapacitorIncluded(flag) => yes(flag),
        Mark::Duty(duty) => plain(&duty),
        Mark::Protection(protection) => plain(&protection),
        Mark::Thermal => "thermal".into(),
        Mark::Bearing(bearing) => plain(&bearing),
        Mark::Position(position) => plain(&position),
        Mark::Mount(mount) => plain(&mount),
        Mark::StudEnd(end) => plain(&end),
        Mark::ShaftForm(form) => plain(&form),
        Mark::Phases(count) | Mark::SpeedCount(count) => count.to_string(),
        Mark::Insulation(class) => plain(&class).to_uppercase(),
    }
}
