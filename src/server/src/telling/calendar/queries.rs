//! Feeds, what they may show and what they told, in the database.

use super::events::{AHEAD, BACK, Found, Says, Thing, Told};
use super::{Feed, Kind, Shown};
use crate::clock::{DAY, Millis};
use crate::db::{Db, Tx};
use crate::people::PersonId;
use crate::{on_db, on_tx};
use time::Date;

#[derive(sqlx::FromRow)]
struct FeedRow {
    id: i64,
    person_id: PersonId,
    kind: String,
    made_at: i64,
    asked_at: Option<i64>,
}

impl From<FeedRow> for Feed {
    fn from(row: FeedRow) -> Self {
        Feed {
            id: row.id,
            person_id: row.person_id,
            // The CHECK on the column lets no other word in.
            kind: Kind::named(&row.kind).unwrap_or(Kind::Own),
            made_at: row.made_at,
            asked_at: row.asked_at,
        }
    }
}

/// The feed with this hash, of a person whose sign-in is open, and the hash as it is kept.
pub async fn by_hash(db: &Db, hash: &str) -> sqlx::Result<Option<(Feed, String)>> {
    const SQL: &str = "SELECT f.id, f.person_id, f.kind, f.made_at, f.asked_at, f.token_hash
        FROM feeds f JOIN people p ON p.id = f.person_id
        WHERE f.token_hash = $1 AND f.token_hash <> '' AND p.closed_at IS NULL";
    #[derive(sqlx::FromRow)]
    struct Row {
        #[sqlx(flatten)]
        feed: FeedRow,
        token_hash: String,
    }
    let row: Option<Row> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(hash).fetch_optional(pool).await)?;
    Ok(row.map(|row| (row.feed.into(), row.token_hash)))
}

pub async fn of_person(db: &Db, person: PersonId) -> sqlx::Result<Vec<Feed>> {
    const SQL: &str = "SELECT id, person_id, kind, made_at, asked_at FROM feeds
        WHERE person_id = $1 AND token_hash <> '' ORDER BY id";
    let rows: Vec<FeedRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(person).fetch_all(pool).await)?;
    Ok(rows.into_iter().map(Feed::from).collect())
}

/// All of them with whose they are, for who looks after the shop.
pub async fn all(db: &Db) -> sqlx::Result<Vec<(Feed, String)>> {
    const SQL: &str = "SELECT f.id, f.person_id, f.kind, f.made_at, f.asked_at, p.name
        FROM feeds f JOIN people p ON p.id = f.person_id
        WHERE f.token_hash <> '' ORDER BY p.name, f.id";
    #[derive(sqlx::FromRow)]
    struct Row {
        #[sqlx(flatten)]
        feed: FeedRow,
        name: String,
    }
    let rows: Vec<Row> = on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?;
    Ok(rows
        .into_iter()
        .map(|row| (row.feed.into(), row.name))
        .collect())
}

/// A new address for a person's feed; the one it had opens nothing from now on.
pub async fn set_address(
    tx: &mut Tx,
    person: PersonId,
    kind: Kind,
    hash: &str,
    at: Millis,
) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO feeds (person_id, kind, token_hash, made_at)
        VALUES ($1, $2, $3, $4)
        ON CONFLICT (person_id, kind) DO UPDATE SET token_hash = excluded.token_hash,
            made_at = excluded.made_at, asked_at = NULL
        RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(person).bind(kind.word()).bind(hash).bind(at).fetch_one(conn).await)
}

/// Takes an address away with all that was told under it; `None` where there was none.
pub async fn end(tx: &mut Tx, feed: i64) -> sqlx::Result<Option<PersonId>> {
    const SQL: &str = "DELETE FROM feeds WHERE id = $1 RETURNING person_id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(feed).fetch_optional(conn).await)
}

/// Notes that a calendar asked, and keeps others from telling the same feed until commit.
pub async fn asked(tx: &mut Tx, feed: i64, at: Millis) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE feeds SET asked_at = $2 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(feed).bind(at).execute(conn).await.map(|_| ()))
}

