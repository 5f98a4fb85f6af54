//! Mail in the database: who is told how, what waits, what became of it.

use super::compose::Waiting;
use super::kinds::{Kind, Way};
use crate::clock::{DAY, Millis};
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::people::PersonId;
use crate::{on_db, on_tx};

/// How a person is told by mail.
#[derive(Clone, Debug, Default, PartialEq, sqlx::FromRow)]
pub struct Told {
    pub address: String,
    pub asked_address: String,
    pub code_hash: String,
    pub code_until: Millis,
    pub code_tries: i64,
    pub digest_hour: i64,
    pub version: i64,
}

const TOLD: &str = "SELECT address, asked_address, code_hash, code_until, code_tries, digest_hour,
        version
    FROM mail_people WHERE person_id = $1";

pub async fn told(db: &Db, person: PersonId) -> sqlx::Result<Option<Told>> {
    on_db!(db, pool => sqlx::query_as(TOLD).bind(person).fetch_optional(pool).await)
}

/// The same, locked until commit; the row is written if it is missing.
pub async fn lock_told(tx: &mut Tx, person: PersonId) -> sqlx::Result<Told> {
    const LOCK: &str = "INSERT INTO mail_people (person_id) VALUES ($1)
        ON CONFLICT (person_id) DO UPDATE SET version = mail_people.version";
    on_tx!(tx, conn => sqlx::query(LOCK).bind(person).execute(conn).await.map(|_| ()))?;
    on_tx!(tx, conn => sqlx::query_as(TOLD).bind(person).fetch_one(conn).await)
}

pub async fn set_told(tx: &mut Tx, person: PersonId, told: &Told) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE mail_people SET address = $2, asked_address = $3, code_hash = $4,
            code_until = $5, code_tries = $6, digest_hour = $7, version = version + 1
        WHERE person_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(person)
        .bind(&told.address)
        .bind(&told.asked_address)
        .bind(&told.code_hash)
        .bind(told.code_until)
        .bind(told.code_tries)
        .bind(told.digest_hour)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// What a person chose, by kind.
pub async fn ways(db: &Db, person: PersonId) -> sqlx::Result<Vec<(String, String)>> {
    const SQL: &str = "SELECT kind, way FROM mail_ways WHERE person_id = $1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(person).fetch_all(pool).await)
}

pub async fn set_way(tx: &mut Tx, person: PersonId, kind: Kind, way: Way) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO mail_ways (person_id, kind, way) VALUES ($1, $2, $3)
        ON CONFLICT (person_id, kind) DO UPDATE SET way = excluded.way";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(person).bind(kind.word()).bind(way.word()).execute(conn).await.map(|_| ()))
}

/// Somebody who has an address: role, what they chose for this kind, hour of the digest.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Reachable {
    pub person_id: PersonId,
    pub role: String,
    pub way: Option<String>,
    pub digest_hour: i64,
}

const REACHABLE: &str = "SELECT p.id AS person_id, p.role, w.way, a.digest_hour
    FROM mail_people a JOIN people p ON p.id = a.person_id
    LEFT JOIN mail_ways w ON w.person_id = p.id AND w.kind = $1
    WHERE a.address <> '' AND p.closed_at IS NULL AND ($2 = 0 OR p.id = $2)
    ORDER BY p.id";

/// One person, or everybody.
pub async fn reachable(
    tx: &mut Tx,
    kind: Kind,
    person: Option<PersonId>,
) -> sqlx::Result<Vec<Reachable>> {
    let person = person.map_or(0, |person| person.0);
    on_tx!(tx, conn => sqlx::query_as(REACHABLE)
        .bind(kind.word()).bind(person).fetch_all(conn).await)
}

/// Addresses of people, for the keeper.
pub async fn addresses(db: &Db) -> sqlx::Result<Vec<(PersonId, String, String)>> {
    const SQL: &str = "SELECT p.id, p.name, COALESCE(a.address, '') FROM people p
        LEFT JOIN mail_people a ON a.person_id = p.id
        WHERE p.closed_at IS NULL ORDER BY p.name, p.id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// News about to be written.
#[derive(Clone, Debug)]
pub struct NewNews<'a> {
    /// What it tells and to whom.
    pub word: &'a str,
    pub person: PersonId,
    pub kind: Kind,
    pub subject: &'a str,
    pub words: &'a str,
    pub made_at: Millis,
    pub tell_at: Millis,
}

