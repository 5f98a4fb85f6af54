//! The topic of the whole circuit check, for machines that ask.

use super::super::editions::per_edition;
use super::super::{Figure, Given, Subject, Takes, Topic, Trouble, want};
use super::motor::a;
use crate::circuit::{RuleSet, check};
use crate::installation::{Circuit, Installation};
use crate::plate::{self, Plate};
use crate::working::Missing;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

pub(super) const WHOLE: Topic = Topic {
    name: "circuit",
    title: "Motor against its circuit",
    what: "The whole check of a motor against the circuit that feeds the machine: conductor, device, \
           overload, disconnect, loads, drop and contact.",
    subject: Subject::Circuit,
    wants: &[
        want("plate", "Plate of the motor", Takes::Json).note(
            "its text as read on the motor, or the object in which this program keeps a plate",
        ),
        want("installation", "Machine", Takes::Json)
            .note("the object of the machine: driven, site, disconnect, overload"),
        want("circuit", "Circuit", Takes::Json).note("the object of the circuit"),
        want(
            "rule_set",
            "Rule set",
            Takes::Choice(&[
                ("NEC 2017", "NEC 2017"),
                ("NEC 2020", "NEC 2020"),
                ("NEC 2023", "NEC 2023"),
                ("IEC 60364", "IEC 60364"),
            ]),
        )
        .note("blank: the three NEC editions, told apart where they differ"),
    ],
    answers: &[
        a("verdict", "", "worst of the lines"),
        a(
            "lines",
            "",
            "verdict of each line by its key, the worse where a key stands twice",
        ),
    ],
    run: |given| {
        let (plate, unread) = plate(given)?;
        let installation: Installation = read(given, "installation")?;
        let circuit: Circuit = read(given, "circuit")?;
        let mut figure = per_edition(given, |set| Ok(one(set, &plate, &installation, &circuit)))?;
        figure.working.missing.extend(unread);
        Ok(figure)
    },
};

fn one(set: RuleSet, plate: &Plate, installation: &Installation, circuit: &Circuit) -> Figure {
    let mut working = check(set, plate, installation, circuit);
    // The editions are named where the figures are put together.
    working.title = "Circuit check".into();
    let mut worst = Map::new();
    let mut severity: Vec<(String, u8)> = Vec::new();
    for line in &working.lines {
        let Some(verdict) = line.verdict else {
            continue;
        };
        let key = line.key.to_string();
        let before = severity.iter_mut().find(|(other, _)| *other == key);
        match before {
            Some((_, kept)) if *kept >= verdict.severity() => continue,
            Some((_, kept)) => *kept = verdict.severity(),
            None => severity.push((key.clone(), verdict.severity())),
        }
        worst.insert(key, verdict.words().into());
    }
    let verdict = working.verdict().map(|verdict| verdict.words());
    Figure::new(working)
        .with_some("verdict", verdict)
        .with("lines", Value::Object(worst))
}

/// The plate, and what of its text was not understood or is open to doubt.
fn plate(given: &Given) -> Result<(Plate, Vec<Missing>), Trouble> {
    let Some(Value::String(text)) = given.raw("plate") else {
        return Ok((read(given, "plate")?, Vec::new()));
    };
    let reading = plate::read(text);
    let unread = reading.not_understood.iter().map(|part| Missing {
        what: format!("meaning of `{}` on the plate", part.text).into(),
        why: format!("it was not read: {}", part.why).into(),
        how: "look at the plate again and write it with its label".into(),
    });
    let doubts = reading.doubts.iter().map(|doubt| Missing {
        what: format!("{} of the plate", doubt.field).into(),
        why: doubt.words.clone().into(),
        how: "look at the plate again".into(),
    });
    let open = unread.chain(doubts).collect();
    Ok((reading.plate, open))
}

/// An object of the program's own form; nothing given is an object of blanks.
fn read<T: DeserializeOwned + Default>(given: &Given, name: &str) -> Result<T, Trouble> {
    match given.raw(name) {
        None => Ok(T::default()),
        Some(value) => serde_json::from_value(value.clone())
            .map_err(|why| Trouble::of(name, format!("Not in the form this program keeps: {why}"))),
    }
}
