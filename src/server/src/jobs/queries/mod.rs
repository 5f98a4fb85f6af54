//! Jobs in the database; their entries and locks beside.

#[macro_use]
mod job_sql;
mod aging;
mod control;
mod detail;
mod entries;
mod locks;
mod machine_jobs;
mod neighbours;
mod pages;
mod permits;
mod repeats;
mod reports;
mod response;
mod spells;
mod ways;

pub use aging::*;
pub use control::*;
pub use detail::*;
pub use entries::*;
pub use locks::*;
pub use machine_jobs::*;
pub use neighbours::*;
pub use pages::*;
pub use permits::*;
pub use repeats::*;
pub use reports::*;
pub use response::*;
pub use spells::*;
pub use ways::*;

use super::priority::Level;
use super::ways::{Exception, Touches};
use super::{Job, JobId, State};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::machines::MachineId;
use crate::motors::MotorId;
use crate::people::PersonId;
use crate::{on_db, on_tx};
use time::Date;

#[derive(sqlx::FromRow)]
struct JobRow {
    id: JobId,
    place_id: Option<i64>,
    machine_id: Option<MachineId>,
    due_item_id: Option<i64>,
    state: String,
    held_from: Option<String>,
    held_for: Option<String>,
    held_note: String,
    words: String,
    reporter: String,
    contact: String,
    reported_at: i64,
    scope: String,
    minutes_planned: Option<i64>,
    steps: String,
    assigned_to: Option<PersonId>,
    planned_on: Option<Date>,
    confirmed_at: Option<i64>,
    as_found_at: Option<i64>,
    told_at: Option<i64>,
    dead_at: Option<i64>,
    lifting: bool,
    energised_at: Option<i64>,
    chosen_motor_id: Option<MotorId>,
    fit_verdict: Option<String>,
    circuit_motor_id: Option<MotorId>,
    circuit_verdict: Option<String>,
    circuit_decided_at: Option<i64>,
    fitted_motor_id: Option<MotorId>,
    proof_verdict: Option<String>,
    proof_at: Option<i64>,
    test_owed_on: Option<Date>,
    component: String,
    mode: String,
    mechanism: String,
    cause: String,
    cause_at: Option<i64>,
    back_at: Option<i64>,
    signed_by: Option<PersonId>,
    signed_at: Option<i64>,
    turned_down_why: String,
    joined_to: Option<JobId>,
    #[sqlx(flatten)]
    response: ResponseRow,
    entry_count: i64,
    last_entry_at: i64,
    version: i64,
    handover_from: Option<PersonId>,
    handover_to: Option<PersonId>,
    permits_needed: String,
    interlocks_restored: String,
    #[sqlx(flatten)]
    way: WayRow,
}

impl TryFrom<JobRow> for Job {
    type Error = sqlx::Error;

    fn try_from(row: JobRow) -> sqlx::Result<Job> {
        let state = |word: &str| {
            State::named(word).ok_or_else(|| sqlx::Error::Decode(format!("state {word:?}").into()))
        };
        Ok(Job {
            id: row.id,
            place_id: row.place_id,
            machine_id: row.machine_id,
            due_item_id: row.due_item_id,
            state: state(&row.state)?,
            held_from: row.held_from.as_deref().map(state).transpose()?,
            held_for: row.held_for,
            held_note: row.held_note,
            words: row.words,
            reporter: row.reporter,
            contact: row.contact,
            reported_at: row.reported_at,
            scope: row.scope,
            minutes_planned: row.minutes_planned,
            steps: row.steps,
            assigned_to: row.assigned_to,
            planned_on: row.planned_on,
            confirmed_at: row.confirmed_at,
            as_found_at: row.as_found_at,
            told_at: row.told_at,
            dead_at: row.dead_at,
            lifting: row.lifting,
            energised_at: row.energised_at,
            chosen_motor_id: row.chosen_motor_id,
            fit_verdict: row.fit_verdict,
            circuit_motor_id: row.circuit_motor_id,
            circuit_verdict: row.circuit_verdict,
            circuit_decided_at: row.circuit_decided_at,
            fitted_motor_id: row.fitted_motor_id,
            proof_verdict: row.proof_verdict,
            proof_at: row.proof_at,
            test_owed_on: row.test_owed_on,
            component: row.component,
            mode: row.mode,
            mechanism: row.mechanism,
            cause: row.cause,
            cause_at: row.cause_at,
            back_at: row.back_at,
            signed_by: row.signed_by,
            signed_at: row.signed_at,
            turned_down_why: row.turned_down_why,
            joined_to: row.joined_to,
            response: row.response.try_into()?,
            entry_count: row.entry_count,
            last_entry_at: row.last_entry_at,
            version: row.version,
            handover_from: row.handover_from,
            handover_to: row.handover_to,
            permits_needed: row.permits_needed,
            interlocks_restored: row.interlocks_restored,
            way: row.way.try_into()?,
        })
    }
}

