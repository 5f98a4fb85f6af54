//! Adding and changing machines, and entering what a meter shows, by the rules of the pages.

use super::asked::{JSON, MERGE_PATCH, Number, Sent, bounded, typed};
use super::caller::Caller;
use super::once::{self, Begun, Done, Once};
use super::problem::Problem;
use super::shapes::{MachineShown, MeterShown};
use super::{etag, machines};
use crate::db;
use crate::form::{self, FieldErrors};
use crate::machines::edit;
use crate::machines::form::{MachineInput, NewMachine};
use crate::machines::queries::Motors;
use crate::machines::{Machine, MachineId};
use crate::meters::record::Outcome;
use crate::meters::{self, record};
use crate::rows::Typed;
use crate::shop::Units;
use crate::state::AppState;
use axum::extract::State;
use axum::response::Response;
use calc::due::MeterReading;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use utoipa::ToSchema;

/// Of a name, and of other lines.
const LONGEST: usize = 200;
const LONGEST_NOTE: usize = 4000;

#[derive(Clone, Copy, Debug, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MachineKind {
    Fan,
    Pump,
    UnitHeater,
    Compressor,
    AirHandler,
    Other,
}

/// How much it matters; high: people or work stop without it.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Criticality {
    Low,
    Ordinary,
    High,
}

/// A machine to be added. What is left out or null is not known.
#[derive(Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewMachineSent {
    /// Letters, digits, dash and dot.
    #[schema(min_length = 1, max_length = 24, pattern = "^[A-Za-z0-9.-]{1,24}$")]
    tag: String,
    #[schema(min_length = 1, max_length = 200)]
    name: String,
    kind: MachineKind,
    /// Where it stands.
    place_id: i64,
    criticality: Criticality,
    #[schema(max_length = 200)]
    serves: Option<String>,
    /// What to know before going there.
    #[schema(max_length = 4000)]
    before_you_go: Option<String>,
    /// The circuit that feeds it, as the label says; to prove the feed is a person's own word.
    circuit_id: Option<i64>,
    #[schema(format = "date")]
    installed_on: Option<String>,
    #[schema(format = "date")]
    retired_on: Option<String>,
}

/// What is to change of a machine (RFC 7396): what is left out stays, null makes it not known.
#[derive(Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MachineChange {
    /// Letters, digits, dash and dot.
    #[schema(
        min_length = 1,
        max_length = 24,
        pattern = "^[A-Za-z0-9.-]{1,24}$",
        nullable = false
    )]
    tag: Option<String>,
    #[schema(min_length = 1, max_length = 200, nullable = false)]
    name: Option<String>,
    #[schema(nullable = false)]
    kind: Option<MachineKind>,
    #[schema(nullable = false)]
    place_id: Option<i64>,
    #[schema(nullable = false)]
    criticality: Option<Criticality>,
    #[schema(max_length = 200)]
    serves: Option<String>,
    /// Another circuit takes the proof of the feed away.
    circuit_id: Option<i64>,
    #[schema(format = "date")]
    installed_on: Option<String>,
    #[schema(format = "date")]
    retired_on: Option<String>,
}

/// The members of a body as the page's form would send them.
fn put(input: &mut Typed, members: &Map<String, Value>) {
    for (name, value) in members {
        let text = match value {
            Value::Null => String::new(),
            Value::String(text) => text.clone(),
            other => other.to_string(),
        };
        input.put(name.clone(), text.trim());
    }
}

fn lengths(input: &Typed) -> FieldErrors {
    let mut errors = FieldErrors::default();
    for field in ["name", "serves"] {
        bounded(&mut errors, field, Some(input.get(field)), LONGEST);
    }
    let before = Some(input.get("before_you_go"));
    bounded(&mut errors, "before_you_go", before, LONGEST_NOTE);
    errors
}