/// The same word is told once.
pub async fn add_news(tx: &mut Tx, new: &NewNews<'_>) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO news (word, person_id, kind, subject, words, made_at, tell_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7) ON CONFLICT (word) DO NOTHING";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(new.word)
        .bind(new.person)
        .bind(new.kind.word())
        .bind(new.subject)
        .bind(new.words)
        .bind(new.made_at)
        .bind(new.tell_at)
        .execute(conn)
        .await
        .map(|_| ()))
}

#[derive(Clone, Debug, sqlx::FromRow)]
pub struct News {
    pub id: i64,
    pub person_id: PersonId,
    /// Where they are told now; empty: nowhere any more.
    pub address: String,
    pub subject: String,
    pub words: String,
}

/// News that are to be told now, by person.
pub async fn ready_news(tx: &mut Tx, now: Millis) -> sqlx::Result<Vec<News>> {
    const SQL: &str = "SELECT n.id, n.person_id, n.subject, n.words,
            CASE WHEN p.closed_at IS NULL THEN COALESCE(a.address, '') ELSE '' END AS address
        FROM news n JOIN people p ON p.id = n.person_id
        LEFT JOIN mail_people a ON a.person_id = n.person_id
        WHERE NOT n.told AND n.tell_at <= $1 ORDER BY n.person_id, n.id LIMIT 500";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(now).fetch_all(conn).await)
}

pub async fn news_told(tx: &mut Tx, news: i64, mail: Option<i64>) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE news SET told = TRUE, mail_id = $2 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(news).bind(mail).execute(conn).await.map(|_| ()))
}

/// A mail about to be written.
#[derive(Clone, Debug)]
pub struct NewMail<'a> {
    pub message_id: &'a str,
    pub person: Option<PersonId>,
    pub entry: Option<&'a str>,
    pub address: &'a str,
    pub subject: &'a str,
    pub words: &'a str,
    pub stop: &'a str,
}

pub async fn add_mail(tx: &mut Tx, new: &NewMail<'_>, now: Millis) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO mails (message_id, person_id, entry_id, address, subject, words,
            stop, made_at, next_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $8) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(new.message_id)
        .bind(new.person)
        .bind(new.entry)
        .bind(new.address)
        .bind(new.subject)
        .bind(new.words)
        .bind(new.stop)
        .bind(now)
        .fetch_one(conn)
        .await)
}

/// Mails whose time has come, the oldest first.
pub async fn waiting(db: &Db, now: Millis, most: i64) -> sqlx::Result<Vec<Waiting>> {
    const SQL: &str = "SELECT id, message_id, address, subject, words, stop, made_at, tries
        FROM mails WHERE state = 'waits' AND next_at <= $1 ORDER BY next_at, id LIMIT $2";
    on_db!(db, pool => sqlx::query_as(SQL).bind(now).bind(most).fetch_all(pool).await)
}

pub async fn sent(tx: &mut Tx, mail: i64, at: Millis) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE mails SET state = 'sent', ended_at = $2, tries = tries + 1,
            problem = ''
        WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(mail).bind(at).execute(conn).await.map(|_| ()))
}

pub async fn later(tx: &mut Tx, mail: i64, next: Millis, problem: &str) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE mails SET next_at = $2, tries = tries + 1, problem = $3
        WHERE id = $1 AND state = 'waits'";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(mail).bind(next).bind(problem).execute(conn).await.map(|_| ()))
}

pub async fn give_up(tx: &mut Tx, mail: i64, at: Millis, problem: &str) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE mails SET state = 'given_up', ended_at = $2, tries = tries + 1,
            problem = $3
        WHERE id = $1 AND state = 'waits'";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(mail).bind(at).bind(problem).execute(conn).await.map(|_| ()))
}

