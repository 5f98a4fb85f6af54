//! The rows behind the ledger's list and figures: narrowed down, counted and cut by the database.

use super::figures::Group;
use crate::clock::Millis;
use crate::db::Db;
use crate::jobs::JobId;
use crate::machines::MachineId;
use crate::on_db;
use time::Date;

/// One job as the ledger lists it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Row {
    pub id: JobId,
    pub state: String,
    pub machine_id: Option<MachineId>,
    pub tag: Option<String>,
    pub machine: Option<String>,
    /// The machine's place, else the one the reporter named.
    pub place_id: Option<i64>,
    pub due_item_id: Option<i64>,
    pub words: String,
    pub reported_at: i64,
    pub signed_at: Option<i64>,
    pub component: String,
    pub cause: String,
}

/// What the jobs are narrowed down to.
#[derive(Clone, Debug, PartialEq)]
pub struct Narrow {
    /// Zero for all, -1 for a tag that no machine has.
    pub machine: i64,
    /// A place and everything in it; zero for all.
    pub place: i64,
    /// A state's word, `open` for every job that is not over, empty for all.
    pub state: String,
    /// Reported in this span, its end left out.
    pub from: Millis,
    pub until: Millis,
    /// The page goes on behind the job reported then, with this number.
    pub before: (Millis, i64),
}

impl Default for Narrow {
    fn default() -> Self {
        Narrow {
            machine: 0,
            place: 0,
            state: String::new(),
            from: i64::MIN,
            until: i64::MAX,
            before: (i64::MAX, i64::MAX),
        }
    }
}

macro_rules! open_states {
    () => {
        "('reported', 'planned', 'handed_out', 'isolated', 'on_test', 'back_in_service', 'held', \
         'test_owed')"
    };
}

/// The place `$6` and everything in it.
macro_rules! inside {
    () => {
        "(WITH RECURSIVE down (id) AS (SELECT id FROM places WHERE id = $6 UNION \
         SELECT p.id FROM places p JOIN down ON p.parent_id = down.id) SELECT id FROM down)"
    };
}

/// The condition of every list: `$1` and `$2` where the page goes on, `$3` machine, `$4` and `$5` the
/// span, `$6` place, `$7` state. What a list is found by stands before it, so that an index answers.
macro_rules! narrowed {
    ($found_by:expr) => {
        concat!(
            " FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id WHERE ",
            $found_by,
            "(j.reported_at < $1 OR j.id < $2) AND ($3 = 0 OR j.machine_id = $3) AND j.reported_at >= $4 AND j.reported_at < $5 \
             AND ($6 = 0 OR coalesce(m.place_id, j.place_id) IN ",
            inside!(),
            ") AND ($7 = '' OR j.state = $7)"
        )
    };
}

macro_rules! row_sql {
    ($found_by:expr) => {
        concat!(
            "SELECT j.id, j.state, j.machine_id, m.tag, m.name AS machine, \
             coalesce(m.place_id, j.place_id) AS place_id, j.due_item_id, j.words, \
             j.reported_at, j.signed_at, j.component, j.cause",
            narrowed!($found_by),
            " ORDER BY j.reported_at DESC, j.id DESC LIMIT $8"
        )
    };
}

macro_rules! of_place {
    () => {
        concat!(
            "j.id IN (SELECT o.id FROM jobs o WHERE o.machine_id IN \
             (SELECT i.id FROM machines i WHERE i.place_id IN ",
            inside!(),
            ") UNION ALL SELECT o.id FROM jobs o WHERE o.machine_id IS NULL AND o.place_id IN ",
            inside!(),
            ") AND "
        )
    };
}

/// Machines of a place up to which its jobs are collected and sorted; the jobs of a larger one are
/// met soon enough among all.
const SMALL_PLACE: i64 = 500;

/// A page of jobs, newest report first.
pub async fn rows(db: &Db, narrow: &Narrow, limit: i64) -> sqlx::Result<Vec<Row>> {
    const ALL: &str = row_sql!("");
    const MACHINE: &str = row_sql!("j.machine_id = $3 AND ");
    const STATE: &str = row_sql!("j.state = $7 AND ");
    const OPEN: &str = row_sql!(concat!("j.state IN ", open_states!(), " AND "));
    const PLACE: &str = row_sql!(of_place!());
    let sql = match narrow.state.as_str() {
        "open" => OPEN,
        _ if narrow.machine != 0 => MACHINE,
        _ if narrow.place != 0 && machines_within(db, narrow.place).await? <= SMALL_PLACE => PLACE,
        "" => ALL,
        _ => STATE,
    };
    let state = match narrow.state.as_str() {
        "open" => "",
        word => word,
    };
    // One upper bound: an index is entered by no more.
    let until = narrow.until.min(narrow.before.0.saturating_add(1));
    on_db!(db, pool => sqlx::query_as(sql).bind(narrow.before.0).bind(narrow.before.1)
        .bind(narrow.machine).bind(narrow.from).bind(until).bind(narrow.place).bind(state)
        .bind(limit).fetch_all(pool).await)
}

