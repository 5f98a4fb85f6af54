//! What the Desk shows, read afresh each time.

use super::{backlog, hours, takes_hours};
use crate::clock::{DAY, date_words};
use crate::crew::{Asks, Crew, Room};
use crate::error::AppError;
use crate::jobs::body::HoldReason;
use crate::jobs::detail::beside::FixShown;
use crate::jobs::detail::{review, temporary};
use crate::jobs::response_words::{self, ResponseShown};
use crate::jobs::{Job, State, gate, queries};
use crate::machines::{self, Machine};
use crate::people::Person;
use crate::preventive::{self, Needs};
use crate::rounds;
use crate::state::AppState;
use time::{Date, Duration};

/// Due items listed; the rest stand under Preventive.
const DUE: i64 = 40;
/// Days ahead that due items are listed for.
const AHEAD: i64 = 7;

/// One job in a list of the Desk.
pub struct Row {
    pub id: i64,
    pub version: i64,
    pub tag: String,
    pub what: String,
    pub words: String,
    pub state: &'static str,
    pub who: String,
    pub day: String,
    pub late: bool,
    pub age: String,
    pub note: String,
    pub response: ResponseShown,
    /// It can be handed out or moved.
    pub movable: bool,
    /// Locks or keys are in play: a change of person is a handover.
    pub hand_over: bool,
    pub hours: String,
}

/// One due item that has no job yet.
pub struct DueRow {
    pub id: i64,
    pub plan_id: i64,
    pub tag: String,
    pub machine: String,
    pub action: String,
    pub due: String,
    pub late: bool,
    pub hours: String,
    pub asks: String,
}

/// One person's hours on the days ahead.
pub struct Load {
    pub id: i64,
    pub person: String,
    pub days: Vec<Day>,
    pub unknown: usize,
}

pub struct Day {
    pub words: String,
    pub over: bool,
    pub away: bool,
}

pub struct Board {
    pub new: Vec<Row>,
    pub to_hand_out: Vec<Row>,
    pub under_way: Vec<Row>,
    pub waiting: Vec<Row>,
    pub to_sign: Vec<Row>,
    pub due: Vec<DueRow>,
    pub more_due: bool,
    pub days: Vec<String>,
    pub loads: Vec<Load>,
    pub locks: Vec<gate::Lock>,
    pub overdue: i64,
    pub reviews: Vec<review::Owed>,
    pub fixes: Vec<FixShown>,
    pub backlog: String,
}

pub fn age(at: i64, now: i64) -> String {
    match (now - at) / DAY {
        0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        days => format!("{days} days ago"),
    }
}

fn note(job: &Job) -> String {
    match job.state {
        State::Held => {
            let why = HoldReason::words_of(job.held_for.as_deref().unwrap_or("other"));
            if job.held_note.is_empty() {
                why.to_owned()
            } else {
                format!("{why}: {}", job.held_note)
            }
        }
        State::TestOwed => job
            .test_owed_on
            .map_or_else(String::new, |d| format!("test owed by {}", date_words(d))),
        State::OnTest if job.must_isolate_again() => "the proof was failed".to_owned(),
        _ => String::new(),
    }
}

/// Everything beside the jobs that a row of one is made from.
struct Around {
    machines: Vec<Machine>,
    places: Vec<machines::queries::Place>,
    crew: Crew,
    targets: queries::Targets,
    today: Date,
    now: i64,
    zone: crate::clock::Zone,
}

impl Around {
    fn row(&self, job: &Job) -> Row {
        let machine = job
            .machine_id
            .and_then(|id| self.machines.iter().find(|m| m.id == id));
        let place = machine.map(|m| m.place_id).or(job.place_id);
        let place = place.and_then(|id| self.places.iter().find(|p| p.id == id));
        let who = job.assigned_to.and_then(|id| self.crew.find(id));
        Row {
            id: job.id.0,
            version: job.version,
            tag: machine.map_or_else(String::new, |m| m.tag.clone()),
            what: match (machine, place) {
                (Some(machine), _) => machine.name.clone(),
                (None, Some(place)) => place.path.clone(),
                (None, None) => String::new(),
            },
            words: job.words.clone(),
            state: job.state.words(),
            who: who.map_or_else(String::new, |p| p.name.clone()),
            day: job.planned_on.map_or_else(String::new, date_words),
            late: job.planned_on.is_some_and(|day| day < self.today)
                && !matches!(job.state, State::BackInService),
            age: age(job.reported_at, self.now),
            note: note(job),
            response: response_words::shown(job, &self.targets, &self.zone, self.now),
            movable: matches!(
                job.state,
                State::Planned
                    | State::HandedOut
                    | State::Isolated
                    | State::OnTest
                    | State::TestOwed
            ),
            hand_over: job.state == State::Isolated,
            hours: job
                .minutes_planned
                .map_or_else(String::new, |m| format!("{} h", hours(m))),
        }
    }

