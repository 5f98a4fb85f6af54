//! The demo's registers: places, panels, circuits, motors, machines and their isolation sheets,
//! read from the data files beside it.

use super::queries::{self, NewCircuit, NewMachine, NewSource};
use super::spec::Spec;
use super::suppliers;
use crate::clock::{DAY, Millis, Zone};
use crate::db::Tx;
use crate::instruments::InstrumentId;
use crate::jobs::roof::{self, Stay};
use crate::machines::MachineId;
use crate::motors::MotorId;
use crate::panels::CircuitId;
use crate::people::PersonId;
use calc::installation::{Circuit, Installation};
use calc::units::Metres;
use serde::Deserialize;
use std::collections::HashMap;
use time::Date;

#[derive(Deserialize)]
pub struct PlaceData {
    key: String,
    parent: Option<String>,
    kind: String,
    name: String,
    access_note: String,
}

#[derive(Deserialize)]
pub struct PanelData {
    name: String,
    place: String,
    supply: String,
    note: String,
}

#[derive(Deserialize)]
pub struct CircuitData {
    pub panel: String,
    pub number: String,
    label: String,
    wrong: bool,
    note: String,
    pub facts: Circuit,
}

#[derive(Deserialize)]
pub struct SourceData {
    pub key: String,
    kind: String,
    name: String,
    magnitude: String,
    device: String,
    device_place: String,
    label_read: String,
    locked_how: String,
    pub relieved_how: String,
    pub dead_test: String,
    circuit: Option<String>,
}

#[derive(Deserialize)]
pub struct MachineData {
    pub tag: String,
    name: String,
    pub kind: String,
    serves: String,
    place: String,
    criticality: String,
    before_you_go: String,
    /// Panel and number, `LP-1/7`.
    pub circuit: String,
    /// 0: nobody has proved it.
    proved_days_ago: i64,
    proved_by: String,
    installed_on: String,
    pub facts: Installation,
    pub sources: Vec<String>,
    steps: String,
}

impl MachineData {
    /// What is said there of the roof, where the machine is on one.
    pub fn roof(&self) -> Option<Stay> {
        let edge = self.facts.site.roof_edge;
        let near = roof::near(edge);
        (edge.is_some() || self.place.ends_with("roof")).then(|| Stay {
            edge,
            drop: Some(Metres(7.5)),
            minutes: Some(90),
            protection: if near { "restraint" } else { "" }.to_owned(),
        })
    }
}

impl SourceData {
    pub fn label(&self) -> &str {
        if self.label_read.is_empty() {
            "no label"
        } else {
            &self.label_read
        }
    }
}

impl MachineData {
    /// Who is told before it is stopped and before it starts.
    pub fn told(&self) -> &str {
        &self.serves
    }
}

/// Everything of `data/shop.json`.
#[derive(Deserialize)]
pub struct ShopData {
    pub places: Vec<PlaceData>,
    pub panels: Vec<PanelData>,
    pub circuits: Vec<CircuitData>,
    pub sources: Vec<SourceData>,
    pub machines: Vec<MachineData>,
}

/// # Errors
/// Says what of the compiled-in file does not read; a test reads it.
pub fn data() -> Result<ShopData, String> {
    serde_json::from_str(include_str!("data/shop.json")).map_err(|e| format!("shop.json: {e}"))
}

/// The motors on the machines (by tag) and on the shelf (key `shelf`).
///
/// # Errors
/// As [`data`].
pub fn motors() -> Result<Vec<Spec>, String> {
    csv::Reader::from_reader(include_str!("data/motors.csv").as_bytes())
        .deserialize()
        .collect::<Result<_, _>>()
        .map_err(|e| format!("motors.csv: {e}"))
}

/// Where the rows went.
pub struct Made {
    pub shop: ShopData,
    pub machines: HashMap<String, MachineId>,
    pub places: HashMap<String, i64>,
    pub sources: HashMap<String, i64>,
    /// Motors by tag and, on the shelf, by bin.
    pub motors: HashMap<String, MotorId>,
    pub specs: HashMap<String, Spec>,
    /// Test instruments by number.
    pub instruments: HashMap<String, InstrumentId>,
    /// The demo's present: its history ends here.
    pub now: i64,
}

pub(super) fn text<T: serde::Serialize>(value: &T) -> Result<String, String> {
    serde_json::to_string(value).map_err(|e| e.to_string())
}

fn found<T: Copy>(map: &HashMap<String, T>, key: &str) -> Result<T, String> {
    map.get(key)
        .copied()
        .ok_or_else(|| format!("the demo names no {key:?}"))
}

fn sql(error: sqlx::Error) -> String {
    format!("the demo's registers: {error}")
}