/// What calendars may show; nothing where nobody has said.
pub async fn shown(db: &Db) -> sqlx::Result<Option<Shown>> {
    const SQL: &str = "SELECT uid, shows_tag, shows_work, shows_place, version
        FROM calendar_rules WHERE id = 1";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_optional(pool).await)
}

/// Writes the row that says so, if it is missing: with nothing shown.
pub async fn begin_rules(tx: &mut Tx, uid: &str) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO calendar_rules (id, uid) VALUES (1, $1)
        ON CONFLICT (id) DO NOTHING";
    on_tx!(tx, conn => sqlx::query(SQL).bind(uid).execute(conn).await.map(|_| ()))
}

/// `false` where somebody changed it since `version`.
pub async fn set_shown(tx: &mut Tx, shown: &Shown) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE calendar_rules SET shows_tag = $2, shows_work = $3, shows_place = $4,
            version = version + 1
        WHERE id = 1 AND version = $1 RETURNING id";
    let done: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(shown.version).bind(shown.shows_tag).bind(shown.shows_work).bind(shown.shows_place)
        .fetch_optional(conn).await)?;
    Ok(done.is_some())
}

/// Jobs handed out, of one person or of everybody: those that are open, and those of late that are
/// done. A job whose test is owed stands on the day of the test.
pub async fn jobs(tx: &mut Tx, of: Option<PersonId>, today: Date) -> sqlx::Result<Vec<Found>> {
    const ONE: &str = "SELECT j.id, j.state, COALESCE(CASE WHEN j.state = 'test_owed'
                THEN j.test_owed_on END, j.planned_on) AS on_day,
            COALESCE(m.tag, '') AS tag, COALESCE(p.name, '') AS place,
            COALESCE(l.action, '') AS action
        FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id
        LEFT JOIN places p ON p.id = COALESCE(m.place_id, j.place_id)
        LEFT JOIN due_items d ON d.id = j.due_item_id LEFT JOIN plans l ON l.id = d.plan_id
        WHERE j.assigned_to = $1 AND j.planned_on IS NOT NULL
        AND (j.state IN ('handed_out', 'isolated', 'on_test', 'held', 'test_owed')
            OR (j.state IN ('back_in_service', 'signed_off') AND j.planned_on >= $2))
        ORDER BY j.id DESC LIMIT 3000";
    const ALL: &str = "SELECT j.id, j.state, COALESCE(CASE WHEN j.state = 'test_owed'
                THEN j.test_owed_on END, j.planned_on) AS on_day,
            COALESCE(m.tag, '') AS tag, COALESCE(p.name, '') AS place,
            COALESCE(l.action, '') AS action
        FROM people w JOIN jobs j ON j.assigned_to = w.id
        LEFT JOIN machines m ON m.id = j.machine_id
        LEFT JOIN places p ON p.id = COALESCE(m.place_id, j.place_id)
        LEFT JOIN due_items d ON d.id = j.due_item_id LEFT JOIN plans l ON l.id = d.plan_id
        WHERE j.planned_on >= $1
        AND j.state IN ('handed_out', 'isolated', 'on_test', 'held', 'test_owed',
            'back_in_service', 'signed_off')
        ORDER BY j.id DESC LIMIT 3000";
    let from = today - BACK;
    match of {
        Some(person) => on_tx!(tx, conn => sqlx::query_as(ONE)
            .bind(person).bind(from).fetch_all(conn).await),
        None => on_tx!(tx, conn => sqlx::query_as(ALL).bind(from).fetch_all(conn).await),
    }
}

