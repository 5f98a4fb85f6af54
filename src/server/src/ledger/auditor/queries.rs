//! What each rule lists. `$1` and `$2` the span, `$3` place, `$4` and `$5` first and last day.

use super::Rule;
use crate::clock::Millis;
use crate::db::Db;
use crate::jobs::JobId;
use crate::ledger::book::span::Span;
use crate::on_db;
use time::Date;

/// One line of an answer; an empty `blank` means nothing is missing.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Found {
    pub at: Option<Millis>,
    pub on_day: Option<Date>,
    pub job_id: Option<JobId>,
    pub tag: Option<String>,
    pub what: String,
    pub who: Option<String>,
    pub blank: String,
}

macro_rules! inside {
    () => {
        "(WITH RECURSIVE down (id) AS (SELECT id FROM places WHERE id = $3 UNION \
         SELECT p.id FROM places p JOIN down ON p.parent_id = down.id) SELECT id FROM down)"
    };
}

/// The machine `m` is in the place; every statement names every value here.
macro_rules! here {
    () => {
        concat!(
            "($3 = 0 OR m.place_id IN ",
            inside!(),
            ") AND $1 < $2 AND $4 <= $5"
        )
    };
}

/// Of a job `j` with its machine `m`.
macro_rules! job_here {
    () => {
        concat!(
            "($3 = 0 OR m.place_id IN ",
            inside!(),
            " OR (m.id IS NULL AND j.place_id IN ",
            inside!(),
            ")) AND $1 < $2 AND $4 <= $5"
        )
    };
}

/// The lines and their count, of one text.
macro_rules! listed {
    ($select:expr) => {
        (
            concat!(
                "SELECT at, on_day, job_id, tag, what, who, blank FROM (", $select, ") AS found \
                 ORDER BY CASE WHEN blank = '' THEN 1 ELSE 0 END, on_day DESC, at DESC, tag, what \
                 LIMIT $6"
            ),
            concat!(
                "SELECT count(*), CAST(coalesce(sum(CASE WHEN blank = '' THEN 0 ELSE 1 END), 0) \
                 AS BIGINT) FROM (", $select, ") AS found WHERE $6 > 0"
            ),
        )
    };
}

macro_rules! no_day {
    () => {
        "CAST(NULL AS DATE) AS on_day"
    };
}

const ISOLATION: (&str, &str) = listed!(concat!(
    "SELECT l.on_at AS at, ",
    no_day!(),
    ", l.job_id, m.tag, 'lock ' || l.lock_number || ' on ' \
     || s.name || CASE WHEN l.off_at IS NULL THEN '' ELSE ', taken off again' END AS what, \
     p.name AS who, CASE WHEN l.off_at IS NULL THEN 'still on' WHEN NOT EXISTS (SELECT 1 \
     FROM entries e WHERE e.job_id = l.job_id AND e.kind = 'dead_test' AND e.set_aside IS NULL) \
     THEN 'no dead test on the job' ELSE '' END AS blank FROM locks l \
     JOIN machines m ON m.id = l.machine_id JOIN energy_sources s ON s.id = l.source_id \
     JOIN people p ON p.id = l.person_id WHERE l.on_at >= $1 AND l.on_at < $2 AND ",
    here!()
));

const INSPECTIONS: (&str, &str) = listed!(concat!(
    "SELECT CAST(NULL AS BIGINT) AS at, i.inspected_on AS on_day, CAST(NULL AS BIGINT) AS job_id, \
     m.tag, m.name || CASE WHEN i.id IS NULL THEN '' ELSE ': sheet, revision ' \
     || CAST(i.revision AS TEXT) END AS what, i.inspected_by AS who, \
     CASE WHEN i.id IS NULL THEN 'no isolation sheet' WHEN i.inspected_on IS NULL \
     THEN 'never inspected' WHEN i.inspected_on < $4 THEN 'not inspected in these days' \
     WHEN i.inspected_on > $5 THEN 'inspected after these days' ELSE '' END AS blank \
     FROM machines m LEFT JOIN isolation_sheets i ON i.machine_id = m.id AND i.revision = \
     (SELECT max(n.revision) FROM isolation_sheets n WHERE n.machine_id = m.id) \
     WHERE (m.retired_on IS NULL OR m.retired_on > $5) AND ",
    here!()
));