/// A blank is no day: not known is null.
fn days(members: &Map<String, Value>) -> Result<(), Problem> {
    for field in ["installed_on", "retired_on"] {
        if let Some(text) = members.get(field).and_then(Value::as_str) {
            form::date(text, "Send a day, as 2026-11-25, or null")
                .map_err(|message| Problem::field(field, message))?;
        }
    }
    Ok(())
}

/// As the form would judge it.
async fn judged(app: &AppState, input: Typed) -> Result<NewMachine, Problem> {
    let mut errors = lengths(&input);
    let input = MachineInput(input);
    let lists = edit::lists(app, None, &input).await?;
    let parsed = input.parse(Units::Si, &lists, app.today());
    let new = errors.gather(parsed);
    match new {
        Some(new) if errors.is_empty() => Ok(new),
        _ => Err(errors.into()),
    }
}

fn taken() -> Problem {
    Problem::field("tag", edit::DUPLICATE)
}

/// Adds a machine.
#[utoipa::path(post, path = "/machines", tag = "machines",
    request_body = NewMachineSent,
    responses((status = 201, description = "The machine that was added", body = MachineShown)))]
pub async fn add_machine(
    caller: Caller,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, Problem> {
    let value = sent.value(JSON)?;
    let members = value.as_object().cloned().unwrap_or_default();
    let _in_shape: NewMachineSent = typed(value)?;
    days(&members)?;
    let mut input = Typed::default();
    put(&mut input, &members);
    // Read first: inside the change, a second connection might never come free.
    let judged = judged(&app, input).await;
    let mut once = match once::begin(&app, &caller, "POST /machines", &sent).await? {
        Begun::Before(answer) => return Ok(answer),
        Begun::Go(once) => once,
    };
    let new = judged?;
    let (by, now) = (caller.id(), app.clock.now());
    let motors = Motors {
        design: None,
        fitted: None,
    };
    let id = match edit::keep_new(&mut once.tx, &new, motors, by, now).await {
        Err(e) if db::is_duplicate(&e) => return Err(taken()),
        kept => kept?,
    };
    let machine = shown(&mut once, id).await?;
    let tag = machines::tag_of(&machine);
    let at = format!("/machines/{}", id.0);
    once.keep(Done::made(at, Some(tag), MachineShown::of(machine)))
        .await
}

/// The machine as it now is, inside the change.
async fn shown(once: &mut Once<'_>, id: MachineId) -> Result<Machine, Problem> {
    let machine = crate::machines::queries::find_in(&mut once.tx, id).await?;
    machine.ok_or_else(Problem::not_found)
}

/// Changes a machine's record.
///
/// Send the version that you changed as `If-Match`. Facts, motors and the isolation sheet are changed on their pages.
#[utoipa::path(patch, path = "/machines/{id}", tag = "machines",
    params(("id" = i64, Path, minimum = 1, description = "The machine's number"),
        ("If-Match" = Option<String>, Header, description = "The ETag of the version that is changed; refused with 428 without it")),
    request_body(content = MachineChange, content_type = "application/merge-patch+json"),
    responses((status = 200, description = "The machine as it now is", body = MachineShown)))]
pub async fn change_machine(
    caller: Caller,
    State(app): State<AppState>,
    Number(id): Number,
    sent: Sent,
) -> Result<Response, Problem> {
    let value = sent.value(MERGE_PATCH)?;
    let members = value.as_object().cloned().unwrap_or_default();
    let _in_shape: MachineChange = typed(value)?;
    days(&members)?;
    let machine = machines::found(&app, id).await?;
    let mut input = as_typed(&machine);
    put(&mut input, &members);
    if members.contains_key("circuit_id") && moved(&machine, &input) {
        input.put("feed_proved_on", "");
        input.put("feed_proved_by", "");
    }
    let new = NewMachine {
        before_you_go: machine.before_you_go.clone(),
        facts: machine.facts.clone(),
        ..judged(&app, input).await?
    };
    etag::must_match(&sent.headers, &machines::tag_of(&machine))?;
    let motors = Motors {
        design: machine.design_motor_id,
        fitted: machine.fitted_motor_id,
    };
    let mut tx = app.db.begin_write().await?;
    let by = caller.id();
    if !crate::machines::queries::claim(&mut tx, machine.id, machine.version).await? {
        return Err(etag::changed());
    }
    match edit::keep_change(&mut tx, &machine, &new, motors, by, app.clock.now()).await {
        Err(e) if db::is_duplicate(&e) => return Err(taken()),
        kept => kept?,
    }
    tx.commit().await?;
    let machine = machines::found(&app, id).await?;
    let tag = machines::tag_of(&machine);
    Ok(etag::answer(
        &axum::http::HeaderMap::new(),
        &tag,
        MachineShown::of(machine),
    ))
}

