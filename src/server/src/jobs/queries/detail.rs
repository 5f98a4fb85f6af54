//! Rows of the work in detail: steps and their answers, parts, reviews, follow-ups, temporary fixes.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::detail::{Answer, Detail, JobStep, PartFound};
use crate::jobs::{Job, JobId};
use crate::machines::MachineId;
use crate::people::PersonId;
use crate::procedures::Step;
use crate::procedures::queries::StepRow;
use crate::{on_db, on_tx};
use time::Date;

#[derive(sqlx::FromRow)]
struct JobStepRow {
    position: i64,
    taken: String,
    dropped: bool,
    #[sqlx(flatten)]
    step: StepRow,
}

impl TryFrom<JobStepRow> for JobStep {
    type Error = sqlx::Error;

    fn try_from(row: JobStepRow) -> sqlx::Result<JobStep> {
        Ok(JobStep {
            position: row.position,
            taken: row.taken,
            dropped: row.dropped,
            step: Step::try_from(row.step)?,
        })
    }
}

macro_rules! step_sql {
    ($rest:literal) => {
        concat!(
            "SELECT s.position, s.taken, p.dropped_by IS NOT NULL AS dropped, s.text, s.takes, \
             s.quantity, s.unit, s.low, s.high, s.choices, s.source, s.caution, s.locked \
             FROM job_steps s JOIN job_procedures p ON p.entry_id = s.taken WHERE s.job_id = $1 ",
            $rest
        )
    };
}

/// Every step of a job in order, those of dropped procedures too.
pub async fn job_steps(db: &Db, job: JobId) -> sqlx::Result<Vec<JobStep>> {
    const SQL: &str = step_sql!("ORDER BY s.position");
    let rows: Vec<JobStepRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)?;
    rows.into_iter().map(JobStep::try_from).collect()
}

pub async fn job_step(tx: &mut Tx, job: JobId, position: i64) -> sqlx::Result<Option<JobStep>> {
    const SQL: &str = step_sql!("AND s.position = $2");
    let row: Option<JobStepRow> = on_tx!(tx, conn =>
        sqlx::query_as(SQL).bind(job).bind(position).fetch_optional(conn).await)?;
    row.map(JobStep::try_from).transpose()
}

/// A procedure that a job took.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Taken {
    pub entry_id: String,
    pub procedure_id: i64,
    pub revision: i64,
    pub name: String,
    pub dropped: bool,
}

pub async fn taken(db: &Db, job: JobId) -> sqlx::Result<Vec<Taken>> {
    const SQL: &str = "SELECT p.entry_id, p.procedure_id, p.revision, p.name,
            p.dropped_by IS NOT NULL AS dropped
        FROM job_procedures p JOIN entries e ON e.id = p.entry_id
        WHERE p.job_id = $1 ORDER BY e.number";
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}

/// Whether the job has this procedure, or took one by this entry, and it counts.
pub async fn procedure_counts(
    tx: &mut Tx,
    job: JobId,
    procedure: Option<i64>,
    entry: &str,
) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT count(*) FROM job_procedures
        WHERE job_id = $1 AND dropped_by IS NULL AND (procedure_id = $2 OR entry_id = $3)";
    let found: i64 = on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(job).bind(procedure)
        .bind(entry).fetch_one(conn).await)?;
    Ok(found > 0)
}

/// The newest reading of this point on a machine on another job: as shown, when, which job.
pub async fn last_of_step(
    tx: &mut Tx,
    machine: MachineId,
    step: &Step,
    but: JobId,
) -> sqlx::Result<Option<(String, Millis, JobId)>> {
    const SQL: &str = "SELECT r.as_shown, r.taken_at, r.job_id FROM readings r
        WHERE r.machine_id = $1 AND r.point = $2 AND r.quantity = $3 AND r.job_id <> $4
        ORDER BY r.taken_at DESC, r.entry_id DESC LIMIT 1";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(machine).bind(&step.text).bind(&step.quantity)
        .bind(but).fetch_optional(conn).await)
}

/// An answer as it was given.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct AnswerRow {
    pub position: i64,
    pub answer: String,
    pub shown: String,
    pub outside: bool,
    pub as_found: bool,
    pub why: String,
    pub person: String,
    pub answered_at: Millis,
}

impl AnswerRow {
    pub fn answer(&self) -> Option<Answer> {
        Answer::named(&self.answer)
    }
}

