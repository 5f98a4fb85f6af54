//! The audit list as it is read, in the database.

use crate::clock::Millis;
use crate::db::Db;
use crate::on_db;

/// One line of the list.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Line {
    pub id: i64,
    pub at: Millis,
    /// `None`: the program itself.
    pub person: Option<String>,
    pub thing: String,
    pub thing_id: i64,
    pub act: String,
    pub detail: String,
}

/// Which lines.
#[derive(Clone, Debug)]
pub struct Narrow {
    /// 0: the program itself.
    pub person: Option<i64>,
    /// Blank for every thing.
    pub thing: String,
    /// Words of the act, in small letters; blank for every act.
    pub act: String,
    pub from: Millis,
    /// Up to here, without it.
    pub to: Millis,
    /// Lines behind this one.
    pub before: i64,
}

impl Narrow {
    pub fn all() -> Narrow {
        Narrow {
            person: None,
            thing: String::new(),
            act: String::new(),
            from: Millis::MIN,
            to: Millis::MAX,
            before: i64::MAX,
        }
    }
}

/// The newest first.
pub async fn list(db: &Db, narrow: &Narrow, most: usize) -> sqlx::Result<Vec<Line>> {
    const SQL: &str = "SELECT a.id, a.at, p.name AS person, a.thing, a.thing_id, a.act, a.detail
        FROM audit a LEFT JOIN people p ON p.id = a.person_id
        WHERE a.id < $1 AND ($2 < 0 OR COALESCE(a.person_id, 0) = $2) AND ($3 = '' OR a.thing = $3)
            AND ($4 = '' OR lower(a.act) LIKE $5 ESCAPE '\\') AND a.at >= $6 AND a.at < $7
        ORDER BY a.id DESC LIMIT $8";
    let mut like = "%".to_owned();
    for c in narrow.act.chars() {
        // The signs of LIKE stand for themselves.
        if "%_\\".contains(c) {
            like.push('\\');
        }
        like.push(c);
    }
    like.push('%');
    on_db!(db, pool => sqlx::query_as(SQL)
        .bind(narrow.before)
        .bind(narrow.person.unwrap_or(-1))
        .bind(&narrow.thing)
        .bind(&narrow.act)
        .bind(&like)
        .bind(narrow.from)
        .bind(narrow.to)
        .bind(i64::try_from(most).unwrap_or(i64::MAX))
        .fetch_all(pool)
        .await)
}
