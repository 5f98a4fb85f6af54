//! The program against the reference tables of `tests/reference/`: one test a table, every row of
//! it, and the page that counts them.

/// Lists the tables of one file, and makes one test of each.
macro_rules! tables {
    ($($name:ident: $file:literal, $source:literal, $check:expr;)+) => {
        pub static TABLES: &[$crate::table::Table] = &[$(
            $crate::table::Table { file: $file, source: $source, check: $check }
        ),+];
        $(
            #[test]
            fn $name() {
                let table = TABLES.iter().find(|table| table.file == $file);
                table.expect("it is listed").must_hold();
            }
        )+
    };
}

mod circuit;
mod coverage;
mod dates;
mod drive;
mod energy;
mod equipment;
mod fan;
mod fit;
mod life;
mod motors;
mod plate;
mod proof;
mod second;
mod supply;
mod table;

use table::Table;

/// Every table, subject by subject.
fn tables() -> impl Iterator<Item = &'static Table> {
    [
        circuit::TABLES,
        equipment::TABLES,
        supply::TABLES,
        fan::TABLES,
        drive::TABLES,
        motors::TABLES,
        plate::TABLES,
        proof::TABLES,
        energy::TABLES,
        dates::TABLES,
        life::TABLES,
        fit::TABLES,
        second::TABLES,
    ]
    .into_iter()
    .flatten()
}
