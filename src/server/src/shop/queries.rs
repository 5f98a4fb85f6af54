//! The one row that says which shop this is.

use super::{Shop, Units};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::detail::repeats::Windows;
use crate::{on_db, on_tx};
use calc::circuit::RuleSet;
use std::str::FromStr;

#[derive(sqlx::FromRow)]
struct ShopRow {
    name: String,
    time_zone: String,
    rule_set: String,
    rule_note: String,
    units: String,
    currency: String,
}

/// `None` before set-up.
pub async fn find(db: &Db) -> sqlx::Result<Option<Shop>> {
    const SQL: &str = "SELECT name, time_zone, rule_set, rule_note, units, currency
        FROM shop WHERE id = 1";
    let row: Option<ShopRow> = on_db!(db, pool => sqlx::query_as(SQL).fetch_optional(pool).await)?;
    row.map(|row| {
        let rule_set = RuleSet::from_str(&row.rule_set)
            .map_err(|unknown| sqlx::Error::Decode(unknown.into()))?;
        let units = Units::named(&row.units)
            .ok_or_else(|| sqlx::Error::Decode(format!("units {:?}", row.units).into()))?;
        Ok(Shop {
            name: row.name,
            time_zone: row.time_zone,
            rule_set,
            rule_note: row.rule_note,
            units,
            currency: row.currency,
        })
    })
    .transpose()
}

pub async fn insert(tx: &mut Tx, shop: &Shop, at: Millis) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO shop (id, name, time_zone, rule_set, rule_note, units, currency,
            created_at)
        VALUES (1, $1, $2, $3, $4, $5, $6, $7)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(&shop.name)
        .bind(&shop.time_zone)
        .bind(shop.rule_set.words())
        .bind(&shop.rule_note)
        .bind(shop.units.word())
        .bind(&shop.currency)
        .bind(at)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn update(tx: &mut Tx, shop: &Shop) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE shop SET name = $1, time_zone = $2, rule_set = $3, rule_note = $4,
            units = $5, currency = $6, version = version + 1
        WHERE id = 1";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(&shop.name)
        .bind(&shop.time_zone)
        .bind(shop.rule_set.words())
        .bind(&shop.rule_note)
        .bind(shop.units.word())
        .bind(&shop.currency)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn version(db: &Db) -> sqlx::Result<i64> {
    version_now(db).await.map(|version| version.unwrap_or(0))
}

/// `None` before set-up.
pub async fn version_now(db: &Db) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "SELECT version FROM shop WHERE id = 1";
    on_db!(db, pool => sqlx::query_scalar(SQL).fetch_optional(pool).await)
}

/// `false` where somebody changed the shop's row since `version`.
pub async fn set_windows(tx: &mut Tx, windows: Windows, version: i64) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE shop SET repeat_small_days = $1, repeat_large_days = $2,
            version = version + 1
        WHERE id = 1 AND version = $3 RETURNING version";
    let done: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(windows.small_days)
        .bind(windows.large_days).bind(version).fetch_optional(conn).await)?;
    Ok(done.is_some())
}

/// Claims the shop's row for a change; `false` where somebody changed it since `version`.
pub async fn claim(tx: &mut Tx, version: i64) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE shop SET version = version WHERE id = 1 AND version = $1
        RETURNING version";
    let claimed: Option<i64> =
        on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(version).fetch_optional(conn).await)?;
    Ok(claimed.is_some())
}