/// The keeper has it tried again, as if it were new.
pub async fn again(tx: &mut Tx, mail: i64, now: Millis) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE mails SET state = 'waits', next_at = $2, made_at = $2, tries = 0,
            ended_at = NULL
        WHERE id = $1 AND state = 'given_up' RETURNING id";
    let done: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(mail).bind(now).fetch_optional(conn).await)?;
    Ok(done.is_some())
}

/// The keeper has it sent no more.
pub async fn drop_mail(tx: &mut Tx, mail: i64, now: Millis) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE mails SET state = 'dropped', ended_at = $2
        WHERE id = $1 AND state IN ('waits', 'given_up') RETURNING id";
    let done: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(mail).bind(now).fetch_optional(conn).await)?;
    Ok(done.is_some())
}

/// A mail as the keeper's list has it: never its words.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Listed {
    pub id: i64,
    pub address: String,
    pub subject: String,
    pub made_at: Millis,
    pub next_at: Millis,
    pub tries: i64,
    pub state: String,
    pub problem: String,
}

/// What waits or was given up first, then the newest of the rest.
pub async fn listed(db: &Db, state: &str, most: i64) -> sqlx::Result<Vec<Listed>> {
    const SQL: &str = "SELECT id, address, subject, made_at, next_at, tries, state, problem
        FROM mails WHERE state = $1 ORDER BY next_at DESC, id DESC LIMIT $2";
    on_db!(db, pool => sqlx::query_as(SQL).bind(state).bind(most).fetch_all(pool).await)
}

pub async fn counted(db: &Db, state: &str) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT count(*) FROM mails WHERE state = $1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(state).fetch_one(pool).await)
}

/// Mails that are over for a month go, and news that nobody will ask for again.
pub async fn forget(tx: &mut Tx, now: Millis) -> sqlx::Result<()> {
    const MAILS: &str = "DELETE FROM mails WHERE state IN ('sent', 'dropped') AND next_at < $1";
    const NEWS: &str = "DELETE FROM news WHERE told AND tell_at < $1";
    on_tx!(tx, conn => sqlx::query(MAILS).bind(now - 30 * DAY).execute(conn).await.map(|_| ()))?;
    on_tx!(tx, conn => sqlx::query(NEWS).bind(now - 400 * DAY).execute(conn).await.map(|_| ()))
}

/// The word that stops mail to a person or to the sender of a report, and when it was used.
pub async fn stop_word(
    tx: &mut Tx,
    person: Option<PersonId>,
    entry: Option<&str>,
    new: &str,
) -> sqlx::Result<(String, Option<Millis>)> {
    const ADD: &str = "INSERT INTO mail_stops (word, person_id, entry_id) VALUES ($1, $2, $3)
        ON CONFLICT DO NOTHING";
    const SQL: &str = "SELECT word, stopped_at FROM mail_stops
        WHERE person_id = $1 OR entry_id = $2";
    on_tx!(tx, conn => sqlx::query(ADD)
        .bind(new).bind(person).bind(entry).execute(conn).await.map(|_| ()))?;
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(person).bind(entry).fetch_one(conn).await)
}

/// Whose mail a word stops: a person's, or that of a report's sender.
pub async fn stop_of(
    db: &Db,
    word: &str,
) -> sqlx::Result<Option<(Option<PersonId>, Option<String>)>> {
    const SQL: &str = "SELECT person_id, entry_id FROM mail_stops WHERE word = $1";
    if word.contains('\0') {
        return Ok(None);
    }
    on_db!(db, pool => sqlx::query_as(SQL).bind(word).fetch_optional(pool).await)
}

/// No more of it, what waits included.
pub async fn stop(
    tx: &mut Tx,
    person: Option<PersonId>,
    entry: Option<&str>,
    now: Millis,
) -> sqlx::Result<()> {
    const MARK: &str = "UPDATE mail_stops SET stopped_at = COALESCE(stopped_at, $3)
        WHERE person_id = $1 OR entry_id = $2";
    const DROP: &str = "UPDATE mails SET state = 'dropped', ended_at = $3
        WHERE state = 'waits' AND (person_id = $1 OR entry_id = $2)";
    const NEWS: &str = "UPDATE news SET told = TRUE WHERE NOT told AND person_id = $1";
    for sql in [MARK, DROP] {
        on_tx!(tx, conn => sqlx::query(sql)
            .bind(person).bind(entry).bind(now).execute(conn).await.map(|_| ()))?;
    }
    on_tx!(tx, conn => sqlx::query(NEWS).bind(person).execute(conn).await.map(|_| ()))
}