/// Due items that are open, to a year ahead, and those done of late. `handed_out` keeps those that are
/// on somebody's list as a job.
pub async fn due(tx: &mut Tx, handed_out: bool, today: Date) -> sqlx::Result<Vec<Found>> {
    const SQL: &str = "SELECT d.id, d.state, d.due_on AS on_day, m.tag,
            COALESCE(p.name, '') AS place, l.action
        FROM due_items d JOIN plans l ON l.id = d.plan_id JOIN machines m ON m.id = l.machine_id
        LEFT JOIN places p ON p.id = m.place_id LEFT JOIN jobs j ON j.id = d.job_id
        WHERE d.state = 'open' AND d.due_on <= $1 AND d.covered_by IS NULL
        AND ($2 OR j.assigned_to IS NULL)
        ORDER BY d.due_on, d.id LIMIT 4000";
    const DONE: &str = "SELECT d.id, d.state, d.due_on AS on_day, m.tag,
            COALESCE(p.name, '') AS place, l.action
        FROM due_items d JOIN plans l ON l.id = d.plan_id JOIN machines m ON m.id = l.machine_id
        LEFT JOIN places p ON p.id = m.place_id LEFT JOIN jobs j ON j.id = d.job_id
        WHERE d.state = 'done' AND d.done_on >= $1 AND d.covered_by IS NULL
        AND ($2 OR j.assigned_to IS NULL)
        ORDER BY d.done_on DESC, d.id LIMIT 4000";
    let (until, from) = (today + AHEAD, today - BACK);
    let mut found: Vec<Found> = on_tx!(tx, conn => sqlx::query_as(SQL)
        .bind(until).bind(handed_out).fetch_all(conn).await)?;
    let done: Vec<Found> = on_tx!(tx, conn => sqlx::query_as(DONE)
        .bind(from).bind(handed_out).fetch_all(conn).await)?;
    found.extend(done);
    Ok(found)
}

#[derive(sqlx::FromRow)]
struct ToldRow {
    thing: String,
    thing_id: i64,
    on_day: Date,
    summary: String,
    place: String,
    waits: bool,
    cancelled: bool,
    sequence: i64,
    changed_at: i64,
}

impl From<ToldRow> for Told {
    fn from(row: ToldRow) -> Self {
        Told {
            thing: Thing::of(&row.thing, row.thing_id),
            says: Says {
                on_day: row.on_day,
                summary: row.summary,
                place: row.place,
                waits: row.waits,
            },
            cancelled: row.cancelled,
            sequence: row.sequence,
            changed_at: row.changed_at,
        }
    }
}

/// What a feed has told.
pub async fn told(tx: &mut Tx, feed: i64) -> sqlx::Result<Vec<Told>> {
    const SQL: &str = "SELECT thing, thing_id, on_day, summary, place, waits, cancelled, sequence,
            changed_at
        FROM feed_events WHERE feed_id = $1";
    let rows: Vec<ToldRow> =
        on_tx!(tx, conn => sqlx::query_as(SQL).bind(feed).fetch_all(conn).await)?;
    Ok(rows.into_iter().map(Told::from).collect())
}

/// Writes what a feed tells otherwise from now on.
pub async fn note(tx: &mut Tx, feed: i64, told: &Told) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO feed_events (feed_id, thing, thing_id, on_day, summary, place,
            waits, cancelled, sequence, changed_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)
        ON CONFLICT (feed_id, thing, thing_id) DO UPDATE SET on_day = excluded.on_day,
            summary = excluded.summary, place = excluded.place, waits = excluded.waits,
            cancelled = excluded.cancelled, sequence = excluded.sequence,
            changed_at = excluded.changed_at";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(feed)
        .bind(told.thing.word())
        .bind(told.thing.number())
        .bind(told.says.on_day)
        .bind(&told.says.summary)
        .bind(&told.says.place)
        .bind(told.says.waits)
        .bind(told.cancelled)
        .bind(told.sequence)
        .bind(told.changed_at)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// Forgets what no calendar was told for a long time.
pub async fn forget(tx: &mut Tx, feed: i64, today: Date, now: Millis) -> sqlx::Result<()> {
    const SQL: &str =
        "DELETE FROM feed_events WHERE feed_id = $1 AND on_day < $2 AND changed_at < $3";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(feed).bind(today - BACK - BACK).bind(now - 120 * DAY)
        .execute(conn).await.map(|_| ()))
}
