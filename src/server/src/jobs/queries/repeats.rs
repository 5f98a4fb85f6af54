//! Failures near one, in place and time, and those that may owe a review; never the whole shop's.

use crate::clock::Millis;
use crate::db::Db;
use crate::jobs::JobId;
use crate::jobs::detail::repeats::{IN_PLACE, ON_MACHINE, Windows};
use crate::machines::MachineId;
use crate::on_db;

/// Planned work, joined and turned-down reports and follow-ups are no failures.
macro_rules! failures {
    ($columns:literal, $rest:literal) => {
        concat!(
            "SELECT ",
            $columns,
            " FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id ",
            "LEFT JOIN motors mo ON mo.id = COALESCE(m.fitted_motor_id, m.design_motor_id) ",
            "LEFT JOIN places p ON p.id = COALESCE(m.place_id, j.place_id) ",
            "LEFT JOIN places up ON up.id = p.parent_id ",
            "WHERE j.due_item_id IS NULL AND j.state NOT IN ('turned_down', 'joined') ",
            "AND NOT EXISTS (SELECT 1 FROM follow_ups f WHERE f.follow_job_id = j.id) ",
            $rest
        )
    };
    ($rest:literal) => {
        // Under the whole site everything stands together; that says nothing.
        failures!(
            "j.id, j.machine_id, p.id AS place_id, m.criticality, mo.plate, j.reported_at, j.mode, \
             CASE WHEN up.parent_id IS NOT NULL THEN up.id END AS above_id",
            $rest
        )
    };
}

#[derive(Clone, Debug, sqlx::FromRow)]
pub struct FailureRow {
    pub id: JobId,
    pub machine_id: Option<MachineId>,
    pub place_id: Option<i64>,
    pub above_id: Option<i64>,
    pub criticality: Option<String>,
    pub plate: Option<String>,
    pub reported_at: Millis,
    pub mode: String,
}

/// The job as a failure; `None` where it is none.
pub async fn failure(db: &Db, job: JobId) -> sqlx::Result<Option<FailureRow>> {
    const SQL: &str = failures!("AND j.id = $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_optional(pool).await)
}

/// Every failure in the same place, or in a place beside it under the same one, between two instants.
pub async fn failures_near(
    db: &Db,
    this: &FailureRow,
    (since, until): (Millis, Millis),
) -> sqlx::Result<Vec<FailureRow>> {
    const SQL: &str = failures!(
        "AND j.id IN (
            SELECT n.id FROM jobs n WHERE n.reported_at BETWEEN $1 AND $2 AND n.machine_id IN (
                SELECT nm.id FROM machines nm WHERE nm.place_id IN (
                    SELECT np.id FROM places np WHERE np.id = $3 OR np.parent_id = $4))
            UNION ALL
            SELECT n.id FROM jobs n WHERE n.reported_at BETWEEN $1 AND $2
                AND n.machine_id IS NULL AND n.place_id IN (
                    SELECT np.id FROM places np WHERE np.id = $3 OR np.parent_id = $4))
         ORDER BY j.id"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(since).bind(until).bind(this.place_id)
        .bind(this.above_id).fetch_all(pool).await)
}

/// Failures since that are not alone on their machine or in their place, with no review of that
/// machine or job since; newest first, so many at most.
pub async fn perhaps_owed(db: &Db, since: Millis, most: i64) -> sqlx::Result<Vec<JobId>> {
    const SQL: &str = concat!(
        "WITH recent AS MATERIALIZED (",
        failures!(
            "j.id, j.machine_id, p.id AS place_id, j.reported_at",
            "AND j.reported_at >= $1"
        ),
        ") SELECT r.id FROM recent r WHERE (
            r.machine_id IN (SELECT g.machine_id FROM recent g GROUP BY g.machine_id
                HAVING COUNT(*) >= $2)
            OR r.place_id IN (SELECT g.place_id FROM recent g GROUP BY g.place_id
                HAVING COUNT(*) >= $3))
          AND NOT EXISTS (SELECT 1 FROM cause_reviews v JOIN jobs vj ON vj.id = v.job_id
                WHERE (vj.machine_id = r.machine_id OR vj.id = r.id)
                  AND v.reviewed_at >= r.reported_at)
          ORDER BY r.reported_at DESC, r.id DESC LIMIT $4"
    );
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(since).bind(ON_MACHINE as i64)
        .bind(IN_PLACE as i64).bind(most).fetch_all(pool).await)
}

/// Reviews of causes since: the job and when.
pub async fn reviews(db: &Db, since: Millis) -> sqlx::Result<Vec<(JobId, Millis)>> {
    const SQL: &str = "SELECT job_id, reviewed_at FROM cause_reviews WHERE reviewed_at >= $1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(since).fetch_all(pool).await)
}

/// The shop's windows; the usual ones before set-up.
pub async fn windows(db: &Db) -> sqlx::Result<Windows> {
    const SQL: &str = "SELECT repeat_small_days AS small_days, repeat_large_days AS large_days
        FROM shop WHERE id = 1";
    let found: Option<Windows> =
        on_db!(db, pool => sqlx::query_as(SQL).fetch_optional(pool).await)?;
    Ok(found.unwrap_or_default())
}