    fn load(&self, person: &Person, jobs: &[Job], days: &[Date]) -> Load {
        let own = |day: &Date| {
            let day = *day;
            jobs.iter().filter(move |j| {
                j.assigned_to == Some(person.id) && j.planned_on == Some(day) && takes_hours(j)
            })
        };
        Load {
            id: person.id.0,
            person: person.name.clone(),
            days: days
                .iter()
                .map(|day| {
                    let minutes: i64 = own(day).filter_map(|j| j.minutes_planned).sum();
                    day_words(minutes, &self.crew.room(person, *day))
                })
                .collect(),
            // Work whose hours nobody gave is counted apart, never as zero.
            unknown: days
                .iter()
                .flat_map(own)
                .filter(|j| j.minutes_planned.is_none())
                .count(),
        }
    }
}

/// What is planned of a day's hours, in words.
pub fn day_words(minutes: i64, room: &Room) -> Day {
    let planned = hours(minutes);
    let words = match room {
        Room::Minutes(all) => format!("{planned} of {} h", *all as f64 / 60.0),
        Room::Away(why) if why.is_empty() => "away".to_owned(),
        Room::Away(why) => format!("away: {why}"),
        Room::Closed => "closed".to_owned(),
        Room::NotKnown => format!("{planned} h, of hours not known"),
    };
    let given = minutes > 0 && !matches!(room, Room::Minutes(_) | Room::NotKnown);
    Day {
        words: match given {
            true => format!("{words}, {planned} h planned"),
            false => words,
        },
        over: room.minutes().is_some_and(|all| minutes > all),
        away: matches!(room, Room::Away(_)),
    }
}

/// What the work asks for in words; empty where nothing special.
pub fn asks_words(asks: &Asks) -> String {
    let mut words = asks.skills.clone();
    if asks.authorised {
        words.push("energy control".to_owned());
    }
    words.join(", ")
}

async fn due(app: &AppState, today: Date) -> Result<(Vec<DueRow>, bool), AppError> {
    let until = today + Duration::days(AHEAD);
    let items = rounds::queries::due_within(&app.db, 0, until, DUE + 1).await?;
    let more = items.len() as i64 > DUE;
    let locking = preventive::queries::locking_procedures(&app.db).await?;
    let mut rows = Vec::new();
    for item in items.into_iter().take(DUE as usize) {
        let needs = Needs::read(&item.needs)?;
        let asks = Asks::of(&needs, &item.steps, &locking);
        let late = (today - item.due_on).whole_days() > item.window_days;
        rows.push(DueRow {
            due: item.due_words(today),
            late,
            hours: item
                .minutes
                .map_or_else(String::new, |m| format!("{} h", hours(m))),
            asks: asks_words(&asks),
            id: item.id,
            plan_id: item.plan_id,
            tag: item.tag,
            machine: item.machine,
            action: item.action,
        });
    }
    Ok((rows, more))
}

impl Board {
    /// # Errors
    /// The database's own.
    pub async fn load(app: &AppState) -> Result<Board, AppError> {
        let jobs = queries::open(&app.db).await?;
        let today = app.today();
        let around = Around {
            machines: machines::queries::with_open_jobs(&app.db).await?,
            places: machines::queries::places(&app.db).await?,
            crew: Crew::load(&app.db, today).await?,
            targets: queries::targets(&app.db).await?,
            today,
            now: app.clock.now(),
            zone: app.zone(),
        };
        let rows = |wanted: &[State]| {
            let wanted = jobs.iter().filter(|job| wanted.contains(&job.state));
            let mut rows: Vec<Row> = wanted.map(|job| around.row(job)).collect();
            // What is due soonest first; the rest in the order in which it came.
            rows.sort_by_key(|row| row.response.sort);
            rows
        };
        let days: Vec<Date> = (0..5).map(|n| today + Duration::days(n)).collect();
        let people = around.crew.people.iter();
        let loads = people.map(|person| around.load(person, &jobs, &days));
        let (due, more_due) = due(app, today).await?;
        Ok(Board {
            new: rows(&[State::Reported]),
            to_hand_out: rows(&[State::Planned]),
            under_way: rows(&[State::HandedOut, State::Isolated, State::OnTest]),
            waiting: rows(&[State::Held, State::TestOwed]),
            to_sign: rows(&[State::BackInService]),
            due,
            more_due,
            loads: loads.collect(),
            days: days.into_iter().map(date_words).collect(),
            locks: queries::all_locks(&app.db).await?,
            overdue: queries::overdue_due_items(&app.db, today).await?,
            reviews: review::owed(app).await?,
            fixes: temporary::open(app).await?,
            backlog: backlog::line(&jobs, &around.crew, today),
        })
    }

    /// Everybody to hand out to: number, name, and what is planned of today's hours.
    pub fn people(&self) -> Vec<(String, String)> {
        let words = |load: &Load| {
            let today = load.days.first().map_or("", |day| day.words.as_str());
            (
                load.id.to_string(),
                format!("{} ({today} today)", load.person),
            )
        };
        self.loads.iter().map(words).collect()
    }
}
