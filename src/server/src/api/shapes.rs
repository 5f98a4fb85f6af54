//! What the JSON of reading says. `null` is not known; instants are UTC (RFC 3339), days are days of
//! the shop's calendar, and every figure has its unit in its name or beside it.

use super::queries::PlaceRow;
use crate::clock::{Millis, date_value};
use crate::jobs::{Job, State};
use crate::machines::{Machine, facts};
use crate::meters::Meter;
use crate::people::PersonId;
use crate::preventive::DueItem;
use crate::rows::Takes;
use crate::shop::Units;
use serde::Serialize;
use time::Date;
use utoipa::ToSchema;

/// `2026-11-25T12:00:00.000Z`
pub fn instant(at: Millis) -> String {
    jiff::Timestamp::from_millisecond(at)
        .map(|at| format!("{at:.3}"))
        .unwrap_or_default()
}

fn day(date: Option<Date>) -> Option<String> {
    date.map(date_value)
}

fn known(text: &str) -> Option<String> {
    (!text.trim().is_empty()).then(|| text.to_owned())
}

/// One fact of a machine: drive, wheel, site, control, disconnect and overload.
#[derive(Debug, Serialize, ToSchema)]
pub struct Fact {
    /// Its name, the same in every answer.
    pub name: &'static str,
    /// Its name for people.
    pub label: &'static str,
    /// The value as text: a number in `unit`, a word, or yes and no.
    pub value: String,
    /// The unit of the number, in SI; null where the value has none.
    pub unit: Option<&'static str>,
}

/// A machine's record.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Machine)]
pub struct MachineShown {
    /// The machine's number. It never changes.
    pub id: i64,
    /// What is stamped on its tag. It can be changed.
    pub tag: String,
    pub name: String,
    /// One of fan, pump, unit_heater, compressor, air_handler, other.
    pub kind: String,
    /// What it serves; null: not known.
    pub serves: Option<String>,
    /// Where it stands.
    pub place_id: i64,
    /// The machine that it is a part of; null: none.
    pub parent_id: Option<i64>,
    /// How much it matters: low, ordinary or high.
    pub criticality: String,
    /// What to know before going there; null: nothing is noted.
    pub before_you_go: Option<String>,
    /// The circuit that the record says feeds it; null: not known.
    pub circuit_id: Option<i64>,
    /// The day on which that feed was proved; null: nobody has proved it.
    #[schema(format = "date")]
    pub feed_proved_on: Option<String>,
    #[schema(format = "date")]
    pub installed_on: Option<String>,
    /// The day on which it was taken out of use; null: it is in use.
    #[schema(format = "date")]
    pub retired_on: Option<String>,
    /// What is known of it. A fact that is not here is not known.
    pub facts: Vec<Fact>,
    /// Goes up with each change; the header ETag says the same.
    pub version: i64,
}

impl MachineShown {
    pub fn of(machine: Machine) -> MachineShown {
        MachineShown {
            id: machine.id.0,
            facts: facts_of(&machine),
            tag: machine.tag,
            name: machine.name,
            kind: machine.kind,
            serves: known(&machine.serves),
            place_id: machine.place_id,
            parent_id: machine.parent_id.map(|id| id.0),
            criticality: machine.criticality,
            before_you_go: known(&machine.before_you_go),
            circuit_id: machine.circuit_id.map(|id| id.0),
            feed_proved_on: day(machine.feed_proved_on),
            installed_on: day(machine.installed_on),
            retired_on: day(machine.retired_on),
            version: machine.version,
        }
    }
}

fn facts_of(machine: &Machine) -> Vec<Fact> {
    let typed = facts::typed(&machine.facts, Units::Si);
    let asks = facts::GROUPS.iter().flat_map(|(_, _, asks)| asks.iter());
    asks.filter_map(|ask| {
        let value = typed.get(ask.name);
        let unit = match ask.takes {
            Takes::Choice(_) => "",
            takes => takes.unit(Units::Si),
        };
        (!value.is_empty()).then(|| Fact {
            name: ask.name,
            label: ask.label,
            value: value.to_owned(),
            unit: (!unit.is_empty()).then_some(unit),
        })
    })
    .collect()
}

/// A site, building, floor, room, roof or shaft.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Place)]
pub struct PlaceShown {
    pub id: i64,
    /// The place that it lies in; null: in none.
    pub parent_id: Option<i64>,
    pub kind: String,
    pub name: String,
}

impl From<PlaceRow> for PlaceShown {
    fn from(row: PlaceRow) -> PlaceShown {
        PlaceShown {
            id: row.id,
            parent_id: row.parent_id,
            kind: row.kind,
            name: row.name,
        }
    }
}

/// Who reported, and how to reach them.
#[derive(Debug, Serialize, ToSchema)]
pub struct Reporter {
    /// As they gave it; null: they did not.
    pub name: Option<String>,
    pub contact: Option<String>,
}

