//! Topics. Motor and fit: one candidate against one machine.

mod machine;
mod plate;
mod words;

use super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::fit::{Need, changes, explain, rank};
use crate::plate::Plate;
use crate::working::Working;
use plate::{CANDIDATE, PLATE, plate_of};
use serde_json::{Map, Value};

static WANTS: &[Want] = &[
    want("old", "Old plate", Takes::Group(PLATE))
        .note("a text as on the plate, or its fields; any may be left out, or be \"unreadable\""),
    want("machine", "What is driven", Takes::Group(machine::MACHINE)).note("beats the old plate"),
    want(
        "site",
        "What the site supplies and asks",
        Takes::Group(machine::SITE),
    )
    .note("beats the old plate"),
    want("candidate", "Candidate's plate", Takes::Group(PLATE))
        .note("a text or its fields; or candidates"),
    want("candidates", "Candidates' plates", Takes::Rows(CANDIDATE)).note("to be put in order"),
];

static ANSWERS: &[Answer] = &[
    Answer {
        name: "verdict",
        unit: "",
        what: "same, suits, suits after work, not known yet or do not fit; of the best candidate",
    },
    Answer {
        name: "by_attribute",
        unit: "",
        what: "the verdict of each of the 29 attributes, by its key",
    },
    Answer {
        name: "work",
        unit: "",
        what: "named work that makes it fit, with dimensions",
    },
    Answer {
        name: "missing",
        unit: "",
        what: "what nobody has said yet and the verdict waits for",
    },
    Answer {
        name: "best",
        unit: "",
        what: "id of the best of several candidates",
    },
    Answer {
        name: "ranked",
        unit: "",
        what: "all candidates, best first: id, verdict, by_attribute, work, missing",
    },
];

pub(super) static TOPICS: &[Topic] = &[Topic {
    name: "fit",
    title: "Fit of a motor",
    what: "An old plate and its machine against candidates: verdict, work to fit them, what is missing.",
    subject: Subject::Motor,
    wants: WANTS,
    answers: ANSWERS,
    run,
}];

fn run(given: &Given) -> Result<Figure, Trouble> {
    let one = |name: &str| {
        let plate = given.raw(name).map(plate_of).transpose();
        plate.map_err(|trouble| trouble.inside(name))
    };
    let old = one("old")?.unwrap_or_default();
    let installation = machine::installation(given)?;
    let need = Need {
        old: &old,
        installation: &installation,
    };
    match (one("candidate")?, candidates(given)?) {
        (Some(new), None) => Ok(single(&need, &new)),
        (None, Some(list)) => several(&need, &list),
        (Some(_), Some(_)) => Err(Trouble::of(
            "candidate",
            "Give candidate or candidates, not both",
        )),
        (None, None) => Err(Trouble::of("candidate", "Not given: Candidate's plate")),
    }
}

fn candidates(given: &Given) -> Result<Option<Vec<(String, Plate)>>, Trouble> {
    let Some(value) = given.raw("candidates") else {
        return Ok(None);
    };
    let items = value
        .as_array()
        .ok_or_else(|| Trouble::of("candidates", "Give a list of plates"))?;
    let read = |(at, item): (usize, &Value)| {
        let id = match item.get("id") {
            Some(Value::String(id)) => id.clone(),
            Some(Value::Number(id)) => id.to_string(),
            _ => (at + 1).to_string(),
        };
        let plate = plate_of(item).map_err(|t| t.inside(&format!("candidates.{at}")))?;
        Ok((id, plate))
    };
    items
        .iter()
        .enumerate()
        .map(read)
        .collect::<Result<_, _>>()
        .map(Some)
}

fn several(need: &Need, list: &[(String, Plate)]) -> Result<Figure, Trouble> {
    let ranked = rank(need, list.iter().map(|one| (one, &one.1)));
    let Some(((id, best), _)) = ranked.first() else {
        return Err(Trouble::of("candidates", "Give at least one plate"));
    };
    let all: Vec<Value> = ranked
        .iter()
        .map(|((id, plate), _)| {
            let mut out = told(&explain(need, plate));
            out.insert("id".into(), id.clone().into());
            out.into()
        })
        .collect();
    Ok(single(need, best)
        .with("best", id.clone())
        .with("ranked", all))
}

fn single(need: &Need, new: &Plate) -> Figure {
    let mut working = explain(need, new);
    let answers = told(&working);
    let after = changes(need, new);
    working.lines.extend(after.lines);
    for missing in after.missing {
        if !working
            .missing
            .iter()
            .any(|known| known.what == missing.what)
        {
            working.missing.push(missing);
        }
    }
    working.cautions.extend(after.cautions);
    let mut figure = Figure::new(working);
    figure.answers = answers;
    figure
}

fn told(working: &Working) -> Map<String, Value> {
    let verdict = working.verdict().map(|verdict| verdict.words());
    let attributes: Map<String, Value> = working
        .lines
        .iter()
        .map(|line| {
            let words = line.verdict.map_or("not judged", |verdict| verdict.words());
            (line.key.to_string(), words.into())
        })
        .collect();
    let work: Vec<&str> = working.work().map(AsRef::as_ref).collect();
    let missing: Vec<&str> = working.missing.iter().map(|m| m.what.as_ref()).collect();
    Map::from_iter([
        ("verdict".to_owned(), verdict.into()),
        ("by_attribute".to_owned(), attributes.into()),
        ("work".to_owned(), work.into()),
        ("missing".to_owned(), missing.into()),
    ])
}
