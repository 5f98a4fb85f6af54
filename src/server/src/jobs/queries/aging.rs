//! Jobs that are open for long.

use crate::clock::Millis;
use crate::db::Db;
use crate::jobs::JobId;
use crate::on_db;
use time::Date;

/// An open job, as far as the list of old ones needs it.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct OldJob {
    pub id: JobId,
    pub tag: String,
    pub what: String,
    pub words: String,
    pub state: String,
    pub held_for: Option<String>,
    pub held_note: String,
    pub test_owed_on: Option<Date>,
    pub planned_on: Option<Date>,
    pub cause_at: Option<Millis>,
    pub person: String,
    /// It ended with its own finish check.
    pub finished: bool,
    pub reported_at: Millis,
    /// Nothing was opened and no power put on: it can still be turned down.
    pub untouched: bool,
}

// The states by name, so that the index answers: almost every job is over.
macro_rules! old_sql {
    ($columns:literal, $rest:literal) => {
        concat!(
            "SELECT ",
            $columns,
            " FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id ",
            "LEFT JOIN places p ON p.id = j.place_id LEFT JOIN people a ON a.id = j.assigned_to ",
            "WHERE j.state IN ('reported', 'planned', 'handed_out', 'isolated', 'on_test', ",
            "'back_in_service', 'held', 'test_owed') AND j.reported_at < $1 ",
            $rest
        )
    };
}

/// Oldest first, so many at most.
pub async fn open_since_before(db: &Db, before: Millis, most: i64) -> sqlx::Result<Vec<OldJob>> {
    const SQL: &str = old_sql!(
        "j.id, COALESCE(m.tag, '') AS tag, COALESCE(m.name, p.name, '') AS what, j.words, j.state, \
         j.held_for, j.held_note, j.test_owed_on, j.planned_on, j.cause_at, \
         COALESCE(a.name, '') AS person, j.finished, j.reported_at, \
         (j.hands IS NULL AND j.dead_at IS NULL AND j.energised_at IS NULL) AS untouched",
        "ORDER BY j.reported_at, j.id LIMIT $2"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(before).bind(most).fetch_all(pool).await)
}

pub async fn count_open_before(db: &Db, before: Millis) -> sqlx::Result<i64> {
    const SQL: &str = old_sql!("COUNT(*)", "");
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(before).fetch_one(pool).await)
}
