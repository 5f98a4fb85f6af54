//! The shop's closed days in the database.

use crate::db::{Db, Tx};
use crate::{on_db, on_tx};
use calc::due::Closed;
use time::{Date, Weekday};

/// Monday is 1.
pub fn numbered(number: i64) -> Option<Weekday> {
    let number = u8::try_from(number).ok()?.checked_sub(1)?;
    (number < 7).then(|| Weekday::Monday.nth_next(number))
}

/// Single days, the first one first.
pub async fn days(db: &Db) -> sqlx::Result<Vec<(Date, String)>> {
    const SQL: &str = "SELECT day, name FROM closed_days ORDER BY day";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// When the shop is closed.
pub async fn closed(db: &Db) -> sqlx::Result<Closed> {
    const SQL: &str = "SELECT weekday FROM closed_weekdays ORDER BY weekday";
    let weekend: Vec<i64> = on_db!(db, pool => sqlx::query_scalar(SQL).fetch_all(pool).await)?;
    let holidays = days(db).await?;
    Ok(Closed {
        weekend: weekend.into_iter().filter_map(numbered).collect(),
        holidays: holidays.into_iter().map(|(day, _)| day).collect(),
    })
}

pub async fn set_weekdays(tx: &mut Tx, weekdays: &[i64]) -> sqlx::Result<()> {
    const CLEAR: &str = "DELETE FROM closed_weekdays";
    const SQL: &str = "INSERT INTO closed_weekdays (weekday) VALUES ($1)";
    on_tx!(tx, conn => sqlx::query(CLEAR).execute(conn).await.map(|_| ()))?;
    for weekday in weekdays {
        on_tx!(tx, conn => sqlx::query(SQL).bind(*weekday).execute(conn).await.map(|_| ()))?;
    }
    Ok(())
}

/// Adds a day, or gives it another name.
pub async fn add(tx: &mut Tx, day: Date, name: &str) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO closed_days (day, name) VALUES ($1, $2)
        ON CONFLICT (day) DO UPDATE SET name = excluded.name";
    on_tx!(tx, conn => sqlx::query(SQL).bind(day).bind(name).execute(conn).await.map(|_| ()))
}

pub async fn remove(tx: &mut Tx, day: Date) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM closed_days WHERE day = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(day).execute(conn).await.map(|_| ()))
}
