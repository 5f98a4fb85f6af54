//! Panels and circuits as people type them.

use super::PanelCircuit;
use crate::form::{self, FieldErrors};
use crate::measure;
use crate::rows::{
    Ask, Options, Reader, Takes, Typed, YES_NO, ask, hinted, small_count, word, words_of,
    yes_no_word,
};
use crate::shop::Units;
use calc::installation::Circuit;
use calc::units::Volts;
use rust_decimal::Decimal;

const PHASES: Options = &[("1", "single-phase"), ("3", "three-phase")];

pub const DEVICES: Options = &[
    ("inverse_time_breaker", "inverse-time breaker"),
    ("dual_element_fuse", "dual-element fuse"),
    ("non_time_delay_fuse", "non-time-delay fuse"),
    ("instantaneous_trip_breaker", "instantaneous-trip breaker"),
    ("miniature_breaker_b", "miniature breaker, curve B"),
    ("miniature_breaker_c", "miniature breaker, curve C"),
    ("miniature_breaker_d", "miniature breaker, curve D"),
    ("gg_fuse", "gG fuse"),
];

const METALS: Options = &[("copper", "copper"), ("aluminium", "aluminium")];

pub const ASKS: &[Ask] = &[
    ask("volts", "Volts", Takes::Number("V")),
    ask("phases", "Phases", Takes::Choice(PHASES)),
    ask("device", "Device", Takes::Choice(DEVICES)),
    ask("device_rating", "Device rating", Takes::Number("A")),
    ask("poles", "Poles", Takes::Number("")),
    hinted(
        "size",
        "Conductor size",
        Takes::Text,
        "12, 1/0, 250 kcmil, or 2.5 in mm²",
    ),
    ask("metal", "Conductor metal", Takes::Choice(METALS)),
    ask("insulation", "Insulation rating", Takes::Number("°C")),
    hinted(
        "terminals",
        "Lowest terminal rating",
        Takes::Number("°C"),
        "Of device and equipment",
    ),
    hinted(
        "method",
        "Installation method",
        Takes::Text,
        "IEC only: B1, B2, C or E",
    ),
    ask("one_way", "One-way length", Takes::Distance),
    ask("ambient", "Hottest air along it", Takes::Number("°C")),
    hinted(
        "conductors",
        "Conductors in the raceway",
        Takes::Number(""),
        "That carry current",
    ),
    hinted(
        "other_continuous",
        "Other continuous loads",
        Takes::Number("A"),
        "0 if none were found",
    ),
    ask(
        "other_noncontinuous",
        "Other loads, not continuous",
        Takes::Number("A"),
    ),
    hinted(
        "other_motors",
        "Motors that are in no record here, full-load amps",
        Takes::Text,
        "4.4 2.0, or 0 if none. Machines of the register on this circuit are counted by themselves",
    ),
    ask(
        "shares_outlets",
        "Shares lighting or outlets",
        Takes::Choice(YES_NO),
    ),
];

#[derive(Clone, Debug, PartialEq)]
pub struct NewCircuit {
    pub number: String,
    pub label_read: String,
    pub label_wrong: bool,
    pub label_note: String,
    pub wire_type: String,
    pub raceway: String,
    pub feeds: String,
    pub facts: Circuit,
}

#[derive(Clone, Debug, Default)]
pub struct CircuitInput(pub Typed);

impl CircuitInput {
    pub fn get(&self, name: &str) -> &str {
        self.0.get(name)
    }

    pub fn from_circuit(circuit: &PanelCircuit, units: Units) -> Self {
        let mut t = typed(&circuit.facts, units);
        t.put("number", &circuit.number);
        t.put("label_read", &circuit.label_read);
        t.put("label_note", &circuit.label_note);
        t.put("wire_type", &circuit.wire_type);
        t.put("raceway", &circuit.raceway);
        t.put("feeds", &circuit.feeds);
        if circuit.label_wrong {
            t.put("label_wrong", "yes");
        }
        t.put("version", circuit.version.to_string());
        CircuitInput(t)
    }

    /// # Errors
    /// A message beside each field that cannot be taken.
    pub fn parse(&self, units: Units) -> Result<NewCircuit, FieldErrors> {
        let mut r = Reader::new(&self.0);
        let facts = facts(&mut r, units);
        let mut errors = r.errors;
        let number = form::required(self.get("number"), "Enter the circuit's number as marked");
        let number = errors.take("number", number);
        let label = form::required(
            self.get("label_read"),
            "Enter the label word for word; write blank if it is blank",
        );
        let label_read = errors.take("label_read", label);
        errors.or(NewCircuit {
            number,
            label_read,
            label_wrong: !self.get("label_wrong").is_empty(),
            label_note: self.get("label_note").to_owned(),
            wire_type: self.get("wire_type").to_owned(),
            raceway: self.get("raceway").to_owned(),
            feeds: self.get("feeds").to_owned(),
            facts,
        })
    }
}

fn amps(text: &str) -> Result<Decimal, String> {
    match form::optional_decimal(text.trim_end_matches(['A', 'a']).trim())? {
        Some(amps) if amps >= Decimal::ZERO => Ok(amps),
        _ => Err("Enter amps, as 15".to_owned()),
    }
}

fn rating(text: &str) -> Result<Decimal, String> {
    let amps = amps(text)?;
    if amps > Decimal::ZERO {
        Ok(amps)
    } else {
        Err("Enter the rating in amps, as 15".to_owned())
    }
}

/// Currents of other motors; a looked-at zero is no other motor.
fn motors(text: &str) -> Result<Vec<Decimal>, String> {
    let parts = text.split([' ', ';', '/']).filter(|part| !part.is_empty());
    let all: Vec<Decimal> = parts.map(amps).collect::<Result<_, _>>()?;
    Ok(all
        .into_iter()
        .filter(|amps| *amps > Decimal::ZERO)
        .collect())
}

