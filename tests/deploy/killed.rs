//! A few kills on each change; `tests/long/run kills` does two hundred on each database.

use crate::kill::{Kind, rounds};

fn a_few(kind: Kind) {
    let seed = std::time::UNIX_EPOCH.elapsed().expect("after 1970");
    let tally = rounds(kind, 6, seed.as_secs());
    assert!(tally.acknowledged > 20, "{tally:?}");
    assert_eq!(tally.server_killed + tally.database_killed, 6);
    if kind == Kind::Postgres {
        assert_eq!(tally.database_killed, 3);
    }
}

#[test]
fn what_was_acknowledged_outlives_kills_of_the_server_on_sqlite() {
    a_few(Kind::Sqlite);
}

#[test]
fn what_was_acknowledged_outlives_kills_of_server_and_database_on_postgresql() {
    a_few(Kind::Postgres);
}