const PROOFS: (&str, &str) = listed!(concat!(
    "SELECT coalesce(j.back_at, j.reported_at) AS at, ",
    no_day!(),
    ", j.id AS job_id, m.tag, \
     j.words || CASE WHEN j.proof_verdict IS NULL THEN '' ELSE ': run test ' \
     || replace(j.proof_verdict, '_', ' ') END AS what, p.name AS who, \
     CASE WHEN j.state = 'test_owed' THEN 'test owed' WHEN j.finished OR j.touches = 'nothing' \
     THEN '' WHEN j.proof_verdict IS NULL THEN 'no run test' \
     WHEN j.proof_verdict NOT IN ('within', 'within_note') THEN 'not shown within limits' \
     ELSE '' END AS blank FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id \
     LEFT JOIN people p ON p.id = j.assigned_to WHERE ((j.back_at >= $1 AND j.back_at < $2) \
     OR (j.state = 'test_owed' AND j.reported_at >= $1 AND j.reported_at < $2)) AND ",
    job_here!()
));

const PERMITS: (&str, &str) = listed!(concat!(
    "SELECT t.valid_from AS at, ",
    no_day!(),
    ", t.job_id, m.tag, replace(t.permit_kind, '_', ' ') \
     || ' ' || t.number || ': ' || t.conditions AS what, t.issued_by || ' to ' || t.issued_to \
     AS who, CASE WHEN t.closed_at IS NULL THEN 'not closed' ELSE '' END AS blank FROM permits t \
     JOIN jobs j ON j.id = t.job_id LEFT JOIN machines m ON m.id = j.machine_id \
     WHERE t.valid_from >= $1 AND t.valid_from < $2 AND ",
    job_here!()
));

const TEMPORARY: (&str, &str) = listed!(concat!(
    "SELECT t.made_at AS at, ",
    no_day!(),
    ", t.job_id, m.tag, t.what || ', until ' \
     || CAST(t.until_on AS TEXT) || CASE WHEN t.ended_by IS NULL THEN '' ELSE '; ended: ' \
     || t.ended_how END AS what, p.name AS who, CASE WHEN t.ended_by IS NOT NULL THEN '' \
     WHEN t.until_on < $5 THEN 'still there, past its day' ELSE 'still there' END AS blank \
     FROM temporary_fixes t JOIN jobs j ON j.id = t.job_id \
     LEFT JOIN machines m ON m.id = j.machine_id LEFT JOIN entries e ON e.id = t.entry_id \
     LEFT JOIN people p ON p.id = e.person_id \
     WHERE t.made_at < $2 AND (t.made_at >= $1 OR t.ended_by IS NULL) AND ",
    job_here!()
));

const DUE: (&str, &str) = listed!(concat!(
    "SELECT CAST(NULL AS BIGINT) AS at, d.due_on AS on_day, d.job_id, m.tag, pl.action || ': ' \
     || replace(d.state, '_', ' ') || CASE WHEN d.done_on IS NULL THEN '' ELSE ' ' \
     || CAST(d.done_on AS TEXT) END || CASE WHEN d.note = '' THEN '' ELSE ', ' || d.note END \
     AS what, p.name AS who, CASE WHEN d.state = 'open' THEN 'open' \
     WHEN d.state = 'missed' AND d.note = '' THEN 'missed, no reason' ELSE '' END AS blank \
     FROM due_items d JOIN plans pl ON pl.id = d.plan_id JOIN machines m ON m.id = pl.machine_id \
     LEFT JOIN people p ON p.id = d.person_id WHERE d.due_on >= $4 AND d.due_on <= $5 AND ",
    here!()
));