/// A report with how to reach its sender: entry, job it was made for, body, code.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Report {
    pub entry_id: String,
    pub job_id: JobId,
    pub body: String,
    pub code: String,
}

/// The reports of a job.
pub async fn reports(tx: &mut Tx, job: JobId) -> sqlx::Result<Vec<Report>> {
    const SQL: &str = "SELECT e.id AS entry_id, e.job_id, e.body, c.code
        FROM report_codes c JOIN entries e ON e.id = c.entry_id WHERE c.job_id = $1
        ORDER BY e.number";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(job).fetch_all(conn).await)
}

/// Jobs that were joined to a job.
pub async fn joined_into(tx: &mut Tx, job: JobId) -> sqlx::Result<Vec<JobId>> {
    const SQL: &str = "SELECT id FROM jobs WHERE joined_to = $1 ORDER BY id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(job).fetch_all(conn).await)
}

/// Tag and name of a job's machine, else its place: for people of the shop.
pub async fn what(tx: &mut Tx, job: JobId) -> sqlx::Result<String> {
    const SQL: &str = "SELECT CASE WHEN m.id IS NULL THEN COALESCE(p.name, '')
            ELSE m.tag || ', ' || m.name END
        FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id
        LEFT JOIN places p ON p.id = j.place_id WHERE j.id = $1";
    let what: Option<String> =
        on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(job).fetch_optional(conn).await)?;
    Ok(what.unwrap_or_default())
}

pub async fn shift_end(db: &Db) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "SELECT minutes FROM shift_end WHERE id = 1";
    on_db!(db, pool => sqlx::query_scalar(SQL).fetch_optional(pool).await)
}

/// `None`: nobody says when the shift ends.
pub async fn set_shift_end(tx: &mut Tx, minutes: Option<i64>) -> sqlx::Result<()> {
    const CLEAR: &str = "DELETE FROM shift_end";
    const SQL: &str = "INSERT INTO shift_end (id, minutes) VALUES (1, $1)";
    on_tx!(tx, conn => sqlx::query(CLEAR).execute(conn).await.map(|_| ()))?;
    match minutes {
        None => Ok(()),
        Some(minutes) => {
            on_tx!(tx, conn => sqlx::query(SQL).bind(minutes).execute(conn).await.map(|_| ()))
        }
    }
}

/// Held while mails are sent; the connection, and the lock with it, ends with this.
#[derive(Debug)]
pub enum Alone {
    /// One server writes such a file.
    Sqlite,
    Postgres(sqlx::pool::PoolConnection<sqlx::Postgres>),
}

impl Alone {
    /// The next one may send; without this it may once the connection is gone.
    pub async fn release(self) -> sqlx::Result<()> {
        const SQL: &str = "SELECT pg_advisory_unlock(1835100524, hashtext(current_schema()))";
        match self {
            Alone::Sqlite => Ok(()),
            Alone::Postgres(mut conn) => sqlx::query(SQL).execute(&mut *conn).await.map(|_| ()),
        }
    }
}

/// `None` while another process sends.
pub async fn try_alone(db: &Db) -> sqlx::Result<Option<Alone>> {
    // Any number that nothing else in the database uses; a second one for the schema.
    const SQL: &str = "SELECT pg_try_advisory_lock(1835100524, hashtext(current_schema()))";
    match db {
        Db::Sqlite { .. } => Ok(Some(Alone::Sqlite)),
        Db::Postgres(pool) => {
            let mut conn = pool.acquire().await?;
            conn.close_on_drop();
            let mine: bool = sqlx::query_scalar(SQL).fetch_one(&mut *conn).await?;
            Ok(mine.then_some(Alone::Postgres(conn)))
        }
    }
}