fn moved(machine: &Machine, input: &Typed) -> bool {
    let was = machine.circuit_id.map(|id| id.0.to_string());
    was.unwrap_or_default() != input.get("circuit_id")
}

/// The record as its form shows it, without facts and motors.
fn as_typed(machine: &Machine) -> Typed {
    let bare = Machine {
        facts: calc::installation::Installation::default(),
        before_you_go: String::new(),
        ..machine.clone()
    };
    MachineInput::from_machine(&bare, None, None, Units::Si).0
}

/// What a meter showed.
#[derive(Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReadingSent {
    /// The day of the reading, on the shop's calendar; not one that is still to come.
    #[schema(format = "date")]
    read_on: String,
    /// What it showed, in the meter's own `unit`.
    #[schema(minimum = 0)]
    value: f64,
    /// It was read again and does show the same as last time.
    #[serde(default)]
    same_as_last: bool,
}

/// Enters a reading of a meter.
///
/// It is judged by what the meter showed before: one that cannot be is refused, and one that is the same as the last is taken with `same_as_last` only.
#[utoipa::path(post, path = "/meters/{id}/readings", tag = "meters",
    params(("id" = i64, Path, minimum = 1, description = "The meter's number")),
    request_body = ReadingSent,
    responses((status = 201, description = "The meter with this reading", body = MeterShown)))]
pub async fn enter_reading(
    caller: Caller,
    State(app): State<AppState>,
    Number(id): Number,
    sent: Sent,
) -> Result<Response, Problem> {
    let reading: ReadingSent = sent.read(JSON)?;
    let on = form::date(&reading.read_on, "Enter the day of the reading");
    let on = on.map_err(|message| Problem::field("read_on", message))?;
    let what = format!("POST /meters/{id}/readings");
    let meter = meters::queries::find(&app.db, id).await?;
    let mut once = match once::begin(&app, &caller, &what, &sent).await? {
        Begun::Before(answer) => return Ok(answer),
        Begun::Go(once) => once,
    };
    let meter = meter.ok_or_else(Problem::not_found)?;
    let new = MeterReading {
        on,
        value: reading.value,
    };
    let (by, again) = (caller.id(), reading.same_as_last);
    match record::take_within(&app, &mut once.tx, by, &meter, new, again).await? {
        Outcome::Kept => {}
        Outcome::Asked(_) => {
            let said = "The same as the last reading. Read it again; if it does show this, send same_as_last";
            return Err(Problem::field("value", said));
        }
        Outcome::Refused(why) | Outcome::Lower(why) => {
            let not_yet = record::not_yet(on, app.today()).is_some();
            return Err(Problem::field(
                if not_yet { "read_on" } else { "value" },
                why,
            ));
        }
    }
    let newest = meter.last_on.is_none_or(|last| last <= on);
    let meter = meters::Meter {
        last_on: if newest { Some(on) } else { meter.last_on },
        last_value: if newest {
            Some(new.value)
        } else {
            meter.last_value
        },
        ..meter
    };
    let at = format!("/machines/{}/meters", meter.machine_id.0);
    once.keep(Done::made(at, None, MeterShown::from(meter)))
        .await
}