const SIGN_OFFS: (&str, &str) = listed!(concat!(
    "SELECT coalesce(j.signed_at, j.back_at) AS at, ",
    no_day!(),
    ", j.id AS job_id, m.tag, \
     j.words AS what, p.name AS who, CASE WHEN j.signed_at IS NULL THEN 'not signed off' \
     ELSE '' END AS blank FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id \
     LEFT JOIN people p ON p.id = j.signed_by \
     WHERE j.back_at >= $1 AND j.back_at < $2 AND ",
    job_here!()
));

const CHANGES: (&str, &str) = listed!(concat!(
    "SELECT a.at, ",
    no_day!(),
    ", CAST(NULL AS BIGINT) AS job_id, m.tag, a.act || ': ' \
     || replace(a.thing, '_', ' ') || ' ' || CAST(a.thing_id AS TEXT) AS what, \
     coalesce(p.name, 'the program') AS who, '' AS blank FROM audit a \
     LEFT JOIN machines m ON a.thing = 'machines' AND m.id = a.thing_id \
     LEFT JOIN people p ON p.id = a.person_id WHERE a.at >= $1 AND a.at < $2 AND ",
    here!(),
    " UNION ALL SELECT r.until_at, ",
    no_day!(),
    ", CAST(NULL AS BIGINT), m.tag, 'plan changed: ' \
     || r.action || CASE WHEN r.reason = '' THEN '' ELSE ', because ' || r.reason END, p.name, \
     CASE WHEN r.reason = '' THEN 'no reason' ELSE '' END FROM plan_revisions r \
     JOIN plans pl ON pl.id = r.plan_id JOIN machines m ON m.id = pl.machine_id \
     LEFT JOIN people p ON p.id = r.person_id WHERE r.until_at >= $1 AND r.until_at < $2 AND ",
    here!(),
    " UNION ALL SELECT e.received_at, ",
    no_day!(),
    ", e.job_id, m.tag, CASE WHEN e.set_aside IS NULL \
     THEN 'correction' ELSE 'entry set aside: ' || e.set_aside END, p.name, \
     CASE WHEN e.set_aside IS NULL THEN '' ELSE 'set aside' END FROM entries e \
     JOIN jobs j ON j.id = e.job_id LEFT JOIN machines m ON m.id = j.machine_id \
     LEFT JOIN people p ON p.id = e.person_id WHERE (e.set_aside IS NOT NULL \
     OR e.corrects IS NOT NULL) AND e.received_at >= $1 AND e.received_at < $2 AND ",
    job_here!()
));

impl Rule {
    fn sql(self) -> (&'static str, &'static str) {
        match self {
            Rule::Isolation => ISOLATION,
            Rule::Inspections => INSPECTIONS,
            Rule::Proofs => PROOFS,
            Rule::Permits => PERMITS,
            Rule::Temporary => TEMPORARY,
            Rule::Due => DUE,
            Rule::SignOffs => SIGN_OFFS,
            Rule::Changes => CHANGES,
        }
    }
}

/// The lines of a rule, what is blank first.
pub async fn rows(db: &Db, rule: Rule, span: &Span, limit: i64) -> sqlx::Result<Vec<Found>> {
    let (sql, _) = rule.sql();
    on_db!(db, pool => sqlx::query_as(sql).bind(span.from).bind(span.until).bind(span.place)
        .bind(span.first).bind(span.last).bind(limit).fetch_all(pool).await)
}

/// How many lines there are, and how many of them have a blank.
pub async fn count(db: &Db, rule: Rule, span: &Span) -> sqlx::Result<(i64, i64)> {
    let (_, sql) = rule.sql();
    on_db!(db, pool => sqlx::query_as(sql).bind(span.from).bind(span.until).bind(span.place)
        .bind(span.first).bind(span.last).bind(1_i64).fetch_one(pool).await)
}
