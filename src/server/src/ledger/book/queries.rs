//! Each figure's rule as SQL, once: the same text counts its parts and lists the jobs behind them.
//!
//! `$1` and `$2` the span, `$3` machine, `$4` place, `$5` kind, `$6` and `$7` the parts that are wanted,
//! `$8` now, `$9` to `$12` the response targets from danger on.

use super::span::Span;
use super::{Figure, due, due_queries};
use crate::clock::{DAY, Millis};
use crate::db::Db;
use crate::jobs::JobId;
use crate::jobs::priority::Level;
use crate::jobs::queries::Targets;
use crate::ledger::figures::REPEAT_DAYS;
use crate::on_db;
use time::Date;

/// How many jobs one part of a figure has, and the sum of what is added up, where it is known.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Counted {
    pub bucket: String,
    pub sub: String,
    pub jobs: i64,
    pub total: i64,
    /// Of `jobs`, those that have a value to add up.
    pub known: i64,
}

/// A job behind a figure.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Behind {
    pub id: JobId,
    pub state: String,
    pub tag: Option<String>,
    pub machine: Option<String>,
    pub words: String,
    pub reported_at: Millis,
    pub bucket: String,
    pub sub: String,
    pub amount: Option<i64>,
}

macro_rules! inside {
    () => {
        "(WITH RECURSIVE down (id) AS (SELECT id FROM places WHERE id = $4 UNION \
         SELECT p.id FROM places p JOIN down ON p.parent_id = down.id) SELECT id FROM down)"
    };
}

/// The jobs that the address asks for; the last line names every value, so that all statements take
/// the same, and is always true.
macro_rules! wanted {
    () => {
        concat!(
            "($3 = 0 OR j.machine_id = $3) \
             AND ($5 = '' OR j.machine_id IN (SELECT k.id FROM machines k WHERE k.kind = $5)) \
             AND ($4 = 0 OR j.machine_id IN (SELECT w.id FROM machines w WHERE w.place_id IN ",
            inside!(),
            ") OR (j.machine_id IS NULL AND j.place_id IN ",
            inside!(),
            ")) AND CAST($8 AS BIGINT) + CAST($9 AS BIGINT) + CAST($10 AS BIGINT) \
             + CAST($11 AS BIGINT) + CAST($12 AS BIGINT) > 0"
        )
    };
}

/// Jobs reported in the span; a report that was turned down or joined to another is no work.
macro_rules! reported {
    () => {
        concat!(
            "j.reported_at >= $1 AND j.reported_at < $2 \
             AND j.state NOT IN ('turned_down', 'joined') AND ",
            wanted!()
        )
    };
}

macro_rules! corrective {
    () => {
        concat!("j.due_item_id IS NULL AND ", reported!())
    };
}

/// Corrective jobs that are over or back in service.
macro_rules! repaired {
    () => {
        concat!("j.back_at IS NOT NULL AND ", corrective!())
    };
}

/// Jobs that are not over, whenever they were reported.
macro_rules! open {
    () => {
        concat!(
            "j.state IN ('reported', 'planned', 'handed_out', 'isolated', 'on_test', \
             'back_in_service', 'held', 'test_owed') AND $1 < $2 AND ",
            wanted!()
        )
    };
}

macro_rules! due {
    () => {
        "(j.clock_from + j.paused_ms + CASE j.level WHEN 'danger' THEN CAST($9 AS BIGINT) \
         WHEN 'damage' THEN CAST($10 AS BIGINT) WHEN 'service_lost' THEN CAST($11 AS BIGINT) \
         ELSE CAST($12 AS BIGINT) END)"
    };
}