fn jobs(rows: Vec<JobRow>) -> sqlx::Result<Vec<Job>> {
    rows.into_iter().map(Job::try_from).collect()
}

pub async fn find(db: &Db, id: JobId) -> sqlx::Result<Option<Job>> {
    const SQL: &str = job_sql!("WHERE id = $1");
    let row: Option<JobRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)?;
    row.map(Job::try_from).transpose()
}

/// Every job that is not over, oldest first.
pub async fn open(db: &Db) -> sqlx::Result<Vec<Job>> {
    // The states by name, so that the index answers: almost every job is over.
    const SQL: &str = job_sql!(
        "WHERE state IN ('reported', 'planned', 'handed_out', 'isolated', 'on_test',
            'back_in_service', 'held', 'test_owed') ORDER BY id"
    );
    jobs(on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?)
}

/// The open jobs handed to one person, by day.
pub async fn of_person(db: &Db, person: PersonId) -> sqlx::Result<Vec<Job>> {
    const SQL: &str = job_sql!(
        "WHERE assigned_to = $1 AND state IN ('reported', 'planned', 'handed_out', 'isolated',
            'on_test', 'back_in_service', 'held', 'test_owed')
         ORDER BY planned_on, id"
    );
    jobs(on_db!(db, pool => sqlx::query_as(SQL).bind(person).fetch_all(pool).await)?)
}

/// All jobs, newest first.
pub async fn all(db: &Db, limit: i64) -> sqlx::Result<Vec<Job>> {
    const SQL: &str = job_sql!("ORDER BY id DESC LIMIT $1");
    jobs(on_db!(db, pool => sqlx::query_as(SQL).bind(limit).fetch_all(pool).await)?)
}

/// Locks the job's row and reads it: the start of every write on a job.
pub async fn lock_and_find(tx: &mut Tx, id: JobId) -> sqlx::Result<Option<Job>> {
    const LOCK: &str = "UPDATE jobs SET version = version WHERE id = $1 RETURNING id";
    const SQL: &str = job_sql!("WHERE id = $1");
    let locked: Option<JobId> = on_tx!(tx, conn =>
        sqlx::query_scalar(LOCK).bind(id).fetch_optional(conn).await)?;
    if locked.is_none() {
        return Ok(None);
    }
    let row: Option<JobRow> =
        on_tx!(tx, conn => sqlx::query_as(SQL).bind(id).fetch_optional(conn).await)?;
    row.map(Job::try_from).transpose()
}

pub async fn tag(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Option<String>> {
    const SQL: &str = "SELECT tag FROM machines WHERE id = $1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(machine).fetch_optional(conn).await)
}

/// Starts a job row and answers with its number.
pub async fn insert(tx: &mut Tx, job: &Job) -> sqlx::Result<JobId> {
    const SQL: &str = "INSERT INTO jobs (place_id, machine_id, due_item_id, state, words, reporter,
            contact, reported_at, entry_count, last_entry_at, version, level, level_why, clock_from)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(job.place_id)
        .bind(job.machine_id)
        .bind(job.due_item_id)
        .bind(job.state.word())
        .bind(&job.words)
        .bind(&job.reporter)
        .bind(&job.contact)
        .bind(job.reported_at)
        .bind(job.entry_count)
        .bind(job.last_entry_at)
        .bind(job.version)
        .bind(job.response.level.map(Level::word))
        .bind(&job.response.level_why)
        .bind(job.response.clock_from)
        .fetch_one(conn)
        .await)
}