/// Every answer of a job, oldest first.
pub async fn answers(db: &Db, job: JobId) -> sqlx::Result<Vec<AnswerRow>> {
    const SQL: &str = "SELECT a.position, a.answer, a.shown, a.outside, a.as_found, a.why,
            p.name AS person, a.answered_at
        FROM job_step_answers a JOIN people p ON p.id = a.person_id
            JOIN entries e ON e.id = a.entry_id
        WHERE a.job_id = $1 ORDER BY e.number";
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}

/// A part as it was last found.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct PartRow {
    pub part: String,
    pub found: String,
    pub reason: String,
    pub note: String,
    pub job_id: JobId,
    pub found_at: Millis,
}

impl PartRow {
    pub fn words(&self) -> String {
        crate::jobs::detail::facts::part(&PartFound {
            part: self.part.clone(),
            found: self.found.clone(),
            reason: self.reason.clone(),
            note: self.note.clone(),
        })
    }
}

/// What was found part by part on a machine, newest first.
pub async fn parts_of_machine(db: &Db, machine: MachineId) -> sqlx::Result<Vec<PartRow>> {
    const SQL: &str = "SELECT c.part, c.found, c.reason, c.note, c.job_id, c.found_at
        FROM part_conditions c JOIN entries e ON e.id = c.entry_id
        WHERE c.machine_id = $1 ORDER BY c.found_at DESC, e.number DESC, c.position LIMIT 1000";
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}

/// A job made from another, seen from either side.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct FollowUp {
    pub job_id: JobId,
    pub follow_job_id: JobId,
    pub made_from: String,
}

/// The follow-ups of a job, and what it follows up itself.
pub async fn follow_ups(db: &Db, job: JobId) -> sqlx::Result<Vec<FollowUp>> {
    const SQL: &str = "SELECT job_id, follow_job_id, made_from FROM follow_ups
        WHERE job_id = $1 OR follow_job_id = $1 ORDER BY follow_job_id";
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}

/// A temporary fix that is still there.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Fix {
    pub entry_id: String,
    pub job_id: JobId,
    pub machine_id: Option<MachineId>,
    pub tag: String,
    pub what: String,
    pub until_on: Date,
    pub made_at: Millis,
    pub person: String,
}

impl Fix {
    pub fn overdue(&self, today: Date) -> bool {
        self.until_on < today
    }
}

macro_rules! fix_sql {
    ($rest:literal) => {
        concat!(
            "SELECT f.entry_id, f.job_id, f.machine_id, COALESCE(m.tag, '') AS tag, \
             f.what, f.until_on, f.made_at, COALESCE(p.name, '') AS person \
             FROM temporary_fixes f JOIN entries e ON e.id = f.entry_id \
             LEFT JOIN machines m ON m.id = f.machine_id \
             LEFT JOIN people p ON p.id = e.person_id ",
            $rest
        )
    };
}