/// The two statements of a figure: condition, part, second part, what is added up.
macro_rules! both {
    ($among:expr, $bucket:expr, $sub:expr, $sum:expr) => {
        (
            concat!(
                "SELECT ",
                $bucket,
                " AS bucket, ",
                $sub,
                " AS sub, count(*) AS jobs, \
                 CAST(coalesce(sum(",
                $sum,
                "), 0) AS BIGINT) AS total, count(",
                $sum,
                ") AS known FROM jobs j WHERE ",
                $among,
                " AND ",
                wanted_part!($bucket, $sub),
                " GROUP BY 1, 2 ORDER BY 1, 2"
            ),
            concat!(
                "SELECT j.id, j.state, m.tag, m.name AS machine, j.words, j.reported_at, ",
                $bucket,
                " AS bucket, ",
                $sub,
                " AS sub, ",
                $sum,
                " AS amount \
                 FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id WHERE ",
                $among,
                " AND ",
                wanted_part!($bucket, $sub),
                " AND (j.reported_at < $13 OR (j.reported_at = $13 AND j.id < $14)) \
                 ORDER BY j.reported_at DESC, j.id DESC LIMIT $15"
            ),
        )
    };
}

/// The parts that are asked for stand in `$6` and `$7` between bars.
macro_rules! wanted_part {
    ($bucket:expr, $sub:expr) => {
        concat!(
            "($6 = '' OR replace($6, '|' || (",
            $bucket,
            ") || '|', '') <> $6) \
             AND ($7 = '' OR replace($7, '|' || (",
            $sub,
            ") || '|', '') <> $7)"
        )
    };
}

macro_rules! nothing {
    () => {
        "CAST(NULL AS BIGINT)"
    };
}

const BACKLOG: (&str, &str) = both!(
    open!(),
    "CASE j.state WHEN 'held' THEN 'held_' || coalesce(j.held_for, 'other') ELSE j.state END",
    "CASE WHEN $8 - j.reported_at < 604800000 THEN 'week' \
     WHEN $8 - j.reported_at < 2592000000 THEN 'month' \
     WHEN $8 - j.reported_at < 7776000000 THEN 'quarter' ELSE 'older' END",
    "j.minutes_planned"
);

const RESPONSE: (&str, &str) = both!(
    corrective!(),
    concat!(
        "CASE WHEN j.level IS NULL THEN 'not_judged' \
         WHEN j.attended_at <= ",
        due!(),
        " THEN 'in_time' \
         WHEN j.attended_at IS NOT NULL THEN 'late' \
         WHEN j.state IN ('back_in_service', 'signed_off', 'test_owed') THEN 'not_written' \
         WHEN coalesce(j.held_at, $8) > ",
        due!(),
        " THEN 'overdue' \
         WHEN j.held_at IS NOT NULL THEN 'paused' ELSE 'runs' END"
    ),
    "coalesce(j.level, 'not_judged')",
    "CASE WHEN j.attended_at IS NULL THEN NULL ELSE j.attended_at - j.clock_from - j.paused_ms END"
);

const SHARE: (&str, &str) = both!(
    reported!(),
    "CASE WHEN j.due_item_id IS NULL THEN 'corrective' ELSE 'planned' END",
    "CASE WHEN j.emergency THEN 'emergency' ELSE 'ordinary' END",
    // The sum of whole numbers is no whole number on PostgreSQL.
    "(SELECT CAST(sum(s.to_at - s.from_at) AS BIGINT) FROM job_spells s WHERE s.job_id = j.id \
     AND s.withdrawn_by IS NULL AND s.person_id IS NOT NULL)"
);

const RESTORED: (&str, &str) = both!(
    corrective!(),
    "CASE WHEN j.back_at IS NULL THEN 'not_back' ELSE 'back' END",
    "coalesce(j.level, 'not_judged')",
    "j.back_at - j.reported_at"
);

const REPEATS: (&str, &str) = both!(
    corrective!(),
    "CASE WHEN j.machine_id IS NULL THEN 'no_machine' WHEN EXISTS (SELECT 1 FROM jobs b \
     WHERE b.machine_id = j.machine_id AND b.reported_at > j.reported_at - 7862400000 \
     AND (b.reported_at < j.reported_at OR (b.reported_at = j.reported_at AND b.id < j.id)) \
     AND b.due_item_id IS NULL AND b.state NOT IN ('turned_down', 'joined')) \
     THEN 'repeat' ELSE 'first' END",
    "'all'",
    nothing!()
);

const MODES: (&str, &str) = both!(
    repaired!(),
    "CASE WHEN j.mode = '' THEN 'not_coded' ELSE j.component || ': ' || j.mode END",
    "coalesce((SELECT k.kind FROM machines k WHERE k.id = j.machine_id), 'no_machine')",
    nothing!()
);