/// Writes everything of the summary that entries can change.
pub async fn update(tx: &mut Tx, job: &Job) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE jobs SET machine_id = $2, state = $3, held_from = $4, held_for = $5,
            held_note = $6, scope = $7, minutes_planned = $8, steps = $9, assigned_to = $10,
            planned_on = $11, confirmed_at = $12, as_found_at = $13, told_at = $14, dead_at = $15,
            lifting = $16, energised_at = $17, chosen_motor_id = $18, fit_verdict = $19,
            circuit_motor_id = $20, circuit_verdict = $21, circuit_decided_at = $22,
            fitted_motor_id = $23, proof_verdict = $24, proof_at = $25, test_owed_on = $26,
            component = $27, mode = $28, mechanism = $29, cause = $30, cause_at = $31,
            back_at = $32, signed_by = $33, signed_at = $34, turned_down_why = $35,
            joined_to = $36, entry_count = $37, last_entry_at = $38, version = $39,
            level = $40, level_why = $41, clock_from = $42, attended_at = $43, held_at = $44,
            paused_ms = $45, emergency = $46, words = $47, reporter = $48,
            handover_from = $49, handover_to = $50, permits_needed = $51,
            interlocks_restored = $52, place_id = $53, touches = $54, hands = $55,
            exception = $56, exception_by = $57, short_proof = $58, finished = $59,
            accepted_by = $60, saw_working = $61, outside_firm = $62, outside_exchanged = $63
        WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(job.id)
        .bind(job.machine_id)
        .bind(job.state.word())
        .bind(job.held_from.map(State::word))
        .bind(&job.held_for)
        .bind(&job.held_note)
        .bind(&job.scope)
        .bind(job.minutes_planned)
        .bind(&job.steps)
        .bind(job.assigned_to)
        .bind(job.planned_on)
        .bind(job.confirmed_at)
        .bind(job.as_found_at)
        .bind(job.told_at)
        .bind(job.dead_at)
        .bind(job.lifting)
        .bind(job.energised_at)
        .bind(job.chosen_motor_id)
        .bind(&job.fit_verdict)
        .bind(job.circuit_motor_id)
        .bind(&job.circuit_verdict)
        .bind(job.circuit_decided_at)
        .bind(job.fitted_motor_id)
        .bind(&job.proof_verdict)
        .bind(job.proof_at)
        .bind(job.test_owed_on)
        .bind(&job.component)
        .bind(&job.mode)
        .bind(&job.mechanism)
        .bind(&job.cause)
        .bind(job.cause_at)
        .bind(job.back_at)
        .bind(job.signed_by)
        .bind(job.signed_at)
        .bind(&job.turned_down_why)
        .bind(job.joined_to)
        .bind(job.entry_count)
        .bind(job.last_entry_at)
        .bind(job.version)
        .bind(job.response.level.map(Level::word))
        .bind(&job.response.level_why)
        .bind(job.response.clock_from)
        .bind(job.response.attended_at)
        .bind(job.response.held_at)
        .bind(job.response.paused_ms)
        .bind(job.response.emergency)
        .bind(&job.words)
        .bind(&job.reporter)
        .bind(job.handover_from)
        .bind(job.handover_to)
        .bind(&job.permits_needed)
        .bind(&job.interlocks_restored)
        .bind(job.place_id)
        .bind(job.way.touches.map(Touches::word))
        .bind(job.way.hands.map(Touches::word))
        .bind(job.way.exception.map(Exception::word))
        .bind(job.way.exception_by)
        .bind(job.way.short_proof)
        .bind(job.way.finished)
        .bind(&job.way.accepted_by)
        .bind(&job.way.saw_working)
        .bind(&job.way.outside_firm)
        .bind(job.way.outside_exchanged)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// The motor that is on the machine from now on.
pub async fn fit_motor(tx: &mut Tx, machine: MachineId, motor_id: MotorId) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE machines SET fitted_motor_id = $2, version = version + 1
        WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(machine).bind(motor_id).execute(conn).await
        .map(|_| ()))
}

/// A due item is done with its job.
pub async fn close_due_item(
    tx: &mut Tx,
    due_item: i64,
    on: Date,
    by: Option<PersonId>,
) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE due_items SET state = 'done', done_on = $2, person_id = $3,
            version = version + 1
        WHERE id = $1 AND state = 'open'";
    on_tx!(tx, conn => sqlx::query(SQL).bind(due_item).bind(on).bind(by).execute(conn).await
        .map(|_| ()))
}

/// Its job came to nothing: the due item waits for another one.
pub async fn free_due_item(tx: &mut Tx, due_item: i64) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE due_items SET job_id = NULL, version = version + 1
        WHERE id = $1 AND state = 'open'";
    on_tx!(tx, conn => sqlx::query(SQL).bind(due_item).execute(conn).await.map(|_| ()))
}

/// Another open job of this machine whose proof was failed and which is not isolated again.
pub async fn failed_elsewhere(
    tx: &mut Tx,
    machine: MachineId,
    but: JobId,
) -> sqlx::Result<Option<JobId>> {
    const SQL: &str = "SELECT id FROM jobs
        WHERE machine_id = $1 AND id <> $2 AND proof_verdict = 'beyond' AND state = 'on_test'
        ORDER BY id LIMIT 1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(machine)
        .bind(but)
        .fetch_optional(conn)
        .await)
}

/// Open due items whose day has passed.
pub async fn overdue_due_items(db: &Db, today: Date) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT count(*) FROM due_items WHERE state = 'open' AND due_on < $1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(today).fetch_one(pool).await)
}

/// The last readings taken on a machine, newest first: point, quantity, as shown, when.
pub async fn last_readings(
    db: &Db,
    machine: MachineId,
    limit: i64,
) -> sqlx::Result<Vec<(String, String, String, Millis)>> {
    const SQL: &str = "SELECT r.point, r.quantity, r.as_shown, r.taken_at
        FROM readings r JOIN entries e ON e.id = r.entry_id
        WHERE r.machine_id = $1 AND e.kind IN ('proof', 'as_found')
        ORDER BY r.taken_at DESC, r.position LIMIT $2";
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).bind(limit).fetch_all(pool).await)
}