/// Every temporary fix that stands, the one to end first at the top.
pub async fn open_fixes(db: &Db) -> sqlx::Result<Vec<Fix>> {
    const SQL: &str = fix_sql!("WHERE f.ended_by IS NULL ORDER BY f.until_on, f.entry_id");
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// Those on one machine.
pub async fn fixes_on(db: &Db, machine: MachineId) -> sqlx::Result<Vec<Fix>> {
    const SQL: &str = fix_sql!(
        "WHERE f.machine_id = $1 AND f.ended_by IS NULL ORDER BY f.until_on, f.entry_id LIMIT 100"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}

pub async fn fix_stands(tx: &mut Tx, entry: &str, job: JobId) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT count(*) FROM temporary_fixes
        WHERE entry_id = $1 AND job_id = $2 AND ended_by IS NULL";
    let found: i64 = on_tx!(tx, conn =>
        sqlx::query_scalar(SQL).bind(entry).bind(job).fetch_one(conn).await)?;
    Ok(found > 0)
}

/// The rows made from an entry.
pub async fn insert_detail(
    tx: &mut Tx,
    job: &Job,
    entry: &str,
    detail: &Detail,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<()> {
    match detail {
        Detail::ProcedureTaken {
            procedure_id,
            revision,
            name,
            steps,
        } => {
            const SQL: &str = "INSERT INTO job_procedures
                (entry_id, job_id, procedure_id, revision, name) VALUES ($1, $2, $3, $4, $5)";
            on_tx!(tx, conn => sqlx::query(SQL).bind(entry).bind(job.id).bind(procedure_id)
                .bind(revision).bind(name).execute(conn).await.map(|_| ()))?;
            insert_steps(tx, job.id, entry, steps).await
        }
        Detail::ProcedureDropped { taken, .. } => {
            const SQL: &str = "UPDATE job_procedures SET dropped_by = $2 WHERE entry_id = $1";
            on_tx!(tx, conn => sqlx::query(SQL).bind(taken).bind(entry).execute(conn).await
                .map(|_| ()))
        }
        Detail::StepDone { .. } => insert_answer(tx, job.id, entry, detail, by, at).await,
        Detail::PartsInspected {
            machine_id, parts, ..
        } => {
            const SQL: &str = "INSERT INTO part_conditions (entry_id, position, job_id, machine_id,
                    part, found, reason, note, found_at)
                VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
            for (position, part) in (0_i64..).zip(parts) {
                on_tx!(tx, conn => sqlx::query(SQL).bind(entry).bind(position).bind(job.id)
                    .bind(machine_id).bind(&part.part).bind(&part.found).bind(&part.reason)
                    .bind(&part.note).bind(at).execute(conn).await.map(|_| ()))?;
            }
            Ok(())
        }
        Detail::CauseReviewed { finding, action } => {
            const SQL: &str = "INSERT INTO cause_reviews
                (entry_id, job_id, finding, action, reviewed_at) VALUES ($1, $2, $3, $4, $5)";
            on_tx!(tx, conn => sqlx::query(SQL).bind(entry).bind(job.id).bind(finding).bind(action)
                .bind(at).execute(conn).await.map(|_| ()))
        }
        Detail::FollowUpMade { job: made, from } => {
            const SQL: &str = "INSERT INTO follow_ups (entry_id, job_id, follow_job_id, made_from)
                VALUES ($1, $2, $3, $4)";
            on_tx!(tx, conn => sqlx::query(SQL).bind(entry).bind(job.id).bind(made).bind(from)
                .execute(conn).await.map(|_| ()))
        }
        Detail::Temporary { what, until } => {
            const SQL: &str = "INSERT INTO temporary_fixes
                (entry_id, job_id, machine_id, what, until_on, made_at)
                VALUES ($1, $2, $3, $4, $5, $6)";
            on_tx!(tx, conn => sqlx::query(SQL).bind(entry).bind(job.id).bind(job.machine_id)
                .bind(what).bind(until).bind(at).execute(conn).await.map(|_| ()))
        }
        // The mark stands in the entry alone.
        Detail::FromPaper { .. } => Ok(()),
        Detail::TemporaryEnded { of, how } => {
            const SQL: &str = "UPDATE temporary_fixes SET ended_by = $2, ended_how = $3
                WHERE entry_id = $1";
            on_tx!(tx, conn => sqlx::query(SQL).bind(of).bind(entry).bind(how).execute(conn).await
                .map(|_| ()))
        }
    }
}

async fn insert_steps(tx: &mut Tx, job: JobId, entry: &str, steps: &[Step]) -> sqlx::Result<()> {
    const LAST: &str = "SELECT COALESCE(MAX(position), 0) FROM job_steps WHERE job_id = $1";
    const STEP: &str =
        "INSERT INTO job_steps (job_id, position, taken, text, takes, quantity, unit,
            low, high, choices, source, caution, locked)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)";
    let last: i64 = on_tx!(tx, conn => sqlx::query_scalar(LAST).bind(job).fetch_one(conn).await)?;
    for (position, step) in (last + 1..).zip(steps) {
        on_tx!(tx, conn => sqlx::query(STEP).bind(job).bind(position).bind(entry).bind(&step.text)
            .bind(step.takes.word()).bind(&step.quantity).bind(&step.unit).bind(step.low)
            .bind(step.high).bind(step.choices.join("\n")).bind(&step.source).bind(&step.caution)
            .bind(step.locked).execute(conn).await.map(|_| ()))?;
    }
    Ok(())
}

async fn insert_answer(
    tx: &mut Tx,
    job: JobId,
    entry: &str,
    detail: &Detail,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO job_step_answers (entry_id, job_id, position, answer, shown,
            outside, as_found, why, person_id, answered_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)";
    let Detail::StepDone {
        position,
        answer,
        reading,
        choice,
        outside,
        as_found,
        why,
        ..
    } = detail
    else {
        return Ok(());
    };
    let shown = reading.as_ref().map_or(choice, |reading| &reading.as_shown);
    on_tx!(tx, conn => sqlx::query(SQL).bind(entry).bind(job).bind(position).bind(answer.word())
        .bind(shown).bind(outside).bind(as_found).bind(why).bind(by).bind(at)
        .execute(conn).await.map(|_| ()))
}