/// The machines of a place and of everything in it, counted no further than matters.
async fn machines_within(db: &Db, place: i64) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT count(*) FROM (SELECT id FROM machines WHERE place_id IN
        (WITH RECURSIVE down (id) AS (SELECT id FROM places WHERE id = $1 UNION
            SELECT p.id FROM places p JOIN down ON p.parent_id = down.id) SELECT id FROM down)
        LIMIT 1000) AS few";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(place).fetch_one(pool).await)
}

/// One job.
pub async fn row(db: &Db, id: JobId) -> sqlx::Result<Option<Row>> {
    const SQL: &str = "SELECT j.id, j.state, j.machine_id, m.tag, m.name AS machine,
            coalesce(m.place_id, j.place_id) AS place_id, j.due_item_id, j.words, j.reported_at,
            j.signed_at, j.component, j.cause
        FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id WHERE j.id = $1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

/// Jobs that are not over, by state.
pub async fn open_counts(db: &Db, narrow: &Narrow) -> sqlx::Result<Vec<(String, i64)>> {
    const SQL: &str = concat!(
        "SELECT j.state, count(*)",
        narrowed!(concat!("j.state IN ", open_states!(), " AND ")),
        " GROUP BY j.state"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(i64::MAX).bind(i64::MAX).bind(narrow.machine)
        .bind(narrow.from).bind(narrow.until).bind(narrow.place).bind("").fetch_all(pool).await)
}

/// A corrective job and the one before it on its machine, not long before.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Pair {
    pub earlier: JobId,
    pub later: JobId,
    pub tag: String,
    pub earlier_at: Millis,
    pub later_at: Millis,
}

/// Jobs that followed another corrective job on their machine in less than `within`, newest first.
/// The earlier one may lie before the span.
pub async fn pairs(
    db: &Db,
    narrow: &Narrow,
    within: Millis,
    limit: i64,
) -> sqlx::Result<Vec<Pair>> {
    macro_rules! pair_sql {
        ($found_by:expr) => {
            concat!(
                "SELECT e.id AS earlier, x.id AS later, x.tag, e.reported_at AS earlier_at, \
                 x.reported_at AS later_at FROM (SELECT j.id, m.tag, j.reported_at, \
                 (SELECT max(b.id) FROM jobs b WHERE b.machine_id = j.machine_id AND b.id < j.id \
                  AND b.due_item_id IS NULL AND b.state NOT IN ('turned_down', 'joined')) AS before",
                narrowed!(concat!(
                    $found_by,
                    "j.machine_id IS NOT NULL AND j.due_item_id IS NULL \
                     AND j.state NOT IN ('turned_down', 'joined') AND "
                )),
                ") AS x JOIN jobs e ON e.id = x.before WHERE x.reported_at - e.reported_at < $8 \
                 ORDER BY x.reported_at DESC, x.id DESC LIMIT $9"
            )
        };
    }
    const ALL: &str = pair_sql!("");
    const MACHINE: &str = pair_sql!("j.machine_id = $3 AND ");
    let sql = if narrow.machine == 0 { ALL } else { MACHINE };
    on_db!(db, pool => sqlx::query_as(sql).bind(i64::MAX).bind(i64::MAX).bind(narrow.machine)
        .bind(narrow.from).bind(narrow.until).bind(narrow.place).bind("").bind(within).bind(limit)
        .fetch_all(pool).await)
}

/// The due items of a span of days, those alike counted together; `machine` zero for all.
pub async fn due_groups(db: &Db, from: Date, to: Date, machine: i64) -> sqlx::Result<Vec<Group>> {
    const SQL: &str = "SELECT d.state, d.due_on, d.done_on, pl.window_days, count(*) AS items
        FROM due_items d JOIN plans pl ON pl.id = d.plan_id
        WHERE d.due_on >= $1 AND d.due_on <= $2 AND ($3 = 0 OR pl.machine_id = $3)
        GROUP BY d.state, d.due_on, d.done_on, pl.window_days";
    on_db!(db, pool =>
        sqlx::query_as(SQL).bind(from).bind(to).bind(machine).fetch_all(pool).await)
}

/// The open items whose day has come, those alike counted together.
pub async fn open_groups(db: &Db, today: Date, machine: i64) -> sqlx::Result<Vec<Group>> {
    const SQL: &str = "SELECT d.state, d.due_on, d.done_on, pl.window_days, count(*) AS items
        FROM due_items d JOIN plans pl ON pl.id = d.plan_id
        WHERE d.state = 'open' AND d.due_on < $1 AND ($2 = 0 OR pl.machine_id = $2)
        GROUP BY d.state, d.due_on, d.done_on, pl.window_days";
    on_db!(db, pool => sqlx::query_as(SQL).bind(today).bind(machine).fetch_all(pool).await)
}
