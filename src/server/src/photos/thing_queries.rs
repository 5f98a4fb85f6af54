//! Photos of machines, motors and parts themselves, in the database.

use super::Photo;
use super::shown::Thumb;
use super::things::Thing;
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::people::PersonId;
use crate::{on_db, on_tx};

/// A photo that is shown.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Own {
    pub id: i64,
    pub sha: String,
    pub width: i64,
    pub height: i64,
    pub caption: String,
    /// Empty: not known.
    pub person: String,
    pub taken_at: Millis,
}

impl Own {
    pub fn thumb(&self) -> Thumb {
        let side = |length: i64| u32::try_from(length).unwrap_or(1);
        let caption = match self.caption.as_str() {
            "" => "Photo",
            caption => caption,
        };
        Thumb::sized(&self.sha, caption, (side(self.width), side(self.height)))
    }
}

/// The thing's number in the column of its kind, for each of the three columns.
fn columns(thing: Thing) -> [Option<i64>; 3] {
    match thing {
        Thing::Machine(id) => [Some(id), None, None],
        Thing::Motor(id) => [None, Some(id), None],
        Thing::Part(id) => [None, None, Some(id)],
    }
}

macro_rules! own_sql {
    ($column:literal) => {
        concat!(
            "SELECT t.id, t.sha, t.width, t.height, t.caption, COALESCE(p.name, '') AS person, \
             t.taken_at FROM thing_photos t LEFT JOIN people p ON p.id = t.taken_by WHERE t.",
            $column,
            " = $1 AND t.withdrawn_at IS NULL ORDER BY t.id LIMIT 50"
        )
    };
}

/// The oldest first: the one by which it is told.
pub async fn of(db: &Db, thing: Thing) -> sqlx::Result<Vec<Own>> {
    let (sql, id) = match thing {
        Thing::Machine(id) => (own_sql!("machine_id"), id),
        Thing::Motor(id) => (own_sql!("motor_id"), id),
        Thing::Part(id) => (own_sql!("part_id"), id),
    };
    on_db!(db, pool => sqlx::query_as(sql).bind(id).fetch_all(pool).await)
}

/// What people call the thing; `None` where there is none.
pub async fn name(db: &Db, thing: Thing) -> sqlx::Result<Option<String>> {
    const MACHINE: &str = "SELECT tag || ' ' || name FROM machines WHERE id = $1";
    const MOTOR: &str = "SELECT name FROM motors WHERE id = $1";
    const PART: &str = "SELECT name FROM parts WHERE id = $1";
    let (sql, id) = match thing {
        Thing::Machine(id) => (MACHINE, id),
        Thing::Motor(id) => (MOTOR, id),
        Thing::Part(id) => (PART, id),
    };
    on_db!(db, pool => sqlx::query_scalar(sql).bind(id).fetch_optional(pool).await)
}

pub async fn insert(
    tx: &mut Tx,
    thing: Thing,
    photo: &Photo,
    (by, at): (PersonId, Millis),
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO thing_photos (machine_id, motor_id, part_id, sha, thumb, width,
            height, bytes, caption, taken_by, taken_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)";
    let [machine, motor, part] = columns(thing);
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(machine)
        .bind(motor)
        .bind(part)
        .bind(&photo.sha)
        .bind(&photo.thumb)
        .bind(i64::from(photo.width))
        .bind(i64::from(photo.height))
        .bind(photo.bytes)
        .bind(&photo.caption)
        .bind(by)
        .bind(at)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// The two files of the photo that goes; `None` where the thing shows no such photo.
pub async fn withdraw(
    tx: &mut Tx,
    thing: Thing,
    id: i64,
    at: Millis,
) -> sqlx::Result<Option<(String, String)>> {
    const SQL: &str = "UPDATE thing_photos SET withdrawn_at = $5
        WHERE id = $4 AND withdrawn_at IS NULL
            AND (machine_id = $1 OR motor_id = $2 OR part_id = $3) RETURNING sha, thumb";
    let [machine, motor, part] = columns(thing);
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(machine).bind(motor).bind(part).bind(id).bind(at)
        .fetch_optional(conn).await)
}