/// A job as it stands: the summary of its entries.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Job)]
pub struct JobShown {
    /// The number that people say. It never changes.
    pub id: i64,
    /// One of reported, planned, handed_out, isolated, on_test, back_in_service, signed_off, held,
    /// test_owed, turned_down, joined.
    pub state: &'static str,
    /// Null: not known yet.
    pub machine_id: Option<i64>,
    pub place_id: Option<i64>,
    /// The due item that it was made for; null: it was reported.
    pub due_item_id: Option<i64>,
    /// The reporter's own words; null where an emergency's are still owed.
    pub words: Option<String>,
    /// Left out unless the token has the scope reporters:read.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub reporter: Option<Reporter>,
    #[schema(format = "date-time")]
    pub reported_at: String,
    /// danger, damage, service_lost or when_it_suits; null: not judged.
    pub priority: Option<&'static str>,
    /// What is to be done; null: not planned.
    pub scope: Option<String>,
    pub planned_minutes: Option<i64>,
    /// The number of the person who has it; null: nobody.
    pub assigned_to: Option<i64>,
    #[schema(format = "date")]
    pub planned_on: Option<String>,
    /// Why it waits: part, access, weather, outside_firm, circuit or other; null: it does not.
    pub held_for: Option<String>,
    /// What failed, how, by what and why, in the words of the shop's lists; null: not recorded.
    pub component: Option<String>,
    pub failure_mode: Option<String>,
    pub mechanism: Option<String>,
    pub cause: Option<String>,
    #[schema(format = "date")]
    pub test_owed_on: Option<String>,
    #[schema(format = "date-time")]
    pub back_in_service_at: Option<String>,
    #[schema(format = "date-time")]
    pub signed_off_at: Option<String>,
    /// Why it was turned down; null: it was not.
    pub turned_down_why: Option<String>,
    /// The job that it was joined to.
    pub joined_to: Option<i64>,
    pub entry_count: i64,
    #[schema(format = "date-time")]
    pub last_entry_at: String,
    /// Goes up with each entry; the header ETag says the same.
    pub version: i64,
}

impl JobShown {
    /// `reporters`: the token may see who reported.
    pub fn of(job: Job, reporters: bool) -> JobShown {
        let held = job.state == State::Held;
        JobShown {
            id: job.id.0,
            state: job.state.word(),
            machine_id: job.machine_id.map(|id| id.0),
            place_id: job.place_id,
            due_item_id: job.due_item_id,
            words: known(&job.words),
            reporter: reporters.then(|| Reporter {
                name: known(&job.reporter),
                contact: known(&job.contact),
            }),
            reported_at: instant(job.reported_at),
            priority: job.response.level.map(|level| level.word()),
            scope: known(&job.scope),
            planned_minutes: job.minutes_planned,
            assigned_to: job.assigned_to.map(|PersonId(id)| id),
            planned_on: day(job.planned_on),
            held_for: job.held_for.filter(|_| held),
            component: known(&job.component),
            failure_mode: known(&job.mode),
            mechanism: known(&job.mechanism),
            cause: known(&job.cause),
            test_owed_on: day(job.test_owed_on),
            back_in_service_at: job.back_at.map(instant),
            signed_off_at: job.signed_at.map(instant),
            turned_down_why: known(&job.turned_down_why),
            joined_to: job.joined_to.map(|id| id.0),
            entry_count: job.entry_count,
            last_entry_at: instant(job.last_entry_at),
            version: job.version,
        }
    }
}

/// One date of a preventive plan.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Due)]
pub struct DueShown {
    pub id: i64,
    pub plan_id: i64,
    pub machine_id: i64,
    pub tag: String,
    /// What is to be done.
    pub action: String,
    #[schema(format = "date")]
    pub due_on: String,
    /// Days after the date within which it still counts as done in time.
    pub window_days: i64,
    /// Time that it takes; null: not known.
    pub planned_minutes: Option<i64>,
    /// open, done, could_not, missed or waived.
    pub state: String,
    /// Open past its date and window, by the shop's calendar.
    pub overdue: bool,
    #[schema(format = "date")]
    pub done_on: Option<String>,
    /// The job that does it; null: none yet.
    pub job_id: Option<i64>,
    pub note: Option<String>,
}

impl DueShown {
    pub fn of(item: DueItem, today: Date) -> DueShown {
        DueShown {
            overdue: item.overdue(today),
            id: item.id,
            plan_id: item.plan_id,
            machine_id: item.machine_id.0,
            tag: item.tag,
            action: item.action,
            due_on: date_value(item.due_on),
            window_days: item.window_days,
            planned_minutes: item.minutes,
            state: item.state,
            done_on: day(item.done_on),
            job_id: item.job_id.map(|id| id.0),
            note: known(&item.note),
        }
    }
}

/// A meter of a machine and what it showed last.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Meter)]
pub struct MeterShown {
    pub id: i64,
    pub machine_id: i64,
    pub name: String,
    /// The unit of every figure of this meter.
    pub unit: String,
    /// It counts run hours, of which a day has 24.
    pub counts_hours: bool,
    /// The figure, in `unit`, at which it goes back to zero; null: not known.
    pub full_at: Option<f64>,
    #[schema(format = "date")]
    pub last_read_on: Option<String>,
    /// What it showed then, in `unit`; null: it was never read.
    pub last_value: Option<f64>,
}

impl From<Meter> for MeterShown {
    fn from(meter: Meter) -> MeterShown {
        MeterShown {
            id: meter.id,
            machine_id: meter.machine_id.0,
            name: meter.name,
            unit: meter.unit,
            counts_hours: meter.hours,
            full_at: meter.full_at,
            last_read_on: day(meter.last_on),
            last_value: meter.last_value,
        }
    }
}

/// One page of a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct Page<T> {
    pub items: Vec<T>,
    /// Send it as `cursor` for the next page; null: this is the last. The header Link has the whole address.
    pub next_cursor: Option<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn instants_are_utc_with_milliseconds() {
        assert_eq!(instant(1_795_608_000_000), "2026-11-25T12:00:00.000Z");
        assert_eq!(instant(1_795_608_000_120), "2026-11-25T12:00:00.120Z");
    }
}