const CODES: (&str, &str) = both!(
    repaired!(),
    "CASE WHEN j.cause = '' THEN 'blank' WHEN lower(j.cause) IN ('unknown', 'not known') \
     THEN 'unknown' WHEN lower(j.cause) = 'not examined' THEN 'not_examined' \
     WHEN lower(j.cause) IN ('other', 'x', '-', '?', 'n/a', 'none') \
     OR lower(j.component) = 'other' OR lower(j.mode) = 'other' THEN 'other' ELSE 'named' END",
    "'all'",
    nothing!()
);

const PROVED: (&str, &str) = both!(
    concat!(
        "(j.back_at IS NOT NULL OR j.state = 'test_owed') AND ",
        reported!()
    ),
    "CASE WHEN j.state = 'test_owed' THEN 'owed' \
     WHEN j.finished OR coalesce(j.touches, '') = 'nothing' THEN 'not_needed' \
     WHEN j.proof_verdict IN ('within', 'within_note') THEN 'proved' \
     WHEN j.proof_verdict IS NOT NULL THEN 'not_shown' ELSE 'untested' END",
    "CASE WHEN j.due_item_id IS NULL THEN 'corrective' ELSE 'planned' END",
    nothing!()
);

// The days of a repeat are written out above.
const _: () = assert!((REPEAT_DAYS + 1) * DAY == 7_862_400_000);

impl Figure {
    /// What counts its parts, and what lists the jobs behind them.
    fn sql(self) -> (&'static str, &'static str) {
        match self {
            Figure::Backlog => BACKLOG,
            Figure::Response => RESPONSE,
            Figure::Share => SHARE,
            Figure::Repeats => REPEATS,
            Figure::Modes => MODES,
            Figure::Codes => CODES,
            Figure::Proved => PROVED,
            Figure::Restored => RESTORED,
            // Counted by days, in a file of its own.
            Figure::Due => ("", ""),
        }
    }
}

/// What every statement takes beside the span.
pub struct With<'a> {
    pub span: &'a Span,
    pub today: Date,
    pub key: &'a str,
    pub sub: &'a str,
    pub now: Millis,
    pub targets: &'a Targets,
}

impl With<'_> {
    fn parts(text: &str) -> String {
        match text {
            "" => String::new(),
            some => format!("|{}|", some.replace('|', "||")),
        }
    }
}

macro_rules! bound {
    ($query:expr, $with:expr) => {
        $query
            .bind($with.span.from)
            .bind($with.span.until)
            .bind($with.span.machine)
            .bind($with.span.place)
            .bind($with.span.kind.clone())
            .bind(With::parts($with.key))
            .bind(With::parts($with.sub))
            .bind($with.now)
            .bind($with.targets.of(Level::Danger))
            .bind($with.targets.of(Level::Damage))
            .bind($with.targets.of(Level::ServiceLost))
            .bind($with.targets.of(Level::WhenItSuits))
    };
}

/// The parts of a figure, each with its jobs counted.
pub async fn count(db: &Db, figure: Figure, with: &With<'_>) -> sqlx::Result<Vec<Counted>> {
    if figure == Figure::Due {
        return Ok(due::parts(&due_queries::alike(db, with).await?, with.today)
            .into_iter()
            .filter(|part| with.key.is_empty() || with.key.split('|').any(|key| key == part.bucket))
            .collect());
    }
    let (sql, _) = figure.sql();
    on_db!(db, pool => bound!(sqlx::query_as(sql), with).fetch_all(pool).await)
}

/// The jobs behind a figure or some of its parts, newest report first, behind `before`.
pub async fn behind(
    db: &Db,
    figure: Figure,
    with: &With<'_>,
    before: (Millis, i64),
    limit: i64,
) -> sqlx::Result<Vec<Behind>> {
    let (_, sql) = figure.sql();
    on_db!(db, pool => bound!(sqlx::query_as(sql), with).bind(before.0).bind(before.1).bind(limit)
        .fetch_all(pool).await)
}
