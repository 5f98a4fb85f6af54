//! Columns as the database itself tells them, and the statements made from them.

use super::cells;
use super::queries::ColumnRow;
use super::{Failure, tables};
use crate::db::Db;

/// What a column holds, the same on both databases.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Whole,
    Real,
    YesNo,
    Date,
    Text,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    pub name: String,
    pub kind: Kind,
    pub nullable: bool,
    pub in_key: bool,
}

impl Column {
    pub fn read(row: ColumnRow) -> Result<Self, Failure> {
        let kind = match row.declared.to_ascii_lowercase().as_str() {
            "bigint" | "integer" => Kind::Whole,
            "real" | "double precision" => Kind::Real,
            "boolean" => Kind::YesNo,
            "date" => Kind::Date,
            "text" => Kind::Text,
            other => {
                let sentence = format!("Column {} is of a kind not carried: {other}.", row.name);
                return Err(Failure::Refused(sentence));
            }
        };
        Ok(Column {
            name: row.name,
            kind,
            nullable: row.nullable,
            in_key: row.in_key,
        })
    }

    /// The cell of a CSV file.
    pub fn cell(&self, value: Option<String>) -> String {
        match (self.kind, self.nullable) {
            (Kind::Text, true) => cells::nullable(value.as_deref()),
            (Kind::Text, false) => cells::guarded(value.as_deref().unwrap_or_default()),
            _ => value.unwrap_or_default(),
        }
    }

    /// Undoes [`Column::cell`].
    pub fn value(&self, cell: &str) -> Option<String> {
        match (self.kind, self.nullable) {
            (Kind::Text, true) => cells::known(cell).map(str::to_owned),
            (Kind::Text, false) => Some(cells::unguarded(cell).to_owned()),
            _ if cell.is_empty() => None,
            _ => Some(cell.to_owned()),
        }
    }
}

/// Everything is read as text, except numbers with a fraction, which no text of SQLite's holds whole.
pub fn select(table: &str, columns: &[Column], db: &Db) -> String {
    let shown: Vec<String> = columns
        .iter()
        .map(|column| {
            let name = &column.name;
            match column.kind {
                Kind::Real => format!("CAST(\"{name}\" AS DOUBLE PRECISION)"),
                Kind::YesNo => {
                    format!("CASE WHEN \"{name}\" THEN 'yes' WHEN NOT \"{name}\" THEN 'no' END")
                }
                _ => format!("CAST(\"{name}\" AS TEXT)"),
            }
        })
        .collect();
    // The same order on both: Postgres sorts text by language unless told, and by what is shown, the
    // number as text, unless the column is named with its table.
    let by_bytes = if matches!(db, Db::Postgres(_)) {
        " COLLATE \"C\""
    } else {
        ""
    };
    let order: Vec<String> = columns
        .iter()
        .filter(|column| column.in_key)
        .map(|column| match column.kind {
            Kind::Text => format!("t.\"{}\"{by_bytes}", column.name),
            _ => format!("t.\"{}\"", column.name),
        })
        .collect();
    let order = if order.is_empty() {
        String::new()
    } else {
        format!(" ORDER BY {}", order.join(", "))
    };
    format!("SELECT {} FROM \"{table}\" AS t{order}", shown.join(", "))
}

/// So many rows in one statement, each value cast from text where it is not text.
pub fn insert(table: &str, columns: &[Column], rows: usize, postgres: bool) -> String {
    let names: Vec<String> = columns.iter().map(|c| format!("\"{}\"", c.name)).collect();
    let mut sql = format!("INSERT INTO \"{table}\" ({}) VALUES ", names.join(", "));
    for row in 0..rows {
        sql.push_str(if row == 0 { "(" } else { "), (" });
        for (i, column) in columns.iter().enumerate() {
            let number = row * columns.len() + i + 1;
            if i > 0 {
                sql.push_str(", ");
            }
            sql.push_str(&match column.kind {
                Kind::Whole => format!("CAST(${number} AS BIGINT)"),
                Kind::YesNo => {
                    format!("CASE ${number} WHEN 'yes' THEN TRUE WHEN 'no' THEN FALSE END")
                }
                Kind::Date if postgres => format!("CAST(${number} AS DATE)"),
                Kind::Date | Kind::Real | Kind::Text => format!("${number}"),
            });
        }
    }
    sql.push(')');
    sql
}

/// The table of this name that is carried; the only names that reach a statement.
pub fn carried(name: &str) -> Option<&'static str> {
    tables::all_kept()
        .map(|(table, _)| table.name)
        .find(|known| *known == name)
}
