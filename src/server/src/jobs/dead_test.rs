//! The dead test of a job: which pairs are typed, how they are judged, and what is recorded.

use super::body::{Body, Reading};
use super::step_page::{VOLTS, shown_number};
use crate::clock::Millis;
use crate::form::{self, FieldErrors, Fields};
use crate::instruments::{Instrument, used};
use crate::machines::{IsolationSheet, MachineId};
use calc::deadtest::{self, Conductors, DeadReading, DeadTest, EFFECTIVELY_ZERO, LiveProof};
use calc::units::Volts;
use calc::working::{Line, Verdict, Working};
use time::{Date, OffsetDateTime};

/// One source that is tested for voltage.
#[derive(Clone, Debug)]
pub struct Tested {
    pub source_id: i64,
    pub name: String,
    pub conductors: Conductors,
}

/// A pair of a source: its words and the field it is typed in.
#[derive(Clone, Debug)]
pub struct Pair {
    pub words: &'static str,
    pub field: String,
}

impl Tested {
    pub fn pairs(&self) -> Vec<Pair> {
        deadtest::pairs(self.conductors)
            .iter()
            .map(|words| Pair {
                words,
                field: self.field(words),
            })
            .collect()
    }

    fn field(&self, pair: &str) -> String {
        format!("pair_{}_{pair}", self.source_id)
    }
}

/// The word in the database, as the conductors that calc knows; `None`: no electrical test.
fn conductors(word: &str) -> Option<Conductors> {
    Some(match word {
        "single_phase" => Conductors::SinglePhase,
        "split_phase" => Conductors::SplitPhase { neutral: false },
        "split_phase_neutral" => Conductors::SplitPhase { neutral: true },
        "three_phase" => Conductors::ThreePhase { neutral: false },
        "three_phase_neutral" => Conductors::ThreePhase { neutral: true },
        _ => return None,
    })
}

/// The sources whose pairs are measured, in the order of the sheet.
pub fn tested(sheet: &IsolationSheet) -> Vec<Tested> {
    sheet
        .sources
        .iter()
        .filter_map(|source| {
            Some(Tested {
                source_id: source.id,
                name: source.name.clone(),
                conductors: conductors(&source.dead_test)?,
            })
        })
        .collect()
}

/// When the form came in.
#[derive(Clone, Copy, Debug)]
pub struct Moment {
    pub now: Millis,
    pub today: Date,
}

/// The entry to be, from what was typed; every gap beside its field.
///
/// # Errors
/// A message for each field that is blank or not a figure, in calc's own words where it has some.
pub fn body(
    fields: &Fields,
    sheet: &IsolationSheet,
    machine_id: MachineId,
    moment: Moment,
    register: &[Instrument],
) -> Result<Body, FieldErrors> {
    let mut errors = FieldErrors::default();
    let did_not_start = fields.ticked("did_not_start");
    if !did_not_start {
        errors.add(
            "did_not_start",
            "Work the controls and see that it does not start",
        );
    }
    let tested = tested(sheet);
    if tested.is_empty() {
        return without_voltage(fields, machine_id, errors);
    }
    let used = used::read(fields, register, moment.today, &mut errors);
    let mut working = Working::new("Test for absence of voltage");
    working.lines.push(tried());
    let mut pairs = Vec::new();
    for source in &tested {
        let test = read(source, fields, moment.now);
        let judged = deadtest::judge(&test, EFFECTIVELY_ZERO);
        beside_fields(&judged, source, fields, &mut errors);
        let many = tested.len() > 1;
        merge(&mut working, judged, many.then_some(source));
        pairs.extend(
            source
                .pairs()
                .into_iter()
                .map(|pair| reading(fields, source, &pair, many)),
        );
    }
    let verdict = working.verdict().unwrap_or(Verdict::NotKnownYet);
    let live = |field| format!("{} V on {}", fields.get(field), fields.get("known_source"));
    errors.or(Body::DeadTest {
        machine_id,
        instrument: used.number,
        instrument_due: used.due,
        instrument_id: used.id,
        did_not_start,
        live_before: live("before"),
        live_after: live("after"),
        pairs,
        verdict,
        working,
    })
}