/// The facts alone, for a circuit that is in no panel yet.
///
/// # Errors
/// A message beside each field that cannot be read.
pub fn circuit(typed: &Typed, units: Units) -> Result<Circuit, FieldErrors> {
    let mut r = Reader::new(typed);
    let facts = facts(&mut r, units);
    r.errors.or(facts)
}

fn facts(r: &mut Reader<'_>, units: Units) -> Circuit {
    Circuit {
        volts: r
            .known("volts", |t| {
                measure::amount(t, &["v"], "Enter volts, as 120")
            })
            .map(Volts),
        phases: r.known("phases", small_count),
        device: r.choice("device"),
        device_rating: r.known("device_rating", rating),
        poles: r.known("poles", small_count),
        size: r.known("size", |t| Ok(t.to_owned())),
        metal: r.choice("metal"),
        insulation: r.known("insulation", measure::celsius),
        terminals: r.known("terminals", measure::celsius),
        method: r.known("method", |t| Ok(t.to_uppercase())),
        one_way: r.known("one_way", |t| measure::distance(t, units)),
        ambient: r.known("ambient", measure::celsius),
        conductors_in_raceway: r.known("conductors", small_count).map(u32::from),
        other_continuous: r.known("other_continuous", amps),
        other_noncontinuous: r.known("other_noncontinuous", amps),
        other_motors: r.known("other_motors", motors),
        shares_outlets: r.yes_no("shares_outlets"),
    }
}

/// The facts as a form holds them.
pub(crate) fn typed(facts: &Circuit, units: Units) -> Typed {
    let mut t = Typed::default();
    t.put_known("volts", facts.volts, |v| v.0.to_string());
    t.put_known("phases", facts.phases, |n| n.to_string());
    t.put_known("device", facts.device, word);
    t.put_known("device_rating", facts.device_rating, |n| n.to_string());
    t.put_known("poles", facts.poles, |n| n.to_string());
    t.put_known("size", facts.size.clone(), |text| text);
    t.put_known("metal", facts.metal, word);
    t.put_known("insulation", facts.insulation, |c| c.0.to_string());
    t.put_known("terminals", facts.terminals, |c| c.0.to_string());
    t.put_known("method", facts.method.clone(), |text| text);
    t.put_known("one_way", facts.one_way, |m| {
        measure::distance_typed(m, units)
    });
    t.put_known("ambient", facts.ambient, |c| c.0.to_string());
    t.put_known("conductors", facts.conductors_in_raceway, |n| n.to_string());
    t.put_known("other_continuous", facts.other_continuous, |n| {
        n.to_string()
    });
    t.put_known("other_noncontinuous", facts.other_noncontinuous, |n| {
        n.to_string()
    });
    t.put_known(
        "other_motors",
        facts.other_motors.as_ref(),
        |all| match &all[..] {
            [] => "0".to_owned(),
            all => all
                .iter()
                .map(Decimal::to_string)
                .collect::<Vec<_>>()
                .join(" "),
        },
    );
    t.put_known("shares_outlets", facts.shares_outlets, yes_no_word);
    t
}

/// Label and words of every fact, `not known` where blank.
pub fn lines(facts: &Circuit, units: Units) -> Vec<(&'static str, String)> {
    let typed = typed(facts, units);
    let words = |ask: &Ask| {
        let text = typed.get(ask.name);
        match ask.takes {
            _ if text.is_empty() => "not known".to_owned(),
            Takes::Choice(options) => words_of(options, text),
            takes => takes.with_unit(text, units),
        }
    };
    ASKS.iter().map(|ask| (ask.label, words(ask))).collect()
}

/// `15 A inverse-time breaker, 1-pole`
pub fn device_words(facts: &Circuit) -> String {
    let rating = facts
        .device_rating
        .map_or("rating not known".to_owned(), |a| {
            format!("{} A", a.normalize())
        });
    let kind = facts.device.map_or("device not known".to_owned(), |d| {
        words_of(DEVICES, &word(d))
    });
    let poles = facts
        .poles
        .map_or("poles not known".to_owned(), |p| format!("{p}-pole"));
    format!("{rating}, {kind}, {poles}")
}

/// `12 copper, 25 ft one way, insulation 90 °C, terminals 60 °C, 3 in the raceway`
pub fn wire_words(facts: &Circuit, units: Units) -> String {
    let size = facts
        .size
        .clone()
        .unwrap_or_else(|| "size not known".to_owned());
    let metal = facts
        .metal
        .map_or("metal not known".to_owned(), |m| words_of(METALS, &word(m)));
    let length = facts.one_way.map_or("length not known".to_owned(), |m| {
        format!("{} one way", measure::distance_words(m, units))
    });
    format!("{size} {metal}, {length}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_looked_at_zero_is_kept_and_a_blank_stays_unknown() {
        let mut input = CircuitInput::default();
        for (name, value) in [
            ("number", "7"),
            ("label_read", "kiln fan"),
            ("other_motors", "0"),
            ("other_continuous", "0"),
            ("one_way", "25"),
            ("device_rating", "15"),
        ] {
            input.0.put(name, value);
        }
        let facts = input.parse(Units::Us).expect("readable").facts;
        assert_eq!(facts.other_motors, Some(vec![]));
        assert_eq!(facts.other_continuous, Some(Decimal::ZERO));
        assert_eq!(facts.other_noncontinuous, None);
        for units in [Units::Us, Units::Si] {
            let t = typed(&facts, units);
            assert_eq!(super::facts(&mut Reader::new(&t), units), facts);
        }
        assert_eq!(
            device_words(&facts),
            "15 A, device not known, poles not known"
        );
    }
}