/// Writes the registers. `by` is the supervisor who signs the sheets.
pub async fn fill(tx: &mut Tx, now: Millis, zone: &Zone, by: PersonId) -> Result<Made, String> {
    let shop = data()?;
    let ago = |days: i64| zone.date(now - days * DAY);
    let mut places = HashMap::new();
    for place in &shop.places {
        let parent = place
            .parent
            .as_deref()
            .map(|key| found(&places, key))
            .transpose()?;
        let id = queries::place(tx, parent, &place.kind, &place.name, &place.access_note)
            .await
            .map_err(sql)?;
        places.insert(place.key.clone(), id);
    }
    let circuits = circuits(tx, &shop, &places).await?;
    let (motors, specs) = fill_motors(tx, ago(9)).await?;
    let mut sources = HashMap::new();
    for source in &shop.sources {
        let circuit = source
            .circuit
            .as_deref()
            .map(|key| found(&circuits, key))
            .transpose()?;
        let new = NewSource {
            kind: &source.kind,
            name: &source.name,
            magnitude: &source.magnitude,
            device: &source.device,
            device_place: &source.device_place,
            label_read: &source.label_read,
            locked_how: &source.locked_how,
            relieved_how: &source.relieved_how,
            dead_test: &source.dead_test,
            circuit,
        };
        sources.insert(
            source.key.clone(),
            queries::source(tx, &new).await.map_err(sql)?,
        );
    }
    let mut machines = HashMap::new();
    for (at, machine) in shop.machines.iter().enumerate() {
        let facts = text(&machine.facts)?;
        let proved = (machine.proved_days_ago > 0).then(|| ago(machine.proved_days_ago));
        let new = NewMachine {
            tag: &machine.tag,
            name: &machine.name,
            kind: &machine.kind,
            serves: &machine.serves,
            place: found(&places, &machine.place)?,
            criticality: &machine.criticality,
            before_you_go: &machine.before_you_go,
            facts: &facts,
            circuit: found(&circuits, &machine.circuit)?,
            feed_proved_on: proved,
            feed_proved_by: &machine.proved_by,
            motor: motors.get(&machine.tag).copied(),
            installed_on: crate::form::optional_date(&machine.installed_on)?,
            at: now - 400 * DAY,
        };
        let id = queries::machine(tx, &new).await.map_err(sql)?;
        machines.insert(machine.tag.clone(), id);
        // One sheet of three was not looked at within the year: the page shows it.
        let days = if at % 3 == 2 {
            390
        } else {
            60 + 11 * i64::try_from(at).unwrap_or(0)
        };
        let inspected = Some((ago(days), "Ilse Farrow"));
        let sheet = queries::sheet(tx, id, &machine.steps, now - 395 * DAY, by, inspected)
            .await
            .map_err(sql)?;
        for (position, key) in (1..).zip(&machine.sources) {
            let source = found(&sources, key)?;
            queries::sheet_source(tx, sheet, source, position)
                .await
                .map_err(sql)?;
        }
    }
    Ok(Made {
        instruments: super::instruments::fill(tx, now, zone, by)
            .await
            .map_err(sql)?,
        now,
        shop,
        machines,
        places,
        sources,
        motors,
        specs,
    })
}

async fn circuits(
    tx: &mut Tx,
    shop: &ShopData,
    places: &HashMap<String, i64>,
) -> Result<HashMap<String, CircuitId>, String> {
    let mut panels = HashMap::new();
    for panel in &shop.panels {
        let place = found(places, &panel.place)?;
        let id = queries::panel(tx, &panel.name, place, &panel.supply, &panel.note)
            .await
            .map_err(sql)?;
        panels.insert(panel.name.clone(), id);
    }
    let mut circuits = HashMap::new();
    for circuit in &shop.circuits {
        let facts = text(&circuit.facts)?;
        let new = NewCircuit {
            panel: found(&panels, &circuit.panel)?,
            number: &circuit.number,
            label: &circuit.label,
            wrong: circuit.wrong,
            note: &circuit.note,
            facts: &facts,
        };
        let id = queries::circuit(tx, &new).await.map_err(sql)?;
        circuits.insert(format!("{}/{}", circuit.panel, circuit.number), id);
    }
    Ok(circuits)
}

type Motors = (HashMap<String, MotorId>, HashMap<String, Spec>);

async fn fill_motors(tx: &mut Tx, lists_read_on: Date) -> Result<Motors, String> {
    let mut ids = HashMap::new();
    let mut specs = HashMap::new();
    for spec in motors()? {
        let id = insert_motor(tx, &spec).await?;
        let key = if spec.key == "shelf" {
            &spec.bin
        } else {
            &spec.key
        };
        if spec.key == "shelf" {
            let held = spec
                .held
                .parse()
                .map_err(|_| format!("{}: held", spec.name))?;
            queries::shelf(tx, id, &spec.bin, held, spec.price.parse().ok())
                .await
                .map_err(sql)?;
        }
        ids.insert(key.clone(), id);
        specs.insert(key.clone(), spec);
    }
    let mut lists = Vec::new();
    for (name, note) in suppliers::LISTS {
        lists.push(
            queries::list(tx, name, lists_read_on, note)
                .await
                .map_err(sql)?,
        );
    }
    for offered in suppliers::offered() {
        let id = insert_motor(tx, &offered.spec).await?;
        queries::offer(
            tx,
            lists[offered.list],
            id,
            offered.price,
            offered.lead_days,
        )
        .await
        .map_err(sql)?;
    }
    Ok((ids, specs))
}

async fn insert_motor(tx: &mut Tx, spec: &Spec) -> Result<MotorId, String> {
    let plate = text(&spec.plate()?)?;
    queries::motor(
        tx,
        &spec.name,
        &plate,
        &spec.plate_text(),
        spec.made(),
        &spec.note,
    )
    .await
    .map_err(sql)
}