fn tried() -> Line {
    Line {
        key: "tried".into(),
        label: "Controls worked".into(),
        value: "did not start".into(),
        rule: "tried after the locks went on".into(),
        source: "29 CFR 1910.147(d)(6)".into(),
        verdict: Some(Verdict::Within),
        note: "Recorded.".into(),
        ..Line::default()
    }
}

/// A machine without an electrical source: tried, and verified in some other way, said in words.
fn without_voltage(
    fields: &Fields,
    machine_id: MachineId,
    mut errors: FieldErrors,
) -> Result<Body, FieldErrors> {
    let verified = form::required(
        fields.get("verified"),
        "Say how you verified that no energy is left, and what you read",
    );
    let verified = errors.take("verified", verified);
    let mut working = Working::new("Verification of the isolation");
    let mut line = tried();
    line.note = verified.clone().into();
    working.lines.push(line);
    errors.or(Body::DeadTest {
        machine_id,
        instrument: verified,
        instrument_due: None,
        instrument_id: None,
        did_not_start: true,
        live_before: String::new(),
        live_after: String::new(),
        pairs: Vec::new(),
        verdict: Verdict::Within,
        working,
    })
}

fn read(source: &Tested, fields: &Fields, now: Millis) -> DeadTest {
    let volts = |field: &str| shown_number(fields.get(field), VOLTS).map(Volts);
    // Typed in this order: before, the pairs, after.
    let proof = |field: &str| {
        Some(LiveProof {
            volts: volts(field),
            source: Some(fields.get("known_source").to_owned()),
            at: OffsetDateTime::from_unix_timestamp(now.div_euclid(1000)).ok(),
        })
    };
    DeadTest {
        conductors: Some(source.conductors),
        tester: Some(fields.get("instrument").to_owned()),
        proved_before: proof("before"),
        readings: source
            .pairs()
            .into_iter()
            .map(|pair| DeadReading {
                volts: volts(&pair.field),
                pair: pair.words.to_owned(),
            })
            .collect(),
        proved_after: proof("after"),
    }
}

fn reading(fields: &Fields, source: &Tested, pair: &Pair, many: bool) -> Reading {
    let as_shown = fields.get(&pair.field);
    Reading {
        point: if many {
            format!("{}: {}", source.name, pair.words)
        } else {
            pair.words.to_owned()
        },
        quantity: "volts".to_owned(),
        as_shown: as_shown.to_owned(),
        value: shown_number(as_shown, VOLTS),
    }
}

/// What calc misses, said beside the fields it comes from.
fn beside_fields(judged: &Working, source: &Tested, fields: &Fields, errors: &mut FieldErrors) {
    let open = |line: &&Line| line.verdict == Some(Verdict::NotKnownYet);
    for line in judged.lines.iter().filter(open) {
        let how = judged
            .missing
            .iter()
            .find(|missing| line.note.contains(missing.what.as_ref()))
            .map_or("look, and type it", |missing| missing.how.as_ref());
        let field = match line.key.as_ref() {
            "tester" => "instrument".to_owned(),
            "proved_before" => "before".to_owned(),
            "proved_after" => "after".to_owned(),
            key => key
                .strip_prefix("pair_")
                .map_or("form".to_owned(), |pair| source.field(pair)),
        };
        let typed = fields.get(&field);
        if (field == "before" || field == "after") && shown_number(typed, VOLTS).is_some() {
            errors.add(
                "known_source",
                "Name the live source the tester was proved on",
            );
        } else if typed.is_empty() {
            errors.add(&field, format!("Blank is not zero: {how}"));
        } else {
            errors.add(
                &field,
                format!(
                    "{typed} is not a figure in volts. Type what the instrument showed in volts"
                ),
            );
        }
    }
}

/// Lines of one source into the whole: the tester and its proofs once, the pairs under their source.
fn merge(whole: &mut Working, judged: Working, source: Option<&Tested>) {
    for mut line in judged.lines {
        if let (Some(source), true) = (source, line.key.starts_with("pair_")) {
            line.key = format!("{}_{}", line.key, source.source_id).into();
            line.label = format!("{}: {}", source.name, line.label).into();
        } else if whole.line(&line.key).is_some() {
            continue;
        }
        whole.lines.push(line);
    }
    for missing in judged.missing {
        if !whole.missing.contains(&missing) {
            whole.missing.push(missing);
        }
    }
    for caution in judged.cautions {
        if !whole.cautions.contains(&caution) {
            whole.cautions.push(caution);
        }
    }
}
